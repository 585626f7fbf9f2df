//! Reading quantities as people write them: `"44 1/2 in"`, `"1.13 m"`, `"3 ft 8 1/2 in"`, `"35 deg"`.
//!
//! # Grammar
//!
//! ```text
//! quantity = [ "+" | "-" ] part { part }        at most 64 bytes; blanks between tokens are free
//! part     = amount [ unit ]                    only a lone part may leave its unit out
//! amount   = decimal [ fraction ] | fraction    "44", "44.5", "1.2e3", "44 1/2", "44½", "1/8"
//! fraction = digits "/" digits | one of ¼ ½ ¾ ⅛ ⅜ ⅝ ⅞
//! unit     = a symbol of the dimension          "mm", "in", "\"", "deg", "kPa", ...
//! ```
//!
//! A quantity of several parts runs from larger to smaller units (`3 ft 8 in`, `1 h 30 min`). An
//! amount without a unit counts in the dimension's own unit, the first in its table: millimetres,
//! degrees, kilograms and so on. The decimal mark is a point. Temperatures have one part only.
//!
//! The result is finite for every text; what does not fit is a [`ParseError`] that says what
//! stands there and what is needed. Unit factors: the SI brochure (BIPM, 9th edition) and the
//! international yard and pound agreement of 1959 (25.4 mm, 0.453 592 37 kg).

use super::{
    Angle, Charge, Current, Force, Hours, Illuminance, Length, LuminousFlux, Mass, Power, Pressure,
    Resistance, Speed, Temperature, Torque, Voltage,
};

/// Longest text that is read as a quantity, in bytes; a longer one is a mistake.
pub const LONGEST_TEXT: usize = 64;

/// One unit of a dimension: `value in the dimension's own unit = factor * amount + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// The symbol, as it is written.
    pub symbol: &'static str,
    /// Own units in one of this unit.
    pub factor: f64,
    /// Own unit at zero of this unit (temperatures only).
    pub offset: f64,
}

const fn unit(symbol: &'static str, factor: f64) -> Unit {
    Unit { symbol, factor, offset: 0.0 }
}

/// A kind of quantity and the units in which it may be written; the first is its own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimension {
    /// What it is, for messages: `a length`.
    pub name: &'static str,
    /// How it may be written: `"1.13 m"`.
    pub example: &'static str,
    /// The units; the first is that of a bare number.
    pub units: &'static [Unit],
}

impl Dimension {
    /// The unit of a bare number.
    #[must_use]
    pub fn own_unit(&self) -> &'static str {
        self.units.first().map_or("", |u| u.symbol)
    }

    /// Every symbol, in the order of the table: `mm, cm, m, in`.
    #[must_use]
    pub fn symbols(&self) -> String {
        self.units.iter().map(|u| u.symbol).collect::<Vec<_>>().join(", ")
    }

    /// One symbol for each unit, in plain letters, for messages: `mm, cm, m, in, ft`.
    #[must_use]
    pub fn main_symbols(&self) -> String {
        let same = |a: &Unit, b: &Unit| a.factor == b.factor && a.offset == b.offset;
        let first = |u: &Unit| self.units.iter().find(|other| same(other, u)) == Some(u);
        let symbols = self.units.iter().filter(|u| first(u)).map(|u| u.symbol);
        symbols.collect::<Vec<_>>().join(", ")
    }

    /// The unit of this symbol.
    #[must_use]
    pub fn find(&self, symbol: &str) -> Option<&'static Unit> {
        self.units.iter().find(|u| u.symbol == symbol)
    }
}

/// A quantity that can be written in a file: its dimension, and the number in the file's unit.
///
/// The file's unit is that of a bare number: millimetres, degrees, kilograms, newtons and so on.
pub trait Measure: Copy {
    /// The units in which it may be written.
    const DIMENSION: Dimension;
    /// From a number of the file's unit.
    fn from_number(number: f64) -> Self;
    /// As a number of the file's unit.
    fn number(self) -> f64;
}

macro_rules! measure {
    ($type:ident, $from:ident, $to:ident, $name:literal, $example:literal, $($unit:expr),+ $(,)?) => {
        impl Measure for $type {
            const DIMENSION: Dimension =
                Dimension { name: $name, example: $example, units: &[$($unit),+] };
            fn from_number(number: f64) -> Self {
                Self::$from(number)
            }
            fn number(self) -> f64 {
                self.$to()
            }
        }
    };
}

