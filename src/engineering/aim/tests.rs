//! Photometry against published problems; tilt, spill and spacing against geometry.

use std::f64::consts::FRAC_1_PI;

use super::*;
use approx::assert_relative_eq;

fn m(v: f64) -> Length {
    Length::metres(v)
}

fn deg(v: f64) -> Angle {
    Angle::degrees(v)
}

fn beam(lumens: f64, angle: f64) -> Beam {
    Beam::new(LuminousFlux::lumens(lumens), deg(angle)).unwrap()
}

#[test]
fn point_by_point_illuminance() {
    // Problems of a point-by-point method sheet (illumination engineering), answers worked out from
    // the inverse square and cosine laws.
    let at = |cd: f64, height: f64, aside: f64| {
        let d = libm::hypot(height, aside);
        illuminance(cd, m(d), Angle::radians(libm::atan2(aside, height))).unwrap().get()
    };
    assert_relative_eq!(at(100.0, 4.0, 0.0), 6.25, epsilon = 1e-9);
    assert_relative_eq!(at(1000.0, 4.0, 3.0), 32.0, epsilon = 1e-9);
    assert_relative_eq!(at(500.0, 3.0, 0.0), 55.56, epsilon = 5e-3);
    assert_relative_eq!(at(500.0, 3.0, 4.0), 12.0, epsilon = 1e-9);
    // 100 cd, 2.5 m over a square table of 3 m: its corner.
    assert_relative_eq!(at(100.0, 2.5, 1.5 * 2.0_f64.sqrt()), 7.09, epsilon = 5e-3);
    // Four lamps of 250 cd at the corners of a 4 m square, 6 m up: its middle.
    assert_relative_eq!(4.0 * at(250.0, 6.0, 8.0_f64.sqrt()), 20.56, epsilon = 5e-3);
}

#[test]
fn a_lambert_source_falls_with_the_fourth_power_of_the_cosine() {
    // H. C. Verma, Concepts of Physics, chapter 22: a small Lambert source gives 25 lx straight
    // below at 2.4 m; 1.8 m aside it gives 25 cos^4 = 10.24 lx. A beam angle of 120 deg is Lambert's.
    let lambert = beam(25.0 * 2.4 * 2.4 * PI, 120.0);
    let off = Angle::radians(libm::atan2(1.8, 2.4));
    let below = illuminance(lambert.intensity_off_axis(Angle::ZERO), m(2.4), Angle::ZERO).unwrap();
    let aside = illuminance(lambert.intensity_off_axis(off), m(3.0), off).unwrap();
    assert_relative_eq!(below.get(), 25.0, epsilon = 1e-9);
    assert_relative_eq!(aside.get(), 10.24, epsilon = 1e-9);
}

#[test]
fn a_small_flood_at_five_metres() {
    // I0 = Phi (m + 1)/(2 pi) and 2 d tan(theta / 2), digits computed independently: candela a lumen,
    // and lux of 1000 lm at 5 m on the axis.
    for (angle, candela, lux) in
        [(25.0, 4.7578, 190.3), (60.0, 0.92610, 37.0), (120.0, FRAC_1_PI, 12.7)]
    {
        assert_relative_eq!(beam(1.0, angle).intensity(), candela, max_relative = 2e-5);
        let e = illuminance(beam(1000.0, angle).intensity(), m(5.0), Angle::ZERO).unwrap();
        assert_relative_eq!(e.get(), lux, epsilon = 0.05);
    }
    // The even cone, which some pages use, overstates the middle of a 25 deg lamp by 41 %.
    let cone = 1.0 / (TAU * (1.0 - deg(12.5).cos()));
    assert_relative_eq!(beam(1.0, 25.0).intensity() / cone, 0.709, epsilon = 5e-4);
    for (angle, spot) in [(15.0, 1.317), (25.0, 2.217), (45.0, 4.142), (60.0, 5.774)] {
        assert_relative_eq!(beam(1.0, angle).spot(m(5.0)).in_metres(), spot, epsilon = 6e-4);
    }
}

#[test]
fn the_cosine_power_law_keeps_half_peak_and_flux() {
    let b = beam(1000.0, 40.0);
    let half = b.intensity_off_axis(b.half_angle()) / b.intensity_off_axis(Angle::ZERO);
    assert_relative_eq!(half, 0.5, epsilon = 1e-12);
    // Integral over the hemisphere by the midpoint rule.
    let n = 20_000;
    let flux: f64 = (0..n)
        .map(|i| {
            let a = PI / 2.0 * (f64::from(i) + 0.5) / f64::from(n);
            b.intensity_off_axis(Angle::radians(a)) * TAU * libm::sin(a) * PI / 2.0 / f64::from(n)
        })
        .sum();
    assert_relative_eq!(flux, 1000.0, max_relative = 1e-6);
}

