//! The registry of rules: each with its check and the stage at which it judges.

use super::Subject;
use super::{enclosure, fit, hold, light, link, power, prints, seal, yoke};
use crate::assessment;
use crate::finding::{Finding, Rule};

/// When a rule can judge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stage {
    /// On job and plan: dimensions that contradict each other would leave no sound solid.
    Planned,
    /// On the parts that were built, and on the calculations, which need their masses.
    Built,
}

impl Stage {
    /// Whether it judges a subject that has come so far; all do where nothing will be built.
    pub(super) const fn judges(self, subject: &Subject<'_>) -> bool {
        match self {
            Self::Planned => subject.calculations.is_none(),
            Self::Built => subject.calculations.is_some() || subject.plan.is_err(),
        }
    }
}

/// A rule with its check.
pub(super) struct Entry {
    pub(super) rule: &'static Rule,
    pub(super) stage: Stage,
    /// What the rule finds; nothing where what it judges is not there.
    pub(super) check: fn(&Subject<'_>) -> Vec<Finding>,
}

macro_rules! registry {
    ($($stage:ident $subject:ident :: $rule:ident,)*) => {
        &[$(Entry {
            rule: &$subject::$rule::RULE,
            stage: Stage::$stage,
            check: $subject::$rule::check,
        }),*]
    };
}

/// Every rule, in the order of the codes.
pub(super) const REGISTRY: &[Entry] = registry![
    Built power::battery_too_small,
    Built prints::bed_too_small,
    Built power::box_too_warm,
    Built prints::bridge_too_long,
    Built assessment::calculation_failed,
    Planned power::cells_too_cold,
    Planned enclosure::contents_collide,
    Built power::current_over_limit,
    Planned fit::curve_misfit,
    Built yoke::ear_overstressed,
    Built yoke::ear_too_warm,
    Built power::feed_collapses,
    Built power::fuse_mismatch,
    Planned fit::girth_suspicious,
    Built power::gland_unfit,
    Planned enclosure::glands_collide,
    Built seal::groove_corner_tight,
    Built seal::groove_fill,
    Planned enclosure::holes_off_plate,
    Built seal::knob_too_tight,
    Planned yoke::lamp_holes_crowded,
    Planned power::lamp_overvolted,
    Built hold::lamps_crowded,
    Built yoke::lanyard_overloaded,
    Built seal::lid_bows,
    Planned seal::lid_screw_without_insert,
    Planned link::link_weak,
    Planned yoke::lock_slot_crowded,
    Built prints::mark_omitted,
    Planned hold::no_pull_holds,
    Built prints::overhang_hangs_free,
    Planned enclosure::pack_cannot_slide,
    Built prints::part_invalid,
    Built hold::passage_too_tight,
    Built yoke::pattern_edge,
    Planned yoke::polymer_fades,
    Planned enclosure::posts_collide,
    Planned hold::pull_has_no_room,
    Planned enclosure::rail_screws_blocked,
    Planned enclosure::roof_bridges_far,
    Built seal::seal_pierced,
    Planned seal::seal_screws_near_seal,
    Built fit::seat_off_curve,
    Built link::signal_too_far,
    Built light::spill_light,
    Built yoke::swing_clearance,
    Built yoke::tilt_lock_slips,
    Built light::tilt_out_of_reach,
    Built power::vent_unsuited,
    Planned enclosure::wall_not_whole_lines,
    Built prints::wall_too_thin,
    Built hold::webbing_edge_sharp,
    Built power::wire_too_thin,
];

/// Every rule, in the order of the codes.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    REGISTRY.iter().map(|entry| entry.rule)
}

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
