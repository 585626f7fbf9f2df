//! The survey: trunks from a spreadsheet, saved as CSV (RFC 4180), one trunk a line.
//!
//! The first line names the columns: `name` and `girth` must be there; `height`, `upper-girth`,
//! `upper-height`, `diameter-toward`, `diameter-across`, `lean`, `fixtures`, `box`, `growth`,
//! `crown-base`, `crown-spread` and `notes` may be. A column may carry the unit of its bare numbers,
//! as in `girth [cm]`; a cell may carry its own, as in `44 1/2 in`; otherwise millimetres and
//! degrees hold. Cells are separated by commas, semicolons or tabs, whichever the first line has
//! most of; empty cells take the default; lines that begin with `#` are remarks.
//!
//! Each line is read by the declaration of a trunk in the job file, so that both have one set of
//! keys, ranges and messages. Girths that a wrong unit would explain are pointed out.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::problem::{Origin, Problem, in_order};
use super::reader::{Fields, LARGEST_FILE, Loaded, MOST_TRUNKS, Reader};
use super::spec::{Field, Kind};
use super::value::Table;
use super::{SourceMap, Trunk, consistency, text};
use crate::finding::KeyPath;
use crate::units::parse::{self, Measure};
use crate::units::{Length, trimmed};

/// Most columns in a survey; only some of them can be known ones.
const MOST_COLUMNS: usize = 100;
/// Fewest trunks from which a median says something about one of them.
const ENOUGH_FOR_MEDIAN: usize = 3;
/// A girth counts as explained by a wrong unit when the right one brings it within this factor of
/// the survey's median (by experience: trunks of one place rarely differ more).
const LIKE_THE_OTHERS: f64 = 1.3;
/// Wrong units: what the girth must be multiplied by, and what has probably happened.
const SLIPS: [(f64, &str); 4] = [
    (0.1, "ten times too large: millimetres read as centimetres, or a slipped point"),
    (10.0, "ten times too small: centimetres read as millimetres, or a slipped point"),
    (2.54, "too small by 2.54: inches read as centimetres"),
    (1.0 / 2.54, "too large by 2.54: centimetres read as inches"),
];
/// The two columns of `diameters`.
const DIAMETERS: [&str; 2] = ["diameter-toward", "diameter-across"];

/// A survey, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// One a line, in the order of the lines.
    pub trunks: Vec<Trunk>,
    /// Readable, but odd: look at these lines again.
    pub warnings: Vec<Problem>,
    /// For each trunk its line, then its cells by key.
    places: Vec<(Range<usize>, SourceMap)>,
}

/// Reads a survey.
///
/// # Errors
/// Every mistake of the survey, in the order of the text; the messages give line and column.
pub fn read_survey(source: &str) -> Result<Survey, Vec<Problem>> {
    let refuse = |message: String| {
        Err(vec![Problem::new("too-large", 0..0, message).in_text(Origin::Survey)])
    };
    if source.len() > LARGEST_FILE {
        let length = source.len();
        return refuse(format!("the survey has {length} bytes, more than {LARGEST_FILE}"));
    }
    let delimiter = delimiter(source);
    let mut lines = records(source, delimiter).into_iter();
    let mut problems = Vec::new();
    let (header_span, header) = lines.next().unwrap_or((0..0, Vec::new()));
    if header.len() > MOST_COLUMNS {
        let found = header.len();
        return refuse(format!("the survey has {found} columns, more than {MOST_COLUMNS}"));
    }
    let columns = columns(header_span, &header, &mut problems);
    if lines.len() > MOST_TRUNKS {
        return refuse(format!("the survey has {} trunks, more than {MOST_TRUNKS}", lines.len()));
    }
    let mut survey = Survey { trunks: Vec::new(), warnings: Vec::new(), places: Vec::new() };
    if problems.is_empty() {
        for (span, cells) in lines {
            row(&columns, span, &cells, &mut survey, &mut problems);
        }
    }
    if problems.is_empty() {
        survey.warnings = odd_girths(&survey);
        return Ok(survey);
    }
    let mut problems = in_order(problems);
    let places = text::Lines::of(source);
    for problem in &mut problems {
        let (line, column) = places.line_and_column(problem.span.start);
        problem.message = format!("line {line}, column {column}: {}", problem.message);
    }
    Err(problems)
}

