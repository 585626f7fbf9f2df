//! The folder of a set: what is in the way, what cannot be written, a disk that is full, links.

use std::fs;
use std::path::Path;

use super::{Bench, ONE, RIVER, assert_whole, files};

#[test]
fn a_set_is_whole_and_made_again_unchanged() {
    let bench = Bench::new(RIVER);
    bench.make("out").ends(0);
    assert_whole(&bench.path("out"));
    let first = files(&bench.path("out"));
    bench.make("out").ends(0).says("0 files written");
    assert!(files(&bench.path("out")) == first);
}

#[test]
fn a_file_in_place_of_the_folder_stays() {
    let bench = Bench::new(ONE);
    bench.write("out", "mine");
    bench.make("out").ends(2).says("is not a folder");
    bench.make("out/deeper").ends(2);
    assert_eq!(fs::read(bench.path("out")).unwrap(), b"mine");
    assert_eq!(files(bench.dir.path()).len(), 2);
}

#[test]
fn files_of_others_stay() {
    let bench = Bench::new(ONE);
    fs::create_dir_all(bench.path("out/print")).unwrap();
    bench.write("out/print/cradle-a.stl", "mine");
    bench.make("out").ends(2).says("was not written by this program");
    assert_eq!(files(&bench.path("out")).len(), 1, "something was written");
    fs::remove_file(bench.path("out/print/cradle-a.stl")).unwrap();

    bench.write("out/notes.txt", "mine");
    bench.make("out").ends(0);
    bench.write("out/print/cradle-a.stl", "edited");
    bench.make("out").ends(2).says("was changed since it was written");
    assert_eq!(fs::read(bench.path("out/print/cradle-a.stl")).unwrap(), b"edited");
    assert_eq!(fs::read(bench.path("out/notes.txt")).unwrap(), b"mine");

    bench.write("out/manifest.json", "{}");
    bench.make("out").ends(2).says("not a manifest");
}

/// Next year's folder may hold this year's set of a program that is older or newer.
#[test]
fn a_set_of_another_version_stays() {
    let bench = Bench::new(ONE);
    fs::create_dir(bench.path("out")).unwrap();
    let later = r#"{ "format": 7, "contents": [] }"#;
    bench.write("out/manifest.json", later);
    bench.make("out").ends(2).says("later version").says("format 7, this one reads 1 to 2");
    let since = ["make", "job.toml", "--out", "new", "--since", "out"];
    bench.run(&since).ends(2).says("later version");
    bench.write("out/manifest.json", r#"{ "format": 0 }"#);
    bench.make("out").ends(2).says("different version");
    assert_eq!(files(bench.dir.path()).len(), 2, "something was written");
}

/// A manifest is a file that others may have written: what it lists may not lie elsewhere.
#[test]
fn a_manifest_that_points_out_of_the_folder_is_refused() {
    for path in ["../victim", "print/../../victim", "/victim", ".bolewright.lock", "manifest.json"]
    {
        let bench = Bench::new(ONE);
        fs::create_dir_all(bench.path("out/print")).unwrap();
        bench.write("victim", "mine");
        let entry = serde_json::json!({ "bytes": 4, "sha256": super::sha256(b"mine") });
        let about = serde_json::json!({ "sizes": [], "trunks": [] });
        let manifest = serde_json::json!({ "format": 1, "about": about, "files": { path: entry } });
        bench.write("out/manifest.json", manifest.to_string());
        bench.run(&["make", "job.toml", "--out", "out", "--sweep"]).ends(2).says("it lists");
        assert_eq!(fs::read(bench.path("victim")).unwrap(), b"mine");
    }
}

/// A pipe in place of the manifest, on which a reader would wait for ever.
#[cfg(unix)]
#[test]
fn a_manifest_that_is_no_file_is_refused() {
    let bench = Bench::new(ONE);
    fs::create_dir(bench.path("out")).unwrap();
    let pipe = bench.path("out/manifest.json");
    let made = std::process::Command::new("mkfifo").arg(pipe).status().unwrap();
    assert!(made.success(), "no pipe can be made here");
    bench.make("out").ends(2).says("no plain file");
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let bench = Bench::new(ONE);
    fs::create_dir_all(bench.path("out/print")).unwrap();
    fs::create_dir_all(bench.path("elsewhere")).unwrap();
    bench.write("victim", "mine");

    symlink(bench.path("victim"), bench.path("out/print/cradle-a.stl")).unwrap();
    bench.make("out").ends(2).says("is a symbolic link");
    fs::remove_dir_all(bench.path("out/print")).unwrap();

    symlink(bench.path("elsewhere"), bench.path("out/print")).unwrap();
    bench.make("out").ends(2).says("is a symbolic link");
    fs::remove_file(bench.path("out/print")).unwrap();

    for name in [".bolewright-staging", ".bolewright.lock"] {
        let _ = fs::remove_file(bench.path("out").join(name));
        symlink(bench.path("elsewhere"), bench.path("out").join(name)).unwrap();
        bench.make("out").ends(2).says("is a symbolic link");
        fs::remove_file(bench.path("out").join(name)).unwrap();
    }
    symlink("nowhere", bench.path("out/trunks.csv")).unwrap();
    bench.make("out").ends(2).says("is a symbolic link");

    assert_eq!(fs::read(bench.path("victim")).unwrap(), b"mine");
    assert!(files(&bench.path("elsewhere")).is_empty());
}

/// Everybody may enter and read; only the owner may write.
#[cfg(unix)]
fn mode(path: &Path, mode: u32) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
}

