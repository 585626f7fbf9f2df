//! What a print is known by: what it fits, what it is made of, its shape, and what it was proven for.
//!
//! The record of a print says in numbers what it serves. What a job asks of a part is the record of
//! the part that would be printed today, so both are one type, and a print is kept while
//! 1. its interface is the one asked for,
//! 2. it is printed in the plastic asked for, no weaker, and
//! 3. it has the shape that would be drawn today (then the checks of today speak for it), or what is
//!    asked lies within what it was proven for.
//!
//! Otherwise one phrase names the first thing that does not fit. Method: each field is declared once
//! with its key, its comparison and its words. Keys end in their unit; a share or a count has none.
//! Every comparison has a stated tolerance. Limits: what a record does not tell is not compared, and a
//! record without a proof keeps its print only while the shape is the same.

pub(in crate::design) mod asked;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::units::trimmed;

/// Version of the drawings: grows when a drawing changes in a way that no number of
/// [`PrintRecord::shape`] tells. The shape of a print of another version vouches for nothing; its
/// interface and proof do.
pub(crate) const DESIGN: u32 = 1;

/// Shapes are the same within this, millimetres: less than any printer's step, more than two decimals
/// lose.
const SHAPE: f64 = 0.01;
/// Gap of the yoke, millimetres: the play on one side, which the bolts take up.
const PLAY: f64 = 0.4;
/// Clearance holes, millimetres: a tenth under the step between the threads' rows of ISO 273 at the
/// smallest, so that only the same thread fits.
const HOLE: f64 = 0.3;
/// Where holes are, millimetres: half the clearance of the smallest bolts in use (ISO 273, medium).
const PLACE: f64 = 0.2;
/// Angles, degrees: half a millimetre of clearance on the usual circle of a lock bolt, 25 mm.
const ANGLE: f64 = 1.0;
/// Width of webbing, millimetres: it is woven about as closely (common practice, no source).
const WEBBING: f64 = 1.0;
/// Thickness of webbing and of a cord, millimetres: less than the clearance of any passage.
const THICKNESS: f64 = 0.1;
/// Bodies that a rule measures, millimetres: half its division.
const RULE: f64 = 0.5;
/// Masses, kilograms: what kitchen scales tell.
const MASS: f64 = 0.005;
/// Walls and solid layers, millimetres: below half of the thinnest layer that a job may have.
const LAYER: f64 = 0.02;
/// Everything that is written and not measured: rounding of the last digits only.
const WRITTEN: f64 = 1e-6;

/// How what is asked is held against what a print was made for, with the tolerance.
#[derive(Debug, Clone, Copy)]
enum Bound {
    Same(f64),
    AtMost(f64),
    AtLeast(f64),
}

/// Something that a record tells.
trait Term {
    fn fits(&self, asked: &Self, bound: Bound, what: &str, unit: &str) -> Result<(), String>;
}

impl Term for f64 {
    fn fits(&self, asked: &Self, bound: Bound, what: &str, unit: &str) -> Result<(), String> {
        let good = match bound {
            Bound::Same(tolerance) => (asked - self).abs() <= tolerance,
            Bound::AtMost(tolerance) => *asked <= self + tolerance,
            Bound::AtLeast(tolerance) => *asked >= self - tolerance,
        };
        let [asked, made] = [*asked, *self].map(|v| trimmed(v, 3));
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        if good { Ok(()) } else { Err(format!("{what} {asked}{unit}, made for {made}")) }
    }
}

/// Names of plastics.
impl Term for String {
    fn fits(&self, asked: &Self, _: Bound, _: &str, _: &str) -> Result<(), String> {
        if self == asked { Ok(()) } else { Err(format!("{asked} asked, printed in {self}")) }
    }
}

/// Whether parts are dark: a light print is no warmer than a dark one.
impl Term for bool {
    fn fits(&self, asked: &Self, _: Bound, what: &str, _: &str) -> Result<(), String> {
        if *self && !asked { Err(format!("light {what} asked, printed dark")) } else { Ok(()) }
    }
}

/// Points, in their order.
impl Term for Vec<[f64; 2]> {
    fn fits(&self, asked: &Self, bound: Bound, what: &str, unit: &str) -> Result<(), String> {
        let near = |(made, asked): (&[f64; 2], &[f64; 2])| {
            (0..2).all(|axis| made[axis].fits(&asked[axis], bound, what, unit).is_ok())
        };
        if self.len() == asked.len() && self.iter().zip(asked).all(near) {
            Ok(())
        } else {
            Err(format!("{what} elsewhere than it was made for"))
        }
    }
}

