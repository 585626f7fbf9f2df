//! Everything that hangs on one trunk, where it hangs: for pictures and for the viewer.
//!
//! Scene axes: the trunk's axis is Z, up; the first cradle and the box look toward +Y; Z = 0 is the
//! lower end of the cradle. Millimetres. Bearings run counter-clockwise seen from above.
//!
//! Printed parts are their exact solids, meshed coarser than for printing. Pads are drawn as they are
//! squeezed by [`Face::fit`](crate::engineering::fit::Face::fit), straps on the hull of
//! [`crate::engineering::strap`]. Lamp, pack and controller are drawn as the boxes that were measured.
//! Not shown: buckles, cables, lean and taper of the trunk. Where the box hangs below the cradle is the
//! user's choice; the picture leaves `BELOW` free between the two.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use super::mounted::{Mounted, section};
use super::shapes::{bar, cuboid, loft, with};
use super::{DocumentError, Subject};
use crate::mesh::TriMesh;
use crate::parts::tilt_plate;
use crate::plan::enclosure::{Cuboid, site_pose};
use crate::plan::saddle::Saddle;
use crate::plan::yoke::SideBox;
use crate::produce::{Made, part_name};
use crate::space::{Pose, Vec3, v};
use crate::units::{Angle, Length};

/// Largest gap between an exact surface and the mesh that is shown.
pub const SHOWN_DEVIATION: Length = Length::mm(0.2);
/// Free height between what hangs above and the box. Common practice, no source.
const BELOW: Length = Length::mm(60.0);
/// Trunk shown above and below what hangs on it, mm.
const TRUNK_BEYOND: f64 = 70.0;
/// Sides of the trunk.
const ROUND: usize = 180;
/// Frame round the lamp's window and how far the window stands out, mm.
const WINDOW: [f64; 2] = [7.0, 1.5];

/// What a piece of a scene is; decides its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stuff {
    /// The trunk.
    Bark,
    /// A printed part that holds.
    Print,
    /// A printed part beside it, told apart.
    SecondPrint,
    /// Foam.
    Foam,
    /// Webbing.
    Webbing,
    /// The lamp's body.
    Lamp,
    /// The lamp's window.
    Glow,
    /// Bolts.
    Steel,
    /// Battery.
    Pack,
    /// Controller.
    Board,
    /// A printed part that an error bars.
    Barred,
}

impl Stuff {
    /// Red, green, blue.
    #[must_use]
    pub const fn colour(self) -> [u8; 3] {
        match self {
            Self::Bark => [150, 124, 98],
            Self::Print => [64, 140, 158],
            Self::SecondPrint => [142, 186, 186],
            Self::Foam => [78, 80, 84],
            Self::Webbing => [222, 162, 60],
            Self::Lamp => [176, 180, 188],
            Self::Glow => [255, 240, 176],
            Self::Steel => [206, 208, 212],
            Self::Pack => [190, 84, 66],
            Self::Board => [92, 150, 84],
            Self::Barred => [206, 48, 40],
        }
    }
}

/// A body of a scene.
#[derive(Debug, Clone)]
pub struct Piece {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub stuff: Stuff,
    /// 1 is solid.
    pub opacity: f64,
    /// Its mesh, in scene axes.
    pub mesh: TriMesh,
}

impl Piece {
    fn new(name: impl Into<String>, stuff: Stuff, mesh: TriMesh) -> Self {
        Self { name: name.into(), stuff, opacity: 1.0, mesh }
    }

    /// A printed part, in the colour of what is barred where an error bars it.
    pub(super) fn print(
        subject: &Subject<'_>,
        part: &str,
        name: impl Into<String>,
        stuff: Stuff,
        mesh: TriMesh,
    ) -> Self {
        Self::new(name, if subject.bars(part) { Stuff::Barred } else { stuff }, mesh)
    }

    fn glass(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }
}

/// Meshes of the parts in their own axes, coarse enough to be looked at only.
#[derive(Debug, Clone)]
pub struct Stock {
    meshes: BTreeMap<String, TriMesh>,
}

