//! The survey: trunks from a spreadsheet, saved as CSV (RFC 4180), one trunk a row.
//!
//! The first row names the columns ([`COLUMNS`]); `name` and `girth` must be there. Common spellings
//! of a head are taken for the column ([`HEADS`]). A head may carry the unit of its bare numbers, as in
//! `girth [cm]` or `girth cm`; a cell may carry its own, as in `44 1/2 in`; otherwise millimetres and
//! degrees hold. Cells are separated by commas, semicolons or tabs, whichever the first row has most
//! of; a decimal comma is read where it can be nothing else; empty cells take the default; lines
//! that begin with `#` are remarks.
//!
//! Each row is read by the declaration of a trunk in the job file, so that both have one set of
//! keys, ranges and messages. A row with a mistake hides none in another. Girths that a wrong unit
//! would explain are pointed out, once for each slip.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::problem::{Problem, in_order};
use super::reader::{Draft, Fields, LARGEST_FILE, MOST_TRUNKS, Reader};
use super::source_map::{Place, SourceMap};
use super::spec::Kind;
use super::value::Table;
use super::{Trunk, meant, text};
use crate::finding::{KeyPath, Severity};
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
/// The keys that take several lengths, and the columns that hold them, in order.
const JOINED: [(&str, &[&str]); 2] = [
    ("diameters", &DIAMETERS),
    ("straight-edge", &["edge-length", "edge-gap-left", "edge-gap-right"]),
];

/// Every column that a survey may have, with what it holds.
pub(crate) const COLUMNS: [(&str, &str); 18] = [
    ("name", "of the trunk, unlike every other; must be there"),
    ("girth", "over bark, where the cradle is to sit; must be there"),
    ("height", "above ground of the girth and of the cradle; 1.3 m when empty"),
    ("upper-girth", "a second girth higher up, for the taper"),
    ("upper-height", "above ground of the second girth"),
    ("diameter-toward", "of an oval trunk, by calipers, toward the lamp"),
    ("diameter-across", "of an oval trunk, at right angles to that"),
    ("edge-length", "of a straight edge laid level against the bark there"),
    ("edge-gap-left", "from the bark to the edge's one end"),
    ("edge-gap-right", "from the bark to its other end"),
    ("lean", "from upright; toward the lamp's side positive"),
    ("bark", "smooth, fissured or deeply-furrowed; smooth when empty"),
    ("fixtures", "lamps on this trunk; 1 when empty"),
    ("box", "yes where the battery box hangs"),
    ("growth", "of the girth in a year, when it is not the job's"),
    ("crown-base", "above ground to the lowest branches to be lit"),
    ("crown-spread", "width of the crown"),
    ("notes", "anything worth remembering on the ladder"),
];

/// Other spellings of a head, and the column that they name. In lower case, with hyphens.
pub(crate) const HEADS: [(&str, &str); 42] = [
    ("tree", "name"),
    ("trunk", "name"),
    ("tree-name", "name"),
    ("trunk-name", "name"),
    ("id", "name"),
    ("tree-id", "name"),
    ("no", "name"),
    ("no.", "name"),
    ("number", "name"),
    ("tree-no", "name"),
    ("tree-number", "name"),
    ("label", "name"),
    ("circumference", "girth"),
    ("circ", "girth"),
    ("circ.", "girth"),
    ("gbh", "girth"),
    ("cbh", "girth"),
    ("trunk-girth", "girth"),
    ("girth-at-breast-height", "girth"),
    ("girth-height", "height"),
    ("height-of-girth", "height"),
    ("measured-at", "height"),
    ("girth-2", "upper-girth"),
    ("second-girth", "upper-girth"),
    ("height-2", "upper-height"),
    ("second-height", "upper-height"),
    ("diameter-towards", "diameter-toward"),
    ("lamps", "fixtures"),
    ("lights", "fixtures"),
    ("floods", "fixtures"),
    ("battery-box", "box"),
    ("annual-growth", "growth"),
    ("growth-a-year", "growth"),
    ("lowest-branch", "crown-base"),
    ("lowest-branches", "crown-base"),
    ("crown-width", "crown-spread"),
    ("crown-diameter", "crown-spread"),
    ("spread", "crown-spread"),
    ("note", "notes"),
    ("remark", "notes"),
    ("remarks", "notes"),
    ("comments", "notes"),
];

