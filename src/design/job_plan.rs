//! The plan of a whole job: sizes, yoke, box, rails, and which trunk gets what.
//!
//! Pure arithmetic. What the trunks need decides the sizes; the lamp decides the yoke; battery and
//! controller decide the box; all cradles share one yoke and all rails one screw distance, so only
//! the curve differs from size to size.

use serde::Serialize;

use crate::design::enclosure::{self, Enclosure, EnclosureError};
use crate::design::part::PartId;
use crate::design::previous::{PreviousPrints, PreviousSet, Print, PrintKind};
use crate::design::print_record::{PrintRecord, asked};
use crate::design::rail::{self, Rail};
use crate::design::reuse::Change;
use crate::design::saddle::{Saddle, SaddleNeeds, height_for_straps};
use crate::design::seating;
use crate::design::sizing::{Classes, SizingRequest, trunk_range};
use crate::design::stability::{Proportions, mouth_web, proportions};
use crate::design::{Derived, Yoke};
use crate::engineering::fit::FitError;
use crate::engineering::guard::OutOfRange;
use crate::engineering::pull::Hung;
use crate::engineering::sizes::{Size, SizeRule, TrunkRange, Unserved};
use crate::params::Job;
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
}

/// Half width of pad wanted, as a share of the width over the ears: a lamp's side wind is taken by
/// the pad's edges. Between a hand's breadth and what a printer holds (common practice, no source).
const PAD_BY_YOKE: f64 = 0.3;
const PAD_HALF_WIDTH: [Length; 2] = [Length::mm(28.0), Length::mm(60.0)];