/// Newtons in a pound-force: 0.453 592 37 kg x 9.806 65 m/s2.
const LBF: f64 = 4.448_221_615_260_5;
/// Metres in a foot.
const FOOT: f64 = 0.3048;

#[rustfmt::skip]
mod tables {
    use super::*;
    measure!(Length, mm, get, "a length", "1.13 m",
        unit("mm", 1.0), unit("cm", 10.0), unit("m", 1000.0), unit("in", 25.4), unit("ft", 304.8),
        unit("inch", 25.4), unit("inches", 25.4), unit("\"", 25.4), unit("″", 25.4),
        unit("foot", 304.8), unit("feet", 304.8), unit("'", 304.8), unit("′", 304.8));
    measure!(Angle, degrees, deg, "an angle", "35 deg",
        unit("deg", 1.0), unit("°", 1.0), unit("rad", 180.0 / std::f64::consts::PI));
    measure!(Mass, kg, get, "a mass", "1.2 kg",
        unit("kg", 1.0), unit("g", 1e-3), unit("lb", 0.453_592_37), unit("oz", 0.453_592_37 / 16.0));
    measure!(Force, newtons, get, "a force", "120 N",
        unit("N", 1.0), unit("daN", 10.0), unit("kN", 1000.0), unit("kgf", 9.806_65), unit("lbf", LBF));
    measure!(Torque, newton_metres, get, "a torque", "2.5 N.m",
        unit("N.m", 1.0), unit("Nm", 1.0), unit("N·m", 1.0), unit("lbf.in", LBF * FOOT / 12.0),
        unit("lbf.ft", LBF * FOOT));
    measure!(Pressure, kpa, get, "a pressure", "40 kPa",
        unit("kPa", 1.0), unit("Pa", 1e-3), unit("MPa", 1000.0), unit("bar", 100.0),
        unit("psi", LBF / (FOOT * FOOT / 144.0) / 1000.0));
    measure!(Power, watts, get, "a power", "10 W",
        unit("W", 1.0), unit("mW", 1e-3), unit("kW", 1000.0));
    measure!(Voltage, volts, get, "a voltage", "12 V",
        unit("V", 1.0), unit("mV", 1e-3));
    measure!(Current, amps, get, "a current", "5 A",
        unit("A", 1.0), unit("mA", 1e-3));
    measure!(Resistance, ohms, get, "a resistance", "50 mohm",
        unit("ohm", 1.0), unit("mohm", 1e-3), unit("Ω", 1.0), unit("mΩ", 1e-3));
    measure!(Charge, amp_hours, get, "a charge", "5 Ah",
        unit("Ah", 1.0), unit("mAh", 1e-3));
    measure!(Hours, hours, get, "a time", "1 h 30 min",
        unit("h", 1.0), unit("min", 1.0 / 60.0), unit("s", 1.0 / 3600.0));
    measure!(Temperature, celsius, get, "a temperature", "5 C",
        unit("C", 1.0), unit("°C", 1.0),
        Unit { symbol: "F", factor: 5.0 / 9.0, offset: -160.0 / 9.0 },
        Unit { symbol: "°F", factor: 5.0 / 9.0, offset: -160.0 / 9.0 });
    measure!(Speed, metres_per_second, get, "a speed", "20 m/s",
        unit("m/s", 1.0), unit("km/h", 1.0 / 3.6), unit("mph", 0.447_04), unit("kn", 1852.0 / 3600.0));
    measure!(Illuminance, lux, get, "an illuminance", "5 lx",
        unit("lx", 1.0), unit("lux", 1.0), unit("fc", 1.0 / (FOOT * FOOT)));
    measure!(LuminousFlux, lumens, get, "a luminous flux", "900 lm",
        unit("lm", 1.0), unit("klm", 1000.0));
}

