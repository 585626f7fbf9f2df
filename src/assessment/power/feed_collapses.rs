//! Loads that no voltage can feed through the cable.

use super::feeds::Studied;
use super::wire_too_thin::thicker;
use super::{cable_rank, feeds, worst_of_kind};
use crate::assessment::Subject;
use crate::engineering::feed::Shortfall;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::trimmed;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "feed-collapses",
    title: "battery and cable can bring the power that the lamps ask for",
    why: "a switching driver draws more current as its volts fall; past a point the volts run away \
          downward, and the whole feed blinks or stays dark",
    formula: "V = EMF - Z P/V must have a solution; for one lamp P <= EMF^2/(4 R)",
    source: "maximum power theorem; monotone Newton iteration (Ortega and Rheinboldt 1970, 13.3)",
    cure: "a thicker conductor, fewer lamps on the box, or a higher battery voltage",
};

/// An error for feeds without a working point; a warning when only a broken loop has none.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    worst_of_kind(job, feeds, |studied| {
        let mut findings = Vec::new();
        for shortfall in &studied.shortfalls {
            let Shortfall::Collapse { load_factor, broken } = shortfall else { continue };
            let share = format!("{} %", trimmed(100.0 * load_factor, 1));
            let state = broken
                .map_or(String::new(), |k| format!(" with segment {} of the loop broken", k + 1));
            let message = format!(
                "{}{state} carries only {share} of the power of {} lamps of {}; their voltage collapses",
                studied.study.size,
                studied.feed.fixtures.len(),
                job.fixture.power
            );
            let severity = if broken.is_some() { Severity::Warning } else { Severity::Error };
            let finding = Finding::new(RULE.code, severity, message)
                .measured(share, "at least 100 %")
                .key("feed.conductor")
                .key("fixture.power")
                .key("battery.voltage");
            findings.push((
                u8::from(broken.is_some()),
                cable_rank(studied),
                thicker(job, finding, studied),
            ));
        }
        findings
    })
}
