//! What a key of the job file may hold, as data: the one source of the reader's messages, of the
//! JSON Schema and of `why`.
//!
//! Each table of the job file is declared once, in [`super::job`]; the declaration gives the Rust
//! struct, its reader and the [`TableSpec`] here.

use std::ops::RangeInclusive;

use crate::units::parse::Dimension;

/// A table and its keys.
#[derive(Debug)]
pub struct TableSpec {
    /// What it is about.
    pub doc: &'static str,
    /// Its keys, in the order of the declaration.
    pub fields: &'static [Field],
}

/// A key of a table.
#[derive(Debug)]
pub struct Field {
    /// As it is written in the file.
    pub key: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// Why its default, or its range, is what it is.
    pub why: Option<&'static str>,
    /// Numbers in the file's unit; for text, the number of characters.
    pub range: Option<RangeInclusive<f64>>,
    /// What it holds.
    pub kind: fn() -> Kind,
    /// What holds when it is not written.
    pub default: fn() -> Absent,
}

/// What holds when a key is not written.
#[derive(Debug, Clone, PartialEq)]
pub enum Absent {
    /// It must be written.
    Required,
    /// Nothing; what follows is in the key's description.
    Nothing,
    /// This value, as it would be written.
    Value(serde_json::Value),
}

/// What a key holds.
#[derive(Debug, Clone)]
pub enum Kind {
    /// A number in the dimension's own unit, or text with a unit.
    Quantity(Dimension),
    /// A plain number.
    Number,
    /// A whole number, not negative.
    Count,
    /// `true` or `false`.
    Flag,
    /// One line of text.
    Text,
    /// A calendar date.
    Date,
    /// One of these words, each with what it means (may be empty).
    Words(Vec<(String, &'static str)>),
    /// A list of exactly this many.
    Fixed(Box<Kind>, usize),
    /// A list.
    List(Box<Kind>),
    /// One, or a list.
    OneOrMore(Box<Kind>),
    /// A table.
    Table(&'static TableSpec),
    /// An array of tables: `[[trunk]]`.
    Tables(&'static TableSpec),
    /// A table whose keys depend on one of them.
    Tagged(&'static TaggedSpec),
}

/// A table whose keys depend on the word at `tag`.
#[derive(Debug)]
pub struct TaggedSpec {
    /// The key that decides: `kind`.
    pub tag: &'static str,
    /// The forms that it may have.
    pub forms: &'static [Form],
}

/// One form of a tagged table.
#[derive(Debug)]
pub struct Form {
    /// The word at the tag.
    pub word: &'static str,
    /// What it is, and its keys.
    pub table: TableSpec,
}

impl Kind {
    /// What is expected, for messages: `a length such as "1.13 m"`.
    #[must_use]
    pub fn expected(&self) -> String {
        match self {
            Self::Quantity(d) => {
                format!("{} such as \"{}\", or a number of {}", d.name, d.example, d.own_unit())
            }
            Self::Number => "a number".into(),
            Self::Count => "a whole number".into(),
            Self::Flag => "true or false".into(),
            Self::Text => "text in quotes".into(),
            Self::Date => "a date such as 2027-03-14".into(),
            Self::Words(words) => {
                let quoted: Vec<_> = words.iter().map(|(w, _)| format!("\"{w}\"")).collect();
                match quoted.as_slice() {
                    [one] => one.clone(),
                    [first @ .., last] => format!("{} or {last}", first.join(", ")),
                    [] => "nothing".into(),
                }
            }
            Self::Fixed(kind, n) => format!("a list of {n}, each {}", kind.expected()),
            Self::List(kind) => format!("a list, each {}", kind.expected()),
            Self::OneOrMore(kind) => format!("{}, or a list of them", kind.expected()),
            Self::Table(_) | Self::Tagged(_) => "a table".into(),
            Self::Tables(_) => "an array of tables, each under its own [[...]] header".into(),
        }
    }

    /// What is needed, in the middle of a sentence: `a length`.
    #[must_use]
    pub fn needed(&self) -> String {
        match self {
            Self::Quantity(d) => d.name.to_owned(),
            Self::Words(_) => "a word in quotes".into(),
            Self::Fixed(_, n) => format!("a list of {n}"),
            Self::List(_) => "a list".into(),
            Self::OneOrMore(kind) => kind.needed(),
            Self::Tables(_) => "a table for each".into(),
            other => other.expected(),
        }
    }

    /// The unit of a number in the file, or nothing.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        match self {
            Self::Quantity(d) => d.own_unit(),
            Self::Fixed(kind, _) | Self::List(kind) | Self::OneOrMore(kind) => kind.unit(),
            Self::Text => "characters",
            _ => "",
        }
    }
}

impl Field {
    /// The range in words: `15 to 75 mm`.
    #[must_use]
    pub fn range_text(&self) -> Option<String> {
        let range = self.range.as_ref()?;
        let unit = (self.kind)().unit();
        Some(format!("{} to {} {unit}", range.start(), range.end()).trim_end().to_owned())
    }

    /// Whether it must be written.
    #[must_use]
    pub fn is_required(&self) -> bool {
        (self.default)() == Absent::Required
    }
}

impl TableSpec {
    /// The key of this name.
    #[must_use]
    pub fn field(&self, key: &str) -> Option<&'static Field> {
        self.fields.iter().find(|f| f.key == key)
    }

    /// Whether the table may be left out: none of its keys must be written.
    #[must_use]
    pub fn may_be_absent(&self) -> bool {
        !self.fields.iter().any(Field::is_required)
    }
}
