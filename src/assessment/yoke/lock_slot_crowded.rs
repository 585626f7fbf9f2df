//! The lock slot runs into the pivot hole, or their washers meet.

use super::of_cradles;
use crate::assessment::Subject;
use crate::assessment::prints::LEAST_WALL;
use crate::assessment::rounding::up;
use crate::design::PartId;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Mount;
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lock-slot-crowded",
    title: "plastic between pivot hole and lock slot, and room for both washers",
    why: "a slot that meets the pivot hole leaves no ear to turn in, and washers that overlap do not clamp",
    formula: "lock radius >= max(clearance hole + 2.4 mm, washer)",
    source: "geometry; ISO 273 medium holes, ISO 7089 washers; least wall: common practice, no source",
    cure: "measure the lock boss again; a thinner thread needs less, or leave the lock out and let the pivot bolts hold",
};

/// The least radius of a lock circle for two bolts of a thread.
fn least_radius(thread: Thread) -> Length {
    (thread.clearance_hole(HoleFit::Medium) + LEAST_WALL).max(thread.washer().outer)
}

/// One finding for all cradles, which share their ears.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let (Some(lock), Mount::SideBosses { thread, .. }) = (plan.yoke.lock, &job.fixture.mount)
    else {
        return Vec::new();
    };
    let least = least_radius(*thread);
    if lock.radius >= least {
        return Vec::new();
    }
    let wall = lock.radius - thread.clearance_hole(HoleFit::Medium);
    let message = format!(
        "the lock boss stands {} from the pivot: {thread} leaves {wall:.1} of ear between slot and hole, and its washers are {} wide",
        lock.radius,
        thread.washer().outer
    );
    let mut finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(lock.radius, format!("at least {least}"))
        .key("fixture.mount.lock-radius")
        .key("fixture.mount.thread")
        .remedy("fixture.mount.lock-radius", format!("at least {}", up(least)));
    let thinner = Thread::ALL.into_iter().rev().find(|t| least_radius(*t) <= lock.radius);
    if let Some(thread) = thinner {
        finding = finding.remedy("fixture.mount.thread", format!("\"{thread}\" or thinner"));
    }
    of_cradles(subject, Some(finding.part(PartId::YokeTest)))
}
