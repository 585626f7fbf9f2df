//! Random valid jobs over the whole supported range: each ends in a set of sound parts or in
//! findings that name the keys in conflict, and never in a panic or in a part that is not sound.
//!
//! A few hundred jobs in a normal run; `BOLEWRIGHT_RANDOM_JOBS=10000` asks for more and
//! `BOLEWRIGHT_RANDOM_SEED=7` for others. Jobs are written as text and read like any other job file,
//! so the reader's own ranges hold. Every job has a seed of its own, so that all processors are used
//! and one can be made again alone: `BOLEWRIGHT_RANDOM_SHOW=41` prints job 41 and tests nothing.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fmt::Write;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use bolewright::finding::{Finding, Severity};
use bolewright::params::{self, Job};
use bolewright::pipeline;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// Jobs in a run that does not ask for more.
const JOBS: usize = 300;
/// Steps of simplifying a job that fails, before it is shown.
const SIMPLER: usize = 400;
/// Longest that a job may keep a processor in an optimised program.
const PATIENCE: Duration = Duration::from_secs(if cfg!(debug_assertions) { 100 } else { 10 });

const THREADS: [&str; 7] = ["M3", "M4", "M5", "M6", "M8", "M10", "M12"];

fn trunks() -> impl Strategy<Value = String> {
    // Even in the logarithm: thin trunks are as many as thick ones.
    let girth = (libm::log2(250.0)..libm::log2(6000.0)).prop_map(libm::exp2);
    let one = (girth, 0..3_u32, any::<bool>());
    prop::collection::vec(one, 1..5).prop_map(|list| {
        let mut text = String::new();
        for (i, (girth, lamps, carries)) in list.into_iter().enumerate() {
            let lamps = if i == 0 { lamps.max(1) } else { lamps };
            let _ = write!(
                text,
                "[[trunk]]\nname = \"trunk {i}\"\ngirth = {girth:.0}\nfixtures = {lamps}\nbox = {carries}\n"
            );
        }
        text
    })
}

fn pattern(width: f64, height: f64) -> impl Strategy<Value = String> {
    let [w, h] = [width.min(590.0), height.min(590.0)];
    let rectangle = (5.0..=w.max(5.1), 5.0..=h.max(5.1)).prop_map(|(w, h)| {
        format!("{{ pattern = \"rectangle\", width = {w:.1}, height = {h:.1} }}")
    });
    let circle = (5.0..=w.min(h).max(5.1), 2..=24_u32)
        .prop_map(|(d, n)| format!("{{ pattern = \"circle\", diameter = {d:.1}, count = {n} }}"));
    let point = (-w / 2.0..=w / 2.0, -h / 2.0..=h / 2.0);
    let points = prop::collection::vec(point, 1..6).prop_map(|list| {
        let list: Vec<String> = list.iter().map(|(x, y)| format!("[{x:.1}, {y:.1}]")).collect();
        format!("{{ pattern = \"points\", points = [{}] }}", list.join(", "))
    });
    prop_oneof![rectangle, circle, points]
}

fn fixture() -> impl Strategy<Value = String> {
    // Even in the logarithm as well; as heavy as housings of lamps are, in kg/dm3.
    let even = |low: f64, high: f64| (libm::log2(low)..libm::log2(high)).prop_map(libm::exp2);
    let body = (even(40.0, 400.0), even(20.0, 400.0), even(15.0, 400.0), 0.2..1.5_f64);
    (body, 0.0..=1.0_f64, 0.0..=1.0_f64, 0.0..60.0_f64, 0..7_usize).prop_flat_map(
        |((w, h, d, density), back, bottom, cable, thread)| {
            let mass = (w * h * d * 1e-6 * density).clamp(0.05, 20.0);
            let head = format!(
                "[fixture]\nname = \"lamp\"\nwidth = {w:.1}\nheight = {h:.1}\ndepth = {d:.1}\n\
                 mass = {mass:.2}\npower = 10\npivot-from-back = {:.1}\npivot-from-bottom = {:.1}\n\
                 cable-room = {cable:.1}\n[fixture.mount]\nthread = \"{}\"\n",
                back * (d - 0.1),
                bottom * (h - 0.1),
                THREADS[thread],
            );
            let lock = prop::option::of((8.0..200.0_f64, -180.0..360.0_f64));
            let bosses = (0.1..20.0_f64, lock).prop_map(move |(more, lock)| {
                let mut text =
                    format!("kind = \"side-bosses\"\nspan = {:.1}\n", (w + more).min(420.0));
                if let Some((radius, angle)) = lock {
                    let _ = writeln!(text, "lock-radius = {radius:.1}\nlock-angle = {angle:.1}");
                }
                text
            });
            let plate = pattern(w - 0.1, h - 0.1)
                .prop_map(|holes| format!("kind = \"base-plate\"\nholes = {holes}\n"));
            let mount = prop_oneof![bosses.boxed(), plate.boxed()];
            mount.prop_map(move |mount| format!("{head}{mount}"))
        },
    )
}

