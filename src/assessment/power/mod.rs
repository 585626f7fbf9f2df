//! The electrical calculations: every feed with its cable, fuse and runtime, and the warmth of the box.

pub(super) mod battery_too_small;
pub(super) mod box_too_warm;
pub(super) mod cells_too_cold;
pub(super) mod current_over_limit;
pub(super) mod feed_collapses;
pub(crate) mod feeds;
pub(super) mod fuse_mismatch;
pub(super) mod gland_unfit;
pub(super) mod lamp_overvolted;
pub(super) mod vent_unsuited;
pub(super) mod wire_too_thin;

pub(in crate::assessment) use self::wire_too_thin::lamp;

use self::box_too_warm::{BoxDay, Warmed};
use self::feeds::{Studied, studied};
use super::Subject;
use super::calculations::{Section, Unavailable};
use crate::design::Plan;
use crate::engineering::feed;
use crate::engineering::heat::{self, Enclosure as Shell};
use crate::engineering::runtime::{self, Programme, Runtime};
use crate::engineering::sun;
use crate::finding::Finding;
use crate::params::{Job, listed};
use crate::units::Power as Watts;

/// The feeds of a job, the night that their packs last, and their box.
#[derive(Debug, Clone)]
pub(crate) struct Power {
    /// Every feed; none without a battery.
    pub(crate) feeds: Result<Vec<Studied>, Unavailable>,
    /// For each feed, what its pack gives.
    pub(crate) nights: Vec<Result<(Programme, Runtime), Unavailable>>,
    /// The warmest box, when the job has one.
    pub(crate) day: Option<Result<(Warmed, BoxDay), Unavailable>>,
}

impl Power {
    pub(crate) fn of(job: &Job, plan: &Plan) -> Self {
        let feeds = studied(job, plan).map_err(Unavailable::failed);
        let found: &[Studied] = feeds.as_deref().unwrap_or_default();
        let nights = found.iter().map(|feed| night(job, feed)).collect();
        let day = plan.enclosure.as_ref().map(|enclosure| {
            let [width, height] = enclosure.outer().half.map(|half| half * 2.0);
            let depth = enclosure.overall_depth();
            let shell = Shell { width, height, depth, wall: enclosure.wall };
            let sun = box_too_warm::sun_on_lid(job);
            let heat = found.iter().filter_map(|f| f.study.fresh.as_ref().ok());
            let heat = heat.map(|s| (s.delivered + s.cable_loss, s.source_loss));
            let (lamps, pack_loss) = heat
                .fold((Watts::ZERO, Watts::ZERO), |(a, b), (lamps, loss)| {
                    (a.max(lamps), b.max(loss))
                });
            let warmed = Warmed { shell, lamps, pack_loss, sun };
            let day = box_too_warm::day(job, &warmed).map_err(Unavailable::failed)?;
            Ok((warmed, day))
        });
        Self { feeds, nights, day }
    }

    /// The account: one section a feed, and one of the box.
    pub(crate) fn sections(&self, job: &Job) -> Vec<Section> {
        let mut sections = Vec::new();
        match &self.feeds {
            Err(why) => {
                let mut section = Section::new("feed");
                section.absent.push(why.to_string());
                sections.push(section);
            }
            Ok(feeds) if feeds.is_empty() => {
                let mut section = Section::new("feed");
                section.absent.push("no feed: the job has no battery, or no lamps".to_owned());
                sections.push(section);
            }
            Ok(feeds) => {
                for (feed, night) in feeds.iter().zip(&self.nights) {
                    let mut section = Section::new(name(job, feed));
                    section.lines.clone_from(&feed.feed.lengths);
                    section.lines.extend(feed::lines::lines(&feed.feed.plan, &feed.study));
                    if let Some((volts, capacity, r)) = feeds::switched_on(job, feed) {
                        let found = feed::inrush::inrush(volts, capacity, r);
                        let line = |found| vec![feed::inrush::line(volts, capacity, r, &found)];
                        section.take(found.map(line));
                    }
                    if let Some(battery) = &job.battery {
                        let pack = feeds::pack(battery);
                        section.take(
                            night
                                .as_ref()
                                .map(|(programme, found)| {
                                    runtime::lines(&pack, programme, job.site.cold, found)
                                })
                                .map_err(Clone::clone),
                        );
                    }
                    sections.push(section);
                }
            }
        }
        if let Some(day) = &self.day {
            let mut section = Section::new("warmth of the box");
            section.take(day.as_ref().map_err(Clone::clone).map(|(warmed, day)| {
                let (shell, [evening, noon]) = (&warmed.shell, [&day.evening, &day.afternoon]);
                let mut lines = heat::lines("lit in the evening", shell, evening.0, &evening.1);
                lines.push(sun::line(warmed.sun));
                lines.extend(heat::lines("dark in the sun", shell, noon.0, &noon.1));
                lines
            }));
            sections.push(section);
        }
        sections
    }
}

