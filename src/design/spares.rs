//! Prints in hand that hang on no trunk this year: they stay known, so that another year can take them
//! down from the shelf, and so that no new print bears their letters.

use super::job_plan::{Before, CradleSize, Printed, RailSize, SizeClass, SizeKind};
use crate::engineering::sizes::Size;

/// Copies of one print on the shelf.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelved {
    /// What they are.
    pub kind: SizeKind,
    /// Letters engraved.
    pub mark: String,
    /// Hash of their shape, which need not be one that would be drawn today.
    pub shape: String,
    /// Their size.
    pub size: Size,
    /// How many.
    pub copies: u32,
}

/// As a person would list them: `2 x cradle-a`.
impl std::fmt::Display for Shelved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} x {}", self.copies, self.kind.part(&self.mark))
    }
}

/// What the earlier set has and the new sizes do not use; nothing unless it is in hand.
pub(super) fn left(before: &Before, cradles: &[CradleSize], rails: &[RailSize]) -> Vec<Shelved> {
    if !before.in_hand {
        return Vec::new();
    }
    let cradles = || cradles.iter().map(|c| &c.class);
    let rails = || rails.iter().map(|r| &r.class);
    let mut left = of_kind(SizeKind::Cradle, &before.cradles, |mark| reused(cradles(), mark));
    left.extend(of_kind(SizeKind::Rail, &before.rails, |mark| reused(rails(), mark)));
    left
}

/// Earlier copies that hang again.
fn reused<'a>(classes: impl Iterator<Item = &'a SizeClass>, mark: &str) -> u32 {
    classes.filter(|c| c.kept && c.mark == mark).map(|c| c.copies - c.prints).sum()
}

fn of_kind(kind: SizeKind, printed: &Printed, reused: impl Fn(&str) -> u32) -> Vec<Shelved> {
    let sizes = printed.made.sizes.iter().zip(printed.made.copies());
    let engraved = printed.marks.iter().zip(&printed.shapes);
    let all = sizes.zip(engraved).map(|((size, copies), (mark, shape))| Shelved {
        kind,
        mark: mark.clone(),
        shape: shape.clone(),
        size: *size,
        copies: copies.saturating_sub(reused(mark)),
    });
    all.filter(|shelved| shelved.copies > 0).collect()
}
