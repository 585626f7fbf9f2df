//! Where the light goes: tilt, illuminance, light past the crown and in windows.
//!
//! Axes: Z up, +Y outward from the trunk through the lamp; elevation 0 is level, 90 degrees straight
//! up. The crown is a level disc about the trunk at the height of its lowest branches.
//!
//! Photometry (definitions of the International Lighting Vocabulary): solid angle of a cone
//! 2 pi (1 - cos(theta / 2)) for the full angle theta, intensity I = Phi / Omega, illuminance
//! E = I cos(a) / d^2. The beam angle is the full angle at half the peak. One model of a beam for all that
//! is lit and all that is spilt: I0 cos^m with m = ln 0.5 / ln cos(theta / 2) and I0 = Phi (m + 1)/(2 pi),
//! the generalised Lambert law of light-emitting diodes (Moreno and Sun, Optics Express 16, 2008). The
//! light within a of the axis is the share 1 - cos^(m+1) a of all; of a narrow lamp half lies outside
//! its beam angle.
//!
//! Not covered: reflectors with hard edges or stray peaks, leaves in the way, reflection.

mod lines;

pub(crate) use lines::{lines, spill_line};

use std::f64::consts::{PI, TAU};

use serde::Serialize;

use crate::units::{Angle, Illuminance, Length, LuminousFlux};

/// Input for which there is no light to compute.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum AimError {
    /// The beam angle is no beam's.
    #[error("the beam angle must lie above 0 and below 180 deg, not {0}")]
    BeamAngle(Angle),
    /// A negative or infinite flux.
    #[error("the luminous flux must be positive and finite, not {0}")]
    Flux(LuminousFlux),
    /// A place that is not in front of the lamp.
    #[error("{what} must be more than {least}, not {value}")]
    Place {
        /// Which distance.
        what: &'static str,
        /// What was given.
        value: Length,
        /// What it must exceed.
        least: Length,
    },
    /// An angle that is not a number.
    #[error("an angle is not finite")]
    Angle,
    /// No rotation of the lamps clears what hangs on the trunk.
    #[error("{fixtures} lamps evenly round the trunk do not clear box and buckle; {most} do")]
    NoRoom {
        /// How many were wanted.
        fixtures: u32,
        /// The most that clear.
        most: u32,
    },
}

fn beyond(what: &'static str, value: Length, least: Length) -> Result<f64, AimError> {
    if value.is_finite() && least.is_finite() && value > least {
        Ok(value.get())
    } else {
        Err(AimError::Place { what, value, least })
    }
}

/// Illuminance from an intensity in candela at a distance, on a surface whose normal is `incidence`
/// off the ray: E = I cos(a) / d^2; nothing on a surface that faces away.
///
/// # Errors
/// When the distance is not positive or the intensity is not finite.
pub(crate) fn illuminance(
    candela: f64,
    distance: Length,
    incidence: Angle,
) -> Result<Illuminance, AimError> {
    beyond("distance", distance, Length::ZERO)?;
    if !candela.is_finite() || !incidence.is_finite() {
        return Err(AimError::Angle);
    }
    let d = distance.in_metres();
    Ok(Illuminance::lux((candela * incidence.cos() / (d * d)).max(0.0)))
}

/// A lamp's light: flux and beam angle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Beam {
    flux: LuminousFlux,
    angle: Angle,
}

impl Beam {
    /// A beam of this flux and full angle at half the peak.
    ///
    /// # Errors
    /// When the flux is not positive, or the angle not between 0 and 180 degrees.
    pub(crate) fn new(flux: LuminousFlux, angle: Angle) -> Result<Self, AimError> {
        if !(flux.is_finite() && flux > LuminousFlux::ZERO) {
            return Err(AimError::Flux(flux));
        }
        if !(angle.rad() > 1e-3 && angle.rad() < PI - 1e-3) {
            return Err(AimError::BeamAngle(angle));
        }
        Ok(Self { flux, angle })
    }

    /// Half the beam angle.
    #[must_use]
    pub(crate) fn half_angle(self) -> Angle {
        self.angle * 0.5
    }

    /// The exponent m of the cosine.
    #[must_use]
    pub(crate) fn exponent(self) -> f64 {
        libm::log(0.5) / libm::log(self.half_angle().cos())
    }

    /// Intensity on the axis in candela.
    #[must_use]
    pub(crate) fn intensity(self) -> f64 {
        self.flux.get() * (self.exponent() + 1.0) / TAU
    }

    /// Intensity in candela at an angle off the beam's axis; none behind the lamp.
    #[must_use]
    pub(crate) fn intensity_off_axis(self, off: Angle) -> f64 {
        let cos = off.cos();
        if cos <= 0.0 { 0.0 } else { self.intensity() * libm::pow(cos, self.exponent()) }
    }

