//! Radio links with too little in hand.

use super::path;
use crate::assessment::{Subject, undetermined};
use crate::bisection::try_border;
use crate::engineering::guard::OutOfRange;
use crate::engineering::link::{FREE, Path};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::units::{Length, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "link-weak",
    title: "the radio reaches the controller with something in hand",
    why: "a controller that misses its signal leaves the tree dark, or bright all night, in front of everybody",
    formula: "power + gain - (32.4 + 20 lg f + 20 lg d) - leaves - 8 walls - obstacle - sensitivity >= \
              link.fade-margin; leaves: the larger of 0.2 f^0.3 d^0.6 and the woodland model; 60 % of the first \
              Fresnel zone free of the ground",
    source: "ITU-R P.525; early ITU leaf model and ITU-R P.833-9; walls, obstacle and margin by common practice, no \
             source",
    cure: "come nearer, go round the leaves, raise the aerials, or move the box to the sender's side of the trunk",
};

/// A warning for too little margin, a note for a way too near the ground.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job).unwrap_or_else(|error| vec![undetermined(&RULE, &error)])
}

pub(crate) fn judge(job: &Job) -> Result<Vec<Finding>, OutOfRange> {
    let Some(link) = &job.link else { return Ok(Vec::new()) };
    let (now, asked) = (path(link), link.fade_margin);
    let found = now.budget()?;
    let mut findings = Vec::new();
    if found.margin < asked {
        let db = |value: f64| format!("{} dB", trimmed(value, 1));
        let mut finding = Finding::new(
            RULE.code,
            Severity::Warning,
            format!(
                "the radio link has {} in hand over {} m; leaves take {} of it",
                db(found.margin),
                trimmed(link.distance.in_metres(), 1),
                db(found.leaves_early.max(found.leaves_woodland))
            ),
        )
        .measured(db(found.margin), format!("at least {}", db(asked)))
        .key("link.distance")
        .key("link.foliage")
        .key("link.fade-margin");
        let serves = |path: Path| Ok::<bool, OutOfRange>(path.budget()?.margin >= asked);
        // Nearer, with the leaves as they are.
        let near = |mm: f64| serves(Path { distance: Length::mm(mm), ..now });
        if near(NEAREST)? {
            let [reach, _] = try_border(NEAREST, link.distance.get(), HALVINGS, near)?;
            let metres = (reach / 100.0).floor() / 10.0;
            finding = finding.remedy("link.distance", format!("at most {metres} m"));
        }
        let clear = |mm: f64| serves(Path { foliage: Length::mm(mm), ..now });
        if link.foliage > Length::ZERO && clear(0.0)? {
            let [leaves, _] = try_border(0.0, link.foliage.get(), HALVINGS, clear)?;
            let metres = (leaves / 100.0).floor() / 10.0;
            finding = finding.remedy("link.foliage", format!("at most {metres} m"));
        }
        let power = (link.power + asked - found.margin).ceil();
        if power <= MOST_POWER {
            finding = finding.remedy("link.power", format!("at least {power}"));
        }
        if link.obstacle > 0.0 && found.margin + link.obstacle >= asked {
            let obstacle = (link.obstacle + found.margin - asked).floor().max(0.0);
            let change =
                format!("at most {obstacle}, with the box on the sender's side of the trunk");
            finding = finding.remedy("link.obstacle", change);
        }
        findings.push(finding);
    }
    let needed = found.fresnel * FREE;
    if found.clearance < needed {
        let metres = |l: Length| format!("{} m", trimmed(l.in_metres(), 2));
        // Raised by the sender alone, whose height is free.
        let height = ((needed * 2.0 - link.receiver_height).in_metres() * 10.0).ceil() / 10.0;
        findings.push(
            Finding::new(
                RULE.code,
                Severity::Note,
                format!(
                    "the way of the radio runs {} above ground in its middle, and the ground takes from what is \
                     nearer than {}",
                    metres(found.clearance),
                    metres(needed)
                ),
            )
            .measured(metres(found.clearance), format!("at least {}", metres(needed)))
            .key("link.sender-height")
            .key("link.receiver-height")
            .remedy("link.sender-height", format!("at least {height} m")),
        );
    }
    Ok(findings)
}

/// Nearer than this nobody stands to work a controller, mm.
const NEAREST: f64 = 1000.0;
/// More than this no licence-free sender has, dBm (14 to 20 usual; from memory).
const MOST_POWER: f64 = 20.0;
/// Halvings of either search.
const HALVINGS: usize = 40;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::read;

    fn job(link: &str) -> Job {
        let text = include_str!("../../../params/one-lamp.toml");
        read(&format!("{text}\n[link]\n{link}\n")).unwrap().job
    }

    #[test]
    fn every_remedy_of_a_weak_link_gives_it_its_margin() {
        let bad = "distance = \"60 m\"\nfoliage = \"9 m\"\nsender-height = \"3 m\"";
        let found = judge(&job(bad)).unwrap();
        assert_eq!(found[0].severity, Severity::Warning);
        assert!(found[0].remedies.len() >= 2, "{found:?}");
        for remedy in &found[0].remedies {
            let key = remedy.key.as_str().trim_start_matches("link.");
            let value =
                remedy.change.trim_start_matches("at most ").trim_start_matches("at least ");
            let value = value.split(',').next().unwrap();
            let value =
                if value.ends_with(" m") { format!("\"{value}\"") } else { value.to_owned() };
            let kept: Vec<&str> = bad.lines().filter(|l| !l.starts_with(key)).collect();
            let cured = format!("{}\n{key} = {value}", kept.join("\n"));
            let left = judge(&job(&cured)).unwrap();
            assert!(left.iter().all(|f| f.severity == Severity::Note), "{cured}: {left:?}");
        }
    }

    #[test]
    fn a_short_clear_link_is_silent_and_a_low_one_is_told() {
        assert_eq!(judge(&job("distance = \"10 m\"\npower = 10")).unwrap(), []);
        assert_eq!(
            judge(&read(include_str!("../../../params/one-lamp.toml")).unwrap().job).unwrap(),
            []
        );
        // By hand: 0.6 x 1.767 m at 100 m and 2.4 GHz is 1.06 m; aerials at 0.5 m are below.
        let low = "distance = \"100 m\"\npower = 20\nsensitivity = -110\nsender-height = 500\nreceiver-height = 500";
        let found = judge(&job(low)).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].limit.as_deref(), Some("at least 1.06 m"));
        let cured = low.replace("sender-height = 500", "sender-height = \"1.7 m\"");
        assert_eq!(found[0].remedies[0].change, "at least 1.7 m");
        assert_eq!(judge(&job(&cured)).unwrap(), []);
    }
}
