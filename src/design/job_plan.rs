//! The plan of a whole job: sizes, yoke, box, rails, and which trunk gets what.
//!
//! Pure arithmetic. What the trunks need decides the sizes; the lamp decides the yoke; battery and
//! controller decide the box; all cradles share one yoke and all rails one screw distance, so only
//! the curve differs from size to size.

use serde::Serialize;

use crate::design::as_made::Making;
use crate::design::enclosure::{self, Enclosure, EnclosureError};
use crate::design::part::PartId;
use crate::design::previous::{PreviousSet, Print, PrintKind};
use crate::design::print_record::{PrintRecord, asked};
use crate::design::rail::{self, Rail};
use crate::design::reuse::Change;
use crate::design::saddle::{MouthNeeds, Saddle, height_for_straps};
use crate::design::seating;
use crate::design::sizing::{Classes, Judged, SizingRequest, trunk_range};
use crate::design::stability::{Proportions, Sought, TALLEST, ends, mouth};
use crate::design::{Derived, Yoke};
use crate::engineering::fit::FitError;
use crate::engineering::guard::OutOfRange;
use crate::engineering::pull::Conditions;
use crate::engineering::seal::Closing;
use crate::engineering::sizes::{Size, TrunkRange, Unserved, Wanted};
use crate::params::Job;
use crate::units::{Force, Length};

/// Which kind of trunk-dependent part a size is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SizeKind {
    /// Cradles.
    Cradle,
    /// Rails of the box.
    Rail,
}

impl SizeKind {
    /// Its name.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cradle => "cradle",
            Self::Rail => "rail",
        }
    }

    /// The part of a size with these letters.
    #[must_use]
    pub fn part(self, mark: &str) -> PartId {
        match self {
            Self::Cradle => PartId::Cradle(mark.to_owned()),
            Self::Rail => PartId::Rail(mark.to_owned()),
        }
    }
}

/// One printed size: a file, so many copies, for these trunks.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeClass {
    /// Letters of the mark: `A`, `B`, ... `Z`, `AA`.
    pub mark: String,
    /// Face and the girths that it serves.
    pub size: Size,
    /// Whether the size was printed in an earlier year.
    pub kept: bool,
    /// Copies in use.
    pub copies: u32,
    /// Copies that have still to be printed.
    pub prints: u32,
    /// Indices of the trunks.
    pub trunks: Vec<usize>,
}

/// A cradle size, drawn out.
#[derive(Debug, Clone, PartialEq)]
pub struct CradleSize {
    /// The size.
    pub class: SizeClass,
    /// What next year knows its prints by.
    pub record: PrintRecord,
    /// Its saddle.
    pub saddle: Saddle,
}

/// A rail size, drawn out.
#[derive(Debug, Clone, PartialEq)]
pub struct RailSize {
    /// The size.
    pub class: SizeClass,
    /// What next year knows its prints by.
    pub record: PrintRecord,
    /// Its rail.
    pub rail: Rail,
}

impl CradleSize {
    /// Its part.
    #[must_use]
    pub fn id(&self) -> PartId {
        SizeKind::Cradle.part(&self.class.mark)
    }
}

impl RailSize {
    /// Its part.
    #[must_use]
    pub fn id(&self) -> PartId {
        SizeKind::Rail.part(&self.class.mark)
    }
}

/// Why a job has no plan at all.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// Girths outside the range of the fit.
    #[error(transparent)]
    Fit(#[from] FitError),
    /// Foam or strap outside the range of the sums.
    #[error(transparent)]
    Measure(#[from] OutOfRange),
    /// No box can be planned.
    #[error(transparent)]
    Enclosure(#[from] EnclosureError),
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
    /// Cradle sizes, those of one choice of proportions after the other, thinnest trunks first.
    pub cradles: Vec<CradleSize>,
    /// Rail sizes, in the same order.
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
    /// Whether the earlier set's parts are in hand.
    pub already_printed: bool,
    /// Every print that there is when this year's are printed, with those that nothing takes.
    pub prints: Vec<Print>,
    /// Boxes that have still to be printed.
    pub boxes_to_print: u32,
    /// Tilt plates that have still to be printed.
    pub tilt_plates_to_print: u32,
    /// What happens on each trunk since an earlier set, for cradles and for rails.
    pub changes: Vec<(SizeKind, Change)>,
    /// Dimensions that the tool chose, with reasons.
    pub derived: Vec<Derived>,
    /// What the user left open.
    pub open: LeftOpen,
}

/// Keys that the user did not write and the tool chose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LeftOpen {
    /// `strap.count`.
    pub straps: bool,
    /// `pad.thickness`.
    pub foam: bool,
    /// `strap.tightener`.
    pub tightener: bool,
}

impl LeftOpen {
    /// What a job leaves open.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        Self {
            straps: job.strap.count.is_none(),
            foam: job.pad.thickness.is_none(),
            tightener: job.strap.tightener.is_none(),
        }
    }
}

