//! Strap and foam as springs in series, and what time leaves of a pull.
//!
//! A strap round the trunk is a spring: its label states the load LC and the elongation there, so
//! a loop of length L has the rate `k = LC / (e L)` (linear; EN 12195-2 wants both on the label).
//! Each saddle is a second spring, its pad ([`super::seat`]). They are tied by the strap's path: when
//! the gap under all m saddles closes by dg, the path shortens by `m 2 sin(turn/2) dg`, which is the
//! seat force for one newton, by virtual work. Pads settle when their foam loses gas and relaxes; the
//! webbing creeps with the logarithm of time, and polyamide softens when wet; growth of the trunk
//! lengthens the path by the growth of the girth. After a time t
//!
//! ```text
//! T = m(t) (T0 + k (growth - give (g0 - g)))        m = wet / (1 + creep)
//! N(g, t) = n 2 sin(turn/2) share T                 the pad's own curve, aged
//! ```
//!
//! has one answer, since N rises and T falls as the gap closes. Friction is taken at its end that
//! loses most on the way from the buckle to the seat (Euler and Eytelwein, both ways round). Newtons,
//! millimetres, hours. Not covered: slip in the buckle (no published figure), frayed or sun-worn
//! webbing.

use std::f64::consts::PI;

use super::foam::Age;
use super::guard::{OutOfRange, not_negative, positive};
use super::seat::{Bed, Pose};
use crate::units::{Angle, Force, Hours, Length, Pressure};

/// When creep begins to count: as long as a strap takes to pull.
const CREEP_START: Hours = Hours::hours(1.0 / 60.0);
/// The time at which the share kept is known.
const A_DAY: Hours = Hours::hours(24.0);

/// What a strap is woven of, as a spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Webbing {
    /// Load on the label, in straight pull.
    pub load: Force,
    /// Elongation at that load, a share of the length.
    pub elongation: f64,
    /// Share of a pull that is left after a day at fixed length.
    pub kept: f64,
    /// Stiffness when wet over stiffness when dry.
    pub wet: f64,
}

impl Webbing {
    /// Rate of a length of it, newtons a millimetre.
    ///
    /// # Errors
    /// A load, elongation or length that is not above zero.
    pub(crate) fn rate(&self, length: Length) -> Result<f64, OutOfRange> {
        let load = positive("the load on the webbing's label", self.load.get())?;
        let elongation = positive("the webbing's elongation at that load", self.elongation)?;
        Ok(load / (elongation * positive("the strap's length", length.get())?))
    }

    /// Share of a pull that is left at fixed length after some hours, wet or dry.
    fn left(&self, hours: Hours, wet: bool) -> f64 {
        let decades = |h: Hours| libm::log10(1.0 + h.get().max(0.0) / CREEP_START.get());
        let creep = (1.0 / self.kept - 1.0) * decades(hours) / decades(A_DAY);
        (if wet { self.wet } else { 1.0 }) / (1.0 + creep)
    }
}

/// The strap's path round a trunk with equal saddles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ring {
    /// Straps, one above the other.
    pub straps: u32,
    /// Saddles on each.
    pub saddles: u32,
    /// Turn of the strap at a saddle, both mouths together.
    pub turn: Angle,
    /// Least and largest share of the pull that friction leaves at a saddle, by its high and low end.
    pub share: [f64; 2],
    /// Length of the loop.
    pub length: Length,
    /// Smallest radius of bare bark that the strap lies on; none where it touches none.
    pub bare: Option<Length>,
}

/// Where a strap leaves a saddle: centre and radius of its rounded mouth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mouth {
    /// From the middle to the centre of the rounding.
    pub half_width: Length,
    /// From the face's middle out to that centre.
    pub out: Length,
    /// Radius of the rounding.
    pub radius: Length,
}

/// Friction of webbing that nobody has measured: its low and its high end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Loss {
    /// On bark, or on the sleeve that lies there.
    pub bark: [f64; 2],
    /// On printed mouths.
    pub print: [f64; 2],
}

