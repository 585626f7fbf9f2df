//! A trunk that no cradle or rail can serve over the life of the print.

use super::{Finding, Rule, Severity};
use crate::engineering::fit::girth_of_radius;
use crate::params::Job;
use crate::plan::{Plan, SizeKind};

/// What `explain` says.
pub const RULE: Rule = Rule {
    code: "trunk-unserved",
    title: "every trunk has a size that serves it from its first to its last season",
    why: "a pad that is squeezed too hard bruises, one that hangs loose lets the lamp slide",
    formula: "|s(r, w) - s(Rc, w)| <= (e_max - e_min) t for every radius r of the trunk, \
              s(r, w) = r - sqrt(r^2 - w^2)",
    source: "geometry of the sagitta; the strain limits are the job's",
    cure: "thicker foam, a narrower pad, or fewer years of growth before the next print",
};

/// Reports each trunk without a size.
#[must_use]
pub fn check(job: &Job, plan: &Plan) -> Vec<Finding> {
    let one = |(kind, unserved): &(SizeKind, crate::engineering::sizes::Unserved)| {
        let trunk = &job.trunks[unserved.trunk];
        let what = match kind {
            SizeKind::Cradle => "cradle",
            SizeKind::Rail => "rail",
        };
        let girths = [unserved.range.from, unserved.range.to].map(girth_of_radius);
        let message = format!(
            "no {what} serves `{}` from {:.0} to {:.0} of girth on {} of foam",
            trunk.name, girths[0], girths[1], job.pad.thickness
        );
        let finding = Finding::new(RULE.code, Severity::Error, message)
            .key(format!("trunk[{}].girth", unserved.trunk))
            .key("pad.thickness")
            .remedy("pad.half-width", format!("at most {:.1}", unserved.half_width));
        match unserved.pad_thickness {
            Some(thickness) => finding.remedy("pad.thickness", format!("at least {thickness:.1}")),
            None => finding,
        }
    };
    plan.unserved.iter().map(one).collect()
}
