//! The job: everything a practitioner measured or chose, as typed values.
//!
//! These are the shapes that the rest of the program reads. Each table of the job file is declared
//! once; the declaration is at the same time its Rust type, its reader, its JSON Schema and what
//! `why` says about its keys. Keys are in kebab-case; ranges are inclusive, in the file's unit.

use jiff::civil::Date;

use super::declare::table;
use crate::engineering::feed::FeedLayout;
use crate::engineering::straightedge::Straightedge;
use crate::standards::bark::Roughness;
use crate::units::{Angle, Length};

mod enclosure;
mod fixture;
mod hold;
mod lanyard;
mod link;
mod power;
mod printing;
mod site;

pub use enclosure::*;
pub use fixture::*;
pub use hold::*;
pub use lanyard::*;
pub use link::*;
pub use power::*;
pub use printing::*;
pub use site::*;

/// Format of the job file: a number that grows when a key goes, or changes its name or its meaning.
pub const FORMAT: u32 = 2;

table! {
    /// A whole job file, read and range-checked.
    Job {
        /// The job itself: its name, dates and allowances.
        job: JobInfo;
        /// The trunks, one table each; more may come from the survey.
        trunks as "trunk": Vec<Trunk>;
        /// The lamp.
        fixture: Fixture;
        /// How far the lamp tilts.
        tilt: Tilt;
        /// Webbing straps that hold cradles and boxes.
        strap: Strap;
        /// The safety lanyard of every lamp and box.
        lanyard: Lanyard;
        /// Foam between print and bark.
        pad: Pad;
        /// The battery; the box is made when the job has one.
        battery: Option<Battery>;
        /// The controller in the box.
        controller: Option<Controller>;
        /// The cord that seals the lid.
        seal: Seal;
        /// The lid and its screws.
        lid: Lid;
        /// Cable glands in the downward wall of the box, one table a size.
        glands as "gland": Vec<Gland>;
        /// A vent that evens out pressure and keeps water out.
        vent: Option<Vent>;
        /// The printer and its slicer settings.
        printer: Printer;
        /// The plastic.
        polymer: Polymer;
        /// The cable from box to lamps.
        feed: Feed;
        /// The evening's programme.
        programme: Programme;
        /// The radio link to the controller.
        link: Option<Link>;
        /// Wind, temperatures and the margin of safety.
        site: Site;
        /// Windows and roads that must not be dazzled, one table each.
        glare: Vec<Glare>;
    }
}

table! {
    /// `[job]`: the job itself, its dates and allowances.
    JobInfo {
        /// Format of the job file; see `why versions`.
        format: u32 = FORMAT, in 1.0..=2.0, why "the format of this version";
        /// Name of the job; files carry it.
        name: String, in 1.0..=80.0;
        /// Where the trees stand.
        place: Option<String>;
        /// Who owns the trees and has agreed.
        owner: Option<String>;
        /// First day of mounting.
        install: Option<Date>;
        /// Day on which everything comes off again.
        take_down as "take-down": Option<Date>;
        /// Survey CSV, beside the job file.
        survey: Option<String>, in 1.0..=120.0;
        /// Girth growth a year, where a trunk has none of its own.
        growth: Length = Length::mm(10.0), in 0.0..=100.0,
            why "grown park trees add about this much a year and open-grown young ones up to 25 mm (Mitchell's rule of an inch a year, from memory)";
        /// Years that a print is to serve.
        years: f64 = 1.0, in 0.0..=20.0, why "one more season without a reprint";
        /// How far a tape reading may be off, in girth.
        girth_tolerance as "girth-tolerance": Length = Length::mm(3.0), in 0.0..=50.0,
            why "a tape read to 1 mm, held a little askew on rough bark; common practice, no source";
        /// The largest gap between an exact surface and its mesh.
        deviation: Length = Length::mm(0.05), in 0.005..=0.5,
            why "a quarter of a common layer: below what a printer shows";
    }
}

table! {
    /// `[[trunk]]`, or one line of the survey: a trunk and what hangs on it.
    Trunk {
        /// Name of the trunk, unlike every other.
        name: String, in 1.0..=60.0;
        /// Girth over bark, tape level, where the cradle is to sit.
        girth: Length, in 250.0..=6000.0,
            why "thinner trunks are too tender for a strap (park rules for straps ask for 300 mm diameter and more); a saddle on thicker ones is flat";
        /// Height above ground of the girth and of the cradle.
        height: Length = Length::mm(1300.0), in 200.0..=8000.0,
            why "breast height, at which girths are taken (Husch, Beers, Kershaw: Forest Mensuration)";
        /// A second girth, for the taper.
        upper_girth as "upper-girth": Option<Length>, in 150.0..=6000.0;
        /// Height above ground of the second girth.
        upper_height as "upper-height": Option<Length>, in 200.0..=20000.0;
        /// Caliper diameters of an oval trunk: toward the lamp, then across.
        diameters: Option<[Length; 2]>, in 60.0..=2000.0;
        /// A straight edge laid level against the bark where the cradle is to sit, in place of the
        /// girth where the trunk is flat or ridged there: its length, then the gaps at its ends.
        straight_edge as "straight-edge": Option<[Length; 3]>, in 0.0..=2000.0;
        /// Lean of the trunk from upright, toward the lamp's side positive.
        lean: Angle = Angle::ZERO, in -30.0..=30.0;
        /// How rough the bark is where the cradle is to sit.
        bark: Roughness = Roughness::Smooth,
            why "a fact of the tree that only the eye tells; rough bark wants thicker foam, so write what you see";
        /// Cradles on this trunk.
        fixtures: u32 = 1, in 0.0..=8.0;
        /// Whether a box hangs here.
        carries_box as "box": bool = false;
        /// Girth growth a year, when it is not the job's.
        growth: Option<Length>, in 0.0..=100.0;
        /// Height of the lowest crown branches above ground.
        crown_base as "crown-base": Option<Length>, in 0.0..=40000.0;
        /// Diameter of the crown.
        crown_spread as "crown-spread": Option<Length>, in 200.0..=60000.0;
        /// Anything worth remembering on the ladder.
        notes: Option<String>;
    }
}

impl Trunk {
    /// The straight edge laid against the bark; none where the girth tells the radius.
    #[must_use]
    pub(crate) fn edge(&self) -> Option<Straightedge> {
        self.straight_edge.map(|[length, a, b]| Straightedge { length, gaps: [a, b] })
    }
}

impl Job {
    /// Cables of the feed that leave a box: both ends of a loop; both ways of a chain whose box has lamps
    /// before and behind it in the row.
    #[must_use]
    pub fn cables_leaving_a_box(&self) -> u32 {
        let both_ways = || {
            let lit = |trunks: &[Trunk]| trunks.iter().any(|t| t.fixtures > 0);
            let first = self.trunks.iter().position(|t| t.carries_box);
            first.is_some_and(|first| lit(&self.trunks[..first]) && lit(&self.trunks[first..]))
        };
        if self.feed.layout == FeedLayout::Loop || both_ways() { 2 } else { 1 }
    }

    /// How many glands there are of one table.
    #[must_use]
    pub fn gland_count(&self, gland: &Gland) -> u32 {
        let needed = if self.glands.len() == 1 { self.cables_leaving_a_box() } else { 1 };
        gland.count.unwrap_or(needed)
    }
}