fn tables() -> impl Strategy<Value = String> {
    let tilt = (-30.0..=90.0_f64, -30.0..=90.0_f64);
    let strap = (1..=3_u32, 15.0..=75.0_f64, 1.0..=4.0_f64, 0.2..=3.0_f64);
    let pad = (3.0..=40.0_f64, prop::option::of(15.0..=200.0_f64), 0.2..=0.8_f64);
    let printer = (prop::array::uniform3(120.0..=500.0_f64), 0.2..=1.5_f64, 0.05..=0.8_f64);
    // Up to a strong gale; more is for a take-down.
    let rest = (1.5..=6.0_f64, 8.0..=25.0_f64);
    (tilt, strap, pad, printer, rest).prop_map(
        |((a, b), (count, width, thick, gap), (foam, half, reach), (bed, line, layer), rest)| {
            let (cord, gust) = rest;
            let [from, to] = [a.min(b), a.max(b)];
            let half = half.map_or(String::new(), |h| format!("half-width = {h:.1}\n"));
            format!(
                "[tilt]\nmin = {from:.1}\nmax = {to:.1}\n\
                 [strap]\ncount = {count}\nwidth = {width:.1}\nthickness = {thick:.2}\nclearance = {gap:.2}\n\
                 [pad]\nthickness = {foam:.1}\nreach = {reach:.2}\n{half}\
                 [printer]\nbed = [{:.0}, {:.0}, {:.0}]\nline = {line:.2}\nlayer = {:.2}\n\
                 [seal]\ncord = {cord:.1}\n[site]\ngust = {gust:.1}\n",
                bed[0], bed[1], bed[2],
                layer.min(line - 0.01),
            )
        },
    )
}

fn battery() -> impl Strategy<Value = String> {
    let pack = (40.0..300.0_f64, 30.0..150.0_f64, 20.0..120.0_f64);
    pack.prop_flat_map(|(l, w, h)| {
        let receiver = (pattern(l - 10.0, w - 10.0), 0..3_usize);
        let board = prop::option::of((30.0..150.0_f64, 20.0..90.0_f64, 8.0..40.0_f64));
        (receiver, board, 1..4_u32).prop_map(move |((holes, thread), board, entries)| {
            let mut text = format!(
                "[battery]\nname = \"pack\"\nlength = {l:.1}\nwidth = {w:.1}\nheight = {h:.1}\n\
                 mass = 1\nchemistry = \"li-ion\"\nvoltage = 18\ncapacity = 8\n\
                 [battery.receiver]\nthickness = 6\nthread = \"{}\"\nholes = {holes}\n\
                 [[gland]]\nsize = \"M16\"\ncount = {entries}\n",
                THREADS[thread]
            );
            if let Some((l, w, h)) = board {
                let _ = write!(
                    text,
                    "[controller]\nname = \"board\"\nlength = {l:.1}\nwidth = {w:.1}\nheight = {h:.1}\n\
                     mass = 0.1\nthread = \"M3\"\n\
                     holes = {{ pattern = \"rectangle\", width = {:.1}, height = {:.1} }}\n",
                    l - 8.0,
                    w - 8.0
                );
            }
            text
        })
    })
}

fn any_job() -> impl Strategy<Value = String> {
    (trunks(), fixture(), tables(), prop::option::of(battery())).prop_map(
        |(trunks, fixture, tables, battery)| {
            let trunks =
                if battery.is_some() { trunks } else { trunks.replace("box = true", "box = false") };
            let battery = battery.unwrap_or_default();
            format!("[job]\nname = \"random\"\n{trunks}{fixture}{tables}{battery}[feed]\nsegments = 5000\nlead = 2000\n")
        },
    )
}

