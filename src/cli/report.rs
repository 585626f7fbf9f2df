//! Shows problems and findings at their place in the job file or the survey.
//!
//! Each is a block: code and message, the line with the value marked, what was found and what is
//! allowed, and a `help:` line with what to do. The functions return text; the caller decides
//! whether it is coloured and where it goes.

use std::borrow::Cow;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Element, Group, Level, Renderer, Snippet};

use crate::finding::KeyPath;
use crate::finding::{Finding, Severity};
use crate::params::{Origin, Problem, SourceMap};

/// Most blocks in one report; a count of the rest follows.
const MOST_BLOCKS: usize = 50;
/// Columns of a report.
const WIDTH: usize = 100;

/// A text and the name to show for it.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// The file's name, as the user gave it.
    pub name: &'a str,
    /// Its text.
    pub text: &'a str,
}

/// Shown for a control character of the second kind (U+0080 to U+009F): as many bytes long, so
/// that places stay.
const CONTROL: char = '\u{B7}';

/// The text as a terminal may show it. The renderer makes the controls below U+0080 visible; some
/// terminals take those above for commands as well.
fn tame(text: &str) -> Cow<'_, str> {
    let is_upper_control = |c: char| ('\u{80}'..='\u{9F}').contains(&c);
    if text.contains(is_upper_control) {
        text.chars().map(|c| if is_upper_control(c) { CONTROL } else { c }).collect()
    } else {
        Cow::Borrowed(text)
    }
}

/// The texts that spans refer to.
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
    fn renderer(self) -> Renderer {
        match self {
            Self::Plain => Renderer::plain(),
            Self::Coloured => Renderer::styled(),
        }
        .term_width(WIDTH)
    }
}

/// Mistakes of the input, each as a block; `severity` is what they count as.
#[must_use]
pub fn problems(
    sources: &Sources<'_>,
    problems: &[Problem],
    severity: Severity,
    style: Style,
) -> String {
    let blocks = problems.iter().map(|problem| {
        let source = sources.of(problem.origin);
        let mut snippet = marked(source, &problem.span, String::new());
        for (span, label) in &problem.secondary {
            let span = within(source.text, span);
            snippet = snippet.annotation(AnnotationKind::Context.span(span).label(clean(label)));
        }
        let mut elements = vec![Element::from(snippet)];
        elements.extend(problem.remedy.iter().map(|r| Level::HELP.message(clean(r)).into()));
        block(severity, problem.code, &problem.message, elements)
    });
    rendered(blocks, problems.len(), style)
}

/// Findings of the checks, each as a block at the first of its keys.
#[must_use]
pub fn findings(
    sources: &Sources<'_>,
    map: &SourceMap,
    findings: &[Finding],
    style: Style,
) -> String {
    let blocks = findings.iter().map(|finding| {
        let mut elements = places(sources, map, finding);
        if !finding.parts.is_empty() {
            let parts = format!("concerns {}", finding.parts.join(", "));
            elements.push(Level::NOTE.message(clean(&parts)).into());
        }
        for remedy in &finding.remedies {
            let help = format!("{}: {}", remedy.key, remedy.change);
            elements.push(Level::HELP.message(clean(&help)).into());
        }
        block(finding.severity, finding.code, &finding.message, elements)
    });
    rendered(blocks, findings.len(), style)
}

/// The marked lines of a finding: the first key with what was measured, the others as context.
fn places<'a>(sources: &Sources<'a>, map: &SourceMap, finding: &'a Finding) -> Vec<Element<'a>> {
    let values = match (&finding.measured, &finding.limit) {
        (Some(measured), Some(limit)) => format!("found {measured}, limit {limit}"),
        (Some(measured), None) => format!("found {measured}"),
        _ => String::new(),
    };
    let mut snippets: Vec<(Origin, Vec<Range<usize>>, Snippet<'a, _>)> = Vec::new();
    let mut unwritten = Vec::new();
    for (index, key) in finding.keys.iter().enumerate() {
        let place = map.place(key);
        let source = sources.of(place.origin);
        let span = within(source.text, &place.span);
        if place.origin == Origin::JobFile && map.locate(key).is_none() {
            unwritten.push(key);
            continue;
        }
        let label = match (index, map.is_written(key) || place.origin == Origin::Survey) {
            (0, true) => values.clone(),
            (0, false) if values.is_empty() => default_holds(key),
            (0, false) => format!("{values}; {}", default_holds(key)),
            (_, true) => format!("`{key}`"),
            (_, false) => default_holds(key),
        };
        match snippets.iter_mut().find(|(origin, _, _)| *origin == place.origin) {
            None => {
                let snippet = marked(source, &span, label);
                snippets.push((place.origin, vec![span], snippet));
            }
            Some((_, spans, snippet)) if !spans.contains(&span) => {
                let context = AnnotationKind::Context.span(span.clone()).label(clean(&label));
                *snippet = snippet.clone().annotation(context);
                spans.push(span);
            }
            Some(_) => {}
        }
    }
    let mut elements: Vec<Element<'a>> =
        snippets.into_iter().map(|(_, _, snippet)| snippet.into()).collect();
    if unwritten.first().copied() == finding.keys.first() && !values.is_empty() {
        elements.push(Level::NOTE.message(clean(&values)).into());
    }
    for key in unwritten {
        elements.push(Level::NOTE.message(default_holds(key)).into());
    }
    elements
}

fn default_holds(key: &KeyPath) -> String {
    format!("`{key}` is not written, its default holds")
}

fn block<'a>(
    severity: Severity,
    code: &'a str,
    message: &'a str,
    elements: Vec<Element<'a>>,
) -> Group<'a> {
    let level = match severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    level.primary_title(message).id(code).elements(elements)
}