/// Half widths between which a cradle's pad is chosen: from what a hand spans, so that few sizes serve, and,
/// where none of these leaves room for the pull, as wide as a printer holds (common practice, no
/// source).
const PAD_HALF_WIDTHS: [[Length; 2]; 2] =
    [[Length::mm(28.0), Length::mm(48.0)], [Length::mm(52.0), Length::mm(72.0)]];

/// Plans a job; prints that exist are used again where they still serve.
///
/// # Errors
/// [`PlanError`]. Trunks without a size are in [`Plan::unserved`] instead.
pub fn plan(job: &Job, previous: &PreviousSet) -> Result<Plan, PlanError> {
    plan_with(job, previous, LeftOpen::of(job))
}

/// As [`plan`], for a job in which what was left open is written in.
pub(super) fn plan_with(
    job: &Job,
    previous: &PreviousSet,
    open: LeftOpen,
) -> Result<Plan, PlanError> {
    let mut derived = Vec::new();
    let common = seating::conditions(job)?;
    let straps = job.strap.straps();
    let (draft, front_half_width, low) = Yoke::new(job, height_for_straps(&job.strap, straps));
    let saddle = |face: [Length; 2], made: &Making| {
        Saddle::new(&made.needs(face, front_half_width), &job.strap, &job.printer)
    };
    let judged = |saddle: &Saddle| {
        let hung = seating::lamp(job, &draft.on(saddle.height), saddle);
        (seating::print(job, saddle), hung)
    };
    let lamps_on = |i: usize| job.trunks[i].fixtures;
    let [widths, wider] = job.pad.half_width.map_or(PAD_HALF_WIDTHS, |half| [[half; 2]; 2]);
    let drawn = |face_radius: Length, half_width: Length, height: Length| {
        let proportions = Proportions { half_width, height, pull: Force::ZERO };
        let made = Making { proportions, mouth: MouthNeeds::default(), straps };
        judged(&saddle([face_radius, half_width], &made))
    };
    let high = TALLEST.min(job.printer.bed[2]).max(low);
    let fresh = |sought: &Sought<'_>| {
        let (chosen, score) = sought.proportions(widths, [low, high]);
        if score >= sought.ends.len() as f64 || wider == widths {
            return chosen;
        }
        let (other, better) = sought.proportions(wider, [low, high]);
        if better > score { other } else { chosen }
    };
    let known = previous.sizes(SizeKind::Cradle);
    // A print of which the record does not tell how it was made is taken as the lowest that there is.
    let plainest = Making {
        proportions: Proportions { half_width: widths[0], height: low, pull: Force::ZERO },
        mouth: MouthNeeds::default(),
        straps,
    };
    let asked_with = |size: &Size, made: &Making| {
        let saddle = saddle([size.face_radius, size.half_width], made);
        asked::cradle(job, &draft.on(saddle.height), &saddle, made.proportions.pull)
    };
    let asked_of = |size: &Size, record: &PrintRecord| {
        let asked = asked_with(size, &Making::of(size, record, &plainest));
        asked::left_open(asked, &job.fixture.mount, open.straps)
    };
    let usable = known.that_serve(asked_of).drawn_as(|size, record| {
        let made = Making::of(size, record, &plainest);
        judged(&saddle([size.face_radius, size.half_width], &made))
    });
    let choose = |wanted: &[Wanted]| {
        let sought = Sought { common: &common, ends: ends(wanted), print: &drawn };
        let in_hand = usable.makings(&plainest).find(|made| {
            let half = made.proportions.half_width;
            made.straps == straps
                && job.pad.half_width.is_none_or(|written| written == half)
                && sought.served_by(&made.proportions)
        });
        in_hand.unwrap_or_else(|| {
            let proportions = fresh(&sought);
            let Proportions { pull, half_width, .. } = proportions;
            let mouth = mouth(job, pull, half_width, thinnest(wanted));
            Making { proportions, mouth, straps }
        })
    };
    let judged_as = |face: [Length; 2], made: &Making| judged(&saddle(face, made));
    let request = SizingRequest {
        job,
        common: &common,
        already_printed: previous.already_printed,
        engraved: &known.marks,
        copies_on: &lamps_on,
        on_ring: |copies| copies,
        choose: &choose,
        judged: &judged_as,
    };
    let cradle_plan = Classes::new(&request, &usable)?;
    let heights = cradle_plan.classes.iter().map(|(_, made)| made.proportions.height);
    let height = heights.fold(low, Length::max);
    // Ears and tilt plate stay as they are: only the pivot goes up with the middle.
    let yoke = draft.on(height);
    yoke.describe(&job.fixture.mount, &mut derived);
    if height > low {
        let reason = "lamp and gust lever at the pad: at this height a pull by hand has ample room \
                      between holding and harming";
        derived.push(Derived::new("cradle height", height, reason));
    }
    let cradles: Vec<CradleSize> = cradle_plan
        .classes
        .into_iter()
        .map(|(class, made)| {
            let drawn = asked_with(&class.size, &made);
            let record = usable.known(&class, previous.already_printed, asked_of, &drawn);
            let saddle = saddle([class.size.face_radius, class.size.half_width], &made);
            CradleSize { record, class, saddle }
        })
        .collect();

    let mut unserved: Vec<_> =
        cradle_plan.unserved.into_iter().map(|u| (SizeKind::Cradle, u)).collect();
    let mut changes: Vec<_> =
        cradle_plan.changes.into_iter().map(|c| (SizeKind::Cradle, c)).collect();
    let boxes = job.trunks.iter().filter(|t| t.carries_box).count() as u32;
    let mut rail_assignment = vec![None; job.trunks.len()];
    let mut rails = Vec::new();
    let mut enclosure = None;
    if job.battery.is_some() && boxes > 0 {
        let (boxed, planned) = settled_box(job, previous, &common)?;
        derived.extend(boxed.reasons.iter().cloned());
        rails = planned.rails;
        rail_assignment = planned.assignment;
        unserved.extend(planned.unserved.into_iter().map(|u| (SizeKind::Rail, u)));
        changes.extend(planned.changes.into_iter().map(|c| (SizeKind::Rail, c)));
        enclosure = Some(boxed);
    }
    let trunks = job.trunks.iter().zip(cradle_plan.assignment).zip(rail_assignment);
    let trunks = trunks.map(|((trunk, cradle), rail)| {
        let half_width = cradle.map_or(widths[1], |c| cradles[c].class.size.half_width);
        let range = trunk_range(trunk, half_width, job)?;
        Ok(TrunkPlan { range, cradle, rail })
    });
    let trunks = trunks.collect::<Result<Vec<_>, FitError>>()?;
    let lamps = job.trunks.iter().map(|t| t.fixtures).sum();
    let classes: Vec<_> = cradles.iter().map(|c| (&c.class, &c.record)).collect();
    let mut prints = previous.after(SizeKind::Cradle, &classes);
    let classes: Vec<_> = rails.iter().map(|r| (&r.class, &r.record)).collect();
    prints.extend(previous.after(SizeKind::Rail, &classes));
    let asked = enclosure.as_ref().map(|e| asked::enclosure(job, e));
    let (there, boxes_to_print) = previous.shared(PrintKind::Box, asked.as_ref(), boxes);
    prints.extend(there);
    let asked = yoke.plate.as_ref().map(|plate| asked::tilt_plate(job, &yoke, plate));
    let (there, tilt_plates_to_print) =
        previous.shared(PrintKind::TiltPlate, asked.as_ref(), lamps);
    prints.extend(there);
    Ok(Plan {
        prints,
        boxes_to_print,
        tilt_plates_to_print,
        already_printed: previous.already_printed,
        yoke,
        cradles,
        rails,
        enclosure,
        boxes,
        lamps,
        trunks,
        unserved,
        changes,
        derived,
        open,
    })
}

