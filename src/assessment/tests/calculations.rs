//! End to end, from a job to its sums: directions that must hold whatever the numbers, and numbers that
//! must be finite.

use proptest::prelude::*;

use crate::assessment::prints::Measured;
use crate::assessment::{Calculations, Subject, assess, rules};
use crate::build::{self, BuiltPart};
use crate::design::{PartKind, Plan, PreviousSet, plan};
use crate::finding::{Finding, Severity};
use crate::params::{Job, read};
use crate::units::{Angle, Force, Illuminance, Length};

pub(crate) const QUILLMERE: &str = include_str!("../../../params/quillmere-stories.toml");
const PEAR: &str = include_str!("../../../params/one-lamp.toml");

/// A job worked through: its calculations, and what the rules say of what was built.
fn work(text: &str) -> (Job, Calculations, Vec<Finding>) {
    let job = read(text).unwrap().job;
    let plan = plan(&job, &PreviousSet::default()).unwrap();
    let made: Vec<BuiltPart> = build::part_specs(&job, &plan)
        .into_iter()
        // What trunks and boxes carry; test pieces weigh on nothing.
        .filter(|s| s.part.id.kind() != PartKind::TestPiece)
        .map(|order| build::build_part(order, job.job.deviation).unwrap())
        .collect();
    let sums = Calculations::new(&job, &plan, &made, &Measured::all(&job, &made));
    let findings = found(&job, &plan, &made, &sums);
    (job, sums, findings)
}

fn found(job: &Job, plan: &Plan, parts: &[BuiltPart], sums: &Calculations) -> Vec<Finding> {
    assess(&Subject { parts, calculations: Some(sums), ..Subject::planned(job, Ok(plan)) })
}

pub(crate) fn sums_of(text: &str) -> (Job, Calculations) {
    let (job, sums, _) = work(text);
    (job, sums)
}

fn pear(change: &[(&str, &str)]) -> Calculations {
    pear_judged(change).0
}

