//! An earlier set: the prints that there are, what each is known by, and what becomes of them.
//!
//! Cradles, rails, boxes and tilt plates go one way: what a print serves is told by its
//! [`PrintRecord`]. Prints that serve are used again; all others stay known, so that another year can
//! take them down from the shelf, and so that no new print bears their letters.

use serde::{Deserialize, Serialize};

use super::as_made::Making;
use super::job_plan::{SizeClass, SizeKind};
use super::print_record::PrintRecord;
use crate::engineering::pull::{self, Hung};
use crate::engineering::sizes::{Printed, Size, SizeRule};
use crate::units::Length;

/// What a print is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum PrintKind {
    /// A cradle.
    Cradle,
    /// A rail of the box.
    Rail,
    /// Box body and lid.
    Box,
    /// The plate between a lamp with a hole pattern and the ears.
    TiltPlate,
}

impl From<SizeKind> for PrintKind {
    fn from(kind: SizeKind) -> Self {
        match kind {
            SizeKind::Cradle => Self::Cradle,
            SizeKind::Rail => Self::Rail,
        }
    }
}

/// Copies of one print.
#[derive(Debug, Clone, PartialEq)]
pub struct Print {
    /// What it is.
    pub kind: PrintKind,
    /// Letters engraved; empty on parts that are the same on all trunks.
    pub mark: String,
    /// Its face and the girths that it serves, where it lies on a trunk.
    pub size: Option<Size>,
    /// What it is known by.
    pub record: PrintRecord,
    /// Copies that there are when all is printed.
    pub copies: u32,
    /// Copies among them that nothing takes this year.
    pub spare: u32,
}

/// The spare copies as a person would list them: `2 x cradle-a`.
impl std::fmt::Display for Print {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let name = match self.kind {
            PrintKind::Cradle => SizeKind::Cradle.part(&self.mark).to_string(),
            PrintKind::Rail => SizeKind::Rail.part(&self.mark).to_string(),
            PrintKind::Box => "box".into(),
            PrintKind::TiltPlate => "tilt-plate".into(),
        };
        write!(f, "{} x {name}", self.spare)
    }
}

/// A trunk of an earlier set.
#[derive(Debug, Clone, PartialEq)]
pub struct PreviousTrunk {
    /// Its name in the job file.
    pub name: String,
    /// Its girth then.
    pub girth: Length,
    /// Its cradle, an index into [`PreviousSet::prints`], and how many it had.
    pub cradle: Option<(usize, u32)>,
    /// The same for its rails.
    pub rail: Option<(usize, u32)>,
}

/// An earlier set.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PreviousSet {
    /// Whether its parts were printed; otherwise only its sizes and marks are used again, and every
    /// copy is still to be printed.
    pub already_printed: bool,
    /// All prints that there are.
    pub prints: Vec<Print>,
    /// Who had which.
    pub trunks: Vec<PreviousTrunk>,
    /// Thickness of its foam.
    pub foam: Option<Length>,
}

impl PreviousSet {
    /// The prints of one kind, and who had them.
    pub(super) fn sizes(&self, kind: SizeKind) -> PreviousPrints {
        let kind_of_print = PrintKind::from(kind);
        let mut index = vec![None; self.prints.len()];
        let mut sizes = PreviousPrints::default();
        for (n, print) in self.prints.iter().enumerate() {
            if let (true, Some(size)) = (print.kind == kind_of_print, print.size) {
                index[n] = Some(sizes.sizes.len());
                sizes.sizes.push(size);
                sizes.copies.push(print.copies);
                sizes.marks.push(print.mark.clone());
                sizes.records.push(print.record.clone());
            }
        }
        let trunks = self.trunks.iter().map(|trunk| {
            let had = match kind {
                SizeKind::Cradle => trunk.cradle,
                SizeKind::Rail => trunk.rail,
            };
            let (name, girth, copies) = (trunk.name.clone(), trunk.girth, had.map_or(0, |h| h.1));
            let size = had.and_then(|(print, _)| index.get(print).copied().flatten());
            TrunkBefore { name, girth, size, copies, misfit: None }
        });
        sizes.trunks = trunks.collect();
        sizes
    }

    /// Prints and spares of one kind of size when the classes of this year are printed.
    pub(super) fn after(
        &self,
        kind: SizeKind,
        classes: &[(&SizeClass, &PrintRecord)],
    ) -> Vec<Print> {
        let kind = PrintKind::from(kind);
        let had: Vec<&Print> = self.prints_of(kind).collect();
        let mut all: Vec<Print> = Vec::new();
        for (class, record) in classes {
            let old = had.iter().find(|p| class.kept && p.mark == class.mark);
            let reused = class.copies - class.prints;
            let spare = old.map_or(0, |p| p.copies.saturating_sub(reused));
            all.push(Print {
                kind,
                mark: class.mark.clone(),
                size: Some(class.size),
                record: (*record).clone(),
                copies: class.copies + spare,
                spare,
            });
        }
        let kept = |mark: &str| classes.iter().any(|(c, _)| c.kept && c.mark == mark);
        let idle = had.into_iter().filter(|p| p.copies > 0 && !kept(&p.mark));
        all.extend(idle.map(|p| Print { spare: p.copies, ..p.clone() }));
        all
    }

    /// The prints of one kind, where the set was printed.
    pub(super) fn prints_of(&self, kind: PrintKind) -> impl Iterator<Item = &Print> {
        self.prints.iter().filter(move |p| self.already_printed && p.kind == kind)
    }

