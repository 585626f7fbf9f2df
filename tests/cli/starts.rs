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
