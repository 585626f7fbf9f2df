//! Cables that are too long for the signal between addressed lamps.

use crate::assessment::Subject;
use crate::assessment::power::feeds::Studied;
use crate::assessment::power::lamp as lamp_name;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "signal-too-far",
    title: "the wired signal reaches from lamp to lamp",
    why: "addressed lamps pass their signal on from one to the next; past the length that it bears they flicker or \
          show what they please",
    formula: "longest cable between neighbours, or from the box to the first <= feed.signal-limit",
    source: "the lamp maker's own figure: there is none that holds for all",
    cure: "shorter cables, or a repeater on the way",
};

/// A warning for the longest cable, where a limit is written.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let feeds =
        subject.calculations.map_or(&[][..], |c| c.power.feeds.as_deref().unwrap_or_default());
    judge(subject.job, feeds).into_iter().collect()
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Option<Finding> {
    let limit = job.feed.signal_limit?;
    let cables = feeds.iter().flat_map(|studied| {
        (0..studied.feed.fixtures.len())
            .map(move |lamp| (studied, lamp, studied.feed.plan.cable_to(lamp)))
    });
    let (studied, lamp, length) = cables.max_by(|a, b| a.2.get().total_cmp(&b.2.get()))?;
    if length <= limit {
        return None;
    }
    let metres = |l: Length| format!("{} m", trimmed(l.in_metres(), 1));
    let finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!(
            "the cable to {} is {} long; the signal bears {}",
            lamp_name(job, studied, lamp),
            metres(length),
            metres(limit)
        ),
    )
    .measured(metres(length), format!("at most {}", metres(limit)))
    .key("feed.signal-limit")
    .key("feed.segments");
    // What of the cable is not the written length between trunks: the way from the box up to the row.
    let written = job.feed.segments.as_deref().and_then(|list| match list {
        [all] if length >= *all => Some(limit - (length - *all)),
        _ => None,
    });
    Some(match written.filter(|&rest| rest > Length::metres(1.0)) {
        Some(rest) => {
            let metres = (rest.in_metres() * 10.0).floor() / 10.0;
            finding.remedy("feed.segments", format!("at most {metres} m"))
        }
        None => finding.remedy("feed.segments", "a repeater on the way, or shorter cables"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::power::feeds::studied;
    use crate::design::{PreviousSet, plan};
    use crate::params::read;

    #[test]
    fn the_longest_cable_is_held_against_the_makers_figure() {
        let found = |limit: &str, change: (&str, &str)| {
            let text = include_str!("../../../params/quillmere-stories.toml");
            let text = text.replace("layout =", &format!("signal-limit = \"{limit}\"\nlayout ="));
            let job = read(&text.replace(change.0, change.1)).unwrap().job;
            let feeds = studied(&job, &plan(&job, &PreviousSet::default()).unwrap()).unwrap();
            judge(&job, &feeds)
        };
        // The row's gaps are 9 m, and from the first box to the row's beginning a little more.
        assert_eq!(found("12 m", ("", "")), None);
        let far = found("8 m", ("", "")).unwrap();
        assert!(far.message.contains("Ferry Lime"), "{far:?}");
        // Trunks that stand nearer are within it, and the remedy says how near.
        let chain = (
            "layout = \"loop\"\nconductor = \"1 mm2\"\nsegments = \"9 m\"\nback = \"28 m\"",
            "segments = \"9 m\"",
        );
        let far = found("9.5 m", chain).unwrap();
        let near = far.remedies[0].change.strip_prefix("at most ").unwrap();
        let near = format!("segments = \"{near}\"");
        assert_eq!(found("9.5 m", (chain.0, near.as_str())), None);
    }
}
