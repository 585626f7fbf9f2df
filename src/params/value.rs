//! Values of the job file: how each type is read from its place in the TOML tree.
//!
//! Reading never stops at the first mistake. A value that cannot be read is reported and replaced
//! by a stand-in of its type, so that everything after it is read too; whoever compares keys is
//! silent about those that have failed.

use jiff::civil::Date;
use serde_json::json;
use toml::Spanned;
use toml::de::DeValue;

use super::problem::Problem;
use super::reader::{Fields, Reader};
use super::spec::{Absent, Field, Kind, TableSpec, TaggedSpec};
use super::{meant, text};
use crate::engineering::feed::FeedLayout;
use crate::engineering::seal::Closing;
use crate::finding::KeyPath;
use crate::params::job::{LoadKind, TightenerKind};
use crate::standards::bark::Roughness;
use crate::standards::{
    Chemistry, ConductorSize, GasketKind, GlandSize, PolymerKind, Thread, Webbing,
};
use crate::units::Length;
use crate::units::parse::{self, Measure};

/// A place in the tree, with its name.
pub(crate) struct Node<'a, 'i> {
    pub(crate) value: &'a Spanned<DeValue<'i>>,
    pub(crate) path: &'a KeyPath,
}

/// A type that a key can hold.
pub(crate) trait Value: Sized {
    /// What is expected, for messages, schema and `why`.
    fn kind() -> Kind;
    /// Reads it and checks its range; `None` when it was reported.
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self>;
    /// Any value, to go on with after a mistake.
    fn stand_in() -> Self;
    /// What holds when the key is not written and the declaration has no default.
    fn absent() -> Option<Self> {
        None
    }
    /// As it would be written.
    fn show(&self) -> serde_json::Value;
}

