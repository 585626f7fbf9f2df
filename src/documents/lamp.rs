//! The lamp in its cradle: its body as the box that was measured, with a window, its bolts and its
//! tilt plate.

use super::Subject;
use super::scene::{Appearance, Piece, PreviewMeshes};
use super::shapes::{bar, cuboid, with};
use crate::design::cradle::yoke::SweptBody;
use crate::design::part::PartId;
use crate::design::saddle::Saddle;
use crate::design::tilt_plate::drawing;
use crate::mesh::TriMesh;
use crate::space::{Pose, Vec3, v};
use crate::units::Angle;

/// Frame round the lamp's window and how far the window stands out, mm.
const WINDOW: [f64; 2] = [7.0, 1.5];

/// Lamp, window, bolts and tilt plate at a tilt, in the cradle's axes.
pub(super) fn lamp(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
    saddle: &Saddle,
    tilt: Angle,
) -> Vec<Piece> {
    let (job, yoke) = (subject.job, &subject.plan.yoke);
    let pivot = v(0.0, (saddle.front_y + yoke.reach).get(), yoke.pivot_z.get());
    // The beam along +Y rises with the tilt: a right-handed turn about +X.
    let pose = Pose::turn(Vec3::X, tilt.rad()).then(&Pose::shift(pivot));
    let mut pieces = Vec::new();
    if let Some(body) = yoke.swing.first() {
        let [low, high] = corners(body);
        pieces.push(Piece::new(job.fixture.name.clone(), Appearance::Lamp, cuboid(low, high)));
        let [rim, out] = WINDOW;
        let rim = rim.min((high[0] - low[0]) / 6.0).min((high[2] - low[2]) / 6.0);
        let low = [low[0] + rim, high[1], low[2] + rim];
        let high = [high[0] - rim, high[1] + out, high[2] - rim];
        pieces.push(Piece::new("window", Appearance::Glow, cuboid(low, high)));
    }
    if let (Some(plate), Some(mesh)) = (&yoke.plate, preview_meshes.get(&PartId::TiltPlate)) {
        let mesh = mesh.posed(&drawing::to_pivot(plate));
        pieces.push(Piece::part(subject, &PartId::TiltPlate, Appearance::SecondPrint, mesh));
    }
    pieces.push(Piece::new("bolts", Appearance::Steel, bolts(subject)));
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
fn corners(b: &SweptBody) -> [[f64; 3]; 2] {
    let half = b.half_width.get();
    [[-half, b.y[0].get(), b.z[0].get()], [half, b.y[1].get(), b.z[1].get()]]
}
