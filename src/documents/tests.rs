//! What is drawn agrees with the plan: closed bodies, nothing that should touch apart, nothing that
//! should be apart touching; and the sheet tells every part.

use std::collections::BTreeMap;

use super::assembly::{apply_taper_and_lean, cradles, whole};
use super::pictures::{Shown, shots};
use super::scene::{Appearance, Piece, PreviewMeshes};
use super::sheet::{SheetInputs, file};
use super::{Subject, beds, templates};
use crate::assessment::lists::StrapCut;
use crate::design::{PreviousSet, seating};
use crate::finding::{Finding, Severity};
use crate::formats::sheet::PictureContent;
use crate::mesh::{Bounds, measure};
use crate::params::{Loaded, read};
use crate::pipeline::{Outcome, run};
use crate::units::Length;

/// A job worked through.
struct Set {
    loaded: Loaded,
    worked: Outcome,
}

impl Set {
    fn new(text: &str) -> Self {
        let mut loaded = read(text).unwrap_or_else(|p| panic!("{p:?}"));
        loaded.job.job.deviation = Length::mm(0.2);
        let mut worked = run(&loaded.job, &PreviousSet::default()).unwrap();
        worked.findings.clear();
        Self { loaded, worked }
    }

    fn subject(&self) -> Subject<'_> {
        Subject::of(&self.worked)
    }

    fn preview_meshes(&self) -> PreviewMeshes {
        PreviewMeshes::of(&self.worked.built)
    }
}

fn quillmere() -> Set {
    Set::new(include_str!("../../params/quillmere-stories.toml"))
}

fn bounds(piece: &Piece) -> Bounds {
    measure(&piece.mesh).unwrap().bounds
}

#[test]
fn every_piece_is_closed_and_hangs_where_it_should() {
    let set = quillmere();
    let (subject, preview_meshes) = (set.subject(), set.preview_meshes());
    let trunk = Shown::of(&subject).boxed.unwrap();
    let pieces = whole(&subject, &preview_meshes, trunk).unwrap();
    let named: BTreeMap<&str, &Piece> = pieces.iter().map(|p| (p.name.as_str(), p)).collect();
    assert_eq!(named.len(), pieces.len(), "names are unique");
    for piece in &pieces {
        // The divergence theorem gives a positive volume only for a closed, outward mesh.
        assert!(measure(&piece.mesh).unwrap().volume.get() > 0.0, "{}", piece.name);
    }
    // The box's back lies on the fronts of its rails.
    let back = bounds(named["box-body"]).min[1];
    for rail in ["rail-a (lower)", "rail-a (upper)"] {
        assert!((bounds(named[rail]).max[1] - back).abs() < 1e-6, "{rail}");
    }
    // The lid lies on the box and drops over its rim.
    let (body, lid) = (bounds(named["box-body"]), bounds(named["box-lid"]));
    let planned = subject.plan.enclosure.as_ref().unwrap();
    let skirt = planned.lid.edge.skirt[1].get();
    assert!((body.max[1] - lid.min[1] - skirt).abs() < 1e-6);
    assert!(lid.min[0] < body.min[0] && body.max[0] < lid.max[0]);
    // The pack hangs inside the box.
    let pack = pieces.iter().find(|p| p.appearance == Appearance::Pack).map(bounds).unwrap();
    for k in 0..3 {
        assert!(pack.min[k] > body.min[k] && pack.max[k] < lid.max[k]);
    }
    // The cradle hangs above the box and outside the bark.
    let cradle = bounds(named["cradle-a"]);
    assert!(cradle.min[2] > body.max[2]);
    let radius = set.loaded.job.trunks[trunk].girth.get() / std::f64::consts::TAU;
    for point in &named["cradle-a"].mesh.vertices {
        assert!(libm::hypot(point[0], point[1]) > radius, "{point:?}");
    }
}

