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
    formula: "share of the light that misses the crown at the nearest setting, less that at the wanted \
              scale <= 10 %; scale = atan((crown base - lamp height)/(spread/2 - offset)) + beam angle/2 - \
              half cone angle + lean, at most straight up; rays of equal light, I0 cos^m about the axis",
    source: "geometry; generalised Lambert law (Moreno and Sun, Optics Express 16, 2008); 10 %: common \
             practice, no source",
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
    let zero = crown.tilt(beam) - wished;
    let least = crown.missing(beam, crown.tilt(beam))?;
    let lost = |scale: Angle| Ok::<f64, AimError>(crown.missing(beam, scale + zero)? - least);
    let missing = crown.missing(beam, limit + zero)?;
    if missing - least <= MOST_LOST {
        return Ok(None);
    }
    let mut finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!(
            "the crown of {} needs a tilt of {wished}; at {limit}, {} % of the light misses it instead of {} %",
            listed(&[t.name.as_str()]),
            trimmed(missing * 100.0, 0),
            trimmed(least * 100.0, 0)
        ),
    )
    .measured(wished, limit)
    .key(key)
    .key(KeyPath::trunk(trunk, "crown-base").as_str());
    // The nearest whole degree that lets enough of the light land; the key takes no more than these.
    let degrees: Vec<f64> = if high {
        (0..=90).map(f64::from).filter(|d| *d > limit.deg()).collect()
    } else {
        (-30..=90).rev().map(f64::from).filter(|d| *d < limit.deg()).collect()
    };
    for degree in degrees {
        let at = Angle::degrees(degree);
        if lost(at)? <= MOST_LOST {
            let sense = if high { "at least" } else { "at most" };
            finding = finding.remedy(key, format!("{sense} {at:.0}"));
            break;
        }
    }
    if finding.remedies.is_empty() {
        let words = "no setting lights it well: hang the lamp lower, or on the trunk's other side";
        finding = finding.remedy(key, words);
    }
    Ok(Some(finding))
}

/// Most of the light that may miss the crown beyond what misses it at the tilt that the crown asks for.
const MOST_LOST: f64 = 0.1;
