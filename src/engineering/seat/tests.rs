use super::*;
use crate::engineering::foam::tests::{made, sponge};
use crate::units::Hours;
use approx::assert_relative_eq;
use proptest::prelude::*;

pub(crate) fn pad() -> Pad {
    Pad { foam: sponge(), thickness: Length::mm(10.0), least: 0.1, most: 0.5 }
}

pub(crate) fn face(radius: f64, half_width: f64, height: f64) -> Face {
    Face {
        radius: Length::mm(radius),
        half_width: Length::mm(half_width),
        height: Length::mm(height),
        rim: None,
    }
}

fn bed(face: &Face, trunk: f64) -> Bed {
    Bed::new(face, pad(), Length::mm(trunk)).unwrap()
}

fn n(force: f64) -> Force {
    Force::newtons(force)
}

fn nm(pitch: f64, yaw: f64) -> Levering {
    Levering { pitch: Torque::newton_metres(pitch), yaw: Torque::newton_metres(yaw) }
}

#[test]
fn quadrature_is_exact_for_polynomials() {
    // Ten points integrate up to degree 19, five up to 9: mean of x^18 is 1/19, of z^8 1/9.
    let mean: f64 = ACROSS.iter().map(|[x, w]| w * x.powi(18)).sum();
    assert_relative_eq!(mean, 1.0 / 19.0, epsilon = 1e-14);
    let mean: f64 = UP.iter().map(|[z, w]| 0.5 * w * z.powi(8)).sum();
    assert_relative_eq!(mean, 1.0 / 9.0, epsilon = 1e-14);
}

#[test]
fn a_concentric_face_is_pressed_evenly() {
    // Rc = r + gap: stress everywhere that of the strain, so N = stress x projected area.
    for kpa in [20.0, 40.0, 60.0] {
        let strain = pad().foam.strain(Pressure::kpa(kpa), Age::FRESH);
        let face = face(200.0 + 10.0 * (1.0 - strain), 50.0, 120.0);
        let bed = bed(&face, 200.0);
        let pose = bed.rest(n(kpa * 1e-3 * 100.0 * 120.0), Age::FRESH).unwrap();
        let found = bed.pressed(&pose, Age::FRESH);
        assert_relative_eq!(found.least, strain, epsilon = 2e-4);
        assert_relative_eq!(found.most, strain, epsilon = 2e-4);
        assert_relative_eq!(found.peak.get(), kpa, max_relative = 2e-3);
        assert_relative_eq!(found.contact, 1.0, epsilon = 1e-12);
    }
}

/// The same integral by brute force: a thousand strips, exact gap, bisection on the approach.
fn brute(face: &Face, trunk: f64, force: f64, age: Age) -> f64 {
    let (rc, w, t) = (face.radius.get(), face.half_width.get(), 10.0);
    let total = |g0: f64| {
        let strips = (0..1000).map(|i| {
            let x = w * (f64::from(i) + 0.5) / 1000.0;
            let s = rc - f64::sqrt(rc * rc - x * x);
            let g = f64::sqrt(x * x + (trunk + g0 - s).powi(2)) - trunk;
            pad().foam.stress(1.0 - g / t, age).get()
        });
        strips.sum::<f64>() / 1000.0 * 2.0 * w * face.height.get() * 1e-3
    };
    let (mut low, mut high) = (-20.0, 40.0);
    for _ in 0..60 {
        let g0 = 0.5 * (low + high);
        if total(g0) > force { low = g0 } else { high = g0 }
    }
    low
}

#[test]
fn approach_agrees_with_a_thousand_strips() {
    let old = pad().foam.after(Hours::hours(1000.0));
    for (trunk, force) in [(140.0, 150.0), (180.0, 200.0), (230.0, 120.0), (260.0, 250.0)] {
        for age in [Age::FRESH, old] {
            let face = face(190.0, 50.0, 100.0);
            let bed = bed(&face, trunk);
            let pose = bed.rest(n(force), age).unwrap();
            let exact = brute(&face, trunk, force, age);
            assert!((bed.gap(&pose).get() - exact).abs() < 0.03, "{trunk}: {exact}");
        }
    }
}

