//! Published feeders, closed forms and balances.

use approx::assert_relative_eq;
use proptest::prelude::*;

use super::*;
use crate::standards::{ConductorSize, Strands};
use crate::units::{Current, Length, Power, Resistance, Temperature, Voltage};

fn stiff(volts: f64) -> Source {
    Source { emf: Voltage::volts(volts), resistance: Resistance::ZERO }
}

fn amps(list: &[f64]) -> Vec<Load> {
    list.iter().map(|&a| Load::Current(Current::amps(a))).collect()
}

fn watts(list: &[f64]) -> Vec<Load> {
    list.iter().map(|&p| Load::Power(Power::watts(p))).collect()
}

/// Segments of these lengths at so many ohms a metre of one conductor: go and return.
fn lengths(per_metre: f64, metres: &[f64]) -> Vec<Resistance> {
    metres.iter().map(|m| Resistance::ohms(2.0 * per_metre * m)).collect()
}

fn volts(solution: &Solution) -> Vec<f64> {
    solution.volts.iter().map(|v| v.get()).collect()
}

#[track_caller]
fn assert_printed(found: &[f64], printed: &[f64], digit: f64) {
    assert_eq!(found.len(), printed.len());
    for (f, p) in found.iter().zip(printed) {
        assert!((f - p).abs() <= 0.5 * digit + 1e-9, "found {f}, printed {p}");
    }
}

#[test]
fn distributor_of_mehta_13_1() {
    // V. K. Mehta, Principles of Power System, example 13.1: 300 V at A, each wire 0.01 ohm/km.
    let r = lengths(0.01 / 1000.0, &[500.0, 500.0, 600.0, 400.0]);
    let net = Network::chain(stiff(300.0), r, amps(&[100.0, 150.0, 200.0, 50.0])).unwrap();
    let found = net.solve().unwrap();
    assert_printed(&volts(&found), &[295.0, 291.0, 288.0, 287.6], 0.1);
    assert_eq!(found.worst, 3);
}

#[test]
fn section_of_mehta_13_2() {
    // V. K. Mehta, Principles of Power System, example 13.2: 10 V at most; sections carry 220, 190,
    // 150 and 50 A; printed: 0.03058 ohm per 100 m of both wires.
    let per_metre = 0.030_58 / 100.0 / 2.0;
    let r = lengths(per_metre, &[40.0, 60.0, 50.0, 100.0]);
    let net = Network::chain(stiff(250.0), r, amps(&[30.0, 40.0, 100.0, 50.0])).unwrap();
    let found = net.solve().unwrap();
    let sections: Vec<f64> = found.segments.iter().map(|i| i.get()).collect();
    assert_printed(&sections, &[220.0, 190.0, 150.0, 50.0], 1e-6);
    assert!((found.drop().get() - 10.0).abs() < 0.001, "{}", found.drop());
    // The area that the same example prints: 1.164 cm2 at 1.78e-8 ohm m.
    assert!((1.78e-8 / per_metre * 1e4 - 1.164).abs() < 0.0005);
}

#[test]
fn ring_main_of_300_metres() {
    // DC ring, a common textbook exercise: 240 V at A, 0.03 ohm per 100 m of one conductor, 120 A at
    // B (150 m one way), 80 A at C (100 m the other way).
    let r = lengths(0.03 / 100.0, &[150.0, 50.0, 100.0]);
    let found = Network::ring(stiff(240.0), r, amps(&[120.0, 80.0])).unwrap().solve().unwrap();
    let sections: Vec<f64> = found.segments.iter().map(|i| i.get()).collect();
    assert_printed(&sections, &[86.67, -33.33, -113.33], 0.01);
    assert_printed(&volts(&found), &[232.2, 233.2], 0.1);
}

#[test]
fn ring_main_counts_both_conductors() {
    // 500 V at A, 0.03 ohm per 1000 m of each conductor, B 150 A, C 200 A. An answer in circulation
    // takes one conductor only and prints 497.10 V; go and return double the drop.
    let r = lengths(0.03 / 1000.0, &[500.0, 300.0, 700.0]);
    let found = Network::ring(stiff(500.0), r, amps(&[150.0, 200.0])).unwrap().solve().unwrap();
    let sections: Vec<f64> = found.segments.iter().map(|i| i.get()).collect();
    assert_printed(&sections, &[193.33, 43.33, -156.67], 0.01);
    assert_printed(&volts(&found), &[494.20, 493.42], 0.01);
    assert!((found.volts[0].get() - 497.10).abs() > 2.0);
}

