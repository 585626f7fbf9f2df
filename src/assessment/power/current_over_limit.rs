//! Currents beyond what the pack's or the controller's own electronics pass.

use super::feeds::Studied;
use super::{feeds, worst_of_kind};
use crate::assessment::Subject;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Power;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "current-over-limit",
    title: "pack and controller pass the current of their lamps",
    why: "the electronics in a pack switch it off without a fuse blowing, and a controller beyond its rating \
          burns out: either way the row is dark",
    formula: "I_B <= battery.max-current and I_B <= controller.max-current, I_B with the charge drawn as planned",
    source: "the makers' plates",
    cure: "fewer or weaker lamps on the box, or a pack and a controller that pass more",
};

/// An error for each limit that is written and passed.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    let limits = [
        ("pack", "battery.max-current", job.battery.as_ref().and_then(|b| b.max_current)),
        (
            "controller",
            "controller.max-current",
            job.controller.as_ref().and_then(|c| c.max_current),
        ),
    ];
    worst_of_kind(job, feeds, |studied| {
        let drawn = studied.study.continuous;
        let beyond = |(kind, (what, key, most)): (usize, &(&str, &str, _))| {
            let most = (*most)?;
            if drawn <= most {
                return None;
            }
            // Lamps take power in proportion, near enough; a little less for the lower volts.
            let power = job.fixture.power.get() * (most / drawn) * 0.95;
            let power = Power::watts((power * 10.0).floor() / 10.0);
            let message = format!("the lamps draw {drawn:.2} from the {what}, which passes {most}");
            let mut finding = Finding::new(RULE.code, Severity::Error, message)
                .measured(format!("{drawn:.2}"), format!("at most {most}"))
                .key(*key)
                .key("fixture.power");
            if power > Power::ZERO {
                finding = finding.remedy("fixture.power", format!("at most {power}"));
            }
            Some((kind as u8, drawn.get(), finding))
        };
        limits.iter().enumerate().filter_map(beyond).collect()
    })
}
