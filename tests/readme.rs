//! The README shows real output: every console block is run again and compared.
//!
//! A block holds commands after `$ `, each followed by what it prints (messages, then data). A line
//! `...` stands for any lines. Blocks run in order in one folder that has a copy of `params/`.

use std::path::Path;
use std::process::Command;

/// One command of a block, and the lines that it should print.
struct Step {
    command: String,
    expected: Vec<String>,
}

fn steps(readme: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut inside = false;
    for line in readme.lines() {
        if line.starts_with("```") {
            inside = line == "```console";
        } else if let (true, Some(command)) = (inside, line.strip_prefix("$ ")) {
            steps.push(Step { command: command.to_owned(), expected: Vec::new() });
        } else if let (true, Some(step)) = (inside, steps.last_mut()) {
            step.expected.push(line.trim_end().to_owned());
        }
    }
    steps
}

/// Words of a command line; double quotes keep spaces.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for c in command.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(std::mem::take(&mut word)),
            _ => word.push(c),
        }
    }
    words.push(word);
    words.retain(|w| !w.is_empty());
    words
}

/// Whether lines match, `...` standing for any number of them.
fn matches(expected: &[String], found: &[String]) -> bool {
    match expected.split_first() {
        None => found.is_empty(),
        Some((first, rest)) if first == "..." => {
            (0..=found.len()).any(|skip| matches(rest, &found[skip..]))
        }
        Some((first, rest)) => {
            found.split_first().is_some_and(|(line, more)| line == first && matches(rest, more))
        }
    }
}

#[test]
fn console_blocks_show_what_the_program_prints() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = std::fs::read_to_string(root.join("README.md")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("params")).unwrap();
    for entry in std::fs::read_dir(root.join("params")).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, folder.path().join("params").join(path.file_name().unwrap())).unwrap();
    }
    let steps = steps(&readme);
    assert!(steps.len() >= 5, "the README shows only {} commands", steps.len());
    for step in steps {
        let words = words(&step.command);
        assert_eq!(words[0], "bolewright", "{}", step.command);
        let output = Command::new(env!("CARGO_BIN_EXE_bolewright"))
            .args(&words[1..])
            .current_dir(folder.path())
            .env("NO_COLOR", "1")
            .output()
            .unwrap();
        let text = [output.stderr, output.stdout].concat();
        let text = String::from_utf8(text).unwrap();
        let found: Vec<String> = text.lines().map(|l| l.trim_end().to_owned()).collect();
        assert!(
            matches(&step.expected, &found),
            "$ {}\nshown in the README:\n{}\nprinted now:\n{}",
            step.command,
            step.expected.join("\n"),
            found.join("\n")
        );
    }
}

#[test]
fn the_pictures_of_the_readme_are_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = std::fs::read_to_string(root.join("README.md")).unwrap();
    let pictures: Vec<&str> = readme
        .split("](")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .filter(|link| link.ends_with(".png"))
        .collect();
    assert!(pictures.len() >= 4, "{pictures:?}");
    for picture in pictures {
        let bytes = std::fs::read(root.join(picture)).unwrap_or_else(|e| panic!("{picture}: {e}"));
        assert!(bytes.starts_with(b"\x89PNG"), "{picture}");
    }
}

#[test]
fn the_shortest_job_is_the_file_in_params() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = std::fs::read_to_string(root.join("README.md")).unwrap();
    let shown = readme.split("```toml\n").nth(1).and_then(|b| b.split("```").next()).unwrap();
    let file = std::fs::read_to_string(root.join("params/one-lamp.toml")).unwrap();
    assert!(file.trim_end().ends_with(shown.trim_end()), "the README shows:\n{shown}");
}
