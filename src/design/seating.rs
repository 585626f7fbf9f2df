//! A saddle of the job as the one judgement of [`crate::engineering::pull`] takes it: print, load and
//! what is the same for every trunk.
//!
//! Used alike for choosing sizes, for what is engraved, for `fit`, for the cards and for the rules, so that
//! all tell the same. Loads are planned: weights of prints are estimates on the heavy side, so that
//! nothing changes when they are weighed. The box hangs on two rails, half of weight and wind each; its
//! levering moment is a couple on the two pads, `M / d` each with `d` between the rails, written as
//! the moment that presses a pad's end as hard: `(M / d) H / 6`, `H` the pad's height.

use crate::design::Yoke;
use crate::design::enclosure::Enclosure;
use crate::design::job_inputs::{pad, print as print_of};
use crate::design::saddle::Saddle;
use crate::design::stability::{gust_on, middle};
use crate::engineering::guard::OutOfRange;
use crate::engineering::pull::{Bears, Conditions, Friction, Hung, Print, Straps, Tightener};
use crate::engineering::seat::{Face, Rim, nominal_gap};
use crate::engineering::sizes::Situation;
use crate::engineering::springs::{Loss, Mouth, Webbing};
use crate::engineering::strength::Passage;
use crate::engineering::wind::{Cuboid, weight, wind_on};
use crate::params::{Job, TightenerKind, Trunk};
use crate::standards::webbing::{FRICTION_ON_PRINT, webbing};
use crate::standards::wind::BluffBody;
use crate::units::{Angle, Force, Hours, Length, Mass, Torque};

/// Most that two hands pull with the body's weight behind them (common practice, no source).
const HANDS: Force = Force::newtons(350.0);
/// Most that a ratchet reaches with one hand on its handle: 500 N there (EN 12195-2, the standard
/// hand force) give about this in the webbing (the standard tension force on common labels).
const RATCHET: Force = Force::newtons(2500.0);
/// Webbing that a tooth of a ratchet takes up: a shaft of 20 mm with 12 teeth (common practice, no
/// source).
const TOOTH: Length = Length::mm(5.0);
/// How long one pull must last before anybody looks again: a week (common practice, no source).
const RELAXED: Hours = Hours::hours(168.0);
/// Air between rim and bark: bark is not smooth (common practice, no source).
const RIM_AIR: Length = Length::mm(1.0);
/// A printed cradle, and a tilt plate; estimates on the heavy side.
const CRADLE: Mass = Mass::kg(0.4);
const TILT_PLATE: Mass = Mass::kg(0.15);
/// A printed rail, and the plastic of a box for each square metre of its outside: 4 mm of PETG.
const RAIL: Mass = Mass::kg(0.25);
const BOX_KG_PER_M2: f64 = 5.1;
const MM2_PER_M2: f64 = 1e6;
const MM_PER_METRE: f64 = 1000.0;

/// What is the same for every trunk; relief, saddles and load are filled in for each.
///
/// # Errors
/// Foam or strains out of range.
pub(crate) fn conditions(job: &Job) -> Result<Conditions, OutOfRange> {
    let strap = &job.strap;
    let row = webbing(strap.material);
    let wish = |most: Force| strap.tension.map_or(most, |wish| wish.min(most));
    Ok(Conditions {
        pad: pad(&job.pad)?,
        relief: Length::ZERO,
        tolerance: job.job.girth_tolerance,
        straps: Straps {
            width: strap.width,
            working_load: strap.working_load,
            webbing: Webbing {
                load: strap.label_load,
                elongation: strap.elongation,
                kept: row.kept,
                wet: row.wet,
            },
            tightener: match strap.tightened_by() {
                TightenerKind::Cam => Tightener::Cam { most: wish(HANDS) },
                TightenerKind::Ratchet => Tightener::Ratchet { most: wish(RATCHET), step: TOOTH },
            },
        },
        saddles: 1,
        hung: NOTHING,
        friction: Friction {
            pad: job.pad.friction[0],
            loss: Loss { bark: job.pad.webbing_friction, print: FRICTION_ON_PRINT },
        },
        bark: job.pad.bark_limit,
        safety: job.site.safety,
        relaxed: RELAXED,
        reach: job.pad.max_width_ratio,
    })
}

const NOTHING: Hung = Hung {
    weight: Force::ZERO,
    front: Force::ZERO,
    down: Force::ZERO,
    side: Force::ZERO,
    reach: Length::ZERO,
    rise: Length::ZERO,
    breadth: Length::ZERO,
    depth: Length::ZERO,
    lean: Angle::ZERO,
    couple: None,
};

/// What a trunk's saddles are judged by beside its girth.
pub(crate) fn situation(trunk: &Trunk, saddles: u32) -> Situation {
    Situation { relief: trunk.bark.relief(), saddles, lean: trunk.lean }
}

