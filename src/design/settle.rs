//! What a job leaves open and the plan settles: the thickness of the foam, the straps on each cradle, and
//! what tightens them.
//!
//! What the user wrote is law. Else the first in a fixed order is taken with which every trunk gets its
//! prints, or, where there is none, the one with the fewest left out and most nearly served: cam buckles
//! before ratchets, two straps before three, the
//! foam of an earlier set that was printed before all others, then sheets on sale from the common one up, a thinner one
//! last. Facts of tree, lamp and site, and margins, are never touched. What is chosen stands in the job
//! that comes back, and with its reason among the derived dimensions.

use super::job_plan::{LeftOpen, Plan, PlanError, plan_with};
use super::{Derived, PreviousSet};
use crate::engineering::pull::Cap;
use crate::params::{Job, TightenerKind};
use crate::units::Length;

/// Sheets in which closed-cell foam is sold (common practice, no source), in the order of preference, mm.
const SHEETS: [f64; 6] = [10.0, 12.0, 15.0, 20.0, 25.0, 8.0];
/// Straps on each cradle.
const STRAPS: [u32; 2] = [2, 3];

/// A window wider than this is as good as served.
const MOST_ROOM: f64 = 2.0;

/// A job with nothing left open that shapes its parts, and its plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// The job, with what was chosen written in.
    pub job: Job,
    /// Its plan.
    pub plan: Plan,
}

/// Plans a job, and chooses what it leaves open.
///
/// # Errors
/// [`PlanError`] when no choice can be planned.
pub fn settle(job: &Job, previous: &PreviousSet) -> Result<Settled, PlanError> {
    let straps = job.strap.count.map_or_else(|| STRAPS.to_vec(), |written| vec![written]);
    let foams = job.pad.thickness.map_or_else(
        || {
            let mut sheets: Vec<Length> = SHEETS.into_iter().map(Length::mm).collect();
            if let Some(had) = previous.foam.filter(|_| previous.already_printed) {
                sheets.retain(|t| *t != had);
                sheets.insert(0, had);
            }
            sheets
        },
        |written| vec![written],
    );
    let tighteners = match (job.strap.tightener, job.strap.tension) {
        (Some(written), _) => vec![written],
        // No more shall be pulled than is written, so a ratchet does not help.
        (None, Some(_)) => vec![TightenerKind::Cam],
        (None, None) => vec![TightenerKind::Cam, TightenerKind::Ratchet],
    };
    let mut best: Option<(usize, f64, Settled)> = None;
    let mut failed = None;
    let choices = straps.iter().flat_map(|s| foams.iter().map(move |t| (*s, *t)));
    let choices = tighteners.iter().flat_map(|by| choices.clone().map(move |c| (*by, c)));
    for (tightener, (straps, foam)) in choices {
        // Where nothing but hands that pull too little stands in the way, and only there, a ratchet helps.
        let by_hand = |(_, _, settled): &(usize, f64, Settled)| {
            let mut windows = settled.plan.unserved.iter().filter_map(|(_, u)| u.window);
            windows.any(|w| w.cap == Cap::Tightener)
        };
        if tightener == TightenerKind::Ratchet && best.as_ref().is_some_and(|b| !by_hand(b)) {
            break;
        }
        let mut chosen = job.clone();
        chosen.strap.tightener = Some(tightener);
        chosen.strap.count = Some(straps);
        chosen.pad.thickness = Some(foam);
        let plan = match plan_with(&chosen, previous, LeftOpen::of(job)) {
            Ok(plan) => plan,
            Err(error) => {
                failed.get_or_insert(error);
                continue;
            }
        };
        let without = plan.unserved.len();
        // How near the pulls of those left out come to having room.
        let windows = plan.unserved.iter().filter_map(|(_, u)| u.window);
        let near: f64 = windows.map(|w| w.ratio().min(MOST_ROOM)).sum();
        let better = |(least, nearest, _): &(usize, f64, Settled)| {
            without < *least || (without == *least && near > *nearest)
        };
        if best.as_ref().is_none_or(better) {
            best = Some((without, near, Settled { job: chosen, plan }));
        }
        if without == 0 {
            break;
        }
    }
    let Some((without, _, mut settled)) = best else {
        // A job without choices is planned as it stands, and fails as it did.
        return match failed {
            Some(error) => Err(error),
            None => plan_with(job, previous, LeftOpen::of(job))
                .map(|plan| Settled { job: job.clone(), plan }),
        };
    };
    tell(job, previous, without, &mut settled);
    Ok(settled)
}

