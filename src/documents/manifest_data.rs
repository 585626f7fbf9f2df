//! What a manifest says about its set: parts, prints, trunks, margins, lists, findings.
//!
//! Numbers are JSON numbers. A key ends in the unit of its number (`_mm`, `_kg`, `_n`, `_deg`); shares,
//! counts and marks have none. How a number comes about is shown in the papers of the set and by the
//! command `sums`. Next year's run reads prints and trunks back (see [`super::previous_manifest`]);
//! everything else is for people and programs. `params/manifest.schema.json` is made from these types.

use serde::{Deserialize, Serialize};

use crate::assessment::lists::Lists;
use crate::assessment::{Calculations, Section, TrunkResults};
use crate::build::{BuiltPart, mark_lines};
use crate::design::previous::{Print, PrintKind};
use crate::design::print_record::PrintRecord;
use crate::design::reuse::{Change, ReuseDecision};
use crate::design::{Plan, SizeKind};
use crate::finding::{Finding, Severity};
use crate::params::Job;
use crate::units::{Angle, Force, Illuminance, Length, settled};

/// The schema of a whole manifest: JSON Schema, draft-07.
pub(crate) const SCHEMA: &str = include_str!("../../params/manifest.schema.json");

/// A struct of a manifest.
macro_rules! entry {
    ($(#[$meta:meta])* $name:ident { $($(#[$field_meta:meta])* $field:ident : $type:ty,)* }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Serialize)]
        #[cfg_attr(test, derive(schemars::JsonSchema))]
        pub struct $name { $($(#[$field_meta])* pub $field: $type,)* }
    };
}

entry! {
    /// What a manifest says about its set.
    ManifestData {
        /// Program and version.
        made_by: String,
        /// The job's name.
        job: String,
        /// Parts of the set.
        parts: Vec<PartEntry>,
        /// Every print that there is when the set is printed, those included that nothing takes.
        prints: Vec<PrintEntry>,
        /// What each trunk gets, and how it is mounted.
        trunks: Vec<TrunkEntry>,
        /// What happens on each trunk since the earlier set whose parts are printed.
        changes: Vec<ChangeEntry>,
        /// How far each sum with a limit is from it.
        margins: Vec<MarginEntry>,
        /// What to buy and to cut.
        lists: ListsEntry,
        /// Findings of the run.
        findings: Vec<FindingEntry>,
    }
}

entry! {
    /// One distinct part.
    PartEntry {
        /// File stem.
        name: String,
        /// Kind of part.
        kind: String,
        /// Copies wanted.
        copies: u32,
        /// Copies that have still to be printed.
        prints: u32,
        /// Names of the trunks that get it; empty when it is not tied to a trunk.
        trunks: Vec<String>,
        /// Size of the bounding box in print pose.
        bounding_box_mm: [f64; 3],
        /// Volume of the mesh.
        volume_mm3: f64,
        /// Volume of the exact solid.
        exact_volume_mm3: f64,
        /// Area of the mesh.
        area_mm2: f64,
        /// Triangles of the mesh.
        triangles: usize,
        /// Handles: through holes.
        genus: usize,
    }
}

/// Copies of one print, and what it is known by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PrintEntry {
    /// What it is.
    pub kind: PrintKind,
    /// Letters engraved; absent on parts that are the same on all trunks.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub mark: String,
    /// Its face and the girths that it serves, where it lies on a trunk.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<SizeEntry>,
    /// Copies that there are when the set is printed.
    pub copies: u32,
    /// Copies among them that nothing takes.
    #[serde(default)]
    pub spare: u32,
    /// What it serves.
    #[serde(flatten)]
    pub record: PrintRecord,
}

/// Face of a print, and the girths that it serves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SizeEntry {
    /// Radius of the face.
    pub face_radius_mm: f64,
    /// Half the pad's chord.
    pub half_width_mm: f64,
    /// Thinnest girth served.
    pub girth_from_mm: f64,
    /// Thickest girth served.
    pub girth_to_mm: f64,
}

entry! {
    /// What a trunk gets, and the numbers that it is mounted by; a number is absent where its sum is.
    TrunkEntry {
        /// The trunk's name.
        name: String,
        /// Its girth when the set was made.
        girth_mm: f64,
        /// Cradle part.
        cradle: Option<String>,
        /// Cradles on this trunk.
        cradles: u32,
        /// Rail part, when the box hangs here.
        rail: Option<String>,
        /// Rails on this trunk.
        rails: u32,
        /// Bearings of the lamps round the trunk, from the first.
        bearings_deg: Vec<f64>,
        /// Webbing to cut for each strap of the cradles.
        strap_mm: Option<f64>,
        /// Webbing to cut for each of the two straps of the box.
        box_strap_mm: Option<f64>,
        /// Least tension of a cradle strap.
        least_tension_n: Option<f64>,
        /// Most tension of a cradle strap.
        most_tension_n: Option<f64>,
        /// Tension to pull the cradle straps to.
        tension_n: Option<f64>,
        /// Tension to pull the straps of the box to.
        box_tension_n: Option<f64>,
        /// What the tilt scale must show.
        tilt_deg: Option<f64>,
        /// Diameter of the lit spot at the crown's base.
        spot_mm: Option<f64>,
        /// Light at the crown's base.
        light_lx: Option<f64>,
    }
}

entry! {
    /// What happens on a trunk.
    ChangeEntry {
        /// Cradle or rail.
        kind: PrintKind,
        /// Name of the trunk.
        trunk: String,
        /// Keep, reprint, new or unserved.
        decision: ReuseDecision,
        /// Parts taken from those that other trunks gave up.
        handed_on: u32,
        /// Parts to print.
        prints: u32,
        /// Why, for a person.
        reason: String,
    }
}

entry! {
    /// How far a sum is from its limit.
    MarginEntry {
        /// Trunks that it holds for; empty where it holds for the whole job.
        trunks: Vec<String>,
        /// The sums to which it belongs.
        section: String,
        /// What is found.
        sum: String,
        /// Room left up to the limit, a share of the limit; negative where it fails; none for a
        /// temperature.
        margin: Option<f64>,
        /// Whether the result is on the right side of its limit.
        holds: bool,
    }
}

entry! {
    /// What to buy and to cut.
    ListsEntry {
        /// Screws, washers, nuts, inserts, glands, fuses, lanyards.
        buy: Vec<BuyEntry>,
        /// Webbing to cut.
        straps: Vec<StrapEntry>,
        /// Width of the webbing.
        webbing_width_mm: f64,
        /// Webbing in all.
        webbing_mm: f64,
        /// Foam to cut.
        pads: Vec<PadEntry>,
        /// Gaskets of the lids; none without a box.
        gasket: Option<GasketEntry>,
        /// Cable to cut.
        cables: Vec<CableEntry>,
    }
}

entry! {
    /// Something to buy.
    BuyEntry {
        /// How many.
        count: u32,
        /// Designation.
        name: String,
        /// Where it goes.
        place: String,
    }
}

entry! {
    /// Straps of one length.
    StrapEntry {
        /// Trunk.
        trunk: String,
        /// `cradles` or `box`.
        holds: String,
        /// How many.
        count: u32,
        /// Length of each.
        length_mm: f64,
        /// Sleeve that each lies in where it would touch bark.
        sleeve_mm: Option<f64>,
    }
}

entry! {
    /// Foam pads of one size.
    PadEntry {
        /// Part on which they lie.
        part: String,
        /// How many.
        count: u32,
        /// Round the face.
        width_mm: f64,
        /// Along the trunk.
        height_mm: f64,
        /// Free thickness.
        thickness_mm: f64,
    }
}

entry! {
    /// Gaskets of one length.
    GasketEntry {
        /// How many.
        count: u32,
        /// Cord or strip, with its size.
        name: String,
        /// Length of each.
        length_mm: f64,
    }
}

entry! {
    /// One piece of two-core cable.
    CableEntry {
        /// Where it begins.
        from: String,
        /// Where it ends.
        to: String,
        /// Conductor.
        conductor: String,
        /// Length between the two, as measured.
        length_mm: f64,
    }
}

entry! {
    /// A finding; its message is for a person.
    FindingEntry {
        /// The name that `why` takes.
        code: String,
        /// Note, warning or error.
        severity: String,
        /// What was found.
        message: String,
        /// Parts concerned; those of an error are not written.
        parts: Vec<String>,
        /// Keys of the job file that caused it.
        keys: Vec<String>,
        /// What cures it.
        remedies: Vec<RemedyEntry>,
    }
}

entry! {
    /// A change of the job file.
    RemedyEntry {
        /// The key.
        key: String,
        /// What to write.
        change: String,
    }
}

impl ManifestData {
    /// The account of what was made.
    #[must_use]
    pub fn new(
        job: &Job,
        plan: &Plan,
        made: &[BuiltPart],
        sums: &Calculations,
        findings: &[Finding],
    ) -> Self {
        let trunks = job.trunks.iter().zip(&plan.trunks).zip(&sums.results);
        let trunks = trunks.map(|((trunk, gets), figures)| TrunkEntry {
            name: trunk.name.clone(),
            girth_mm: trunk.girth.get(),
            cradle: gets.cradle.map(|c| plan.cradles[c].id().to_string()),
            cradles: trunk.fixtures,
            rail: gets.rail.map(|r| plan.rails[r].id().to_string()),
            rails: if gets.rail.is_some() { 2 } else { 0 },
            ..mounting(figures)
        });
        let changes = plan.changes.iter().filter(|_| plan.already_printed);
        let whole = sums.report.job.iter().flat_map(|s| margins(&[], s));
        let own = sums.report.trunks.iter();
        let own = own.flat_map(|t| t.sections.iter().flat_map(|s| margins(&t.trunks, s)));
        Self {
            made_by: concat!("Bolewright ", env!("CARGO_PKG_VERSION")).into(),
            job: job.job.name.clone(),
            parts: made.iter().map(|m| part_entry(job, m)).collect(),
            prints: plan.prints.iter().map(print_entry).collect(),
            trunks: trunks.collect(),
            changes: changes.map(|(kind, change)| change_entry(*kind, change)).collect(),
            margins: whole.chain(own).collect(),
            lists: lists_entry(&sums.lists),
            findings: findings.iter().map(finding_entry).collect(),
        }
    }
}

fn mm(length: Length) -> f64 {
    settled(length.get())
}

fn mounting(figures: &TrunkResults) -> TrunkEntry {
    let force = |f: Option<Force>| f.map(|f| settled(f.get()));
    TrunkEntry {
        name: String::new(),
        girth_mm: 0.0,
        cradle: None,
        cradles: 0,
        rail: None,
        rails: 0,
        bearings_deg: figures.bearings.iter().map(|b| settled(b.deg())).collect(),
        strap_mm: figures.strap.map(mm),
        box_strap_mm: figures.box_strap.map(mm),
        least_tension_n: force(figures.window.map(|w| w[0])),
        most_tension_n: force(figures.window.map(|w| w[1])),
        tension_n: force(figures.tension),
        box_tension_n: force(figures.box_tension),
        tilt_deg: figures.scale.map(|a| settled(a.deg())),
        spot_mm: figures.spot.map(mm),
        light_lx: figures.light.map(Illuminance::get).map(settled),
    }
}

fn margins<'a>(
    trunks: &'a [String],
    section: &'a Section,
) -> impl Iterator<Item = MarginEntry> + use<'a> {
    section.lines.iter().filter_map(|line| {
        Some(MarginEntry {
            trunks: trunks.to_vec(),
            section: section.title.clone(),
            sum: line.title.clone(),
            margin: line.margin,
            holds: line.holds?,
        })
    })
}

