//! Shows mistakes and findings to whoever lights trees: where it is, what is wrong, what to do, and
//! the name under which `why` says more.
//!
//! Each is a block of a heading and a few labelled lines, all within `WIDTH` columns. Its own words
//! are plain ASCII, and colour says nothing that the words do not. The functions return text; the
//! caller decides whether it is coloured and where it goes.

use std::fmt::Write;
use std::ops::Range;

use crate::finding::{Finding, KeyPath, Severity};
use crate::formats::drawing::clean;
use crate::params::{Origin, Place, Problem, SourceMap};

/// Most blocks in one report; a count of the rest follows.
const MOST_BLOCKS: usize = 50;
/// Columns of a report: those of a terminal that nobody has widened.
const WIDTH: usize = 80;
/// Columns of a label with the blanks before and after it.
const LABEL: usize = 8;
/// Characters of a line of the file that are shown; more would not help.
const LONGEST_LINE: usize = 60;

/// A text and the name to show for it.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// The file's name, as the user gave it.
    pub name: &'a str,
    /// Its text.
    pub text: &'a str,
}

/// The texts that places refer to.
#[derive(Debug, Clone, Copy)]
pub struct Sources<'a> {
    /// The job file.
    pub job: Source<'a>,
    /// The survey, when the job has one.
    pub survey: Option<Source<'a>>,
}

impl<'a> Sources<'a> {
    fn of(&self, origin: Origin) -> Source<'a> {
        match (origin, self.survey) {
            (Origin::Survey, Some(survey)) => survey,
            _ => self.job,
        }
    }

    /// Where something stands: `pear.toml, line 10, trunk 1, girth`. `key` is left out where there is
    /// none.
    fn place(&self, place: &Place, key: Option<&KeyPath>) -> String {
        if let Some(given) = &place.given {
            return given.clone();
        }
        let source = self.of(place.origin);
        let mut text = source.name.to_owned();
        let at = source.text.floor_char_boundary(place.span.start);
        let is_behind = !source.text.is_empty() && at >= source.text.trim_end().len();
        let number = 1 + source.text[..at].matches('\n').count();
        match place.origin {
            Origin::Survey => _ = write!(text, ", row {number}"),
            // A key that is not written, nor its table, has no line of its own.
            Origin::JobFile if is_behind && key.is_some() => {}
            Origin::JobFile if is_behind => text.push_str(", at the end"),
            Origin::JobFile => _ = write!(text, ", line {number}"),
        }
        if let Some(key) = key {
            let told = match place.origin {
                Origin::Survey => key.as_str().rsplit('.').next().unwrap_or_default().to_owned(),
                Origin::JobFile => spoken(key),
            };
            if !told.is_empty() {
                let _ = write!(text, ", {told}");
            }
        }
        text
    }
}

/// A key as one says it: elements are counted from 1, as in `trunk 3, girth`.
fn spoken(key: &KeyPath) -> String {
    let mut text = String::new();
    let mut rest = key.as_str();
    while let Some((before, after)) = rest.split_once('[') {
        let Some((index, behind)) = after.split_once(']') else { break };
        let Ok(index) = index.parse::<usize>() else { break };
        let _ = write!(text, "{before} {}", index.saturating_add(1));
        rest = behind.strip_prefix('.').map_or(behind, |name| {
            text.push_str(", ");
            name
        });
    }
    text + rest
}

/// How a report looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Letters only: files, pipes, `NO_COLOR`.
    Plain,
    /// ANSI colours, for a terminal.
    Coloured,
}

impl Style {
    /// A word in bold and in the colour of its weight, where there are colours.
    #[must_use]
    pub fn word(self, word: &str, severity: Severity) -> String {
        let colour = match severity {
            Severity::Error => 31,
            Severity::Warning => 33,
            Severity::Note => 36,
        };
        match self {
            Self::Plain => word.to_owned(),
            Self::Coloured => format!("\u{1b}[1;{colour}m{word}\u{1b}[0m"),
        }
    }
}

/// Mistakes in the input and notes about it, each as a block.
#[must_use]
pub fn problems(sources: &Sources<'_>, problems: &[Problem], style: Style) -> String {
    let severities: Vec<Severity> = problems.iter().map(|p| p.severity).collect();
    let blocks = problems.iter().map(|problem| {
        let mut block = Block::new(sources.place(&problem.place, problem.key.as_ref()));
        block.row("what", &sentence(&problem.message));
        if problem.shows_line {
            block.row("line", &line_at(sources.of(problem.place.origin), &problem.place.span));
        }
        for (key, place) in &problem.also {
            block.row("see", &sources.place(place, Some(key)));
        }
        if let Some(remedy) = &problem.remedy {
            block.row("do", &capital(remedy));
        }
        block.row("why", &format!("bolewright why {}", problem.code));
        block
    });
    joined(blocks, "Mistake", &severities, style)
}

