//! Cables that lose too much on the way to the lamps.

use super::feeds::Studied;
use super::{cable_rank, feeds, worst_of_kind};
use crate::assessment::Subject;
use crate::bisection::border;
use crate::engineering::feed::{Plan, Shortfall, Supply};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Battery, Job};
use crate::standards::ConductorSize;
use crate::units::{Length, Voltage, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "wire-too-thin",
    title: "the cable leaves every lamp enough volts",
    why: "the last lamp on a thin cable is dimmer than the first, flickers, or goes out first when \
          the pack runs down",
    formula: "drop = sum of I_k R_k from the box to the lamp, R = 2 L r20 (230 + t)/250; at most \
              feed.drop x battery.voltage, and with the charge drawn that the runtime draws at least \
              fixture.min-voltage; a loop keeps the lamps' least voltage with any one segment broken; \
              the drop alone is a note where fixture.min-voltage is written and holds",
    source: "Kirchhoff's laws; IEC 60228 resistances; discharge curves of the battery table; 5 % for \
             extra-low-voltage lighting from IEC 60364-7-715 (from memory)",
    cure: "a thicker conductor, shorter segments, a loop, or a pack of more cells",
};

/// A warning for cables that lose too much (a note where the lamps' own least voltage is known), and one
/// for lamps that get too little, each for all boxes.
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
                    if studied.feed.plan.is_by_choice(shortfall) {
                        Severity::Note
                    } else {
                        Severity::Warning
                    },
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
                        "when the pack is drawn as far as planned{}, {size} leaves {} {volts}; it needs {least}",
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
            findings.push((kind, cable_rank(studied), thicker(job, finding, studied)));
        }
        findings
    })
}

/// Adds the thinnest size of the same series that serves, or what is wrong where none does: pack and
/// lamp, when even the terminals have too little, else the row.
pub(super) fn thicker(job: &Job, finding: Finding, studied: &Studied) -> Finding {
    let plan = &studied.feed.plan;
    let series = studied.study.size.series();
    match plan.thinnest(series) {
        Ok(serves) if serves.size > studied.study.size => {
            finding.remedy("feed.conductor", format!("at least {}", serves.size))
        }
        // Only the wished drop is missed, and by every size.
        Ok(_) => finding,
        Err(_) => {
            let mut finding = finding;
            if let Some(volts) = voltage_that_serves(plan, series) {
                let most = job.fixture.max_voltage.zip(job.battery.as_ref());
                let full = |b: &Battery| b.chemistry.pack_full(volts);
                if most.is_none_or(|(most, battery)| full(battery) <= most) {
                    finding = finding.remedy("battery.voltage", format!("at least {volts}"));
                }
            }
            let written = job.feed.segments.as_ref().is_some_and(|list| list.len() == 1);
            match length_that_serves(plan, series) {
                Some(share) if written => {
                    let all = job.feed.segments.iter().flatten().copied();
                    let metres = (all.fold(Length::ZERO, Length::max) * share).in_metres();
                    let shorter = (metres * 10.0).floor() / 10.0;
                    if shorter > 0.05 {
                        finding = finding.remedy("feed.segments", format!("at most {shorter} m"));
                    }
                    finding
                }
                Some(share) => {
                    let percent = (share * 100.0).floor();
                    finding.remedy(
                        "feed.segments",
                        format!("shorter, to {percent} % of the way, or fewer lamps on this box"),
                    )
                }
                None => finding.remedy(
                    "fixture.min-voltage",
                    "a lamp that works at less, or a pack of more cells: no cable, however short, serves",
                ),
            }
        }
    }
}

/// The least nominal voltage, on the same cells, at which some size serves.
fn voltage_that_serves(plan: &Plan, series: &[ConductorSize]) -> Option<Voltage> {
    let supply = plan.supply;
    let raised = |factor: f64| {
        let scaled = Supply {
            nominal: supply.nominal * factor,
            cutoff: supply.cutoff * factor,
            spent: supply.spent * factor,
            ..supply
        };
        Plan { supply: scaled, ..plan.clone() }
    };
    let most = MOST_VOLTAGE / supply.nominal;
    let serves = |factor: f64| raised(factor).thinnest(series).is_ok();
    if most <= 1.0 || !serves(most) {
        return None;
    }
    let [_, least] = border(1.0, most, HALVINGS, |factor| !serves(factor));
    // Upward to a tenth of a volt.
    let volts = (supply.nominal.get() * least * 10.0).ceil() / 10.0;
    Some(Voltage::volts(volts))
}

/// The largest share of the cables' lengths at which some size serves.
fn length_that_serves(plan: &Plan, series: &[ConductorSize]) -> Option<f64> {
    let scaled = |share: f64| Plan {
        lengths: plan.lengths.iter().map(|&l| l * share).collect(),
        back: plan.back * share,
        ..plan.clone()
    };
    let serves = |share: f64| scaled(share).thinnest(series).is_ok();
    if !serves(LEAST_SHARE) {
        return None;
    }
    Some(border(LEAST_SHARE, 1.0, HALVINGS, serves)[0])
}

/// Extra-low voltage ends here (IEC 60364-4-41, from memory), and the job file with it.
const MOST_VOLTAGE: Voltage = Voltage::volts(60.0);
/// Cables shorter than this share of the written ones are none.
const LEAST_SHARE: f64 = 0.01;
/// Halvings of either search: a thousandth of the way.
const HALVINGS: usize = 12;

/// The lamp by its trunk: `lamp 3 (Old Lime)`.
pub(in crate::assessment) fn lamp(job: &Job, studied: &Studied, fixture: usize) -> String {
    let trunk = studied.feed.fixtures.get(fixture).and_then(|&t| job.trunks.get(t));
    trunk.map_or_else(
        || format!("lamp {}", fixture + 1),
        |t| format!("lamp {} ({})", fixture + 1, t.name),
    )
}
