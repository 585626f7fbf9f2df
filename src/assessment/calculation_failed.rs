//! A calculation without a result: reported, never taken for a pass.

use super::calculations::{Calculations, Unavailable};
use crate::assessment::Subject;
use crate::design::enclosure::EnclosureError;
use crate::design::{PartId, Plan, PlanError};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Job, listed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "calculation-failed",
    title: "every calculation that the job needs has a result",
    why: "what cannot be calculated cannot be relied on: a strap that would have to run through wood, \
          or a saddle that no strap touches",
    formula: "each calculation names the input that is out of its range",
    source: "the calculation itself; the command sums shows its inputs",
    cure: "correct the input that the message names",
};

/// One error for each calculation that has no result and that no other rule reports.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    match (subject.plan, subject.calculations) {
        (Err(PlanError::Enclosure(error)), _) => of_box(error).into_iter().collect(),
        (Ok(plan), Some(calculations)) => of_calculations(subject.job, plan, calculations),
        _ => Vec::new(),
    }
}

fn finding(what: &str, why: &impl std::fmt::Display) -> Finding {
    Finding::new(RULE.code, Severity::Error, format!("no result for {what}: {why}"))
}

/// A box without a plan, unless another rule reports it.
fn of_box(error: &EnclosureError) -> Option<Finding> {
    let finding = |what: &str| finding(what, error).part(PartId::BoxBody);
    match error {
        EnclosureError::NoBattery => Some(finding("the box").key("battery")),
        EnclosureError::Seal(_) => Some(
            finding("the seal")
                .key("seal.cord")
                .key("seal.sponge")
                .key("seal.squeeze")
                .key("seal.line-load"),
        ),
        EnclosureError::NoInsert(_) | EnclosureError::NoRailFloor { .. } => None,
    }
}

fn of_calculations(job: &Job, plan: &Plan, calculations: &Calculations) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Err(Unavailable::Failed(why)) = &calculations.yoke {
        let cradles = plan.cradles.iter();
        found.push(cradles.fold(finding("the loads of the yoke", why), |f, c| f.part(c.id())));
    }
    // Trunks on which the same calculation fails for the same reason share one finding.
    let mut failures: Vec<(&str, Option<&PartId>, Vec<&str>)> = Vec::new();
    for group in &calculations.groups {
        let trunk = job.trunks[group.trunks[0]].name.as_str();
        for ring in [&group.cradle, &group.rail].into_iter().flatten() {
            let (why, part) = match ring {
                Err(Unavailable::Failed(why)) => (why, None),
                _ => continue,
            };
            match failures.iter_mut().find(|known| (known.0, known.1) == (why, part)) {
                Some(known) if known.2.contains(&trunk) => {}
                Some(known) => known.2.push(trunk),
                None => failures.push((why, part, vec![trunk])),
            }
        }
    }
    for (why, part, trunks) in failures {
        let finding = finding(&format!("the strap tension on {}", listed(&trunks)), &why);
        found.push(part.into_iter().fold(finding, Finding::part));
    }
    let power = &calculations.power;
    let warmth = power.day.as_ref().and_then(|day| day.as_ref().err());
    for (what, why) in [("the feed", power.feeds.as_ref().err()), ("the warmth of the box", warmth)]
    {
        if let Some(Unavailable::Failed(why)) = why {
            found.push(finding(what, why).part(PartId::BoxBody));
        }
    }
    found
}
