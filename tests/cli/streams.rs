//! Data on standard output, messages on standard error, colour, closed pipes, and the same bytes
//! for the same input.

use std::collections::BTreeSet;
use std::fs::File;
use std::process::Stdio;

use super::{Bench, ONE, RIVER, Ran, files, manifest};

#[test]
fn data_and_messages_go_to_their_own_streams() {
    let bench = Bench::new(ONE);
    let ran = bench.run(&["check", "job.toml"]).ends(0);
    assert!(ran.out.is_empty(), "{}", ran.out);
    let ran = bench.run(&["check", "job.toml", "--json"]).ends(0);
    let about: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert!(about["findings"].is_array() && !about["margins"].as_array().unwrap().is_empty());
    assert_eq!(files(bench.dir.path()).len(), 1, "check wrote something");

    let ran = bench.make("out").ends(0).says("written");
    assert!(ran.out.is_empty(), "{}", ran.out);
    let ran = bench.run(&["make", "job.toml", "--out", "out", "--json"]).ends(0);
    let summary: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(summary["written"], serde_json::json!([]), "nothing changed");

    for args in [&["--help"][..], &["--version"], &["why"], &["man"], &["completions", "bash"]] {
        let ran = bench.run(args).ends(0);
        assert!(!ran.out.is_empty() && ran.err.is_empty(), "{args:?}: {ran:?}");
    }
    for args in [&["sums", "job.toml", "--json"][..], &["fit", "job.toml", "1.1 m", "--json"]] {
        let ran = bench.run(args).ends(0);
        assert!(serde_json::from_str::<serde_json::Value>(&ran.out).is_ok(), "{}", ran.out);
    }
    let schema = bench.run(&["schema"]).ends(0).out;
    assert!(serde_json::from_str::<serde_json::Value>(&schema).unwrap()["properties"].is_object());
}

#[test]
fn colour_is_for_terminals_or_on_demand() {
    let bench = Bench::new(&ONE.replace("\"88 cm\"", "1"));
    assert!(!bench.run(&["check", "job.toml"]).ends(2).err.contains('\u{1b}'));
    let always = bench.run(&["--colour", "always", "check", "job.toml"]).ends(2);
    assert!(always.err.contains('\u{1b}'));
    let mut quiet = bench.command(&["check", "job.toml"]);
    let quiet = Ran::of(&quiet.env("NO_COLOR", "1").output().unwrap()).ends(2);
    assert!(!quiet.err.contains('\u{1b}'));
}

