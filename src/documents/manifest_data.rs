//! What a manifest says about its set: parts, trunks, sizes, dimensions with reasons, findings.
//!
//! Lengths in millimetres, areas in mm2, volumes in mm3. Next year's run reads the sizes and trunks
//! back ([`Earlier`]); everything else is for people and programs.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::assessment::lists::Lists;
use crate::assessment::{Calculations, Section, TrunkReport};
use crate::build::{BuiltPart, mark_lines};
use crate::design::reuse::{Change, EarlierTrunk};
use crate::design::shared_parts::Common;
use crate::design::{Before, Derived, Plan, Printed, SizeClass, SizeKind};
use crate::engineering::sizes::Size;
use crate::finding::Finding;
use crate::params::Job;
use crate::units::{Angle, Force, Length};

/// The whole account of a set.
#[derive(Debug, Clone, Serialize)]
pub struct About {
    /// Program and version.
    pub made_by: String,
    /// The job's name.
    pub job: String,
    /// SHA-256 of all parameters in effect.
    pub fingerprint: String,
    /// Units of every bare number.
    pub units: &'static str,
    /// Parts written.
    pub parts: Vec<PartEntry>,
    /// Sizes in use: what is engraved, and what it serves.
    pub sizes: Vec<SizeEntry>,
    /// What each trunk gets.
    pub trunks: Vec<TrunkEntry>,
    /// Prints in hand that no trunk gets.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub shelf: Vec<ShelfEntry>,
    /// Boxes and tilt plates that there are when all is printed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub common: Vec<Common>,
    /// What happens on each trunk since the earlier set whose parts are in hand.
    pub changes: Vec<ChangeEntry>,
    /// Every derived dimension with its reason.
    pub derived: Vec<Derived>,
    /// The sums of the whole job, told so that they can be redone.
    pub sums: Vec<Section>,
    /// The results of the sums of each trunk; how they come about is told by the command `sums`, as
    /// it would be as long as the survey many times over.
    pub trunk_sums: Vec<TrunkResults>,
    /// What to buy and to cut.
    pub lists: Lists,
    /// Findings of the run.
    pub findings: Vec<Finding>,
}

/// What the sums of trunks that are alike give.
#[derive(Debug, Clone, Serialize)]
pub struct TrunkResults {
    /// Names of the trunks.
    pub trunks: Vec<String>,
    /// For each section its title, and each sum with its result.
    pub sections: Vec<(String, Vec<(String, String)>)>,
    /// Why a sum is absent.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub absent: Vec<String>,
}

impl TrunkResults {
    fn of(account: &TrunkReport) -> Self {
        let results = |section: &Section| {
            let lines = section.lines.iter().map(|l| (l.title.clone(), l.result.clone()));
            (section.title.clone(), lines.collect())
        };
        Self {
            trunks: account.trunks.clone(),
            sections: account.sections.iter().map(results).collect(),
            absent: account.sections.iter().flat_map(|s| s.absent.iter().cloned()).collect(),
        }
    }
}

/// What happens on a trunk.
#[derive(Debug, Clone, Serialize)]
pub struct ChangeEntry {
    /// Cradle or rail.
    pub kind: SizeKind,
    /// Keep, reprint or new, with the reason.
    #[serde(flatten)]
    pub change: Change,
}

/// One distinct part.
#[derive(Debug, Clone, Serialize)]
pub struct PartEntry {
    /// File stem.
    pub name: String,
    /// Kind of part.
    pub kind: crate::design::part::PartKind,
    /// Copies wanted.
    pub copies: u32,
    /// Copies that have still to be printed.
    pub prints: u32,
    /// Names of the trunks that get it.
    pub trunks: Vec<String>,
    /// Size of the bounding box in print pose.
    pub bounding_box: [Length; 3],
    /// Volume of the mesh.
    pub volume: crate::units::Volume,
    /// Volume of the exact solid.
    pub exact_volume: crate::units::Volume,
    /// Area of the mesh.
    pub area: crate::units::Area,
    /// Triangles of the mesh.
    pub triangles: usize,
    /// Handles: through holes.
    pub genus: usize,
}

/// One size, as next year's run reads it back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SizeEntry {
    /// `cradle` or `rail`.
    pub kind: String,
    /// Letters engraved.
    pub mark: String,
    /// Hash of the shape: the same print has the same hash.
    pub shape: String,
    /// Radius of the face, in millimetres.
    pub face_radius: f64,
    /// Half the pad's chord.
    pub half_width: f64,
    /// Thinnest girth served.
    pub girth_from: f64,
    /// Thickest girth served.
    pub girth_to: f64,
}

