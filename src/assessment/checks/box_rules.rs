//! Every rule of the box's geometry on one plan; groove and lid are judged by the sums of the seal.

use super::{
    Finding, contents_collide, glands_collide, holes_off_plate, posts_collide, roof_bridges_far,
    seal_pierced, seal_screws_near_seal, wall_not_whole_lines,
};
use crate::design::enclosure::Enclosure;
use crate::params::Job;

/// The findings of all these rules.
#[must_use]
pub fn check(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    const RULES: [fn(&Enclosure, &Job) -> Vec<Finding>; 7] = [
        contents_collide::check,
        glands_collide::check,
        holes_off_plate::check,
        posts_collide::check,
        roof_bridges_far::check,
        seal_screws_near_seal::check,
        wall_not_whole_lines::check,
    ];
    let mut found: Vec<Finding> = RULES.iter().flat_map(|rule| rule(plan, job)).collect();
    // The seal is looked for on the drawn body: one whose parts run into each other is not sewn, and
    // its error has been told.
    if !super::bars(&found, "box-body") {
        found.extend(seal_pierced::check(plan, job));
    }
    found
}
