//! Which sizes of one kind there are, and who gets which, beside the prints that are in hand.
//!
//! What a size serves and how few there are is in [`crate::engineering::sizes`]; here trunks of the job
//! become what it asks for, and sizes become parts with letters.

use crate::design::as_made::Making;
use crate::design::job_plan::SizeClass;
use crate::design::previous::PreviousPrints;
use crate::design::reuse::{Change, TrunkDemand, compare};
use crate::design::seating::situation;
use crate::engineering::fit::{FitError, radius_of_girth};
use crate::engineering::oval::Oval;
use crate::engineering::pull::{Conditions, Hung, Print};
use crate::engineering::sizes::{SizeRule, TrunkRange, Unserved, Wanted};
use crate::params::{Job, Trunk};
use crate::units::Length;

/// The print with a face radius and a half width, made so, and what hangs on it.
pub(super) type Judged<'a> = dyn Fn([Length; 2], &Making) -> (Print, Hung) + 'a;

/// What the sizes of one kind are chosen for.
pub(super) struct SizingRequest<'a> {
    pub(super) job: &'a Job,
    /// What is the same for every trunk.
    pub(super) common: &'a Conditions,
    pub(super) already_printed: bool,
    /// Letters that earlier prints bear, also those that serve no more.
    pub(super) engraved: &'a [String],
    pub(super) copies_on: &'a dyn Fn(usize) -> u32,
    /// Saddles on one ring of a trunk that has so many copies.
    pub(super) on_ring: fn(u32) -> u32,
    /// Proportions for trunks.
    pub(super) choose: &'a dyn Fn(&[Wanted]) -> Making,
    /// A saddle with this face and half width, so made, and what hangs on it.
    pub(super) judged: &'a Judged<'a>,
}

/// Sizes of one kind, how each is made, and who gets which.
pub(super) struct Classes {
    pub(super) classes: Vec<(SizeClass, Making)>,
    pub(super) assignment: Vec<Option<usize>>,
    pub(super) unserved: Vec<Unserved>,
    pub(super) changes: Vec<Change>,
}

/// Proportions are chosen anew for the trunks that those chosen before leave out, at most so often:
/// trunks of one job differ by no more than a few sorts.
const ROUNDS: usize = 6;

impl Classes {
    /// Sizes for all trunks: proportions that serve as many as they can, then others for the rest.
    pub(super) fn new(
        request: &SizingRequest<'_>,
        printed: &PreviousPrints,
    ) -> Result<Self, FitError> {
        let SizingRequest { job, copies_on, .. } = *request;
        let mut left: Vec<usize> = (0..job.trunks.len()).filter(|&i| copies_on(i) > 0).collect();
        let mut all = Self {
            classes: Vec::new(),
            assignment: vec![None; job.trunks.len()],
            unserved: Vec::new(),
            changes: Vec::new(),
        };
        // Who was first, so that changes stay in the order of the job.
        let place = left.clone();
        let none = PreviousPrints { trunks: printed.trunks.clone(), ..PreviousPrints::default() };
        for round in 0..ROUNDS {
            let now = all.round(request, &left, if round == 0 { printed } else { &none })?;
            for (change, &trunk) in now.changes.into_iter().zip(&left) {
                match place.binary_search(&trunk) {
                    Ok(at) if round > 0 => {
                        // Why the earlier print serves no more was told by the first round.
                        let reason = std::mem::take(&mut all.changes[at].reason);
                        all.changes[at] = Change { reason, ..change };
                    }
                    _ => all.changes.push(change),
                }
            }
            left = now.unserved.iter().map(|u| u.trunk).collect();
            all.unserved = now.unserved;
            if left.is_empty() || now.served == 0 {
                break;
            }
        }
        Ok(all)
    }

