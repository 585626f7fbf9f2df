//! Values given on the command line: `strap.width=30` in place of what the job file says.

use std::ops::Range;
use std::str::FromStr;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::problem::Problem;
use super::reader::{Loaded, Reader};
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
#[error("expected {form}, found `{found}`")]
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

impl Loaded {
    /// Replaces girths by trunk name, of the job file and of the survey alike.
    ///
    /// # Errors
    /// A name that no trunk has, a girth that is no length, or one outside the range of girths.
    pub fn set_girths(&mut self, girths: &[GirthOverride]) -> Result<(), Vec<Problem>> {
        let mut problems = Vec::new();
        for GirthOverride { trunk: name, girth } in girths {
            let wanted = name.to_lowercase();
            let index = self.job.trunks.iter().position(|t| t.name.to_lowercase() == wanted);
            let key = index.map_or(KeyPath::new("trunk"), |i| KeyPath::trunk(i, "girth"));
            let place = self.source_map.place(&key);
            let said = match index {
                None => {
                    let names = self.job.trunks.iter().map(|t| t.name.as_str());
                    let near = text::nearest(name, names);
                    let remedy = near.map_or_else(
                        || named(&self.job.trunks),
                        |near| format!("did you mean \"{near}\"?"),
                    );
                    Err(("no trunk has this name".to_owned(), remedy))
                }
                Some(index) => read_girth(girth)
                    .map(|g| (index, g))
                    .map_err(|error| (error.to_string(), girth_remedy(girth))),
            };
            match said {
                Ok((index, length)) => self.job.trunks[index].girth = length,
                Err((mistake, remedy)) => {
                    let message = format!("`{name}={girth}`: {mistake}");
                    let problem =
                        Problem::new("bad-override", place.span, message).with_remedy(remedy);
                    problems.push(problem.in_text(place.origin));
                }
            }
        }
        if problems.is_empty() { Ok(()) } else { Err(problems) }
    }
}

/// Why a text is no girth of a trunk.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GirthError {
    /// No length.
    #[error(transparent)]
    Unread(#[from] parse::ParseError),
    /// No trunk that a job may have is so thin or so thick.
    #[error("a girth of {girth} is outside {allowed}")]
    Outside {
        /// As read.
        girth: Length,
        /// The range of `trunk.girth`.
        allowed: String,
    },
}

/// What to write instead of a girth that [`read_girth`] refuses.
#[must_use]
pub fn girth_remedy(text: &str) -> String {
    let field = Trunk::spec().field("girth");
    let remedy = match parse::quantity::<Length>(text) {
        Ok(girth) => field.and_then(|f| meant::units(text.trim(), girth.get(), f)),
        Err(_) => meant::quantity(text, &Length::DIMENSION),
    };
    remedy.unwrap_or_else(|| "write a girth such as \"1.19 m\" or \"44 1/2 in\"".into())
}

/// A girth from the command line, within the range that a job file may give: `1.19 m`.
///
/// # Errors
/// [`GirthError`] for a text that is no length, and for one outside the range.
pub fn read_girth(text: &str) -> Result<Length, GirthError> {
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
        let given = format!("{}={}", one.key, one.value);
        let here = reader.map.place(&KeyPath::new("")).span;
        let steps: Option<Vec<Step<'_>>> = one.key.as_str().split('.').map(step).collect();
        let done = match steps {
            Some(steps) if steps.len() > DEEPEST => {
                Err(format!("has {} steps, and no key has more than {DEEPEST}", steps.len()))
            }
            Some(steps) => put(tree, &steps, here.clone(), &one.value),
            None => Err("is no key: write table.key or table[0].key".to_owned()),
        };
        match done {
            Ok(()) => {
                reader.replaced.insert(one.key.clone(), given);
            }
            Err(mistake) => {
                let [given, key] = [&given, one.key.as_str()].map(text::short);
                let message = format!("`{given}`: `{key}` {mistake}");
                reader.problems.push(Problem::new("bad-override", here, message));
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
            return Err(format!("names an element of `{name}`, which is not in the job file"));
        }
        let key = Spanned::new(here.clone(), (*name).to_owned().into());
        table.insert(key, Spanned::new(here.clone(), DeValue::Table(DeTable::new())));
    }
    let Some(mut slot) = table.get_mut(*name) else { return Ok(()) };
    if let Some(index) = index {
        let DeValue::Array(array) = slot.get_mut() else {
            return Err(format!("has an index, but `{name}` is no list"));
        };
        let count = array.len();
        slot = array
            .get_mut(*index)
            .ok_or_else(|| format!("counts from 0, and `{name}` has {count} elements"))?;
    }
    if rest.is_empty() {
        let span = slot.span();
        *slot = parsed(value, &span)?;
        return Ok(());
    }
    let here = slot.span();
    match slot.get_mut() {
        DeValue::Table(inner) => put(inner, rest, here, value),
        DeValue::Array(_) => Err(format!("needs an index: {name}[0]")),
        _ => Err(format!("goes through `{name}`, which is no table")),
    }
}

fn parsed<'i>(text: &'i str, span: &Range<usize>) -> Result<Spanned<DeValue<'i>>, String> {
    let value = match DeValue::parse(text) {
        Ok(value) => value,
        Err(_) => Spanned::new(0..0, DeValue::String(text.into())),
    };
    placed(value, span).ok_or_else(|| "is a table: set its keys one by one".to_owned())
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

/// Names of the trunks, as many as one reads.
fn named(trunks: &[Trunk]) -> String {
    /// More would fill the screen.
    const MOST: usize = 6;
    let names: Vec<String> = trunks.iter().take(MOST).map(|t| format!("\"{}\"", t.name)).collect();
    let more = trunks.len().saturating_sub(MOST);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("the trunks are {}{more}", names.join(", "))
}