#[test]
fn four_lamps_on_a_twelve_volt_chain() {
    // IEC 60228 class 5, 1.5 mm2, 13.3 ohm/km at 20 C; 5 m segments, 0.8 A each; by hand.
    let twenty = Temperature::celsius(20.0);
    let both =
        ConductorSize::Mm2_1_5.resistance(Strands::Flexible, Length::metres(10.0), twenty).unwrap();
    let net = Network::chain(stiff(12.0), vec![both; 4], amps(&[0.8; 4])).unwrap();
    let found = net.solve().unwrap();
    let mut before = 12.0;
    for (v, drop) in volts(&found).into_iter().zip([0.4256, 0.3192, 0.2128, 0.1064]) {
        assert_relative_eq!(before - v, drop, epsilon = 1e-9);
        before = v;
    }
    assert_printed(&[found.least().get()], &[10.936], 0.001);
    assert_printed(&[100.0 * found.drop().get() / 12.0], &[8.87], 0.01);
}

#[test]
fn voltage_drop_of_iec_60364_5_52() {
    // Annex G: u = b rho1 L I/S with b = 2, rho1 = 0.0225 ohm mm2/m: 10 m, 1.5 mm2, 2 A: 0.600 V.
    let r = lengths(0.0225 / 1.5, &[10.0]);
    let found = Network::chain(stiff(12.0), r, amps(&[2.0])).unwrap().solve().unwrap();
    assert_relative_eq!(found.drop().get(), 0.6, epsilon = 1e-12);
}

#[test]
fn one_lamp_of_constant_power_solves_its_quadratic() {
    // V^2 - E V + P R = 0, the upper root; the most power is E^2/(4 R) (maximum power theorem).
    let source = Source { emf: Voltage::volts(12.0), resistance: Resistance::ohms(0.25) };
    let r = vec![Resistance::ohms(0.75)];
    for p in [0.0, 1.0, 20.0, 35.9, 35.999_999] {
        let net = Network::chain(source, r.clone(), watts(&[p])).unwrap();
        let exact = 6.0 + (36.0 - p).sqrt();
        let found = net.solve().unwrap();
        assert_relative_eq!(found.least().get(), exact, max_relative = 1e-9);
        assert_relative_eq!(found.delivered.get(), p, max_relative = 1e-7);
    }
    let net = Network::chain(source, r, watts(&[40.0])).unwrap();
    let Collapse { load_factor } = net.solve().unwrap_err();
    assert_relative_eq!(load_factor, 36.0 / 40.0, max_relative = 1e-6);
    assert_eq!(net.largest_load_factor(), Some(load_factor));
}

#[test]
fn headroom_of_a_healthy_feed_is_found() {
    let net = Network::chain(stiff(12.0), vec![Resistance::ohms(1.0)], watts(&[4.0])).unwrap();
    // E^2/(4 R)/P = 36/4.
    assert_relative_eq!(net.largest_load_factor().unwrap(), 9.0, max_relative = 1e-6);
    let dark = Network::chain(stiff(12.0), vec![Resistance::ohms(1.0)], watts(&[0.0])).unwrap();
    assert_eq!(dark.largest_load_factor(), None);
}

#[test]
fn constant_current_beyond_the_cable_collapses() {
    let net = Network::chain(stiff(12.0), vec![Resistance::ohms(1.0)], amps(&[15.0])).unwrap();
    assert_relative_eq!(net.solve().unwrap_err().load_factor, 0.8, max_relative = 1e-6);
}

