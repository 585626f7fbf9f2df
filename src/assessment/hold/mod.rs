//! A ring of straps on one trunk: how its pads lie, how the strap runs, how hard it may be pulled.
//!
//! Cradles stand evenly round the trunk, the first at bearing 0, turned so that the buckle has the
//! middle of the widest free stretch. The box hangs on two rings of its own, one rail each, with the buckle opposite. Straps are pulled with a buckle that slides, or worked round by
//! hand. The trunk is taken as it is now; growth is in the margin of the girth. What holds and harms is
//! judged by [`crate::engineering::pull`] with the same inputs as for the choice of sizes.

pub(super) mod cures;
pub(super) mod lamps_crowded;
pub(super) mod no_pull_holds;
pub(super) mod passage_too_tight;
pub(super) mod pull_has_no_room;
pub(super) mod webbing_edge_sharp;

use super::calculations::{Section, Shared, Unavailable};
use crate::design::arrangement::{Pressed, Standing};
use crate::design::saddle::Saddle;
use crate::design::seating;
use crate::engineering::account::{Line, Side};
use crate::engineering::aim::AimError;
use crate::engineering::fit::{girth_of_radius, margin};
use crate::engineering::foam::Age;
use crate::engineering::hold::by_hand;
use crate::engineering::pull::{self, Conditions, Hung, Print, Seated, Window};
use crate::engineering::season::{Point, Season, TIMES, Visit, curve, times, visits};
use crate::engineering::sizes::Size;
use crate::engineering::springs::Since;
use crate::engineering::strap::{self, Path};
use crate::engineering::strength::Passage;
use crate::engineering::strength::beam::passage_lines;
use crate::engineering::wind;
use crate::params::{Job, Trunk};
use crate::units::{Angle, Force, Hours, Length, trimmed};

/// A ring of straps.
#[derive(Debug, Clone)]
pub(crate) struct Ring {
    /// The size that is printed.
    pub(crate) size: Size,
    /// Bearings of the saddles.
    pub(crate) bearings: Vec<Angle>,
    /// From the bark to the rigid face, in the middle, before anything is solved.
    pub(crate) gap: Length,
    /// Way of one strap.
    pub(crate) path: Path,
    /// Webbing to cut for one strap.
    pub(crate) cut: Length,
    /// The printed passage, at its hardest turn.
    pub(crate) passage: Passage,
    /// Radius of curvature of the bark under the face.
    radius: Length,
    /// The print as the judgement takes it.
    print: Print,
    /// What it is judged by.
    conditions: Conditions,
    /// The pulls that serve; none where it cannot sit there at all.
    pub(crate) window: Option<Window>,
}

/// How a pad lies at the pull aimed at.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct PadState {
    /// Least and most strain on new pads, nothing blowing.
    pub fresh: [f64; 2],
    /// The same after the hours for which one pull must last.
    pub later: [f64; 2],
    /// Pull that is left in the strap then.
    pub left: Force,
    /// How far the lamp tilts by its weight once it is strapped on.
    pub sag: Angle,
    /// How much farther in a gust.
    pub nod: Angle,
}

/// What becomes of a pull over the season.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Course {
    /// What is left of it at some times after mounting when nobody looks.
    pub left: Vec<(Hours, Force)>,
    /// The same in equal ratios of time over the season, with its band and what must be left.
    pub points: Vec<Point>,
    /// When the straps must be pulled again or let out.
    pub visits: Vec<Visit>,
}

/// From mounting to taking down where the job does not tell: a summer (common practice, no source).
const SEASON: Hours = Hours::hours(90.0 * 24.0);
const HOURS_A_DAY: f64 = 24.0;
const HOURS_A_YEAR: f64 = 8766.0;