/// What a job ended in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    /// Every part was made, and no rule objects.
    Clean,
    /// Every part was made, and rules object to some.
    Objected,
    /// Findings blocked some parts before they were drawn.
    Blocked,
    /// Findings left no plan.
    NoPlan,
    /// The reader refused the text: the generator left the supported range.
    Unread,
}

/// A job worked through.
struct Done {
    end: End,
    /// Codes of the errors.
    codes: Vec<&'static str>,
    took: Duration,
}

/// Time for which this thread has had a processor, so that other work on the machine counts for
/// nothing; where the system does not tell, time since the start.
fn busy(start: Instant) -> Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| start.elapsed(), Duration::from_nanos)
}

/// Works a job through. `Err` is what must never happen.
fn work(text: &str) -> Result<Done, String> {
    // A pool of its own: what the job costs is then what its one thread does.
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build();
    let pool = pool.map_err(|e| e.to_string())?;
    let (done, took) = pool.install(|| {
        let start = Instant::now();
        let before = busy(start);
        let done = catch_unwind(AssertUnwindSafe(|| stages(text)));
        (done, busy(start).saturating_sub(before))
    });
    let (end, codes) = done.unwrap_or_else(|panic| {
        let told = panic.downcast_ref::<String>().map(String::as_str);
        let told = told.or(panic.downcast_ref::<&str>().copied());
        Err(format!("panicked: {}", told.unwrap_or("without words")))
    })?;
    if took > PATIENCE {
        Err(format!("took {} s", took.as_secs()))
    } else {
        Ok(Done { end, codes, took })
    }
}

fn stages(text: &str) -> Result<(End, Vec<&'static str>), String> {
    let Ok(loaded) = params::read(text) else { return Ok((End::Unread, Vec::new())) };
    let job: Job = loaded.job;
    let worked = match pipeline::run(&job, &Default::default()) {
        Ok(worked) => worked,
        Err(none) if none.findings.is_empty() => return Err("refused without a finding".into()),
        Err(none) => return Ok((End::NoPlan, errors(&none.findings)?)),
    };
    if let Some(bad) = worked.findings.iter().find(|f| f.code == "part-invalid") {
        return Err(bad.message.clone());
    }
    let codes = errors(&worked.findings)?;
    let end = match (worked.built.len() == worked.parts.len(), codes.is_empty()) {
        (true, true) => End::Clean,
        (true, false) => End::Objected,
        (false, false) => End::Blocked,
        (false, true) => return Err("a part is missing and no error says why".into()),
    };
    Ok((end, codes))
}

/// Codes of the errors; each must name a key of the job, every key named must exist, and no message may hold a number that is
/// none, or one that no force, length or torque of a job can have.
fn errors(findings: &[Finding]) -> Result<Vec<&'static str>, String> {
    let is_number = |word: &str| {
        let digits = word.chars().take_while(char::is_ascii_digit).count();
        !matches!(word, "NaN" | "inf" | "-inf") && digits < 9
    };
    if let Some(odd) = findings.iter().find(|f| !f.message.split(' ').all(is_number)) {
        return Err(format!("a number that is none: {}: {}", odd.code, odd.message));
    }
    let errors = || findings.iter().filter(|f| f.severity == Severity::Error);
    if let Some(mute) = errors().find(|f| f.keys.is_empty()) {
        return Err(format!("{} names no key: {}", mute.code, mute.message));
    }
    for finding in findings {
        let remedies = finding.remedies.iter().map(|remedy| &remedy.key);
        let known = |key: &str| params::why(key).is_some();
        if let Some(key) = finding.keys.iter().chain(remedies).find(|key| !known(key.as_str())) {
            return Err(format!("{} names `{key}`, which no job file has", finding.code));
        }
    }
    Ok(errors().map(|f| f.code).collect())
}