impl Ring {
    /// Straps round a round trunk with equal saddles evenly spread, pulled both ways from a buckle
    /// in the middle of a free stretch. A circle and discs: the hull in closed form.
    ///
    /// # Errors
    /// No strap or saddle, a mouth whose strap would cut the trunk, a measure out of range.
    pub(crate) fn round(
        trunk: Length,
        gap: Length,
        mouth: &Mouth,
        [straps, saddles]: [u32; 2],
        loss: Loss,
    ) -> Result<Self, OutOfRange> {
        positive("the number of straps", f64::from(straps))?;
        let m = positive("the number of saddles", f64::from(saddles))?;
        let r = positive("the trunk's radius", trunk.get())?;
        let x = positive("the mouth's half width", mouth.half_width.get())?;
        let rounding = positive("the mouth's radius", mouth.radius.get())?;
        for [low, high] in [loss.bark, loss.print] {
            not_negative("the webbing's friction", low)?;
            not_negative("the range of the webbing's friction", high - low)?;
        }
        let y = r + gap.get() + mouth.out.get();
        let far = libm::hypot(x, y);
        positive("how far the strap stands off the bark", y + rounding - r)?;
        // Normal of the line that touches mouth and trunk, from the saddle's middle.
        let tangent = libm::atan2(x, y) + libm::acos(((r - rounding) / far).clamp(-1.0, 1.0));
        let between = PI / m;
        let half = tangent.min(between);
        let on_bark = between - half;
        // From the normal at the mouth's own corner: support lines of both discs.
        let along = |phi: f64| y * libm::sin(phi) - x * libm::cos(phi);
        let one = x + rounding * half + along(half) + r * on_bark;
        // What presses on a saddle is the pull just outside its mouths (statics: the rest is inside
        // it). Farthest from the buckle lies a saddle, when they are odd in number, else a stretch.
        let [passed, free] = if saddles % 2 == 1 { [m - 1.0, m] } else { [m, m - 1.0] };
        let far_off = passed * half * loss.print[1] + free * on_bark * loss.bark[1];
        let near = on_bark * loss.bark[0];
        Ok(Self {
            straps,
            saddles,
            turn: Angle::radians(2.0 * half),
            share: [far_off, near].map(kept),
            length: Length::mm(2.0 * m * one),
            bare: (on_bark > 0.0).then_some(trunk),
        })
    }

    /// Seat force for one newton in each strap, without loss.
    #[must_use]
    pub(crate) fn seat(&self) -> f64 {
        f64::from(self.straps) * self.one()
    }

    /// Newtons at a seat for each millimetre that the saddle alone moves off, one strap of this rate:
    /// friction round the trunk would make it more.
    #[must_use]
    pub(crate) fn seat_rate(&self, rate: f64) -> f64 {
        rate * self.one() * self.one()
    }

    /// Millimetres by which the path shortens for one by which all gaps close.
    fn give(&self) -> f64 {
        f64::from(self.saddles) * self.one()
    }

    /// Two pulls a turn apart; beyond half a circle they begin to cancel.
    pub(super) fn one(&self) -> f64 {
        2.0 * libm::sin(0.5 * self.turn.rad().min(PI))
    }
}

/// Share of a pull that is left beyond a turn with friction, `exp(-mu beta)` (Euler and Eytelwein), for
/// the product of both.
fn kept(friction_and_turn: f64) -> f64 {
    libm::exp(-friction_and_turn)
}

/// Tension of a band that presses so hard on a round body, `p r b` (Mott, Machine Elements in Mechanical
/// Design, on band brakes).
pub(super) fn tension_under(pressure: Pressure, radius: Length, width: Length) -> Force {
    Force::newtons(pressure.get() * radius.get() * width.get() * NEWTONS)
}

/// Kilopascals on square millimetres to newtons.
const NEWTONS: f64 = 1e-3;

/// Strap and pads together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Springs {
    /// The pad of the saddle where least of the pull arrives.
    pub bed: Bed,
    /// The strap's path.
    pub ring: Ring,
    /// Its webbing.
    pub webbing: Webbing,
    /// Its rate, newtons a millimetre.
    rate: f64,
}

