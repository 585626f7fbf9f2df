//! The section through wall, groove and rim, which is the same all round the box, the fasteners, and
//! the lid that sits on it.
//!
//! Going outward from the inner face of the wall: land as wide as the wall, groove, land, insert,
//! plastic round the insert, rim. The groove lies wholly outside the wall, the fasteners wholly outside
//! the groove: all round, or at the corners alone, where the groove's arc leaves room for them and the
//! flange stays narrow. On the upper side the rim reaches as far as the lanyard's eye needs.
//!
//! The lid drops over the rim with a skirt, which sheds water over the joint and stiffens the lid's edge:
//! the deeper it is, the farther apart the fasteners may stand ([`crate::engineering::seal`]).

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_4};

use super::glands::overhang;
use super::knob::KNOB_ACROSS;
use super::{
    EnclosureError, Groove, HAND, LAND_LEAST, LID_CLEARANCE, Lanyard, Lid, RoundedRect, SKIN_LEAST,
    SealScrews, Side, WALL_LEAST, layers, print_tolerance,
};
use crate::bisection::whole_border;
use crate::design::Derived;
use crate::design::enclosure::Flange;
use crate::design::saddle::whole_lines;
use crate::engineering::seal::{self, Closing};
use crate::params::Job;
use crate::standards::fastener::HoleFit;
use crate::standards::gasket::FILL_MOST;
use crate::standards::polymer::polymer;
use crate::units::Length;

/// Least radius inside the walls' corners, so that a crack has no notch to start from. Common
/// practice, no source.
const CORNER_LEAST: f64 = 4.0;
/// Depth of an insert's hole beyond its length, for molten plastic (insert makers' design pages).
pub(super) const BELOW_INSERT: f64 = 1.0;
/// Plastic round an insert over its outside diameter: the boss is twice as wide as the insert
/// (common design guides for heat-set inserts).
pub(super) const ROUND_INSERT: f64 = 0.5;
/// Shortest distance between the lid's fasteners, so that a key, or a knob and a gloved hand round it,
/// finds room.
const fn least_pitch(closing: Closing) -> f64 {
    match closing {
        Closing::Knobs => KNOB_ACROSS + 20.0,
        Closing::Screws => 25.0,
    }
}
/// Fullest groove that is planned: a hundredth under the limit.
const FULLEST: f64 = 0.99 * FILL_MOST;
/// Share of the gasket's height by which the lid must be able to stand off between its fasteners: less
/// wants fasteners that stand shoulder to shoulder.
const LEAST_GAP: f64 = 0.02;
/// The skirt covers the joint and a little of the rim at least.
const SKIRT_LEAST: f64 = 4.0;
/// Between skirt and flange: the lid drops over the rim, printed a little wide or not.
const SKIRT_GAP: f64 = 0.8;
/// Rubber ring on a fastener's thread under the lid, which keeps it in the lid: cross-section of a small
/// O-ring, the ring pressed flat to this depth by the land (common practice, no source).
pub(crate) const RING: Length = Length::mm(2.0);
const RING_POCKET: f64 = 2.4;
/// Stiffness under a load of months over the short-term value. From memory: plastics creep to about
/// half.
const LID_CREEP: f64 = 0.5;
/// Deflection of a long simply supported plate under a load in its middle: w = 0.1851 F b2 / (E t3)
/// (Roark's Formulas for Stress and Strain, Poisson's ratio 0.3; from memory). Shorter plates give
/// less.
const PLATE: f64 = 0.1851;
/// Chamfer of the lid's edge: kind to hands.
const CHAMFER: f64 = 1.0;
/// The recess under the lid stays this far inside the cavity, so that the lands are backed fully.
const RECESS_INSET: f64 = 2.0;
/// A shallower recess is not worth its edges: two layers of the usual height.
const RECESS_LEAST: f64 = 0.4;
/// Free rim round a mark.
const MARK_RIM: f64 = 3.0;
/// The lanyard's eye: a 5 mm cord with its sheath, and plastic round it (common practice, no source).
const EYE: f64 = 6.0;
const ROUND_EYE: f64 = 5.0;

