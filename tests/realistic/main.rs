//! Random jobs that somebody could have, worked through: how many are clean, what the rules say about
//! the others, and how many of the printed remedies cure. The measure by which design and rules are
//! judged.
//!
//! A few in a normal run. For the figures of DEVELOPERS.md:
//!
//!     BOLEWRIGHT_REALISTIC_JOBS=300 BOLEWRIGHT_REALISTIC_CURES=300 \
//!         cargo test --release --test realistic -- --nocapture
//!
//! `BOLEWRIGHT_REALISTIC_MARKS=300` holds the marks of so many jobs against the command `fit`;
//! `BOLEWRIGHT_REALISTIC_SEED=7` draws others, `BOLEWRIGHT_REALISTIC_SHOW=41` prints job 41 with its
//! findings and tests nothing else.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod cures;
mod jobs;
mod marks;
mod whole;

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::LazyLock;

use cures::Outcome;
use rayon::prelude::*;
use whole::{Finding, Job, Severity, read_with, told, why};

/// Jobs in a run that does not ask for more.
const JOBS: usize = 40;
/// Jobs whose remedies are tried in such a run; each remedy is a run of its own.
const CURES: usize = 10;
/// Jobs whose marks are held against `fit` in such a run.
const MARKS: usize = 12;

/// A job worked through.
struct Done {
    text: String,
    findings: Vec<Finding>,
}

impl Done {
    /// # Errors
    /// What must not happen: a job that does not read, a panic, a key that the job file does not have.
    fn of(seed: u64, index: usize) -> Result<Self, String> {
        let text = jobs::job(seed, index);
        let wrong = |what: String| format!("seed {seed}, job {index}: {what}\n{text}");
        let job = read(&text).map_err(&wrong)?;
        let found = guarded(|| told(&text, &job)).map_err(&wrong)?;
        for finding in &found {
            let keys = finding.keys.iter().chain(finding.remedies.iter().map(|r| &r.key));
            for key in keys.map(|key| key.as_str()) {
                if !exists(key, &job) {
                    return Err(wrong(format!("{} names `{key}`, which is no key", finding.code)));
                }
            }
        }
        Ok(Self { text, findings: found })
    }

    fn worst(&self) -> Severity {
        self.findings.iter().map(|f| f.severity).max().unwrap_or(Severity::Note)
    }
}

fn read(text: &str) -> Result<Job, String> {
    let words = |problems: Vec<bolewright::params::Problem>| {
        let told: Vec<String> = problems.into_iter().map(|p| p.message).collect();
        format!("does not read: {}", told.join("; "))
    };
    read_with(text, &[]).map(|loaded| loaded.job).map_err(words)
}

fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|panic| {
        let told = panic.downcast_ref::<String>().map(String::as_str);
        let told = told.or(panic.downcast_ref::<&str>().copied());
        format!("panicked: {}", told.unwrap_or("without words"))
    })
}

/// Whether the job file has this key; an index must be that of a trunk or gland of this job.
fn exists(key: &str, job: &Job) -> bool {
    let index = |list: &str| -> Option<usize> {
        let rest = key.strip_prefix(list)?.strip_prefix('[')?;
        rest.split_once(']')?.0.parse().ok()
    };
    why(key).is_some()
        && index("trunk").is_none_or(|i| i < job.trunks.len())
        && index("gland").is_none_or(|i| i < job.glands.len())
}

fn asked(variable: &str, otherwise: usize) -> usize {
    std::env::var(variable).map_or(otherwise, |n| n.parse().unwrap())
}

fn seed() -> u64 {
    // A fixed seed: the same jobs on every run.
    asked("BOLEWRIGHT_REALISTIC_SEED", 1) as u64
}

/// As many jobs as either test asks for, worked through once for both.
static WORKED: LazyLock<Vec<Result<Done, String>>> = LazyLock::new(|| {
    let jobs =
        asked("BOLEWRIGHT_REALISTIC_JOBS", JOBS).max(asked("BOLEWRIGHT_REALISTIC_CURES", CURES));
    (0..jobs).into_par_iter().map(|index| Done::of(seed(), index)).collect()
});