/// The season of a job on one of its trunks. Straps are pulled in weather between its coldest and its
/// warmest.
fn season_of(job: &Job, trunk: &Trunk) -> Season {
    let days = job.job.install.zip(job.job.take_down);
    let days = days.and_then(|(from, to)| from.until(to).ok()).map(|span| span.get_days());
    let end = days.filter(|d| *d > 0).map_or(SEASON, |d| Hours::hours(HOURS_A_DAY * f64::from(d)));
    let growth = trunk.growth.unwrap_or(job.job.growth) * (end.get() / HOURS_A_YEAR);
    let half = 0.5 * (job.site.warm.get() - job.site.cold.get()).max(0.0);
    Season { end, growth, weather: [-half, half] }
}

/// The ring of a trunk's cradles; none without cradles.
pub(crate) fn cradle(shared: &Shared<'_>, index: usize) -> Option<Result<Ring, Unavailable>> {
    let (job, plan) = (shared.job, shared.plan);
    let trunk = &job.trunks[index];
    if trunk.fixtures == 0 {
        return None;
    }
    let Some(class) = plan.trunks[index].cradle.and_then(|c| plan.cradles.get(c)) else {
        return Some(Err(Unavailable::elsewhere("no cradle serves this trunk")));
    };
    let saddle = &class.saddle;
    let standing = Standing::cradles(trunk, job, saddle).map_err(|e| crowded(&e));
    Some(standing.and_then(|standing| {
        let hung = seating::lamp(job, &plan.yoke.on(saddle.height), saddle);
        ring(job, trunk, saddle, &class.class.size, standing, hung)
    }))
}

/// The ring of one of the box's two rails; none where no box hangs.
pub(crate) fn rail(shared: &Shared<'_>, index: usize) -> Option<Result<Ring, Unavailable>> {
    let (job, plan) = (shared.job, shared.plan);
    let boxed = plan.enclosure.as_ref()?;
    let trunk = &job.trunks[index];
    if !trunk.carries_box {
        return None;
    }
    let Some(class) = plan.trunks[index].rail.and_then(|r| plan.rails.get(r)) else {
        return Some(Err(Unavailable::elsewhere("no rail serves this trunk")));
    };
    let saddle = &class.rail.saddle;
    let hung = seating::filled_box(job, boxed, saddle);
    Some(ring(job, trunk, saddle, &class.class.size, Standing::rail(), hung))
}

fn crowded(error: &AimError) -> Unavailable {
    match error {
        AimError::NoRoom { most, .. } => {
            Unavailable::NoRoom { most: *most, why: error.to_string() }
        }
        _ => Unavailable::failed(error),
    }
}

fn ring(
    job: &Job,
    trunk: &Trunk,
    saddle: &Saddle,
    size: &Size,
    standing: Standing,
    hung: Hung,
) -> Result<Ring, Unavailable> {
    let Standing { saddles: bearings, .. } = standing;
    let pressed = Pressed::new(job, trunk).map_err(Unavailable::failed)?;
    let seats = pressed.seats(saddle, &bearings);
    let path =
        strap::path(pressed.section, &seats, job.strap.thickness).map_err(Unavailable::failed)?;
    let cut = path.cut(job.strap.buckle, job.strap.tail).map_err(Unavailable::failed)?;
    let turn = (0..seats.len()).map(|s| path.corner_turn(s));
    let passage = Passage {
        height: saddle.passages.first().map_or(Length::ZERO, |[low, high]| *high - *low),
        strap_width: job.strap.width,
        web: saddle.mouth_web(),
        edge_radius: saddle.mouth,
        turn: turn.fold(Angle::ZERO, |a, b| if b > a { b } else { a }),
    };
    let situation = seating::situation(trunk, bearings.len() as u32);
    let conditions = Conditions {
        relief: situation.relief,
        saddles: situation.saddles,
        hung: Hung { lean: situation.lean, ..hung },
        ..seating::conditions(job).map_err(Unavailable::failed)?
    };
    let print = seating::print(job, saddle);
    let Pressed { radius, gap, .. } = pressed;
    let window = pull::judge(&print, &conditions, girth_of_radius(radius));
    let size = *size;
    Ok(Ring { size, bearings, gap, path, cut, passage, radius, print, conditions, window })
}

