//! Which sizes of one kind there are, and who gets which: the fewest on which every strap can be pulled,
//! beside the prints that are in hand.
//!
//! The fewest sizes for given strains of the foam are found by [`crate::engineering::sizes`]; here more
//! and more of the strains is kept for the pull on the straps, until a pull suits all pads.

use std::collections::BTreeMap;

use crate::design::Derived;
use crate::design::arrangement::{Standing, pull_suits_pads};
use crate::design::job_inputs::foam;
use crate::design::job_plan::{SizeClass, SizeKind};
use crate::design::previous::PreviousPrints;
use crate::design::reuse::{Change, TrunkDemand, compare};
use crate::design::saddle::Saddle;
use crate::engineering::fit::FitError;
use crate::engineering::oval::Oval;
use crate::engineering::sizes::{Size, SizeRule, TrunkRange, Unserved};
use crate::params::{Job, Trunk};
use crate::units::Length;

/// Shares of the pad's strains to keep for the pull, tried in this order after none.
const STRAIN_RESERVES: [f64; 3] = [0.25, 0.5, 0.75];

/// What the sizes of one kind are chosen for.
pub(super) struct SizingRequest<'a> {
    pub(super) job: &'a Job,
    pub(super) half_width: Length,
    pub(super) already_printed: bool,
    pub(super) least_reserve: f64,
    /// Letters that earlier prints bear, also those that serve no more.
    pub(super) engraved: &'a [String],
    pub(super) copies_on: &'a dyn Fn(usize) -> u32,
    pub(super) saddle: &'a dyn Fn(&Size) -> Saddle,
    pub(super) standing: &'a dyn Fn(&Trunk, &Saddle) -> Option<Standing>,
}

impl SizingRequest<'_> {
    /// The fewest sizes on which all straps can be pulled, with the share of the pad's strains kept
    /// for that. Where no share serves, the one that serves most trunks.
    pub(super) fn classes(&self, usable: &PreviousPrints) -> Result<(f64, Classes), FitError> {
        let shortfall =
            |classes: &Classes| classes.unserved.len() + self.count_untensionable(classes);
        let mut kept = self.least_reserve;
        let mut best = Classes::new(self, usable, kept)?;
        let mut least = shortfall(&best);
        for more in STRAIN_RESERVES.into_iter().filter(|k| *k > self.least_reserve) {
            if least == 0 {
                break;
            }
            let classes = Classes::new(self, usable, more)?;
            let left = shortfall(&classes);
            if left < least {
                (kept, best, least) = (more, classes, left);
            }
        }
        Ok((kept, best))
    }

    /// Sizes on whose thinnest or thickest trunk no pull suits the pads: these misfit most. Trunks
    /// with more saddles lose more of the pull on the way round, and stand for themselves.
    pub(super) fn count_untensionable(&self, classes: &Classes) -> usize {
        let mut extremes: BTreeMap<(usize, u32), [usize; 2]> = BTreeMap::new();
        let girth = |t: usize| self.job.trunks[t].girth;
        for (class, size) in classes.classes.iter().enumerate() {
            for &trunk in &size.trunks {
                let key = (class, (self.copies_on)(trunk));
                let [thin, thick] = extremes.entry(key).or_insert([trunk; 2]);
                *thin = if girth(trunk) < girth(*thin) { trunk } else { *thin };
                *thick = if girth(trunk) > girth(*thick) { trunk } else { *thick };
            }
        }
        let suits = |class: usize, trunk: usize| {
            let (size, trunk) = (&classes.classes[class].size, &self.job.trunks[trunk]);
            let saddle = (self.saddle)(size);
            (self.standing)(trunk, &saddle)
                .is_none_or(|standing| pull_suits_pads(self.job, trunk, &saddle, size, &standing))
        };
        extremes.iter().filter(|((class, _), ends)| !ends.iter().all(|&t| suits(*class, t))).count()
    }
}

/// Records sizes that serve fewer girths than the strains of the foam alone would allow.
pub(super) fn describe_reserve<'a>(
    job: &Job,
    sizes: impl Iterator<Item = (SizeKind, &'a SizeClass)>,
    derived: &mut Vec<Derived>,
) {
    let alone = |size: &Size| {
        let rule =
            SizeRule::new(foam(&job.pad).ok()?, size.half_width, job.pad.max_width_ratio).ok()?;
        Size::new(size.face().ok()?, &rule).ok()
    };
    let girths = |size: &Size| {
        let [from, to] = size.engraved_girths();
        format!("{:.0} to {to:.0}", from.get())
    };
    for (kind, class) in sizes {
        let Some(alone) = alone(&class.size).filter(|a| girths(a) != girths(&class.size)) else {
            continue;
        };
        let reason = format!(
            "the foam alone would allow {}, but then no pull on the strap would press the whole pad \
             and crush none of it",
            girths(&alone)
        );
        let name = format!("girths of {} {}", kind.word(), class.mark);
        derived.push(Derived::new(name, girths(&class.size), reason));
    }
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
        kept: f64,
    ) -> Result<Self, FitError> {
        let SizingRequest { job, half_width: wanted, already_printed, engraved, copies_on, .. } =
            *request;
        let foam = foam(&job.pad)?.keeping(kept)?;
        let rule = SizeRule::new(foam, wanted, job.pad.max_width_ratio)?;
        let who: Vec<usize> = (0..job.trunks.len()).filter(|&i| copies_on(i) > 0).collect();
        let now = who.iter().map(|&i| {
            let trunk = &job.trunks[i];
            let range = trunk_range(trunk, wanted, job)?;
            Ok(TrunkDemand {
                name: trunk.name.clone(),
                girth: trunk.girth,
                range,
                copies: copies_on(i),
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

/// Radii of a trunk over the life of the print; of an oval trunk, those under the face.
pub(super) fn trunk_range(
    trunk: &Trunk,
    half_width: Length,
    job: &Job,
) -> Result<TrunkRange, FitError> {
    let growth = trunk.growth.unwrap_or(job.job.growth) * job.job.years;
    let tolerance = job.job.girth_tolerance;
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
