//! A rigid face pressed on a trunk through its foam pad: what force, where, how hard.
//!
//! Plan view, millimetres: the trunk's centre is the origin, +Y outward, X across the face, Z up it.
//! The face is an arc of radius Rc over a chord of twice w, its middle at the gap g0 from the bark,
//! so that a point at x has the gap `g(x) = sqrt(x^2 + (r + g0 - s(Rc, x))^2) - r`, with the sagitta
//! `s(R, x) = R - sqrt(R^2 - x^2)`, and the foam there the strain `e = 1 - g / t`. The approach g0 is
//! not free: the integral of the foam's stress over the face, as seen from outside, is the seat
//! force N. (Pressure p on an arc element ds gives p cos(a) ds = p dx.)
//!
//! A levering moment tilts the face about X and adds `a z / (H / 2)` to the strain; one from the side
//! turns it about Z and adds `b x / w` (to the first order, and exactly for a face concentric with
//! the trunk). Both balance the moments of the foam's stress; where the strain is negative the foam
//! is out of touch and carries nothing. The straps' own spring against tilting may be given; without
//! it the sums are on the safe side.
//!
//! Method: Gauss-Legendre over the face, 10 points across and 5 up; Newton's method on approach, tilt
//! and turn, whose first equation is either a force, or a strain that must just be kept at the face's
//! loosest or hardest place. Because stress rises with strain everywhere, force rises with approach
//! and each of these has one answer. The gap is taken as linear in the approach about its nominal
//! value: exact in the middle, and within 0.01 mm at the edges of any face that a job can have.

use super::foam::{Age, Foam};
use super::guard::{OutOfRange, finite, not_negative, positive};
use crate::units::{Angle, Force, Length, Pressure, Torque};

/// Positive nodes and weights of Gauss and Legendre, ten points and five (Abramowitz and Stegun,
/// table 25.4).
const ACROSS: [[f64; 2]; 5] = [
    [0.148_874_338_981_631_2, 0.295_524_224_714_752_9],
    [0.433_395_394_129_247_2, 0.269_266_719_309_996_3],
    [0.679_409_568_299_024_4, 0.219_086_362_515_982],
    [0.865_063_366_688_984_5, 0.149_451_349_150_580_6],
    [0.973_906_528_517_171_7, 0.066_671_344_308_688_1],
];
const UP: [[f64; 2]; 5] = [
    [-0.906_179_845_938_664, 0.236_926_885_056_189_1],
    [-0.538_469_310_105_683_1, 0.478_628_670_499_366_5],
    [0.0, 0.568_888_888_888_888_9],
    [0.538_469_310_105_683_1, 0.478_628_670_499_366_5],
    [0.906_179_845_938_664, 0.236_926_885_056_189_1],
];
/// Kilopascals on square millimetres to newtons.
const NEWTONS: f64 = 1e-3;
const MM_PER_METRE: f64 = 1000.0;

/// A pad: its foam, how thick it is when free, and the strains between which it is meant to stay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pad {
    /// What it is made of.
    pub foam: Foam,
    /// Free thickness.
    pub thickness: Length,
    /// Least strain that still grips.
    pub least: f64,
    /// Most strain.
    pub most: f64,
}

/// A rigid concave face with its pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Face {
    /// Radius under the pad, Rc.
    pub radius: Length,
    /// Half the pad's width as a chord, w.
    pub half_width: Length,
    /// The pad's height along the trunk, H.
    pub height: Length,
    /// The hard rim that stands round the pad.
    pub rim: Option<Rim>,
}

/// A rim round the pad that must not touch the bark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rim {
    /// From the middle to its outer end.
    pub half_width: Length,
    /// How far it stands out of the face.
    pub depth: Length,
    /// Air that must be left between it and the bark.
    pub air: Length,
}

/// Moments on the saddle; signs do not matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Levering {
    /// About the level axis across the face: weight and gust from before.
    pub pitch: Torque,
    /// About the upright axis: gust from the side or off the middle.
    pub yaw: Torque,
}

impl Levering {
    /// No moment.
    #[cfg(test)]
    pub(crate) const NONE: Self = Self { pitch: Torque::ZERO, yaw: Torque::ZERO };
}

/// A face on its trunk, prepared for sums.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bed {
    pad: Pad,
    area: f64,
    half: [f64; 2],
    nodes: [Node; 5],
    ends: [Node; 2],
    rim: Option<[Node; 2]>,
    strap_rate: f64,
}

