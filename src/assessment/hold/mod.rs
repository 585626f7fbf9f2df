//! A ring of straps on one trunk: how its pads fit, how the strap runs, how tight it may be.
//!
//! Cradles stand evenly round the trunk, the first at bearing 0, turned so that the buckle has the
//! middle of the widest free stretch. The box hangs on two rings of its own, one rail and one strap
//! each, with the buckle opposite. Straps are pulled with a buckle that slides, or worked round by
//! hand. The trunk is taken as it is now; growth is in the margin of the girth.

pub(super) mod bark_bruised;
pub(super) mod lamps_crowded;
pub(super) mod pad_opens;
pub(super) mod passage_too_tight;
pub(super) mod passage_web_overstressed;
pub(super) mod strap_too_slack;
pub(super) mod strap_window_empty;
pub(super) mod webbing_edge_sharp;

use super::Subject;
use super::calculations::{Section, Shared, Unavailable};
use crate::design::PartId;
use crate::design::arrangement::{self, Pressed, Standing};
use crate::design::saddle::Saddle;
use crate::engineering::account::Line;
use crate::engineering::aim::AimError;
use crate::engineering::fit::{self, PadFit, girth_of_radius, margin, radius_of_girth};
use crate::engineering::hold::{self, HoldInput, Need, SeatLoad, Window};
use crate::engineering::sizes::Size;
use crate::engineering::strap::{self, Path};
use crate::engineering::strength::Passage;
use crate::engineering::strength::beam::passage_lines;
use crate::engineering::wind::{self, PeelInput, peel};
use crate::finding::{Finding, Severity};
use crate::params::{Job, Trunk};
use crate::units::{Angle, Force, Length};

/// A ring of straps.
#[derive(Debug, Clone)]
pub(crate) struct Ring {
    /// Its saddles.
    pub(crate) part: PartId,
    /// The size that is printed.
    pub(crate) size: Size,
    /// Bearings of the saddles.
    pub(crate) bearings: Vec<Angle>,
    /// Strain of the pad.
    pub(crate) fit: PadFit,
    /// Radius of curvature of the bark under the face.
    pub(crate) radius: Length,
    /// From the bark to the rigid face, in the middle.
    pub(crate) gap: Length,
    /// Way of one strap.
    pub(crate) path: Path,
    /// Webbing to cut for one strap.
    pub(crate) cut: Length,
    /// The printed passage, at its hardest turn.
    pub(crate) passage: Passage,
    /// What decides the tension.
    pub(crate) hold: Result<Hold, Unavailable>,
    /// Least and most tension.
    pub(crate) window: Result<Window, Unavailable>,
}

/// What decides the tension, beside the path.
#[derive(Debug, Clone)]
pub(crate) struct Hold {
    buckle: Angle,
    most_in_passage: Force,
    seats: Vec<SeatLoad>,
}

/// A saddle on a trunk, for what hangs on it.
pub(crate) struct Place<'a> {
    pub(crate) saddle: &'a Saddle,
    pub(crate) gap: Length,
    pub(crate) radius: Length,
    fit: PadFit,
}

impl Place<'_> {
    /// The load on this saddle; forces and levers as given.
    pub(crate) fn seat(&self, weight: Force, wind: [Force; 2], levers: [Length; 2]) -> SeatLoad {
        SeatLoad {
            weight,
            front: wind[0],
            side: wind[1],
            reach: levers[0],
            rise: levers[1],
            ..arrangement::unloaded(self.saddle, self.radius, self.fit)
        }
    }
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
    let part = class.id();
    let saddle = &class.saddle;
    let standing = Standing::cradles(trunk, job, saddle).map_err(|e| crowded(&e));
    Some(standing.and_then(|standing| {
        let mass = shared.prints.known_mass(&part);
        ring(shared, trunk, saddle, &class.class.size, part, standing, |place| {
            let yoke = shared.yoke.as_ref().map_err(Clone::clone)?;
            let out = place.gap + saddle.front_y + plan.yoke.reach + yoke.out;
            let up = (plan.yoke.pivot_z - saddle.height / 2.0).abs() + yoke.up;
            let weight = yoke.load.weight + wind::weight(mass.clone()?);
            Ok(place.seat(weight, [yoke.load.front, yoke.load.side], [out, up]))
        })
    }))
}