#[test]
fn a_closed_pipe_is_no_failure() {
    let bench = Bench::new(RIVER);
    for args in [&["completions", "zsh"][..], &["why"], &["check", "job.toml", "--json"]] {
        let mut command = bench.command(args);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let ran = Ran::of(&child.wait_with_output().unwrap()).ends(0);
        assert!(!ran.err.contains("pipe"), "{}", ran.err);
    }
    // Nobody reads the messages either.
    let mut child = bench
        .command(&["make", "job.toml", "--out", "out"])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_a_failure() {
    let bench = Bench::new(ONE);
    let full = File::options().write(true).open("/dev/full").unwrap();
    let mut command = bench.command(&["check", "job.toml", "--json"]);
    Ran::of(&command.stdout(full).output().unwrap()).ends(2).says("standard output");
}

#[test]
fn same_input_same_bytes() {
    let bench = Bench::new(RIVER);
    bench.make("out").ends(0);
    let first = files(&bench.path("out"));
    for (name, variables) in [
        ("again", &[("RAYON_NUM_THREADS", "1")][..]),
        ("more", &[("RAYON_NUM_THREADS", "3")]),
        ("abroad", &[("LANG", "de_DE.UTF-8"), ("LC_ALL", "de_DE.UTF-8"), ("TZ", "Asia/Tokyo")]),
    ] {
        let mut command = bench.command(&["make", "job.toml", "--out", name]);
        Ran::of(&command.envs(variables.iter().copied()).output().unwrap()).ends(0);
        let other = files(&bench.path(name));
        assert!(first.keys().eq(other.keys()), "{name}");
        for (path, bytes) in &first {
            assert!(other[path] == *bytes, "{name}: {path} differs");
        }
    }
}

#[test]
fn another_girth_changes_what_depends_on_it_and_nothing_else() {
    let bench = Bench::new(RIVER);
    bench.make("before").ends(0);
    let change = "Old Lime=1.8 m";
    // Made again in its folder, a set keeps the proportions that it has.
    bench.make("after").ends(0);
    bench.run(&["make", "job.toml", "--out", "after", "--girth", change]).ends(0);
    let parts = |folder: &str| -> Vec<(String, BTreeSet<String>)> {
        let manifest = manifest(&bench.path(folder));
        let parts = manifest["about"]["parts"].as_array().unwrap().clone();
        let trunks = |p: &serde_json::Value| {
            p["trunks"].as_array().unwrap().iter().map(|t| t.as_str().unwrap().to_owned()).collect()
        };
        parts.iter().map(|p| (p["name"].as_str().unwrap().to_owned(), trunks(p))).collect()
    };
    let (before, after) = (files(&bench.path("before")), files(&bench.path("after")));
    let mut same = 0;
    for (name, trunks) in parts("before") {
        // The box is not made for a trunk, and its file lists where it hangs.
        let fits =
            name.starts_with("cradle") || name.starts_with("rail") || name.starts_with("test");
        if fits && (trunks.contains("Old Lime") || trunks.is_empty()) {
            continue;
        }
        for path in [format!("print/{name}.stl"), format!("exact/{name}.step")] {
            assert!(before[&path] == after[&path], "{path} changed");
            same += 1;
        }
    }
    assert!(same > 0, "nothing was left to compare");
    assert!(before["trunks.csv"] != after["trunks.csv"]);
    assert!(before["manifest.json"] != after["manifest.json"]);
}

#[test]
fn fit_without_a_girth_tells_the_sizes_and_what_other_foams_would_need() {
    let bench = Bench::new(RIVER);
    let text = bench.run(&["fit", "job.toml"]).ends(0).out;
    assert!(text.contains("cradle-a") && text.contains("(this job)"), "{text}");
    let json = bench.run(&["fit", "job.toml", "--json"]).ends(0).out;
    let told: serde_json::Value = serde_json::from_str(&json).unwrap();
    let sizes = told["sizes"].as_array().unwrap();
    let cradles = sizes.iter().filter(|s| s["part"].as_str().unwrap().starts_with("cradle"));
    let own = told["foams"].as_array().unwrap().iter().find(|f| f["chosen"] == true).unwrap();
    assert_eq!(own["cradles"].as_u64().unwrap(), cradles.count() as u64);
}

/// Every sum that has a limit stands in the manifest with its margin, a number, in the order of `sums`.
#[test]
fn the_manifest_has_the_margin_of_every_sum_with_a_limit() {
    let bench = Bench::new(RIVER);
    bench.make("out").ends(0);
    let about = &manifest(&bench.path("out"))["about"];
    let sums: serde_json::Value =
        serde_json::from_str(&bench.run(&["sums", "job.toml", "--json"]).ends(0).out).unwrap();
    let none = serde_json::json!([]);
    let mut expected = Vec::new();
    let mut take = |trunks: &serde_json::Value, sections: &serde_json::Value| {
        for section in sections.as_array().unwrap() {
            for line in section["lines"].as_array().unwrap() {
                if !line["holds"].is_null() {
                    let told = [
                        trunks,
                        &section["title"],
                        &line["title"],
                        &line["margin"],
                        &line["holds"],
                    ];
                    expected.push(told.map(Clone::clone));
                }
            }
        }
    };
    take(&none, &sums["account"]["job"]);
    for group in sums["account"]["trunks"].as_array().unwrap() {
        take(&group["trunks"], &group["sections"]);
    }
    let found: Vec<_> = about["margins"]
        .as_array()
        .unwrap()
        .iter()
        .map(|m| ["trunks", "section", "sum", "margin", "holds"].map(|key| m[key].clone()))
        .collect();
    assert!(found.len() > 50, "{}", found.len());
    assert_eq!(found, expected);
}
