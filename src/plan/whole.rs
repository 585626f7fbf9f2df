//! The plan of a whole job: sizes, yoke, box, rails, and which trunk gets what.
//!
//! Pure arithmetic. What the trunks need decides the sizes; the lamp decides the yoke; battery and
//! controller decide the box; all cradles share one yoke and all rails one screw distance, so only
//! the curve differs from size to size.

use serde::Serialize;

use crate::checks::Finding;
use crate::engineering::fit::{FitError, Foam, radius_of_girth};
use crate::engineering::sizes::{Size, SizePlan, SizeRule, TrunkRange, Unserved, sizes_with_kept};
use crate::params::{Job, Trunk};
use crate::plan::enclosure::{self, Enclosure};
use crate::plan::rail::{self, Rail};
use crate::plan::saddle::{Saddle, SaddleNeeds, height_for_straps};
use crate::plan::{Derived, Yoke};
use crate::units::Length;

/// Which kind of trunk-dependent part a size is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SizeKind {
    /// Cradles.
    Cradle,
    /// Rails of the box.
    Rail,
}

/// A size that was printed for an earlier job, known by the mark engraved on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Printed {
    /// Cradle or rail.
    pub kind: SizeKind,
    /// Letters of the mark.
    pub mark: String,
    /// Face and girths.
    pub size: Size,
}

/// One printed size: a file, so many copies, for these trunks.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeClass {
    /// Letters of the mark: `A`, `B`, ... `Z`, `AA`.
    pub mark: String,
    /// Face and the girths that it serves.
    pub size: Size,
    /// Whether an earlier print is used again.
    pub kept: bool,
    /// Copies wanted.
    pub copies: u32,
    /// Indices of the trunks.
    pub trunks: Vec<usize>,
}

/// A cradle size, drawn out.
#[derive(Debug, Clone, PartialEq)]
pub struct CradleSize {
    /// The size.
    pub class: SizeClass,
    /// Its saddle.
    pub saddle: Saddle,
}

/// A rail size, drawn out.
#[derive(Debug, Clone, PartialEq)]
pub struct RailSize {
    /// The size.
    pub class: SizeClass,
    /// Its rail.
    pub rail: Rail,
}

/// What a trunk gets.
#[derive(Debug, Clone, PartialEq)]
pub struct TrunkPlan {
    /// Radii over the life of the print.
    pub range: TrunkRange,
    /// Index of its cradle size.
    pub cradle: Option<usize>,
    /// Index of its rail size, when a box hangs here.
    pub rail: Option<usize>,
}

/// The whole plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Ears and what turns between them, the same for all cradles.
    pub yoke: Yoke,
    /// Cradle sizes, thinnest trunks first.
    pub cradles: Vec<CradleSize>,
    /// Rail sizes, thinnest trunks first.
    pub rails: Vec<RailSize>,
    /// The box, when the job has a battery.
    pub enclosure: Option<Enclosure>,
    /// Boxes wanted.
    pub boxes: u32,
    /// Lamps in all.
    pub lamps: u32,
    /// What each trunk gets, in the order of the job.
    pub trunks: Vec<TrunkPlan>,
    /// Trunks that no cradle, or no rail, can serve.
    pub unserved: Vec<(SizeKind, Unserved)>,
    /// Prints that an earlier job saves.
    pub reprints_saved: usize,
    /// Dimensions that the tool chose, with reasons.
    pub derived: Vec<Derived>,
}

/// Half width of pad wanted, as a share of the width over the ears: a lamp's side wind is taken by
/// the pad's edges. Between a hand's breadth and what a printer holds (common practice, no source).
const PAD_BY_YOKE: f64 = 0.3;
const PAD_HALF_WIDTH: [Length; 2] = [Length::mm(28.0), Length::mm(60.0)];

/// Plans a job; sizes printed before are used again where they still serve.
///
/// # Errors
/// Findings that leave no plan at all. Trunks without a size are in [`Plan::unserved`] instead.
pub fn plan(job: &Job, printed: &[Printed]) -> Result<Plan, Vec<Finding>> {
    let mut derived = Vec::new();
    let least_height = height_for_straps(&job.strap);
    let (yoke, front_half_width, height) = Yoke::new(job, least_height);
    let ranges = job
        .trunks
        .iter()
        .map(|trunk| trunk_range(trunk, job))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|e| vec![unplannable(&e)])?;

    let wanted = job.pad.half_width.unwrap_or_else(|| {
        let [least, most] = PAD_HALF_WIDTH;
        (yoke.outside() * (2.0 * PAD_BY_YOKE)).max(least).min(most)
    });
    let lamps = |i: usize| job.trunks[i].fixtures;
    let cradle_plan = size_classes(job, SizeKind::Cradle, wanted, &ranges, printed, lamps)?;
    let cradles: Vec<CradleSize> = cradle_plan
        .classes
        .into_iter()
        .map(|class| {
            let needs = SaddleNeeds {
                face_radius: class.size.face_radius,
                pad_half_width: class.size.half_width,
                height,
                front_half_width,
            };
            CradleSize { class, saddle: Saddle::new(&needs, &job.strap, &job.printer) }
        })
        .collect();
    yoke.describe(&mut derived);

    let mut unserved: Vec<_> =
        cradle_plan.unserved.into_iter().map(|u| (SizeKind::Cradle, u)).collect();
    let boxes = job.trunks.iter().filter(|t| t.carries_box).count() as u32;
    let mut rail_assignment = vec![None; ranges.len()];
    let mut saved = cradle_plan.saved;
    let (enclosure, rails) = if job.battery.is_some() && boxes > 0 {
        let rail_wanted = job.pad.half_width.unwrap_or(rail::WANTED_HALF_WIDTH);
        let rails_on = |i: usize| if job.trunks[i].carries_box { 2 } else { 0 };
        let rail_plan = size_classes(job, SizeKind::Rail, rail_wanted, &ranges, printed, rails_on)?;
        rail_assignment = rail_plan.assignment;
        saved += rail_plan.saved;
        unserved.extend(rail_plan.unserved.into_iter().map(|u| (SizeKind::Rail, u)));
        let widest = rail_plan.classes.iter().map(|c| c.size.half_width);
        let least_screw_x = rail::least_screw_x(widest.fold(Length::ZERO, Length::max), job);
        let enclosure = enclosure::plan(job, least_screw_x)?;
        derived.extend(enclosure.reasons.iter().cloned());
        let screw_x = enclosure.rail_screw_x;
        let rails = rail_plan.classes.into_iter().map(|class| {
            let rail = Rail::new(class.size.face_radius, class.size.half_width, screw_x, job);
            RailSize { class, rail }
        });
        let rails = rails.collect();
        (Some(enclosure), rails)
    } else {
        (None, Vec::new())
    };

    let trunks = ranges
        .into_iter()
        .zip(cradle_plan.assignment)
        .zip(rail_assignment)
        .map(|((range, cradle), rail)| TrunkPlan { range, cradle, rail })
        .collect();
    let lamps = job.trunks.iter().map(|t| t.fixtures).sum();
    Ok(Plan {
        yoke,
        cradles,
        rails,
        enclosure,
        boxes,
        lamps,
        trunks,
        unserved,
        reprints_saved: saved,
        derived,
    })
}

