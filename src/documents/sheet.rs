//! The job sheet of a real job: one page from which a person prints, buys, cuts, mounts, checks and
//! takes down.
//!
//! Everything on it comes from the plan, the sums and the parts that were made; nothing is worked out
//! here that is not also in the manifest. What could not be found is left out or said to be missing,
//! never guessed. Money is in the user's own; times of prints are estimates.

mod calendar;
mod cards;
mod lists;
mod models;
mod power;

use super::beds::BedList;
use super::pictures::Shown;
use super::pull_chart;
use super::scene::PreviewMeshes;
use super::{Document, DocumentError, Subject};
use crate::assessment::Section;
use crate::design::foam_trade_off::{TradeOff, trade_off};
use crate::formats::sheet::{Account, Assumption, Column, Fact, Picture, Sheet, Table};
use crate::params::{Job, SourceMap, defaults_taken};
use crate::units::trimmed;

/// What the sheet shows beside its [`Subject`].
#[derive(Debug, Clone, Copy)]
pub(crate) struct SheetInputs<'a> {
    /// Which keys of the job file were written; the others were assumed.
    pub map: &'a SourceMap,
    /// Parts on beds.
    pub beds: &'a BedList,
    /// Every picture with its path.
    pub pictures: &'a [(String, Picture)],
    /// Meshes for the viewer.
    pub preview_meshes: &'a PreviewMeshes,
}

/// Where the sheet is written, relative to the set.
pub(crate) const PATH: &str = "sheet.html";

/// The sheet as a file.
///
/// # Errors
/// [`DocumentError`] when a mesh for the viewer is unusable.
pub(crate) fn file(
    subject: &Subject<'_>,
    inputs: &SheetInputs<'_>,
) -> Result<Document, DocumentError> {
    let shown = Shown::of(subject);
    let (trunks, all_trunks) = cards::cards(subject);
    let scene = models::scene(subject, inputs.preview_meshes, shown)?;
    let sheet = Sheet {
        title: subject.job.job.name.clone(),
        generator: concat!("Bolewright ", env!("CARGO_PKG_VERSION")).into(),
        facts: facts(subject, inputs.beds),
        findings: subject.findings.to_vec(),
        pictures: overview(inputs.pictures),
        drawings: drawings(inputs.pictures),
        parts: lists::parts(subject),
        beds: lists::beds(subject, inputs.beds),
        buy: lists::buy(subject),
        cut: lists::cut(subject),
        runtime: power::runtime(subject),
        all_trunks,
        trunks,
        feed: power::feed(subject, inputs.pictures),
        pull: inputs.pictures.iter().find(|(p, _)| p == pull_chart::PATH).map(|p| p.1.clone()),
        calendar: calendar::calendar(subject.job, &subject.sums.power, &subject.sums.results),
        assumptions: assumptions(subject, inputs.map),
        accounts: accounts(subject),
        models: models::models(subject, inputs.preview_meshes, &scene),
        dimensions: models::dimensions(&scene)?,
    };
    let html = sheet.html().map_err(|e| DocumentError::at(PATH)(&e))?;
    Ok((PATH.into(), html.into_bytes()))
}

/// A table from its head; a `#` before a column's name sets its cells as numbers. A column of which
/// no row has anything to tell is left out.
fn table(caption: &str, columns: &[&str], rows: Vec<Vec<String>>) -> Table {
    let column = |name: &&str| Column {
        name: name.trim_start_matches('#').to_owned(),
        numeric: name.starts_with('#'),
    };
    let inputs: Vec<bool> = (0..columns.len())
        .map(|k| rows.iter().any(|row| row.get(k).is_some_and(|cell| !cell.is_empty())))
        .collect();
    let row = |row: Vec<String>| {
        row.into_iter().zip(&inputs).filter(|(_, inputs)| **inputs).map(|(cell, _)| cell).collect()
    };
    Table {
        caption: caption.into(),
        columns: columns
            .iter()
            .zip(&inputs)
            .filter(|(_, inputs)| **inputs)
            .map(|(c, _)| column(c))
            .collect(),
        rows: rows.into_iter().map(row).collect(),
        tick: false,
    }
}

