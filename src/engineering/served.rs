//! Which girths a print serves, and what would let it sit where it does not.
//!
//! What "serves" means is in [`super::pull`]; nothing else decides it.
//!
//! The girths that a print serves are one interval about the girth that its face was made for: the
//! misfit `|s(r, w) - s(Rc, w)|` grows away from there on both sides, and with it the least pull, while
//! the most falls. Turn and friction change the window slowly beside that. The interval is found from
//! that girth outward in equal steps of curvature, in which the misfit is nearly linear, and its
//! ends by bisection.

#![allow(clippy::float_cmp)] // A limit is reached exactly, by `min` and `max`.

use std::f64::consts::TAU;

use super::pull::{Conditions, Print, serves};
use super::seat::{Face, Pad, nominal_gap};
use crate::units::Length;

/// The thickest girth that a job file may hold.
pub(super) const LARGEST_GIRTH: f64 = 6000.0;
/// Lengths that agree to a millionth are the same.
const SAME: f64 = 1e-6;

/// The thinnest and the thickest girth that a print serves, up to the largest that a job may have, looked
/// for first about a girth that it may be known to serve; `None` when it serves none.
#[must_use]
pub(crate) fn served_girths(
    print: &Print,
    conditions: &Conditions,
    known: Option<Length>,
) -> Option<[Length; 2]> {
    let pad = &conditions.pad;
    let served = |curvature: f64| serves(print, conditions, Length::mm(TAU / curvature));
    // Curvature 1 / r: from the thinnest trunk that the face goes on to the thickest of a job.
    let thinnest = (conditions.reach / print.face.half_width.get()).max(0.0);
    let thickest = TAU / LARGEST_GIRTH;
    if thinnest <= thickest || thinnest.is_nan() {
        return None;
    }
    let made_for =
        (1.0 / (print.face.radius - nominal_gap(pad)).get().max(SAME)).clamp(thickest, thinnest);
    let step = (thinnest - thickest) / f64::from(STEPS);
    let in_range = |c: &f64| (thickest..=thinnest).contains(c);
    // Nearest first, so that the interval found is the one about the girth that it was made for.
    let outward = (0..=STEPS).flat_map(|i| {
        let off = step * f64::from(i);
        [made_for + off, made_for - off].into_iter().filter(in_range)
    });
    let known = known.map(|girth| TAU / girth.get()).filter(in_range);
    let start = known.into_iter().chain(outward).find(|c| served(*c))?;
    let end = |sign: f64, limit: f64| {
        let (mut inside, mut stride) = (start, step);
        while inside != limit {
            let outside = if sign > 0.0 {
                (inside + stride).min(limit)
            } else {
                (inside - stride).max(limit)
            };
            if !served(outside) {
                return last(&served, inside, outside);
            }
            (inside, stride) = (outside, 2.0 * stride);
        }
        inside
    };
    Some([end(1.0, thinnest), end(-1.0, thickest)].map(|c| Length::mm(TAU / c)))
}

/// Steps of curvature over all trunks that a face goes on.
const STEPS: u32 = 64;
/// Ends are found to a fiftieth of a millimetre of girth; marks are in whole millimetres.
const CLOSE: f64 = 0.02;

/// The last curvature on the way from `inside`, where `is_good`, to `outside`, where it is not.
fn last(is_good: &impl Fn(f64) -> bool, mut inside: f64, mut outside: f64) -> f64 {
    while (TAU / inside - TAU / outside).abs() > CLOSE {
        let middle = 0.5 * (inside + outside);
        if is_good(middle) { inside = middle } else { outside = middle }
    }
    inside
}

/// How a print can be tried on a trunk that it does not serve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rehearsal {
    /// The thinnest foam of the same kind with which it holds there.
    pub foam: Option<Length>,
    /// A shim behind the pad with which it does.
    pub shim: Option<Shim>,
}

/// A packing between face and pad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Shim {
    /// Behind the middle, thinning out to both edges: for a trunk flatter than the face.
    Middle(Length),
    /// Behind both edges, thinning out to the middle: for a trunk rounder than the face.
    Edges(Length),
}

/// Foams are looked for in steps of a millimetre, shims of half a millimetre.
const FOAM_STEP: f64 = 1.0;
const SHIM_STEP: f64 = 0.5;
/// The thickest foam that a job file takes, and the thickest shim worth cutting.
const THICKEST_FOAM: f64 = 40.0;
const THICKEST_SHIM: f64 = 12.0;

/// Which foam, or which shim, would make a print hold on this girth, in the conditions given: for a
/// rehearsal these are still air.
#[must_use]
pub(crate) fn rehearsal(print: &Print, conditions: &Conditions, girth: Length) -> Rehearsal {
    let foam = (1..)
        .map(|i| FOAM_STEP * f64::from(i))
        .skip_while(|t| *t < THINNEST_FOAM)
        .take_while(|t| *t <= THICKEST_FOAM)
        .map(Length::mm)
        .find(|&thickness| {
            let pad = Pad { thickness, ..conditions.pad };
            serves(print, &Conditions { pad, ..*conditions }, girth)
        });
    let (rc, w) = (print.face.radius.get(), print.face.half_width.get());
    let sagitta = w * w / (rc + ((rc - w) * (rc + w)).max(0.0).sqrt());
    let steps = (1..).map(|i| SHIM_STEP * f64::from(i)).take_while(|s| *s <= THICKEST_SHIM);
    let shim = steps.flat_map(|s| [s, -s]).find(|change| {
        let deep = sagitta + change;
        if deep <= w * FLAT || deep > w {
            return false;
        }
        let radius = Length::mm(w * w / (2.0 * deep) + deep / 2.0);
        let face = Face { radius, ..print.face };
        serves(&Print { face, ..*print }, conditions, girth)
    });
    let shim = shim.map(|s| match s > 0.0 {
        true => Shim::Edges(Length::mm(s)),
        false => Shim::Middle(Length::mm(-s)),
    });
    Rehearsal { foam, shim }
}

/// Thinnest foam that a job file takes.
const THINNEST_FOAM: f64 = 3.0;
/// A sagitta below this share of the half width has no radius worth a number.
const FLAT: f64 = 1e-6;
