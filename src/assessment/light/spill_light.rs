//! Light in windows and in drivers' eyes.

use super::lit;
use crate::assessment::{Subject, undetermined};
use crate::engineering::aim::{AimError, Beam, Sight};
use crate::engineering::taper::zero_elevation;
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Angle, LuminousFlux};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "spill-light",
    title: "little light falls into windows and on roads",
    why: "light in a bedroom or in a driver's eyes ends an evening, and harms",
    formula: "E = I0 cos(off axis)^m cos(incidence) / d^2, m = ln 0.5 / ln cos(beam angle / 2), I0 = flux (m + 1) / (2 pi)",
    source: "generalised Lambert law (Moreno and Sun, Optics Express 16, 2008); limits of CIE 150:2017 from memory",
    cure: "raise the beam, dim the lamp, or turn it away from the place",
};

/// A warning for each place of `[[glare]]` on which a lamp that points at it gives more light than its
/// limit, at the trunk from which it is most.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let worst = |glare: usize| {
        let here = lit(subject).filter_map(|(t, aim, _)| Some((t, aim, aim.sights.get(glare)?)));
        here.max_by(|a, b| a.2.1.get().total_cmp(&b.2.1.get()))
    };
    let judge = |glare: usize| {
        let (trunk, aim, (sight, _)) = worst(glare)?;
        let (beam, at) = (aim.beam, aim.elevation);
        let found = judge(subject.job, trunk, glare, *sight, beam, at, aim.half);
        found.unwrap_or_else(|error| Some(undetermined(&RULE, &error)))
    };
    (0..subject.job.glare.len()).filter_map(judge).collect()
}

/// `elevation` is the beam's; `trunk` and `glare` are indices in the job.
pub(crate) fn judge(
    job: &Job,
    trunk: usize,
    glare: usize,
    sight: Sight,
    beam: Beam,
    elevation: Angle,
    half_cone: Angle,
) -> Result<Option<Finding>, AimError> {
    let (Some(t), Some(place)) = (job.trunks.get(trunk), job.glare.get(glare)) else {
        return Ok(None);
    };
    let light = sight.light(beam, elevation)?;
    if light <= place.limit {
        return Ok(None);
    }
    let mut finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!("a lamp on {} facing {} gives {light} there at {elevation}", t.name, place.name),
    )
    .measured(light, place.limit)
    .key(KeyPath::new(format!("glare[{glare}].limit")).as_str())
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
    Ok(Some(finding))
}
