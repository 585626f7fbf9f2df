//! The box: a gasketed tray and lid for battery and controller, every dimension derived.
//!
//! Box axes: X to the right seen from outside, Y up the trunk when mounted, Z outward; the middle of
//! the cavity is X = Y = 0 and the back lies at Z = 0. The body prints as it stands in these axes,
//! open side up. [`site_pose`] turns box axes into site axes.
//!
//! Method: the contents, standing on posts, are laid out in every way that the box can hold them;
//! each layout gives a cavity, each cavity a flange, and the smallest box that fits the bed is taken
//! (`layout`). Walls are whole extrusion lines, heights whole layers. Every choice leaves a
//! [`Derived`] with its reason.
//!
//! Guaranteed: contents, posts, bosses and glands do not meet each other when the hole patterns are
//! sound (the checks measure that); all numbers are finite. Not guaranteed: that the box fits the
//! bed. When no layout does, the one that lacks least is returned and the check says by how much.

pub(crate) mod body_drawing;
mod flange;
mod glands;
pub(crate) mod knob;
mod layout;
pub(crate) mod lid_drawing;
mod mount;
mod piece;
pub(crate) mod rounded;
mod stand;

use crate::bisection::border;
use crate::design::Derived;
use crate::design::saddle::whole_layers;
use crate::engineering::seal::{self, Closing};
use crate::params::{Battery, Job, Printer};
use crate::solid::{Frame, Pose, Vec3, v};
use crate::standards::{GlandSize, Thread};
use crate::units::{Force, Length, Mass};

pub(crate) use flange::RING;
pub(crate) use glands::GLAND_GAP;
pub(crate) use mount::GLAND_INSIDE;
pub(crate) use rounded::{RoundedRect, Side};

/// Least wall and floor of a printed box that is carried, strapped and leaned on: five to six lines
/// of the usual nozzle. Common practice, no source.
pub(crate) const WALL_LEAST: Length = Length::mm(2.4);
/// Plastic left behind a blind hole: eight layers of the usual height. Common practice, no source.
pub(crate) const SKIN_LEAST: Length = Length::mm(1.6);
/// Plastic on either side of the groove: the least wall, so that a pressed-in insert does not bulge
/// the groove's wall.
pub(crate) const LAND_LEAST: Length = WALL_LEAST;
/// A hand that pushes on the lid's middle, or pulls at the pack: common practice, no source.
pub(crate) const HAND: Force = Force::newtons(50.0);
/// Free height above the contents: wires, and the lid when it is leaned on.
pub(crate) const LID_CLEARANCE: Length = Length::mm(4.0);
/// Free space between contents and walls: print and size tolerance, and a finger nail.
pub(crate) const WALL_CLEARANCE: Length = Length::mm(3.0);
/// Free space between battery and controller: a wire and its plug.
pub(crate) const COMPONENT_GAP: Length = Length::mm(6.0);
/// Free space between posts, bosses and walls, so that the nozzle passes and strings break off.
pub(crate) const POST_GAP: Length = Length::mm(1.0);
/// Free height of the contents above the rail bosses.
pub(crate) const COMPONENT_CLEARANCE: Length = Length::mm(1.0);

/// Why no box can be planned.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum EnclosureError {
    /// The job has no battery.
    #[error("the job has no battery to put into it")]
    NoBattery,
    /// The table has no heat-set insert for the lid's screw.
    #[error("no heat-set insert is known for the lid screw {0}")]
    NoInsert(Thread),
    /// Posts leave no floor for the rails' bosses.
    #[error(
        "the posts of battery and controller leave no floor for rail bosses {least_x} or more from the middle"
    )]
    NoRailFloor {
        /// Where the bosses would have to stand, from the middle outwards.
        least_x: Length,
    },
    /// Cord and squeeze make no groove, or the lid no pitch of its screws.
    #[error(transparent)]
    Seal(#[from] seal::SealError),
}

