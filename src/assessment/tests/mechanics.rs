//! The rules of strap, pad, ear, lock and passage: silent on a sound cradle, and with remedies that
//! cure an unsound one. The sums behind them are checked against published problems where they stand.

use crate::assessment::hold::{
    bark_bruised, pad_opens, passage_web_overstressed, strap_too_slack, strap_window_empty,
};
use crate::assessment::yoke::{ear_overstressed, tilt_lock_slips};
use crate::design::PartId;
use crate::engineering::hold::HoldInput;
use crate::engineering::hold::tests::{input, ring};
use crate::engineering::strap::Path;
use crate::engineering::strength::{Ear, EarLoad, Passage, Print, TiltLock};
use crate::finding::Remedy;
use crate::standards::{PolymerKind, Thread};
use crate::units::*;

fn mm(v: f64) -> Length {
    Length::mm(v)
}
fn n(v: f64) -> Force {
    Force::newtons(v)
}

fn job(text: &str) -> crate::params::Job {
    crate::params::read(text).unwrap().job
}

fn hold(path: &Path) -> HoldInput<'_> {
    let mut input = input(path, 1);
    input.seats[0].front = n(12.0);
    input
}

/// The part that findings name.
const CRADLE: PartId = PartId::YokeTest;

const TODAY: strap_window_empty::CurrentValues = strap_window_empty::CurrentValues {
    half_width: Length::mm(55.0),
    mass: Mass::kg(1.5),
    gust: Speed::metres_per_second(20.0),
};

fn print(polymer: PolymerKind) -> Print {
    Print { polymer, warm: Temperature::celsius(30.0), dark: false }
}

/// The number in a remedy such as `at least 112 N`.
fn number(remedy: &Remedy) -> f64 {
    remedy.change.split(' ').find_map(|word| word.parse().ok()).unwrap()
}

#[test]
fn a_sound_cradle_is_silent() {
    let ring = ring(1);
    let input = hold(&ring);
    let tension = input.window().unwrap().nearest(n(120.0)).unwrap();
    assert_eq!(strap_window_empty::judge(&CRADLE, &input, TODAY), []);
    assert_eq!(strap_too_slack::judge(&CRADLE, &input, tension), []);
    assert_eq!(pad_opens::judge(&CRADLE, &input, tension), []);
    assert_eq!(bark_bruised::judge(&CRADLE, &input, tension), []);
}

#[test]
fn slack_and_overtight_straps_are_cured_by_their_remedies() {
    let ring = ring(1);
    let input = hold(&ring);
    for judge in [strap_too_slack::judge, pad_opens::judge] {
        let found = judge(&CRADLE, &input, n(10.0));
        assert_eq!(found.len(), 1);
        assert_eq!(judge(&CRADLE, &input, n(number(&found[0].remedies[0]))), []);
        assert_eq!(found[0].remedies[0].key.as_str(), "strap.tension");
    }
    let found = bark_bruised::judge(&CRADLE, &input, n(900.0));
    assert_eq!(found.len(), 2);
    assert_eq!(bark_bruised::judge(&CRADLE, &input, n(number(&found[0].remedies[0]))), []);
}

#[test]
fn an_empty_window_names_keys_and_numbers() {
    let ring = ring(1);
    let mut input = hold(&ring);
    input.seats[0].weight = n(40.0);
    input.seats[0].front = n(40.0);
    input.bark_limit = Pressure::kpa(55.0);
    let found = strap_window_empty::judge(&CRADLE, &input, TODAY);
    assert_eq!(found.len(), 1);
    assert!(found[0].message.starts_with("no strap tension serves: "), "{}", found[0].message);
    assert!(!found[0].remedies.is_empty());
    // A broken input is told, not passed over.
    input.seats[0].pad_area = Area::ZERO;
    let broken = strap_window_empty::judge(&CRADLE, &input, TODAY);
    assert!(broken[0].message.contains("the pad's area is 0, but must be above zero"));
}