/// A survey, read as far as it can be.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// One a row, in the order of the rows; stand-ins where a cell cannot be read.
    pub trunks: Vec<Trunk>,
    /// Every mistake of the text, and what is readable but odd.
    pub problems: Vec<Problem>,
    /// For each trunk its row, then its cells by key.
    places: Vec<(Range<usize>, SourceMap)>,
    /// For each trunk the keys that could not be read.
    failed: Vec<BTreeSet<KeyPath>>,
    /// No row was left out.
    is_whole: bool,
}

/// Reads a survey. Every mistake is in [`Survey::problems`], in the order of the text.
#[must_use]
pub fn read_survey(source: &str) -> Survey {
    let mut survey = Survey {
        trunks: Vec::new(),
        problems: Vec::new(),
        places: Vec::new(),
        failed: Vec::new(),
        is_whole: false,
    };
    if let Err(message) = read_rows(source, &mut survey) {
        survey.problems = vec![problem("too-large", 0..0, message)];
        return survey;
    }
    let odd = odd_girths(&survey);
    survey.problems.extend(odd);
    survey.problems = in_order(std::mem::take(&mut survey.problems));
    survey
}

/// Reads heads and rows.
///
/// # Errors
/// What is larger than the reader takes.
fn read_rows(source: &str, survey: &mut Survey) -> Result<(), String> {
    if source.len() > LARGEST_FILE {
        let length = source.len();
        return Err(format!("the survey has {length} bytes, more than {LARGEST_FILE}"));
    }
    let separator = separator(source);
    let mut rows = records(source, separator).into_iter();
    let (span, header) = rows.next().unwrap_or((0..0, Vec::new()));
    if header.len() > MOST_COLUMNS {
        let found = header.len();
        return Err(format!("the survey has {found} columns, more than {MOST_COLUMNS}"));
    }
    if rows.len() > MOST_TRUNKS {
        return Err(format!("the survey has {} trunks, more than {MOST_TRUNKS}", rows.len()));
    }
    let columns = columns(span, &header, &mut survey.problems);
    let reader = RowReader { columns, separator };
    survey.is_whole = true;
    for (span, cells) in rows {
        reader.row(span, &cells, survey);
    }
    Ok(())
}

