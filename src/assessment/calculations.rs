//! Every calculation of a job: from the job and its plan to the pure functions of [`crate::engineering`],
//! and back to a report that can be redone by hand, and the numbers that the sheet and the rules need.
//!
//! Guarantees: a calculation that cannot be done is absent with its reason; no number here is infinite
//! or undefined; trunks that are alike in everything that counts share one report. Not here: the
//! formulas themselves, and what is measured on solids.

use std::collections::BTreeMap;

use serde::Serialize;

use super::enclosure::{BoxLoad, stand};
use super::hold::{self, Course, PadState, Ring};
use super::light::{self, Light};
use super::link;
use super::lists::Lists;
use super::power::Power;
use super::prints::{Measured, Prints};
use super::seal;
use super::yoke::{self, Yoke};
use crate::build::BuiltPart;
use crate::design::{Plan, job_inputs};
use crate::engineering::account::Line;
use crate::engineering::strength::Print;
use crate::params::{Job, TightenerKind, Trunk};
use crate::units::{Angle, Force, Illuminance, Length, Torque};

/// Sums that belong together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Section {
    /// What they are about.
    pub title: String,
    /// The sums.
    pub lines: Vec<Line>,
    /// Why a sum is absent, one phrase each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub absent: Vec<String>,
}

impl Section {
    pub(crate) fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), lines: Vec::new(), absent: Vec::new() }
    }

    /// Adds lines, or the reason why there are none.
    pub(crate) fn take(&mut self, lines: Result<Vec<Line>, impl ToString>) {
        match lines {
            Ok(lines) => self.lines.extend(lines),
            Err(why) => self.absent.push(why.to_string()),
        }
    }
}

/// The sums of trunks that are alike in everything that counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrunkReport {
    /// Their names, in the order of the job.
    pub trunks: Vec<String>,
    /// Their sums.
    pub sections: Vec<Section>,
}

/// The report on a whole job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalculationReport {
    /// What holds for the whole job.
    pub job: Vec<Section>,
    /// What depends on the trunk.
    pub trunks: Vec<TrunkReport>,
}

/// The numbers of one trunk that a person mounts by; each is absent where its sum is.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct TrunkResults {
    /// Bearings of the lamps round the trunk, from the first.
    pub bearings: Vec<Angle>,
    /// Webbing to cut for each strap of the cradles.
    pub strap: Option<Length>,
    /// How many straps the cradles have.
    pub straps: u32,
    /// Bare bark under each of them, which takes a sleeve.
    pub sleeve: Option<Length>,
    /// Webbing to cut for each strap of the box.
    pub box_strap: Option<Length>,
    /// How many straps the box has, those of both rails.
    pub box_straps: u32,
    /// Bare bark under each of them.
    pub box_sleeve: Option<Length>,
    /// Least and most tension of a cradle strap; none when no tension serves.
    pub window: Option<[Force; 2]>,
    /// Tension to pull the cradle straps to.
    pub tension: Option<Force>,
    /// How the cradle's pad lies then.
    pub pad: Option<PadState>,
    /// What becomes of the tension over the season.
    pub course: Option<Course>,
    /// The girth of a round trunk as round as this one where the cradle sits.
    pub as_round_as: Option<Length>,
    /// Tension to pull the straps of the box to.
    pub box_tension: Option<Force>,
    /// How that tension feels.
    #[serde(rename = "feel")]
    pub tension_hint: Option<String>,
    /// What the tilt scale must show, the sag of the foam in it.
    pub scale: Option<Angle>,
    /// Diameter of the lit spot at the crown's base.
    pub spot: Option<Length>,
    /// Light at the crown's base.
    pub light: Option<Illuminance>,
}

/// All calculations of a job.
#[derive(Debug, Clone)]
pub struct Calculations {
    /// The readable report.
    pub report: CalculationReport,
    /// The numbers of each trunk, in the order of the job.
    pub results: Vec<TrunkResults>,
    /// Least and most torque for each tilt screw; none when none holds.
    pub lock_torque: Option<[Torque; 2]>,
    /// What to buy and to cut.
    pub lists: Lists,
    /// The electric calculations.
    pub(crate) power: Power,
    /// Plastic and time of the prints.
    pub(crate) prints: Prints,
    /// What the parts are printed from.
    pub(super) print: Print,
    /// Ears and tilt lock.
    pub(super) yoke: Result<Yoke, Unavailable>,
    /// Trunks that are alike.
    pub(super) groups: Vec<Group>,
}