impl Ring {
    /// The pull to aim at; none where no pull holds and harms nothing.
    pub(crate) fn aim(&self) -> Option<Force> {
        self.window.and_then(|w| w.aim())
    }

    /// Bark that each strap would lie on bare; none where it touches none.
    pub(crate) fn sleeve(&self) -> Option<Length> {
        Some(self.path.bark_arc()).filter(|arc| *arc > Length::ZERO)
    }

    /// Straps, one above the other.
    pub(crate) fn straps(&self) -> u32 {
        self.print.straps
    }

    /// The girth of a round trunk as round as this one under the face.
    pub(crate) fn as_round_as(&self) -> Length {
        girth_of_radius(self.radius)
    }

    fn seated(&self) -> Option<Seated<'_>> {
        Seated::new(&self.print, &self.conditions, self.radius).ok()
    }

    /// What becomes of the pull aimed at over the season.
    pub(crate) fn course(&self, job: &Job, trunk: &Trunk) -> Option<Course> {
        let (seated, aim, window) = (self.seated()?, self.aim()?, self.window?);
        let season = season_of(job, trunk);
        let points = curve(&seated, aim, &season, &TIMES).ok()?;
        Some(Course {
            points: curve(&seated, aim, &season, &times(&season)).ok()?,
            left: points.into_iter().map(|p| (p.hours, p.left)).collect(),
            visits: visits(&seated, &window, aim, &season).ok()?,
        })
    }

    /// How its pad lies at the pull aimed at.
    pub(crate) fn pad(&self) -> Option<PadState> {
        let (seated, aim) = (self.seated()?, self.aim()?);
        let [still, front, _] = seated.cases();
        let since = Since { wet: true, ..Since::only(self.conditions.relaxed) };
        let age = seated.springs().age(&since);
        let (left, _) = seated.springs().left(aim, Age::FRESH, age, &since).ok()?;
        let fresh = seated.lies(aim, still, Age::FRESH)?;
        let blown = seated.lies(aim, front, Age::FRESH)?;
        let later = seated.lies(left, still, age)?;
        Some(PadState {
            fresh: [fresh.least, fresh.most],
            later: [later.least, later.most],
            left,
            sag: fresh.sag,
            nod: Angle::radians(blown.sag.rad() - fresh.sag.rad()),
        })
    }
}

/// The account of a ring: strap, hold and wind.
pub(crate) fn sections(
    shared: &Shared<'_>,
    trunk: usize,
    what: &str,
    ring: &Result<Ring, Unavailable>,
) -> Vec<Section> {
    let mut section = Section::new(format!("{what}: fit, strap and hold"));
    let ring = match ring {
        Ok(ring) => ring,
        Err(why) => {
            section.absent.push(why.to_string());
            return vec![section];
        }
    };
    let strap = &shared.job.strap;
    section.lines.extend(growth_left(shared, &shared.job.trunks[trunk], ring));
    section.take(strap::lines(&ring.path, strap.thickness, strap.buckle, strap.tail, ring.gap));
    section.take(pull_lines(ring));
    if let Some(aim) = ring.aim() {
        section.take(passage_lines(&ring.passage, aim, &shared.print));
    }
    match (what, &shared.yoke, &shared.box_load) {
        ("cradle", Ok(yoke), _) => section.lines.extend(wind::lines(&yoke.wind)),
        ("cradle", ..) => {}
        (_, _, Some(Ok(load))) => section.lines.extend(load.lines()),
        _ => {}
    }
    vec![section]
}

fn growth_left(shared: &Shared<'_>, trunk: &Trunk, ring: &Ring) -> Option<Line> {
    let growth = trunk.growth.unwrap_or(shared.job.job.growth);
    let room = margin(ring.as_round_as(), ring.size.girth_from, ring.size.girth_to, growth);
    let years = room.years.map_or("no growth given".into(), |y| format!("{} years", trimmed(y, 1)));
    let line = Line::new(
        "growth left",
        "girth to the size's end / growth a year",
        years,
        "growth: the job's",
    );
    Some(line.input("girth to the end", room.above))
}

