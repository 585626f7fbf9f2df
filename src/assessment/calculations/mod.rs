//! Every sum of a job: from the job and its plan to the pure functions of [`crate::engineering`], and
//! back to an account that can be redone by hand, the numbers that the sheet needs, and findings.
//!
//! Guarantees: a sum that cannot be done is absent with its reason; no number here is infinite or
//! undefined; trunks that are alike in everything that counts share one account. Not here: the
//! formulas themselves, and what is measured on solids.

pub mod boxed;
pub mod checked;
pub mod light;
pub mod lists;
pub mod power;
pub mod prints;
pub mod ring;
pub mod yoke;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::assessment::checks::Finding;
use crate::build::Made;
use crate::design::Plan;
use crate::engineering::account::Line;
use crate::engineering::fit::Foam;
use crate::engineering::strength::Print;
use crate::params::{Job, Trunk};
use crate::units::{Angle, Force, Illuminance, Length, Torque};

use self::boxed::BoxLoad;
use self::light::Light;
use self::lists::Lists;
use self::power::Power;
use self::prints::{Measured, Prints};
use self::ring::Ring;
use self::yoke::YokeSums;

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
pub struct TrunkAccount {
    /// Their names, in the order of the job.
    pub trunks: Vec<String>,
    /// Their sums.
    pub sections: Vec<Section>,
}

/// The account of a whole job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Account {
    /// What holds for the whole job.
    pub job: Vec<Section>,
    /// What depends on the trunk.
    pub trunks: Vec<TrunkAccount>,
}

/// The numbers of one trunk that a person mounts by; each is absent where its sum is.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Figures {
    /// Bearings of the lamps round the trunk, from the first.
    pub bearings: Vec<Angle>,
    /// Webbing to cut for each strap of the cradles.
    pub strap: Option<Length>,
    /// Webbing to cut for each of the two straps of the box.
    pub box_strap: Option<Length>,
    /// Least and most tension of a cradle strap; none when no tension serves.
    pub window: Option<[Force; 2]>,
    /// Tension to pull the cradle straps to.
    pub tension: Option<Force>,
    /// Tension to pull the straps of the box to.
    pub box_tension: Option<Force>,
    /// How that tension feels.
    pub feel: Option<String>,
    /// What the tilt scale must show.
    pub scale: Option<Angle>,
    /// Diameter of the lit spot at the crown's base.
    pub spot: Option<Length>,
    /// Light at the crown's base.
    pub light: Option<Illuminance>,
}

/// All sums of a job.
#[derive(Debug, Clone)]
pub struct Sums {
    /// The readable account.
    pub account: Account,
    /// The numbers of each trunk, in the order of the job.
    pub figures: Vec<Figures>,
    /// Least and most torque for each tilt screw; none when none holds.
    pub lock_torque: Option<[Torque; 2]>,
    /// What to buy and to cut.
    pub lists: Lists,
    /// What the engineering checks say.
    pub findings: Vec<Finding>,
    /// The electric sums.
    pub(crate) power: Power,
    /// Plastic and time of the prints.
    pub(crate) prints: Prints,
}

/// Why a sum has no result.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Absent {
    /// Not asked for, or told by another rule.
    Told(String),
    /// The lamps do not find room round the trunk.
    Crowded {
        /// The most lamps that do.
        most: u32,
        /// In words.
        why: String,
    },
    /// Nobody else tells it.
    Fault(String),
}

impl Absent {
    pub(crate) fn told(why: impl ToString) -> Self {
        Self::Told(why.to_string())
    }

    pub(crate) fn fault(why: impl ToString) -> Self {
        Self::Fault(why.to_string())
    }
}

impl std::fmt::Display for Absent {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Told(why) | Self::Fault(why) | Self::Crowded { why, .. } => f.write_str(why),
        }
    }
}

/// What all trunks of a job share.
pub(crate) struct Shared<'a> {
    pub(crate) job: &'a Job,
    pub(crate) plan: &'a Plan,
    pub(crate) foam: Result<Foam, Absent>,
    pub(crate) print: Print,
    pub(crate) prints: Prints,
    pub(crate) yoke: Result<YokeSums, Absent>,
    pub(crate) box_load: Option<Result<BoxLoad, Absent>>,
}

/// Everything that was found for trunks that are alike.
pub(crate) struct Group {
    /// Indices of the trunks.
    pub(crate) trunks: Vec<usize>,
    /// The cradles' ring of straps; none without cradles.
    pub(crate) cradle: Option<Result<Ring, Absent>>,
    /// The ring of one of the box's rails; none without a box.
    pub(crate) rail: Option<Result<Ring, Absent>>,
    /// Where the light goes; none without cradles.
    pub(crate) light: Option<Light>,
}

