//! The window of strap tension: the least that holds, the most that harms nothing.
//!
//! For every saddle on the ring of straps, with a share `k` of the tension as pulled left there after
//! capstan loss and relaxation, all straps together press with `N = n k T 2 sin(turn/2)`.
//! Least tension: friction of pad and of webbing on bark against weight with the gust from the side,
//! and against weight with the gust pulling outward; no peeling ([`super::super::wind::peel`]); the
//! pad pressed beyond its least strain at its loosest place. Most tension, in the moment of pulling
//! (no loss, no relaxation): working load of the webbing, bark under the strap, bark under the pad's
//! hardest place with the gust's moment, the pad's largest strain, the printed passage.
//!
//! Pad: linear elastic foundation, strain from middle to edge differing by `spread` (the difference
//! of sagittas over the free thickness), so the hardest place has `mean + max(2/3 spread, -1/3
//! spread)`. Every condition is linear in the tension and so solved in closed form. Bark friction of
//! the strap is shared out evenly over the saddles.

use super::super::guard::{OutOfRange, finite, not_negative, positive};
use super::super::strap::{Path, Touch};
use super::super::wind::{PeelInput, peel};
use super::profile::{Tightening, WebbingFriction, least_shares};
use super::{seat_force, strap_pressure};
use crate::standards::webbing::FRICTION_ON_PRINT;
use crate::units::{Angle, Area, Force, Length, Pressure};

const KPA_PER_MPA: f64 = 1000.0;

/// One saddle on the ring: what pulls at it, and its pad.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SeatLoad {
    /// Weight of everything on the saddle.
    pub weight: Force,
    /// Gust in the beam's vertical plane.
    pub front: Force,
    /// Gust across it.
    pub side: Force,
    /// From the bark to the pivot.
    pub reach: Length,
    /// From the saddle's middle up to the pivot.
    pub rise: Length,
    /// Radius of the trunk: the side gust has the lever `(r + reach) / r` on the bark.
    pub trunk_radius: Length,
    /// Area of the pad.
    pub pad_area: Area,
    /// Height of the pad.
    pub pad_height: Length,
    /// Strain at the pad's edge less strain at its middle, from the curve's misfit.
    pub spread: f64,
    /// Heights of the straps above the saddle's middle.
    pub strap_heights: Vec<Length>,
}

/// Everything that decides how tight a ring of straps may be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct HoldInput<'a> {
    /// Path of one strap; all straps of the ring are taken alike.
    pub path: &'a Path,
    /// Straps.
    pub straps: u32,
    /// Width of the webbing.
    pub strap_width: Length,
    /// Share of tension kept after relaxation.
    pub kept: f64,
    /// Working load of the webbing in straight pull.
    pub working_load: Force,
    /// Most tension that the printed passage bears.
    pub passage: Force,
    /// Friction of the pad on wet bark.
    pub pad_friction: f64,
    /// Friction of webbing on wet bark.
    pub webbing_friction: f64,
    /// Direction of the normal at the buckle.
    pub buckle: Angle,
    /// How the strap is pulled.
    pub tightening: Tightening,
    /// Stress over strain of the pad.
    pub pad_modulus: Pressure,
    /// Least strain that still grips.
    pub strain_min: f64,
    /// Most strain.
    pub strain_max: f64,
    /// Most pressure on bark.
    pub bark_limit: Pressure,
    /// Factor on weight and wind against sliding and peeling.
    pub safety: f64,
    /// One entry a seat of the path, in its order.
    pub seats: Vec<SeatLoad>,
}

/// What asks for the least tension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Need {
    /// Weight and side gust against friction.
    SlidesAside,
    /// Weight and outward gust against friction.
    SlidesDown,
    /// Levering moment against seat force.
    Peels,
    /// Pad looser than its least strain somewhere.
    PadLoose,
}

