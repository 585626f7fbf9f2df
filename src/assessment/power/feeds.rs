//! The feeds of a job: which lamps hang on which box, over which cables.
//!
//! Fixtures follow each other in the order of the job file, each trunk's together. Every trunk that
//! carries a box begins a feed; fixtures before the first such trunk belong to the first box. With a
//! battery and no box trunk there is one feed. Cable lengths between neighbours are taken in the
//! same order; a single length stands for all of them. Where `feed.back` is missing, the return runs
//! back along the whole way that it came.

use crate::engineering::feed::{FeedError, Load, NoSize, Plan, Shortfall, Study, Supply};
use crate::engineering::runtime::{Pack, Programme, Stretch};
use crate::params::{Battery, Job, LoadKind, ProgrammePart};
use crate::standards::{ConductorSize, FuseKind, Strands};
use crate::units::{Current, Length, Power};

/// One box and the lamps that it feeds.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Feed {
    /// Index of the trunk that carries the box, if the job names one.
    pub(crate) trunk: Option<usize>,
    /// For each fixture, in the order along the cable, the index of its trunk.
    pub(crate) fixtures: Vec<usize>,
    /// The feed's plan.
    pub(crate) plan: Plan,
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
pub(crate) fn studied(job: &Job) -> Result<Vec<Studied>, StudyError> {
    let study = |feed: Feed| {
        let plan = &feed.plan;
        let (study, shortfalls) = match job.feed.conductor {
            Some(size) => {
                let study = plan.study(size)?;
                let shortfalls = plan.shortfalls(&study);
                (study, shortfalls)
            }
            None => match plan.thinnest(ConductorSize::Mm2_0_5.series()) {
                Ok(study) => (study, Vec::new()),
                Err(NoSize::TooThin { thickest, shortfalls }) => (*thickest, shortfalls),
                Err(NoSize::Feed(e)) => return Err(e.into()),
            },
        };
        Ok(Studied { feed, study, shortfalls })
    };
    feeds(job)?.into_iter().map(study).collect()
}

/// The feeds of a job; none without a battery or without fixtures.
///
/// # Errors
/// [`SegmentMismatch`] when `feed.segments` is neither one length nor one for each gap.
fn feeds(job: &Job) -> Result<Vec<Feed>, SegmentMismatch> {
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

    let need: usize = groups.iter().map(|(_, fixtures)| fixtures.len() - 1).sum();
    let mut between: Box<dyn Iterator<Item = Length>> = match job.feed.segments.as_slice() {
        [all] => Box::new(std::iter::repeat(*all)),
        list if list.len() == need => Box::new(list.iter().copied()),
        list => return Err(SegmentMismatch { have: list.len(), need }),
    };
    let made = groups.into_iter().map(|(trunk, fixtures)| {
        let gaps = between.by_ref().take(fixtures.len() - 1);
        let lengths: Vec<Length> = std::iter::once(job.feed.lead).chain(gaps).collect();
        let plan = plan(job, battery, lengths);
        Feed { trunk, fixtures, plan }
    });
    Ok(made.collect())
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

fn plan(job: &Job, battery: &Battery, lengths: Vec<Length>) -> Plan {
    let cutoff = battery.cutoff.unwrap_or_else(|| battery.chemistry.pack_cutoff(battery.voltage));
    Plan {
        layout: job.feed.layout,
        back: job.feed.back.unwrap_or_else(|| lengths.iter().copied().sum()),
        loads: vec![load(job, battery); lengths.len()],
        lengths,
        supply: Supply {
            nominal: battery.voltage,
            resistance: battery.resistance,
            cutoff,
            standby: job.controller.as_ref().map_or(Power::ZERO, |c| c.standby),
            efficiency: job.controller.as_ref().map_or(1.0, |c| c.efficiency),
        },
        drop: job.feed.drop,
        least: job.fixture.min_voltage,
        strands: Strands::Flexible,
        temperature: job.feed.temperature,
        air: job.site.warm,
        ampacity: job.feed.ampacity,
        fuse_kind: FuseKind::Blade,
    }
}

/// The pack of a job's `[battery]`.
pub(super) fn pack(battery: &Battery) -> Pack {
    Pack {
        chemistry: battery.chemistry,
        voltage: battery.voltage,
        capacity: battery.capacity,
        usable: battery.usable,
        ageing: battery.ageing,
        peukert: battery.chemistry.peukert(),
    }
}

/// The programme of a job with these lamps (and cable losses) on one battery.
pub(super) fn programme(job: &Job, lamps: Power) -> Programme {
    let controller = job.controller.as_ref();
    let stretch = |part: &ProgrammePart| Stretch { level: part.level, duration: part.duration };
    Programme {
        lamps,
        standby: controller.map_or(Power::ZERO, |c| c.standby),
        efficiency: controller.map_or(1.0, |c| c.efficiency),
        parts: job.programme.parts.iter().map(stretch).collect(),
        season: season(job),
    }
}

/// Evenings from the day of installing to the day before taking down; without both dates, the
/// evenings that one pack is to last.
pub(crate) fn season(job: &Job) -> u32 {
    let days = job.job.install.zip(job.job.take_down).and_then(|(install, take_down)| {
        let span = install.until(take_down).ok()?;
        u32::try_from(span.get_days()).ok()
    });
    days.unwrap_or(0).max(job.programme.nights)
}