/// Root may write anywhere, so the program runs as nobody where the test runs as root.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_without_permission_is_refused() {
    use std::os::unix::fs::MetadataExt;
    use std::os::unix::process::CommandExt;
    use std::process::Command;

    /// The user and group `nobody`, by long custom of Linux systems.
    const NOBODY: u32 = 65_534;

    let bench = Bench::new(ONE);
    fs::create_dir(bench.path("out")).unwrap();
    let root = fs::metadata(bench.path("out")).unwrap().uid() == 0;
    // The build folder may be closed to others.
    let program = bench.path("bolewright");
    fs::copy(env!("CARGO_BIN_EXE_bolewright"), &program).unwrap();
    mode(bench.dir.path(), 0o755);
    mode(&program, 0o755);
    mode(&bench.path("out"), 0o555);
    let mut command = Command::new(&program);
    command.args(["make", "job.toml", "--out", "out"]).current_dir(bench.dir.path());
    if root {
        command.uid(NOBODY).gid(NOBODY);
    }
    super::Ran::of(&command.output().unwrap()).ends(2).says("ermission denied");
    mode(&bench.path("out"), 0o755);
    assert!(files(&bench.path("out")).is_empty());
}

/// A limit on the size of files stands for the full disk: writes fail half way, as they do there.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_leaves_the_earlier_set() {
    use std::process::Command;

    let bench = Bench::new(ONE);
    bench.make("out").ends(0);
    let before = files(&bench.path("out"));
    bench.write(
        "job.toml",
        ONE.replace("\"88 cm\"", "\"131 cm\"").replace("span = 100", "span = 104"),
    );
    // In blocks of 512 or 1024 bytes, as the shell has it: the larger files do not fit.
    for blocks in ["0", "1", "20", "100"] {
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        let mut command = Command::new("sh");
        command.args(["-c", &script, env!("CARGO_BIN_EXE_bolewright")]);
        command.args(["make", "job.toml", "--out", "out"]).current_dir(bench.dir.path());
        super::Ran::of(&command.output().unwrap()).ends(2).says("File too large");
        assert!(files(&bench.path("out")) == before, "{blocks} blocks: the set changed");
        assert_whole(&bench.path("out"));
    }
    bench.make("out").ends(0);
    assert!(files(&bench.path("out")) != before);
    assert_whole(&bench.path("out"));
}