/// Prints that hang on no trunk, as next year's run reads them back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShelfEntry {
    /// The print.
    pub size: SizeEntry,
    /// How many.
    pub copies: u32,
}

/// What a trunk gets, as next year's run reads it back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrunkEntry {
    /// The trunk's name.
    pub name: String,
    /// Its girth in millimetres when the set was made.
    pub girth: f64,
    /// Cradle part, and how many.
    pub cradle: Option<String>,
    /// Cradles on this trunk.
    pub cradles: u32,
    /// Rail part, when the box hangs here.
    pub rail: Option<String>,
    /// Rails on this trunk.
    pub rails: u32,
}

/// What is read back from an earlier manifest.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Earlier {
    /// Sizes that were printed.
    pub sizes: Vec<SizeEntry>,
    /// What each trunk got.
    pub trunks: Vec<TrunkEntry>,
    /// What hung on none.
    #[serde(default)]
    pub shelf: Vec<ShelfEntry>,
    /// Boxes and tilt plates.
    #[serde(default)]
    pub common: Vec<Common>,
}

impl Earlier {
    /// The earlier set, for the plan; an entry with impossible numbers counts as none.
    #[must_use]
    pub fn before(&self, in_hand: bool) -> Before {
        let (cradles, rails) = (self.printed("cradle"), self.printed("rail"));
        let common = self.common.clone();
        Before { in_hand, kept_for_pull: [0.0; 2], cradles, rails, common }
    }

    fn printed(&self, kind: &str) -> Printed {
        let mut printed = Printed::default();
        let mut names = Vec::new();
        let hung = self.sizes.iter().map(|entry| (entry, 0));
        let shelf = self.shelf.iter().map(|shelved| (&shelved.size, shelved.copies));
        for (entry, spare) in hung.chain(shelf).filter(|(entry, _)| entry.kind == kind) {
            // A size may both hang and lie on the shelf.
            let mut known = printed.marks.iter().zip(&printed.shapes);
            if let Some(known) = known.position(|k| k == (&entry.mark, &entry.shape)) {
                let copies = &mut printed.made.spare[known];
                *copies = copies.saturating_add(spare);
                continue;
            }
            let plain = !entry.mark.is_empty()
                && entry.mark.len() < 8
                && entry.mark.bytes().all(|b| b.is_ascii_uppercase());
            let size = Size {
                face_radius: Length::mm(entry.face_radius),
                half_width: Length::mm(entry.half_width),
                girth_from: Length::mm(entry.girth_from),
                girth_to: Length::mm(entry.girth_to),
            };
            if plain && size.face().is_ok() {
                names.push(format!("{kind}-{}", entry.mark.to_lowercase()));
                printed.made.sizes.push(size);
                printed.made.spare.push(spare);
                printed.marks.push(entry.mark.clone());
                printed.shapes.push(entry.shape.clone());
            }
        }
        printed.made.trunks = self
            .trunks
            .iter()
            .map(|t| {
                let (part, copies) = match kind {
                    "cradle" => (&t.cradle, t.cradles),
                    _ => (&t.rail, t.rails),
                };
                let size = part.as_ref().and_then(|p| names.iter().position(|n| n == p));
                let girth = Length::mm(t.girth);
                EarlierTrunk { name: t.name.clone(), girth, size, copies }
            })
            .collect();
        printed
    }
}

