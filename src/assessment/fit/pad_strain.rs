//! The pad's strain on a trunk under the size that it got.

use crate::assessment::{Calculations, Subject};
use crate::engineering::fit::{Foam, PadFit};
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "pad-strain",
    title: "the pad is compressed within its limits, and evenly",
    why: "foam pressed too little slips, foam pressed too much is hard and wears the bark",
    formula: "e = 1 - g / t in the middle and at the edge, e_min <= e <= e_max; even when they differ by no more than half of e_max - e_min",
    source: "common practice, no source",
    cure: "a thicker pad spreads the same misfit over more foam",
};

/// Share of the band between least and most strain beyond which the pad counts as uneven.
const UNEVEN: f64 = 0.5;

/// For each trunk and saddle an error when the strain leaves its limits, a note when it is uneven.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(Calculations { foam: Ok(foam), groups, .. }) = subject.calculations else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for group in groups {
        for ring in group.rings() {
            let some = judge(subject.job, group.trunks[0], *foam, ring.fit);
            found.extend(some.map(|f| f.part(&ring.part)));
        }
    }
    found
}

/// `trunk` is the trunk's index in the job.
pub(crate) fn judge(job: &Job, trunk: usize, foam: Foam, fit: PadFit) -> Option<Finding> {
    let percent = |e: f64| trimmed(e * 100.0, 0);
    let name = job.trunks.get(trunk).map_or("trunk", |t| &t.name);
    let measured = format!("{} % middle, {} % edge", percent(fit.centre), percent(fit.edge));
    let band = foam.most_strain() - foam.least_strain();
    // The misfit in millimetres stays; a pad of this thickness makes it small enough.
    let thickness = |allowed: f64| {
        let t = foam.thickness().get() * fit.unevenness().abs() / allowed;
        format!("at least {:.1}", Length::mm((t * 10.0).ceil() / 10.0))
    };
    let limits = format!("{}-{} %", percent(foam.least_strain()), percent(foam.most_strain()));
    if !fit.served {
        return Some(
            Finding::new(
                RULE.code,
                Severity::Error,
                format!("the pad on {name} leaves its limits: {measured}"),
            )
            .measured(measured, limits)
            .key(KeyPath::trunk(trunk, "girth").as_str())
            .key("pad.thickness")
            .remedy("pad.thickness", thickness(band)),
        );
    }
    if fit.unevenness().abs() > UNEVEN * band {
        return Some(
            Finding::new(
                RULE.code,
                Severity::Note,
                format!("the pad on {name} is compressed unevenly: {measured}"),
            )
            .measured(measured, format!("{} points apart", percent(UNEVEN * band)))
            .key(KeyPath::trunk(trunk, "girth").as_str())
            .remedy("pad.thickness", thickness(UNEVEN * band)),
        );
    }
    None
}
