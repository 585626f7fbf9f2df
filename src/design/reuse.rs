//! Next year: which parts stay, which are handed on, which are printed.
//!
//! A trunk keeps its own parts while their size still serves it. A trunk that has outgrown its size
//! takes parts that another trunk gives up, else a further copy of a size that exists, else a part
//! of a new size; new sizes are the fewest for the trunks left (see
//! [`crate::engineering::sizes`]). Trunks are matched by name. Not guaranteed: the least number of
//! prints over all ways to hand parts on; they are handed on in the order of the trunks.

use std::collections::BTreeMap;

use serde::Serialize;

use super::previous::{PreviousPrints, TrunkBefore};
use crate::engineering::fit::FitError;
use crate::engineering::sizes::{Size, SizeRule, Unserved, Wanted, sizes_with_kept};
use crate::units::Length;

/// A trunk of this year.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TrunkDemand {
    /// Its name in the job file.
    pub name: String,
    /// Its girth now.
    pub girth: Length,
    /// The radii that it may have over the life of a print, and what else its prints are judged by.
    pub wanted: Wanted,
    /// How many parts it needs.
    pub copies: u32,
}

/// What happens on one trunk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ReuseDecision {
    /// Its own parts still serve.
    Keep,
    /// A size that exists serves; copies that other trunks give up come first.
    Reprint,
    /// A part of a new size.
    New,
    /// No size serves it.
    Unserved,
}

/// One trunk's parts this year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// Name of the trunk.
    pub trunk: String,
    /// What happens.
    pub decision: ReuseDecision,
    /// Its size now, an index into [`Reuse::sizes`].
    pub size: Option<usize>,
    /// Parts taken from those that other trunks gave up.
    pub handed_on: u32,
    /// Parts to print.
    pub prints: u32,
    /// Why, with the girths.
    pub reason: String,
}

/// The parts of a year, set against an earlier one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Reuse {
    /// The earlier sizes in their order, then the new ones.
    pub sizes: Vec<Size>,
    /// How many of them are the earlier ones.
    pub earlier_sizes: usize,
    /// One for each trunk of this year, in its order.
    pub changes: Vec<Change>,
    /// Trunks that no size serves, and what would.
    pub unserved: Vec<Unserved>,
}

/// Sets this year's trunks against an earlier year.
///
/// # Errors
/// When a range of radii is not one, or an earlier size has no face.
pub(crate) fn compare(
    earlier: &PreviousPrints,
    now: &[TrunkDemand],
    rule: &SizeRule<'_>,
) -> Result<Reuse, FitError> {
    // What the earlier prints serve today, and no more than they say of themselves.
    let printed = earlier.printed(rule);
    for p in &printed {
        p.size.face()?;
    }
    let before: BTreeMap<&str, &TrunkBefore> =
        earlier.trunks.iter().map(|t| (t.name.as_str(), t)).collect();
    let own = |t: &TrunkDemand| {
        let old = before.get(t.name.as_str())?;
        let size = old.size?;
        let had = printed.get(size)?;
        let fits = had.size.serves(t.wanted.range) && rule.in_hand(had).serves(&t.wanted);
        fits.then_some((size, old.copies))
    };

    let mut spare = earlier.copies.clone();
    spare.resize(earlier.sizes.len(), 0);
    let mut rest = Vec::new();
    let owned: Vec<Option<(usize, u32)>> = now.iter().map(own).collect();
    for (i, t) in now.iter().enumerate() {
        match owned[i] {
            // Its own parts are not for others, as far as it needs them.
            Some((size, copies)) => {
                spare[size] = spare[size].saturating_sub(copies.min(t.copies));
            }
            None => rest.push(i),
        }
    }
    let left: Vec<Wanted> = rest.iter().map(|&i| now[i].wanted).collect();
    let plan = sizes_with_kept(&printed, &left, rule)?;
    let mut sizes = earlier.sizes.clone();
    let place: Vec<usize> = plan
        .sizes
        .iter()
        .zip(&plan.kept)
        .map(|(size, kept)| {
            kept.unwrap_or_else(|| {
                sizes.push(*size);
                sizes.len() - 1
            })
        })
        .collect();
    let mut given: BTreeMap<usize, Option<usize>> =
        rest.iter().zip(&plan.assignment).map(|(&i, s)| (i, s.map(|s| place[s]))).collect();

    let mut changes = Vec::with_capacity(now.len());
    for (i, t) in now.iter().enumerate() {
        let kept = owned[i];
        let size = kept.map(|(size, _)| size).or_else(|| given.remove(&i).flatten());
        let had = kept.map_or(0, |(_, copies)| copies.min(t.copies));
        let wanted = t.copies - had;
        let handed_on = size.and_then(|s| spare.get_mut(s)).map_or(0, |pool| {
            let taken = wanted.min(*pool);
            *pool -= taken;
            taken
        });
        let decision = match size {
            None => ReuseDecision::Unserved,
            Some(_) if kept.is_some() => ReuseDecision::Keep,
            Some(s) if s < earlier.sizes.len() => ReuseDecision::Reprint,
            Some(_) => ReuseDecision::New,
        };
        let prints = if size.is_some() { wanted - handed_on } else { 0 };
        let reason = reason(before.get(t.name.as_str()).copied(), t, earlier, kept.is_some());
        changes.push(Change { trunk: t.name.clone(), decision, size, handed_on, prints, reason });
    }
    let unserved = plan.unserved.iter().map(|u| Unserved { trunk: rest[u.trunk], ..*u }).collect();
    Ok(Reuse { sizes, earlier_sizes: earlier.sizes.len(), changes, unserved })
}

