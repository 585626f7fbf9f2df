//! No strap tension both holds the saddle and spares bark, webbing and print.

use super::{Finding, Rule, Severity};
use crate::engineering::hold::{Cure, HoldInput};
use crate::units::{Length, Mass, Speed, trimmed};

/// See [`check`].
pub const RULE: Rule = Rule {
    code: "strap-window-empty",
    title: "a strap tension that holds and harms nothing",
    why: "pulled loosely the lamp slides or peels off, pulled harder the strap bruises bark or breaks the print",
    formula: "least T (sliding, peeling, loose pad) <= most T (working load, bark under strap and pad, pad strain, passage)",
    source: "Coulomb friction, capstan law (Euler and Eytelwein), p = T/(r b) (Mott, band brakes), kern of a rectangle; limits on bark are common practice, no source",
    cure: "more straps, wider webbing, wider or rougher pads, a lighter lamp, or take-down before strong wind",
};

/// Today's values of the keys that the cures change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Today {
    /// Half width of the pad.
    pub half_width: Length,
    /// Mass of the lamp.
    pub mass: Mass,
    /// Gust.
    pub gust: Speed,
}

/// One finding when the window is empty, with every single change that opens it; one when it cannot
/// be found at all.
#[must_use]
pub fn check(part: &str, input: &HoldInput<'_>, today: Today) -> Vec<Finding> {
    let (window, cures) = match input.window().and_then(|w| Ok((w, input.cures()?))) {
        Ok(found) => found,
        Err(error) => return vec![super::not_found(&RULE, part, &error)],
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