/// Plans a job; prints that exist are used again where they still serve.
///
/// # Errors
/// [`PlanError`]. Trunks without a size are in [`Plan::unserved`] instead.
pub fn plan(job: &Job, previous: &PreviousSet) -> Result<Plan, PlanError> {
    let mut derived = Vec::new();
    let (draft, front_half_width, low) = Yoke::new(job, height_for_straps(&job.strap));
    let halves = job.pad.half_width.map_or_else(
        || {
            let [least, most] = PAD_HALF_WIDTH;
            [least, (draft.outside() * (2.0 * PAD_BY_YOKE)).max(least).min(most)]
        },
        |half| [half; 2],
    );
    let drawn_with = |needs: SaddleNeeds| Saddle::new(&needs, &job.strap, &job.printer);
    let tried = |face_radius: Length, pad_half_width: Length, height: Length| {
        let mouth_web = Length::ZERO;
        drawn_with(SaddleNeeds { face_radius, pad_half_width, height, front_half_width, mouth_web })
    };
    // The pivot goes up with the middle, so that the draft's lever upward stays.
    let carried = |saddle: &Saddle| {
        let rise = (draft.pivot_z - low / 2.0).abs() - (draft.pivot_z - saddle.height / 2.0).abs();
        let hung = seating::lamp(job, &draft, saddle);
        Hung { rise: hung.rise + rise, ..hung }
    };
    let Proportions { half_width: wanted, height: steady, pull } =
        proportions(job, halves, low, &tried, &carried)?;
    // Ears and tilt plate stay as they are: only the pivot goes up with the middle.
    let (yoke, _, height) = Yoke::new(job, steady);
    yoke.describe(&job.fixture.mount, &mut derived);
    if height > low {
        let reason = "lamp and gust lever at the pad: at this height a pull by hand has ample room \
                      between holding and harming";
        derived.push(Derived::new("cradle height", height, reason));
    }
    let web = mouth_web(job, pull, wanted);
    let saddle = |face_radius: Length, pad_half_width: Length, height: Length| {
        let mouth_web = web;
        drawn_with(SaddleNeeds { face_radius, pad_half_width, height, front_half_width, mouth_web })
    };
    let drawn = |size: &Size, height: Length| {
        let saddle = saddle(size.face_radius, size.half_width, height);
        asked::cradle(job, &yoke, &saddle, pull)
    };
    // A print is asked to bear the pull that its own height wants.
    let asked_of = |size: &Size, print: &PrintRecord| {
        let height = print.shape.get("height_mm").map_or(height, |h| Length::mm(*h));
        asked::left_open(drawn(size, height), &job.fixture.mount)
    };
    let known = previous.sizes(SizeKind::Cradle);
    let usable = known.that_serve(asked_of);
    let common = seating::conditions(job, job.strap.count)?;
    let print = |face_radius: Length, half_width: Length| {
        let saddle = saddle(face_radius, half_width, height);
        (seating::print(job, &saddle), seating::lamp(job, &yoke, &saddle))
    };
    let request = SizingRequest {
        job,
        rule: SizeRule { half_width: wanted, common: &common, print: &print },
        already_printed: previous.already_printed,
        engraved: &known.marks,
        copies_on: &|i| job.trunks[i].fixtures,
        on_ring: |copies| copies,
    };
    let cradle_plan = Classes::new(&request, &usable)?;
    let cradles: Vec<CradleSize> = cradle_plan
        .classes
        .into_iter()
        .map(|class| {
            let saddle = saddle(class.size.face_radius, class.size.half_width, height);
            let drawn = drawn(&class.size, height);
            let record = usable.known(&class, previous.already_printed, asked_of, &drawn);
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
        let (boxed, usable, planned) = rails_and_box(job, previous)?;
        derived.extend(boxed.reasons.iter().cloned());
        let screw_x = boxed.rail_screw_x;
        rails.extend(planned.classes.into_iter().map(|class| {
            let rail = Rail::new(class.size.face_radius, class.size.half_width, screw_x, job);
            let drawn = asked::rail(job, &rail, &boxed);
            let asked_of = |_: &Size, _: &PrintRecord| drawn.clone();
            let record = usable.known(&class, previous.already_printed, asked_of, &drawn);
            RailSize { record, class, rail }
        }));
        rail_assignment = planned.assignment;
        unserved.extend(planned.unserved.into_iter().map(|u| (SizeKind::Rail, u)));
        changes.extend(planned.changes.into_iter().map(|c| (SizeKind::Rail, c)));
        enclosure = Some(boxed);
    }
    let trunks = job.trunks.iter().zip(cradle_plan.assignment).zip(rail_assignment);
    let trunks = trunks.map(|((trunk, cradle), rail)| {
        let half_width = cradle.map_or(wanted, |c| cradles[c].class.size.half_width);
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
    })
}

/// Rails and box depend on each other: the box takes its screws as far apart as the widest rail
/// needs, and a rail in hand serves only if its screws are where the box has them.
fn rails_and_box(
    job: &Job,
    previous: &PreviousSet,
) -> Result<(Enclosure, PreviousPrints, Classes), PlanError> {
    let wanted = job.pad.half_width.unwrap_or(rail::WANTED_HALF_WIDTH);
    // Where the screws stand does not change the pad, and hardly what hangs on it.
    let screw_x = rail::least_screw_x(wanted, job);
    let draft = enclosure::plan(job, screw_x)?;
    let known = previous.sizes(SizeKind::Rail);
    let common = seating::conditions(job, rail::strap(job).count)?;
    let print = |face_radius: Length, half_width: Length| {
        let saddle = Rail::new(face_radius, half_width, screw_x, job).saddle;
        (seating::print(job, &saddle), seating::filled_box(job, &draft, &saddle))
    };
    let request = SizingRequest {
        job,
        rule: SizeRule { half_width: wanted, common: &common, print: &print },
        already_printed: previous.already_printed,
        engraved: &known.marks,
        copies_on: &|i| if job.trunks[i].carries_box { RAILS_A_BOX } else { 0 },
        on_ring: |_| 1,
    };
    let mut usable = known.clone();
    loop {
        let planned = Classes::new(&request, &usable)?;
        let widest = planned.classes.iter().map(|c| c.size.half_width);
        let least_screw_x = rail::least_screw_x(widest.fold(Length::ZERO, Length::max), job);
        let boxed = enclosure::plan(job, least_screw_x)?;
        // Each round drops at least one size, so this ends.
        let still = usable.that_serve(|size, _| {
            let rail = Rail::new(size.face_radius, size.half_width, boxed.rail_screw_x, job);
            asked::rail(job, &rail, &boxed)
        });
        if still.sizes.len() == usable.sizes.len() {
            return Ok((boxed, usable, planned));
        }
        usable = still;
    }
}

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
        PreviousSet { already_printed: true, prints: self.prints.clone(), trunks: Vec::new() }
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
            let common = seating::conditions(&job, job.strap.count).expect("in range");
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
