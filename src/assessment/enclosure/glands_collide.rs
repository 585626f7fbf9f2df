//! Cable glands and vent in the downward wall clear each other, floor, flange and corners.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, GLAND_GAP, VentHole, WallHole};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "glands-collide",
    title: "every gland can be turned without touching its neighbour, the floor or the flange",
    why: "a gland that cannot be turned home does not seal, and one on a round corner never will",
    formula: "centre distance - corner radii >= 2 mm; corner radius = flats / sqrt 3; \
              floor <= z - radius, z + radius <= flange root, |x| + radius <= half the flat",
    source: "geometry of the hexagon; flats are makers' usual ones, from memory; the gap is common practice, no source",
    cure: "fewer or smaller glands",
};

/// A hole with the circle that it needs on the wall.
fn circle(hole: &WallHole, vent: Option<&VentHole>) -> ([Length; 2], Length) {
    (hole.at, vent.map_or(hole.corner_radius(), |v| v.foot_radius))
}

/// An error for every gland that meets a neighbour, the floor, the flange or a corner.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, _job: &Job) -> Vec<Finding> {
    let name = |i: usize| match plan.entries.get(i) {
        Some(entry) => (format!("gland {}", entry.hole.size), format!("gland[{}]", entry.entry)),
        None => ("vent".to_owned(), "vent".to_owned()),
    };
    let circles: Vec<_> = plan
        .entries
        .iter()
        .map(|e| circle(&e.hole, None))
        .chain(plan.vent.iter().map(|v| circle(&v.hole, Some(v))))
        .collect();
    let flat = plan.cavity.half[0] - plan.cavity.radius;
    let mut findings = Vec::new();
    let mut report = |who: usize, what: &str, free: Length, limit: Length| {
        if free >= limit - Length::mm(1e-9) {
            return;
        }
        let (word, key) = name(who);
        let message = format!("the {word} leaves {free} to {what}");
        findings.push(
            Finding::new(RULE.code, Severity::Error, message)
                .measured(free, format!("{limit} at least"))
                .part(PartId::BoxBody)
                .key(key),
        );
    };
    for (i, (at, radius)) in circles.iter().enumerate() {
        for (k, (other, other_radius)) in circles.iter().enumerate().take(i) {
            let d = [0, 1].map(|axis| (at[axis] - other[axis]).get());
            let apart = Length::mm((d[0] * d[0] + d[1] * d[1]).sqrt());
            report(i, &format!("the {}", name(k).0), apart - *radius - *other_radius, GLAND_GAP);
        }
        report(i, "the box's floor", at[1] - *radius - plan.floor, Length::ZERO);
        report(i, "the flange", plan.flange.root - at[1] - *radius, Length::ZERO);
        report(i, "the wall's round end", flat - at[0].abs() - *radius, Length::ZERO);
    }
    findings
}
