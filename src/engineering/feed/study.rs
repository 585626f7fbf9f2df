//! One feed studied: from cable lengths and lamps to volts, the thinnest cable that serves, and the
//! fuse.
//!
//! Two states of the battery are solved. *Nominal*: nominal voltage behind the pack's inner
//! resistance; the drop limit is held against it. *Spent*: as much charge is left as the runtime leaves in
//! the pack, behind the same resistance, but never less at the terminals than the cut-off, at which the
//! pack switches off; the lamps' least voltage is held against it, and the fuse against its
//! currents, since lamps of constant power draw most when the volts are least.
//!
//! Assumptions, all shown with the sums: the controller passes the battery's voltage on; its loss
//! adds to the battery's current; every lamp shines at full level at once; conductors have one
//! temperature along the whole cable. A ring is held to the drop limit whole, and to the lamps'
//! least voltage with any one segment broken, since it is there to outlive that break.
//!
//! Fuse: 1.25 I_B <= I_n <= I_Z and I_2 <= 1.45 I_Z (IEC 60364-4-43; see `standards::fuse`), at the
//! battery, for the thinnest cable, each way round of a ring being able to carry all of it.

use serde::Serialize;

use super::network::{Collapse, Load, Network, NetworkError, Solution, Source};
use crate::engineering::guard::OutOfRange;
use crate::engineering::guard::{not_negative, positive};
use crate::standards::conductor::ConductorError;
use crate::standards::fuse::NoFuse;
use crate::standards::words::words;
use crate::standards::{ConductorSize, FuseKind, Strands};
use crate::units::{Current, Length, Power, Resistance, Temperature, Voltage};

words! {
    /// Chain or loop.
    FeedLayout {
        /// From lamp to lamp, ending at the last.
        Chain "chain",
        /// A return from the last lamp closes the ring.
        Loop "loop",
    }
}

/// Everything about one feed but the cable's section.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Chain or loop.
    pub layout: FeedLayout,
    /// Cable to each fixture from the one before it, the first from the box; more than 0.
    pub lengths: Vec<Length>,
    /// Cable from the last fixture back to the box; used by the loop and by the comparison.
    pub back: Length,
    /// For a chain that leaves the box both ways: the fixture at the far end of the second way. The
    /// cable to it from the one before is not laid, and [`Self::back`] is the second way's first cable.
    pub apart: Option<usize>,
    /// What each fixture draws.
    pub loads: Vec<Load>,
    /// Battery and controller.
    pub supply: Supply,
    /// Largest drop in the cables, share of the nominal voltage; above 0, at most 0.5.
    pub drop: f64,
    /// Least volts at which a fixture works.
    pub least: Option<Voltage>,
    /// Of one contact of a plug; each piece of cable has a plug of two contacts.
    pub contact: Resistance,
    /// Lay of the conductors.
    pub strands: Strands,
    /// Of the conductors, -40..=90 C.
    pub temperature: Temperature,
    /// Of the air about the cable, for its ampacity.
    pub air: Temperature,
    /// What the cable carries, when its maker says so; else from the table.
    pub ampacity: Option<Current>,
    /// Kind of fuse at the battery.
    pub fuse_kind: FuseKind,
}

/// Battery and controller as the feed sees them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Supply {
    /// Nominal voltage.
    pub nominal: Voltage,
    /// Inner resistance of the pack.
    pub resistance: Resistance,
    /// Terminal voltage at which the pack is cut off.
    pub cutoff: Voltage,
    /// Voltage behind the resistance when all is drawn that the runtime draws.
    pub spent: Voltage,
    /// Drawn by the controller itself.
    pub standby: Power,
    /// Share of the battery's power that the controller passes on, above 0, at most 1.
    pub efficiency: f64,
}

