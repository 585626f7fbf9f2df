//! Grooves for round cord in a flat seal.
//!
//! Published rows: static axial (face) gland table of an O-ring seal design guide; depth and squeeze
//! agree with a second, open data set. Width is the guide's column without back-up rings. Where the
//! data set lists narrower grooves (2.41, 3.56, 4.57 mm), the guide is followed. Quick rule of groove
//! makers: depth 0.75 and width 1.5 times the cord. Limits of fill: 75 % aimed at, 85 % at most,
//! makers' groove guides. Millimetres.

use crate::units::Length;

/// One row of the static face gland table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceGland {
    /// Cord diameter.
    pub cord: Length,
    /// Shallowest and deepest groove.
    pub depth: [Length; 2],
    /// Groove width.
    pub width: Length,
    /// Least and most squeeze, with the tolerance of the cord in it.
    pub squeeze: [f64; 2],
}

#[rustfmt::skip]
const ROWS: [([f64; 4], [f64; 2]); 5] = [
    ([1.78, 1.24, 1.37, 2.67], [0.19, 0.33]),
    ([2.62, 1.91, 2.06, 3.71], [0.19, 0.29]),
    ([3.53, 2.54, 2.74, 4.95], [0.20, 0.30]),
    ([5.33, 3.94, 4.19, 7.11], [0.20, 0.28]),
    ([6.99, 5.21, 5.42, 8.89], [0.20, 0.27]),
];

/// Every row, thinnest cord first.
#[must_use]
pub fn face_glands() -> [FaceGland; 5] {
    ROWS.map(|([cord, shallow, deep, width], squeeze)| FaceGland {
        cord: Length::mm(cord),
        depth: [Length::mm(shallow), Length::mm(deep)],
        width: Length::mm(width),
        squeeze,
    })
}

/// Groove width as a multiple of the cord (quick rule).
pub const WIDTH_PER_CORD: f64 = 1.5;

/// Fill aimed at: room for cord that runs thick or swells.
pub const FILL_AIM: f64 = 0.75;

/// The most fill; beyond, the cord has nowhere to go and holds the lid off its land.
pub const FILL_MOST: f64 = 0.85;

/// The least squeeze at which a solid cord still seals against splashes. Industry averages start at
/// 18 to 20 %; below 10 % even foam is not counted as sealing (enclosure gasket guides).
pub const SQUEEZE_LEAST: f64 = 0.10;

/// The most squeeze that is asked of a solid cord: beyond, it takes a set (common practice, no source).
pub const SQUEEZE_MOST: f64 = 0.40;

/// Squeeze aimed at with printed grooves, which cannot have the 0.8 um finish of a cut one: common
/// practice, no source.
pub const SQUEEZE_PRINTED: [f64; 2] = [0.25, 0.30];

/// Least radius of the groove's centre line at a corner, in cord diameters: handbook rule, from
/// memory.
pub const CORNER_PER_CORD: f64 = 3.0;

/// Wished radius at a corner, in cord diameters: the same rule.
pub const CORNER_WISHED_PER_CORD: f64 = 6.0;

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn published_rows_agree_with_themselves() {
        for g in face_glands() {
            // The table's squeeze holds the squeeze of cord and depth alone.
            let [tight, loose] = g.depth.map(|d| 1.0 - d / g.cord);
            assert!(g.squeeze[0] <= loose && tight <= g.squeeze[1], "{g:?}");
            // Fill stays below the limit even in the shallowest groove.
            let fill = PI / 4.0 * g.cord.get() * g.cord.get() / (g.depth[0].get() * g.width.get());
            assert!(fill < FILL_MOST, "{g:?} {fill}");
        }
        // Digits of fill, deep to shallow, computed independently from the published rows.
        let rows = face_glands();
        for (row, [deep, shallow]) in
            rows.iter().zip([[0.680, 0.752], [0.705, 0.761], [0.722, 0.778]])
        {
            let area = PI / 4.0 * row.cord.get() * row.cord.get();
            let fill = row.depth.map(|d| area / (d.get() * row.width.get()));
            assert!((fill[1] - deep).abs() < 6e-4 && (fill[0] - shallow).abs() < 6e-4, "{fill:?}");
        }
    }
}
