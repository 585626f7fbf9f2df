//! A job with a box, and the plan under many of its variations.

use proptest::prelude::*;

use super::*;
use crate::engineering::feed::FeedLayout;
use crate::params::samples::printer;
use crate::params::*;
use crate::standards::{Chemistry, GasketKind, PolymerKind, Thread, Webbing};
use crate::units::*;

fn mm(value: f64) -> Length {
    Length::mm(value)
}

/// The X of the rail screws that the tests ask for.
pub(crate) const RAIL_X: Length = Length::mm(42.0);

/// A garden job: a tool pack of 18 V, a small controller, three cables and a vent.
pub(crate) fn job() -> Job {
    Job {
        job: JobInfo {
            format: crate::params::FORMAT,
            name: "garden".into(),
            place: None,
            owner: None,
            install: None,
            take_down: None,
            survey: None,
            growth: mm(10.0),
            years: 1.0,
            girth_tolerance: mm(3.0),
            deviation: mm(0.05),
        },
        trunks: Vec::new(),
        fixture: Fixture {
            idle: Power::ZERO,
            body_temperature: None,
            capacitor: None,
            name: "flood".into(),
            width: mm(120.0),
            height: mm(90.0),
            depth: mm(35.0),
            mass: Mass::kg(0.8),
            power: Power::watts(10.0),
            mount: Mount::SideBosses {
                span: mm(124.0),
                thread: Thread::M6,
                lock_radius: None,
                lock_angle: None,
            },
            pivot_from_back: None,
            pivot_from_bottom: None,
            cable_room: Length::ZERO,
            lumens: None,
            beam_angle: None,
            load: LoadKind::ConstantPower,
            min_voltage: None,
            max_voltage: None,
        },
        tilt: Tilt { min: Angle::ZERO, max: Angle::degrees(75.0) },
        strap: Strap {
            count: Some(2),
            width: mm(25.0),
            thickness: mm(1.5),
            clearance: mm(0.6),
            material: Webbing::Polyester,
            working_load: Force::newtons(500.0),
            tightener: None,
            label_load: Force::newtons(2500.0),
            elongation: 0.07,
            tension: None,
            buckle: mm(150.0),
            tail: mm(150.0),
        },
        pad: Pad {
            thickness: Some(mm(10.0)),
            strain_min: 0.1,
            strain: 0.3,
            strain_max: 0.5,
            stress: Pressure::kpa(40.0),
            frame: 0.5,
            solid: 0.1,
            gas_hours: Hours::hours(40.0),
            friction: [0.4, 0.7],
            webbing_friction: [0.15, 0.3],
            bark_limit: Pressure::kpa(100.0),
            max_width_ratio: 0.6,
            half_width: None,
        },
        battery: Some(Battery {
            name: "pack".into(),
            length: mm(118.0),
            width: mm(76.0),
            height: mm(62.0),
            mass: Mass::kg(0.64),
            chemistry: Chemistry::LiIon,
            voltage: Voltage::volts(18.0),
            capacity: Charge::amp_hours(5.0),
            cutoff: None,
            resistance: Resistance::ohms(0.05),
            usable: None,
            max_current: None,
            charger: None,
            ageing: 0.9,
            receiver: Receiver {
                thickness: mm(14.0),
                holes: HolePattern::Rectangle { width: mm(70.0), height: mm(50.0) },
                thread: Thread::M4,
                slide: None,
            },
        }),
        controller: Some(Controller {
            name: "dimmer".into(),
            length: mm(65.0),
            width: mm(45.0),
            height: mm(22.0),
            mass: Mass::kg(0.08),
            holes: HolePattern::Rectangle { width: mm(56.0), height: mm(36.0) },
            thread: Thread::M3,
            standby: Power::watts(0.3),
            cuts_supply: true,
            max_current: None,
            efficiency: 0.92,
        }),
        seal: Seal { kind: None, cord: None, sponge: None, squeeze: None, line_load: None },
        lid: crate::params::Lid { close: None, screw: Thread::M4, insert_length: None },
        glands: vec![
            Gland { size: GlandSize::M16, count: Some(1) },
            Gland { size: GlandSize::M12, count: Some(2) },
        ],
        vent: Some(Vent { size: GlandSize::M12 }),
        printer: printer(),
        polymer: Polymer { kind: PolymerKind::Petg, price: None, dark: false },
        feed: Feed {
            cable_diameter: None,
            contact: crate::units::Resistance::ZERO,
            signal_limit: None,
            layout: FeedLayout::Chain,
            conductor: None,
            lead: None,
            segments: None,
            back: None,
            drop: 0.05,
            temperature: Temperature::celsius(30.0),
            fuse: None,
            ampacity: None,
        },
        programme: Programme { parts: Vec::new(), nights: None, week: 7 },
        link: None,
        lanyard: crate::params::Lanyard { slack: mm(100.0), stiffness: 20.0, working_load: None },
        site: Site {
            ice: None,
            latitude: None,
            lid_facing: None,
            gust: Speed::metres_per_second(20.0),
            cold: Temperature::celsius(5.0),
            warm: Temperature::celsius(30.0),
            safety: 2.0,
            lock_torque: None,
        },
        glare: Vec::new(),
    }
}

