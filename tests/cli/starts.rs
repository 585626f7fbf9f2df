//! What a user starts from: the file that `begin` writes, and the jobs beside the program.

use super::{Bench, ONE, ORCHARD, RIVER};

const THIMBLEFORD: &str = include_str!("../../params/thimbleford-inches.toml");
const SURVEY: &str = include_str!("../../params/thimbleford-survey.csv");

#[test]
fn nothing_to_start_from_hangs_free_in_print() {
    let bench = Bench::new(ONE);
    bench.run(&["begin", "mine.toml"]).ends(0);
    bench.write("thimbleford-survey.csv", SURVEY);
    for (name, job) in
        [("river.toml", RIVER), ("orchard.toml", ORCHARD), ("thimbleford.toml", THIMBLEFORD)]
    {
        bench.write(name, job);
    }
    let lock = "fixture.mount.lock-radius=26";
    for flags in [
        &["check", "mine.toml"][..],
        // A lock boss of which only the radius is told.
        &["check", "mine.toml", "--set", lock],
        &["check", "job.toml", "--set", lock],
        &["check", "job.toml"],
        &["check", "river.toml"],
        &["check", "orchard.toml"],
        &["check", "thimbleford.toml"],
    ] {
        let ran = bench.run(flags).ends(0);
        assert!(!ran.err.contains("overhang-hangs-free"), "{flags:?}: {}", ran.err);
        assert!(ran.err.contains("to print"), "{flags:?}: {}", ran.err);
    }
}

/// A job file of format 1 makes the same parts as its twin in the names of format 2, and one note.
#[test]
fn a_job_file_of_format_1_makes_the_same_parts() {
    let new = RIVER
        .replace("[battery]\n", "[pad]\nmax-width-ratio = 0.55\n\n[battery]\n")
        .replace("[printer]\n", "[printer]\nsolid-layers = 6\nwall-lines = 3\n");
    let mut old = new.clone();
    for (now, before) in [
        ("[[gland]]", "[[entry]]"),
        ("[[programme.part]]", "[[show.part]]"),
        ("[[glare]]", "[[outlook]]"),
        ("max-width-ratio", "reach"),
        ("solid-layers", "skins"),
        ("wall-lines", "walls"),
    ] {
        assert!(old.contains(now), "{now}");
        old = old.replace(now, before);
    }
    let bench = Bench::new(&new);
    bench.write("old.toml", old);
    let ran = bench.make("new").ends(0);
    assert!(!ran.err.contains("older-format"), "{}", ran.err);
    let ran = bench.run(&["make", "old.toml", "--out", "old"]).ends(0);
    assert_eq!(ran.err.matches("bolewright why older-format").count(), 1, "{}", ran.err);
    let parts = |folder: &str| {
        let mut files = super::files(&bench.path(folder));
        files.retain(|path, _| path.starts_with("print/") || path.starts_with("exact/"));
        files
    };
    let (new, old) = (parts("new"), parts("old"));
    assert!(new.len() > 20, "{} files", new.len());
    assert!(new == old, "parts differ");
}
