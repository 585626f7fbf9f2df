//! The job: everything a practitioner measured or chose, as typed values.
//!
//! These are the shapes that the rest of the program reads. How they are read from TOML, what their
//! defaults are and why, and which ranges they may have is declared beside each field.

use jiff::civil::Date;

use crate::tables::{ConductorSize, GlandSize, Thread};
use crate::units::{
    Angle, Charge, Current, Force, Hours, Illuminance, Length, LuminousFlux, Mass, Power, Pressure,
    Resistance, Speed, Temperature, Torque, Voltage,
};

/// A whole job file, read and range-checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    pub job: JobInfo,
    pub trunks: Vec<Trunk>,
    pub fixture: Fixture,
    pub tilt: Tilt,
    pub strap: Strap,
    pub pad: Pad,
    /// The box is made when the job has a `[battery]`.
    pub battery: Option<Battery>,
    pub controller: Option<Controller>,
    pub seal: Seal,
    pub lid: Lid,
    pub entries: Vec<Entry>,
    pub vent: Option<Vent>,
    pub printer: Printer,
    pub polymer: Polymer,
    pub feed: Feed,
    pub show: Show,
    pub site: Site,
    pub outlooks: Vec<Outlook>,
}

/// `[job]`
#[derive(Debug, Clone, PartialEq)]
pub struct JobInfo {
    /// required; 1 to 80 characters, no path separators
    pub name: String,
    pub place: Option<String>,
    /// who owns the trees and has agreed
    pub owner: Option<String>,
    pub install: Option<Date>,
    pub take_down: Option<Date>,
    /// survey CSV, beside the job file
    pub survey: Option<String>,
    /// girth growth a year, default 10 mm; 0..100 mm
    pub growth: Length,
    /// years that a print is to serve, default 1; 0..20
    pub years: f64,
    /// how far a tape reading may be off, default 3 mm; 0..50 mm of girth
    pub girth_tolerance: Length,
    /// the largest gap between surface and mesh, default 0.05 mm; 0.005..0.5
    pub deviation: Length,
}

/// `[[trunk]]`, or one line of the survey
#[derive(Debug, Clone, PartialEq)]
pub struct Trunk {
    /// required, unique; 1 to 60 characters
    pub name: String,
    /// required; 250..6000 mm
    pub girth: Length,
    /// height above ground at which the girth was taken and the cradle sits, default 1.3 m
    pub height: Length,
    /// a second girth, for the taper
    pub upper_girth: Option<Length>,
    /// the height of the second girth
    pub upper_height: Option<Length>,
    /// caliper diameters of an oval trunk: at the cradle's place (toward the lamp), and across it
    pub diameters: Option<[Length; 2]>,
    /// lean of the trunk away from upright, toward the lamp's side positive, default 0; -30..30 deg
    pub lean: Angle,
    /// cradles on this trunk, default 1; 0..8
    pub fixtures: u32,
    /// whether a box hangs here, default false (key `box`)
    pub carries_box: bool,
    /// girth growth a year, when not the job's
    pub growth: Option<Length>,
    /// height of the lowest crown branches above ground
    pub crown_base: Option<Length>,
    /// diameter of the crown
    pub crown_spread: Option<Length>,
    pub notes: Option<String>,
}

/// `[fixture]`
#[derive(Debug, Clone, PartialEq)]
pub struct Fixture {
    pub name: String,
    /// across the yoke; 40..400 mm
    pub width: Length,
    /// 20..400 mm
    pub height: Length,
    /// along the beam; 15..400 mm
    pub depth: Length,
    pub mass: Mass,
    pub power: Power,
    pub mount: Mount,
    /// from the back face to the pivot axis (side bosses); default half the depth
    pub pivot_from_back: Option<Length>,
    /// from the lower face to the pivot axis (side bosses) or to the pattern's middle (base plate);
    /// default half the height
    pub pivot_from_bottom: Option<Length>,
    /// room that the cable needs behind the body, default 0
    pub cable_room: Length,
    pub lumens: Option<LuminousFlux>,
    /// full angle to half the peak intensity
    pub beam_angle: Option<Angle>,
    /// default constant power
    pub load: LoadKind,
    pub min_voltage: Option<Voltage>,
    pub max_voltage: Option<Voltage>,
}