/// The results of so many jobs, in their order. Each processor has a thread of its own that takes the next
/// job when it is done with one; none is a worker of a pool, so that none takes up a job while it waits for
/// another.
fn on_all_processors<T: Send>(jobs: usize, one: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                loop {
                    let job = next.fetch_add(1, Ordering::Relaxed);
                    if job >= jobs {
                        break;
                    }
                    let result = one(job);
                    done.lock().unwrap().push((job, result));
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap();
    done.sort_by_key(|(job, _)| *job);
    done.into_iter().map(|(_, result)| result).collect()
}

/// The random numbers of one job.
fn runner(seed: u64, job: usize) -> TestRunner {
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    bytes[8..16].copy_from_slice(&(job as u64).to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    TestRunner::new_with_rng(Config::default(), rng)
}

/// One job: its end, or what went wrong with its simplest form.
fn try_one(seed: u64, job: usize) -> Result<Done, (String, String)> {
    let mut tree = any_job().new_tree(&mut runner(seed, job)).unwrap();
    let what = match work(&tree.current()) {
        Ok(done) => return Ok(done),
        Err(what) => what,
    };
    let kind = kind(&what);
    let mut simplest = (what, tree.current());
    for _ in 0..SIMPLER {
        match work(&tree.current()) {
            Err(what) if self::kind(&what) == kind => {
                simplest = (what, tree.current());
                if !tree.simplify() {
                    break;
                }
            }
            _ if !tree.complicate() => break,
            _ => {}
        }
    }
    Err((kind, format!("seed {seed}, job {job}: {}\n{}", simplest.0, simplest.1)))
}

/// A failure without its numbers.
fn kind(what: &str) -> String {
    what.chars().filter(|c| !c.is_ascii_digit()).collect()
}

fn asked(variable: &str, otherwise: usize) -> usize {
    std::env::var(variable).map_or(otherwise, |n| n.parse().unwrap())
}

#[test]
fn random_jobs_end_in_sound_parts_or_in_findings() {
    let jobs = asked("BOLEWRIGHT_RANDOM_JOBS", JOBS);
    // A fixed seed: the same jobs on every run.
    let seed = asked("BOLEWRIGHT_RANDOM_SEED", 1) as u64;
    if std::env::var_os("BOLEWRIGHT_RANDOM_SHOW").is_some() {
        let job = asked("BOLEWRIGHT_RANDOM_SHOW", 0);
        println!("{}", any_job().new_tree(&mut runner(seed, job)).unwrap().current());
        return;
    }
    let mut slowest = Duration::ZERO;
    let mut ends: BTreeMap<End, usize> = BTreeMap::new();
    let mut told: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut failures: BTreeMap<String, (usize, String)> = BTreeMap::new();
    let done = on_all_processors(jobs, |job| try_one(seed, job));
    for (job, one) in done.into_iter().enumerate() {
        match one {
            Ok(Done { end, mut codes, took }) => {
                slowest = slowest.max(took);
                *ends.entry(end).or_default() += 1;
                codes.sort_unstable();
                codes.dedup();
                codes.into_iter().for_each(|code| told.entry(code).or_insert((0, job)).0 += 1);
            }
            Err((kind, text)) => failures.entry(kind).or_insert((0, text)).0 += 1,
        }
    }
    let count = |end: End| ends.get(&end).copied().unwrap_or(0);
    let share = |n: usize| format!("{n:>6} {:>5.1} %", 100.0 * n as f64 / jobs as f64);
    println!("{jobs} jobs, seed {seed}; the slowest took {:.1} s", slowest.as_secs_f64());
    for (end, what) in [
        (End::Clean, "every part made, no rule objects"),
        (End::Objected, "every part made, rules object"),
        (End::Blocked, "parts blocked before they are drawn"),
        (End::NoPlan, "no plan"),
        (End::Unread, "not read"),
    ] {
        println!("{}  {what}", share(count(end)));
    }
    println!(
        "{}  panic, unsound part, hang or finding without cause",
        share(failures.values().map(|f| f.0).sum())
    );
    println!("jobs with an error of each rule, and the first:");
    told.iter().for_each(|(code, (n, job))| println!("{}  {code}, job {job}", share(*n)));
    let shown: Vec<String> =
        failures.values().map(|(n, text)| format!("{n} times: {text}")).collect();
    assert!(shown.is_empty(), "{} kinds of failure\n{}", shown.len(), shown.join("\n\n"));
    assert!(count(End::Unread) * 20 < jobs, "{} of {jobs} were not read", count(End::Unread));
    let made = count(End::Clean) + count(End::Objected);
    assert!(made * 2 > jobs, "all parts are made in only {made} of {jobs}");
}
