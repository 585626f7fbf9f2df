//! The tilt lock: two pivot screws clamp the ears on the lamp's bosses, and friction holds the tilt.
//!
//! Preload from torque `F = T / (K d)`; friction torque of an annulus under uniform wear
//! `M = mu F (r_o + r_i) / 2` (machine-design texts; uniform wear is the lower and the one that
//! lasts), once for each rubbing face; a second screw in the arc slot adds `mu F R` at its radius.
//! Washer pressure `F / (pi/4 (D^2 - d^2))` must stay within the plastic's short-term limit; what is
//! left after creep must hold. Not counted: teeth or ribs between ear and boss, thread locking.

use std::f64::consts::PI;

use super::beam::megapascals;
use crate::engineering::account::{Line, Side};
use crate::engineering::guard::{OutOfRange, finite, not_negative, positive};
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::standards::polymer::PRELOAD_KEPT;
use crate::units::{Force, Length, Pressure, Torque};

/// Nut factor of screws as received; 0.15 lubricated, 0.12 waxed, 0.22 plated and dry, 0.30 rusty.
pub const NUT_FACTOR: f64 = 0.20;
/// Friction of a print on a metal or plastic boss, dry. From memory.
pub const FRICTION: f64 = 0.30;
/// Ears, and so pivot screws.
const SIDES: f64 = 2.0;
/// Proof stress of property class 8.8 up to M16, kPa (ISO 898-1).
const PROOF: f64 = 580e3;
/// Share of proof that tightening may use (common practice).
const PROOF_SHARE: f64 = 0.7;
const MM_PER_METRE: f64 = 1000.0;
const KPA_PER_MPA: f64 = 1000.0;

/// Torque for a preload, `K F d`.
#[must_use]
pub fn tightening_torque(preload: Force, nut_factor: f64, diameter: Length) -> Torque {
    Torque::newton_metres(nut_factor * preload.get() * diameter.get() / MM_PER_METRE)
}

/// Pressure under a washer.
///
/// # Errors
/// A hole as wide as the washer.
pub fn washer_pressure(force: Force, outer: Length, hole: Length) -> Result<Pressure, OutOfRange> {
    let force = not_negative("the preload", force.get())?;
    let area = PI / 4.0 * (outer.get() * outer.get() - hole.get() * hole.get());
    let area = positive("the washer's area on the plastic", area)?;
    Ok(Pressure::kpa(force / area * KPA_PER_MPA))
}

/// The lock, and what it must hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TiltLock {
    /// Pivot screws, one an ear; lock screws have the same thread.
    pub thread: Thread,
    /// Radius of a second screw in each ear's arc slot.
    pub lock_radius: Option<Length>,
    /// Torque about the pivot from weight, unfactored.
    pub weight: Torque,
    /// Torque about the pivot from the gust, unfactored.
    pub gust: Torque,
    /// Factor on both.
    pub safety: f64,
    /// Short-term limit of the plastic under the washer.
    pub bearing_limit: Pressure,
}

/// How the lock fares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TiltLockResult {
    /// Factored torque that must be held.
    pub demand: Torque,
    /// Least preload of each screw when tightened, so that enough is left after creep.
    pub least_preload: Force,
    /// Most preload that plastic and screw bear.
    pub most_preload: Force,
    /// Least torque to apply.
    pub least_torque: Torque,
    /// Most torque to apply.
    pub most_torque: Torque,
    /// Torque held after creep when tightened to the most.
    pub held: Torque,
    /// Washer pressure at the most preload.
    pub pressure: Pressure,
}

impl TiltLockResult {
    /// Whether some torque both holds and does not crush.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.least_preload <= self.most_preload
    }
}

impl TiltLock {
    /// Sum over one ear of friction radii, mm: the pivot's annulus and the lock screw.
    fn lever(&self) -> Result<f64, OutOfRange> {
        let inner = 0.5 * self.thread.clearance_hole(HoleFit::Medium).get();
        let outer = 0.5 * self.thread.washer().outer.get();
        let lock = match self.lock_radius {
            Some(r) => positive("the lock screw's radius", r.get())?,
            None => 0.0,
        };
        Ok(0.5 * (inner + outer) + lock)
    }

    /// The window of torque on each screw.
    ///
    /// # Errors
    /// A negative demand, a safety, radius or limit that is not above zero.
    pub fn solve(&self) -> Result<TiltLockResult, OutOfRange> {
        let weight = not_negative("the weight's torque about the pivot", self.weight.get())?;
        let gust = not_negative("the gust's torque about the pivot", self.gust.get())?;
        let demand = (weight + gust) * positive("the safety factor", self.safety)?;
        let limit = positive("the plastic's limit under the washer", self.bearing_limit.get())?;
        let lever = self.lever()?;
        let torque_per_newton = SIDES * FRICTION * lever / MM_PER_METRE * PRELOAD_KEPT;
        let least = finite("the preload", demand / torque_per_newton)?;

        let one = Force::newtons(1.0);
        let hole = self.thread.clearance_hole(HoleFit::Medium);
        let unit = washer_pressure(one, self.thread.washer().outer, hole)?.get();
        let proof = PROOF_SHARE * PROOF * self.thread.stress_area().get() / KPA_PER_MPA;
        let most = proof.min(limit / unit);
        let torque =
            |f: f64| tightening_torque(Force::newtons(f), NUT_FACTOR, self.thread.diameter());
        Ok(TiltLockResult {
            demand: Torque::newton_metres(demand),
            least_preload: Force::newtons(least),
            most_preload: Force::newtons(most),
            least_torque: torque(least),
            most_torque: torque(most),
            held: Torque::newton_metres(most * torque_per_newton),
            pressure: Pressure::kpa(most * unit),
        })
    }