impl About {
    /// The account of what was made.
    #[must_use]
    pub fn new(
        job: &Job,
        plan: &Plan,
        made: &[BuiltPart],
        sums: &Calculations,
        findings: &[Finding],
    ) -> Self {
        let entry = |kind: SizeKind, mark: &str, shape: &str, size: &Size| SizeEntry {
            kind: kind.word().into(),
            mark: mark.into(),
            shape: shape.into(),
            face_radius: size.face_radius.get(),
            half_width: size.half_width.get(),
            girth_from: size.girth_from.get(),
            girth_to: size.girth_to.get(),
        };
        let of =
            |kind, class: &SizeClass, shape: &str| entry(kind, &class.mark, shape, &class.size);
        let cradles = plan.cradles.iter().map(|c| of(SizeKind::Cradle, &c.class, &c.shape));
        let rails = plan.rails.iter().map(|r| of(SizeKind::Rail, &r.class, &r.shape));
        let shelf = plan.shelf.iter().map(|s| ShelfEntry {
            size: entry(s.kind, &s.mark, &s.shape, &s.size),
            copies: s.copies,
        });
        let trunks = job.trunks.iter().zip(&plan.trunks).map(|(trunk, gets)| TrunkEntry {
            name: trunk.name.clone(),
            girth: trunk.girth.get(),
            cradle: gets.cradle.map(|c| plan.cradles[c].id().to_string()),
            cradles: trunk.fixtures,
            rail: gets.rail.map(|r| plan.rails[r].id().to_string()),
            rails: if gets.rail.is_some() { 2 } else { 0 },
        });
        Self {
            made_by: concat!("Bolewright ", env!("CARGO_PKG_VERSION")).into(),
            job: job.job.name.clone(),
            fingerprint: fingerprint(job),
            units: "mm, mm2, mm3",
            parts: made.iter().map(|m| part_entry(job, m)).collect(),
            sizes: cradles.chain(rails).collect(),
            trunks: trunks.collect(),
            shelf: shelf.collect(),
            common: plan.common.all.clone(),
            changes: plan
                .changes
                .iter()
                .filter(|_| plan.in_hand)
                .map(|(kind, change)| ChangeEntry { kind: *kind, change: change.clone() })
                .collect(),
            derived: plan.derived.clone(),
            sums: sums.report.job.clone(),
            trunk_sums: sums.report.trunks.iter().map(TrunkResults::of).collect(),
            lists: sums.lists.clone(),
            findings: findings.to_vec(),
        }
    }
}

fn part_entry(job: &Job, made: &BuiltPart) -> PartEntry {
    PartEntry {
        name: made.name(),
        kind: made.id().kind(),
        copies: made.spec.copies,
        prints: made.spec.prints,
        trunks: made.spec.trunks.iter().map(|&t| job.trunks[t].name.clone()).collect(),
        bounding_box: made.report.bounds.size(),
        volume: made.report.volume,
        exact_volume: made.exact_volume,
        area: made.report.area,
        triangles: made.report.triangles,
        genus: made.report.genus,
    }
}

/// SHA-256 of every parameter in effect, defaults included.
#[must_use]
pub fn fingerprint(job: &Job) -> String {
    let digest = Sha256::digest(format!("{job:?}"));
    digest.iter().map(|b| format!("{b:02x}")).collect()
}

/// One line a trunk for a spreadsheet: trunk, girth, parts, size mark, straps to cut, tension and tilt.
#[must_use]
pub fn trunk_table(job: &Job, plan: &Plan, sums: &Calculations) -> String {
    let mut text = String::from(
        "trunk,girth [mm],cradle,cradles,serves [mm],rail,cradle straps,cradle strap [mm],\
         box straps,box strap [mm],tension [N],tilt [deg]\r\n",
    );
    let number = |value: Option<f64>, decimals| {
        value.map_or(String::new(), |v| crate::units::trimmed(v, decimals))
    };
    // Webbing is cut to whole millimetres, upward.
    let cut = |length: Option<Length>| number(length.map(|l| l.get().ceil()), 0);
    for ((trunk, gets), found) in job.trunks.iter().zip(&plan.trunks).zip(&sums.results) {
        let cradle = gets.cradle.map(|c| &plan.cradles[c].class);
        let fields = [
            quoted(&trunk.name),
            crate::units::trimmed(trunk.girth.get(), 1),
            gets.cradle.map_or(String::new(), |c| plan.cradles[c].id().to_string()),
            trunk.fixtures.to_string(),
            cradle.map_or(String::new(), |c| mark_lines(c)[1].clone()),
            gets.rail.map_or(String::new(), |r| plan.rails[r].id().to_string()),
            found.strap.map_or(String::new(), |_| job.strap.count.to_string()),
            cut(found.strap),
            found.box_strap.map_or(String::new(), |_| "2".into()),
            cut(found.box_strap),
            number(found.tension.map(Force::get), 0),
            number(found.scale.map(Angle::deg), 0),
        ];
        text.push_str(&fields.join(","));
        text.push_str("\r\n");
    }
    text
}

/// A field of a comma-separated file (RFC 4180); a leading sign that a spreadsheet would take for a
/// formula is kept as text.
fn quoted(text: &str) -> String {
    let guarded =
        if text.starts_with(['=', '+', '-', '@']) { format!("'{text}") } else { text.into() };
    if guarded.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", guarded.replace('"', "\"\""))
    } else {
        guarded
    }
}
