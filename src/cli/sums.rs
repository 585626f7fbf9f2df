//! `sums`: every sum of a job, as an account that can be redone by hand, or as JSON.

use std::fmt::Write;

use super::args::JobArgs;
use super::input::Input;
use super::{Failure, Outcome, Output, make};
use crate::assessment::{Calculations, Section};
use crate::design::PreviousSet;
use crate::engineering::account::Line;
use crate::units::trimmed;

/// Columns of the text.
const WIDTH: usize = 100;

pub(super) fn run(args: &JobArgs, json: bool, output: &Output) -> Result<Outcome, Failure> {
    let input = Input::read(args, output)?;
    let worked = match make::work(&input, &PreviousSet::default(), output) {
        Ok(worked) => worked,
        Err(failure) => {
            output.findings(&input, &failure.findings);
            return Ok(Outcome::Failed);
        }
    };
    output.findings(&input, &worked.findings);
    let sums = &worked.sums;
    let text = if json {
        let value = serde_json::json!({
            "account": sums.report,
            "trunks": trunk_figures(&input, sums),
            "lists": sums.lists,
        });
        serde_json::to_string_pretty(&value).map_err(|e| Failure::Io(e.to_string()))? + "\n"
    } else {
        text(&input.job.job.name, sums)
    };
    output.data(text.as_bytes())?;
    Ok(if worked.failed() { Outcome::Failed } else { Outcome::Done })
}

/// The numbers of each trunk under its name, in the order of the job.
fn trunk_figures(input: &Input, sums: &Calculations) -> Vec<serde_json::Value> {
    let named = input.job.trunks.iter().zip(&sums.results);
    named.map(|(t, figures)| serde_json::json!({ "name": t.name, "figures": figures })).collect()
}

/// The readable account.
fn text(name: &str, sums: &Calculations) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{name}: every sum\n");
    for section in &sums.report.job {
        write_section(&mut out, section);
    }
    for account in &sums.report.trunks {
        heading(&mut out, &format!("on {}", account.trunks.join(", ")), '=');
        for section in &account.sections {
            write_section(&mut out, section);
        }
    }
    write_lists(&mut out, sums);
    out
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
    // Title to the left, result to the right; on two lines when they do not fit on one.
    let (title, result) = (line.title.chars().count(), line.result.chars().count());
    if 2 + title + 2 + result <= WIDTH {
        let gap = WIDTH - 2 - title - result;
        let _ = writeln!(out, "  {}{}{}", line.title, " ".repeat(gap), line.result);
    } else {
        indented(out, 2, 4, &line.title);
        indented(out, 6, 6, &format!("= {}", line.result));
    }
    indented(out, 6, 8, &format!("by     {}", line.formula));
    if !line.inputs.is_empty() {
        let inputs: Vec<String> = line.inputs.iter().map(|(k, v)| format!("{k} {v}")).collect();
        indented(out, 6, 13, &format!("with   {}", inputs.join("; ")));
    }
    if let Some(limit) = &line.limit {
        let verdict = match (line.holds, line.margin) {
            (Some(false), _) => " - FAILS".to_owned(),
            (_, Some(margin)) => format!(" - {} % in hand", trimmed(100.0 * margin, 0)),
            _ => String::new(),
        };
        indented(out, 6, 13, &format!("limit  {limit}{verdict}"));
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
    if let Some(cord) = &lists.cord {
        let text =
            format!("{:>4} x cord {}, {:.0} long: box lid", cord.count, cord.diameter, cord.length);
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
        let text = text(&job.job.name, &sums);
        for line in text.lines() {
            assert!(line.chars().count() <= WIDTH, "{line}");
            assert_eq!(line, line.trim_end());
        }
        assert!(text.contains("on Ferry Lime\n============="));
        // What does not hang on any drawing, word for word.
        let mut feeds = String::new();
        for section in sums.report.job.iter().filter(|s| s.title.starts_with("feed")) {
            write_section(&mut feeds, section);
        }
        insta::assert_snapshot!(feeds);
    }

    #[test]
    fn paragraphs_are_cut_at_blanks() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("incomprehensible", 7), ["incomprehensible"]);
        assert_eq!(wrapped("by     formula", 40), ["by     formula"]);
    }
}
