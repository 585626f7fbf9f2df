//! The pad lifts off the bark at an end, or is too loose somewhere to grip.

use super::judge_sizes;
use crate::assessment::{Subject, undetermined};
use crate::design::PartId;
use crate::engineering::hold::{HoldInput, Need};
use crate::finding::{Finding, Rule, Severity};
use crate::units::Force;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "pad-opens",
    title: "the pad pressed over its full height and width",
    why: "a pad that lifts works, rubs the bark and lets the lamp nod in the wind",
    formula: "N >= 6 M / H + pull; N >= safety (2 M / H + pull); mean strain - loosest place >= least strain",
    source: "kern of a rectangle and elastic foundation (strength of materials)",
    cure: "pull the strap tighter, up to what bark and print bear; a lighter lamp or a calmer site also help",
};

/// One finding for each saddle whose pad opens at the tension asked for.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge_sizes(
        subject,
        |case| case.least(opens),
        |case, wish| judge(case.part(), &case.input, wish),
    )
}

fn opens(need: Need) -> bool {
    matches!(need, Need::Peels | Need::PadLoose)
}

/// At this tension.
pub(crate) fn judge(part: &PartId, input: &HoldInput<'_>, tension: Force) -> Vec<Finding> {
    too_low(&RULE, part, input, tension, Severity::Warning, opens)
}

/// One finding for each saddle that needs more tension than this for one of the chosen needs. The
/// remedy is left out when the harm limits do not allow it: then the window is empty, and its own
/// rule names the cures.
pub(super) fn too_low(
    rule: &Rule,
    part: &PartId,
    input: &HoldInput<'_>,
    tension: Force,
    severity: Severity,
    chosen: impl Fn(Need) -> bool,
) -> Vec<Finding> {
    let (all, most) = match input.least_tensions().and_then(|a| Ok((a, input.window()?.most))) {
        Ok(found) => found,
        Err(error) => return vec![undetermined(rule, &error).part(part)],
    };
    let worst_of = |seat: usize| {
        let own = all.iter().filter(|(s, need, _)| *s == seat && chosen(*need));
        own.max_by(|a, b| a.2.get().total_cmp(&b.2.get()))
    };
    (0..input.seats.len())
        .filter_map(worst_of)
        .filter(|(_, _, least)| *least > tension)
        .map(|(seat, need, least)| {
            let up = least.get().ceil();
            let message = format!(
                "saddle {}: the strap is pulled to {tension:.0}, but {up} N is needed {}",
                seat + 1,
                need.words()
            );
            let finding = Finding::new(rule.code, severity, message)
                .measured(format!("{tension:.0}"), format!("at least {up} N"))
                .part(part)
                .key("strap.tension");
            if *least <= most {
                finding.remedy("strap.tension", format!("at least {up} N"))
            } else {
                finding
            }
        })
        .collect()
}
