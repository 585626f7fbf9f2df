//! The plan of a whole job: sizes, yoke, box, rails, and which trunk gets what.
//!
//! Pure arithmetic. What the trunks need decides the sizes; the lamp decides the yoke; battery and
//! controller decide the box; all cradles share one yoke and all rails one screw distance, so only
//! the curve differs from size to size.

use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::design::arrangement::Standing;
use crate::design::enclosure::{self, Enclosure, EnclosureError};
use crate::design::part::PartId;
use crate::design::rail::{self, Rail};
use crate::design::reuse::{Change, Earlier};
use crate::design::saddle::{Saddle, SaddleNeeds, height_for_straps};
use crate::design::shared_parts::{Common, Commons};
use crate::design::sizing::{Classes, Wish, describe_kept, trunk_range};
use crate::design::spares::{self, Shelved};
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

/// Prints of one kind that exist from an earlier job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Printed {
    /// Sizes, and who had them.
    pub made: Earlier,
    /// For each size the letters engraved on it.
    pub marks: Vec<String>,
    /// For each size the hash of its shape (see [`shape_hash`]).
    pub shapes: Vec<String>,
}

/// An earlier set.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Before {
    /// Whether its parts were printed and are in hand; otherwise only its sizes and marks are used
    /// again, and every copy is still to be printed.
    pub in_hand: bool,
    /// Least [`Plan::kept_for_pull`].
    pub kept_for_pull: [f64; 2],
    /// Cradles.
    pub cradles: Printed,
    /// Rails.
    pub rails: Printed,
    /// Boxes and tilt plates.
    pub common: Vec<Common>,
}

impl Printed {
    /// Without the sizes whose shape is not what would be drawn for them today.
    fn only(&self, same: impl Fn(usize) -> bool) -> Self {
        let stays: Vec<usize> = (0..self.made.sizes.len()).filter(|&i| same(i)).collect();
        let moved = |old: usize| stays.iter().position(|&i| i == old);
        let mut made = Earlier {
            sizes: stays.iter().map(|&i| self.made.sizes[i]).collect(),
            trunks: self.made.trunks.clone(),
            spare: stays.iter().map(|&i| self.made.spare.get(i).copied().unwrap_or(0)).collect(),
        };
        for trunk in &mut made.trunks {
            trunk.size = trunk.size.and_then(moved);
        }
        let pick = |all: &[String]| stays.iter().filter_map(|&i| all.get(i).cloned()).collect();
        Self { made, marks: pick(&self.marks), shapes: pick(&self.shapes) }
    }
}

/// Short hash of everything that shapes a part: a print of another year is the same thing exactly
/// when this is the same.
#[must_use]
pub fn shape_hash(shape: &impl std::fmt::Debug) -> String {
    let digest = Sha256::digest(format!("{shape:?}"));
    digest.iter().take(8).map(|b| format!("{b:02x}")).collect()
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
    /// Hash of its shape, by which next year knows the print.
    pub shape: String,
    /// Its saddle.
    pub saddle: Saddle,
}

