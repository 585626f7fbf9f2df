//! Published capstan, belt and band-brake problems; laws of the window; cures that cure.

use approx::assert_relative_eq;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

use super::profile::WebbingFriction;
use super::*;
use crate::engineering::strap::{Path, Seat, Section, path};
use crate::units::Area;

fn n(v: f64) -> Force {
    Force::newtons(v)
}
fn mm(v: f64) -> Length {
    Length::mm(v)
}

#[test]
fn flat_belts_of_hibbeler() {
    // Hibbeler, Engineering Mechanics: Statics, flat belts: 250 kg (2452.5 N), mu 0.20: half a turn
    // 1308.38 N, one and a half turns 372.38 N.
    let half = slack_side(n(2452.5), 0.20, Angle::radians(PI)).unwrap();
    assert!((half.get() - 1308.38).abs() < 0.005);
    let more = slack_side(n(2452.5), 0.20, Angle::radians(3.0 * PI)).unwrap();
    assert!((more.get() - 372.38).abs() < 0.005);
}

#[test]
fn published_capstan_ratios() {
    // Euler-Eytelwein: mu 0.3 over 180 and 360 deg: 2.566 and 6.586; mu 0.25 over 2.5 turns: 50.75.
    let ratio = |mu, deg| capstan_ratio(mu, Angle::degrees(deg)).unwrap();
    assert!((ratio(0.3, 180.0) - 2.566).abs() < 5e-4);
    assert!((ratio(0.3, 360.0) - 6.586).abs() < 5e-4);
    assert!((ratio(0.25, 900.0) - 50.75).abs() < 5e-3);
    // 2000 N over 2.5 turns, mu 0.25: about 39 to 40 N.
    let held = slack_side(n(2000.0), 0.25, Angle::degrees(900.0)).unwrap().get();
    assert!((39.0..40.0).contains(&held));
    // Conveyor belt: pull 500 N, mu 0.2, 180 deg: slack side 571.8 N.
    assert!((500.0 / (ratio(0.2, 180.0) - 1.0) - 571.8).abs() < 0.05);
}

#[test]
fn band_brake_of_mott() {
    // Mott, Machine Elements in Mechanical Design, example 22-10: p 25 psi, r 6 in, w 2 in gives
    // T = 300 lb; mu 0.25, 225 deg: slack 112 lb; torque 1128 lb.in (with the rounded 112).
    let (psi, pound) = (6.894_757, 4.448_222);
    let tension = n(300.0 * pound);
    let p = strap_pressure(tension, Length::inches(6.0), Length::inches(2.0)).unwrap();
    assert!((p.get() / psi - 25.0).abs() < 1e-4);
    let slack = slack_side(tension, 0.25, Angle::degrees(225.0)).unwrap();
    assert_eq!((slack.get() / pound).round(), 112.0);
    assert_eq!((300.0 - (slack.get() / pound).round()) * 6.0, 1128.0);
}

#[test]
fn band_brake_with_the_pressure_at_the_tight_end() {
    // 620 kPa, drum 350 mm, band 25 mm, mu 0.30, 270 deg: p_max = P1 / (b r) gives P1 = 2712.5 N,
    // P2 = 659.8 N, 359.2 N.m. (A published answer of 5073.5 N takes the pressure as even.)
    let unit = strap_pressure(n(1.0), mm(175.0), mm(25.0)).unwrap();
    let p1 = n(620.0 / unit.get());
    assert!((p1.get() - 2712.5).abs() < 0.05);
    let p2 = slack_side(p1, 0.30, Angle::degrees(270.0)).unwrap();
    assert!((p2.get() - 659.8).abs() < 0.05);
    assert!(((p1 - p2).get() * 0.175 - 359.2).abs() < 0.05);
}

#[test]
fn strap_pressures_by_hand() {
    // p = T / (r w), kPa.
    for (t, r, w, kpa) in [
        (100.0, 150.0, 25.0, 26.67),
        (200.0, 150.0, 50.0, 26.67),
        (500.0, 250.0, 50.0, 40.00),
        (100.0, 100.0, 20.0, 50.00),
    ] {
        assert!((strap_pressure(n(t), mm(r), mm(w)).unwrap().get() - kpa).abs() < 5e-3);
    }
    assert!(strap_pressure(n(1.0), mm(0.0), mm(20.0)).is_err());
    assert!(strap_pressure(n(f64::NAN), mm(1.0), mm(20.0)).is_err());
    assert!(capstan_ratio(1e3, Angle::degrees(720.0)).is_err());
}