/// Why a calculation has no result.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Unavailable {
    /// Not asked for, or reported by another rule.
    ReportedElsewhere(String),
    /// The lamps do not find room round the trunk.
    NoRoom {
        /// The most lamps that do.
        most: u32,
        /// In words.
        why: String,
    },
    /// No other rule reports this.
    Failed(String),
}

impl Unavailable {
    pub(crate) fn elsewhere(why: impl ToString) -> Self {
        Self::ReportedElsewhere(why.to_string())
    }

    pub(crate) fn failed(why: impl ToString) -> Self {
        Self::Failed(why.to_string())
    }
}

impl std::fmt::Display for Unavailable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::ReportedElsewhere(why) | Self::Failed(why) | Self::NoRoom { why, .. } => {
                f.write_str(why)
            }
        }
    }
}

/// What all trunks of a job share.
pub(crate) struct Shared<'a> {
    pub(crate) job: &'a Job,
    pub(crate) plan: &'a Plan,
    pub(crate) print: Print,
    pub(crate) prints: Prints,
    pub(crate) yoke: Result<Yoke, Unavailable>,
    pub(crate) box_load: Option<Result<BoxLoad, Unavailable>>,
}

/// Everything that was found for trunks that are alike.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    /// Indices of the trunks.
    pub(crate) trunks: Vec<usize>,
    /// The cradles' ring of straps; `None` without cradles.
    pub(crate) cradle: Option<Result<Ring, Unavailable>>,
    /// The ring of one of the box's rails; `None` without a box.
    pub(crate) rail: Option<Result<Ring, Unavailable>>,
    /// Where the light goes; `None` without cradles.
    pub(crate) light: Option<Light>,
}

impl Calculations {
    /// Every calculation of a job that was planned and built, with what was measured on each part, in
    /// the order of the parts.
    #[must_use]
    pub fn new(job: &Job, plan: &Plan, parts: &[BuiltPart], measured: &[Measured]) -> Self {
        let print = job_inputs::print(job);
        let prints = Prints::of(job, parts, measured);
        let box_load = plan.enclosure.as_ref().map(|e| BoxLoad::of(job, e, &prints));
        let shared = Shared {
            job,
            plan,
            print,
            yoke: Yoke::of(job, plan, &print, &prints),
            prints,
            box_load,
        };
        let groups: Vec<Group> = group_equivalent_trunks(job, plan)
            .into_iter()
            .map(|trunks| {
                let trunk = trunks[0];
                let cradle = hold::cradle(&shared, trunk);
                let light =
                    cradle.as_ref().map(|ring| Light::of(&shared, trunk, ring.as_ref().ok()));
                Group { cradle, rail: hold::rail(&shared, trunk), light, trunks }
            })
            .collect();
        let power = Power::of(job, plan);

        let mut sections = vec![yoke::section(&shared), yoke::falls::section(&shared)];
        sections.extend(power.sections(job));
        sections.extend(link::section(job));
        sections.extend(light::windows(job, &groups));
        if let Some(enclosure) = &plan.enclosure {
            let nights = power.nights.iter().flatten();
            let swaps = nights.map(|(_, night)| night.charges).sum();
            sections.push(seal::section(job, enclosure, swaps));
            sections.extend(stand(enclosure, &shared.print));
        }
        sections.push(shared.prints.section());
        let mut results = vec![TrunkResults::default(); job.trunks.len()];
        for group in &groups {
            let found = results_of(job, group);
            for &trunk in &group.trunks {
                results[trunk].clone_from(&found);
            }
        }
        let lists = Lists::of(job, plan, &results, &power);
        let trunks = groups.iter().map(|group| trunk_report(&shared, group)).collect();
        let locked = shared.yoke.as_ref().ok().and_then(|yoke| yoke.locked().ok());
        let lock_torque = locked
            .filter(|(_, found)| found.holds())
            .map(|(_, found)| [found.least_torque, found.most_torque]);
        let Shared { print, prints, yoke, .. } = shared;
        let report = CalculationReport { job: sections, trunks };
        Self { report, results, lock_torque, lists, power, prints, print, yoke, groups }
    }
}

