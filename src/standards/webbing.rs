//! Webbing straps: stretch, tension kept, friction.
//!
//! Label colours and the elongation bound: EN 12195-2 (blue polyester, green polyamide, brown
//! polypropylene; the 7 % at the lashing capacity is given from memory). Stretch at break: published
//! values for flat packaging strap of the same polymers, the nearest figures there are. The share of
//! tension kept is from memory, after makers' notes on packaging strap: polypropylene loses about
//! half within two hours, polyester least, and most of the loss comes within four hours.
//!
//! No measured table of webbing on bark was found; friction on bark is therefore a value of the job
//! file, and only the friction on printed plastic stands here.

use super::words::words;

words! {
    /// Webbing polymer.
    Webbing {
        /// Low stretch, holds its strength when wet.
        Polyester "polyester",
        /// Strong, stretches when wet.
        Polyamide "polyamide",
        /// Light and cheap, creeps and suffers from sun.
        Polypropylene "polypropylene",
    }
}

/// Friction of webbing on a printed, rounded mouth, its low and its high end. From memory, for
/// polyester and polyamide on smooth plastics.
pub(crate) const FRICTION_ON_PRINT: [f64; 2] = [0.15, 0.25];

/// Figures of one webbing polymer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WebbingRow {
    /// As it is read aloud.
    pub name: &'static str,
    /// Colour of its label (EN 12195-2).
    pub label: &'static str,
    /// Share of the tension as pulled that is left after a day. From memory.
    pub kept: f64,
    /// Stiffness when wet over stiffness when dry. From memory: polyamide takes up water and softens,
    /// the others hardly do.
    pub wet: f64,
    /// Stretch at break, a share of its length, the low end (flat packaging strap).
    pub break_stretch: f64,
}

/// Figures of a webbing polymer.
#[must_use]
pub(crate) const fn webbing(kind: Webbing) -> WebbingRow {
    match kind {
        Webbing::Polyester => WebbingRow {
            name: "polyester",
            label: "blue",
            kept: 0.8,
            wet: 1.0,
            break_stretch: 0.12,
        },
        Webbing::Polyamide => WebbingRow {
            name: "polyamide",
            label: "green",
            kept: 0.7,
            wet: 0.8,
            break_stretch: 0.08,
        },
        Webbing::Polypropylene => WebbingRow {
            name: "polypropylene",
            label: "brown",
            kept: 0.5,
            wet: 1.0,
            break_stretch: 0.20,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_those_of_en_12195_2() {
        // EN 12195-2: blue PES, green PA, brown PP.
        assert_eq!(webbing(Webbing::Polyester).label, "blue");
        assert_eq!(webbing(Webbing::Polyamide).label, "green");
        assert_eq!(webbing(Webbing::Polypropylene).label, "brown");
    }

    #[test]
    fn polypropylene_keeps_least_and_polyester_most() {
        // Makers' notes on packaging strap: order of the polymers, and about 50 % for polypropylene.
        let kept = |k| webbing(k).kept;
        assert!(kept(Webbing::Polypropylene) < kept(Webbing::Polyamide));
        assert!(kept(Webbing::Polyamide) < kept(Webbing::Polyester));
        assert_eq!(kept(Webbing::Polypropylene), 0.5);
    }
}