impl Loaded {
    /// Adds the survey's trunks behind those of the job file, and compares all of them.
    ///
    /// # Errors
    /// Names that occur twice, a box without a battery, too many trunks and so on.
    pub fn add_survey(&mut self, survey: &Survey) -> Result<(), Vec<Problem>> {
        let first = self.job.trunks.len();
        if first + survey.trunks.len() > MOST_TRUNKS {
            let message = format!("job and survey have more than {MOST_TRUNKS} trunks together");
            return Err(vec![Problem::new("too-large", 0..0, message)]);
        }
        self.job.trunks.extend(survey.trunks.iter().cloned());
        let mut reader = Reader { map: std::mem::take(&mut self.source_map), ..Reader::default() };
        for (index, (line, cells)) in survey.places.iter().enumerate() {
            let trunk = KeyPath::new("trunk").element(first + index);
            reader.map.insert_survey(trunk.clone(), line.clone());
            for field in Trunk::spec().fields {
                if let Some(cell) = cells.locate(&KeyPath::new(field.key)) {
                    reader.map.insert_survey(trunk.child(field.key), cell);
                }
            }
        }
        consistency::check_trunks(&self.job, &mut reader);
        self.source_map = reader.map;
        if reader.problems.is_empty() { Ok(()) } else { Err(in_order(reader.problems)) }
    }
}

/// A column: the key of a trunk, and the unit of its bare numbers.
struct Column {
    key: &'static str,
    kind: Kind,
    unit: Option<String>,
}

/// A cell: where it stands, and what it says.
type Cell = (Range<usize>, String);

fn problem(code: &'static str, span: Range<usize>, message: String) -> Problem {
    Problem::new(code, span, message).in_text(Origin::Survey)
}

/// Key and kind of every column that a survey may have.
fn known() -> Vec<(&'static str, Kind)> {
    let mut all: Vec<_> = Trunk::spec()
        .fields
        .iter()
        .filter(|f| f.key != "diameters")
        .map(|f: &Field| (f.key, (f.kind)()))
        .collect();
    all.extend(DIAMETERS.map(|key| (key, Kind::Quantity(Length::DIMENSION))));
    all
}

/// Reads the header; `None` for a column that has been reported.
fn columns(
    line: Range<usize>,
    header: &[Cell],
    problems: &mut Vec<Problem>,
) -> Vec<Option<Column>> {
    let known = known();
    let mut columns: Vec<Option<Column>> = Vec::new();
    for (span, written) in header {
        let (name, unit) = match written.split_once(['[', '(']) {
            Some((name, rest)) => {
                (name, Some(rest.trim().trim_end_matches([']', ')']).trim().to_owned()))
            }
            None => (written.as_str(), None),
        };
        let name = name.trim().to_lowercase().replace(['_', ' '], "-");
        let found = known.iter().find(|(key, _)| *key == name);
        let bad = match (found, &unit) {
            (None, _) => {
                let message = format!("a survey has no column {}", text::shown(&name));
                let near = text::nearest(&name, known.iter().map(|(key, _)| *key));
                let keys: Vec<_> = known.iter().map(|(key, _)| *key).collect();
                let remedy = near.map_or_else(
                    || format!("its columns are {}", keys.join(", ")),
                    |near| format!("did you mean `{near}`?"),
                );
                Some(problem("unknown-key", span.clone(), message).with_remedy(remedy))
            }
            (Some((key, _)), _) if columns.iter().flatten().any(|c| c.key == *key) => {
                let message = format!("the column `{key}` is there twice");
                Some(problem("bad-row", span.clone(), message))
            }
            (Some((key, Kind::Quantity(dimension))), Some(unit))
                if dimension.find(unit).is_none() =>
            {
                let known = dimension.symbols();
                let message = format!(
                    "the column `{key}` needs a unit of {known}, found {}",
                    text::shown(unit)
                );
                Some(problem("bad-quantity", span.clone(), message))
            }
            _ => None,
        };
        let is_sound = bad.is_none();
        problems.extend(bad);
        columns.push(found.filter(|_| is_sound).map(|(key, kind)| Column {
            key,
            kind: kind.clone(),
            unit,
        }));
    }
    for needed in ["name", "girth"] {
        if problems.is_empty() && !columns.iter().flatten().any(|c| c.key == needed) {
            let message = format!("the survey has no column `{needed}`");
            problems.push(problem("missing-key", line.clone(), message));
        }
    }
    columns
}

