//! Checks of plan and finished meshes: silent on a sound job, and each remedy cures what it names.

use crate::assessment::fit::seat_off_curve;
use crate::assessment::hold::{passage_too_tight, webbing_edge_sharp};
use crate::assessment::prints::{
    LEAST_WALL, Measured, bed_too_small, bridge_too_long, mark_omitted, overhang_hangs_free,
    wall_too_thin,
};
use crate::assessment::yoke::{
    lamp_holes_crowded, lock_slot_crowded, pattern_edge, swing_clearance,
};
use crate::assessment::{Calculations, Subject, assess, blocks};
use crate::build::{self, BuiltPart};
use crate::design::{self, Plan};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{self, Job};
use crate::units::{Angle, Length};

const LAMP: &str = r#"
[job]
name = "test"
[[trunk]]
name = "lime"
girth = 1100
[fixture]
name = "flood"
width = 118
height = 92
depth = 54
mass = 0.9
power = 10
"#;

const BOSSES: &str = r#"
[fixture.mount]
kind = "side-bosses"
span = 124
thread = "M6"
lock-radius = 26
lock-angle = 140
"#;

const PLATE: &str = r#"
[fixture.mount]
kind = "base-plate"
holes = { pattern = "rectangle", width = 60, height = 40 }
thread = "M5"
"#;

const RING: &str = r#"
[fixture.mount]
kind = "base-plate"
holes = { pattern = "circle", diameter = 40, count = 4 }
thread = "M5"
"#;

fn job(rest: &str) -> Job {
    let text = format!("{LAMP}{rest}[feed]\nsegments = 5000\nlead = 2000\n");
    params::read(&text).unwrap().job
}

fn subject<'a>(job: &'a Job, plan: &'a Plan, parts: &'a [BuiltPart]) -> Subject<'a> {
    Subject { parts, ..Subject::planned(job, Ok(plan)) }
}

/// Plans, builds what nothing blocks, and runs the rules; what they say of strap and pad is left out.
fn work(job: &Job) -> (Plan, Vec<BuiltPart>, Vec<Finding>) {
    let design::Settled { job, plan } = design::settle(job, &Default::default()).unwrap();
    let job = &job;
    let mut findings = assess(&Subject::planned(job, Ok(&plan)));
    let specs = build::part_specs(job, &plan).into_iter();
    let made: Vec<BuiltPart> = specs
        .filter(|s| !blocks(&findings, &s.part.id))
        .map(|s| build::build_part(s, job.job.deviation).unwrap())
        .collect();
    let sums = Calculations::new(job, &plan, &made, &Measured::all(job, &made));
    let built = Subject { calculations: Some(&sums), ..subject(job, &plan, &made) };
    findings.extend(assess(&built));
    let pulled = ["no-pull-holds", "pull-has-no-room"];
    findings.retain(|f| !pulled.contains(&f.code));
    (plan, made, findings)
}

fn of<'f>(findings: &'f [Finding], rule: &Rule) -> Vec<&'f Finding> {
    findings.iter().filter(|f| f.code == rule.code).collect()
}

/// The first number in a remedy for this key.
fn number(finding: &Finding, key: &str) -> f64 {
    let remedy = finding.remedies.iter().find(|r| r.key.as_str() == key).unwrap();
    remedy.change.split(' ').find_map(|word| word.parse().ok()).unwrap()
}

#[test]
fn sound_jobs_of_both_mounts_are_silent() {
    for mount in [BOSSES, PLATE] {
        let (_, made, findings) = work(&job(mount));
        assert!(!made.is_empty());
        assert_eq!(findings, []);
    }
}