fn part_entry(job: &Job, made: &BuiltPart) -> PartEntry {
    PartEntry {
        name: made.name(),
        kind: made.id().kind().name().into(),
        copies: made.spec.copies,
        prints: made.spec.prints,
        trunks: made.spec.trunks.iter().map(|&t| job.trunks[t].name.clone()).collect(),
        bounding_box_mm: made.report.bounds.size().map(mm),
        volume_mm3: settled(made.report.volume.get()),
        exact_volume_mm3: settled(made.exact_volume.get()),
        area_mm2: settled(made.report.area.get()),
        triangles: made.report.triangles,
        genus: made.report.genus,
    }
}

/// A face to its last bit: a copy printed next year is the same file.
fn print_entry(print: &Print) -> PrintEntry {
    PrintEntry {
        kind: print.kind,
        mark: print.mark.clone(),
        size: print.size.map(|size| SizeEntry {
            face_radius_mm: size.face_radius.get(),
            half_width_mm: size.half_width.get(),
            girth_from_mm: size.girth_from.get(),
            girth_to_mm: size.girth_to.get(),
        }),
        copies: print.copies,
        spare: print.spare,
        record: print.record.clone(),
    }
}

fn change_entry(kind: SizeKind, change: &Change) -> ChangeEntry {
    ChangeEntry {
        kind: kind.into(),
        trunk: change.trunk.clone(),
        decision: change.decision,
        handed_on: change.handed_on,
        prints: change.prints,
        reason: change.reason.clone(),
    }
}

