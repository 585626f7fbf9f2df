//! The electric network of one feed: a battery, two-conductor segments, and a load at each node.
//!
//! Node k (from 0) is a fixture. Segment k leads to it from its neighbour on the battery's side;
//! segment 0 starts at the battery's terminals. In a ring one more segment leads from the last
//! fixture back to the terminals. A segment's resistance is that of both its conductors, go and
//! return; forgetting the return halves every drop. Steady direct current; volts, ohms, amperes.
//!
//! Guarantees of a solution: Kirchhoff's current law holds at each node to rounding, and the power
//! of the battery's EMF equals loads plus losses (Tellegen), because the currents are summed from
//! the loads after the iteration has found the volts. How the volts are found, and why the answer is
//! the working point and not the unstable one below it, is told in `solve.rs`.

use serde::Serialize;

use super::solve::working_point;
use crate::bisection::border;
use crate::units::{Current, Power, Resistance, Voltage};

/// What a fixture draws.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Load {
    /// A switching driver: the same power at any voltage.
    Power(Power),
    /// A linear driver: the same current at any voltage.
    Current(Current),
}

/// A battery: electromotive force behind an inner resistance (which may be zero).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Source {
    /// Voltage without load, 0.1..=1500 V.
    pub emf: Voltage,
    /// Inner resistance with contacts and fuse, 0..=1e6 ohm.
    pub resistance: Resistance,
}

/// Battery, segments and loads, checked: every number lies in its range.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    pub(super) source: Source,
    /// As many as loads (a chain) or one more (a ring).
    pub(super) segments: Vec<Resistance>,
    pub(super) loads: Vec<Load>,
    /// The ring's broken segment. A chain has none: its return does not exist.
    broken: Option<usize>,
}

/// Volts, currents and powers of a network at its working point.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Solution {
    /// At the battery's terminals.
    pub terminal: Voltage,
    /// At each fixture.
    pub volts: Vec<Voltage>,
    /// Drawn by each fixture.
    pub draws: Vec<Current>,
    /// Through each segment, positive away from the terminals along the numbering.
    pub segments: Vec<Current>,
    /// Out of the battery.
    pub current: Current,
    /// Taken by all fixtures together.
    pub delivered: Power,
    /// Lost in the cables.
    pub cable_loss: Power,
    /// Lost inside the battery.
    pub source_loss: Power,
    /// Index of the fixture with the least volts (the first of equals).
    pub worst: usize,
}

/// Why a network cannot be set up.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// Nothing to feed.
    #[error("no fixture hangs on the feed")]
    NoFixtures,
    /// The segments do not match the fixtures.
    #[error("{fixtures} fixtures need {need} cable segments, not {have}")]
    SegmentCount {
        /// Loads given.
        fixtures: usize,
        /// Segments needed.
        need: usize,
        /// Segments given.
        have: usize,
    },
    /// A segment without resistance (a cable of no length), or one beyond any cable.
    #[error("segment {index} has {resistance}; a cable of more than no length has 1e-6 to 1e6 ohm")]
    Segment {
        /// Which, from 0.
        index: usize,
        /// Its resistance.
        resistance: Resistance,
    },
    /// A load that is negative, not finite or above 1e6.
    #[error("the load of fixture {index} is not between 0 and 1e6 W or A")]
    Load {
        /// Which, from 0.
        index: usize,
    },
    /// A battery beyond low voltage, or none.
    #[error("a battery of {emf} behind {resistance} is outside 0.1 to 1500 V and 0 to 1e6 ohm")]
    Source {
        /// Voltage without load.
        emf: Voltage,
        /// Inner resistance.
        resistance: Resistance,
    },
    /// Only a ring keeps all its fixtures when a segment breaks.
    #[error("segment {index} cannot be broken: not a segment of an unbroken ring")]
    Break {
        /// Which, from 0.
        index: usize,
    },
}

/// The loads ask for more power than the cable can bring: there is no working point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, thiserror::Error)]
#[error("the volts collapse: cable and battery can feed only {:.0} % of the load", .load_factor * 100.0)]
pub struct Collapse {
    /// The largest share of every load that still has a working point, below 1.
    pub load_factor: f64,
}