/// A type declared by `table!`.
pub(crate) trait Table: Sized {
    fn spec() -> &'static TableSpec;
    fn from_fields(fields: &mut Fields<'_, '_, '_>) -> Self;
    fn stand_in() -> Self;
}

/// A type declared by `tagged!`.
pub(crate) trait Tagged: Sized {
    fn spec() -> &'static TaggedSpec;
    fn from_fields(
        form: &'static super::spec::Form,
        fields: &mut Fields<'_, '_, '_>,
    ) -> Option<Self>;
}

/// What holds when a key of this type is not written.
pub(crate) fn absent<T: Value>(default: Option<T>) -> Absent {
    match default {
        Some(value) => Absent::Value(value.show()),
        None if T::absent().is_some() => Absent::Nothing,
        None => Absent::Required,
    }
}

/// A number as the file has it; reports what is none, or not finite.
fn number(node: &Node<'_, '_>, kind: &Kind, reader: &mut Reader) -> Option<f64> {
    let value = match node.value.get_ref() {
        DeValue::Integer(i) => match i64::from_str_radix(i.as_str(), i.radix()) {
            Ok(whole) => whole as f64,
            Err(_) => f64::INFINITY,
        },
        DeValue::Float(f) => f.as_str().parse().unwrap_or(f64::NAN),
        _ => return wrong_type(node, kind, reader),
    };
    if value.is_finite() {
        return Some(value + 0.0);
    }
    let problem = Problem::in_job("not-finite", node.value.span(), "this is no finite number");
    reader.fail(node.path, problem.with_remedy(format!("write {}", kind.expected())))
}

fn wrong_type<T>(node: &Node<'_, '_>, kind: &Kind, reader: &mut Reader) -> Option<T> {
    let (found, number) = match node.value.get_ref() {
        DeValue::String(_) => ("text", None),
        DeValue::Integer(i) => ("a number", Some(i.as_str())),
        DeValue::Float(f) => ("a number", Some(f.as_str())),
        DeValue::Boolean(_) => ("true or false", None),
        DeValue::Datetime(_) => ("a date", None),
        DeValue::Array(_) => ("a list", None),
        DeValue::Table(_) => ("a table", None),
    };
    let message = format!("this is {found}, and {} is needed", kind.needed());
    let remedy = match (kind, number) {
        (Kind::Tables(_), _) => format!("write [[{}]], one for each", node.path),
        (Kind::Table(_) | Kind::Tagged(_), _) => format!("write a table [{}]", node.path),
        (Kind::Text, Some(number)) => format!("write \"{number}\""),
        _ => format!("write {}", kind.expected()),
    };
    let problem = Problem::in_job("wrong-type", node.value.span(), message).with_remedy(remedy);
    reader.fail(node.path, problem)
}

/// Reports a number outside the field's range. `written` is a quantity as the file has it.
fn within(
    number: f64,
    shown: &str,
    written: Option<&str>,
    node: &Node<'_, '_>,
    field: &Field,
    reader: &mut Reader,
) -> Option<()> {
    let Some(range) = &field.range else { return Some(()) };
    if range.contains(&number) {
        return Some(());
    }
    let allowed = field.range_text().unwrap_or_default();
    let message = format!("{shown} is outside the range of {allowed}");
    let nearest = if number < *range.start() { range.start() } else { range.end() };
    let bound = if number < *range.start() { "at least" } else { "at most" };
    let unit = (field.kind)().unit();
    let plain = format!("{bound} {nearest} {unit}");
    let plain = plain.trim_end();
    let has_unit = written.is_some_and(|text| text.contains(|c| !meant::is_of_number(c)));
    let remedy = match written.and_then(|written| meant::units(written, field)) {
        Some(units) if has_unit => format!("{units}, else {plain}"),
        Some(units) => units,
        None => format!("write {plain}"),
    };
    let problem = Problem::in_job("out-of-range", node.value.span(), message).with_remedy(remedy);
    reader.fail(node.path, problem)
}

impl<Q: Measure> Value for Q {
    fn kind() -> Kind {
        Kind::Quantity(Q::DIMENSION)
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        let (quantity, written) = match node.value.get_ref() {
            DeValue::String(written) => match parse::quantity::<Q>(written) {
                Ok(quantity) => (quantity, written.trim().to_owned()),
                Err(error) => {
                    let remedy = meant::quantity(written, &Q::DIMENSION, field.range.as_ref())
                        .unwrap_or_else(|| format!("write {}", Self::kind().expected()));
                    let problem =
                        Problem::in_job("bad-quantity", node.value.span(), error.to_string())
                            .with_remedy(remedy);
                    return reader.fail(node.path, problem);
                }
            },
            _ => {
                let number = number(node, &Self::kind(), reader)?;
                (Q::from_number(number), number.to_string())
            }
        };
        let unit = Q::DIMENSION.own_unit();
        let shown = format!("{} {unit}", crate::units::trimmed(quantity.number(), 3));
        // An angle comes back from radians with a last bit that the file does not have.
        let settled = (quantity.number() * 1e9).round() / 1e9;
        within(settled, &shown, Some(&written), node, field, reader)?;
        Some(quantity)
    }
    fn stand_in() -> Self {
        Q::from_number(0.0)
    }
    fn show(&self) -> serde_json::Value {
        let number = crate::units::trimmed(Measure::number(*self), 6);
        json!(format!("{number} {}", Q::DIMENSION.own_unit()))
    }
}

impl Value for f64 {
    fn kind() -> Kind {
        Kind::Number
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        let value = number(node, &Kind::Number, reader)?;
        within(value, &value.to_string(), None, node, field, reader)?;
        Some(value)
    }
    fn stand_in() -> Self {
        0.0
    }
    fn show(&self) -> serde_json::Value {
        json!(self)
    }
}

/// A range, its low end first; one number stands for both ends.
impl Value for [f64; 2] {
    fn kind() -> Kind {
        Kind::OneOrMore(Box::new(Kind::Number))
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        if !matches!(node.value.get_ref(), DeValue::Array(_)) {
            return f64::read(node, field, reader).map(|one| [one; 2]);
        }
        let list = elements::<f64>(node, &Self::kind(), field, reader)?;
        let message = match list.as_slice() {
            &[low, high] if low <= high => return Some([low, high]),
            [_, _] => "the least stands first here, the most second".to_owned(),
            other => format!("there are {} numbers here, and 2 are needed", other.len()),
        };
        let problem = Problem::in_job("wrong-type", node.value.span(), message)
            .with_remedy("write the least and the most in square brackets, or one number for both");
        reader.fail(node.path, problem)
    }
    fn stand_in() -> Self {
        [0.0; 2]
    }
    fn show(&self) -> serde_json::Value {
        json!(self)
    }
}

impl Value for u32 {
    fn kind() -> Kind {
        Kind::Count
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        if !matches!(node.value.get_ref(), DeValue::Integer(_)) {
            return wrong_type(node, &Kind::Count, reader);
        }
        let value = number(node, &Kind::Count, reader)?;
        within(value, &value.to_string(), None, node, field, reader)?;
        if (0.0..=f64::from(u32::MAX)).contains(&value) {
            return Some(value as u32);
        }
        let message = format!("{value} is no count");
        let problem = Problem::in_job("out-of-range", node.value.span(), message)
            .with_remedy("write a whole number");
        reader.fail(node.path, problem)
    }
    fn stand_in() -> Self {
        1
    }
    fn show(&self) -> serde_json::Value {
        json!(self)
    }
}

impl Value for bool {
    fn kind() -> Kind {
        Kind::Flag
    }
    fn read(node: &Node<'_, '_>, _: &Field, reader: &mut Reader) -> Option<Self> {
        match node.value.get_ref() {
            DeValue::Boolean(flag) => Some(*flag),
            _ => wrong_type(node, &Kind::Flag, reader),
        }
    }
    fn stand_in() -> Self {
        false
    }
    fn show(&self) -> serde_json::Value {
        json!(self)
    }
}

impl Value for String {
    fn kind() -> Kind {
        Kind::Text
    }
    /// Text with a range of lengths is a name.
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        let DeValue::String(written) = node.value.get_ref() else {
            return wrong_type(node, &Kind::Text, reader);
        };
        let checked = match &field.range {
            Some(range) => text::name(written, range).map_err(|m| ("bad-name", m)),
            None => text::line(written).map_err(|m| ("bad-text", m)),
        };
        match checked {
            Ok(clean) => Some(clean),
            Err((code, mistake)) => {
                let problem = Problem::in_job(code, node.value.span(), format!("this {mistake}"))
                    .with_remedy("write one short line of ordinary text");
                reader.fail(node.path, problem)
            }
        }
    }
    fn stand_in() -> Self {
        Self::new()
    }
    fn show(&self) -> serde_json::Value {
        json!(self)
    }
}