#[test]
fn the_same_pull_presses_old_foam_farther() {
    let bed = bed(&face(190.0, 50.0, 100.0), 180.0);
    let strain = |age| bed.pressed(&bed.rest(n(200.0), age).unwrap(), age).middle;
    let later = pad().foam.after(Hours::hours(100.0));
    assert!(strain(later) > strain(Age::FRESH) + 0.05);
}

#[test]
fn small_moments_follow_the_kern_of_a_rectangle() {
    // Strength of materials: a linear bed under N, pitch M and yaw L has the edge stress
    // N/A - M/(H^2 B / 6) - L/(B^2 H / 6); it is just zero at N = 6 M / H + 6 L / B. The foam
    // is linear at strains of a hundredth when its gas carries all.
    let linear = Pad { foam: made(0.01, 1.0, 0.0, 0.0), ..pad() };
    let flat = face(1e9, 40.0, 120.0);
    let bed = Bed::new(&flat, linear, Length::mm(1e9)).unwrap();
    let levering = nm(0.2, 0.1);
    let pose = bed.loosest(0.0, levering, Age::FRESH).unwrap();
    let kern = 6.0 * 200.0 / 120.0 + 6.0 * 100.0 / 80.0;
    assert_relative_eq!(pose.force.get(), kern, max_relative = 0.03);
    // The tilt of the bed is M / (E I / t), with E 100 kPa and I = 80 x 120^3 / 12.
    let sag = 200.0 / (0.1 * 80.0 * 120.0_f64.powi(3) / 12.0 / 10.0);
    let found = bed.pressed(&pose, Age::FRESH);
    assert_relative_eq!(found.sag.rad(), sag, max_relative = 0.03);
    assert_relative_eq!(found.least, 0.0, epsilon = 1e-9);
    // Half that force leaves a part out of touch.
    let open = bed.under(pose.force * 0.5, levering, Age::FRESH).unwrap();
    let open = bed.pressed(&open, Age::FRESH);
    assert!(open.least < 0.0 && open.contact < 0.95 && open.contact > 0.3, "{open:?}");
    // Moments about the edge (statics): beyond M = N H / 2 the face tips off.
    assert!(bed.under(n(2.0 * 0.2e3 / 120.0 * 0.98), nm(0.2, 0.0), Age::FRESH).is_none());
}

#[test]
fn straps_at_two_heights_hold_against_tilting() {
    let face = face(190.0, 50.0, 100.0);
    let levering = nm(1.5, 0.0);
    let alone = bed(&face, 185.0);
    let heights = [-30.0, 30.0].map(Length::mm);
    let held = alone.with_straps(20.0, &heights).unwrap();
    let sag = |bed: &Bed| {
        let pose = bed.under(n(250.0), levering, Age::FRESH).unwrap();
        bed.pressed(&pose, Age::FRESH).sag.rad()
    };
    let [alone, held] = [sag(&alone), sag(&held)];
    // Two springs in parallel: M = (K + 2 k z^2) angle, where K = M / angle alone.
    let rate = 1500.0 / alone + 2.0 * 20.0 * 30.0 * 30.0;
    assert_relative_eq!(held, 1500.0 / rate, max_relative = 0.03);
}

#[test]
fn the_rim_comes_before_the_foam_is_full() {
    // Rim 6 mm deep, 1 mm of air: it stops at a gap of 7 mm, where 10 mm foam has 30 %.
    let rim = Rim { half_width: Length::mm(54.0), depth: Length::mm(6.0), air: Length::mm(1.0) };
    let deep = Face { rim: Some(rim), ..face(207.0, 50.0, 100.0) };
    let bed = bed(&deep, 200.0);
    let pose = bed.hardest(0.5, Levering::NONE, Age::FRESH).unwrap();
    assert_relative_eq!(bed.pressed(&pose, Age::FRESH).most, 0.3, epsilon = 2e-3);
    assert_relative_eq!(bed.air_left(&pose).unwrap().get(), 0.0, epsilon = 1e-6);
}

