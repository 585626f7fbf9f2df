//! More lamps round a trunk than find room beside each other and the buckle.

use super::{Finding, Rule, Severity};

/// What `why` prints.
pub const RULE: Rule = Rule {
    code: "lamps-crowded",
    title: "cradles and buckle find room side by side round the trunk",
    why: "cradles that touch cannot be strapped down, and a buckle on a saddle cannot be pulled",
    formula: "arcs of all saddles and of the buckle fit in the girth; fronts: n atan(w/R) <= pi",
    source: "geometry",
    cure: "fewer lamps on this trunk, or at two heights",
};

/// The finding for a trunk of this index and name.
#[must_use]
pub fn finding(trunk: usize, name: &str, most: u32, why: &str) -> Finding {
    let key = format!("trunk[{trunk}].fixtures");
    Finding::new(RULE.code, Severity::Error, format!("`{name}`: {why}"))
        .key(key.clone())
        .key("pad.half-width")
        .remedy(key, format!("at most {most}"))
}
