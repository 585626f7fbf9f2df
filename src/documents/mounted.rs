//! A saddle pressed on a trunk, for pictures: where it stands, its squeezed pad and its straps.
//!
//! Scene axes of [`super::assembly`]. The pad is squeezed by the middle of its range; the straps lie on the
//! hull of [`crate::engineering::strap`], with the same seats as in the sums.

use std::f64::consts::TAU;

use super::fittings::{Station, buckle, tail};
use super::shapes::{loft, with};
use super::{DocumentError, Subject};
use crate::design::arrangement::Pressed;
use crate::design::saddle::Saddle;
use crate::engineering::strap::outline;
use crate::mesh::TriMesh;
use crate::params::Trunk;
use crate::space::{Pose, Vec3, v};
use crate::units::{Angle, Length};

/// Steps of a strap round the trunk.
const STRAP_STEPS: usize = 180;
/// Steps of a pad round its face.
const PAD_STEPS: usize = 24;
/// Bearing of the buckles from a cradle, toward +X: where the strap lies on bark. Common practice,
/// no source.
const BUCKLE_AT: Angle = Angle::degrees(80.0);

/// A saddle pressed on the trunk.
pub(super) struct SeatedSaddle<'a> {
    saddle: &'a Saddle,
    pressed: Pressed,
}

impl<'a> SeatedSaddle<'a> {
    pub(super) fn new(
        subject: &Subject<'_>,
        trunk: &Trunk,
        saddle: &'a Saddle,
    ) -> Result<Self, DocumentError> {
        let fault = DocumentError::at("assembly");
        let pressed = Pressed::new(subject.job, trunk).map_err(|e| fault(&e))?;
        Ok(Self { saddle, pressed })
    }

    /// From the trunk's axis to the rigid face.
    pub(super) fn face(&self, bearing: Angle) -> Length {
        self.pressed.face(bearing)
    }

    /// From the saddle's axes to the scene, its lower end at `z`.
    pub(super) fn pose(&self, bearing: Angle, z: f64) -> Pose {
        let out = Pose::shift(v(0.0, self.face(bearing).get(), z));
        out.then(&Pose::turn(Vec3::Z, bearing.rad()))
    }

    /// The squeezed pad, in the saddle's axes.
    pub(super) fn pad(&self) -> TriMesh {
        let saddle = self.saddle;
        let radius = saddle.face_radius.get();
        let (bark, gap) = (self.pressed.radius.get(), self.pressed.gap.get());
        let z = [saddle.recess_z[0].get(), (saddle.recess_z[1] - saddle.recess).get()];
        let ring = |i: usize| {
            let angle = saddle.pad_angle() * (2.0 * i as f64 / PAD_STEPS as f64 - 1.0);
            let x = radius * libm::sin(angle);
            let back = radius * libm::cos(angle) - radius;
            // The bark's chord height, as the sagitta of `engineering::fit`.
            let off = x.abs().min(bark);
            let front = -gap - off * off / (bark + (bark * bark - off * off).max(0.0).sqrt());
            vec![[x, front, z[0]], [x, back, z[0]], [x, back, z[1]], [x, front, z[1]]]
        };
        loft(&(0..=PAD_STEPS).map(ring).collect::<Vec<_>>(), false)
    }

    /// The straps that hold saddles at these bearings, each at its passage's height above `z`.
    pub(super) fn wrapped(
        &self,
        subject: &Subject<'_>,
        bearings: &[Angle],
        z: f64,
    ) -> Result<StrapGeometry, DocumentError> {
        let strap = &subject.job.strap;
        let seats = self.pressed.seats(self.saddle, bearings);
        let way = outline(self.pressed.section, &seats, STRAP_STEPS);
        let way = way.map_err(|e| DocumentError::at("assembly")(&e))?;
        // The plan's first axis is +Y of the scene, its second -X.
        let stations = way.iter().map(|station| station.map(|[y, x]| v(-x, y, 0.0))).collect();
        let passages = self.saddle.passages.iter();
        let between = TAU / bearings.len().max(1) as f64;
        Ok(StrapGeometry {
            stations,
            heights: passages.map(|[low, high]| z + (*low + *high).get() / 2.0).collect(),
            width: strap.width.get(),
            thick: strap.thickness.get(),
            tail: strap.tail.get(),
            buckle: BUCKLE_AT.rad().min(between / 2.0),
            tail_end: BUCKLE_AT.rad().min(between / 2.0) + between.min(TAU / 2.0) / 3.0,
        })
    }
}

/// Straps round the trunk.
pub(super) struct StrapGeometry {
    /// Round the trunk at height 0, by the bearing of the outward normal.
    stations: Vec<Station>,
    /// Middle of each strap.
    heights: Vec<f64>,
    width: f64,
    thick: f64,
    tail: f64,
    /// Bearing of the buckles toward +X, and that beyond which no tail reaches.
    buckle: f64,
    tail_end: f64,
}

impl StrapGeometry {
    /// All straps.
    pub(super) fn straps(&self) -> TriMesh {
        let half = self.width / 2.0;
        let mut all = TriMesh::default();
        for &middle in &self.heights {
            let ring = |[p, n]: &Station| {
                let at = |out: f64, z: f64| (*p + *n * out + Vec3::Z * (middle + z)).array();
                vec![at(0.0, -half), at(self.thick, -half), at(self.thick, half), at(0.0, half)]
            };
            all = with(all, &loft(&self.stations.iter().map(ring).collect::<Vec<_>>(), true));
        }
        all
    }

    /// The station whose normal has this bearing toward +X.
    fn station(&self, bearing: f64) -> Station {
        let steps = self.stations.len();
        let index = ((1.0 - bearing / TAU) * steps as f64).round() as usize % steps.max(1);
        self.stations.get(index).copied().unwrap_or([v(0.0, 0.0, 0.0), Vec3::Y])
    }

    /// Buckles, and the free ends that lie over the straps beyond them.
    pub(super) fn buckles(&self) -> [TriMesh; 2] {
        let [mut buckles, mut tails] = [TriMesh::default(), TriMesh::default()];
        let step = TAU / self.stations.len().max(1) as f64;
        let mut under = vec![self.station(self.buckle)];
        let mut length = 0.0;
        for i in 1.. {
            let bearing = self.buckle + step * f64::from(i);
            let next = self.station(bearing);
            length += under.last().map_or(0.0, |last| (next[0] - last[0]).norm());
            under.push(next);
            if length >= self.tail || bearing >= self.tail_end {
                break;
            }
        }
        for &z in &self.heights {
            let lifted = |[at, out]: &Station| [*at + Vec3::Z * z, *out];
            let stations: Vec<Station> = under.iter().map(lifted).collect();
            buckles = with(buckles, &buckle(stations[0], self.width, self.thick));
            tails = with(tails, &tail(&stations, self.width, self.thick));
        }
        [buckles, tails]
    }

    /// From the trunk's axis to the straps' outer side, at a bearing toward +X.
    pub(super) fn reach(&self, bearing: f64) -> f64 {
        let (s, c) = libm::sincos(bearing);
        let way = v(s, c, 0.0);
        let along = |[p, n]: &Station| {
            let facing = way.dot(*n);
            (facing > 1e-6).then(|| p.dot(*n) / facing)
        };
        self.stations.iter().filter_map(along).fold(f64::INFINITY, f64::min) + self.thick
    }
}
