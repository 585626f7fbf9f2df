//! The count of sizes against all partitions, the shape of F, and the balance of strain.

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn rule(thickness: f64, half_width: f64, reach: f64) -> SizeRule {
    let foam = Foam::new(mm(thickness), 0.10, 0.30, 0.50).unwrap();
    SizeRule::new(foam, mm(half_width), reach).unwrap()
}

fn range(from: f64, to: f64) -> TrunkRange {
    TrunkRange::new(mm(from), mm(to)).unwrap()
}

/// Whether some sagitta of a face lies within what every trunk of the class asks for; the class's
/// width follows its thinnest trunk.
fn class_is_served(class: &[TrunkRange], rule: &SizeRule) -> bool {
    let thinnest = class.iter().map(|t| t.from.get()).fold(f64::INFINITY, f64::min);
    let w = rule.half_width_for(mm(thinnest)).get();
    let (least, most, slack) =
        (rule.foam.gap_least().get(), rule.foam.gap_most().get(), rule.foam.slack().get());
    let plain = |r: f64| r - (r * r - w * w).sqrt();
    let low = class.iter().map(|t| plain(t.from.get() + most) - slack).fold(0.0, f64::max);
    let high =
        class.iter().map(|t| plain(t.to.get() + least) + slack).fold(f64::INFINITY, f64::min);
    low <= high + 1e-9
}

/// Most trunks served, then fewest classes, over all ways to sort them into classes.
fn by_brute_force(trunks: &[TrunkRange], rule: &SizeRule) -> (usize, usize) {
    let n = trunks.len();
    let members = |mask: usize| -> Vec<TrunkRange> {
        (0..n).filter(|i| mask >> i & 1 == 1).map(|i| trunks[i]).collect()
    };
    let served: Vec<bool> =
        (0..1 << n).map(|m| m != 0 && class_is_served(&members(m), rule)).collect();
    let mut fewest = vec![usize::MAX; 1 << n];
    fewest[0] = 0;
    for mask in 1..1usize << n {
        let mut sub = mask;
        while sub > 0 {
            if served[sub] && fewest[mask ^ sub] != usize::MAX {
                fewest[mask] = fewest[mask].min(fewest[mask ^ sub] + 1);
            }
            sub = (sub - 1) & mask;
        }
    }
    let (most, least) = (0..1usize << n)
        .filter(|m| fewest[*m] != usize::MAX)
        .map(|m| (m.count_ones() as usize, fewest[m]))
        .max_by_key(|&(most, least)| (most, std::cmp::Reverse(least)))
        .unwrap();
    (most, least)
}

#[test]
fn three_streets_of_trees_need_few_sizes() {
    let trunks: Vec<TrunkRange> = [420.0, 455.0, 610.0, 690.0, 980.0, 1130.0, 1900.0]
        .map(|g| TrunkRange::round(mm(g), mm(3.0), mm(10.0)).unwrap())
        .to_vec();
    let plan = fewest_sizes(&trunks, &rule(10.0, 60.0, 0.6)).unwrap();
    assert!(plan.unserved.is_empty());
    assert_eq!((trunks.len(), plan.sizes.len()), by_brute_force(&trunks, &rule(10.0, 60.0, 0.6)));
    for (t, size) in plan.assignment.iter().enumerate() {
        assert!(plan.sizes[size.unwrap()].serves(trunks[t]), "{t}");
    }
}

#[test]
fn the_balanced_size_is_the_most_even_one() {
    // A scan over face radii finds no smaller worst difference between edge and middle.
    let rule = rule(10.0, 70.0, 0.6);
    let whole = range(140.0, 170.0);
    let size = rule.size_for(whole).unwrap();
    let worst = |rc: f64| {
        let face = Face::new(mm(rc), size.half_width).unwrap();
        [whole.from, whole.to]
            .map(|r| face.fit(rule.foam, r).unwrap().unevenness().abs())
            .into_iter()
            .fold(0.0, f64::max)
    };
    let best = (1400..1900).map(|i| worst(f64::from(i) / 10.0)).fold(f64::INFINITY, f64::min);
    assert!(
        worst(size.face_radius.get()) <= best + 2e-3,
        "{} {best}",
        worst(size.face_radius.get())
    );
    // One radius only: the concentric face.
    let one = rule.size_for(range(150.0, 150.0)).unwrap();
    assert_relative_eq!(one.face_radius.get(), 157.0, epsilon = 1e-6);
}

#[test]
fn a_printed_size_is_kept_and_only_the_rest_is_new() {
    let rule = rule(10.0, 70.0, 0.6);
    let old = fewest_sizes(&[range(100.0, 103.0), range(220.0, 225.0)], &rule).unwrap();
    let grown = [range(102.0, 105.0), range(223.0, 228.0), range(55.0, 57.0)];
    let plan = sizes_with_kept(&old.sizes, &grown, &rule).unwrap();
    assert_eq!(plan.new_sizes(), 1);
    assert_eq!(plan.reprints_saved(), 2);
    assert_eq!(plan.kept.iter().flatten().count(), old.sizes.len());
    assert_eq!(plan.assignment[2], Some(0));
}