/// A feed with a cable chosen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Study {
    /// The cable.
    pub size: ConductorSize,
    /// What it carries.
    pub ampacity: Current,
    /// As laid out, fresh battery.
    pub fresh: Result<Solution, Collapse>,
    /// As laid out, the charge drawn that the runtime draws.
    pub spent: Result<Solution, Collapse>,
    /// The same lamps on an open chain, fresh battery.
    pub chain: Result<Solution, Collapse>,
    /// The same lamps on a loop, fresh battery.
    pub ring: Result<Solution, Collapse>,
    /// The break that leaves the least volts then (loops only).
    pub worst_break: Option<Break>,
    /// Largest lasting current out of the battery.
    pub continuous: Current,
    /// Smallest standard fuse that carries it and protects the cable.
    pub fuse: Result<Current, NoFuse>,
    /// Least current of a short at a lamp: the farthest one, in a loop with its worst segment broken, the
    /// pack drawn as far as the runtime draws it.
    pub far_short: Current,
    /// The nominal voltage, for shares.
    pub nominal: Voltage,
}

/// A loop with one segment broken, the charge drawn that the runtime draws.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Break {
    /// Index of the broken segment.
    pub segment: usize,
    /// What becomes of the lamps.
    pub spent: Result<Solution, Collapse>,
}

/// What a cable fails to give.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shortfall {
    /// The cable loses too much.
    Drop {
        /// Fixture, from 0.
        fixture: usize,
        /// Volts lost to it.
        drop: Voltage,
        /// Volts that may be lost.
        most: Voltage,
    },
    /// A fixture gets too few volts when the pack is nearly empty.
    Volts {
        /// Fixture, from 0.
        fixture: usize,
        /// What it gets.
        volts: Voltage,
        /// What it needs.
        least: Voltage,
        /// The broken segment of a loop, if that is the cause.
        broken: Option<usize>,
    },
    /// No working point.
    Collapse {
        /// Share of the load that works.
        load_factor: f64,
        /// The broken segment of a loop, if that is the cause.
        broken: Option<usize>,
    },
    /// No standard fuse between load and cable.
    Fuse(NoFuse),
}