/// A real full disk, where the system lets the test make one.
#[cfg(target_os = "linux")]
#[test]
fn a_small_disk_that_fills_up_leaves_the_earlier_set() {
    use std::process::Command;

    let bench = Bench::new(ONE);
    let disk = bench.path("disk");
    fs::create_dir(&disk).unwrap();
    let mount =
        Command::new("mount").args(["-t", "tmpfs", "-o", "size=48m", "tmpfs"]).arg(&disk).output();
    if !mount.is_ok_and(|m| m.status.success()) {
        // Straight to the stream: the test runner holds back what the macros print.
        let loud = b"\nNOT TESTED on a disk of its own: only root may mount one; the test with a \
                     limit on the size of files stands for it\n";
        std::io::Write::write_all(&mut std::io::stderr(), loud).unwrap();
        return;
    }
    let outcome = std::panic::catch_unwind(|| {
        bench.make("disk/out").ends(0);
        let before = files(&bench.path("disk/out"));
        let filler = bench.path("disk/filler");
        let mut size = 48 << 20;
        // Fill what is left to within a page.
        while size >= 4096 {
            let mut file = fs::File::options().create(true).append(true).open(&filler).unwrap();
            if std::io::Write::write_all(&mut file, &vec![1; size]).is_err() {
                size /= 2;
            }
        }
        let other = ONE.replace("\"88 cm\"", "\"131 cm\"").replace("span = 100", "span = 104");
        bench.write("job.toml", other);
        bench.make("disk/out").ends(2).says("No space left");
        assert!(files(&bench.path("disk/out")) == before, "the set changed");
        fs::remove_file(&filler).unwrap();
        bench.make("disk/out").ends(0);
        assert_whole(&bench.path("disk/out"));
    });
    let unmounted = Command::new("umount").arg(&disk).status();
    assert!(unmounted.is_ok_and(|s| s.success()), "the test's own disk cannot be unmounted");
    if let Err(panic) = outcome {
        std::panic::resume_unwind(panic);
    }
}

#[test]
fn sizes_that_an_earlier_set_costs_are_told() {
    let bench = Bench::new(RIVER);
    let thicker = ["--girth", "Ferry Lime=1.9 m"];
    let make = |more: &[&str]| {
        let args = [&["make", "job.toml", "--out", "out"], more, &thicker].concat();
        bench.run(&args).ends(0)
    };
    bench.make("out").ends(0);
    make(&[]).says("if nothing is printed yet, 3 sizes of cradles and rails would do instead of 4");
    // What is in hand is not given up for fewer sizes.
    let ran = make(&["--since", "out"]);
    assert!(!ran.err.contains("if nothing is printed yet"), "{ran:?}");
}

/// A tree that is not lit one year finds its cradles on the shelf in the next, and no print made
/// meanwhile bears their letters.
#[test]
fn prints_wait_on_the_shelf_for_a_year() {
    let bench = Bench::new(RIVER);
    let manifest = |folder: &str| -> serde_json::Value {
        serde_json::from_slice(&fs::read(bench.path(folder).join("manifest.json")).unwrap())
            .unwrap()
    };
    let since = |earlier: &str, folder: &str| {
        bench.run(&["make", "job.toml", "--out", folder, "--since", earlier]).ends(0)
    };
    bench.make("first").ends(0);
    // The tree of the second size and the willows beside it stay dark.
    let willows = RIVER.find("[[trunk]]\nname = \"Old Lime\"").unwrap();
    let after = willows + RIVER[willows..].find("[[trunk]]\nname = \"Gate Lime\"").unwrap();
    let fewer = RIVER[..willows].to_owned() + &RIVER[after..];
    let thicker = fewer.replace("girth = \"1.02 m\"", "girth = \"2.6 m\"");
    bench.write("job.toml", thicker);
    let ran = since("first", "second");
    ran.says("on the shelf, for another year: 3 x cradle-a, 2 x cradle-b, 2 x rail-a, 1 x box");
    let second = manifest("second");
    let prints = second["about"]["prints"].as_array().unwrap();
    let marks: Vec<_> = prints
        .iter()
        .filter(|p| p["kind"] == "cradle")
        .map(|p| (p["mark"].as_str().unwrap(), p["spare"].as_u64().unwrap()))
        .collect();
    assert_eq!(marks, [("C", 0), ("A", 3), ("B", 2)]);

    bench.write("job.toml", RIVER);
    since("second", "third");
    let third = manifest("third");
    for part in third["about"]["parts"].as_array().unwrap() {
        assert_eq!(part["prints"], 0, "{part}");
        assert_ne!(part["kind"], "test-piece", "{part}");
    }
    // Another battery wants another box.
    let other = RIVER.replace("length = 132", "length = 150");
    assert_ne!(other, RIVER);
    bench.write("job.toml", other);
    since("third", "fourth");
    let fourth = manifest("fourth");
    let prints = |name: &str| {
        let parts = fourth["about"]["parts"].as_array().unwrap();
        parts.iter().find(|p| p["name"] == name).unwrap()["prints"].clone()
    };
    assert_eq!((prints("box-body"), prints("box-lid")), (2.into(), 2.into()));
    assert_eq!((prints("cradle-a"), prints("test-seal")), (0.into(), 1.into()));
}