fn reason(
    old: Option<&TrunkBefore>,
    now: &TrunkDemand,
    earlier: &PreviousPrints,
    stays: bool,
) -> String {
    let Some(old) = old else {
        return format!("girth {:.0}: a trunk not lit before", now.girth);
    };
    let grown = format!("girth {:.0} -> {:.0}", old.girth.get(), now.girth);
    if let Some(misfit) = &old.misfit {
        return format!("{grown}: {misfit}");
    }
    let Some((n, size)) = old.size.and_then(|n| Some((n, earlier.sizes.get(n)?))) else {
        return format!("{grown}: no earlier part of this design");
    };
    let beyond = earlier.beyond.get(n).and_then(Option::as_ref);
    let beyond = beyond.map_or(String::new(), |beyond| format!("{beyond}; "));
    let [from, to] = size.engraved_girths();
    let girths = format!("{:.0}-{to:.0}", from.get());
    match (stays, size.serves(now.wanted.range)) {
        (true, _) => format!("{grown}: within {girths}"),
        (false, false) => format!("{grown}: outside {girths}, with the growth to come"),
        (false, true) => {
            format!("{grown}: {beyond}within {girths}, but no pull holds it there today")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engineering::pull::tests::{conditions, hung, print};
    use crate::engineering::sizes::{Situation, TrunkRange};
    use crate::units::Angle;

    fn with_rule<T>(test: impl FnOnce(&SizeRule<'_>) -> T) -> T {
        let common = conditions();
        let print = |radius: Length, half: Length| (print(radius.get(), half.get(), 110.0), hung());
        test(&SizeRule { half_width: Length::mm(45.0), common: &common, print: &print })
    }

    fn prints(reuse: &Reuse) -> u32 {
        reuse.changes.iter().map(|c| c.prints).sum()
    }

    fn compared(earlier: &PreviousPrints, now: &[TrunkDemand]) -> Reuse {
        with_rule(|rule| compare(earlier, now, rule).unwrap())
    }

    fn now(name: &str, girth: f64, copies: u32) -> TrunkDemand {
        let girth = Length::mm(girth);
        let range = TrunkRange::round(girth, Length::ZERO, Length::mm(10.0)).unwrap();
        let situation = Situation { relief: Length::mm(1.0), saddles: copies, lean: Angle::ZERO };
        TrunkDemand { name: name.into(), girth, wanted: Wanted { range, situation }, copies }
    }

    fn year(trunks: &[TrunkDemand]) -> PreviousPrints {
        let wanted: Vec<Wanted> = trunks.iter().map(|t| t.wanted).collect();
        let plan = with_rule(|rule| sizes_with_kept(&[], &wanted, rule).unwrap());
        let trunks: Vec<_> = trunks
            .iter()
            .zip(&plan.assignment)
            .map(|(t, &size)| TrunkBefore {
                name: t.name.clone(),
                girth: t.girth,
                size,
                copies: t.copies,
                misfit: None,
            })
            .collect();
        let mut copies = vec![0; plan.sizes.len()];
        for trunk in &trunks {
            copies[trunk.size.unwrap()] += trunk.copies;
        }
        PreviousPrints { sizes: plan.sizes, trunks, copies, ..PreviousPrints::default() }
    }

    #[test]
    fn the_same_trees_need_no_print() {
        let trees = [now("oak", 700.0, 2), now("lime", 1500.0, 1), now("birch", 560.0, 1)];
        let reuse = compared(&year(&trees), &trees);
        assert_eq!(prints(&reuse), 0);
        assert!(reuse.changes.iter().all(|c| c.decision == ReuseDecision::Keep));
        assert!(reuse.changes[0].reason.starts_with("girth 700 -> 700 mm: within"));
    }

    #[test]
    fn only_what_has_changed_is_printed() {
        let last = [now("oak", 700.0, 2), now("lime", 1500.0, 1)];
        let earlier = year(&last);
        let end = earlier.sizes[0].girth_to.get();
        // The oak outgrows its size, a new birch takes up one of its cradles, the lime gets one more.
        let this = [now("oak", end + 5.0, 2), now("birch", 705.0, 1), now("lime", 1510.0, 2)];
        let reuse = compared(&earlier, &this);
        let [oak, birch, lime] = &reuse.changes[..] else { panic!("three trunks") };
        assert_ne!(oak.decision, ReuseDecision::Keep);
        assert_eq!(oak.prints, 2);
        assert!(oak.reason.contains(": outside "), "{}", oak.reason);
        assert_eq!((birch.decision, birch.handed_on, birch.prints), (ReuseDecision::Reprint, 1, 0));
        assert_eq!((lime.decision, lime.handed_on, lime.prints), (ReuseDecision::Keep, 0, 1));
        assert_eq!(prints(&reuse), 3);
    }

    #[test]
    fn a_copy_that_hung_on_no_trunk_is_handed_on_first() {
        let mut earlier = year(&[now("oak", 700.0, 1)]);
        earlier.copies = vec![2];
        let this = [now("oak", 702.0, 1), now("ash", 705.0, 1), now("elm", 706.0, 1)];
        let reuse = compared(&earlier, &this);
        let prints: Vec<u32> = reuse.changes.iter().map(|c| c.prints).collect();
        assert_eq!(prints, [0, 0, 1]);
    }

    #[test]
    fn a_size_that_the_manifest_does_not_have_is_no_size() {
        let mut earlier = year(&[now("oak", 700.0, 1)]);
        earlier.trunks[0].size = Some(7);
        earlier.copies = vec![0];
        let reuse = compared(&earlier, &[now("oak", 702.0, 1)]);
        assert_eq!(reuse.changes[0].decision, ReuseDecision::Reprint);
        assert_eq!(prints(&reuse), 1);
    }
}
