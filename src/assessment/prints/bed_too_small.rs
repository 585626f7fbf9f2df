//! A part that does not go onto the printer's bed.

use crate::assessment::Subject;
use crate::build::BuiltPart;
use crate::design::PartId;
use crate::finding::{Finding, Rule, Severity};
use crate::params::enumerated;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "bed-too-small",
    title: "every part goes onto the bed as it prints",
    why: "a part that sticks out of the bed cannot be printed whole",
    formula: "bounds of the finished mesh + 2 margin <= bed, as it lies or turned a quarter; height <= bed",
    source: "geometry of the print pose",
    cure: "a larger bed, a narrower margin, or a lamp that needs a smaller cradle",
};

/// One error for all parts that are too large, with a bed that takes each of them.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let printer = &subject.job.printer;
    let (bed, margin) = (printer.bed, printer.margin * 2.0);
    let excess = |size: &[Length; 3]| {
        (0..3).map(|k| (size[k] - bed[k]).max(Length::ZERO)).fold(Length::ZERO, |a, b| a + b)
    };
    // The bed that a part needs, as it lies or turned, whichever exceeds this one by less.
    let needed = |part: &BuiltPart| {
        let [w, d, h] = part.report.bounds.size();
        let ways = [[w, d, h], [d, w, h]].map(|[x, y, z]| [x + margin, y + margin, z]);
        ways.into_iter().min_by(|a, b| excess(a).get().total_cmp(&excess(b).get()))
    };
    let too_large: Vec<(&PartId, [Length; 3])> = subject
        .parts
        .iter()
        .filter_map(|part| Some((part.id(), needed(part)?)))
        .filter(|(_, size)| excess(size) > Length::ZERO)
        .collect();
    let Some((largest, size)) =
        too_large.iter().max_by(|a, b| excess(&a.1).get().total_cmp(&excess(&b.1).get()))
    else {
        return Vec::new();
    };
    let without_margin = |[x, y, z]: [Length; 3]| {
        let [x, y, z] = [x - margin, y - margin, z].map(Length::get);
        format!("{x:.0} x {y:.0} x {z:.0} mm")
    };
    let message = format!(
        "{} {} not fit on the bed inside its margin of {}",
        enumerated(too_large.iter().map(|(part, _)| part.to_string())),
        if too_large.len() == 1 { "does" } else { "do" },
        printer.margin
    );
    let measured = format!("{largest}, {}", without_margin(*size));
    let [x, y, z] = std::array::from_fn(|k| {
        too_large.iter().map(|(_, size)| size[k]).fold(bed[k], Length::max).get().ceil()
    });
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(measured, format!("at most {}", without_margin(bed)))
        .key("printer.bed")
        .key("printer.margin")
        .remedy("printer.bed", format!("at least [{x}, {y}, {z}]"));
    vec![too_large.iter().fold(finding, |finding, (part, _)| finding.part(part))]
}
