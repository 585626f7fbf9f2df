//! A part that does not go onto the printer's bed.

use crate::assessment::Subject;
use crate::build::BuiltPart;
use crate::finding::{Finding, Rule, Severity};
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

/// One error for each part that is too large.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let printer = &subject.job.printer;
    let (bed, margin) = (printer.bed, printer.margin * 2.0);
    let one = |m: &BuiltPart| {
        let name = m.id();
        let [w, d, h] = m.report.bounds.size();
        let wanted = [[w, d, h], [d, w, h]].map(|[x, y, z]| [x + margin, y + margin, z]);
        let over = |size: &[Length; 3]| {
            (0..3).map(|k| (size[k] - bed[k]).max(Length::ZERO)).fold(Length::ZERO, |a, b| a + b)
        };
        let least = wanted.into_iter().min_by(|a, b| over(a).get().total_cmp(&over(b).get()))?;
        if over(&least) <= Length::ZERO {
            return None;
        }
        let needed: [Length; 3] =
            std::array::from_fn(|k| Length::mm(least[k].max(bed[k]).get().ceil()));
        let shown = |size: [Length; 3]| {
            let [x, y, z] = size.map(Length::get);
            format!("{x:.0} x {y:.0} x {z:.0} mm")
        };
        let within = |[x, y, z]: [Length; 3]| shown([x - margin, y - margin, z]);
        let message = format!(
            "{name} does not go onto the bed, of which a margin of {} stays free",
            printer.margin
        );
        let [x, y, z] = needed.map(Length::get);
        Some(
            Finding::new(RULE.code, Severity::Error, message)
                .measured(within(least), format!("at most {}", within(bed)))
                .part(name)
                .key("printer.bed")
                .key("printer.margin")
                .remedy("printer.bed", format!("at least [{x}, {y}, {z}]")),
        )
    };
    subject.parts.iter().filter_map(one).collect()
}
