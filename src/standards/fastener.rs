//! Metric screws, nuts, washers, clearance holes and heat-set inserts.
//!
//! Millimetres. Sources: pitches ISO 261; clearance holes ISO 273; socket cap screws ISO 4762; hexagon screws
//! ISO 4017; hexagon nuts ISO 4032; plain washers ISO 7089; tensile stress areas ISO 898-1. Heat-set
//! inserts follow no standard: one open data set (taper series) gives outside diameter and pilot
//! drill.

use std::fmt;
use std::str::FromStr;

use serde::Serialize;

use crate::units::{Area, Length};

/// A coarse-pitch metric thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Thread {
    /// M3.
    M3,
    /// M4.
    M4,
    /// M5.
    M5,
    /// M6.
    M6,
    /// M8.
    M8,
    /// M10.
    M10,
    /// M12.
    M12,
}

/// One row of the fastener tables, millimetres.
struct Row {
    nominal: f64,
    /// Coarse pitch (ISO 261).
    pitch: f64,
    /// ISO 273 fine, medium, coarse.
    clearance: [f64; 3],
    /// ISO 4762 head: largest plain diameter, height, key.
    cap: [f64; 3],
    /// ISO 4017: nominal height of the head; its flats are those of the nut.
    hexagon: f64,
    /// ISO 4032: largest flats, largest height.
    nut: [f64; 2],
    /// ISO 7089: inner, outer diameter, nominal thickness.
    washer: [f64; 3],
    /// Tensile stress area, mm2 (ISO 898-1).
    stress_area: f64,
    /// Heat-set insert: outside diameter, pilot hole, for the sizes that exist.
    insert: Option<[f64; 2]>,
}

#[rustfmt::skip]
const ROWS: [Row; 7] = [
    Row { nominal: 3.0, pitch: 0.5, clearance: [3.2, 3.4, 3.6], cap: [5.5, 3.0, 2.5], hexagon: 2.0, nut: [5.5, 2.4], washer: [3.2, 7.0, 0.5], stress_area: 5.03, insert: Some([4.7, 4.04]) },
    Row { nominal: 4.0, pitch: 0.7, clearance: [4.3, 4.5, 4.8], cap: [7.0, 4.0, 3.0], hexagon: 2.8, nut: [7.0, 3.2], washer: [4.3, 9.0, 0.8], stress_area: 8.78, insert: Some([6.3, 5.61]) },
    Row { nominal: 5.0, pitch: 0.8, clearance: [5.3, 5.5, 5.8], cap: [8.5, 5.0, 4.0], hexagon: 3.5, nut: [8.0, 4.7], washer: [5.3, 10.0, 1.0], stress_area: 14.2, insert: Some([7.1, 6.53]) },
    Row { nominal: 6.0, pitch: 1.0, clearance: [6.4, 6.6, 7.0], cap: [10.0, 6.0, 5.0], hexagon: 4.0, nut: [10.0, 5.2], washer: [6.4, 12.0, 1.6], stress_area: 20.1, insert: None },
    Row { nominal: 8.0, pitch: 1.25, clearance: [8.4, 9.0, 10.0], cap: [13.0, 8.0, 6.0], hexagon: 5.3, nut: [13.0, 6.8], washer: [8.4, 16.0, 1.6], stress_area: 36.6, insert: None },
    Row { nominal: 10.0, pitch: 1.5, clearance: [10.5, 11.0, 12.0], cap: [16.0, 10.0, 8.0], hexagon: 6.4, nut: [16.0, 8.4], washer: [10.5, 20.0, 2.0], stress_area: 58.0, insert: None },
    Row { nominal: 12.0, pitch: 1.75, clearance: [13.0, 13.5, 14.5], cap: [18.0, 12.0, 10.0], hexagon: 7.5, nut: [18.0, 10.8], washer: [13.0, 24.0, 2.5], stress_area: 84.3, insert: None },
];

/// Fit class of a clearance hole (ISO 273).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoleFit {
    /// H12.
    Fine,
    /// H13.
    Medium,
    /// H14.
    Coarse,
}

/// Plain washer (ISO 7089).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Washer {
    /// Hole.
    pub inner: Length,
    /// Rim.
    pub outer: Length,
    /// Thickness.
    pub thickness: Length,
}

/// Socket cap head (ISO 4762).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CapHead {
    /// Largest plain diameter.
    pub diameter: Length,
    /// Height.
    pub height: Length,
    /// Hexagon key.
    pub key: Length,
}

/// Head of a hexagon screw with thread to the head (ISO 4017).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HexagonHead {
    /// Across the flats.
    pub flats: Length,
    /// Height.
    pub height: Length,
}

/// Hexagon nut (ISO 4032).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nut {
    /// Across the flats.
    pub flats: Length,
    /// Height.
    pub height: Length,
}

/// Heat-set insert (one open data set; no standard).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insert {
    /// Outside diameter.
    pub outer: Length,
    /// Hole that it is melted into.
    pub pilot: Length,
}

impl Thread {
    /// Every size in the tables, thinnest first.
    pub const ALL: [Self; 7] =
        [Self::M3, Self::M4, Self::M5, Self::M6, Self::M8, Self::M10, Self::M12];