/// The whole box.
#[derive(Debug, Clone, PartialEq)]
pub struct Enclosure {
    /// How the contents lie.
    pub layout: Layout,
    /// Thickness of the walls.
    pub wall: Length,
    /// Thickness of the back.
    pub floor: Length,
    /// From the back to the sealing land.
    pub depth: Length,
    /// Inner face of the walls.
    pub cavity: RoundedRect,
    /// Ring on which lid and gasket sit.
    pub flange: Flange,
    /// Where the gasket cord lies.
    pub groove: Groove,
    /// Screws that hold the lid.
    pub screws: SealScrews,
    /// The lid.
    pub lid: Lid,
    /// Eye for the safety lanyard, through flange and lid.
    pub lanyard: Lanyard,
    /// Battery on its receiver.
    pub battery: Component,
    /// Controller, when there is one.
    pub controller: Option<Component>,
    /// Glands in the downward wall, in the order of the job's glands.
    pub glands: Vec<GlandHole>,
    /// Vent in the downward wall.
    pub vent: Option<VentHole>,
    /// Distance of the rail screws from the middle.
    pub rail_screw_x: Length,
    /// Heights of the lower and the upper rail's screws.
    pub rail_rows_y: [Length; 2],
    /// Thread of the rail screws.
    pub rail_thread: Thread,
    /// Bosses inside the floor for the rail screws; their holes open at the back.
    pub rail_boss: Standoff,
    /// Free height between the downward wall and the contents, where cables bend.
    pub bend_room: Length,
    /// How far the pack must slide along its length to come off its receiver.
    pub slide: Length,
    /// Mass of battery and controller.
    pub contents: Mass,
    /// Why everything is as it is.
    pub reasons: Vec<Derived>,
}

/// How the contents lie in the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layout {
    /// How the pack lies.
    pub battery: PackPose,
    /// Where the controller is.
    pub controller: Option<ControllerPosition>,
    /// The controller's length runs up the trunk.
    pub controller_upright: bool,
    /// Rows of cable glands.
    pub gland_rows: usize,
}

/// How the pack lies, and so which way it slides off its receiver: never down, where a latch that fails
/// would drop it on the cables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PackPose {
    /// Its receiver on posts, its length up the trunk; it slides up.
    Upright,
    /// Its receiver on posts, its length across; it slides to the left.
    Across,
    /// Its receiver on a stand, its length up the trunk, standing on edge; it slides up.
    OnEdge,
    /// Its receiver on a stand, its length out of the trunk; it slides out toward the lid.
    EndOn,
}

impl PackPose {
    /// In the order in which they are preferred: a shallow box levers least at its rails.
    pub const ALL: [Self; 4] = [Self::Upright, Self::Across, Self::OnEdge, Self::EndOn];

    /// The box axis along which it slides, and which way.
    #[must_use]
    pub const fn slide(self) -> (usize, f64) {
        match self {
            Self::Upright | Self::OnEdge => (1, 1.0),
            Self::Across => (0, -1.0),
            Self::EndOn => (2, 1.0),
        }
    }

    /// Whether its receiver is screwed to a stand.
    #[must_use]
    pub const fn stands(self) -> bool {
        matches!(self, Self::OnEdge | Self::EndOn)
    }

    /// How far the pack reaches along X, Y and Z.
    const fn size(self, pack: &Battery) -> [Length; 3] {
        let (length, width, height) = (pack.length, pack.width, pack.height);
        match self {
            Self::Upright => [width, length, height],
            Self::Across => [length, width, height],
            Self::OnEdge => [height, length, width],
            Self::EndOn => [height, width, length],
        }
    }
}

/// Where the controller is, seen from the battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ControllerPosition {
    /// At its right.
    Beside,
    /// Below it.
    Under,
}

/// The ring round the open side; it grows out of the walls so that it prints without support.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flange {
    /// Outer edge of flange and lid.
    pub rim: RoundedRect,
    /// Height at which the underside leaves the walls.
    pub root: Length,
    /// Height of the rim's upright face.
    pub face: Length,
}

