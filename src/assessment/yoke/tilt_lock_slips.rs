//! The tilt screws cannot hold the lamp without crushing the plastic, or are given a wrong torque.

use super::{Yoke, of_cradles};
use crate::assessment::{Calculations, Subject, undetermined};
use crate::engineering::strength::TiltLock;
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Job, Mount};
use crate::units::trimmed;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "tilt-lock-slips",
    title: "friction of the tilt lock after creep",
    why: "a lock that slips lets the beam sink, into eyes or windows",
    formula: "2 mu F kept ((r_o + r_i)/2 + R) >= safety M, with F = T/(K d) and F/(washer area) within the plastic's limit",
    source: "annulus under uniform wear and T = K F d (machine-design texts); creep of the preload from memory",
    cure: "a lamp whose lock screw stands at a larger radius or has a thicker thread, take-down before strong wind, or the torque that the sheet names",
};

/// One finding for all cradles when no torque holds; one when the torque asked for lies outside those
/// that do.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    match subject.calculations {
        Some(Calculations { yoke: Ok(Yoke { lock: Ok(lock), .. }), .. }) => {
            of_cradles(subject, judge(lock, subject.job))
        }
        _ => Vec::new(),
    }
}

pub(crate) fn judge(lock: &TiltLock, job: &Job) -> Option<Finding> {
    let (found, radius) = match lock.solve().and_then(|f| Ok((f, lock.least_lock_radius()?))) {
        Ok(found) => found,
        Err(error) => return Some(undetermined(&RULE, &error)),
    };
    if !found.holds() {
        let message = format!(
            "the tilt lock holds {:.2} after creep, but weight and gust with their safety need {:.2}",
            found.held, found.demand
        );
        let mut finding = Finding::new(RULE.code, Severity::Error, message)
            .measured(format!("{:.2}", found.held), format!("at least {:.2}", found.demand));
        finding = match job.fixture.mount {
            Mount::SideBosses { .. } => {
                let radius = format!("at least {} mm", radius.get().ceil());
                finding.key("fixture.mount.thread").remedy("fixture.mount.lock-radius", radius)
            }
            // The bolts of a tilt plate were chosen, and none holds.
            Mount::BasePlate { .. } => finding.key("fixture.mass"),
        };
        if let (Mount::SideBosses { .. }, Some(thread)) = (&job.fixture.mount, lock.least_thread())
        {
            finding = finding.remedy("fixture.mount.thread", format!("\"{thread}\" or thicker"));
        }
        finding = finding.key("site.gust");
        if let Some(factor) = lock.most_gust() {
            let gust = (job.site.gust.get() * factor * 10.0).floor() / 10.0;
            finding = finding.remedy("site.gust", format!("at most {} m/s", trimmed(gust, 1)));
        }
        return Some(finding);
    }
    let torque = job.site.lock_torque?;
    // Rounded inward, so that the remedy itself is within the window.
    let least = (found.least_torque.get() * 100.0).ceil() / 100.0;
    let most = (found.most_torque.get() * 100.0).floor() / 100.0;
    let (words, remedy) = if torque < found.least_torque {
        ("slips at", format!("at least {} N.m", trimmed(least, 2)))
    } else if torque > found.most_torque {
        ("is crushed by", format!("at most {} N.m", trimmed(most, 2)))
    } else {
        return None;
    };
    Some(
        Finding::new(
            RULE.code,
            Severity::Error,
            format!("the tilt lock {words} a screw torque of {torque:.2}"),
        )
        .measured(format!("{torque:.2}"), &remedy)
        .key("site.lock-torque")
        .remedy("site.lock-torque", remedy),
    )
}
