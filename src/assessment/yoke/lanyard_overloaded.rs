//! Lanyards that a fall asks more of than they bear.

use super::falls;
use crate::assessment::{Subject, undetermined};
use crate::engineering::fall::slack_within;
use crate::engineering::guard::OutOfRange;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Force, Mass};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lanyard-overloaded",
    title: "the lanyard bears the fall that it is there for",
    why: "what lets go falls until the lanyard is taut; a short stiff one takes thirty times the weight, and one that \
          parts has only slowed the lamp down",
    formula: "W (1 + sqrt(1 + 2 h/d)) <= lanyard.working-load, h the slack, d = W/lanyard.stiffness",
    source: "energy balance of a weight on a spring; ten times the weight (EN 60598-2-17) is not on its safe side",
    cure: "less slack, a softer lanyard of woven cord, or a stronger one",
};

/// A warning for the worse of lamp and box, where the lanyard's load is written.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(calculations) = subject.calculations else { return Vec::new() };
    let hung = falls::hung(subject.job, subject.plan(), &calculations.prints);
    judge(subject.job, &hung)
        .unwrap_or_else(|error| Some(undetermined(&RULE, &error)))
        .into_iter()
        .collect()
}

pub(crate) fn judge(
    job: &Job,
    hung: &[(&'static str, Mass)],
) -> Result<Option<Finding>, OutOfRange> {
    let Some(most) = job.lanyard.working_load else { return Ok(None) };
    let mut worst: Option<(&str, crate::engineering::fall::Fall)> = None;
    for (what, mass) in hung {
        let found = falls::of(job, *mass)?;
        if worst.is_none_or(|(_, before)| found.peak > before.peak) {
            worst = Some((what, found));
        }
    }
    let Some((what, found)) = worst.filter(|(_, found)| found.peak > most) else { return Ok(None) };
    let mut finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!(
            "a {what} that lets go jerks its lanyard with {:.0}; it bears {most:.0}",
            found.peak
        ),
    )
    .measured(format!("{:.0}", found.peak), format!("at most {most:.0}"))
    .key("lanyard.working-load")
    .key("lanyard.slack")
    .key("lanyard.stiffness");
    if let Some(slack) = slack_within(found.weight, job.lanyard.stiffness, most) {
        finding = finding.remedy("lanyard.slack", format!("at most {} mm", slack.get().floor()));
    }
    // Peak grows with the root of the stiffness: k = W ((F/W - 1)^2 - 1)/(2 h).
    let times = most / found.weight - 1.0;
    let soft = found.weight.get() * (times * times - 1.0) / (2.0 * job.lanyard.slack.get());
    let soft = (soft * 10.0).floor() / 10.0;
    if times > 1.0 && soft.is_finite() && soft >= SOFTEST {
        finding = finding.remedy("lanyard.stiffness", format!("at most {soft}"));
    }
    let strong = Force::newtons((found.peak.get() / 10.0).ceil() * 10.0);
    Ok(Some(finding.remedy("lanyard.working-load", format!("at least {strong:.0}"))))
}

/// Softer than this is rubber, N/mm.
const SOFTEST: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::read;

    #[test]
    fn every_remedy_of_an_overloaded_lanyard_relieves_it() {
        let text = include_str!("../../../params/one-lamp.toml");
        let hung = [("lamp", Mass::kg(0.48))];
        let of = |lanyard: &str| {
            judge(&read(&format!("{text}\n[lanyard]\n{lanyard}\n")).unwrap().job, &hung).unwrap()
        };
        // By hand: 4.71 N, 100 mm, 20 N/mm: d 0.235 mm, 1 + sqrt(1 + 850) = 30.2 times, 142 N.
        let found = of("working-load = \"100 N\"").unwrap();
        assert_eq!(found.measured.as_deref(), Some("142 N"));
        assert_eq!(found.remedies.len(), 3);
        for remedy in &found.remedies {
            let value =
                remedy.change.trim_start_matches("at most ").trim_start_matches("at least ");
            let value = if value.contains(' ') { format!("\"{value}\"") } else { value.to_owned() };
            let key = remedy.key.as_str().trim_start_matches("lanyard.");
            let load = if key == "working-load" { "" } else { "working-load = \"100 N\"\n" };
            assert_eq!(of(&format!("{load}{key} = {value}")), None, "{remedy:?}");
        }
        // Without a label nothing is held against it.
        assert_eq!(of("slack = 900"), None);
    }
}