/// The gasket groove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Groove {
    /// Centre line of the cord.
    pub centre_line: RoundedRect,
    /// Its section; the depth is whole layers.
    pub section: seal::Groove,
}

impl Groove {
    /// Outer edge of the groove.
    #[must_use]
    pub fn outer(&self) -> RoundedRect {
        self.centre_line.grown(self.section.width / 2.0)
    }
    /// Inner edge of the groove.
    #[must_use]
    pub fn inner(&self) -> RoundedRect {
        self.centre_line.grown(self.section.width / -2.0)
    }
}

/// Fasteners that press the lid on the gasket.
#[derive(Debug, Clone, PartialEq)]
pub struct SealScrews {
    /// Knobs, or screws alone.
    pub closing: Closing,
    /// Thread.
    pub thread: Thread,
    /// Where they are, counter-clockwise from the lower left corner.
    pub points: Vec<[Length; 2]>,
    /// Longest distance between neighbours along the screw line.
    pub pitch: Length,
    /// Longest distance that the lid's stiffness allows.
    pub pitch_limit: Length,
    /// Load of the gasket, newtons a millimetre.
    pub line_load: f64,
    /// Outside diameter of the insert.
    pub insert_outer: Length,
    /// Length of the insert.
    pub insert_length: Length,
    /// Diameter of the hole for the insert.
    pub bore: Length,
    /// Depth of that hole.
    pub bore_depth: Length,
}

/// The lid, in box axes shifted so that its land is at Z = 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lid {
    /// Thickness over flange and fasteners.
    pub thickness: Length,
    /// Its edge as a beam between fasteners, as stiff as it is after months; with the skirt's thickness and
    /// depth.
    pub edge: seal::Strip,
    /// Outer edge of the skirt.
    pub cover: RoundedRect,
    /// Inner face of the skirt.
    pub over_rim: RoundedRect,
    /// Thickness in the middle.
    pub panel: Length,
    /// Recess on the inside that leaves the panel; none when the lid is flat.
    pub recess: Option<RoundedRect>,
    /// Diameter of the clearance holes (ISO 273, medium).
    pub hole: Length,
    /// Diameter of the pockets for the rings that keep the screws in the lid.
    pub ring: Length,
    /// Depth of those pockets in the land.
    pub ring_depth: Length,
    /// Chamfer of the outer edge.
    pub chamfer: Length,
    /// Half width and half height of the free rectangle for a mark.
    pub mark_half: [Length; 2],
}

impl Lid {
    /// Depth of the recess on the inside.
    #[must_use]
    pub fn recess_depth(&self) -> Length {
        self.thickness - self.panel
    }

    /// Where a mark may be engraved: the frame of the inner face in the lid's axes (u to the right, v
    /// up, seen from inside) and half the free width and height.
    #[must_use]
    pub fn mark_area(&self) -> (Frame, [Length; 2]) {
        let middle = v(0.0, 0.0, self.recess_depth().get());
        (Frame::new(middle, -Vec3::X, Vec3::Y), self.mark_half)
    }
}

/// An eye through flange and lid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lanyard {
    /// Its middle.
    pub at: [Length; 2],
    /// Width over its flats.
    pub diameter: Length,
}

/// A cuboid along the box axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cuboid {
    /// Lowest corner.
    pub low: [Length; 3],
    /// Highest corner.
    pub high: [Length; 3],
}

impl Cuboid {
    /// How far this one moves along an axis until it meets another; none when it passes by, or has passed.
    fn way_to(&self, other: &Self, axis: usize, sign: f64) -> Option<Length> {
        let beside = |i: usize| self.low[i] < other.high[i] && other.low[i] < self.high[i];
        let passes = (0..3).any(|i| i != axis && !beside(i));
        let way = if sign > 0.0 {
            other.low[axis] - self.high[axis]
        } else {
            self.low[axis] - other.high[axis]
        };
        let behind = if sign > 0.0 {
            other.high[axis] <= self.low[axis]
        } else {
            self.high[axis] <= other.low[axis]
        };
        (!passes && !behind).then_some(way.max(Length::ZERO))
    }
}