/// Where the fasteners stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fasteners {
    /// At the four corners only, which leaves the flange narrow.
    Corners,
    /// At the corners and between them, outside the groove.
    AllRound,
}

/// Offsets from the inner face of the wall, and everything else that is the same all round.
#[derive(Debug, Clone, Copy)]
pub(super) struct FlangeProfile {
    closing: Closing,
    fasteners: Fasteners,
    pub(super) wall: f64,
    pub(super) radius: f64,
    groove_mid: f64,
    groove: seal::Groove,
    /// From the inner face of the wall to the fasteners' line; at the corners, along each axis.
    screw_line: f64,
    pub(super) rim: f64,
    /// Rim on the upper side.
    pub(super) rim_top: f64,
    /// Radius of the rim's corners.
    rim_radius: f64,
    /// How far the lid stands out over the rim.
    pub(super) over: f64,
    eye_line: f64,
    face: f64,
    /// Height of the sloping underside.
    cone: f64,
    bore: f64,
    bore_depth: f64,
    insert_outer: f64,
    insert_length: f64,
    /// The lid's edge without its skirt.
    strip: seal::Strip,
    /// Load of the gasket, N/mm.
    line_load: f64,
    /// How far the lid may bow.
    gap: Length,
}

impl FlangeProfile {
    /// Height that flange face and underside take.
    pub(super) fn height(&self) -> f64 {
        self.face + self.cone
    }