/// Rails of a plan.
struct Rails {
    rails: Vec<RailSize>,
    assignment: Vec<Option<usize>>,
    unserved: Vec<Unserved>,
    changes: Vec<Change>,
}

/// Rails and box with the lid closed as the job says. Where it does not say, as the boxes of the earlier
/// set are, if they serve, otherwise by knobs.
fn settled_box(
    job: &Job,
    previous: &PreviousSet,
    common: &Conditions,
) -> Result<(Enclosure, Rails), PlanError> {
    let usual = job.lid.close.unwrap_or(Closing::Knobs);
    let planned = rails_and_box(job, previous, common, usual);
    let boxes = || previous.prints_of(PrintKind::Box).filter(|print| print.copies > 0);
    if job.lid.close.is_some() || boxes().next().is_none() {
        return planned;
    }
    let reused = |(boxed, _): &(Enclosure, Rails)| {
        let asked = asked::enclosure(job, boxed);
        boxes().any(|print| print.record.serves(&asked).is_ok())
    };
    if planned.as_ref().is_ok_and(reused) {
        return planned;
    }
    match rails_and_box(job, previous, common, Closing::Screws) {
        Ok(earlier) if reused(&earlier) => Ok(earlier),
        _ => planned,
    }
}

/// Rails and box depend on each other: the box takes its screws as far apart as the widest rail
/// needs, and a rail in hand serves only if its screws are where the box has them.
fn rails_and_box(
    job: &Job,
    previous: &PreviousSet,
    common: &Conditions,
    closing: Closing,
) -> Result<(Enclosure, Rails), PlanError> {
    let narrowest = job.pad.half_width.unwrap_or(rail::HALF_WIDTH[0]);
    // Where the screws stand does not change the pad, and hardly what hangs on it.
    let screw_x = rail::least_screw_x(narrowest, job);
    let draft = enclosure::plan(job, closing, screw_x)?;
    let widths = job
        .pad
        .half_width
        .map_or_else(|| rail::half_widths(draft.rail_screw_x, job), |half| [half; 2]);
    let draw = |face: [Length; 2], made: &Making, screw_x: Length| {
        Rail::new(made.needs(face, Length::ZERO), screw_x, job)
    };
    let judged =
        |saddle: &Saddle| (seating::print(job, saddle), seating::filled_box(job, &draft, saddle));
    let judged_as = |face: [Length; 2], made: &Making| judged(&draw(face, made, screw_x).saddle);
    let plainest = Making {
        proportions: Proportions { half_width: widths[0], height: Length::ZERO, pull: Force::ZERO },
        mouth: MouthNeeds::default(),
        straps: 1,
    };
    let known = previous.sizes(SizeKind::Rail);
    let drawn_as = |size: &Size, record: &PrintRecord| {
        judged_as([size.face_radius, size.half_width], &Making::of(size, record, &plainest))
    };
    let mut usable = known.clone().drawn_as(drawn_as);
    let choose =
        |wanted: &[Wanted]| rail_making(job, common, &draft, wanted, widths, plainest, &judged_as);
    let request = SizingRequest {
        job,
        common,
        already_printed: previous.already_printed,
        engraved: &known.marks,
        copies_on: &|i| if job.trunks[i].carries_box { RAILS_A_BOX } else { 0 },
        on_ring: |_| 1,
        choose: &choose,
        judged: &judged_as,
    };
    loop {
        let planned = Classes::new(&request, &usable)?;
        let widest = planned.classes.iter().map(|(c, _)| c.size.half_width);
        let least_screw_x = rail::least_screw_x(widest.fold(Length::ZERO, Length::max), job);
        let boxed = enclosure::plan(job, closing, least_screw_x)?;
        let asked_with = |size: &Size, made: &Making| {
            let rail = draw([size.face_radius, size.half_width], made, boxed.rail_screw_x);
            asked::rail(job, &rail, &boxed, made.proportions.pull)
        };
        let asked_of = |size: &Size, record: &PrintRecord| {
            asked_with(size, &Making::of(size, record, &plainest))
        };
        // Each round drops at least one size, so this ends.
        let still = usable.that_serve(asked_of);
        if still.sizes.len() < usable.sizes.len() {
            usable = still.drawn_as(drawn_as);
            continue;
        }
        let rails = planned.classes.into_iter().map(|(class, made)| {
            let drawn = asked_with(&class.size, &made);
            let record = usable.known(&class, previous.already_printed, asked_of, &drawn);
            let face = [class.size.face_radius, class.size.half_width];
            RailSize { record, rail: draw(face, &made, boxed.rail_screw_x), class }
        });
        let rails = Rails {
            rails: rails.collect(),
            assignment: planned.assignment,
            unserved: planned.unserved,
            changes: planned.changes,
        };
        return Ok((boxed, rails));
    }
}

