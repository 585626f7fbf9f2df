use super::*;
use crate::design::previous::PrintKind;
use crate::design::{PreviousSet, plan};
use crate::params::{self, Job};
use crate::standards::PolymerKind;
use crate::units::{Angle, Mass, Speed};

/// A set that the program wrote when its manifests had format 1: cradle, rails, box, tilt plates.
const FORMAT_1: &[u8] = include_bytes!("../../../tests/sets/format-1/orchard-supper.json");

/// The job of that set with a lamp so light, and so little wind, that its prints hold by today's sums.
fn orchard() -> Job {
    let text = include_str!("../../../params/orchard-supper.toml");
    let mut job = params::read(text).expect("it reads").job;
    job.pad.thickness = Some(Length::mm(30.0));
    job.fixture.mass = Mass::kg(0.2);
    if let Some(battery) = &mut job.battery {
        battery.mass = Mass::kg(0.3);
    }
    job.site.gust = Speed::metres_per_second(3.0);
    // The girth that its face was made for: its mark said more than holds.
    for trunk in &mut job.trunks {
        trunk.girth = Length::mm(840.0);
        (trunk.diameters, trunk.lean) = (None, Angle::ZERO);
    }
    job
}

fn to_print(job: &Job) -> [u32; 4] {
    let manifest = Manifest::parse(FORMAT_1).expect("a manifest");
    let previous = PreviousManifest::read(manifest).expect("a set").set(true);
    let plan = plan(job, &previous).expect("a plan");
    let cradles = plan.cradles.iter().map(|c| c.class.prints).sum();
    let rails = plan.rails.iter().map(|r| r.class.prints).sum();
    [cradles, rails, plan.boxes_to_print, plan.tilt_plates_to_print]
}

#[test]
fn every_print_of_a_set_of_format_1_that_serves_is_kept() {
    // Its rails are lower than the box's levering asks for by today's sums, and out of its box the pack
    // slides down onto the cables.
    assert_eq!(to_print(&orchard()), [0, 2, 1, 0]);
}

#[test]
fn what_format_1_tells_is_compared_and_what_it_does_not_tell_is_assumed() {
    // It does not tell the plastic.
    let mut job = orchard();
    job.polymer.kind = PolymerKind::Asa;
    assert_eq!(to_print(&job), [0, 2, 1, 0]);
    // It tells the webbing.
    job.strap.width = Length::mm(30.0);
    assert_eq!(to_print(&job)[0], 5);
}

#[test]
fn a_box_of_format_1_is_known_by_its_dimensions() {
    let box_of = |set: &PreviousSet| {
        set.prints.iter().find(|p| p.kind == PrintKind::Box).expect("a box").record.clone()
    };
    let manifest = Manifest::parse(FORMAT_1).expect("a manifest");
    let mut old = box_of(&PreviousManifest::read(manifest).expect("a set").set(true));
    let today = plan(&orchard(), &PreviousSet::default()).expect("a plan").as_previous();
    let asked = box_of(&today);
    old.interface.clone_from(&asked.interface);
    assert!(old.serves(&asked).unwrap_err().starts_with("box inner"), "{:?}", old.serves(&asked));
    for (name, told) in &mut old.shape {
        *told = asked.shape[name];
    }
    assert!(old.serves(&asked).is_ok());
}
