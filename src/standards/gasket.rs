//! Gaskets of a flat seal: round cord in its groove, and strips of closed-cell sponge.
//!
//! Quick rule of groove makers: depth 0.75 and width 1.5 times the cord. Limits of fill: 75 % aimed at,
//! 85 % at most, makers' groove guides.

use super::words::words;

words! {
    /// What lies in the groove under the lid.
    GasketKind {
        /// Round cord, solid or foamed.
        Cord "cord",
        /// A self-adhesive strip of closed-cell sponge.
        Sponge "sponge",
    }
}

/// Groove width as a multiple of the cord (quick rule).
pub(crate) const WIDTH_PER_CORD: f64 = 1.5;

/// Fill aimed at: room for cord that runs thick or swells.
pub(crate) const FILL_AIM: f64 = 0.75;

/// The most fill; beyond, the cord has nowhere to go and holds the lid off its land.
pub(crate) const FILL_MOST: f64 = 0.85;

/// The least squeeze at which a solid cord still seals against splashes. Industry averages start at
/// 18 to 20 %; below 10 % even foam is not counted as sealing (enclosure gasket guides).
pub(crate) const SQUEEZE_LEAST: f64 = 0.10;

/// The most squeeze that is asked of a solid cord: beyond, it takes a set (common practice, no source).
pub(crate) const SQUEEZE_MOST: f64 = 0.40;

/// Least radius of the groove's centre line at a corner, in cord diameters: handbook rule, from
/// memory.
pub(crate) const CORNER_PER_CORD: f64 = 3.0;

/// Strain at which sponge is graded (ASTM D1056).
pub(crate) const GRADED_AT: f64 = 0.25;

/// Stress at that strain of grade 1, kPa: 2 to 5 psi (ASTM D1056). A lid must close against the
/// stiffest of the grade.
pub(crate) const GRADE_1: [f64; 2] = [13.8, 34.5];

/// Share of solid in the sponge, about that of soft rubber foams (from memory).
pub(crate) const SPONGE_SOLID: f64 = 0.1;

/// Set of the sponge as a share of its deflection: closed-cell rubber keeps 25 to 40 % (from memory;
/// a published sheet of one closed-cell foam tells 27 % after three days at half its thickness).
pub(crate) const SPONGE_SET: f64 = 0.4;

/// The most squeeze of closed-cell sponge: 35 % (a gasket cutter's guide; enclosure guides say up to
/// 50 %, and cells burst from there on).
pub(crate) const SPONGE_SQUEEZE_MOST: f64 = 0.35;

/// Room beside a strip, so that it can bulge and be laid in by hand (common practice, no source).
pub(crate) const SPONGE_ROOM: f64 = 1.0;

/// Least radius of a strip's centre line at a corner, in strip widths, so that it lies flat when bent
/// on its edge (common practice, no source).
pub(crate) const CORNER_PER_WIDTH: f64 = 2.0;
