//! The account of a sum: what went in, by which formula, what came out, and how far from the limit.
//!
//! Every sum of [`crate::engineering`] can say how it came about in this one form. A reader of the
//! sheet can redo each [`Line`] with a pocket calculator: inputs carry their units, the formula uses
//! the names of the inputs, and the source names the book, the standard, or "common practice".
//!
//! Guarantees: a line holds text and finite ratios only, so that it serialises to the same bytes
//! everywhere. It does not check that the formula matches the code; the tests of each sum do that.

use serde::Serialize;

/// One sum, told so that it can be redone by hand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What is found, as a short phrase: `volts at the last fixture`.
    pub title: String,
    /// Name and value with unit of everything that went in, in the order of the formula.
    pub inputs: Vec<(String, String)>,
    /// The formula, with the names of the inputs.
    pub formula: String,
    /// The result with its unit.
    pub result: String,
    /// What the result is held against, with its unit and sense: `at least 9 V`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<String>,
    /// Room left up to the limit, a share of the limit: 0.25 is a quarter in hand, negative fails.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<f64>,
    /// Whether the result is on the right side of its limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub holds: Option<bool>,
    /// Book, standard, or `common practice, no source`.
    pub source: String,
}

/// On which side of its limit a result should lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The result should not be larger than the limit.
    AtMost,
    /// The result should not be smaller than the limit.
    AtLeast,
}

impl Line {
    /// A line without inputs and limit; they are added by the calls that follow.
    #[must_use]
    pub fn new(
        title: impl Into<String>,
        formula: impl Into<String>,
        result: impl ToString,
        source: impl Into<String>,
    ) -> Self {
        Self {
            title: title.into(),
            inputs: Vec::new(),
            formula: formula.into(),
            result: result.to_string(),
            limit: None,
            margin: None,
            holds: None,
            source: source.into(),
        }
    }

    /// Adds an input: its name in the formula, and its value with unit.
    #[must_use]
    pub fn input(mut self, name: impl Into<String>, value: impl ToString) -> Self {
        self.inputs.push((name.into(), value.to_string()));
        self
    }

    /// Adds the limit, and the margin of `value` against it as a share of the limit.
    ///
    /// `shown` is the limit as a reader sees it, without the words `at most` or `at least`. The
    /// margin stays empty when it has no finite value (a limit of zero).
    #[must_use]
    pub fn against(mut self, side: Side, value: f64, limit: f64, shown: impl ToString) -> Self {
        let (words, room) = match side {
            Side::AtMost => ("at most", limit - value),
            Side::AtLeast => ("at least", value - limit),
        };
        self.limit = Some(format!("{words} {}", shown.to_string()));
        self.holds = Some(room >= 0.0);
        // Six decimals, so that the last bits of a sum do not show in files.
        self.margin = Some((room / limit.abs() * 1e6).round() / 1e6).filter(|m| m.is_finite());
        self
    }

    /// Adds the limit of a value on a scale without a true zero, such as degrees Celsius: whether it
    /// holds, but no share.
    #[must_use]
    pub fn within(self, side: Side, value: f64, limit: f64, shown: impl ToString) -> Self {
        Self { margin: None, ..self.against(side, value, limit, shown) }
    }

    /// Whether the result has a limit and is on the wrong side of it.
    #[cfg(test)]
    pub(crate) fn fails(&self) -> bool {
        self.holds == Some(false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Voltage;

    #[test]
    fn margin_is_a_share_of_the_limit_on_the_right_side() {
        let line =
            Line::new("volts", "V - I R", Voltage::volts(10.8), "Ohm's law").input("V", "12 V");
        let low = line.clone().against(Side::AtLeast, 10.8, 12.0, Voltage::volts(12.0));
        assert_eq!(low.margin, Some(-0.1));
        assert_eq!(low.limit.as_deref(), Some("at least 12 V"));
        assert!(low.fails());
        let high = line.clone().against(Side::AtMost, 10.8, 12.0, Voltage::volts(12.0));
        assert_eq!(high.margin, Some(0.1));
        assert!(!high.fails());
        // A limit of zero has no share.
        let none = line.against(Side::AtMost, 1.0, 0.0, "0 V");
        assert_eq!(none.margin, None);
        assert!(none.fails());
    }

    #[test]
    fn a_line_serialises_without_empty_fields() {
        let line = Line::new("a", "b", "c", "d").input("x", "1 V");
        assert_eq!(
            serde_json::to_string(&line).unwrap(),
            r#"{"title":"a","inputs":[["x","1 V"]],"formula":"b","result":"c","source":"d"}"#
        );
    }
}