/// That a run has ended early, and why.
#[must_use]
pub(crate) fn stopped(why: &str, style: Style) -> String {
    /// Begins the line.
    const WORD: &str = "Stopped:";
    let text = wrapped(&clean(&format!("{WORD} {why}")), WIDTH - 2).join("\n  ");
    text.replacen(WORD, &style.word(WORD, Severity::Error), 1)
}

/// Findings of the checks, each as a block at the first of its keys.
#[must_use]
pub(crate) fn findings(
    sources: &Sources<'_>,
    map: &SourceMap,
    findings: &[Finding],
    style: Style,
) -> String {
    let severities: Vec<Severity> = findings.iter().map(|f| f.severity).collect();
    let blocks = findings.iter().map(|finding| {
        let (first, others) = match finding.keys.split_first() {
            Some((first, others)) => (Some(first), others),
            None => (None, &[][..]),
        };
        let mut block = Block::new(match first {
            Some(key) => told_place(sources, map, key),
            None => sources.job.name.to_owned(),
        });
        block.row("what", &sentence(&finding.message));
        match (&finding.measured, &finding.limit) {
            (Some(measured), Some(limit)) => {
                block.row("found", &format!("{measured}; limit: {limit}"));
            }
            (Some(measured), None) => block.row("found", measured),
            _ => {}
        }
        if !finding.parts.is_empty() {
            let parts = finding.parts.join(", ");
            block.row(
                "parts",
                &match finding.severity {
                    Severity::Error => format!("{parts}: not written until this is put right"),
                    _ => parts,
                },
            );
        }
        for key in others {
            block.row("see", &told_place(sources, map, key));
        }
        for remedy in &finding.remedies {
            block.row("do", &format!("{}: {}", spoken(&remedy.key), remedy.text()));
        }
        block.row("why", &format!("bolewright why {}", finding.code));
        block
    });
    joined(blocks, "Error", &severities, style)
}

/// Where a key stands, or that its default holds.
fn told_place(sources: &Sources<'_>, map: &SourceMap, key: &KeyPath) -> String {
    let place = map.place(key);
    let text = sources.place(&place, Some(key));
    // Of a table it is not said: it has no default of its own.
    let is_table = map.locate(key).is_none() && !key.as_str().contains('.');
    if map.is_told(key) || place.given.is_some() || place.origin == Origin::Survey || is_table {
        text
    } else {
        format!("{text} (not written: its default holds)")
    }
}

/// The line in which a range begins, shortened.
fn line_at(source: Source<'_>, span: &Range<usize>) -> String {
    let at = source.text.floor_char_boundary(span.start.min(source.text.len()));
    let start = source.text[..at].rfind('\n').map_or(0, |i| i + 1);
    let line = source.text[start..].lines().next().unwrap_or_default().trim();
    let mut short: String = line.chars().take(LONGEST_LINE).collect();
    if line.chars().nth(LONGEST_LINE).is_some() {
        short.push_str("...");
    }
    short
}

/// A heading, and rows of a label and a text.
struct Block {
    place: String,
    rows: Vec<(&'static str, String)>,
}

impl Block {
    fn new(place: String) -> Self {
        Self { place, rows: Vec::new() }
    }

    fn row(&mut self, label: &'static str, text: &str) {
        self.rows.push((label, text.to_owned()));
    }

