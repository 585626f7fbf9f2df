//! Light in windows and in drivers' eyes.

use super::{Spilling, spilling, together};
use crate::assessment::{Subject, undetermined};
use crate::engineering::aim::AimError;
use crate::finding::{Finding, KeyPath, Rule, Severity};
use crate::params::Job;
use crate::units::{Angle, LuminousFlux};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "spill-light",
    title: "little light falls into windows and on roads",
    why: "light in a bedroom or in a driver's eyes ends an evening, and harms",
    formula: "E = sum over all lamps of I0 cos(off axis)^m cos(incidence) / d^2, one lamp of each trunk facing the \
              place; m = ln 0.5 / ln cos(beam angle / 2), I0 = flux (m + 1) / (2 pi)",
    source: "generalised Lambert law (Moreno and Sun, Optics Express 16, 2008); limits of CIE 150:2017 from memory",
    cure: "raise the beam, dim the lamp, or turn it away from the place",
};

/// A warning for each place of `[[glare]]` on which all lamps together give more light than its limit.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(calculations) = subject.calculations else { return Vec::new() };
    let judge = |glare: usize| {
        let all = spilling(subject.job, &calculations.groups, glare);
        judge(subject.job, glare, &all).unwrap_or_else(|error| Some(undetermined(&RULE, &error)))
    };
    (0..subject.job.glare.len()).filter_map(judge).collect()
}

/// `glare` is the place's index in the job.
pub(crate) fn judge(
    job: &Job,
    glare: usize,
    all: &[Spilling],
) -> Result<Option<Finding>, AimError> {
    let Some(place) = job.glare.get(glare) else { return Ok(None) };
    let straight_down = Angle::degrees(-90.0);
    let light = together(all, straight_down)?;
    if light <= place.limit {
        return Ok(None);
    }
    let mut most: Option<(&Spilling, f64)> = None;
    for one in all {
        let own = one.light(straight_down)?.get();
        if most.is_none_or(|(_, before)| own > before) {
            most = Some((one, own));
        }
    }
    let worst = most.and_then(|(one, _)| job.trunks.get(one.trunk)).map_or("", |t| t.name.as_str());
    let lamps: u32 = all.iter().map(|one| one.lamps).sum();
    let message = if lamps == 1 {
        format!("a lamp on {worst} facing {} gives {light} there", place.name)
    } else {
        format!(
            "all {lamps} lamps together give {light} on {}, were one of each trunk to face it; most of it comes \
             from {worst}",
            place.name
        )
    };
    let mut finding = Finding::new(RULE.code, Severity::Warning, message)
        .measured(light, place.limit)
        .key(KeyPath::new(format!("glare[{glare}].limit")).as_str())
        .key("fixture.lumens");
    // The least whole degree below which no scale is set that darkens the place enough.
    let from = job.tilt.min.deg().floor() as i32;
    for degree in from..=job.tilt.max.deg().floor() as i32 {
        let least = Angle::degrees(f64::from(degree));
        if together(all, least)? <= place.limit {
            finding = finding.remedy("tilt.min", format!("at least {least:.0}"));
            break;
        }
    }
    if let Some(lumens) = job.fixture.lumens {
        let dim = LuminousFlux::lumens((lumens.get() * (place.limit / light)).floor());
        if dim >= LEAST_FLUX {
            finding = finding.remedy("fixture.lumens", format!("at most {dim:.0}"));
        }
    }
    Ok(Some(finding))
}

/// Less than this no lamp of the job file has.
const LEAST_FLUX: LuminousFlux = LuminousFlux::lumens(10.0);
