//! Closed forms, an independent convex hull, and laws that hold for every strap.

use approx::assert_relative_eq;
use geo::{ConvexHull, Euclidean, Length as _, MultiPoint, Point};
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

use super::*;

const THIN: Length = Length::ZERO;

fn seat(degrees: f64, half: f64, distance: f64, edge: f64) -> Seat {
    Seat {
        angle: Angle::degrees(degrees),
        half_width: Length::mm(half),
        distance: Length::mm(distance),
        edge_radius: Length::mm(edge),
    }
}

fn round(radius: f64) -> Section {
    Section::round(Length::mm(radius))
}

/// Hull length by the crate `geo`, from points on every outline.
fn sampled_hull(trunk: Section, seats: &[Seat]) -> f64 {
    let (a, b) = (0.5 * trunk.toward.get(), 0.5 * trunk.across.get());
    let turn = |n: usize| (0..n).map(move |i| TAU * i as f64 / n as f64);
    let mut points: Vec<Point> =
        turn(20_000).map(|p| Point::new(a * libm::cos(p), b * libm::sin(p))).collect();
    for seat in seats {
        let (s, c) = (seat.angle.sin(), seat.angle.cos());
        for x in [-seat.half_width.get(), seat.half_width.get()] {
            let centre = [seat.distance.get() * c - x * s, seat.distance.get() * s + x * c];
            let r = seat.edge_radius.get();
            points.extend(
                turn(2000).map(|p| {
                    Point::new(centre[0] + r * libm::cos(p), centre[1] + r * libm::sin(p))
                }),
            );
        }
    }
    let hull = MultiPoint::new(points).convex_hull();
    Euclidean.length(hull.exterior())
}

#[test]
fn bare_trunk_takes_its_girth_and_pi_thicknesses() {
    let bare = path(Section::from_girth(Length::mm(942.478)), &[], Length::mm(2.0)).unwrap();
    assert_relative_eq!(bare.length.get(), 942.478 + 2.0 * PI, max_relative = 1e-14);
    assert_eq!(bare.contacts.len(), 1);
    assert_relative_eq!(bare.bark_turn().deg(), 360.0, max_relative = 1e-14);
    assert_relative_eq!(bare.bark_arc().get(), 942.478, max_relative = 1e-14);
}

#[test]
fn lifted_equal_seats_make_a_polygon_with_rounded_corners() {
    // Closed form: when the trunk is not touched, the loop is the polygon through the corner
    // centres plus one full circle of the edge radius.
    for n in 2..=6 {
        let (half, distance, edge) = (40.0, 260.0, 5.0);
        let seats: Vec<Seat> =
            (0..n).map(|i| seat(360.0 * i as f64 / n as f64, half, distance, edge)).collect();
        let found = path(round(40.0), &seats, THIN).unwrap();
        let reach = libm::hypot(half, distance);
        let inner = libm::atan2(half, distance);
        let gap = TAU / n as f64 - 2.0 * inner;
        let polygon = n as f64 * (2.0 * half + 2.0 * reach * libm::sin(gap / 2.0));
        assert_relative_eq!(found.inner_length.get(), polygon + TAU * edge, max_relative = 1e-13);
        assert_eq!(found.contacts.len(), 2 * n);
        for i in 0..n {
            assert_relative_eq!(found.seat_turn(i).rad(), TAU / n as f64, max_relative = 1e-12);
        }
        assert_eq!(found.bark_arc(), Length::ZERO);
    }
}

#[test]
fn one_seat_on_a_thick_trunk_follows_the_crossed_belt_closed_form() {
    // Two discs, the trunk (r) and a corner (R) at distance d: the open belt's free part is
    // sqrt(d^2 - (r - R)^2) and its normal stands acos((r - R)/d) from the line of centres
    // (open flat belt, any machine-design text).
    let (r, half, y, edge) = (150.0, 50.0, 165.0, 4.0);
    let found = path(round(r), &[seat(0.0, half, y, edge)], THIN).unwrap();
    let d = libm::hypot(half, y);
    let free = (d * d - (r - edge) * (r - edge)).sqrt();
    let leave = libm::atan2(half, y) + libm::acos((r - edge) / d);
    let expected = r * (TAU - 2.0 * leave) + 2.0 * (free + edge * leave) + 2.0 * half;
    assert_relative_eq!(found.inner_length.get(), expected, max_relative = 1e-13);
    assert_relative_eq!(found.seat_turn(0).rad(), 2.0 * leave, max_relative = 1e-12);
    assert_relative_eq!(found.corner_turn(0).rad(), leave, max_relative = 1e-12);
    assert_eq!(found.contacts.len(), 3);
}

#[test]
fn a_seat_behind_a_straight_part_is_idle() {
    let seats =
        [seat(0.0, 20.0, 400.0, 5.0), seat(120.0, 20.0, 400.0, 5.0), seat(60.0, 10.0, 160.0, 5.0)];
    let found = path(round(150.0), &seats, THIN).unwrap();
    assert_eq!(found.idle_seats, vec![2]);
    assert_eq!(found.seat_turn(2), Angle::ZERO);
}