impl Value for Date {
    fn kind() -> Kind {
        Kind::Date
    }
    fn read(node: &Node<'_, '_>, _: &Field, reader: &mut Reader) -> Option<Self> {
        let written = match node.value.get_ref() {
            DeValue::Datetime(d) => d.to_string(),
            DeValue::String(s) => s.trim().to_owned(),
            _ => return wrong_type(node, &Kind::Date, reader),
        };
        // Exactly a calendar date: jiff would also take the date out of a date with a time.
        let parsed = if written.len() == 10 { written.parse().ok() } else { None };
        if parsed.is_some() {
            return parsed;
        }
        let message = format!("{} is not a date of year, month and day", text::shown(&written));
        let remedy = meant::date(&written)
            .unwrap_or_else(|| "write year, month and day, such as 2027-05-28".into());
        let problem = Problem::in_job("bad-date", node.value.span(), message).with_remedy(remedy);
        reader.fail(node.path, problem)
    }
    fn stand_in() -> Self {
        Self::ZERO
    }
    fn show(&self) -> serde_json::Value {
        json!(self.to_string())
    }
}

impl<T: Value> Value for Option<T> {
    fn kind() -> Kind {
        T::kind()
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        T::read(node, field, reader).map(Some)
    }
    fn stand_in() -> Self {
        None
    }
    fn absent() -> Option<Self> {
        Some(None)
    }
    fn show(&self) -> serde_json::Value {
        self.as_ref().map_or(serde_json::Value::Null, Value::show)
    }
}

/// Most holes of a pattern, sizes of gland, windows around: far above any real job, and the time
/// that the checks take grows with their square.
const MOST_ELEMENTS: usize = 200;

/// Reads each element under its own name; `None` when one of them was reported.
fn elements<T: Value>(
    node: &Node<'_, '_>,
    kind: &Kind,
    field: &Field,
    reader: &mut Reader,
) -> Option<Vec<T>> {
    let DeValue::Array(array) = node.value.get_ref() else {
        return wrong_type(node, kind, reader);
    };
    // Trunks have a bound of their own; a feed has as many segments as lamps.
    let is_bounded = matches!(kind, Kind::List(_) | Kind::Tables(_)) && field.key != "trunk";
    if is_bounded && array.len() > MOST_ELEMENTS {
        let found = array.len();
        let message = format!("{} has {found} elements, more than {MOST_ELEMENTS}", node.path);
        return reader.fail(node.path, Problem::in_job("too-large", node.value.span(), message));
    }
    let mut all = Some(Vec::new());
    for (index, value) in array.iter().enumerate() {
        let path = node.path.element(index);
        reader.map.insert(path.clone(), value.span());
        let read = T::read(&Node { value, path: &path }, field, reader);
        all = all.and_then(|mut list| {
            list.push(read?);
            Some(list)
        });
    }
    all
}