#[test]
fn seat_forces_add_up_to_the_closed_strap() {
    // A closed strap at tension T presses with 2 pi T in all: many small turns tend to it.
    let small = seat_force(n(100.0), Angle::radians(TAU / 1000.0)) * 1000.0;
    assert_relative_eq!(small.get(), TAU * 100.0, max_relative = 1e-5);
    assert_relative_eq!(seat_force(n(100.0), Angle::degrees(180.0)).get(), 200.0);
}

#[test]
fn peak_factor_against_quadrature() {
    for (c, e) in [(0.3, 0.3), (0.4, 0.1), (0.1, 0.4), (0.3, -0.2), (-0.1, 0.4), (0.0, 0.3)] {
        let steps = 200_000;
        let strain = |i: usize| {
            let x = (i as f64 + 0.5) / f64::from(steps);
            (c + (e - c) * x * x).max(0.0)
        };
        let mean: f64 = (0..steps as usize).map(strain).sum::<f64>() / f64::from(steps);
        let peak = f64::max(c, e);
        assert_relative_eq!(peak_factor(c, e).unwrap(), peak / mean, max_relative = 1e-6);
    }
    assert!(peak_factor(-0.1, -0.2).is_err());
    assert!(peak_factor(f64::NAN, 0.1).is_err());
}

#[test]
fn tension_falls_by_the_capstan_law_round_a_bare_trunk() {
    let bare = path(Section::round(mm(150.0)), &[], Length::ZERO).unwrap();
    let mu = WebbingFriction { bark: 0.3, print: 0.2 };
    let share = |t| least_shares(&bare, mu, Angle::degrees(30.0), t).unwrap()[0];
    // Published ratios: 6.586 over a full turn, 2.566 over half a turn.
    assert!((1.0 / share(Tightening::OneEnd) - 6.586).abs() < 5e-4);
    assert!((1.0 / share(Tightening::BothWays) - 2.566).abs() < 5e-4);
}

#[test]
fn hands_and_luggage_scale() {
    let hand = by_hand(n(120.0));
    assert_eq!(hand.words, "as tight as you can pull with one hand");
    assert_eq!(hand.scale, "12 kg");
    assert!(by_hand(n(500.0)).words.starts_with("beyond the hand"));
}

fn seat(degrees: f64) -> Seat {
    Seat {
        angle: Angle::degrees(degrees),
        half_width: mm(55.0),
        distance: mm(165.0),
        edge_radius: mm(4.0),
    }
}

fn load() -> SeatLoad {
    SeatLoad {
        weight: n(15.0),
        front: n(20.0),
        side: n(8.0),
        reach: mm(90.0),
        rise: mm(10.0),
        trunk_radius: mm(150.0),
        pad_area: Area::mm2(110.0 * 150.0),
        pad_height: mm(150.0),
        spread: 0.05,
        strap_heights: vec![mm(-50.0), mm(50.0)],
    }
}

pub(crate) fn ring(count: u32) -> Path {
    let seats: Vec<Seat> =
        (0..count).map(|i| seat(360.0 * f64::from(i) / f64::from(count))).collect();
    path(Section::round(mm(150.0)), &seats, mm(1.5)).unwrap()
}

/// So many everyday lamps on one strap path.
pub(crate) fn input(path: &Path, seats: usize) -> HoldInput<'_> {
    HoldInput {
        path,
        straps: 2,
        strap_width: mm(25.0),
        kept: 0.8,
        working_load: n(500.0),
        passage: n(300.0),
        pad_friction: 0.4,
        webbing_friction: 0.2,
        buckle: Angle::degrees(180.0),
        tightening: Tightening::BothWays,
        pad_modulus: Pressure::kpa(40.0 / 0.3),
        strain_min: 0.10,
        strain_max: 0.50,
        bark_limit: Pressure::kpa(100.0),
        safety: 2.0,
        seats: vec![load(); seats],
    }
}

#[test]
fn an_everyday_lamp_has_an_open_window() {
    let one = ring(1);
    let input = input(&one, 1);
    let window = input.window().unwrap();
    assert!(window.is_open(), "{window:?}");
    assert!(input.cures().unwrap().is_empty());
    let at_most = input.pad_pressure(0, window.most).unwrap();
    assert!(at_most.get() <= 100.0 + 1e-9);
    assert!(input.bare_pressure(window.most).unwrap().get() <= 100.0 + 1e-9);
    let account = lines(&input, window.nearest(n(120.0)).unwrap()).unwrap();
    assert!(account.iter().all(|l| !l.fails()), "{account:#?}");
    // The same by hand at the least tension, with the capacity of pad and strap from the account.
    let per = input.per_newton().unwrap()[0];
    let t = window.least.get();
    let capacity = t * (0.4 * per.seat + per.bark_friction);
    let side = 8.0 * (150.0 + 90.0) / 150.0;
    assert!(capacity >= 2.0 * libm::hypot(15.0, side) - 1e-9);
}

