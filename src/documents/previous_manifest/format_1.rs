//! Manifests of format 1, whose prints are known by a hash of the program's text.
//!
//! What such a manifest tells of its prints in numbers is taken over: face and girths to the last bit,
//! the derived dimensions (in millimetres, to two decimals), the height of cradles and the outline of
//! tilt plates from their bounding boxes, the webbing. It does not tell plastic and settings, the lamp,
//! the gust, nor the pulls: the plastic and the settings are taken to be those asked today, and as
//! there is no proof, a print is kept only while every dimension told is the one that would be
//! drawn today. Of prints on the shelf of another shape, and of boxes and plates of more than one
//! shape, it tells no dimension: they stay known by their letters and are not used again.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::{Cut, PreviousManifest, TrunkParts};
use crate::design::previous::PrintKind;
use crate::design::print_record::{
    BoxFit, CradleFit, Interface, PrintRecord, RailFit, TiltPlateFit,
};
use crate::documents::manifest_data::{PrintEntry, SizeEntry};

/// What is read of a manifest of format 1.
#[derive(Debug, Deserialize)]
pub(super) struct About {
    sizes: Vec<SizeLine>,
    trunks: Vec<Trunk>,
    #[serde(default)]
    shelf: Vec<Shelved>,
    #[serde(default)]
    common: Vec<Common>,
    #[serde(default)]
    parts: Vec<Part>,
    #[serde(default)]
    derived: Vec<Derived>,
    #[serde(default)]
    lists: Lists,
}

#[derive(Debug, Deserialize)]
struct SizeLine {
    kind: String,
    mark: String,
    shape: String,
    face_radius: f64,
    half_width: f64,
    girth_from: f64,
    girth_to: f64,
}

#[derive(Debug, Deserialize)]
struct Shelved {
    size: SizeLine,
    copies: u32,
}

#[derive(Debug, Deserialize)]
struct Common {
    kind: PrintKind,
    copies: u32,
}

#[derive(Debug, Deserialize)]
struct Trunk {
    name: String,
    girth: f64,
    cradle: Option<String>,
    cradles: u32,
    rail: Option<String>,
    rails: u32,
}

#[derive(Debug, Deserialize)]
struct Part {
    name: String,
    bounding_box: [f64; 3],
}

#[derive(Debug, Deserialize)]
struct Derived {
    name: String,
    value: String,
}

#[derive(Debug, Default, Deserialize)]
struct Lists {
    #[serde(default)]
    webbing: Option<f64>,
}

/// Derived dimensions of a cradle under their names here.
const CRADLE: [(&str, &str); 4] = [
    ("ear thickness", "ear_mm"),
    ("ear end radius", "ear_end_radius_mm"),
    ("pivot reach", "pivot_reach_mm"),
    ("pivot height", "pivot_height_mm"),
];
/// The same of a box, but for how its lid closes, which is no matter to what lies in it.
const BOX: [(&str, &str); 8] = [
    ("box wall", "box_wall_mm"),
    ("gasket groove depth", "gasket_groove_depth_mm"),
    ("gasket groove width", "gasket_groove_width_mm"),
    ("box inner corner radius", "box_inner_corner_radius_mm"),
    ("box inner width", "box_inner_width_mm"),
    ("box inner height", "box_inner_height_mm"),
    ("box depth", "box_depth_mm"),
    ("post height", "post_height_mm"),
];
/// The same of a tilt plate.
const PLATE: [(&str, &str); 1] = [("tilt plate pivot", "pivot_mm")];

impl About {
    /// What it tells, as today's manifest would.
    pub(super) fn migrated(self) -> PreviousManifest {
        let mut prints: Vec<PrintEntry> = Vec::new();
        for size in &self.sizes {
            let record = match size.kind.as_str() {
                "cradle" => self.cradle(&size.mark),
                _ => self.rail(&size.mark),
            };
            let spare = self.shelf.iter().filter(|s| s.size.is(size)).map(|s| s.copies);
            let spare = spare.fold(0, u32::saturating_add);
            let hung = self.hung(&size.kind, &size.mark);
            prints.extend(size.entry(record, hung.saturating_add(spare), spare));
        }
        for shelved in &self.shelf {
            if !self.sizes.iter().any(|size| shelved.size.is(size)) {
                let copies = shelved.copies;
                prints.extend(shelved.size.entry(PrintRecord::default(), copies, copies));
            }
        }
        for common in &self.common {
            let alone = self.common.iter().filter(|c| c.kind == common.kind).count() == 1;
            let record = match common.kind {
                PrintKind::Box if alone => self.enclosure(),
                PrintKind::TiltPlate if alone => self.tilt_plate(),
                _ => PrintRecord::default(),
            };
            prints.push(PrintEntry {
                kind: common.kind,
                mark: String::new(),
                size: None,
                copies: common.copies,
                spare: 0,
                record,
            });
        }
        let trunks = self.trunks.into_iter().map(|t| TrunkParts {
            name: t.name,
            girth_mm: t.girth,
            cradle: t.cradle,
            cradles: t.cradles,
            rail: t.rail,
            rails: t.rails,
        });
        PreviousManifest {
            job: String::new(),
            prints,
            trunks: trunks.collect(),
            lists: Cut::default(),
        }
    }

