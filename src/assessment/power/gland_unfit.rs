//! Glands that do not take the cables of the feed.

use super::feeds;
use super::feeds::Studied;
use crate::assessment::Subject;
use crate::finding::{Finding, KeyPath, Rule, Severity};
use crate::params::Job;
use crate::standards::GlandSize;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "gland-unfit",
    title: "every cable of the feed has a gland that grips it",
    why: "two cables in one gland, or one that is too thin for it, let the rain in; one that is too thick does \
          not go through",
    formula: "glands >= cables: 1 for a chain, 2 for a loop and for a chain that leaves the box both ways; \
              least and most of the gland's range about the cable's diameter",
    source: "makers' usual ranges of glands and diameters of rubber cord (unverified: no page with the tables was \
             found; EN 62444 fixes neither)",
    cure: "glands of the right size and number, or another cable",
};

/// A warning where there are too few, and one where the cable does not fit (a note where cord of its size
/// may or may not).
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let Some(needed) = feeds.iter().map(|f| 1 + u32::from(f.feed.plan.returns())).max() else {
        return findings;
    };
    if job.glands.is_empty() {
        return findings;
    }
    let have: u32 = job.glands.iter().map(|g| job.gland_count(g)).sum();
    if have < needed {
        let count = job.gland_count(&job.glands[0]) + needed - have;
        let message = format!("{needed} cables leave the box, and it has {have} gland");
        let key = KeyPath::new("gland[0].count");
        findings.push(
            Finding::new(RULE.code, Severity::Warning, message)
                .measured(have, format!("at least {needed}"))
                .key(key.as_str())
                .key("feed.layout")
                .remedy(key.as_str(), format!("at least {count}")),
        );
    }
    let sizes = feeds.iter().map(|f| f.study.size);
    let Some(size) = sizes.max_by(|a, b| a.area().get().total_cmp(&b.area().get())) else {
        return findings;
    };
    let [thin, thick] = job.feed.cable_diameter.map_or(size.cord(), |d| [d, d]);
    let grips = |gland: GlandSize| {
        let [least, most] = gland.cable();
        thin >= least && thick <= most
    };
    let fit: u32 = job.glands.iter().filter(|g| grips(g.size)).map(|g| job.gland_count(g)).sum();
    if fit < needed.min(have) {
        let cable = if thin == thick {
            format!("{thin} thick")
        } else {
            format!("{thin} to {thick} thick, as rubber cord of {size} is sold")
        };
        let worst = job.glands.iter().position(|g| !grips(g.size)).unwrap_or(0);
        let [least, most] = job.glands[worst].size.cable();
        let gland = job.glands[worst].size;
        let message = format!("the cable is {cable}; a gland {gland} takes {least} to {most}");
        let key = format!("gland[{worst}].size");
        // Some cord of this size may fit; one that was measured, or none at all, does not.
        let may = job.feed.cable_diameter.is_none() && thin < most && thick > least;
        let severity = if may { Severity::Note } else { Severity::Warning };
        let mut finding = Finding::new(RULE.code, severity, message)
            .measured(format!("{thin} to {thick}"), format!("{least} to {most}"))
            .key(key.clone())
            .key("feed.cable-diameter");
        if let Some(right) = GlandSize::ALL.into_iter().find(|&g| grips(g)) {
            finding = finding.remedy(key, format!("\"{right}\""));
        }
        // What the gland has of the cord's own spread, where the cable was not measured.
        let reach = [thin.max(least), thick.min(most)];
        if job.feed.cable_diameter.is_none() && reach[0] < reach[1] {
            let change = format!("{} if the cable at hand is no thicker", tenths(reach[1]));
            finding = finding.remedy("feed.cable-diameter", change);
        }
        findings.push(finding);
    }
    findings
}

/// Downward to 0.1 mm.
fn tenths(length: Length) -> Length {
    Length::mm((length.get() * 10.0).floor() / 10.0)
}