/// Why a text is no quantity: `expected` is what it should be, `known` the units that it could have,
/// `found` what stands there, `at` its byte offset in the text.
#[allow(missing_docs, reason = "the fields mean the same in every variant, see above")]
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseError {
    /// Nothing but blanks.
    #[error("there is nothing here, and {expected} is needed")]
    Empty { expected: String },
    /// More than [`LONGEST_TEXT`] bytes.
    #[error("this text of {length} bytes is too long for {expected}")]
    TooLong { expected: String, length: usize },
    /// No number where one must stand.
    #[error("\"{found}\" stands where a number is needed")]
    NotANumber { found: String, at: usize },
    /// A comma as the decimal mark.
    #[error("\"{found}\" has a comma, and the decimal mark is a point")]
    Comma { found: String, at: usize },
    /// A unit that the dimension does not have.
    #[error("\"{found}\" is no unit of this; the units are {known}")]
    UnknownUnit { known: String, found: String, at: usize },
    /// A number without a unit among several parts.
    #[error("a unit is needed after \"{found}\"; the units are {known}")]
    MissingUnit { known: String, found: String, at: usize },
    /// Parts that do not run from larger to smaller units.
    #[error("the unit \"{found}\" is not smaller than the one before it")]
    Order { found: String, at: usize },
    /// A fraction over zero.
    #[error("the fraction \"{found}\" divides by zero")]
    DividesByZero { found: String, at: usize },
    /// The number is too large to be held.
    #[error("the number \"{found}\" is too large")]
    TooLarge { found: String },
}

/// Reads a quantity; the grammar is at the top of this module.
///
/// # Errors
/// [`ParseError`] when the text does not follow the grammar or its value is not finite.
///
/// ```
/// use bolewright::units::{Length, parse};
/// assert_eq!(parse::quantity::<Length>("44 1/2 in"), Ok(Length::mm(1130.3)));
/// assert_eq!(parse::quantity::<Length>("1.13 m"), Ok(Length::mm(1130.0)));
/// assert!(parse::quantity::<Length>("44 stone").is_err());
/// ```
pub fn quantity<Q: Measure>(text: &str) -> Result<Q, ParseError> {
    let read = Q::from_number(number(text, &Q::DIMENSION)?);
    // Inside, an angle counts in radians and so on: the largest numbers do not survive the way.
    if read.number().is_finite() {
        Ok(read)
    } else {
        Err(ParseError::TooLarge { found: text.trim().to_owned() })
    }
}

/// Reads a text as a number of the dimension's own unit, where bare numbers count in `unit`: a cell
/// under a header such as `girth [cm]`.
///
/// # Errors
/// As [`quantity`]; [`ParseError::UnknownUnit`] when the dimension has no such unit.
pub fn number_in(text: &str, dimension: &Dimension, unit: &str) -> Result<f64, ParseError> {
    let bare = dimension.find(unit).ok_or_else(|| ParseError::UnknownUnit {
        known: dimension.main_symbols(),
        found: unit.to_owned(),
        at: 0,
    })?;
    read(text, dimension, bare)
}

fn number(text: &str, dimension: &Dimension) -> Result<f64, ParseError> {
    read(text, dimension, dimension.units.first().unwrap_or(&unit("", 1.0)))
}

fn read(text: &str, dimension: &Dimension, bare: &Unit) -> Result<f64, ParseError> {
    let expected = || format!("{} such as \"{}\"", dimension.name, dimension.example);
    if text.len() > LONGEST_TEXT {
        return Err(ParseError::TooLong { expected: expected(), length: text.len() });
    }
    let mut rest = Scanner { text, at: 0 };
    rest.skip_blanks();
    if rest.is_done() {
        return Err(ParseError::Empty { expected: expected() });
    }
    let negative = rest.take_if('-') || rest.take_if('\u{2212}');
    if !negative {
        rest.take_if('+');
    }
    let mut total = 0.0;
    let mut smallest = f64::INFINITY;
    let mut parts = 0;
    loop {
        rest.skip_blanks();
        let amount_at = rest.at;
        let amount = rest.amount()?;
        let amount_text = text[amount_at..rest.at].trim_end().to_owned();
        rest.skip_blanks();
        let unit_at = rest.at;
        let symbol = rest.unit();
        let signed = if negative { -amount } else { amount };
        parts += 1;
        if symbol.is_empty() {
            if parts > 1 || !rest.is_done() {
                return Err(if rest.is_done() || rest.starts_with_digit() {
                    let known = dimension.main_symbols();
                    ParseError::MissingUnit { known, found: amount_text, at: unit_at }
                } else {
                    rest.not_a_number()
                });
            }
            total = bare.factor * signed + bare.offset;
        } else {
            let unit = dimension.find(symbol).ok_or_else(|| ParseError::UnknownUnit {
                known: dimension.main_symbols(),
                found: symbol.to_owned(),
                at: unit_at,
            })?;
            let is_affine = dimension.units.iter().any(|u| u.offset != 0.0);
            if parts > 1 && (is_affine || unit.factor >= smallest) {
                return Err(ParseError::Order { found: symbol.to_owned(), at: unit_at });
            }
            smallest = unit.factor;
            total += unit.factor * signed + unit.offset;
        }
        rest.skip_blanks();
        if rest.is_done() {
            break;
        }
    }
    if total.is_finite() {
        Ok(total + 0.0)
    } else {
        Err(ParseError::TooLarge { found: text.trim().to_owned() })
    }
}

