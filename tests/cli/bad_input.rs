//! Job files and arguments that cannot be worked with: refused with a reason, nothing written.

use super::{Bench, ONE, ORCHARD, RIVER, files};

/// Runs `make` on a text, and holds that nothing but the job file is there afterwards.
#[track_caller]
fn refused(job: impl AsRef<[u8]>, says: &str) {
    let bench = Bench::new("");
    bench.write("job.toml", job);
    let ran = bench.make("out").ends(2).says(says);
    assert!(ran.out.is_empty(), "{}", ran.out);
    assert_eq!(files(bench.dir.path()).len(), 1, "something was written");
}

/// The job with one text in place of another, which must be there.
#[track_caller]
fn with(job: &str, from: &str, to: &str) -> String {
    assert!(job.contains(from), "{from}");
    job.replacen(from, to, 1)
}

#[test]
fn what_is_no_job_is_refused() {
    refused("this is = = not toml", "job.toml, line 1");
    refused("", "The job has no trunk");
    refused(b"\xff\xfe\x00", "not UTF-8");
    refused(vec![b'#'; 20_000_000], "larger than");
    // Deep nesting must not overflow the stack.
    refused(format!("x = {}{}", "[".repeat(50_000), "]".repeat(50_000)), "Mistake");
    let dotted = vec!["a"; 50_000].join(".");
    refused(format!("{dotted} = 1"), "Mistake");
}

/// A job with more in it than any has is told so at once.
#[test]
fn what_is_too_large_is_refused_quickly() {
    let start = std::time::Instant::now();
    refused(format!("{ONE}{}", "# ten megabytes\n".repeat(625_000)), "larger than 2000000 bytes");
    let trunks = "{ girth = 9 },".repeat(100_000);
    refused(
        format!("trunk = [{trunks}]\n{}", with(ONE, "[[trunk]]", "[x]")),
        "100000 trunks, more than 5000",
    );
    refused(
        format!("{ONE}{}", "[[glare]]\nname = \"w\"\n".repeat(50_000)),
        "50000 elements, more than 200",
    );
    for (survey, says) in [
        (format!("name,girth\n{}", "t,900\n".repeat(100_000)), "100000 trunks, more than 5000"),
        (
            format!("name,girth\n{}", "# ten megabytes\n".repeat(625_000)),
            "larger than 2000000 bytes",
        ),
        (format!("name,girth,{}\n", "x,".repeat(100_000)), "columns, more than 100"),
    ] {
        let bench = Bench::new(&with(ONE, "[job]", "[job]\nsurvey = \"survey.csv\""));
        bench.write("survey.csv", survey);
        bench.make("out").ends(2).says(says);
        assert_eq!(files(bench.dir.path()).len(), 2, "something was written");
    }
    // A key of any depth, which would use up the stack.
    let key = format!("{}=1", vec!["a"; 60_000].join("."));
    Bench::new(ONE).run(&["check", "job.toml", "--set", &key]).ends(2).says("60000 steps");
    // Six runs of a second at most, and a machine that may have others to serve.
    assert!(start.elapsed().as_secs() < 15, "it took {:?}", start.elapsed());
}

#[test]
fn wrong_types_missing_and_unknown_keys_are_refused() {
    refused(with(ONE, "\"88 cm\"", "true"), "job.toml, line 10, trunk 1, girth");
    refused(with(ONE, "\"Pear Tree\"", "5"), "Write \"5\"");
    refused(with(ONE, "girth = \"88 cm\"", ""), "girth");
    refused(with(ONE, "width = 96", "width = [96]"), "fixture.width");
    refused(with(ONE, "width = 96", "width = 96\nwidth = 97"), "written twice");
    refused(with(ONE, "width = 96", "widht = 96"), "Write width if that was meant");
    refused(with(ONE, "\"side-bosses\"", "\"side bosses\""), "side-bosses");
}