/// Whoever prints the folder after a thicker trunk must not print everything again.
#[test]
fn old_beds_do_not_lie_beside_new_ones() {
    let bench = Bench::new(RIVER);
    bench.make("out").ends(0);
    let beds = |folder: &str| -> Vec<String> {
        let all = files(&bench.path("out"));
        all.into_keys().filter(|p| p.starts_with(folder) && p.ends_with(".3mf")).collect()
    };
    let first = beds("beds/");
    assert!(first.len() > 1, "{first:?}");
    let thicker = ["make", "job.toml", "--out", "out", "--girth", "Ferry Lime=1.9 m", "--since"];
    let ran = bench.run(&[&thicker[..], &["out"]].concat()).ends(0);
    ran.says("print only what lies in");
    let manifest: serde_json::Value =
        serde_json::from_slice(&fs::read(bench.path("out").join("manifest.json")).unwrap())
            .unwrap();
    let listed = manifest["files"].as_object().unwrap().keys();
    let listed = listed.filter(|p| p.starts_with("beds/") && p.ends_with(".3mf")).count();
    assert!(listed < first.len(), "fewer beds are to be printed");
    assert_eq!(beds("beds/").len(), listed);
    assert_eq!(beds("earlier/beds/").len(), first.len() - listed);
    // Made once more nothing moves, and all that was moved stays known.
    bench.run(&[&thicker[..], &["out"]].concat()).ends(0);
    assert_eq!(beds("beds/").len() + beds("earlier/beds/").len(), first.len());
    bench.run(&[&thicker[..], &["out", "--sweep"]].concat()).ends(0);
    assert_eq!(beds("earlier/"), Vec::<String>::new());
}

#[test]
fn another_job_does_not_take_the_place_of_a_set() {
    let bench = Bench::new(RIVER);
    bench.make("out").ends(0);
    let before = files(&bench.path("out"));
    bench.write("job.toml", RIVER.replace("Quillmere Stories", "Ferry Night"));
    let ran = bench.run(&["make", "job.toml", "--out", "out"]).ends(2);
    ran.says("holds the set of the job \"Quillmere Stories\"");
    assert!(files(&bench.path("out")) == before);
    // The user's word: it is the same job under a new name.
    bench.run(&["make", "job.toml", "--out", "out", "--since", "out"]).ends(0);
    bench.run(&["make", "job.toml", "--out", "elsewhere"]).ends(0);
}

/// Nothing waits for a pipe that nobody writes to.
#[cfg(unix)]
#[test]
fn named_pipes_are_refused() {
    let bench = Bench::new(ONE);
    let pipe = |name: &str| {
        let made = std::process::Command::new("mkfifo").arg(bench.path(name)).status();
        assert!(made.is_ok_and(|s| s.success()), "mkfifo");
    };
    pipe("job-pipe.toml");
    bench.run(&["check", "job-pipe.toml"]).ends(2).says("no plain file");
    pipe("survey.csv");
    bench.write("job.toml", ONE.replacen("[job]\n", "[job]\nsurvey = \"survey.csv\"\n", 1));
    assert_ne!(bench.run(&["check", "job.toml"]).code, Some(0));
    bench.write("job.toml", ONE);
    fs::create_dir(bench.path("out")).unwrap();
    pipe("out/.bolewright.lock");
    bench.make("out").ends(2).says("no plain file");
    fs::remove_file(bench.path("out/.bolewright.lock")).unwrap();
    pipe("out/sheet.html");
    assert_ne!(bench.make("out").code, Some(0));
}
