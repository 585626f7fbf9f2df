//! Choices of one job, from one seed: the same (seed, index) always gives the same choices.

use std::fmt::Display;

use proptest::prelude::RngExt;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// The random numbers of one job; each job has its own, so that any job can be made alone.
pub(super) struct Dice(TestRng);

impl Dice {
    pub(super) fn new(seed: u64, index: usize) -> Self {
        let mut bytes = [0; 32];
        bytes[..8].copy_from_slice(&seed.to_le_bytes());
        bytes[8..16].copy_from_slice(&(index as u64).to_le_bytes());
        Self(TestRng::from_seed(RngAlgorithm::ChaCha, &bytes))
    }

    /// True in this many cases of a hundred.
    pub(super) fn chance(&mut self, percent: u32) -> bool {
        self.0.random_range(0..100_u32) < percent
    }

    /// A whole number, both ends included.
    pub(super) fn count(&mut self, low: u32, high: u32) -> u32 {
        self.0.random_range(low..=high)
    }

    /// A reading between two values, both included, on the divisions of an instrument.
    pub(super) fn between(&mut self, low: f64, high: f64, division: f64) -> f64 {
        let divisions = ((high - low) / division).round() as u32;
        low + f64::from(self.0.random_range(0..=divisions)) * division
    }

    /// One of the list, all alike.
    pub(super) fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.0.random_range(0..list.len())]
    }

    /// One of the list, each as often as its weight says.
    pub(super) fn weighted<T: Copy>(&mut self, list: &[(u32, T)]) -> T {
        let total: u32 = list.iter().map(|(weight, _)| weight).sum();
        let mut left = self.0.random_range(0..total);
        for (weight, value) in list {
            match left.checked_sub(*weight) {
                Some(rest) => left = rest,
                None => return *value,
            }
        }
        unreachable!("the weights add up to {total}")
    }
}

/// How the person writes lengths: with a metric tape or with an inch tape.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Tape {
    /// `"1.13 m"`
    Metres,
    /// `"113 cm"`
    Centimetres,
    /// `1130`
    Millimetres,
    /// `"44 1/2 in"`
    Inches,
}

impl Tape {
    /// A length read off the tape: to the centimetre, or the millimetre when written so, or 1/4 in.
    pub(super) fn long(self, mm: f64) -> String {
        match self {
            Self::Metres => format!("\"{} m\"", plain((mm / 10.0).round() / 100.0)),
            Self::Centimetres => format!("\"{:.0} cm\"", mm / 10.0),
            Self::Millimetres => format!("{mm:.0}"),
            Self::Inches => inches(mm, 4),
        }
    }

    /// A length read off calipers: to the millimetre or 1/16 in.
    pub(super) fn small(self, mm: f64) -> String {
        match self {
            Self::Inches => inches(mm, 16),
            _ => format!("{mm:.0}"),
        }
    }

    /// A thickness: to a tenth of a millimetre.
    pub(super) fn thin(self, mm: f64) -> String {
        match self {
            Self::Inches => format!("\"{} in\"", plain((mm / 25.4 * 200.0).round() / 200.0)),
            _ => plain(mm),
        }
    }
}

/// Whole inches and a fraction in lowest terms: `"4 3/16 in"`.
fn inches(mm: f64, divisions: u32) -> String {
    let parts = (mm / 25.4 * f64::from(divisions)).round() as u32;
    let (whole, mut over, mut under) = (parts / divisions, parts % divisions, divisions);
    if over == 0 {
        return format!("\"{whole} in\"");
    }
    while over % 2 == 0 {
        (over, under) = (over / 2, under / 2);
    }
    if whole == 0 {
        format!("\"{over}/{under} in\"")
    } else {
        format!("\"{whole} {over}/{under} in\"")
    }
}

/// A number without the noise of binary fractions.
pub(super) fn plain(x: f64) -> String {
    ((x * 1000.0).round() / 1000.0).to_string()
}

/// A table of the job file; without a key it is not written.
pub(super) struct Table {
    header: &'static str,
    lines: String,
}

impl Table {
    /// `Table::new("[strap]")`
    pub(super) fn new(header: &'static str) -> Self {
        Self { header, lines: String::new() }
    }

    /// Writes `key = value`, the value as TOML.
    pub(super) fn put(&mut self, key: &str, value: impl Display) {
        self.lines.push_str(&format!("{key} = {value}\n"));
    }

    /// Writes text in quotes.
    pub(super) fn put_text(&mut self, key: &str, text: impl Display) {
        self.put(key, format!("\"{text}\""));
    }

    pub(super) fn finish(self, job: &mut String) {
        if !self.lines.is_empty() {
            job.push_str(&format!("\n{}\n{}", self.header, self.lines));
        }
    }
}