    /// The block with its heading: `Mistake 1 of 3: pear.toml, line 10, trunk 1, girth`.
    fn told(&self, word: &str, severity: Severity, style: Style, into: &mut String) {
        let heading = format!("{word}: {}", clean(&self.place));
        for (n, line) in wrapped(&heading, WIDTH - 2).iter().enumerate() {
            let line = match line.strip_prefix(word).filter(|_| n == 0) {
                Some(rest) => style.word(word, severity) + rest,
                None => format!("  {line}"),
            };
            into.push_str(&line);
            into.push('\n');
        }
        let mut last = "";
        for (label, text) in &self.rows {
            for (n, line) in wrapped(&clean(text), WIDTH - LABEL).iter().enumerate() {
                // Several rows of one label are one list.
                let label = if n == 0 && *label != last { *label } else { "" };
                let row = format!("  {label:<width$}{line}", width = LABEL - 2);
                into.push_str(row.trim_end());
                into.push('\n');
            }
            last = label;
        }
        into.push('\n');
    }
}

/// All blocks, numbered within their severity; `error` is what the gravest are called.
fn joined(
    blocks: impl Iterator<Item = Block>,
    error: &str,
    severities: &[Severity],
    style: Style,
) -> String {
    let mut text = String::new();
    for (n, (block, &severity)) in blocks.zip(severities).take(MOST_BLOCKS).enumerate() {
        let name = match severity {
            Severity::Error => error,
            Severity::Warning => "Warning",
            Severity::Note => "Note",
        };
        let count = |all: &[Severity]| all.iter().filter(|s| **s == severity).count();
        let word = match (count(&severities[..=n]), count(severities)) {
            (_, 1) => name.to_owned(),
            (this, all) => format!("{name} {this} of {all}"),
        };
        block.told(&word, severity, style, &mut text);
    }
    if severities.len() > MOST_BLOCKS {
        let _ = writeln!(text, "And {} more.\n", severities.len() - MOST_BLOCKS);
    }
    text
}

/// Text cut at blanks; a word longer than a line stands alone.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > width {
            lines.push(String::new());
            used = 0;
        }
        let Some(line) = lines.last_mut() else { break };
        if used > 0 {
            line.push(' ');
            used += 1;
        }
        line.push_str(word);
        used += length;
    }
    lines
}

/// A phrase as a sentence: a capital first, a full stop last.
fn sentence(phrase: &str) -> String {
    let mut text = capital(phrase);
    if !text.ends_with(['.', '?', '!']) {
        text.push('.');
    }
    text
}

/// A phrase with a capital, unless it begins with a name such as `cradle-a` or `strap.width`.
fn capital(phrase: &str) -> String {
    let first = phrase.split_whitespace().next().unwrap_or_default();
    let word = first.trim_end_matches([',', ':', ';']);
    let mut chars = phrase.chars();
    match chars.next() {
        Some(c) if word.chars().all(|c| c.is_ascii_lowercase()) => {
            c.to_uppercase().chain(chars).collect()
        }
        _ => phrase.to_owned(),
    }
}

/// How many there are: `2 errors, 1 warning`; `no findings` when there are none.
#[must_use]
pub(crate) fn summary(errors: usize, warnings: usize, notes: usize) -> String {
    let counted = [(errors, "error"), (warnings, "warning"), (notes, "note")]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}{}", if count == 1 { "" } else { "s" }))
        .collect::<Vec<_>>()
        .join(", ");
    if counted.is_empty() { "no findings".into() } else { counted }
}