impl Draft {
    /// Adds the trunks of a survey's text behind those of the job file.
    pub fn add_survey(&mut self, text: &str) {
        let survey = read_survey(text);
        let first = self.job.trunks.len();
        self.reader.problems.extend(survey.problems);
        if first + survey.trunks.len() > MOST_TRUNKS {
            let message = format!("job and survey have more than {MOST_TRUNKS} trunks together");
            self.reader.problems.push(Problem::in_job("too-large", 0..0, message));
            return;
        }
        let rows = survey.trunks.into_iter().zip(survey.places).zip(survey.failed);
        for (index, ((trunk, (row, cells)), failed)) in rows.enumerate() {
            let path = KeyPath::new("trunk").element(first + index);
            self.reader.map.insert_survey(path.clone(), row);
            for field in Trunk::spec().fields {
                if let Some(cell) = cells.locate(&KeyPath::new(field.key)) {
                    self.reader.map.insert_survey(path.child(field.key), cell);
                }
            }
            self.reader.failed.extend(failed.iter().map(|key| path.child(key.as_str())));
            self.job.trunks.push(trunk);
        }
        self.has_all_trunks = survey.is_whole;
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

fn problem(code: &'static str, span: Range<usize>, message: impl Into<String>) -> Problem {
    Problem::new(code, Place::in_survey(span), message)
}

/// What a column holds.
fn kind(key: &str) -> Kind {
    match Trunk::spec().field(key) {
        Some(field) => (field.kind)(),
        None => Kind::Quantity(Length::DIMENSION),
    }
}

/// The column of a head without its unit: `Crown spread`, `GBH`.
fn column_of(name: &str) -> Option<&'static str> {
    let words: Vec<&str> = name
        .split(|c: char| c.is_whitespace() || c == '_' || c == '-')
        .filter(|word| !word.is_empty())
        .collect();
    let name = words.join("-").to_lowercase();
    let own = COLUMNS.iter().find(|(key, _)| *key == name).map(|(key, _)| *key);
    own.or_else(|| HEADS.iter().find(|(said, _)| *said == name).map(|(_, key)| *key))
}

/// The column of a head, and the unit that the head gives: `girth [cm]`, `girth (cm)`, `girth in cm`,
/// `girth, cm`, `girth_cm`.
fn read_head(written: &str) -> (Option<&'static str>, Option<String>) {
    if let Some((name, rest)) = written.split_once(['[', '(']) {
        let unit = rest.trim().trim_end_matches([']', ')']).trim().to_owned();
        return (column_of(name), Some(unit).filter(|unit| !unit.is_empty()));
    }
    if let Some(key) = column_of(written) {
        return (Some(key), None);
    }
    let Some((name, unit)) = written.rsplit_once([' ', '_', '/', ',']) else { return (None, None) };
    let name = name.trim().trim_end_matches(['/', ',']).trim();
    let name = name.strip_suffix(" in").unwrap_or(name);
    match column_of(name) {
        Some(key) if matches!(kind(key), Kind::Quantity(d) if d.find(unit).is_some()) => {
            (Some(key), Some(unit.to_owned()))
        }
        _ => (None, None),
    }
}

/// What to write instead of a head that names no column.
fn head_remedy(written: &str) -> String {
    let lower = written.to_lowercase();
    if lower.starts_with("dbh") || lower.trim() == "diameter" {
        return "a girth is needed, which is 3.142 times the diameter: write it under girth".into();
    }
    if lower.starts_with("diam") {
        let [toward, across] = DIAMETERS;
        return format!("write {toward} for the one toward the lamp, {across} for the other");
    }
    let keys = COLUMNS.map(|(key, _)| key);
    match text::nearest(written, keys) {
        Some(near) => format!("write {near} if that was meant; `why survey` lists the columns"),
        None => format!("its columns are {}", keys.join(", ")),
    }
}

/// Reads the header; `None` for a column that has been reported.
fn columns(row: Range<usize>, header: &[Cell], problems: &mut Vec<Problem>) -> Vec<Option<Column>> {
    let before = problems.len();
    let mut columns: Vec<Option<Column>> = Vec::new();
    for (span, written) in header {
        let (found, unit) = read_head(written);
        let bad = match found {
            None if written.is_empty() => {
                let remedy = "name the column, or leave it out";
                Some(
                    problem("unknown-key", span.clone(), "this column has no head")
                        .with_remedy(remedy),
                )
            }
            None => {
                let message = format!("a survey has no column {}", text::shown(written));
                let bad = problem("unknown-key", span.clone(), message);
                Some(bad.with_remedy(head_remedy(written)))
            }
            Some(key) if columns.iter().flatten().any(|c| c.key == key) => {
                let message = format!("the column {key} is there twice");
                Some(problem("bad-row", span.clone(), message).with_remedy("leave one of them out"))
            }
            Some(key) => match (kind(key), &unit) {
                (Kind::Quantity(dimension), Some(unit)) if dimension.find(unit).is_none() => {
                    let known = dimension.main_symbols();
                    let message = format!("{} is no unit for the column {key}", text::shown(unit));
                    let remedy = format!("the units are {known}");
                    Some(problem("bad-quantity", span.clone(), message).with_remedy(remedy))
                }
                _ => None,
            },
        };
        let is_sound = bad.is_none();
        problems.extend(bad);
        columns.push(found.filter(|_| is_sound).map(|key| Column { key, kind: kind(key), unit }));
    }
    // A head that cannot be read may be the one that is missing.
    if problems.len() == before {
        for needed in ["name", "girth"] {
            if !columns.iter().flatten().any(|c| c.key == needed) {
                let message = format!("the survey has no column {needed}");
                let remedy = format!("write {needed} over the column that has it");
                problems.push(problem("missing-key", row.clone(), message).with_remedy(remedy));
            }
        }
    }
    columns
}

/// What is the same for every row.
struct RowReader {
    columns: Vec<Option<Column>>,
    separator: u8,
}

impl RowReader {
    /// Reads one row as a trunk; what cannot be read is reported and stood in for.
    fn row(&self, row: Range<usize>, cells: &[Cell], survey: &mut Survey) {
        let problems = &mut survey.problems;
        if let Some((span, _)) = cells.get(self.columns.len()) {
            let message =
                format!("the row has {} cells, the header {}", cells.len(), self.columns.len());
            let remedy = "put quotes around a text with a separator in it";
            problems.push(problem("bad-row", span.clone(), message).with_remedy(remedy));
            survey.is_whole = false;
            return;
        }
        let mut reader = Reader { map: SourceMap::new(row.start), ..Reader::default() };
        // A column that is not there has been reported with the header.
        for needed in ["name", "girth"] {
            if !self.columns.iter().flatten().any(|c| c.key == needed) {
                reader.failed.insert(KeyPath::new(needed));
            }
        }
        let mut table = DeTable::new();
        // The cells of the keys that take several, by column.
        let mut parts: BTreeMap<&str, Spanned<DeValue<'_>>> = BTreeMap::new();
        let joined = |column: &str| JOINED.iter().find(|(_, columns)| columns.contains(&column));
        for (column, (span, written)) in self.columns.iter().zip(cells) {
            let Some(column) = column else { continue };
            if written.is_empty() {
                continue;
            }
            let value = match self.value(column, written) {
                Ok(value) => Spanned::new(span.clone(), value),
                Err((message, remedy)) => {
                    let bad = problem("bad-quantity", span.clone(), message);
                    problems.push(bad.with_remedy(remedy).with_key(KeyPath::new(column.key)));
                    let key = joined(column.key).map_or(column.key, |(key, _)| key);
                    reader.failed.insert(KeyPath::new(key));
                    continue;
                }
            };
            if joined(column.key).is_some() {
                parts.insert(column.key, value);
            } else {
                table.insert(Spanned::new(span.clone(), column.key.into()), value);
            }
        }
        for (key, columns) in JOINED {
            let (filled, empty): (Vec<&str>, Vec<&str>) =
                columns.iter().partition(|column| parts.contains_key(*column));
            let Some(span) = filled.first().and_then(|column| parts.get(column)).map(Spanned::span)
            else {
                continue;
            };
            if empty.is_empty() {
                let mut all = DeArray::new();
                filled.iter().filter_map(|column| parts.remove(column)).for_each(|v| all.push(v));
                let key = Spanned::new(span.clone(), key.into());
                table.insert(key, Spanned::new(span, DeValue::Array(all)));
            } else if !reader.failed.contains(&KeyPath::new(key)) {
                let message = format!("{} without {}", filled.join(" and "), empty.join(" and "));
                let remedy = format!("fill in {}, or none of them", columns.join(", "));
                problems.push(problem("bad-row", span, message).with_remedy(remedy));
            }
        }
        let root = KeyPath::new("");
        let keys: Vec<_> = Trunk::spec().fields.iter().map(|f| f.key).collect();
        let trunk = Trunk::from_fields(&mut Fields::new(Some(&table), &root, &keys, &mut reader));
        problems.extend(reader.problems.into_iter().map(|mut p| {
            if p.code == "missing-key" {
                p.place.span = row.clone();
                p.message = "this cell is empty".into();
            }
            Problem { place: Place::in_survey(p.place.span.clone()), ..p }
        }));
        survey.trunks.push(trunk);
        survey.places.push((row, reader.map));
        survey.failed.push(reader.failed);
    }

