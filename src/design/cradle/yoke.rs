//! Dimensions of the yoke: two ears on the saddle's front between which the lamp tilts.
//!
//! The lamp is a set of rectangles in its own side view (y along the beam, z up, about the pivot)
//! that turn together. How far out the pivot must stand follows from the corner that comes
//! nearest to the saddle anywhere in the tilt range, in closed form.

use crate::design::Derived;
use crate::design::marks::{self, Engraving, TiltScale};
use crate::design::saddle::whole_lines;
use crate::design::tilt_plate::{self, TiltPlate};
use crate::params::{Fixture, Job, Mount, Tilt};
use crate::solid::lettering;
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::units::{Angle, Length};

/// Air kept between the swinging lamp and the saddle: a cable tie, a finger, a print's error.
/// Common practice, no source.
pub(in crate::design) const SWING_CLEARANCE: Length = Length::mm(5.0);
/// Air a side between ear and what turns inside it, taken up when the bolts are tightened.
const SIDE_PLAY: Length = Length::mm(0.4);
/// Plastic round a hole: three lines of a common nozzle and a little.
pub(in crate::design) const ROUND_HOLE: Length = Length::mm(4.0);
/// Least thickness of an ear, before the strength sum.
const EAR: Length = Length::mm(6.0);
/// Share of the lamp's span that is added to an ear's thickness: wide lamps push harder sideways.
const EAR_BY_SPAN: f64 = 0.01;
/// Half height of the cable that leaves behind a lamp.
const CABLE_HALF: Length = Length::mm(12.0);
/// Plastic between a foot and the edge of the face on which it stands.
pub(in crate::design) const FOOT_LAND: Length = Length::mm(1.0);
/// From the outside of the ears to the edge of the saddle's front.
const EAR_TO_EDGE: Length = Length::mm(3.0);

/// A rectangle in the lamp's side view, about the pivot at tilt 0: y along the beam, z up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweptBody {
    /// From and to along the beam.
    pub y: [Length; 2],
    /// From and to, up.
    pub z: [Length; 2],
    /// Half its width across the yoke.
    pub half_width: Length,
}

/// A lock bolt that runs in an arc slot about the pivot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lock {
    /// Radius of the bolt's circle.
    pub radius: Length,
    /// Where the bolt lies at tilt 0: 0 along the beam, 90 degrees up.
    pub angle: Angle,
    /// Width of the slot.
    pub slot: Length,
}

/// The ears and what turns between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Yoke {
    /// Between the inner faces of the ears.
    pub gap: Length,
    /// Thickness of an ear.
    pub ear: Length,
    /// Radius of the ear's end about the pivot.
    pub end_radius: Length,
    /// From the saddle's front out to the pivot.
    pub reach: Length,
    /// Height of the pivot above the saddle's lower end.
    pub pivot_z: Length,
    /// Height at which the ears join the front.
    pub foot_height: Length,
    /// Clearance hole of the pivot bolt.
    pub pivot_hole: Length,
    /// Thread of pivot and lock bolts.
    pub thread: Thread,
    /// The lock, when there is one; otherwise the pivot bolts hold by friction alone.
    pub lock: Option<Lock>,
    /// Ticks and numerals; read where the lock bolt stands, or along the beam without a lock.
    pub scale: TiltScale,
    /// What turns about the pivot, at tilt 0: lamp, cable, tilt plate.
    pub swing: Vec<SweptBody>,
    /// The tilt plate, for lamps with a base plate.
    pub plate: Option<TiltPlate>,
}

impl Yoke {
    /// The smallest yoke in which the lamp swings free, and the half width of the front and the
    /// height of the saddle that it needs.
    #[must_use]
    pub fn new(job: &Job, least_height: Length) -> (Self, Length, Length) {
        let fixture = &job.fixture;
        let line = job.printer.line;
        let (plate, thread, lock, inside) = match &fixture.mount {
            Mount::SideBosses { span, thread, lock_radius, lock_angle } => {
                let slot = thread.clearance_hole(HoleFit::Medium);
                let lock = lock_radius.map(|radius| Lock {
                    radius,
                    angle: lock_angle.unwrap_or_else(|| default_lock_angle(&job.tilt)),
                    slot,
                });
                (None, *thread, lock, *span)
            }
            Mount::BasePlate { pattern, thread } => {
                let (plate, bolt, lock) = tilt_plate::choose(pattern, *thread, job);
                let inside = 2.0 * plate.lug_x[1];
                (Some(plate), bolt, Some(lock), inside)
            }
        };
        let swing = swing_boxes(fixture, plate.as_ref());
        let pivot_hole = thread.clearance_hole(HoleFit::Medium);
        let (scale, end_radius) = ear_end(thread, lock.as_ref(), job);
        let inward = swing.iter().map(|b| b.inward(&job.tilt)).fold(Length::ZERO, Length::max);
        let reach = (inward + SWING_CLEARANCE).max(end_radius + Length::mm(3.0));
        let ear = whole_lines(EAR + inside * EAR_BY_SPAN, line);
        let gap = inside + 2.0 * SIDE_PLAY;
        let height = least_height.max(2.0 * end_radius + 2.0 * FOOT_LAND);
        let yoke = Self {
            gap,
            ear,
            end_radius,
            reach,
            pivot_z: Length::ZERO,
            foot_height: Length::ZERO,
            pivot_hole,
            thread,
            lock,
            scale,
            swing,
            plate,
        };
        let front_half_width = yoke.outside() + EAR_TO_EDGE;
        (yoke.on(height), front_half_width, height)
    }