#[test]
fn impossible_lengths_are_refused() {
    for length in ["-880", "0", "nan", "-nan", "inf", "-inf", "1e300", "\"-88 cm\"", "\"0 m\""] {
        refused(with(ONE, "\"88 cm\"", length), "line 10, trunk 1, girth");
    }
    for length in ["\"nan mm\"", "\"88 bananas\"", "\"\"", "\"88 cm cm\"", "\"1/0 in\""] {
        refused(with(ONE, "\"88 cm\"", length), "job.toml, line 10");
    }
    // Thinner than any trunk that a cradle serves.
    refused(with(ONE, "\"88 cm\"", "100"), "outside the range of 250 to 6000 mm");
    for value in ["battery.length=0", "battery.length=-128", "battery.mass=inf"] {
        let bench = Bench::new(RIVER);
        let ran = bench.run(&["make", "job.toml", "--out", "out", "--set", value]);
        ran.ends(2).says(&format!("--set {value}"));
        assert_eq!(files(bench.dir.path()).len(), 1, "something was written");
    }
    refused(format!("{ONE}\n[strap]\nwidth = 500\n"), "strap.width");
    refused(format!("{ONE}\n[strap]\nwidth = 0\n"), "strap.width");
    refused(format!("{ONE}\n[printer]\nbed = [60, 60, 60]\n"), "printer.bed");
    refused(format!("{ONE}\n[printer]\nbed = [220, 220]\n"), "printer.bed");
}

#[test]
fn contradictions_are_refused() {
    refused(format!("{ONE}\n[tilt]\nmin = 60\nmax = 10\n"), "tilt");
    refused(with(ORCHARD, "width = 60, height = 50", "width = 160, height = 50"), "fixture");
    refused(format!("{ONE}\n[[trunk]]\nname = \"PEAR\"\ngirth = 700\n"), "duplicate-name");
}

#[test]
fn all_mistakes_are_shown_at_once() {
    let job = with(&with(ONE, "\"88 cm\"", "-1"), "width = 96", "width = -96");
    let bench = Bench::new(&job);
    bench
        .make("out")
        .ends(2)
        .says("Mistake 1 of 2: job.toml, line 10, trunk 1, girth")
        .says("Mistake 2 of 2: job.toml, line 14, fixture.width")
        .says("2 mistakes");
}

/// TOML, keys, header, cells and names of two files, and an argument: one round for all.
#[test]
fn mistakes_of_every_kind_come_in_one_round() {
    let job = with(ONE, "[job]", "[job]\nsurvey = \"trees.csv\"\nyears = 2 seasons");
    let bench = Bench::new(&with(&job, "mass = \"480 g\"", "mass = 480"));
    bench.write("trees.csv", "name,girth cm,hight\nElm,abc,1\npear,9,1\nOak,101,1\n");
    bench
        .run(&["make", "job.toml", "--out", "out", "--set", "strap.width=3", "--girth", "Oak=1 km"])
        .ends(2)
        .says("job.toml, line 7")
        .says("Write years = 2")
        .says("fixture.mass")
        .says("trees.csv, row 1")
        .says("trees.csv, row 2, girth")
        .says("trees.csv, row 3, girth")
        .says("Another trunk, in the job file, is called \"pear\" too")
        .says("--set strap.width=3")
        .says("--girth \"Oak=1 km\"")
        .says("8 mistakes in the input, nothing was written");
    assert_eq!(files(bench.dir.path()).len(), 2, "something was written");
}

/// What is told of the survey counts in the tally, and one cause is told once.
#[test]
fn warnings_of_the_survey_are_counted_and_told_once() {
    let bench = Bench::new(&with(ONE, "[job]", "[job]\nsurvey = \"trees.csv\""));
    let rows: String =
        (0..60).map(|i| format!("t{i},{}\n", if i < 20 { "44.5" } else { "113" })).collect();
    bench.write("trees.csv", format!("name,girth cm\n{rows}"));
    let ran = bench.run(&["check", "job.toml"]);
    assert_eq!(ran.err.matches("why   bolewright why odd-girth").count(), 1, "{}", ran.err);
    let told = ran.err.matches("\nWarning").count() + usize::from(ran.err.starts_with("Warning"));
    let tally = ran.err.lines().find(|l| l.contains(" warning")).unwrap();
    assert!(tally.contains(&format!("{told} warning")), "{told} are told: {tally}");
}

/// Every message of our own keeps to 80 columns and to plain letters.
#[test]
fn messages_fit_a_narrow_terminal() {
    let job = with(&with(ONE, "\"88 cm\"", "1010"), "mass = \"480 g\"", "mass = 480 g");
    let bench = Bench::new(&(job + "\n[strap]\ntension = 5000\n[lamp]\n[pad]\nreach = 3\n"));
    let ran = bench.run(&["check", "job.toml"]).ends(2);
    for line in ran.err.lines() {
        assert!(line.is_ascii() && line.len() <= 80, "{line}");
    }
    for mark in ["error[", "-->", " |", "^", "= help", "= note"] {
        assert!(!ran.err.contains(mark), "{mark}: {}", ran.err);
    }
}

