//! Evenings too cold for the cells.

use crate::assessment::Subject;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::standards::battery::{CHARGING, DISCHARGING};
use crate::units::trimmed;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "cells-too-cold",
    title: "the cells are used at temperatures that they bear",
    why: "cold cells give less, and a cold cell that is charged is spoilt for good, or worse",
    formula: "discharge from -20 to 60 C; charge from 0 to 45 C",
    source: "cell makers' sheets; Battery University BU-502",
    cure: "let packs warm indoors before charging; carry them home on frosty evenings",
};

/// An error below the discharge limit, a note below the charging limit: nothing of the design changes.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge(subject.job)
}

pub(crate) fn judge(job: &Job) -> Vec<Finding> {
    let Some(battery) = &job.battery else { return Vec::new() };
    let cold = job.site.cold;
    let [coldest, _] = DISCHARGING;
    let [freezing, _] = CHARGING;
    if cold < coldest {
        let message = format!("cells at {cold} may not be discharged");
        return vec![
            Finding::new(RULE.code, Severity::Error, message)
                .measured(cold, format!("at least {coldest}"))
                .key("site.cold")
                .key("battery.chemistry")
                .remedy("site.cold", format!("at least {coldest}: stay dark on colder evenings")),
        ];
    }
    if cold < freezing {
        let left = battery.chemistry.capacity_factor(cold).map_or(0.0, |f| 100.0 * f);
        let message = format!(
            "at {cold} the cells give {} % of their charge; let them warm up before charging",
            trimmed(left, 0)
        );
        return vec![
            Finding::new(RULE.code, Severity::Note, message)
                .measured(cold, format!("at least {freezing} to charge"))
                .key("site.cold")
                .key("battery.chemistry"),
        ];
    }
    Vec::new()
}
