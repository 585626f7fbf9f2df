//! The program from outside: exit codes, streams, and what happens to the folder of a set when the
//! input, the disk or the user is against it.
//!
//! Exit codes are 0 for all written, 1 for a check that failed, 2 for a run that could not be; on 2
//! nothing is written. The hashes of every set are worked out here, and not by the program.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bad_input;
mod folder;
mod handed_on;
mod interrupted;
mod names;
mod only;
mod pages;
mod starts;
mod streams;
mod words;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use sha2::{Digest, Sha256};
use tempfile::TempDir;

/// One lamp on one trunk: the smallest job.
const ONE: &str = include_str!("../../params/one-lamp.toml");
/// Seven trunks, two boxes: the largest.
const RIVER: &str = include_str!("../../params/quillmere-stories.toml");
/// Lamps on tilt plates.
const ORCHARD: &str = include_str!("../../params/orchard-supper.toml");

/// A folder of its own for a test, with a job file in it.
struct Bench {
    dir: TempDir,
}

impl Bench {
    fn new(job: &str) -> Self {
        let bench = Self { dir: tempfile::tempdir().unwrap() };
        bench.write("job.toml", job);
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn write(&self, name: &str, content: impl AsRef<[u8]>) {
        fs::write(self.path(name), content).unwrap();
    }

    /// The program with this folder as the current one.
    fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bolewright"));
        command.args(args).current_dir(self.dir.path()).stdin(Stdio::null());
        command.env_remove("NO_COLOR").env_remove("RAYON_NUM_THREADS");
        command
    }

    fn run(&self, args: &[&str]) -> Ran {
        Ran::of(&self.command(args).output().unwrap())
    }

    /// Makes `job.toml` into a folder.
    fn make(&self, out: &str) -> Ran {
        self.run(&["make", "job.toml", "--out", out])
    }
}

/// How a run ended.
#[derive(Debug)]
struct Ran {
    /// Exit code; none when it was killed.
    code: Option<i32>,
    out: String,
    err: String,
}

impl Ran {
    fn of(output: &Output) -> Self {
        Self {
            code: output.status.code(),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }

    #[track_caller]
    fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "{}\n{}", self.out, self.err);
        assert!(!self.err.contains("panicked"), "{}", self.err);
        self
    }

    #[track_caller]
    fn says(self, text: &str) -> Self {
        // A message may be told over several lines.
        let flat = self.err.split_whitespace().collect::<Vec<_>>().join(" ");
        let is_there = self.err.contains(text) || flat.contains(text);
        assert!(is_there, "`{text}` is not in:\n{}", self.err);
        self
    }
}

/// Every file under a folder with its bytes, by relative path; the lock is none of the set.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fn walk(at: &Path, top: &Path, into: &mut BTreeMap<String, Vec<u8>>) {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() && !path.is_symlink() {
                walk(&path, top, into);
            } else if path.file_name().unwrap() != ".bolewright.lock" {
                let name = path.strip_prefix(top).unwrap().to_str().unwrap().to_owned();
                into.insert(name, fs::read(&path).unwrap_or_default());
            }
        }
    }
    let mut into = BTreeMap::new();
    if folder.exists() {
        walk(folder, folder, &mut into);
    }
    into
}

fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

fn manifest(folder: &Path) -> serde_json::Value {
    serde_json::from_slice(&fs::read(folder.join("manifest.json")).unwrap()).unwrap()
}

/// The set is whole: each listed file is there with its hash, and nothing else is.
#[track_caller]
fn assert_whole(folder: &Path) {
    let manifest = manifest(folder);
    let listed = manifest["files"].as_object().unwrap();
    let there = files(folder);
    assert!(!listed.is_empty());
    for (path, entry) in listed {
        let bytes = there.get(path).unwrap_or_else(|| panic!("{path} is missing"));
        assert_eq!(entry["sha256"], sha256(bytes), "{path}");
    }
    let extra: Vec<_> =
        there.keys().filter(|p| *p != "manifest.json" && !listed.contains_key(*p)).collect();
    assert!(extra.is_empty(), "{extra:?}");
}
