//! Every name that a user meets stands in the list of words in the developers' guide, with where it
//! comes from, and the list has no other.

use std::collections::BTreeSet;
use std::path::Path;

use clap::CommandFactory;

use super::{Bench, ORCHARD, RIVER, files};

/// The words of the rows whose kind begins so.
fn listed(kind: &str) -> BTreeSet<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let guide = std::fs::read_to_string(path).unwrap();
    let section = guide.split("\n## Words and where they come from\n").nth(1).unwrap();
    let section = section.split("\n## ").next().unwrap();
    let mut words = BTreeSet::new();
    for row in section.lines().filter(|l| l.starts_with(&format!("| {kind}"))) {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        assert_eq!(cells.len(), 5, "{row}");
        assert!(!cells[3].is_empty(), "no origin: {row}");
        for word in cells[2].split_whitespace() {
            let word = word.strip_prefix('`').and_then(|w| w.strip_suffix('`')).unwrap();
            assert!(words.insert(word.to_owned()), "{word} is listed twice under {kind}");
        }
    }
    words
}

#[test]
fn commands_and_options_are_listed_with_their_origin() {
    let mut program = bolewright::cli::Cli::command();
    program.build();
    let (mut commands, mut options) = (BTreeSet::new(), BTreeSet::new());
    for command in std::iter::once(&program).chain(program.get_subcommands()) {
        if command.get_name() != program.get_name() {
            commands.insert(command.get_name().to_owned());
        }
        let longs = command.get_arguments().filter_map(|a| a.get_long());
        options.extend(longs.map(|long| format!("--{long}")));
    }
    assert_eq!(listed("command"), commands);
    assert_eq!(listed("option"), options);
}

#[test]
fn keys_of_the_job_file_are_listed_with_their_origin() {
    fn walk(value: &serde_json::Value, keys: &mut BTreeSet<String>) {
        for (key, inner) in value["properties"].as_object().into_iter().flatten() {
            keys.insert(key.clone());
            walk(inner, keys);
        }
        walk_all(&value["items"], keys);
        for form in ["oneOf", "anyOf"] {
            value[form].as_array().into_iter().flatten().for_each(|one| walk(one, keys));
        }
    }
    fn walk_all(value: &serde_json::Value, keys: &mut BTreeSet<String>) {
        if value.is_object() {
            walk(value, keys);
        }
    }
    let mut keys = BTreeSet::new();
    walk(&bolewright::params::schema(), &mut keys);
    assert!(keys.len() > 100, "{keys:?}");
    assert_eq!(listed("key"), keys);
}

/// A file's name without its ending, the letters and numbers of sizes, and the part that a template
/// is for: `curve-cradle-a.svg` is `curve`.
fn plain(name: &str, parts: &BTreeSet<String>) -> String {
    let stem = name.split('.').next().unwrap();
    let mut words: Vec<&str> = stem.split('-').collect();
    while words.len() > 1 && words.last().is_some_and(|w| w.len() == 1 || *w == "a4") {
        words.pop();
    }
    if words.len() > 1 && words.last().is_some_and(|w| parts.contains(*w)) && words[0] != "assembly"
    {
        words.pop();
    }
    words.join("-")
}

#[test]
fn files_and_folders_of_a_set_are_listed_with_their_origin() {
    let (mut names, mut folders) = (BTreeSet::new(), BTreeSet::new());
    let parts = BTreeSet::from(["cradle".to_owned(), "rail".to_owned()]);
    for job in [RIVER, ORCHARD] {
        let bench = Bench::new(job);
        bench.make("out").ends(0);
        for path in files(&bench.path("out")).into_keys() {
            let (folder, name) = path.rsplit_once('/').unwrap_or(("", &path));
            names.insert(plain(name, &parts));
            if !folder.is_empty() {
                folders.insert(folder.to_owned());
            }
        }
    }
    // The list of the beds has the name of their folder.
    assert!(names.remove("beds"));
    assert_eq!(listed("folder"), folders);
    assert_eq!(listed("file"), names);
}