fn pear_judged(change: &[(&str, &str)]) -> (Calculations, Vec<Finding>) {
    let mut text = PEAR.to_owned();
    for (from, to) in change {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    let (_, sums, findings) = work(&text);
    (sums, findings)
}

fn least(sums: &Calculations) -> f64 {
    sums.results[0].window.expect("an open window")[0].get()
}

/// Every number in a value, and whether one is missing where JSON has no word for it.
fn nulls(value: &serde_json::Value) -> usize {
    match value {
        serde_json::Value::Null => 1,
        serde_json::Value::Array(list) => list.iter().map(nulls).sum(),
        serde_json::Value::Object(map) => map.values().map(nulls).sum(),
        serde_json::Value::String(text) => {
            let lost = text.split(|c: char| !c.is_alphanumeric());
            lost.filter(|w| ["NaN", "inf"].contains(w)).count()
        }
        _ => 0,
    }
}

#[test]
fn a_heavier_lamp_asks_for_more_tension_and_a_calmer_site_for_less() {
    let now = least(&pear(&[]));
    assert!(least(&pear(&[("480 g", "650 g")])) > now);
    let calm = "thread = \"M5\"\n[site]\ngust = \"12 m/s\"";
    assert!(least(&pear(&[("thread = \"M5\"", calm)])) < now);
}

#[test]
fn a_thicker_trunk_takes_a_longer_strap_by_about_its_girth() {
    let cut = |girth: &str| pear(&[("88 cm", girth)]).results[0].strap.unwrap().get();
    let more = cut("93 cm") - cut("88 cm");
    // The convex hull's growth lies between that of a trunk all bark and one all straight.
    assert!(more > 0.0 && more <= 50.0 + 1e-6, "{more}");
}

#[test]
fn strap_and_feed_of_the_row_by_hand() {
    let (job, sums, findings) = work(QUILLMERE);
    // A ring round a trunk of 1020 mm: longer than the girth, shorter than the girth with a square
    // corner at both mouths; buckle and tail as written.
    let ring = sums.results[0].strap.unwrap() - job.strap.buckle - job.strap.tail;
    assert!(ring.get() > 1020.0 && ring.get() < 1020.0 + 4.0 * 40.0, "{ring}");
    // Two lamps on the old lime stand opposite.
    let old = &sums.results[3].bearings;
    assert_eq!(old.len(), 2);
    assert!((old[1].deg() - 180.0).abs() < 1e-9);
    // Boxes hang on the second and the fifth trunk; each has two straps.
    let boxes: Vec<bool> = sums.results.iter().map(|f| f.box_strap.is_some()).collect();
    assert_eq!(boxes, [false, true, false, false, true, false, false]);
    // 5 + 3 lamps, a lead each, 4 + 2 gaps and two returns: ten cables.
    assert_eq!(sums.lists.cables.len(), 10);
    // 60 W at 30 V draw a little over 2 A; 95 % of the controller and 1.25 make 2.8 A: a 3 A fuse.
    let fuses: Vec<&str> =
        sums.lists.buy.iter().map(|i| i.name.as_str()).filter(|n| n.contains("fuse")).collect();
    assert_eq!(fuses, ["blade fuse 3 A, 58 V (ISO 8820-3)", "blade fuse 2 A, 58 V (ISO 8820-3)"]);
    // Two straps a cradled trunk; a box has those of its two rails.
    let of_box = sums.results[1].box_straps;
    assert!(of_box == 2 || of_box == 4);
    assert_eq!(sums.lists.straps.iter().map(|s| s.count).sum::<u32>(), 7 * 2 + 2 * of_box);
    assert!(findings.iter().all(|f| f.severity < Severity::Error));
    assert_eq!(nulls(&serde_json::to_value(&sums.report).unwrap()), 0);
    // Each sum has its words.
    let all = sums.report.job.iter().chain(sums.report.trunks.iter().flat_map(|t| &t.sections));
    for line in all.flat_map(|s| &s.lines) {
        assert!(!line.formula.is_empty() && !line.source.is_empty(), "{}", line.title);
    }
}

#[test]
fn one_tree_with_small_lamps_and_a_tool_pack_is_clean() {
    let (_, sums, findings) = work(include_str!("../../../params/walnut-arbour.toml"));
    assert!(findings.iter().all(|f| f.severity == Severity::Note), "{findings:#?}");
    // Half a metre of bark between lamps: no cable is longer than a person is tall.
    assert_eq!(sums.lists.cables.len(), 5);
    assert!(sums.lists.cables.iter().all(|c| c.length < Length::metres(1.8)));
    assert!(sums.lists.cables.iter().all(|c| c.conductor == "0.75 mm2"), "{:?}", sums.lists.cables);
}

#[test]
fn a_job_without_light_or_battery_says_so() {
    let sums = pear(&[]);
    let told: Vec<&String> =
        sums.report.trunks.iter().flat_map(|t| &t.sections).flat_map(|s| &s.absent).collect();
    assert!(told.iter().any(|w| w.contains("beam-angle is not given")), "{told:?}");
    let feed = sums.report.job.iter().find(|s| s.title == "feed").unwrap();
    assert!(feed.absent[0].contains("no battery"));
    assert_eq!(sums.results[0].scale, None);
}

#[test]
fn lamps_that_find_no_room_are_an_error_with_the_number_that_does() {
    let (_, findings) = pear_judged(&[("girth = \"88 cm\"", "girth = \"60 cm\"\nfixtures = 6")]);
    let crowded = findings.iter().find(|f| f.code == "lamps-crowded").unwrap();
    let most: u32 = crowded.remedies[0].change.trim_start_matches("at most ").parse().unwrap();
    assert!((1..6).contains(&most));
    let fewer = format!("girth = \"60 cm\"\nfixtures = {most}");
    let (_, cured) = pear_judged(&[("girth = \"88 cm\"", &fewer)]);
    assert!(cured.iter().all(|f| f.code != "lamps-crowded"));
}

#[test]
fn equal_trunks_share_one_account_and_thousands_are_quick() {
    use std::fmt::Write;
    let mut text = PEAR.to_owned();
    for i in 0..4999 {
        let girth = 800 + (i * 7) % 400;
        let _ = write!(text, "\n[[trunk]]\nname = \"T{i}\"\ngirth = \"{girth} mm\"\n");
    }
    let job = read(&text).unwrap().job;
    let plan = plan(&job, &PreviousSet::default()).unwrap();
    let made: Vec<BuiltPart> = build::part_specs(&job, &plan)
        .into_iter()
        .map(|order| build::build_part(order, job.job.deviation).unwrap())
        .collect();
    let sums = Calculations::new(&job, &plan, &made, &Measured::all(&job, &made));
    // 400 girths, and the pear.
    assert!(sums.report.trunks.len() <= 401);
    assert_eq!(sums.results.len(), 5000);
    let of = |i: usize| &sums.results[i];
    assert_eq!(of(1), of(401));
    // A finding concerns a part, not each of its trunks.
    let findings = found(&job, &plan, &made, &sums);
    assert!(findings.len() < 20, "{findings:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]
    #[test]
    fn no_number_of_a_random_job_is_lost(
        girth in 250.0..6000.0_f64,
        mass in 0.05..25.0_f64,
        gust in 5.0..60.0_f64,
        lumens in 10.0..100_000.0_f64,
        beam in 2.0..170.0_f64,
        lean in -30.0..30.0_f64,
        base in 0.0..40.0_f64,
        spread in 0.2..60.0_f64,
        fixtures in 0..=8_u32,
        cold in -30.0..30.0_f64,
        power in 0.5..500.0_f64,
        tension in 10.0..900.0_f64,
    ) {
        let mut text = QUILLMERE.to_owned();
        let rest = text.find("[fixture]").unwrap();
        let trunks = format!(
            "[[trunk]]\nname = \"A\"\ngirth = \"{girth} mm\"\nlean = {lean}\nfixtures = {fixtures}\n\
             crown-base = \"{base} m\"\ncrown-spread = \"{spread} m\"\nbox = true\n\n"
        );
        let start = text.find("[[trunk]]").unwrap();
        text.replace_range(start..rest, &trunks);
        for (from, to) in [
            ("mass = \"860 g\"", format!("mass = \"{mass} kg\"")),
            ("power = \"12 W\"", format!("power = \"{power} W\"")),
            ("lumens = 1300", format!("lumens = {lumens}")),
            ("beam-angle = \"60 deg\"", format!("beam-angle = {beam}")),
            ("gust = \"22 m/s\"", format!("gust = \"{gust} m/s\"")),
            ("cold = \"8 C\"", format!("cold = \"{cold} C\"")),
            ("[strap]\n", format!("[strap]\ntension = \"{tension} N\"\n")),
        ] {
            prop_assert!(text.contains(from), "{}", from);
            text = text.replace(from, &to);
        }
        let job = read(&text).map_err(|p| TestCaseError::fail(format!("{p:?}")))?.job;
        let Ok(plan) = plan(&job, &PreviousSet::default()) else { return Ok(()) };
        let made: Vec<BuiltPart> = build::part_specs(&job, &plan)
            .into_iter()
            .filter(|s| s.part.id.kind() != PartKind::TestPiece)
            .filter_map(|order| build::build_part(order, job.job.deviation).ok())
            .collect();
        let sums = Calculations::new(&job, &plan, &made, &Measured::all(&job, &made));
        prop_assert_eq!(nulls(&serde_json::to_value(&sums.report).unwrap()), 0);
        prop_assert_eq!(nulls(&serde_json::to_value(&sums.lists).unwrap()), 0);
        let findings = found(&job, &plan, &made, &sums);
        let about = crate::documents::manifest_data::ManifestData::new(&job, &plan, &made, &sums, &findings);
        // A temperature has no share of its limit in hand; every other sum has.
        let shares = about.margins.iter().filter(|m| !m.section.starts_with("warmth"));
        prop_assert_eq!(nulls(&serde_json::to_value(shares.collect::<Vec<_>>()).unwrap()), 0);
        for found in &sums.results {
            let finite = |v: Option<f64>| v.is_none_or(f64::is_finite);
            prop_assert!(finite(found.strap.map(Length::get)));
            prop_assert!(finite(found.tension.map(Force::get)));
            prop_assert!(finite(found.scale.map(Angle::deg)));
            prop_assert!(finite(found.light.map(Illuminance::get)));
            prop_assert!(finite(found.spot.map(Length::get)));
        }
        for finding in &findings {
            prop_assert!(rules().any(|r| r.code == finding.code), "{}", finding.code);
            prop_assert!(!finding.message.contains("NaN") && !finding.message.contains("inf "));
        }
    }
}