impl<const N: usize> Value for [Length; N] {
    fn kind() -> Kind {
        Kind::Fixed(Box::new(Length::kind()), N)
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        let list = elements::<Length>(node, &Self::kind(), field, reader)?;
        let found = list.len();
        if let Ok(fixed) = Self::try_from(list) {
            return Some(fixed);
        }
        let message = format!("there are {found} lengths here, and {N} are needed");
        let problem = Problem::in_job("wrong-type", node.value.span(), message)
            .with_remedy(format!("write {N} lengths in square brackets, with commas between"));
        reader.fail(node.path, problem)
    }
    fn stand_in() -> Self {
        [Length::ZERO; N]
    }
    fn show(&self) -> serde_json::Value {
        self.iter().map(Value::show).collect()
    }
}

impl Value for Vec<[Length; 2]> {
    fn kind() -> Kind {
        Kind::List(Box::new(<[Length; 2]>::kind()))
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        elements(node, &Self::kind(), field, reader)
    }
    fn stand_in() -> Self {
        Self::new()
    }
    fn show(&self) -> serde_json::Value {
        self.iter().map(Value::show).collect()
    }
}

impl Value for Vec<Length> {
    fn kind() -> Kind {
        Kind::OneOrMore(Box::new(Length::kind()))
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        match node.value.get_ref() {
            DeValue::Array(_) => elements(node, &Self::kind(), field, reader),
            _ => Length::read(node, field, reader).map(|one| vec![one]),
        }
    }
    fn stand_in() -> Self {
        Self::new()
    }
    fn show(&self) -> serde_json::Value {
        match self.as_slice() {
            [one] => one.show(),
            many => many.iter().map(Value::show).collect(),
        }
    }
}

impl<T: Table + Value> Value for Vec<T> {
    fn kind() -> Kind {
        Kind::Tables(T::spec())
    }
    fn read(node: &Node<'_, '_>, field: &Field, reader: &mut Reader) -> Option<Self> {
        elements(node, &Self::kind(), field, reader)
    }
    fn stand_in() -> Self {
        Self::new()
    }
    fn absent() -> Option<Self> {
        Some(Self::new())
    }
    fn show(&self) -> serde_json::Value {
        self.iter().map(Value::show).collect()
    }
}

pub(crate) fn read_table<T: Table>(node: &Node<'_, '_>, reader: &mut Reader) -> Option<T> {
    let DeValue::Table(table) = node.value.get_ref() else {
        return wrong_type(node, &Kind::Table(T::spec()), reader);
    };
    let keys: Vec<_> = T::spec().fields.iter().map(|f| f.key).collect();
    let mut fields = Fields::new(Some(table), node.path, &keys, reader);
    Some(T::from_fields(&mut fields))
}

pub(crate) fn absent_table<T: Table>() -> Option<T> {
    T::spec().may_be_absent().then(|| {
        let mut reader = Reader::default();
        T::from_fields(&mut Fields::new(None, &KeyPath::new(""), &[], &mut reader))
    })
}

pub(crate) fn read_tagged<T: Tagged>(node: &Node<'_, '_>, reader: &mut Reader) -> Option<T> {
    let spec = T::spec();
    let DeValue::Table(table) = node.value.get_ref() else {
        return wrong_type(node, &Kind::Tagged(spec), reader);
    };
    let path = node.path.child(spec.tag);
    let words =
        || Kind::Words(spec.forms.iter().map(|f| (f.word.to_owned(), f.table.doc)).collect());
    let Some(tag) = table.get(spec.tag) else {
        let message = format!("{path} is not written");
        let problem = Problem::in_job("missing-key", node.value.span(), message)
            .with_remedy(format!("write {} = {}", spec.tag, words().expected()));
        return reader.fail(node.path, problem);
    };
    reader.map.insert(path.clone(), tag.span());
    let tag = Node { value: tag, path: &path };
    let DeValue::String(word) = tag.value.get_ref() else {
        return wrong_type(&tag, &words(), reader);
    };
    let Some(form) = spec.forms.iter().find(|f| f.word == word) else {
        return unknown_word(&tag, word, &words(), reader);
    };
    let mut keys = vec![spec.tag];
    keys.extend(form.table.fields.iter().map(|f| f.key));
    T::from_fields(form, &mut Fields::new(Some(table), node.path, &keys, reader))
}

