//! `make --only`: some files of a set, and the others as they were.

use std::collections::BTreeSet;
use std::fs;

use super::{Bench, ONE, ORCHARD, RIVER, Ran, assert_whole, files, manifest};

const MAKE: [&str; 4] = ["make", "job.toml", "--out", "out"];

fn only(bench: &Bench, names: &[&str]) -> Ran {
    let flags = names.iter().flat_map(|name| ["--only", name]);
    bench.run(&MAKE.into_iter().chain(flags).collect::<Vec<_>>())
}

/// The kind of a file: its folder, or its name without the ending.
fn kind(path: &str) -> &str {
    path.split(['/', '.']).next().unwrap()
}

/// Paths of a set's files without manifest and lock.
fn paths(bench: &Bench) -> BTreeSet<String> {
    let all = files(&bench.path("out")).into_keys();
    all.filter(|p| p != "manifest.json" && !p.starts_with('.')).collect()
}

#[test]
fn every_kind_of_file_can_be_asked_for_alone_and_together_they_are_the_set() {
    let bench = Bench::new(RIVER);
    bench.make("out").ends(0);
    let whole = files(&bench.path("out"));
    let kinds: BTreeSet<&str> =
        whole.keys().map(|p| kind(p)).filter(|k| !k.is_empty() && *k != "manifest").collect();
    assert_eq!(kinds.len(), 7, "{kinds:?}");
    let mut all = 0;
    for wanted in &kinds {
        fs::remove_dir_all(bench.path("out")).unwrap();
        only(&bench, &[wanted]).ends(0);
        let made = paths(&bench);
        assert!(!made.is_empty() && made.iter().all(|p| kind(p) == *wanted), "{made:?}");
        assert_whole(&bench.path("out"));
        for (path, bytes) in files(&bench.path("out")) {
            assert!(path == "manifest.json" || whole[&path] == bytes, "{path}");
        }
        all += made.len();
    }
    fs::remove_dir_all(bench.path("out")).unwrap();
    only(&bench, &Vec::from_iter(kinds)).ends(0);
    assert!(files(&bench.path("out")) == whole);
    assert_eq!(all, paths(&bench).len());
}

#[test]
fn parts_are_asked_for_by_name_and_by_kind() {
    let bench = Bench::new(ORCHARD);
    let three = |name: &str| {
        ["exact/NAME.step", "print/NAME.3mf", "print/NAME.stl"].map(|p| p.replace("NAME", name))
    };
    only(&bench, &["cradle-a"]).ends(0);
    assert_eq!(paths(&bench), BTreeSet::from(three("cradle-a")));
    only(&bench, &["tilt-plate", "rail"]).ends(0);
    let more = ["cradle-a", "tilt-plate", "rail-a"].map(three);
    assert_eq!(paths(&bench), more.into_iter().flatten().collect());
    only(&bench, &["test-piece", "beds"]).ends(0);
    assert!(paths(&bench).contains("print/test-seal.3mf") && paths(&bench).contains("beds.csv"));
    assert_whole(&bench.path("out"));
}

#[test]
fn other_names_are_refused_with_the_likeliest() {
    let bench = Bench::new(RIVER);
    for (wrong, meant) in [
        ("bed", "beds"),
        ("template", "templates"),
        ("pictrues", "pictures"),
        ("craddle", "cradle"),
        ("cradle-z", "cradle-b"),
        ("box_lid", "box-lid"),
        ("Sheet", "sheet"),
    ] {
        let ran = only(&bench, &["print", wrong]).ends(2);
        ran.says(&format!("\"{wrong}\"")).says(&format!("write {meant} if that was meant"));
    }
    only(&bench, &["zebra"])
        .ends(2)
        .says("there are cradle, cradle-a, cradle-b")
        .says("sheet, trunks");
    only(&bench, &[""]).ends(2);
    assert!(!bench.path("out").exists());
}

#[test]
fn what_is_not_asked_for_stays_in_folder_and_manifest() {
    let bench = Bench::new(ONE);
    bench.make("out").ends(0);
    let first = files(&bench.path("out"));
    only(&bench, &["cradle"]).ends(0).says("0 files written").says("left as they were");
    assert!(files(&bench.path("out")) == first, "the set changed");

    // Another girth: what was asked for is new, the rest old, and the manifest lists both.
    let flags = ["--girth", "Pear=1.1 m", "--only", "print"];
    bench.run(&[&MAKE[..], &flags].concat()).ends(0).says("left as they were");
    let second = files(&bench.path("out"));
    assert_whole(&bench.path("out"));
    for (path, bytes) in &first {
        let new = kind(path) == "print" || path == "manifest.json";
        let same = second.get(path) == Some(bytes);
        assert!(same || (new && second.contains_key(path)), "{path}");
        assert!(
            new || manifest(&bench.path("out"))["files"][path].is_object() || path.starts_with('.')
        );
    }

    // A whole set sets all right again.
    bench.make("out").ends(0);
    assert_whole(&bench.path("out"));
}

#[test]
fn files_of_the_user_stay() {
    let bench = Bench::new(ONE);
    bench.make("out").ends(0);
    bench.write("out/notes.txt", "mine");
    bench.write("out/sheet.html", "edited");
    only(&bench, &["print"]).ends(0);
    assert_eq!(fs::read(bench.path("out/sheet.html")).unwrap(), b"edited");
    assert_eq!(fs::read(bench.path("out/notes.txt")).unwrap(), b"mine");
    // The sheet is still known for one of the set that was changed, and not overwritten.
    only(&bench, &["sheet"]).ends(2).says("was changed since it was written");
    bench.make("out").ends(2).says("was changed since it was written");
    assert_eq!(fs::read(bench.path("out/sheet.html")).unwrap(), b"edited");
    // Nothing may be swept on the ground that it was not asked for.
    let flags = ["--only", "print", "--sweep"];
    bench.run(&[&MAKE[..], &flags].concat()).ends(2).says("--sweep");
    assert!(bench.path("out/trunks.csv").exists());
}

#[test]
fn a_part_that_a_finding_bars_is_known_and_not_written() {
    let bench = Bench::new(&format!("{ONE}\n[printer]\nbed = [120, 120, 120]\n"));
    only(&bench, &["cradle"]).ends(1);
    assert!(paths(&bench).is_empty(), "{:?}", paths(&bench));
}
