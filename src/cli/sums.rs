//! `sums`: the sums of a job. First the tightest margins, then one line a sum, trunks together; with a word
//! or a trunk in full, as an account that can be redone by hand; or everything as JSON.

use std::fmt::Write;

use super::args::JobArgs;
use super::input::Input;
use super::{Failure, Outcome, Output, make};
use crate::assessment::{Calculations, Section};
use crate::design::PreviousSet;
use crate::engineering::account::Line;
use crate::params::listed;
use crate::units::trimmed;

/// Columns of the text.
const WIDTH: usize = 100;
/// Margins listed first.
const TIGHTEST: usize = 10;
/// From so many times the limit on, how many times does not matter.
const AMPLE: f64 = 10.0;
/// Digits that a measured job means.
const DIGITS: usize = 3;

/// What of the sums is asked for.
pub(super) struct Asked<'a> {
    pub(super) only: Option<&'a str>,
    pub(super) trunk: Option<&'a str>,
    pub(super) json: bool,
}

pub(super) fn run(args: &JobArgs, asked: &Asked<'_>, output: &Output) -> Result<Outcome, Failure> {
    let input = Input::read(args, output)?;
    let worked = match make::work(&input, &PreviousSet::default(), output) {
        Ok(worked) => worked,
        Err(failure) => {
            output.findings(&input, &failure.findings);
            return Ok(Outcome::Failed);
        }
    };
    let sums = &worked.sums;
    let name = &input.job.job.name;
    let text = if asked.json {
        let value = serde_json::json!({
            "account": sums.report,
            "trunks": trunk_figures(&input, sums),
            "lists": sums.lists,
        });
        serde_json::to_string_pretty(&value).map_err(|e| Failure::Io(e.to_string()))? + "\n"
    } else if asked.only.is_some() || asked.trunk.is_some() {
        in_full(name, sums, asked).ok_or_else(|| unknown(&input, sums, asked))?
    } else {
        short(name, sums)
    };
    output.findings(&input, &worked.findings);
    output.data(text.as_bytes())?;
    Ok(if worked.failed() { Outcome::Failed } else { Outcome::Done })
}

/// The message when nothing is called so.
fn unknown(input: &Input, sums: &Calculations, asked: &Asked<'_>) -> Failure {
    let trunks: Vec<&str> = input.job.trunks.iter().map(|t| t.name.as_str()).collect();
    let text = match (asked.trunk, asked.only) {
        (Some(trunk), _) if !trunks.iter().any(|t| is_called(t, trunk)) => {
            format!("no trunk is called \"{trunk}\": write one of {}", listed(&trunks))
        }
        (_, only) => {
            let mut subjects: Vec<&str> = every(sums).map(|e| e.subject).collect();
            subjects.dedup();
            subjects.sort_unstable();
            subjects.dedup();
            let word = only.unwrap_or_default();
            format!(
                "no sum has \"{word}\" in its name or subject: write one of {}",
                listed(&subjects)
            )
        }
    };
    Failure::Usage(text)
}

fn is_called(name: &str, asked: &str) -> bool {
    name.to_lowercase() == asked.to_lowercase()
}

/// A sum with its subject, and where it holds: trunks or a box; nothing for the whole job.
#[derive(Clone, Copy)]
struct Entry<'a> {
    subject: &'a str,
    place: &'a str,
    line: &'a Line,
}

impl<'a> Entry<'a> {
    /// What is summed, whatever the part or the saddle.
    fn sum(&self) -> &'a str {
        let title = self.line.title.as_str();
        let title = title.split_once(", saddle ").map_or(title, |(sum, _)| sum);
        if self.subject == "prints" {
            title.split_once(": ").map_or(title, |(_, sum)| sum)
        } else {
            title
        }
    }
}

/// Subject and place of a section of the job: `feed`, `from the box on Old Lime, 2 lamps`.
fn parted(title: &str) -> (&str, &str) {
    title.split_once(" from the ").unwrap_or((title, ""))
}

