//! Dimensions of a saddle: the prism with a concave back that cradle and rail share.
//!
//! Saddle axes: Z up the trunk from the lower end; +Y outward; X across, to the left seen from
//! outside (the axes are right-handed);
//! Y = 0 where the pad's back touches the rigid face, so that the face's axis is at y = -radius.
//!
//! In plan, from the trunk outward: pad recess, back web, strap passage, front web, front. The strap
//! leaves through the sides and turns towards the trunk over rounded mouths. When the front has to
//! be wider than the sides (a wide lamp on a thin trunk, or screw flanges), it stands over as a
//! flange and the section is a T.

pub(crate) mod drawing;

use crate::params::{Printer, Strap};
use crate::units::Length;

/// How deep the pad sits in its recess: enough to hold its place, little enough to leave it soft.
/// Common practice, no source.
const RECESS: Length = Length::mm(1.2);
/// Least rim of plastic round the pad: four lines of a common nozzle.
const RIM: Length = Length::mm(3.0);
/// Least web between recess and passage, and between passage and front. Load-bearing walls are
/// printed from 2.4 mm up (common practice); the webs carry the strap.
const WEB: Length = Length::mm(5.0);
/// Fillet at the shoulders, where hands and bark meet the part.
const SHOULDER: Length = Length::mm(3.0);
/// Straight land kept beside every round edge, so that outlines never touch.
const LAND: Length = Length::mm(0.6);
/// Fillet of the front's vertical edges.
const FRONT_FILLET: Length = Length::mm(2.0);
/// Fillet in the inner corner under a flange: it carries the flange's bending.
const INNER_FILLET: Length = Length::mm(3.0);
/// Radius of the mouth that the strap does not bear on.
const OUTER_MOUTH: Length = Length::mm(1.5);
/// Least radius over which loaded webbing turns, as a multiple of its thickness (common practice,
/// no source), and never under 3 mm.
const MOUTH_BY_THICKNESS: f64 = 2.0;
const LEAST_MOUTH: Length = Length::mm(3.0);
/// Plastic above and below the lowest and highest passage, and between two.
const BETWEEN_PASSAGES: Length = Length::mm(8.0);
/// Least flange that stands over: fillets and a land.
const LEAST_FLANGE: Length = Length::mm(8.0);
/// A flange's least thickness, and how much of its reach is added to that.
const FLANGE_THICKNESS: Length = Length::mm(7.0);
const FLANGE_BY_REACH: f64 = 0.12;

/// A saddle, every dimension settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Saddle {
    /// Radius of the rigid face under the pad.
    pub face_radius: Length,
    /// Half the pad's width, measured as a chord across the trunk.
    pub pad_half_width: Length,
    /// Depth of the pad recess.
    pub recess: Length,
    /// Lower and upper end of the pad's seat; above it the recess runs out at 45 degrees.
    pub recess_z: [Length; 2],
    /// Rim of the recess at the sides.
    pub rim: Length,
    /// From the middle to the side faces.
    pub half_width: Length,
    /// Along the trunk.
    pub height: Length,
    /// Fillet of the shoulders.
    pub shoulder: Length,
    /// Passage: inner and outer wall.
    pub passage_y: [Length; 2],
    /// Passages: floor and roof, lowest first.
    pub passages: Vec<[Length; 2]>,
    /// Radius of the mouth that the strap turns over.
    pub mouth: Length,
    /// Radius of the mouth's outer edge.
    pub outer_mouth: Length,
    /// Where the front lies.
    pub front_y: Length,
    /// Half width of the front.
    pub front_half_width: Length,
    /// Where a flange's back lies, when the front is wider than the sides.
    pub flange_y: Option<Length>,
    /// Fillet of the front's vertical edges.
    pub front_fillet: Length,
    /// Fillet under a flange.
    pub inner_fillet: Length,
}

/// What a saddle must do.
#[derive(Debug, Clone, PartialEq)]
pub struct SaddleNeeds {
    /// Radius of the rigid face under the pad.
    pub face_radius: Length,
    /// Half the pad's width.
    pub pad_half_width: Length,
    /// Least height, for steadiness and for what stands on the front.
    pub height: Length,
    /// Least half width of the front.
    pub front_half_width: Length,
    /// What bears the strap at the mouths, at least.
    pub mouth: MouthNeeds,
    /// How many straps it has.
    pub straps: u32,
}

/// What bears the strap at the mouths, at least; more is taken where a saddle needs it anyway.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MouthNeeds {
    /// Web behind the strap.
    pub web: Length,
    /// Radius over which it turns.
    pub radius: Length,
}

/// Height that so many straps need.
#[must_use]
pub(crate) fn height_for_straps(strap: &Strap, straps: u32) -> Length {
    let n = f64::from(straps);
    n * passage_height(strap) + (n + 1.0) * BETWEEN_PASSAGES
}

/// Radius of the mouth over which the strap turns.
pub(crate) fn mouth_radius(strap: &Strap) -> Length {
    LEAST_MOUTH.max(strap.thickness * MOUTH_BY_THICKNESS)
}

fn pad_angle(face_radius: Length, pad_half_width: Length) -> f64 {
    libm::asin((pad_half_width / face_radius).clamp(-1.0, 1.0))
}

/// How far the face reaches back at the pad's edge.
pub(crate) fn pad_sagitta(face_radius: Length, pad_half_width: Length) -> Length {
    face_radius * (1.0 - libm::cos(pad_angle(face_radius, pad_half_width)))
}

