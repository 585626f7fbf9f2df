//! A trunk whose range of radii no face of the present pad and width can follow.

use crate::assessment::Subject;
use crate::assessment::hold::cures::remedies;
use crate::design::{PlanError, SizeKind};
use crate::engineering::fit::girth_of_radius;
use crate::engineering::sizes::Unserved;
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "curve-misfit",
    title: "a printed curve serves the trunk over its whole range of girth",
    why: "where the curve does not follow the bark, the pad grips on a line and bruises it, or lets go",
    formula: "one face leaves room for the pull on the thinnest and on the thickest radius",
    source: "geometry of circular arcs; integral of the foam's stress over the face",
    cure: "a thicker pad, a narrower face, fewer years of growth, or calipers in place of a guess",
};

/// One error a trunk that has no size in the plan; one where pad and girths leave no plan.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    match subject.plan {
        Ok(plan) => judge(subject.job, &plan.unserved),
        Err(PlanError::Fit(error)) => {
            vec![Finding::new(RULE.code, Severity::Error, error.to_string()).key("pad")]
        }
        Err(PlanError::Measure(error)) => {
            vec![Finding::new(RULE.code, Severity::Error, error.to_string()).key("pad")]
        }
        Err(PlanError::Enclosure(_)) => Vec::new(),
    }
}

pub(crate) fn judge(job: &Job, unserved: &[(SizeKind, Unserved)]) -> Vec<Finding> {
    unserved
        .iter()
        // Where not even one radius leaves room, the rules of the pull say why.
        .filter(|(_, u)| u.window.is_some_and(|w| w.has_room()))
        .filter_map(|(kind, u)| {
            let what = kind.word();
            let trunk = job.trunks.get(u.trunk)?;
            let girths = [u.range.from, u.range.to].map(girth_of_radius);
            let finding = Finding::new(
                RULE.code,
                Severity::Error,
                format!(
                    "no {what} serves `{}` over its girths of curvature {:.0} to {:.0}",
                    trunk.name,
                    girths[0].get(),
                    girths[1]
                ),
            )
            .measured(
                format!("{:.0}-{:.0}", girths[0].get(), girths[1]),
                format!("what a pad of {} bridges", job.pad.free_thickness()),
            )
            .key(KeyPath::trunk(u.trunk, "girth").as_str());
            Some(remedies(job, u.trunk, *kind, finding))
        })
        .collect()
}