    /// A cell as the job file would have it.
    ///
    /// # Errors
    /// What is wrong with it, and what to write.
    fn value<'c>(
        &self,
        column: &Column,
        written: &'c str,
    ) -> Result<DeValue<'c>, (String, String)> {
        let word = |text: String| DeValue::String(text.into());
        Ok(match &column.kind {
            Kind::Quantity(dimension) => {
                let own = dimension.own_unit();
                let unit = column.unit.as_deref().unwrap_or(own);
                let reads = |text: &String| parse::number_in(text, dimension, own).is_ok();
                // A bare number takes the unit of the head, any other text has its own.
                let with_unit = |text: String| {
                    let counted = format!("{text} {unit}");
                    if reads(&counted) { counted } else { text }
                };
                match self.decimal(written).into_iter().map(with_unit).find(reads) {
                    Some(text) => word(text),
                    None => {
                        let error = parse::number_in(written, dimension, own).err();
                        let range = Trunk::spec().field(column.key).and_then(|f| f.range.as_ref());
                        let remedy = meant::quantity(written, dimension, range)
                            .unwrap_or_else(|| format!("write {}", column.kind.expected()));
                        return Err((error.map_or_else(String::new, |e| e.to_string()), remedy));
                    }
                }
            }
            Kind::Flag => match written.to_lowercase().as_str() {
                "yes" | "y" | "x" | "true" | "1" => DeValue::Boolean(true),
                "no" | "n" | "-" | "false" | "0" => DeValue::Boolean(false),
                _ => word(written.to_owned()),
            },
            Kind::Count | Kind::Number => match DeValue::parse(written).map(Spanned::into_inner) {
                Ok(number @ (DeValue::Integer(_) | DeValue::Float(_))) => number,
                _ => word(written.to_owned()),
            },
            _ => word(written.to_owned()),
        })
    }

    /// The cell with decimal points. Where cells are not separated by commas, or no three digits
    /// follow it, a comma can only be the decimal mark.
    fn decimal(&self, written: &str) -> Vec<String> {
        let readings = meant::decimal_points(written);
        match readings.len() {
            1 => readings,
            _ if self.separator != b',' => readings.into_iter().skip(1).collect(),
            _ => vec![written.to_owned()],
        }
    }
}

