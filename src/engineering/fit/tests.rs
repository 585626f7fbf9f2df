//! Arcs and girths against published and independent digits.

use super::*;
use approx::assert_relative_eq;

fn mm(v: f64) -> Length {
    Length::mm(v)
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
