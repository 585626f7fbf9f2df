//! The reader against whole job files: good ones, and every kind of mistake.

use proptest::prelude::*;

use super::*;
use crate::finding::KeyPath;
use crate::standards::PolymerKind;
use crate::units::{Angle, Length};

const ONE_LAMP: &str = include_str!("../../params/one-lamp.toml");
const QUILLMERE: &str = include_str!("../../params/quillmere-stories.toml");

fn loaded(source: &str) -> Loaded {
    read(source).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

/// The one-lamp job with a piece exchanged.
fn changed(from: &str, to: &str) -> String {
    assert!(ONE_LAMP.contains(from), "{from}");
    ONE_LAMP.replacen(from, to, 1)
}

/// Code and marked text of every problem.
fn problems(source: &str) -> Vec<(&'static str, String)> {
    match read(source) {
        Ok(_) => Vec::new(),
        Err(list) => list.into_iter().map(|p| (p.code, source[p.place.span].to_owned())).collect(),
    }
}

fn one(code: &'static str, marked: &str) -> Vec<(&'static str, String)> {
    vec![(code, marked.to_owned())]
}

#[test]
fn the_shortest_job_reads_and_takes_its_defaults() {
    let job = loaded(ONE_LAMP).job;
    assert_eq!(job.trunks[0].girth, Length::mm(880.0));
    assert_eq!(job.strap.straps(), 2);
    assert_eq!(job.strap.width, Length::mm(25.0));
    assert_eq!(job.tilt.max, Angle::degrees(75.0));
    assert_eq!(job.feed.segments, None);
    assert_eq!(job.printer.bed, [220.0, 220.0, 250.0].map(Length::mm));
    assert!(job.battery.is_none());
}

#[test]
fn a_full_job_reads_every_kind_of_value() {
    let job = loaded(QUILLMERE).job;
    assert_eq!(job.trunks.len(), 7);
    assert_eq!(job.trunks.iter().filter(|t| t.carries_box).count(), 2);
    assert_eq!(job.trunks[4].diameters, Some([452.0, 426.0].map(Length::mm)));
    assert_eq!(job.trunks[5].lean, Angle::degrees(-4.0));
    assert_eq!(job.job.install, Some(jiff::civil::date(2027, 5, 28)));
    assert_eq!(job.feed.conductor, Some(crate::standards::ConductorSize::Mm2_1));
    assert_eq!(job.programme.parts[1].duration, crate::units::Hours::hours(1.5));
    let receiver = job.battery.map(|b| b.receiver.holes);
    let expected = HolePattern::Rectangle { width: Length::mm(54.0), height: Length::mm(42.0) };
    assert_eq!(receiver, Some(expected));
}

#[test]
fn every_mistake_of_a_file_is_reported_at_once() {
    let source = changed("girth = \"88 cm\"", "girth = \"20 cm\"")
        .replace("mass = \"480 g\"", "mass = true")
        .replace("depth = 42\n", "")
        .replace("thread = \"M5\"", "thread = \"M7\"")
        .replace("[fixture]", "[strap]\nwidht = 30\n\n[fixture]");
    assert_eq!(
        problems(&source),
        [
            ("out-of-range", "\"20 cm\"".to_owned()),
            ("unknown-key", "widht".to_owned()),
            ("missing-key", "[fixture]".to_owned()),
            ("wrong-type", "true".to_owned()),
            ("unknown-word", "\"M7\"".to_owned()),
        ]
    );
}

#[test]
fn mistakes_in_a_value_point_at_the_value() {
    let girth = "girth = \"88 cm\"";
    for (to, code, marked) in [
        ("girth = -5", "out-of-range", "-5"),
        ("girth = 0", "out-of-range", "0"),
        ("girth = nan", "not-finite", "nan"),
        ("girth = inf", "not-finite", "inf"),
        ("girth = 1e999", "not-finite", "1e999"),
        ("girth = 99999999999999999999", "not-finite", "99999999999999999999"),
        ("girth = \"88 stone\"", "bad-quantity", "\"88 stone\""),
        ("girth = [88]", "wrong-type", "[88]"),
        ("girth = \"88 cm\"\nfixtures = 1.5", "wrong-type", "1.5"),
        ("girth = \"88 cm\"\nfixtures = -1", "out-of-range", "-1"),
        ("girth = \"88 cm\"\nupper-girth = 800", "missing-key", "800"),
        ("girth = \"88 cm\"\nupper-height = 1800", "missing-key", "1800"),
        ("girth = \"88 cm\"\nupper-girth = 800\nupper-height = 900", "contradiction", "900"),
        ("girth = \"88 cm\"\nbox = true", "contradiction", "true"),
        ("girth = \"88 cm\"\ndiameters = [280]", "wrong-type", "[280]"),
        ("girth = \"88 cm\"\ndiameters = [280, 2]", "out-of-range", "2"),
        ("girth = \"88 cm\"\nstraight-edge = [150, 9]", "wrong-type", "[150, 9]"),
        ("girth = \"88 cm\"\nstraight-edge = [0, 9, 9]", "out-of-range", "[0, 9, 9]"),
        ("girth = \"88 cm\"\nstraight-edge = [150, 0, 0]", "out-of-range", "[150, 0, 0]"),
        ("girth = \"88 cm\"\nstraight-edge = [150, 80, 80]", "out-of-range", "[150, 80, 80]"),
    ] {
        assert_eq!(problems(&changed(girth, to)), one(code, marked), "{to}");
    }
}

#[test]
fn keys_that_contradict_each_other_are_reported() {
    for (extra, marked) in [
        ("[tilt]\nmin = 50\nmax = 20", "50"),
        ("[pad]\nstrain = 0.6", "0.6"),
        ("[strap]\ntension = 600", "600"),
        ("[printer]\nlayer = 0.5", "0.5"),
        ("[site]\ncold = 25\nwarm = 20", "25"),
        ("[feed]\nback = \"9 m\"", "\"9 m\""),
        ("[feed]\nsegments = []", "[]"),
        ("[feed]\nsegments = [4000, 5000]", "[4000, 5000]"),
        ("[programme]\npart = []", "[]"),
    ] {
        assert_eq!(problems(&format!("{ONE_LAMP}\n{extra}\n")), one("contradiction", marked));
    }
    for (seal, marked) in [
        ("kind = \"sponge\"\ncord = 3", "3"),
        ("kind = \"cord\"\nsponge = [6, 6]", "[6, 6]"),
        ("cord = 3\nsponge = [6, 6]", "[6, 6]"),
        ("squeeze = 0.4", "0.4"),
    ] {
        let problems = problems(&format!("{ONE_LAMP}\n[seal]\n{seal}\n"));
        assert_eq!(problems, one("contradiction", marked), "{seal}");
    }
    assert_eq!(problems(&format!("{ONE_LAMP}\n[seal]\ncord = 3\nsqueeze = 0.4\n")), []);
    let both = changed(
        "girth = \"88 cm\"",
        "girth = \"88 cm\"\ndiameters = [280, 270]\nstraight-edge = [150, 9, 9]",
    );
    assert_eq!(problems(&both), one("contradiction", "[150, 9, 9]"));
    // A loop's return comes from the plan where it is not written.
    assert_eq!(problems(&format!("{ONE_LAMP}\n[feed]\nlayout = \"loop\"\n")), []);
    assert_eq!(problems(&changed("span = 100", "span = 90")), one("contradiction", "90"));
    assert_eq!(
        problems(&changed("[job]", "[job]\ninstall = 2027-05-01\ntake-down = 2027-04-01")),
        one("contradiction", "2027-04-01")
    );
    let plate = "kind = \"base-plate\"\nthread = \"M4\"\n\
                 holes = { pattern = \"circle\", diameter = 90, count = 3 }";
    let mount = "kind = \"side-bosses\"\nspan = 100\nthread = \"M5\"";
    assert_eq!(
        problems(&changed(mount, plate)),
        one("contradiction", "{ pattern = \"circle\", diameter = 90, count = 3 }")
    );
}

#[test]
fn battery_and_controller_belong_together() {
    let without_battery = QUILLMERE.replace("[battery]", "[baattery]");
    let codes: Vec<_> = problems(&without_battery).into_iter().map(|(c, _)| c).collect();
    assert!(codes.contains(&"unknown-key"), "{codes:?}");
    let flat = QUILLMERE.replace("length = 132", "length = 0");
    assert_eq!(problems(&flat), one("out-of-range", "0"));
    let sealed = QUILLMERE.replace("[[gland]]\nsize = \"M16\"\ncount = 2\n", "");
    assert_eq!(problems(&sealed), one("missing-key", "[battery]"));
    let start = QUILLMERE.find("[battery]").unwrap();
    let end = QUILLMERE.find("[[gland]]").unwrap();
    let controller = QUILLMERE.find("[controller]").unwrap();
    let alone = format!("{}{}", &QUILLMERE[..start], &QUILLMERE[controller..]);
    let codes: Vec<_> = problems(&alone).into_iter().map(|(_, m)| m).collect();
    assert_eq!(codes, ["true", "[controller]"]);
    let none = format!("{}{}", &QUILLMERE[..start], &QUILLMERE[end..]);
    assert_eq!(problems(&none), one("contradiction", "true"));
}

#[test]
fn trunks_of_one_name_are_shown_both() {
    let source = changed("[fixture]", "[[trunk]]\nname = \"pear\"\ngirth = 700\n\n[fixture]");
    let list = read(&source).unwrap_err();
    assert_eq!(list.len(), 1);
    assert_eq!(list[0].code, "duplicate-name");
    assert_eq!(&source[list[0].place.span.clone()], "\"pear\"");
    let (key, place) = &list[0].also[0];
    assert_eq!((key.as_str(), &source[place.span.clone()]), ("trunk[0].name", "\"Pear\""));
}

#[test]
fn names_are_text_and_only_what_cannot_be_seen_is_refused() {
    for good in [
        "Lime 1/2",
        "Oak: by the gate",
        "Pack 36 V / 10 Ah",
        "..",
        "a\\\\b",
        ".hidden",
        "50 % <*>|?",
    ] {
        let job = loaded(&changed("\"Pear Tree\"", &format!("\"{good}\""))).job;
        assert_eq!(job.job.name, good.replace("\\\\", "\\"));
    }
    // The survey's name is that of a file beside the job file.
    let elsewhere = changed("[job]", "[job]\nsurvey = \"../x.csv\"");
    assert_eq!(problems(&elsewhere), one("bad-name", "\"../x.csv\""));
    for bad in ["", "  ", "a\\u0007b", "x\\u202Ey"] {
        let list = problems(&changed("\"Pear Tree\"", &format!("\"{bad}\"")));
        assert_eq!(list.len(), 1, "{bad}: {list:?}");
        assert!(matches!(list[0].0, "bad-name"), "{bad}: {list:?}");
    }
    let long = "x".repeat(81);
    assert_eq!(problems(&changed("\"Pear Tree\"", &format!("\"{long}\"")))[0].0, "bad-name");
    assert!(problems(&changed("\"Pear Tree\"", "\"Bäume am Fluß\"")).is_empty());
}

#[test]
fn a_bare_number_in_the_wrong_unit_is_recognised() {
    let remedy = |source: &str| read(source).unwrap_err()[0].remedy.clone().unwrap();
    assert!(remedy(&changed("\"88 cm\"", "1.13")).contains("\"1.13 m\""));
    assert!(remedy(&changed("\"88 cm\"", "88")).contains("\"88 in\""));
    assert_eq!(
        remedy(&changed("\"88 cm\"", "\"20 cm\"")),
        "write \"20 in\" if that was meant, else at least 250 mm"
    );
}

#[test]
fn misspelt_keys_are_recognised_and_counted_once() {
    let list = read(&changed("girth =", "gitrh =")).unwrap_err();
    assert_eq!(list.len(), 1, "{list:#?}");
    assert_eq!(list[0].remedy.as_deref(), Some("write girth if that was meant"));
    let list = read(&changed("[fixture]", "[fixtures]")).unwrap_err();
    assert_eq!(list[0].remedy.as_deref(), Some("write fixture if that was meant"));
}

#[test]
fn broken_toml_does_not_hide_other_mistakes() {
    let source =
        changed("girth = \"88 cm\"", "girth = 88 cm").replace("width = 96", "width = 9600");
    let list = problems(&source);
    assert!(list.iter().any(|(c, _)| *c == "not-toml"), "{list:?}");
    assert!(list.contains(&("out-of-range", "9600".to_owned())), "{list:?}");
    assert!(list.iter().all(|(c, _)| *c != "missing-key"), "{list:?}");
    let twice = changed("width = 96", "width = 96\nwidth = 97");
    assert_eq!(problems(&twice), one("not-toml", "width"));
}

#[test]
fn files_beyond_the_limits_are_refused() {
    let huge = format!("{ONE_LAMP}#{}", "x".repeat(reader::LARGEST_FILE));
    assert_eq!(read(&huge).unwrap_err()[0].code, "too-large");
    let mut many = ONE_LAMP.to_owned();
    for i in 0..reader::MOST_TRUNKS {
        many.push_str(&format!("[[trunk]]\nname = \"t{i}\"\ngirth = 900\n"));
    }
    assert_eq!(read(&many).unwrap_err()[0].code, "too-large");
}

#[test]
fn an_empty_file_tells_what_a_job_needs() {
    let list = read("").unwrap_err();
    let messages: Vec<_> = list.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(messages, ["fixture is not written", "job is not written", "the job has no trunk"]);
}

#[test]
fn the_source_map_leads_to_the_value_or_its_table() {
    let Loaded { source_map, .. } = loaded(QUILLMERE);
    let at = |key: &str| source_map.locate(&KeyPath::new(key)).map(|span| &QUILLMERE[span]);
    assert_eq!(at("trunk[3].upper-girth"), Some("\"1.62 m\""));
    assert_eq!(at("strap.clearance"), Some("[strap]"));
    assert_eq!(at("trunk[0].lean"), Some("[[trunk]]"));
    assert_eq!(at("battery.receiver.holes.width"), Some("54"));
    assert_eq!(at("seal.squeeze"), None);
    let end = QUILLMERE.trim_end().len();
    assert_eq!(source_map.place(&KeyPath::new("seal.squeeze")).span, end..end);
}

#[test]
fn values_of_the_command_line_replace_those_of_the_file() {
    let set = |text: &str| text.parse::<Override>().unwrap();
    let given = [
        set("strap.width=30"),
        set("trunk[0].girth = 1.19 m"),
        set("feed.segments=[4000]"),
        set("polymer.kind=asa"),
        set("printer.bed=[300, 300, \"40 cm\"]"),
    ];
    let job = read_with(ONE_LAMP, &given).unwrap().job;
    assert_eq!(job.strap.width, Length::mm(30.0));
    assert_eq!(job.trunks[0].girth, Length::mm(1190.0));
    assert_eq!(job.polymer.kind, PolymerKind::Asa);
    assert_eq!(job.printer.bed[2], Length::mm(400.0));
    for (bad, code, said) in [
        ("strap.width=3", "out-of-range", "3 mm is outside the range of 15 to 75 mm"),
        ("strap.widht=30", "unknown-key", "the table strap has no key \"widht\""),
        ("trunk[4].girth=900", "bad-override", "trunk has only 1, counted from 0"),
        (
            "trunk.girth=900",
            "bad-override",
            "there may be several of trunk: write trunk[0] for the first",
        ),
        ("job.name.x=9", "bad-override", "name is no table and has no keys"),
        ("strap={width=3}", "bad-override", "this is a table: set its keys one by one"),
        // A comparison of keys leads to the argument as well.
        ("tilt.min=80", "contradiction", "the tilt runs from 80 deg down to 75 deg"),
    ] {
        let list = read_with(ONE_LAMP, &[set(bad)]).unwrap_err();
        assert_eq!((list[0].code, list[0].message.as_str()), (code, said));
        assert_eq!(list[0].place.given, Some(format!("--set {bad}")));
    }
    assert!("strap.width".parse::<Override>().is_err());
}

#[test]
fn girths_are_replaced_by_the_name_of_the_trunk() {
    let with = |text: &str| {
        let mut draft = Draft::new(QUILLMERE, &[]);
        draft.set_girths(&[text.parse::<GirthOverride>().unwrap()]);
        draft.finish()
    };
    assert_eq!(with("old lime=1.79m").unwrap().job.trunks[3].girth, Length::mm(1790.0));
    // It is compared with the other keys of the trunk as if the file said so.
    for (bad, said) in [
        ("Old Lim=1.79m", "no trunk has this name"),
        ("Old Lime=179 stone", "\"stone\" is no unit"),
        ("Old Lime=1.79", "a girth of 1.79 mm is outside the range of 250 to 6000 mm"),
    ] {
        let list = with(bad).unwrap_err();
        assert!(list[0].message.contains(said), "{}", list[0].message);
        assert_eq!(list[0].place.given, Some(format!("--girth \"{bad}\"")));
    }
    let near = with("Old Lim=1.79m").unwrap_err();
    let remedy = "write \"Old Lime=1.79m\" if that was meant";
    assert_eq!(near[0].remedy.as_deref(), Some(remedy));
    let far = with("Xyz=1.79m").unwrap_err();
    let names = far[0].remedy.clone().unwrap();
    assert!(names.contains("\"Ferry Lime\", \"Bench Lime\""), "{names}");
    assert!(names.ends_with(" and \"Gate Lime\""), "{names}");
}

#[test]
fn every_job_file_of_the_project_reads() {
    for source in [
        include_str!("../../params/orchard-supper.toml"),
        include_str!("../../params/thimbleford-inches.toml"),
    ] {
        loaded(source);
    }
    let points = loaded(include_str!("../../params/orchard-supper.toml")).job.battery.unwrap();
    assert!(matches!(points.receiver.holes, HolePattern::Points { points } if points.len() == 3));
}

#[test]
fn defaults_lie_within_their_ranges_and_keys_follow_one_spelling() {
    fn visit(table: &spec::TableSpec, seen: &mut usize) {
        for field in table.fields {
            *seen += 1;
            let key = field.key;
            assert!(key.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{key}");
            assert!(!field.doc.trim().is_empty() && field.doc.trim().ends_with('.'), "{key}");
            if let (spec::Absent::Value(default), Some(range)) = ((field.default)(), &field.range) {
                for number in numbers(&default) {
                    assert!(range.contains(&number), "{key}: {number}");
                }
            }
            match (field.kind)() {
                spec::Kind::Table(inner) | spec::Kind::Tables(inner) => visit(inner, seen),
                spec::Kind::Tagged(tagged) => {
                    tagged.forms.iter().for_each(|form| visit(&form.table, seen));
                }
                _ => {}
            }
        }
    }
    fn numbers(value: &serde_json::Value) -> Vec<f64> {
        match value {
            serde_json::Value::Number(n) => n.as_f64().into_iter().collect(),
            serde_json::Value::String(s) => {
                s.split(' ').next().and_then(|n| n.parse().ok()).into_iter().collect()
            }
            serde_json::Value::Array(list) => list.iter().flat_map(numbers).collect(),
            _ => Vec::new(),
        }
    }
    let mut seen = 0;
    visit(<Job as value::Table>::spec(), &mut seen);
    assert!(seen > 100, "{seen}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Damaged files give problems whose spans lie within the file.
    #[test]
    fn damage_never_panics(at in 0_usize..2000, gone in 0_usize..12, put in "\\PC{0,6}") {
        let mut source: Vec<char> = QUILLMERE.chars().collect();
        let at = at.min(source.len());
        let end = (at + gone).min(source.len());
        source.splice(at..end, put.chars());
        let source: String = source.into_iter().collect();
        if let Err(list) = read(&source) {
            prop_assert!(!list.is_empty());
            for p in list {
                prop_assert!(source.get(p.place.span.clone()).is_some(), "{:?}", p);
                for (_, place) in &p.also {
                    prop_assert!(source.get(place.span.clone()).is_some());
                }
            }
        }
    }
}

#[test]
fn a_job_file_of_a_newer_format_gets_one_sentence_at_its_place() {
    let newer = QUILLMERE.replacen("[job]\n", "[job]\nformat = 3\nmoon = \"full\"\n", 1);
    let list = read(&newer).unwrap_err();
    assert_eq!(list.len(), 1, "keys of another format are not judged: {list:?}");
    assert_eq!((list[0].code, &newer[list[0].place.span.clone()]), ("newer-format", "3"));
    for own in [1, 2] {
        let own = QUILLMERE.replacen("[job]\n", &format!("[job]\nformat = {own}\n"), 1);
        assert_eq!(loaded(&own).notices, [], "there is no old key to tell of");
    }
}

/// The job of Quillmere as format 1 had it, with every key that has another name now.
fn format_1() -> String {
    QUILLMERE
        .replace("[[gland]]", "[[entry]]")
        .replace("[[programme.part]]", "[[show.part]]")
        .replace("[[glare]]", "[[outlook]]")
        .replace("[battery]\n", "[pad]\nreach = 0.55\n[battery]\n")
        .replace("[printer]\n", "[printer]\nskins = 6\nwalls = 3\n")
}

/// The same in the names of today.
fn format_2() -> String {
    QUILLMERE
        .replace("[battery]\n", "[pad]\nmax-width-ratio = 0.55\n[battery]\n")
        .replace("[printer]\n", "[printer]\nsolid-layers = 6\nwall-lines = 3\n")
}

#[test]
fn a_job_file_of_format_1_is_read_as_it_is_with_one_note() {
    let (old, new) = (format_1(), format_2());
    let read_old = loaded(&old);
    assert_eq!(read_old.job, loaded(&new).job);
    assert_eq!(loaded(&new).notices, []);
    let [note] = read_old.notices.as_slice() else { panic!("{:?}", read_old.notices) };
    assert_eq!((note.code, note.severity), ("older-format", crate::finding::Severity::Note));
    assert!(note.message.contains("6 keys"), "{}", note.message);
    let remedy = note.remedy.clone().unwrap();
    for pair in [
        "[[entry]] is now [[gland]]",
        "[[outlook]] is now [[glare]]",
        "[show] is now [programme]",
        "pad.reach is now pad.max-width-ratio",
        "printer.skins is now printer.solid-layers",
        "printer.walls is now printer.wall-lines",
    ] {
        assert!(remedy.contains(pair), "{pair}: {remedy}");
    }
    // Keys lead to the place of the old name.
    let at = |key: &str| read_old.source_map.locate(&KeyPath::new(key)).map(|span| &old[span]);
    assert_eq!(at("gland[0].size"), Some("\"M16\""));
    assert_eq!(at("pad.max-width-ratio"), Some("0.55"));
    assert_eq!(at("programme.part[1].level"), Some("0.4"));
    let explicit = old.replacen("[job]\n", "[job]\nformat = 1\n", 1);
    assert_eq!(loaded(&explicit).notices.len(), 1);
    // Mistakes in an old key are at its place, and the note tells its new name.
    let wrong = old.replace("reach = 0.55", "reach = 5.5");
    let list = read(&wrong).unwrap_err();
    assert_eq!(list.len(), 2, "{list:?}");
    let mistake = list.iter().find(|p| p.code == "out-of-range").unwrap();
    assert_eq!(&wrong[mistake.place.span.clone()], "5.5");
}

#[test]
fn old_and_new_names_may_be_mixed_but_not_for_one_key() {
    let mixed = format_1().replace("[[entry]]", "[[gland]]").replace("skins", "solid-layers");
    let mixed = loaded(&mixed);
    assert_eq!(mixed.job, loaded(&format_2()).job);
    assert!(mixed.notices[0].message.contains("4 keys"), "{:?}", mixed.notices);
    let twice = format_1().replace("reach = 0.55", "reach = 0.55\nmax-width-ratio = 0.5");
    let list = read(&twice).unwrap_err();
    let bad = list.iter().find(|p| p.code == "contradiction").unwrap();
    assert_eq!(&twice[bad.place.span.clone()], "reach");
    // A file that says to be of format 2 has the names of format 2.
    let own = format_1().replacen("[job]\n", "[job]\nformat = 2\n", 1);
    let list = read(&own).unwrap_err();
    for remedy in ["gland", "glare", "programme", "max-width-ratio", "solid-layers", "wall-lines"] {
        let remedy = format!("write {remedy} if that was meant");
        assert!(list.iter().any(|p| p.remedy.as_deref() == Some(&remedy)), "{remedy}: {list:?}");
    }
}

#[test]
fn a_broken_line_hides_no_contradiction_and_no_repeated_name() {
    let source = changed("width = 96", "width = 96 mm")
        .replace("[fixture]", "[[trunk]]\nname = \"pear\"\ngirth = 700\n\n[fixture]")
        + "\n[site]\ncold = 25\nwarm = 20\n[tilt]\nmin = 80\nmax = 9O\n";
    let codes: Vec<_> = problems(&source).into_iter().collect();
    for expected in [("duplicate-name", "\"pear\""), ("contradiction", "25")] {
        assert!(codes.iter().any(|(c, m)| (*c, m.as_str()) == expected), "{expected:?}: {codes:?}");
    }
    assert_eq!(codes.iter().filter(|(c, _)| *c == "not-toml").count(), 2, "{codes:?}");
    // `tilt.max` is lost: its default is not held against what was written.
    assert_eq!(codes.len(), 4, "{codes:?}");
}