#[test]
fn an_empty_window_comes_with_cures_that_open_it() {
    let one = ring(1);
    let mut heavy = input(&one, 1);
    heavy.seats[0].weight = n(40.0);
    heavy.seats[0].front = n(40.0);
    heavy.bark_limit = Pressure::kpa(55.0);
    let window = heavy.window().unwrap();
    assert!(!window.is_open(), "{window:?}");
    assert_eq!(window.nearest(n(120.0)), None);
    let cures = heavy.cures().unwrap();
    assert!(cures.len() >= 2, "{cures:?}");
    for cure in cures {
        let mut cured = heavy.clone();
        match cure {
            Cure::Straps(n) => cured.straps = n,
            Cure::StrapWidth(w) => cured.strap_width = w,
            Cure::PadArea(f) => cured.seats[0].pad_area = cured.seats[0].pad_area * f,
            Cure::PadFriction(mu) => cured.pad_friction = mu,
            Cure::Weight(f) => cured.seats[0].weight = cured.seats[0].weight * f,
            Cure::Gust(f) => {
                cured.seats[0].front = cured.seats[0].front * (f * f);
                cured.seats[0].side = cured.seats[0].side * (f * f);
            }
        }
        assert!(cured.window().unwrap().is_open(), "{cure:?}");
    }
}

#[test]
fn mismatched_and_idle_seats_are_refused() {
    let two = ring(2);
    assert_eq!(input(&two, 1).window(), Err(WindowError::Mismatch { loads: 1, seats: 2 }));
    let far = Seat { distance: mm(500.0), ..seat(0.0) };
    let other = Seat { distance: mm(500.0), ..seat(90.0) };
    let hidden = Seat { half_width: mm(10.0), ..seat(45.0) };
    let path = path(Section::round(mm(150.0)), &[far, other, hidden], mm(1.5)).unwrap();
    assert_eq!(input(&path, 3).window(), Err(WindowError::SeatIdle { seat: 2 }));
    let mut bad = input(&two, 2);
    bad.seats[1].front = n(f64::INFINITY);
    assert!(matches!(bad.window(), Err(WindowError::OutOfRange(_))));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn rougher_pads_never_need_more_tension(mu in 0.1..0.7_f64, more in 0.0..0.3_f64) {
        let one = ring(1);
        let least = |mu| {
            let mut input = input(&one, 1);
            input.pad_friction = mu;
            // Sliding alone: no peel, no least strain.
            input.strain_min = 0.0;
            input.seats[0].spread = 0.0;
            input.seats[0].reach = Length::ZERO;
            input.seats[0].rise = Length::ZERO;
            input.window().unwrap().least.get()
        };
        prop_assert!(least(mu + more) <= least(mu) + 1e-9);
    }

    #[test]
    fn pressure_grows_with_tension_and_the_window_is_tight(t in 1.0..300.0_f64, more in 0.0..50.0_f64) {
        let three = ring(3);
        let input = input(&three, 3);
        for seat in 0..3 {
            prop_assert!(
                input.pad_pressure(seat, n(t + more)).unwrap() >= input.pad_pressure(seat, n(t)).unwrap()
            );
        }
        let window = input.window().unwrap();
        // Just above the most, something is over its limit.
        let over = window.most * 1.001;
        let broken = over > input.working_load
            || over > input.passage
            || input.bare_pressure(over).unwrap() > input.bark_limit
            || (0..3).any(|s| input.pad_pressure(s, over).unwrap() > input.bark_limit)
            || window.cap == Cap::PadCrushed;
        prop_assert!(broken);
    }

    #[test]
    fn shares_lie_between_the_full_turn_and_one(
        bark in 0.0..0.6_f64, print in 0.0..0.6_f64, buckle in -720.0..720.0_f64, count in 0_u32..5,
    ) {
        let path = ring(count);
        let mu = WebbingFriction { bark, print };
        let one = least_shares(&path, mu, Angle::degrees(buckle), Tightening::OneEnd).unwrap();
        let both = least_shares(&path, mu, Angle::degrees(buckle), Tightening::BothWays).unwrap();
        let floor = libm::exp(-bark.max(print) * TAU);
        for (one, both) in one.iter().zip(&both) {
            prop_assert!(*one >= floor - 1e-12 && *one <= *both + 1e-12 && *both <= 1.0);
        }
    }
}