impl Need {
    /// In words.
    #[must_use]
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::SlidesAside => "not to slide under weight and a gust from the side",
            Self::SlidesDown => "not to slide under weight and a gust that pulls outward",
            Self::Peels => "not to peel off the bark",
            Self::PadLoose => "to keep the pad pressed at its loosest place",
        }
    }
}

/// What sets the most tension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cap {
    /// Working load of the webbing.
    WorkingLoad,
    /// Bark under the strap.
    BarkUnderStrap,
    /// Bark under the pad.
    BarkUnderPad,
    /// Largest strain of the pad.
    PadCrushed,
    /// The printed passage.
    Passage,
}

impl Cap {
    /// In words.
    #[must_use]
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::WorkingLoad => "the webbing's working load",
            Self::BarkUnderStrap => "the bark under the bare strap",
            Self::BarkUnderPad => "the bark under the pad",
            Self::PadCrushed => "the pad's largest strain",
            Self::Passage => "the printed strap passage",
        }
    }
}

/// The window of tension, as pulled. It may be empty: `least` above `most`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Window {
    /// Least tension that holds.
    pub least: Force,
    /// What asks for it.
    pub need: Need,
    /// Seat that asks for it.
    pub need_seat: usize,
    /// Most tension that harms nothing.
    pub most: Force,
    /// What sets it.
    pub cap: Cap,
}

impl Window {
    /// Whether some tension holds and harms nothing.
    #[must_use]
    pub(crate) fn is_open(&self) -> bool {
        self.least <= self.most
    }

    /// The tension of this window nearest to a wish; `None` when it is empty.
    #[must_use]
    pub(crate) fn nearest(&self, wish: Force) -> Option<Force> {
        self.is_open().then(|| wish.max(self.least).min(self.most))
    }
}

/// Why there is no window at all.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum WindowError {
    /// A measure is not in its range.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// The strap does not press on a saddle.
    #[error(
        "the strap does not touch saddle {seat}: it lies behind the straight part between its neighbours"
    )]
    SeatIdle {
        /// Index of the seat.
        seat: usize,
    },
    /// Seats and loads do not match.
    #[error("{loads} loads for {seats} strap seats")]
    Mismatch {
        /// Loads given.
        loads: usize,
        /// Seats on the path.
        seats: usize,
    },
}

/// What a newton of tension as pulled does at one seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PerNewton {
    /// Seat force left after loss and relaxation.
    pub seat: f64,
    /// Seat force in the moment of pulling.
    pub seat_fresh: f64,
    /// This seat's share of the friction of webbing on bark, after loss and relaxation.
    pub bark_friction: f64,
}

