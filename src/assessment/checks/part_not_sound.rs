//! A part whose drawing contradicts itself, or whose mesh fails the gate.

use super::Rule;

/// What `why` says.
pub const RULE: Rule = Rule {
    code: "part-not-sound",
    title: "a part's solid is closed, one body, with the designed holes",
    why: "a mesh that is open, in pieces or inside out prints as something else, or not at all",
    formula: "every edge has two faces, run once each way; V - E + F - rings = 2 (1 - genus); \
              |mesh volume - exact volume| <= area x deviation",
    source: "Euler-Poincare formula; divergence theorem",
    cure: "the dimensions that meet at the named face contradict each other: undo the last change \
           of the job, or change it by less",
};
