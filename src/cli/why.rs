//! `why`: a finding's rule, a mistake, a key of the job file, or a page of the handbook.

use std::fmt::Write;

use super::{Failure, Outcome, Output};
use crate::assessment;
use crate::documents::handbook::{self, PAGES, Page};
use crate::finding::Rule;
use crate::formats::svg::svg_on_paper;
use crate::params::problem::{MISTAKES, Mistake};
use crate::params::{self, nearest_key};

pub(super) fn run(name: Option<&str>, svg: bool, output: &Output) -> Result<Outcome, Failure> {
    let Some(name) = name else { return output.data(list().as_bytes()) };
    if svg {
        return output.data(picture(name)?.as_bytes());
    }
    let found = handbook::page(name)
        .map(page)
        .or_else(|| assessment::rules().find(|r| r.code == name).map(rule))
        .or_else(|| MISTAKES.iter().find(|m| m.code == name).map(mistake))
        .or_else(|| params::why(name))
        .or_else(|| match params::keys_called(name).as_slice() {
            [only] => params::why(only),
            _ => None,
        });
    match found {
        Some(text) => output.data(text.as_bytes()),
        None => Err(Failure::Usage(format!(
            "\"{name}\" is no finding, no key and no page; {}",
            hint(name)
        ))),
    }
}

/// The drawing of a page.
fn picture(name: &str) -> Result<String, Failure> {
    let drawing = handbook::page(name).and_then(|page| page.picture).ok_or_else(|| {
        let drawn: Vec<&str> =
            PAGES.iter().filter(|p| p.picture.is_some()).map(|p| p.name).collect();
        Failure::Usage(format!("\"{name}\" has no drawing; there are {}", drawn.join(", ")))
    })?;
    svg_on_paper(&drawing()).map_err(|e| Failure::Io(e.to_string()))
}

/// Keys that end in the name asked for and names that begin with it, else the likest one.
fn hint(name: &str) -> String {
    let names = || {
        let pages = PAGES.iter().map(|p| p.name);
        pages.chain(assessment::rules().map(|r| r.code)).chain(MISTAKES.iter().map(|m| m.code))
    };
    let begun = names().filter(|n| n.strip_prefix(name).is_some_and(|r| r.starts_with('-')));
    let known: Vec<String> =
        params::keys_called(name).into_iter().chain(begun.map(str::to_owned)).collect();
    if !known.is_empty() {
        return format!("there are {}", known.join(", "));
    }
    nearest_key(name).or_else(|| params::nearest(name, names()).map(str::to_owned)).map_or_else(
        || "bolewright why, without a name, lists all".into(),
        |known| format!("write {known} if that was meant"),
    )
}

fn list() -> String {
    let pages: Vec<_> = PAGES.iter().map(|p| (p.name, p.title)).collect();
    let rules: Vec<_> = assessment::rules().map(|r| (r.code, r.title)).collect();
    let mistakes: Vec<_> = MISTAKES.iter().map(|m| (m.code, m.meaning)).collect();
    let mut text = String::new();
    for (title, entries) in [
        ("handbook", pages),
        ("findings of the checks", rules),
        ("mistakes in the input", mistakes),
    ] {
        let _ = writeln!(text, "{title}");
        for (name, what) in entries {
            let _ = writeln!(text, "  {name:<28} {what}");
        }
        text.push('\n');
    }
    text + "and every key of the job file, such as strap.clearance or trunk\n"
}

fn page(page: &Page) -> String {
    let mut text = format!("{}: {}\n\n{}", page.name, page.title, page.text);
    if page.picture.is_some() {
        let _ = writeln!(text, "\nA drawing: bolewright why {0} --svg > {0}.svg", page.name);
    }
    text
}

fn rule(rule: &Rule) -> String {
    format!(
        "{}\n\n  checks   {}\n  why      {}\n  formula  {}\n  source   {}\n  cure     {}\n",
        rule.code, rule.title, rule.why, rule.formula, rule.source, rule.cure
    )
}

fn mistake(mistake: &Mistake) -> String {
    format!("{}\n\n  means    {}\n  cure     {}\n", mistake.code, mistake.meaning, mistake.cure)
}
