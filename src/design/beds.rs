//! Beds to print: all copies laid onto as few beds as the packing finds.
//!
//! Method: maximal rectangles (Jylanki, "A Thousand Ways to Pack the Bin", 2010): every bed keeps
//! the list of largest free rectangles; a part goes where it fits best, turned a quarter if that is
//! better. Several orders and rules are tried and the best result kept: fewest beds, then the least
//! area taken on the last one. Parts are packed by their bounding rectangles. The same parts give the
//! same beds.
//!
//! Millimetres. Corners lie on the binary grid of printable meshes, so that a part moved to its corner
//! keeps its shape to the last bit. Fewest beds is not proved: [`PackedBeds::at_least`] gives the bound by
//! area.

use crate::mesh::printable::GRID;
use crate::units::Length;

/// One copy on a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Placed {
    /// Which of the given parts.
    pub part: usize,
    /// Least X and Y of the copy on the bed.
    pub corner: [Length; 2],
    /// Turned a quarter about Z.
    pub turned: bool,
}

/// All beds of a job.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PackedBeds {
    /// Copies on each bed, in the order in which they were laid.
    pub beds: Vec<Vec<Placed>>,
    /// No packing takes fewer beds than this: area of the parts with their gaps over that of a bed.
    pub at_least: usize,
}

/// The bed and what is kept free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bed {
    /// X, Y, Z.
    pub size: [Length; 3],
    /// Kept free at the rim.
    pub margin: Length,
    /// Between neighbours.
    pub gap: Length,
}

/// Why parts cannot be laid out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum BedsError {
    /// Margins leave no bed, or a number is not finite.
    #[error("a bed of {} x {} with a margin of {} leaves nothing to print on", .0.size[0], .0.size[1], .0.margin)]
    Bed(Bed),
    /// A size is not a positive number.
    #[error("part {part} has no size")]
    NoSize {
        /// Which part.
        part: usize,
    },
    /// A part is larger than the bed, either way round.
    #[error(
        "part {part} takes {} x {} x {}, the bed leaves {} x {} x {}",
        size[0], size[1], size[2], free[0], free[1], free[2]
    )]
    TooLarge {
        /// Which part.
        part: usize,
        /// Its bounds.
        size: [Length; 3],
        /// The bed within its margins.
        free: [Length; 3],
    },
}

/// Lays parts with the given bounds onto beds.
///
/// # Errors
/// [`BedsError`] for a part that fits no bed, or numbers that are not finite.
pub(crate) fn pack(parts: &[[Length; 3]], bed: &Bed) -> Result<PackedBeds, BedsError> {
    let margin = up(bed.margin.get());
    let gap = up(bed.gap.get());
    let [x, y, z] = bed.size.map(Length::get);
    // A part with its gap to the right and behind, on a bed longer by one gap.
    let room = [x - 2.0 * margin + gap, y - 2.0 * margin + gap].map(down);
    let sound = margin >= 0.0 && gap >= 0.0 && room.iter().all(|r| r.is_finite() && *r > gap);
    if !sound || !z.is_finite() || z <= 0.0 {
        return Err(BedsError::Bed(*bed));
    }
    let mut sizes = Vec::with_capacity(parts.len());
    for (part, &size) in parts.iter().enumerate() {
        let [w, d, h] = size.map(Length::get);
        if ![w, d, h].iter().all(|s| s.is_finite() && *s > 0.0) {
            return Err(BedsError::NoSize { part });
        }
        let taken = [up(w) + gap, up(d) + gap];
        let fits = |[a, b]: [f64; 2]| a <= room[0] && b <= room[1];
        if h > z || !(fits(taken) || fits([taken[1], taken[0]])) {
            let free = [room[0] - gap, room[1] - gap, z].map(Length::mm);
            return Err(BedsError::TooLarge { part, size, free });
        }
        sizes.push(taken);
    }
    let whole: f64 = sizes.iter().copied().map(area).sum();
    // The slack keeps a bed that is full to the last bit from counting as a bed and a bit.
    let at_least = (whole / area(room) - 1e-9).ceil().max(0.0) as usize;

    let mut best: Option<Vec<OpenBed>> = None;
    for order in [longest_side, area, shortest_side, half_girth] {
        let mut queue: Vec<usize> = (0..sizes.len()).collect();
        queue.sort_by(|&a, &b| order(sizes[b]).total_cmp(&order(sizes[a])).then(a.cmp(&b)));
        for rule in [Rule::ShortSide, Rule::BottomLeft] {
            let packed = packed(&queue, &sizes, room, rule);
            let worth = |beds: &[OpenBed]| (beds.len(), beds.last().map_or(0.0, |p| p.taken));
            if best.as_ref().is_none_or(|b| worth(&packed) < worth(b)) {
                best = Some(packed);
            }
        }
    }
    let mut beds: Vec<Vec<Placed>> =
        best.unwrap_or_default().into_iter().map(|bed| bed.placed).collect();
    for copy in beds.iter_mut().flatten() {
        copy.corner = copy.corner.map(|c| c + Length::mm(margin));
    }
    Ok(PackedBeds { beds, at_least })
}