/// `[fixture.mount]`: how the lamp is held
#[derive(Debug, Clone, PartialEq)]
pub enum Mount {
    /// `kind = "side-bosses"`: two coaxial threaded bosses
    SideBosses {
        /// over both boss faces; at least the body's width
        span: Length,
        thread: Thread,
        /// radius of a lock boss about the pivot
        lock_radius: Option<Length>,
        /// where the lock boss lies at tilt 0: 0 deg toward the beam, 90 deg up; default 180 deg
        lock_angle: Angle,
    },
    /// `kind = "base-plate"`: holes in the back of the lamp
    BasePlate { pattern: HolePattern, thread: Thread },
}

/// Holes on a plane, about the pattern's middle
#[derive(Debug, Clone, PartialEq)]
pub enum HolePattern {
    /// `pattern = "rectangle"`, `width`, `height`
    Rectangle { width: Length, height: Length },
    /// `pattern = "circle"`, `diameter`, `count`
    Circle { diameter: Length, count: u32 },
    /// `pattern = "points"`, `points = [[x, y], ...]`
    Points { points: Vec<[Length; 2]> },
}

/// How a lamp draws its current
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadKind {
    /// a switching driver: current rises as voltage falls (`"constant-power"`)
    ConstantPower,
    /// a linear driver (`"constant-current"`)
    ConstantCurrent,
}

/// `[tilt]`: beam above level
#[derive(Debug, Clone, PartialEq)]
pub struct Tilt {
    /// default 0 deg; -30..90
    pub min: Angle,
    /// default 75 deg; -30..90
    pub max: Angle,
}

/// `[strap]`
#[derive(Debug, Clone, PartialEq)]
pub struct Strap {
    /// straps a cradle, default 2; 1..=3
    pub count: u32,
    /// default 25 mm; 15..75 mm
    pub width: Length,
    /// default 1.5 mm; 1..4 mm
    pub thickness: Length,
    /// gap all round in the passage, default 0.6 mm; 0.2..3
    pub clearance: Length,
    /// default polyester
    pub material: Webbing,
    /// of one strap in straight pull, default 500 N
    pub working_load: Force,
    /// tension pulled by hand, default 120 N
    pub tension: Force,
    /// webbing taken by the buckle, default 150 mm
    pub buckle: Length,
    /// free tail, default 150 mm
    pub tail: Length,
}

/// Webbing polymer
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Webbing {
    /// `"polyester"`
    Polyester,
    /// `"polyamide"`
    Polyamide,
    /// `"polypropylene"`
    Polypropylene,
}

/// `[pad]`: closed-cell foam between print and bark
#[derive(Debug, Clone, PartialEq)]
pub struct Pad {
    /// free thickness, default 10 mm; 3..40 mm
    pub thickness: Length,
    /// least compression that still grips, default 0.10
    pub strain_min: f64,
    /// aimed at, default 0.30
    pub strain: f64,
    /// most compression, default 0.50
    pub strain_max: f64,
    /// stress at the nominal strain (compression deflection), default 40 kPa
    pub stress: Pressure,
    /// friction on bark, wet, default 0.4
    pub friction: f64,
    /// friction of bare webbing on bark, wet, default 0.2
    pub webbing_friction: f64,
    /// most pressure on bark, default 100 kPa, common practice
    pub bark_limit: Pressure,
    /// the saddle's half width as a share of the trunk's radius at most, default 0.6; 0.2..0.8
    pub reach: f64,
    /// wished half width of pad on the trunk; default follows from the fixture
    pub half_width: Option<Length>,
}

/// `[battery]`
#[derive(Debug, Clone, PartialEq)]
pub struct Battery {
    pub name: String,
    pub length: Length,
    pub width: Length,
    pub height: Length,
    pub mass: Mass,
    pub chemistry: Chemistry,
    pub voltage: Voltage,
    pub capacity: Charge,
    /// voltage at which the pack cuts off; default by chemistry
    pub cutoff: Option<Voltage>,
    /// default 0.05 ohm
    pub resistance: Resistance,
    /// default 0.8
    pub usable: f64,
    /// capacity left after ageing, default 0.9
    pub ageing: f64,
    /// the plate that the pack slides on
    pub receiver: Receiver,
}

/// Cell chemistry
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chemistry {
    /// `"li-ion"`
    LiIon,
    /// `"lifepo4"`
    LiFePo4,
    /// `"lead-acid"`
    LeadAcid,
    /// `"nimh"`
    NiMh,
}

/// `[battery.receiver]`
#[derive(Debug, Clone, PartialEq)]
pub struct Receiver {
    pub thickness: Length,
    pub holes: HolePattern,
    pub thread: Thread,
}

/// `[controller]`
#[derive(Debug, Clone, PartialEq)]
pub struct Controller {
    pub name: String,
    pub length: Length,
    pub width: Length,
    pub height: Length,
    pub mass: Mass,
    pub holes: HolePattern,
    pub thread: Thread,
    /// draw with the lamps dark, default 0.3 W
    pub standby: Power,
    /// default 0.92
    pub efficiency: f64,
}

