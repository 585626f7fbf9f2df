//! The feeds of a job: which lamps hang on which box, over which cables.
//!
//! Lamps follow each other in the order of the job file, each trunk's together. Every trunk that
//! carries a box begins a feed; lamps before the first such trunk belong to the first box, which then
//! stands within its row: a chain leaves it both ways, a loop passes it on the way out. With a battery
//! and no box trunk there is one feed.
//!
//! Cables: what the job writes is law. One `feed.segments` holds between neighbouring trunks, a list
//! between neighbouring lamps; what lies on one trunk comes from
//! [`cable_lengths`](crate::design::cable_lengths). A return that is not written runs back along the
//! row, or on round the trunk.

use crate::design::Plan as JobPlan;
use crate::design::cable_lengths::{OnTrunk, on_trunk};
use crate::engineering::account::Line;
use crate::engineering::feed::{
    FeedError, FeedLayout, Load, NoSize, Plan, Shortfall, Study, Supply,
};
use crate::engineering::runtime::{self, Pack, Programme, Runtime, Stretch};
use crate::params::{Battery, Job, LoadKind, ProgrammePart};
use crate::standards::{ConductorSize, FuseKind, Strands};
use crate::units::{Current, Hours, Length, Power, Resistance, Voltage};

/// One box and the lamps that it feeds.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Feed {
    /// Index of the trunk that carries the box, if the job names one.
    pub(crate) trunk: Option<usize>,
    /// For each fixture, in the order along the cable, the index of its trunk.
    pub(crate) fixtures: Vec<usize>,
    /// The feed's plan.
    pub(crate) plan: Plan,
    /// How lengths on the box's trunk came about, where the job does not write them.
    pub(crate) lengths: Vec<Line>,
}

/// The job's cable lengths do not fit its fixtures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "feed.segments has {have} lengths; give one for all, or {need}, one between each two neighbours"
)]
pub(crate) struct SegmentMismatch {
    /// Lengths given.
    pub(crate) have: usize,
    /// Lengths needed.
    pub(crate) need: usize,
}

/// A feed with its cable: the job's own, else the thinnest that serves, else the thickest there is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Studied {
    /// Box, lamps and plan.
    pub(crate) feed: Feed,
    /// The cable and all that follows from it.
    pub(crate) study: Study,
    /// What the cable fails to give.
    pub(crate) shortfalls: Vec<Shortfall>,
}