#[test]
fn the_air_round_a_strap_is_the_clearance_that_was_asked_for() {
    let mut job = job(BOSSES);
    for clearance in [0.2, 0.6, 1.5] {
        job.strap.clearance = Length::mm(clearance);
        let (plan, made, findings) = work(&job);
        let gap = passage_too_tight::least_gap(&made[0], &plan.cradles[0].saddle, &job.strap);
        assert!((gap.unwrap().get() - clearance).abs() < 1e-3);
        let found = of(&findings, &passage_too_tight::RULE);
        assert_eq!(found.len(), usize::from(clearance < 0.5));
        if let Some(found) = found.first() {
            job.strap.clearance = Length::mm(number(found, "strap.clearance"));
            assert_eq!(work(&job).2, []);
        }
    }
}

#[test]
fn a_strap_thicker_than_its_passage_touches() {
    let mut job = job(BOSSES);
    let (plan, made, _) = work(&job);
    job.strap.thickness += job.strap.clearance * 2.5;
    let found = passage_too_tight::check(&subject(&job, &plan, &made));
    assert_eq!(found[0].severity, Severity::Error);
    assert_eq!(webbing_edge_sharp::check(&subject(&job, &plan, &made))[0].remedies.len(), 1);
}

#[test]
fn the_finished_seat_has_the_planned_radius() {
    for girth in [300.0, 1100.0, 4500.0] {
        let mut job = job(BOSSES);
        job.trunks[0].girth = Length::mm(girth);
        job = design::settle(&job, &Default::default()).unwrap().job;
        let (plan, made, _) = work(&job);
        assert!(!made.is_empty(), "{girth}: {:?}", plan.unserved);
        let saddle = &plan.cradles[0].saddle;
        let seat = seat_off_curve::seat(&made[0], saddle).unwrap();
        assert!(seat.off <= job.job.deviation);
        // Corners lie on the circle up to a grid step g, which moves the radius by about
        // g 2 R^2 / w^2 (from the sagitta w^2 / 2 R).
        let (r, w) = (saddle.face_radius.get(), saddle.pad_half_width.get());
        let allowed = 1e-6 + crate::mesh::printable::GRID * 2.0 * r * r / (w * w);
        assert!((seat.radius.get() - r).abs() < allowed, "{} for {r}", seat.radius);
        // A finer demand than the mesh was made for is not met.
        job.job.deviation = job.job.deviation / 50.0;
        assert_eq!(seat_off_curve::check(&subject(&job, &plan, &made)).len(), 1);
    }
}

#[test]
fn a_lamp_that_strikes_is_found_and_cured() {
    let job = job(BOSSES);
    let (mut plan, made, _) = work(&job);
    // A body whose corner, 40 mm back and 30 mm up, comes nearest at atan(30 / 40) of tilt.
    let turning = &mut plan.yoke.swing[0];
    let reach = plan.yoke.reach;
    turning.y = [Length::mm(-40.0), Length::mm(20.0)];
    turning.z = [Length::mm(-10.0), Length::mm(30.0)];
    turning.half_width = Length::mm(30.0);
    let scale = (reach.get() - 2.0) / 50.0;
    for side in [&mut turning.y, &mut turning.z] {
        *side = side.map(|x| x * scale);
    }
    // The corner of the 3-4-5 triangle stands 50 x scale from the pivot: 2 mm short of the front.
    let tilt = [Angle::ZERO, Angle::degrees(75.0)];
    let least =
        swing_clearance::least_gaps(&made[0], &plan.cradles[0].saddle, &plan.yoke, tilt).unwrap();
    assert!((1.8 - 1e-3..=2.0 + 1e-3).contains(&least[0].gap.get()), "{least:?}");
    let found = swing_clearance::check(&subject(&job, &plan, &made));
    assert_eq!(found.len(), 1);
    let calmer = Angle::degrees(number(&found[0], "tilt.max"));
    assert!(calmer > Angle::ZERO && calmer < Angle::degrees(36.9));
    let cured = Job { tilt: params::Tilt { max: calmer, ..job.tilt.clone() }, ..job };
    assert_eq!(swing_clearance::check(&subject(&cured, &plan, &made)), []);
}

