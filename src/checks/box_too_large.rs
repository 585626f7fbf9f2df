//! Body and lid of the box fit the printer's bed.

use super::{Finding, Rule, Severity};
use crate::params::Job;
use crate::plan::enclosure::Enclosure;
use crate::units::{Length, trimmed};

/// What `explain` prints.
pub const RULE: Rule = Rule {
    code: "box-too-large",
    title: "box and lid fit the printer's bed",
    why: "a box glued from halves leaks at the joint",
    formula: "width and height over the rim <= bed - 2 margins, as drawn or turned a quarter; depth <= bed height",
    source: "geometry of the plan",
    cure: "a larger printer, smaller lid screws or thinner gasket cord, fewer entries, a smaller battery",
};

/// Rounded up to whole millimetres, so that the remedy cures.
fn up(length: Length) -> f64 {
    (length.get() - 1e-6).ceil()
}

/// An error for the body, or for body and lid, with the bed that would do.
#[must_use]
pub fn check(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    let [x, y] = plan.footprint();
    let margin = 2.0 * job.printer.margin;
    let bed = job.printer.bed;
    let tiny = Length::mm(1e-6);
    let lack = |a: Length, b: Length| {
        (a + margin - bed[0]).max(Length::ZERO) + (b + margin - bed[1]).max(Length::ZERO)
    };
    let flat = lack(x, y).min(lack(y, x)) > tiny;
    let tall = plan.depth > bed[2] + tiny;
    if !flat && !tall {
        return Vec::new();
    }
    let [a, b] = if lack(x, y) <= lack(y, x) { [x, y] } else { [y, x] };
    let size = |v: [Length; 3]| v.map(|c| trimmed(c.get(), 1)).join(" x ");
    let message = format!("the box is {} mm over its rim", size([x, y, plan.depth]));
    let room = [bed[0] - margin, bed[1] - margin, bed[2]];
    let needs =
        [up((a + margin).max(bed[0])), up((b + margin).max(bed[1])), up(plan.depth.max(bed[2]))];
    let mut finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(format!("{} mm", size([a, b, plan.depth])), format!("{} mm", size(room)))
        .part("box-body");
    if flat {
        finding = finding.part("box-lid");
    }
    for key in ["printer.bed", "battery.length", "lid.screw", "seal.cord"] {
        finding = finding.key(key);
    }
    let [a, b, c] = needs;
    vec![finding.remedy("printer.bed", format!("at least [{a}, {b}, {c}]"))]
}
