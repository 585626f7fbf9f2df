use super::*;
use crate::build::{build_part, part_specs};
use crate::design::previous::PreviousTrunk;
use crate::design::{Plan, PreviousSet, plan, settle};
use crate::engineering::seal::Closing;
use crate::params::{self, Job};
use crate::standards::GasketKind;
use crate::standards::PolymerKind;
use crate::units::{Angle, Force, Length, Mass, Speed};
use proptest::prelude::*;

const ONE: &str = include_str!("../../../params/one-lamp.toml");
const RIVER: &str = include_str!("../../../params/quillmere-stories.toml");
const ORCHARD: &str = include_str!("../../../params/orchard-supper.toml");

fn job(text: &str) -> Job {
    params::read(text).expect("a job").job
}

/// A plan whose prints are all there, and hang where it says.
fn printed(job: &Job) -> PreviousSet {
    let plan = settle(job, &PreviousSet::default()).expect("a plan").plan;
    let place = |kind, mark: &str| {
        plan.prints.iter().position(|p| p.kind == kind && p.mark == mark).expect("a print")
    };
    use crate::design::previous::PrintKind::{Cradle, Rail};
    let trunks = job.trunks.iter().zip(&plan.trunks).map(|(trunk, gets)| PreviousTrunk {
        name: trunk.name.clone(),
        girth: trunk.girth,
        cradle: gets.cradle.map(|c| (place(Cradle, &plan.cradles[c].class.mark), trunk.fixtures)),
        rail: gets.rail.map(|r| (place(Rail, &plan.rails[r].class.mark), 2)),
    });
    PreviousSet { trunks: trunks.collect(), ..plan.as_previous() }
}

fn to_print(plan: &Plan) -> u32 {
    let sizes = plan.cradles.iter().map(|c| c.class.prints);
    let sizes = sizes.chain(plan.rails.iter().map(|r| r.class.prints));
    sizes.sum::<u32>() + plan.boxes_to_print + plan.tilt_plates_to_print
}

/// What is to be printed after an edit, and the reasons for cradles.
fn after(text: &str, edit: impl Fn(&mut Job)) -> (u32, String) {
    let mut job = job(text);
    let previous = printed(&job);
    edit(&mut job);
    let plan = settle(&job, &previous).expect("a plan").plan;
    let reasons: Vec<_> = plan.changes.iter().map(|(_, c)| c.reason.as_str()).collect();
    (to_print(&plan), reasons.join("\n"))
}

#[test]
fn the_same_job_prints_nothing() {
    for text in [ONE, RIVER, ORCHARD] {
        assert_eq!(after(text, |_| {}).0, 0);
    }
}

#[test]
fn a_lamp_half_a_millimetre_wider_in_the_same_cradle_prints_nothing() {
    assert_eq!(after(RIVER, |job| job.fixture.width = Length::mm(118.5)).0, 0);
}

#[test]
fn another_plastic_is_printed_and_named() {
    let (prints, why) = after(ONE, |job| job.polymer.kind = PolymerKind::Pla);
    assert_eq!(prints, 1);
    assert!(why.contains("pla asked, printed in petg"), "{why}");
}

#[test]
fn what_asks_less_of_a_print_keeps_it_and_what_asks_more_is_named() {
    let heavy = ONE.replace("480 g", "3 kg");
    let lighter = after(&heavy, |job| job.fixture.mass = Mass::kg(1.0));
    assert_eq!(lighter.0, 0, "{}", lighter.1);
    let calmer = after(&heavy, |job| job.site.gust = Speed::metres_per_second(12.0));
    assert_eq!(calmer.0, 0, "{}", calmer.1);
    let (prints, why) = after(ONE, |job| job.fixture.mass = Mass::kg(3.0));
    assert_eq!(prints, 1);
    assert!(why.contains("lamp 3 kg, made for 0.48"), "{why}");
    let (_, why) = after(&heavy, |job| job.strap.width = Length::mm(38.0));
    assert!(why.contains("webbing 38 mm, made for 25"), "{why}");
}

#[test]
fn a_drawing_of_another_version_vouches_for_nothing_but_its_proof_does() {
    let job = job(ONE);
    let asked = plan(&job, &PreviousSet::default()).expect("a plan").cradles.swap_remove(0).record;
    let older = PrintRecord { design: DESIGN + 1, ..asked.clone() };
    assert_eq!(older.serves(&asked), Ok(older.clone()));
    let unproven = PrintRecord { proven: None, ..older };
    assert!(unproven.serves(&asked).is_err_and(|why| why.starts_with("drawing ")));
}

