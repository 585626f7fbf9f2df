//! Remedies that cure: each is written at its key, the whole job is worked again, and only what makes its
//! finding go and brings no new error stays.
//!
//! A value that does not suffice is tried again a few steps further, within the key's range, since what a
//! rule works out alone may be undone by what other rules choose for the changed job. Where no value
//! is left, the rule's own words say what would help. Notes are left alone: they ask for nothing.
//!
//! The caller works the changed job; this room only says which changes to try and judges what comes back.

use std::collections::BTreeMap;

use crate::assessment::rules;
use crate::finding::{Finding, KeyPath, Remedy, Severity};
use crate::params::Override;
use crate::units::trimmed;

/// Most changed jobs that are worked for one set of findings, and fewer for jobs of many trunks, so that
/// nobody waits long: beyond it the rest is left as it is.
const MOST_RUNS: usize = 60;
const LEAST_RUNS: usize = 6;
const TRUNKS_IN_ALL: usize = 6000;
/// How much further a value is moved when it does not suffice: shares of it.
const FURTHER: [f64; 3] = [0.15, 0.5, 1.0];

/// What became of a remedy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    Cures,
    DoesNot,
    /// The job file takes no such value.
    Refused,
    /// The text names no value to write.
    Words,
}

/// Findings of a job of so many trunks whose remedies were tried; `again` works the job with some keys changed and gives its findings,
/// or nothing when the job file refuses it.
pub fn verified(
    findings: Vec<Finding>,
    trunks: usize,
    mut again: impl FnMut(&[Override]) -> Option<Vec<Finding>>,
) -> Vec<Finding> {
    let before = findings.clone();
    let mut known: BTreeMap<String, Option<Vec<Finding>>> = BTreeMap::new();
    let mut runs = 0;
    let most = (TRUNKS_IN_ALL / trunks.max(1)).clamp(LEAST_RUNS, MOST_RUNS);
    let mut tried = |finding: &Finding, remedy: &Remedy| -> Outcome {
        let Some(setting) = setting(remedy) else { return Outcome::Words };
        if !known.contains_key(&setting) {
            if runs == most {
                return Outcome::Cures;
            }
            runs += 1;
            let set: Result<Vec<Override>, _> = setting.lines().map(str::parse).collect();
            let after = set.ok().and_then(|set| again(&set));
            known.insert(setting.clone(), after);
        }
        match known.get(&setting).and_then(Option::as_ref) {
            None => Outcome::Refused,
            Some(after) if cures(finding, &before, after) => Outcome::Cures,
            Some(_) => Outcome::DoesNot,
        }
    };
    let mut findings = findings;
    for finding in findings.iter_mut().filter(|f| f.severity > Severity::Note) {
        let printed = std::mem::take(&mut finding.remedies);
        let singles = printed.clone();
        let mut words = Vec::new();
        let mut kept: Vec<Remedy> = Vec::new();
        for remedy in printed {
            match tried(finding, &remedy) {
                Outcome::Cures => kept.push(remedy),
                Outcome::Words => words.push(remedy),
                Outcome::Refused => {}
                Outcome::DoesNot => {
                    let farther = FURTHER.iter().filter_map(|share| moved(&remedy, *share));
                    let mut outcome = farther.map(|more| (tried(finding, &more), more));
                    let found = outcome.find(|(outcome, _)| *outcome != Outcome::DoesNot);
                    kept.extend(found.filter(|(o, _)| *o == Outcome::Cures).map(|(_, more)| more));
                }
            }
        }
        if kept.is_empty() {
            // What no key does alone two may do together, and both further.
            let further = pairs(&singles).into_iter().flat_map(|pair| {
                let more = moved(&pair, FURTHER[1]);
                std::iter::once(pair).chain(more)
            });
            kept.extend(
                further.take(MOST_PAIRS).find(|pair| tried(finding, pair) == Outcome::Cures),
            );
        }
        if kept.is_empty() {
            kept = words;
        }
        if kept.is_empty() {
            kept.extend(in_words(finding));
        }
        finding.remedies = kept;
    }
    findings
}

/// Most pairs that are tried for one finding.
const MOST_PAIRS: usize = 8;