fn gland_size() -> impl Strategy<Value = GlandSize> {
    prop::sample::select(GlandSize::ALL.to_vec())
}

fn thread() -> impl Strategy<Value = Thread> {
    prop::sample::select(vec![Thread::M3, Thread::M4, Thread::M5])
}

/// Holes well inside a plate of this length and width, wide enough apart for their posts.
fn holes(length: f64, width: f64) -> impl Strategy<Value = HolePattern> {
    let (x, y) = (length - 10.0, width - 10.0);
    prop_oneof![
        (0.6..1.0, 0.6..1.0)
            .prop_map(move |(a, b)| HolePattern::Rectangle { width: mm(a * x), height: mm(b * y) }),
        (0.8..1.0_f64)
            .prop_map(move |a| HolePattern::Circle { diameter: mm(a * x.min(y)), count: 3 }),
        (0.4..0.5_f64, 0.4..0.5_f64).prop_map(move |(a, b)| HolePattern::Points {
            points: vec![[mm(-a * x), mm(-b * y)], [mm(a * x), mm(0.2 * y)]]
        }),
    ]
}

prop_compose! {
    fn battery()(length in 70.0..200.0, width in 55.0..110.0)(
        length in Just(length), width in Just(width), height in 30.0..100.0, plate in 3.0..20.0,
        holes in holes(length, width), thread in thread(),
    ) -> Battery {
        let base = job().battery.unwrap();
        let receiver = Receiver { thickness: mm(plate), holes, thread, slide: None };
        Battery { length: mm(length), width: mm(width), height: mm(height), receiver, ..base }
    }
}

prop_compose! {
    fn controller()(length in 45.0..110.0, width in 45.0..80.0)(
        length in Just(length), width in Just(width), height in 10.0..50.0,
        holes in holes(length, width), thread in thread(),
    ) -> Controller {
        let base = job().controller.unwrap();
        Controller { length: mm(length), width: mm(width), height: mm(height), holes, thread, ..base }
    }
}

prop_compose! {
    /// Jobs with a box that can be made, whatever the bed.
    pub(crate) fn any_job()(
        battery in battery(),
        controller in prop::option::of(controller()),
        kind in prop::sample::select(GasketKind::ALL), close in prop::sample::select(Closing::ALL),
        cord in 1.5..6.0, strip in (3.0..10.0, 3.0..12.0),
        squeeze in prop::option::of(0.15..0.35), load in prop::option::of(0.2..4.0),
        screw in thread(), insert in prop::option::of(3.0..12.0),
        chosen in prop::collection::vec((gland_size(), 1_u32..4), 0..4),
        vent in prop::option::of(gland_size()),
        bed in 150.0..400.0, line in 0.35..0.9, layer in 0.1..0.35,
        overhang in 35.0..60.0, bridge in 4.0..20.0,
    ) -> Job {
        let base = job();
        Job {
            battery: Some(battery),
            controller,
            seal: Seal {
                kind: Some(kind),
                cord: (kind == GasketKind::Cord).then_some(mm(cord)),
                sponge: (kind == GasketKind::Sponge).then_some([mm(strip.0), mm(strip.1)]),
                squeeze,
                line_load: load,
            },
            lid: crate::params::Lid { close: Some(close), screw, insert_length: insert.map(mm) },
            glands: chosen.into_iter().map(|(size, count)| Gland { size, count: Some(count) }).collect(),
            vent: vent.map(|size| Vent { size }),
            printer: Printer {
                bed: [bed, bed, bed].map(mm),
                line: mm(line),
                layer: mm(layer),
                overhang: Angle::degrees(overhang),
                bridge: mm(bridge),
                ..printer()
            },
            ..base
        }
    }
}

#[test]
fn the_garden_box_fits_its_bed_and_tells_why() {
    let plan = plan(&job(), Closing::Knobs, RAIL_X).unwrap();
    let [x, y] = plan.footprint().map(Length::get);
    assert!(x.min(y) < 210.0 && x.max(y) < 210.0, "{x} x {y} x {}", plan.depth);
    for name in [
        "box wall",
        "gasket groove depth",
        "box layout",
        "lid thickness",
        "lid skirt",
        "lid fasteners",
    ] {
        assert!(plan.reasons.iter().any(|r| r.name == name), "{name}");
    }
}

/// To the nearest of thick layers the cord would hardly be squeezed: the groove is one layer shallower.
#[test]
fn thick_layers_do_not_leave_the_cord_loose() {
    for (layer, depth) in [(0.2, 2.2), (0.64, 1.92)] {
        let mut job = job();
        job.seal.cord = Some(mm(3.0));
        job.printer.layer = mm(layer);
        let groove =
            plan(&job, job.lid.close.unwrap_or(Closing::Knobs), RAIL_X).unwrap().groove.section;
        assert!((groove.depth - mm(depth)).abs() < mm(1e-9), "{layer}: {}", groove.depth);
    }
}

