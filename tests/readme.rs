//! The README shows real output: every console block is run again and compared.
//!
//! A block holds commands after `$ `, each followed by what it prints (messages, then data). A line
//! `...` stands for any lines. Blocks run in order in one folder that has a copy of `params/`.
//! `UPDATE_README=1 cargo test --release --test readme` writes what is printed now into the blocks and
//! then compares; a `...` stays, with as many lines shown before and after it as there were.

use std::ops::Range;
use std::path::Path;
use std::process::Command;

/// What stands for any lines.
const ELISION: &str = "...";

/// One command of a block, and the lines that it should print.
struct Step {
    command: String,
    expected: Vec<String>,
    /// Where those lines are among the lines of the README.
    lines: Range<usize>,
}

fn steps(readme: &str) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let mut inside = false;
    for (number, line) in readme.lines().enumerate() {
        if line.starts_with("```") {
            inside = line == "```console";
        } else if let (true, Some(command)) = (inside, line.strip_prefix("$ ")) {
            let lines = number + 1..number + 1;
            steps.push(Step { command: command.to_owned(), expected: Vec::new(), lines });
        } else if let (true, Some(step)) = (inside, steps.last_mut()) {
            step.expected.push(line.trim_end().to_owned());
            step.lines.end = number + 1;
        }
    }
    steps
}

/// What to show of the lines found, as much of it as was shown before.
///
/// # Errors
/// Where more than one piece was left out: which to show now is for a person to say.
fn shown(expected: &[String], found: &[String]) -> Result<Vec<String>, String> {
    let pieces: Vec<&[String]> = expected.split(|line| line == ELISION).collect();
    match pieces[..] {
        [head, tail] if head.len() + tail.len() < found.len() => {
            let elision = [ELISION.to_owned()];
            let (first, last) = (&found[..head.len()], &found[found.len() - tail.len()..]);
            Ok([first, &elision, last].concat())
        }
        [_] | [_, _] => Ok(found.to_vec()),
        _ => {
            Err(format!("several pieces are left out, write it by hand:\n{}", expected.join("\n")))
        }
    }
}

/// The README with what each step prints now.
fn updated(readme: &str, steps: &[Step], found: &[Vec<String>]) -> Result<String, String> {
    let mut lines: Vec<String> = readme.lines().map(ToOwned::to_owned).collect();
    for (step, found) in steps.iter().zip(found).rev() {
        if !matches(&step.expected, found) {
            lines.splice(step.lines.clone(), shown(&step.expected, found)?);
        }
    }
    Ok(lines.join("\n") + "\n")
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
        Some((first, rest)) if first == ELISION => {
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
    let shown = steps(&readme);
    assert!(shown.len() >= 5, "the README shows only {} commands", shown.len());
    let found = printed(root, &shown).unwrap();
    let readme = if std::env::var_os("UPDATE_README").is_some() {
        let readme = updated(&readme, &shown, &found).unwrap();
        std::fs::write(root.join("README.md"), &readme).unwrap();
        readme
    } else {
        readme
    };
    for (step, found) in steps(&readme).iter().zip(&found) {
        assert!(
            matches(&step.expected, found),
            "$ {}\nshown in the README:\n{}\nprinted now (UPDATE_README=1 writes it there):\n{}",
            step.command,
            step.expected.join("\n"),
            found.join("\n")
        );
    }
}

/// The lines that each step prints, run in order in one new folder.
fn printed(root: &Path, steps: &[Step]) -> std::io::Result<Vec<Vec<String>>> {
    let folder = tempfile::tempdir()?;
    std::fs::create_dir(folder.path().join("params"))?;
    for entry in std::fs::read_dir(root.join("params"))? {
        let entry = entry?;
        std::fs::copy(entry.path(), folder.path().join("params").join(entry.file_name()))?;
    }
    let run = |step: &Step| {
        let words = words(&step.command);
        assert_eq!(words[0], "bolewright", "{}", step.command);
        let output = Command::new(env!("CARGO_BIN_EXE_bolewright"))
            .args(&words[1..])
            .current_dir(folder.path())
            .env("NO_COLOR", "1")
            .output()?;
        let text = String::from_utf8([output.stderr, output.stdout].concat());
        let text = text.map_err(std::io::Error::other)?;
        Ok(text.lines().map(|l| l.trim_end().to_owned()).collect())
    };
    steps.iter().map(run).collect()
}

#[test]
fn an_update_keeps_what_is_left_out() {
    let readme = "a\n```console\n$ bolewright x\nold\n...\nend\n$ bolewright y\n```\nb\n";
    let found = ["new", "1", "2", "last"].map(ToOwned::to_owned).to_vec();
    let after = updated(readme, &steps(readme), &[found, vec!["more".to_owned()]]).unwrap();
    let want = "a\n```console\n$ bolewright x\nnew\n...\nlast\n$ bolewright y\nmore\n```\nb\n";
    assert_eq!(after, want);
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
