//! Boxes without a vent, and vents without a box.

use crate::assessment::Subject;
use crate::engineering::heat::breathing;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Temperature;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "vent-unsuited",
    title: "the box can breathe",
    why: "a closed box that was warm in the sun and cools in a shower sucks water past its seal, and what is in it \
          by then is dew by morning",
    formula: "pressure against the air outside = 1013 hPa dT/T, T in kelvin, from the warmest inside to the \
              coldest evening; a seal of soft cord is sure to some 50 hPa",
    source: "Gay-Lussac's law; 50 hPa common practice, no source",
    cure: "a vent plug in the downward wall: its membrane passes air and no water",
};

/// More than this a soft seal need not bear, hPa. Common practice, no source.
const MOST: f64 = 50.0;

/// A note where a box would breathe through its seal, and one for a vent that has no need.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let day = subject.calculations.and_then(|c| c.power.day.as_ref()).and_then(|d| d.as_ref().ok());
    let warmest = day.map(|(_, day)| day.evening.1.inside.max(day.afternoon.1.inside));
    judge(subject.job, warmest).into_iter().collect()
}

/// `warmest` is the air in the box at its warmest; none without a box.
pub(crate) fn judge(job: &Job, warmest: Option<Temperature>) -> Option<Finding> {
    let finding = |message: String| Finding::new(RULE.code, Severity::Note, message).key("vent");
    let Some(warmest) = warmest else {
        // Without a battery there is no box to breathe.
        let idle = job.vent.is_some() && job.battery.is_none();
        return idle
            .then(|| finding("there is a vent but no battery, so no box to put it in".into()));
    };
    let swing = breathing(warmest, job.site.cold);
    match (&job.vent, swing > MOST) {
        (None, true) => Some(
            finding(format!(
                "the box has no vent; cooling from {warmest:.0} to {} it draws in air and water with {swing:.0} hPa",
                job.site.cold
            ))
            .measured(format!("{swing:.0} hPa"), format!("at most {MOST:.0} hPa"))
            .remedy("vent.size", "\"M12\""),
        ),
        (Some(_), false) => Some(
            finding(format!(
                "the vent is not needed: from {warmest:.0} to {} the box breathes with {swing:.0} hPa",
                job.site.cold
            ))
            .measured(format!("{swing:.0} hPa"), format!("a vent is needed above {MOST:.0} hPa")),
        ),
        _ => None,
    }
}
