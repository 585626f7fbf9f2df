//! `explain`: a finding's rule, or a key of the job file.

use std::fmt::Write;

use super::{Failure, Outcome, Output};
use crate::checks::{self, Rule};
use crate::params;

pub(super) fn run(name: Option<&str>, output: &Output) -> Result<Outcome, Failure> {
    let Some(name) = name else { return output.data(list().as_bytes()) };
    if let Some(rule) = checks::rules().find(|r| r.code == name) {
        return output.data(page(rule).as_bytes());
    }
    if let Some(text) = params::explain_key(name) {
        return output.data(text.as_bytes());
    }
    let near = checks::rules().map(|r| (strsim::jaro_winkler(r.code, name), r.code));
    let hint =
        near.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(score, _)| *score > 0.8).map_or_else(
            || "without a name, `explain` lists all codes".into(),
            |(_, code)| format!("did you mean `{code}`?"),
        );
    Err(Failure::Usage(format!("`{name}` is no code of a finding and no key of a job; {hint}")))
}

fn list() -> String {
    let mut text = String::new();
    for rule in checks::rules() {
        let _ = writeln!(text, "{:<28} {}", rule.code, rule.title);
    }
    text
}

fn page(rule: &Rule) -> String {
    format!(
        "{}\n\n  checks   {}\n  why      {}\n  formula  {}\n  source   {}\n  cure     {}\n",
        rule.code, rule.title, rule.why, rule.formula, rule.source, rule.cure
    )
}