    /// Settles the section.
    pub(super) fn new(
        job: &Job,
        closing: Closing,
        fasteners: Fasteners,
        reasons: &mut Vec<Derived>,
    ) -> Result<Self, EnclosureError> {
        let screw = job.lid.screw;
        let Some(insert) = screw.insert() else {
            return Err(EnclosureError::NoInsert(screw));
        };
        let mut say = |name: &str, value: f64, why: String| {
            reasons.push(Derived::new(name, Length::mm(value), why));
        };
        let wall = whole_lines(WALL_LEAST, job.printer.line).get();
        let lines = (wall / job.printer.line.get()).round();
        say(
            "box wall",
            wall,
            format!("{lines} lines of {}, at least {WALL_LEAST}", job.printer.line),
        );

        let groove = groove(job, closing)?;
        let gasket = groove.gasket;
        let squeeze = job.seal.squeeze.unwrap_or(gasket.usual_squeeze());
        say(
            "gasket groove depth",
            groove.depth.get(),
            format!(
                "squeeze {:.0} % of {gasket}, to whole layers: {:.1} %",
                100.0 * squeeze,
                100.0 * groove.squeeze()
            ),
        );
        let groove_width = groove.width.get();
        say(
            "gasket groove width",
            groove_width,
            match groove.fill() {
                Some(fill) => format!(
                    "{:.2} x cord, so that the cord fills {:.0} % of the groove",
                    groove.width / gasket.height(),
                    100.0 * fill
                ),
                None => "the strip and room to bulge".to_owned(),
            },
        );
        let groove_mid = wall + groove_width / 2.0;
        // Up to a tenth, so that a drawing reads well and rounding never makes it too tight.
        let tight = groove.least_corner().get() - groove_mid;
        let radius = CORNER_LEAST.max((10.0 * tight + 1e-6).ceil() / 10.0);
        say(
            "box inner corner radius",
            radius,
            format!(
                "{} at the groove's centre line for {gasket}, {CORNER_LEAST} mm or more inside",
                groove.least_corner()
            ),
        );
        let insert_outer = insert.outer.get();
        let insert_length = job.lid.insert_length.map_or(2.0 * screw.diameter().get(), Length::get);
        let bore = insert.pilot.get();
        let bore_depth = insert_length + BELOW_INSERT;
        let groove_outer = wall + groove_width;
        let beyond = (ROUND_INSERT * insert_outer).max(WALL_LEAST.get());
        let boss = insert_outer / 2.0 + beyond;
        let to_insert = groove_outer + LAND_LEAST.get() + insert_outer / 2.0;
        // At a corner the insert stands on the diagonal, outside the groove's arc.
        let diagonal = (radius + to_insert) * FRAC_1_SQRT_2 - radius;
        let (screw_line, rim, rim_radius) = match fasteners {
            Fasteners::AllRound => (to_insert, to_insert + boss, radius + to_insert + boss),
            Fasteners::Corners => {
                (diagonal, (diagonal + boss).max(groove_outer + LAND_LEAST.get()), boss)
            }
        };
        let eye_line = groove_outer + LAND_LEAST.get() + EYE / 2.0;
        let rim_top = rim.max(eye_line + EYE / 2.0 + ROUND_EYE);
        say(
            "box flange width",
            rim,
            match fasteners {
                Fasteners::AllRound => {
                    format!(
                        "land, groove, land, {screw} insert and {} round it",
                        Length::mm(beyond)
                    )
                }
                Fasteners::Corners => format!(
                    "land, groove, land; {screw} inserts with {} round them at the corners only",
                    Length::mm(beyond)
                ),
            },
        );
        // Both corner arcs have the same normals, so the slope runs along them: how far out it goes
        // toward a normal is that of the arcs' middles and radii.
        let inward = radius + rim - rim_radius;
        let run = |upward: f64| libm::hypot(inward, inward + upward) + rim_radius - radius - wall;
        let slope = overhang(&job.printer);
        let steepest = run(rim_top - rim).max(rim_top - wall);
        let cone = layers(steepest / slope.tan(), &job.printer);
        let outside = if fasteners == Fasteners::Corners { run(0.0) } else { rim - wall };
        let under_bore = (boss - bore / 2.0) * cone / outside;
        let face = (bore_depth + SKIN_LEAST.get() - under_bore).max(WALL_LEAST.get());
        let face = layers(face, &job.printer);
        say(
            "box flange face",
            face,
            format!("leaves {SKIN_LEAST} under the inserts' holes; underside {slope} from upright"),
        );

        let thickness = layers(RING_POCKET + WALL_LEAST.get(), &job.printer);
        say(
            "lid thickness",
            thickness,
            format!("pocket of the rings on the {screw} screws, and {WALL_LEAST} over it"),
        );
        let skirt = whole_lines(WALL_LEAST, job.printer.line).get();
        let over = SKIRT_GAP + skirt;
        let strip = seal::Strip {
            width: Length::mm(rim + over),
            thickness: Length::mm(thickness),
            skirt: [Length::mm(skirt), Length::ZERO],
            modulus: polymer(job.polymer.kind).modulus * LID_CREEP,
        };
        // A hardly squeezed gasket still gets a finite pitch; the check on squeeze speaks of it.
        let gap = groove.allowed_gap(print_tolerance(&job.printer));
        Ok(Self {
            closing,
            fasteners,
            wall,
            radius,
            groove_mid,
            groove,
            screw_line,
            rim,
            rim_top,
            rim_radius,
            over,
            eye_line,
            face,
            cone,
            bore,
            bore_depth,
            insert_outer,
            insert_length,
            strip,
            line_load: line_load(job, &groove),
            gap: gap.max(gasket.height() * LEAST_GAP),
        })
    }

    /// The ring for a cavity and a body of this depth.
    pub(super) fn flange(&self, cavity: &RoundedRect, depth: f64) -> Flange {
        let upward = (self.rim_top - self.rim) / 2.0;
        let [x, y] = cavity.half;
        let rim = RoundedRect {
            centre: [cavity.centre[0], cavity.centre[1] + Length::mm(upward)],
            half: [x + Length::mm(self.rim), y + Length::mm(self.rim + upward)],
            radius: Length::mm(self.rim_radius),
        };
        Flange { rim, root: Length::mm(depth - self.height()), face: Length::mm(self.face) }
    }

    pub(super) fn groove(&self, cavity: &RoundedRect) -> Groove {
        Groove { centre_line: cavity.grown(Length::mm(self.groove_mid)), section: self.groove }
    }

