//! Plastics that the daylight of a season weakens.

use crate::assessment::Subject;
use crate::assessment::power::feeds::days;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::standards::polymer::polymer;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "polymer-fades",
    title: "the plastic outlives its seasons in the sun",
    why: "some plastics turn brittle in daylight, from the skin in: a cradle that held in May may crack in September",
    formula: "days from install to take-down, times job.years in seasons of that length, at most the plastic's days",
    source: "common experience of makers and printers with unpainted parts, unverified: PLA and ABS some 180 days of \
             summer, PETG some 700",
    cure: "ASA, which keeps its strength, or paint",
};

/// A note where the seasons are longer than what the plastic is known to bear.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job).into_iter().collect()
}

pub(crate) fn judge(job: &Job) -> Option<Finding> {
    let row = polymer(job.polymer.kind);
    let bears = row.daylight_days?;
    let season = days(job)?;
    let seasons = (job.job.years.floor() as u32).saturating_add(1);
    let outside = season.saturating_mul(seasons);
    (outside > bears).then(|| {
        Finding::new(
            RULE.code,
            Severity::Note,
            format!(
                "{} hangs outside for {outside} days in {seasons} seasons: {}",
                row.name, row.daylight
            ),
        )
        .measured(format!("{outside} days"), format!("at most {bears} days"))
        .key("polymer.kind")
        .key("job.take-down")
        .remedy("polymer.kind", "\"asa\"")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::read;

    #[test]
    fn a_plastic_is_told_when_its_seasons_are_too_long() {
        let text = include_str!("../../../params/quillmere-stories.toml");
        let of = |kind: &str| {
            let job =
                read(&text.replace("kind = \"asa\"", &format!("kind = \"{kind}\""))).unwrap().job;
            judge(&job)
        };
        // 28 May to 5 September is 100 days; with two more years three seasons, 300 days.
        let found = of("abs").unwrap();
        assert_eq!(found.measured.as_deref(), Some("300 days"));
        assert_eq!(of("asa"), None);
        assert_eq!(of("petg"), None);
    }
}