    /// Cosine of the angle off the axis within which this share of the light lies.
    fn cos_of_share(self, share: f64) -> f64 {
        libm::pow(1.0 - share, 1.0 / (self.exponent() + 1.0))
    }

    /// Diameter of the lit spot on a surface square to the beam, 2 d tan(theta / 2).
    #[must_use]
    pub(crate) fn spot(self, distance: Length) -> Length {
        distance * (2.0 * self.half_angle().tan())
    }
}

/// A lamp on its trunk and the crown above it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Crown {
    offset: f64,
    rise: f64,
    radius: f64,
}

impl Crown {
    /// A lamp `offset` off the trunk's axis at `lamp_height`; the crown starts at `base` and is
    /// `spread` wide.
    ///
    /// # Errors
    /// When the crown's base is not above the lamp, or the crown not wider than the lamp stands off.
    pub(crate) fn new(
        offset: Length,
        lamp_height: Length,
        base: Length,
        spread: Length,
    ) -> Result<Self, AimError> {
        let offset_mm = beyond("offset of the lamp", offset, Length::ZERO)?;
        let top = beyond("crown base", base, lamp_height)?;
        let radius = beyond("half the crown's spread", spread / 2.0, offset)?;
        Ok(Self { offset: offset_mm, rise: top - lamp_height.get(), radius })
    }

    /// Elevation of the crown's outer edge, seen from the lamp.
    #[must_use]
    pub(crate) fn edge_elevation(self) -> Angle {
        Angle::radians(libm::atan2(self.rise, self.radius - self.offset))
    }

    /// Elevation of the beam whose lower edge just meets the crown's outer edge, but not past
    /// straight up.
    #[must_use]
    pub(crate) fn tilt(self, beam: Beam) -> Angle {
        let wished = self.edge_elevation() + beam.half_angle();
        Angle::radians(wished.rad().min(PI / 2.0))
    }

    /// Length of the beam's axis from the lamp to the crown's base; `None` when it points below the
    /// crown's edge.
    #[must_use]
    pub(crate) fn throw(self, elevation: Angle) -> Option<Length> {
        (elevation.is_finite() && elevation >= self.edge_elevation() && elevation.sin() > 0.0)
            .then(|| Length::mm(self.rise / elevation.sin()))
    }

    /// Illuminance where the beam's axis meets the level of the crown's base, on a level surface;
    /// `None` when it passes below the crown.
    #[must_use]
    pub(crate) fn light(self, beam: Beam, elevation: Angle) -> Option<Illuminance> {
        let throw = self.throw(elevation)?;
        illuminance(beam.intensity(), throw, Angle::radians(PI / 2.0) - elevation).ok()
    }

    /// Share of the flux that misses the crown, 0 to 1: rays of equal light, traced to the level of the
    /// crown's base.
    ///
    /// # Errors
    /// When the elevation is not finite.
    pub(crate) fn missing(self, beam: Beam, elevation: Angle) -> Result<f64, AimError> {
        if !elevation.is_finite() {
            return Err(AimError::Angle);
        }
        let (sin, cos) = (elevation.sin(), elevation.cos());
        let mut missed = 0_u32;
        for ring in 0..RINGS {
            let along = beam.cos_of_share((f64::from(ring) + 0.5) / f64::from(RINGS));
            let off = (1.0 - along * along).max(0.0).sqrt();
            for step in 0..STEPS {
                let turn = TAU * (f64::from(step) + 0.5) / f64::from(STEPS);
                let (side, up) = (off * libm::sin(turn), off * libm::cos(turn));
                let [x, y, z] = [side, along * cos - up * sin, along * sin + up * cos];
                let hit = z > 0.0 && {
                    let k = self.rise / z;
                    libm::hypot(x * k, self.offset + y * k) <= self.radius
                };
                missed += u32::from(!hit);
            }
        }
        Ok(f64::from(missed) / f64::from(RINGS * STEPS))
    }
}

/// Rings and steps round each ring of the directions traced: 4096 rays, half a per cent of the light
/// at the edge of the crown.
const RINGS: u32 = 32;
const STEPS: u32 = 128;

/// A window or a road, from a lamp that points its way (the worst of lamps set all round a trunk).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Sight {
    level: f64,
    rise: f64,
}