fn passage_height(strap: &Strap) -> Length {
    strap.width + 2.0 * strap.clearance
}

impl Saddle {
    /// The smallest saddle that meets the needs.
    #[must_use]
    pub fn new(needs: &SaddleNeeds, strap: &Strap, printer: &Printer) -> Self {
        let recess = whole_layers(RECESS, printer.layer);
        let lip_radius = (needs.face_radius - recess).get();
        let angle_pad = pad_angle(needs.face_radius, needs.pad_half_width);
        let rim = whole_lines(RIM, printer.line);
        let angle_rim = angle_pad + rim.get() / lip_radius;
        let horn_x = Length::mm(lip_radius * libm::sin(angle_rim));
        let horn_y = Length::mm(lip_radius * libm::cos(angle_rim)) - needs.face_radius;
        let half_width = horn_x + SHOULDER + LAND;

        let mouth = mouth_radius(strap).max(needs.mouth.radius);
        // At the mouths, beside the pad's edge, the web reaches back to the face there.
        let sagitta = pad_sagitta(needs.face_radius, needs.pad_half_width);
        // The inner mouth ends on the flat of the side face, clear of the shoulder.
        let clear = horn_y + SHOULDER + LAND + mouth;
        let inner = whole_lines(WEB.max(clear).max(needs.mouth.web - sagitta), printer.line);
        let outer = inner + strap.thickness + 2.0 * strap.clearance;
        let over = needs.front_half_width - half_width;
        let flat = outer + OUTER_MOUTH + LAND;
        let (front_y, front_half_width, flange_y) = if over > Length::ZERO {
            let over = over.max(LEAST_FLANGE);
            let back = flat + INNER_FILLET;
            let thickness = whole_lines(FLANGE_THICKNESS + over * FLANGE_BY_REACH, printer.line);
            (back + thickness, half_width + over, Some(back))
        } else {
            let web = whole_lines(WEB.max(flat + FRONT_FILLET - outer), printer.line);
            (outer + web, half_width, None)
        };

        let height = needs.height.max(height_for_straps(strap, needs.straps));
        let one = passage_height(strap);
        let free = height - 2.0 * BETWEEN_PASSAGES - one;
        let steps = f64::from(needs.straps.max(2) - 1);
        let passages = (0..needs.straps).map(|i| {
            // A single strap sits in the middle, several spread to both ends.
            let share = if needs.straps == 1 { 0.5 } else { f64::from(i) / steps };
            let floor = BETWEEN_PASSAGES + free * share;
            [floor, floor + one]
        });
        Self {
            face_radius: needs.face_radius,
            pad_half_width: needs.pad_half_width,
            recess,
            recess_z: [rim, height - rim],
            rim,
            half_width,
            height,
            shoulder: SHOULDER,
            passage_y: [inner, outer],
            passages: passages.collect(),
            mouth,
            outer_mouth: OUTER_MOUTH,
            front_y,
            front_half_width,
            flange_y,
            front_fillet: FRONT_FILLET,
            inner_fillet: INNER_FILLET,
        }
    }

    /// Angle from the middle to the pad's edge, seen from the face's axis, in radians.
    #[must_use]
    pub fn pad_angle(&self) -> f64 {
        pad_angle(self.face_radius, self.pad_half_width)
    }

    /// Angle from the middle to the outer end of the rim, in radians.
    #[must_use]
    pub fn rim_angle(&self) -> f64 {
        self.pad_angle() + self.rim / (self.face_radius - self.recess)
    }

    /// How many straps it has.
    #[must_use]
    pub fn straps(&self) -> u32 {
        self.passages.len() as u32
    }

    /// Heights of the straps above the saddle's middle.
    #[must_use]
    pub fn strap_heights(&self) -> Vec<Length> {
        let middle = self.height / 2.0;
        self.passages.iter().map(|[low, high]| (*low + *high) / 2.0 - middle).collect()
    }

    /// The pad as cut: developed length round the face, and height.
    #[must_use]
    pub fn pad_size(&self) -> [Length; 2] {
        let [low, high] = self.recess_z;
        [2.0 * self.pad_angle() * self.face_radius, high - self.recess - low]
    }

    /// Rearmost point of the horns.
    #[must_use]
    pub fn horn_y(&self) -> Length {
        let lip = self.face_radius - self.recess;
        lip * libm::cos(self.rim_angle()) - self.face_radius
    }

    /// Web between recess and passage.
    #[must_use]
    pub fn back_web(&self) -> Length {
        self.passage_y[0]
    }

    /// Web behind the strap where it turns: at the mouths, which lie beyond the pad's edge, it reaches
    /// to the face there; in between, the strap lies straight and does not press.
    #[must_use]
    pub fn mouth_web(&self) -> Length {
        let edge = self.face_radius * libm::cos(self.pad_angle());
        self.passage_y[0] + (self.face_radius - edge)
    }

    /// Web between passage and front.
    #[must_use]
    pub fn front_web(&self) -> Length {
        self.front_y - self.passage_y[1]
    }
}

/// Rounds up to whole extrusion lines.
#[must_use]
pub(crate) fn whole_lines(wall: Length, line: Length) -> Length {
    line * (wall / line - 1e-9).ceil().max(1.0)
}

/// Rounds up to whole layers.
#[must_use]
pub(crate) fn whole_layers(height: Length, layer: Length) -> Length {
    layer * (height / layer - 1e-9).ceil().max(1.0)
}
