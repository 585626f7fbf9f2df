//! Published capstan, belt and band-brake problems.

use approx::assert_relative_eq;
use std::f64::consts::{PI, TAU};

use super::*;

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
fn the_scale_never_shows_less_than_was_meant() {
    for (newtons, kg) in [(98.0665, "10 kg"), (99.0, "11 kg"), (150.0, "16 kg")] {
        assert_eq!(by_hand(n(newtons)).scale, kg);
    }
    assert!(by_hand(n(400.0)).words.contains("ratchet"));
}
