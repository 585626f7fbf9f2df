//! The plan of a whole job: sizes, yoke, box, rails, and which trunk gets what.
//!
//! Pure arithmetic. What the trunks need decides the sizes; the lamp decides the yoke; battery and
//! controller decide the box; all cradles share one yoke and all rails one screw distance, so only
//! the curve differs from size to size.

use serde::Serialize;

use crate::design::arrangement::Standing;
use crate::design::enclosure::{self, Enclosure, EnclosureError};
use crate::design::part::PartId;
use crate::design::previous::{PreviousPrints, PreviousSet, Print, PrintKind};
use crate::design::print_record::{PrintRecord, asked};
use crate::design::rail::{self, Rail};
use crate::design::reuse::Change;
use crate::design::saddle::{Saddle, SaddleNeeds, height_for_straps};
use crate::design::sizing::{Classes, SizingRequest, describe_reserve, trunk_range};
use crate::design::stability::{Levered, mouth_web};
use crate::design::{Derived, Yoke};
use crate::engineering::fit::FitError;
use crate::engineering::sizes::{Size, TrunkRange, Unserved};
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
    /// Foam or girths outside the range of the fit.
    #[error(transparent)]
    Fit(#[from] FitError),
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
    /// Share of the pad's range of strains that the curves leave to the pull on the strap: for
    /// cradles and for rails.
    pub strain_reserve: [f64; 2],
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

/// How far a saddle's front stands out from its face, for a first estimate of the lever.
const FRONT: Length = Length::mm(25.0);

/// Plans a job; prints that exist are used again where they still serve.
///
/// # Errors
/// [`PlanError`]. Trunks without a size are in [`Plan::unserved`] instead.
pub fn plan(job: &Job, previous: &PreviousSet) -> Result<Plan, PlanError> {
    let mut derived = Vec::new();
    let (draft, front_half_width, low) = Yoke::new(job, height_for_straps(&job.strap));
    let levered = Levered::of(job, &draft, FRONT);
    let wanted = job.pad.half_width.unwrap_or_else(|| {
        let [least, most] = PAD_HALF_WIDTH;
        let wide = (draft.outside() * (2.0 * PAD_BY_YOKE)).max(least).min(most);
        levered.map_or(wide, |l| l.half_width(job, [least, wide], low))
    });
    let steady = levered.map_or(low, |l| l.height(job, wanted, low));
    // Ears and tilt plate stay as they are: only the pivot goes up with the middle.
    let (yoke, _, height) = Yoke::new(job, steady);
    yoke.describe(&job.fixture.mount, &mut derived);
    if height > low {
        let reason = "lamp and gust lever at the pad: at this height a pull with one hand keeps it \
                      pressed, and bark bears it";
        derived.push(Derived::new("cradle height", height, reason));
    }
    let saddle = |size: &Size| {
        let needs = SaddleNeeds {
            face_radius: size.face_radius,
            pad_half_width: size.half_width,
            height,
            front_half_width,
            mouth_web: {
                let [face, half] = [size.face_radius, size.half_width];
                let pull = levered.map_or(job.strap.tension, |l| l.pull(job, height, face, half));
                mouth_web(job, pull, face, half)
            },
        };
        Saddle::new(&needs, &job.strap, &job.printer)
    };
    let drawn = |size: &Size, height: Length| {
        let saddle = saddle(size);
        let [face, half] = [size.face_radius, size.half_width];
        let pull = levered.map_or(job.strap.tension, |l| l.pull(job, height, face, half));
        asked::cradle(job, &yoke, &saddle, pull)
    };
    // A print is asked to bear the pull that its own height wants.
    let asked_of = |size: &Size, print: &PrintRecord| {
        let height = print.shape.get("height_mm").map_or(height, |h| Length::mm(*h));
        asked::left_open(drawn(size, height), &job.fixture.mount)
    };
    let known = previous.sizes(SizeKind::Cradle);
    let usable = known.that_serve(asked_of);
    let request = SizingRequest {
        job,
        half_width: wanted,
        already_printed: previous.already_printed,
        least_reserve: previous.strain_reserve[0],
        engraved: &known.marks,
        copies_on: &|i| job.trunks[i].fixtures,
        saddle: &saddle,
        standing: &|trunk, saddle| Standing::cradles(trunk, job, saddle).ok(),
    };
    let (kept_by_cradles, cradle_plan) = request.classes(&usable)?;
    let cradles: Vec<CradleSize> = cradle_plan
        .classes
        .into_iter()
        .map(|class| {
            let saddle = saddle(&class.size);
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
    let mut kept_by_rails = previous.strain_reserve[1];
    if job.battery.is_some() && boxes > 0 {
        let (boxed, usable, (kept, planned)) = rails_and_box(job, previous)?;
        kept_by_rails = kept;
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
    let strain_reserve = [kept_by_cradles, kept_by_rails];
    let sizes = cradles.iter().map(|c| (SizeKind::Cradle, &c.class));
    let sizes = sizes.chain(rails.iter().map(|r| (SizeKind::Rail, &r.class)));
    describe_reserve(job, sizes, &mut derived);
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
        strain_reserve,
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
) -> Result<(Enclosure, PreviousPrints, (f64, Classes)), PlanError> {
    let wanted = job.pad.half_width.unwrap_or(rail::WANTED_HALF_WIDTH);
    // Where the screws stand does not change the pad.
    let screw_x = rail::least_screw_x(wanted, job);
    let known = previous.sizes(SizeKind::Rail);
    let request = SizingRequest {
        job,
        half_width: wanted,
        already_printed: previous.already_printed,
        least_reserve: previous.strain_reserve[1],
        engraved: &known.marks,
        copies_on: &|i| if job.trunks[i].carries_box { RAILS_A_BOX } else { 0 },
        saddle: &|size| Rail::new(size.face_radius, size.half_width, screw_x, job).saddle,
        standing: &|_, _| Some(Standing::rail()),
    };
    let mut usable = known.clone();
    loop {
        let (kept, planned) = request.classes(&usable)?;
        let widest = planned.classes.iter().map(|c| c.size.half_width);
        let least_screw_x = rail::least_screw_x(widest.fold(Length::ZERO, Length::max), job);
        let boxed = enclosure::plan(job, least_screw_x)?;
        // Each round drops at least one size, so this ends.
        let still = usable.that_serve(|size, _| {
            let rail = Rail::new(size.face_radius, size.half_width, boxed.rail_screw_x, job);
            asked::rail(job, &rail, &boxed)
        });
        if still.sizes.len() == usable.sizes.len() {
            return Ok((boxed, usable, (kept, planned)));
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
        PreviousSet {
            already_printed: true,
            strain_reserve: self.strain_reserve,
            prints: self.prints.clone(),
            trunks: Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::arrangement::pull_suits_pads;
    use crate::params::Trunk;

    /// Lime trees of all ages with wide pads of thin foam.
    fn avenue(half_width: u32, foam: u32) -> Job {
        let mut text = format!(
            "[job]\nname = \"avenue\"\n[fixture]\nname = \"lamp\"\nwidth = 150\nheight = 120\n\
             depth = 60\nmass = 1\npower = 10\n[fixture.mount]\nkind = \"side-bosses\"\nspan = 160\n\
             thread = \"M5\"\n[strap]\ncount = 2\n[pad]\nhalf-width = {half_width}\nthickness = {foam}\n"
        );
        for girth in (900..2000).step_by(50) {
            text += &format!("[[trunk]]\nname = \"t{girth}\"\ngirth = {girth}\nfixtures = 2\n");
        }
        crate::params::read(&text).expect("a job").job
    }

    #[test]
    fn sizes_leave_room_for_the_pull_where_it_is_needed_and_only_there() {
        let unsuited = |job: &Job, plan: &Plan| {
            let of = |(trunk, gets): (&Trunk, &TrunkPlan)| {
                let size = &plan.cradles[gets.cradle.expect("a cradle")];
                let standing = Standing::cradles(trunk, job, &size.saddle).expect("room");
                pull_suits_pads(job, trunk, &size.saddle, &size.class.size, &standing)
            };
            job.trunks.iter().zip(&plan.trunks).filter(|&pair| !of(pair)).count()
        };
        let narrow = avenue(25, 10);
        let planned = plan(&narrow, &PreviousSet::default()).expect("a plan");
        assert_eq!((planned.strain_reserve[0], planned.cradles.len()), (0.0, 1));
        assert_eq!(unsuited(&narrow, &planned), 0);

        let wide = avenue(60, 8);
        let planned = plan(&wide, &PreviousSet::default()).expect("a plan");
        assert!(planned.strain_reserve[0] > 0.0 && planned.unserved.is_empty());
        assert_eq!(unsuited(&wide, &planned), 0);
        // Fewer sizes, which the strains of the foam alone would allow, do not bear the pull.
        let request = SizingRequest {
            job: &wide,
            half_width: Length::mm(60.0),
            already_printed: false,
            least_reserve: 0.0,
            engraved: &[],
            copies_on: &|_| 2,
            saddle: &|size| {
                let needs = SaddleNeeds {
                    face_radius: size.face_radius,
                    pad_half_width: size.half_width,
                    height: planned.cradles[0].saddle.height,
                    front_half_width: planned.cradles[0].saddle.front_half_width,
                    mouth_web: Length::ZERO,
                };
                Saddle::new(&needs, &wide.strap, &wide.printer)
            },
            standing: &|trunk, saddle| Standing::cradles(trunk, &wide, saddle).ok(),
        };
        let fewer = Classes::new(&request, &PreviousPrints::default(), 0.0).expect("sizes");
        assert!(fewer.classes.len() < planned.cradles.len());
        assert!(request.count_untensionable(&fewer) > 0);
    }
}
