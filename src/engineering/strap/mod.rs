//! The way of a strap round the trunk: its length, its turns, and where it lies on bare bark.
//!
//! A tight strap lies on the convex hull of the trunk and of the mouth corners of all cradles and
//! rails at its height. Corners are rounded, so each is a disc; the trunk is a circle, or an ellipse
//! from two caliper diameters. The hull is found exactly from support functions (see `hull`), so
//! that arcs, straight parts and turns follow in closed form (arcs of an ellipse by Simpson's rule).
//!
//! Plan view, millimetres. Polar angles are counted from the direction toward the lamp, counter-
//! clockwise seen from above. A strap of thickness `t` is taken to bend about its middle, so its
//! length at the neutral line is the hull's length plus `pi t` (Steiner's formula for the parallel
//! of a convex curve). Stretch under load and the lie of the strap in height are not counted.

mod hull;

use std::f64::consts::PI;

use self::hull::{Body, Share};
use super::account::Line;
use super::guard::{OutOfRange, finite, not_negative, positive};
use crate::units::{Angle, Length};

/// The trunk's section at the strap's height, by its two caliper diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Section {
    /// Diameter in the direction of polar angle 0.
    pub toward: Length,
    /// Diameter across it.
    pub across: Length,
}

impl Section {
    /// A round trunk.
    #[must_use]
    pub(crate) fn round(radius: Length) -> Self {
        Self { toward: radius * 2.0, across: radius * 2.0 }
    }

    /// A round trunk of this girth.
    #[must_use]
    pub(crate) fn from_girth(girth: Length) -> Self {
        Self::round(girth / (2.0 * PI))
    }
}

/// The two mouths of a strap passage, mirror images about the seat's own radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seat {
    /// Polar angle of the seat's middle.
    pub angle: Angle,
    /// From the middle to the centre of either rounded corner.
    pub half_width: Length,
    /// From the trunk's axis to the corners' centres, along the seat's radius.
    pub distance: Length,
    /// Radius of the rounded corner that the strap lies on.
    pub edge_radius: Length,
}

/// What the strap touches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Touch {
    /// Bare bark.
    Bark,
    /// A mouth corner of the seat with this index.
    Corner {
        /// Index into the seats given.
        seat: usize,
    },
}

/// One stretch of contact, and the straight part that follows it counter-clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Contact {
    /// What is touched.
    pub touch: Touch,
    /// Direction of the outward normal where contact begins, 0 to a full turn.
    pub from: Angle,
    /// Turn of the strap over the contact.
    pub turn: Angle,
    /// Length of contact.
    pub arc: Length,
    /// Least radius of curvature in the contact.
    pub least_radius: Length,
    /// Straight part after the contact.
    pub span: Length,
}

/// A strap's way round the trunk.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Path {
    /// Contacts in counter-clockwise order; their turns add up to a full turn.
    pub contacts: Vec<Contact>,
    /// Length of the inner face: arcs and straight parts.
    pub inner_length: Length,
    /// Length of the strap's neutral line: the inner face plus pi times the thickness.
    pub length: Length,
    /// Seats that the strap does not touch: they lie behind a straight part and are not pressed on.
    pub idle_seats: Vec<usize>,
}

/// Why there is no strap path.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum StrapError {
    /// A measure is not in its range.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// A seat's strap would have to pass through wood.
    #[error("strap seat {seat} lies {depth:.1} inside the trunk, move it outward by as much")]
    SeatInsideTrunk {
        /// Index into the seats given.
        seat: usize,
        /// How far inside.
        depth: Length,
    },
}

/// The strap's path over the trunk and the seats.
///
/// Any number of seats, in any order; none gives the bare girth plus `pi * thickness`.
///
/// # Errors
/// A diameter, half width or corner radius that is not above zero, or a strap chord that would cut
/// the trunk at the middle of its seat.
pub(crate) fn path(trunk: Section, seats: &[Seat], thickness: Length) -> Result<Path, StrapError> {
    let thickness = not_negative("the strap's thickness", thickness.get())?;
    let bodies = bodies(trunk, seats)?;
    let shares = hull::hull(&bodies);
    let contacts: Vec<Contact> = shares
        .iter()
        .enumerate()
        .map(|(i, share)| contact(&bodies, share, &shares[(i + 1) % shares.len()]))
        .collect();
    let inner_length: Length = contacts.iter().map(|c| c.arc + c.span).sum();
    let idle_seats =
        (0..seats.len()).filter(|&seat| !touches(&contacts, Touch::Corner { seat })).collect();
    Ok(Path {
        contacts,
        inner_length,
        length: inner_length + Length::mm(PI * thickness),
        idle_seats,
    })
}

/// Points on the inner face of the strap in `steps` evenly spaced directions of its outward normal,
/// counter-clockwise, each with that normal: what a picture of the strap is drawn from.
///
/// # Errors
/// As [`path`].
pub(crate) fn outline(
    trunk: Section,
    seats: &[Seat],
    steps: usize,
) -> Result<Vec<[[f64; 2]; 2]>, StrapError> {
    let bodies = bodies(trunk, seats)?;
    let point = |i: usize| {
        let phi = 2.0 * PI * i as f64 / steps as f64;
        let body = &bodies[hull::outermost(&bodies, phi)];
        let (s, c) = libm::sincos(phi);
        let (out, along) = (body.support(phi), body.along(phi));
        [[out * c - along * s, out * s + along * c], [c, s]]
    };
    Ok((0..steps).map(point).collect())
}