impl Stock {
    /// The mesh of one part in its own axes.
    ///
    /// # Errors
    /// [`DocumentError`] when the part cannot be meshed so coarsely.
    pub fn mesh_of(made: &Made) -> Result<(String, TriMesh), DocumentError> {
        let part = &made.order.part;
        let mesh = made.body.tessellate(SHOWN_DEVIATION);
        let mesh = mesh.map_err(|e| DocumentError::at(&part.name)(&e))?.mesh;
        Ok((part.name.clone(), mesh.posed(&part.print.inverse())))
    }

    /// From the meshes of [`Self::mesh_of`].
    #[must_use]
    pub fn new(meshes: impl IntoIterator<Item = (String, TriMesh)>) -> Self {
        Self { meshes: meshes.into_iter().collect() }
    }

    /// A part in its own axes; none when it was not made.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&TriMesh> {
        self.meshes.get(name)
    }
}

/// The trunk with its cradles and lamps: the lamp at the lowest setting, and as glass at the highest.
///
/// # Errors
/// [`DocumentError`] when a sum that placed the parts cannot be done again.
pub fn cradles(
    subject: &Subject<'_>,
    stock: &Stock,
    trunk: usize,
) -> Result<Vec<Piece>, DocumentError> {
    let mut pieces = Vec::new();
    if let Some(span) = add_cradles(subject, stock, trunk, &mut pieces)? {
        pieces.push(bole(subject, trunk, span));
    }
    Ok(pieces)
}

/// The trunk with its box, and below its cradles when it has any. The lid is glass.
///
/// # Errors
/// As [`cradles`].
pub fn whole(
    subject: &Subject<'_>,
    stock: &Stock,
    trunk: usize,
) -> Result<Vec<Piece>, DocumentError> {
    let mut pieces = Vec::new();
    let above = add_cradles(subject, stock, trunk, &mut pieces)?;
    let below = add_box(subject, stock, trunk, above.map_or(0.0, |a| a[0]), &mut pieces)?;
    let spans = [above, below];
    let low = spans.iter().flatten().map(|s| s[0]).fold(f64::INFINITY, f64::min);
    let high = spans.iter().flatten().map(|s| s[1]).fold(f64::NEG_INFINITY, f64::max);
    if low < high {
        pieces.push(bole(subject, trunk, [low, high]));
    }
    Ok(pieces)
}

/// The piece of trunk behind what hangs between these heights.
fn bole(subject: &Subject<'_>, index: usize, [low, high]: [f64; 2]) -> Piece {
    let trunk = &subject.job.trunks[index];
    let section = section(trunk);
    let ring = |z: f64| {
        let [a, b] = [section.toward, section.across].map(|d| d.get() / 2.0);
        let point = |i: usize| {
            let (s, c) = libm::sincos(TAU * i as f64 / ROUND as f64);
            [-b * s, a * c, z]
        };
        (0..ROUND).map(point).collect()
    };
    let mesh = loft(&[ring(low - TRUNK_BEYOND), ring(high + TRUNK_BEYOND)], false);
    Piece::new(trunk.name.clone(), Stuff::Bark, mesh)
}