#[test]
fn the_beam_reaches_to_the_crowns_edge_and_no_farther() {
    let crown = Crown::new(m(0.3), m(2.0), m(5.0), m(8.0)).unwrap();
    // Rise 3 m over 3.7 m.
    assert_relative_eq!(crown.edge_elevation().deg(), 39.04, epsilon = 5e-3);
    let b = beam(800.0, 30.0);
    let tilt = crown.tilt(b);
    assert_relative_eq!(tilt.deg(), 54.04, epsilon = 5e-3);
    // Half the light of a narrow lamp lies outside its beam angle, and a part of that below the edge.
    let missed = crown.missing(b, tilt).unwrap();
    assert!((0.1..0.3).contains(&missed), "{missed}");
    assert!(crown.missing(b, deg(0.0)).unwrap() > 0.9);
    // On the edge, about half is lost (a little more: the edge curves away).
    let half = crown.missing(b, crown.edge_elevation()).unwrap();
    assert!((0.45..0.65).contains(&half), "{half}");
    // Straight up over the middle of a round crown: the share beyond the angle to its edge,
    // cos^(m+1) = 0.8^20.994 = 0.92 % for a rise of 4 m and a radius of 3 m.
    let round = Crown::new(Length::mm(0.001), m(2.0), m(6.0), m(6.0)).unwrap();
    assert_relative_eq!(round.missing(b, deg(90.0)).unwrap(), 0.0092, epsilon = 0.012);
    let wide = beam(800.0, 120.0);
    // A Lambert lamp: cos^2 = 64 % misses.
    assert_relative_eq!(round.missing(wide, deg(90.0)).unwrap(), 0.64, epsilon = 0.02);
    assert_relative_eq!(crown.throw(deg(90.0)).unwrap().in_metres(), 3.0, epsilon = 1e-12);
    assert_eq!(crown.throw(deg(30.0)), None);
    assert!(Crown::new(m(0.3), m(5.0), m(5.0), m(8.0)).is_err());
}

#[test]
fn spill_falls_as_the_beam_is_raised() {
    let sight = Sight::new(m(20.0), m(4.0), m(0.3), m(2.0)).unwrap();
    let b = beam(2000.0, 60.0);
    let direct = sight.light(b, sight.elevation()).unwrap();
    let raised = sight.light(b, deg(50.0)).unwrap();
    assert!(raised < direct);
    // One of one lamp is that lamp; the second of two looks away and adds nothing level.
    let one = sight.light_of_all(b, deg(50.0), 1).unwrap().get();
    assert_relative_eq!(one, raised.get(), max_relative = 1e-9);
    let two = sight.light_of_all(b, Angle::ZERO, 2).unwrap().get();
    assert_relative_eq!(two, sight.light(b, Angle::ZERO).unwrap().get(), max_relative = 1e-9);
    // Straight up all lamps look alike: four give four times one.
    let up = |n| sight.light_of_all(b, deg(90.0), n).unwrap().get();
    assert_relative_eq!(up(4), 4.0 * up(1), max_relative = 1e-9);
    assert!(Sight::new(m(0.2), m(4.0), m(0.3), m(2.0)).is_err());
}

#[test]
fn lamps_stand_clear_of_box_and_buckle() {
    let (r, w) = (Length::mm(180.0), Length::mm(50.0));
    let on = |bearing: f64, half_width: f64| Obstacle {
        bearing: deg(bearing),
        half_width: Length::mm(half_width),
    };
    let hung = [on(180.0, 90.0), on(75.0, 30.0)];
    for n in 1..4 {
        let at = bearings(n, r, w, &hung).unwrap();
        assert_eq!(at.len(), n as usize);
        for a in at {
            for o in hung {
                let apart = (a.rad() - o.bearing.rad() + PI).rem_euclid(TAU) - PI;
                let needed = (w + o.half_width) / r;
                assert!(apart.abs() >= needed - 1e-9, "{n}: {a} near {}", o.bearing);
            }
        }
    }
    assert!(matches!(bearings(9, r, w, &hung), Err(AimError::NoRoom { fixtures: 9, most: 1.. })));
    assert_eq!(bearings(0, r, w, &hung).unwrap(), []);
    assert_relative_eq!(bearings(4, r, w, &[]).unwrap()[1].deg(), 90.0, epsilon = 1e-9);
}