    /// The same on a saddle of this height: the pivot goes up with its middle.
    #[must_use]
    pub(crate) fn on(&self, height: Length) -> Self {
        let pivot_z = self.end_radius.max(height / 2.0);
        // No higher than the round end: what is wider than the yoke swings over the ears.
        let foot_height = (height - FOOT_LAND).min(pivot_z + self.end_radius);
        Self { pivot_z, foot_height, ..self.clone() }
    }

    /// Records what was chosen, and why.
    pub fn describe(&self, mount: &Mount, derived: &mut Vec<Derived>) {
        let lock_assumed = matches!(mount, Mount::SideBosses { lock_angle: None, .. });
        let mut say = |name: &str, value: &dyn std::fmt::Display, reason: &str| {
            derived.push(Derived::new(name, value, reason));
        };
        say("yoke gap", &self.gap, "width over what turns inside, and play on both sides");
        say("ear thickness", &self.ear, "whole extrusion lines; grows with the span of the lamp");
        say(
            "pivot reach",
            &self.reach,
            "the corner of the lamp that swings nearest to the saddle in the tilt range, and clearance",
        );
        say("ear end radius", &self.end_radius, "washer, lock slot and plastic round them");
        if let (true, Some(lock)) = (lock_assumed, &self.lock) {
            say(
                "lock angle",
                &lock.angle,
                "fixture.mount.lock-angle is not written: the slot stands upright behind the pivot; see whether the lamp's boss is there",
            );
        }
        say("pivot height", &self.pivot_z, "middle of the cradle, ears clear of the bed");
        if let Some(plate) = &self.plate {
            say(
                "tilt plate pivot",
                &plate.pivot,
                "washers of pivot and lock bolts do not meet, plate and lamp pass in front of the ears",
            );
        }
    }

    /// From the middle to the outer face of an ear.
    #[must_use]
    pub fn outside(&self) -> Length {
        self.gap / 2.0 + self.ear
    }
}

/// Where a lock boss lies at tilt 0, in whole degrees, whose slot is level with the pivot in the
/// middle of the tilt range, behind it: the slot stands upright, so that as little as can be of its
/// roof hangs while the ear is printed: none in a range of up to 90 degrees.
#[must_use]
pub(crate) fn default_lock_angle(tilt: &Tilt) -> Angle {
    let middle = f64::midpoint(tilt.min.deg(), tilt.max.deg());
    Angle::degrees((180.0 - middle).round())
}

/// Half the diagonal of the largest number of two numerals as a multiple of its height; the test
/// measures it on the letters.
const NUMERAL_HALF: f64 = 0.95;
/// The same with a minus sign before it.
const SIGNED_HALF: f64 = 1.25;
/// Face kept between marks and an edge, a washer or a hole.
const SCALE_LAND: Length = Length::mm(0.8);
/// Length of a tick.
const TICK: Length = Length::mm(3.0);

/// The scale on an ear, and the radius of the ear's end that carries it.
pub(in crate::design) fn ear_end(
    thread: Thread,
    lock: Option<&Lock>,
    job: &Job,
) -> (TiltScale, Length) {
    let scale = tilt_scale(thread, lock, job.tilt.min, &Engraving::new(&job.printer));
    let radius = (scale.ticks[1] + SCALE_LAND)
        .max(scale.numerals + number_half(job.tilt.min, scale.numeral_height) + SCALE_LAND)
        .max(thread.clearance_hole(HoleFit::Medium) / 2.0 + ROUND_HOLE);
    (scale, radius)
}

/// Ticks outside the washer of the lock (or of the pivot, without one); numerals between the two
/// washers where they fit, so that the ear stays small, else outside the ticks.
pub(crate) fn tilt_scale(
    thread: Thread,
    lock: Option<&Lock>,
    least: Angle,
    engraving: &Engraving,
) -> TiltScale {
    let washer = thread.washer().outer / 2.0;
    let numeral_height = engraving.numeral_height();
    let half = number_half(least, numeral_height);
    let circle = lock.map_or(Length::ZERO, |l| l.radius);
    // Where neighbouring ticks stay as far apart as strokes of letters do.
    let step = f64::from(marks::TICK_STEP_DEG).to_radians();
    let apart = (engraving.stroke + lettering::MIN_GAP) / step;
    let from = (circle + washer + SCALE_LAND).max(apart);
    let ticks = [from, from + TICK];
    let inside = circle - washer - SCALE_LAND - half;
    let spaced = numeral_spacing(numeral_height);
    let fits = inside - half >= washer + SCALE_LAND && inside >= spaced;
    let numerals = if fits { inside } else { (ticks[1] + SCALE_LAND + half).max(spaced) };
    TiltScale { ticks, numerals, numeral_height }
}

