//! All files of a set, in memory: parts, beds, templates, pictures, tables, the job sheet.
//!
//! A [`Press`] remembers the files of parts and the pictures as long as what they show stays equal, so
//! that whoever changes one girth pays only for what changes. Pure; what does not depend on each other is
//! worked side by side on the rayon pool of the caller, and the bytes are the same on any number of
//! processors.

use rayon::prelude::*;

use super::manifest_data::trunk_table;
use super::pictures::{self, Shot};
use super::scene::PreviewMeshes;
use super::sheet::SheetInputs;
use super::{Document, DocumentError, Subject, beds, sheet, templates};
use crate::build::{BuiltPart, BuiltSolid};
use crate::design::PartId;
use crate::formats::sheet::Picture;
use crate::formats::threemf::{Object, Package};
use crate::formats::{step, stl, threemf};
use crate::params::SourceMap;
use crate::remembered::{Remembered, Same};

/// Kinds of file in a set: the folder in which such files lie, or the file without its ending.
pub(crate) const KINDS: [&str; 7] =
    ["print", "exact", "beds", "templates", "pictures", "sheet", "trunks"];

/// What of a set is asked for: names of parts, of kinds of part, of kinds of file; everything when
/// there is no name.
#[derive(Debug, Clone, Copy)]
pub struct Selection<'a>(pub &'a [String]);

impl Selection<'_> {
    /// Whether the whole set is asked for.
    #[must_use]
    pub const fn all(self) -> bool {
        self.0.is_empty()
    }

    /// Whether all files of a kind are asked for.
    #[must_use]
    pub fn files(self, kind: &str) -> bool {
        self.all() || self.0.iter().any(|name| name == kind)
    }

    /// Whether a part is asked for, by its name or its kind.
    #[must_use]
    pub fn part(self, part: &PartId) -> bool {
        self.files(&part.to_string()) || self.files(part.kind().name())
    }
}

/// What the files of a part are made from.
#[derive(Debug, PartialEq)]
struct PartFilesFrom {
    solid: Same<BuiltSolid>,
    /// Name of the job, which the files carry.
    job: String,
}

/// Mesh in two formats, and the exact solid.
#[derive(Debug)]
struct PartFiles {
    stl: Vec<u8>,
    threemf: Vec<u8>,
    step: Vec<u8>,
}

/// Makes the files of sets, and remembers what the next set may hold again.
#[derive(Debug, Default)]
pub struct Press {
    parts: Remembered<PartFilesFrom, PartFiles>,
    pictures: Remembered<Shot, Picture>,
}

impl Press {
    /// The files asked for, in a fixed order; `map` says which keys of the job file were written.
    /// Parts that an error blocks have no files.
    ///
    /// # Errors
    /// [`DocumentError`] names the file that cannot be made from a sound plan.
    pub fn files(
        &self,
        subject: &Subject<'_>,
        map: &SourceMap,
        only: Selection<'_>,
    ) -> Result<Vec<Document>, DocumentError> {
        let good = |m: &&BuiltPart| !subject.blocks(m.id());
        let good: Vec<&BuiltPart> = subject.made.iter().filter(good).collect();
        let documents = || self.documents(subject, map, only);
        let parts = || good.par_iter().map(|made| self.part(subject, made, only)).collect();
        let (documents, parts): (_, Result<Vec<_>, _>) = rayon::join(documents, parts);
        let mut all: Vec<Document> = parts?.into_iter().flatten().collect();
        all.extend(documents?);
        self.parts.sweep();
        self.pictures.sweep();
        Ok(all)
    }