impl HoldInput<'_> {
    /// Effects of one newton of tension at every seat.
    ///
    /// # Errors
    /// A number out of range, a seat that the strap does not touch, loads that do not match the seats.
    pub(crate) fn per_newton(&self) -> Result<Vec<PerNewton>, WindowError> {
        self.check()?;
        let friction = WebbingFriction { bark: self.webbing_friction, print: FRICTION_ON_PRINT };
        let shares = least_shares(self.path, friction, self.buckle, self.tightening)?;
        let straps = f64::from(self.straps);
        let with_shares = || self.path.contacts.iter().zip(&shares);
        let bark: f64 = with_shares()
            .filter(|(c, _)| c.touch == Touch::Bark)
            .map(|(c, share)| self.webbing_friction * share * c.turn.rad())
            .sum();
        let one = Force::newtons(straps);
        (0..self.seats.len())
            .map(|seat| {
                let turn = self.path.seat_turn(seat);
                if self.path.idle_seats.contains(&seat) || turn.rad() <= 0.0 {
                    return Err(WindowError::SeatIdle { seat });
                }
                let share = with_shares()
                    .filter(|(c, _)| c.touch == Touch::Corner { seat })
                    .fold(1.0, |least: f64, (_, share)| least.min(*share));
                let fresh = seat_force(one, turn).get();
                Ok(PerNewton {
                    seat: fresh * share * self.kept,
                    seat_fresh: fresh,
                    bark_friction: straps * bark * self.kept / self.seats.len() as f64,
                })
            })
            .collect()
    }

    /// The least tension as pulled, for every seat and every need.
    ///
    /// # Errors
    /// As [`HoldInput::per_newton`].
    pub(crate) fn least_tensions(&self) -> Result<Vec<(usize, Need, Force)>, WindowError> {
        let mut all = Vec::new();
        for (seat, per) in self.per_newton()?.into_iter().enumerate() {
            for (tension, need) in self.needs(&self.seats[seat], per)? {
                all.push((seat, need, Force::newtons(finite("the least tension", tension)?)));
            }
        }
        Ok(all)
    }

    /// The window of tension as pulled.
    ///
    /// # Errors
    /// As [`HoldInput::per_newton`].
    pub(crate) fn window(&self) -> Result<Window, WindowError> {
        let mut least = (0.0, Need::SlidesAside, 0);
        let mut most = (self.working_load.get(), Cap::WorkingLoad);
        let mut cap = |tension: f64, what: Cap| {
            if tension < most.0 {
                most = (tension, what);
            }
        };
        for (seat, need, tension) in self.least_tensions()? {
            if tension.get() > least.0 {
                least = (tension.get(), need, seat);
            }
        }
        for (load, per) in self.seats.iter().zip(self.per_newton()?) {
            for (tension, what) in self.caps(load, per)? {
                cap(tension, what);
            }
        }
        cap(self.passage.get(), Cap::Passage);
        let on_bark = self.path.contacts.iter().filter(|c| c.touch == Touch::Bark);
        for contact in on_bark {
            let one = strap_pressure(Force::newtons(1.0), contact.least_radius, self.strap_width)?;
            cap(self.bark_limit / one, Cap::BarkUnderStrap);
        }
        Ok(Window {
            least: Force::newtons(least.0),
            need: least.1,
            need_seat: least.2,
            most: Force::newtons(most.0),
            cap: most.1,
        })
    }

    /// Least tensions that one seat asks for.
    fn needs(&self, load: &SeatLoad, per: PerNewton) -> Result<[(f64, Need); 4], OutOfRange> {
        let friction = self.pad_friction * per.seat + per.bark_friction;
        let (weight, front) = (load.weight.get(), load.front.get());
        let side = load.side.get() * self.side_lever(load);
        let aside = self.safety * libm::hypot(weight, side) / friction;
        let down = self.safety * (weight + front + self.pad_friction * front) / friction;
        let peels = peel(&self.peel_input(load))?.needed().get() / per.seat;
        let (_, down_spread) = spreads(load.spread);
        let stress = self.pad_modulus.get() * (self.strain_min + down_spread) / KPA_PER_MPA;
        let loose = stress * load.pad_area.get() / per.seat;
        Ok([
            (aside, Need::SlidesAside),
            (down, Need::SlidesDown),
            (peels, Need::Peels),
            (loose, Need::PadLoose),
        ])
    }

    /// Most tensions that one seat allows; zero when its limit is used up without the strap.
    fn caps(&self, load: &SeatLoad, per: PerNewton) -> Result<[(f64, Cap); 2], OutOfRange> {
        let (up_spread, _) = spreads(load.spread);
        let modulus = self.pad_modulus.get();
        let area = load.pad_area.get() / KPA_PER_MPA;
        let moment = peel(&self.peel_input(load))?.moment.get() * 1000.0;
        let levered = 6.0 * moment / load.pad_height.get();
        let bark = (self.bark_limit.get() - modulus * up_spread) * area - levered;
        let crushed = (self.strain_max - up_spread) * modulus * area;
        let tension = |force: f64| (force / per.seat_fresh).max(0.0);
        Ok([(tension(bark), Cap::BarkUnderPad), (tension(crushed), Cap::PadCrushed)])
    }

    pub(super) fn side_lever(&self, load: &SeatLoad) -> f64 {
        1.0 + load.reach / load.trunk_radius
    }

    pub(super) fn peel_input<'b>(&self, load: &'b SeatLoad) -> PeelInput<'b> {
        PeelInput {
            weight: load.weight,
            wind: load.front,
            reach: load.reach,
            rise: load.rise,
            pad_height: load.pad_height,
            strap_heights: &load.strap_heights,
            safety: self.safety,
        }
    }

    /// Largest pressure on bark under a seat's pad, gust and moment of pulling included.
    ///
    /// # Errors
    /// As [`HoldInput::per_newton`], or an unknown seat.
    pub(crate) fn pad_pressure(
        &self,
        seat: usize,
        tension: Force,
    ) -> Result<Pressure, WindowError> {
        let per = self.per_newton()?;
        let (Some(per), Some(load)) = (per.get(seat), self.seats.get(seat)) else {
            return Err(WindowError::Mismatch { loads: self.seats.len(), seats: seat + 1 });
        };
        let moment = peel(&self.peel_input(load))?.moment.get() * 1000.0;
        let force = per.seat_fresh * not_negative("the tension", tension.get())?
            + 6.0 * moment / load.pad_height.get();
        let stress = force / load.pad_area.get() * KPA_PER_MPA;
        let (up, _) = spreads(load.spread);
        Ok(Pressure::kpa(finite("the pad's pressure", stress + self.pad_modulus.get() * up)?))
    }

    /// Largest pressure of the strap on bare bark; zero when it touches none.
    ///
    /// # Errors
    /// As [`strap_pressure`].
    pub(crate) fn bare_pressure(&self, tension: Force) -> Result<Pressure, OutOfRange> {
        let on_bark = self.path.contacts.iter().filter(|c| c.touch == Touch::Bark);
        on_bark.into_iter().try_fold(Pressure::ZERO, |most, contact| {
            Ok(most.max(strap_pressure(tension, contact.least_radius, self.strap_width)?))
        })
    }

    fn check(&self) -> Result<(), WindowError> {
        let seats = self.path.contacts.iter().filter_map(|c| match c.touch {
            Touch::Corner { seat } => Some(seat + 1),
            Touch::Bark => None,
        });
        let seats = seats.chain(self.path.idle_seats.iter().map(|s| s + 1)).max().unwrap_or(0);
        if seats != self.seats.len() || seats == 0 {
            return Err(WindowError::Mismatch { loads: self.seats.len(), seats });
        }
        positive("the number of straps", f64::from(self.straps))?;
        positive("the strap's width", self.strap_width.get())?;
        positive("the share of tension kept", self.kept)?;
        positive("the working load", self.working_load.get())?;
        not_negative("the passage's tension", self.passage.get())?;
        positive("the pad's friction", self.pad_friction)?;
        not_negative("the webbing's friction", self.webbing_friction)?;
        positive("the pad's modulus", self.pad_modulus.get())?;
        not_negative("the pad's least strain", self.strain_min)?;
        positive("the pad's largest strain", self.strain_max)?;
        positive("the pressure that bark bears", self.bark_limit.get())?;
        positive("the safety factor", self.safety)?;
        for load in &self.seats {
            not_negative("the weight", load.weight.get())?;
            not_negative("the front gust", load.front.get())?;
            not_negative("the side gust", load.side.get())?;
            not_negative("the reach", load.reach.get())?;
            positive("the trunk's radius", load.trunk_radius.get())?;
            positive("the pad's area", load.pad_area.get())?;
            positive("the pad's height", load.pad_height.get())?;
            finite("the spread of the pad's strain", load.spread)?;
        }
        Ok(())
    }
}

/// How far the hardest place lies above the mean strain, and the loosest below it.
fn spreads(spread: f64) -> (f64, f64) {
    let (edge, middle) = (2.0 / 3.0 * spread, -spread / 3.0);
    (edge.max(middle), -edge.min(middle))
}