    /// Copies of a size that hang on trunks.
    fn hung(&self, kind: &str, mark: &str) -> u32 {
        let name = format!("{kind}-{}", mark.to_lowercase());
        let hung = self.trunks.iter().map(|t| match kind {
            "cradle" if t.cradle.as_ref() == Some(&name) => t.cradles,
            "rail" if t.rail.as_ref() == Some(&name) => t.rails,
            _ => 0,
        });
        hung.fold(0, u32::saturating_add)
    }

    /// The number with which a derived dimension begins.
    fn derived(&self, name: &str) -> Option<f64> {
        let told = self.derived.iter().find(|d| d.name == name)?;
        told.value.split(' ').next()?.parse().ok()
    }

    fn dimensions(&self, names: &[(&str, &str)]) -> BTreeMap<String, f64> {
        let told = names.iter().filter_map(|(old, new)| Some(((*new).into(), self.derived(old)?)));
        told.collect()
    }

    fn part(&self, name: &str) -> Option<[f64; 3]> {
        self.parts.iter().find(|p| p.name == name).map(|p| p.bounding_box)
    }

    fn cradle(&self, mark: &str) -> PrintRecord {
        let fit = CradleFit {
            gap_mm: self.derived("yoke gap"),
            strap_width_mm: self.lists.webbing,
            ..CradleFit::default()
        };
        let mut shape = self.dimensions(&CRADLE);
        // A cradle prints standing.
        let name = crate::design::SizeKind::Cradle.part(mark).to_string();
        shape.extend(self.part(&name).map(|[_, _, z]| ("height_mm".into(), single(z))));
        record(Interface::Cradle(fit), shape)
    }

    fn rail(&self, mark: &str) -> PrintRecord {
        let fit = RailFit {
            screw_x_mm: self.derived("rail screws"),
            strap_width_mm: self.lists.webbing,
            // Rails had one strap then.
            straps: Some(1.0),
            ..RailFit::default()
        };
        // A rail prints lying on its front, its height across the bed.
        let name = crate::design::SizeKind::Rail.part(mark).to_string();
        let shape = self.part(&name).map(|[x, _, z]| {
            [("front_half_width_mm".into(), single(x) / 2.0), ("height_mm".into(), single(z))]
        });
        record(Interface::Rail(fit), shape.into_iter().flatten().collect())
    }

    fn enclosure(&self) -> PrintRecord {
        let fit = BoxFit { rail_screw_x_mm: self.derived("rail screws"), ..BoxFit::default() };
        record(Interface::Box(fit), self.dimensions(&BOX))
    }

    fn tilt_plate(&self) -> PrintRecord {
        let mut shape = self.dimensions(&PLATE);
        let outline = self
            .part("tilt-plate")
            .map(|[x, y, _]| [("width_mm".into(), single(x)), ("height_mm".into(), single(y))]);
        shape.extend(outline.into_iter().flatten());
        record(Interface::TiltPlate(TiltPlateFit::default()), shape)
    }
}

/// A coordinate of a mesh, which is rounded to single precision: what it was before, to a tenth of a
/// thousandth.
fn single(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

fn record(interface: Interface, shape: BTreeMap<String, f64>) -> PrintRecord {
    PrintRecord {
        design: DESIGN_OF_FORMAT_1,
        interface: Some(interface),
        shape,
        ..PrintRecord::default()
    }
}

/// The drawings of every set of format 1.
const DESIGN_OF_FORMAT_1: u32 = 1;

impl SizeLine {
    /// Whether two lines are of the same print.
    fn is(&self, other: &Self) -> bool {
        (&self.kind, &self.mark, &self.shape) == (&other.kind, &other.mark, &other.shape)
    }

    fn entry(&self, record: PrintRecord, copies: u32, spare: u32) -> Option<PrintEntry> {
        let kind = match self.kind.as_str() {
            "cradle" => PrintKind::Cradle,
            "rail" => PrintKind::Rail,
            _ => return None,
        };
        let size = SizeEntry {
            face_radius_mm: self.face_radius,
            half_width_mm: self.half_width,
            girth_from_mm: self.girth_from,
            girth_to_mm: self.girth_to,
        };
        Some(PrintEntry { kind, mark: self.mark.clone(), size: Some(size), copies, spare, record })
    }
}
