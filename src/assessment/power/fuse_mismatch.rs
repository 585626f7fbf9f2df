//! Fuses that blow under the lamps, or do not protect the cable.

use super::feeds::Studied;
use super::{cable_rank, feeds, worst_of_kind};
use crate::assessment::Subject;
use crate::engineering::feed::inrush::inrush;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::standards::fuse::{CONTINUOUS, PULSE_SHARE};
use crate::units::{Current, trimmed};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "fuse-mismatch",
    title: "the fuse at the battery carries the lamps and protects the cable",
    why: "a battery can push enough current through a crushed cable to set it on fire; the fuse is \
          all that stands between, and one that is too small goes out in mid-evening",
    formula: "1.25 I_B <= I_n <= I_Z and I_2 <= 1.45 I_Z, I_B with the charge drawn as planned; a short at the \
              farthest lamp, of a broken loop too, should exceed I_2; C V^2/(2 R) at switching on at most a \
              quarter of the melting pulse",
    source: "IEC 60364-4-43; 1.25 for lasting loads is US and marine practice (from memory)",
    cure: "a rating between load and cable, a thicker cable, or fewer lamps on the box",
};

/// Errors for fuses that do not fit, warnings for shorts that do not open them.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job, feeds(subject))
}

pub(crate) fn judge(job: &Job, feeds: &[Studied]) -> Vec<Finding> {
    worst_of_kind(job, feeds, |studied| {
        // The box that draws most needs the largest fuse; the one that needs the thickest cable for a
        // short to open the fuse is the worst of those.
        one(job, studied)
            .into_iter()
            .map(|(kind, finding)| match kind {
                Kind::ShortStaysOn => (kind as u8, cable_rank(studied), finding),
                _ => (kind as u8, studied.study.continuous.get(), finding),
            })
            .collect()
    })
}

/// What is wrong with a fuse.
#[derive(Clone, Copy)]
enum Kind {
    TooSmall,
    TooLarge,
    NoneFits,
    ShortStaysOn,
    Pulse,
}

fn one(job: &Job, studied: &Studied) -> Vec<(Kind, Finding)> {
    let (study, kind) = (&studied.study, studied.feed.plan.fuse_kind);
    let least = study.continuous * CONTINUOUS;
    let finding = |severity, message: String| {
        Finding::new(RULE.code, severity, message).key("feed.fuse").key("feed.conductor")
    };
    let mut findings = Vec::new();
    // The thinnest cable that has a fuse at all between load and ampacity.
    let thicker = || {
        study.size.series().iter().find_map(|&size| {
            studied.feed.plan.study(size).ok().filter(|s| s.fuse.is_ok()).map(|s| s.size)
        })
    };
    let cure = |finding: Finding| match (study.fuse, thicker()) {
        (Ok(rating), _) => finding.remedy("feed.fuse", format!("{rating}")),
        (Err(_), Some(size)) => finding.remedy("feed.conductor", format!("at least {size}")),
        (Err(_), None) => {
            finding.remedy("feed.segments", "fewer lamps on this box: no cable and fuse carry them")
        }
    };
    let fuse = match (job.feed.fuse, study.fuse) {
        (Some(given), _) => {
            if given < least {
                let message = format!(
                    "a fuse of {given} carries {} for hours, less than the {} that the lamps draw",
                    given / CONTINUOUS,
                    study.continuous
                );
                let found = finding(Severity::Error, message);
                findings.push((
                    Kind::TooSmall,
                    cure(found.measured(given, format!("at least {least}"))),
                ));
            }
            if !kind.protects(given, study.ampacity) {
                let message = format!(
                    "a fuse of {given} does not protect {}, which carries {}",
                    study.size, study.ampacity
                );
                let most = kind.largest_for(given, study.ampacity);
                let found = finding(Severity::Error, message);
                findings
                    .push((Kind::TooLarge, cure(found.measured(given, format!("at most {most}")))));
            }
            given
        }
        (None, Ok(rating)) => rating,
        (None, Err(none)) => {
            let found = finding(Severity::Error, format!("{}: {none}", study.size));
            let found = cure(found.measured(none.least, format!("at most {}", none.most)));
            findings.push((Kind::NoneFits, found));
            return findings;
        }
    };
    let opens = fuse * kind.conventional_factor(fuse);
    if study.far_short < opens {
        let message = format!(
            "a short at the last lamp draws {}; a {fuse} fuse opens for sure only above {opens}",
            study.far_short
        );
        let found = finding(Severity::Warning, message)
            .measured(study.far_short, format!("at least {opens}"))
            .key("feed.segments");
        // The thinnest cable on which its own fuse opens.
        let serves = study.size.series().iter().find_map(|&size| {
            let thick = studied.feed.plan.study(size).ok()?;
            let rating = job.feed.fuse.or(thick.fuse.ok())?;
            (thick.far_short >= rating * kind.conventional_factor(rating)).then_some(size)
        });
        let found = match serves {
            Some(size) => found.remedy("feed.conductor", format!("at least {size}")),
            None => found.remedy("feed.segments", "shorter, or fewer lamps on this box"),
        };
        findings.push((Kind::ShortStaysOn, found));
    }
    findings.extend(pulse(job, studied, fuse).map(|found| (Kind::Pulse, found)));
    findings
}

/// The lamps' capacitors ask more of the fuse at switching on than it takes evening after evening.
fn pulse(job: &Job, studied: &Studied, fuse: Current) -> Option<Finding> {
    let (volts, capacity, r) = feeds::switched_on(job, studied)?;
    let found = inrush(volts, capacity, r).ok()?;
    let kind = studied.feed.plan.fuse_kind;
    let takes = |rating: Current| found.pulse <= PULSE_SHARE * kind.melting(rating);
    if takes(fuse) {
        return None;
    }
    let shown = |pulse: f64| format!("{} A2s", trimmed(pulse, 2));
    let most = PULSE_SHARE * kind.melting(fuse);
    let finding = Finding::new(
        RULE.code,
        Severity::Warning,
        format!(
            "at switching on the lamps' capacitors send {} through a fuse of {fuse}, which ages above {}",
            shown(found.pulse),
            shown(most)
        ),
    )
    .measured(shown(found.pulse), format!("at most {}", shown(most)))
    .key("feed.fuse")
    .key("fixture.capacitor");
    let larger =
        kind.ratings().find(|&n| n > fuse && takes(n) && kind.protects(n, studied.study.ampacity));
    Some(match larger {
        Some(rating) => finding.remedy("feed.fuse", format!("{rating}")),
        None => finding
            .remedy("feed.fuse", "switch the lamps on one after another, or dimmed up from dark"),
    })
}
