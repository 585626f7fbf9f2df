//! The flat roofs over gland and vent holes are bridges that the printer can span.

use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, roof_width};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::standards::GlandSize;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "roof-bridges-far",
    title: "the flat roof over a cable gland is no longer than the printer's bridge",
    why: "a roof that sags into the hole keeps the gland's thread out",
    formula: "roof width <= printer.bridge; the roof may rise only as far as the gland's flats cover it",
    source: "geometry of tangents and hexagon; bridge length as measured on the printer",
    cure: "a smaller gland, or file the roof after printing",
};

/// A warning for every size whose roof is longer than the bridge.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    let limit = job.printer.bridge;
    let fits = |size: &GlandSize| roof_width(*size, &job.printer) <= limit;
    let largest = GlandSize::ALL.into_iter().rfind(fits);
    let glands = plan.glands.iter().map(|e| (e.hole, format!("gland[{}].size", e.index)));
    let vent = plan.vent.iter().map(|v| (v.hole, "vent.size".to_owned()));
    let mut named: Vec<String> = Vec::new();
    let mut findings = Vec::new();
    for (hole, key) in glands.chain(vent) {
        let width = 2.0 * hole.roof_half;
        if width <= limit + Length::mm(1e-9) || named.contains(&key) {
            continue;
        }
        let message = format!("the roof over the hole for {} is a bridge of {width}", hole.size);
        let mut finding = Finding::new(RULE.code, Severity::Warning, message)
            .measured(width, format!("at most {limit}"))
            .part(PartId::BoxBody)
            .key(key.clone())
            .key("printer.bridge");
        if let Some(size) = largest {
            finding = finding.remedy(key.clone(), format!("\"{size}\" or smaller"));
        }
        named.push(key);
        findings.push(finding);
    }
    findings
}
