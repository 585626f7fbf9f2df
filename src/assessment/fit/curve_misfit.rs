//! A trunk whose range of radii no face of the present pad and width can follow.

use crate::assessment::Subject;
use crate::assessment::hold::cures::remedies;
use crate::assessment::hold::no_pull_holds::also;
use crate::design::{LeftOpen, PlanError, SizeKind};
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
        Ok(plan) => [SizeKind::Cradle, SizeKind::Rail]
            .into_iter()
            .filter_map(|kind| judge((subject.job, plan.open), &plan.unserved, kind))
            .collect(),
        Err(PlanError::Fit(error)) => {
            vec![Finding::new(RULE.code, Severity::Error, error.to_string()).key("pad")]
        }
        Err(PlanError::Measure(error)) => {
            vec![Finding::new(RULE.code, Severity::Error, error.to_string()).key("pad")]
        }
        Err(PlanError::Enclosure(_)) => Vec::new(),
    }
}

/// The finding on those of one kind, told of the trunk whose girths are farthest apart.
fn judge(
    (job, open): (&Job, LeftOpen),
    unserved: &[(SizeKind, Unserved)],
    kind: SizeKind,
) -> Option<Finding> {
    // Where not even one radius leaves room, the rules of the pull say why.
    let has_room = |u: &&Unserved| u.window.is_some_and(|w| w.has_room());
    let of = || unserved.iter().filter(|(k, _)| *k == kind).map(|(_, u)| u).filter(has_room);
    let apart = |u: &Unserved| u.range.to / u.range.from;
    let widest = of().max_by(|a, b| apart(a).total_cmp(&apart(b)))?;
    let [from, to] = [widest.range.from, widest.range.to].map(girth_of_radius);
    let message = format!(
        "no {} serves `{}` over its girths of curvature {:.0} to {to:.0}{}",
        kind.word(),
        job.trunks[widest.trunk].name,
        from.get(),
        also(job, of(), widest)
    );
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(
            format!("{:.0}-{to:.0}", from.get()),
            format!("what a pad of {} bridges", job.pad.free_thickness()),
        )
        .key(KeyPath::trunk(widest.trunk, "girth").as_str());
    Some(remedies((job, open), widest.trunk, kind, finding))
}