#[test]
fn weak_ears_get_a_polymer_or_a_calmer_day() {
    let ear = Ear { reach: mm(120.0), thickness: mm(5.0), height: mm(40.0) };
    let load = EarLoad { weight: n(20.0), front: n(30.0), side: n(28.0) };
    let gust = Speed::metres_per_second(20.0);
    let found = ear_overstressed::judge(&ear, &load, &print(PolymerKind::Petg), gust).unwrap();
    let keys: Vec<&str> = found.remedies.iter().map(|r| r.key.as_str()).collect();
    assert!(keys.contains(&"site.gust"), "{keys:?}");
    let calm = found.remedies.iter().find(|r| r.key.as_str() == "site.gust").unwrap();
    let share = (number(calm) / 20.0) * (number(calm) / 20.0);
    let calmer = EarLoad { front: load.front * share, side: load.side * share, ..load };
    assert_eq!(ear_overstressed::judge(&ear, &calmer, &print(PolymerKind::Petg), gust), None);
    // Dark PLA at 30 C is at its glass transition.
    let soft = Print { dark: true, ..print(PolymerKind::Pla) };
    let thick = Ear { thickness: mm(10.0), ..ear };
    let found = ear_overstressed::judge(&thick, &load, &soft, gust).unwrap();
    assert!(found.message.starts_with("PLA softens at 55 C"), "{}", found.message);
    assert_eq!(found.remedies[0].key.as_str(), "polymer.kind");
}

#[test]
fn tilt_lock_remedies_cure() {
    let mut job = job(include_str!("../../../params/one-lamp.toml"));
    let lock = TiltLock {
        thread: Thread::M6,
        lock_radius: None,
        weight: Torque::newton_metres(0.1),
        gust: Torque::newton_metres(1.9),
        safety: 2.0,
        bearing_limit: Pressure::kpa(9.1e3),
    };
    let found = tilt_lock_slips::judge(&lock, &job).unwrap();
    let [radius, .., calm] = &found.remedies[..] else { panic!("{found:?}") };
    assert_eq!(
        (radius.key.as_str(), calm.key.as_str()),
        ("fixture.mount.lock-radius", "site.gust")
    );
    let share = number(calm) / job.site.gust.get();
    let calmer = TiltLock { gust: lock.gust * (share * share), ..lock };
    assert_eq!(tilt_lock_slips::judge(&calmer, &job), None);
    let cured = TiltLock { lock_radius: Some(mm(number(radius))), ..lock };
    assert_eq!(tilt_lock_slips::judge(&cured, &job), None);
    for wrong in [0.01, 50.0] {
        job.site.lock_torque = Some(Torque::newton_metres(wrong));
        let found = tilt_lock_slips::judge(&cured, &job).unwrap();
        job.site.lock_torque = Some(Torque::newton_metres(number(&found.remedies[0])));
        assert_eq!(tilt_lock_slips::judge(&cured, &job), None);
    }
}

/// A tilt plate's bolts are no keys of the job, so that no remedy may name them.
#[test]
fn a_tilt_plate_that_slips_asks_for_a_calmer_day() {
    let job = job(include_str!("../../../params/orchard-supper.toml"));
    let lock = TiltLock {
        thread: Thread::M5,
        lock_radius: Some(mm(12.0)),
        weight: Torque::newton_metres(0.1),
        gust: Torque::newton_metres(30.0),
        safety: 2.0,
        bearing_limit: Pressure::kpa(9.1e3),
    };
    let found = tilt_lock_slips::judge(&lock, &job).unwrap();
    let keys: Vec<&str> = found.remedies.iter().map(|r| r.key.as_str()).collect();
    assert_eq!(keys, ["site.gust"]);
    assert_eq!(found.keys[0].as_str(), "fixture.mass");
}

#[test]
fn passage_remedies_cure() {
    let passage = Passage {
        height: mm(26.2),
        strap_width: mm(25.0),
        web: mm(4.0),
        edge_radius: mm(4.0),
        turn: Angle::degrees(50.0),
    };
    let petg = print(PolymerKind::Petg);
    let found = passage_web_overstressed::judge(&CRADLE, &passage, n(120.0), &petg);
    assert_eq!(found.len(), 1);
    let most = n(number(&found[0].remedies[0]));
    assert_eq!(passage_web_overstressed::judge(&CRADLE, &passage, most, &petg), []);
}