fn marked<'a>(
    source: Source<'a>,
    span: &Range<usize>,
    label: String,
) -> Snippet<'a, annotate_snippets::Annotation<'a>> {
    let mark = AnnotationKind::Primary.span(within(source.text, span));
    let mark = if label.is_empty() { mark } else { mark.label(clean(&label)) };
    Snippet::source(tame(source.text)).path(clean(source.name)).annotation(mark)
}

fn rendered<'a>(blocks: impl Iterator<Item = Group<'a>>, count: usize, style: Style) -> String {
    let renderer = style.renderer();
    let mut text = String::new();
    for block in blocks.take(MOST_BLOCKS) {
        text.push_str(&renderer.render(&[block]));
        text.push_str("\n\n");
    }
    if count > MOST_BLOCKS {
        text.push_str(&format!("and {} more\n\n", count - MOST_BLOCKS));
    }
    text
}

/// The range, kept inside the text and on character borders.
fn within(text: &str, span: &Range<usize>) -> Range<usize> {
    let start = text.floor_char_boundary(span.start);
    start..text.ceil_char_boundary(span.end).max(start)
}

/// Text without control characters, which a terminal could take as commands.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect()
}

/// How many there are: `2 errors, 1 warning`; `no findings` when there are none.
#[must_use]
pub fn summary(errors: usize, warnings: usize, notes: usize) -> String {
    let counted = [(errors, "error"), (warnings, "warning"), (notes, "note")]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}{}", if count == 1 { "" } else { "s" }))
        .collect::<Vec<_>>()
        .join(", ");
    if counted.is_empty() { "no findings".into() } else { counted }
}

/// [`summary`] of these findings.
#[must_use]
pub fn summary_of(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
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
    fn a_problem_shows_its_line_and_its_remedy() {
        let text = JOB.replace("\"88 cm\"", "0.88").replace("depth = 42", "dpeth = 42");
        let found = read(&text).unwrap_err();
        let shown = problems(&sources(&text), &found, Severity::Error, Style::Plain);
        insta::assert_snapshot!(shown, @r#"
error[out-of-range]: `trunk[0].girth` is 0.88 mm, outside 250 to 6000 mm
  --> pear.toml:10:9
   |
10 | girth = 0.88
   |         ^^^^
   |
   = help: write "0.88 m" if that was meant; a bare number is in mm

error[unknown-key]: `fixture` has no key "dpeth"
  --> pear.toml:16:1
   |
16 | dpeth = 42
   | ^^^^^
   |
   = help: did you mean `depth`?
"#);
    }

    #[test]
    fn a_repeated_name_shows_both_places() {
        let text = format!("{JOB}\n[[trunk]]\nname = \"Pear\"\ngirth = 700\n");
        let found = read(&text).unwrap_err();
        let shown = problems(&sources(&text), &found, Severity::Error, Style::Plain);
        insta::assert_snapshot!(shown, @r#"
error[duplicate-name]: another trunk is called "Pear"
  --> pear.toml:26:8
   |
 9 | name = "Pear"
   |        ------ `trunk[0].name` is here
...
26 | name = "Pear"
   |        ^^^^^^
   |
   = help: give each trunk its own name; capitals do not count
"#);
    }

    #[test]
    fn a_finding_shows_what_was_found_and_what_is_allowed() {
        let text = format!("{JOB}\n[strap]\nclearance = 0.3\n");
        let map = read(&text).unwrap().source_map;
        let found = [
            Finding::new("passage-too-tight", Severity::Error, "the strap's passage is too tight")
                .measured("0.3 mm", "at least 0.6 mm")
                .part("cradle A")
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
error[passage-too-tight]: the strap's passage is too tight
  --> pear.toml:26:13
   |
25 | [strap]
   | ------- `strap.width` is not written, its default holds
26 | clearance = 0.3
   |             ^^^ found 0.3 mm, limit at least 0.6 mm
   |
   = note: concerns cradle A
   = help: strap.clearance: at least 0.6 mm

warning[pad-thin]: the pad is thin
  --> pear.toml:10:9
   |
10 | girth = "88 cm"
   |         ^^^^^^^ `trunk[0].girth`
   |
   = note: found 10 mm, limit at least 12 mm
   = note: `pad.thickness` is not written, its default holds

note[no-place]: nothing to point at
 |
 = note: `site.gust` is not written, its default holds
"#);
        assert_eq!(summary_of(&found), "1 error, 1 warning, 1 note");
        assert_eq!(summary(0, 0, 0), "no findings");
        assert_eq!(summary(2, 0, 0), "2 errors");
    }

    #[test]
    fn colour_is_asked_for_and_terminal_commands_in_the_file_are_not_passed_on() {
        let text = JOB.replace("\"88 cm\"", "\"88 \u{1b}[31mcm\"").replace("[job]", "[j\u{e4}b]");
        let found = read(&text).unwrap_err();
        let plain = problems(&sources(&text), &found, Severity::Error, Style::Plain);
        assert!(!plain.contains('\u{1b}'), "{plain}");
        let text = JOB.replace("\"88 cm\"", "1");
        let found = read(&text).unwrap_err();
        let coloured = problems(&sources(&text), &found, Severity::Error, Style::Coloured);
        assert!(coloured.contains('\u{1b}'));
    }

    #[test]
    fn a_long_report_is_cut_with_a_count() {
        let text: String = (0..60).map(|i| format!("[x{i}]\n")).collect();
        let found = read(&text).unwrap_err();
        let shown = problems(&sources(&text), &found, Severity::Error, Style::Plain);
        assert!(shown.ends_with(&format!("and {} more\n\n", found.len() - MOST_BLOCKS)), "{shown}");
    }
}