#[test]
fn a_cable_runs_from_lamp_to_gland_outside_the_bark() {
    let set = quillmere();
    let (subject, preview_meshes) = (set.subject(), set.preview_meshes());
    let trunk = Shown::of(&subject).boxed.unwrap();
    let radius = set.loaded.job.trunks[trunk].girth.get() / std::f64::consts::TAU;
    let find = |pieces: &[Piece], name: &str| {
        pieces.iter().find(|p| p.name == name).unwrap().mesh.vertices.clone()
    };
    let pieces = whole(&subject, &preview_meshes, trunk).unwrap();
    let alone = cradles(&subject, &preview_meshes, trunk).unwrap();
    let nearest = |from: &[[f64; 3]], to: &[[f64; 3]]| {
        let apart = |p: &[f64; 3], q: &[f64; 3]| {
            (0..3).map(|k| (p[k] - q[k]) * (p[k] - q[k])).sum::<f64>().sqrt()
        };
        let all = from.iter().flat_map(|p| to.iter().map(move |q| apart(p, q)));
        all.fold(f64::INFINITY, f64::min)
    };
    for pieces in [&pieces, &alone] {
        let cable = find(pieces, "cable");
        for [x, y, _] in &cable {
            assert!(libm::hypot(*x, *y) > radius, "{x} {y}");
        }
        let lamp = pieces.iter().find(|p| p.appearance == Appearance::Lamp).unwrap();
        assert!(nearest(&cable, &lamp.mesh.vertices) < set.loaded.job.fixture.width.get());
        // Buckles sit on the straps, and the straps' free ends over them.
        let buckle = find(pieces, "straps: buckles");
        assert!(nearest(&buckle, &find(pieces, "straps")) < 25.0);
    }
    assert!(nearest(&find(&pieces, "cable"), &find(&pieces, "glands")) < 10.0);
}

#[test]
fn taper_and_lean_keep_everything_on_the_bark() {
    let mut set = quillmere();
    let plain = cradles(&set.subject(), &set.preview_meshes(), 0).unwrap();
    let same = apply_taper_and_lean(&set.subject(), 0, plain.clone());
    assert!(plain.iter().zip(&same).all(|(a, b)| a.mesh == b.mesh), "a straight upright trunk");
    let trunk = &mut set.worked.job.trunks[0];
    let radius = trunk.girth.get() / std::f64::consts::TAU;
    // Radius less 100 mm over a metre: a slope of 0.1.
    trunk.upper_girth = Some(trunk.girth - Length::mm(100.0 * std::f64::consts::TAU));
    trunk.upper_height = Some(trunk.height + Length::mm(1000.0));
    let cone = apply_taper_and_lean(&set.subject(), 0, plain.clone());
    let name = set.worked.job.trunks[0].name.clone();
    let bark = cone.iter().find(|p| p.name == name).unwrap();
    for [x, y, z] in &bark.mesh.vertices {
        assert!((libm::hypot(*x, *y) - (radius - 0.1 * z)).abs() < 1e-6, "{x} {y} {z}");
    }
    // A lean of 90 degrees would lay the trunk's top toward +Y: here 30, so sin 30 of the height.
    let trunk = &mut set.worked.job.trunks[0];
    (trunk.upper_girth, trunk.lean) = (None, crate::units::Angle::degrees(30.0));
    let leant = apply_taper_and_lean(&set.subject(), 0, plain.clone());
    let mean = |pieces: &[Piece], k: usize| {
        let points = &pieces.iter().find(|p| p.name == name).unwrap().mesh.vertices;
        points.iter().map(|p| p[k]).sum::<f64>() / points.len() as f64
    };
    assert!((mean(&leant, 1) - mean(&plain, 2) * 0.5).abs() < 1e-6);
    for piece in &leant {
        assert!(measure(&piece.mesh).unwrap().volume.get() > 0.0, "{}", piece.name);
    }
}

#[test]
fn two_lamps_stand_opposite_each_other() {
    let set = quillmere();
    let old_lime = set.loaded.job.trunks.iter().position(|t| t.fixtures == 2).unwrap();
    let pieces = cradles(&set.subject(), &set.preview_meshes(), old_lime).unwrap();
    let middle = |name: &str| {
        let piece = pieces.iter().find(|p| p.name == name).unwrap();
        let b = bounds(piece);
        [0, 1, 2].map(|k| (b.min[k] + b.max[k]) / 2.0)
    };
    let (one, other) = (middle("cradle-b (1)"), middle("cradle-b (2)"));
    assert!((one[0] + other[0]).abs() < 1e-6 && (one[1] + other[1]).abs() < 1e-6);
    assert!(one[1] > 200.0 && (one[2] - other[2]).abs() < 1e-9);
}