/// Sizes, in their order.
impl Term for Vec<f64> {
    fn fits(&self, asked: &Self, bound: Bound, what: &str, unit: &str) -> Result<(), String> {
        let near = |(made, asked): (&f64, &f64)| made.fits(asked, bound, what, unit).is_ok();
        if self.len() == asked.len() && self.iter().zip(asked).all(near) {
            return Ok(());
        }
        let list = |all: &Self| match &all[..] {
            [] => "none".to_owned(),
            all => all.iter().map(|v| trimmed(*v, 1)).collect::<Vec<_>>().join(", "),
        };
        Err(format!("{what} {} {unit}, made for {}", list(asked), list(self)))
    }
}

/// What both tell must fit.
fn told<T: Term>(
    made: Option<&T>,
    asked: Option<&T>,
    bound: Bound,
    what: &str,
    unit: &str,
) -> Result<(), String> {
    match (made, asked) {
        (Some(made), Some(asked)) => made.fits(asked, bound, what, unit),
        _ => Ok(()),
    }
}

/// A struct of terms, each declared once: its key, its comparison and the words for it.
macro_rules! terms {
    (
        $(#[doc = $title:literal])+
        $name:ident { $( $(#[doc = $doc:literal])+
            $field:ident : $type:ty, $bound:ident($tolerance:expr), $what:literal $unit:literal; )+ }
    ) => {
        $(#[doc = $title])+
        #[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
        #[cfg_attr(test, derive(schemars::JsonSchema))]
        pub struct $name {
            $(
                $(#[doc = $doc])+
                #[serde(default, skip_serializing_if = "Option::is_none")]
                pub $field: Option<$type>,
            )+
        }

        impl $name {
            fn fits(&self, asked: &Self) -> Result<(), String> {
                $( told(self.$field.as_ref(), asked.$field.as_ref(), Bound::$bound($tolerance), $what, $unit)?; )+
                Ok(())
            }

            /// With what is asked where it tells nothing itself.
            fn or(self, asked: &Self) -> Self {
                Self { $( $field: self.$field.or_else(|| asked.$field.clone()), )+ }
            }
        }
    };
}

terms! {
    /// What a cradle must fit: what turns in its yoke, and its straps.
    CradleFit {
        /// Between the ears.
        gap_mm: f64, Same(PLAY), "gap of the yoke" "mm";
        /// Clearance hole of the pivot bolts.
        pivot_hole_mm: f64, Same(HOLE), "hole of the pivot bolt" "mm";
        /// Circle of the lock bolt; 0 without one.
        lock_radius_mm: f64, Same(PLACE), "radius of the lock bolt" "mm";
        /// Where the lock bolt lies at tilt 0.
        lock_angle_deg: f64, Same(ANGLE), "angle of the lock bolt" "deg";
        /// Width of its slot.
        slot_mm: f64, Same(HOLE), "slot of the lock bolt" "mm";
        /// Lowest tilt that the slot allows.
        slot_from_deg: f64, AtLeast(ANGLE), "lowest tilt" "deg";
        /// Highest tilt that the slot allows.
        slot_to_deg: f64, AtMost(ANGLE), "highest tilt" "deg";
        /// Passages for straps.
        straps: f64, Same(0.0), "straps" "";
        /// Width of the webbing.
        strap_width_mm: f64, Same(WEBBING), "webbing" "mm";
        /// Thickness of the webbing.
        strap_thickness_mm: f64, AtMost(THICKNESS), "thickness of the webbing" "mm";
    }
}

terms! {
    /// What a rail must fit: the box and its strap.
    RailFit {
        /// Screws into the box, from the middle.
        screw_x_mm: f64, Same(PLACE), "rail screws from the middle" "mm";
        /// Their clearance hole.
        screw_hole_mm: f64, Same(HOLE), "hole of the rail screws" "mm";
        /// Passages for straps.
        straps: f64, Same(0.0), "straps" "";
        /// Width of the webbing.
        strap_width_mm: f64, Same(WEBBING), "webbing" "mm";
        /// Thickness of the webbing.
        strap_thickness_mm: f64, AtMost(THICKNESS), "thickness of the webbing" "mm";
    }
}

terms! {
    /// What a box, body and lid, must fit: its contents, cables, cord and rails.
    BoxFit {
        /// Holes of the battery's receiver, about their middle.
        receiver_holes_mm: Vec<[f64; 2]>, Same(PLACE), "holes of the receiver" "mm";
        /// Thread of its screws.
        receiver_screw_mm: f64, Same(WRITTEN), "screws of the receiver M" "";
        /// Holes of the controller, about their middle; none without one.
        controller_holes_mm: Vec<[f64; 2]>, Same(PLACE), "holes of the controller" "mm";
        /// Thread of its screws.
        controller_screw_mm: f64, Same(WRITTEN), "screws of the controller M" "";
        /// Threads of the glands.
        glands_mm: Vec<f64>, Same(WRITTEN), "glands" "mm";
        /// Thread of the vent; 0 without one.
        vent_mm: f64, Same(WRITTEN), "vent" "mm";
        /// Diameter of the cord; 0 of another gasket.
        cord_mm: f64, Same(THICKNESS), "gasket cord" "mm";
        /// Thickness and width of the sponge strip; none of another gasket.
        strip_mm: Vec<f64>, Same(RULE), "sponge strip" "mm";
        /// Thread of the lid's screws.
        lid_screw_mm: f64, Same(WRITTEN), "screws of the lid M" "";
        /// Rail screws, from the middle.
        rail_screw_x_mm: f64, Same(PLACE), "rail screws from the middle" "mm";
    }
}

terms! {
    /// What a tilt plate must fit: the lamp's holes, and the yoke.
    TiltPlateFit {
        /// Holes for the lamp's bolts, about their middle.
        lamp_holes_mm: Vec<[f64; 2]>, Same(PLACE), "holes of the lamp" "mm";
        /// Their clearance.
        lamp_hole_mm: f64, Same(HOLE), "hole of the lamp's bolts" "mm";
        /// Over both lugs.
        span_mm: f64, Same(PLAY), "width over the lugs" "mm";
        /// Clearance hole of the pivot bolts.
        pivot_hole_mm: f64, Same(HOLE), "hole of the pivot bolt" "mm";
        /// Circle of the lock bolt.
        lock_radius_mm: f64, Same(PLACE), "radius of the lock bolt" "mm";
    }
}

terms! {
    /// Plastic and settings of the print.
    Material {
        /// The plastic, as in `polymer.kind`.
        polymer: String, Same(0.0), "polymer" "";
        /// Whether it takes up sun.
        dark: bool, Same(0.0), "parts" "";
        /// Thickness of the walls.
        wall_mm: f64, AtMost(LAYER), "walls" "mm";
        /// Thickness of the closed layers above and below.
        solid_layers_mm: f64, AtMost(LAYER), "solid layers" "mm";
        /// Share of the inside that is filled.
        infill: f64, AtMost(WRITTEN), "infill" "";
    }
}

terms! {
    /// What the checks were run for; a part has what concerns it.
    Proof {
        /// Mass of the lamp.
        lamp_kg: f64, AtMost(MASS), "lamp" "kg";
        /// Its body across the yoke.
        lamp_width_mm: f64, AtMost(RULE), "width of the lamp" "mm";
        /// Its body from bottom to top.
        lamp_height_mm: f64, AtMost(RULE), "height of the lamp" "mm";
        /// Its body along the beam.
        lamp_depth_mm: f64, AtMost(RULE), "depth of the lamp" "mm";
        /// How far what turns comes back past the pivot.
        swing_mm: f64, AtMost(RULE), "swing behind the pivot" "mm";
        /// From the pivot to the lamp's middle.
        arm_mm: f64, AtMost(RULE), "arm of the lamp" "mm";
        /// Lowest tilt.
        tilt_from_deg: f64, AtLeast(ANGLE), "lowest tilt" "deg";
        /// Highest tilt.
        tilt_to_deg: f64, AtMost(ANGLE), "highest tilt" "deg";
        /// Mass of battery and controller.
        contents_kg: f64, AtMost(MASS), "contents of the box" "kg";
        /// Length, width and height of the battery.
        battery_length_mm: f64, AtMost(RULE), "length of the battery" "mm";
        /// Its width.
        battery_width_mm: f64, AtMost(RULE), "width of the battery" "mm";
        /// Its height with the receiver.
        battery_height_mm: f64, AtMost(RULE), "height of battery and receiver" "mm";
        /// Length of the controller; 0 without one.
        controller_length_mm: f64, AtMost(RULE), "length of the controller" "mm";
        /// Its width.
        controller_width_mm: f64, AtMost(RULE), "width of the controller" "mm";
        /// Its height.
        controller_height_mm: f64, AtMost(RULE), "height of the controller" "mm";
        /// Line load of the gasket at its squeeze, newtons a millimetre.
        cord_n_per_mm: f64, AtMost(WRITTEN), "load of the gasket" "N/mm";
        /// Pull on a strap.
        pull_n: f64, AtMost(1.0), "pull on a strap" "N";
        /// Strongest gust, metres per second.
        gust_m_per_s: f64, AtMost(WRITTEN), "gust" "m/s";
        /// Warmest day, degrees Celsius.
        warm_c: f64, AtMost(WRITTEN), "warmest day" "C";
        /// Margin of safety.
        safety: f64, AtMost(WRITTEN), "margin of safety" "";
    }
}

/// What a part of each kind must fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Interface {
    /// Of a cradle.
    Cradle(CradleFit),
    /// Of a rail.
    Rail(RailFit),
    /// Of a box, body and lid.
    Box(BoxFit),
    /// Of a tilt plate.
    TiltPlate(TiltPlateFit),
}

impl Interface {
    fn fits(&self, asked: &Self) -> Result<(), String> {
        match (self, asked) {
            (Self::Cradle(made), Self::Cradle(asked)) => made.fits(asked),
            (Self::Rail(made), Self::Rail(asked)) => made.fits(asked),
            (Self::Box(made), Self::Box(asked)) => made.fits(asked),
            (Self::TiltPlate(made), Self::TiltPlate(asked)) => made.fits(asked),
            _ => Err("a part of another kind".into()),
        }
    }

    fn or(self, asked: &Self) -> Self {
        match (self, asked) {
            (Self::Cradle(made), Self::Cradle(asked)) => Self::Cradle(made.or(asked)),
            (Self::Rail(made), Self::Rail(asked)) => Self::Rail(made.or(asked)),
            (Self::Box(made), Self::Box(asked)) => Self::Box(made.or(asked)),
            (Self::TiltPlate(made), Self::TiltPlate(asked)) => Self::TiltPlate(made.or(asked)),
            (made, _) => made,
        }
    }
}

/// What a print is known by.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PrintRecord {
    /// Version of the drawing (see [`DESIGN`]).
    pub design: u32,
    /// What it fits; absent when an old set tells nothing of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interface: Option<Interface>,
    /// What it is printed in.
    #[serde(default)]
    pub material: Material,
    /// Its dimensions by name, in millimetres; what shapes nothing but marks is not among them.
    #[serde(default)]
    pub shape: BTreeMap<String, f64>,
    /// What it was proven for; absent when an old set does not tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proven: Option<Proof>,
}

impl PrintRecord {
    /// Whether the print serves what is asked; if so, what it is known by from now on.
    ///
    /// # Errors
    /// The one thing that does not fit, as a phrase with the numbers.
    pub fn serves(&self, asked: &Self) -> Result<Self, String> {
        let (Some(made), Some(wanted)) = (&self.interface, &asked.interface) else {
            return Err("an earlier drawing of which its set tells nothing".into());
        };
        made.fits(wanted)?;
        self.material.fits(&asked.material)?;
        let shape = self.same_shape(asked);
        match (&self.proven, &asked.proven) {
            (Some(proven), Some(wanted)) => match proven.fits(wanted) {
                Ok(()) => {}
                // The same thing, for which the checks are run anew.
                Err(_) if shape.is_ok() => return Ok(asked.clone()),
                Err(misfit) => return Err(misfit),
            },
            _ => shape?,
        }
        Ok(Self {
            design: self.design,
            interface: Some(made.clone().or(wanted)),
            material: self.material.clone().or(&asked.material),
            shape: self.shape.clone(),
            proven: match (self.proven.clone(), &asked.proven) {
                (Some(proven), Some(wanted)) => Some(proven.or(wanted)),
                (made, wanted) => made.or_else(|| wanted.clone()),
            },
        })
    }

    /// The first thing that is asked beyond what it was proven for.
    pub(in crate::design) fn beyond(&self, asked: &Self) -> Option<String> {
        self.proven.as_ref().zip(asked.proven.as_ref()).and_then(|(p, a)| p.fits(a).err())
    }

    /// What copies of this print and copies of today's drawing are known by together, when this one
    /// serves what is asked: what is asked, and of the shape only what they share.
    pub(in crate::design) fn beside(&self, asked: &Self) -> Self {
        let mut both = asked.clone();
        if self.same_shape(asked).is_err() {
            both.shape.clear();
        }
        both
    }

    /// Whether the dimensions that both tell are the same.
    fn same_shape(&self, asked: &Self) -> Result<(), String> {
        if self.design != asked.design {
            return Err(format!("drawing {}, made by drawing {}", asked.design, self.design));
        }
        let mut compared = 0;
        for (name, made) in &self.shape {
            if let Some(asked) = asked.shape.get(name) {
                let what = name.trim_end_matches("_mm").replace('_', " ");
                made.fits(asked, Bound::Same(SHAPE), &what, "mm")?;
                compared += 1;
            }
        }
        if compared > 0 { Ok(()) } else { Err("a shape of which its set tells nothing".into()) }
    }
}

#[cfg(test)]
mod tests;