/// Says what was chosen that is not what comes first.
fn tell(job: &Job, previous: &PreviousSet, without: usize, settled: &mut Settled) {
    let aim = if without == 0 {
        "every trunk gets its print with it, and not with what comes before it in the order of choice"
    } else {
        "most trunks get their print with it"
    };
    let Settled { job: chosen, plan } = settled;
    if job.pad.thickness.is_none() {
        let foam = chosen.pad.free_thickness();
        let reason = match () {
            () if foam == job.pad.free_thickness() => "common sheet; it serves",
            () if previous.already_printed && previous.foam == Some(foam) => {
                "the foam of the earlier set"
            }
            () => aim,
        };
        plan.derived.push(Derived::new("foam", foam, reason));
    }
    if job.strap.count.is_none() {
        let straps = chosen.strap.straps();
        let reason = if straps == job.strap.straps() { "the fewest; they hold" } else { aim };
        plan.derived.push(Derived::new("straps on each cradle", straps, reason));
    }
    if job.strap.tightener.is_none() {
        let (by, reason) = match chosen.strap.tightened_by() {
            TightenerKind::Cam => ("cam buckle", "cannot be pulled so tight that bark bruises"),
            TightenerKind::Ratchet => ("ratchet", aim),
        };
        plan.derived.push(Derived::new("straps are tightened by", by, reason));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(girth: u32, more: &str) -> Job {
        let text = format!(
            "[job]\nname = \"one tree\"\n[fixture]\nname = \"lamp\"\nwidth = 150\nheight = 120\ndepth = 60\n\
             mass = 1\npower = 10\n[fixture.mount]\nkind = \"side-bosses\"\nspan = 160\nthread = \"M5\"\n\
             {more}\n[[trunk]]\nname = \"lime\"\ngirth = {girth}\n"
        );
        crate::params::read(&text).expect("a job").job
    }

    #[test]
    fn what_is_written_is_law_and_what_is_open_is_chosen() {
        let written = job(880, "[pad]\nthickness = 8\n[strap]\ncount = 3\ntightener = \"cam\"");
        let settled = settle(&written, &PreviousSet::default()).expect("a plan");
        assert_eq!(settled.job, written);
        let told = |s: &Settled, what: &str| s.plan.derived.iter().any(|d| d.name == what);
        assert!(!told(&settled, "foam") && !told(&settled, "straps on each cradle"));
        let open = settle(&job(880, ""), &PreviousSet::default()).expect("a plan");
        assert!(open.job.pad.thickness.is_some() && open.job.strap.count.is_some());
        assert!(told(&open, "foam") && told(&open, "straps on each cradle"));
        assert!(open.plan.unserved.is_empty(), "{:?}", open.plan.unserved);
    }

    #[test]
    fn a_choice_is_made_only_where_the_common_one_leaves_a_trunk_out() {
        for girth in [500, 900, 1600, 2500] {
            let open = job(girth, "");
            let settled = settle(&open, &PreviousSet::default()).expect("a plan");
            let common = crate::design::plan(&open, &PreviousSet::default()).expect("a plan");
            let as_common = settled.job.pad.thickness == Some(open.pad.free_thickness())
                && settled.job.strap.count == Some(open.strap.straps());
            assert_eq!(as_common, common.unserved.is_empty(), "{girth}");
            assert!(settled.plan.unserved.is_empty(), "{girth}");
        }
    }

    #[test]
    fn a_straight_edge_on_the_bark_tells_the_curve_in_place_of_the_girth() {
        // By the tape 900 mm, but flattened where the cradle sits: as round there as a girth of 1200 mm.
        let radius = crate::engineering::fit::radius_of_girth(Length::mm(1200.0)).get();
        let gap = Length::mm(radius - f64::sqrt(radius * radius - 120.0 * 120.0));
        let mut flat = job(900, "");
        flat.trunks[0].straight_edge = Some([Length::mm(240.0), gap, gap]);
        let curve = |job: &Job| {
            let settled = settle(job, &PreviousSet::default()).expect("a plan");
            assert!(settled.plan.unserved.is_empty(), "{:?}", settled.plan.unserved);
            let size = &settled.plan.cradles[0].class.size;
            [size.girth_from, size.girth_to]
        };
        let [from, to] = curve(&flat);
        // The trunk of 1200 mm in girth lies within the mark; both ends of what half a millimetre at
        // each gap leaves open do, 1200 mm less 11, and more 11 and a year of growth (dR/ds = 1/2 - c^2 / 8 s^2 by hand).
        assert!(from <= Length::mm(1189.0) && to >= Length::mm(1221.0), "{from} to {to}");
        let [_, by_tape] = curve(&job(900, ""));
        assert!(by_tape < to);
    }

    #[test]
    fn the_foam_of_the_earlier_set_comes_first() {
        let previous = PreviousSet {
            already_printed: true,
            foam: Some(Length::mm(15.0)),
            ..PreviousSet::default()
        };
        let settled = settle(&job(900, ""), &previous).expect("a plan");
        assert_eq!(settled.job.pad.thickness, Some(Length::mm(15.0)));
    }
}