/// Adds cradles, pads, straps, lamps; gives the heights between which they hang.
fn add_cradles(
    subject: &Subject<'_>,
    stock: &Stock,
    index: usize,
    pieces: &mut Vec<Piece>,
) -> Result<Option<[f64; 2]>, DocumentError> {
    let (job, plan) = (subject.job, subject.plan);
    let trunk = &job.trunks[index];
    let class = plan.trunks.get(index).and_then(|t| t.cradle).and_then(|c| plan.cradles.get(c));
    let Some(class) = class.filter(|_| trunk.fixtures > 0) else { return Ok(None) };
    let name = part_name("cradle", &class.class);
    let mounted = Mounted::new(subject, trunk, &class.class.size, &class.saddle)?;
    let bearings: Vec<Angle> = (0..trunk.fixtures)
        .map(|i| Angle::radians(TAU * f64::from(i) / f64::from(trunk.fixtures)))
        .collect();
    let numbered = |what: &str, i: usize| match bearings.len() {
        1 => what.to_owned(),
        _ => format!("{what} ({})", i + 1),
    };
    let mut span = [0.0, class.saddle.height.get()];
    for (i, &bearing) in bearings.iter().enumerate() {
        let pose = mounted.pose(bearing, 0.0);
        if let Some(mesh) = stock.get(&name) {
            let mesh = mesh.posed(&pose);
            pieces.push(Piece::print(subject, &name, numbered(&name, i), Stuff::Print, mesh));
        }
        pieces.push(Piece::new(numbered("pad", i), Stuff::Foam, mounted.pad().posed(&pose)));
        for (tilt, opacity) in [(job.tilt.min, 1.0), (job.tilt.max, GHOST)] {
            for piece in lamp(subject, stock, &class.saddle, tilt) {
                let mesh = piece.mesh.posed(&pose);
                let heights = mesh.vertices.iter().map(|p| p[2]);
                span = heights.fold(span, |[a, b], z| [a.min(z), b.max(z)]);
                let name = format!("{} at {:.0}", numbered(&piece.name, i), tilt);
                pieces.push(Piece { name, mesh, ..piece }.glass(opacity));
            }
        }
    }
    let straps = mounted.straps(subject, &bearings, 0.0)?;
    pieces.push(Piece::new("straps", Stuff::Webbing, straps));
    Ok(Some(span))
}

/// How much the lamp at its highest setting is seen.
const GHOST: f64 = 0.28;

/// Lamp, window, bolts and tilt plate at a tilt, in the cradle's axes.
fn lamp(subject: &Subject<'_>, stock: &Stock, saddle: &Saddle, tilt: Angle) -> Vec<Piece> {
    let (job, yoke) = (subject.job, &subject.plan.yoke);
    let pivot = v(0.0, (saddle.front_y + yoke.reach).get(), yoke.pivot_z.get());
    // The beam along +Y rises with the tilt: a right-handed turn about +X.
    let pose = Pose::turn(Vec3::X, tilt.rad()).then(&Pose::shift(pivot));
    let mut pieces = Vec::new();
    if let Some(body) = yoke.swing.first() {
        let [low, high] = corners(body);
        pieces.push(Piece::new(job.fixture.name.clone(), Stuff::Lamp, cuboid(low, high)));
        let [rim, out] = WINDOW;
        let rim = rim.min((high[0] - low[0]) / 6.0).min((high[2] - low[2]) / 6.0);
        let low = [low[0] + rim, high[1], low[2] + rim];
        let high = [high[0] - rim, high[1] + out, high[2] - rim];
        pieces.push(Piece::new("window", Stuff::Glow, cuboid(low, high)));
    }
    if let (Some(plate), Some(mesh)) = (&yoke.plate, stock.get("tilt-plate")) {
        let mesh = mesh.posed(&tilt_plate::to_pivot(plate));
        pieces.push(Piece::print(subject, "tilt-plate", "tilt-plate", Stuff::SecondPrint, mesh));
    }
    pieces.push(Piece::new("bolts", Stuff::Steel, bolts(subject)));
    pieces.iter_mut().for_each(|piece| piece.mesh = piece.mesh.posed(&pose));
    pieces
}

/// Pivot and lock bolts with washers and heads on both ears, about the pivot.
fn bolts(subject: &Subject<'_>) -> TriMesh {
    let yoke = &subject.plan.yoke;
    let (washer, head) = (yoke.thread.washer(), yoke.thread.cap_head());
    let mut places = vec![[0.0, 0.0]];
    places.extend(
        yoke.lock.map(|lock| {
            [lock.radius.get() * lock.angle.cos(), lock.radius.get() * lock.angle.sin()]
        }),
    );
    let (inside, outside) = (yoke.gap.get() / 2.0, yoke.outside().get());
    let mut all = TriMesh::default();
    for at in places {
        for side in [-1.0, 1.0] {
            let thick = washer.thickness.get();
            for (from, to, radius) in [
                (inside - 2.0, outside + thick, yoke.thread.diameter().get() / 2.0),
                (outside, outside + thick, washer.outer.get() / 2.0),
                (outside + thick, outside + thick + head.height.get(), head.diameter.get() / 2.0),
            ] {
                all = with(all, &bar([side * from, side * to], at, radius));
            }
        }
    }
    all
}

