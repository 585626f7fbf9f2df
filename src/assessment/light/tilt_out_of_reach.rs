//! Whether the tilt range reaches the crown.

use super::{Aim, lit};
use crate::assessment::{Subject, undetermined};
use crate::engineering::aim::{AimError, Beam, Crown};
use crate::engineering::taper::scale_for;
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Job, listed};
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

/// A warning for the trunks whose crowns need more tilt than the scale has, and one for those that need
/// less, each about the one that needs most.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let job = subject.job;
    let crowns = || lit(subject).filter_map(|(t, aim, wished)| Some((t, aim, aim.crown?, wished?)));
    let highest = crowns().max_by(|a, b| a.3.rad().total_cmp(&b.3.rad()));
    let lowest = crowns().min_by(|a, b| a.3.rad().total_cmp(&b.3.rad()));
    let lowest = lowest.filter(|low| highest.as_ref().is_some_and(|high| high.0 != low.0));
    let ends = highest.into_iter().chain(lowest);
    let judge = |(trunk, aim, crown, wished): (usize, &Aim, Crown, Angle)| {
        let finding = match judge(job, trunk, crown, aim.beam, aim.half) {
            Ok(finding) => finding?,
            Err(error) => return Some(undetermined(&RULE, &error)),
        };
        let beyond = |other: Angle| {
            if wished > job.tilt.max { other > job.tilt.max } else { other < job.tilt.min }
        };
        let others = crowns().filter(|other| other.0 != trunk && beyond(other.3));
        let others: Vec<&str> = others.map(|other| job.trunks[other.0].name.as_str()).collect();
        Some(if others.is_empty() {
            finding
        } else {
            let message = format!("{}; likewise on {}", finding.message, listed(&others));
            Finding { message, ..finding }
        })
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
                "the crown of {} needs a tilt of {wished}; at {limit}, {} % of the light misses it",
                listed(&[t.name.as_str()]),
                trimmed(missing * 100.0, 0)
            ),
        )
        .measured(wished, limit)
        .key(key)
        .key(KeyPath::trunk(trunk, "crown-base").as_str())
        .remedy(key, change),
    ))
}