/// Straps and proportions of the rails: one strap where that serves every trunk, else what serves best.
/// No rail is so tall that it meets the other.
fn rail_making(
    job: &Job,
    common: &Conditions,
    draft: &Enclosure,
    wanted: &[Wanted],
    widths: [Length; 2],
    plainest: Making,
    judged: &Judged<'_>,
) -> Making {
    let [lower, upper] = draft.rail_rows_y;
    let mut best: Option<(Making, f64)> = None;
    for straps in rail::STRAPS {
        let drawn = |face_radius: Length, half_width: Length, height: Length| {
            let proportions = Proportions { half_width, height, pull: Force::ZERO };
            let made = Making { proportions, mouth: MouthNeeds::default(), straps };
            judged([face_radius, half_width], &made)
        };
        let low = height_for_straps(&job.strap, straps);
        let high = upper - lower - BETWEEN_RAILS;
        if best.is_some() && high < low {
            break;
        }
        let sought = Sought { common, ends: ends(wanted), print: &drawn };
        let (proportions, score) = sought.proportions(widths, [low, high]);
        let Proportions { pull, half_width, .. } = proportions;
        if best.is_none_or(|(_, beaten)| score > beaten) {
            let mouth = mouth(job, pull, half_width, thinnest(wanted));
            best = Some((Making { proportions, mouth, straps }, score));
        }
        if score >= sought.ends.len() as f64 {
            break;
        }
    }
    best.map_or(plainest, |(made, _)| made)
}