/// Girths that another unit would bring among the others: one warning for each slip, at the first.
fn odd_girths(survey: &Survey) -> Vec<Problem> {
    let girth = KeyPath::new("girth");
    let rows: Vec<_> = survey
        .trunks
        .iter()
        .zip(&survey.places)
        .zip(&survey.failed)
        .filter(|(_, failed)| !failed.contains(&girth))
        .map(|((trunk, (row, cells)), _)| {
            (trunk, cells.locate(&girth).unwrap_or_else(|| row.clone()))
        })
        .collect();
    let mut sorted: Vec<f64> = rows.iter().map(|(trunk, _)| trunk.girth.get()).collect();
    sorted.sort_by(f64::total_cmp);
    let Some(median) = sorted.get(sorted.len() / 2) else { return Vec::new() };
    if sorted.len() < ENOUGH_FOR_MEDIAN {
        return Vec::new();
    }
    let is_like =
        |girth: f64| (1.0 / LIKE_THE_OTHERS..=LIKE_THE_OTHERS).contains(&(girth / median));
    let slip_of = |girth: f64| {
        SLIPS.iter().position(|(factor, _)| !is_like(girth) && is_like(girth * factor))
    };
    let mut warnings = Vec::new();
    for (slip, (factor, cause)) in SLIPS.iter().enumerate() {
        let odd: Vec<_> =
            rows.iter().filter(|(t, _)| slip_of(t.girth.get()) == Some(slip)).collect();
        let Some(((first, span), others)) = odd.split_first() else { continue };
        let median = trimmed(*median, 0);
        let meant = Length::mm(first.girth.get() * factor);
        let (message, remedy) = if others.is_empty() {
            (
                format!(
                    "the girth of {} is {} and the survey's median {median} mm; it may be {cause}",
                    text::shown(&first.name),
                    first.girth
                ),
                format!("measure again; {meant:.0} would be like the others"),
            )
        } else {
            let names: Vec<&str> = odd.iter().map(|(t, _)| t.name.as_str()).collect();
            (
                format!(
                    "the girths of {} trunks are far from the survey's median of {median} mm; they may be {cause}: {}",
                    odd.len(),
                    text::listed(&names)
                ),
                format!(
                    "measure again; for {} {meant:.0} would be like the others",
                    text::shown(&first.name)
                ),
            )
        };
        let warning = problem("odd-girth", span.clone(), message)
            .with_key(girth.clone())
            .with_remedy(remedy)
            .with_severity(Severity::Warning);
        warnings.push(warning);
    }
    warnings
}

/// The separator that the first written line has most of; a comma when it has none.
fn separator(source: &str) -> u8 {
    let mut lines = source.trim_start_matches('\u{FEFF}').lines();
    let header = lines.find(|l| !l.trim().is_empty() && !l.starts_with('#')).unwrap_or("");
    [b',', b';', b'\t']
        .into_iter()
        .rev()
        .max_by_key(|d| header.bytes().filter(|b| b == d).count())
        .unwrap_or(b',')
}

/// Every record with its range and its cells, trimmed.
fn records(source: &str, separator: u8) -> Vec<(Range<usize>, Vec<Cell>)> {
    let bom = source.len() - source.trim_start_matches('\u{FEFF}').len();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
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
        let ranges = cell_ranges(source, from, separator);
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
fn cell_ranges(source: &str, from: usize, separator: u8) -> Vec<Range<usize>> {
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
        if ends_line || (!quoted && byte == Some(separator)) {
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
