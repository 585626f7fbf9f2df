//! Names and lines of text, and the nearest word to a misspelt one.

use std::ops::{Range, RangeInclusive};

/// Most characters in a line of free text.
const LONGEST_LINE: usize = 500;
/// Characters of a wrong text that a message repeats.
const SHOWN: usize = 40;
/// Likeness from which a word counts as a misspelling of another (Jaro-Winkler; by experience).
const ALIKE: f64 = 0.8;

/// A name: one line of ordinary text within a number of characters. No file is named after it.
///
/// # Errors
/// What is wrong with it, as a phrase that follows the key.
pub(crate) fn name(written: &str, characters: &RangeInclusive<f64>) -> Result<String, String> {
    let clean = line(written)?;
    let count = clean.chars().count();
    if clean.is_empty() {
        return Err("is empty".into());
    }
    if !characters.contains(&(count as f64)) {
        let (least, most) = characters.clone().into_inner();
        return Err(format!("has {count} characters, outside {least} to {most}"));
    }
    Ok(clean)
}

/// One line of text, trimmed.
///
/// # Errors
/// What is wrong with it, as a phrase that follows the key.
pub(crate) fn line(written: &str) -> Result<String, String> {
    if let Some(bad) = written.chars().find(|c| is_invisible(*c)) {
        return Err(format!("has the control character U+{:04X}", bad as u32));
    }
    let clean = written.trim();
    let count = clean.chars().count();
    if count > LONGEST_LINE {
        return Err(format!("has {count} characters, more than {LONGEST_LINE}"));
    }
    Ok(clean.to_owned())
}

/// Controls, line and paragraph separators, and marks that turn the reading direction.
fn is_invisible(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
}

/// The text in quotes, cut when it is long, with controls made visible.
pub(crate) fn shown(text: &str) -> String {
    format!("\"{}\"", short(text))
}

/// The text, cut when it is long, with controls made visible.
pub(crate) fn short(text: &str) -> String {
    let mut short: String = text.chars().take(SHOWN).flat_map(char::escape_debug).collect();
    if text.chars().nth(SHOWN).is_some() {
        short.push_str("...");
    }
    short
}

/// Names in quotes, as many as one reads; the rest is counted.
pub(crate) fn listed(names: &[&str]) -> String {
    enumerated(names.iter().map(|name| shown(name)))
}

/// Items as in a sentence, as many as one reads: `a, b and c`; the rest is counted.
pub(crate) fn enumerated(items: impl IntoIterator<Item = String>) -> String {
    /// More would fill the screen.
    const MOST_ITEMS: usize = 12;
    let mut items: Vec<String> = items.into_iter().collect();
    if items.len() > MOST_ITEMS {
        let rest = items.len() - MOST_ITEMS;
        return format!("{} and {rest} more", items[..MOST_ITEMS].join(", "));
    }
    match items.pop() {
        Some(last) if !items.is_empty() => format!("{} and {last}", items.join(", ")),
        last => last.unwrap_or_default(),
    }
}

/// Where the lines of a text begin, so that the line of a place is found without reading the text
/// again for each place.
pub(crate) struct Lines<'a> {
    source: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    pub(crate) fn of(source: &'a str) -> Self {
        let starts = std::iter::once(0).chain(source.match_indices('\n').map(|(i, _)| i + 1));
        Self { source, starts: starts.collect() }
    }

    /// Index of the line that holds a byte, from 0.
    fn index(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start <= at).saturating_sub(1)
    }

    /// The whole lines in which a range lies.
    pub(crate) fn around(&self, span: &Range<usize>) -> Range<usize> {
        let end = self.starts.get(self.index(span.end) + 1).copied();
        self.starts[self.index(span.start)]..end.unwrap_or(self.source.len())
    }

    /// The number of the line that holds a byte, from 1.
    pub(crate) fn line(&self, at: usize) -> usize {
        self.index(at) + 1
    }
}

/// The word most like the written one, when it is alike enough to be meant.
pub(crate) fn nearest<'a>(
    written: &str,
    words: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    if written.len() > 4 * SHOWN {
        return None;
    }
    let written = written.to_lowercase().replace('_', "-");
    words
        .into_iter()
        .map(|word| (strsim::jaro_winkler(&written, &word.to_lowercase()), word))
        .filter(|(likeness, _)| *likeness >= ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}