pub(crate) fn read_word<W: Copy + ToString>(
    all: &[W],
    node: &Node<'_, '_>,
    kind: &Kind,
    reader: &mut Reader,
) -> Option<W> {
    let DeValue::String(word) = node.value.get_ref() else {
        return wrong_type(node, kind, reader);
    };
    match all.iter().find(|w| w.to_string() == **word) {
        Some(found) => Some(*found),
        None => unknown_word(node, word, kind, reader),
    }
}

fn unknown_word<T>(node: &Node<'_, '_>, word: &str, kind: &Kind, reader: &mut Reader) -> Option<T> {
    let message = format!("{} is none of the words that can stand here", text::shown(word));
    let near = match kind {
        Kind::Words(words) => text::nearest(word, words.iter().map(|(w, _)| w.as_str())),
        _ => None,
    };
    let remedy = match near {
        Some(near) => format!("write \"{near}\" if that was meant, else {}", kind.expected()),
        None => format!("write {}", kind.expected()),
    };
    let problem = Problem::in_job("unknown-word", node.value.span(), message).with_remedy(remedy);
    reader.fail(node.path, problem)
}

macro_rules! value_of_table {
    ($name:ident) => {
        impl $crate::params::value::Value for $name {
            fn kind() -> $crate::params::spec::Kind {
                $crate::params::spec::Kind::Table(<Self as $crate::params::value::Table>::spec())
            }
            fn read(
                node: &$crate::params::value::Node<'_, '_>,
                _: &$crate::params::spec::Field,
                reader: &mut $crate::params::reader::Reader,
            ) -> Option<Self> {
                $crate::params::value::read_table(node, reader)
            }
            fn stand_in() -> Self {
                <Self as $crate::params::value::Table>::stand_in()
            }
            fn absent() -> Option<Self> {
                $crate::params::value::absent_table()
            }
            fn show(&self) -> serde_json::Value {
                serde_json::Value::Null
            }
        }
    };
}

macro_rules! value_of_tagged {
    ($name:ident) => {
        impl $crate::params::value::Value for $name {
            fn kind() -> $crate::params::spec::Kind {
                $crate::params::spec::Kind::Tagged(<Self as $crate::params::value::Tagged>::spec())
            }
            fn read(
                node: &$crate::params::value::Node<'_, '_>,
                _: &$crate::params::spec::Field,
                reader: &mut $crate::params::reader::Reader,
            ) -> Option<Self> {
                $crate::params::value::read_tagged(node, reader)
            }
            fn stand_in() -> Self {
                $name::STAND_IN
            }
            fn show(&self) -> serde_json::Value {
                serde_json::Value::Null
            }
        }
    };
}

macro_rules! value_of_words {
    ($name:ident, $meaning:expr) => {
        impl $crate::params::value::Value for $name {
            fn kind() -> $crate::params::spec::Kind {
                let words = $name::ALL.iter().map(|w| (w.to_string(), $meaning(w)));
                $crate::params::spec::Kind::Words(words.collect())
            }
            fn read(
                node: &$crate::params::value::Node<'_, '_>,
                _: &$crate::params::spec::Field,
                reader: &mut $crate::params::reader::Reader,
            ) -> Option<Self> {
                $crate::params::value::read_word(&$name::ALL[..], node, &Self::kind(), reader)
            }
            fn stand_in() -> Self {
                $name::ALL[0]
            }
            fn show(&self) -> serde_json::Value {
                serde_json::Value::String(self.to_string())
            }
        }
    };
}

pub(crate) use {value_of_table, value_of_tagged};

value_of_words!(Thread, |_: &Thread| "");
value_of_words!(GlandSize, |_: &GlandSize| "");
value_of_words!(ConductorSize, |_: &ConductorSize| "");
value_of_words!(Chemistry, |w: &Chemistry| w.meaning());
value_of_words!(Closing, |w: &Closing| w.meaning());
value_of_words!(GasketKind, |w: &GasketKind| w.meaning());
value_of_words!(FeedLayout, |w: &FeedLayout| w.meaning());
value_of_words!(LoadKind, |w: &LoadKind| w.meaning());
value_of_words!(PolymerKind, |w: &PolymerKind| w.meaning());
value_of_words!(Roughness, |w: &Roughness| w.meaning());
value_of_words!(TightenerKind, |w: &TightenerKind| w.meaning());
value_of_words!(Webbing, |w: &Webbing| w.meaning());
