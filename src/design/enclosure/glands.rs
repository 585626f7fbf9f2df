//! Cable glands and vent in the downward wall: rows, spacing, and holes that print upright.
//!
//! A hole in an upright wall is round below; above, two tangents as steep as the printer allows lead
//! to a flat roof that is bridged. The roof stays under the gland's own flats.

use std::f64::consts::FRAC_PI_4;

use super::{GlandHole, VentHole, WallHole};
use crate::params::{Job, Printer};
use crate::standards::GlandSize;
use crate::units::{Angle, Length};

/// Free space between the corners of neighbouring glands: a spanner's jaw is thin, and glands are
/// tightened one by one. Common practice, no source.
pub(crate) const GLAND_GAP: Length = Length::mm(2.0);
/// Free space between a gland's corners and the floor, the flange and the wall's round ends.
const GLAND_FREE: f64 = 1.0;
/// Wall that gland or vent covers beyond the hole's roof at least, for its seal.
const UNDER_FLATS: f64 = 0.5;
/// How far the vent's seat stands out of the wall, so that water running down drips off round it.
const SEAT: f64 = 2.0;
/// Seat left round the vent's corners.
const SEAT_RIM: f64 = 1.0;

/// Steepest overhang that is drawn, from the vertical: the printer's, at most 45 degrees.
pub(super) fn overhang(printer: &Printer) -> Angle {
    const LEAST: Angle = Angle::degrees(15.0);
    let angle = printer.overhang.rad().clamp(LEAST.rad(), FRAC_PI_4);
    Angle::radians(angle)
}

/// Radius over the corners of a gland's hexagon: flats / sqrt 3 (geometry of a regular hexagon).
pub(super) fn corner_radius(size: GlandSize) -> Length {
    size.flats() / 3.0_f64.sqrt()
}

/// A hole of this size at X, Z.
///
/// The roof is as high as the printer's bridge asks, but never lower than the circle's crest and
/// never beyond the gland's flats less [`UNDER_FLATS`].
pub(super) fn wall_hole(size: GlandSize, at: [f64; 2], printer: &Printer) -> WallHole {
    let radius = size.hole().get() / 2.0;
    let limit = size.flats().get() / 2.0 - UNDER_FLATS;
    // How far a tangent may run on before it leaves the flats.
    let run = (limit * limit - radius * radius).max(0.0).sqrt();
    // The tangent at the angle a reaches the crest after r (1 - sin a) / cos a = r tan(45 - a/2);
    // a printer that wants steeper gets the steepest that stays under the flats.
    let least = std::f64::consts::FRAC_PI_2 - 2.0 * libm::atan(run / radius);
    let angle = Angle::radians(overhang(printer).rad().max(least));
    let bridged = (radius * angle.cos() - printer.bridge.get() / 2.0) / angle.sin();
    let crest = radius * (1.0 - angle.sin()) / angle.cos();
    let run = bridged.clamp(crest, run.max(crest));
    WallHole {
        size,
        at: at.map(Length::mm),
        radius: Length::mm(radius),
        roof: Length::mm(radius * angle.sin() + run * angle.cos()),
        roof_half: Length::mm(radius * angle.cos() - run * angle.sin()),
    }
}

/// One hole before it has a place.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    size: GlandSize,
    /// Index of its `[[gland]]`; none for the vent.
    index: Option<usize>,
    /// Radius that it needs on the wall's outer face.
    reach: f64,
}

/// Holes in rows, before the wall's height is known.
#[derive(Debug, Clone, Default)]
pub(super) struct Rows {
    rows: Vec<Vec<(Wanted, f64)>>,
    /// Flat wall needed along X.
    pub(super) width: f64,
    /// Height needed between floor and flange root.
    pub(super) height: f64,
}

/// How many holes the job wants.
fn wanted(job: &Job) -> Vec<Wanted> {
    let mut all = Vec::new();
    for (index, gland) in job.glands.iter().enumerate() {
        let reach = corner_radius(gland.size).get();
        let one = Wanted { size: gland.size, index: Some(index), reach };
        all.extend(std::iter::repeat_n(one, job.gland_count(gland) as usize));
    }
    all.extend(job.vent.as_ref().map(|vent| Wanted {
        size: vent.size,
        index: None,
        reach: corner_radius(vent.size).get() + SEAT_RIM + SEAT / overhang(&job.printer).tan(),
    }));
    all
}