/// A rail size, drawn out.
#[derive(Debug, Clone, PartialEq)]
pub struct RailSize {
    /// The size.
    pub class: SizeClass,
    /// Hash of its shape, by which next year knows the print.
    pub shape: String,
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
    pub kept_for_pull: [f64; 2],
    /// Whether the earlier set's parts are in hand.
    pub in_hand: bool,
    /// Prints in hand that no trunk takes this year.
    pub shelf: Vec<Shelved>,
    /// Boxes and tilt plates that there are, and that have still to be printed.
    pub common: Commons,
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
pub fn plan(job: &Job, before: &Before) -> Result<Plan, PlanError> {
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
    // A print in hand serves only if it is what would be drawn today.
    let hash = |saddle: &Saddle| shape_hash(&(saddle, &yoke, &job.tilt));
    let usable = before.cradles.only(|i| {
        before.cradles.shapes.get(i) == Some(&hash(&saddle(&before.cradles.made.sizes[i])))
    });
    let wish = Wish {
        job,
        half_width: wanted,
        in_hand: before.in_hand,
        least_kept: before.kept_for_pull[0],
        engraved: &before.cradles.marks,
        copies_on: &|i| job.trunks[i].fixtures,
        saddle: &saddle,
        standing: &|trunk, saddle| Standing::cradles(trunk, job, saddle).ok(),
    };
    let (kept_by_cradles, cradle_plan) = wish.classes(&usable)?;
    let cradles: Vec<CradleSize> = cradle_plan
        .classes
        .into_iter()
        .map(|class| {
            let saddle = saddle(&class.size);
            CradleSize { shape: hash(&saddle), class, saddle }
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
    let mut kept_by_rails = before.kept_for_pull[1];
    if job.battery.is_some() && boxes > 0 {
        let (boxed, (kept, planned)) = rails_and_box(job, before)?;
        kept_by_rails = kept;
        derived.extend(boxed.reasons.iter().cloned());
        let screw_x = boxed.rail_screw_x;
        rails.extend(planned.classes.into_iter().map(|class| {
            let rail = Rail::new(class.size.face_radius, class.size.half_width, screw_x, job);
            RailSize { shape: shape_hash(&rail), class, rail }
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
    let kept_for_pull = [kept_by_cradles, kept_by_rails];
    let sizes = cradles.iter().map(|c| (SizeKind::Cradle, &c.class));
    let sizes = sizes.chain(rails.iter().map(|r| (SizeKind::Rail, &r.class)));
    describe_kept(job, sizes, &mut derived);
    Ok(Plan {
        shelf: spares::left(before, &cradles, &rails),
        common: Commons::of(before, (enclosure.as_ref(), boxes), (&yoke, lamps)),
        kept_for_pull,
        in_hand: before.in_hand,
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
fn rails_and_box(job: &Job, before: &Before) -> Result<(Enclosure, (f64, Classes)), PlanError> {
    let wanted = job.pad.half_width.unwrap_or(rail::WANTED_HALF_WIDTH);
    // Where the screws stand does not change the pad.
    let screw_x = rail::least_screw_x(wanted, job);
    let wish = Wish {
        job,
        half_width: wanted,
        in_hand: before.in_hand,
        least_kept: before.kept_for_pull[1],
        engraved: &before.rails.marks,
        copies_on: &|i| if job.trunks[i].carries_box { RAILS_A_BOX } else { 0 },
        saddle: &|size| Rail::new(size.face_radius, size.half_width, screw_x, job).saddle,
        standing: &|_, _| Some(Standing::rail()),
    };
    let mut usable = before.rails.clone();
    loop {
        let (kept, planned) = wish.classes(&usable)?;
        let widest = planned.classes.iter().map(|c| c.size.half_width);
        let least_screw_x = rail::least_screw_x(widest.fold(Length::ZERO, Length::max), job);
        let boxed = enclosure::plan(job, least_screw_x)?;
        let same = |i: usize| {
            let size = &usable.made.sizes[i];
            let rail = Rail::new(size.face_radius, size.half_width, boxed.rail_screw_x, job);
            usable.shapes.get(i) == Some(&shape_hash(&rail))
        };
        // Each round drops at least one size, so this ends.
        let still = usable.only(same);
        if still.made.sizes.len() == usable.made.sizes.len() {
            return Ok((boxed, (kept, planned)));
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

    /// The sizes of this plan as prints in hand, for a trunk that is not in the job.
    #[must_use]
    pub fn as_before(&self) -> Before {
        let printed = |sizes: &mut dyn Iterator<Item = (&SizeClass, &String)>| {
            let mut printed = Printed::default();
            for (class, shape) in sizes {
                printed.made.sizes.push(class.size);
                printed.marks.push(class.mark.clone());
                printed.shapes.push(shape.clone());
            }
            printed
        };
        Before {
            in_hand: true,
            kept_for_pull: self.kept_for_pull,
            cradles: printed(&mut self.cradles.iter().map(|c| (&c.class, &c.shape))),
            rails: printed(&mut self.rails.iter().map(|r| (&r.class, &r.shape))),
            common: self.common.all.clone(),
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
        let planned = plan(&narrow, &Before::default()).expect("a plan");
        assert_eq!((planned.kept_for_pull[0], planned.cradles.len()), (0.0, 1));
        assert_eq!(unsuited(&narrow, &planned), 0);

        let wide = avenue(60, 8);
        let planned = plan(&wide, &Before::default()).expect("a plan");
        assert!(planned.kept_for_pull[0] > 0.0 && planned.unserved.is_empty());
        assert_eq!(unsuited(&wide, &planned), 0);
        // Fewer sizes, which the strains of the foam alone would allow, do not bear the pull.
        let wish = Wish {
            job: &wide,
            half_width: Length::mm(60.0),
            in_hand: false,
            least_kept: 0.0,
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
        let fewer = Classes::new(&wish, &Printed::default(), 0.0).expect("sizes");
        assert!(fewer.classes.len() < planned.cradles.len());
        assert!(wish.unpulled(&fewer) > 0);
    }
}
