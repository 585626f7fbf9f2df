//! The strap pulls harder on its printed passage than web or edge bear for a season.

use super::{Ring, RingCase, judge_sizes};
use crate::assessment::calculations::Group;
use crate::assessment::{Subject, undetermined};
use crate::design::PartId;
use crate::engineering::strength::limits::first_polymer_that;
use crate::engineering::strength::{Passage, Print, StrengthError};
use crate::finding::{Finding, Rule, Severity};
use crate::units::Force;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "passage-web-overstressed",
    title: "web and edge of the strap passage under the strap's pull",
    why: "the web bends across its layers, the way in which prints split",
    formula: "6 (2 T sin(turn/2) L / 12) / ((R + t) t^2) and T / (R b) <= strength x layer factor x creep share x warm factor",
    source: "beam clamped at both ends (strength of materials); low ends of published tests; layer factor and share from memory",
    cure: "pull less, or a polymer that is stronger on a warm day",
};

/// One finding for each size whose passage does not bear the tension asked for; one where the plastic
/// is too soft for any tension.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(calculations) = subject.calculations else { return Vec::new() };
    let print = &calculations.print;
    let weak = |case: &RingCase<'_>, wish| judge(case.part(), &case.ring.passage, wish, print);
    let mut found = judge_sizes(subject, |case| -case.most().get(), weak);
    let mut rings = calculations.groups.iter().flat_map(Group::rings);
    let soft = |r: &&Ring| r.hold.is_err() && r.passage.most_tension(print).is_err();
    if let Some(ring) = rings.find(soft) {
        found.extend(judge(&ring.part, &ring.passage, subject.job.strap.tension, print));
    }
    found
}

pub(crate) fn judge(
    part: &PartId,
    passage: &Passage,
    tension: Force,
    print: &Print,
) -> Vec<Finding> {
    let finding = match passage.most_tension(print) {
        Ok(most) if tension <= most => return Vec::new(),
        Ok(most) => Finding::new(
            RULE.code,
            Severity::Error,
            format!("the strap passage bears {most:.0}, the strap is pulled to {tension:.0}"),
        )
        .measured(format!("{tension:.0}"), format!("at most {most:.0}"))
        .remedy("strap.tension", format!("at most {} N", most.get().floor())),
        Err(error @ StrengthError::Soft { .. }) => {
            Finding::new(RULE.code, Severity::Error, error.to_string())
        }
        Err(error) => return vec![undetermined(&RULE, &error).part(part)],
    };
    let finding = finding.part(part).key("strap.tension").key("polymer.kind");
    let kind =
        first_polymer_that(print, |p| passage.most_tension(p).is_ok_and(|most| tension <= most));
    vec![match kind {
        Some(kind) => finding.remedy("polymer.kind", format!("\"{kind}\"")),
        None => finding,
    }]
}
