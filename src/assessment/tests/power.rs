//! The electric checks on a job file: each finding appears when it should, and its remedy cures it.

use crate::assessment::power::feeds::{Studied, StudyError, studied};
use crate::assessment::power::{
    battery_too_small, box_too_warm, cells_too_cold, current_over_limit, feed_collapses,
    fuse_mismatch, gland_unfit, lamp_overvolted, vent_unsuited, wire_too_thin,
};
use crate::assessment::tests::calculations::sums_of;
use crate::design::cable_lengths::on_trunk;
use crate::design::{PreviousSet, plan};
use crate::engineering::heat::Enclosure;
use crate::finding::Severity;
use crate::params::{Job, read};
use crate::standards::ConductorSize;
use crate::units::{Angle, Length, Power, Temperature};

const QUILLMERE: &str = include_str!("../../../params/quillmere-stories.toml");
const WALNUT: &str = include_str!("../../../params/walnut-arbour.toml");

/// The same row on small 18 V packs, which do not feed it.
const SMALL: [(&str, &str); 7] = [
    ("voltage = \"36 V\"", "voltage = \"18 V\""),
    ("cutoff = \"30 V\"", "cutoff = \"15 V\""),
    ("capacity = \"10 Ah\"", "capacity = \"8 Ah\""),
    ("power = \"12 W\"", "power = \"20 W\""),
    ("min-voltage = \"20 V\"", "min-voltage = \"10.5 V\""),
    ("max-voltage = \"48 V\"", "max-voltage = \"24 V\""),
    ("conductor = \"1 mm2\"", "conductor = \"2.5 mm2\""),
];