    /// Adds the sizes of one choice of proportions for these trunks.
    fn round(
        &mut self,
        request: &SizingRequest<'_>,
        who: &[usize],
        printed: &PreviousPrints,
    ) -> Result<Round, FitError> {
        let SizingRequest { job, already_printed, engraved, copies_on, on_ring, .. } = *request;
        let wanted = |half_width: Length| {
            let each = who.iter().map(|&i| {
                let trunk = &job.trunks[i];
                let range = trunk_range(trunk, half_width, job)?;
                Ok(Wanted { range, situation: situation(trunk, on_ring(copies_on(i))) })
            });
            each.collect::<Result<Vec<_>, FitError>>()
        };
        let making = (request.choose)(&wanted(WIDE)?);
        let print = |face: Length, half: Length| (request.judged)([face, half], &making);
        let half_width = making.proportions.half_width;
        let rule = SizeRule { half_width, common: request.common, print: &print };
        let now = who.iter().zip(wanted(half_width)?).map(|(&i, wanted)| TrunkDemand {
            name: job.trunks[i].name.clone(),
            girth: job.trunks[i].girth,
            wanted,
            copies: copies_on(i),
        });
        let now: Vec<TrunkDemand> = now.collect();
        let reuse = compare(printed, &now, &rule)?;

        // Sizes in use, thinnest trunks first.
        let mut in_use: Vec<usize> = reuse.changes.iter().filter_map(|c| c.size).collect();
        in_use.sort_unstable();
        in_use.dedup();
        in_use.sort_by(|&a, &b| {
            reuse.sizes[a].girth_from.get().total_cmp(&reuse.sizes[b].girth_from.get())
        });
        // No two prints in hand bear the same letters.
        let used = if already_printed { engraved } else { &printed.marks };
        let before = self.classes.iter().map(|(class, _)| class.mark.clone());
        let mut marks = Marks::new(used.iter().cloned().chain(before));
        let first = self.classes.len();
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
            self.assignment[trunk] = class.map(|c| first + c);
            if let Some(class) = class.map(|c| &mut classes[c]) {
                class.copies += now.copies;
                class.prints += if already_printed { change.prints } else { now.copies };
                class.trunks.push(trunk);
            }
        }
        let unserved =
            reuse.unserved.into_iter().map(|u| Unserved { trunk: who[u.trunk], ..u }).collect();
        let served = classes.len();
        self.classes.extend(classes.into_iter().map(|class| {
            let made = printed.making(&class, &making).unwrap_or(making);
            (class, made)
        }));
        Ok(Round { unserved, changes: reuse.changes, served })
    }
}

/// What one choice of proportions came to.
struct Round {
    unserved: Vec<Unserved>,
    changes: Vec<Change>,
    /// Sizes that it added.
    served: usize,
}

/// Half width for which oval trunks are taken before their own is known: a wide one sees most of the oval.
const WIDE: Length = Length::mm(48.0);

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

/// Radii of a trunk over the life of the print; of an oval trunk, and of one with a straight edge laid
/// against it, those under the face. The tape's tolerance is in the judgement.
pub(super) fn trunk_range(
    trunk: &Trunk,
    half_width: Length,
    job: &Job,
) -> Result<TrunkRange, FitError> {
    let growth = trunk.growth.unwrap_or(job.job.growth) * job.job.years;
    let tolerance = Length::ZERO;
    if let Some(edge) = trunk.edge() {
        let found = edge.radius()?;
        return TrunkRange::new(found.least, found.most + radius_of_girth(growth));
    }
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

    /// A trunk of 880 mm that grows 10 mm in girth a year is 900 mm after two: both ends over 2 pi.
    #[test]
    fn a_trunk_grows_through_the_years_of_the_print() {
        let text = include_str!("../../params/one-lamp.toml");
        let mut job = crate::params::read(text).expect("the demo job reads").job;
        (job.job.growth, job.job.years) = (Length::mm(10.0), 2.0);
        let mut trunk = job.trunks[0].clone();
        (trunk.girth, trunk.diameters, trunk.growth) = (Length::mm(880.0), None, None);
        let range = |trunk: &Trunk| trunk_range(trunk, Length::mm(40.0), &job).expect("a range");
        let is = range(&trunk);
        assert!((is.from.get() - 140.056_35).abs() < 1e-4, "{}", is.from);
        assert!((is.to.get() - 143.239_45).abs() < 1e-4, "{}", is.to);
        // Its own growth goes before the job's.
        trunk.growth = Some(Length::mm(20.0));
        assert!((range(&trunk).to.get() - 146.422_55).abs() < 1e-4);
    }
}