/// Reads one line as a trunk.
fn row(
    columns: &[Option<Column>],
    line: Range<usize>,
    cells: &[Cell],
    survey: &mut Survey,
    problems: &mut Vec<Problem>,
) {
    if let Some((span, _)) = cells.get(columns.len()) {
        let message = format!("the line has {} cells, the header {}", cells.len(), columns.len());
        let remedy = "put quotes around a text with a separator in it";
        problems.push(problem("bad-row", span.clone(), message).with_remedy(remedy));
        return;
    }
    let before = problems.len();
    let mut table = DeTable::new();
    let mut diameters = [None, None];
    for (column, (span, written)) in columns.iter().zip(cells) {
        let Some(column) = column else { continue };
        if written.is_empty() {
            continue;
        }
        let value = match value(column, written) {
            Ok(value) => Spanned::new(span.clone(), value),
            Err(error) => {
                let message = format!("`{}`: {error}", column.key);
                problems.push(problem("bad-quantity", span.clone(), message));
                continue;
            }
        };
        match DIAMETERS.iter().position(|key| *key == column.key) {
            Some(which) => diameters[which] = Some(value),
            None => {
                table.insert(Spanned::new(span.clone(), column.key.into()), value);
            }
        }
    }
    match diameters {
        [Some(toward), Some(across)] => {
            let span = toward.span();
            let mut pair = DeArray::new();
            pair.push(toward);
            pair.push(across);
            let key = Spanned::new(span.clone(), "diameters".into());
            table.insert(key, Spanned::new(span, DeValue::Array(pair)));
        }
        [Some(one), None] | [None, Some(one)] => {
            let message = "one diameter of an oval trunk without the other".to_owned();
            let remedy = format!("fill in {} and {}, or neither", DIAMETERS[0], DIAMETERS[1]);
            problems.push(problem("bad-row", one.span(), message).with_remedy(remedy));
        }
        [None, None] => {}
    }
    if problems.len() > before {
        return;
    }
    let mut reader = Reader { map: SourceMap::new(line.start), ..Reader::default() };
    let root = KeyPath::new("");
    let keys: Vec<_> = Trunk::spec().fields.iter().map(|f| f.key).collect();
    let trunk = Trunk::from_fields(&mut Fields::new(Some(&table), &root, &keys, &mut reader));
    problems.extend(reader.problems.into_iter().map(|mut p| {
        if p.code == "missing-key" {
            p.span = line.clone();
        }
        p.in_text(Origin::Survey)
    }));
    survey.trunks.push(trunk);
    survey.places.push((line, reader.map));
}

/// A cell as the job file would have it.
fn value<'c>(column: &Column, written: &'c str) -> Result<DeValue<'c>, parse::ParseError> {
    let word = |text: String| DeValue::String(text.into());
    Ok(match (&column.kind, &column.unit) {
        (Kind::Quantity(dimension), Some(unit)) => {
            let number = parse::number_in(written, dimension, unit)?;
            word(format!("{number} {}", dimension.own_unit()))
        }
        (Kind::Flag, _) => match written.to_lowercase().as_str() {
            "yes" | "y" | "x" | "true" | "1" => DeValue::Boolean(true),
            "no" | "n" | "-" | "false" | "0" => DeValue::Boolean(false),
            _ => word(written.to_owned()),
        },
        (Kind::Quantity(_) | Kind::Count | Kind::Number, _) => match DeValue::parse(written) {
            Ok(plain) if matches!(plain.get_ref(), DeValue::Integer(_) | DeValue::Float(_)) => {
                plain.into_inner()
            }
            _ => word(written.to_owned()),
        },
        _ => word(written.to_owned()),
    })
}