/// A thing in the box, screwed to posts on the floor or to a stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// The thing itself.
    pub body: Cuboid,
    /// The plate under it (the battery's receiver).
    pub plate: Option<Cuboid>,
    /// The hole pattern as it lies in the box, along [`Component::axes`].
    pub holes: Vec<[Length; 2]>,
    /// What each screw goes into: a post, or a hole in the stand.
    pub post: Standoff,
    /// The stand, when the plate does not lie on posts.
    pub stand: Option<Cuboid>,
}

impl Component {
    /// The box axes in which the holes are told: X and Y on posts, Y and Z on a stand.
    #[must_use]
    pub const fn axes(&self) -> [usize; 2] {
        if self.stand.is_some() { [1, 2] } else { [0, 1] }
    }

    /// Middles of the posts on the floor; none with a stand.
    #[must_use]
    pub fn posts(&self) -> &[[Length; 2]] {
        if self.stand.is_some() { &[] } else { &self.holes }
    }
}

/// A round post or boss on the inner floor with a blind hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standoff {
    /// Thread of its screw.
    pub thread: Thread,
    /// Radius.
    pub radius: Length,
    /// Height above the inner floor.
    pub height: Length,
    /// Diameter of the hole.
    pub bore: Length,
    /// Depth of the hole.
    pub bore_depth: Length,
    /// The hole takes a heat-set insert; otherwise the screw forms its own thread.
    pub insert: bool,
}

/// A hole in the downward wall: round below, a roof above that prints without support.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallHole {
    /// Gland or vent size.
    pub size: GlandSize,
    /// X and Z of its middle.
    pub at: [Length; 2],
    /// Radius of its round part.
    pub radius: Length,
    /// Height of the flat roof above the middle.
    pub roof: Length,
    /// Half the width of the flat roof.
    pub roof_half: Length,
}

/// A cable gland.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlandHole {
    /// Index of its `[[gland]]` in the job.
    pub index: usize,
    /// The hole.
    pub hole: WallHole,
}

/// The vent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VentHole {
    /// The hole.
    pub hole: WallHole,
    /// How far its seat stands out of the wall.
    pub seat: Length,
    /// Radius of the seat's face.
    pub seat_radius: Length,
    /// Radius where the seat leaves the wall.
    pub foot_radius: Length,
}

impl WallHole {
    /// Radius over the corners of the gland's hexagon: what it needs round its middle.
    #[must_use]
    pub fn corner_radius(&self) -> Length {
        glands::corner_radius(self.size)
    }
}

impl Enclosure {
    /// Outer face of the walls.
    #[must_use]
    pub fn outer(&self) -> RoundedRect {
        self.cavity.grown(self.wall)
    }
    /// All holes in the downward wall, glands first.
    pub fn wall_holes(&self) -> impl Iterator<Item = &WallHole> {
        self.glands.iter().map(|e| &e.hole).chain(self.vent.iter().map(|v| &v.hole))
    }
    /// Battery, and the controller when there is one.
    pub fn components(&self) -> impl Iterator<Item = &Component> {
        std::iter::once(&self.battery).chain(&self.controller)
    }
    /// Width and height over the lid, as it lies on the bed.
    #[must_use]
    pub fn footprint(&self) -> [Length; 2] {
        self.lid.cover.half.map(|h| 2.0 * h)
    }
    /// Room that glands and their locknuts take inside the downward wall.
    pub fn locknut_rooms(&self) -> impl Iterator<Item = Cuboid> {
        let wall = self.cavity.centre[1] - self.cavity.half[1];
        self.wall_holes().map(move |hole| {
            let r = hole.corner_radius();
            let [x, z] = hole.at;
            Cuboid { low: [x - r, wall, z - r], high: [x + r, wall + GLAND_INSIDE, z + r] }
        })
    }

