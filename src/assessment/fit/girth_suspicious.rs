//! Measurements of a trunk that contradict each other.

use crate::assessment::Subject;
use crate::design::Plan;
use crate::engineering::fit::girth_of_radius;
use crate::engineering::oval::Oval;
use crate::engineering::taper::{GirthAt, STEEPEST, Taper};
use crate::finding::KeyPath;
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Job, enumerated};
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "girth-suspicious",
    title: "girths, diameters and straight edge of a trunk agree",
    why: "a slipped tape or a diameter noted as a girth costs a print that fits no tree",
    formula: "perimeter of the ellipse with the two diameters against the girth; 2 pi R under the straight edge against the girth; half cone angle atan((r_lower - r_upper) / height between)",
    source: "Ramanujan's second approximation of an ellipse's perimeter (1914); the limits are common practice, no source",
    cure: "measure again: tape level, over bark, not over ivy",
};

/// How far tape and calipers may disagree: bark ridges, and a section that is no ellipse.
const DISAGREE: f64 = 0.05;
/// A longer diameter over the shorter beyond this is a fork, a buttress or a slip; measured stems
/// differ by 5 to 15 % (from memory).
const OVAL: f64 = 1.4;
/// Bark that by a straight edge is rounder or flatter than its girth by more than this factor is a flute,
/// a buttress or a slip (by experience, no source).
const FLATTER: f64 = 2.0;

/// Warnings for every trunk whose measurements contradict each other.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let mut found = judge(subject.job);
    // A set that was not printed may be made anew from another reading of the tape.
    let printed = subject.plan().filter(|plan| plan.already_printed);
    found.extend(printed.and_then(|plan| shrunk(subject.job, plan)));
    found
}

/// One warning for all trunks that are thinner than in the earlier set by more than two readings of a
/// tape may differ: trees grow, tapes slip.
fn shrunk(job: &Job, plan: &Plan) -> Option<Finding> {
    let tape = job.job.girth_tolerance * 2.0;
    let mut thinner: Vec<(usize, Length)> = Vec::new();
    for (_, change) in &plan.changes {
        let trunk = job.trunks.iter().position(|t| t.name == change.trunk);
        let (Some(i), Some(before)) = (trunk, change.before) else { continue };
        let less = before - job.trunks[i].girth;
        if less > tape && thinner.iter().all(|(known, _)| *known != i) {
            thinner.push((i, less));
        }
    }
    let (most, by) = *thinner.iter().max_by(|a, b| a.1.get().total_cmp(&b.1.get()))?;
    let told = thinner.iter().map(|(i, by)| format!("{} by {by:.0}", job.trunks[*i].name));
    let message = format!(
        "thinner than in the earlier set: {}; measure again before anything is bought or printed",
        enumerated(told)
    );
    let found = Finding::new(RULE.code, Severity::Warning, message)
        .measured(format!("{by:.0} thinner"), format!("{tape:.0}, two readings of the tape"));
    let rest = thinner.iter().map(|(i, _)| *i).filter(|i| *i != most);
    let keys = std::iter::once(most).chain(rest);
    Some(keys.fold(found, |f, i| f.key(KeyPath::trunk(i, "girth").as_str())))
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
        if let Some(Ok(local)) = trunk.edge().map(|edge| edge.radius()) {
            let ratio = girth_of_radius(local.radius) / trunk.girth;
            if !(1.0 / FLATTER..=FLATTER).contains(&ratio) {
                found.push(
                    warn(format!(
                        "{}: by the straight edge the bark is as round as a girth of {:.0}, by the tape \
                         {:.0}",
                        trunk.name,
                        girth_of_radius(local.radius),
                        trunk.girth
                    ))
                    .measured(trimmed(ratio, 2), format!("{} to {FLATTER}", trimmed(1.0 / FLATTER, 1)))
                    .key(KeyPath::trunk(i, "straight-edge").as_str())
                    .key(KeyPath::trunk(i, "girth").as_str())
                    .remedy(
                        KeyPath::trunk(i, "height").as_str(),
                        "another height, clear of flutes and buttresses; or lay the edge again",
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
