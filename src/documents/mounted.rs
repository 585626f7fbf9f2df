//! A saddle pressed on a trunk, for pictures: where it stands, its squeezed pad and its straps.
//!
//! Scene axes of [`super::assembly`]. The pad is squeezed as [`Face::fit`] says; the straps lie on the
//! hull of [`crate::engineering::strap`], with the same seats as in the sums.
//!
//! [`Face::fit`]: crate::engineering::fit::Face::fit

use super::shapes::{loft, with};
use super::{DocumentError, Subject};
use crate::engineering::fit::{Foam, radius_of_girth};
use crate::engineering::oval::Oval;
use crate::engineering::sizes::Size;
use crate::engineering::strap::{Seat, Section, outline};
use crate::mesh::TriMesh;
use crate::params::Trunk;
use crate::plan::saddle::Saddle;
use crate::plan::standing;
use crate::space::{Pose, Vec3, v};
use crate::units::{Angle, Length};

/// Steps of a strap round the trunk.
const STRAP_STEPS: usize = 180;
/// Steps of a pad round its face.
const PAD_STEPS: usize = 24;
/// A saddle pressed on the trunk.
pub(super) struct Mounted<'a> {
    saddle: &'a Saddle,
    section: Section,
    /// From the bark to the rigid face, in the middle.
    gap: Length,
    /// Radius of the bark under the pad.
    bark: Length,
}

impl<'a> Mounted<'a> {
    pub(super) fn new(
        subject: &Subject<'_>,
        trunk: &Trunk,
        size: &Size,
        saddle: &'a Saddle,
    ) -> Result<Self, DocumentError> {
        let fault = DocumentError::at("assembly");
        let foam = Foam::of(&subject.job.pad).map_err(|e| fault(&e))?;
        let bark = match trunk.diameters {
            Some(diameters) => Oval::new(diameters).map_err(|e| fault(&e))?.radius_at_cradle(),
            None => radius_of_girth(trunk.girth),
        };
        let fit = size.face().and_then(|face| face.fit(foam, bark)).map_err(|e| fault(&e))?;
        let gap = foam.thickness() * (1.0 - fit.centre);
        Ok(Self { saddle, section: section(trunk), gap, bark })
    }

    /// From the trunk's axis to the rigid face.
    pub(super) fn face(&self, bearing: Angle) -> Length {
        let reach = |d: Length, share: f64| d.get() / 2.0 * share;
        let toward = reach(self.section.toward, bearing.cos());
        let across = reach(self.section.across, bearing.sin());
        Length::mm(libm::hypot(toward, across)) + self.gap
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
        let (bark, gap) = (self.bark.get(), self.gap.get());
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
    pub(super) fn straps(
        &self,
        subject: &Subject<'_>,
        bearings: &[Angle],
        z: f64,
    ) -> Result<TriMesh, DocumentError> {
        let strap = &subject.job.strap;
        let seats: Vec<Seat> = bearings
            .iter()
            .map(|&b| standing::seat(self.saddle, self.section, self.gap, b))
            .collect();
        let way = outline(self.section, &seats, STRAP_STEPS);
        let way = way.map_err(|e| DocumentError::at("assembly")(&e))?;
        let (thick, half) = (strap.thickness.get(), strap.width.get() / 2.0);
        let mut all = TriMesh::default();
        for [low, high] in &self.saddle.passages {
            let middle = z + (*low + *high).get() / 2.0;
            let ring = |[p, n]: &[[f64; 2]; 2]| {
                // The plan's first axis is +Y of the scene, its second -X.
                let at = |out: f64, z: f64| [-(p[1] + n[1] * out), p[0] + n[0] * out, middle + z];
                vec![at(0.0, -half), at(thick, -half), at(thick, half), at(0.0, half)]
            };
            all = with(all, &loft(&way.iter().map(ring).collect::<Vec<_>>(), true));
        }
        Ok(all)
    }
}

/// The trunk's section at the cradle.
pub(super) fn section(trunk: &Trunk) -> Section {
    match trunk.diameters {
        Some([toward, across]) => Section { toward, across },
        None => Section::from_girth(trunk.girth),
    }
}
