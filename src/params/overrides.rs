//! Values given on the command line: `strap.width=30` in place of what the job file says.

use std::ops::Range;
use std::str::FromStr;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::problem::Problem;
use super::reader::{Draft, Reader};
use super::spec::Field;
use super::value::Table;
use super::{Trunk, meant, text};
use crate::finding::KeyPath;
use crate::units::Length;
use crate::units::parse::{self, Measure};

/// A key of the job file and the text that replaces its value.
///
/// The text is TOML when it can be (`30`, `true`, `[220, 220, 250]`), and plain text otherwise, so
/// that `strap.width=30 mm` and `feed.layout=loop` need no quotes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Override {
    key: KeyPath,
    value: String,
}

/// Why a text is no override.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{found}\" is not in the form {form}")]
pub struct OverrideError {
    form: &'static str,
    found: String,
}

impl OverrideError {
    fn new(form: &'static str, found: &str) -> Self {
        /// Characters of a wrong text that are repeated.
        const SHOWN: usize = 80;
        Self { form, found: found.chars().take(SHOWN).collect() }
    }
}

impl FromStr for Override {
    type Err = OverrideError;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text.split_once('=') {
            Some((key, value)) if !key.trim().is_empty() => {
                Ok(Self { key: KeyPath::new(key.trim()), value: value.trim().to_owned() })
            }
            _ => Err(OverrideError::new("KEY=VALUE such as strap.width=30", text)),
        }
    }
}

/// The girth of one trunk, measured again: `Old Lime=1.19m`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GirthOverride {
    trunk: String,
    girth: String,
}

impl FromStr for GirthOverride {
    type Err = OverrideError;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text.rsplit_once('=') {
            Some((trunk, girth)) if !trunk.trim().is_empty() => {
                Ok(Self { trunk: trunk.trim().to_owned(), girth: girth.trim().to_owned() })
            }
            _ => Err(OverrideError::new("TRUNK=LENGTH such as \"Old Lime=1.19 m\"", text)),
        }
    }
}

impl Draft {
    /// Replaces girths by trunk name, of the job file and of the survey alike. A name that no trunk
    /// has, a girth that is no length, and one outside the range of girths are mistakes.
    pub fn set_girths(&mut self, girths: &[GirthOverride]) {
        let is_of_trunk = |key: &KeyPath| key.as_str().starts_with("trunk");
        let has_every_name = self.has_all_trunks && !self.reader.failed.iter().any(is_of_trunk);
        for GirthOverride { trunk: name, girth } in girths {
            let wanted = name.to_lowercase();
            let index = self.job.trunks.iter().position(|t| t.name.to_lowercase() == wanted);
            let key = index.map_or(KeyPath::new("trunk"), |i| KeyPath::trunk(i, "girth"));
            let argument = format!("--girth \"{name}={girth}\"");
            let said = match index {
                None if !has_every_name => continue,
                None => {
                    let names: Vec<&str> =
                        self.job.trunks.iter().map(|t| t.name.as_str()).collect();
                    let near = text::nearest(name, names.iter().copied());
                    let remedy = near.map_or_else(
                        || format!("the trunks are {}", text::listed(&names)),
                        |near| format!("write \"{near}={girth}\" if that was meant"),
                    );
                    Err(("no trunk has this name".to_owned(), remedy))
                }
                Some(index) => read_girth(girth)
                    .map(|g| (index, g))
                    .map_err(|error| (error.to_string(), girth_remedy(girth))),
            };
            match said {
                Ok((index, length)) => {
                    self.job.trunks[index].girth = length;
                    self.reader.map.insert_given(key, argument);
                }
                Err((mistake, remedy)) => {
                    let mut problem =
                        Problem::new("bad-override", self.reader.map.place(&key), mistake)
                            .with_key(key)
                            .with_remedy(remedy);
                    problem.place.given = Some(argument);
                    self.reader.problems.push(problem);
                }
            }
        }
    }
}

/// Why a text is no girth of a trunk.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum GirthError {
    /// No length.
    #[error(transparent)]
    Unread(#[from] parse::ParseError),
    /// No trunk that a job may have is so thin or so thick.
    #[error("a girth of {girth} is outside the range of {allowed}")]
    Outside {
        /// As read.
        girth: Length,
        /// The range of `trunk.girth`.
        allowed: String,
    },
}

/// What to write instead of a girth that [`read_girth`] refuses.
#[must_use]
pub(crate) fn girth_remedy(text: &str) -> String {
    let field = Trunk::spec().field("girth");
    let remedy = match parse::quantity::<Length>(text) {
        Ok(_) => field.and_then(|f| meant::units(text.trim(), f)),
        Err(_) => meant::quantity(text, &Length::DIMENSION, field.and_then(|f| f.range.as_ref())),
    };
    remedy.unwrap_or_else(|| "write a girth such as \"1.19 m\" or \"44 1/2 in\"".into())
}

