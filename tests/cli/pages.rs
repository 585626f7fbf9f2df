//! Every code that the program can print has a page, and every page belongs to a code that it can
//! print: the sources are read for both.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use bolewright::assessment;
use bolewright::params::MISTAKES;

use super::Bench;

/// Every source file with its text, tests of modules cut off.
fn sources(folder: &str) -> Vec<(PathBuf, String)> {
    fn walk(at: &Path, into: &mut Vec<(PathBuf, String)>) {
        for entry in std::fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            if path.is_dir() {
                walk(&path, into);
            } else if name.ends_with(".rs") && !name.ends_with("tests.rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap().to_owned();
                into.push((path, code));
            }
        }
    }
    let mut into = Vec::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut into);
    into.sort();
    into
}

/// The literals that directly follow a text in the source, blanks aside.
fn literals_after<'a>(source: &'a str, before: &'a str) -> impl Iterator<Item = &'a str> {
    source
        .split(before)
        .skip(1)
        .filter_map(|rest| rest.trim_start().strip_prefix('"')?.split('"').next())
}

#[test]
fn every_rule_in_the_checks_has_a_page_and_is_used() {
    let listed: BTreeSet<&str> = assessment::rules().map(|r| r.code).collect();
    let all = sources("src");
    let mut declared = BTreeSet::new();
    for (path, text) in all.iter().filter(|(path, _)| path.to_str().unwrap().contains("assessment"))
    {
        for code in literals_after(text, "code:") {
            declared.insert(code);
            // The rule is in the file of its name and is used beside its declaration.
            let module = code.replace('-', "_");
            assert!(path.ends_with(format!("{module}.rs")), "{code} is in {}", path.display());
            assert!(text.matches("RULE").count() > 1, "no check makes a finding of {code}");
        }
    }
    assert!(declared.len() > 40, "{declared:?}");
    assert_eq!(declared, listed, "declared in src/assessment, and listed in the registry");
    for (path, text) in &all {
        for code in literals_after(text, "Finding::new(") {
            assert!(listed.contains(code), "{}: {code} has no page", path.display());
        }
    }
}

#[test]
fn every_key_that_a_rule_names_is_a_key_of_the_job_file() {
    let mut named = BTreeSet::new();
    let all = sources("src/assessment");
    for (path, text) in &all {
        for key in [".key(", ".remedy("].iter().flat_map(|call| literals_after(text, call)) {
            let known = bolewright::params::why(key).is_some();
            assert!(known, "{}: no job file has `{key}`", path.display());
            named.insert(key);
        }
    }
    assert!(named.len() > 50, "{named:?}");
}

#[test]
fn every_mistake_has_a_page_and_every_page_is_of_a_mistake() {
    let known: BTreeSet<&str> = MISTAKES.iter().map(|m| m.code).collect();
    let all = sources("src/params");
    for (path, text) in &all {
        for code in literals_after(text, "Problem::new(")
            .chain(literals_after(text, "Problem::in_job("))
            .chain(literals_after(text, "problem("))
        {
            assert!(known.contains(code), "{}: {code} has no page", path.display());
        }
    }
    for code in known {
        let literal = format!("\"{code}\"");
        let used =
            all.iter().any(|(path, text)| !path.ends_with("problem.rs") && text.contains(&literal));
        assert!(used, "{code} is explained, and nothing reports it");
    }
}

#[test]
fn every_name_in_the_list_is_explained() {
    let bench = Bench::new("");
    let list = bench.run(&["why"]).ends(0).out;
    let names: Vec<&str> =
        list.lines().filter_map(|l| l.strip_prefix("  ")?.split_whitespace().next()).collect();
    assert!(names.len() > 60, "{list}");
    for name in names {
        let page = bench.run(&["why", name]).ends(0).out;
        assert!(page.starts_with(name) && page.lines().count() > 3, "{name}: {page}");
    }
    bench.run(&["why", "measuring"]).ends(2).says("measuring-trunk");
    bench.run(&["why", "trunk.girht"]).ends(2).says("write trunk.girth if that was meant");
    bench.run(&["why", "unknown-kye"]).ends(2).says("write unknown-key if that was meant");
    // A key by its last step alone, or which ones there are.
    let girth = bench.run(&["why", "girth"]).ends(0).out;
    assert!(girth.starts_with("trunk.girth: "), "{girth}");
    bench.run(&["why", "width"]).ends(2).says("strap.width").says("fixture.width");
    bench.run(&["why", "limits", "--svg"]).ends(2).says("no drawing; there are measuring-trunk");
}

#[test]
fn every_command_has_help_with_an_example_and_a_manual_page() {
    let bench = Bench::new("");
    let help = bench.run(&["--help"]).ends(0).out;
    let commands = help.split("Commands:").nth(1).unwrap().split("\n\n").next().unwrap();
    let names: Vec<&str> = commands.lines().filter_map(|l| l.split_whitespace().next()).collect();
    assert!(names.len() >= 9, "{names:?}");
    for name in names.into_iter().filter(|n| *n != "help") {
        let help = bench.run(&[name, "--help"]).ends(0).out;
        assert!(help.contains("Example"), "{name}: {help}");
        assert!(help.contains(&format!("bolewright {name}")), "{name}: {help}");
        let page = bench.run(&["man", name]).ends(0).out;
        assert!(page.contains(".TH") && page.contains("bolewright"), "{name}: {page}");
    }
    bench.run(&["man", "fly"]).ends(2).says("no command");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let text = bench.run(&["completions", shell]).ends(0).out;
        assert!(text.contains("girth") && text.contains("svg"), "{shell}");
    }
}

/// The drawings in the README are those that the program prints.
#[test]
fn the_drawings_of_the_readme_are_printed_by_the_program() {
    let bench = Bench::new("");
    let pictures = Path::new(env!("CARGO_MANIFEST_DIR")).join("out/pictures");
    for name in ["measuring-trunk", "measuring-lamp", "measuring-strap"] {
        let printed = bench.run(&["why", name, "--svg"]).ends(0).out;
        let kept = std::fs::read_to_string(pictures.join(format!("{name}.svg"))).unwrap();
        assert!(printed == kept, "stale: bolewright why {name} --svg > out/pictures/{name}.svg");
        assert!(roxmltree::Document::parse(&printed).is_ok());
    }
}
