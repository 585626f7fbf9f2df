//! Cable glands and vent in the downward wall clear each other, floor, flange and corners.

use super::TooClose;
use crate::assessment::Subject;
use crate::design::enclosure::{Enclosure, GLAND_GAP, VentHole, WallHole};
use crate::finding::{Finding, Rule};
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

/// An error for every `[[gland]]` that comes too close to a neighbour, the floor, the flange or a corner,
/// and one for the vent.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, _job: &Job) -> Vec<Finding> {
    let glands = plan.glands.iter().map(|gland| {
        let name = format!("a gland {}", gland.hole.size);
        (name, format!("gland[{}]", gland.index), circle(&gland.hole, None))
    });
    let vent = plan
        .vent
        .iter()
        .map(|vent| ("the vent".to_owned(), "vent".to_owned(), circle(&vent.hole, Some(vent))));
    let holes: Vec<_> = glands.chain(vent).collect();
    let flat = plan.cavity.half[0] - plan.cavity.radius;
    // For each key, what its holes are called and what they come too close to.
    let mut keys: Vec<(&str, &str, TooClose)> = Vec::new();
    for (i, (name, key, (at, radius))) in holes.iter().enumerate() {
        if keys.last().is_none_or(|last| last.1 != key) {
            keys.push((name, key, TooClose::default()));
        }
        let Some((_, _, close)) = keys.last_mut() else { continue };
        for (other_name, _, (other, other_radius)) in &holes[..i] {
            let [dx, dy] = [0, 1].map(|axis| (at[axis] - other[axis]).get());
            let apart = Length::mm(libm::hypot(dx, dy)) - *radius - *other_radius;
            let neighbour = if other_name == name { "its neighbour" } else { other_name };
            close.compare(neighbour, apart, GLAND_GAP);
        }
        close.compare("the box's floor", at[1] - *radius - plan.floor, Length::ZERO);
        close.compare("the flange", plan.flange.root - at[1] - *radius, Length::ZERO);
        close.compare("the wall's round end", flat - at[0].abs() - *radius, Length::ZERO);
    }
    let finding =
        |(name, key, close): (&str, &str, TooClose)| Some(close.finding(&RULE, name)?.key(key));
    keys.into_iter().filter_map(finding).collect()
}