    /// Parts that are the same on all trunks: all that there are when `wanted` of what is asked are
    /// there, and how many have still to be printed.
    pub(super) fn shared(
        &self,
        kind: PrintKind,
        asked: Option<&PrintRecord>,
        wanted: u32,
    ) -> (Vec<Print>, u32) {
        let mut all: Vec<Print> =
            self.prints_of(kind).map(|p| Print { spare: p.copies, ..p.clone() }).collect();
        let Some(asked) = asked else { return (all, 0) };
        let mut left = wanted;
        for print in &mut all {
            if let (1.., Ok(record)) = (left, print.record.serves(asked)) {
                let taken = left.min(print.spare);
                left -= taken;
                print.spare -= taken;
                print.record = record;
            }
        }
        if left > 0 {
            match all.iter_mut().find(|p| p.record == *asked) {
                Some(same) => same.copies += left,
                None => all.push(Print {
                    kind,
                    mark: String::new(),
                    size: None,
                    record: asked.clone(),
                    copies: left,
                    spare: 0,
                }),
            }
        }
        (all, left)
    }
}

/// A trunk of an earlier set, as the sizes of one kind see it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TrunkBefore {
    /// Its name in the job file.
    pub name: String,
    /// Its girth then.
    pub girth: Length,
    /// Its size, an index into [`PreviousPrints::sizes`]; one that is out of range counts as none.
    pub size: Option<usize>,
    /// How many parts it had.
    pub copies: u32,
    /// Why its print serves no longer, whatever the girth.
    pub misfit: Option<String>,
}

/// Prints of one kind that there are; for each size its copies, letters and record.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct PreviousPrints {
    /// Their sizes.
    pub sizes: Vec<Size>,
    /// All copies of each size.
    pub copies: Vec<u32>,
    /// Letters engraved on each size.
    pub marks: Vec<String>,
    /// What each size is known by.
    pub records: Vec<PrintRecord>,
    /// Each size as it was drawn, and what hangs on it today; empty until [`PreviousPrints::drawn_as`].
    pub drawn: Vec<(pull::Print, Hung)>,
    /// What is asked of each size beyond what it was proven for, if anything; empty until it is asked.
    pub beyond: Vec<Option<String>>,
    /// Who had which.
    pub trunks: Vec<TrunkBefore>,
}

impl PreviousPrints {
    /// With each size as it was drawn.
    pub(super) fn drawn_as(
        mut self,
        draw: impl Fn(&Size, &PrintRecord) -> (pull::Print, Hung),
    ) -> Self {
        self.drawn = self.sizes.iter().zip(&self.records).map(|(s, r)| draw(s, r)).collect();
        self
    }

    /// The sizes as the choice of sizes takes them; one of which the drawing is not known is taken as
    /// today's.
    pub(super) fn printed(&self, rule: &SizeRule<'_>) -> Vec<Printed> {
        let sizes = self.sizes.iter().enumerate();
        let printed = sizes.map(|(n, &size)| {
            let today = || (rule.print)(size.face_radius, size.half_width);
            let (print, hung) = self.drawn.get(n).copied().unwrap_or_else(today);
            Printed { size, print, hung }
        });
        printed.collect()
    }

    /// Without the prints that do not serve what is asked of their size; their trunks are told why.
    pub(super) fn that_serve(&self, asked: impl Fn(&Size, &PrintRecord) -> PrintRecord) -> Self {
        let mut left = Self { trunks: self.trunks.clone(), ..Self::default() };
        let mut moved = Vec::new();
        for (n, (size, record)) in self.sizes.iter().zip(&self.records).enumerate() {
            let asked = asked(size, record);
            moved.push(match record.serves(&asked) {
                Ok(_) => {
                    left.beyond.push(record.beyond(&asked));
                    left.sizes.push(*size);
                    left.copies.push(self.copies[n]);
                    left.marks.push(self.marks[n].clone());
                    left.records.push(record.clone());
                    Ok(left.sizes.len() - 1)
                }
                Err(misfit) => Err(misfit),
            });
        }
        for trunk in &mut left.trunks {
            match trunk.size.and_then(|s| moved.get(s)) {
                Some(Ok(size)) => trunk.size = Some(*size),
                Some(Err(misfit)) => (trunk.size, trunk.misfit) = (None, Some(misfit.clone())),
                None => trunk.size = None,
            }
        }
        left
    }

    /// How each size was made, where its record does not tell as today's.
    pub(super) fn makings(&self, today: &Making) -> impl Iterator<Item = Making> {
        self.sizes.iter().zip(&self.records).map(|(size, record)| Making::of(size, record, today))
    }

    /// How a kept size was made.
    pub(super) fn making(&self, class: &SizeClass, today: &Making) -> Option<Making> {
        let n = self.marks.iter().position(|m| class.kept && *m == class.mark)?;
        Some(Making::of(&self.sizes[n], &self.records[n], today))
    }

    /// What the copies of a size are known by when this year's are printed.
    pub(super) fn known(
        &self,
        class: &SizeClass,
        already_printed: bool,
        asked: impl Fn(&Size, &PrintRecord) -> PrintRecord,
        drawn: &PrintRecord,
    ) -> PrintRecord {
        let old = self.marks.iter().position(|m| class.kept && *m == class.mark);
        let old = old.filter(|_| already_printed).map(|n| &self.records[n]);
        let served = |old: &PrintRecord| old.serves(&asked(&class.size, old)).ok();
        match old.and_then(|old| Some((old, served(old)?))) {
            None => drawn.clone(),
            Some((_, known)) if class.prints == 0 => known,
            Some((old, _)) => old.beside(drawn),
        }
    }
}