/// Every two remedies of different keys, as one.
fn pairs(singles: &[Remedy]) -> Vec<Remedy> {
    let with_values: Vec<&Remedy> = singles.iter().filter(|r| value(&r.change).is_some()).collect();
    let mut all = Vec::new();
    for (n, one) in with_values.iter().enumerate() {
        for other in with_values[n + 1..].iter().filter(|other| other.key != one.key) {
            let together = vec![(other.key.clone(), other.change.clone())];
            all.push(Remedy { together, ..(*one).clone() });
        }
    }
    all
}

/// What the rule says in words, at the key that tells most.
fn in_words(finding: &Finding) -> Option<Remedy> {
    let rule = rules().find(|rule| rule.code == finding.code)?;
    let key = finding.keys.first()?.clone();
    Some(Remedy::new(key, format!("no single value cures this: {}", rule.cure)))
}

/// The value that a remedy asks for, as one writes it: the limit itself of `at least 0.6 mm`, the first of
/// `"M4" or thinner` and of `24 mm to 53 mm`. `None` when it names none.
fn value(change: &str) -> Option<&str> {
    let bare = ["at least ", "at most "].iter().find_map(|lead| change.strip_prefix(lead));
    let bare = bare.unwrap_or(change);
    for (open, close) in [('"', '"'), ('[', ']')] {
        if let Some(inner) = bare.strip_prefix(open) {
            let end = inner.find(close)?;
            return Some(&bare[..=end + 1]);
        }
    }
    if matches!(bare, "true" | "false") {
        return Some(bare);
    }
    let ends = [", ", ": ", " with ", " if ", " to "].iter().filter_map(|end| bare.find(end));
    let bare = &bare[..ends.min().unwrap_or(bare.len())];
    // A number and its unit, or a size such as `AWG 14`; more words are a sentence.
    let is_value = bare.split(' ').count() <= 2 && bare.contains(|c: char| c.is_ascii_digit());
    is_value.then_some(bare)
}

/// `key=value`, as `--set` takes it, a line for each key; `None` when the remedy names no value.
fn setting(remedy: &Remedy) -> Option<String> {
    let one = |key: &KeyPath, change: &str| Some(format!("{key}={}", value(change)?));
    let mut lines = vec![one(&remedy.key, &remedy.change)?];
    for (key, change) in &remedy.together {
        lines.push(one(key, change)?);
    }
    Some(lines.join("\n"))
}

/// The same remedy with its numbers moved on by a share of themselves, up for `at least`, down for `at
/// most`; whole numbers stay whole. `None` where there is no number to move.
fn moved(remedy: &Remedy, share: f64) -> Option<Remedy> {
    let more = |(key, change): &(KeyPath, String)| {
        (key.clone(), farther(change, share).unwrap_or_else(|| change.clone()))
    };
    let change = farther(&remedy.change, share)?;
    let together = remedy.together.iter().map(more).collect();
    Some(Remedy { key: remedy.key.clone(), change, together })
}

/// One instruction with its number moved on.
fn farther(change: &str, share: f64) -> Option<String> {
    let value = value(change)?;
    let number: &str = value.split(' ').next()?;
    let old: f64 = number.parse().ok()?;
    let up = change.starts_with("at least");
    if !up && !change.starts_with("at most") {
        return None;
    }
    let new = if up { old * (1.0 + share) } else { old / (1.0 + share) };
    let whole = !number.contains('.') && (old.abs() < 20.0 || old.fract() == 0.0);
    let new = match (whole, up) {
        (true, true) => new.max(old + 1.0).ceil(),
        (true, false) => new.min(old - 1.0).floor(),
        (false, true) => (new * 100.0).ceil() / 100.0,
        (false, false) => (new * 100.0).floor() / 100.0,
    };
    Some(change.replacen(number, &trimmed(new, 2), 1))
}

/// Whether the finding is gone and no rule that was silent before reports an error.
fn cures(finding: &Finding, before: &[Finding], after: &[Finding]) -> bool {
    let errs = |list: &[Finding], code: &str| {
        list.iter().any(|f| f.severity == Severity::Error && f.code == code)
    };
    let matters = |f: &&Finding| f.severity > Severity::Note;
    !after.iter().filter(matters).any(|other| is_same(finding, other))
        && !after.iter().any(|f| errs(after, f.code) && !errs(before, f.code))
}

