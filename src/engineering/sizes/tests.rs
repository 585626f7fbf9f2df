//! Classes against what the one judgement says of each of their trunks.

use super::super::pull::tests::{conditions, hung, print};
use super::*;
use proptest::prelude::*;

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn wanted(girth: f64, growth: f64, saddles: u32) -> Wanted {
    let range = TrunkRange::round(mm(girth), Length::ZERO, mm(growth)).unwrap();
    Wanted { range, situation: Situation { relief: mm(1.0), saddles, lean: Angle::ZERO } }
}

fn with_rule<T>(test: impl FnOnce(&SizeRule<'_>) -> T) -> T {
    let common = conditions();
    let print = |radius: Length, half: Length| (print(radius.get(), half.get(), 110.0), hung());
    test(&SizeRule { half_width: mm(45.0), common: &common, print: &print })
}

#[test]
fn a_lone_trunk_gets_a_face_with_room_on_both_sides() {
    with_rule(|rule| {
        let plan = sizes_with_kept(&[], &[wanted(880.0, 10.0, 1)], rule).unwrap();
        assert_eq!((plan.sizes.len(), plan.unserved.len()), (1, 0));
        let size = plan.sizes[0];
        assert!(size.girth_from < mm(870.0) && size.girth_to > mm(900.0), "{size:?}");
    });
}

#[test]
fn bark_of_another_roughness_gets_a_size_of_its_own() {
    with_rule(|rule| {
        let mut rough = wanted(880.0, 5.0, 1);
        rough.situation.relief = mm(1.2);
        let plan = sizes_with_kept(&[], &[wanted(880.0, 5.0, 1), rough], rule).unwrap();
        assert_eq!((plan.sizes.len(), plan.unserved.len()), (2, 0));
    });
}

#[test]
fn a_trunk_that_no_face_serves_says_what_governs() {
    with_rule(|rule| {
        let mut furrowed = wanted(880.0, 5.0, 1);
        furrowed.situation.relief = mm(4.7);
        let plan = sizes_with_kept(&[], &[furrowed], rule).unwrap();
        let window = plan.unserved[0].window.unwrap();
        assert!(plan.sizes.is_empty() && !window.has_room(), "{window:?}");
    });
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]
    #[test]
    fn every_trunk_is_served_by_its_size_and_kept_the_next_time(
        girths in prop::collection::vec((500.0..2200.0_f64, 0.0..12.0_f64, 1_u32..3), 1..8),
    ) {
        let all: Vec<Wanted> = girths.iter().map(|(g, growth, n)| wanted(*g, *growth, *n)).collect();
        with_rule(|rule| {
            let plan = sizes_with_kept(&[], &all, rule).unwrap();
            for (wanted, size) in all.iter().zip(&plan.assignment) {
                let Some(size) = size.map(|s| plan.sizes[s]) else { continue };
                let face = rule.candidate(size.face_radius, size.half_width);
                prop_assert!(size.serves(wanted.range) && face.serves(wanted), "{size:?} {wanted:?}");
            }
            let printed: Vec<Printed> = plan.sizes.iter().map(|&size| {
                let (print, hung) = (rule.print)(size.face_radius, size.half_width);
                Printed { size, print, hung }
            }).collect();
            let again = sizes_with_kept(&printed, &all, rule).unwrap();
            prop_assert!(again.kept.iter().all(Option::is_some), "{again:?}");
            Ok(())
        })?;
    }
}