fn area([w, d]: [f64; 2]) -> f64 {
    w * d
}

fn longest_side([w, d]: [f64; 2]) -> f64 {
    w.max(d)
}

fn shortest_side([w, d]: [f64; 2]) -> f64 {
    w.min(d)
}

fn half_girth([w, d]: [f64; 2]) -> f64 {
    w + d
}

/// Rounds to the grid, never to less: parts and gaps.
fn up(length: f64) -> f64 {
    (length / GRID).ceil() * GRID
}

/// Rounds to the grid, never to more: room.
fn down(length: f64) -> f64 {
    (length / GRID).floor() * GRID
}

/// Which free rectangle a part takes.
#[derive(Debug, Clone, Copy)]
enum Rule {
    /// The one that it leaves the least of across its shorter remainder.
    ShortSide,
    /// The one where its far edge lies nearest to the front, then to the left.
    BottomLeft,
}

/// Least corner and far corner.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rect {
    min: [f64; 2],
    max: [f64; 2],
}

impl Rect {
    fn meets(&self, other: &Self) -> bool {
        (0..2).all(|k| self.min[k] < other.max[k] && other.min[k] < self.max[k])
    }
    fn holds(&self, other: &Self) -> bool {
        (0..2).all(|k| self.min[k] <= other.min[k] && other.max[k] <= self.max[k])
    }
}

struct OpenBed {
    free: Vec<Rect>,
    placed: Vec<Placed>,
    taken: f64,
}

fn packed(queue: &[usize], sizes: &[[f64; 2]], room: [f64; 2], rule: Rule) -> Vec<OpenBed> {
    let mut beds: Vec<OpenBed> = Vec::new();
    for &part in queue {
        let found = beds.iter().position(|bed| bed.place(sizes[part], rule).is_some());
        let at = found.unwrap_or_else(|| {
            let whole = Rect { min: [0.0; 2], max: room };
            beds.push(OpenBed { free: vec![whole], placed: Vec::new(), taken: 0.0 });
            beds.len() - 1
        });
        let bed = &mut beds[at];
        // Every part fits an empty bed, as was checked.
        if let Some((rect, turned)) = bed.place(sizes[part], rule) {
            bed.take(rect);
            bed.placed.push(Placed { part, corner: rect.min.map(Length::mm), turned });
        }
    }
    beds
}

impl OpenBed {
    /// The best place for a part on this bed.
    fn place(&self, size: [f64; 2], rule: Rule) -> Option<(Rect, bool)> {
        let mut best: Option<([f64; 3], Rect, bool)> = None;
        for free in &self.free {
            for (turned, [w, d]) in [(false, size), (true, [size[1], size[0]])] {
                let left = [free.max[0] - free.min[0] - w, free.max[1] - free.min[1] - d];
                if left[0] < 0.0 || left[1] < 0.0 {
                    continue;
                }
                let rect = Rect { min: free.min, max: [free.min[0] + w, free.min[1] + d] };
                let score = match rule {
                    Rule::ShortSide => [left[0].min(left[1]), rect.max[1], rect.min[0]],
                    Rule::BottomLeft => [rect.max[1], rect.min[0], left[0].min(left[1])],
                };
                if best.as_ref().is_none_or(|b| score < b.0) {
                    best = Some((score, rect, turned));
                }
            }
        }
        best.map(|(_, rect, turned)| (rect, turned))
    }