/// The same rule about the same part or trunk, or about the job.
fn is_same(one: &Finding, other: &Finding) -> bool {
    let places = |f: &Finding| -> Vec<String> {
        let tables = f.keys.iter().filter_map(|key| {
            let key = key.as_str();
            key.find(']').map(|end| key[..=end].to_owned())
        });
        f.parts.iter().cloned().chain(tables).collect()
    };
    let (here, there) = (places(one), places(other));
    one.code == other.code
        && (here.iter().any(|place| there.contains(place)) || here.is_empty() || there.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding() -> Finding {
        Finding::new("battery-too-small", Severity::Warning, "a pad opens").key("strap.tension")
    }

    fn changes(findings: &[Finding]) -> Vec<(&str, &str)> {
        findings[0].remedies.iter().map(|r| (r.key.as_str(), r.change.as_str())).collect()
    }

    #[test]
    fn only_what_cures_stays_and_a_value_moves_on_until_it_does() {
        let one = finding()
            .remedy("strap.tension", "at least 150 N")
            .remedy("strap.count", "at least 2")
            .remedy("site.gust", "at most 1 m/s")
            .remedy("polymer.kind", "\"pla\"");
        let again = |set: &[Override]| {
            let text = format!("{set:?}");
            if text.contains("gust") {
                return None;
            }
            let cured = text.contains("225") || text.contains("strap.count");
            let mut after = if cured { Vec::new() } else { vec![finding()] };
            if text.contains("strap.count") {
                // Gone, but another rule errs.
                after.push(Finding::new("bed-too-small", Severity::Error, "too small"));
            }
            Some(after)
        };
        let found = verified(vec![one], 1, again);
        assert_eq!(changes(&found), [("strap.tension", "at least 225 N")]);
    }

    #[test]
    fn keys_that_must_move_together_are_told_together() {
        let one = finding()
            .remedy("strap.count", "at least 3")
            .remedy("pad.half-width", "at least 40 mm");
        let again =
            |set: &[Override]| Some(if set.len() == 2 { Vec::new() } else { vec![finding()] });
        let found = verified(vec![one], 1, again);
        let [remedy] = found[0].remedies.as_slice() else { panic!("{found:?}") };
        assert_eq!(remedy.text(), "at least 3 and pad.half-width: at least 40 mm");
    }

    #[test]
    fn where_nothing_cures_the_rule_says_what_would_in_words() {
        let one = finding().remedy("strap.tension", "at least 150 N");
        let found = verified(vec![one], 1, |_| Some(vec![finding()]));
        let [(key, words)] = changes(&found)[..] else { panic!("{found:?}") };
        assert_eq!(key, "strap.tension");
        assert!(words.starts_with("no single value cures this: ") && words.len() > 40, "{words}");
        // Words that a rule gives are kept where no value is.
        let one = finding().remedy("trunk[0].height", "another height, clear of forks");
        let found = verified(vec![one], 1, |_| panic!("words are not tried"));
        assert_eq!(changes(&found), [("trunk[0].height", "another height, clear of forks")]);
    }

    #[test]
    fn notes_are_left_alone_and_a_remedy_may_leave_a_note() {
        let note = Finding { severity: Severity::Note, ..finding() };
        let asked = note.clone().remedy("strap.tension", "at least 150 N");
        let found = verified(vec![asked.clone()], 1, |_| panic!("a note asks for nothing"));
        assert_eq!(found, [asked]);
        let one = finding().remedy("strap.tension", "at least 150 N");
        assert_eq!(changes(&verified(vec![one], 1, |_| Some(vec![note.clone()]))).len(), 1);
    }

    #[test]
    fn values_move_in_their_own_sense() {
        let of = |change: &str, share: f64| {
            let remedy = Remedy::new(KeyPath::new("a.b"), change);
            moved(&remedy, share).map(|r| r.change)
        };
        assert_eq!(of("at least 24 mm", 0.5).as_deref(), Some("at least 36 mm"));
        assert_eq!(of("at least 2", 0.15).as_deref(), Some("at least 3"));
        assert_eq!(of("at most 0.504 kg", 0.5).as_deref(), Some("at most 0.33 kg"));
        assert_eq!(of("at most 27.6 C, or shade", 0.15).as_deref(), Some("at most 24 C, or shade"));
        assert_eq!(of("\"petg\"", 0.5), None);
        assert_eq!(of("another height", 0.5), None);
    }
}