/// Strain at one place for the nominal approach, how it changes with the approach, and where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Node {
    strain: f64,
    slope: f64,
    x: f64,
}

/// Where the face stands: approach beyond the nominal, tilt and turn, all in strain of the pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pose {
    approach: f64,
    tilt: f64,
    turn: f64,
    /// What the foam presses with.
    pub force: Force,
}

impl Pose {
    pub(super) fn approach(&self) -> f64 {
        self.approach
    }
}

/// How the pad lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pressed {
    /// From bark to face in the middle.
    pub gap: Length,
    /// Strain in the middle of the face.
    pub middle: f64,
    /// Least strain; below zero the pad is open there.
    pub least: f64,
    /// Most strain.
    pub most: f64,
    /// Share of the pad that touches.
    pub contact: f64,
    /// Pressure on the bark at the hardest place.
    pub peak: Pressure,
    /// How far the face has tilted.
    pub sag: Angle,
    /// How far the face has turned about the upright axis.
    pub yaw: Angle,
}

/// What a pose must meet beside its moments.
#[derive(Clone, Copy)]
enum Goal {
    Force(f64),
    Loosest(f64),
    Hardest(f64),
}

/// Half of the range of strains in which a pad is meant to be: where the gap is linearised.
fn nominal(pad: &Pad) -> f64 {
    0.5 * (pad.least + pad.most)
}

/// From bark to face at that strain: where a saddle is taken to stand before anything is solved.
#[must_use]
pub(crate) fn nominal_gap(pad: &Pad) -> Length {
    pad.thickness * (1.0 - nominal(pad))
}

impl Bed {
    /// A face on a trunk of this radius, which must be wide enough for it.
    ///
    /// # Errors
    /// A measure that is not above zero, strains out of order, a face or trunk narrower than the pad.
    pub(crate) fn new(face: &Face, pad: Pad, trunk: Length) -> Result<Self, OutOfRange> {
        let radius = positive("the face's radius", face.radius.get())?;
        let w = positive("the pad's half width", face.half_width.get())?;
        let height = positive("the pad's height", face.height.get())?;
        let t = positive("the pad's thickness", pad.thickness.get())?;
        let r = positive("the trunk's radius", trunk.get())?;
        not_negative("the pad's least strain", pad.least)?;
        if !(pad.least < pad.most && pad.most < pad.foam.end()) {
            let needs = "above the least strain and below where the foam is solid";
            return Err(OutOfRange { what: "the pad's most strain", value: pad.most, needs });
        }
        if w > radius.min(r) {
            let needs = "at most the radius of face and trunk";
            return Err(OutOfRange { what: "the pad's half width", value: w, needs });
        }
        let gap = t * (1.0 - nominal(&pad));
        // A hard point so far across and so far inside the middle of the face.
        let node = |x: f64, inset: f64, free: f64, rel: f64| {
            let y = r + gap - inset;
            let far = (x * x + y * y).sqrt();
            Node { strain: (free - (far - r)) / t, slope: y / far, x: rel }
        };
        let on_face = |rel: f64| {
            let x = w * rel;
            node(x, x * x / (radius + ((radius - x) * (radius + x)).max(0.0).sqrt()), t, rel)
        };
        let rim = match face.rim {
            None => None,
            Some(rim) => {
                let depth = not_negative("the rim's depth", rim.depth.get())?;
                let air = not_negative("the rim's air", rim.air.get())?;
                let lip = positive("the rim's radius", radius - depth)?;
                let x = positive("the rim's half width", rim.half_width.get())?.min(lip);
                let inset = radius - ((lip - x) * (lip + x)).sqrt();
                // Zero "strain" is a gap of just the air.
                Some([node(0.0, depth, air, 0.0), node(x, inset, air, x / w)])
            }
        };
        Ok(Self {
            pad,
            area: 2.0 * w * height,
            half: [w, 0.5 * height],
            nodes: ACROSS.map(|[x, _]| on_face(x)),
            ends: [on_face(0.0), on_face(1.0)],
            rim,
            strap_rate: 0.0,
        })
    }

    /// The same with straps that hold against tilting, newtons a millimetre at the seat, each at its
    /// height above the middle.
    ///
    /// # Errors
    /// A negative rate, a height that is no number.
    pub(crate) fn with_straps(self, rate: f64, heights: &[Length]) -> Result<Self, OutOfRange> {
        let rate = not_negative("the straps' rate", rate)?;
        let squares: f64 = heights.iter().map(|z| z.get() * z.get()).sum();
        Ok(Self { strap_rate: finite("the straps' rate against tilting", rate * squares)?, ..self })
    }