    /// Splits every free rectangle that the part meets and drops those held by others.
    fn take(&mut self, rect: Rect) {
        let mut split: Vec<Rect> = Vec::new();
        for free in self.free.drain(..) {
            if !free.meets(&rect) {
                split.push(free);
                continue;
            }
            for k in 0..2 {
                if free.min[k] < rect.min[k] {
                    let mut low = free;
                    low.max[k] = rect.min[k];
                    split.push(low);
                }
                if rect.max[k] < free.max[k] {
                    let mut high = free;
                    high.min[k] = rect.max[k];
                    split.push(high);
                }
            }
        }
        for (i, r) in split.iter().enumerate() {
            let held = split
                .iter()
                .enumerate()
                .any(|(j, other)| j != i && other.holds(r) && !(r.holds(other) && i < j));
            if !held {
                self.free.push(*r);
            }
        }
        self.taken += (rect.max[0] - rect.min[0]) * (rect.max[1] - rect.min[1]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bed(x: f64, y: f64, margin: f64, gap: f64) -> Bed {
        Bed {
            size: [x, y, 250.0].map(Length::mm),
            margin: Length::mm(margin),
            gap: Length::mm(gap),
        }
    }

    fn sizes(list: &[[f64; 2]]) -> Vec<[Length; 3]> {
        list.iter().map(|s| [s[0], s[1], 10.0].map(Length::mm)).collect()
    }

    /// Each part once, in the bed, and a gap from every neighbour: straight from the definition.
    fn check(found: &PackedBeds, parts: &[[Length; 3]], bed: &Bed) {
        let mut seen = vec![0; parts.len()];
        for filled in &found.beds {
            assert!(!filled.is_empty());
            let rects: Vec<[f64; 4]> = filled
                .iter()
                .map(|p| {
                    seen[p.part] += 1;
                    let [w, d, _] = parts[p.part].map(Length::get);
                    let (w, d) = if p.turned { (d, w) } else { (w, d) };
                    let [x, y] = p.corner.map(Length::get);
                    [x, y, x + w, y + d]
                })
                .collect();
            let (m, g) = (bed.margin.get(), bed.gap.get());
            for (i, r) in rects.iter().enumerate() {
                assert!(r[0] >= m && r[2] <= bed.size[0].get() - m);
                assert!(r[1] >= m && r[3] <= bed.size[1].get() - m);
                for s in &rects[..i] {
                    let apart = (s[0] - r[2]).max(r[0] - s[2]).max(s[1] - r[3]).max(r[1] - s[3]);
                    assert!(apart >= g, "{r:?} {s:?}");
                }
            }
        }
        assert!(seen.iter().all(|&n| n == 1), "{seen:?}");
        assert!(found.beds.len() >= found.at_least);
    }

    #[test]
    fn sixteen_squares_fill_a_bed_to_the_last_millimetre() {
        let bed = bed(222.0, 222.0, 5.0, 4.0);
        let parts = sizes(&[[50.0, 50.0]; 17]);
        let found = pack(&parts, &bed).unwrap();
        check(&found, &parts, &bed);
        assert_eq!((found.beds.len(), found.beds[0].len(), found.at_least), (2, 16, 2));
    }

    #[test]
    fn a_part_is_turned_where_only_that_fits() {
        let bed = bed(220.0, 120.0, 5.0, 4.0);
        let parts = sizes(&[[30.0, 200.0], [30.0, 200.0], [30.0, 200.0]]);
        let found = pack(&parts, &bed).unwrap();
        check(&found, &parts, &bed);
        assert_eq!(found.beds.len(), 1);
        assert!(found.beds[0].iter().all(|p| p.turned));
    }

    #[test]
    fn the_squares_of_a_squared_square_pack_close_to_the_bound() {
        // Sides of the simple perfect squared square of order 21 (Duijvestijn, Journal of
        // Combinatorial Theory B 25, 1978): they tile 112 x 112 exactly, 12544 by area.
        let sides = [2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50];
        let squares: Vec<[f64; 2]> = sides.iter().map(|&s| [f64::from(s); 2]).collect();
        assert_eq!(sides.iter().map(|s| s * s).sum::<i32>(), 112 * 112);
        let parts = sizes(&squares);
        let tight = bed(112.0, 112.0, 0.0, 0.0);
        let found = pack(&parts, &tight).unwrap();
        check(&found, &parts, &tight);
        assert_eq!(found.at_least, 1);
        assert!(found.beds.len() <= 2);
        // With a bed of 15 % more area one bed is enough.
        let loose = bed(120.0, 120.0, 0.0, 0.0);
        assert_eq!(pack(&parts, &loose).unwrap().beds.len(), 1);
    }

    #[test]
    fn what_does_not_fit_is_named() {
        let bed = bed(220.0, 220.0, 5.0, 4.0);
        assert!(pack(&sizes(&[[210.0, 210.0]]), &bed).is_ok());
        let error = pack(&sizes(&[[9.0, 9.0], [210.1, 20.0]]), &bed).unwrap_err();
        assert!(error.to_string().starts_with("part 1 takes 210.1 mm x 20 mm"), "{error}");
        assert!(pack(&[[9.0, 9.0, 251.0].map(Length::mm)], &bed).is_err());
        assert!(pack(&sizes(&[[0.0, 9.0]]), &bed).is_err());
        assert!(pack(&sizes(&[[9.0, f64::NAN]]), &bed).is_err());
        assert!(pack(&[], &Bed { margin: Length::mm(110.0), ..bed }).is_err());
        assert!(pack(&[], &bed).unwrap().beds.is_empty());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(128))]
        #[test]
        fn nothing_overlaps_and_few_plates_are_taken(
            list in prop::collection::vec(prop::array::uniform2(8.0..150.0_f64), 1..60),
            gap in 0.0..8.0_f64, margin in 0.0..10.0_f64,
        ) {
            let bed = bed(220.0, 200.0, margin, gap);
            let parts = sizes(&list);
            let found = pack(&parts, &bed).unwrap();
            check(&found, &parts, &bed);
            prop_assert_eq!(&found, &pack(&parts, &bed).unwrap());
        }

        #[test]
        fn parts_up_to_a_third_of_the_bed_fill_it_well(
            list in prop::collection::vec(prop::array::uniform2(20.0..66.0_f64), 40..160),
        ) {
            let bed = bed(220.0, 220.0, 5.0, 4.0);
            let parts = sizes(&list);
            let found = pack(&parts, &bed).unwrap();
            check(&found, &parts, &bed);
            // Four fifths full on all beds but the last.
            prop_assert!(found.beds.len() as f64 <= 1.25 * found.at_least as f64 + 1.0);
        }
    }
}
