//! Sound boxes pass every rule; each rule finds the fault that is put in.

use proptest::prelude::*;

use super::*;
use crate::design::enclosure::tests::{RAIL_X, any_job, job};
use crate::design::enclosure::{Enclosure, Side, plan, print_tolerance};
use crate::params::{Gland, HolePattern, Job};
use crate::standards::{GlandSize, Thread};
use crate::units::Length;

fn mm(value: f64) -> Length {
    Length::mm(value)
}

fn codes(plan: &Enclosure, job: &Job) -> Vec<&'static str> {
    box_rules::check(plan, job).iter().map(|f| f.code).collect()
}

fn sound() -> (Enclosure, Job) {
    let job = job();
    (plan(&job, RAIL_X).unwrap(), job)
}

#[test]
fn the_garden_box_passes() {
    let (plan, job) = sound();
    assert_eq!(box_rules::check(&plan, &job), []);
}

#[test]
fn every_rule_finds_its_fault() {
    type Fault = fn(&mut Enclosure);
    let faults: [(&str, Fault); 9] = [
        ("wall-not-whole-lines", |p| p.wall += mm(0.2)),
        ("wall-not-whole-lines", |p| p.wall = mm(1.8)),
        ("seal-screws-near-seal", |p| p.screws.points[3][1] += mm(1.0)),
        ("glands-collide", |p| p.entries[1].hole.at[0] += mm(2.0)),
        ("glands-collide", |p| p.flange.root = p.entries[0].hole.at[1] + mm(3.0)),
        ("contents-collide", |p| p.battery.body.high[2] += mm(1.0)),
        ("contents-collide", |p| p.rail_boss.height += mm(1.5)),
        ("holes-off-plate", |p| p.battery.posts[0][0] += mm(15.0)),
        ("posts-collide", |p| p.battery.posts[0] = p.battery.posts[1]),
    ];
    for (code, fault) in faults {
        let (mut plan, job) = sound();
        fault(&mut plan);
        assert!(codes(&plan, &job).contains(&code), "{code}: {:?}", codes(&plan, &job));
    }
}

#[test]
fn a_hole_inside_the_seal_is_seen_on_the_solid() {
    let (mut plan, job) = sound();
    assert_eq!(seal_pierced::check(&plan, &job), []);
    // One insert moved onto the inner land, one into the groove.
    for at in [plan.cavity.grown(mm(1.2)), plan.groove.center_line] {
        plan.screws.points[2] = at.on_side(Side::Right, 0.5);
        let findings = seal_pierced::check(&plan, &job);
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert!(findings[0].message.contains("insert hole"), "{}", findings[0].message);
    }
}

/// Two posts in one place leave no body to be sewn: their own rule tells, the seal's is silent.
#[test]
fn a_body_that_cannot_be_drawn_is_no_fault_of_its_seal() {
    let (mut plan, job) = sound();
    plan.battery.posts[0] = plan.battery.posts[1];
    assert!(!seal_pierced::check(&plan, &job).is_empty(), "the body is sewn after all");
    assert_eq!(codes(&plan, &job), ["posts-collide"]);
}

#[test]
fn remedies_of_hole_patterns_cure() {
    let with = |holes: HolePattern| {
        let mut changed = job();
        changed.controller.as_mut().unwrap().holes = holes;
        let planned = plan(&changed, RAIL_X).unwrap();
        [holes_off_plate::check(&planned, &changed), posts_collide::check(&planned, &changed)]
    };
    let number = |f: &Finding| -> f64 {
        let text = f.remedies[0].change.trim_start_matches(|c: char| !c.is_ascii_digit());
        text.split(' ').next().unwrap().parse().unwrap()
    };
    // Controller of 65 x 45 mm, M3: 3.4 mm clearance holes (ISO 273), posts of 9.4 mm.
    let [off, _] = with(HolePattern::Rectangle { width: mm(64.0), height: mm(36.0) });
    assert_eq!(off[0].remedies[0].key.as_str(), "controller.holes.width");
    assert!((number(&off[0]) - (65.0 - 3.4)).abs() < 1e-9);
    let [_, close] = with(HolePattern::Circle { diameter: mm(12.0), count: 4 });
    let diameter = mm(number(&close[0]) + 0.01);
    assert_eq!(with(HolePattern::Circle { diameter, count: 4 }), [vec![], vec![]]);
    let [_, close] = with(HolePattern::Rectangle { width: mm(50.0), height: mm(8.0) });
    assert_eq!(close[0].remedies[0].key.as_str(), "controller.holes.height");
    let height = mm(number(&close[0]));
    assert_eq!(with(HolePattern::Rectangle { width: mm(50.0), height }), [vec![], vec![]]);
}

#[test]
fn a_long_roof_names_the_gland_that_prints() {
    let mut poor = job();
    poor.printer.bridge = mm(6.0);
    poor.glands = vec![Gland { size: GlandSize::M25, count: 2 }];
    let findings = roof_bridges_far::check(&plan(&poor, RAIL_X).unwrap(), &poor);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].remedies[0].change, "\"M16\" or smaller");
    poor.glands[0].size = GlandSize::M16;
    assert_eq!(roof_bridges_far::check(&plan(&poor, RAIL_X).unwrap(), &poor), []);
}

#[test]
fn inserts_exist_up_to_the_size_that_the_remedy_names() {
    let finding = lid_screw_without_insert::finding(Thread::M8);
    assert_eq!(finding.remedies[0].change, "\"M5\" or smaller");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_boxes_have_no_fault_of_the_plan(job in any_job()) {
        let plan = plan(&job, RAIL_X).map_err(|f| TestCaseError::fail(format!("{f:?}")))?;
        // What the job alone decides: its bridges.
        let of_the_job = ["roof-bridges-far"];
        let findings: Vec<Finding> = box_rules::check(&plan, &job)
            .into_iter()
            .filter(|f| !of_the_job.contains(&f.code))
            .collect();
        prop_assert!(findings.is_empty(), "{findings:?}");
        let groove = &plan.groove.section;
        let tolerance = print_tolerance(&job.printer);
        prop_assert_eq!(groove_corner_tight::check(groove, plan.groove.center_line.radius), []);
        if groove.depth > tolerance {
            prop_assert_eq!(groove_fill::check(groove, tolerance).unwrap(), []);
        }
        // The lid may bow only where the tolerance alone takes the squeeze, or it would need
        // screws closer than the planned lid can be made thick for.
        if groove.allowed_gap(tolerance) >= groove.cord * 0.02 {
            let (edge, pitch) = (&plan.lid.edge, plan.screws.pitch);
            let bows = lid_bows::check(groove, edge, job.seal.line_load, pitch, tolerance);
            prop_assert_eq!(bows.unwrap(), []);
        }
    }
}
