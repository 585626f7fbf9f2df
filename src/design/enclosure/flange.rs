//! The section through wall, groove, screws and rim, which is the same all round the box, and the
//! lid that sits on it.
//!
//! Going outward from the inner face of the wall: land as wide as the wall, groove, land, insert,
//! plastic round the insert, rim. The groove lies wholly outside the wall, the screws wholly outside
//! the groove. On the upper side the rim reaches as far as the lanyard's eye needs.

use super::glands::overhang;
use super::{
    EnclosureError, Groove, LAND_LEAST, LID_CLEARANCE, Lanyard, Lid, RoundedRect, SKIN_LEAST,
    SealScrews, Side, WALL_LEAST, layers, print_tolerance,
};
use crate::design::Derived;
use crate::design::enclosure::Flange;
use crate::design::saddle::whole_lines;
use crate::engineering::seal;
use crate::params::Job;
use crate::standards::fastener::HoleFit;
use crate::standards::gasket::{CORNER_PER_CORD, FILL_MOST, SQUEEZE_LEAST, SQUEEZE_MOST};
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
/// Longest distance between seal screws (rule of thumb for gasketed plastic lids: 25 to 75 mm; from
/// memory), and the shortest before the lid is made thicker instead.
const PITCH: [f64; 2] = [25.0, 45.0];
/// Fullest groove that is planned: a hundredth under the limit.
const FULLEST: f64 = 0.99 * FILL_MOST;
/// Share of the cord's thickness by which the lid must be able to stand off between its screws: less
/// wants screws that stand shoulder to shoulder.
const LEAST_GAP: f64 = 0.02;
/// The lid gets at most this many times as thick as the screws' heads ask.
const THICKEST: f64 = 4.0;
/// Stiffness under a load of months over the short-term value. From memory: plastics creep to about
/// half.
const LID_CREEP: f64 = 0.5;
/// Push of a hand on the lid's middle, newtons. Common practice, no source.
const PUSH: f64 = 50.0;
/// Deflection of a long simply supported plate under a load in its middle: w = 0.1851 F b2 / (E t3)
/// (Roark's Formulas for Stress and Strain, Poisson's ratio 0.3; from memory). Shorter plates give
/// less.
const PLATE: f64 = 0.1851;
/// Counterbore over head diameter: DIN 974-1 leaves about 1 mm (from memory).
const COUNTERBORE: f64 = 1.0;
/// Chamfer of the lid's edge: kind to hands.
const CHAMFER: f64 = 1.0;
/// Recess of the lid's face stays this far inside the cavity, so that the lands are backed fully.
const RECESS_INSET: f64 = 2.0;
/// A shallower recess is not worth its edges.
const RECESS_LEAST: f64 = 1.0;
/// Free rim round a mark.
const MARK_RIM: f64 = 3.0;
/// The lanyard's eye: a 5 mm cord with its sheath, and plastic round it (common practice, no source).
const EYE: f64 = 6.0;
const ROUND_EYE: f64 = 4.0;

/// Offsets from the inner face of the wall, and everything else that is the same all round.
#[derive(Debug, Clone, Copy)]
pub(super) struct FlangeProfile {
    pub(super) wall: f64,
    pub(super) radius: f64,
    groove_mid: f64,
    groove: seal::Groove,
    screw_line: f64,
    pub(super) rim: f64,
    /// Rim on the upper side.
    pub(super) rim_top: f64,
    eye_line: f64,
    face: f64,
    /// Height of the sloping underside.
    cone: f64,
    bore: f64,
    bore_depth: f64,
    insert_outer: f64,
    insert_length: f64,
    counterbore_depth: f64,
    /// The lid's edge between screws.
    edge: seal::Strip,
    pitch_limit: f64,
}

impl FlangeProfile {
    /// Height that flange face and underside take.
    pub(super) fn height(&self) -> f64 {
        self.face + self.cone
    }

