//! Names and lines of text, and the nearest word to a misspelt one.

use std::ops::RangeInclusive;

/// Most characters in a line of free text.
const LONGEST_LINE: usize = 500;
/// Characters of a wrong text that a message repeats.
const SHOWN: usize = 40;
/// Likeness from which a word counts as a misspelling of another (Jaro-Winkler; by experience).
const ALIKE: f64 = 0.8;

/// A name: trimmed, without control characters and without what no file name may have.
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
    if let Some(bad) = clean.chars().find(|c| "/\\:*?\"<>|".contains(*c)) {
        return Err(format!("has a `{bad}`, which no file name may have"));
    }
    if clean.starts_with('.') || clean.ends_with('.') {
        return Err("begins or ends with a point, which hides or breaks a file name".into());
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
    let mut short: String = text.chars().take(SHOWN).flat_map(char::escape_debug).collect();
    if text.chars().count() > SHOWN {
        short.push_str("...");
    }
    format!("\"{short}\"")
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
