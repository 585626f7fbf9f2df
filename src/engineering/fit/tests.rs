//! The foam under a back: closed forms of the gap, and the girths that one print serves.

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn foam(t: f64) -> Foam {
    Foam::new(mm(t), 0.10, 0.30, 0.50).unwrap()
}

#[test]
fn a_girth_tape_reads_diameters_pi_apart() {
    // Diameter (pi) tape, farm forestry measuring notes: a 30 cm tree has 94.248 cm of girth.
    assert_relative_eq!(girth_of_radius(mm(150.0)).get(), 942.478, epsilon = 5e-4);
    // d = C / pi, elementary geometry, digits computed independently.
    for (girth, diameter) in
        [(300.0, 95.493), (600.0, 190.986), (1000.0, 318.310), (1500.0, 477.465)]
    {
        assert_relative_eq!(2.0 * radius_of_girth(mm(girth)).get(), diameter, epsilon = 5e-4);
    }
}

#[test]
fn sagitta_of_known_arcs() {
    // Published worked example (arc height calculators): r 10, chord 12, sagitta 2.
    assert_relative_eq!(sagitta(mm(10.0), mm(6.0)).unwrap().get(), 2.0, epsilon = 1e-12);
    // Same formula, digits computed independently.
    for (r, c, s) in [
        (150.0, 100.0, 8.5786),
        (100.0, 80.0, 8.3485),
        (250.0, 120.0, 7.3068),
        (125.0, 90.0, 8.3810),
    ] {
        assert_relative_eq!(sagitta(mm(r), mm(c / 2.0)).unwrap().get(), s, epsilon = 5e-5);
    }
    for (c, s, r) in [(100.0, 8.5786, 150.0), (120.0, 10.0, 185.0), (80.0, 5.0, 162.5)] {
        assert_relative_eq!(
            radius_of_sagitta(mm(s), mm(c / 2.0)).unwrap().get(),
            r,
            epsilon = 1e-3
        );
    }
}

#[test]
fn bad_lengths_are_errors() {
    assert!(sagitta(mm(10.0), mm(10.1)).is_err());
    assert!(sagitta(mm(f64::NAN), mm(1.0)).is_err());
    assert!(radius_of_sagitta(mm(0.0), mm(5.0)).is_err());
    assert!(Face::new(mm(50.0), mm(f64::INFINITY)).is_err());
    assert!(Foam::new(mm(10.0), 0.3, 0.3, 0.3).is_err());
    assert!(Foam::new(mm(10.0), 0.1, f64::NAN, 0.3).is_err());
}

#[test]
fn a_concentric_face_compresses_evenly() {
    let foam = foam(10.0);
    let face = Face::new(foam.design_radius(mm(180.0)), mm(70.0)).unwrap();
    let fit = face.fit(foam, mm(180.0)).unwrap();
    assert!(fit.served);
    assert_relative_eq!(fit.centre, 0.30, epsilon = 1e-12);
    assert_relative_eq!(fit.edge, 0.30, epsilon = 1e-12);
}

#[test]
fn a_shallow_face_serves_up_to_a_flat_wall() {
    // h = s(400, 50) = 3.14 mm is less than the slack of 4 mm.
    let served = Face::new(mm(400.0), mm(50.0)).unwrap().served(foam(10.0)).unwrap();
    assert_eq!(served.to, None);
    // h = s(150, 50) = 8.58 mm is not.
    let served = Face::new(mm(150.0), mm(50.0)).unwrap().served(foam(10.0)).unwrap();
    assert!(served.to.unwrap() > mm(200.0));
}

#[test]
fn thin_pads_obey_the_plain_sagitta_rule() {
    // |s(r, w) - s(Rc, w)| <= (e_max - e_min) t in the limit of a thin pad.
    let foam = foam(0.01);
    let (rc, w) = (200.0, 60.0);
    let served = Face::new(mm(rc), mm(w)).unwrap().served(foam).unwrap();
    for r in [served.from.get(), served.to.unwrap().get()] {
        let misfit = (arc_height(r, w) - arc_height(rc, w)).abs();
        assert_relative_eq!(misfit, foam.slack().get(), max_relative = 0.15);
    }
}