    /// The pad.
    #[must_use]
    pub(crate) fn pad(&self) -> &Pad {
        &self.pad
    }

    /// The pose under a force square to the bark and no moment.
    ///
    /// # Errors
    /// A negative force.
    pub(crate) fn rest(&self, force: Force, age: Age) -> Result<Pose, OutOfRange> {
        let force = not_negative("the seat force", force.get())?;
        let at = self.root(|approach| {
            let [found, slope] = self.flat(approach, age);
            [found - force, slope]
        });
        Ok(self.straight(at, force))
    }

    /// The pose under a force and moments; `None` when the face tips off.
    #[must_use]
    pub(crate) fn under(&self, force: Force, levering: Levering, age: Age) -> Option<Pose> {
        let start = self.rest(force, age).ok()?.approach;
        self.settle(Goal::Force(force.get()), start, levering, age)
    }

    /// The pose whose loosest place has just this strain under the moments; `None` when none has.
    #[must_use]
    pub(crate) fn loosest(&self, strain: f64, levering: Levering, age: Age) -> Option<Pose> {
        let need = |n: Node| (strain - n.strain) / n.slope;
        let touches = self.samples().map(need).fold(f64::NEG_INFINITY, f64::max);
        // From a face that is pressed all over: where foam is out of touch nothing leads back.
        let start = touches + LONGEST_STEP;
        self.settle(Goal::Loosest(strain), start, levering, age)
            .or_else(|| self.loosest_by_force(strain, levering, age))
    }

    /// The same by halving the force: the loosest place lies the closer the harder the face is pressed.
    fn loosest_by_force(&self, strain: f64, levering: Levering, age: Age) -> Option<Pose> {
        let lies = |force: f64| {
            let pose = self.under(Force::newtons(force), levering, age)?;
            (self.pressed(&pose, age).least >= strain).then_some(pose)
        };
        let solid = self.area * NEWTONS * self.pad.foam.stress(self.pad.foam.end(), age).get();
        let mut found = lies(solid)?;
        let (mut low, mut high) = (0.0, solid);
        while high - low > FORCE_CLOSE * high {
            let middle = 0.5 * (low + high);
            match lies(middle) {
                Some(pose) => (found, high) = (pose, middle),
                None => low = middle,
            }
        }
        Some(found)
    }

    /// The pose whose hardest place has just this strain under the moments, or whose rim has just
    /// its air left, whichever comes first; `None` when the face would tip off before.
    #[must_use]
    pub(crate) fn hardest(&self, strain: f64, levering: Levering, age: Age) -> Option<Pose> {
        let reach = |limit: f64| move |n: Node| (limit - n.strain) / n.slope;
        let face = self.samples().map(reach(strain)).fold(f64::INFINITY, f64::min);
        let start = self.rims().map(reach(0.0)).fold(face, f64::min);
        self.settle(Goal::Hardest(strain), start, levering, age)
    }

    /// Gap in the middle of the face.
    #[must_use]
    pub(crate) fn gap(&self, pose: &Pose) -> Length {
        self.pad.thickness * (1.0 - self.ends[0].strain - pose.approach)
    }

    /// How far the face has tilted.
    #[must_use]
    pub(crate) fn tilt(&self, pose: &Pose) -> Angle {
        self.angle(pose.tilt, self.half[1])
    }

    /// Air left at the rim beyond what must be; `None` without a rim.
    #[must_use]
    pub(crate) fn air_left(&self, pose: &Pose) -> Option<Length> {
        self.rim?;
        let nearest = self.rims().map(|n| self.at(n, pose)).fold(f64::NEG_INFINITY, f64::max);
        Some(self.pad.thickness * -(nearest + pose.tilt))
    }

    /// How the pad lies in a pose, and how hard it presses at that age.
    #[must_use]
    pub(crate) fn pressed(&self, pose: &Pose, age: Age) -> Pressed {
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for n in self.samples() {
            let middle = n.strain + n.slope * pose.approach;
            least = least.min(middle - n.x * pose.turn - pose.tilt);
            most = most.max(middle + n.x * pose.turn + pose.tilt);
        }
        let mut contact = 0.0;
        for (n, [_, weight]) in self.nodes.iter().zip(ACROSS) {
            for side in [-1.0, 1.0] {
                let e = n.strain + n.slope * pose.approach + side * n.x * pose.turn;
                let touching = if pose.tilt > 0.0 {
                    (0.5 * (e / pose.tilt + 1.0)).clamp(0.0, 1.0)
                } else {
                    f64::from(u8::from(e > 0.0))
                };
                contact += 0.5 * weight * touching;
            }
        }
        Pressed {
            gap: self.gap(pose),
            middle: self.ends[0].strain + pose.approach,
            least,
            most,
            contact,
            peak: self.pad.foam.stress(most, age),
            sag: self.tilt(pose),
            yaw: self.angle(pose.turn, self.half[0]),
        }
    }

