//! The lid between its screws.

use super::{Finding, Rule, Severity};
use crate::engineering::seal::{Groove, SealError, Strip};
use crate::standards::gasket::SQUEEZE_LEAST;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "lid-bows",
    title: "the lid stays down on the cord between its screws",
    why: "a lid that bows lets the cord spring back, and water in",
    formula: "5 w L^4 / (384 E I) <= cord (squeeze - 0.10) - print tolerance",
    source: "beam on simple supports under a line load, standard beam tables; least squeeze of enclosure gasket guides",
    cure: "a softer cord, more squeeze, or a stiffer polymer",
};

/// An error when the lid bows by more than the squeeze allows. `line_load` in N/mm at the squeeze of
/// the groove.
///
/// # Errors
/// When a value is not positive and finite.
pub fn check(
    groove: &Groove,
    strip: &Strip,
    line_load: f64,
    pitch: Length,
    tolerance: Length,
) -> Result<Vec<Finding>, SealError> {
    let bow = strip.bow(line_load, pitch)?.supported;
    let allowed = groove.allowed_gap(tolerance);
    if bow <= allowed {
        return Ok(Vec::new());
    }
    let mut finding = Finding::new(
        RULE.code,
        Severity::Error,
        format!("the lid bows {bow} between screws {pitch:.0} apart, the cord follows {allowed}"),
    )
    .measured(bow, allowed)
    .key("seal.line-load")
    .key("seal.squeeze")
    .key("polymer.kind");
    let softer = (line_load * (allowed / bow) * 100.0).floor() / 100.0;
    if softer > 0.0 {
        finding = finding.remedy("seal.line-load", format!("at most {}", trimmed(softer, 2)));
    }
    let squeeze = SQUEEZE_LEAST + (bow + tolerance.abs()) / groove.cord;
    let squeeze = (squeeze * 100.0).ceil() / 100.0;
    if squeeze <= MOST_SQUEEZE {
        finding = finding.remedy(
            "seal.squeeze",
            format!("at least {} with the same line load", trimmed(squeeze, 2)),
        );
    }
    Ok(vec![finding])
}

/// The most squeeze that a job file may ask for.
pub(crate) const MOST_SQUEEZE: f64 = 0.4;
