//! Cables that lose too much on the way to the lamps.

use super::feeds::Studied;
use super::{cable_rank, feeds, worst_of_kind};
use crate::assessment::Subject;
use crate::engineering::feed::Shortfall;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::trimmed;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "wire-too-thin",
    title: "the cable leaves every lamp enough volts",
    why: "the last lamp on a thin cable is dimmer than the first, flickers, or goes out first when \
          the pack runs down",
    formula: "drop = sum of I_k R_k from the box to the lamp, R = 2 L r20 (230 + t)/250; at most \
              feed.drop x battery.voltage, and at the pack's cut-off at least fixture.min-voltage; a \
              loop keeps the lamps' least voltage with any one segment broken",
    source: "Kirchhoff's laws; IEC 60228 resistances; 5 % for extra-low-voltage lighting from IEC \
             60364-7-715 (from memory)",
    cure: "a thicker conductor, shorter segments, or a loop",
};

/// A warning for cables that lose too much, and one for lamps that get too little, each for all boxes.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    worst_of_kind(job, feeds, |studied| {
        let mut findings = Vec::new();
        for shortfall in &studied.shortfalls {
            let size = studied.study.size;
            let (kind, finding) = match shortfall {
                Shortfall::Drop { fixture, drop, most } => (0, Finding::new(
                    RULE.code,
                    Severity::Warning,
                    format!(
                        "{size} loses {drop} of {} on the way to {}, {} %",
                        studied.study.nominal,
                        lamp(job, studied, *fixture),
                        trimmed(100.0 * (*drop / studied.study.nominal), 1)
                    ),
                )
                .measured(drop, format!("at most {most}"))
                .key("feed.conductor")
                .key("feed.drop")),
                Shortfall::Volts { fixture, volts, least, broken } => (1, Finding::new(
                    RULE.code,
                    Severity::Warning,
                    format!(
                        "when the pack is nearly empty{}, {size} leaves {} {volts}; it needs {least}",
                        broken.map_or(String::new(), |k| format!(
                            " and segment {} of the loop is broken",
                            k + 1
                        )),
                        lamp(job, studied, *fixture)
                    ),
                )
                .measured(volts, format!("at least {least}"))
                .key("feed.conductor")
                .key("fixture.min-voltage")),
                Shortfall::Collapse { .. } | Shortfall::Fuse(_) => continue,
            };
            findings.push((kind, cable_rank(studied), thicker(finding, studied)));
        }
        findings
    })
}

/// Adds the thinnest size of the same series that serves, or the way round it.
pub(super) fn thicker(finding: Finding, studied: &Studied) -> Finding {
    match studied.feed.plan.thinnest(studied.study.size.series()) {
        Ok(serves) => finding.remedy("feed.conductor", format!("at least {}", serves.size)),
        Err(_) => finding.remedy(
            "feed.segments",
            "shorter, or fewer lamps on this box: no listed conductor is thick enough",
        ),
    }
}

/// The lamp by its trunk: `lamp 3 (Old Lime)`.
pub(super) fn lamp(job: &Job, studied: &Studied, fixture: usize) -> String {
    let trunk = studied.feed.fixtures.get(fixture).and_then(|&t| job.trunks.get(t));
    trunk.map_or_else(
        || format!("lamp {}", fixture + 1),
        |t| format!("lamp {} ({})", fixture + 1, t.name),
    )
}