/// [`summary`] of the notes about the input and of the findings.
#[must_use]
pub(crate) fn summary_of(notices: &[Problem], findings: &[Finding]) -> String {
    let all = notices.iter().map(|p| p.severity).chain(findings.iter().map(|f| f.severity));
    let all: Vec<Severity> = all.collect();
    let count = |severity| all.iter().filter(|s| **s == severity).count();
    summary(count(Severity::Error), count(Severity::Warning), count(Severity::Note))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::read;

    const JOB: &str = include_str!("../../params/one-lamp.toml");

    fn sources(text: &str) -> Sources<'_> {
        Sources { job: Source { name: "pear.toml", text }, survey: None }
    }

    #[test]
    fn a_problem_tells_where_it_is_what_is_wrong_and_what_to_write() {
        let text = JOB
            .replace("\"88 cm\"", "0.88")
            .replace("depth = 42", "dpeth = 42")
            .replace("mass = \"480 g\"", "mass = 480 g");
        let found = read(&text).unwrap_err();
        let shown = problems(&sources(&text), &found, Style::Plain);
        insta::assert_snapshot!(shown, @r#"
Mistake 1 of 3: pear.toml, line 10, trunk 1, girth
  what  0.88 mm is outside the range of 250 to 6000 mm.
  do    Write "0.88 m" if that was meant; a bare number is in mm
  why   bolewright why out-of-range

Mistake 2 of 3: pear.toml, line 16, fixture.dpeth
  what  The table fixture has no key "dpeth".
  do    Write depth if that was meant
  why   bolewright why unknown-key

Mistake 3 of 3: pear.toml, line 17
  what  This line cannot be read.
  line  mass = 480 g
  do    Write mass = "480 g"
  why   bolewright why not-toml
"#);
    }

    #[test]
    fn a_repeated_name_tells_both_places() {
        let text = format!("{JOB}\n[[trunk]]\nname = \"Pear\"\ngirth = 700\n");
        let found = read(&text).unwrap_err();
        let shown = problems(&sources(&text), &found, Style::Plain);
        insta::assert_snapshot!(shown, @r#"
Mistake: pear.toml, line 26, trunk 2, name
  what  Another trunk is called "Pear" too.
  see   pear.toml, line 9, trunk 1, name
  do    Give each trunk its own name; capitals do not count
  why   bolewright why duplicate-name
"#);
    }

    #[test]
    fn a_finding_tells_what_was_found_and_what_is_allowed() {
        let text = format!("{JOB}\n[strap]\nclearance = 0.3\n");
        let map = read(&text).unwrap().source_map;
        let found = [
            Finding::new("passage-too-tight", Severity::Error, "the strap's passage is too tight")
                .measured("0.3 mm", "at least 0.6 mm")
                .part("cradle-a")
                .key("strap.clearance")
                .key("strap.width")
                .remedy("strap.clearance", "at least 0.6 mm"),
            Finding::new("pad-thin", Severity::Warning, "the pad is thin")
                .measured("10 mm", "at least 12 mm")
                .key("pad.thickness")
                .key("trunk[0].girth"),
            Finding::new("no-place", Severity::Note, "nothing to point at").key("site.gust"),
        ];
        let shown = findings(&sources(&text), &map, &found, Style::Plain);
        insta::assert_snapshot!(shown, @r#"
Error: pear.toml, line 26, strap.clearance
  what  The strap's passage is too tight.
  found 0.3 mm; limit: at least 0.6 mm
  parts cradle-a: not written until this is put right
  see   pear.toml, line 25, strap.width (not written: its default holds)
  do    strap.clearance: at least 0.6 mm
  why   bolewright why passage-too-tight

Warning: pear.toml, pad.thickness (not written: its default holds)
  what  The pad is thin.
  found 10 mm; limit: at least 12 mm
  see   pear.toml, line 10, trunk 1, girth
  why   bolewright why pad-thin

Note: pear.toml, site.gust (not written: its default holds)
  what  Nothing to point at.
  why   bolewright why no-place
"#);
        assert_eq!(summary_of(&[], &found), "1 error, 1 warning, 1 note");
        assert_eq!(summary(0, 0, 0), "no findings");
        assert_eq!(summary(2, 0, 0), "2 errors");
    }

    #[test]
    fn colour_is_asked_for_and_terminal_commands_in_the_file_are_not_passed_on() {
        let text = JOB.replace("\"88 cm\"", "\"88 \u{1b}[31mcm\"").replace("[job]", "[j\u{e4}b]");
        let found = read(&text).unwrap_err();
        let plain = problems(&sources(&text), &found, Style::Plain);
        assert!(!plain.contains('\u{1b}'), "{plain}");
        let text = JOB.replace("\"88 cm\"", "1");
        let found = read(&text).unwrap_err();
        let coloured = problems(&sources(&text), &found, Style::Coloured);
        assert!(coloured.contains('\u{1b}'));
        // Without its colours it is the same text.
        let bare = coloured.replace("\u{1b}[1;31m", "").replace("\u{1b}[0m", "");
        assert_eq!(bare, problems(&sources(&text), &found, Style::Plain));
    }

    #[test]
    fn a_long_report_is_cut_with_a_count_and_keeps_to_its_columns() {
        let text: String =
            (0..60).map(|i| format!("[a-rather-long-name-of-a-table-{i}]\n")).collect();
        let found = read(&text).unwrap_err();
        let shown = problems(&sources(&text), &found, Style::Plain);
        assert!(
            shown.ends_with(&format!("And {} more.\n\n", found.len() - MOST_BLOCKS)),
            "{shown}"
        );
        for line in shown.lines() {
            assert!(line.is_ascii() && line.len() <= WIDTH, "{line}");
        }
    }

    #[test]
    fn keys_are_told_as_one_says_them() {
        for (key, said) in [
            ("strap.width", "strap.width"),
            ("trunk[0].girth", "trunk 1, girth"),
            ("printer.bed[2]", "printer.bed 3"),
            ("fixture.mount.holes.points[1][0]", "fixture.mount.holes.points 2 1"),
            ("programme.part[1].level", "programme.part 2, level"),
        ] {
            assert_eq!(spoken(&KeyPath::new(key)), said);
        }
    }

    #[test]
    fn sentences_begin_with_a_capital_but_names_stay_as_they_are() {
        assert_eq!(sentence("the pad is thin"), "The pad is thin.");
        assert_eq!(sentence("cradle-a hangs free"), "cradle-a hangs free.");
        assert_eq!(sentence("0 kg is too little"), "0 kg is too little.");
        assert_eq!(capital("write \"88 cm\""), "Write \"88 cm\"");
        assert_eq!(capital("feed.back: at least 3 m"), "feed.back: at least 3 m");
    }
}
