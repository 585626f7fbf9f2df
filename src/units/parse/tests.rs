//! Quantities as people write them: units, fractions of inches, what is refused.

use approx::assert_relative_eq;
use proptest::prelude::*;

use super::*;

fn mm(text: &str) -> f64 {
    quantity::<Length>(text).unwrap_or_else(|e| panic!("{text}: {e}")).get()
}

fn error<Q: Measure>(text: &str) -> String {
    match quantity::<Q>(text) {
        Ok(q) => panic!("{text} read as {}", q.number()),
        Err(e) => e.to_string(),
    }
}

#[test]
fn lengths_are_read_in_metric_and_in_inches() {
    // 1 in = 25.4 mm, 1 ft = 12 in (international yard and pound agreement, 1959).
    for text in ["44 1/2 in", "44.5in", "3 ft 8 1/2 in", "3ft8.5in", "3' 8½\"", "44½ in", "44 ½ in"]
    {
        assert_relative_eq!(mm(text), 1130.3, max_relative = 1e-15);
    }
    for text in ["1.13 m", "113 cm", "1130 mm", "1130", " 1130.0 ", "1 m 13 cm", "1.13e3", "+1130"]
    {
        assert_relative_eq!(mm(text), 1130.0, max_relative = 1e-15);
    }
    assert_relative_eq!(mm("1/8 in"), 3.175, max_relative = 1e-15);
    assert_relative_eq!(mm("-2 1/2 in"), -63.5, max_relative = 1e-15);
    assert_relative_eq!(mm(".5 in"), 12.7, max_relative = 1e-15);
}

#[test]
fn other_quantities_convert_by_published_factors() {
    // Factors: NIST SP 811 (2008), appendix B.8; computed by hand from exact definitions.
    assert_relative_eq!(quantity::<Angle>("35 deg").unwrap().deg(), 35.0, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Angle>("0.6 rad").unwrap().rad(), 0.6, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Mass>("450 g").unwrap().get(), 0.45, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Mass>("2 lb 4 oz").unwrap().get(), 1.020_582_832_5);
    assert_relative_eq!(quantity::<Force>("1 lbf").unwrap().get(), 4.448_222, max_relative = 1e-6);
    assert_relative_eq!(
        quantity::<Pressure>("1 psi").unwrap().get(),
        6.894_757,
        max_relative = 1e-6
    );
    assert_relative_eq!(
        quantity::<Torque>("1 lbf.in").unwrap().get(),
        0.112_984_8,
        max_relative = 1e-6
    );
    assert_relative_eq!(quantity::<Speed>("72 km/h").unwrap().get(), 20.0, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Speed>("10 kn").unwrap().get(), 5.144_444, max_relative = 1e-6);
    assert_relative_eq!(
        quantity::<Illuminance>("1 fc").unwrap().get(),
        10.763_91,
        max_relative = 1e-6
    );
    assert_relative_eq!(quantity::<Hours>("1 h 30 min").unwrap().get(), 1.5, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Temperature>("41 F").unwrap().get(), 5.0, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Temperature>("-5 °C").unwrap().get(), -5.0);
    assert_relative_eq!(quantity::<Charge>("5200 mAh").unwrap().get(), 5.2, max_relative = 1e-14);
    assert_relative_eq!(quantity::<Resistance>("50 mΩ").unwrap().get(), 0.05, max_relative = 1e-14);
    assert_eq!(quantity::<Voltage>("12").unwrap(), Voltage::volts(12.0));
}

#[test]
fn errors_say_what_stands_there_and_what_is_needed() {
    assert_eq!(
        error::<Length>("  "),
        "there is nothing here, and a length such as \"1.13 m\" is needed"
    );
    assert_eq!(error::<Length>("about 3 m"), "\"about\" stands where a number is needed");
    assert_eq!(error::<Length>("1,5 m"), "\"1,5\" has a comma, and the decimal mark is a point");
    assert_eq!(error::<Voltage>("12 W"), "\"W\" is no unit of this; the units are V, mV");
    assert_eq!(error::<Angle>("3 5"), "a unit is needed after \"3\"; the units are deg, rad");
    assert_eq!(
        error::<Length>("8 in 3 ft"),
        "the unit \"ft\" is not smaller than the one before it"
    );
    assert_eq!(error::<Length>("1/0 in"), "the fraction \"1/0\" divides by zero");
    assert_eq!(
        error::<Temperature>("5 C 3 C"),
        "the unit \"C\" is not smaller than the one before it"
    );
    assert_eq!(error::<Length>("3 m -2 cm"), "\"-2\" stands where a number is needed");
    assert!(error::<Length>("1e999").contains("too large"));
    assert!(error::<Length>(&"1".repeat(65)).contains("65 bytes"));
    for text in ["nan", "inf", "-", "1/ in", "/2 in", ".", "--3", "1.2.3", "mm", "3-1/2 in"] {
        error::<Length>(text);
    }
}

#[test]
fn a_bare_number_counts_in_the_unit_of_its_column() {
    let mm = |text, unit| number_in(text, &Length::DIMENSION, unit);
    assert_eq!(mm("113", "cm"), Ok(1130.0));
    assert_eq!(mm("44 1/2", "in"), Ok(1130.3));
    assert_eq!(mm("1.13 m", "in"), Ok(1130.0));
    assert!(mm("113", "ell").is_err());
}

proptest! {
    #[test]
    fn a_length_reads_back_from_what_is_shown(x in -1e5..1e5_f64) {
        let shown = format!("{:.9}", Length::mm(x));
        prop_assert!((mm(&shown) - x).abs() <= 1e-9);
    }

    #[test]
    fn every_unit_converts_by_its_factor(x in 0.0..1e4_f64, pick in 0_usize..13) {
        let unit = Length::DIMENSION.units[pick];
        let read = mm(&format!("{x}{}", unit.symbol));
        prop_assert!((read - x * unit.factor).abs() <= 1e-9 * read.abs());
    }

    #[test]
    fn mixed_inches_equal_their_decimal_form(ft in 0_u32..20, inch in 0_u32..12, n in 0_u32..64) {
        let mixed = mm(&format!("{ft} ft {inch} {n}/64 in"));
        let decimal = 25.4 * (f64::from(ft * 12 + inch) + f64::from(n) / 64.0);
        prop_assert!((mixed - decimal).abs() < 1e-9);
    }

    #[test]
    fn any_text_gives_a_finite_value_or_an_error(text in "\\PC{0,24}") {
        if let Ok(l) = quantity::<Length>(&text) { prop_assert!(l.is_finite()); }
        if let Ok(t) = quantity::<Temperature>(&text) { prop_assert!(t.is_finite()); }
    }

    #[test]
    fn text_like_a_quantity_gives_a_finite_value_or_an_error(text in "[-+0-9./ eE½,minft'\"]{0,20}") {
        if let Ok(l) = quantity::<Length>(&text) { prop_assert!(l.is_finite()); }
    }
}