const SERIES: &str = "strap and pads as springs in series; foam after Gibson and Ashby, and Mills";
const BED: &str = "integral of the foam's stress over the face; moments about its middle";

/// The account of the pull.
fn pull_lines(ring: &Ring) -> Result<Vec<Line>, Unavailable> {
    let (Some(window), Some(seated)) = (ring.window, ring.seated()) else {
        return Err(Unavailable::elsewhere("the print cannot sit on this trunk"));
    };
    let Some(aim) = window.aim() else {
        return Err(Unavailable::elsewhere("no pull holds and harms nothing"));
    };
    let c = &ring.conditions;
    let percent = |e: f64| format!("{} %", trimmed(e * 100.0, 1));
    let relief = 0.5 * c.relief.get() / c.pad.thickness.get();
    let hand = by_hand(aim);
    let mut lines = vec![
        Line::new(
            "pull on each strap",
            "sqrt(least most), room for a hand's scatter of a quarter both ways",
            format!("{aim:.0}: {}, {} on a luggage scale", hand.words, hand.scale),
            "scatter and words of the hand: common practice, no source",
        )
        .input("least", format!("{:.0}, {}", window.least, window.need.words()))
        .input("most", format!("{:.0}, {} allows no more", window.most, window.cap.words()))
        .against(Side::AtMost, aim.get(), window.most.get(), format!("{:.0}", window.most)),
    ];
    let [still, front, _] = seated.cases();
    let springs = seated.springs();
    if let Some(pressed) = seated.bears(aim, front) {
        lines.push(
            Line::new(
                "hardest place of the new pad in a gust",
                "strain where N and the moments press most",
                percent(pressed.most),
                BED,
            )
            .input("N", format!("{:.0}", aim * (springs.ring.seat() * springs.ring.share[1])))
            .input("M", format!("{:.2}", front.levering.pitch))
            .input("turn about the upright axis", format!("{:.2}", front.levering.yaw))
            .against(
                Side::AtMost,
                pressed.most,
                c.pad.most - relief,
                format!("{}, half the bark's relief taken off", percent(c.pad.most - relief)),
            ),
        );
        lines.push(
            Line::new(
                "its pressure on the bark",
                "the foam's stress at that strain",
                format!("{:.0}", pressed.peak),
                "limit: common practice, no source",
            )
            .against(Side::AtMost, pressed.peak.get(), c.bark.get(), c.bark),
        );
    }
    let since = Since { wet: true, ..Since::only(c.relaxed) };
    let age = springs.age(&since);
    let (left, _) = springs.left(aim, Age::FRESH, age, &since).map_err(Unavailable::failed)?;
    let pressing = left * springs.seat();
    let (needed, _) = seated.needed(age);
    lines.push(
        Line::new(
            format!("pull left after {:.0}", c.relaxed),
            "m (T + k (growth - give settling))",
            format!("{left:.0}"),
            SERIES,
        )
        .input("k", format!("{} N/mm", trimmed(springs.rate(), 1)))
        .against(Side::AtLeast, left.get(), needed.get(), format!("{needed:.0}")),
    );
    let friction = Force::newtons(c.friction.pad * pressing.get());
    let demand = c.hung.weight * c.safety;
    lines.push(
        Line::new(
            "friction of the pad then, weight alone",
            "mu N against safety W; webbing carries none of it",
            format!("{friction:.0}"),
            "Coulomb friction; wet bark, common practice, no source",
        )
        .input("mu", c.friction.pad)
        .input("N", format!("{pressing:.0}"))
        .input("W", c.hung.weight)
        .against(Side::AtLeast, friction.get(), demand.get(), format!("{demand:.0}")),
    );
    if let Some(pressed) = seated.lies(left, still, age) {
        lines.push(
            Line::new("loosest place of the pad then", "strain", percent(pressed.least), BED)
                .input("M", format!("{:.2}", still.levering.pitch))
                .against(Side::AtLeast, pressed.least, c.pad.least, percent(c.pad.least)),
        );
    }
    Ok(lines)
}