    /// The lid's edge with a skirt of this depth.
    fn edge(&self, skirt: f64) -> seal::Strip {
        let [web, _] = self.strip.skirt;
        seal::Strip { skirt: [web, Length::mm(skirt)], ..self.strip }
    }

    /// The line on which the fasteners stand, and for each side into how many steps they part it when
    /// the skirt is this deep.
    fn steps(&self, cavity: &RoundedRect, skirt: f64) -> Option<(RoundedRect, [usize; 4])> {
        let limit = self.pitch_limit(skirt);
        let offset = Length::mm(self.screw_line);
        let line = match self.fasteners {
            Fasteners::AllRound => cavity.grown(offset),
            Fasteners::Corners => RoundedRect {
                half: cavity.half.map(|h| h + offset),
                radius: Length::ZERO,
                ..*cavity
            },
        };
        let steps = Side::ALL.map(|side| {
            let steps = (line.side_length(side).get() / limit - 1e-9).ceil().max(1.0);
            steps as usize
        });
        let corners_do = steps == [1; 4];
        (self.fasteners == Fasteners::AllRound || corners_do).then_some((line, steps))
    }

    /// Longest distance between fasteners that the lid's stiffness allows.
    fn pitch_limit(&self, skirt: f64) -> f64 {
        let limit = self.edge(skirt).pitch(self.line_load, self.gap);
        limit.map_or(0.0, Length::get).max(least_pitch(self.closing))
    }

    /// Whether the fasteners hold the lid of this cavity down: corners alone may not.
    pub(super) fn closes(&self, cavity: &RoundedRect) -> bool {
        self.steps(cavity, self.height()).is_some()
    }

    /// The fewest fasteners, and with them the shallowest skirt that holds the lid down between them;
    /// none when the corners alone do not hold it. The skirt stays beside the flange.
    pub(super) fn closure(
        &self,
        job: &Job,
        cavity: &RoundedRect,
        reasons: &mut Vec<Derived>,
    ) -> Option<(SealScrews, Lanyard, Lid)> {
        let (line, steps) = self.steps(cavity, self.height())?;
        // The least depth with which the steps are as few, in whole layers as the flange is.
        let layer = job.printer.layer.get();
        let deep = |layers: u32| f64::from(layers) * layer;
        let as_few =
            |layers: u32| self.steps(cavity, deep(layers)).is_some_and(|(_, s)| s == steps);
        let most = (self.height() / layer).round() as u32;
        let enough = if as_few(0) { 0 } else { whole_border(most, 0, as_few) };
        let skirt = deep(enough).max(layers(SKIRT_LEAST, &job.printer));
        let mut points = Vec::new();
        let mut pitch = Length::ZERO;
        for (side, steps) in Side::ALL.into_iter().zip(steps) {
            pitch = pitch.max(line.side_length(side) / steps as f64);
            points.extend((0..steps).map(|i| line.on_side(side, i as f64 / steps as f64)));
        }
        let screws = SealScrews {
            closing: self.closing,
            thread: job.lid.screw,
            points,
            pitch,
            pitch_limit: Length::mm(self.pitch_limit(skirt)),
            line_load: self.line_load,
            insert_outer: Length::mm(self.insert_outer),
            insert_length: Length::mm(self.insert_length),
            bore: Length::mm(self.bore),
            bore_depth: Length::mm(self.bore_depth),
        };
        reasons.push(Derived::new(
            "lid skirt",
            Length::mm(skirt),
            format!(
                "sheds water over the joint, and holds the lid down between {} fasteners {pitch:.0} apart",
                screws.points.len()
            ),
        ));
        // The eye in the middle of the upper side, or beside the fastener that stands there.
        let top = steps[2];
        let aside = if top.is_multiple_of(2) {
            line.side_length(Side::Top) / (2 * top) as f64
        } else {
            Length::ZERO
        };
        let lanyard = Lanyard {
            at: [
                cavity.centre[0] + aside,
                cavity.centre[1] + cavity.half[1] + Length::mm(self.eye_line),
            ],
            diameter: Length::mm(EYE),
        };
        let lid = self.lid(job, cavity, skirt, reasons);
        Some((screws, lanyard, lid))
    }