    /// The least radius of a lock screw with which the lock holds; zero when none is needed.
    ///
    /// # Errors
    /// As [`TiltLock::solve`].
    pub fn least_lock_radius(&self) -> Result<Length, OutOfRange> {
        let bare = Self { lock_radius: None, ..*self };
        let found = bare.solve()?;
        let lever = bare.lever()? * (found.least_preload / found.most_preload - 1.0);
        Ok(Length::mm(finite("the lock screw's radius", lever.max(0.0))?))
    }

    /// The largest factor on the gust's speed with which the lock holds; none when it does not hold
    /// the weight, or there is no gust.
    #[must_use]
    pub fn most_gust(&self) -> Option<f64> {
        // Forces go with the square of the speed.
        let left = self.solve().ok()?.held.get() / self.safety - self.weight.get();
        let factor = libm::sqrt(left / self.gust.get());
        factor.is_finite().then_some(factor)
    }

    /// The thinnest thread with which the lock holds.
    #[must_use]
    pub fn least_thread(&self) -> Option<Thread> {
        Thread::ALL
            .into_iter()
            .find(|&thread| Self { thread, ..*self }.solve().is_ok_and(|r| r.holds()))
    }
}

/// The account of the lock.
#[must_use]
pub fn lines(lock: &TiltLock, found: &TiltLockResult) -> Vec<Line> {
    // Without a lock boss the pivot screws hold alone: there is no R.
    let formula = match lock.lock_radius {
        Some(_) => "2 mu F kept ((r_o + r_i)/2 + R)",
        None => "2 mu F kept (r_o + r_i)/2",
    };
    let held = Line::new(
        "torque that the tilt lock holds after creep",
        formula,
        format!("{:.2}", found.held),
        "friction of an annulus under uniform wear (machine-design texts); creep from memory",
    )
    .input("mu", FRICTION)
    .input("F", format!("{:.0} a screw", found.most_preload))
    .input("kept", PRELOAD_KEPT)
    .input("r_o", format!("{:.1}", lock.thread.washer().outer * 0.5))
    .input("r_i", format!("{:.2}", lock.thread.clearance_hole(HoleFit::Medium) * 0.5));
    let held = match lock.lock_radius {
        Some(radius) => held.input("R", radius),
        None => held,
    };
    vec![
        held.against(
            Side::AtLeast,
            found.held.get(),
            found.demand.get(),
            format!("{:.2}", found.demand),
        ),
        Line::new(
            "torque to put on each tilt screw, at least",
            "K F d",
            format!("{:.2}", found.least_torque),
            "nut factor of screws as received",
        )
        .input("K", NUT_FACTOR)
        .input("F", format!("{:.0}", found.least_preload))
        .input("d", lock.thread.diameter())
        .against(
            Side::AtMost,
            found.least_torque.get(),
            found.most_torque.get(),
            format!("{:.2} (washer on plastic {})", found.most_torque, megapascals(found.pressure)),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    #[test]
    fn preload_of_an_m10() {
        // T = K F d, an engineering handbook's example: M10, 50 N.m, K = 0.2: 25 kN, 431 MPa on
        // 58.0 mm2.
        let f = Force::newtons(25_000.0);
        assert!((f.get() / Thread::M10.stress_area().get() - 431.0).abs() < 0.1);
        assert_relative_eq!(tightening_torque(f, 0.2, mm(10.0)).get(), 50.0, max_relative = 1e-12);
        // 70 % of proof (580 MPa), K 0.2: M5 5.77 kN, M8 14.86 kN.
        for (thread, kilonewtons) in [(Thread::M5, 5.77), (Thread::M8, 14.86)] {
            let most = PROOF_SHARE * PROOF * thread.stress_area().get() / 1e6;
            assert!((most - kilonewtons).abs() < 5e-3);
        }
    }

    #[test]
    fn washer_pressure_of_an_m5() {
        // 1000 N under 10/5.3 mm: 17.7 MPa.
        let p = washer_pressure(Force::newtons(1000.0), mm(10.0), mm(5.3)).unwrap();
        assert!((p.get() / 1000.0 - 17.7).abs() < 0.05);
        assert!(washer_pressure(Force::newtons(1.0), mm(5.0), mm(5.0)).is_err());
    }

    fn lock(demand: f64) -> TiltLock {
        TiltLock {
            thread: Thread::M6,
            lock_radius: None,
            weight: Torque::newton_metres(0.25 * demand),
            gust: Torque::newton_metres(0.75 * demand),
            safety: 2.0,
            bearing_limit: Pressure::kpa(9.1e3),
        }
    }

    #[test]
    fn remedies_cure_and_no_less_does() {
        let weak = lock(2.0);
        assert!(!weak.solve().unwrap().holds());
        let radius = weak.least_lock_radius().unwrap();
        let at = |r: f64| TiltLock { lock_radius: Some(mm(r)), ..weak }.solve().unwrap().holds();
        assert!(at(radius.get() * 1.0001) && !at(radius.get() * 0.9999));
        let factor = weak.most_gust().unwrap();
        let blown = |f: f64| {
            let gust = weak.gust * (f * f);
            TiltLock { gust, ..weak }.solve().unwrap().holds()
        };
        assert!(blown(factor * 0.9999) && !blown(factor * 1.0001));
        assert_eq!(lock(20.0).most_gust(), None);
        let thread = lock(0.6).least_thread().unwrap();
        assert!(TiltLock { thread, ..lock(0.6) }.solve().unwrap().holds());
        assert!(lock(-1.0).solve().is_err());
        assert!(lock(f64::INFINITY).solve().is_err());
    }
}