fn lists_entry(lists: &Lists) -> ListsEntry {
    ListsEntry {
        buy: lists
            .buy
            .iter()
            .map(|b| BuyEntry { count: b.count, name: b.name.clone(), place: b.place.clone() })
            .collect(),
        straps: lists
            .straps
            .iter()
            .map(|s| StrapEntry {
                trunk: s.trunk.clone(),
                holds: s.holds.into(),
                count: s.count,
                length_mm: mm(s.length),
                sleeve_mm: s.sleeve.map(mm),
            })
            .collect(),
        webbing_width_mm: mm(lists.webbing),
        webbing_mm: mm(lists.webbing_total),
        pads: lists
            .pads
            .iter()
            .map(|p| PadEntry {
                part: p.part.clone(),
                count: p.count,
                width_mm: mm(p.width),
                height_mm: mm(p.height),
                thickness_mm: mm(p.thickness),
            })
            .collect(),
        gasket: lists.gasket.as_ref().map(|g| GasketEntry {
            count: g.count,
            name: g.name.clone(),
            length_mm: mm(g.length),
        }),
        cables: lists
            .cables
            .iter()
            .map(|c| CableEntry {
                from: c.from.clone(),
                to: c.to.clone(),
                conductor: c.conductor.clone(),
                length_mm: mm(c.length),
            })
            .collect(),
    }
}

fn finding_entry(finding: &Finding) -> FindingEntry {
    let severity = match finding.severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Error => "error",
    };
    FindingEntry {
        code: finding.code.into(),
        severity: severity.into(),
        message: finding.message.clone(),
        parts: finding.parts.clone(),
        keys: finding.keys.iter().map(|k| k.as_str().to_owned()).collect(),
        remedies: finding
            .remedies
            .iter()
            .map(|r| RemedyEntry { key: r.key.as_str().into(), change: r.text() })
            .collect(),
    }
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
            found.strap.map_or(String::new(), |_| found.straps.to_string()),
            cut(found.strap),
            found.box_strap.map_or(String::new(), |_| found.box_straps.to_string()),
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

#[cfg(test)]
mod tests;