    fn lid(&self, job: &Job, cavity: &RoundedRect, skirt: f64, reasons: &mut Vec<Derived>) -> Lid {
        let screw = job.lid.screw;
        let span = 2.0 * cavity.half[0].min(cavity.half[1]).get();
        let modulus = polymer(job.polymer.kind).modulus.get() / 1000.0;
        // Half of the free height above the contents may go.
        let sag = LID_CLEARANCE.get() / 2.0;
        let needed = libm::cbrt(PLATE * HAND.get() * span * span / (modulus * sag));
        let panel = layers(needed.max(WALL_LEAST.get()), &job.printer);
        let least = self.strip.thickness.get();
        let thickness = least.max(panel);
        let recessed = thickness - panel >= RECESS_LEAST;
        let panel = if recessed { panel } else { thickness };
        reasons.push(Derived::new(
            "lid panel",
            Length::mm(panel),
            if recessed {
                format!("a hand's {HAND} bends it {sag} mm at most over {}", Length::mm(span))
            } else {
                format!("flat: a recess would be shallower than {RECESS_LEAST} mm")
            },
        ));
        let inside = cavity.grown(Length::mm(-RECESS_INSET));
        let corner = inside.radius.get() * (1.0 - FRAC_1_SQRT_2);
        let rim = self.flange(cavity, self.height()).rim;
        let edge = seal::Strip { thickness: Length::mm(thickness), ..self.edge(skirt) };
        Lid {
            thickness: edge.thickness,
            edge,
            cover: rim.grown(Length::mm(self.over)),
            over_rim: rim.grown(Length::mm(SKIRT_GAP)),
            panel: Length::mm(panel),
            recess: recessed.then_some(inside),
            hole: screw.clearance_hole(HoleFit::Medium),
            ring: screw.diameter() + 2.0 * RING,
            ring_depth: Length::mm(RING_POCKET),
            chamfer: Length::mm(CHAMFER),
            mark_half: inside.half.map(|h| h - Length::mm(MARK_RIM + corner)),
        }
    }
}

/// The groove for the job's gasket, its depth whole layers.
fn groove(job: &Job, closing: Closing) -> Result<seal::Groove, EnclosureError> {
    let gasket = job.seal.gasket(closing);
    let squeeze = job.seal.squeeze.unwrap_or(gasket.usual_squeeze());
    let (height, layer) = (gasket.height(), job.printer.layer);
    // A slicer cuts to layers anyway: the depth is the nearest whole number of them, or one less where
    // the nearest leaves the gasket too loose in a print that is too deep.
    let wished = seal::Groove::new(gasket, squeeze)?.depth / layer;
    let off = print_tolerance(&job.printer);
    let nearest = wished.round().max(1.0).min((height / layer - 1e-9).floor().max(1.0));
    let of_layers = |n: f64| seal::Groove::new(gasket, 1.0 - layer * n / height);
    let mut groove = of_layers(nearest)?;
    if nearest > 1.0 && groove.allowed_gap(off) < height * LEAST_GAP {
        let tighter = of_layers(nearest - 1.0)?;
        if tighter.squeeze() <= gasket.most_squeeze() {
            groove = tighter;
        }
    }
    // Wide enough that even a shallow and narrow print is not filled beyond the limit.
    if let seal::Gasket::Cord { diameter } = gasket
        && groove.depth > off
    {
        let section = FRAC_PI_4 * diameter.get() * diameter.get();
        let width = Length::mm(section / (FULLEST * (groove.depth - off).get())) + off;
        groove.width = groove.width.max(width);
    }
    Ok(groove)
}

/// Load of the gasket in this groove, N/mm: as measured, else the usual one.
fn line_load(job: &Job, groove: &seal::Groove) -> f64 {
    job.seal.line_load.unwrap_or_else(|| groove.gasket.usual_line_load(groove.squeeze()))
}