/// The first jobs, worked through.
fn worked(jobs: usize) -> Vec<&'static Done> {
    let done = &WORKED[..jobs];
    let wrong: Vec<&str> =
        done.iter().filter_map(|d| d.as_ref().err().map(String::as_str)).collect();
    assert!(wrong.is_empty(), "{} of {jobs} jobs\n{}", wrong.len(), wrong.join("\n\n"));
    done.iter().flatten().collect()
}

fn share(n: usize, of: usize) -> String {
    format!("{n:>5} {:>5.1} %", 100.0 * n as f64 / of.max(1) as f64)
}

#[test]
fn realistic_jobs_read_and_their_findings_lead_to_keys() {
    if std::env::var_os("BOLEWRIGHT_REALISTIC_SHOW").is_some() {
        return show(asked("BOLEWRIGHT_REALISTIC_SHOW", 0));
    }
    let jobs = asked("BOLEWRIGHT_REALISTIC_JOBS", JOBS);
    let done = worked(jobs);
    println!("{jobs} jobs, seed {}", seed());
    let (boxed, bare): (Vec<&Done>, Vec<&Done>) =
        done.iter().partition(|d| d.text.contains("\n[battery]\n"));
    for (what, some) in [("all", &done), ("with a box", &boxed), ("without", &bare)] {
        let of = |severity| some.iter().filter(|d| d.worst() == severity).count();
        let cell = |severity| share(of(severity), some.len());
        println!(
            "{:>5}  {} clean  {} with warnings, none an error  {} with errors  {what}",
            some.len(),
            cell(Severity::Note),
            cell(Severity::Warning),
            cell(Severity::Error)
        );
    }
    println!("jobs with an error, with a warning, of each rule; the first of either:");
    let mut of_rule: BTreeMap<&str, ([usize; 2], usize)> = BTreeMap::new();
    for (index, one) in done.iter().enumerate() {
        for (column, severity) in [Severity::Error, Severity::Warning].into_iter().enumerate() {
            let mut codes: Vec<&str> = Vec::new();
            codes.extend(one.findings.iter().filter(|f| f.severity == severity).map(|f| f.code));
            codes.sort_unstable();
            codes.dedup();
            codes
                .into_iter()
                .for_each(|c| of_rule.entry(c).or_insert(([0; 2], index)).0[column] += 1);
        }
    }
    for (code, ([errors, warnings], first)) in &of_rule {
        println!("{}  {}  {code}, job {first}", share(*errors, jobs), share(*warnings, jobs));
    }
}

#[test]
fn every_girth_inside_a_mark_is_served_and_none_outside() {
    let jobs = asked("BOLEWRIGHT_REALISTIC_MARKS", MARKS);
    let found: Vec<_> =
        (0..jobs).into_par_iter().map(|index| marks::agree(&jobs::job(seed(), index))).collect();
    let wrong: Vec<&str> =
        found.iter().filter_map(|f| f.as_ref().err().map(String::as_str)).collect();
    assert!(wrong.is_empty(), "{} of {jobs} jobs\n{}", wrong.len(), wrong.join("\n\n"));
    let marks: usize = found.iter().flatten().sum();
    println!("{jobs} jobs, {marks} marks, each at every 10 mm inside and 20 mm outside");
    assert!(marks > 0, "no job has a mark");
}

