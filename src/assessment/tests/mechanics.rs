//! The rules of strap, ear and lock: silent on a sound cradle, and with remedies that
//! cure an unsound one. The sums behind them are checked against published problems where they stand.

use crate::assessment::Subject;
use crate::assessment::hold::{no_pull_holds, pull_has_no_room};
use crate::assessment::yoke::{ear_overstressed, tilt_lock_slips};
use crate::engineering::strength::{Ear, EarLoad, Print, TiltLock};
use crate::finding::{Finding, Remedy, Rule};
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

fn print(polymer: PolymerKind) -> Print {
    Print { polymer, warm: Temperature::celsius(30.0), dark: false }
}

/// The number in a remedy such as `at least 112 N`.
fn number(remedy: &Remedy) -> f64 {
    remedy.change.split(' ').find_map(|word| word.parse().ok()).unwrap()
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

fn found(job: &crate::params::Job, rule: &Rule) -> Vec<Finding> {
    let settled = crate::design::settle(job, &Default::default()).expect("a plan");
    let check = if rule.code == no_pull_holds::RULE.code {
        no_pull_holds::check
    } else {
        pull_has_no_room::check
    };
    check(&Subject::planned(&settled.job, Ok(&settled.plan)))
}

/// A job with one remedy followed.
fn cured(mut job: crate::params::Job, remedy: &Remedy) -> Option<crate::params::Job> {
    match remedy.key.as_str() {
        "pad.thickness" => job.pad.thickness = Some(mm(number(remedy))),
        "pad.half-width" => job.pad.half_width = Some(mm(number(remedy))),
        "strap.count" => job.strap.count = Some(number(remedy) as u32),
        "strap.tension" => job.strap.tension = None,
        "site.gust" => job.site.gust = Speed::metres_per_second(number(remedy)),
        "fixture.mass" => job.fixture.mass = Mass::kg(number(remedy)),
        _ => return None,
    }
    Some(job)
}

#[test]
fn pulls_without_window_or_room_are_found_and_cured() {
    let sound = job(include_str!("../../../params/one-lamp.toml"));
    // With everything written there is no other choice.
    let sound = crate::design::settle(&sound, &Default::default()).expect("a plan").job;
    for rule in [&no_pull_holds::RULE, &pull_has_no_room::RULE] {
        assert_eq!(found(&sound, rule), []);
    }
    // A wish for a pull so light that nothing is pressed; one that hardly suffices leaves no room.
    let plan = crate::design::plan(&sound, &Default::default()).unwrap();
    let sums = crate::assessment::Calculations::new(&sound, &plan, &[], &[]);
    let [least, most] = sums.results[0].window.expect("a window");
    assert!(most.get() >= 1.25 / 0.75 * least.get());
    for (wish, rule) in
        [(least.get() * 0.5, &no_pull_holds::RULE), (least.get() * 1.4, &pull_has_no_room::RULE)]
    {
        let mut wished = sound.clone();
        wished.strap.tension = Some(n(wish));
        let found_now = found(&wished, rule);
        assert_eq!(found_now.len(), 1, "{wish}");
        let mut tried = 0;
        for remedy in &found_now[0].remedies {
            if let Some(better) = cured(wished.clone(), remedy) {
                tried += 1;
                assert_eq!(found(&better, rule), [], "{remedy:?}");
            }
        }
        assert!(tried > 0, "{found_now:?}");
    }
}
