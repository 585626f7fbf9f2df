//! Whether the tilt range reaches the crown.

use super::{Aim, lit};
use crate::assessment::{Subject, undetermined};
use crate::engineering::aim::{AimError, Beam, Crown};
use crate::engineering::taper::scale_for;
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Angle, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "tilt-out-of-reach",
    title: "the tilt range reaches the crown",
    why: "a lamp that cannot be raised far enough lights the sky beside the tree and the street",
    formula: "scale = atan((crown base - lamp height) / (spread / 2 - offset)) + beam angle / 2 - half cone angle + lean",
    source: "geometry; the lower edge of the beam meets the outer edge of the crown",
    cure: "widen the tilt range",
};

/// A warning when the tilt that a crown asks for lies outside the scale, at the trunks that ask for the
/// highest and for the lowest.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let crowns = || lit(subject).filter_map(|(t, aim, wished)| Some((t, aim, aim.crown?, wished?)));
    let highest = crowns().max_by(|a, b| a.3.rad().total_cmp(&b.3.rad()));
    let lowest = crowns().min_by(|a, b| a.3.rad().total_cmp(&b.3.rad()));
    let lowest = lowest.filter(|low| highest.as_ref().is_some_and(|high| high.0 != low.0));
    let ends = highest.into_iter().chain(lowest);
    let judge = |(trunk, aim, crown, _): (usize, &Aim, Crown, Angle)| {
        let found = judge(subject.job, trunk, crown, aim.beam, aim.half);
        found.unwrap_or_else(|error| Some(undetermined(&RULE, &error)))
    };
    ends.filter_map(judge).collect()
}

/// `half_cone` is the trunk's taper; `trunk` its index in the job.
pub(crate) fn judge(
    job: &Job,
    trunk: usize,
    crown: Crown,
    beam: Beam,
    half_cone: Angle,
) -> Result<Option<Finding>, AimError> {
    let Some(t) = job.trunks.get(trunk) else { return Ok(None) };
    let wished = scale_for(crown.tilt(beam), half_cone, t.lean);
    if !wished.is_finite() {
        return Err(AimError::Angle);
    }
    let high = wished > job.tilt.max;
    if !high && wished >= job.tilt.min {
        return Ok(None);
    }
    let (key, limit) = if high { ("tilt.max", job.tilt.max) } else { ("tilt.min", job.tilt.min) };
    let missing = crown.missing(beam, limit + (crown.tilt(beam) - wished))?;
    let change = if high {
        format!("at least {:.0}", Angle::degrees(wished.deg().ceil()))
    } else {
        format!("at most {:.0}", Angle::degrees(wished.deg().floor()))
    };
    Ok(Some(
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
    ))
}
