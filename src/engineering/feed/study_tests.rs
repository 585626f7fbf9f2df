//! Sizes, fuses and states of the battery, by hand from IEC 60228 rows.

use approx::assert_relative_eq;

use super::*;
use crate::standards::{ConductorSize, FuseKind, Strands};
use crate::units::{Current, Length, Power, Resistance, Temperature, Voltage};

/// Four lamps of 0.8 A, 5 m apart, on a stiff 12 V battery, copper at 20 C.
fn four_lamps() -> Plan {
    Plan {
        layout: FeedLayout::Chain,
        lengths: vec![Length::metres(5.0); 4],
        back: Length::metres(5.0),
        apart: None,
        loads: vec![Load::Current(Current::amps(0.8)); 4],
        supply: Supply {
            nominal: Voltage::volts(12.0),
            resistance: Resistance::ZERO,
            cutoff: Voltage::volts(10.0),
            spent: Voltage::volts(10.0),
            standby: Power::ZERO,
            efficiency: 1.0,
        },
        drop: 0.05,
        least: None,
        contact: Resistance::ZERO,
        strands: Strands::Flexible,
        temperature: Temperature::celsius(20.0),
        air: Temperature::celsius(30.0),
        ampacity: None,
        fuse_kind: FuseKind::Blade,
    }
}

#[test]
fn thinnest_section_follows_from_the_iec_60228_rows() {
    // Drop = 2 x 5 m x r x (3.2 + 2.4 + 1.6 + 0.8) A = 80 A.m x r, class 5 rows: 2.5 mm2 0.6384 V,
    // 4 mm2 0.396 V, 6 mm2 0.264 V, against 5 and 3 % of 12 V.
    let series = ConductorSize::Mm2_1.series();
    let mut plan = four_lamps();
    let found = plan.thinnest(series).unwrap();
    assert_eq!(found.size, ConductorSize::Mm2_4);
    assert_relative_eq!(found.fresh.unwrap().drop().get(), 0.396, epsilon = 1e-9);
    plan.drop = 0.03;
    assert_eq!(plan.thinnest(series).unwrap().size, ConductorSize::Mm2_6);
    let thin = plan.study(ConductorSize::Mm2_2_5).unwrap();
    let [Shortfall::Drop { fixture: 3, drop, most }] = plan.shortfalls(&thin)[..] else {
        panic!("{:?}", plan.shortfalls(&thin))
    };
    assert_relative_eq!(drop.get(), 0.6384, epsilon = 1e-9);
    assert_relative_eq!(most.get(), 0.36, epsilon = 1e-9);
    // No section at all: 0.1 % is 12 mV, 10 mm2 loses 153 mV.
    plan.drop = 0.001;
    let Err(NoSize::TooThin { thickest, shortfalls }) = plan.thinnest(series) else { panic!() };
    assert_eq!(thickest.size, ConductorSize::Mm2_10);
    assert_eq!(shortfalls.len(), 1);
}

#[test]
fn the_lamps_least_voltage_is_held_at_the_end_of_the_evening() {
    // At the 10 V cut-off 2.5 mm2 leaves 10 - 0.6384 = 9.3616 V.
    let mut plan = four_lamps();
    plan.drop = 0.06;
    plan.least = Some(Voltage::volts(9.36));
    assert_eq!(plan.thinnest(ConductorSize::ALL[0].series()).unwrap().size, ConductorSize::Mm2_2_5);
    plan.least = Some(Voltage::volts(9.37));
    assert_eq!(plan.thinnest(ConductorSize::ALL[0].series()).unwrap().size, ConductorSize::Mm2_4);
    let study = plan.study(ConductorSize::Mm2_2_5).unwrap();
    assert!(matches!(
        plan.shortfalls(&study)[..],
        [Shortfall::Volts { fixture: 3, broken: None, .. }]
    ));
}

#[test]
fn fuse_carries_the_load_through_the_controllers_loss() {
    // 3.2 A of lamps; 1.25 x 3.2 = 4 A exactly.
    let mut plan = four_lamps();
    let study = plan.study(ConductorSize::Mm2_4).unwrap();
    assert_relative_eq!(study.continuous.get(), 3.2, epsilon = 1e-12);
    // 0.92 efficiency and 0.3 W at the 10 V cut-off: 3.2/0.92 + 0.03 = 3.508 A, so 4.385 A: 5 A.
    plan.supply.efficiency = 0.92;
    plan.supply.standby = Power::watts(0.3);
    let study = plan.study(ConductorSize::Mm2_4).unwrap();
    assert_relative_eq!(study.continuous.get(), 3.2 / 0.92 + 0.03, epsilon = 1e-12);
    assert_eq!(study.fuse, Ok(Current::amps(5.0)));
    // 0.5 mm2 carries 3 A: no fuse both carries the load and protects it.
    assert!(plan.study(ConductorSize::Mm2_0_5).unwrap().fuse.is_err());
    // The maker's own figure goes before the table.
    plan.ampacity = Some(Current::amps(5.0));
    assert_eq!(plan.study(ConductorSize::Mm2_0_5).unwrap().fuse, Ok(Current::amps(5.0)));
    // A short at the far end: 10 V over 40 m of 4.95 ohm/km.
    assert_relative_eq!(study.far_short.get(), 10.0 / 0.198, max_relative = 1e-12);
}