#[test]
fn bad_measures_are_refused() {
    let good = face(190.0, 50.0, 100.0);
    assert!(Bed::new(&good, pad(), Length::mm(45.0)).is_err());
    assert!(Bed::new(&face(40.0, 50.0, 100.0), pad(), Length::mm(100.0)).is_err());
    assert!(Bed::new(&good, Pad { most: 0.05, ..pad() }, Length::mm(100.0)).is_err());
    assert!(Bed::new(&good, Pad { most: 0.95, ..pad() }, Length::mm(100.0)).is_err());
    assert!(bed(&good, 100.0).rest(n(-1.0), Age::FRESH).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn a_pose_balances_its_force_and_moments(
        trunk in 120.0..1000.0_f64, rc in 120.0..1000.0_f64, force in 60.0..500.0_f64,
        pitch in 0.0..2.0_f64, yaw in 0.0..1.0_f64, hours in 0.0..200.0_f64,
    ) {
        let bed = bed(&face(rc, 45.0, 120.0), trunk);
        let age = pad().foam.after(Hours::hours(hours));
        let levering = nm(pitch, yaw);
        if let Some(pose) = bed.under(n(force), levering, age) {
            let sums = bed.sums([pose.approach, pose.tilt, pose.turn], age).0;
            let area = bed.area * NEWTONS;
            prop_assert!((area * sums[0] - force).abs() < 1e-3 * force);
            prop_assert!((area * 60.0 * sums[1] - 1000.0 * pitch).abs() < 0.1 + pitch);
            prop_assert!((area * 45.0 * sums[2] - 1000.0 * yaw).abs() < 0.1 + yaw);
            // More force presses the loosest place harder, while the pad touches all over; but
            // a foam that softens on its plateau tilts a little farther under the same moment.
            let least = |p| bed.pressed(p, age).least;
            if let Some(more) = bed.under(n(force * 1.1), levering, age)
                && least(&pose) > 0.0
            {
                prop_assert!(least(&more) >= least(&pose) - 0.03);
            }
        } else {
            // Only a force too small for the moments tips off: twice theirs over hard foam
            // (statics), up to twice that again where settled foam yields on its plateau.
            let (pitch, yaw) = (2000.0 * pitch / 120.0, 2000.0 * yaw / 90.0);
            prop_assert!(force < 4.0 * (pitch + yaw), "{force} {pitch} {yaw}");
        }
    }

    #[test]
    fn goals_are_met_and_forces_given_back(
        trunk in 130.0..800.0_f64, rc in 130.0..800.0_f64,
        pitch in 0.0..1.5_f64, yaw in 0.0..0.7_f64,
    ) {
        let bed = bed(&face(rc, 40.0, 120.0), trunk);
        let levering = nm(pitch, yaw);
        for (pose, limit, low) in [
            (bed.loosest(0.1, levering, Age::FRESH), 0.1, true),
            (bed.hardest(0.5, levering, Age::FRESH), 0.5, false),
        ] {
            let Some(pose) = pose else { continue };
            let found = bed.pressed(&pose, Age::FRESH);
            let met = if low { found.least } else { found.most };
            prop_assert!((met - limit).abs() < 1e-6, "{found:?}");
            let back = bed.under(pose.force, levering, Age::FRESH).map(|p| bed.pressed(&p, Age::FRESH));
            let back = back.expect("a pose that exists");
            let met = if low { back.least } else { back.most };
            prop_assert!((met - limit).abs() < 1e-4, "{back:?}");
        }
    }
}