#[test]
fn pictures_are_pictures_and_the_sheet_tells_every_part() {
    let set = quillmere();
    let (subject, preview_meshes) = (set.subject(), set.preview_meshes());
    let drawn: Vec<_> = shots(&subject, &preview_meshes)
        .unwrap()
        .iter()
        .map(|s| (s.path().to_owned(), s.draw().unwrap()))
        .collect();
    for (path, picture) in &drawn {
        match &picture.content {
            // PNG specification, section 5.2: the signature.
            PictureContent::Png(bytes) => assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n", "{path}"),
            PictureContent::Svg(text) => {
                let tree = roxmltree::Document::parse(text).unwrap();
                assert!(tree.root_element().has_tag_name("svg") || text.contains("<svg"), "{path}");
            }
        }
        assert!(!picture.alt.is_empty() && !picture.title.is_empty());
    }
    let list = beds::pack(&subject).unwrap();
    let map = &set.loaded.source_map;
    let inputs =
        SheetInputs { map, beds: &list, pictures: &drawn, preview_meshes: &preview_meshes };
    let (_, bytes) = file(&subject, &inputs).unwrap();
    assert_eq!(file(&subject, &inputs).unwrap().1, bytes, "the same bytes again");
    let html = String::from_utf8(bytes).unwrap();
    for made in &set.worked.built {
        let name = &made.name();
        assert!(html.contains(&format!("<td>{name}</td>")), "{name} is in the list");
        assert!(html.contains(&format!("\"name\":\"{name}")), "{name} is in the viewer");
        assert!(drawn.iter().any(|(path, _)| *path == format!("pictures/{name}.png")), "{name}");
    }
    for trunk in &set.loaded.job.trunks {
        assert!(html.contains(&format!("<h3>{}</h3>", trunk.name)), "{}", trunk.name);
    }
    assert!(html.len() < 4_500_000, "{} bytes", html.len());
}

#[test]
fn a_job_without_a_box_has_a_sheet_too() {
    let set = Set::new(include_str!("../../params/one-lamp.toml"));
    let (subject, preview_meshes) = (set.subject(), set.preview_meshes());
    assert_eq!(Shown::of(&subject), Shown { lamp: Some(0), boxed: None });
    let drawn: Vec<_> = shots(&subject, &preview_meshes)
        .unwrap()
        .iter()
        .map(|s| (s.path().to_owned(), s.draw().unwrap()))
        .collect();
    assert!(drawn.iter().all(|(path, _)| !path.contains("box") && !path.contains("feed")));
    let list = beds::pack(&subject).unwrap();
    let map = &set.loaded.source_map;
    let inputs =
        SheetInputs { map, beds: &list, pictures: &drawn, preview_meshes: &preview_meshes };
    assert!(String::from_utf8(file(&subject, &inputs).unwrap().1).unwrap().contains("cradle-a"));
}

/// The names of templates and the words of the sheet when an error blocks these parts.
fn with_blocked(set: &mut Set, names: &[&str]) -> (Vec<String>, Vec<Piece>, String) {
    let finding = Finding::new("wall-too-thin", Severity::Error, "for a test");
    set.worked.findings = vec![names.iter().fold(finding, |f, name| f.part(*name))];
    let (subject, preview_meshes) = (set.subject(), set.preview_meshes());
    let templates = templates::files(&subject).unwrap().into_iter().map(|(path, _)| path).collect();
    let pieces = whole(&subject, &preview_meshes, Shown::of(&subject).boxed.unwrap()).unwrap();
    let list = beds::pack(&subject).unwrap();
    for bed in &list.beds {
        let laid = bed.copies.iter().map(|(part, _)| set.worked.built[*part].name());
        laid.for_each(|name| assert!(!names.contains(&name.as_str()), "{name} is on a bed"));
    }
    let drawn: Vec<_> = shots(&subject, &preview_meshes)
        .unwrap()
        .iter()
        .map(|s| (s.path().to_owned(), s.draw().unwrap()))
        .collect();
    let map = &set.loaded.source_map;
    let inputs =
        SheetInputs { map, beds: &list, pictures: &drawn, preview_meshes: &preview_meshes };
    let html = String::from_utf8(file(&subject, &inputs).unwrap().1).unwrap();
    (templates, pieces, html)
}

