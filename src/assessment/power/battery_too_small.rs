//! Packs that are empty before the evening is over.

use super::feeds::{self, Studied};
use super::likewise;
use crate::assessment::Subject;
use crate::engineering::runtime::{Runtime, lamps, runtime};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Charge, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "battery-too-small",
    title: "one pack lasts the evenings between two swaps",
    why: "a light that dies in mid-programme means a ladder in the dark",
    formula: "sum over the parts of I h/(C x usable x ageing x f(cold) x Peukert), for each of programme.nights, \
              and (standby + idle)/V between them, at most 1; I = (level x lamps/efficiency + standby)/V",
    source: "Peukert's law in reference-hour form (Battery University BU-503); cold from BU-502 and \
             makers' tables",
    cure: "a larger pack, lower levels, shorter parts, or a swap on more evenings",
};

/// Steps of pack sizes that a remedy rounds up to, Ah.
const PACK_STEP: f64 = 0.5;

/// One warning for all feeds that outlast their packs.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, super::feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    let Some(battery) = &job.battery else { return Vec::new() };
    let pack = feeds::pack(battery);
    let asked = job.programme.nights.unwrap_or(1);
    let nights = f64::from(asked);
    // What the pack gives until it is swapped: the shows, and the days between them.
    let drawn = |runtime: &Runtime| runtime.share * nights + runtime.dark * (nights - 1.0);
    // The feeds that need more than one pack, each with its runtime.
    let mut short: Vec<(&Studied, Runtime)> = Vec::new();
    for studied in feeds {
        // A feed without a working point is reported by `feed-collapses`.
        let Some(lamps) = lamps(&studied.study) else { continue };
        match runtime(
            &pack,
            &feeds::programme(job, studied.feed.fixtures.len(), lamps),
            job.site.cold,
        ) {
            Ok(runtime) if drawn(&runtime) > 1.0 + 1e-9 => short.push((studied, runtime)),
            Ok(_) => {}
            // Cells beyond the table are reported by `cells-too-cold`; contradictions remain, and
            // they are the same on every feed.
            Err(error) => {
                return vec![
                    Finding::new(RULE.code, Severity::Warning, format!("no runtime: {error}"))
                        .key("programme.part")
                        .key("site.cold"),
                ];
            }
        }
    }
    let Some((worst, runtime)) = short.iter().max_by(|a, b| drawn(&a.1).total_cmp(&drawn(&b.1)))
    else {
        return Vec::new();
    };
    let needed = pack.capacity * drawn(runtime);
    let needed = Charge::amp_hours((needed.get() / PACK_STEP).ceil() * PACK_STEP);
    let boxes = short.iter().map(|(studied, _)| *studied);
    let place = likewise(job, feeds, worst, boxes);
    let message = match runtime.empty_after {
        Some(t) => format!(
            "the pack of {} is empty after {t} of an evening of {}, at {}{place}",
            battery.capacity, runtime.evening, job.site.cold
        ),
        None => format!(
            "the pack of {} lasts {} evenings, not {}{place}",
            battery.capacity, runtime.nights_per_charge, asked
        ),
    };
    let share = trimmed(100.0 * drawn(runtime), 1);
    vec![
        Finding::new(RULE.code, Severity::Warning, message)
            .measured(format!("{share} % of a pack"), "at most 100 %")
            .key("battery.capacity")
            .key("programme.part")
            .key("programme.nights")
            .remedy("battery.capacity", format!("at least {needed}")),
    ]
}
