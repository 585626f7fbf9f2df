//! A dimension that the tool chose, and why: what the job sheet tells beside every number.

use serde::Serialize;

/// One derived dimension with its reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Derived {
    /// What it is: `box wall`.
    pub name: String,
    /// Its value with its unit.
    pub value: String,
    /// Why it is so, in one phrase.
    pub reason: String,
}

impl Derived {
    /// A value with its reason.
    #[must_use]
    pub fn new(name: impl Into<String>, value: impl ToString, reason: impl Into<String>) -> Self {
        Self { name: name.into(), value: value.to_string(), reason: reason.into() }
    }
}