/// Every sum, in the order of the account.
fn every(sums: &Calculations) -> impl Iterator<Item = Entry<'_>> {
    let whole = sums.report.job.iter().flat_map(|section| {
        let (subject, place) = parted(&section.title);
        section.lines.iter().map(move |line| Entry { subject, place, line })
    });
    let trunks = sums.report.trunks.iter().flat_map(|account| {
        let place = account.trunks.first().map_or("", String::as_str);
        account.sections.iter().flat_map(move |section| {
            let subject = section.title.as_str();
            section.lines.iter().map(move |line| Entry { subject, place, line })
        })
    });
    whole.chain(trunks)
}

/// How many times the limit is kept; below 1 it fails. None without a share of a limit.
fn times(line: &Line) -> Option<f64> {
    let margin = line.margin?;
    let at_most = line.limit.as_deref().is_some_and(|limit| limit.starts_with("at most"));
    Some(if at_most { 1.0 / (1.0 - margin).max(1e-9) } else { 1.0 + margin })
}

/// What is left, in words.
fn in_hand(line: &Line) -> String {
    match (line.holds, times(line), line.margin) {
        (Some(false), ..) => "FAILS".to_owned(),
        (_, Some(times), _) if times >= AMPLE => "ample".to_owned(),
        (_, _, Some(margin)) => format!("{} % in hand", trimmed(100.0 * margin, 0)),
        (Some(true), ..) => "holds".to_owned(),
        _ => String::new(),
    }
}

/// The tightest margins, then one line a sum.
fn short(name: &str, sums: &Calculations) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{name}: sums in short\n");
    heading(&mut out, "tightest margins", '=');
    let mut tight: Vec<(f64, Entry<'_>)> =
        every(sums).filter_map(|e| Some((times(e.line)?, e))).collect();
    tight.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut told: Vec<(&str, &str)> = Vec::new();
    for (_, entry) in tight {
        let Entry { subject, place, line } = entry;
        let sum = (subject, entry.sum());
        if told.len() == TIGHTEST || told.contains(&sum) {
            continue;
        }
        told.push(sum);
        let place = if place.is_empty() { String::new() } else { format!(", {place}") };
        let result = line.result.split(':').next().unwrap_or_default();
        columns(&mut out, &format!("{}{place}", sum.1), &format!("{result}, {}", in_hand(line)));
    }
    out.push('\n');
    let mut subjects: Vec<&str> = Vec::new();
    for entry in every(sums) {
        if !subjects.contains(&entry.subject) {
            subjects.push(entry.subject);
        }
    }
    for subject in subjects {
        heading(&mut out, subject, '-');
        let mine: Vec<Entry<'_>> = every(sums).filter(|e| e.subject == subject).collect();
        let mut titles: Vec<&str> = Vec::new();
        for entry in &mine {
            if !titles.contains(&entry.sum()) {
                titles.push(entry.sum());
            }
        }
        for title in titles {
            let same: Vec<Entry<'_>> = mine.iter().filter(|e| e.sum() == title).copied().collect();
            columns(&mut out, title, &merged(&same));
        }
        out.push('\n');
    }
    for why in absent(sums) {
        indented(&mut out, 2, 4, &format!("not summed: {why}"));
    }
    out.push_str("In full, with formulas and sources: --only WORD or --trunk NAME; to buy and to cut: --only lists\n");
    out
}