/// A saddle as it meets trunk and strap.
pub(crate) fn print(job: &Job, saddle: &Saddle) -> Print {
    let lip = saddle.face_radius - saddle.recess;
    let rim =
        Rim { half_width: lip * libm::sin(saddle.rim_angle()), depth: saddle.recess, air: RIM_AIR };
    let [_, height] = saddle.pad_size();
    let passage = Passage {
        height: saddle.passages.first().map_or(Length::ZERO, |[low, high]| *high - *low),
        strap_width: job.strap.width,
        web: saddle.mouth_web(),
        edge_radius: saddle.mouth,
        turn: Angle::ZERO,
    };
    // A print too soft for the day bears nothing; the rules say so.
    let [edge, web] = passage.bears(&print_of(job)).unwrap_or([Force::ZERO; 2]);
    Print {
        face: Face {
            radius: saddle.face_radius,
            half_width: saddle.pad_half_width,
            height,
            rim: Some(rim),
        },
        mouth: Mouth {
            half_width: saddle.half_width - saddle.mouth,
            out: saddle.passage_y[0] - saddle.mouth,
            radius: saddle.mouth,
        },
        passage: Bears { edge, web },
        straps: saddle.straps(),
        strap_height: saddle.strap_heights().into_iter().fold(Length::ZERO, Length::max),
    }
}

/// From the bark to the rigid face before anything is solved.
pub(crate) fn gap(job: &Job) -> Length {
    pad(&job.pad).map_or(job.pad.free_thickness(), |pad| nominal_gap(&pad))
}

/// The lamp in its yoke on a cradle.
pub(crate) fn lamp(job: &Job, yoke: &Yoke, saddle: &Saddle) -> Hung {
    let lamp = &job.fixture;
    let plate = if yoke.plate.is_some() { TILT_PLATE } else { Mass::ZERO };
    let [out, up, _] = middle(&yoke.swing, &job.tilt);
    // A gust that cannot be summed is told by the rules of the yoke.
    let [front, down, side] =
        gust_on(job).map_or([Force::ZERO; 3], |wind| [wind.front, wind.along, wind.side]);
    Hung {
        weight: weight(lamp.mass + plate + CRADLE),
        front,
        down,
        side,
        reach: gap(job) + saddle.front_y + yoke.reach + out.max(Length::ZERO),
        rise: (yoke.pivot_z - saddle.height / 2.0).abs() + up,
        breadth: lamp.width,
        depth: lamp.depth,
        lean: Angle::ZERO,
        couple: None,
    }
}

/// Half of the filled box on one of its rails.
pub(crate) fn filled_box(job: &Job, boxed: &Enclosure, saddle: &Saddle) -> Hung {
    let ([width, height], depth) = (boxed.footprint(), boxed.overall_depth());
    let outside = 2.0 * ((width + depth) * height.get() + width * depth.get()).get();
    let plastic = Mass::kg(outside / MM2_PER_M2 * BOX_KG_PER_M2);
    let body = Cuboid { width, height, depth };
    let still = [Angle::ZERO; 2];
    let wind = wind_on(body, still, job.site.gust, BluffBody::Signboard);
    let [front, side] = wind.map_or([Force::ZERO; 2], |wind| [wind.front, wind.side]);
    let whole = weight(boxed.contents + plastic + RAIL * 2.0);
    let [low, high] = boxed.rail_rows_y;
    let rise = (boxed.flange.rim.centre[1] - (low + high) / 2.0).abs();
    let reach = gap(job) + saddle.front_y + depth / 2.0;
    let [_, pad_height] = saddle.pad_size();
    let lever = pad_height.get() / (6.0 * (high - low).get().max(1.0)) / MM_PER_METRE;
    let still = whole.get() * reach.get();
    let gust = still + front.get() * rise.get();
    Hung {
        weight: whole * 0.5,
        front: front * 0.5,
        down: Force::ZERO,
        side: side * 0.5,
        reach,
        rise: Length::ZERO,
        breadth: width,
        depth,
        lean: Angle::ZERO,
        couple: Some([still, gust].map(|m| Torque::newton_metres(m * lever))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{PreviousSet, plan};

    /// The gust turns the box about its rails the same way as its weight does: force times height above the
    /// middle of the rails, of which a rail's pad takes its height in six times the rails' distance.
    #[test]
    fn a_gust_on_the_box_adds_to_its_weight() {
        let text = include_str!("../../params/quillmere-stories.toml");
        let job = crate::params::read(text).expect("the demo job reads").job;
        let plan = plan(&job, &PreviousSet::default()).expect("a plan");
        let boxed = plan.enclosure.as_ref().expect("it has a box");
        let saddle = &plan.rails[0].rail.saddle;
        let hung = filled_box(&job, boxed, saddle);
        let [still, gust] = hung.couple.expect("two rails share it").map(|m| m.get());
        let [low, high] = boxed.rail_rows_y.map(|y| y.get());
        let above = (boxed.flange.rim.centre[1].get() - (low + high) / 2.0).abs();
        let more = 2.0 * hung.front.get() * above * saddle.pad_size()[1].get()
            / (6.0 * (high - low))
            / 1000.0;
        assert!(above > 0.1 && still > 0.0 && gust > still, "{above} {still} {gust}");
        assert!((gust - still - more).abs() < 1e-9, "{gust} {still} {more}");
    }
}
