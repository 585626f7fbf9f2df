//! Hole patterns as points.
//!
//! Millimetres in the plane of the plate, about the pattern's middle. The pattern's first axis runs
//! across a lamp's back, or along the length of a receiver or controller.

use crate::params::HolePattern;
use crate::units::Length;

/// The holes of a pattern, in a fixed order: a rectangle counter-clockwise from its lower left, a
/// circle counter-clockwise from the top, points as listed.
#[must_use]
pub(crate) fn points(pattern: &HolePattern) -> Vec<[Length; 2]> {
    match pattern {
        HolePattern::Rectangle { width, height } => {
            let (x, y) = (*width / 2.0, *height / 2.0);
            vec![[-x, -y], [x, -y], [x, y], [-x, y]]
        }
        HolePattern::Circle { diameter, count } => (0..*count)
            .map(|i| {
                let angle = std::f64::consts::TAU * f64::from(i) / f64::from(*count);
                let radius = *diameter / 2.0;
                [-radius * libm::sin(angle), radius * libm::cos(angle)]
            })
            .collect(),
        HolePattern::Points { points } => points.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_of_three_starts_at_the_top_and_runs_counter_clockwise() {
        let holes = points(&HolePattern::Circle { diameter: Length::mm(20.0), count: 3 });
        // Corners of an equilateral triangle in a circle of radius 10 (elementary geometry).
        let expected = [[0.0, 10.0], [-8.660_254_037_844_386, -5.0], [8.660_254_037_844_386, -5.0]];
        for (hole, at) in holes.iter().zip(expected) {
            for axis in 0..2 {
                assert!((hole[axis].get() - at[axis]).abs() < 1e-12, "{holes:?}");
            }
        }
    }
}