#[test]
fn printed_remedies_cure() {
    let jobs = asked("BOLEWRIGHT_REALISTIC_CURES", CURES);
    let done = worked(jobs);
    let remedies: Vec<(usize, &Finding, usize)> = done
        .iter()
        .enumerate()
        .flat_map(|(job, one)| one.findings.iter().map(move |f| (job, f)))
        .filter(|(_, f)| f.severity != Severity::Note)
        .flat_map(|(job, f)| (0..f.remedies.len()).map(move |n| (job, f, n)))
        .collect();
    // Findings of one job often ask for the same.
    let asked: BTreeSet<(usize, String)> = remedies
        .iter()
        .filter_map(|(job, f, n)| Some((*job, cures::setting(&f.remedies[*n])?)))
        .collect();
    let rerun = |one: &(usize, String)| guarded(|| cures::rerun(&done[one.0].text, &one.1));
    let after: Vec<_> = asked.par_iter().map(rerun).collect();
    let after: BTreeMap<_, _> = asked.iter().zip(&after).collect();
    let outcomes = remedies.iter().map(|(job, finding, n)| {
        let Some(setting) = cures::setting(&finding.remedies[*n]) else {
            return Ok(Outcome::NoValue);
        };
        match after[&(*job, setting)] {
            Ok(Some(after)) => Ok(cures::judge(finding, &done[*job].findings, after)),
            Ok(None) => Ok(Outcome::Refused),
            Err(panic) => Err(panic),
        }
    });
    let mut told: BTreeMap<&str, [usize; 5]> = BTreeMap::new();
    let mut examples: BTreeMap<(&str, &str, usize), String> = BTreeMap::new();
    let mut wrong = Vec::new();
    for ((job, finding, n), outcome) in remedies.iter().zip(outcomes) {
        let remedy = &finding.remedies[*n];
        let what = format!("job {job}: {}: {}: {}", finding.code, remedy.key, remedy.text());
        match outcome {
            Ok(outcome) => {
                let column = Outcome::ALL.iter().position(|o| *o == outcome).unwrap();
                told.entry(finding.code).or_default()[column] += 1;
                if outcome != Outcome::Cured {
                    let table = remedy.key.as_str().rsplit(['.', ']']).next().unwrap_or_default();
                    examples.entry((finding.code, table, column)).or_insert(what);
                }
            }
            Err(panic) => wrong.push(format!("{what}: {panic}")),
        }
    }
    let total =
        told.values().fold([0; 5], |sum: [usize; 5], one| std::array::from_fn(|i| sum[i] + one[i]));
    println!("remedies of {jobs} jobs, seed {}, each applied alone", seed());
    println!("printed  cured  cured but another rule errs  not cured  refused  no value");
    for (code, counts) in told.iter().chain([(&"all", &total)]) {
        let sum: usize = counts.iter().sum();
        let cells: Vec<String> = counts.iter().map(|n| share(*n, sum)).collect();
        println!("{sum:>5}  {}  {code}", cells.join("  "));
    }
    let some = done.iter().flat_map(|one| &one.findings).filter(|f| f.severity > Severity::Note);
    let (mut with, mut all) = (0, 0);
    for finding in some {
        all += 1;
        with += usize::from(finding.remedies.iter().any(|r| cures::setting(r).is_some()));
    }
    println!("errors and warnings with a value that was tried: {} of {all}", share(with, all));
    println!("the first of each kind that does not cure:");
    for ((_, _, column), what) in &examples {
        println!("  {:?}: {what}", Outcome::ALL[*column]);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let tried: usize = total.iter().sum();
    assert!(tried > 0, "no remedy was printed");
    // Every printed value was tried before; a value may only fail where so many were tried that the
    // rest was left as it was.
    let named = tried - total[4];
    assert!(total[0] * 100 >= named * 97, "only {total:?} of {named} values cure");
    assert_eq!(total[3], 0, "a value that the program refuses: {total:?}");
}

/// Prints one job and what the program says about it.
fn show(index: usize) {
    let text = jobs::job(seed(), index);
    println!("{text}");
    let Ok(job) = read(&text) else { return println!("{:?}", read(&text).err()) };
    for f in told(&text, &job) {
        println!("{:?} {}: {}", f.severity, f.code, f.message);
        println!("    {} {:?}", f.parts.join(", "), f.keys);
        f.remedies.iter().for_each(|r| println!("    {}: {}", r.key, r.text()));
    }
}
