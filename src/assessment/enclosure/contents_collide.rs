//! Battery and controller lie free in the box.
//!
//! Exact for cuboids along the axes against each other, against upright cylinders and against the
//! rounded cavity, which is convex: a rectangle lies inside when its corners do.

use super::TooClose;
use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{
    COMPONENT_CLEARANCE, COMPONENT_GAP, Component, Cuboid, Enclosure, LID_CLEARANCE, POST_GAP,
    WALL_CLEARANCE,
};
use crate::finding::{Finding, Rule};
use crate::params::Job;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "contents-collide",
    title: "battery and controller keep their distance from walls, lid, posts and each other",
    why: "what is pressed against a wall or a screw boss chafes, and a lid that rests on a battery does not seal",
    formula: "walls >= 3 mm, lid >= 4 mm, each other >= 6 mm, rail bosses >= 1 mm, locknuts >= 0",
    source: "geometry of the plan; distances are common practice, no source",
    cure: "measure battery and controller again, over plugs and latches",
};

/// Least distance of two cuboids; negative when they overlap.
fn between(a: &Cuboid, b: &Cuboid) -> Length {
    let gap = [0, 1, 2].map(|i| (b.low[i] - a.high[i]).max(a.low[i] - b.high[i]).get());
    let outside = gap.iter().map(|g| g.max(0.0) * g.max(0.0)).sum::<f64>().sqrt();
    let inside = gap.into_iter().fold(f64::NEG_INFINITY, f64::max).min(0.0);
    Length::mm(outside + inside)
}

/// Least distance of a cuboid and an upright cylinder that ends at `top`.
fn to_cylinder(a: &Cuboid, at: [Length; 2], radius: Length, top: Length) -> Length {
    let gap = [0, 1].map(|i| (a.low[i] - at[i]).max(at[i] - a.high[i]).get());
    let level = gap.map(|g| g.max(0.0));
    let level = (level[0] * level[0] + level[1] * level[1]).sqrt() + gap[0].max(gap[1]).min(0.0)
        - radius.get();
    let above = (a.low[2] - top).get();
    if level > 0.0 && above > 0.0 {
        return Length::mm((level * level + above * above).sqrt());
    }
    Length::mm(level.max(above))
}

/// An error for each of battery and controller that comes too close to something, and one for bosses.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, _job: &Job) -> Vec<Finding> {
    let components: Vec<(&str, &Component)> =
        ["battery", "controller"].into_iter().zip(plan.components()).collect();
    let judge = |(index, (name, component)): (usize, &(&str, &Component))| {
        let close = too_close(plan, component, &components[..index]);
        let finding = close.finding(&RULE, &format!("the {name}"))?;
        Some(finding.part(PartId::BoxLid).key(*name))
    };
    let findings = components.iter().enumerate().filter_map(judge);
    findings.chain(boss_and_locknut(plan)).collect()
}

/// What a component comes too close to, the components before it included.
fn too_close(plan: &Enclosure, component: &Component, before: &[(&str, &Component)]) -> TooClose {
    let mut close = TooClose::default();
    for solid in std::iter::once(&component.body).chain(&component.plate) {
        let corners = [
            solid.low,
            solid.high,
            [solid.low[0], solid.high[1], solid.low[2]],
            [solid.high[0], solid.low[1], solid.low[2]],
        ];
        for corner in corners {
            close.compare("a wall", -plan.cavity.distance([corner[0], corner[1]]), WALL_CLEARANCE);
        }
        close.compare("the lid", plan.depth - solid.high[2], LID_CLEARANCE);
        let boss_top = plan.floor + plan.rail_boss.height;
        for y in plan.rail_rows_y {
            for x in [-plan.rail_screw_x, plan.rail_screw_x] {
                let distance = to_cylinder(solid, [x, y], plan.rail_boss.radius, boss_top);
                close.compare("a rail boss", distance, COMPONENT_CLEARANCE);
            }
        }
        for room in plan.locknut_rooms() {
            close.compare("a gland's locknut", between(solid, &room), Length::ZERO);
        }
        for (name, other) in before {
            close.compare(&format!("the {name}"), between(solid, &other.body), COMPONENT_GAP);
            let post = format!("a post of the {name}");
            if let Some(stand) = &other.stand {
                let what = format!("the stand of the {name}");
                close.compare(&what, between(solid, stand), COMPONENT_CLEARANCE);
            }
            for at in other.posts() {
                let top = plan.floor + other.post.height;
                let distance = to_cylinder(solid, *at, other.post.radius, top);
                close.compare(&post, distance, Length::ZERO);
            }
        }
    }
    close
}

/// A rail boss must not stand where a locknut turns.
fn boss_and_locknut(plan: &Enclosure) -> Option<Finding> {
    let top = plan.floor + plan.rail_boss.height;
    let mut close = TooClose::default();
    for y in plan.rail_rows_y {
        for x in [-plan.rail_screw_x, plan.rail_screw_x] {
            for room in plan.locknut_rooms() {
                let distance = to_cylinder(&room, [x, y], plan.rail_boss.radius, top);
                close.compare("a gland's locknut", distance, POST_GAP);
            }
        }
    }
    Some(close.finding(&RULE, "a rail boss")?.key("gland"))
}