#[test]
fn crowded_locks_and_holes_are_named_before_anything_is_drawn() {
    let tight = BOSSES.replace("26", "8.2");
    let (_, made, findings) = work(&job(&tight));
    let found = of(&findings, &lock_slot_crowded::RULE);
    assert_eq!(found.len(), 1);
    assert!(made.iter().all(|m| m.name() == "test-curve-a"));
    let radius = number(found[0], "fixture.mount.lock-radius");
    assert_eq!(work(&job(&BOSSES.replace("26", &radius.to_string()))).2, []);
    let thread = found[0].remedies.iter().find(|r| r.key.as_str().ends_with("thread")).unwrap();
    let thread = thread.change.split('"').nth(1).unwrap();
    let thinner = job(&tight.replace("M6", thread));
    assert_eq!(of(&work(&thinner).2, &lock_slot_crowded::RULE).len(), 0);

    let many = RING.replace("count = 4", "count = 24");
    let (_, _, findings) = work(&job(&many));
    let found = of(&findings, &lamp_holes_crowded::RULE);
    assert_eq!(found.len(), 1);
    let count = number(found[0], "fixture.mount.holes.count");
    // Heads of M5 are 8.5 mm wide (ISO 4762); n of them touch on a circle of 40 sin(180 / n) = 8.5.
    let most = (std::f64::consts::PI / libm::asin(8.5 / 40.0)).floor();
    assert_eq!(count, most);
    let fewer = RING.replace("count = 4", &format!("count = {count}"));
    assert_eq!(of(&work(&job(&fewer)).2, &lamp_holes_crowded::RULE).len(), 0);
}

#[test]
fn thin_walls_small_beds_and_edges_are_cured() {
    let weak = job(BOSSES);
    let (mut plan, made, _) = work(&weak);
    let check = |made: &BuiltPart| {
        let thinnest = wall_too_thin::thinnest(made);
        wall_too_thin::judge(&weak, made.id(), &thinnest)
    };
    assert!(made.iter().all(|m| check(m).is_none()));
    plan.yoke.ear = Length::mm(1.5);
    let spec = build::part_specs(&weak, &plan).remove(0);
    let made = [build::build_part(spec, weak.job.deviation).unwrap()];
    let thinnest = wall_too_thin::thinnest(&made[0]).unwrap().unwrap();
    assert!(thinnest.wall.get() < 1.5 + 1e-3, "{thinnest:?}");
    assert!(check(&made[0]).is_some());

    // An ear that is thick enough but for the scale engraved on it.
    let depth = crate::design::marks::Engraving::new(&weak.printer).depth;
    plan.yoke.ear = LEAST_WALL + depth - Length::mm(0.2);
    let spec = build::part_specs(&weak, &plan).remove(0);
    let made = [build::build_part(spec, weak.job.deviation).unwrap()];
    let thinnest = wall_too_thin::thinnest(&made[0]).unwrap().unwrap();
    assert!((thinnest.wall.get() - 2.2).abs() < 1e-3, "{thinnest:?}");
    assert!(check(&made[0]).is_some());

    let mut small = job(BOSSES);
    small.printer.bed = [260.0, 220.0, 40.0].map(Length::mm);
    let (_, _, findings) = work(&small);
    let found = of(&findings, &bed_too_small::RULE);
    assert_eq!(found.len(), 1);
    let inside = found[0].remedies[0].change.split(['[', ']']).nth(1).unwrap();
    let sides: Vec<f64> = inside.split(", ").map(|s| s.parse().unwrap()).collect();
    small.printer.bed = [sides[0], sides[1], sides[2]].map(Length::mm);
    assert_eq!(of(&work(&small).2, &bed_too_small::RULE).len(), 0);

    let mut low = job(PLATE);
    low.fixture.pivot_from_bottom = Some(Length::mm(22.0));
    let check = |job: &Job| {
        let plan = design::plan(job, &Default::default()).unwrap();
        pattern_edge::check(&Subject::planned(job, Ok(&plan)))
    };
    let found = check(&low);
    low.fixture.pivot_from_bottom =
        Some(Length::mm(number(&found[0], "fixture.pivot-from-bottom")));
    assert_eq!(check(&low), []);
}

