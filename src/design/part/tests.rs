//! Random parts: closed, one body, genus as designed, volume as the exact solid.

use proptest::prelude::*;

use super::*;
use crate::design::cradle::yoke::{Lock, Yoke, tilt_scale};
use crate::design::marks::Engraving;
use crate::design::rail::Rail;
use crate::design::saddle::{MouthNeeds, Saddle, SaddleNeeds};
use crate::design::tilt_plate::TiltPlate;
use crate::mesh::gate::{Expected, gate_as_written};
use crate::params::Strap;
use crate::params::samples::printer;
use crate::standards::{Thread, Webbing};
use crate::units::{Angle, Force, Length};

fn mm(x: f64) -> Length {
    Length::mm(x)
}

fn strap(width: f64, thickness: f64) -> Strap {
    Strap {
        count: None,
        width: mm(width),
        thickness: mm(thickness),
        clearance: mm(0.6),
        material: Webbing::Polyester,
        working_load: Force::newtons(500.0),
        tightener: None,
        label_load: Force::newtons(2500.0),
        elongation: 0.07,
        tension: None,
        buckle: mm(150.0),
        tail: mm(150.0),
    }
}

fn engraving() -> Engraving {
    Engraving::new(&printer())
}

/// Gates the part and compares its topology with the design.
fn assert_sound(part: &Part) {
    let body = part.body().unwrap();
    assert_eq!(body.genus(), part.genus as i64, "{}", part.id);
    let volume = body.volume();
    let deviation = mm(0.05);
    let mesh = body.tessellate(deviation).unwrap().mesh;
    let expected = Expected { bodies: 1, genus: part.genus, volume, deviation };
    gate_as_written(&mesh, &expected).unwrap();
    let [low, _] = body.bounds();
    assert!(low.norm() < 1e-9);
}

prop_compose! {
    fn any_saddle()(
        trunk in 40.0..960.0_f64,
        reach in 0.25..0.8_f64,
        wanted in 15.0..70.0_f64,
        height in 40.0..250.0_f64,
        front in 10.0..230.0_f64,
        count in 1..=3_u32,
        width in 15.0..75.0_f64,
        thickness in 1.0..4.0_f64,
        rounding in 0.0..8.0_f64,
    ) -> Saddle {
        let needs = SaddleNeeds {
            face_radius: mm(trunk + 7.0),
            pad_half_width: mm(wanted.min(reach * trunk)),
            height: mm(height),
            front_half_width: mm(front),
            mouth: MouthNeeds { web: mm(0.0), radius: mm(rounding) },
            straps: count,
        };
        Saddle::new(&needs, &strap(width, thickness), &printer())
    }
}

prop_compose! {
    fn any_yoke()(
        gap in 40.0..400.0_f64,
        ear in 6.0..12.0_f64,
        reach in 30.0..200.0_f64,
        lock in proptest::option::of((12.0..30.0_f64, -180.0..180.0_f64)),
    ) -> Yoke {
        let lock = lock.map(|(radius, angle)| Lock {
            radius: mm(radius),
            angle: Angle::degrees(angle),
            slot: mm(5.5),
        });
        let scale = tilt_scale(Thread::M5, lock.as_ref(), Angle::degrees(-30.0), &engraving());
        let end = (scale.ticks[1].get() + 1.0).max(scale.numerals.get() + 4.5);
        Yoke {
            gap: mm(gap),
            ear: mm(ear),
            end_radius: mm(end),
            reach: mm(reach.max(end + 3.0)),
            pivot_z: mm(end),
            foot_height: mm(2.0 * end + 1.0),
            pivot_hole: mm(5.5),
            thread: Thread::M5,
            lock,
            scale,
            swing: Vec::new(),
            plate: None,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn random_cradles_are_sound(
        trunk in 40.0..960.0_f64,
        wanted in 15.0..70.0_f64,
        yoke in any_yoke(),
        count in 1..=3_u32,
        width in 15.0..75.0_f64,
        thickness in 1.0..4.0_f64,
        from in -30.0..40.0_f64,
        span in 0.0..90.0_f64,
    ) {
        let needs = SaddleNeeds {
            face_radius: mm(trunk + 7.0),
            pad_half_width: mm(wanted.min(0.6 * trunk)),
            height: yoke.foot_height + mm(1.0),
            front_half_width: yoke.outside() + mm(3.0),
            mouth: MouthNeeds::default(),
            straps: count,
        };
        let saddle = Saddle::new(&needs, &strap(width, thickness), &printer());
        let tilt = [from, (from + span).min(90.0)].map(Angle::degrees);
        assert_sound(&crate::design::cradle::drawing::draw(PartId::Cradle("A".into()), &saddle, &yoke, tilt, &["\u{2191} A", "1042-1165"], engraving()));
    }

    #[test]
    fn random_rails_are_sound(saddle in any_saddle(), out in 8.0..40.0_f64, straps in 1..=2_u32) {
        let screw_x = saddle.half_width + mm(out);
        let needs = SaddleNeeds {
            face_radius: saddle.face_radius,
            pad_half_width: saddle.pad_half_width,
            height: saddle.height,
            front_half_width: screw_x + mm(7.0),
            mouth: MouthNeeds::default(),
            straps,
        };
        let saddle = Saddle::new(&needs, &strap(25.0, 1.5), &printer());
        assert_sound(&crate::design::rail::drawing::draw(PartId::Rail("A".into()), &Rail { saddle, screw_x, hole: mm(4.5) }, &["A 1042-1165"], engraving()));
    }

    #[test]
    fn random_tilt_plates_are_sound(
        x in 8.0..60.0_f64, y in 5.0..60.0_f64, lug in 5.0..9.0_f64, lock in any::<bool>(),
    ) {
        let inner = x + 6.0;
        let plate = TiltPlate {
            half: [mm(inner + lug + 1.5), mm((y + 9.0).max(16.0))],
            thickness: mm(6.0),
            corner: mm(3.0),
            holes: vec![[mm(-x), mm(-y)], [mm(x), mm(-y)], [mm(x), mm(y)], [mm(-x), mm(y)]],
            hole: mm(5.5),
            lug_x: [mm(inner), mm(inner + lug)],
            lug_foot: mm(10.0),
            lug_radius: mm(7.5),
            pivot: mm(22.0),
        };
        let lock = lock.then(|| Lock { radius: mm(12.0), angle: Angle::ZERO, slot: mm(5.5) });
        assert_sound(&crate::design::tilt_plate::drawing::draw(&plate, mm(5.5), lock, &["TILT PLATE"], engraving()));
    }
}