/// What has happened since the strap was pulled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Since {
    /// Hours since then.
    pub hours: Hours,
    /// Growth of the girth since then; below zero the tree has shrunk, as in frost or drought.
    pub growth: Length,
    /// Whether the webbing is wet.
    pub wet: bool,
    /// Kelvins warmer than then.
    pub warmer: f64,
}

impl Since {
    /// So many hours, and nothing else.
    #[must_use]
    pub(crate) const fn only(hours: Hours) -> Self {
        Self { hours, growth: Length::ZERO, wet: false, warmer: 0.0 }
    }
}

impl Springs {
    /// # Errors
    /// Webbing without rate, or a share kept or a wet stiffness not above 0 and at most 1.
    pub(crate) fn new(bed: Bed, ring: Ring, webbing: Webbing) -> Result<Self, OutOfRange> {
        for (what, value) in [
            ("the share of the pull kept for a day", webbing.kept),
            ("the webbing's stiffness when wet", webbing.wet),
        ] {
            if positive(what, value)? > 1.0 {
                return Err(OutOfRange { what, value, needs: "at most 1" });
            }
        }
        Ok(Self { bed, ring, webbing, rate: webbing.rate(ring.length)? })
    }

    /// The strap's rate, newtons a millimetre.
    #[must_use]
    pub(crate) fn rate(&self) -> f64 {
        self.rate
    }

    /// Seat force for one newton of pull, where friction leaves least.
    #[must_use]
    pub(crate) fn seat(&self) -> f64 {
        self.ring.seat() * self.ring.share[0]
    }

    /// The foam's age.
    #[must_use]
    pub(crate) fn age(&self, since: &Since) -> Age {
        self.bed.pad().foam.after(since.hours).warmer(since.warmer)
    }

    /// What is left of a pull, and how the pads lie then, `settled` being the age at which the pads
    /// lay when it was pulled ([`Age::FRESH`] for a new pad).
    ///
    /// # Errors
    /// A negative pull.
    pub(crate) fn left(
        &self,
        pulled: Force,
        settled: Age,
        age: Age,
        since: &Since,
    ) -> Result<(Force, Pose), OutOfRange> {
        let seat = self.seat();
        let before = self.bed.rest(pulled * seat, settled)?;
        let m = self.webbing.left(since.hours, since.wet);
        let slope = self.rate * self.ring.give() * self.bed.pad().thickness.get();
        let start = pulled.get() + self.rate * since.growth.get();
        // Approach is strain of the pad, so the gap closes by the thickness times its change.
        let tension = |a: f64| m * (start - slope * (a - before.approach()));
        let approach = self.bed.root(|a| {
            let ([force, stiff], left) = (self.bed.flat(a, age), tension(a));
            if left > 0.0 {
                [force - seat * left, stiff + seat * m * slope]
            } else {
                [force, stiff]
            }
        });
        let left = tension(approach).max(0.0);
        Ok((Force::newtons(left), self.bed.straight(approach, left * seat)))
    }