/// Why a job's feeds cannot be studied.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum StudyError {
    /// The lengths do not fit the fixtures.
    #[error(transparent)]
    Segments(#[from] SegmentMismatch),
    /// A number outside its range.
    #[error(transparent)]
    Feed(#[from] FeedError),
}

/// Every feed of the job, studied.
///
/// # Errors
/// [`StudyError`]; a job that was read without a mistake gives none.
pub(crate) fn studied(job: &Job, job_plan: &JobPlan) -> Result<Vec<Studied>, StudyError> {
    let study = |feed: Feed| {
        let plan = &feed.plan;
        let (study, shortfalls) = match job.feed.conductor {
            Some(size) => {
                let study = plan.study(size)?;
                let shortfalls = plan.shortfalls(&study);
                (study, shortfalls)
            }
            // Rather one whose cord goes through the glands.
            None => match plan
                .thinnest(&through_glands(job))
                .or_else(|_| plan.thinnest(ConductorSize::strong_enough()))
            {
                Ok(study) => {
                    let by_choice = plan.shortfalls(&study);
                    (study, by_choice)
                }
                Err(NoSize::TooThin { thickest, shortfalls }) => (*thickest, shortfalls),
                Err(NoSize::Feed(e)) => return Err(e.into()),
            },
        };
        Ok(Studied { feed, study, shortfalls })
    };
    feeds(job, job_plan)?.into_iter().map(study).collect()
}

/// Between trunks where nothing is written: avenue trees stand about this far apart. Common practice,
/// no source.
const BETWEEN_TRUNKS: Length = Length::mm(8_000.0);
/// From a supply that hangs on no trunk to the first lamp. Common practice, no source.
const FROM_SUPPLY: Length = Length::mm(3_000.0);

/// The sizes to choose from whose cord some gland of the box takes.
fn through_glands(job: &Job) -> Vec<ConductorSize> {
    let goes = |size: &ConductorSize| {
        let [thin, thick] = job.feed.cable_diameter.map_or(size.cord(), |d| [d, d]);
        let takes = |[least, most]: [Length; 2]| thin >= least && thick <= most;
        job.glands.iter().any(|gland| takes(gland.size.cable()))
    };
    ConductorSize::strong_enough().iter().copied().filter(goes).collect()
}

/// The feeds of a job; none without a battery or without fixtures.
///
/// # Errors
/// [`SegmentMismatch`] when `feed.segments` is neither one length nor one for each gap.
fn feeds(job: &Job, job_plan: &JobPlan) -> Result<Vec<Feed>, SegmentMismatch> {
    let Some(battery) = &job.battery else { return Ok(Vec::new()) };
    let mut groups: Vec<(Option<usize>, Vec<usize>)> = vec![(None, Vec::new())];
    for (index, trunk) in job.trunks.iter().enumerate() {
        if trunk.carries_box {
            match groups.last_mut() {
                Some((box_trunk @ None, _)) => *box_trunk = Some(index),
                _ => groups.push((Some(index), Vec::new())),
            }
        }
        if let Some((_, fixtures)) = groups.last_mut() {
            fixtures.extend((0..trunk.fixtures).map(|_| index));
        }
    }
    groups.retain(|(_, fixtures)| !fixtures.is_empty());

    let neighbours = |fixtures: &[usize]| -> Vec<[usize; 2]> {
        fixtures.windows(2).map(|pair| [pair[0], pair[1]]).collect()
    };
    let pairs = groups.iter().flat_map(|(_, fixtures)| neighbours(fixtures));
    let (need, any_apart) = pairs.fold((0, false), |(n, apart), [a, b]| (n + 1, apart || a != b));
    let mut written: Box<dyn Iterator<Item = Option<Length>>> = match job.feed.segments.as_deref() {
        Some(list) if list.len() == need && need > 1 => Box::new(list.iter().copied().map(Some)),
        Some([all]) if !any_apart => Box::new(std::iter::repeat(Some(*all))),
        None | Some([_]) => Box::new(std::iter::repeat(None)),
        Some(list) => return Err(SegmentMismatch { have: list.len(), need }),
    };
    let between_trunks =
        job.feed.segments.as_ref().and_then(|list| list.first().copied()).unwrap_or(BETWEEN_TRUNKS);
    let made = groups.into_iter().map(|(trunk, fixtures)| {
        let gap = |[a, b]: [usize; 2]| match written.next().flatten() {
            Some(length) => length,
            None if a == b => on_trunk(job, job_plan, a).lamp_to_lamp,
            None => between_trunks,
        };
        let gaps = neighbours(&fixtures).into_iter().map(gap).collect();
        let here = trunk.map(|t| on_trunk(job, job_plan, t));
        let lines = here.filter(|_| fixtures.iter().any(|&t| Some(t) == trunk)).map(|h| h.lines());
        let lengths = lines.map_or(Vec::new(), Vec::from);
        let row = Row { trunk, fixtures, gaps, between_trunks };
        let (fixtures, cables) = row.cables(job, here);
        Feed { trunk, fixtures, plan: plan(job, battery, cables), lengths }
    });
    Ok(made.collect())
}

/// The lamps of one box in the order of the row, and the cables between neighbours.
struct Row {
    trunk: Option<usize>,
    fixtures: Vec<usize>,
    gaps: Vec<Length>,
    between_trunks: Length,
}

/// The cables of one feed, as the plan of [`crate::engineering::feed`] takes them.
struct Cables {
    lengths: Vec<Length>,
    back: Length,
    apart: Option<usize>,
}

impl Row {
    /// The lamps in the order along the cable, and the cables.
    fn cables(self, job: &Job, here: Option<OnTrunk>) -> (Vec<usize>, Cables) {
        let Self { trunk, mut fixtures, mut gaps, between_trunks } = self;
        let is_home = |t: &usize| Some(*t) == trunk;
        let own = fixtures.iter().any(is_home);
        // Without a lamp above it the box is a trunk of the row like another.
        let apart = if own || trunk.is_none() { Length::ZERO } else { between_trunks };
        let lead = job.feed.lead.unwrap_or_else(|| here.map_or(FROM_SUPPLY, |h| h.box_to_lamp));
        let lead = lead + apart;
        // Lamps before the box in the row; a box at its end is one at the beginning, seen from there.
        let mut before = fixtures.iter().take_while(|t| trunk.is_some_and(|h| **t < h)).count();
        if before == fixtures.len() {
            fixtures.reverse();
            gaps.reverse();
            before = 0;
        }
        let walk = |from: usize, to: usize, gaps: &[Length]| {
            gaps[from..to].iter().copied().sum::<Length>()
        };
        let last = fixtures.len() - 1;
        let last_own = fixtures.iter().rposition(is_home).unwrap_or(before);
        let all_here = fixtures.iter().all(is_home);
        let return_here = here.filter(|_| all_here).map(|h| h.last_to_box);
        // Along the row, from its last lamp to the box.
        let along = lead + walk(last_own, last, &gaps);
        if before > 0 && before < fixtures.len() && job.feed.layout == FeedLayout::Chain {
            // Both ways: out from the box to the end of the row, and from its beginning to the box.
            let whole: Length = gaps.iter().copied().sum();
            let near = if own { gaps[before - 1] } else { Length::ZERO };
            let mut lengths = vec![lead];
            lengths.extend(gaps.split_off(before));
            lengths.push(whole);
            gaps.truncate(before - 1);
            lengths.extend(gaps);
            fixtures.rotate_left(before);
            let second = fixtures.len() - before;
            return (fixtures, Cables { lengths, back: lead + near, apart: Some(second) });
        }
        // A loop goes to the row's beginning first.
        let first = lead + walk(0, before, &gaps);
        let back = job.feed.back.or(return_here).unwrap_or(along);
        let mut lengths = vec![first];
        lengths.append(&mut gaps);
        (fixtures, Cables { lengths, back, apart: None })
    }
}

/// What one fixture draws at full level.
#[must_use]
fn load(job: &Job, battery: &Battery) -> Load {
    match job.fixture.load {
        LoadKind::ConstantPower => Load::Power(job.fixture.power),
        // A linear driver is rated at the nominal voltage.
        LoadKind::ConstantCurrent => {
            Load::Current(Current::amps(job.fixture.power.get() / battery.voltage.get()))
        }
    }
}

fn plan(job: &Job, battery: &Battery, cables: Cables) -> Plan {
    let cutoff = battery.cutoff.unwrap_or_else(|| battery.chemistry.pack_cutoff(battery.voltage));
    Plan {
        layout: job.feed.layout,
        loads: vec![load(job, battery); cables.lengths.len()],
        lengths: cables.lengths,
        back: cables.back,
        apart: cables.apart,
        supply: Supply {
            nominal: battery.voltage,
            resistance: battery.resistance,
            cutoff,
            spent: battery.chemistry.pack_left(battery.voltage, 1.0 - usable(battery)),
            standby: job.controller.as_ref().map_or(Power::ZERO, |c| c.standby),
            efficiency: job.controller.as_ref().map_or(1.0, |c| c.efficiency),
        },
        drop: job.feed.drop,
        least: job.fixture.min_voltage,
        contact: job.feed.contact,
        strands: Strands::Flexible,
        temperature: job.feed.temperature,
        air: job.site.warm,
        ampacity: job.feed.ampacity,
        fuse_kind: FuseKind::for_voltage(battery.chemistry.pack_full(battery.voltage)),
    }
}

/// Share of the charge that is drawn.
fn usable(battery: &Battery) -> f64 {
    battery.usable.unwrap_or_else(|| battery.chemistry.usable())
}

/// The pack of a job's `[battery]`.
pub(super) fn pack(battery: &Battery) -> Pack {
    Pack {
        chemistry: battery.chemistry,
        voltage: battery.voltage,
        capacity: battery.capacity,
        usable: usable(battery),
        ageing: battery.ageing,
        peukert: battery.chemistry.peukert(),
    }
}

/// The programme of a job with so many lamps, their power with cable losses, on one battery.
pub(super) fn programme(job: &Job, count: usize, lamps: Power) -> Programme {
    let controller = job.controller.as_ref();
    let stretch = |part: &ProgrammePart| Stretch { level: part.level, duration: part.duration };
    Programme {
        lamps,
        standby: controller.map_or(Power::ZERO, |c| c.standby),
        // Without a controller somebody unplugs the lamps.
        idle: controller
            .filter(|c| !c.cuts_supply)
            .map_or(Power::ZERO, |_| job.fixture.idle * count as f64),
        efficiency: controller.map_or(1.0, |c| c.efficiency),
        week: job.programme.week,
        swap: job.programme.nights,
        parts: job.programme.parts.iter().map(stretch).collect(),
        season: season(job),
    }
}

/// Evenings with a show from the day of installing to the day before taking down; without both dates,
/// the evenings that one pack is to last.
pub(crate) fn season(job: &Job) -> u32 {
    let shows = days(job).unwrap_or(0).saturating_mul(job.programme.week).div_ceil(7);
    shows.max(job.programme.nights.unwrap_or(1))
}

/// Days from installing to taking down; none without both dates.
pub(crate) fn days(job: &Job) -> Option<u32> {
    let (install, take_down) = job.job.install.zip(job.job.take_down)?;
    u32::try_from(install.until(take_down).ok()?.get_days()).ok()
}

/// Voltage, capacity in microfarads and resistance of the loop that all lamps of a feed make at switching on,
/// the pack full; none where the capacity is not written.
pub(super) fn switched_on(job: &Job, studied: &Studied) -> Option<(Voltage, f64, Resistance)> {
    let (battery, each) = job.battery.as_ref().zip(job.fixture.capacitor)?;
    let plan = &studied.feed.plan;
    let first = plan.lengths.first().copied()? * 2.0;
    let cable = studied.study.size.resistance(plan.strands, first, plan.temperature).ok()?;
    let full = battery.chemistry.pack_full(battery.voltage);
    let lamps = studied.feed.fixtures.len() as f64;
    Some((full, each * lamps, plan.supply.resistance + cable + plan.contact * 2.0))
}

/// Hours to charge one of the job's packs from empty, by its charger or half the capacity in an hour.
pub(crate) fn charging(battery: &Battery) -> Option<Hours> {
    let usual = Current::amps(battery.capacity.get() / 2.0);
    runtime::charging(battery.capacity, battery.charger.unwrap_or(usual))
}

/// Packs to own: for each box what an evening takes, twice, since one set charges while the other hangs;
/// and one spare.
pub(crate) fn packs_to_own<'a>(nights: impl Iterator<Item = &'a Runtime>) -> u32 {
    let sets: u32 = nights.map(|n| 2 * n.packs_per_night).sum();
    if sets > 0 { sets + 1 } else { 0 }
}
