//! Measurements of a trunk that contradict each other.

use crate::assessment::Subject;
use crate::engineering::oval::Oval;
use crate::engineering::taper::{GirthAt, STEEPEST, Taper};
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "girth-suspicious",
    title: "girths and diameters of a trunk agree",
    why: "a slipped tape or a diameter noted as a girth costs a print that fits no tree",
    formula: "perimeter of the ellipse with the two diameters against the girth; half cone angle atan((r_lower - r_upper) / height between)",
    source: "Ramanujan's second approximation of an ellipse's perimeter (1914); the limits are common practice, no source",
    cure: "measure again: tape level, over bark, not over ivy",
};

/// How far tape and calipers may disagree: bark ridges, and a section that is no ellipse.
const DISAGREE: f64 = 0.05;
/// A longer diameter over the shorter beyond this is a fork, a buttress or a slip; measured stems
/// differ by 5 to 15 % (from memory).
const OVAL: f64 = 1.4;

/// Warnings for every trunk whose measurements contradict each other.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job)
}

pub(crate) fn judge(job: &Job) -> Vec<Finding> {
    let mut found = Vec::new();
    for (i, trunk) in job.trunks.iter().enumerate() {
        let warn = |message: String| Finding::new(RULE.code, Severity::Warning, message);
        if let Some(oval) = trunk.diameters.and_then(|d| Oval::new(d).ok()) {
            let off = trunk.girth / oval.girth() - 1.0;
            if off.abs() > DISAGREE + job.job.girth_tolerance / trunk.girth {
                found.push(
                    warn(format!(
                        "{}: tape and calipers disagree, girth {:.0} but {:.0} round the two diameters",
                        trunk.name,
                        trunk.girth,
                        oval.girth()
                    ))
                    .measured(format!("{} %", trimmed(off * 100.0, 1)), "5 % and the tape's tolerance")
                    .key(KeyPath::trunk(i, "girth").as_str())
                    .key(KeyPath::trunk(i, "diameters").as_str())
                    .remedy(KeyPath::trunk(i, "girth").as_str(), format!("{:.0} if the diameters are right", oval.girth())),
                );
            }
            if oval.ratio() > OVAL {
                found.push(
                    warn(format!(
                        "{}: one diameter is {} times the other",
                        trunk.name,
                        trimmed(oval.ratio(), 2)
                    ))
                    .measured(trimmed(oval.ratio(), 2), trimmed(OVAL, 2))
                    .key(KeyPath::trunk(i, "diameters").as_str())
                    .remedy(
                        KeyPath::trunk(i, "height").as_str(),
                        "another height, clear of forks and buttresses",
                    ),
                );
            }
        }
        let Some((girth, height)) = trunk.upper_girth.zip(trunk.upper_height) else { continue };
        let lower = GirthAt { girth: trunk.girth, height: trunk.height };
        let Ok(taper) = Taper::new(lower, GirthAt { girth, height }) else { continue };
        let angle = taper.half_angle();
        // A stem does not thicken upward by more than the tape may be off at both ends.
        let thicker =
            angle.rad() < 0.0 && (girth - trunk.girth).abs() > job.job.girth_tolerance * 2.0;
        if thicker || angle.abs() > STEEPEST {
            let low = trunk.girth.min(girth);
            found.push(
                warn(format!(
                    "{}: the bark leans {angle} between the two girths{}",
                    trunk.name,
                    if thicker { ", thicker above" } else { "" }
                ))
                .measured(angle, format!("0 deg to {STEEPEST}"))
                .key(KeyPath::trunk(i, "upper-girth").as_str())
                .key(KeyPath::trunk(i, "upper-height").as_str())
                .remedy(
                    KeyPath::trunk(i, "upper-girth").as_str(),
                    taper_limit(trunk.girth, low, (height - trunk.height).abs(), thicker),
                ),
            );
        }
    }
    found
}

/// The upper girth that the steepest stem would have, or the lower one where the stem thickens.
fn taper_limit(lower: Length, low: Length, apart: Length, thicker: bool) -> String {
    if thicker {
        return format!("at most {:.0}", lower.max(low));
    }
    let drop = apart * STEEPEST.tan() * std::f64::consts::TAU;
    format!("at least {:.0}", (lower - drop).max(Length::ZERO))
}