const EMF_RANGE: std::ops::RangeInclusive<f64> = 0.1..=1500.0;
const SEGMENT_RANGE: std::ops::RangeInclusive<f64> = 1e-6..=1e6;
const LOAD_RANGE: std::ops::RangeInclusive<f64> = 0.0..=1e6;
/// Halvings of the bracket about the largest load factor: 24 leave 6e-8 of it.
const FACTOR_STEPS: usize = 24;

impl Load {
    /// Current at this voltage, A.
    pub(super) fn amps(self, volts: f64) -> f64 {
        match self {
            Self::Power(p) => p.get() / volts,
            Self::Current(i) => i.get(),
        }
    }

    /// How fast the current falls with the voltage, -dI/dV, A/V.
    pub(super) fn slope(self, volts: f64) -> f64 {
        match self {
            Self::Power(p) => p.get() / (volts * volts),
            Self::Current(_) => 0.0,
        }
    }

    fn scaled(self, k: f64) -> Self {
        match self {
            Self::Power(p) => Self::Power(p * k),
            Self::Current(i) => Self::Current(i * k),
        }
    }

    fn size(self) -> f64 {
        match self {
            Self::Power(p) => p.get(),
            Self::Current(i) => i.get(),
        }
    }
}

impl Network {
    /// A chain: each segment leads to one fixture, the last fixture is the end.
    ///
    /// # Errors
    /// [`NetworkError`] for no fixtures, a wrong number of segments, or a number out of range.
    pub fn chain(
        source: Source,
        segments: Vec<Resistance>,
        loads: Vec<Load>,
    ) -> Result<Self, NetworkError> {
        let need = loads.len();
        Self::checked(source, segments, loads, need)
    }

    /// A ring: a last segment leads from the last fixture back to the battery.
    ///
    /// # Errors
    /// As [`Self::chain`].
    pub fn ring(
        source: Source,
        segments: Vec<Resistance>,
        loads: Vec<Load>,
    ) -> Result<Self, NetworkError> {
        let need = loads.len() + 1;
        Self::checked(source, segments, loads, need)
    }

    fn checked(
        source: Source,
        segments: Vec<Resistance>,
        loads: Vec<Load>,
        need: usize,
    ) -> Result<Self, NetworkError> {
        let (emf, resistance) = (source.emf, source.resistance);
        if !EMF_RANGE.contains(&emf.get()) || !(0.0..=1e6).contains(&resistance.get()) {
            return Err(NetworkError::Source { emf, resistance });
        }
        if loads.is_empty() {
            return Err(NetworkError::NoFixtures);
        }
        if segments.len() != need {
            let (fixtures, have) = (loads.len(), segments.len());
            return Err(NetworkError::SegmentCount { fixtures, need, have });
        }
        for (index, &resistance) in segments.iter().enumerate() {
            if !SEGMENT_RANGE.contains(&resistance.get()) {
                return Err(NetworkError::Segment { index, resistance });
            }
        }
        for (index, load) in loads.iter().enumerate() {
            if !LOAD_RANGE.contains(&load.size()) {
                return Err(NetworkError::Load { index });
            }
        }
        Ok(Self { source, segments, loads, broken: None })
    }

    /// The same ring with one segment broken: fixtures before it are fed from the front, those behind
    /// it from the back.
    ///
    /// # Errors
    /// [`NetworkError::Break`] for a chain, a ring already broken, or no such segment.
    pub fn without_segment(&self, index: usize) -> Result<Self, NetworkError> {
        let whole_ring = self.open() > self.loads.len();
        if !whole_ring || index >= self.segments.len() {
            return Err(NetworkError::Break { index });
        }
        Ok(Self { broken: Some(index), ..self.clone() })
    }

    /// Index of the segment that is missing: the broken one, a chain's return, or, for a whole ring,
    /// one past the end.
    pub(super) fn open(&self) -> usize {
        self.broken.unwrap_or(self.segments.len())
    }

    /// The working point: of all solutions the one with the highest volts at every node.
    ///
    /// Time and memory grow with the number of fixtures; some five to ten sweeps when the load is
    /// well within reach.
    ///
    /// # Errors
    /// [`Collapse`] when the loads have no working point, with the share of them that has one. A
    /// constant current that would need the node below 0 V counts as collapse too.
    pub fn solve(&self) -> Result<Solution, Collapse> {
        self.solution().ok_or_else(|| Collapse { load_factor: self.bracket(0.0, 1.0) })
    }

