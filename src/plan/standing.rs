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

use crate::engineering::aim::{AimError, Obstacle, bearings};
use crate::engineering::fit::{Foam, radius_of_girth};
use crate::engineering::hold::{HoldInput, SeatLoad, Tightening};
use crate::engineering::oval::Oval;
use crate::engineering::sizes::Size;
use crate::engineering::strap::{self, Seat, Section};
use crate::params::{Job, Trunk};
use crate::plan::saddle::Saddle;
use crate::tables::webbing::webbing;
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

/// The mouths of a saddle pressed on the trunk at a bearing.
pub(crate) fn seat(saddle: &Saddle, section: Section, gap: Length, angle: Angle) -> Seat {
    let reach = |d: Length, share: f64| d.get() / 2.0 * share;
    let bark = libm::hypot(reach(section.toward, angle.cos()), reach(section.across, angle.sin()));
    Seat {
        angle,
        half_width: saddle.half_width - saddle.mouth,
        distance: Length::mm(bark) + gap + saddle.passage_y[0] - saddle.mouth,
        edge_radius: saddle.mouth,
    }
}

/// The trunk's cross-section, and the radius of its curve under a saddle; `None` for an impossible
/// oval.
pub(crate) fn section(trunk: &Trunk) -> Option<(Section, Length)> {
    match trunk.diameters {
        Some([toward, across]) => {
            let oval = Oval::new([toward, across]).ok()?;
            Some((Section { toward, across }, oval.radius_at_cradle()))
        }
        None => {
            let radius = radius_of_girth(trunk.girth);
            Some((Section::round(radius), radius))
        }
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
        let foam = Foam::of(&job.pad).ok()?;
        let (section, radius) = section(trunk)?;
        let fit = size.face().ok()?.fit(foam, radius).ok()?;
        let gap = foam.thickness() * (1.0 - fit.centre);
        let seats: Vec<Seat> =
            standing.saddles.iter().map(|&at| seat(saddle, section, gap, at)).collect();
        let path = strap::path(section, &seats, job.strap.thickness).ok()?;
        let [width, height] = saddle.pad_size();
        let load = SeatLoad {
            weight: Force::ZERO,
            front: Force::ZERO,
            side: Force::ZERO,
            reach: Length::ZERO,
            rise: Length::ZERO,
            trunk_radius: radius,
            pad_area: Area::mm2(width.get() * height.get()),
            pad_height: height,
            spread: fit.unevenness(),
            strap_heights: saddle.strap_heights(),
        };
        let input = HoldInput {
            path: &path,
            straps: saddle.passages.len() as u32,
            strap_width: job.strap.width,
            kept: webbing(job.strap.material).kept,
            working_load: job.strap.working_load,
            passage: job.strap.working_load,
            pad_friction: job.pad.friction,
            webbing_friction: job.pad.webbing_friction,
            buckle: standing.buckle,
            tightening: Tightening::BothWays,
            pad_modulus: job.pad.stress / job.pad.strain,
            strain_min: job.pad.strain_min,
            strain_max: job.pad.strain_max,
            bark_limit: job.pad.bark_limit,
            safety: job.site.safety,
            seats: vec![load; seats.len()],
        };
        Some(input.window().ok()?.is_open())
    };
    open().unwrap_or(true)
}