/// The ring of one of the box's two rails; none where no box hangs.
pub(crate) fn rail(shared: &Shared<'_>, index: usize) -> Option<Result<Ring, Unavailable>> {
    let load = shared.box_load.as_ref()?;
    let (job, plan) = (shared.job, shared.plan);
    let trunk = &job.trunks[index];
    if !trunk.carries_box {
        return None;
    }
    let Some(class) = plan.trunks[index].rail.and_then(|r| plan.rails.get(r)) else {
        return Some(Err(Unavailable::elsewhere("no rail serves this trunk")));
    };
    let part = class.id();
    let mass = shared.prints.known_mass(&part);
    let saddle = &class.rail.saddle;
    Some(ring(shared, trunk, saddle, &class.class.size, part, Standing::rail(), |place| {
        load.as_ref().map_err(Clone::clone)?.on_rail(place, mass.clone()?)
    }))
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
    shared: &Shared<'_>,
    trunk: &Trunk,
    saddle: &Saddle,
    size: &Size,
    part: PartId,
    standing: Standing,
    load: impl Fn(&Place<'_>) -> Result<SeatLoad, Unavailable>,
) -> Result<Ring, Unavailable> {
    let job = shared.job;
    let foam = shared.foam.clone()?;
    let Standing { saddles: bearings, buckle } = standing;
    let pressed = Pressed::new(trunk, size, foam).map_err(Unavailable::failed)?;
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
    let Pressed { radius, fit, gap, .. } = pressed;
    let place = Place { saddle, gap, radius: radius_of_girth(trunk.girth), fit };
    let hold = load(&place).and_then(|seat| {
        let most_in_passage =
            passage.most_tension(&shared.print).map_err(Unavailable::elsewhere)?;
        Ok(Hold { buckle, most_in_passage, seats: vec![seat; bearings.len()] })
    });
    let size = *size;
    let mut ring = Ring {
        part,
        size,
        bearings,
        fit,
        radius,
        gap,
        path,
        cut,
        passage,
        hold,
        window: Err(Unavailable::elsewhere("")),
    };
    ring.window = ring.input(job).and_then(|input| input.window().map_err(Unavailable::failed));
    Ok(ring)
}

impl Ring {
    /// Everything that decides the tension.
    pub(crate) fn input(&self, job: &Job) -> Result<HoldInput<'_>, Unavailable> {
        let hold = self.hold.as_ref().map_err(Clone::clone)?;
        let (passage, seats) = (hold.most_in_passage, hold.seats.clone());
        Ok(arrangement::hold_input(job, &self.path, hold.buckle, passage, seats))
    }

    /// The tension nearest to the wish that holds and harms nothing, in whole newtons where one does.
    pub(crate) fn tension(&self, wish: Force) -> Option<Force> {
        let window = self.window.as_ref().ok()?;
        let nearest = window.nearest(wish)?;
        let up = Force::newtons(nearest.get().ceil());
        let down = Force::newtons(nearest.get().floor());
        let whole = [up, down].into_iter().find(|t| *t >= window.least && *t <= window.most);
        Some(whole.unwrap_or(nearest))
    }
}

/// The account of a ring: fit, strap, hold and wind.
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
    let job = shared.job;
    section.take(fit_lines(shared, &job.trunks[trunk], ring));
    let strap = &job.strap;
    section.take(strap::lines(&ring.path, strap.thickness, strap.buckle, strap.tail));
    section.take(ring.input(job).and_then(|input| {
        let tension = ring.tension(strap.tension).unwrap_or(strap.tension);
        let mut lines = hold::lines(&input, tension).map_err(Unavailable::failed)?;
        lines.extend(
            passage_lines(&ring.passage, tension, &shared.print).map_err(Unavailable::failed)?,
        );
        if let (Ok(yoke), Some(seat), "cradle") = (&shared.yoke, input.seats.first(), what) {
            let input = PeelInput {
                weight: seat.weight,
                wind: seat.front,
                reach: seat.reach,
                rise: seat.rise,
                pad_height: seat.pad_height,
                strap_heights: &seat.strap_heights,
                safety: input.safety,
            };
            let found = peel(&input).map_err(Unavailable::failed)?;
            lines.extend(wind::lines(&yoke.wind, &input, &found));
        }
        Ok(lines)
    }));
    if let (Some(Ok(load)), false) = (&shared.box_load, what == "cradle") {
        section.lines.extend(load.lines());
    }
    vec![section]
}