fn job(change: &[(&str, &str)]) -> Job {
    let mut text = QUILLMERE.to_owned();
    for (from, to) in SMALL.iter().chain(change) {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    read(&text).unwrap().job
}

fn fed(job: &Job) -> Result<Vec<Studied>, StudyError> {
    studied(job, &plan(job, &PreviousSet::default()).unwrap())
}

#[test]
fn the_row_as_written_is_fed_all_evening() {
    let as_written = read(QUILLMERE).unwrap().job;
    let feeds = fed(&as_written).unwrap();
    assert!(feeds.iter().all(|f| f.shortfalls.is_empty()));
    let checks = [feed_collapses::judge, wire_too_thin::judge, fuse_mismatch::judge];
    assert!(checks.iter().all(|check| check(&as_written, &feeds).is_empty()));
    assert!(battery_too_small::judge(&as_written, &feeds).is_empty());
    assert!(lamp_overvolted::judge(&as_written).is_empty());
}

#[test]
fn every_box_feeds_its_own_lamps() {
    let feeds = fed(&job(&[])).unwrap();
    let lamps: Vec<usize> = feeds.iter().map(|f| f.feed.fixtures.len()).collect();
    assert_eq!(lamps, [5, 3]);
    assert_eq!(feeds[0].feed.trunk, Some(1));
    assert_eq!(feeds[0].feed.fixtures, [0, 1, 2, 3, 3]);
    assert_eq!(feeds[1].feed.trunk, Some(4));
    assert_eq!(feeds[0].feed.plan.lengths.len(), 5);
}

#[test]
fn lamps_round_one_trunk_take_their_cables_from_the_plan() {
    let job = read(WALNUT).unwrap().job;
    let plan = plan(&job, &PreviousSet::default()).unwrap();
    let feeds = studied(&job, &plan).unwrap();
    let [feed] = feeds.as_slice() else { panic!("{} feeds", feeds.len()) };
    let here = on_trunk(&job, &plan, 0);
    let [lead, gap] = [here.box_to_lamp, here.lamp_to_lamp];
    assert_eq!(feed.feed.plan.lengths, [lead, gap, gap, gap]);
    assert_eq!(feed.feed.plan.back, here.last_to_box);
    assert!(feed.shortfalls.is_empty());
    // What is written is law.
    let written = WALNUT.replace("layout =", "lead = 900\nsegments = 850\nback = 2100\nlayout =");
    let written = read(&written).unwrap().job;
    let plan = &fed(&written).unwrap()[0].feed.plan;
    assert_eq!(plan.lengths, [900.0, 850.0, 850.0, 850.0].map(Length::mm));
    assert_eq!(plan.back, Length::mm(2100.0));
}

#[test]
fn one_length_is_from_trunk_to_trunk_and_a_box_within_its_row_feeds_both_ways() {
    let feeds = fed(&job(&[])).unwrap();
    // The loop of the first box begins at the row's beginning, a trunk before the box; the two lamps
    // on the old lime are nearer to each other than two trunks.
    let plan = &feeds[0].feed.plan;
    let nine = Length::metres(9.0);
    assert_eq!(plan.lengths[1..4], [nine; 3]);
    assert!(plan.lengths[0] > nine && plan.lengths[4] < Length::metres(2.0), "{:?}", plan.lengths);

    let chain = job(&[("layout = \"loop\"", "layout = \"chain\""), ("back = \"28 m\"\n", "")]);
    let feeds = fed(&chain).unwrap();
    let feed = &feeds[0].feed;
    // Bench, Steps, Old, Old, and the other way Ferry.
    assert_eq!(feed.fixtures, [1, 2, 3, 3, 0]);
    assert_eq!(feed.plan.apart, Some(4));
    let lead = feed.plan.lengths[0];
    assert_eq!(feed.plan.cable_to(4), lead + nine);
    // The last lamp of the first way is farthest: its volts are those of a chain of four lamps, from
    // terminals that five lamps pull down.
    let solved = feeds[0].study.fresh.as_ref().unwrap();
    assert_eq!(solved.worst, 3);
    assert!((solved.segments[0].get() / solved.current.get() - 0.8).abs() < 0.01);
    assert!(solved.segments[4].get().abs() < 1e-12 && solved.segments[5].get() < 0.0);
    // A lamp without its own way round is the second box's: a plain chain.
    assert_eq!(feeds[1].feed.plan.apart, None);
}

#[test]
fn the_cut_list_is_the_row() {
    let text = SMALL.iter().fold(QUILLMERE.to_owned(), |t, (from, to)| t.replace(from, to));
    let text =
        text.replace("layout = \"loop\"", "layout = \"chain\"").replace("back = \"28 m\"\n", "");
    let (_, sums) = sums_of(&text);
    // Eight lamps on two boxes: eight pieces, each to its neighbour on the box's side.
    let ends: Vec<(&str, &str)> =
        sums.lists.cables.iter().map(|c| (c.from.as_str(), c.to.as_str())).collect();
    assert_eq!(ends.len(), 8);
    assert!(ends.contains(&("lamp 5 on Ferry Lime", "box on Bench Lime")), "{ends:?}");
    assert!(!ends.contains(&("lamp 4 on Old Lime", "lamp 5 on Ferry Lime")), "{ends:?}");
}

#[test]
fn a_thin_wire_is_told_with_the_size_that_serves() {
    let thin = job(&[("conductor = \"2.5 mm2\"", "conductor = \"0.75 mm2\"")]);
    let feeds = fed(&thin).unwrap();
    let found = wire_too_thin::judge(&thin, &feeds);
    assert!(!found.is_empty());
    let remedy = &found[0].remedies[0];
    assert_eq!(remedy.key.as_str(), "feed.conductor");
    let size = remedy.change.strip_prefix("at least ").unwrap();
    let cured = job(&[("conductor = \"2.5 mm2\"", &format!("conductor = \"{size}\""))]);
    let feeds = fed(&cured).unwrap();
    assert!(feeds[0].shortfalls.is_empty(), "{:?}", feeds[0].shortfalls);
    assert!(wire_too_thin::judge(&cured, &feeds[..1]).is_empty());
}

#[test]
fn a_wished_drop_is_a_note_where_the_lamp_says_what_it_needs() {
    let thin = |lamp: &str| {
        let change = ("\"2.5 mm2\"", "\"1 mm2\"");
        let job = job(&[
            change,
            ("layout =", "drop = 0.02\nlayout ="),
            ("min-voltage = \"10.5 V\"", lamp),
        ]);
        wire_too_thin::judge(&job, &fed(&job).unwrap())
    };
    let told = thin("min-voltage = \"9 V\"");
    assert!(!told.is_empty() && told.iter().all(|f| f.severity == Severity::Note), "{told:?}");
    assert!(thin("").iter().any(|f| f.severity == Severity::Warning));
}

#[test]
fn a_pack_that_only_just_feeds_its_lamp_is_judged_as_far_as_it_is_drawn() {
    // Four cells of iron phosphate for a lamp that needs 10 V: at the cut-off of 10 V no cable could
    // serve, but a fifth stays in the pack, which then has some 12.5 V.
    let pack = [
        ("chemistry = \"li-ion\"", "chemistry = \"lifepo4\""),
        ("voltage = \"14.4 V\"", "voltage = \"12.8 V\""),
    ];
    let text = pack.iter().fold(WALNUT.to_owned(), |t, (from, to)| t.replace(from, to));
    let job = read(&text).unwrap().job;
    let feeds = fed(&job).unwrap();
    assert!(wire_too_thin::judge(&job, &feeds).is_empty());
    assert_eq!(feeds[0].study.size, ConductorSize::Mm2_0_75);
    // Three cells do not do: the pack is named, not the cable, with the voltage that serves.
    let job = read(&text.replace("\"12.8 V\"", "\"9.6 V\"")).unwrap().job;
    let found = wire_too_thin::judge(&job, &fed(&job).unwrap());
    let remedy = &found[0].remedies[0];
    assert_eq!(remedy.key.as_str(), "battery.voltage");
    let volts = remedy.change.strip_prefix("at least ").unwrap();
    let job = read(&text.replace("\"12.8 V\"", &format!("\"{volts}\""))).unwrap().job;
    assert!(wire_too_thin::judge(&job, &fed(&job).unwrap()).is_empty());
}

#[test]
fn a_load_beyond_the_cable_is_an_error() {
    let heavy = job(&[("power = \"20 W\"", "power = \"150 W\""), ("\"2.5 mm2\"", "\"0.5 mm2\"")]);
    let found = feed_collapses::judge(&heavy, &fed(&heavy).unwrap());
    assert_eq!(found[0].severity, Severity::Error);
    // By hand: on 2.5 mm2 the whole loop works, but a break beside the box leaves 28 m of return and
    // three gaps of 9 m: 130 W near 0.7 ohm at 16.8 V is beyond E^2/(4 R) = 100 W.
    let bright = job(&[("power = \"20 W\"", "power = \"26 W\"")]);
    let broken = feed_collapses::judge(&bright, &fed(&bright).unwrap());
    assert!(broken.iter().all(|f| f.severity == Severity::Warning));
    assert!(broken[0].message.contains("broken"), "{}", broken[0].message);
    let fine = job(&[("conductor = \"2.5 mm2\"", "conductor = \"10 mm2\"")]);
    assert!(feed_collapses::judge(&fine, &fed(&fine).unwrap()).is_empty());
}

#[test]
fn fuses_too_small_or_too_large_are_errors_and_the_remedy_fits() {
    let with = |amps: &str| {
        let job = job(&[("layout = \"loop\"", &format!("layout = \"loop\"\nfuse = \"{amps}\""))]);
        let feeds = fed(&job).unwrap();
        fuse_mismatch::judge(&job, &feeds[..1])
    };
    // 100 W of lamps at 15 V draw 6.7 A and more: 5 A is too small, 40 A more than 2.5 mm2 carries.
    let small = with("5 A");
    assert!(small[0].message.contains("carries 4 A for hours"), "{}", small[0].message);
    let large = with("40 A");
    assert!(large[0].message.contains("does not protect"), "{}", large[0].message);
    let right = small[0].remedies[0].change.clone();
    assert!(with(&right).iter().all(|f| f.severity < Severity::Error));
}

#[test]
fn a_small_battery_is_told_with_the_charge_that_lasts() {
    let small = job(&[("capacity = \"8 Ah\"", "capacity = \"2 Ah\"")]);
    let found = battery_too_small::judge(&small, &fed(&small).unwrap());
    assert_eq!(found.len(), 1, "one pack that is too small in two boxes: {found:?}");
    assert!(found[0].message.contains("is empty after"), "{}", found[0].message);
    assert!(found[0].message.contains("; likewise in the box on "), "{}", found[0].message);
    let needed = found[0].remedies[0].change.strip_prefix("at least ").unwrap().to_owned();
    let cured = job(&[("capacity = \"8 Ah\"", &format!("capacity = \"{needed}\""))]);
    let feeds = fed(&cured).unwrap();
    assert!(battery_too_small::judge(&cured, &feeds[..1]).is_empty());
}

#[test]
fn capacitors_that_age_the_fuse_are_told_with_one_that_takes_them() {
    let with = |amps: &str| {
        let job = job(&[
            ("load = \"constant-power\"", "load = \"constant-power\"\ncapacitor = 1000"),
            ("layout = \"loop\"", &format!("layout = \"loop\"\nfuse = \"{amps}\"")),
        ]);
        let feeds = fed(&job).unwrap();
        let found = fuse_mismatch::judge(&job, &feeds[..1]);
        found.into_iter().find(|f| f.message.contains("capacitors"))
    };
    // By hand: five of 1000 uF at 21 V behind 0.05 ohm and some 0.17 ohm of cable: 5 A2s; 7.5 A takes a quarter of
    // 51 A2s.
    assert_eq!(with("7.5 A"), None);
    let found = with("3 A").unwrap();
    assert_eq!(with(&found.remedies[0].change), None, "{found:?}");
}

#[test]
fn glands_take_the_cables_or_it_is_told() {
    let with = |change: &[(&str, &str)]| {
        let job = job(change);
        gland_unfit::judge(&job, &fed(&job).unwrap())
    };
    // Two-core rubber cord of 2.5 mm2 is 9.0 to 11.6 mm thick and does not go through an M16 of 4 to 8 mm;
    // M20 takes 6 to 12 mm (makers' usual figures).
    let found = with(&[]);
    assert_eq!(found[0].severity, Severity::Warning);
    assert_eq!(found[0].remedies[0].change, "\"M20\"");
    assert!(with(&[("size = \"M16\"", "size = \"M20\"")]).is_empty());
    assert!(with(&[("layout =", "cable-diameter = 7.5\nlayout =")]).is_empty());
    // 1.5 mm2 is 7.6 to 9.8 mm thick: some of it fits.
    let found = with(&[("\"2.5 mm2\"", "\"1.5 mm2\"")]);
    assert_eq!(found[0].severity, Severity::Note);
    // A loop has two ends.
    let one = [("size = \"M16\"\ncount = 2", "size = \"M20\"\ncount = 1")];
    let found = with(&one);
    assert_eq!(found[0].remedies[0].change, "at least 2");
    // Without a count there are as many as are needed.
    assert!(with(&[("size = \"M16\"\ncount = 2", "size = \"M20\"")]).is_empty());
}

#[test]
fn electronics_that_pass_too_little_are_an_error() {
    let with = |amps: &str| {
        let job = job(&[(
            "capacity = \"8 Ah\"",
            &format!("capacity = \"8 Ah\"\nmax-current = \"{amps}\""),
        )]);
        current_over_limit::judge(&job, &fed(&job).unwrap())
    };
    // Five lamps of 20 W near 15 V, the loop broken, through 95 %: some 7 to 9 A.
    assert!(with("10 A").is_empty());
    let found = with("4 A");
    assert_eq!(found[0].severity, Severity::Error);
    let watts = found[0].remedies[0].change.strip_prefix("at most ").unwrap().to_owned();
    let cured = job(&[
        ("capacity = \"8 Ah\"", "capacity = \"8 Ah\"\nmax-current = \"4 A\""),
        ("power = \"20 W\"", &format!("power = \"{watts}\"")),
    ]);
    assert!(current_over_limit::judge(&cured, &fed(&cured).unwrap()).is_empty());
}

#[test]
fn a_box_breathes_through_a_vent_or_its_seal() {
    let vented = job(&[]);
    let closed = job(&[("[vent]\nsize = \"M12\"\n", "")]);
    let warm = Some(Temperature::celsius(48.0));
    assert_eq!(vent_unsuited::judge(&vented, warm), None);
    // By hand: 1013.25 hPa x 40/321.15 = 126 hPa.
    let found = vent_unsuited::judge(&closed, warm).unwrap();
    assert_eq!(found.measured.as_deref(), Some("126 hPa"));
    assert_eq!(found.remedies[0].key.as_str(), "vent.size");
    // A box that stays within a few degrees needs none, and a vent without a box neither.
    let cool = Some(Temperature::celsius(15.0));
    assert_eq!(vent_unsuited::judge(&closed, cool), None);
    assert!(vent_unsuited::judge(&vented, cool).unwrap().message.contains("not needed"));
    assert!(vent_unsuited::judge(&Job { battery: None, ..vented }, None).is_some());
}

#[test]
fn frost_is_told() {
    assert!(cells_too_cold::judge(&job(&[])).is_empty());
    let frosty = cells_too_cold::judge(&job(&[("cold = \"8 C\"", "cold = \"-5 C\"")]));
    assert_eq!(frosty[0].severity, Severity::Note);
    let bitter = cells_too_cold::judge(&job(&[("cold = \"8 C\"", "cold = \"-25 C\"")]));
    assert_eq!(bitter[0].severity, Severity::Error);
}

#[test]
fn a_full_pack_may_be_too_much_for_the_lamp() {
    // Battery University BU-303: 4.2 V a cell when full, 3.6 V nominal: 18 V stand at 21 V.
    assert!(lamp_overvolted::judge(&job(&[])).is_empty());
    let found =
        lamp_overvolted::judge(&job(&[("max-voltage = \"24 V\"", "max-voltage = \"20 V\"")]));
    assert_eq!(found[0].measured.as_deref(), Some("21 V"));
}

#[test]
fn a_dark_box_in_the_sun_is_too_warm_and_a_light_one_cooler() {
    let shell = Enclosure {
        width: Length::mm(110.0),
        height: Length::mm(260.0),
        depth: Length::mm(95.0),
        wall: Length::mm(2.4),
    };
    let of = |job: &Job| {
        let sun = box_too_warm::sun_on_lid(job);
        let (lamps, pack_loss) = (Power::watts(30.0), Power::watts(0.5));
        let warmed = box_too_warm::Warmed { shell, lamps, pack_loss, sun };
        let day = box_too_warm::day(job, &warmed).unwrap();
        (day, box_too_warm::judge(job, &warmed, &day))
    };
    let dark = job(&[("kind = \"asa\"", "kind = \"pla\"\ndark = true")]);
    let (day, found) = of(&dark);
    let found = found.unwrap();
    assert!(found.message.contains("PLA softens"), "{found:?}");
    let (light, _) = of(&job(&[]));
    assert!(light.afternoon.1.inside < day.afternoon.1.inside);
    // Light PLA in the sun: another plastic cures it, and so does a cooler summer.
    let (_, found) = of(&job(&[("kind = \"asa\"", "kind = \"pla\"")]));
    let found = found.unwrap();
    for remedy in &found.remedies {
        let value = remedy.change.trim_start_matches("at most ").trim_end_matches(", or shade");
        let value = value.trim_matches('"');
        let change = match remedy.key.as_str() {
            "polymer.kind" => ("kind = \"asa\"", format!("kind = \"{value}\"")),
            "site.warm" => ("warm = \"32 C\"", format!("warm = \"{value}\"")),
            other => panic!("{other}"),
        };
        let mut cured = vec![(change.0, change.1.as_str())];
        if remedy.key.as_str() == "site.warm" {
            cured.push(("kind = \"asa\"", "kind = \"pla\""));
        }
        assert!(of(&job(&cured)).1.is_none(), "{remedy:?}");
    }
    assert!(found.remedies.iter().any(|r| r.key.as_str() == "polymer.kind"));
    // Light PETG, the default, bears the sun on an upright lid at 30 C (it did not at 1000 W/m2).
    let petg =
        job(&[("kind = \"asa\"", "kind = \"petg\""), ("warm = \"32 C\"", "warm = \"30 C\"")]);
    assert!(of(&petg).1.is_none(), "{:?}", of(&petg).1);
    // A lid to the north in summer is cooler than the worst.
    let mut north = job(&[]);
    (north.site.latitude, north.site.lid_facing) = (Some(Angle::degrees(52.0)), Some(Angle::ZERO));
    assert!(of(&north).0.afternoon.1.lid < light.afternoon.1.lid);
}
