//! No strap tension both holds the saddle and spares bark, webbing and print.

use super::{RingCase, SizeCases, sizes};
use crate::assessment::{Subject, undetermined};
use crate::design::PartId;
use crate::engineering::hold::{Cure, HoldInput};
use crate::finding::{Finding, Rule, Severity};
use crate::units::{Length, Mass, Speed, trimmed};

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "strap-window-empty",
    title: "a strap tension that holds and harms nothing",
    why: "pulled loosely the lamp slides or peels off, pulled harder the strap bruises bark or breaks the print",
    formula: "least T (sliding, peeling, loose pad) <= most T (working load, bark under strap and pad, pad strain, passage)",
    source: "Coulomb friction, capstan law (Euler and Eytelwein), p = T/(r b) (Mott, band brakes), kern of a rectangle; limits on bark are common practice, no source",
    cure: "more straps, wider webbing, wider or rougher pads, a lighter lamp, or take-down before strong wind",
};

/// Today's values of the keys that the cures change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CurrentValues {
    /// Half width of the pad.
    pub(crate) half_width: Length,
    /// Mass of the lamp.
    pub(crate) mass: Mass,
    /// Gust.
    pub(crate) gust: Speed,
}

/// One finding for each size whose window is empty, with every single change that opens it, at the
/// trunk where it is tightest; one when it cannot be found at all.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let job = subject.job;
    let judge = |case: &RingCase<'_>| {
        let half_width = case.ring.size.half_width;
        let now = CurrentValues { half_width, mass: job.fixture.mass, gust: job.site.gust };
        case.named(judge(case.part(), &case.input, now), None)
    };
    sizes(subject).iter().filter_map(SizeCases::tightest).flat_map(judge).collect()
}

pub(crate) fn judge(part: &PartId, input: &HoldInput<'_>, today: CurrentValues) -> Vec<Finding> {
    let (window, cures) = match input.window().and_then(|w| Ok((w, input.cures()?))) {
        Ok(found) => found,
        Err(error) => return vec![undetermined(&RULE, &error).part(part)],
    };
    if window.is_open() {
        return Vec::new();
    }
    let message = format!(
        "no strap tension serves: {:.0} is needed {}, but {} allows {:.0}",
        window.least,
        window.need.words(),
        window.cap.words(),
        window.most
    );
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(format!("{:.0}", window.least), format!("{:.0}", window.most))
        .part(part)
        .key("strap.count")
        .key("pad.bark-limit");
    vec![cures.into_iter().fold(finding, |finding, cure| match cure {
        Cure::Straps(count) => finding.remedy("strap.count", format!("at least {count}")),
        Cure::StrapWidth(width) => {
            finding.remedy("strap.width", format!("at least {} mm", width.get().ceil()))
        }
        Cure::PadArea(factor) => {
            let half = (today.half_width * factor).get().ceil();
            finding.remedy("pad.half-width", format!("at least {half} mm"))
        }
        Cure::PadFriction(mu) => {
            finding.remedy("pad.friction", format!("at least {}", trimmed(mu, 2)))
        }
        Cure::Weight(factor) => {
            let grams = (today.mass.get() * factor * 1000.0).floor();
            finding.remedy("fixture.mass", format!("at most {} kg", trimmed(grams / 1000.0, 3)))
        }
        Cure::Gust(factor) => {
            let gust = (today.gust.get() * factor * 10.0).floor() / 10.0;
            finding.remedy("site.gust", format!("at most {} m/s", trimmed(gust, 1)))
        }
    })]
}