/// Trunks that are alike in everything that counts, each group in the order of the job.
fn group_equivalent_trunks(job: &Job, plan: &Plan) -> Vec<Vec<usize>> {
    let plain = |t: &Trunk| Trunk { name: String::new(), notes: None, ..t.clone() };
    let plain: Vec<Trunk> = job.trunks.iter().map(plain).collect();
    let gets = |t: usize| (plan.trunks[t].cradle, plan.trunks[t].rail);
    let alike = |a: usize, b: usize| plain[a] == plain[b] && gets(a) == gets(b);
    // Only trunks of one girth are compared.
    let mut by_girth: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (trunk, own) in plain.iter().enumerate() {
        let near = by_girth.entry(own.girth.get().to_bits()).or_default();
        match near.iter().copied().find(|&group| alike(groups[group][0], trunk)) {
            Some(group) => groups[group].push(trunk),
            None => {
                near.push(groups.len());
                groups.push(vec![trunk]);
            }
        }
    }
    groups
}

fn results_of(job: &Job, group: &Group) -> TrunkResults {
    let cradle = group.cradle.as_ref().and_then(|r| r.as_ref().ok());
    let rail = group.rail.as_ref().and_then(|r| r.as_ref().ok());
    let tension = cradle.and_then(Ring::aim);
    let light = group.light.as_ref();
    TrunkResults {
        bearings: cradle.map(|r| r.bearings.clone()).unwrap_or_default(),
        strap: cradle.map(|r| r.cut),
        straps: cradle.map_or(0, Ring::straps),
        sleeve: cradle.and_then(Ring::sleeve),
        box_strap: rail.map(|r| r.cut),
        box_straps: 2 * rail.map_or(0, Ring::straps),
        box_sleeve: rail.and_then(Ring::sleeve),
        window: tension.and(cradle.and_then(|r| r.window)).map(|w| [w.least, w.most]),
        pad: tension.and(cradle).and_then(Ring::pad),
        course: tension.and(cradle).and_then(|r| r.course(job, &job.trunks[group.trunks[0]])),
        as_round_as: cradle.map(Ring::as_round_as),
        tension,
        box_tension: rail.and_then(Ring::aim),
        tension_hint: tension.map(|t| {
            let hand = crate::engineering::hold::by_hand(t);
            let most = cradle.and_then(|r| r.window).map_or(t, |w| w.most);
            let words = match job.strap.tightened_by() {
                TightenerKind::Cam => hand.words.to_owned(),
                TightenerKind::Ratchet => format!(
                    "with the ratchet, a tooth at a time, never past {most:.0}: a ratchet soon bruises bark"
                ),
            };
            format!("{words}; {} on a luggage scale", hand.scale)
        }),
        scale: light.and_then(|l| l.set).map(|set| {
            // The foam gives under the lamp's weight, so the scale is set higher by as much.
            let sag = tension.and(cradle).and_then(Ring::pad).map_or(Angle::ZERO, |p| p.sag);
            let (raised, top) = (set + sag, job.tilt.max);
            if raised > top { top } else { raised }
        }),
        spot: light.and_then(|l| l.spot),
        light: light.and_then(|l| l.light),
    }
}

fn trunk_report(shared: &Shared<'_>, group: &Group) -> TrunkReport {
    let mut sections = Vec::new();
    if let Some(cradle) = &group.cradle {
        sections.extend(hold::sections(shared, group.trunks[0], "cradle", cradle));
    }
    if let Some(light) = &group.light {
        sections.push(light.section.clone());
    }
    if let Some(rail) = &group.rail {
        sections.extend(hold::sections(shared, group.trunks[0], "rail of the box", rail));
    }
    let name = |&t: &usize| shared.job.trunks[t].name.clone();
    TrunkReport { trunks: group.trunks.iter().map(name).collect(), sections }
}