#[test]
fn an_oval_trunk_has_the_perimeter_of_an_ellipse() {
    // Complete elliptic integral through the arithmetic-geometric mean (Abramowitz and Stegun,
    // 17.6): an independent method.
    for (a, b) in [(160.0, 140.0), (140.0, 160.0), (200.0, 100.0)] {
        let trunk = Section { toward: Length::mm(2.0 * a), across: Length::mm(2.0 * b) };
        let found = path(trunk, &[], THIN).unwrap().inner_length.get();
        let (mut x, mut y, mut power, mut sum) = (f64::max(a, b), f64::min(a, b), 0.5, 0.0);
        sum += power * (x * x - y * y);
        for _ in 0..8 {
            let (mean, root) = ((x + y) / 2.0, (x * y).sqrt());
            power *= 2.0;
            let c = (x - y) / 2.0;
            sum += power * c * c;
            (x, y) = (mean, root);
        }
        let long = f64::max(a, b);
        let perimeter = TAU / x * (long * long - sum);
        assert_relative_eq!(found, perimeter, max_relative = 1e-9);
        let sharpest = f64::min(a, b) * f64::min(a, b) / long;
        let least = path(trunk, &[], THIN).unwrap().contacts[0].least_radius.get();
        assert_relative_eq!(least, sharpest, max_relative = 1e-12);
    }
}

#[test]
fn bad_measures_are_refused() {
    let bad = path(round(f64::NAN), &[], THIN);
    assert!(matches!(bad, Err(StrapError::OutOfRange(_))));
    assert!(path(round(150.0), &[seat(0.0, 0.0, 170.0, 4.0)], THIN).is_err());
    assert!(path(round(150.0), &[seat(f64::INFINITY, 10.0, 170.0, 4.0)], THIN).is_err());
    assert!(path(round(150.0), &[], Length::mm(-1.0)).is_err());
    let inside = path(round(150.0), &[seat(0.0, 40.0, 140.0, 4.0)], THIN).unwrap_err();
    assert_eq!(
        inside.to_string(),
        "strap seat 0 lies 6 mm inside the trunk, move it outward by as much"
    );
}

prop_compose! {
    fn any_seat()(degrees in 0.0..360.0, half in 5.0..80.0, lift in 1.0..60.0, edge in 1.0..8.0)
        -> (f64, f64, f64, f64) { (degrees, half, lift, edge) }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn agrees_with_the_hull_of_sampled_points(
        a in 60.0..400.0_f64,
        ratio in 0.8..1.25_f64,
        seats in prop::collection::vec(any_seat(), 0..5),
    ) {
        let trunk = Section { toward: Length::mm(2.0 * a), across: Length::mm(2.0 * a * ratio) };
        let outer = a * ratio.max(1.0);
        let seats: Vec<Seat> =
            seats.into_iter().map(|(d, h, l, e)| seat(d, h, outer + l, e)).collect();
        let found = path(trunk, &seats, THIN).unwrap();
        let sampled = sampled_hull(trunk, &seats);
        prop_assert!((found.inner_length.get() / sampled - 1.0).abs() < 1e-5);
        let turns: f64 = found.contacts.iter().map(|c| c.turn.rad()).sum();
        prop_assert!((turns - TAU).abs() < 1e-9);
    }

    #[test]
    fn never_shorter_than_the_girth_and_longer_with_each_seat(
        r in 60.0..500.0_f64,
        seats in prop::collection::vec(any_seat(), 1..6),
    ) {
        let seats: Vec<Seat> = seats.into_iter().map(|(d, h, l, e)| seat(d, h, r + l, e)).collect();
        let mut before = TAU * r;
        for n in 0..=seats.len() {
            let now = path(round(r), &seats[..n], THIN).unwrap().inner_length.get();
            prop_assert!(now >= before - 1e-9);
            before = now;
        }
    }

    #[test]
    fn lifting_a_seat_never_shortens_the_strap(
        r in 60.0..500.0_f64, one in any_seat(), more in 0.0..30.0_f64,
    ) {
        let (d, h, l, e) = one;
        let low = path(round(r), &[seat(d, h, r + l, e)], THIN).unwrap().inner_length;
        let high = path(round(r), &[seat(d, h, r + l + more, e)], THIN).unwrap().inner_length;
        prop_assert!(high.get() >= low.get() - 1e-9);
    }
}

#[test]
fn the_outline_is_as_long_as_the_path() {
    // The path's closed forms against a polygon through its points; an inscribed polygon of n points
    // is short by at most (2 pi / n)^2 / 24 of its arcs (series of the chord).
    let seats = [seat(0.0, 40.0, 170.0, 3.0), seat(140.0, 40.0, 168.0, 3.0)];
    for trunk in [round(160.0), Section { toward: Length::mm(330.0), across: Length::mm(300.0) }] {
        let n = 3600;
        let points = outline(trunk, &seats, n).unwrap();
        let length: f64 = (0..n)
            .map(|i| {
                let ([p, _], [q, _]) = (points[i], points[(i + 1) % n]);
                libm::hypot(q[0] - p[0], q[1] - p[1])
            })
            .sum();
        let whole = path(trunk, &seats, THIN).unwrap().inner_length.get();
        assert!(length <= whole + 1e-9 && length > whole * (1.0 - 2e-6), "{length} {whole}");
        assert!(points.iter().all(|[_, n]| (libm::hypot(n[0], n[1]) - 1.0).abs() < 1e-12));
    }
}