/// Corners of a box about the pivot.
fn corners(b: &SideBox) -> [[f64; 3]; 2] {
    let half = b.half_width.get();
    [[-half, b.y[0].get(), b.z[0].get()], [half, b.y[1].get(), b.z[1].get()]]
}

/// Adds box, rails, pads, straps and contents below `under`; gives the heights between which they
/// hang.
fn add_box(
    subject: &Subject<'_>,
    stock: &Stock,
    index: usize,
    under: f64,
    pieces: &mut Vec<Piece>,
) -> Result<Option<[f64; 2]>, DocumentError> {
    let (job, plan) = (subject.job, subject.plan);
    let trunk = &job.trunks[index];
    let class = plan.trunks.get(index).and_then(|t| t.rail).and_then(|r| plan.rails.get(r));
    let (Some(enclosure), Some(class)) = (&plan.enclosure, class) else { return Ok(None) };
    let saddle = &class.rail.saddle;
    let mounted = Mounted::new(subject, trunk, &class.class.size, saddle)?;
    let rim = &enclosure.flange.rim;
    let top = under - BELOW.get();
    // The middle of the cavity, in height.
    let middle = top - (rim.center[1] + rim.half[1]).get();

    let name = part_name("rail", &class.class);
    for (row, which) in enclosure.rail_rows_y.iter().zip(["lower", "upper"]) {
        let z = middle + (*row - saddle.height / 2.0).get();
        let pose = mounted.pose(Angle::ZERO, z);
        if let Some(mesh) = stock.get(&name) {
            let mesh = mesh.posed(&pose);
            let shown = format!("{name} ({which})");
            pieces.push(Piece::print(subject, &name, shown, Stuff::SecondPrint, mesh));
        }
        let pad = mounted.pad().posed(&pose);
        pieces.push(Piece::new(format!("pad of {which} rail"), Stuff::Foam, pad));
        let strap = mounted.straps(subject, &[Angle::ZERO], z)?;
        pieces.push(Piece::new(format!("strap of {which} rail"), Stuff::Webbing, strap));
    }
    let back = mounted.face(Angle::ZERO) + saddle.front_y;
    let pose = site_pose().then(&Pose::shift(v(0.0, back.get(), middle)));
    if let Some(mesh) = stock.get("box-body") {
        let mesh = mesh.posed(&pose);
        pieces.push(Piece::print(subject, "box-body", "box-body", Stuff::Print, mesh));
    }
    if let Some(mesh) = stock.get("box-lid") {
        let on_land = Pose::shift(v(0.0, 0.0, enclosure.depth.get())).then(&pose);
        let mesh = mesh.posed(&on_land);
        let lid = Piece::print(subject, "box-lid", "box-lid", Stuff::SecondPrint, mesh);
        pieces.push(lid.glass(LID));
    }
    let cuboid = |c: &Cuboid| cuboid(c.low.map(Length::get), c.high.map(Length::get));
    let mut content = |name: &str, stuff: Stuff, c: &Cuboid| {
        pieces.push(Piece::new(name, stuff, cuboid(c).posed(&pose)));
    };
    let battery = job.battery.as_ref().map_or("battery", |b| b.name.as_str());
    content(battery, Stuff::Pack, &enclosure.battery.body);
    if let Some(plate) = &enclosure.battery.plate {
        content("receiver", Stuff::Steel, plate);
    }
    if let (Some(there), Some(controller)) = (&enclosure.controller, &job.controller) {
        content(&controller.name, Stuff::Board, &there.body);
    }
    Ok(Some([top - 2.0 * rim.half[1].get(), top]))
}

/// How much of the lid is seen.
const LID: f64 = 0.3;
