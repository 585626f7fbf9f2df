//! Runs that are killed or that meet: every file is whole at every moment, and the next run is clean.

use std::collections::BTreeMap;
use std::process::Stdio;
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{Bench, ONE, Ran, assert_whole, files};

/// Rounds of starting and killing.
const ROUNDS: u32 = 34;

/// Two jobs whose sets differ in most files.
fn jobs() -> [String; 2] {
    [ONE.to_owned(), ONE.replace("span = 100", "span = 104").replace("\"88 cm\"", "\"131 cm\"")]
}

type Set = BTreeMap<String, Vec<u8>>;

/// The sets of both jobs, each made undisturbed, and how long the second took.
fn undisturbed(bench: &Bench) -> ([Set; 2], Duration) {
    let [one, other] = jobs();
    bench.write("one.toml", one);
    bench.write("other.toml", other);
    bench.run(&["make", "one.toml", "--out", "calm-one"]).ends(0);
    let start = Instant::now();
    bench.run(&["make", "other.toml", "--out", "calm-other"]).ends(0);
    let took = start.elapsed();
    ([files(&bench.path("calm-one")), files(&bench.path("calm-other"))], took)
}

#[test]
fn a_run_that_is_killed_leaves_whole_files_and_the_next_is_clean() {
    let bench = Bench::new(ONE);
    let (calm, took) = undisturbed(&bench);
    assert!(calm[0]["print/cradle-a.stl"] != calm[1]["print/cradle-a.stl"]);
    bench.run(&["make", "one.toml", "--out", "out"]).ends(0);
    let mut cut_short = 0;
    for round in 0..ROUNDS {
        let name = if round % 2 == 0 { "other.toml" } else { "one.toml" };
        let mut command = bench.command(&["make", name, "--out", "out"]);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        // From the start of a run to a little past its end; writing comes in its last third.
        sleep(took.mul_f64(0.3 + 0.9 * f64::from(round) / f64::from(ROUNDS)));
        child.kill().unwrap();
        cut_short += u32::from(child.wait().unwrap().code().is_none());
        for (path, bytes) in files(&bench.path("out")) {
            if path.starts_with(".bolewright-staging") || path == "manifest.json" {
                continue;
            }
            let whole = calm.iter().any(|set| set.get(&path) == Some(&bytes));
            assert!(whole, "round {round}: {path} is neither the old file nor the new one");
        }
    }
    assert!(cut_short > ROUNDS / 4, "only {cut_short} of {ROUNDS} runs were cut short");
    bench.run(&["make", "one.toml", "--out", "out", "--sweep"]).ends(0);
    assert_whole(&bench.path("out"));
    let left = files(&bench.path("out"));
    for path in calm[0].keys().filter(|p| *p != "manifest.json") {
        assert!(left[path] == calm[0][path], "{path}");
    }
}

#[test]
fn a_run_that_is_killed_before_any_set_leaves_nothing_half_made() {
    let bench = Bench::new(ONE);
    let (calm, took) = undisturbed(&bench);
    for round in 0..ROUNDS / 2 {
        let out = format!("out-{round}");
        let mut command = bench.command(&["make", "one.toml", "--out", &out]);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        sleep(took.mul_f64(0.3 + 0.9 * f64::from(round) / f64::from(ROUNDS / 2)));
        child.kill().unwrap();
        child.wait().unwrap();
        bench.run(&["make", "one.toml", "--out", &out]).ends(0);
        assert!(files(&bench.path(&out)) == calm[0], "round {round}");
    }
}

#[test]
fn of_two_runs_into_one_folder_one_waits_or_is_told() {
    let bench = Bench::new(ONE);
    let (calm, _) = undisturbed(&bench);
    let mut told = 0;
    for round in 0..8 {
        let out = format!("out-{round}");
        let start = |name: &str| {
            let mut command = bench.command(&["make", name, "--out", &out]);
            command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
        };
        let children = [start("one.toml"), start("other.toml")];
        let mut done = 0;
        for child in children {
            let ran = Ran::of(&child.wait_with_output().unwrap());
            match ran.code {
                Some(0) => done += 1,
                _ => {
                    ran.ends(2).says("another run is writing");
                    told += 1;
                }
            }
        }
        assert!(done > 0, "round {round}: neither run wrote its set");
        assert_whole(&bench.path(&out));
        for (path, bytes) in files(&bench.path(&out)).iter().filter(|f| f.0 != "manifest.json") {
            let whole = calm.iter().any(|set| set.get(path) == Some(bytes));
            assert!(whole, "round {round}: {path} is of neither set");
        }
    }
    println!("{told} of 8 pairs met");
}
