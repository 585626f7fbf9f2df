//! The radius of a trunk where the cradle will sit, from a straight edge laid against the bark.
//!
//! A straight edge of length c touches a round stem somewhere near its middle; gaps s1 and s2 at its
//! ends, square to it, give the radius. Off the middle the two gaps differ, and to second order
//! `sqrt(s1) + sqrt(s2) = c / sqrt(2 R)`. With equal gaps s that is the rule of the surveyor's chord,
//! `R = c^2 / (8 s) + s / 2`, whose last term is kept. Millimetres.
//!
//! A millimetre of bark spoils a short edge: `dR/ds = 1/2 - c^2 / (8 s^2)`. So the answer comes with
//! the radii that gaps read wrong by a stated error would give; a print must serve them all. Gaps so
//! small that the bark may be flat within that error are refused: a longer edge tells more.

use super::guard::{OutOfRange, not_negative, positive};
use crate::units::Length;

/// How far a gap is read wrong: a steel rule held against rough bark is read to half a millimetre
/// (common practice, no source).
const READING: Length = Length::mm(0.5);

/// A straight edge on the bark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Straightedge {
    /// Its length.
    pub length: Length,
    /// Gaps to the bark at its ends.
    pub gaps: [Length; 2],
}

/// A radius, and between which it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LocalRadius {
    /// As measured.
    pub radius: Length,
    /// With both gaps too small by the uncertainty: the smallest.
    pub least: Length,
    /// With both gaps too large by it: the largest.
    pub most: Length,
}

impl Straightedge {
    /// The radius under the edge, with the gaps read as a rule can be read.
    ///
    /// # Errors
    /// As [`Straightedge::within`].
    pub(crate) fn radius(&self) -> Result<LocalRadius, OutOfRange> {
        self.within(READING)
    }

    /// The radius under the edge, when each gap may be wrong by `uncertain`.
    ///
    /// # Errors
    /// A length that is not above zero, a negative gap, gaps no larger than their uncertainty (the
    /// bark may be flat or hollow there), an edge longer than the trunk is wide.
    fn within(&self, uncertain: Length) -> Result<LocalRadius, OutOfRange> {
        let c = positive("the straight edge's length", self.length.get())?;
        let u = not_negative("the uncertainty of a gap", uncertain.get())?;
        let mut root = [0.0; 3];
        for gap in self.gaps {
            let gap = not_negative("the gap at the straight edge's end", gap.get())?;
            for (sum, off) in root.iter_mut().zip([0.0, u, -u]) {
                *sum += (gap + off).max(0.0).sqrt();
            }
        }
        // A gap that stands for both: the square of the mean root.
        let [gap, wide, narrow] = root.map(|sum| 0.25 * sum * sum);
        let outside =
            |needs| OutOfRange { what: "the gap at the straight edge's ends", value: gap, needs };
        if 2.0 * gap > c {
            return Err(outside("at most half its length"));
        }
        let radius = |s: f64| Length::mm(c * c / (8.0 * s) + s / 2.0);
        let most = Some(radius(narrow)).filter(|r| narrow > 0.0 && r.is_finite());
        let most = most.ok_or_else(|| outside("larger than a reading may be wrong"))?;
        // Gaps beyond half the length belong to no circle: half the length is the smallest there is.
        Ok(LocalRadius { radius: radius(gap), least: radius(wide.min(c / 2.0)), most })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(c: f64, gaps: [f64; 2]) -> Straightedge {
        Straightedge { length: Length::mm(c), gaps: gaps.map(Length::mm) }
    }

    #[test]
    fn chord_and_sagitta_by_hand() {
        // R = c^2 / (8 s) + s / 2, digits computed independently.
        for (c, s, r) in [(200.0, 12.5, 406.25), (100.0, 2.0, 626.0), (150.0, 8.0, 355.56)] {
            let found = edge(c, [s, s]).within(Length::ZERO).unwrap();
            assert!((found.radius.get() - r).abs() < 5e-3, "{found:?}");
            assert_eq!((found.least, found.most), (found.radius, found.radius));
        }
        // dR/ds = -43.4 mm per mm at c 150, s 8.
        let (low, high) = (edge(150.0, [7.995; 2]), edge(150.0, [8.005; 2]));
        let [low, high] = [low, high].map(|e| e.within(Length::ZERO).unwrap().radius.get());
        assert!(((high - low) / 0.01 + 43.4).abs() < 0.06);
    }

    #[test]
    fn an_edge_that_touches_off_its_middle_tells_the_same_radius() {
        // Circle of 300 mm, edge of 200 mm touching 30 mm off its middle: exact gaps from Pythagoras.
        let gap = |x: f64| 300.0 - f64::sqrt(300.0 * 300.0 - x * x);
        let found = edge(200.0, [gap(130.0), gap(70.0)]).within(Length::ZERO).unwrap();
        assert!((found.radius.get() - 300.0).abs() < 5.0, "{found:?}");
    }

    #[test]
    fn bark_relief_spoils_a_short_edge_more() {
        // The same trunk of 250 mm under edges of 100 and 250 mm, gaps uncertain by a millimetre.
        let spread = |c: f64| {
            let s = 250.0 - f64::sqrt(250.0 * 250.0 - c * c / 4.0);
            let found = edge(c, [s, s]).within(Length::mm(1.0)).unwrap();
            (found.most - found.least).get()
        };
        assert!(spread(100.0) > 3.0 * spread(250.0));
        // Where a gap is read no better than it is wide, the bark may be flat.
        assert!(edge(60.0, [1.0, 1.0]).within(Length::mm(1.0)).is_err());
    }

    #[test]
    fn bad_measures_are_refused() {
        for (c, gaps) in [(0.0, [1.0, 1.0]), (100.0, [0.0, 0.0]), (100.0, [-1.0, 2.0])] {
            assert!(edge(c, gaps).within(Length::ZERO).is_err());
        }
        assert!(edge(100.0, [60.0, 60.0]).within(Length::ZERO).is_err());
    }
}
