//! Bark: its thickness by species and diameter, and how far it stands off a round stem.
//!
//! Double bark, over bark less under bark, in millimetres from the stem's diameter d over bark in
//! centimetres: `a + b d + c d^2`, never below zero. Coefficients of the butt log after Altherr and
//! others (1974 to 1979), as the function `bark` of the R package TapeS has them. Half of it, the mean
//! bark on one side, is an upper bound of the mean depth of fissures and not that depth.
//!
//! Relief, how far the gap between bark and a round face varies over the face of a saddle, has no
//! published table by species. The classes here are common practice without source, set by one
//! measurement: on an open laser scan of a pine (radius 120 to 130 mm, heights 1.3 to 2.5 m) the gap
//! under a face 100 mm wide varies over 1.4 to 2.3 mm in the median direction, and over 3.1 to 4.7 mm
//! in the worst tenth.

use super::words::words;
use crate::units::Length;

words! {
    /// How rough the bark is, as the eye sees it.
    Roughness {
        /// Beech, hornbeam, cherry, young trees of most kinds: a hand slides over it.
        Smooth "smooth",
        /// Lime, maple, ash, pine above its thick bark: furrows that a fingertip feels.
        Fissured "fissured",
        /// Old oak, poplar, willow, black locust: furrows that take a finger.
        DeeplyFurrowed "deeply-furrowed",
    }
}

impl Roughness {
    /// How far the gap under a round face varies, from its widest to its narrowest place.
    #[must_use]
    pub(crate) const fn relief(self) -> Length {
        match self {
            Self::Smooth => Length::mm(1.0),
            Self::Fissured => Length::mm(2.3),
            Self::DeeplyFurrowed => Length::mm(4.7),
        }
    }
}

/// Coefficients of one species.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BarkRow {
    /// The species or group.
    pub species: &'static str,
    /// Constant, mm.
    pub a: f64,
    /// For the diameter in centimetres, mm.
    pub b: f64,
    /// For its square, mm.
    pub c: f64,
}

impl BarkRow {
    /// Mean thickness of the bark on one side of a stem of this diameter over bark.
    #[must_use]
    pub(crate) fn thickness(&self, diameter: Length) -> Length {
        let d = diameter.get() / 10.0;
        Length::mm((self.a + self.b * d + self.c * d * d).max(0.0) / 2.0)
    }
}

const fn row(species: &'static str, a: f64, b: f64, c: f64) -> BarkRow {
    BarkRow { species, a, b, c }
}

/// Species with a published bark thickness.
pub(crate) const BARK: [BarkRow; 17] = [
    row("Norway spruce", 1.5554, 0.55475, -0.00255),
    row("silver fir", 1.67703, 0.56074, 0.0),
    row("Scots pine", 5.43367, 0.62571, 0.0),
    row("Douglas fir", 0.26442, 0.84153, -0.00233),
    row("European larch", 4.17426, 0.99857, 0.0),
    row("beech", 1.97733, 0.28119, 0.0),
    row("hornbeam", 5.03406, 0.28277, 0.0),
    row("oak", 9.10974, 0.66266, 0.0),
    row("ash", -1.14181, 0.96466, -0.00432),
    row("maple", -0.60951, 0.64014, -0.00329),
    row("lime", 2.26031, 0.60113, 0.0),
    row("birch", -2.11471, 0.94927, 0.0),
    row("alder", 7.33868, 0.82437, 0.0),
    row("poplar", 10.09257, 0.65481, 0.0),
    row("elm", 8.18895, 0.84696, 0.0),
    row("black locust", -0.27505, 1.5882, 0.0),
    row("willow", 11.90259, 0.74264, 0.0),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn double_bark_after_altherr() {
        // Double bark in mm at d 20, 30, 40 and 60 cm, computed from the published coefficients.
        for (species, double) in [
            ("Norway spruce", [11.63, 15.90, 19.67, 25.66]),
            ("Scots pine", [17.95, 24.20, 30.46, 42.98]),
            ("beech", [7.60, 10.41, 13.22, 18.85]),
            ("oak", [22.36, 28.99, 35.62, 48.87]),
            ("ash", [16.42, 23.91, 30.53, 41.19]),
            ("lime", [14.28, 20.29, 26.31, 38.33]),
            ("black locust", [31.49, 47.37, 63.25, 95.02]),
            ("willow", [26.76, 34.18, 41.61, 56.46]),
        ] {
            let row = BARK.iter().find(|r| r.species == species).unwrap();
            for (d, double) in [200.0, 300.0, 400.0, 600.0].into_iter().zip(double) {
                let found = 2.0 * row.thickness(Length::mm(d)).get();
                assert!((found - double).abs() < 5.1e-3, "{species} {d}: {found}");
            }
        }
        // Thin stems of some species: the fit goes below zero and is cut there.
        let birch = BARK.iter().find(|r| r.species == "birch").unwrap();
        assert_eq!(birch.thickness(Length::mm(20.0)), Length::ZERO);
    }

    #[test]
    fn relief_spans_what_was_measured_on_a_pine() {
        let relief = |r: Roughness| r.relief().get();
        assert!((1.4..=2.3).contains(&relief(Roughness::Fissured)));
        assert!((3.1..=4.7).contains(&relief(Roughness::DeeplyFurrowed)));
        assert!(relief(Roughness::Smooth) < 1.4);
    }
}
