//! Whether the tilt range reaches the crown.

use super::{Finding, Rule, Severity};
use crate::engineering::aim::{AimError, Beam, Crown};
use crate::engineering::taper::scale_for;
use crate::finding::KeyPath;
use crate::params::Job;
use crate::units::{Angle, trimmed};

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "tilt-out-of-reach",
    title: "the tilt range reaches the crown",
    why: "a lamp that cannot be raised far enough lights the sky beside the tree and the street",
    formula: "scale = atan((crown base - lamp height) / (spread / 2 - offset)) + beam angle / 2 - half cone angle + lean",
    source: "geometry; the lower edge of the beam meets the outer edge of the crown",
    cure: "widen the tilt range",
};

/// A warning when the tilt that the crown asks for lies outside the scale. `half_cone` is the
/// trunk's taper; `trunk` its index in the job.
///
/// # Errors
/// When an angle is not finite.
pub fn check(
    job: &Job,
    trunk: usize,
    crown: Crown,
    beam: Beam,
    half_cone: Angle,
) -> Result<Vec<Finding>, AimError> {
    let Some(t) = job.trunks.get(trunk) else { return Ok(Vec::new()) };
    let wished = scale_for(crown.tilt(beam), half_cone, t.lean);
    if !wished.is_finite() {
        return Err(AimError::Angle);
    }
    let high = wished > job.tilt.max;
    if !high && wished >= job.tilt.min {
        return Ok(Vec::new());
    }
    let (key, limit) = if high { ("tilt.max", job.tilt.max) } else { ("tilt.min", job.tilt.min) };
    let missing = crown.missing(beam, limit + (crown.tilt(beam) - wished))?;
    let change = if high {
        format!("at least {:.0}", Angle::degrees(wished.deg().ceil()))
    } else {
        format!("at most {:.0}", Angle::degrees(wished.deg().floor()))
    };
    Ok(vec![
        Finding::new(
            RULE.code,
            Severity::Warning,
            format!(
                "{}: the crown asks for a tilt of {wished}; at {limit} {} % of the light misses it",
                t.name,
                trimmed(missing * 100.0, 0)
            ),
        )
        .measured(wished, limit)
        .key(key)
        .key(KeyPath::trunk(trunk, "crown-base").as_str())
        .remedy(key, change),
    ])
}