/// Results of one sum at several places: one, or from the least to the most, with what is left at the
/// tightest.
fn merged(same: &[Entry<'_>]) -> String {
    let number = |e: &Entry<'_>| -> Option<f64> { e.line.result.split(' ').next()?.parse().ok() };
    let mut results: Vec<Entry<'_>> = same.to_vec();
    results.sort_by(|a, b| number(a).unwrap_or(f64::NAN).total_cmp(&number(b).unwrap_or(f64::NAN)));
    let (Some(first), Some(last)) = (results.first(), results.last()) else { return String::new() };
    let told =
        |e: &Entry<'_>| e.line.result.split([',', ':']).next().unwrap_or_default().to_owned();
    let unit = |e: &Entry<'_>| told(e).split(' ').nth(1).map(str::to_owned);
    let range = match (told(first) == told(last), unit(first) == unit(last)) {
        (true, _) if same.len() == 1 => {
            first.line.result.split(':').next().unwrap_or_default().to_owned()
        }
        (true, _) => told(first),
        (_, true) => format!("{} to {}", told(first), told(last)),
        (_, false) => format!("{}; {}", told(first), told(last)),
    };
    let tightest = same.iter().min_by(|a, b| {
        let key =
            |e: &Entry<'_>| (e.line.holds != Some(false), times(e.line).unwrap_or(f64::INFINITY));
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let left = tightest.map(|e| in_hand(e.line)).filter(|left| !left.is_empty());
    left.map_or(range.clone(), |left| format!("{range}, {left}"))
}

/// Why sums are absent, each reason once.
fn absent(sums: &Calculations) -> Vec<&str> {
    let trunks = sums.report.trunks.iter().flat_map(|t| &t.sections);
    let mut told: Vec<&str> = Vec::new();
    for why in sums.report.job.iter().chain(trunks).flat_map(|s| &s.absent) {
        if !told.contains(&why.as_str()) {
            told.push(why);
        }
    }
    told
}

/// What stands to the left and to the right of a line; on two lines when it does not fit on one.
fn columns(out: &mut String, left: &str, right: &str) {
    let right = rounded(right);
    let (l, r) = (left.chars().count(), right.chars().count());
    if 2 + l + 2 + r <= WIDTH {
        let _ = writeln!(out, "  {left}{}{right}", " ".repeat(WIDTH - 2 - l - r));
    } else {
        indented(out, 2, 4, left);
        indented(out, 6, 6, &format!("= {right}"));
    }
}

/// Decimals cut to the digits that are meant: `14.202 V` is `14.2 V`, `0.2217` is `0.222`. Digits before the
/// point stay.
fn rounded(text: &str) -> String {
    let word = |word: &str| -> String {
        let bare = word.trim_end_matches([';', ',', ')']);
        let Ok(value) = bare.parse::<f64>() else { return word.to_owned() };
        let Some((whole, decimals)) = bare.split_once('.') else { return word.to_owned() };
        let whole = whole.trim_start_matches(['-', '+']);
        let leading = if whole == "0" {
            // Zeros behind the point do not count as digits.
            -(decimals.chars().take_while(|c| *c == '0').count() as i64)
        } else {
            whole.len() as i64
        };
        let keep = (DIGITS as i64 - leading).clamp(0, decimals.len() as i64);
        format!("{}{}", trimmed(value, keep as usize), &word[bare.len()..])
    };
    text.split(' ').map(word).collect::<Vec<_>>().join(" ")
}

/// The numbers of each trunk under its name, in the order of the job.
fn trunk_figures(input: &Input, sums: &Calculations) -> Vec<serde_json::Value> {
    let named = input.job.trunks.iter().zip(&sums.results);
    named.map(|(t, figures)| serde_json::json!({ "name": t.name, "figures": figures })).collect()
}

/// The sums that are asked for, as an account; none when there is none.
fn in_full(name: &str, sums: &Calculations, asked: &Asked<'_>) -> Option<String> {
    let mut out = String::new();
    let _ = writeln!(out, "{name}: sums in full\n");
    let start = out.len();
    let word = asked.only.map(str::to_lowercase);
    let has = |text: &str| word.as_ref().is_none_or(|word| text.to_lowercase().contains(word));
    let pick = |section: &Section| -> Option<Section> {
        let whole = has(&section.title);
        let lines: Vec<Line> =
            section.lines.iter().filter(|l| whole || has(&l.title)).cloned().collect();
        let absent = if whole { section.absent.clone() } else { Vec::new() };
        let some = !lines.is_empty() || !absent.is_empty();
        some.then(|| Section { title: section.title.clone(), lines, absent })
    };
    if asked.trunk.is_none() {
        for section in sums.report.job.iter().filter_map(&pick) {
            write_section(&mut out, &section);
        }
    }
    for account in &sums.report.trunks {
        if asked.trunk.is_some_and(|trunk| !account.trunks.iter().any(|t| is_called(t, trunk))) {
            continue;
        }
        let sections: Vec<Section> = account.sections.iter().filter_map(&pick).collect();
        if sections.is_empty() {
            continue;
        }
        heading(&mut out, &format!("on {}", account.trunks.join(", ")), '=');
        for section in &sections {
            write_section(&mut out, section);
        }
    }
    if asked.trunk.is_none() && word.as_ref().is_some_and(|word| "lists".contains(word.as_str())) {
        write_lists(&mut out, sums);
    }
    (out.len() > start).then_some(out)
}

fn heading(out: &mut String, title: &str, rule: char) {
    for line in wrapped(title, WIDTH) {
        let _ = writeln!(out, "{line}");
    }
    let length = title.chars().count().min(WIDTH);
    let _ = writeln!(out, "{}", rule.to_string().repeat(length));
}

fn write_section(out: &mut String, section: &Section) {
    heading(out, &section.title, '-');
    for line in &section.lines {
        write_line(out, line);
    }
    for why in &section.absent {
        indented(out, 2, 4, &format!("not summed: {why}"));
    }
    out.push('\n');
}

fn write_line(out: &mut String, line: &Line) {
    columns(out, &line.title, &line.result);
    indented(out, 6, 8, &format!("by     {}", line.formula));
    if !line.inputs.is_empty() {
        let inputs: Vec<String> = line.inputs.iter().map(|(k, v)| format!("{k} {v}")).collect();
        indented(out, 6, 13, &format!("with   {}", rounded(&inputs.join("; "))));
    }
    if let Some(limit) = &line.limit {
        let left = in_hand(line);
        indented(out, 6, 13, &format!("limit  {} - {left}", rounded(limit)));
    }
    indented(out, 6, 13, &format!("source {}", line.source));
}

fn write_lists(out: &mut String, sums: &Calculations) {
    let lists = &sums.lists;
    heading(out, "to buy and to cut", '=');
    for item in &lists.buy {
        indented(out, 2, 8, &format!("{:>4} x {}: {}", item.count, item.name, item.place));
    }
    for cut in &lists.straps {
        let text = format!(
            "{:>4} x webbing {} wide, {} long: {} on {}",
            cut.count, lists.webbing, cut.length, cut.holds, cut.trunk
        );
        indented(out, 2, 8, &text);
    }
    let metres = trimmed(lists.webbing_total.in_metres(), 1);
    indented(out, 2, 8, &format!("{metres} m of webbing in all"));
    for pad in &lists.pads {
        let text = format!(
            "{:>4} x foam {:.0} x {:.0} x {}: {}",
            pad.count, pad.width, pad.height, pad.thickness, pad.part
        );
        indented(out, 2, 8, &text);
    }
    if let Some(gasket) = &lists.gasket {
        let text =
            format!("{:>4} x {}, {:.0} long: box lid", gasket.count, gasket.name, gasket.length);
        indented(out, 2, 8, &text);
    }
    for cable in &lists.cables {
        let metres = trimmed(cable.length.in_metres(), 2);
        let text = format!(
            "   1 x cable 2 x {}, {metres} m: {} to {}",
            cable.conductor, cable.from, cable.to
        );
        indented(out, 2, 8, &text);
    }
}

/// A paragraph that begins at one column and goes on at another, within [`WIDTH`].
fn indented(out: &mut String, first: usize, rest: usize, text: &str) {
    for (n, line) in wrapped(text, WIDTH - first.max(rest)).iter().enumerate() {
        let indent = if n == 0 { first } else { rest };
        let _ = writeln!(out, "{}{line}", " ".repeat(indent));
    }
}

/// Text cut at blanks; a word longer than a line stands alone.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > width {
            lines.push(String::new());
            used = 0;
        }
        let Some(line) = lines.last_mut() else { break };
        if used > 0 || (word.is_empty() && !line.is_empty()) {
            line.push(' ');
            used += 1;
        }
        line.push_str(word);
        used += length.max(usize::from(word.is_empty()));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::tests::calculations::{QUILLMERE, sums_of};

    #[test]
    fn the_account_of_the_demo_keeps_to_its_columns() {
        let (job, sums) = sums_of(QUILLMERE);
        let name = &job.job.name;
        let asked = |only, trunk| Asked { only, trunk, json: false };
        let brief = short(name, &sums);
        let full = in_full(name, &sums, &asked(Some(""), None)).unwrap();
        let lime = in_full(name, &sums, &asked(None, Some("ferry lime"))).unwrap();
        for line in [&brief, &full, &lime].into_iter().flat_map(|text| text.lines()) {
            assert!(line.chars().count() <= WIDTH, "{line}");
            assert_eq!(line, line.trim_end());
        }
        // Seven trunks in short fit on a few pages, whatever their number.
        assert!(brief.lines().count() < 150, "{}", brief.lines().count());
        assert!(full.lines().count() > 1000);
        assert!(lime.contains("on Ferry Lime\n=============") && !lime.contains("Old Lime"));
        // The tightest come first, from the tightest on.
        let first: Vec<&str> = brief.lines().skip(4).take(TIGHTEST).collect();
        assert!(first.iter().all(|l| l.contains("in hand") || l.contains('=')), "{first:?}");
        assert!(brief.contains("ample"));
        let feed = in_full(name, &sums, &asked(Some("fuse"), None)).unwrap();
        assert!(feed.contains("fuse at the battery") && !feed.contains("Joule"));
        assert_eq!(in_full(name, &sums, &asked(Some("no such word"), None)), None);
        // What does not hang on any drawing, word for word.
        let mut feeds = String::new();
        for section in sums.report.job.iter().filter(|s| s.title.starts_with("feed")) {
            write_section(&mut feeds, section);
        }
        insta::assert_snapshot!(feeds);
    }

    #[test]
    fn figures_have_the_digits_that_are_meant() {
        for (long, short) in [
            ("14.202 V", "14.2 V"),
            ("0.2217 ohm", "0.222 ohm"),
            ("1455.61 N", "1456 N"),
            ("0.00712 mm; F 6.94 N", "0.00712 mm; F 6.94 N"),
            ("1130 mm", "1130 mm"),
            ("-0.5 V", "-0.5 V"),
            ("2.5 mm2 and 19.322 A", "2.5 mm2 and 19.3 A"),
            ("no number", "no number"),
        ] {
            assert_eq!(rounded(long), short);
        }
    }

    #[test]
    fn what_is_kept_ten_times_over_is_ample() {
        use crate::engineering::account::Side;
        let line = |side, value: f64, limit: f64| {
            in_hand(&Line::new("a", "b", value, "c").against(side, value, limit, limit))
        };
        assert_eq!(line(Side::AtMost, 1.0, 10.0), "ample");
        assert_eq!(line(Side::AtMost, 2.0, 10.0), "80 % in hand");
        assert_eq!(line(Side::AtLeast, 100.0, 10.0), "ample");
        assert_eq!(line(Side::AtLeast, 15.0, 10.0), "50 % in hand");
        assert_eq!(line(Side::AtMost, 11.0, 10.0), "FAILS");
    }

    #[test]
    fn paragraphs_are_cut_at_blanks() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("incomprehensible", 7), ["incomprehensible"]);
        assert_eq!(wrapped("by     formula", 40), ["by     formula"]);
    }
}