    /// How far the pack slides, at most its length, before it meets a wall, the controller, a post or a
    /// gland; toward the lid nothing is in its way.
    #[must_use]
    pub fn slide_room(&self) -> Length {
        let pack = &self.battery.body;
        let (axis, sign) = self.layout.battery.slide();
        let length = pack.high[axis] - pack.low[axis];
        let others = self.controller.iter();
        let solids = others.clone().flat_map(|c| std::iter::once(c.body).chain(c.plate));
        let posts = self.components().flat_map(|thing| {
            let (top, r) = (self.floor + thing.post.height, thing.post.radius);
            thing.posts().iter().map(move |[x, y]| Cuboid {
                low: [*x - r, *y - r, self.floor],
                high: [*x + r, *y + r, top],
            })
        });
        let obstacles = solids.chain(posts).chain(self.locknut_rooms());
        let free = obstacles.filter_map(|o| pack.way_to(&o, axis, sign)).fold(length, Length::min);
        if axis == 2 { free } else { free.min(self.way_to_wall(pack, axis, sign)) }
    }

    /// How far a cuboid within the cavity moves along X or Y until an edge of it meets the wall.
    fn way_to_wall(&self, moved: &Cuboid, axis: usize, sign: f64) -> Length {
        let across = 1 - axis;
        let front = if sign > 0.0 { moved.high[axis] } else { moved.low[axis] };
        let inside = |way: f64| {
            [moved.low[across], moved.high[across]].iter().all(|&side| {
                let mut corner = [side; 2];
                corner[axis] = front + Length::mm(sign * way);
                self.cavity.distance(corner) <= Length::ZERO
            })
        };
        let most = 2.0 * self.cavity.half[axis].get();
        Length::mm(border(0.0, most, 60, inside)[0])
    }

    /// Height of the posts, and of the free floor under a pack that stands.
    #[must_use]
    pub fn post_height(&self) -> Length {
        let lowest = self.battery.plate.as_ref().unwrap_or(&self.battery.body).low[2];
        lowest - self.floor
    }

    /// How many fasteners close the lid.
    #[must_use]
    pub fn fasteners(&self) -> u32 {
        self.screws.points.len() as u32
    }
    /// From the back to the lid's outer face.
    #[must_use]
    pub fn overall_depth(&self) -> Length {
        self.depth + self.lid.thickness
    }
}

/// From box axes to site axes, the back in the plane Y = 0: box Y goes up the trunk (site Z), box Z
/// outward (site Y). A right-handed turn then takes box X to site -X.
#[must_use]
pub(crate) const fn site_pose() -> Pose {
    Pose { rows: [v(-1.0, 0.0, 0.0), v(0.0, 0.0, 1.0), v(0.0, 1.0, 0.0)], shift: v(0.0, 0.0, 0.0) }
}

/// Plans the box with a lid that is closed this way; the rails' screws must stand at least
/// `rail_min_screw_x` from the middle.
///
/// # Errors
/// [`EnclosureError`] when no box can be planned.
pub(crate) fn plan(
    job: &Job,
    closing: Closing,
    rail_min_screw_x: Length,
) -> Result<Enclosure, EnclosureError> {
    layout::plan(job, closing, rail_min_screw_x)
}

/// How far a printed groove may be off its depth: half a layer, where the slicer rounds.
#[must_use]
pub(crate) fn print_tolerance(printer: &Printer) -> Length {
    printer.layer / 2.0
}

/// Width of the flat roof that the printer bridges over a hole for this gland.
#[must_use]
pub(crate) fn roof_width(size: GlandSize, printer: &Printer) -> Length {
    2.0 * glands::wall_hole(size, [0.0, 0.0], printer).roof_half
}

/// Rounds up to whole layers of this printer.
fn layers(height: f64, printer: &Printer) -> f64 {
    whole_layers(Length::mm(height), printer.layer).get()
}

#[cfg(test)]
pub(crate) mod tests;
