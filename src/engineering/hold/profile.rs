//! How tension falls along a strap while it is being tightened.
//!
//! On a hull the turn between two places is the difference of their normals, so the share of tension
//! left is `exp(-integral of mu d phi)` from the buckle. Worst case on purpose: friction is taken as
//! used up all along. Working the strap round by hand, or pulling it against a pad that yields,
//! evens the tension out.

use std::f64::consts::TAU;

use super::super::guard::{OutOfRange, finite, not_negative};
use super::super::strap::{Path, Touch};
use crate::units::Angle;

/// How the strap is pulled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tightening {
    /// From one end, the buckle held fast: tension falls all the way round.
    OneEnd,
    /// With a buckle that slides, or worked round by hand: tension falls both ways from the buckle.
    BothWays,
}

/// Friction of webbing where the strap runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WebbingFriction {
    /// On bark.
    pub bark: f64,
    /// On printed mouths.
    pub print: f64,
}

/// For each contact of the path, the least share of the buckle's tension anywhere in it, 0 to 1.
///
/// `buckle` is the direction of the outward normal at the buckle.
///
/// # Errors
/// A negative friction, an undefined angle.
pub(crate) fn least_shares(
    path: &Path,
    friction: WebbingFriction,
    buckle: Angle,
    tightening: Tightening,
) -> Result<Vec<f64>, OutOfRange> {
    not_negative("the friction of webbing on bark", friction.bark)?;
    not_negative("the friction of webbing on the print", friction.print)?;
    finite("the buckle's direction", buckle.rad())?;

    let pieces = pieces_from(path, buckle.rad());
    let rate = |contact: usize| match path.contacts[contact].touch {
        Touch::Bark => friction.bark,
        Touch::Corner { .. } => friction.print,
    };
    let total: f64 = pieces.iter().map(|p| rate(p.contact) * p.turn).sum();
    let mut shares = vec![1.0_f64; path.contacts.len()];
    let mut used = 0.0;
    for piece in &pieces {
        let after = used + rate(piece.contact) * piece.turn;
        let most = match tightening {
            Tightening::OneEnd => after,
            // The far point, halfway in friction, may lie inside the piece.
            Tightening::BothWays if used <= 0.5 * total && after >= 0.5 * total => 0.5 * total,
            Tightening::BothWays => used.min(total - used).max(after.min(total - after)),
        };
        let share = &mut shares[piece.contact];
        *share = share.min(libm::exp(-most.max(0.0)));
        used = after;
    }
    Ok(shares)
}

/// A stretch of one contact.
struct Piece {
    contact: usize,
    turn: f64,
}

/// The contacts in counter-clockwise order from the buckle; the contact under it comes in two pieces.
fn pieces_from(path: &Path, buckle: f64) -> Vec<Piece> {
    let ahead = |angle: f64| angle - TAU * (angle / TAU).floor();
    // The contact whose start is the last one behind the buckle.
    let under = (0..path.contacts.len()).min_by(|&i, &j| {
        let behind = |k: usize| ahead(buckle - path.contacts[k].from.rad());
        behind(i).total_cmp(&behind(j))
    });
    let Some(under) = under else { return Vec::new() };
    let count = path.contacts.len();
    let held = &path.contacts[under];
    let before = ahead(buckle - held.from.rad()).min(held.turn.rad());
    let mut pieces = vec![Piece { contact: under, turn: held.turn.rad() - before }];
    pieces.extend((1..count).map(|k| {
        let contact = (under + k) % count;
        Piece { contact, turn: path.contacts[contact].turn.rad() }
    }));
    pieces.push(Piece { contact: under, turn: before });
    pieces
}