/// A girth from the command line, within the range that a job file may give: `1.19 m`.
///
/// # Errors
/// [`GirthError`] for a text that is no length, and for one outside the range.
pub(crate) fn read_girth(text: &str) -> Result<Length, GirthError> {
    let girth: Length = parse::quantity(text)?;
    let field = Trunk::spec().field("girth");
    match field.and_then(|f| f.range.as_ref()) {
        Some(range) if !range.contains(&girth.get()) => {
            let allowed = field.and_then(Field::range_text).unwrap_or_default();
            Err(GirthError::Outside { girth, allowed })
        }
        _ => Ok(girth),
    }
}

/// Steps of the longest key; no table of a job lies so deep, and a tree of any depth would use up the
/// stack.
const DEEPEST: usize = 16;

/// Puts the replacements into the tree; what names no place in it is reported.
pub(crate) fn apply<'i>(tree: &mut DeTable<'i>, overrides: &'i [Override], reader: &mut Reader) {
    for one in overrides {
        let argument = format!("--set {}={}", one.key, one.value);
        let here = reader.map.place(&KeyPath::new("")).span;
        let steps: Option<Vec<Step<'_>>> = one.key.as_str().split('.').map(step).collect();
        let done = match steps {
            Some(steps) if steps.len() > DEEPEST => Err(format!(
                "this key has {} steps, and no key has more than {DEEPEST}",
                steps.len()
            )),
            Some(steps) => put(tree, &steps, here.clone(), &one.value),
            None => Err("this is no key: write table.key or table[0].key".to_owned()),
        };
        match done {
            Ok(()) => reader.map.insert_given(one.key.clone(), argument),
            Err(mistake) => {
                let mut problem = Problem::in_job("bad-override", here, mistake);
                problem.place.given = Some(text::short(&argument));
                reader.problems.push(problem);
            }
        }
    }
}

/// One step of a dotted key: a name, and the index behind it.
type Step<'k> = (&'k str, Option<usize>);

fn step(text: &str) -> Option<Step<'_>> {
    let (name, index) = match text.split_once('[') {
        Some((name, rest)) => (name, Some(rest.strip_suffix(']')?.parse().ok()?)),
        None => (text, None),
    };
    (!name.is_empty()).then_some((name, index))
}

fn put<'i>(
    table: &mut DeTable<'i>,
    steps: &[Step<'_>],
    here: Range<usize>,
    value: &'i str,
) -> Result<(), String> {
    let Some(((name, index), rest)) = steps.split_first() else { return Ok(()) };
    let here = table.get(*name).map_or(here, Spanned::span);
    if !table.contains_key(*name) {
        if index.is_some() {
            return Err(format!("the job file has no {name} to count in"));
        }
        let key = Spanned::new(here.clone(), (*name).to_owned().into());
        table.insert(key, Spanned::new(here.clone(), DeValue::Table(DeTable::new())));
    }
    let Some(mut slot) = table.get_mut(*name) else { return Ok(()) };
    if let Some(index) = index {
        let DeValue::Array(array) = slot.get_mut() else {
            return Err(format!("{name} is no list to count in"));
        };
        let count = array.len();
        slot = array
            .get_mut(*index)
            .ok_or_else(|| format!("{name} has only {count}, counted from 0"))?;
    }
    if rest.is_empty() {
        let span = slot.span();
        *slot = parsed(value, &span)?;
        return Ok(());
    }
    let here = slot.span();
    match slot.get_mut() {
        DeValue::Table(inner) => put(inner, rest, here, value),
        DeValue::Array(_) => {
            Err(format!("there may be several of {name}: write {name}[0] for the first"))
        }
        _ => Err(format!("{name} is no table and has no keys")),
    }
}

fn parsed<'i>(text: &'i str, span: &Range<usize>) -> Result<Spanned<DeValue<'i>>, String> {
    let value = match DeValue::parse(text) {
        Ok(value) => value,
        Err(_) => Spanned::new(0..0, DeValue::String(text.into())),
    };
    placed(value, span).ok_or_else(|| "this is a table: set its keys one by one".to_owned())
}

/// The value with every range moved to the place that it replaces.
fn placed<'i>(value: Spanned<DeValue<'i>>, span: &Range<usize>) -> Option<Spanned<DeValue<'i>>> {
    let value = match value.into_inner() {
        DeValue::Array(array) => {
            let mut moved = DeArray::new();
            for element in array {
                moved.push(placed(element, span)?);
            }
            DeValue::Array(moved)
        }
        DeValue::Table(_) => return None,
        plain => plain,
    };
    Some(Spanned::new(span.clone(), value))
}