#[test]
fn a_mark_without_room_is_told_and_a_finer_line_brings_it_back() {
    let mut job = job(BOSSES);
    job.printer.line = Length::mm(1.5);
    job.strap.width = Length::mm(15.0);
    job.fixture.width = Length::mm(40.0);
    let params::Mount::SideBosses { span, .. } = &mut job.fixture.mount else { unreachable!() };
    *span = Length::mm(40.0);
    let (_, _, findings) = work(&job);
    let on_cradle = |findings: &[Finding]| {
        let found = of(findings, &mark_omitted::RULE).into_iter().cloned();
        found.filter(|f| f.parts.iter().any(|part| part == "cradle-a")).collect::<Vec<_>>()
    };
    let found = on_cradle(&findings);
    assert_eq!(found.len(), 1, "{findings:?}");
    job.printer.line = Length::mm(number(&found[0], "printer.line"));
    assert_eq!(on_cradle(&work(&job).2), []);
}

#[test]
fn the_volume_of_a_plain_saddle_is_the_one_worked_by_hand() {
    use crate::design::saddle::{MouthNeeds, Saddle, SaddleNeeds};
    let job = job(BOSSES);
    let needs = SaddleNeeds {
        face_radius: Length::mm(180.0),
        pad_half_width: Length::mm(40.0),
        height: Length::mm(60.0),
        front_half_width: Length::ZERO,
        mouth: MouthNeeds::default(),
        straps: 1,
    };
    let s = Saddle::new(&needs, &job.strap, &job.printer);
    let mut shell = crate::solid::Shell::default();
    let faces = crate::design::part::plain_saddle(&mut shell, &s);
    faces.into_iter().for_each(|f| shell.add(f));
    let body = shell.sew(&crate::solid::Pose::IDENTITY).unwrap();

    let [h, w, r, recess] = [s.height, s.half_width, s.face_radius, s.recess].map(Length::get);
    let lip = r - recess;
    let (pad, rim) = (s.pad_angle(), s.rim_angle());
    // Section: rectangle from the horns to the front, less two shoulders and two front edges (a
    // square less a quarter circle, (1 - pi/4) r^2), less the circular segment of the lip.
    let corner = 1.0 - std::f64::consts::FRAC_PI_4;
    let (shoulder, edge) = (s.shoulder.get(), s.front_fillet.get());
    let rectangle = 2.0 * w * (s.front_y - s.horn_y()).get();
    let segment = lip * lip * (rim - libm::sin(rim) * libm::cos(rim));
    let section = rectangle - 2.0 * corner * (shoulder * shoulder + edge * edge) - segment;
    // Recess: a ring sector over its straight height, and above it a cone from the seat to the lip:
    // half angle p, integral of (rho^2 - lip^2) p over rho from lip to r, since dz = d rho.
    let [low, high] = s.recess_z.map(|z| z.get());
    let straight = (high - recess - low) * pad * (r * r - lip * lip);
    let cone = pad * ((r.powi(3) - lip.powi(3)) / 3.0 - lip * lip * recess);
    // Passage: a slot, and at each of its four mouths a square less a quarter circle.
    let [inner, outer] = s.passage_y.map(|y| y.get());
    let mouths = 2.0 * corner * (s.mouth.get().powi(2) + s.outer_mouth.get().powi(2));
    let [floor, roof] = s.passages[0].map(|z| z.get());
    let passage = (2.0 * w * (outer - inner) + mouths) * (roof - floor);
    let expected = section * h - straight - cone - passage;
    let volume = body.volume().get();
    assert!((volume - expected).abs() < 1e-6 * expected, "{volume} {expected}");
}