#[test]
fn an_unservable_trunk_is_named_with_its_cure() {
    let rule = rule(4.0, 70.0, 0.6);
    let oval = range(110.0, 200.0);
    let plan = fewest_sizes(&[range(150.0, 151.0), oval], &rule).unwrap();
    assert_eq!(plan.assignment, [Some(0), None]);
    let cure = plan.unserved[0];
    assert_eq!(cure.trunk, 1);
    let thickness = cure.pad_thickness.unwrap();
    for (factor, cured) in [(1.001, 1), (0.999, 0)] {
        let thicker = rule.with_thickness(thickness * factor).unwrap();
        assert_eq!(fewest_sizes(&[oval], &thicker).unwrap().sizes.len(), cured);
        let narrower = SizeRule::new(rule.foam, cure.half_width / factor, 0.6).unwrap();
        assert_eq!(fewest_sizes(&[oval], &narrower).unwrap().sizes.len(), cured);
    }
}

#[test]
fn no_trunks_need_no_sizes_and_bad_ranges_are_errors() {
    let rule = rule(10.0, 60.0, 0.6);
    assert!(fewest_sizes(&[], &rule).unwrap().sizes.is_empty());
    let backwards = TrunkRange { from: mm(100.0), to: mm(90.0) };
    assert!(fewest_sizes(&[backwards], &rule).is_err());
    let nan = TrunkRange { from: mm(f64::NAN), to: mm(90.0) };
    assert!(fewest_sizes(&[nan], &rule).is_err());
    assert!(SizeRule::new(rule.foam, mm(60.0), 0.9).is_err());
    assert!(TrunkRange::round(mm(300.0), mm(400.0), mm(0.0)).is_err());
}

prop_compose! {
    fn any_rule()(
        thickness in 3.0..40.0f64, least in 0.0..0.4f64, span in 0.02..0.5f64,
        width in 15.0..120.0f64, reach in 0.2..0.8f64,
    ) -> SizeRule {
        let foam = Foam::new(mm(thickness), least, least + span / 2.0, least + span).unwrap();
        SizeRule::new(foam, mm(width), reach).unwrap()
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn greedy_needs_no_more_sizes_than_any_partition(
        rule in any_rule(),
        trunks in proptest::collection::vec((40.0..300.0f64, 0.0..25.0f64), 1..8),
    ) {
        let trunks: Vec<TrunkRange> =
            trunks.into_iter().map(|(from, more)| range(from, from + more)).collect();
        let plan = fewest_sizes(&trunks, &rule).unwrap();
        let served = plan.assignment.iter().flatten().count();
        prop_assert_eq!((served, plan.sizes.len()), by_brute_force(&trunks, &rule));
        prop_assert_eq!(served + plan.unserved.len(), trunks.len());
        for (t, size) in plan.assignment.iter().enumerate() {
            if let Some(s) = size {
                prop_assert!(plan.sizes[*s].serves(trunks[t]));
                let face = plan.sizes[*s].face().unwrap();
                for r in [trunks[t].from, trunks[t].to] {
                    let fit = face.fit(rule.foam, r).unwrap();
                    for e in [fit.centre, fit.edge] {
                        prop_assert!(e >= rule.foam.least_strain() - 1e-4);
                        prop_assert!(e <= rule.foam.most_strain() + 1e-4);
                    }
                }
            }
        }
    }

    #[test]
    fn the_thickest_radius_served_never_rises_and_then_falls(rule in any_rule()) {
        let mut risen = false;
        let mut last = rule.thickest(30.0);
        for i in 1..800 {
            let next = rule.thickest(30.0 * libm::exp(f64::from(i) * 0.0045));
            risen |= next > last * (1.0 + 1e-12);
            prop_assert!(!(risen && next < last * (1.0 - 1e-9)), "at step {i}: {last} then {next}");
            last = next;
        }
    }

    #[test]
    fn what_serves_stays_served_when_it_grows_into_the_served_range(
        rule in any_rule(), at in 0.0..1.0f64, from in 50.0..400.0f64,
    ) {
        let plan = fewest_sizes(&[range(from, from)], &rule).unwrap();
        let size = plan.sizes[0];
        let girth = size.girth_from + (size.girth_to - size.girth_from) * at;
        let grown = TrunkRange::round(girth, mm(0.0), mm(0.0)).unwrap();
        let next = sizes_with_kept(&plan.sizes, &[grown], &rule).unwrap();
        prop_assert_eq!(next.reprints_saved(), 1);
    }
}