#[test]
fn every_break_of_a_ring_equals_its_two_chains() {
    // A broken ring behind a stiff battery is two chains: solved apart, they must agree.
    let r: Vec<Resistance> =
        (0..=6).map(|k| Resistance::ohms(0.05 + 0.03 * f64::from(k))).collect();
    let loads = watts(&[8.0, 0.0, 12.0, 5.0, 9.0, 11.0]);
    let ring = Network::ring(stiff(12.0), r.clone(), loads.clone()).unwrap();
    for j in 0..=6 {
        let found = volts(&ring.without_segment(j).unwrap().solve().unwrap());
        let mut apart = Vec::new();
        if j > 0 {
            let front = Network::chain(stiff(12.0), r[..j].to_vec(), loads[..j].to_vec()).unwrap();
            apart.extend(volts(&front.solve().unwrap()));
        }
        if j < 6 {
            let (mut rb, mut lb) = (r[j + 1..].to_vec(), loads[j..].to_vec());
            rb.reverse();
            lb.reverse();
            let back = Network::chain(stiff(12.0), rb, lb).unwrap().solve().unwrap();
            apart.extend(volts(&back).into_iter().rev());
        }
        for (a, b) in found.iter().zip(&apart) {
            assert_relative_eq!(a, b, max_relative = 1e-12);
        }
    }
}

#[test]
fn what_is_no_network_is_refused() {
    let one = Resistance::ohms(1.0);
    let ok = watts(&[1.0]);
    assert_eq!(Network::chain(stiff(12.0), vec![], vec![]), Err(NetworkError::NoFixtures));
    assert!(matches!(
        Network::chain(stiff(12.0), vec![Resistance::ZERO], ok.clone()),
        Err(NetworkError::Segment { index: 0, .. })
    ));
    assert!(matches!(
        Network::ring(stiff(12.0), vec![one], ok.clone()),
        Err(NetworkError::SegmentCount { fixtures: 1, need: 2, have: 1 })
    ));
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(Network::chain(stiff(bad), vec![one], ok.clone()).is_err());
        assert!(Network::chain(stiff(12.0), vec![Resistance::ohms(bad)], ok.clone()).is_err());
        assert!(Network::chain(stiff(12.0), vec![one], watts(&[bad])).is_err());
        let weak = Source { emf: Voltage::volts(12.0), resistance: Resistance::ohms(bad) };
        assert!(Network::chain(weak, vec![one], ok.clone()).is_err());
    }
    let chain = Network::chain(stiff(12.0), vec![one], ok.clone()).unwrap();
    assert!(chain.without_segment(0).is_err());
    let ring = Network::ring(stiff(12.0), vec![one; 2], ok).unwrap();
    assert!(ring.without_segment(2).is_err());
    assert!(ring.without_segment(0).unwrap().without_segment(1).is_err());
}

/// Any network a garden could hold, and many that it could not.
fn networks() -> impl Strategy<Value = (Source, Vec<Resistance>, Vec<Load>)> {
    let load = prop_oneof![
        (0.0..30.0f64).prop_map(|p| Load::Power(Power::watts(p))),
        (0.0..2.0f64).prop_map(|i| Load::Current(Current::amps(i))),
    ];
    (1usize..30).prop_flat_map(move |n| {
        (
            (6.0..48.0f64, prop_oneof![Just(0.0), 0.001..0.5f64]).prop_map(|(e, r)| Source {
                emf: Voltage::volts(e),
                resistance: Resistance::ohms(r),
            }),
            prop::collection::vec((0.0005..0.4f64).prop_map(Resistance::ohms), n + 1),
            prop::collection::vec(load.clone(), n),
        )
    })
}

/// Checks Kirchhoff's laws and the energy balance of a solution, and that nothing is NaN.
fn balances(
    source: Source,
    r: &[Resistance],
    loads: &[Load],
    open: usize,
    s: &Solution,
) -> Result<(), TestCaseError> {
    let scale = s.current.get().max(1e-3);
    for (k, load) in loads.iter().enumerate() {
        let out = s.segments.get(k + 1).map_or(0.0, |i| i.get());
        let missing = s.segments[k].get() - out - s.draws[k].get();
        prop_assert!(missing.abs() < 1e-9 * scale, "node {k}: {missing} A");
        let v = s.volts[k].get();
        prop_assert!(v > 0.0 && v <= source.emf.get());
        // The load's own law.
        match *load {
            Load::Power(p) => {
                prop_assert!((v * s.draws[k].get() - p.get()).abs() < 1e-6 * (p.get() + 1.0));
            }
            Load::Current(i) => prop_assert_eq!(s.draws[k], i),
        }
    }
    // Round each mesh: the drop over every whole segment is its current times its resistance.
    for (k, (i, r)) in s.segments.iter().zip(r).enumerate().filter(|&(k, _)| k != open) {
        let from = if k == 0 { s.terminal } else { s.volts[k - 1] };
        let to = s.volts.get(k).copied().unwrap_or(s.terminal);
        let off = (from - to).get() - i.get() * r.get();
        prop_assert!(off.abs() < 1e-8 * source.emf.get(), "segment {k}: {off} V");
    }
    let into = source.emf.get() * s.current.get();
    let out = s.delivered.get() + s.cable_loss.get() + s.source_loss.get();
    prop_assert!((into - out).abs() < 1e-8 * (into + 1.0), "{into} W in, {out} W out");
    Ok(())
}

