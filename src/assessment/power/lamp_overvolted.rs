//! Packs whose full voltage is more than a lamp bears.

use crate::assessment::Subject;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lamp-overvolted",
    title: "a freshly charged pack stays within what the lamp bears",
    why: "a pack just off its charger stands well above its nominal voltage, and the first lamp on the \
          cable meets all of it",
    formula: "battery.voltage x (full cell/nominal cell) <= fixture.max-voltage",
    source: "cell voltages: Battery University BU-303; lithium iron phosphate and NiMH from memory",
    cure: "a pack of fewer cells, or a lamp that bears more",
};

/// An error when the full pack exceeds the lamp's largest voltage.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job)
}

pub(crate) fn judge(job: &Job) -> Vec<Finding> {
    let (Some(battery), Some(most)) = (&job.battery, job.fixture.max_voltage) else {
        return Vec::new();
    };
    let full = battery.chemistry.pack_full(battery.voltage);
    if full <= most {
        return Vec::new();
    }
    let nominal = battery.voltage * (most / full);
    let message = format!("a full pack has {full}, more than the {most} that the lamp withstands");
    vec![
        Finding::new(RULE.code, Severity::Error, message)
            .measured(full, format!("at most {most}"))
            .key("battery.voltage")
            .key("fixture.max-voltage")
            .remedy("battery.voltage", format!("at most {nominal:.1}")),
    ]
}