    /// Everything but the parts.
    fn documents(
        &self,
        subject: &Subject<'_>,
        map: &SourceMap,
        only: Selection<'_>,
    ) -> Result<Vec<Document>, DocumentError> {
        let mut all = Vec::new();
        if only.files("templates") {
            all.extend(templates::files(subject)?);
        }
        if only.files("trunks") {
            let table = trunk_table(subject.job, subject.plan, subject.sums);
            all.push(("trunks.csv".into(), table.into_bytes()));
        }
        let (on_beds, on_sheet) = (only.files("beds"), only.files("sheet"));
        let drawn = on_sheet || only.files("pictures");
        if !on_beds && !drawn {
            return Ok(all);
        }
        let list = beds::pack(subject)?;
        let preview_meshes = PreviewMeshes::of(subject.made);
        let shots = if drawn { pictures::shots(subject, &preview_meshes)? } else { Vec::new() };
        let draw = || shots.into_par_iter().map(|s| self.picture(s)).collect::<Result<Vec<_>, _>>();
        let filled = if on_beds { list.beds.len() } else { 0 };
        let lay = || (0..filled).into_par_iter().map(|n| beds::file(subject, &list, n));
        let (pictures, laid) = rayon::join(draw, || lay().collect::<Result<Vec<_>, _>>());
        let pictures = pictures?;
        all.extend(laid?);
        if on_beds {
            all.push(("beds.csv".into(), beds::table(subject, &list).into_bytes()));
        }
        if on_sheet {
            let inputs = SheetInputs {
                map,
                beds: &list,
                pictures: &pictures,
                preview_meshes: &preview_meshes,
            };
            all.push(sheet::file(subject, &inputs)?);
        }
        if only.files("pictures") {
            let file = |(path, picture): (String, Picture)| (path, picture.content.into_bytes());
            all.extend(pictures.into_iter().map(file));
        }
        Ok(all)
    }

    fn picture(&self, shot: Shot) -> Result<(String, Picture), DocumentError> {
        let path = shot.path().to_owned();
        let picture = self.pictures.get_or_make(&path, shot, Shot::draw)?;
        Ok((path, Picture::clone(&picture)))
    }

    /// The files of one part that are asked for: mesh twice, exact solid once.
    fn part(
        &self,
        subject: &Subject<'_>,
        made: &BuiltPart,
        only: Selection<'_>,
    ) -> Result<Vec<Document>, DocumentError> {
        let name = &made.name();
        let named = only.part(made.id());
        let (print, exact) = (named || only.files("print"), named || only.files("exact"));
        if !print && !exact {
            return Ok(Vec::new());
        }
        let from =
            PartFilesFrom { solid: Same(made.solid.clone()), job: subject.job.job.name.clone() };
        let files = self.parts.get_or_make(name, from, |from| part_files(name, from))?;
        let mut all = Vec::new();
        if print {
            all.push((format!("print/{name}.stl"), files.stl.clone()));
            all.push((format!("print/{name}.3mf"), files.threemf.clone()));
        }
        if exact {
            all.push((format!("exact/{name}.step"), files.step.clone()));
        }
        Ok(all)
    }
}

fn part_files(name: &str, from: &PartFilesFrom) -> Result<PartFiles, DocumentError> {
    let fault = DocumentError::at(name);
    let solid = &from.solid.0;
    let object = Object { name, mesh: &solid.mesh };
    let package = Package { title: name, description: &from.job, objects: &[object] };
    Ok(PartFiles {
        stl: stl::stl(&solid.mesh).map_err(|e| fault(&e))?,
        threemf: threemf::threemf(&package).map_err(|e| fault(&e))?,
        step: step::step(&solid.body, name).map_err(|e| fault(&e))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{Loaded, read};
    use crate::pipeline::Pipeline;
    use crate::units::Length;

    fn files(loaded: &Loaded, pipeline: &Pipeline, press: &Press) -> Vec<Document> {
        let worked = pipeline.run(&loaded.job, &Default::default()).unwrap();
        let subject = Subject::of(&worked);
        press.files(&subject, &loaded.source_map, Selection(&[])).unwrap()
    }

    /// What is remembered may never show: after any change the bytes are those of a fresh run.
    #[test]
    fn a_remembered_set_is_the_same_to_the_byte_as_a_fresh_one() {
        let text = include_str!("../../params/one-lamp.toml");
        let edits: [fn(&mut Loaded); 6] = [
            |_| {},
            |l| l.job.trunks[0].girth = Length::mm(1130.0),
            |l| l.job.job.name = "Plum Tree".into(),
            |l| l.job.printer.infill = 0.4,
            |l| l.job.fixture.width = Length::mm(97.0),
            |l| l.job.strap.width = Length::mm(30.0),
        ];
        let (pipeline, press) = (Pipeline::default(), Press::default());
        let mut loaded = read(text).unwrap();
        loaded.job.job.deviation = Length::mm(0.2);
        for (step, edit) in edits.iter().enumerate() {
            edit(&mut loaded);
            let kept = files(&loaded, &pipeline, &press);
            let fresh = files(&loaded, &Pipeline::default(), &Press::default());
            let differ = |(a, b): &(&Document, &Document)| a != b;
            let different = kept.iter().zip(&fresh).find(differ).map(|(a, _)| &a.0);
            assert_eq!((kept.len(), different), (fresh.len(), None), "edit {step}");
        }
    }
}