proptest! {
    #[test]
    fn solutions_obey_kirchhoff_and_conserve_energy((source, r, loads) in networks()) {
        let n = loads.len();
        let chain = Network::chain(source, r[..n].to_vec(), loads.clone()).unwrap();
        let ring = Network::ring(source, r.clone(), loads.clone()).unwrap();
        if let Ok(s) = chain.solve() {
            balances(source, &r[..n], &loads, n, &s)?;
        }
        if let Ok(s) = ring.solve() {
            balances(source, &r, &loads, n + 1, &s)?;
        }
        for j in 0..=n {
            if let Ok(s) = ring.without_segment(j).unwrap().solve() {
                balances(source, &r, &loads, j, &s)?;
                prop_assert_eq!(s.segments[j].get(), 0.0);
            }
        }
    }

    #[test]
    fn a_ring_is_never_worse_than_its_chain((source, r, loads) in networks()) {
        // Rayleigh: another conductor between two points raises no transfer resistance here.
        let n = loads.len();
        let chain = Network::chain(source, r[..n].to_vec(), loads.clone()).unwrap().solve();
        let ring = Network::ring(source, r, loads).unwrap().solve();
        match (chain, ring) {
            (Ok(chain), Ok(ring)) => {
                prop_assert!(ring.least().get() >= chain.least().get() - 1e-9);
            }
            (Ok(_), Err(c)) => prop_assert!(false, "only the ring collapses: {c}"),
            (Err(chain), Err(ring)) => {
                prop_assert!(ring.load_factor >= chain.load_factor - 1e-6);
            }
            (Err(_), Ok(_)) => {}
        }
    }

    #[test]
    fn thicker_cables_raise_every_lamp((source, r, loads) in networks(), k in 0.1..0.99f64) {
        let n = loads.len();
        let thick: Vec<Resistance> = r[..n].iter().map(|&r| r * k).collect();
        let thin = Network::chain(source, r[..n].to_vec(), loads.clone()).unwrap().solve();
        let thick = Network::chain(source, thick, loads).unwrap().solve();
        match (thin, thick) {
            (Ok(thin), Ok(thick)) => {
                for (a, b) in thin.volts.iter().zip(&thick.volts) {
                    prop_assert!(b.get() >= a.get() - 1e-9);
                }
            }
            (Ok(_), Err(c)) => prop_assert!(false, "only the thick cable collapses: {c}"),
            (Err(thin), Err(thick)) => {
                prop_assert!(thick.load_factor >= thin.load_factor - 1e-6);
            }
            (Err(_), Ok(_)) => {}
        }
    }

    #[test]
    fn collapse_is_true_and_tight((source, r, loads) in networks()) {
        // Referee: the monotone fixed point V <- EMF - Z I(V) from above, slow but without Newton.
        let n = loads.len();
        let net = Network::chain(source, r[..n].to_vec(), loads.clone()).unwrap();
        let Some(factor) = net.largest_load_factor() else { return Ok(()) };
        for (k, works) in [(0.98, true), (1.02, false)] {
            let mut v = vec![source.emf.get(); n];
            let mut alive = true;
            'steps: for _ in 0..20_000 {
                let draws: Vec<f64> =
                    loads.iter().zip(&v).map(|(l, &v)| k * factor * l.amps(v)).collect();
                let mut rest: f64 = draws.iter().sum();
                let mut at = source.emf.get() - rest * source.resistance.get();
                let mut moved: f64 = 0.0;
                for i in 0..n {
                    at -= rest * r[i].get();
                    rest -= draws[i];
                    moved = moved.max(v[i] - at);
                    v[i] = at;
                    if at <= 0.0 {
                        alive = false;
                        break 'steps;
                    }
                }
                if moved < 1e-12 {
                    break;
                }
            }
            prop_assert_eq!(alive, works, "at {} of the factor {}", k, factor);
        }
    }
}
