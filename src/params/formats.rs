//! Job files of earlier formats: keys by their old names are taken for the new ones.
//!
//! The tree of the file is changed before anything is read from it, and every value keeps its place
//! in the text, so that messages lead to the old key. One note gives the new names. Nothing but
//! names has changed between format 1 and [`FORMAT`]: a file of either makes the same parts.

use toml::de::{DeTable, DeValue};

use super::FORMAT;
use super::problem::Problem;
use crate::finding::{KeyPath, Severity};

/// A key of format 1 and its name since format 2.
pub(crate) struct Renamed {
    /// The table that holds it; empty at the top of the file.
    pub(crate) table: &'static str,
    /// Its name in format 1.
    pub(crate) old: &'static str,
    /// Its name now.
    pub(crate) new: &'static str,
}

/// Every key that has another name since format 2.
pub(crate) const RENAMED: [Renamed; 6] = [
    Renamed { table: "", old: "entry", new: "gland" },
    Renamed { table: "", old: "outlook", new: "glare" },
    Renamed { table: "", old: "show", new: "programme" },
    Renamed { table: "pad", old: "reach", new: "max-width-ratio" },
    Renamed { table: "printer", old: "skins", new: "solid-layers" },
    Renamed { table: "printer", old: "walls", new: "wall-lines" },
];

impl Renamed {
    /// A name as it is written in a file: `[[gland]]`, `[programme]`, `pad.max-width-ratio`.
    fn written(&self, name: &str, value: &DeValue<'_>) -> String {
        match (self.table, value) {
            ("", DeValue::Array(_)) => format!("[[{name}]]"),
            ("", _) => format!("[{name}]"),
            (table, _) => format!("{table}.{name}"),
        }
    }
}

/// The number of the file's format, when it says one that can be read.
pub(crate) fn written_format(tree: &DeTable<'_>) -> Option<i64> {
    let number = tree.get("job")?.get_ref().as_table()?.get("format")?.get_ref().as_integer()?;
    Some(i64::from_str_radix(number.as_str(), number.radix()).unwrap_or(i64::MAX))
}

/// Gives every key of an earlier format its present name, and reports it: one note, and a mistake
/// for each key that is written under both names. A file that says to be of this format is left
/// as it is.
pub(crate) fn modernise(tree: &mut DeTable<'_>) -> Vec<Problem> {
    if written_format(tree).is_some_and(|format| format >= i64::from(FORMAT)) {
        return Vec::new();
    }
    let mut told: Vec<Problem> = Vec::new();
    let mut changes = Vec::new();
    let mut first = None;
    for renamed in &RENAMED {
        let table = match renamed.table {
            "" => Some(&mut *tree),
            name => match tree.get_mut(name).map(toml::Spanned::get_mut) {
                Some(DeValue::Table(inner)) => Some(inner),
                _ => None,
            },
        };
        let Some(table) = table else { continue };
        let Some((key, value)) = table.remove_entry(renamed.old) else { continue };
        let (old, new) = (
            renamed.written(renamed.old, value.get_ref()),
            renamed.written(renamed.new, value.get_ref()),
        );
        if table.contains_key(renamed.new) {
            let message = format!("{old} is the earlier name of {new}, and both are written");
            told.push(
                Problem::in_job("contradiction", key.span(), message)
                    .with_key(KeyPath::new(renamed.table).child(renamed.new))
                    .with_remedy(format!("keep {new} alone")),
            );
            continue;
        }
        if first.as_ref().is_none_or(|f: &std::ops::Range<usize>| key.span().start < f.start) {
            first = Some(key.span());
        }
        changes.push(format!("{old} is now {new}"));
        table.insert(toml::Spanned::new(key.span(), renamed.new.into()), value);
    }
    if let Some(first) = first {
        let count = match changes.len() {
            1 => "one key has".to_owned(),
            n => format!("{n} keys have"),
        };
        let message = format!(
            "the file is of format 1, and {count} another name since format {FORMAT}; it is read all the same"
        );
        let remedy = format!("at the next change of the file: {}", changes.join("; "));
        told.push(
            Problem::in_job("older-format", first, message)
                .with_remedy(remedy)
                .with_severity(Severity::Note),
        );
    }
    told
}