#[test]
fn growth_uses_up_the_margin() {
    let m = margin(mm(1130.0), mm(1042.0), mm(1165.0), mm(10.0));
    assert_relative_eq!(m.below.get(), 88.0);
    assert_relative_eq!(m.above.get(), 35.0);
    assert_relative_eq!(m.years.unwrap(), 3.5);
    assert_eq!(margin(mm(1200.0), mm(1042.0), mm(1165.0), mm(10.0)).years, Some(0.0));
    assert_eq!(margin(mm(1130.0), mm(1042.0), mm(1165.0), mm(0.0)).years, None);
}

/// Whether some middle gap keeps every sampled point of the face within the limits, by brute
/// force over middle gaps and points of the arc.
fn served_by_search(face: Face, foam: Foam, r: f64, tolerance: f64) -> bool {
    let (rc, w, h) = (face.radius.get(), face.half_width.get(), face.sagitta().get());
    let top = libm::asin(w / rc);
    let (low, high) = (foam.gap_least().get() - tolerance, foam.gap_most().get() + tolerance);
    (0..=400).any(|i| {
        let g0 = foam.gap_least().get() + foam.slack().get() * f64::from(i) / 400.0;
        (0..=40).all(|j| {
            let a = top * f64::from(j) / 40.0;
            let centre = r + g0 - rc;
            let p = [rc * libm::sin(a), centre + rc * libm::cos(a)];
            let gap = libm::hypot(p[0], p[1]) - r;
            (low..=high).contains(&gap)
        }) && h <= w
    })
}

proptest! {
    #[test]
    fn the_served_interval_is_what_a_search_over_the_face_finds(
        rc in 60.0..900.0f64, share in 0.1..0.75f64, t in 4.0..20.0f64, at in -0.3..1.3f64,
    ) {
        let foam = foam(t);
        let face = Face::new(mm(rc), mm(rc * share)).unwrap();
        let served = face.served(foam).unwrap();
        let to = served.to.map_or(3000.0, Length::get).min(3000.0);
        let r = served.from.get() + (to - served.from.get()) * at;
        prop_assume!(r > rc * share);
        let inside = served.from.get() <= r && served.to.is_none_or(|to| r <= to.get());
        if inside {
            prop_assert!(served_by_search(face, foam, r, 0.011 * t * 0.4));
        } else if !served_by_search(face, foam, r, 0.0) {
            prop_assert!(!face.fit(foam, mm(r)).unwrap().served);
        } else {
            let what = format!("the search serves {r}, the interval {served:?} does not");
            return Err(TestCaseError::fail(what));
        }
    }

    #[test]
    fn strains_of_a_served_trunk_keep_the_limits(
        rc in 60.0..900.0f64, share in 0.1..0.75f64, t in 4.0..20.0f64, at in 0.0..1.0f64,
    ) {
        let foam = foam(t);
        let face = Face::new(mm(rc), mm(rc * share)).unwrap();
        let served = face.served(foam).unwrap();
        let to = served.to.map_or(3000.0, Length::get).min(3000.0);
        let r = served.from.get() + (to - served.from.get()) * at;
        let fit = face.fit(foam, mm(r)).unwrap();
        prop_assert!(fit.served);
        for e in [fit.centre, fit.edge] {
            prop_assert!((0.1 - 1e-9..=0.5 + 1e-9).contains(&e), "{fit:?}");
        }
    }

    #[test]
    fn the_mean_strain_is_nominal_where_the_limits_leave_room(
        r in 80.0..500.0f64, off in 0.9..1.1f64,
    ) {
        let foam = foam(10.0);
        let face = Face::new(foam.design_radius(mm(r)) * off, mm(0.4 * r)).unwrap();
        let fit = face.fit(foam, mm(r)).unwrap();
        prop_assume!(fit.served && fit.unevenness().abs() < 0.2);
        // Simpson's rule over the half face.
        let (h, w, rc) = (face.sagitta().get(), face.half_width.get(), face.radius.get());
        let g0 = 10.0 * (1.0 - fit.centre);
        let gap = |x: f64| edge_gap(r, arc_height(rc, x), x, g0);
        let mean = (g0 + 4.0 * gap(w / 2.0) + gap(w)) / 6.0;
        prop_assert!((1.0 - mean / 10.0 - 0.3).abs() < 2e-3, "{h} {mean}");
    }
}