    /// The approach at which a sum passes zero that rises with the approach, is below zero where the
    /// pad just touches, and comes with its slope.
    pub(super) fn root(&self, sum: impl Fn(f64) -> [f64; 2]) -> f64 {
        let touches = self.samples().map(|n| n.strain / n.slope).fold(f64::NEG_INFINITY, f64::max);
        let (mut low, mut high) = (-touches, 1.0 - touches);
        while sum(high)[0] < 0.0 && high < FARTHEST {
            (low, high) = (high, high + 1.0);
        }
        let mut at = 0.5 * (low + high);
        for _ in 0..MOST_HALVINGS {
            let [found, slope] = sum(at);
            if found < 0.0 {
                low = at
            } else {
                high = at
            }
            let newton = at - found / slope;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let step = (next - at).abs();
            at = next;
            if step < CLOSE {
                break;
            }
        }
        at
    }

    /// A pose without tilt and turn.
    pub(super) fn straight(&self, approach: f64, force: f64) -> Pose {
        Pose { approach, tilt: 0.0, turn: 0.0, force: Force::newtons(force) }
    }

    fn angle(&self, strain: f64, lever: f64) -> Angle {
        Angle::radians(libm::atan2(strain * self.pad.thickness.get(), lever))
    }

    /// Places of the face at which the strain is looked at: all nodes, middle and edge.
    fn samples(&self) -> impl Iterator<Item = Node> + '_ {
        self.nodes.iter().chain(&self.ends).copied()
    }

    fn rims(&self) -> impl Iterator<Item = Node> + '_ {
        self.rim.iter().flatten().copied()
    }

    fn at(&self, n: Node, pose: &Pose) -> f64 {
        n.strain + n.slope * pose.approach + n.x * pose.turn
    }

    /// Force without tilt and turn, and its slope over the approach.
    pub(super) fn flat(&self, approach: f64, age: Age) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for (n, [_, weight]) in self.nodes.iter().zip(ACROSS) {
            let [stress, slope] = self.pad.foam.at(n.strain + n.slope * approach, age);
            sum[0] += weight * stress;
            sum[1] += weight * slope * n.slope;
        }
        sum.map(|s| s * self.area * NEWTONS)
    }

    /// Newton's method on approach, tilt and turn.
    fn settle(&self, goal: Goal, start: f64, levering: Levering, age: Age) -> Option<Pose> {
        let [w, half] = self.half;
        let area = self.area * NEWTONS;
        let wanted = [levering.pitch, levering.yaw].map(|m| m.get().abs() * MM_PER_METRE);
        let strap = self.strap_rate * self.pad.thickness.get() / half;
        let mut pose = [start, 0.0, 0.0];
        for _ in 0..MOST_STEPS {
            let (sums, slopes) = self.sums(pose, age);
            let (force, d_force) = (area * sums[0], slopes[0].map(|d| d * area));
            let (missed, row) = match goal {
                Goal::Force(n) => (force - n, d_force),
                Goal::Loosest(limit) => self.loose(pose, limit),
                Goal::Hardest(limit) => self.hard(pose, limit),
            };
            let mut pitch = slopes[1].map(|d| d * area * half);
            pitch[1] += strap;
            let yaw = slopes[2].map(|d| d * area * w);
            let miss = [
                missed,
                area * half * sums[1] + strap * pose[1] - wanted[0],
                area * w * sums[2] - wanted[1],
            ];
            let step = solve([row, pitch, yaw], miss)?;
            let largest = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            let scale = (LONGEST_STEP / largest).min(1.0);
            for (p, s) in pose.iter_mut().zip(step) {
                *p -= s * scale;
            }
            if !(pose[1].abs() < TIPPED && pose[2].abs() < TIPPED) {
                return None;
            }
            if largest < CLOSE {
                // The last step is so short that the slope tells what it did to the force.
                let moved: f64 = d_force.iter().zip(step).map(|(d, s)| d * s).sum();
                let [approach, tilt, turn] = pose;
                return Some(Pose { approach, tilt, turn, force: Force::newtons(force - moved) });
            }
        }
        None
    }

    /// Means over the face of stress, stress times z and stress times x, and their slopes over
    /// approach, tilt and turn.
    fn sums(&self, [approach, tilt, turn]: [f64; 3], age: Age) -> ([f64; 3], [[f64; 3]; 3]) {
        let (mut sums, mut slopes) = ([0.0; 3], [[0.0; 3]; 3]);
        for (n, [_, wide]) in self.nodes.iter().zip(ACROSS) {
            let middle = n.strain + n.slope * approach;
            for x in [-n.x, n.x] {
                // Up the face first: stress, stress times z, and slopes times 1, z and z^2.
                let mut up = [0.0; 5];
                for [z, tall] in UP {
                    let [stress, slope] = self.pad.foam.at(middle + x * turn + z * tilt, age);
                    let (stress, slope) = (tall * stress, tall * slope);
                    up[0] += stress;
                    up[1] += stress * z;
                    up[2] += slope;
                    up[3] += slope * z;
                    up[4] += slope * z * z;
                }
                let [s0, s1, d0, d1, d2] = up.map(|u| 0.25 * wide * u);
                let c = n.slope;
                for (sum, more) in sums.iter_mut().zip([s0, s1, x * s0]) {
                    *sum += more;
                }
                let more =
                    [[c * d0, d1, x * d0], [c * d1, d2, x * d1], [c * x * d0, x * d1, x * x * d0]];
                for (row, more) in slopes.iter_mut().zip(more) {
                    for (slope, more) in row.iter_mut().zip(more) {
                        *slope += more;
                    }
                }
            }
        }
        (sums, slopes)
    }

    /// By how much the loosest place lies above a strain, and the slope of that.
    fn loose(&self, [approach, tilt, turn]: [f64; 3], limit: f64) -> (f64, [f64; 3]) {
        let of = |n: Node| (n.strain + n.slope * approach - n.x * turn.abs(), n);
        let (e, n) = self
            .samples()
            .map(of)
            .fold((f64::INFINITY, self.ends[0]), |a, b| if b.0 < a.0 { b } else { a });
        (e - tilt.abs() - limit, [n.slope, -sign(tilt), -n.x * sign(turn)])
    }

    /// By how much the hardest place lies above a strain, or the rim too near, and the slope of that.
    fn hard(&self, [approach, tilt, turn]: [f64; 3], limit: f64) -> (f64, [f64; 3]) {
        let of = |limit: f64| {
            move |n: Node| (n.strain + n.slope * approach + n.x * turn.abs() - limit, n)
        };
        let all = self.samples().map(of(limit)).chain(self.rims().map(of(0.0)));
        let (e, n) =
            all.fold((f64::NEG_INFINITY, self.ends[0]), |a, b| if b.0 > a.0 { b } else { a });
        (e + tilt.abs(), [n.slope, sign(tilt), n.x * sign(turn)])
    }
}

