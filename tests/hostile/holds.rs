//! What must hold for any bytes that a reader is given: it ends, it does not panic, what it accepts
//! is sound, and what it refuses has a reason and a place in the text.
//!
//! The tests beside this file and the fuzz targets in `fuzz/` share it.

use std::sync::LazyLock;

use bolewright::cli::{self, Source, Sources, Style};
use bolewright::design;
use bolewright::documents::PreviousManifest;
use bolewright::formats::{Manifest, ManifestError};
use bolewright::params::{self, Draft, Job, Loaded, Place, Problem};
use bolewright::units::parse::{self, Dimension, Measure, ParseError};
use bolewright::units::{
    Angle, Charge, Current, Force, Hours, Illuminance, Length, LuminousFlux, Mass, Power, Pressure,
    Resistance, Speed, Temperature, Torque, Voltage,
};

const ONE: &str = include_str!("../../params/one-lamp.toml");

/// A sound job, for what is read beside one.
static LOADED: LazyLock<Loaded> = LazyLock::new(|| params::read(ONE).expect("the demo job reads"));

/// Bytes as the text that the readers take; the program itself refuses what is not UTF-8.
fn text(bytes: &[u8]) -> std::borrow::Cow<'_, str> {
    String::from_utf8_lossy(bytes)
}

/// Each problem has a reason and a place, and all can be shown.
fn refused(problems: &[Problem], job: &str, survey: Option<&str>) {
    assert!(!problems.is_empty(), "refused without a reason");
    for problem in problems {
        assert!(!problem.message.trim().is_empty(), "{problem:?}");
        assert!(params::MISTAKES.iter().any(|m| m.code == problem.code));
        let within = |place: &Place| {
            let own = match place.origin {
                params::Origin::JobFile => job,
                params::Origin::Survey => survey.expect("only a survey has places in one"),
            };
            assert!(own.get(place.span.clone()).is_some(), "no place in the text: {problem:?}");
        };
        within(&problem.place);
        problem.also.iter().for_each(|(_, place)| within(place));
    }
    let survey = survey.map(|text| Source { name: "survey.csv", text });
    let sources = Sources { job: Source { name: "job.toml", text: job }, survey };
    let shown = cli::problems(&sources, problems, Style::Plain);
    assert!(shown.contains(problems[0].code), "{shown}");
    let raw = shown.chars().find(|c| c.is_control() && *c != '\n');
    assert!(raw.is_none(), "{raw:?} goes to the terminal");
}

/// The reader of job files.
pub(crate) fn job(bytes: &[u8]) {
    let text = text(bytes);
    match params::read(&text) {
        Ok(loaded) => sound(&loaded.job),
        Err(problems) => refused(&problems, &text, None),
    }
}

/// What later stages rely on.
fn sound(job: &Job) {
    assert!(job.trunks.iter().all(|t| (250.0..=6000.0).contains(&t.girth.get())));
    assert!(job.tilt.min.rad() <= job.tilt.max.rad());
    assert!(job.fixture.width.get() > 0.0 && job.pad.free_thickness().get() > 0.0);
}

/// The reader of surveys.
pub(crate) fn survey(bytes: &[u8]) {
    let text = text(bytes);
    let mut draft = Draft::new(ONE, &[]);
    draft.add_survey(&text);
    match draft.finish() {
        Ok(loaded) => {
            sound(&loaded.job);
            if !loaded.notices.is_empty() {
                refused(&loaded.notices, ONE, Some(&text));
            }
        }
        Err(problems) => refused(&problems, ONE, Some(&text)),
    }
}

/// The parser of quantities, in every dimension.
pub(crate) fn quantity(bytes: &[u8]) {
    let text = text(bytes);
    one::<Length>(&text);
    one::<Angle>(&text);
    one::<Mass>(&text);
    one::<Force>(&text);
    one::<Torque>(&text);
    one::<Pressure>(&text);
    one::<Power>(&text);
    one::<Voltage>(&text);
    one::<Current>(&text);
    one::<Resistance>(&text);
    one::<Charge>(&text);
    one::<Hours>(&text);
    one::<Temperature>(&text);
    one::<Speed>(&text);
    one::<Illuminance>(&text);
    one::<LuminousFlux>(&text);
}

fn one<Q: Measure>(text: &str) {
    let Dimension { units, .. } = Q::DIMENSION;
    match parse::quantity::<Q>(text) {
        Ok(quantity) => assert!(quantity.number().is_finite(), "{text:?}"),
        Err(error) => explained(text, &error),
    }
    for unit in units {
        match parse::number_in(text, &Q::DIMENSION, unit.symbol) {
            Ok(number) => assert!(number.is_finite(), "{text:?} in {}", unit.symbol),
            Err(error) => explained(text, &error),
        }
    }
}

fn explained(text: &str, error: &ParseError) {
    use ParseError::{
        Comma, DividesByZero, Empty, MissingUnit, NotANumber, Order, TooLarge, TooLong, UnknownUnit,
    };
    assert!(error.to_string().len() < 500, "{error}");
    match error {
        Empty { .. } => assert!(text.trim().is_empty(), "{text:?}: {error}"),
        TooLong { length, .. } => assert_eq!(*length, text.len()),
        TooLarge { found } => assert!(text.contains(found.as_str()), "{text:?}: {error}"),
        NotANumber { at, .. }
        | Comma { at, .. }
        | UnknownUnit { at, .. }
        | MissingUnit { at, .. }
        | Order { at, .. }
        | DividesByZero { at, .. } => assert!(text.is_char_boundary(*at), "{text:?}: {error}"),
    }
}

/// The reader of manifests, and what next year's run takes from one.
pub(crate) fn manifest(bytes: &[u8]) {
    match Manifest::parse(bytes) {
        Ok(manifest) => {
            let again = manifest.to_bytes().expect("what was read can be written");
            assert_eq!(Manifest::parse(&again).as_ref(), Ok(&manifest));
            if let Ok(earlier) = PreviousManifest::read(manifest) {
                for already_printed in [false, true] {
                    let _ = design::plan(&LOADED.job, &earlier.set(already_printed));
                }
            }
        }
        Err(ManifestError::Unreadable(why)) => {
            assert!(why.contains("line ") && why.contains(" column "), "no place: {why}");
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}
