//! Lamps whose body softens the ears that hold it.

use super::of_cradles;
use crate::assessment::Subject;
use crate::engineering::guard::OutOfRange;
use crate::engineering::heat::{Convection, EMISSIVITY, Surface};
use crate::engineering::strength::limits::{BELOW_GLASS, softens_last};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::standards::PolymerKind;
use crate::standards::polymer::polymer;
use crate::units::{Area, Length, Power, Temperature};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "ear-too-warm",
    title: "the lamp's body leaves the ears stiff",
    why: "bolts carry the lamp's warmth into the ears; a plastic near its softening lets the tilt go, and then the lamp",
    formula: "fixture.body-temperature <= glass transition - 10 K; the sums guess it from 0.8 power = A (h_c dT + \
              eps sigma (T^4 - T_air^4)) over all faces but the front",
    source: "natural convection and radiation (Holman, Heat Transfer); 0.8 of the power as heat: common practice, no \
             source",
    cure: "a polymer that softens later, a weaker lamp, or a washer that does not carry warmth",
};

/// Share of a lamp's power that warms its body. Common practice for light-emitting diodes, no source.
const AS_HEAT: f64 = 0.8;

/// A warning by a measured body.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    of_cradles(subject, judge(subject.job))
}

/// The body's warmth on the warmest day: as measured, else by the heat balance.
pub(super) fn body(job: &Job) -> Result<Temperature, OutOfRange> {
    let lamp = &job.fixture;
    if let Some(measured) = lamp.body_temperature {
        return Ok(measured);
    }
    let [w, h, d] = [lamp.width, lamp.height, lamp.depth].map(Length::get);
    let area = Area::mm2(w * h + 2.0 * d * (w + h));
    let convection = Convection::Natural(lamp.height);
    let face = Surface { area, emissivity: EMISSIVITY, convection };
    face.temperature(Power::watts(lamp.power.get() * AS_HEAT), job.site.warm)
}

pub(crate) fn judge(job: &Job) -> Option<Finding> {
    // The balance alone is a guess, and by evening the air is cooler: it is told among the sums only.
    let body = job.fixture.body_temperature?;
    let row = polymer(job.polymer.kind);
    let limit = row.glass - Temperature::celsius(BELOW_GLASS);
    if body <= limit {
        return None;
    }
    let mut finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!(
            "the lamp's body is {body:.0} warm by its bolts; ears of {} soften at {}",
            row.name, row.glass
        ),
    )
    .measured(format!("{body:.0}"), format!("at most {limit:.0}"))
    .key("fixture.body-temperature")
    .key("polymer.kind");
    let bears =
        |kind: &PolymerKind| polymer(*kind).glass - Temperature::celsius(BELOW_GLASS) >= body;
    if let Some(kind) = softens_last().into_iter().find(bears) {
        finding = finding.remedy("polymer.kind", format!("\"{kind}\""));
    }
    Some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::read;

    fn job(extra: &str) -> Job {
        let text = include_str!("../../../params/one-lamp.toml");
        read(&text.replace("power =", &format!("{extra}\npower ="))).unwrap().job
    }

    #[test]
    fn a_hot_body_asks_for_another_plastic_and_a_cool_one_for_nothing() {
        // PETG, glass transition 71 C (Processes 2025, 13(9), 2733): 61 C is the most.
        assert_eq!(judge(&job("body-temperature = \"58 C\"")), None);
        let found = judge(&job("body-temperature = \"68 C\"")).unwrap();
        assert_eq!(found.severity, Severity::Warning);
        let kind = &found.remedies[0].change;
        let mut cured = job("body-temperature = \"68 C\"");
        cured.polymer.kind = PolymerKind::Asa;
        assert_eq!((kind.as_str(), judge(&cured)), ("\"asa\"", None));
    }

    #[test]
    fn the_guess_is_a_heat_balance() {
        // By hand, 10 W x 0.8 over 96 x 78 + 2 x 42 x 174 mm2 = 0.0221 m2 at some 12.7 W/(m2 K)
        // (6.2 by convection, the rest by radiation): 28.5 K over 30 C.
        let found = body(&job("")).unwrap();
        assert!((57.0..60.0).contains(&found.get()), "{found}");
        // A guess is no finding.
        assert_eq!(judge(&job("")), None);
    }
}
