//! Packs that are empty before the evening is over.

use super::feeds::{self, Studied};
use crate::assessment::Subject;
use crate::engineering::runtime::{charge_for_one_evening, lamps, runtime};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Charge, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "battery-too-small",
    title: "one pack lasts the evenings between two swaps",
    why: "a light that dies in mid-programme means a ladder in the dark",
    formula: "sum over the parts of I h/(C x usable x ageing x f(cold) x Peukert), times programme.nights, \
              at most 1; I = (level x lamps/efficiency + standby)/V",
    source: "Peukert's law in reference-hour form (Battery University BU-503); cold from BU-502 and \
             makers' tables",
    cure: "a larger pack, lower levels, shorter parts, or a swap on more evenings",
};

/// Steps of pack sizes that a remedy rounds up to, Ah.
const STEP: f64 = 0.5;

/// A warning for each feed that outlasts its pack.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, super::feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    let Some(battery) = &job.battery else { return Vec::new() };
    let pack = feeds::pack(battery);
    let mut findings = Vec::new();
    for studied in feeds {
        // Without a working point `feed-collapses` speaks.
        let Some(lamps) = lamps(&studied.study) else { continue };
        let found = match runtime(&pack, &feeds::programme(job, lamps), job.site.cold) {
            Ok(found) => found,
            // Cells beyond the table are told by `cells-too-cold`; what is left are contradictions.
            Err(e) => {
                findings.push(
                    Finding::new(RULE.code, Severity::Warning, format!("no runtime: {e}"))
                        .key("programme.part")
                        .key("site.cold"),
                );
                continue;
            }
        };
        let nights = job.programme.nights;
        let share = found.share * f64::from(nights);
        if share <= 1.0 + 1e-9 {
            continue;
        }
        let needed = charge_for_one_evening(&pack, &found) * f64::from(nights);
        let needed = Charge::amp_hours((needed.get() / STEP).ceil() * STEP);
        let message = match found.empty_after {
            Some(t) => format!(
                "the pack of {} is empty after {t} of an evening of {}, at {}",
                battery.capacity, found.evening, job.site.cold
            ),
            None => format!(
                "the pack of {} lasts {} evenings, not {nights}",
                battery.capacity, found.nights_per_charge
            ),
        };
        findings.push(
            Finding::new(RULE.code, Severity::Warning, message)
                .measured(format!("{} % of a pack", trimmed(100.0 * share, 1)), "at most 100 %")
                .key("battery.capacity")
                .key("programme.part")
                .key("programme.nights")
                .remedy("battery.capacity", format!("at least {needed}")),
        );
    }
    findings
}