/// A place in the text, moving forward.
struct Scanner<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Scanner<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn is_done(&self) -> bool {
        self.at >= self.text.len()
    }

    fn starts_with_digit(&self) -> bool {
        self.rest().starts_with(|c: char| c.is_ascii_digit())
    }

    fn skip_blanks(&mut self) {
        self.take_while(char::is_whitespace);
    }

    fn take_if(&mut self, wanted: char) -> bool {
        let is_there = self.rest().starts_with(wanted);
        if is_there {
            self.at += wanted.len_utf8();
        }
        is_there
    }

    fn take_while(&mut self, keep: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let end = rest.find(|c| !keep(c)).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    /// Everything up to the next digit, blank or sign.
    fn unit(&mut self) -> &'a str {
        self.take_while(|c| {
            !c.is_whitespace()
                && !c.is_ascii_digit()
                && !matches!(c, '+' | '-')
                && vulgar(c).is_none()
        })
    }

    fn not_a_number(&self) -> ParseError {
        let found = self.rest().split_whitespace().next().unwrap_or("").to_owned();
        ParseError::NotANumber { found, at: self.at }
    }

    /// A decimal with an optional fraction behind it, or a fraction alone. Never negative.
    fn amount(&mut self) -> Result<f64, ParseError> {
        let start = self.at;
        if let Some(share) = self.vulgar_fraction() {
            return Ok(share);
        }
        let whole = self.decimal()?;
        if self.take_if('/') {
            return self.over(whole, start);
        }
        if let Some(share) = self.vulgar_fraction() {
            return Ok(whole + share);
        }
        // "44 1/2": digits, a blank, digits and a stroke; anything else is the next part.
        let end = self.at;
        self.skip_blanks();
        if let Some(share) = self.vulgar_fraction() {
            return Ok(whole + share);
        }
        let numerator_at = self.at;
        let numerator = self.take_while(|c| c.is_ascii_digit());
        if numerator_at > end && !numerator.is_empty() && self.take_if('/') {
            let numerator = self.finite(numerator)?;
            return Ok(whole + self.over(numerator, numerator_at)?);
        }
        self.at = end;
        Ok(whole)
    }

    fn vulgar_fraction(&mut self) -> Option<f64> {
        let c = self.rest().chars().next()?;
        let share = vulgar(c)?;
        self.at += c.len_utf8();
        Some(share)
    }

    fn over(&mut self, numerator: f64, start: usize) -> Result<f64, ParseError> {
        let digits = self.take_while(|c| c.is_ascii_digit());
        if digits.is_empty() {
            return Err(self.not_a_number());
        }
        let denominator = self.finite(digits)?;
        if denominator == 0.0 {
            let found = self.text[start..self.at].to_owned();
            return Err(ParseError::DividesByZero { found, at: start });
        }
        Ok(numerator / denominator)
    }

    fn decimal(&mut self) -> Result<f64, ParseError> {
        let start = self.at;
        let whole = self.take_while(|c| c.is_ascii_digit());
        let mut digits = whole.len();
        if self.rest().starts_with(',') && digits > 0 {
            let found = self.text[start..].split_whitespace().next().unwrap_or("").to_owned();
            return Err(ParseError::Comma { found, at: self.at });
        }
        if self.take_if('.') {
            digits += self.take_while(|c| c.is_ascii_digit()).len();
        }
        if digits == 0 {
            self.at = start;
            return Err(self.not_a_number());
        }
        self.exponent();
        self.finite(&self.text[start..self.at])
    }

    /// An exponent, when digits follow the `e`; otherwise nothing is taken.
    fn exponent(&mut self) {
        let start = self.at;
        if self.take_if('e') || self.take_if('E') {
            if !self.take_if('-') {
                self.take_if('+');
            }
            if self.take_while(|c| c.is_ascii_digit()).is_empty() {
                self.at = start;
            }
        }
    }

    fn finite(&self, text: &str) -> Result<f64, ParseError> {
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(value),
            _ => Err(ParseError::TooLarge { found: text.to_owned() }),
        }
    }
}

fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '¼' => 0.25,
        '½' => 0.5,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

#[cfg(test)]
mod tests;
