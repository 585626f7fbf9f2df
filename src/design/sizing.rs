//! Which sizes of one kind there are, and who gets which, beside the prints that are in hand.
//!
//! What a size serves and how few there are is in [`crate::engineering::sizes`]; here trunks of the job
//! become what it asks for, and sizes become parts with letters.

use crate::design::job_plan::SizeClass;
use crate::design::previous::PreviousPrints;
use crate::design::reuse::{Change, TrunkDemand, compare};
use crate::design::seating::situation;
use crate::engineering::fit::FitError;
use crate::engineering::oval::Oval;
use crate::engineering::sizes::{SizeRule, TrunkRange, Unserved, Wanted};
use crate::params::{Job, Trunk};
use crate::units::Length;

/// What the sizes of one kind are chosen for.
pub(super) struct SizingRequest<'a> {
    pub(super) job: &'a Job,
    pub(super) rule: SizeRule<'a>,
    pub(super) already_printed: bool,
    /// Letters that earlier prints bear, also those that serve no more.
    pub(super) engraved: &'a [String],
    pub(super) copies_on: &'a dyn Fn(usize) -> u32,
    /// Saddles on one ring of a trunk that has so many copies.
    pub(super) on_ring: fn(u32) -> u32,
}

/// Sizes of one kind, and who gets which.
pub(super) struct Classes {
    pub(super) classes: Vec<SizeClass>,
    pub(super) assignment: Vec<Option<usize>>,
    pub(super) unserved: Vec<Unserved>,
    pub(super) changes: Vec<Change>,
}

impl Classes {
    pub(super) fn new(
        request: &SizingRequest<'_>,
        printed: &PreviousPrints,
    ) -> Result<Self, FitError> {
        let SizingRequest { job, rule, already_printed, engraved, copies_on, on_ring } = *request;
        let who: Vec<usize> = (0..job.trunks.len()).filter(|&i| copies_on(i) > 0).collect();
        let now = who.iter().map(|&i| {
            let (trunk, copies) = (&job.trunks[i], copies_on(i));
            let range = trunk_range(trunk, rule.half_width, job)?;
            Ok(TrunkDemand {
                name: trunk.name.clone(),
                girth: trunk.girth,
                wanted: Wanted { range, situation: situation(trunk, on_ring(copies)) },
                copies,
            })
        });
        let now = now.collect::<Result<Vec<_>, FitError>>()?;
        let reuse = compare(printed, &now, &rule)?;

        // Sizes in use, thinnest trunks first.
        let mut in_use: Vec<usize> = reuse.changes.iter().filter_map(|c| c.size).collect();
        in_use.sort_unstable();
        in_use.dedup();
        in_use.sort_by(|&a, &b| {
            reuse.sizes[a].girth_from.get().total_cmp(&reuse.sizes[b].girth_from.get())
        });
        let mut assignment = vec![None; job.trunks.len()];
        // No two prints in hand bear the same letters.
        let used = if already_printed { engraved } else { &printed.marks };
        let mut marks = Marks::new(used.iter().cloned());
        let mut classes: Vec<SizeClass> = in_use
            .iter()
            .map(|&index| {
                let kept = index < reuse.earlier_sizes;
                SizeClass {
                    mark: if kept { printed.marks[index].clone() } else { marks.next() },
                    size: reuse.sizes[index],
                    kept,
                    copies: 0,
                    prints: 0,
                    trunks: Vec::new(),
                }
            })
            .collect();
        for ((&trunk, change), now) in who.iter().zip(&reuse.changes).zip(&now) {
            let class = change.size.and_then(|s| in_use.iter().position(|&i| i == s));
            assignment[trunk] = class;
            if let Some(class) = class.map(|c| &mut classes[c]) {
                class.copies += now.copies;
                class.prints += if already_printed { change.prints } else { now.copies };
                class.trunks.push(trunk);
            }
        }
        let unserved =
            reuse.unserved.into_iter().map(|u| Unserved { trunk: who[u.trunk], ..u }).collect();
        Ok(Self { classes, assignment, unserved, changes: reuse.changes })
    }
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

/// Radii of a trunk over the life of the print; of an oval trunk, those under the face. The tape's
/// tolerance is in the judgement.
pub(super) fn trunk_range(
    trunk: &Trunk,
    half_width: Length,
    job: &Job,
) -> Result<TrunkRange, FitError> {
    let growth = trunk.growth.unwrap_or(job.job.growth) * job.job.years;
    let tolerance = Length::ZERO;
    match trunk.diameters {
        Some(diameters) => {
            let oval = Oval::new(diameters)?;
            let half_width = half_width.min(oval.radius_at_cradle() * job.pad.max_width_ratio);
            oval.range(half_width, tolerance, growth)
        }
        None => TrunkRange::round(trunk.girth, tolerance, growth),
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
