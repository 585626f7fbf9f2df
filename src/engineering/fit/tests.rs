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
fn bad_lengths_are_errors() {
    assert!(Face::new(mm(10.0), mm(10.1)).is_err());
    assert!(Face::new(mm(f64::NAN), mm(1.0)).is_err());
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
