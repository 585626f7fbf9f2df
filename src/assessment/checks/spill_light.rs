//! Light in windows and in drivers' eyes.

use super::{Finding, Rule, Severity};
use crate::engineering::aim::{AimError, Beam, Sight};
use crate::engineering::taper::zero_elevation;
use crate::finding::KeyPath;
use crate::params::Job;
use crate::units::{Angle, LuminousFlux};

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "spill-light",
    title: "little light falls into windows and on roads",
    why: "light in a bedroom or in a driver's eyes ends an evening, and harms",
    formula: "E = I0 cos(off axis)^m cos(incidence) / d^2, m = ln 0.5 / ln cos(beam angle / 2), I0 = flux (m + 1) / (2 pi)",
    source: "generalised Lambert law (Moreno and Sun, Optics Express 16, 2008); limits of CIE 150:2017 from memory",
    cure: "raise the beam, dim the lamp, or turn it away from the place",
};

/// A warning when a lamp that points at the outlook gives more light there than its limit.
/// `elevation` is the beam's; `trunk` and `outlook` are indices in the job.
///
/// # Errors
/// When an angle is not finite.
pub fn check(
    job: &Job,
    trunk: usize,
    outlook: usize,
    sight: Sight,
    beam: Beam,
    elevation: Angle,
    half_cone: Angle,
) -> Result<Vec<Finding>, AimError> {
    let (Some(t), Some(place)) = (job.trunks.get(trunk), job.glare.get(outlook)) else {
        return Ok(Vec::new());
    };
    let light = sight.light(beam, elevation)?;
    if light <= place.limit {
        return Ok(Vec::new());
    }
    let mut finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!("a lamp on {} facing {} gives {light} there at {elevation}", t.name, place.name),
    )
    .measured(light, place.limit)
    .key(KeyPath::new(format!("glare[{outlook}].limit")).as_str())
    .key("fixture.lumens");
    if let Some(least) = sight.elevation_within(beam, elevation, place.limit)? {
        let scale = (least - zero_elevation(half_cone, t.lean)).deg().ceil();
        finding = finding.remedy("tilt.min", format!("at least {:.0}", Angle::degrees(scale)));
    }
    if let Some(lumens) = job.fixture.lumens {
        let dim = LuminousFlux::lumens((lumens.get() * (place.limit / light)).floor());
        if dim > LuminousFlux::ZERO {
            finding = finding.remedy("fixture.lumens", format!("at most {dim:.0}"));
        }
    }
    Ok(vec![finding])
}