/// Where a search for an approach ends: no foam is pressed to many times its thickness.
const FARTHEST: f64 = 100.0;
/// Halvings of an approach, should Newton's method never help.
const MOST_HALVINGS: usize = 64;
/// Steps of Newton's method; a dozen are enough for every pose that there is.
const MOST_STEPS: usize = 40;
/// The longest step, in strain.
const LONGEST_STEP: f64 = 0.2;
/// A step below this has arrived; Newton's next would be its square.
const CLOSE: f64 = 1e-6;
/// Forces that agree to a ten-thousandth are the same.
const FORCE_CLOSE: f64 = 1e-4;
/// A tilt that changes the strain by so much at the end of the face has tipped it off.
const TIPPED: f64 = 1.5;

fn sign(value: f64) -> f64 {
    if value < 0.0 { -1.0 } else { 1.0 }
}

/// Three linear equations by Cramer's rule; `None` when they have no one answer.
fn solve(m: [[f64; 3]; 3], right: [f64; 3]) -> Option<[f64; 3]> {
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(&m);
    let found = [0, 1, 2].map(|column| {
        let mut swapped = m;
        for (row, value) in swapped.iter_mut().zip(right) {
            row[column] = value;
        }
        det(&swapped) / whole
    });
    found.iter().all(|v| v.is_finite()).then_some(found)
}

#[cfg(test)]
pub(crate) mod tests;