#[test]
fn girths_that_are_none_are_told_all_at_once_and_trunks_by_their_girth() {
    let bench = Bench::new(&with(ONE, "\"Pear\"", "\"T05\""));
    bench
        .run(&["fit", "job.toml", "t05", "T06", "1010 cm", "1,13 m"])
        .ends(2)
        .says("Mistake 1 of 4: \"t05\"\n  what  This is the name of a trunk, and a girth is needed.\n  do    Write \"880 mm\" for its own")
        .says("\"T06\" stands where a number is needed.\n  do    Write a girth such as")
        .says("Write \"1010 mm\" if that was meant")
        .says("Write \"1.13 m\"");
    // A girth is told as it was asked for, and room is never rounded up.
    let told = bench.run(&["fit", "job.toml", "880.4"]).ends(0).out;
    assert!(told.starts_with("880.4 mm of girth\n"), "{told}");
}

#[test]
fn names_cannot_leave_the_folder() {
    for name in ["../../escape", "/etc/escape", "a/b\\\\c", "..", "CON", "a\\u0000b", "\\u001b[31m"]
    {
        let job = with(ONE, "\"Pear\"", &format!("\"{name}\""));
        let bench = Bench::new("");
        std::fs::create_dir_all(bench.path("deep/er")).unwrap();
        bench.write("deep/er/job.toml", with(&job, "\"Pear Tree\"", &format!("\"{name}\"")));
        let ran = bench.run(&["make", "deep/er/job.toml", "--out", "deep/er/out"]);
        assert!(matches!(ran.code, Some(0 | 2)), "{name}: {ran:?}");
        assert!(!ran.err.contains('\u{1b}'), "{name}: a terminal command is passed on");
        let outside: Vec<String> = files(bench.dir.path())
            .into_keys()
            .filter(|p| {
                p != "job.toml" && p != "deep/er/job.toml" && !p.starts_with("deep/er/out/")
            })
            .collect();
        assert!(outside.is_empty(), "{name}: {outside:?}");
    }
    refused(with(ONE, "\"Pear\"", &format!("\"{}\"", "x".repeat(300))), "trunk 1, name");
    refused(with(ONE, "\"Pear\"", "\"\""), "trunk 1, name");
}

#[test]
fn arguments_that_make_no_sense_are_refused() {
    let bench = Bench::new(ONE);
    for args in [
        &["make"][..],
        &["make", "nowhere.toml"],
        &["make", "."],
        &["make", "job.toml", "--girth", "Pear"],
        &["make", "job.toml", "--girth", "Peer=1 m"],
        &["make", "job.toml", "--girth", "Pear=nan"],
        &["make", "job.toml", "--girth", "Pear=-1 m"],
        &["make", "job.toml", "--set", "strap.width"],
        &["make", "job.toml", "--set", "strap.widht=30"],
        &["make", "job.toml", "--set", "strap.width=wide"],
        &["make", "job.toml", "--since", "nowhere"],
        &["make", "job.toml", "--fast"],
        &["check", "nowhere.toml"],
        &["sums", "nowhere.toml"],
        &["fit", "job.toml", "wide"],
        &["fit", "job.toml", "1.1 m", "-1 m"],
        &["fit", "job.toml", "99 m"],
        &["why", "no-such-thing"],
        // Names of earlier versions.
        &["new", "other.toml"],
        &["explain"],
        &["fly"],
    ] {
        let ran = bench.run(args).ends(2);
        assert!(ran.out.is_empty() && !ran.err.is_empty(), "{args:?}: {ran:?}");
        assert_eq!(files(bench.dir.path()).len(), 1, "{args:?} wrote something");
    }
}
#[test]
fn a_failed_check_names_its_finding_and_bars_its_part() {
    let job = format!("{ONE}\n[printer]\nbed = [120, 120, 120]\n");
    let bench = Bench::new(&job);
    let ran = bench
        .make("out")
        .ends(1)
        .says("Error")
        .says("why   bolewright why bed-too-small")
        .says("printer.bed");
    assert!(ran.out.is_empty(), "{}", ran.out);
    let blocked = files(&bench.path("out"))
        .into_keys()
        .filter(|p| p.starts_with("print/cradle-") || p.starts_with("exact/cradle-"))
        .count();
    assert_eq!(blocked, 0, "the cradle is larger than the bed");
    bench.run(&["check", "job.toml"]).ends(1);
}