#[test]
fn a_blocked_part_has_no_templates_and_is_shown_in_red() {
    let mut set = quillmere();
    let (templates, pieces, html) = with_blocked(&mut set, &[]);
    for name in ["pad-cradle-a", "curve-cradle-a", "gasket", "receiver-holes", "pad-rail-a"] {
        assert!(templates.contains(&format!("templates/{name}.svg")), "{name}");
    }
    assert!(pieces.iter().all(|p| p.appearance != Appearance::Blocked));
    assert!(!html.contains("blocked") && html.contains("Hold the cradle with its arrow up"));

    let (templates, pieces, html) = with_blocked(&mut set, &["cradle-a", "cradle-b", "box-body"]);
    for name in ["cradle-a", "gasket", "receiver-holes"] {
        assert!(templates.iter().all(|path| !path.contains(name)), "{name}: {templates:?}");
    }
    assert!(templates.contains(&"templates/pad-rail-a.svg".into()), "the rail is sound");
    let red =
        pieces.iter().filter(|p| p.appearance == Appearance::Blocked).map(|p| p.name.as_str());
    let red: Vec<&str> = red.collect();
    assert!(red.len() == 2 && red[0].starts_with("cradle-") && red[1] == "box-body", "{red:?}");
    assert!(html.contains("cradle-a, as it lies on the bed: blocked by an error, do not print"));
    assert!(html.contains("blocked by an error, not to be printed"));
    assert!(
        html.contains("box-lid with its dimensions") && !html.contains("box-body with its dim")
    );
    assert!(!html.contains("Hold the cradle with its arrow up"), "no steps to hang it");
}

/// No strap lies on bare bark: each has a sleeve as long as the bark that it touches, and the sleeves are
/// to be bought, cut and slid on.
#[test]
fn sleeves_cover_the_bark_that_straps_touch() {
    let mut set = quillmere();
    let (_, _, html) = with_blocked(&mut set, &[]);
    let subject = set.subject();
    let (job, plan, lists) = (subject.job, subject.plan, &subject.sums.lists);
    let mut compared = 0;
    for (trunk, gets) in job.trunks.iter().zip(&plan.trunks) {
        if trunk.fixtures != 1 || trunk.diameters.is_some() {
            continue;
        }
        // From the mouths of the one cradle the strap runs along tangents to the round trunk.
        let saddle = &plan.cradles[gets.cradle.unwrap()].saddle;
        let radius = trunk.girth.get() / std::f64::consts::TAU;
        let mouth = (saddle.half_width - saddle.mouth).get();
        let out = radius + (seating::gap(job) + saddle.passage_y[0]).get();
        let free = libm::atan2(mouth, out) + libm::acos(radius / libm::hypot(mouth, out));
        let touched = radius * (std::f64::consts::TAU - 2.0 * free);
        let of_trunk = |s: &&StrapCut| s.trunk == trunk.name && s.holds == "cradles";
        let strap = lists.straps.iter().find(of_trunk).unwrap();
        let sleeve = strap.sleeve.expect("a sleeve").get();
        assert!((sleeve / touched - 1.0).abs() < 0.02, "{}: {sleeve} {touched}", trunk.name);
        compared += 1;
    }
    assert!(compared > 0);
    let all: f64 =
        lists.straps.iter().map(|s| s.sleeve.expect("a sleeve").get() * f64::from(s.count)).sum();
    let bought = lists.buy.iter().find(|item| item.name.starts_with("strap sleeve")).unwrap();
    assert!(
        (f64::from(bought.count) - all / 1000.0) < 1.0 && f64::from(bought.count) >= all / 1000.0
    );
    assert!(html.contains("Slide the sleeves over the straps") && html.contains("strap sleeve"));
}
