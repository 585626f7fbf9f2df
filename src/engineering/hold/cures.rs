//! What cures an empty window of tension: one change at a time, the smallest that opens it.
//!
//! Each cure is found by trying, with the real sums, in steps of `STEP` up to a sensible bound, so a
//! change listed here is known to work. Changes that cannot open the window alone are left out.

use super::window::{HoldInput, WindowError};
use crate::units::Length;

/// Relative step of the search.
const STEP: f64 = 0.02;
/// Steps tried: a factor up to 4, or down to 0.02.
const STEPS: u32 = 150;
/// Most straps on a saddle.
const MOST_STRAPS: u32 = 3;
/// Widest webbing, as the job file allows.
const WIDEST: f64 = 75.0;
/// Largest friction worth hoping for: ribbed rubber on dry rough bark (common practice).
const ROUGHEST: f64 = 0.8;

/// One change that opens the window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cure {
    /// This many straps a saddle.
    Straps(u32),
    /// Webbing at least this wide.
    StrapWidth(Length),
    /// Pads larger by at least this factor of area.
    PadArea(f64),
    /// A pad of at least this friction.
    PadFriction(f64),
    /// Weight on the saddle at most this factor of today's.
    Weight(f64),
    /// Gusts of at most this factor of today's speed.
    Gust(f64),
}

impl HoldInput<'_> {
    /// Every single change that opens the window, the least effort first; empty when it is open.
    ///
    /// # Errors
    /// As [`HoldInput::window`].
    pub(crate) fn cures(&self) -> Result<Vec<Cure>, WindowError> {
        if self.window()?.is_open() {
            return Ok(Vec::new());
        }
        let opens = |change: &dyn Fn(&mut Self)| {
            let mut tried = self.clone();
            change(&mut tried);
            tried.window().is_ok_and(|w| w.is_open())
        };
        let up = || (1..=STEPS).map(|k| 1.0 + STEP * f64::from(k));
        let down =
            || (1..=STEPS).map(|k| 1.0 - STEP * f64::from(k)).take_while(|f| *f > STEP / 2.0);

        let straps = (self.straps + 1..=MOST_STRAPS).find(|&n| {
            opens(&|input| {
                input.straps = n;
                for seat in &mut input.seats {
                    seat.strap_heights = respaced(&seat.strap_heights, n);
                }
            })
        });
        let width = up()
            .map(|f| self.strap_width * f)
            .take_while(|w| w.get() <= WIDEST)
            .find(|&w| opens(&|input| input.strap_width = w));
        let area = up().find(|&f| {
            opens(&|input| input.seats.iter_mut().for_each(|s| s.pad_area = s.pad_area * f))
        });
        let friction = up()
            .map(|f| self.pad_friction * f)
            .take_while(|mu| *mu <= ROUGHEST)
            .find(|&mu| opens(&|input| input.pad_friction = mu));
        let weight = down().find(|&f| {
            opens(&|input| input.seats.iter_mut().for_each(|s| s.weight = s.weight * f))
        });
        // Wind forces go with the square of the speed.
        let gust = down().find(|&f| {
            opens(&|input| {
                for seat in &mut input.seats {
                    seat.front = seat.front * (f * f);
                    seat.side = seat.side * (f * f);
                }
            })
        });
        Ok([
            straps.map(Cure::Straps),
            width.map(Cure::StrapWidth),
            area.map(Cure::PadArea),
            friction.map(Cure::PadFriction),
            weight.map(Cure::Weight),
            gust.map(Cure::Gust),
        ]
        .into_iter()
        .flatten()
        .collect())
    }
}

/// Straps spread evenly over the height that they take today (or all in the middle).
fn respaced(heights: &[Length], count: u32) -> Vec<Length> {
    let top = heights.iter().copied().fold(Length::ZERO, |a, z| a.max(z.abs()));
    let last = f64::from(count.saturating_sub(1)).max(1.0);
    (0..count).map(|i| top * (2.0 * f64::from(i) / last - 1.0)).collect()
}