/// Girths that another unit would bring among the others.
fn odd_girths(survey: &Survey) -> Vec<Problem> {
    let mut sorted: Vec<f64> = survey.trunks.iter().map(|t| t.girth.get()).collect();
    sorted.sort_by(f64::total_cmp);
    let Some(median) = sorted.get(sorted.len() / 2) else { return Vec::new() };
    if sorted.len() < ENOUGH_FOR_MEDIAN {
        return Vec::new();
    }
    let is_like =
        |girth: f64| (1.0 / LIKE_THE_OTHERS..=LIKE_THE_OTHERS).contains(&(girth / median));
    let mut warnings = Vec::new();
    for (trunk, (line, cells)) in survey.trunks.iter().zip(&survey.places) {
        let girth = trunk.girth.get();
        let slip = SLIPS.iter().find(|(factor, _)| !is_like(girth) && is_like(girth * factor));
        if let Some((factor, cause)) = slip {
            let span = cells.locate(&KeyPath::new("girth")).unwrap_or(line.clone());
            let message = format!(
                "the girth of \"{}\" is {}, the survey's median {} mm; it may be {cause}",
                trunk.name,
                trunk.girth,
                trimmed(*median, 0)
            );
            let meant = Length::mm(girth * factor);
            let remedy = format!("measure again; {meant:.0} would be like the others");
            warnings.push(problem("odd-girth", span, message).with_remedy(remedy));
        }
    }
    warnings
}

/// The separator that the first written line has most of; a comma when it has none.
fn delimiter(source: &str) -> u8 {
    let mut lines = source.trim_start_matches('\u{FEFF}').lines();
    let header = lines.find(|l| !l.trim().is_empty() && !l.starts_with('#')).unwrap_or("");
    [b',', b';', b'\t']
        .into_iter()
        .rev()
        .max_by_key(|d| header.bytes().filter(|b| b == d).count())
        .unwrap_or(b',')
}

/// Every record with its range and its cells, trimmed.
fn records(source: &str, delimiter: u8) -> Vec<(Range<usize>, Vec<Cell>)> {
    let bom = source.len() - source.trim_start_matches('\u{FEFF}').len();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(&source.as_bytes()[bom..]);
    let mut all = Vec::new();
    let mut record = csv::ByteRecord::new();
    // The reader works on text in memory: it can neither fail to read nor meet unequal lengths.
    while let Ok(true) = reader.read_byte_record(&mut record) {
        if record.iter().all(<[u8]>::is_empty) {
            continue;
        }
        let from = record.position().map_or(0, |p| p.byte() as usize) + bom;
        let ranges = cell_ranges(source, from, delimiter);
        let line = ranges.first().map_or(from, |r| r.start)..ranges.last().map_or(from, |r| r.end);
        let cells = record.iter().enumerate().map(|(index, cell)| {
            let place = ranges.get(index).cloned().unwrap_or(line.end..line.end);
            (place, String::from_utf8_lossy(cell).into_owned())
        });
        let cells = cells.collect();
        all.push((line, cells));
    }
    all
}

/// Where the cells of the record at `from` stand, without the blanks around them.
fn cell_ranges(source: &str, from: usize, delimiter: u8) -> Vec<Range<usize>> {
    let bytes = source.as_bytes();
    let mut at = from.min(bytes.len());
    // The reader's position lies before the blank lines and remarks that it passes over.
    while at < bytes.len() && matches!(bytes[at], b'\n' | b'\r' | b'#') {
        if bytes[at] == b'#' {
            at += bytes[at..].iter().position(|b| *b == b'\n').unwrap_or(bytes.len() - at);
        } else {
            at += 1;
        }
    }
    let mut ranges = Vec::new();
    let (mut start, mut quoted) = (at, false);
    loop {
        let byte = bytes.get(at).copied();
        let ends_line = byte.is_none() || (!quoted && matches!(byte, Some(b'\n' | b'\r')));
        if ends_line || (!quoted && byte == Some(delimiter)) {
            let cell = &source[start..at];
            let lead = cell.len() - cell.trim_start().len();
            ranges.push(start + lead..(start + cell.trim_end().len()).max(start + lead));
            start = at + 1;
        }
        if ends_line {
            return ranges;
        }
        quoted ^= byte == Some(b'"');
        at += 1;
    }
}

#[cfg(test)]
mod tests;