/// Sizes of one kind, and who gets which.
struct Classes {
    classes: Vec<SizeClass>,
    assignment: Vec<Option<usize>>,
    unserved: Vec<Unserved>,
    saved: usize,
}

fn size_classes(
    job: &Job,
    kind: SizeKind,
    wanted: Length,
    ranges: &[TrunkRange],
    printed: &[Printed],
    copies_on: impl Fn(usize) -> u32,
) -> Result<Classes, Vec<Finding>> {
    let refuse = |e: FitError| vec![unplannable(&e)];
    let foam = Foam::of(&job.pad).map_err(refuse)?;
    let rule = SizeRule::new(foam, wanted, job.pad.reach).map_err(refuse)?;
    let who: Vec<usize> = (0..ranges.len()).filter(|&i| copies_on(i) > 0).collect();
    let theirs: Vec<TrunkRange> = who.iter().map(|&i| ranges[i]).collect();
    let earlier: Vec<&Printed> = printed.iter().filter(|p| p.kind == kind).collect();
    let sizes: Vec<Size> = earlier.iter().map(|p| p.size).collect();
    let SizePlan { sizes, kept, assignment: theirs_to, unserved } =
        sizes_with_kept(&sizes, &theirs, &rule).map_err(refuse)?;

    let mut assignment = vec![None; ranges.len()];
    for (&trunk, size) in who.iter().zip(&theirs_to) {
        assignment[trunk] = *size;
    }
    let mut marks = Marks::new(earlier.iter().map(|p| p.mark.clone()));
    let mut saved = 0;
    let classes = sizes.into_iter().zip(kept).enumerate().map(|(index, (size, kept))| {
        let trunks: Vec<usize> =
            (0..ranges.len()).filter(|&t| assignment[t] == Some(index)).collect();
        let copies = trunks.iter().map(|&t| copies_on(t)).sum();
        if kept.is_some() {
            saved += copies as usize;
        }
        let mark = kept.map_or_else(|| marks.next(), |k| earlier[k].mark.clone());
        SizeClass { mark, size, kept: kept.is_some(), copies, trunks }
    });
    let classes = classes.collect();
    let unserved = unserved.into_iter().map(|u| Unserved { trunk: who[u.trunk], ..u }).collect();
    Ok(Classes { classes, assignment, unserved, saved })
}

/// Letters not yet in use: A to Z, then AA, AB, ...
struct Marks {
    used: std::collections::BTreeSet<String>,
    next: usize,
}

impl Marks {
    fn new(used: impl Iterator<Item = String>) -> Self {
        Self { used: used.collect(), next: 0 }
    }

    fn next(&mut self) -> String {
        loop {
            let mark = letters(self.next);
            self.next += 1;
            if !self.used.contains(&mark) {
                return mark;
            }
        }
    }
}

/// The n-th mark, counted from 0, in letters as columns of a table are.
fn letters(n: usize) -> String {
    let last = char::from(b'A' + (n % 26) as u8);
    if n < 26 { last.to_string() } else { format!("{}{last}", letters(n / 26 - 1)) }
}

/// Radii of a trunk over the life of the print.
fn trunk_range(trunk: &Trunk, job: &Job) -> Result<TrunkRange, FitError> {
    let growth = trunk.growth.unwrap_or(job.job.growth) * job.job.years;
    TrunkRange::round(trunk.girth, job.job.girth_tolerance, growth)
}

fn unplannable(error: &FitError) -> Finding {
    use crate::checks::Severity;
    Finding::new("curve-misfit", Severity::Error, error.to_string()).key("pad")
}

impl Plan {
    /// Radius of a trunk now.
    #[must_use]
    pub fn radius_now(&self, job: &Job, trunk: usize) -> Length {
        radius_of_girth(job.trunks[trunk].girth)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_run_like_columns_of_a_table() {
        let shown: Vec<String> = [0, 1, 25, 26, 27, 51, 52, 701, 702].map(letters).to_vec();
        assert_eq!(shown, ["A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]);
    }
}