/// `[seal]`
#[derive(Debug, Clone, PartialEq)]
pub struct Seal {
    /// default 3 mm; 1.5..6
    pub cord: Length,
    /// default 0.25; 0.1..0.4
    pub squeeze: f64,
    /// cord stiffness: line load at nominal squeeze in newtons a millimetre, default 1.0
    pub line_load: f64,
}

/// `[lid]`
#[derive(Debug, Clone, PartialEq)]
pub struct Lid {
    /// default M4
    pub screw: Thread,
    /// length of the heat-set insert; default twice the thread's diameter
    pub insert_length: Option<Length>,
}

/// `[[entry]]`: cable glands in the downward wall
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// `"M12"`, `"M16"`, `"M20"`, `"M25"`
    pub size: GlandSize,
    /// default 1
    pub count: u32,
}

/// `[vent]`
#[derive(Debug, Clone, PartialEq)]
pub struct Vent {
    pub size: GlandSize,
}

/// `[printer]`
#[derive(Debug, Clone, PartialEq)]
pub struct Printer {
    /// X, Y, Z; default 220 x 220 x 250; 120 mm up
    pub bed: [Length; 3],
    /// width of an extrusion line, default 0.45
    pub line: Length,
    /// default 0.2
    pub layer: Length,
    /// lines in a wall of the slicer, default 4
    pub walls: u32,
    /// solid layers above and below, default 5
    pub skins: u32,
    /// default 0.25
    pub infill: f64,
    /// volumetric flow, mm3/s, default 8
    pub flow: f64,
    /// one number from a finished print: real time over estimate, default 1
    pub time_factor: f64,
    /// steepest unsupported overhang from vertical, default 45 deg
    pub overhang: Angle,
    /// longest bridge, default 12 mm
    pub bridge: Length,
    /// left free at the bed's rim, default 5 mm
    pub margin: Length,
    /// between parts on a plate, default 4 mm
    pub gap: Length,
}

/// `[polymer]`
#[derive(Debug, Clone, PartialEq)]
pub struct Polymer {
    /// default PETG
    pub kind: PolymerKind,
    /// price of a kilogram, in the user's money
    pub price: Option<f64>,
    /// dark parts take up sun, default false
    pub dark: bool,
}

/// Printing polymers with figures in the tables
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PolymerKind {
    Pla,
    Petg,
    Abs,
    Asa,
    Pc,
}

/// `[feed]`
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// default chain
    pub layout: FeedLayout,
    /// conductor section; default the thinnest that serves
    pub conductor: Option<ConductorSize>,
    /// from the box to the first fixture, default 3 m
    pub lead: Length,
    /// between neighbouring fixtures, default 8 m; one value or one a segment
    pub segments: Vec<Length>,
    /// from the last fixture back to the box (loop)
    pub back: Option<Length>,
    /// largest drop at the farthest fixture, share of nominal, default 0.05
    pub drop: f64,
    /// conductor temperature, default 30 C
    pub temperature: Temperature,
    /// fuse rating; default the smallest standard rating that serves
    pub fuse: Option<Current>,
    /// what the cable may carry; default from the table
    pub ampacity: Option<Current>,
}

/// Chain or loop
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FeedLayout {
    /// `"chain"`
    Chain,
    /// `"loop"`: a return closes the ring
    Loop,
}

/// `[show]`
#[derive(Debug, Clone, PartialEq)]
pub struct Show {
    /// `[[show.part]]`: level (0..1) over hours; default one part at full level for 4 h
    pub parts: Vec<ShowPart>,
    /// default 1
    pub nights: u32,
}

/// One stretch of the evening
#[derive(Debug, Clone, PartialEq)]
pub struct ShowPart {
    pub level: f64,
    pub duration: Hours,
}

/// `[site]`
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// strongest gust, default 20 m/s
    pub gust: Speed,
    /// coldest evening, default 5 C
    pub cold: Temperature,
    /// warmest afternoon, default 30 C
    pub warm: Temperature,
    /// against sliding and peeling, default 2
    pub safety: f64,
    /// torque on the tilt bolts; default from the sum
    pub lock_torque: Option<Torque>,
}

/// `[[outlook]]`: a window or a road that must not be dazzled
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    pub name: String,
    /// from the trunk, level
    pub distance: Length,
    /// above ground
    pub height: Length,
    /// most light there, default 5 lx
    pub limit: Illuminance,
}