/// Why a feed cannot be studied.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FeedError {
    /// Fixtures, segments and loads do not fit together.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// Outside the copper table.
    #[error(transparent)]
    Conductor(#[from] ConductorError),
    /// A number outside its range.
    #[error(transparent)]
    Range(#[from] OutOfRange),
    /// A pack that is empty before it is used.
    #[error("the pack's cut-off, {cutoff}, is above its nominal {nominal}")]
    Cutoff {
        /// Terminal voltage when empty.
        cutoff: Voltage,
        /// Nominal voltage.
        nominal: Voltage,
    },
}

/// No size of a series serves.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoSize {
    /// Even the thickest fails.
    #[error("even {} is too thin", .thickest.size)]
    TooThin {
        /// Study of the thickest cable.
        thickest: Box<Study>,
        /// What it fails to give.
        shortfalls: Vec<Shortfall>,
    },
    /// No cable can be studied.
    #[error(transparent)]
    Feed(#[from] FeedError),
}

impl Plan {
    /// The cable to a fixture from the neighbour on the box's side; in a ring from the one before.
    #[must_use]
    pub fn cable_to(&self, fixture: usize) -> Length {
        let at = if self.laid_backward(fixture) { fixture + 1 } else { fixture };
        self.lengths.get(at).copied().unwrap_or(self.back)
    }

    /// Whether the fixture is on the second way of a chain that leaves the box both ways.
    #[must_use]
    pub fn laid_backward(&self, fixture: usize) -> bool {
        self.layout == FeedLayout::Chain && self.apart.is_some_and(|apart| fixture >= apart)
    }

    /// Whether a cable leads from the last fixture back to the box.
    #[must_use]
    pub fn returns(&self) -> bool {
        self.layout == FeedLayout::Loop || self.apart.is_some()
    }

    fn check(&self) -> Result<(), FeedError> {
        let Supply { nominal, cutoff, standby, efficiency, .. } = self.supply;
        positive("the drop limit", self.drop)?;
        not_negative("0.5 less the drop limit", 0.5 - self.drop)?;
        positive("the controller's efficiency", efficiency)?;
        not_negative("the controller's loss", 1.0 - efficiency)?;
        not_negative("the controller's standby", standby.get())?;
        if let Some(least) = self.least {
            positive("the fixture's least voltage", least.get())?;
        }
        if let Some(ampacity) = self.ampacity {
            positive("the cable's ampacity", ampacity.get())?;
        }
        if cutoff.get().is_nan() || cutoff > nominal {
            return Err(FeedError::Cutoff { cutoff, nominal });
        }
        Ok(())
    }

    fn source(&self) -> Source {
        Source { emf: self.supply.nominal, resistance: self.supply.resistance }
    }

    /// The battery when all is drawn that the runtime draws. Where the terminals would fall below the
    /// cut-off the pack switches off before; the last that the lamps see is the cut-off.
    fn spent(
        &self,
        net: &impl Fn(Source) -> Result<Network, NetworkError>,
    ) -> Result<Source, NetworkError> {
        let Supply { spent, resistance, cutoff, .. } = self.supply;
        let source = Source { emf: spent, resistance };
        let lasts = net(source)?.solution().is_some_and(|s| s.terminal >= cutoff);
        Ok(if lasts { source } else { Source { emf: cutoff, resistance: Resistance::ZERO } })
    }

    /// Go-and-return resistance of each segment with its plug, the return last.
    fn segments(&self, size: ConductorSize) -> Result<Vec<Resistance>, FeedError> {
        let lengths = self.lengths.iter().chain([&self.back]);
        not_negative("a contact's resistance", self.contact.get())?;
        let plug = self.contact * 2.0;
        let both = lengths.map(|&l| {
            size.resistance(self.strands, l * 2.0, self.temperature).map(|cable| cable + plug)
        });
        Ok(both.collect::<Result<_, _>>()?)
    }

    /// Terminal currents of the battery: the lamps' through the controller's loss, and its standby.
    fn battery_current(&self, lamps: Current, terminal: Voltage) -> Current {
        let own = Current::amps(self.supply.standby.get() / terminal.get());
        lamps / self.supply.efficiency + own
    }

    /// Solves the feed with this cable in every state.
    ///
    /// # Errors
    /// [`FeedError`] when a number is out of range. A collapse is no error here but part of the
    /// study.
    pub fn study(&self, size: ConductorSize) -> Result<Study, FeedError> {
        self.check()?;
        let segments = self.segments(size)?;
        let one_way = segments[..segments.len() - 1].to_vec();
        let ring_of = |source| Network::ring(source, segments.clone(), self.loads.clone());
        let chain_of = |source| match self.apart {
            Some(segment) => ring_of(source)?.without_segment(segment),
            None => Network::chain(source, one_way.clone(), self.loads.clone()),
        };
        let chain = chain_of(self.source())?.solve();
        let ring = ring_of(self.source())?.solve();

        let (fresh, spent, worst_break) = match self.layout {
            FeedLayout::Chain => (chain.clone(), chain_of(self.spent(&chain_of)?)?.solve(), None),
            FeedLayout::Loop => {
                let net = ring_of(self.spent(&ring_of)?)?;
                (ring.clone(), net.solve(), Some(worst_break(&net)?))
            }
        };

        let ampacity = match self.ampacity {
            Some(given) => given,
            None => size.ampacity(self.air)?,
        };
        let states = [&fresh, &spent].into_iter().chain(worst_break.as_ref().map(|b| &b.spent));
        let continuous = states
            .flatten()
            .map(|s| self.battery_current(s.current, s.terminal))
            .fold(Current::ZERO, Current::max);
        let way = self.supply.resistance.get() + farthest(&segments, self.layout, self.apart);
        let far_short = Current::amps(self.supply.spent.max(self.supply.cutoff).get() / way);
        Ok(Study {
            size,
            ampacity,
            fresh,
            spent,
            chain,
            ring,
            worst_break,
            continuous,
            fuse: self.fuse_kind.choose(continuous, ampacity),
            far_short,
            nominal: self.supply.nominal,
        })
    }

    /// Whether a shortfall is one of choice alone: the cable loses more than the share that is wished,
    /// but the lamps' own least voltage is known and holds.
    #[must_use]
    pub fn is_by_choice(&self, shortfall: &Shortfall) -> bool {
        matches!(shortfall, Shortfall::Drop { .. }) && self.least.is_some()
    }

    /// What a studied cable fails to give; empty when it serves.
    #[must_use]
    pub fn shortfalls(&self, study: &Study) -> Vec<Shortfall> {
        let mut found = Vec::new();
        match &study.fresh {
            Ok(s) => {
                let (drop, most) = (s.drop(), study.nominal * self.drop);
                if drop > most {
                    found.push(Shortfall::Drop { fixture: s.worst, drop, most });
                }
            }
            Err(c) => {
                found.push(Shortfall::Collapse { load_factor: c.load_factor, broken: None });
            }
        }
        let whole = (&study.spent, None);
        let broken = study.worst_break.as_ref().map(|b| (&b.spent, Some(b.segment)));
        for (state, broken) in std::iter::once(whole).chain(broken) {
            match state {
                Ok(s) => {
                    if let Some(least) = self.least.filter(|&least| s.least() < least) {
                        let (fixture, volts) = (s.worst, s.least());
                        found.push(Shortfall::Volts { fixture, volts, least, broken });
                    }
                }
                Err(c) => {
                    found.push(Shortfall::Collapse { load_factor: c.load_factor, broken });
                }
            }
        }
        if let Err(none) = study.fuse {
            found.push(Shortfall::Fuse(none));
        }
        found
    }

    /// The thinnest cable of a series (thinnest first) that serves, with its study; where none does, the
    /// thinnest that misses only the wished drop, although the lamps' least voltage holds.
    ///
    /// # Errors
    /// [`NoSize::TooThin`] with the shortfalls of the thickest; [`NoSize::Feed`] when the plan itself
    /// is at fault.
    pub fn thinnest(&self, series: &[ConductorSize]) -> Result<Study, NoSize> {
        let (mut thickest, mut enough) = (None, None);
        for &size in series {
            let study = self.study(size)?;
            let shortfalls = self.shortfalls(&study);
            if shortfalls.is_empty() {
                return Ok(study);
            }
            if enough.is_none() && shortfalls.iter().all(|s| self.is_by_choice(s)) {
                enough = Some(study.clone());
            }
            thickest = Some((study, shortfalls));
        }
        if let Some(study) = enough {
            return Ok(study);
        }
        match thickest {
            Some((study, shortfalls)) => {
                Err(NoSize::TooThin { thickest: Box::new(study), shortfalls })
            }
            None => Err(FeedError::from(OutOfRange {
                what: "the number of cable sizes to choose from",
                value: 0.0,
                needs: "above zero",
            })
            .into()),
        }
    }
}

/// The break of a ring that leaves the least volts, or the first that leaves no working point.
fn worst_break(ring: &Network) -> Result<Break, NetworkError> {
    let mut worst: Option<(usize, Solution)> = None;
    for segment in 0..=ring.loads.len() {
        let broken = ring.without_segment(segment)?;
        match broken.solution() {
            Some(s) if worst.as_ref().is_none_or(|(_, w)| s.least() < w.least()) => {
                worst = Some((segment, s));
            }
            Some(_) => {}
            None => return Ok(Break { segment, spent: broken.solve() }),
        }
    }
    // A ring has at least two segments, so that one was found.
    let (segment, solution) = worst.ok_or(NetworkError::NoFixtures)?;
    Ok(Break { segment, spent: Ok(solution) })
}

/// Resistance of the longest way to a fixture. A loop counts as broken at either end, which makes its way
/// longest.
fn farthest(segments: &[Resistance], layout: FeedLayout, apart: Option<usize>) -> f64 {
    let way = |part: &[Resistance]| part.iter().map(|r| r.get()).sum::<f64>();
    let last = segments.len() - 1;
    match (layout, apart) {
        (FeedLayout::Chain, Some(apart)) => {
            way(&segments[..apart]).max(way(&segments[apart + 1..]))
        }
        (FeedLayout::Chain, None) => way(&segments[..last]),
        (FeedLayout::Loop, _) => way(&segments[..last]).max(way(&segments[1..])),
    }
}
