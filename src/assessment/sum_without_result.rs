//! A sum that has no result: told, and never taken for a pass.

use super::calculations::{Calculations, Unavailable};
use crate::assessment::Subject;
use crate::design::enclosure::EnclosureError;
use crate::design::{PartId, Plan, PlanError};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "sum-without-result",
    title: "every sum that the job asks for has a result",
    why: "what cannot be summed cannot be promised: a strap that would have to run through wood, or \
          a saddle that no strap touches",
    formula: "each sum names the measure that leaves its range",
    source: "the sum itself; `sums` shows what went in",
    cure: "correct the measure that the message names",
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

/// A box without a plan, unless another rule tells.
fn of_box(error: &EnclosureError) -> Option<Finding> {
    let finding = |what: &str| finding(what, error).part(PartId::BoxBody);
    match error {
        EnclosureError::NoBattery => Some(finding("the box").key("battery")),
        EnclosureError::Seal(_) => {
            Some(finding("the seal").key("seal.cord").key("seal.squeeze").key("seal.line-load"))
        }
        EnclosureError::NoInsert(_) | EnclosureError::NoRailFloor { .. } => None,
    }
}

fn of_calculations(job: &Job, plan: &Plan, calculations: &Calculations) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Err(Unavailable::Failed(why)) = &calculations.yoke {
        let cradles = plan.cradles.iter();
        found.push(cradles.fold(finding("the loads of the yoke", why), |f, c| f.part(c.id())));
    }
    // The same reason on many trunks is told once.
    let mut told: Vec<(&str, Option<&PartId>)> = Vec::new();
    for group in &calculations.groups {
        for ring in [&group.cradle, &group.rail].into_iter().flatten() {
            let (why, part) = match ring {
                Err(Unavailable::Failed(why)) => (why, None),
                _ => continue,
            };
            if told.contains(&(why, part)) {
                continue;
            }
            told.push((why, part));
            let finding =
                finding(&format!("the hold on `{}`", job.trunks[group.trunks[0]].name), why);
            found.push(match part {
                Some(part) => finding.part(part),
                None => finding,
            });
        }
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