/// The trunk and the corners of all seats, the trunk first.
fn bodies(trunk: Section, seats: &[Seat]) -> Result<Vec<Body>, StrapError> {
    let toward = 0.5 * positive("the trunk's diameter toward the lamp", trunk.toward.get())?;
    let across = 0.5 * positive("the trunk's diameter across", trunk.across.get())?;
    #[allow(clippy::float_cmp)] // A circle is given by the very same number twice.
    let bole = if toward == across {
        Body::Disc { centre: [0.0, 0.0], radius: toward }
    } else {
        Body::Ellipse { semi: [toward, across] }
    };
    let mut bodies = vec![bole];
    for (index, seat) in seats.iter().enumerate() {
        bodies.extend(corners(seat, index, &bole)?);
    }
    Ok(bodies)
}

/// The two corner discs of a seat.
fn corners(seat: &Seat, index: usize, bole: &Body) -> Result<[Body; 2], StrapError> {
    let angle = finite("the seat's polar angle", seat.angle.rad())?;
    let half = positive("the seat's half width", seat.half_width.get())?;
    let distance = positive("the seat's distance from the trunk's axis", seat.distance.get())?;
    let radius = positive("the radius of the strap mouth's edge", seat.edge_radius.get())?;
    let depth = bole.support(angle) - (distance + radius);
    if depth > 0.0 {
        return Err(StrapError::SeatInsideTrunk { seat: index, depth: Length::mm(depth) });
    }
    let (s, c) = libm::sincos(angle);
    Ok([-half, half]
        .map(|x| Body::Disc { centre: [distance * c - x * s, distance * s + x * c], radius }))
}

/// A share of the hull as a contact, with the straight part to the next share.
fn contact(bodies: &[Body], share: &Share, next: &Share) -> Contact {
    let body = &bodies[share.body];
    let to = share.from + share.turn;
    let span = bodies[next.body].along(to) - body.along(to);
    Contact {
        touch: match share.body {
            0 => Touch::Bark,
            corner => Touch::Corner { seat: (corner - 1) / 2 },
        },
        from: Angle::radians(hull::turned(share.from)),
        turn: Angle::radians(share.turn),
        arc: Length::mm(body.arc(share.from, share.turn)),
        least_radius: Length::mm(body.least_radius(share.from, share.turn)),
        // Zero but for rounding when the hull is one body.
        span: Length::mm(span.max(0.0)),
    }
}

fn touches(contacts: &[Contact], touch: Touch) -> bool {
    contacts.iter().any(|c| c.touch == touch)
}

impl Path {
    /// Turn of the strap over bare bark.
    #[must_use]
    pub(crate) fn bark_turn(&self) -> Angle {
        self.turn_over(Touch::Bark)
    }

    /// Length of strap on bare bark: what a sleeve or a long pad must cover.
    #[must_use]
    pub(crate) fn bark_arc(&self) -> Length {
        self.contacts.iter().filter(|c| c.touch == Touch::Bark).map(|c| c.arc).sum()
    }

    /// Turn of the strap at a seat, both corners together; zero for an idle seat.
    #[cfg(test)]
    #[must_use]
    pub(crate) fn seat_turn(&self, seat: usize) -> Angle {
        self.turn_over(Touch::Corner { seat })
    }

    /// Largest turn at one corner of a seat; zero for an idle seat.
    #[must_use]
    pub(crate) fn corner_turn(&self, seat: usize) -> Angle {
        let turns = self.contacts.iter().filter(|c| c.touch == Touch::Corner { seat });
        turns.map(|c| c.turn).fold(Angle::ZERO, |a, b| if b > a { b } else { a })
    }

    /// Webbing to cut: the loop, the length that the buckle takes, and the free tail.
    ///
    /// # Errors
    /// A negative length.
    pub(crate) fn cut(&self, buckle: Length, tail: Length) -> Result<Length, OutOfRange> {
        not_negative("the webbing that the buckle takes", buckle.get())?;
        not_negative("the strap's tail", tail.get())?;
        Ok(self.length + buckle + tail)
    }

    fn turn_over(&self, touch: Touch) -> Angle {
        let turns = self.contacts.iter().filter(|c| c.touch == touch).map(|c| c.turn);
        turns.fold(Angle::ZERO, |a, b| a + b)
    }
}

/// The account of a strap's length.
///
/// # Errors
/// As [`Path::cut`].
pub(crate) fn lines(
    path: &Path,
    thickness: Length,
    buckle: Length,
    tail: Length,
    gap: Length,
) -> Result<Vec<Line>, OutOfRange> {
    let cut = path.cut(buckle, tail)?;
    let arcs: Length = path.contacts.iter().map(|c| c.arc).sum();
    let spans: Length = path.contacts.iter().map(|c| c.span).sum();
    Ok(vec![
        Line::new(
            "strap round trunk and seats",
            "arcs + straights + pi thickness",
            format!("{:.0}", path.length),
            "convex hull of circles; Steiner's formula for the neutral line",
        )
        .input("arcs", format!("{arcs:.1}"))
        .input("straights", format!("{spans:.1}"))
        .input("thickness", thickness)
        .input("bark to face", gap),
        Line::new("strap to cut", "loop + buckle + tail", format!("{cut:.0}"), "sum of lengths")
            .input("loop", format!("{:.0}", path.length))
            .input("buckle", buckle)
            .input("tail", tail),
        Line::new(
            "strap on bark, under which a sleeve goes",
            "sum of arcs on bark",
            format!("{:.0}", path.bark_arc()),
            "convex hull of circles; no bare strap on bark: common practice, no source",
        )
        .input("turn on bark", path.bark_turn()),
    ])
}

#[cfg(test)]
mod tests;