/// Where a finding of several boxes holds: nothing in a job with one feed, else the box that the message
/// is about and the others to which it applies.
fn likewise<'a>(
    job: &Job,
    all: &[Studied],
    worst: &Studied,
    boxes: impl Iterator<Item = &'a Studied>,
) -> String {
    if all.len() < 2 {
        return String::new();
    }
    let trunk = |studied: &Studied| studied.feed.trunk.and_then(|t| job.trunks.get(t));
    let Some(here) = trunk(worst) else { return String::new() };
    let here = here.name.as_str();
    let mut others: Vec<&str> = boxes.filter_map(trunk).map(|t| t.name.as_str()).collect();
    others.retain(|other| *other != here);
    others.dedup();
    let here = listed(&[here]);
    match others.len() {
        0 => format!(", in the box on {here}"),
        1 => format!(", in the box on {here}; likewise in the box on {}", listed(&others)),
        _ => format!(", in the box on {here}; likewise in the boxes on {}", listed(&others)),
    }
}

/// Findings of several feeds: of each kind only the worst is reported, with the other boxes that it
/// applies to. `judge` gives each finding with a number for its kind and what it is worst by.
fn worst_of_kind(
    job: &Job,
    feeds: &[Studied],
    judge: impl Fn(&Studied) -> Vec<(u8, f64, Finding)>,
) -> Vec<Finding> {
    struct Kind<'a> {
        number: u8,
        rank: f64,
        finding: Finding,
        worst: &'a Studied,
        boxes: Vec<&'a Studied>,
    }
    let mut kinds: Vec<Kind<'_>> = Vec::new();
    for studied in feeds {
        for (number, rank, finding) in judge(studied) {
            match kinds.iter_mut().find(|kind| kind.number == number) {
                Some(kind) => {
                    kind.boxes.push(studied);
                    if rank > kind.rank {
                        (kind.rank, kind.finding, kind.worst) = (rank, finding, studied);
                    }
                }
                None => {
                    let boxes = vec![studied];
                    kinds.push(Kind { number, rank, finding, worst: studied, boxes });
                }
            }
        }
    }
    let named = |mut kind: Kind<'_>| {
        kind.finding.message += &likewise(job, feeds, kind.worst, kind.boxes.into_iter());
        kind.finding
    };
    kinds.into_iter().map(named).collect()
}

/// How thick a cable a feed needs: the place of the thinnest size that serves, in its series; infinite
/// where none does.
fn cable_rank(studied: &Studied) -> f64 {
    let series = studied.study.size.series();
    let serves = studied.feed.plan.thinnest(series).ok();
    let place = serves.and_then(|serves| series.iter().position(|size| *size == serves.size));
    place.map_or(f64::INFINITY, |place| place as f64)
}

/// What a feed is called.
pub(crate) fn name(job: &Job, feed: &Studied) -> String {
    let lamps = feed.feed.fixtures.len();
    let lamps = if lamps == 1 { "1 lamp".to_owned() } else { format!("{lamps} lamps") };
    match feed.feed.trunk {
        Some(trunk) => format!("feed from the box on {}, {lamps}", job.trunks[trunk].name),
        None => format!("feed, {lamps}"),
    }
}

fn night(job: &Job, feed: &Studied) -> Result<(Programme, Runtime), Unavailable> {
    let battery =
        job.battery.as_ref().ok_or_else(|| Unavailable::elsewhere("the job has no battery"))?;
    let lamps = runtime::lamps(&feed.study)
        .ok_or_else(|| Unavailable::elsewhere("no runtime: the feed has no working point"))?;
    let programme = feeds::programme(job, feed.feed.fixtures.len(), lamps);
    let found = runtime::runtime(&feeds::pack(battery), &programme, job.site.cold);
    Ok((programme, found.map_err(|e| Unavailable::elsewhere(format!("no runtime: {e}")))?))
}

/// The feeds of a subject; none where they could not be studied.
fn feeds<'a>(subject: &Subject<'a>) -> &'a [Studied] {
    subject.calculations.map_or(&[], |c| c.power.feeds.as_deref().unwrap_or_default())
}