fn row_width(row: &[Wanted]) -> f64 {
    let gaps = row.len().saturating_sub(1) as f64;
    row.iter().map(|w| 2.0 * w.reach).sum::<f64>() + gaps * GLAND_GAP.get()
}

/// The holes in one or two rows, in order; `None` when there are too few for so many rows.
pub(super) fn arrange(job: &Job, rows: usize) -> Option<Rows> {
    let all = wanted(job);
    let split: Vec<&[Wanted]> = match rows {
        1 if all.is_empty() => return Some(Rows::default()),
        1 => vec![&all],
        2 if all.len() >= 2 => {
            // Where the longer row is shortest; the first such place.
            let longer = |k: usize| row_width(&all[..k]).max(row_width(&all[k..]));
            let best = (1..all.len()).min_by(|a, b| longer(*a).total_cmp(&longer(*b)))?;
            vec![&all[..best], &all[best..]]
        }
        _ => return None,
    };
    let mut made = Rows::default();
    for row in split {
        let width = row_width(row);
        let mut x = -width / 2.0;
        let mut placed = Vec::new();
        for hole in row {
            placed.push((*hole, x + hole.reach));
            x += 2.0 * hole.reach + GLAND_GAP.get();
        }
        made.width = made.width.max(width);
        made.height +=
            2.0 * tallest(&placed) + if made.rows.is_empty() { 0.0 } else { GLAND_GAP.get() };
        made.rows.push(placed);
    }
    made.width += 2.0 * GLAND_FREE;
    made.height += 2.0 * GLAND_FREE;
    Some(made)
}

fn tallest(row: &[(Wanted, f64)]) -> f64 {
    row.iter().map(|(w, _)| w.reach).fold(0.0, f64::max)
}

impl Rows {
    /// The holes, midway between the inner floor and the flange's root.
    pub(super) fn place(
        &self,
        floor: f64,
        root: f64,
        printer: &Printer,
    ) -> (Vec<GlandHole>, Option<VentHole>) {
        let mut glands = Vec::new();
        let mut vent = None;
        let mut z = f64::midpoint(floor, root) - self.height / 2.0 + GLAND_FREE;
        for row in &self.rows {
            let reach = tallest(row);
            for (wanted, x) in row {
                let hole = wall_hole(wanted.size, [*x, z + reach], printer);
                if let Some(index) = wanted.index {
                    glands.push(GlandHole { index, hole });
                } else {
                    let seat_radius = hole.corner_radius() + Length::mm(SEAT_RIM);
                    vent = Some(VentHole {
                        hole,
                        seat: Length::mm(SEAT),
                        seat_radius,
                        foot_radius: Length::mm(wanted.reach),
                    });
                }
            }
            z += 2.0 * reach + GLAND_GAP.get();
        }
        (glands, vent)
    }

    /// Whether there are no holes at all.
    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::SQRT_2;

    #[test]
    fn the_roof_is_tangent_and_stays_under_the_flats() {
        for (bridge, overhang) in [(12.0, 45.0), (2.0, 45.0), (6.0, 30.0), (12.0, 15.0)] {
            let printer = Printer {
                bridge: Length::mm(bridge),
                overhang: Angle::degrees(overhang),
                ..crate::params::samples::printer()
            };
            for size in GlandSize::ALL {
                let hole = wall_hole(size, [0.0, 0.0], &printer);
                let [r, z, x] = [hole.radius, hole.roof, hole.roof_half].map(Length::get);
                assert!(x > 0.0 && z >= r - 1e-12, "{size}: {x} {z}");
                let corner = (x * x + z * z).sqrt();
                assert!(corner < size.flats().get() / 2.0, "{size}: {corner}");
                if overhang == 45.0 {
                    // Distance of a line x + z = c from the origin is c / sqrt 2 (elementary).
                    assert!(((x + z) / SQRT_2 - r).abs() < 1e-12);
                }
            }
        }
    }
}
