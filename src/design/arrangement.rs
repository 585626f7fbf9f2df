//! How saddles stand round a trunk.
//!
//! Cradles stand evenly round the trunk, the first at bearing 0, turned so that the buckle has the
//! middle of the widest free stretch; a rail stands alone, with the buckle opposite. The trunk is
//! taken as it is now. Plan axes as in [`crate::engineering::strap`].

use std::f64::consts::{PI, TAU};

use crate::design::saddle::Saddle;
use crate::design::seating;
use crate::engineering::aim::{AimError, Obstacle, bearings};
use crate::engineering::fit::{FitError, radius_of_girth};
use crate::engineering::oval::Oval;
use crate::engineering::strap::{Seat, Section};
use crate::params::{Job, Trunk};
use crate::units::{Angle, Length};

/// Half of what a buckle takes on the strap, with room for the fingers. Common practice, no source.
const BUCKLE_HALF: Length = Length::mm(40.0);

/// Bearings of saddles, the first at 0, and of the buckle.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Standing {
    pub(crate) saddles: Vec<Angle>,
    pub(crate) buckle: Angle,
}

impl Standing {
    /// A trunk's cradles.
    ///
    /// # Errors
    /// When they do not fit round the trunk.
    pub(crate) fn cradles(trunk: &Trunk, job: &Job, saddle: &Saddle) -> Result<Self, AimError> {
        let radius = radius_of_girth(trunk.girth);
        let arc = radius * libm::asin((saddle.half_width / radius).clamp(-1.0, 1.0));
        let buckle = Obstacle { bearing: Angle::radians(PI), half_width: BUCKLE_HALF };
        let found = bearings(trunk.fixtures, radius, arc, &[buckle])?;
        // Fronts are flat and square to their bearing: neighbours meet at tan(half a step).
        let front = radius + job.pad.free_thickness() * (1.0 - job.pad.strain_max) + saddle.front_y;
        let half = libm::atan2(saddle.front_half_width.get(), front.get());
        if trunk.fixtures > 1 && f64::from(trunk.fixtures) * half > PI {
            let most = ((PI / half) as u32).max(1);
            return Err(AimError::NoRoom { fixtures: trunk.fixtures, most });
        }
        let first = found.first().map_or(0.0, |a| a.rad());
        let step = TAU / f64::from(trunk.fixtures);
        let evenly = (0..trunk.fixtures).map(|i| Angle::radians(step * f64::from(i)));
        let buckle = Angle::radians((PI - first).rem_euclid(TAU));
        Ok(Self { saddles: evenly.collect(), buckle })
    }

    /// One rail.
    pub(crate) fn rail() -> Self {
        Self { saddles: vec![Angle::ZERO], buckle: Angle::radians(PI) }
    }
}

/// The trunk's cross-section at the cradle.
pub(crate) fn section(trunk: &Trunk) -> Section {
    match trunk.diameters {
        Some([toward, across]) => Section { toward, across },
        None => Section::from_girth(trunk.girth),
    }
}

/// A face pressed on a trunk through its pad.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pressed {
    /// The trunk's cross-section.
    pub(crate) section: Section,
    /// Radius of curvature of the bark under the face.
    pub(crate) radius: Length,
    /// From the bark to the rigid face, in the middle.
    pub(crate) gap: Length,
}

impl Pressed {
    /// # Errors
    /// When the trunk's diameters make no oval, or its straight edge tells no radius.
    pub(crate) fn new(job: &Job, trunk: &Trunk) -> Result<Self, FitError> {
        let radius = match (trunk.edge(), trunk.diameters) {
            (Some(edge), _) => edge.radius()?.radius,
            (None, Some(diameters)) => Oval::new(diameters)?.radius_at_cradle(),
            (None, None) => radius_of_girth(trunk.girth),
        };
        Ok(Self { section: section(trunk), radius, gap: seating::gap(job) })
    }

    /// From the trunk's axis to the rigid face.
    pub(crate) fn face(&self, bearing: Angle) -> Length {
        let reach = |d: Length, share: f64| d.get() / 2.0 * share;
        let toward = reach(self.section.toward, bearing.cos());
        let across = reach(self.section.across, bearing.sin());
        Length::mm(libm::hypot(toward, across)) + self.gap
    }

    /// The mouths of saddles pressed on the trunk at these bearings.
    pub(crate) fn seats(&self, saddle: &Saddle, bearings: &[Angle]) -> Vec<Seat> {
        let seat = |&angle: &Angle| Seat {
            angle,
            half_width: saddle.half_width - saddle.mouth,
            distance: self.face(angle) + saddle.passage_y[0] - saddle.mouth,
            edge_radius: saddle.mouth,
        };
        bearings.iter().map(seat).collect()
    }
}