    /// Settles the section.
    pub(super) fn new(job: &Job, reasons: &mut Vec<Derived>) -> Result<Self, EnclosureError> {
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

        let cord = job.seal.cord;
        let layer = job.printer.layer;
        // A slicer cuts to layers anyway: the depth is the nearest whole number of them, or one less
        // where the nearest leaves the cord too loose in a print that is too deep.
        let wished = seal::Groove::new(cord, job.seal.squeeze)?.depth / layer;
        let off = print_tolerance(&job.printer);
        let nearest = wished.round().max(1.0).min((cord / layer - 1e-9).floor().max(1.0));
        let of_layers = |n: f64| seal::Groove::new(cord, 1.0 - layer * n / cord);
        let mut groove = of_layers(nearest)?;
        if nearest > 1.0 && groove.allowed_gap(off) < cord * LEAST_GAP {
            let tighter = of_layers(nearest - 1.0)?;
            if tighter.squeeze() <= SQUEEZE_MOST {
                groove = tighter;
            }
        }
        let depth = groove.depth;
        // Wide enough that even a shallow and narrow print is not filled beyond the limit.
        if depth > off {
            let section = std::f64::consts::FRAC_PI_4 * cord.get() * cord.get();
            let width = Length::mm(section / (FULLEST * (depth - off).get())) + off;
            groove.width = groove.width.max(width);
        }
        let groove_width = groove.width.get();
        say(
            "gasket groove depth",
            groove.depth.get(),
            format!(
                "squeeze {:.0} % of {cord}, to whole layers: {:.1} %",
                100.0 * job.seal.squeeze,
                100.0 * groove.squeeze()
            ),
        );
        say(
            "gasket groove width",
            groove_width,
            format!(
                "{:.2} x cord, so that the cord fills {:.0} % of the groove",
                groove.width / cord,
                100.0 * groove.fill()
            ),
        );
        let groove_mid = wall + groove_width / 2.0;
        // Up to a tenth, so that a drawing reads well and rounding never makes it too tight.
        let tight = groove.least_corner().get() - groove_mid;
        let radius = CORNER_LEAST.max((10.0 * tight + 1e-6).ceil() / 10.0);
        say(
            "box inner corner radius",
            radius,
            format!(
                "{CORNER_PER_CORD} x cord at the groove's centre line, {CORNER_LEAST} mm or more inside"
            ),
        );
        let insert_outer = insert.outer.get();
        let insert_length = job.lid.insert_length.map_or(2.0 * screw.diameter().get(), Length::get);
        let bore = insert.pilot.get();
        let bore_depth = insert_length + BELOW_INSERT;
        let groove_outer = wall + groove_width;
        let screw_line = groove_outer + LAND_LEAST.get() + insert_outer / 2.0;
        let beyond = (ROUND_INSERT * insert_outer).max(WALL_LEAST.get());
        let rim = screw_line + insert_outer / 2.0 + beyond;
        let eye_line = groove_outer + LAND_LEAST.get() + EYE / 2.0;
        let rim_top = rim.max(eye_line + EYE / 2.0 + ROUND_EYE);
        say(
            "box flange width",
            rim,
            format!("land, groove, land, {screw} insert and {} round it", Length::mm(beyond)),
        );
        let slope = overhang(&job.printer);
        let cone = layers((rim_top - wall) / slope.tan(), &job.printer);
        let under_bore = (rim - screw_line - bore / 2.0) * cone / (rim - wall);
        let face = (bore_depth + SKIN_LEAST.get() - under_bore).max(WALL_LEAST.get());
        let face = layers(face, &job.printer);
        say(
            "box flange face",
            face,
            format!("leaves {SKIN_LEAST} under the inserts' holes; underside {slope} from upright"),
        );

        let head = screw.cap_head();
        let counterbore_depth = layers(head.height.get(), &job.printer);
        let modulus = polymer(job.polymer.kind).modulus * LID_CREEP;
        // A hardly squeezed cord still gets a finite pitch; the check on squeeze speaks of it.
        let gap = groove.allowed_gap(off).max(cord * LEAST_GAP);
        let strip = |thickness: f64| seal::Strip {
            width: Length::mm(rim),
            thickness: Length::mm(thickness),
            modulus,
        };
        let pitch_for = |thickness: f64| strip(thickness).pitch(job.seal.line_load, gap);
        let mut thickness = counterbore_depth + layers(WALL_LEAST.get(), &job.printer);
        let by_head = thickness;
        while pitch_for(thickness)?.get() < PITCH[0] && thickness < THICKEST * by_head {
            thickness += layer.get();
        }
        let pitch_limit = pitch_for(thickness)?.get().min(PITCH[1]);
        say(
            "lid thickness",
            thickness,
            if thickness > by_head {
                format!(
                    "screws {} mm apart leave {:.0} % squeeze between them",
                    PITCH[0],
                    100.0 * SQUEEZE_LEAST
                )
            } else {
                format!("{screw} head below the face and {WALL_LEAST} under it")
            },
        );
        Ok(Self {
            wall,
            radius,
            groove_mid,
            groove,
            screw_line,
            rim,
            rim_top,
            eye_line,
            face,
            cone,
            bore,
            bore_depth,
            insert_outer,
            insert_length,
            counterbore_depth,
            edge: strip(thickness),
            pitch_limit,
        })
    }

