//! The rim round the pad comes near the bark when the pad is pressed.

use crate::assessment::{Subject, undetermined};
use crate::bisection::whole_border;
use crate::design::job_inputs::foam;
use crate::design::saddle::Saddle;
use crate::design::{Plan, SizeClass, TrunkPlan};
use crate::engineering::fit::{Face, FitError, Foam};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lip-touches-bark",
    title: "air between the rim round the pad and the bark",
    why: "a hard edge on bark bruises it, which is what the pad is there to prevent",
    formula: "least distance of lip arc and trunk circle >= 1 mm, with the middle gap of the fitted pad, thinnest and thickest radius served",
    source: "geometry of two circles; 1 mm for bark that is not smooth: common practice, no source",
    cure: "a thicker pad, or less compression",
};

/// Least air between rim and bark.
const LEAST: Length = Length::mm(1.0);
/// The thickest pad that the job file takes.
const THICKEST: f64 = 40.0;

/// The least gap between the lip of a saddle and a trunk, pad pressed as the fit has it.
///
/// # Errors
/// When a radius is not positive.
fn least_gap(saddle: &Saddle, foam: Foam, trunk: Length) -> Result<Length, FitError> {
    let fit = Face::new(saddle.face_radius, saddle.pad_half_width)?.fit(foam, trunk)?;
    let middle = (foam.thickness() * (1.0 - fit.centre)).get();
    let (face, r) = (saddle.face_radius.get(), trunk.get());
    let lip = (saddle.face_radius - saddle.recess).get();
    // Two circles draw steadily nearer or farther along the arc: one of its ends is the nearest.
    let at = |angle: f64| {
        let (x, y) = (lip * libm::sin(angle), lip * libm::cos(angle) - face);
        libm::hypot(x, y + r + middle) - r
    };
    Ok(Length::mm(at(0.0).min(at(saddle.rim_angle()))))
}

/// The worst gap over the trunks of a size.
fn worst(
    job: &Job,
    trunks: &[TrunkPlan],
    class: &SizeClass,
    saddle: &Saddle,
) -> Result<Length, FitError> {
    let pad = foam(&job.pad)?;
    let mut least = Length::mm(f64::INFINITY);
    for range in class.trunks.iter().filter_map(|&t| trunks.get(t)).map(|t| t.range) {
        for radius in [range.from, range.to] {
            least = least.min(least_gap(saddle, pad, radius)?);
        }
    }
    Ok(least)
}

/// The least gap of any saddle of a plan.
fn worst_of_all(job: &Job, plan: &Plan) -> Result<Length, FitError> {
    plan.saddles().try_fold(Length::mm(f64::INFINITY), |least, (_, class, saddle)| {
        Ok(least.min(worst(job, &plan.trunks, class, saddle)?))
    })
}

/// The thinnest pad, in tenths of a millimetre, with which the whole job keeps its rims off the
/// bark: found by planning anew, since thicker pads need other faces.
fn thinnest_pad(job: &Job) -> Option<Length> {
    let keeps = |tenths: u32| {
        let mut thicker = job.clone();
        thicker.pad.thickness = Length::mm(f64::from(tenths) / 10.0);
        crate::design::plan(&thicker, &Default::default())
            .is_ok_and(|plan| worst_of_all(&thicker, &plan).is_ok_and(|gap| gap >= LEAST))
    };
    let bad = (job.pad.thickness.get() * 10.0).floor() as u32;
    let good = (THICKEST * 10.0) as u32;
    if !keeps(good) {
        return None;
    }
    Some(Length::mm(f64::from(whole_border(good, bad, keeps)) / 10.0))
}

/// One finding for each size whose rim comes too near; an error where it touches.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let mut findings = Vec::new();
    for (part, class, saddle) in plan.saddles() {
        let gap = match worst(job, &plan.trunks, class, saddle) {
            Ok(gap) if gap >= LEAST => continue,
            Ok(gap) => gap,
            Err(error) => {
                findings.push(undetermined(&RULE, &error).part(part).key("pad.thickness"));
                continue;
            }
        };
        let (severity, how) = if gap > Length::ZERO {
            (Severity::Warning, format!("comes within {gap:.2} of the bark"))
        } else {
            (Severity::Error, format!("goes {:.2} into the bark", Length::ZERO - gap))
        };
        let message =
            format!("the rim round a pad of {} {how}, {LEAST} keeps it clear", job.pad.thickness);
        findings.push(
            Finding::new(RULE.code, severity, message)
                .measured(format!("{gap:.2}"), format!("at least {LEAST}"))
                .part(part)
                .key("pad.thickness")
                .key("pad.strain-max"),
        );
    }
    // One cure for all, found once.
    if let Some(thickness) = (!findings.is_empty()).then(|| thinnest_pad(job)).flatten() {
        let change = format!("at least {thickness}");
        let cured = findings.into_iter().map(|f| f.remedy("pad.thickness", change.clone()));
        return cured.collect();
    }
    findings
}
