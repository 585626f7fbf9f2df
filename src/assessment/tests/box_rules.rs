//! Sound boxes pass every rule; each rule finds the fault that is put in.

use proptest::prelude::*;

use crate::assessment::enclosure::{
    contents_collide, glands_collide, holes_off_plate, pack_cannot_slide, posts_collide,
    roof_bridges_far, wall_not_whole_lines,
};
use crate::assessment::seal::{
    groove_corner_tight, groove_fill, lid_bows, lid_screw_without_insert, seal_pierced,
    seal_screws_near_seal,
};
use crate::assessment::{PlanError, Subject};
use crate::design::enclosure::tests::{RAIL_X, any_job, job};
use crate::design::enclosure::{Enclosure, Side, plan, print_tolerance};
use crate::design::enclosure::{EnclosureError, body_drawing};
use crate::design::marks::Engraving;
use crate::engineering::seal::Closing;
use crate::finding::Finding;
use crate::params::{Gland, HolePattern, Job};
use crate::space::Pose;
use crate::standards::{GlandSize, Thread};
use crate::units::Length;

fn mm(value: f64) -> Length {
    Length::mm(value)
}

/// What every rule of the planned box finds.
fn judge(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    let rules = [
        contents_collide::judge,
        glands_collide::judge,
        holes_off_plate::judge,
        pack_cannot_slide::judge,
        posts_collide::judge,
        roof_bridges_far::judge,
        seal_screws_near_seal::judge,
        wall_not_whole_lines::judge,
    ];
    rules.iter().flat_map(|judge| judge(plan, job)).collect()
}

/// What the seal's rule finds on the body, in the axes of the box.
fn pierced(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    let part = body_drawing::draw(plan, Engraving::new(&job.printer));
    seal_pierced::judge(plan, &part.shell.sew(&Pose::IDENTITY).unwrap(), &Pose::IDENTITY)
}

fn codes(plan: &Enclosure, job: &Job) -> Vec<&'static str> {
    judge(plan, job).iter().map(|f| f.code).collect()
}

fn sound() -> (Enclosure, Job) {
    let job = job();
    (plan(&job, Closing::Knobs, RAIL_X).unwrap(), job)
}

#[test]
fn the_garden_box_passes() {
    let (plan, job) = sound();
    assert_eq!(judge(&plan, &job), []);
}

#[test]
fn every_rule_finds_its_fault() {
    type Fault = fn(&mut Enclosure);
    let faults: [(&str, Fault); 11] = [
        ("wall-not-whole-lines", |p| p.wall += mm(0.2)),
        ("wall-not-whole-lines", |p| p.wall = mm(1.8)),
        ("seal-screws-near-seal", |p| p.screws.points[0][1] += mm(-1.0)),
        ("glands-collide", |p| p.glands[1].hole.at[0] += mm(2.0)),
        ("glands-collide", |p| p.flange.root = p.glands[0].hole.at[1] + mm(3.0)),
        ("contents-collide", |p| p.battery.body.high[2] += mm(1.0)),
        ("contents-collide", |p| p.rail_boss.height += mm(1.5)),
        ("pack-cannot-slide", |p| p.slide += mm(10.0)),
        ("pack-cannot-slide", |p| {
            let (pack, (axis, sign)) = (p.battery.body, p.layout.battery.slide());
            let way = mm(sign) * (pack.high[axis] - pack.low[axis]).get();
            let thing = &mut p.controller.as_mut().unwrap().body;
            *thing = pack;
            (thing.low[axis], thing.high[axis]) = (pack.low[axis] + way, pack.high[axis] + way);
        }),
        ("holes-off-plate", |p| p.battery.holes[0][0] += mm(-60.0)),
        ("posts-collide", |p| p.battery.holes[0] = p.battery.holes[1]),
    ];
    for (code, fault) in faults {
        let (mut plan, job) = sound();
        fault(&mut plan);
        assert!(codes(&plan, &job).contains(&code), "{code}: {:?}", codes(&plan, &job));
    }
}