fn facts(subject: &Subject<'_>, beds: &BedList) -> Vec<Fact> {
    let (job, plan) = (subject.job, subject.plan);
    let info = &job.job;
    let mut facts = Vec::new();
    let mut say = |label: &str, value: Option<String>| {
        facts.extend(value.filter(|v| !v.is_empty()).map(|v| Fact::new(label, v)));
    };
    say("place", info.place.clone());
    say("owner of the trees", info.owner.clone());
    say("mounting from", info.install.map(|d| d.to_string()));
    say("taken down by", info.take_down.map(|d| d.to_string()));
    say("trunks", Some(job.trunks.len().to_string()));
    say("lamps", Some(format!("{} x {}", plan.lamps, job.fixture.name)));
    say("boxes", (plan.boxes > 0).then(|| plan.boxes.to_string()));
    say("cradle sizes", Some(plan.cradles.len().to_string()));
    say("rail sizes", (!plan.rails.is_empty()).then(|| plan.rails.len().to_string()));
    say("cradle sizes with other foam", other_foams(job));
    say("to print", Some(lists::total(subject)));
    let shelf: Vec<String> = plan.spares().map(ToString::to_string).collect();
    say("on the shelf, for another year", Some(shelf.join(", ")));
    say("beds to print", Some(beds.prints.to_string()));
    let webbing = subject.sums.lists.webbing_total;
    say("webbing", Some(format!("{} m", trimmed(webbing.in_metres(), 1))));
    facts
}

/// The nearest thinner foam that needs more cradle sizes, and the nearest thicker that needs fewer.
fn other_foams(job: &Job) -> Option<String> {
    let rows = trade_off(job);
    let own = rows.iter().position(|row| row.chosen)?;
    let thinner = rows[..own].iter().rev().find(|row| row.cradles > rows[own].cradles);
    let thicker = rows[own..].iter().find(|row| row.cradles < rows[own].cradles);
    let inputs = |row: &TradeOff| format!("{} with {} of foam", row.cradles, row.thickness);
    let inputs: Vec<String> = thinner.into_iter().chain(thicker).map(inputs).collect();
    (!inputs.is_empty()).then(|| inputs.join(", "))
}

/// Whether a picture of the set is a dimensioned drawing.
fn is_drawing(path: &str) -> bool {
    path.ends_with(".svg") && path != power::FEED && path != pull_chart::PATH
}

/// The pictures at the head: what hangs on a trunk, then every part, test pieces last.
fn overview(pictures: &[(String, Picture)]) -> Vec<Picture> {
    let shaded = pictures.iter().filter(|(path, _)| path.ends_with(".png"));
    let mut shown: Vec<&(String, Picture)> = shaded.collect();
    shown.sort_by_key(|(path, _)| path.contains("/test-"));
    shown.into_iter().take(MOST_PICTURES).map(|(_, picture)| picture.clone()).collect()
}

fn drawings(pictures: &[(String, Picture)]) -> Vec<Picture> {
    let drawn = pictures.iter().filter(|(path, _)| is_drawing(path));
    drawn.take(MOST_PICTURES).map(|(_, picture)| picture.clone()).collect()
}

/// More pictures of a kind would bury the tables; the rest lies beside the sheet in `pictures/`.
const MOST_PICTURES: usize = 12;

/// Defaults that hold because nobody wrote another value, then what the tool chose.
fn assumptions(subject: &Subject<'_>, map: &SourceMap) -> Vec<Assumption> {
    let taken = defaults_taken(map).into_iter().map(|t| Assumption {
        what: format!("{} ({})", t.what.trim_end_matches('.'), t.key),
        value: t.value,
        source: format!("assumed: {}", t.why),
    });
    let derived = subject.plan.derived.iter().map(|d| Assumption {
        what: d.name.clone(),
        value: d.value.clone(),
        source: format!("chosen: {}", d.reason),
    });
    taken.chain(derived).collect()
}

/// Groups of trunks whose sums are shown; alike trunks are one group.
const MOST_GROUPS: usize = 40;

/// The sums of the job, then those of each group of trunks.
fn accounts(subject: &Subject<'_>) -> Vec<Account> {
    let account = |about: Option<&str>, section: &Section| Account {
        title: match about {
            Some(names) => format!("{names}: {}", section.title),
            None => section.title.clone(),
        },
        lines: section.lines.clone(),
        absent: section.absent.clone(),
    };
    let all = &subject.sums.report;
    let mut accounts: Vec<Account> = all.job.iter().map(|s| account(None, s)).collect();
    for group in all.trunks.iter().take(MOST_GROUPS) {
        let names = cards::names(&group.trunks);
        accounts.extend(group.sections.iter().map(|s| account(Some(&names), s)));
    }
    if let Some(more @ 1..) = all.trunks.len().checked_sub(MOST_GROUPS) {
        accounts.push(Account {
            title: "more trunks".into(),
            lines: Vec::new(),
            absent: vec![format!(
                "the calculations of {more} more groups of trunks are not shown here; the command sums shows them"
            )],
        });
    }
    accounts.retain(|a| !a.lines.is_empty() || !a.absent.is_empty());
    accounts
}
