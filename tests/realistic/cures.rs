//! Whether a printed remedy cures: its value is written at its key, as `--set` does, and the whole
//! program is run again.

use crate::whole::{Finding, Override, Remedy, Severity, findings, read_with};

/// What became of a remedy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// The finding is gone, and no rule that was silent before reports an error.
    Cured,
    /// The finding is gone, and a rule that was silent before reports an error.
    Moved,
    /// The finding is still there.
    NotCured,
    /// The program does not take the value.
    Refused,
    /// The text gives no value to write: `another height, clear of forks`.
    NoValue,
}

impl Outcome {
    pub(crate) const ALL: [Self; 5] =
        [Self::Cured, Self::Moved, Self::NotCured, Self::Refused, Self::NoValue];
}

/// The value that a remedy asks for, as one writes it: the limit itself of `at least 0.6 mm`, the first
/// of `"M4" or thinner` and of `24 mm to 53 mm`. `None` when it names none.
pub(crate) fn value(change: &str) -> Option<String> {
    let bare = ["at least ", "at most "].iter().find_map(|lead| change.strip_prefix(lead));
    let bare = bare.unwrap_or(change);
    for (open, close) in [('"', '"'), ('[', ']')] {
        if let Some(inner) = bare.strip_prefix(open) {
            let end = inner.find(close)?;
            return Some(bare[..=end + 1].to_owned());
        }
    }
    if matches!(bare, "true" | "false") {
        return Some(bare.to_owned());
    }
    let ends = [", ", ": ", " with ", " if ", " to "].iter().filter_map(|end| bare.find(end));
    let bare = &bare[..ends.min().unwrap_or(bare.len())];
    // A number and its unit, or a size such as `AWG 14`; more words are a sentence.
    let is_value = bare.split(' ').count() <= 2 && bare.contains(|c: char| c.is_ascii_digit());
    is_value.then(|| bare.to_owned())
}

/// `key=value`, as `--set` takes it, a line for each key that moves; `None` when the remedy names no value.
pub(crate) fn setting(remedy: &Remedy) -> Option<String> {
    let mut lines = vec![format!("{}={}", remedy.key, value(&remedy.change)?)];
    for (key, change) in &remedy.together {
        lines.push(format!("{key}={}", value(change)?));
    }
    Some(lines.join("\n"))
}

/// The findings of the job of this text with these keys set; `None` when the program refuses them.
pub(crate) fn rerun(text: &str, setting: &str) -> Option<Vec<Finding>> {
    let set: Result<Vec<Override>, _> = setting.lines().map(str::parse).collect();
    Some(findings(&read_with(text, &set.ok()?).ok()?.job))
}

/// What became of a finding; `before` and `after` are all findings without and with its remedy.
pub(crate) fn judge(finding: &Finding, before: &[Finding], after: &[Finding]) -> Outcome {
    // A note asks for nothing.
    let matters = |f: &&Finding| f.severity > Severity::Note;
    if after.iter().filter(matters).any(|other| is_same(finding, other)) {
        return Outcome::NotCured;
    }
    let errs = |list: &[Finding], code: &str| {
        list.iter().any(|f| f.severity == Severity::Error && f.code == code)
    };
    let brings = after.iter().any(|f| errs(after, f.code) && !errs(before, f.code));
    if brings { Outcome::Moved } else { Outcome::Cured }
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

#[test]
fn values_of_remedies_are_read() {
    for (change, written) in [
        ("at least 0.60 mm", Some("0.60 mm")),
        ("at most 14.5 m/s", Some("14.5 m/s")),
        ("at least AWG 14", Some("AWG 14")),
        ("at least [250, 220, 260]", Some("[250, 220, 260]")),
        ("\"M4\" or thinner", Some("\"M4\"")),
        ("24 mm to 53 mm", Some("24 mm")),
        ("at least 12 mm, as a test bridge shows", Some("12 mm")),
        ("at least 0.43 with the same line load", Some("0.43")),
        ("false", Some("false")),
        ("another height, clear of forks and buttresses", None),
        ("10 mm or more apart", None),
        ("within 20 mm along and 30 mm across of the middle", None),
    ] {
        assert_eq!(value(change).as_deref(), written, "{change}");
    }
}