impl Sight {
    /// A place at a level distance from the trunk's axis and a height above ground, seen from a lamp
    /// `offset` off the axis at `lamp_height`.
    ///
    /// # Errors
    /// When the place is not beyond the lamp, or a height is not finite.
    pub(crate) fn new(
        distance: Length,
        height: Length,
        offset: Length,
        lamp_height: Length,
    ) -> Result<Self, AimError> {
        let level = beyond("distance of the window or road", distance, offset)? - offset.get();
        let rise = (height - lamp_height).get();
        if rise.is_finite() { Ok(Self { level, rise }) } else { Err(AimError::Angle) }
    }

    /// Elevation of the place, seen from the lamp.
    #[must_use]
    pub(crate) fn elevation(self) -> Angle {
        Angle::radians(libm::atan2(self.rise, self.level))
    }

    /// Vertical illuminance there.
    ///
    /// # Errors
    /// When the beam's elevation is not finite.
    pub(crate) fn light(self, beam: Beam, elevation: Angle) -> Result<Illuminance, AimError> {
        let off = (elevation - self.elevation()).abs();
        let distance = Length::mm(libm::hypot(self.level, self.rise));
        illuminance(beam.intensity_off_axis(off), distance, self.elevation())
    }

    /// Vertical illuminance there from as many lamps evenly round one trunk, the first of them facing it.
    ///
    /// # Errors
    /// When the beam's elevation is not finite.
    pub(crate) fn light_of_all(
        self,
        beam: Beam,
        elevation: Angle,
        lamps: u32,
    ) -> Result<Illuminance, AimError> {
        let distance = Length::mm(libm::hypot(self.level, self.rise));
        let here = self.elevation();
        let mut sum = 0.0;
        for lamp in 0..lamps {
            let aside = TAU * f64::from(lamp) / f64::from(lamps);
            let cos =
                elevation.sin() * here.sin() + elevation.cos() * here.cos() * libm::cos(aside);
            let off = Angle::radians(libm::acos(cos.clamp(-1.0, 1.0)));
            sum += illuminance(beam.intensity_off_axis(off), distance, here)?.get();
        }
        Ok(Illuminance::lux(sum))
    }
}

/// Something that hangs on the trunk at the height of the lamps.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Obstacle {
    /// Bearing of its middle about the trunk's axis.
    pub bearing: Angle,
    /// Half its width on the bark.
    pub half_width: Length,
}

/// Bearings of `fixtures` lamps evenly round a trunk, turned so that they stand as far from the
/// obstacles as can be.
///
/// # Errors
/// When the radius or a width is not positive and finite, or no turn clears all obstacles (with the
/// most lamps that do).
pub(crate) fn bearings(
    fixtures: u32,
    radius: Length,
    half_width: Length,
    obstacles: &[Obstacle],
) -> Result<Vec<Angle>, AimError> {
    let r = beyond("trunk radius", radius, Length::ZERO)?;
    let w = beyond("half width", half_width, Length::ZERO)?;
    for o in obstacles {
        beyond("half width", o.half_width, Length::ZERO)?;
        if !o.bearing.is_finite() {
            return Err(AimError::Angle);
        }
    }
    let first = |n: u32| turn(n, r, w, obstacles);
    match first(fixtures) {
        Some(start) => Ok((0..fixtures)
            .map(|i| Angle::radians(start + TAU * f64::from(i) / f64::from(fixtures)))
            .collect()),
        None => {
            let most = (1..fixtures).rev().find(|n| first(*n).is_some()).unwrap_or(0);
            Err(AimError::NoRoom { fixtures, most })
        }
    }
}

/// The bearing of the first of `n` lamps in the middle of the widest free gap, all obstacles folded
/// into one spacing.
fn turn(n: u32, r: f64, w: f64, obstacles: &[Obstacle]) -> Option<f64> {
    if n == 0 {
        return Some(0.0);
    }
    let period = TAU / f64::from(n);
    if n > 1 && 2.0 * w / r > period {
        return None;
    }
    let mut folded: Vec<(f64, f64)> = obstacles
        .iter()
        .map(|o| (o.bearing.rad().rem_euclid(period), (w + o.half_width.get()) / r))
        .collect();
    folded.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, f64)> = None;
    // Sweep once round: a gap opens where the farthest shadow so far ends.
    let mut covered = folded.iter().map(|(at, half)| at + half - period).reduce(f64::max);
    for (at, half) in &folded {
        let open = covered.unwrap_or(at - half);
        let gap = (at - half) - open;
        if gap >= 0.0 && best.is_none_or(|(widest, _)| gap > widest) {
            best = Some((gap, open + gap / 2.0));
        }
        covered = Some(open.max(at + half));
    }
    if folded.is_empty() { Some(0.0) } else { best.map(|(_, at)| at.rem_euclid(period)) }
}

#[cfg(test)]
mod tests;
