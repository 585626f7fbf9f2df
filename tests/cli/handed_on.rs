//! What a folder of a set may not do to whoever moves or shares it: command a terminal, lead out of its
//! folder, keep a lock, or know where it once was.

use std::fs;
use std::io::{Cursor, Read};

use super::{Bench, ONE, RIVER, files};

#[test]
fn arguments_cannot_command_the_terminal() {
    let bench = Bench::new(ONE);
    let evil = "\u{1b}]0;x\u{7}\u{202e}\u{9b}31m";
    for args in [
        &["make", evil][..],
        &["why", evil],
        &["begin", &format!("{evil}/a")],
        &["make", "job.toml", "--only", evil],
        &["make", "job.toml", "--since", evil],
        &["make", "job.toml", "--set", &format!("strap.width={evil}")],
        &["make", "job.toml", "--set", &format!("{evil}=1")],
        &["make", "job.toml", "--girth", &format!("{evil}=1 m")],
        &["sums", "job.toml", "--trunk", evil],
        &["sums", "job.toml", "--only", evil],
        &["fit", "job.toml", evil],
        &["man", evil],
        &[evil],
        &[&format!("--{evil}")],
        &["make", "job.toml", "--colour", evil],
        &["completions", evil],
        &["make", "job.toml", "--out", &format!("set {evil}")],
        &["begin", &format!("{evil}.toml")],
    ] {
        let ran = bench.run(args);
        for c in ran.err.chars().chain(ran.out.chars()) {
            let is_raw = (c.is_control() && c != '\n') || ('\u{202a}'..='\u{202e}').contains(&c);
            assert!(!is_raw, "{args:?}: {c:?} in {}{}", ran.out, ran.err);
        }
    }
}

#[test]
fn a_name_of_dots_cannot_write_outside_its_folder() {
    let bench = Bench::new(ONE);
    for name in ["...toml", ".toml", "con.toml", "...", "a:b.toml"] {
        bench.write(name, ONE);
        bench.run(&["make", name]).ends(2).says("name one with --out");
        fs::remove_file(bench.path(name)).unwrap();
        assert_eq!(files(bench.dir.path()).len(), 1, "{name} wrote something");
    }
}

#[cfg(unix)]
#[test]
fn a_refused_run_leaves_no_lock_and_no_folder() {
    let bench = Bench::new(ONE);
    fs::create_dir_all(bench.path("home/print")).unwrap();
    bench.write("home/print/cradle-a.stl", "mine");
    bench.make("home").ends(2);
    let left = |folder: &str| fs::read_dir(bench.path(folder)).unwrap().count();
    assert_eq!((left("home"), left("home/print")), (1, 1));
    // Nor does a good one leave its lock in what is zipped and sent.
    bench.make("out").ends(0);
    assert!(!bench.path("out/.bolewright.lock").exists());
}

/// A set may be zipped, copied and opened elsewhere: nothing in it knows where it was made.
#[test]
fn a_set_can_be_moved_and_goes_on_from_there() {
    let (here, there) = (Bench::new(RIVER), Bench::new(RIVER));
    let absolute = here.path("deep/out").display().to_string();
    here.run(&["make", here.path("job.toml").to_str().unwrap(), "--out", &absolute]).ends(0);
    there.run(&["make", "job.toml", "--out", "elsewhere"]).ends(0);
    let set = files(&here.path("deep/out"));
    assert!(set == files(&there.path("elsewhere")), "the place shows in the files");
    let place = here.dir.path().to_str().unwrap().as_bytes();
    let tells = |bytes: &[u8]| bytes.windows(place.len()).any(|w| w == place);
    for (path, bytes) in &set {
        assert!(!tells(bytes), "{path}");
        if path.ends_with(".3mf") {
            let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
            for n in 0..zip.len() {
                let mut content = Vec::new();
                zip.by_index(n).unwrap().read_to_end(&mut content).unwrap();
                assert!(!tells(&content), "{path}");
            }
        }
    }
    fs::create_dir(there.path("received")).unwrap();
    fs::rename(here.path("deep/out"), there.path("received/set")).unwrap();
    let since = ["make", "job.toml", "--since", "received/set", "--out", "next"];
    there.run(&since).ends(0).says("0 parts to print").says("prints kept from before");
    there.make("received/set").ends(0).says("0 files written");
}