/// A lid is opened every few nights: few fasteners, and a soft gasket is what makes them few.
#[test]
fn boxes_of_the_demo_jobs_close_with_six_fasteners_at_most() {
    for text in [
        include_str!("../../../params/orchard-supper.toml"),
        include_str!("../../../params/quillmere-stories.toml"),
        include_str!("../../../params/walnut-arbour.toml"),
    ] {
        let job = crate::params::read(text).expect("it reads").job;
        let few = plan(&job, Closing::Knobs, RAIL_X).unwrap();
        assert!(few.fasteners() <= 6, "{}: {}", job.job.name, few.fasteners());
        let stiff = Job { seal: Seal { cord: Some(mm(3.0)), ..job.seal.clone() }, ..job };
        let many = plan(&stiff, Closing::Screws, RAIL_X).unwrap();
        assert!(many.fasteners() > few.fasteners(), "{}", many.fasteners());
    }
}

#[test]
fn without_a_battery_or_with_a_coarse_screw_the_error_says_so() {
    let error = |job: &Job| plan(job, Closing::Knobs, RAIL_X).unwrap_err();
    assert_eq!(error(&Job { battery: None, ..job() }), EnclosureError::NoBattery);
    let lid = crate::params::Lid { close: None, screw: Thread::M6, insert_length: None };
    assert_eq!(error(&Job { lid, ..job() }), EnclosureError::NoInsert(Thread::M6));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_plan_keeps_its_promises(job in any_job()) {
        let plan = plan(&job, job.lid.close.unwrap_or(Closing::Knobs), RAIL_X).map_err(|f| TestCaseError::fail(format!("{f:?}")))?;
        let whole = |x: Length, unit: Length| {
            let n = x / unit;
            (n - n.round()).abs() < 1e-6
        };
        prop_assert!(whole(plan.wall, job.printer.line) && plan.wall >= WALL_LEAST);
        for height in [plan.floor, plan.depth, plan.groove.section.depth, plan.flange.root, plan.flange.face] {
            prop_assert!(whole(height, job.printer.layer), "{height} is no whole number of layers");
        }
        // Handbook rule: groove corners of at least three cords.
        if let Some(cord) = job.seal.cord {
            prop_assert!(plan.groove.centre_line.radius >= 3.0 * cord - mm(1e-9));
        }
        prop_assert!(plan.groove.section.fill().is_none_or(|fill| fill <= 0.85));
        // The lid clears the body, its skirt stays beside the flange, and its fasteners stand in it.
        let skirt = plan.lid.edge.skirt[1];
        prop_assert!(skirt <= plan.depth - plan.flange.root + mm(1e-9), "{skirt}");
        prop_assert!(plan.lid.ring_depth + WALL_LEAST <= plan.lid.thickness + mm(1e-9));
        // The pack's way, step by step: no corner of it leaves the cavity, nothing else is in it.
        let length = job.battery.as_ref().map_or(Length::ZERO, |b| b.length);
        prop_assert_eq!(plan.slide, length * 0.25);
        prop_assert!(plan.slide_room() >= plan.slide - mm(1e-6), "{} {:?} {:?} {:?} {:?} {:?}", plan.slide_room(), plan.slide, plan.layout, plan.battery, plan.controller, plan.cavity);
        let (axis, sign) = plan.layout.battery.slide();
        for step in 0..=50 {
            let way = sign * plan.slide * (f64::from(step) / 50.0 - 1e-9);
            let mut pack = plan.battery.body;
            (pack.low[axis], pack.high[axis]) = (pack.low[axis] + way, pack.high[axis] + way);
            for x in [pack.low[0], pack.high[0]] {
                for y in [pack.low[1], pack.high[1]] {
                    prop_assert!(plan.cavity.distance([x, y]) <= mm(1e-6));
                }
            }
            let apart = |o: &Cuboid| (0..3).any(|i| pack.low[i] >= o.high[i] || o.low[i] >= pack.high[i]);
            prop_assert!(plan.controller.iter().all(|c| apart(&c.body)));
            prop_assert!(plan.locknut_rooms().all(|room| apart(&room)));
        }
        prop_assert!(plan.rail_screw_x >= RAIL_X - mm(1e-9));
        prop_assert!(plan.screws.pitch <= plan.screws.pitch_limit + mm(1e-9));
        prop_assert_eq!(plan.glands.len() as u32, job.glands.iter().map(|e| job.gland_count(e)).sum::<u32>());
        for screw in &plan.screws.points {
            let free = plan.groove.outer().distance(*screw) - plan.screws.insert_outer / 2.0;
            prop_assert!(free >= LAND_LEAST - mm(1e-9), "insert {free} from the groove");
            let d = [0, 1].map(|i| (screw[i] - plan.lanyard.at[i]).get());
            let eye = (d[0] * d[0] + d[1] * d[1]).sqrt() - plan.lanyard.diameter.get() / 2.0;
            prop_assert!(eye - plan.screws.insert_outer.get() / 2.0 >= LAND_LEAST.get(), "{eye}");
        }
    }
}
