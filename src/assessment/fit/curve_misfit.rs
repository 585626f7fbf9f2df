//! A trunk whose range of radii no face of the present pad and width can follow.

use crate::assessment::Subject;
use crate::design::{PlanError, SizeKind};
use crate::engineering::fit::girth_of_radius;
use crate::engineering::sizes::Unserved;
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "curve-misfit",
    title: "a printed curve serves the trunk over its whole range of girth",
    why: "where the curve does not follow the bark, the pad grips on a line and bruises it, or lets go",
    formula: "s(r_thin + t (1 - e_min), w) - s(r_thick + t (1 - e_max), w) <= 2 (e_max - e_min) t, with s(r, w) = r - sqrt(r^2 - w^2)",
    source: "geometry of circular arcs; strain limits of closed-cell foam: common practice, no source",
    cure: "a thicker pad, a narrower face, fewer years of growth, or calipers in place of a guess",
};

/// A tenth of a millimetre is what a pad can be bought and a face be drawn to.
const STEP: f64 = 0.1;

/// One error a trunk that has no size in the plan; one where pad and girths leave no plan.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    match subject.plan {
        Ok(plan) => judge(subject.job, &plan.unserved),
        Err(PlanError::Fit(error)) => {
            vec![Finding::new(RULE.code, Severity::Error, error.to_string()).key("pad")]
        }
        Err(PlanError::Enclosure(_)) => Vec::new(),
    }
}

pub(crate) fn judge(job: &Job, unserved: &[(SizeKind, Unserved)]) -> Vec<Finding> {
    unserved
        .iter()
        .filter_map(|(kind, u)| {
            let what = kind.word();
            let trunk = job.trunks.get(u.trunk)?;
            let girths = [u.range.from, u.range.to].map(girth_of_radius);
            let mut finding = Finding::new(
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
                format!("what a pad of {} bridges", job.pad.thickness),
            )
            .key(KeyPath::trunk(u.trunk, "girth").as_str());
            if let Some(t) = u.pad_thickness {
                let up = Length::mm((t.get() / STEP).ceil() * STEP);
                finding = finding.remedy("pad.thickness", format!("at least {up:.1}"));
            }
            let down = Length::mm((u.half_width.get() / STEP).floor() * STEP);
            if down > Length::ZERO {
                finding = finding.remedy("pad.half-width", format!("at most {down:.1}"));
            }
            Some(finding)
        })
        .collect()
}
