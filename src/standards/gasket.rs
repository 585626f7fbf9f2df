//! Grooves for round cord in a flat seal.
//!
//! Quick rule of groove makers: depth 0.75 and width 1.5 times the cord. Limits of fill: 75 % aimed at,
//! 85 % at most, makers' groove guides.

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

/// Least radius of the groove's centre line at a corner, in cord diameters: handbook rule, from
/// memory.
pub const CORNER_PER_CORD: f64 = 3.0;
