//! More lamps round a trunk than find room beside each other and the buckle.

use crate::assessment::Subject;
use crate::assessment::calculations::Unavailable;
use crate::finding::{Finding, KeyPath, Rule, Severity};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lamps-crowded",
    title: "cradles and buckle find room side by side round the trunk",
    why: "cradles that touch cannot be strapped down, and a buckle on a saddle cannot be pulled",
    formula: "arcs of all saddles and of the buckle fit in the girth; fronts: n atan(w/R) <= pi",
    source: "geometry",
    cure: "fewer lamps on this trunk, or at two heights",
};

/// One finding for trunks that are alike, at the first.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let groups = subject.calculations.into_iter().flat_map(|c| &c.groups);
    let crowded = groups.filter_map(|group| match &group.cradle {
        Some(Err(Unavailable::NoRoom { most, why })) => Some((group.trunks[0], most, why)),
        _ => None,
    });
    let finding = |(trunk, most, why): (usize, &u32, &String)| {
        let key = KeyPath::trunk(trunk, "fixtures");
        let name = &subject.job.trunks[trunk].name;
        Finding::new(RULE.code, Severity::Error, format!("`{name}`: {why}"))
            .key(key.as_str())
            .key("pad.half-width")
            .remedy(key.as_str(), format!("at most {most}"))
    };
    crowded.map(finding).collect()
}
