//! How saddles stand round a trunk, and whether one pull on the strap suits all their pads.
//!
//! Cradles stand evenly round the trunk, the first at bearing 0, turned so that the buckle has the
//! middle of the widest free stretch; a rail stands alone, with the buckle opposite. The trunk is
//! taken as it is now. Plan axes as in [`crate::engineering::strap`].
//!
//! A pad whose curve misfits the bark is pressed unevenly. The pull that keeps its loosest place
//! pressed, after what friction and time take away, must not crush its hardest place when the strap
//! is pulled: that leaves less room for misfit than the strains of the foam alone
//! ([`crate::engineering::hold`] has the sums). Loads are left out here; the checks take them in.

use std::f64::consts::{PI, TAU};

use crate::design::saddle::Saddle;
use crate::engineering::aim::{AimError, Obstacle, bearings};
use crate::engineering::fit::{FitError, Foam, PadFit, radius_of_girth};
use crate::engineering::hold::{HoldInput, SeatLoad, Tightening};
use crate::engineering::oval::Oval;
use crate::engineering::sizes::Size;
use crate::engineering::strap::{self, Path, Seat, Section};
use crate::params::{Job, Trunk};
use crate::standards::webbing::webbing;
use crate::units::{Angle, Area, Force, Length};

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
        let front = radius + job.pad.thickness * (1.0 - job.pad.strain_max) + saddle.front_y;
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
    /// Strain of the pad.
    pub(crate) fit: PadFit,
    /// From the bark to the rigid face, in the middle.
    pub(crate) gap: Length,
}

impl Pressed {
    /// # Errors
    /// When the trunk's diameters make no oval, or the face does not go on it.
    pub(crate) fn new(trunk: &Trunk, size: &Size, foam: Foam) -> Result<Self, FitError> {
        let radius = match trunk.diameters {
            Some(diameters) => Oval::new(diameters)?.radius_at_cradle(),
            None => radius_of_girth(trunk.girth),
        };
        let fit = size.face()?.fit(foam, radius)?;
        let section = section(trunk);
        Ok(Self { section, radius, fit, gap: foam.thickness() * (1.0 - fit.centre) })
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

/// A saddle's pad and straps with nothing hung on it.
pub(crate) fn unloaded(saddle: &Saddle, trunk_radius: Length, fit: PadFit) -> SeatLoad {
    let [width, height] = saddle.pad_size();
    SeatLoad {
        weight: Force::ZERO,
        front: Force::ZERO,
        side: Force::ZERO,
        reach: Length::ZERO,
        rise: Length::ZERO,
        trunk_radius,
        pad_area: Area::mm2(width.get() * height.get()),
        pad_height: height,
        spread: fit.unevenness(),
        strap_heights: saddle.strap_heights(),
    }
}

/// Everything that decides the tension of a ring of straps: the job's materials and limits, and
/// these.
pub(crate) fn hold_input<'a>(
    job: &Job,
    path: &'a Path,
    buckle: Angle,
    passage: Force,
    seats: Vec<SeatLoad>,
) -> HoldInput<'a> {
    HoldInput {
        path,
        straps: seats.first().map_or(0, |seat| seat.strap_heights.len() as u32),
        strap_width: job.strap.width,
        kept: webbing(job.strap.material).kept,
        working_load: job.strap.working_load,
        passage,
        pad_friction: job.pad.friction,
        webbing_friction: job.pad.webbing_friction,
        buckle,
        tightening: Tightening::BothWays,
        pad_modulus: job.pad.stress / job.pad.strain,
        strain_min: job.pad.strain_min,
        strain_max: job.pad.strain_max,
        bark_limit: job.pad.bark_limit,
        safety: job.site.safety,
        seats,
    }
}

/// Whether some pull on the strap, before any load, presses the pads of this size at their loosest
/// and spares them at their hardest. True where it cannot be told: the checks say why.
pub(crate) fn pull_suits_pads(
    job: &Job,
    trunk: &Trunk,
    saddle: &Saddle,
    size: &Size,
    standing: &Standing,
) -> bool {
    let open = || {
        let pressed =
            Pressed::new(trunk, size, crate::design::job_inputs::foam(&job.pad).ok()?).ok()?;
        let seats = pressed.seats(saddle, &standing.saddles);
        let path = strap::path(pressed.section, &seats, job.strap.thickness).ok()?;
        let loads = vec![unloaded(saddle, pressed.radius, pressed.fit); seats.len()];
        // The print's passage is judged with the loads, as its polymer's strength is.
        let passage = job.strap.working_load;
        let input = hold_input(job, &path, standing.buckle, passage, loads);
        Some(input.window().ok()?.is_open())
    };
    open().unwrap_or(true)
}
