//! Findings: what is wrong, by how much, why, and the smallest change that cures it.
//!
//! One file a rule; each declares a [`Rule`] that `why` prints.

pub mod bark_bruised;
pub mod battery_too_small;
pub mod bed_too_small;
pub mod box_rules;
pub mod box_too_warm;
pub mod bridge_too_long;
pub mod cells_too_cold;
pub mod contents_collide;
pub mod curve_misfit;
pub mod ear_overstressed;
pub mod feed_collapses;
mod finished;
pub mod fuse_mismatch;
pub mod girth_suspicious;
pub mod glands_collide;
pub mod groove_corner_tight;
pub mod groove_fill;
pub mod holes_off_plate;
pub mod lamp_holes_crowded;
pub mod lamp_overvolted;
pub mod lamps_crowded;
pub mod lid_bows;
pub mod lid_screw_without_insert;
pub mod lip_touches_bark;
pub mod lock_slot_crowded;
pub mod mark_left_out;
pub mod overhang_hangs_free;
pub mod pad_opens;
pub mod pad_strain;
pub mod part_not_sound;
pub mod passage_too_tight;
pub mod passage_web_overstressed;
pub mod pattern_edge;
pub mod posts_collide;
pub mod rail_screws_blocked;
pub mod roof_bridges_far;
pub mod seal_pierced;
pub mod seal_screws_near_seal;
pub mod seat_off_curve;
pub mod spill_light;
pub mod strap_too_slack;
pub mod strap_window_empty;
pub mod sum_without_result;
pub mod swing_clearance;
pub mod tilt_lock_slips;
pub mod tilt_out_of_reach;
pub mod wall_not_whole_lines;
pub mod wall_too_thin;
pub mod webbing_edge_sharp;
pub mod wire_too_thin;

pub use crate::finding::{Finding, Remedy, Rule, Severity};

use crate::assessment::calculations::Sums;
use crate::build::Made;
use crate::design::Plan;
use crate::params::Job;

/// Every rule, in the order of their codes.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    [
        &bark_bruised::RULE,
        &battery_too_small::RULE,
        &bed_too_small::RULE,
        &box_too_warm::RULE,
        &bridge_too_long::RULE,
        &cells_too_cold::RULE,
        &contents_collide::RULE,
        &curve_misfit::RULE,
        &ear_overstressed::RULE,
        &feed_collapses::RULE,
        &fuse_mismatch::RULE,
        &girth_suspicious::RULE,
        &glands_collide::RULE,
        &groove_corner_tight::RULE,
        &groove_fill::RULE,
        &holes_off_plate::RULE,
        &lamp_holes_crowded::RULE,
        &lamp_overvolted::RULE,
        &lamps_crowded::RULE,
        &lid_bows::RULE,
        &lid_screw_without_insert::RULE,
        &lip_touches_bark::RULE,
        &lock_slot_crowded::RULE,
        &mark_left_out::RULE,
        &overhang_hangs_free::RULE,
        &pad_opens::RULE,
        &pad_strain::RULE,
        &part_not_sound::RULE,
        &passage_too_tight::RULE,
        &passage_web_overstressed::RULE,
        &pattern_edge::RULE,
        &posts_collide::RULE,
        &rail_screws_blocked::RULE,
        &roof_bridges_far::RULE,
        &seal_pierced::RULE,
        &seal_screws_near_seal::RULE,
        &seat_off_curve::RULE,
        &spill_light::RULE,
        &strap_too_slack::RULE,
        &strap_window_empty::RULE,
        &sum_without_result::RULE,
        &swing_clearance::RULE,
        &tilt_lock_slips::RULE,
        &tilt_out_of_reach::RULE,
        &wall_not_whole_lines::RULE,
        &wall_too_thin::RULE,
        &webbing_edge_sharp::RULE,
        &wire_too_thin::RULE,
    ]
    .into_iter()
}

/// Checks the plan before anything is drawn: dimensions that contradict each other would leave no
/// sound solid, and the finding names both.
#[must_use]
pub fn before_making(job: &Job, plan: &Plan) -> Vec<Finding> {
    let mut found = lock_slot_crowded::check(job, plan);
    found.extend(lamp_holes_crowded::check(job, plan));
    found.extend(plan.enclosure.iter().flat_map(|b| box_rules::check(b, job)));
    found
}

/// Whether an error keeps this part from being made.
#[must_use]
pub fn bars(findings: &[Finding], part: &str) -> bool {
    let concerns = |f: &Finding| f.parts.iter().any(|p| p == part);
    findings.iter().any(|f| f.severity == Severity::Error && concerns(f))
}

/// Runs every check of a job that was planned and made; what [`before_making`] found is not repeated.
#[must_use]
pub fn run(job: &Job, plan: &Plan, made: &[Made], sums: &Sums) -> Vec<Finding> {
    let mut found = curve_misfit::check(job, &plan.unserved);
    found.extend(girth_suspicious::check(job));
    found.extend(measured(job, plan, made));
    found.extend(sums.findings.iter().cloned());
    found
}

/// What is measured on plan and finished meshes, but for what the sums measured already.
fn measured(job: &Job, plan: &Plan, made: &[Made]) -> Vec<Finding> {
    let mut findings = lip_touches_bark::check(job, plan);
    findings.extend(pattern_edge::check(job, plan));
    findings.extend(bed_too_small::check(job, made));
    for check in [
        mark_left_out::check,
        passage_too_tight::check,
        seat_off_curve::check,
        swing_clearance::check,
        webbing_edge_sharp::check,
    ] {
        findings.extend(check(job, plan, made));
    }
    findings
}

/// The finding when a rule's sum has no result: never a silent pass.
pub(crate) fn not_found(rule: &Rule, part: &str, error: &dyn std::error::Error) -> Finding {
    let message = format!("{} cannot be found: {error}", rule.title);
    Finding::new(rule.code, Severity::Error, message).part(part)
}

#[cfg(test)]
mod box_tests;
#[cfg(test)]
mod fit_tests;
#[cfg(test)]
mod geometry_tests;
#[cfg(test)]
mod mechanics_tests;
#[cfg(test)]
mod power_tests;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_kebab_case_unique_and_sorted() {
        let codes: Vec<&str> = rules().map(|r| r.code).collect();
        assert!(codes.is_sorted_by(|a, b| a < b), "{codes:?}");
        for rule in rules() {
            assert!(
                rule.code.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'),
                "{}",
                rule.code
            );
            let texts = [rule.title, rule.why, rule.formula, rule.source, rule.cure];
            assert!(texts.iter().all(|t| !t.is_empty() && !t.contains("  ")), "{}", rule.code);
        }
    }
}