    /// The ring for a cavity and a body of this depth.
    pub(super) fn flange(&self, cavity: &RoundedRect, depth: f64) -> Flange {
        let mut rim = cavity.grown(Length::mm(self.rim));
        let wider = Length::mm((self.rim_top - self.rim) / 2.0);
        rim.centre[1] += wider;
        rim.half[1] += wider;
        Flange { rim, root: Length::mm(depth - self.height()), face: Length::mm(self.face) }
    }

    pub(super) fn groove(&self, cavity: &RoundedRect) -> Groove {
        Groove { centre_line: cavity.grown(Length::mm(self.groove_mid)), section: self.groove }
    }

    /// One screw at every corner, the rest evenly between; an even number on the upper side, so that
    /// the lanyard's eye in its middle stays free.
    pub(super) fn screws(&self, job: &Job, cavity: &RoundedRect) -> SealScrews {
        let line = cavity.grown(Length::mm(self.screw_line));
        let mut points = Vec::new();
        let mut pitch = Length::ZERO;
        for side in Side::ALL {
            let length = line.side_length(side);
            let mut steps = (length.get() / self.pitch_limit - 1e-9).ceil().max(1.0) as usize;
            if side == Side::Top && steps.is_multiple_of(2) {
                steps += 1;
            }
            pitch = pitch.max(length / steps as f64);
            points.extend((0..steps).map(|i| line.on_side(side, i as f64 / steps as f64)));
        }
        SealScrews {
            thread: job.lid.screw,
            points,
            pitch,
            pitch_limit: Length::mm(self.pitch_limit),
            insert_outer: Length::mm(self.insert_outer),
            insert_length: Length::mm(self.insert_length),
            bore: Length::mm(self.bore),
            bore_depth: Length::mm(self.bore_depth),
        }
    }

    pub(super) fn lanyard(&self, cavity: &RoundedRect) -> Lanyard {
        let y = cavity.centre[1] + cavity.half[1] + Length::mm(self.eye_line);
        Lanyard { at: [cavity.centre[0], y], diameter: Length::mm(EYE) }
    }

    pub(super) fn lid(&self, job: &Job, cavity: &RoundedRect, reasons: &mut Vec<Derived>) -> Lid {
        let screw = job.lid.screw;
        let span = 2.0 * cavity.half[0].min(cavity.half[1]).get();
        let modulus = polymer(job.polymer.kind).modulus.get() / 1000.0;
        // Half of the free height above the contents may go.
        let sag = LID_CLEARANCE.get() / 2.0;
        let needed = libm::cbrt(PLATE * PUSH * span * span / (modulus * sag));
        let panel = layers(needed.max(WALL_LEAST.get()), &job.printer);
        let thickness = self.edge.thickness.get();
        let recessed = thickness - panel >= RECESS_LEAST;
        let panel = if recessed { panel } else { thickness };
        reasons.push(Derived::new(
            "lid panel",
            Length::mm(panel),
            if recessed {
                format!("a hand's {PUSH} N bends it {sag} mm at most over {}", Length::mm(span))
            } else {
                "flat: a recess would be shallower than 1 mm".to_owned()
            },
        ));
        let inside = cavity.grown(Length::mm(-RECESS_INSET));
        let corner = inside.radius.get() * (1.0 - std::f64::consts::FRAC_1_SQRT_2);
        Lid {
            thickness: self.edge.thickness,
            edge: self.edge,
            panel: Length::mm(panel),
            recess: recessed.then_some(inside),
            hole: screw.clearance_hole(HoleFit::Medium),
            counterbore: screw.cap_head().diameter + Length::mm(COUNTERBORE),
            counterbore_depth: Length::mm(self.counterbore_depth),
            chamfer: Length::mm(CHAMFER),
            mark_half: inside.half.map(|h| h - Length::mm(MARK_RIM + corner)),
        }
    }
}