#[test]
fn a_slot_that_hangs_and_a_slope_too_shallow_are_cured() {
    // A boss straight behind the pivot: the slot of 75 degrees ends nearly below it, and the roof
    // there grows out of the slot's end into the air.
    let low = BOSSES.replace("140", "180");
    let (_, _, findings) = work(&job(&low));
    let found = of(&findings, &overhang_hangs_free::RULE);
    assert_eq!(found.len(), 1, "{findings:?}");
    assert_eq!(found[0].severity, Severity::Warning);
    // The slot stands upright behind the pivot when its middle does.
    let angle = number(found[0], "fixture.mount.lock-angle");
    assert!((angle - (180.0 - 37.5)).abs() <= 0.5, "{angle}");
    assert_eq!(work(&job(&BOSSES.replace("140", &angle.to_string()))).2, []);
    // A printer that overhangs as steep as the roof needs nothing.
    let steep = number(found[0], "printer.overhang");
    let mut able = job(&low);
    able.printer.overhang = Angle::degrees(steep);
    assert_eq!(work(&able).2, []);
    able.printer.overhang = Angle::degrees(steep - 1.0);
    assert_eq!(of(&work(&able).2, &overhang_hangs_free::RULE).len(), 1);

    // Ears and recess leave the bed at 45 degrees.
    let mut shy = job(BOSSES);
    shy.printer.overhang = Angle::degrees(44.0);
    let (_, _, findings) = work(&shy);
    let found = of(&findings, &overhang_hangs_free::RULE);
    assert_eq!(found.len(), 1, "{findings:?}");
    assert_eq!(number(found[0], "printer.overhang"), 45.0);
}

#[test]
fn a_lock_whose_place_is_not_told_prints_without_support() {
    for [min, max] in [[0, 75], [10, 75], [0, 45], [0, 90], [45, 90], [-30, 30], [-30, 60]] {
        for radius in [16, 26, 40] {
            let text = BOSSES.replace("lock-angle = 140\n", "").replace("26", &radius.to_string());
            let mut job = job(&text);
            (job.tilt.min, job.tilt.max) =
                (Angle::degrees(f64::from(min)), Angle::degrees(f64::from(max)));
            let (plan, _, findings) = work(&job);
            let told = of(&findings, &overhang_hangs_free::RULE);
            assert!(told.is_empty(), "{min} to {max}, {radius}: {told:?}");
            // The middle of the slot is level with the pivot, behind it, to half a degree.
            let lock = plan.yoke.lock.expect("a lock");
            let middle = lock.angle.deg() + f64::from(min + max) / 2.0;
            assert!((middle - 180.0).abs() <= 0.5, "{middle}");
        }
    }
}

#[test]
fn a_bridge_longer_than_the_printer_spans_is_told() {
    let mut job = job(BOSSES);
    job.printer.bridge = Length::mm(2.0);
    let (plan, _, findings) = work(&job);
    let found = of(&findings, &bridge_too_long::RULE);
    assert_eq!(found.len(), 1, "{findings:?}");
    // The widest roofs: the passage, wider by as much as both edges of its mouth, or the crown of a hole
    // from 45 to 45 degrees.
    let saddle = &plan.cradles[0].saddle;
    let [inner, outer] = saddle.passage_y;
    let flared = (outer - inner + saddle.mouth + saddle.outer_mouth).get();
    let crown = plan.yoke.pivot_hole * Angle::degrees(45.0).sin();
    let widest = (outer - inner).max(crown).get();
    let told = number(found[0], "printer.bridge");
    assert!((widest - 0.1..flared.max(widest) + 0.4).contains(&told), "{told} for {widest}");
    job.printer.bridge = Length::mm(told);
    assert_eq!(work(&job).2, []);
}
