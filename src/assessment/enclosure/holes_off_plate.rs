//! Screw holes of receiver and controller lie on the plate that they belong to.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{Component, Cuboid, Enclosure};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{HolePattern, Job};
use crate::standards::fastener::HoleFit;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "holes-off-plate",
    title: "the screw holes of receiver and controller lie on their plates",
    why: "a hole that breaks out of its plate was measured wrongly, and its post would stand beside the plate",
    formula: "distance of the hole's middle from the plate's edge >= clearance hole (ISO 273, medium) / 2",
    source: "geometry; ISO 273",
    cure: "measure the pattern again; its first number runs along the length",
};

/// What is checked: its name in a message, the key of its holes, the content and their pattern.
pub(super) struct Held<'a> {
    pub(super) name: &'static str,
    pub(super) key: &'static str,
    pub(super) content: &'a Component,
    pub(super) holes: &'a HolePattern,
}

/// Receiver and controller with their patterns.
pub(super) fn held<'a>(plan: &'a Enclosure, job: &'a Job) -> impl Iterator<Item = Held<'a>> {
    let receiver = job.battery.as_ref().map(|b| Held {
        name: "receiver",
        key: "battery.receiver.holes",
        content: &plan.battery,
        holes: &b.receiver.holes,
    });
    let controller = plan.controller.as_ref().zip(job.controller.as_ref()).map(|(content, c)| {
        Held { name: "controller", key: "controller.holes", content, holes: &c.holes }
    });
    receiver.into_iter().chain(controller)
}

/// An error for every plate with a hole that breaks out.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    held(plan, job).filter_map(|held| check_one(&held)).collect()
}

fn check_one(held: &Held<'_>) -> Option<Finding> {
    let Held { name, key, content, holes } = held;
    let plate: &Cuboid = content.plate.as_ref().unwrap_or(&content.body);
    let radius = content.post.thread.clearance_hole(HoleFit::Medium) / 2.0;
    let axes = content.axes();
    let inside = |at: &[Length; 2]| {
        let axis = |i: usize| (at[i] - plate.low[axes[i]]).min(plate.high[axes[i]] - at[i]);
        axis(0).min(axis(1))
    };
    let worst = content.holes.iter().map(inside).fold(Length::mm(f64::INFINITY), Length::min);
    if worst >= radius {
        return None;
    }
    let place = if worst < Length::ZERO {
        format!("lies {} beyond the edge of its plate", worst.abs())
    } else {
        format!("lies only {worst} inside the edge of its plate")
    };
    let message = format!("a screw hole of the {name} {place}");
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(worst, format!("at least {radius}"))
        .part(PartId::BoxBody)
        .key(*key);
    // Sides of the plate along the pattern's axes: a quarter turn swaps them.
    let [x, y] = axes.map(|i| plate.high[i] - plate.low[i]);
    let [along, across] = [x.max(y), x.min(y)].map(|side| side - 2.0 * radius);
    Some(match holes {
        HolePattern::Rectangle { width, height } => {
            let mut finding = finding;
            if *width > along {
                finding = finding.remedy(format!("{key}.width"), format!("at most {along}"));
            }
            if *height > across {
                finding = finding.remedy(format!("{key}.height"), format!("at most {across}"));
            }
            finding
        }
        HolePattern::Circle { .. } => {
            finding.remedy(format!("{key}.diameter"), format!("at most {across}"))
        }
        HolePattern::Points { .. } => finding.remedy(
            format!("{key}.points"),
            format!("within {} along and {} across of the middle", along / 2.0, across / 2.0),
        ),
    })
}