#[test]
fn a_short_is_least_at_the_far_end_of_a_broken_loop_and_plugs_count() {
    // By hand: I = U/(2 r L + R_b), 12 V behind 0.05 ohm, class 5 at 20 C: 2.5 mm2 over 30 m 22.69 A, 1 mm2 over
    // 40 m 7.45 A, 0.75 mm2 over 60 m 3.79 A.
    let mut plan = four_lamps();
    (plan.supply.spent, plan.supply.resistance) = (Voltage::volts(12.0), Resistance::ohms(0.05));
    for (size, metres, amps) in [
        (ConductorSize::Mm2_2_5, 30.0, 22.69),
        (ConductorSize::Mm2_1, 40.0, 7.45),
        (ConductorSize::Mm2_0_75, 60.0, 3.79),
    ] {
        plan.lengths = vec![Length::metres(metres / 4.0); 4];
        let found = plan.study(size).unwrap().far_short;
        assert!((found.get() - amps).abs() < 0.005, "{found} for {amps}");
    }
    // A loop broken beside the box leaves its whole length but one segment.
    plan.layout = FeedLayout::Loop;
    plan.lengths = vec![Length::metres(7.5); 4];
    plan.back = Length::metres(17.5);
    let found = plan.study(ConductorSize::Mm2_1).unwrap().far_short;
    assert!((found.get() - 7.45).abs() < 0.005, "{found}");
    // Four contacts of 20 mohm at 5 A lose 0.40 V, of 5 mohm 0.10 V.
    let mut plan = four_lamps();
    plan.lengths = vec![Length::metres(1.0); 2];
    plan.loads = vec![Load::Current(Current::ZERO), Load::Current(Current::amps(5.0))];
    let least =
        |plan: &Plan| plan.study(ConductorSize::Mm2_4).unwrap().fresh.unwrap().least().get();
    let bare = least(&plan);
    for (milliohms, volts) in [(20.0, 0.40), (5.0, 0.10)] {
        plan.contact = Resistance::ohms(milliohms / 1000.0);
        assert_relative_eq!(bare - least(&plan), volts, epsilon = 1e-9);
    }
}

#[test]
fn constant_power_draws_most_from_an_empty_pack() {
    let mut plan = four_lamps();
    plan.loads = vec![Load::Power(Power::watts(9.6)); 4];
    let study = plan.study(ConductorSize::Mm2_4).unwrap();
    let (fresh, spent) = (study.fresh.unwrap(), study.spent.unwrap());
    assert!(spent.current > fresh.current);
    assert_eq!(study.continuous, spent.current);
    // More than 38.4 W/10 V, by the losses.
    assert!(spent.current > Current::amps(3.84));
}

#[test]
fn the_pack_is_spent_as_far_as_the_runtime_draws_it_and_never_below_its_cut_off() {
    // 11.2 V behind 0.1 ohm at 3.2 A: 10.88 V at the terminals; 2.5 mm2 takes 0.6384 V.
    let mut plan = four_lamps();
    plan.supply.spent = Voltage::volts(11.2);
    plan.supply.resistance = Resistance::ohms(0.1);
    let spent = |plan: &Plan| plan.study(ConductorSize::Mm2_2_5).unwrap().spent.unwrap();
    assert_relative_eq!(spent(&plan).least().get(), 11.2 - 0.32 - 0.6384, epsilon = 1e-9);
    // A pack that would sag below its cut-off has switched off before.
    plan.supply.resistance = Resistance::ohms(0.5);
    assert_relative_eq!(spent(&plan).least().get(), 10.0 - 0.6384, epsilon = 1e-9);
}

#[test]
fn a_wished_drop_is_no_reason_for_a_thicker_cable_where_the_lamp_says_what_it_needs() {
    // 0.1 % of 12 V is missed by every section; lamps that work at 9 V are served by 1 mm2: 1.56 V.
    let mut plan = four_lamps();
    plan.drop = 0.001;
    assert!(plan.thinnest(ConductorSize::Mm2_1.series()).is_err());
    plan.least = Some(Voltage::volts(8.4));
    let found = plan.thinnest(ConductorSize::Mm2_1.series()).unwrap();
    assert_eq!(found.size, ConductorSize::Mm2_1);
    assert!(plan.shortfalls(&found).iter().all(|s| plan.is_by_choice(s)));
}