    fn row(self) -> &'static Row {
        &ROWS[self as usize]
    }

    /// Nominal diameter.
    #[must_use]
    pub fn diameter(self) -> Length {
        Length::mm(self.row().nominal)
    }

    /// Pitch (ISO 261, coarse series).
    #[must_use]
    pub fn pitch(self) -> Length {
        Length::mm(self.row().pitch)
    }

    /// Diameter of a clearance hole (ISO 273).
    #[must_use]
    pub fn clearance_hole(self, fit: HoleFit) -> Length {
        Length::mm(self.row().clearance[fit as usize])
    }

    /// Head of a socket cap screw (ISO 4762).
    #[must_use]
    pub fn cap_head(self) -> CapHead {
        let [diameter, height, key] = self.row().cap.map(Length::mm);
        CapHead { diameter, height, key }
    }

    /// Head of a hexagon screw (ISO 4017).
    #[must_use]
    pub fn hexagon_head(self) -> HexagonHead {
        let row = self.row();
        HexagonHead { flats: Length::mm(row.nut[0]), height: Length::mm(row.hexagon) }
    }

    /// Hexagon nut (ISO 4032).
    #[must_use]
    pub fn nut(self) -> Nut {
        let [flats, height] = self.row().nut.map(Length::mm);
        Nut { flats, height }
    }

    /// Plain washer (ISO 7089).
    #[must_use]
    pub fn washer(self) -> Washer {
        let [inner, outer, thickness] = self.row().washer.map(Length::mm);
        Washer { inner, outer, thickness }
    }

    /// Tensile stress area (ISO 898-1).
    #[must_use]
    pub fn stress_area(self) -> Area {
        Area::mm2(self.row().stress_area)
    }

    /// Heat-set insert, for M3 to M5.
    #[must_use]
    pub fn insert(self) -> Option<Insert> {
        let [outer, pilot] = self.row().insert?.map(Length::mm);
        Some(Insert { outer, pilot })
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "M{}", self.row().nominal)
    }
}

impl FromStr for Thread {
    type Err = UnknownThread;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::ALL.into_iter().find(|t| t.to_string() == text).ok_or(UnknownThread)
    }
}

/// The text names no thread of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("expected a metric thread: M3, M4, M5, M6, M8, M10 or M12")]
pub struct UnknownThread;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_sizes() {
        for thread in Thread::ALL {
            assert_eq!(format!("M{}", thread.diameter().get()), format!("{thread:?}"));
        }
    }

    #[test]
    fn clearance_holes_are_those_of_iso_273() {
        // ISO 273, fine / medium / coarse.
        let published = [
            (Thread::M3, [3.2, 3.4, 3.6]),
            (Thread::M4, [4.3, 4.5, 4.8]),
            (Thread::M5, [5.3, 5.5, 5.8]),
            (Thread::M6, [6.4, 6.6, 7.0]),
            (Thread::M8, [8.4, 9.0, 10.0]),
            (Thread::M10, [10.5, 11.0, 12.0]),
            (Thread::M12, [13.0, 13.5, 14.5]),
        ];
        for (thread, holes) in published {
            for (fit, hole) in
                [HoleFit::Fine, HoleFit::Medium, HoleFit::Coarse].into_iter().zip(holes)
            {
                assert_eq!(thread.clearance_hole(fit).get(), hole, "{thread} {fit:?}");
            }
        }
    }

    #[test]
    fn heads_nuts_and_washers_are_those_of_the_standards() {
        // ISO 4762 (head diameter, height, key), ISO 4032 (flats, height), ISO 7089 (inner, outer,
        // thickness).
        let m5 = Thread::M5;
        assert_eq!(m5.cap_head().diameter.get(), 8.5);
        assert_eq!(m5.cap_head().height.get(), 5.0);
        assert_eq!(m5.cap_head().key.get(), 4.0);
        assert_eq!((m5.nut().flats.get(), m5.nut().height.get()), (8.0, 4.7));
        assert_eq!((m5.washer().inner.get(), m5.washer().outer.get()), (5.3, 10.0));
        // ISO 4017, published table (nominal height of the head; flats as the nut's).
        let heads = [2.0, 2.8, 3.5, 4.0, 5.3, 6.4, 7.5];
        for (thread, height) in Thread::ALL.into_iter().zip(heads) {
            assert_eq!(thread.hexagon_head().height.get(), height, "{thread}");
        }
        assert_eq!(Thread::M10.hexagon_head().flats.get(), 16.0);
        // ISO 261: the stress area of ISO 898-1 is pi/4 (d - 0.938194 P)^2.
        for thread in Thread::ALL {
            let d = thread.diameter().get() - 0.938_194 * thread.pitch().get();
            let area = std::f64::consts::FRAC_PI_4 * d * d;
            assert!((area / thread.stress_area().get() - 1.0).abs() < 5e-3, "{thread}: {area}");
        }
        // ISO 4032, not the DIN 934 heights 5.0 and 6.5 that are often printed under its name.
        assert_eq!(Thread::M6.nut().height.get(), 5.2);
        assert_eq!(Thread::M8.nut().height.get(), 6.8);
        // ISO 273 for M12, not 13/14/15.
        assert_eq!(Thread::M12.clearance_hole(HoleFit::Medium).get(), 13.5);
    }
}
