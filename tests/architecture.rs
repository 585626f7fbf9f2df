//! The rooms of the house look down only: every `crate::room` in the sources of a room names a room below
//! it. [`ROOMS`] is the one place where their order is written.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Every room of `src`, from the ground up. A room may use those before it, and itself.
const ROOMS: [&str; 19] = [
    "units",
    "bisection",
    "space",
    "finding",
    "standards",
    "mesh",
    "solid",
    "engineering",
    "params",
    "design",
    "build",
    "remembered",
    "assessment",
    "pipeline",
    "remedies",
    "formats",
    "documents",
    "cli",
    "main",
];

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every source file below a folder, in the order of its names.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|end| end == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

/// The room in which a file stands.
fn room(file: &Path) -> String {
    let inside = file.strip_prefix(src()).unwrap();
    let first = inside.components().next().unwrap().as_os_str().to_str().unwrap();
    first.trim_end_matches(".rs").to_owned()
}

/// The rooms that a source names: `crate::room` in code, tests of modules and comments aside, and every
/// room of `crate::{...}`.
fn named(text: &str) -> BTreeSet<String> {
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let code = code.collect::<Vec<_>>().join("\n");
    let code = code.split("#[cfg(test)]\nmod tests {").next().unwrap();
    let word = |rest: &str| -> String {
        rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect()
    };
    let mut found = BTreeSet::new();
    for start in ["crate::", "bolewright::"] {
        for rest in code.split(start).skip(1) {
            match rest.strip_prefix('{') {
                None => {
                    found.insert(word(rest));
                }
                Some(list) => {
                    let mut depth = 0;
                    let mut item = true;
                    for (at, letter) in list.char_indices() {
                        match letter {
                            '{' => depth += 1,
                            '}' if depth == 0 => break,
                            '}' => depth -= 1,
                            ',' if depth == 0 => item = true,
                            _ if item && !letter.is_whitespace() => {
                                found.insert(word(&list[at..]));
                                item = false;
                            }
                            _ => {}
                        }
                    }
                }
            }
        }
    }
    // What the root itself holds, and macro arguments.
    found.retain(|name| !name.is_empty());
    found
}

/// Whether a file holds tests only: they may look anywhere.
fn is_test(file: &Path) -> bool {
    let inside = file.strip_prefix(src()).unwrap();
    let test = |name: &str| name == "tests" || name == "samples" || name.ends_with("_tests");
    inside.components().any(|part| test(part.as_os_str().to_str().unwrap().trim_end_matches(".rs")))
}

#[test]
fn rooms_look_down_only() {
    let floor = |name: &str| ROOMS.iter().position(|room| *room == name);
    let mut arrows = BTreeSet::new();
    let mut wrong = Vec::new();
    for file in sources(&src()).iter().filter(|file| !is_test(file) && !file.ends_with("lib.rs")) {
        let own = room(file);
        let Some(here) = floor(&own) else {
            wrong.push(format!("{}: the room `{own}` has no place in ROOMS", file.display()));
            continue;
        };
        for name in named(&std::fs::read_to_string(file).unwrap()) {
            match floor(&name) {
                Some(there) if there > here => {
                    wrong.push(format!("{}: {own} looks up to {name}", file.display()));
                }
                Some(there) if there < here => {
                    arrows.insert((own.clone(), name));
                }
                Some(_) => {}
                None => wrong.push(format!("{}: `{name}` is no room", file.display())),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(arrows.len() > 40, "too few arrows were read: {arrows:?}");
    println!("{} rooms, {} arrows, none up", ROOMS.len(), arrows.len());
}

#[test]
fn every_room_stands_in_the_order() {
    let rooms: BTreeSet<String> = sources(&src()).iter().map(|file| room(file)).collect();
    let listed: BTreeSet<String> = ROOMS.iter().map(ToString::to_string).collect();
    let without_root: BTreeSet<String> = rooms.into_iter().filter(|room| room != "lib").collect();
    assert_eq!(without_root, listed);
}

#[test]
fn imports_of_every_form_are_read() {
    let text = "use crate::units::{Length, Area};\nuse crate::{design::{self, Plan}, build, solid};\n\
                // crate::cli\nfn f() -> crate::mesh::TriMesh {}\n#[cfg(test)]\nmod tests {\nuse crate::cli;\n}\n";
    let found: Vec<String> = named(text).into_iter().collect();
    assert_eq!(found, ["build", "design", "mesh", "solid", "units"]);
}