    /// The pull on new pads of which this is left after some time: the inverse of [`Springs::left`].
    ///
    /// # Errors
    /// A negative tension.
    pub(crate) fn pulled_for(&self, left: Force, since: &Since) -> Result<Force, OutOfRange> {
        let seat = self.seat();
        let later = self.bed.rest(left * seat, self.age(since))?;
        let m = self.webbing.left(since.hours, since.wet);
        let slope = self.rate * self.ring.give() * self.bed.pad().thickness.get();
        let start = left.get() / m - self.rate * since.growth.get();
        let approach = self.bed.root(|a| {
            let [force, stiff] = self.bed.flat(a, Age::FRESH);
            [force / seat - start - slope * (later.approach() - a), stiff / seat + slope]
        });
        Ok(Force::newtons(self.bed.flat(approach, Age::FRESH)[0] / seat).max(left))
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::foam::tests::made;
    use super::super::seat::Pad;
    use super::super::seat::tests::{face, pad};
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Polyester as its label has it, 2.5 kN at 7 %.
    pub(in super::super) fn polyester() -> Webbing {
        Webbing { load: Force::newtons(2500.0), elongation: 0.07, kept: 0.8, wet: 1.0 }
    }

    pub(in super::super) fn mouth() -> Mouth {
        Mouth { half_width: Length::mm(52.0), out: Length::mm(6.0), radius: Length::mm(3.0) }
    }

    const NO_LOSS: Loss = Loss { bark: [0.0; 2], print: [0.0; 2] };

    fn springs(pad: Pad, saddles: u32) -> Springs {
        let (r, gap) = (Length::mm(200.0), Length::mm(7.0));
        let bed = Bed::new(&face(207.0, 45.0, 100.0), pad, r).unwrap();
        let ring = Ring::round(r, gap, &mouth(), [2, saddles], NO_LOSS).unwrap();
        Springs::new(bed, ring, polyester()).unwrap()
    }

    #[test]
    fn rate_from_the_label() {
        // k = LC / (e L): 2.5 kN, 7 %, 1.5 m gives 23.81 N/mm; 150 N stretches it 6.3 mm.
        let rate = polyester().rate(Length::metres(1.5)).unwrap();
        assert!((rate - 23.81).abs() < 5e-3);
        assert!((150.0 / rate - 6.3).abs() < 5e-3);
        let strong = Webbing { load: Force::newtons(5000.0), ..polyester() };
        assert!((strong.rate(Length::metres(1.5)).unwrap() - 47.62).abs() < 5e-3);
    }

    /// A strap of 1.5 m on pads all round the trunk, and pads so hard that they do not give.
    fn all_round(pad: Pad) -> Springs {
        let r = Length::mm(1500.0 / (2.0 * PI));
        let bed = Bed::new(&face(r.get() + 7.0, 45.0, 100.0), pad, r).unwrap();
        // Many saddles: 2 m sin(pi / m) is 2 pi within a thousandth from 32 on.
        let ring = Ring {
            straps: 1,
            saddles: 64,
            turn: Angle::radians(2.0 * PI / 64.0),
            share: [1.0; 2],
            length: Length::metres(1.5),
            bare: None,
        };
        Springs::new(bed, ring, Webbing { kept: 1.0, ..polyester() }).unwrap()
    }

    #[test]
    fn three_millimetres_of_growth_on_rigid_foam() {
        // 3 mm more girth on 23.81 N/mm adds 71.4 N where nothing gives.
        let hard = Pad { foam: made(0.3, 1e7, 1.0, 0.1), ..pad() };
        let springs = all_round(hard);
        let since = Since { growth: Length::mm(3.0), ..Since::only(Hours::ZERO) };
        let pulled = Force::newtons(150.0);
        let (left, _) = springs.left(pulled, Age::FRESH, Age::FRESH, &since).unwrap();
        assert!(((left - pulled).get() - 71.4).abs() < 0.5, "{left}");
    }

    #[test]
    fn two_millimetres_of_settling_all_round_slacken_the_strap() {
        // Pads that lose all their stress: 150 N has stretched the strap by 6.3 mm, and every
        // millimetre of settling all round takes 2 pi of them, so that 1.003 mm is the whole; the
        // 2 mm of the handbook example (12.6 mm of girth) slacken it twice over.
        let springs = all_round(pad());
        let pulled = Force::newtons(150.0);
        let gone = Age::FRESH.without_gas().weakened(1e-9);
        let (left, pose) =
            springs.left(pulled, Age::FRESH, gone, &Since::only(Hours::ZERO)).unwrap();
        assert!(left.get() < 0.01, "{left}");
        let fresh = springs.bed.rest(pulled * springs.seat(), Age::FRESH).unwrap();
        let settled = springs.bed.gap(&fresh) - springs.bed.gap(&pose);
        assert!((settled.get() - 1.003).abs() < 5e-3, "{settled}");
        let girth = 2.0 * PI * 2.0;
        assert!((girth - 12.6).abs() < 0.05 && girth * 23.81 > 150.0);
    }

    #[test]
    fn a_rigid_load_keeps_what_the_webbing_keeps() {
        // Makers' notes on strapping: after a day at fixed length polyester keeps most, here 0.8;
        // most of the loss comes within four hours.
        let kept = |hours| polyester().left(Hours::hours(hours), false);
        assert_relative_eq!(kept(24.0), 0.8, epsilon = 1e-12);
        assert!((1.0 - kept(4.0)) / (1.0 - kept(24.0)) > 0.7);
        assert_relative_eq!(kept(0.0), 1.0);
    }

    #[test]
    fn path_agrees_with_the_hull_by_hand() {
        // A strap that leaves along the tangent of the trunk from
        // (52, 213) with r 200 and a rounding of 3 turns by atan(52/213) + acos(197/219.26).
        let r = Length::mm(200.0);
        let ring = Ring::round(r, Length::mm(7.0), &mouth(), [1, 1], NO_LOSS).unwrap();
        let half = libm::atan2(52.0, 213.0) + libm::acos(197.0 / libm::hypot(52.0, 213.0));
        assert_relative_eq!(ring.turn.rad(), 2.0 * half, epsilon = 1e-12);
        // Straight part by Pythagoras: mouth to trunk, (R - r)^2 + l^2 = d^2 of the centres.
        let straight = f64::sqrt(52.0_f64.powi(2) + 213.0_f64.powi(2) - 197.0_f64.powi(2));
        let length = 2.0 * (52.0 + 3.0 * half + straight + 200.0 * (PI - half));
        assert_relative_eq!(ring.length.get(), length, epsilon = 1e-9);
        // Two saddles on a thin stem: the strap goes from one to the other, half a turn each.
        let thin =
            Ring::round(Length::mm(40.0), Length::mm(7.0), &mouth(), [1, 2], NO_LOSS).unwrap();
        assert_eq!(thin.bare, None);
        assert_relative_eq!(thin.turn.rad(), PI, epsilon = 1e-12);
    }

    #[test]
    fn friction_takes_its_share_round_the_trunk() {
        // Euler and Eytelwein. One saddle: over the bark on either side, not over its own mouths.
        let loss = Loss { bark: [0.2, 0.3], print: [0.1, 0.25] };
        let at = |saddles| {
            Ring::round(Length::mm(200.0), Length::mm(7.0), &mouth(), [1, saddles], loss).unwrap()
        };
        let one = at(1);
        let free = PI - one.turn.rad() / 2.0;
        assert_relative_eq!(one.share[0], libm::exp(-0.3 * free), epsilon = 1e-12);
        assert_relative_eq!(one.share[1], libm::exp(-0.2 * free), epsilon = 1e-12);
        // Two: beyond both mouths of either and the stretch to the buckle.
        let two = at(2);
        let half = two.turn.rad() / 2.0;
        let lost = 0.25 * 2.0 * half + 0.3 * (PI / 2.0 - half);
        assert_relative_eq!(two.share[0], libm::exp(-lost), epsilon = 1e-12);
        // mu 0.3 over half a turn leaves 1 / 2.566 (a value of every table): no bark lies free.
        let bare = Ring { share: [libm::exp(-0.3 * PI); 2], ..one };
        assert!((1.0 / bare.share[0] - 2.566).abs() < 5e-4);
    }

    #[test]
    fn flat_belts_of_hibbeler() {
        // Hibbeler, Engineering Mechanics: Statics, flat belts: 250 kg (2452.5 N), mu 0.20: half a turn
        // 1308.38 N, one and a half turns 372.38 N.
        let left = |turns: f64| 2452.5 * kept(0.20 * PI * turns);
        assert!((left(1.0) - 1308.38).abs() < 0.005 && (left(3.0) - 372.38).abs() < 0.005);
    }

    #[test]
    fn published_capstan_ratios() {
        // Euler-Eytelwein: mu 0.3 over 180 and 360 deg: 2.566 and 6.586; mu 0.25 over 2.5 turns: 50.75.
        let ratio = |mu: f64, deg: f64| 1.0 / kept(mu * deg.to_radians());
        assert!((ratio(0.3, 180.0) - 2.566).abs() < 5e-4);
        assert!((ratio(0.3, 360.0) - 6.586).abs() < 5e-4);
        assert!((ratio(0.25, 900.0) - 50.75).abs() < 5e-3);
        // 2000 N over 2.5 turns, mu 0.25: about 39 to 40 N.
        assert!((39.0..40.0).contains(&(2000.0 / ratio(0.25, 900.0))));
        // Conveyor belt: pull 500 N, mu 0.2, 180 deg: slack side 571.8 N.
        assert!((500.0 / (ratio(0.2, 180.0) - 1.0) - 571.8).abs() < 0.05);
    }

    #[test]
    fn band_brakes_of_two_handbooks() {
        // Mott, Machine Elements in Mechanical Design, example 22-10: p 25 psi, r 6 in, w 2 in gives
        // T = 300 lb; mu 0.25, 225 deg: slack 112 lb; torque 1128 lb.in (with the rounded 112).
        let (psi, pound) = (6.894_757, 4.448_222);
        let pressure = Pressure::kpa(25.0 * psi);
        let tension = tension_under(pressure, Length::inches(6.0), Length::inches(2.0));
        assert!((tension.get() / pound - 300.0).abs() < 1e-3);
        let slack = (tension.get() * kept(0.25 * 225.0_f64.to_radians()) / pound).round();
        assert_eq!((slack, (300.0 - slack) * 6.0), (112.0, 1128.0));
        // 620 kPa, drum 350 mm, band 25 mm, mu 0.30, 270 deg: p_max = P1 / (b r) gives P1 = 2712.5 N,
        // P2 = 659.8 N, 359.2 N.m. (A published answer of 5073.5 N takes the pressure as even.)
        let p1 = tension_under(Pressure::kpa(620.0), Length::mm(175.0), Length::mm(25.0)).get();
        let p2 = p1 * kept(0.30 * 270.0_f64.to_radians());
        assert!((p1 - 2712.5).abs() < 0.05 && (p2 - 659.8).abs() < 0.05);
        assert!(((p1 - p2) * 0.175 - 359.2).abs() < 0.05);
    }

    #[test]
    fn seat_forces_add_up_to_the_closed_strap() {
        // A closed strap at tension T presses with 2 pi T in all: many small turns tend to it.
        let ring = |turn: f64| Ring { turn: Angle::radians(turn), ..all_round(pad()).ring };
        let small = ring(2.0 * PI / 1000.0).one() * 1000.0;
        assert_relative_eq!(small, 2.0 * PI, max_relative = 1e-5);
        assert_relative_eq!(ring(PI).one(), 2.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(128))]
        #[test]
        fn a_pull_and_what_is_left_are_inverse(
            pulled in 40.0..400.0_f64, hours in 0.1..3000.0_f64, growth in -1.0..3.0_f64,
            saddles in 1_u32..4, wet: bool,
        ) {
            let springs = springs(pad(), saddles);
            let since = Since {
                growth: Length::mm(growth), wet, ..Since::only(Hours::hours(hours))
            };
            let age = springs.age(&since);
            let force = Force::newtons(pulled);
            let (left, pose) = springs.left(force, Age::FRESH, age, &since).unwrap();
            // In series, both springs carry the same.
            let pad = springs.bed.flat(pose.approach(), age)[0];
            prop_assert!((pad - left.get() * springs.seat()).abs() < 1e-4 * pad.max(1.0));
            if left.get() > 1.0 && left < force {
                let back = springs.pulled_for(left, &since).unwrap();
                prop_assert!((back.get() - pulled).abs() < 1e-3 * pulled, "{back}");
            }
            let later = Since { hours: Hours::hours(hours * 3.0), ..since };
            let (less, _) = springs.left(force, Age::FRESH, springs.age(&later), &later).unwrap();
            prop_assert!(less <= left);
        }
    }
}