/// All that a battery comes too close to is one finding, an overlap in words and not below zero.
#[test]
fn a_battery_too_close_to_several_things_is_one_finding() {
    let (mut plan, job) = sound();
    plan.battery.body.high[2] = plan.depth + mm(2.0);
    plan.battery.body.low[0] = -plan.cavity.half[0] + mm(1.0);
    let findings = contents_collide::judge(&plan, &job);
    let of_battery: Vec<&Finding> =
        findings.iter().filter(|f| f.message.starts_with("the battery is too close to")).collect();
    assert_eq!(of_battery.len(), 1, "{findings:?}");
    let message = &of_battery[0].message;
    assert!(message.contains("the lid (they overlap by 2 mm)"), "{message}");
    assert!(message.contains("a wall ("), "{message}");
}

#[test]
fn a_hole_inside_the_seal_is_seen_on_the_solid() {
    let (mut plan, job) = sound();
    assert_eq!(pierced(&plan, &job), []);
    // One insert moved onto the inner land, one into the groove.
    for at in [plan.cavity.grown(mm(1.2)), plan.groove.centre_line] {
        plan.screws.points[2] = at.on_side(Side::Right, 0.5);
        let findings = pierced(&plan, &job);
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert!(findings[0].message.contains("insert hole"), "{}", findings[0].message);
    }
}

/// Two posts in one place leave no body to be sewn: their own rule tells before it is drawn.
#[test]
fn a_body_that_cannot_be_drawn_is_told_by_its_posts() {
    let (mut plan, job) = sound();
    plan.battery.holes[0] = plan.battery.holes[1];
    let part = body_drawing::draw(&plan, Engraving::new(&job.printer));
    assert!(part.body().is_err(), "the body is sewn after all");
    assert_eq!(codes(&plan, &job), ["posts-collide"]);
}

#[test]
fn remedies_of_hole_patterns_cure() {
    let with = |holes: HolePattern| {
        let mut changed = job();
        changed.controller.as_mut().unwrap().holes = holes;
        let planned = plan(&changed, Closing::Knobs, RAIL_X).unwrap();
        [holes_off_plate::judge(&planned, &changed), posts_collide::judge(&planned, &changed)]
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
    poor.glands = vec![Gland { size: GlandSize::M25, count: Some(2) }];
    let findings = roof_bridges_far::judge(&plan(&poor, Closing::Knobs, RAIL_X).unwrap(), &poor);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].remedies[0].change, "\"M16\" or smaller");
    poor.glands[0].size = GlandSize::M16;
    assert_eq!(roof_bridges_far::judge(&plan(&poor, Closing::Knobs, RAIL_X).unwrap(), &poor), []);
}

#[test]
fn inserts_exist_up_to_the_size_that_the_remedy_names() {
    let error = PlanError::Enclosure(EnclosureError::NoInsert(Thread::M8));
    let found = lid_screw_without_insert::check(&Subject::planned(&job(), Err(&error)));
    assert_eq!(found[0].remedies[0].change, "\"M5\" or smaller");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_boxes_have_no_fault_of_the_plan(job in any_job()) {
        let closing = job.lid.close.unwrap_or(Closing::Knobs);
        let plan = plan(&job, closing, RAIL_X).map_err(|f| TestCaseError::fail(format!("{f:?}")))?;
        // What the job alone decides: its bridges.
        let of_the_job = ["roof-bridges-far"];
        let findings: Vec<Finding> = judge(&plan, &job)
            .into_iter()
            .filter(|f| !of_the_job.contains(&f.code))
            .collect();
        prop_assert!(findings.is_empty(), "{findings:?}");
        let groove = &plan.groove.section;
        let tolerance = print_tolerance(&job.printer);
        prop_assert_eq!(groove_corner_tight::judge(groove, plan.groove.centre_line.radius), None);
        if groove.depth > tolerance {
            prop_assert_eq!(groove_fill::judge(groove, tolerance), None);
        }
        // The lid may bow only where the tolerance alone takes the squeeze, or it would need
        // screws closer than the planned lid can be made thick for.
        // Knobs stand no closer than a hand needs.
        let wide = plan.screws.pitch_limit >= plan.screws.pitch;
        if wide && groove.allowed_gap(tolerance) >= groove.gasket.height() * 0.02 {
            let (edge, screws) = (&plan.lid.edge, &plan.screws);
            let bows = lid_bows::judge(groove, edge, screws.line_load, screws.pitch, tolerance);
            prop_assert_eq!(bows, None);
        }
    }
}