impl Sums {
    /// Every sum of a job that was planned and made, with what was measured on each part, in the
    /// order of the parts.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan, made: &[Made], measured: &[Measured]) -> Self {
        let print = Print::of(job);
        let prints = Prints::of(job, plan, made, measured);
        let box_load = plan.enclosure.as_ref().map(|e| BoxLoad::of(job, e, &prints));
        let shared = Shared {
            job,
            plan,
            foam: Foam::of(&job.pad).map_err(Absent::fault),
            print,
            yoke: YokeSums::of(job, plan, &print, &prints),
            prints,
            box_load,
        };
        let groups: Vec<Group> = alike(job, plan)
            .into_iter()
            .map(|trunks| {
                let trunk = trunks[0];
                let cradle = ring::cradle(&shared, trunk);
                let light =
                    cradle.as_ref().map(|ring| Light::of(&shared, trunk, ring.as_ref().ok()));
                Group { cradle, rail: ring::rail(&shared, trunk), light, trunks }
            })
            .collect();
        let power = Power::of(job, plan);

        let mut sections = vec![yoke::section(&shared)];
        sections.extend(power.sections(job));
        if let Some(enclosure) = &plan.enclosure {
            sections.push(boxed::seal_section(job, enclosure));
        }
        sections.push(shared.prints.section());
        let mut figures = vec![Figures::default(); job.trunks.len()];
        for group in &groups {
            let found = figures_of(&shared, group);
            for &trunk in &group.trunks {
                figures[trunk].clone_from(&found);
            }
        }
        let lists = Lists::of(job, plan, &figures, &power);
        let mut findings = shared.prints.findings.clone();
        findings.extend(checked::findings(&shared, &groups, &power));
        let trunks = groups.iter().map(|group| trunk_account(&shared, group)).collect();
        let locked = shared.yoke.as_ref().ok().and_then(|yoke| yoke.locked().ok());
        let lock_torque = locked
            .filter(|(_, found)| found.holds())
            .map(|(_, found)| [found.least_torque, found.most_torque]);
        Self {
            account: Account { job: sections, trunks },
            figures,
            lock_torque,
            lists,
            findings,
            power,
            prints: shared.prints,
        }
    }
}

/// Trunks that are alike in everything that counts, each group in the order of the job.
fn alike(job: &Job, plan: &Plan) -> Vec<Vec<usize>> {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, (trunk, gets)) in job.trunks.iter().zip(&plan.trunks).enumerate() {
        let plain = Trunk { name: String::new(), notes: None, ..trunk.clone() };
        let key = format!("{plain:?} {:?} {:?}", gets.cradle, gets.rail);
        let group = *seen.entry(key).or_insert_with(|| {
            groups.push(Vec::new());
            groups.len() - 1
        });
        groups[group].push(index);
    }
    groups
}

fn figures_of(shared: &Shared<'_>, group: &Group) -> Figures {
    let wish = shared.job.strap.tension;
    let cradle = group.cradle.as_ref().and_then(|r| r.as_ref().ok());
    let rail = group.rail.as_ref().and_then(|r| r.as_ref().ok());
    let window = cradle.and_then(|r| r.window.as_ref().ok());
    let tension = cradle.and_then(|r| r.tension(wish));
    let light = group.light.as_ref();
    Figures {
        bearings: cradle.map(|r| r.bearings.clone()).unwrap_or_default(),
        strap: cradle.map(|r| r.cut),
        box_strap: rail.map(|r| r.cut),
        window: window.filter(|w| w.is_open()).map(|w| [w.least, w.most]),
        tension,
        box_tension: rail.and_then(|r| r.tension(wish)),
        feel: tension.map(|t| {
            let hand = crate::engineering::hold::by_hand(t);
            format!("{}; {} on a luggage scale", hand.words, hand.scale)
        }),
        scale: light.and_then(|l| l.set),
        spot: light.and_then(|l| l.spot),
        light: light.and_then(|l| l.light),
    }
}

fn trunk_account(shared: &Shared<'_>, group: &Group) -> TrunkAccount {
    let mut sections = Vec::new();
    if let Some(cradle) = &group.cradle {
        sections.extend(ring::sections(shared, group.trunks[0], "cradle", cradle));
    }
    if let Some(light) = &group.light {
        sections.push(light.section.clone());
    }
    if let Some(rail) = &group.rail {
        sections.extend(ring::sections(shared, group.trunks[0], "rail of the box", rail));
    }
    let name = |&t: &usize| shared.job.trunks[t].name.clone();
    TrunkAccount { trunks: group.trunks.iter().map(name).collect(), sections }
}

#[cfg(test)]
pub(crate) mod tests;