/// Radius of the thinnest trunk, or of a common one: webs are planned for no thicker one.
fn thinnest(wanted: &[Wanted]) -> Length {
    wanted.iter().map(|w| w.range.from).fold(COMMON_TRUNK, Length::min)
}

/// Air between the two rails of a box.
const BETWEEN_RAILS: Length = Length::mm(2.0);
/// Radius of a common trunk.
const COMMON_TRUNK: Length = Length::mm(300.0);

/// A box hangs on an upper and a lower rail.
const RAILS_A_BOX: u32 = 2;

impl Plan {
    /// Every saddle with its part and size, cradles first.
    pub fn saddles(&self) -> impl Iterator<Item = (PartId, &SizeClass, &Saddle)> {
        let cradles = self.cradles.iter().map(|c| (c.id(), &c.class, &c.saddle));
        cradles.chain(self.rails.iter().map(|r| (r.id(), &r.class, &r.rail.saddle)))
    }

    /// What is printed and hangs on nothing this year.
    pub fn spares(&self) -> impl Iterator<Item = &Print> {
        self.prints.iter().filter(|p| p.spare > 0)
    }

    /// The prints of this plan as an earlier set, for a trunk that is not in the job.
    #[must_use]
    pub fn as_previous(&self) -> PreviousSet {
        PreviousSet { already_printed: true, prints: self.prints.clone(), ..PreviousSet::default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engineering::fit::girth_of_radius;
    use crate::engineering::pull;

    /// Lime trees of all ages.
    fn avenue(foam: u32) -> Job {
        let mut text = format!(
            "[job]\nname = \"avenue\"\n[fixture]\nname = \"lamp\"\nwidth = 150\nheight = 120\n\
             depth = 60\nmass = 1\npower = 10\n[fixture.mount]\nkind = \"side-bosses\"\nspan = 160\n\
             thread = \"M5\"\n[strap]\ncount = 2\n[pad]\nthickness = {foam}\n"
        );
        for girth in (900..1800).step_by(90) {
            text += &format!("[[trunk]]\nname = \"t{girth}\"\ngirth = {girth}\nfixtures = 2\n");
        }
        crate::params::read(&text).expect("a job").job
    }

    #[test]
    fn every_trunk_has_room_for_the_pull_on_its_size() {
        let job = avenue(12);
        let planned = plan(&job, &PreviousSet::default()).expect("a plan");
        assert!(!planned.cradles.is_empty() && planned.cradles.len() < job.trunks.len());
        for (trunk, gets) in job.trunks.iter().zip(&planned.trunks) {
            let Some(size) = gets.cradle.map(|c| &planned.cradles[c]) else { continue };
            let common = seating::conditions(&job).expect("in range");
            let conditions = pull::Conditions {
                hung: seating::lamp(&job, &planned.yoke, &size.saddle),
                relief: trunk.bark.relief(),
                saddles: trunk.fixtures,
                ..common
            };
            let print = seating::print(&job, &size.saddle);
            for radius in [gets.range.from, gets.range.to] {
                assert!(
                    pull::serves(&print, &conditions, girth_of_radius(radius)),
                    "{}",
                    trunk.name
                );
            }
        }
    }
}