    /// The working point, without the search for what would work when there is none.
    pub(super) fn solution(&self) -> Option<Solution> {
        working_point(self).map(|volts| self.settle(&volts))
    }

    /// The largest factor on all loads that still has a working point (just below the nose of the
    /// curve of volts over load); `None` when nothing is drawn.
    #[cfg(test)]
    pub(super) fn largest_load_factor(&self) -> Option<f64> {
        if self.loads.iter().all(|l| l.size() == 0.0) {
            return None;
        }
        let mut high = 1.0;
        // After so many doublings a load counts as unbounded.
        for _ in 0..64 {
            if working_point(&self.scaled(high)).is_none() {
                return Some(self.bracket(if high > 1.0 { high / 2.0 } else { 0.0 }, high));
            }
            high *= 2.0;
        }
        None
    }

    /// Bisects between a factor that works and one that does not. What works for a load works for
    /// every smaller load, so that there is one border.
    fn bracket(&self, works: f64, fails: f64) -> f64 {
        let works_at = |factor: f64| working_point(&self.scaled(factor)).is_some();
        border(works, fails, FACTOR_STEPS, works_at)[0]
    }

    fn scaled(&self, k: f64) -> Self {
        Self { loads: self.loads.iter().map(|l| l.scaled(k)).collect(), ..self.clone() }
    }

    /// Currents by Kirchhoff's laws from the draws at the given volts, then volts from the currents:
    /// one step of the monotone map of `solve.rs`, which leaves only rounding in the balances.
    fn settle(&self, volts: &[f64]) -> Solution {
        let n = self.loads.len();
        let open = self.open();
        let draws: Vec<f64> = self.loads.iter().zip(volts).map(|(l, &v)| l.amps(v)).collect();
        let total: f64 = draws.iter().sum();
        let r: Vec<f64> = self.segments.iter().map(|r| r.get()).collect();

        // Current into the front: all that is drawn before the gap, or, in a whole ring, each draw
        // shared in proportion to the resistance of its other way round.
        let front = if open <= n {
            draws[..open].iter().sum()
        } else {
            let ring: f64 = r.iter().sum();
            let mut far = ring;
            let mut sum = 0.0;
            for (resistance, draw) in r.iter().zip(&draws) {
                far -= resistance;
                sum += draw * far;
            }
            sum / ring
        };
        let mut segments = Vec::with_capacity(r.len());
        let mut flow: f64 = front;
        for k in 0..r.len() {
            if k == open {
                flow = 0.0;
            }
            segments.push(flow);
            flow -= draws.get(k).copied().unwrap_or(0.0);
        }

        let terminal = self.source.emf.get() - total * self.source.resistance.get();
        let mut settled = vec![terminal; n];
        let mut at = terminal;
        for k in 0..open.min(n) {
            at -= segments[k] * r[k];
            settled[k] = at;
        }
        let mut at = terminal;
        for k in (open..n).rev() {
            at += segments[k + 1] * r[k + 1];
            settled[k] = at;
        }

        let mut worst = 0;
        for k in 1..n {
            if settled[k] < settled[worst] {
                worst = k;
            }
        }
        let delivered = settled.iter().zip(&draws).map(|(v, i)| v * i).sum();
        let cable_loss = segments.iter().zip(&r).map(|(i, r)| i * i * r).sum();
        Solution {
            terminal: Voltage::volts(terminal),
            volts: settled.into_iter().map(Voltage::volts).collect(),
            draws: draws.into_iter().map(Current::amps).collect(),
            segments: segments.into_iter().map(Current::amps).collect(),
            current: Current::amps(total),
            delivered: Power::watts(delivered),
            cable_loss: Power::watts(cable_loss),
            source_loss: Power::watts(total * total * self.source.resistance.get()),
            worst,
        }
    }
}

impl Solution {
    /// Volts at the worst fixture.
    #[must_use]
    pub fn least(&self) -> Voltage {
        self.volts[self.worst]
    }

    /// Drop in the cables, from the terminals to the worst fixture.
    #[must_use]
    pub fn drop(&self) -> Voltage {
        self.terminal - self.least()
    }
}