#[test]
fn a_loop_must_outlive_its_worst_break() {
    let mut plan = four_lamps();
    plan.layout = FeedLayout::Loop;
    plan.least = Some(Voltage::volts(9.0));
    let study = plan.study(ConductorSize::Mm2_1_5).unwrap();
    let whole = study.spent.as_ref().unwrap();
    // The worst break is at an end and leaves a chain of five segments, one of them without a lamp.
    let broken = study.worst_break.as_ref().unwrap();
    assert!(broken.segment == 0 || broken.segment == 4);
    let left = broken.spent.as_ref().unwrap();
    assert_relative_eq!(10.0 - left.least().get(), 1.064, epsilon = 1e-9);
    assert!(whole.least() > left.least());
    assert!(matches!(plan.shortfalls(&study)[..], [Shortfall::Volts { broken: Some(_), .. }]));
    // Whole, symmetric: lamps 2 and 3 get 1.6 A then 0.8 A over 0.133 ohm each: 0.3192 V.
    assert_relative_eq!(10.0 - whole.least().get(), 0.3192, epsilon = 1e-9);
}

#[test]
fn loads_beyond_every_cable_are_told_with_their_share() {
    let mut plan = four_lamps();
    plan.lengths = vec![Length::metres(200.0)];
    plan.loads = vec![Load::Power(Power::watts(100.0))];
    let Err(NoSize::TooThin { thickest, shortfalls }) =
        plan.thinnest(ConductorSize::Awg12.series())
    else {
        panic!()
    };
    assert_eq!(thickest.size, ConductorSize::Awg12);
    // Maximum power theorem: E^2/(4 R) over 100 W.
    let r = ConductorSize::Awg12
        .resistance(Strands::Flexible, Length::metres(400.0), Temperature::celsius(20.0))
        .unwrap();
    let Shortfall::Collapse { load_factor, broken: None } = shortfalls[0] else { panic!() };
    assert_relative_eq!(load_factor, 144.0 / (4.0 * r.get()) / 100.0, max_relative = 1e-6);
}

#[test]
fn plans_out_of_range_are_refused() {
    let good = four_lamps();
    let size = ConductorSize::Mm2_4;
    let refused = |change: &dyn Fn(&mut Plan)| {
        let mut plan = good.clone();
        change(&mut plan);
        plan.study(size).unwrap_err()
    };
    assert!(matches!(
        refused(&|p| p.lengths[2] = Length::ZERO),
        FeedError::Network(NetworkError::Segment { index: 2, .. })
    ));
    assert_eq!(
        refused(&|p| {
            p.lengths.clear();
            p.loads.clear();
        }),
        FeedError::Network(NetworkError::NoFixtures)
    );
    assert!(matches!(refused(&|p| p.lengths[0] = Length::mm(-1.0)), FeedError::Conductor(_)));
    assert!(matches!(
        refused(&|p| p.temperature = Temperature::celsius(f64::NAN)),
        FeedError::Conductor(_)
    ));
    for bad in [f64::NAN, 0.0, -1.0, 1.5, f64::INFINITY] {
        assert!(matches!(refused(&|p| p.supply.efficiency = bad), FeedError::Range(_)), "{bad}");
        assert!(matches!(refused(&|p| p.drop = bad), FeedError::Range(_)), "{bad}");
    }
    assert!(matches!(
        refused(&|p| p.supply.cutoff = Voltage::volts(13.0)),
        FeedError::Cutoff { .. }
    ));
    assert!(matches!(
        refused(&|p| p.supply.cutoff = Voltage::volts(f64::NAN)),
        FeedError::Cutoff { .. }
    ));
    assert!(good.thinnest(&[]).is_err());
}

#[test]
fn lines_tell_every_sum_with_its_limit() {
    let mut plan = four_lamps();
    plan.least = Some(Voltage::volts(9.0));
    let study = plan.study(ConductorSize::Mm2_2_5).unwrap();
    let lines = lines::lines(&plan, &study);
    let drop = &lines[2];
    assert_eq!(drop.result, "0.638 V");
    assert_eq!(drop.limit.as_deref(), Some("at most 0.6 V"));
    assert!(drop.fails());
    // 2 x 20 m of 7.98 ohm/km.
    assert_eq!(lines[0].result, "0.3192 ohm");
    assert!(lines.iter().all(|l| !l.source.is_empty() && !l.formula.is_empty()));
    assert!(serde_json::to_string(&study).is_ok());
}