/// Shells of everything that is printed for good, without size letters: names and meshes.
fn meshes(job: &Job, plan: &Plan) -> Vec<(crate::design::PartKind, Vec<[f64; 3]>)> {
    use crate::design::PartKind::TestPiece;
    let drawn = part_specs(job, plan).into_iter().filter(|s| s.part.id.kind() != TestPiece);
    drawn
        .filter_map(|spec| {
            let kind = spec.part.id.kind();
            let built = build_part(spec, job.job.deviation).ok()?;
            Some((kind, built.mesh.vertices.clone()))
        })
        .collect()
}

/// One edit of a job, by number and share of its range.
fn edited(text: &str, which: usize, share: f64) -> Job {
    let mut job = job(text);
    let by = 0.7 + 0.6 * share;
    let lamp = &mut job.fixture;
    match which {
        0 => lamp.width = lamp.width * (0.97 + 0.03 * share),
        1 => lamp.height = lamp.height * by,
        2 => lamp.depth = lamp.depth * by,
        3 => lamp.mass = lamp.mass * by,
        4 => job.site.gust = job.site.gust * by,
        5 => job.site.safety *= by.max(0.8),
        6 => job.tilt.max = Angle::degrees(60.0 + 30.0 * share),
        7 => job.strap.tension = Some(Force::newtons(120.0 + 80.0 * share)),
        8 => job.strap.buckle = job.strap.buckle * by,
        9 => job.pad.bark_limit = job.pad.bark_limit * by,
        10 => job.pad.friction = job.pad.friction.map(|mu| mu * by),
        11 => job.seal.line_load = Some(by),
        12 => job.fixture.cable_room = Length::mm(40.0 * share),
        13 => job.printer.flow *= by,
        14 => job.feed.drop *= by,
        _ => {
            if let Some(battery) = &mut job.battery {
                match which {
                    15 => battery.mass = battery.mass * by,
                    16 => battery.height += Length::mm(0.2 * share),
                    _ => battery.length += Length::mm(share),
                }
            }
        }
    }
    job
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// An edit that leaves every mesh and the material as they are prints nothing.
    #[test]
    fn what_would_be_drawn_alike_is_never_printed_again(
        demo in 0_usize..3, which in 0_usize..18, share in 0.0..1.0,
    ) {
        let text = [ONE, RIVER, ORCHARD][demo];
        let (before, now) = (job(text), edited(text, which, share));
        let fresh = |job: &Job| plan(job, &PreviousSet::default());
        let (Ok(first), Ok(other)) = (fresh(&before), fresh(&now)) else {
            return Err(TestCaseError::reject("no plan"));
        };
        prop_assume!(meshes(&before, &first) == meshes(&now, &other));
        let next = plan(&now, &printed(&before)).expect("a plan");
        let why: Vec<_> = next.changes.iter().map(|(_, c)| &c.reason).collect();
        prop_assert_eq!(to_print(&next), 0, "edit {}: {:?}", which, why);
    }
}

/// A box whose lid is closed by screws over a cord, of an earlier year, under a job that leaves both open.
#[test]
fn a_box_that_is_closed_otherwise_is_kept_where_the_job_leaves_that_open() {
    let mut job =
        params::read(include_str!("../../../params/walnut-arbour.toml")).expect("reads").job;
    let open = job.lid.close;
    job.lid.close = Some(Closing::Screws);
    let earlier = printed(&job);
    assert_eq!(open, None);
    job.lid.close = None;
    let kept = plan(&job, &earlier).expect("a plan");
    assert_eq!(kept.boxes_to_print, 0);
    assert_eq!(kept.enclosure.map(|boxed| boxed.screws.closing), Some(Closing::Screws));
    // Without that box, knobs; and where the job asks for sponge, the cord's groove does not serve.
    let fresh = plan(&job, &PreviousSet::default()).expect("a plan").enclosure.expect("a box");
    assert_eq!(fresh.screws.closing, Closing::Knobs);
    job.seal.kind = Some(GasketKind::Sponge);
    assert_eq!(plan(&job, &earlier).expect("a plan").boxes_to_print, 1);
}