fn fit_lines(shared: &Shared<'_>, trunk: &Trunk, ring: &Ring) -> Result<Vec<Line>, Unavailable> {
    let foam = shared.foam.clone()?;
    let face = ring.size.face().map_err(Unavailable::failed)?;
    let growth = trunk.growth.unwrap_or(shared.job.job.growth);
    let room = margin(trunk.girth, ring.size.girth_from, ring.size.girth_to, growth);
    fit::lines("trunk", girth_of_radius(ring.radius), face, foam, room).map_err(Unavailable::failed)
}

/// A ring whose tension can be calculated, and the name of its first trunk.
struct RingCase<'a> {
    ring: &'a Ring,
    trunk: &'a str,
    input: HoldInput<'a>,
}

impl RingCase<'_> {
    fn part(&self) -> &PartId {
        &self.ring.part
    }

    /// The most tension; zero without a window.
    fn most(&self) -> Force {
        self.ring.window.as_ref().map_or(Force::ZERO, |w| w.most)
    }

    /// The least tension that the chosen needs ask for, in newtons.
    fn least(&self, chosen: fn(Need) -> bool) -> f64 {
        let all = self.input.least_tensions().unwrap_or_default();
        all.iter().filter(|(_, n, _)| chosen(*n)).map(|x| x.2.get()).fold(0.0, f64::max)
    }

    /// Names the trunk. Where another tension serves it, the finding is a warning that names it.
    fn named(&self, findings: Vec<Finding>, instead: Option<Force>) -> Vec<Finding> {
        let named = |mut finding: Finding| {
            finding.message = format!("`{}`: {}", self.trunk, finding.message);
            if let Some(tension) = instead {
                finding.severity = finding.severity.min(Severity::Warning);
                finding.message = format!("{}; the sheet says {tension:.0}", finding.message);
            }
            finding
        };
        findings.into_iter().map(named).collect()
    }
}

/// The rings of one printed saddle, on all its trunks.
struct SizeCases<'a>(Vec<RingCase<'a>>);

impl<'a> SizeCases<'a> {
    /// The first ring of those for which this is most.
    fn worst(&self, key: impl Fn(&RingCase<'a>) -> f64) -> Option<&RingCase<'a>> {
        let keyed = self.0.iter().map(|case| (key(case), case));
        let worst = keyed.reduce(|best, next| if best.0 >= next.0 { best } else { next });
        worst.map(|(_, case)| case)
    }

    /// The ring with the least room between least and most tension, or with no window at all.
    fn tightest(&self) -> Option<&RingCase<'a>> {
        self.worst(|case| match &case.ring.window {
            Ok(window) => window.least.get() - window.most.get(),
            Err(_) => f64::INFINITY,
        })
    }

    /// Whether every ring has some tension that serves.
    fn serves(&self) -> bool {
        self.0.iter().all(|case| case.ring.window.as_ref().is_ok_and(Window::is_open))
    }
}

/// Every printed saddle with its rings.
fn sizes<'a>(subject: &Subject<'a>) -> Vec<SizeCases<'a>> {
    let mut sizes: Vec<SizeCases<'a>> = Vec::new();
    for group in subject.calculations.into_iter().flat_map(|c| &c.groups) {
        for ring in group.rings() {
            let Ok(input) = ring.input(subject.job) else { continue };
            let case = RingCase { ring, trunk: &subject.job.trunks[group.trunks[0]].name, input };
            match sizes.iter_mut().find(|size| size.0[0].part() == case.part()) {
                Some(size) => size.0.push(case),
                None => sizes.push(SizeCases(vec![case])),
            }
        }
    }
    sizes
}

/// Judges the tension asked for once a printed saddle, on the trunk that asks most of it: many trunks
/// give one finding and not many, and its remedy serves them all. Where some tension serves a trunk, the
/// sheet names it, so that a wish outside is a warning and no error; where none does, a rule of its own
/// says so.
fn judge_sizes(
    subject: &Subject<'_>,
    demand: impl Fn(&RingCase<'_>) -> f64,
    judge: impl Fn(&RingCase<'_>, Force) -> Vec<Finding>,
) -> Vec<Finding> {
    let wish = subject.job.strap.tension;
    let sizes = sizes(subject);
    let worst = sizes.iter().filter(|size| size.serves()).filter_map(|size| size.worst(&demand));
    worst.flat_map(|case| case.named(judge(case, wish), case.ring.tension(wish))).collect()
}