/// Half the diagonal of the largest number on a scale that starts at `least`.
fn number_half(least: Angle, numeral_height: Length) -> Length {
    let signed = least.deg() <= -f64::from(marks::NUMERAL_STEP_DEG) + 1e-9;
    numeral_height * if signed { SIGNED_HALF } else { NUMERAL_HALF }
}

/// Least radius at which neighbouring numbers stay apart, whichever way they lie: their diagonals
/// do not meet. The neighbour of a number with a sign is a lone 0, so that the two together are no
/// larger than two numbers without.
fn numeral_spacing(numeral_height: Length) -> Length {
    let step = f64::from(marks::NUMERAL_STEP_DEG).to_radians();
    numeral_height * NUMERAL_HALF / libm::sin(step / 2.0)
}

impl SweptBody {
    /// How far it comes back past the pivot anywhere in the tilt range.
    ///
    /// A corner at distance rho and angle a from the beam stands at -rho cos(a + tilt) behind the
    /// pivot: that is rho where a + tilt passes 180 degrees, and else largest at an end.
    #[must_use]
    pub fn inward(&self, tilt: &Tilt) -> Length {
        let corners = self.y.iter().flat_map(|y| self.z.iter().map(move |z| (y.get(), z.get())));
        let back = corners.map(|(y, z)| {
            let rho = (y * y + z * z).sqrt();
            let from = libm::atan2(z, y) + tilt.min.rad();
            let to = from + (tilt.max - tilt.min).rad();
            let pi = std::f64::consts::PI;
            let passes = (from / pi - 1.0).div_euclid(2.0) != (to / pi - 1.0).div_euclid(2.0);
            if passes { rho } else { -rho * libm::cos(from).min(libm::cos(to)) }
        });
        Length::mm(back.fold(f64::NEG_INFINITY, f64::max))
    }
}

/// Everything that turns, about the pivot.
pub(in crate::design) fn swing_boxes(
    fixture: &Fixture,
    plate: Option<&TiltPlate>,
) -> Vec<SweptBody> {
    let below = fixture.pivot_from_bottom.unwrap_or(fixture.height / 2.0);
    let z = [-below, fixture.height - below];
    let half_width = fixture.width / 2.0;
    let back = match plate {
        Some(plate) => plate.thickness + plate.pivot,
        None => -fixture.pivot_from_back.unwrap_or(fixture.depth / 2.0),
    };
    let mut boxes = vec![SweptBody { y: [back, back + fixture.depth], z, half_width }];
    if fixture.cable_room > Length::ZERO {
        boxes.push(SweptBody {
            y: [back - fixture.cable_room, back],
            z: [z[0].max(-CABLE_HALF), z[1].min(CABLE_HALF)],
            half_width: half_width.min(CABLE_HALF),
        });
    }
    if let Some(plate) = plate {
        boxes.push(SweptBody {
            y: [plate.pivot, plate.pivot + plate.thickness],
            z: [-plate.half[1], plate.half[1]],
            half_width: plate.half[0],
        });
    }
    boxes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solid::lettering::outline;

    /// Half the diagonal of a number as a multiple of its height.
    fn half(text: &str, stroke: Length) -> f64 {
        let height = Engraving { stroke, depth: stroke }.numeral_height();
        let points: Vec<[f64; 2]> = outline(text, height, stroke)
            .expect("digits are drawn")
            .into_iter()
            .flat_map(|region| region.outer)
            .collect();
        let extent = |axis: usize| {
            let along = points.iter().map(|p| p[axis]);
            along.clone().fold(f64::MIN, f64::max) - along.fold(f64::MAX, f64::min)
        };
        libm::hypot(extent(0), extent(1)) / 2.0 / height.get()
    }

    #[test]
    fn numbers_are_no_larger_than_the_scale_assumes() {
        for stroke in [0.2, 0.45, 0.9, 1.35, 2.0].map(Length::mm) {
            let [largest, zero, signed] = ["60", "0", "-30"].map(|text| half(text, stroke));
            let others = ["30", "90"].map(|text| half(text, stroke));
            assert!(others.iter().all(|o| *o <= NUMERAL_HALF) && largest <= NUMERAL_HALF);
            assert!(largest > 0.85 * NUMERAL_HALF, "room is wasted: {largest}");
            assert!(signed <= SIGNED_HALF && signed > 0.85 * SIGNED_HALF, "{signed}");
            assert!(zero + signed <= 2.0 * NUMERAL_HALF);
        }
    }
}
