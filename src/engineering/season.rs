//! A pull over a season: what is left of it day by day, and when somebody must look.
//!
//! [`super::springs`] says what is left after some hours, [`super::pull`] what must be left and what
//! must not be exceeded. A visit falls due when what is left leaves that range: below, the strap is
//! tightened again; above, where growth has stretched it, it is slackened; both to the pull first
//! aimed at. Pads keep their age: what has settled does not settle again, so that the second visit
//! lets more time pass than the first. Webbing creeps anew after each visit, which is on the safe
//! side. The tree grows evenly over the season; warmth and cold make a band about the pull.
//!
//! Method: steps in equal ratios of time from a quarter of an hour, the leaving bisected to a minute.

use super::foam::Age;
use super::guard::OutOfRange;
use super::pull::{Seated, Window};
use super::springs::Since;
use crate::units::{Force, Hours, Length};

/// What a season brings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Season {
    /// From mounting to taking down.
    pub end: Hours,
    /// Growth of the girth until then.
    pub growth: Length,
    /// Kelvins colder and warmer than at mounting.
    pub weather: [f64; 2],
}

/// The pull at one time.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Point {
    /// Since mounting.
    pub hours: Hours,
    /// What is left in the strap, wet.
    pub left: Force,
    /// The same in the coldest and the warmest weather.
    pub band: [Force; 2],
    /// What must be left then.
    pub needed: Force,
}

/// What to do at a visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Do {
    /// Pull again.
    Tighten,
    /// Let out.
    Slacken,
}

/// A visit that falls due.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Visit {
    /// Since mounting.
    pub due: Hours,
    /// What to do.
    pub what: Do,
}

/// Times worth naming: an hour, a day, a week, a month.
pub(crate) const TIMES: [Hours; 4] =
    [Hours::hours(1.0), Hours::hours(24.0), Hours::hours(168.0), Hours::hours(730.0)];
/// Times in equal ratios from a quarter of an hour to the end of a season.
pub(crate) fn times(season: &Season) -> Vec<Hours> {
    let whole = libm::log(season.end.get().max(2.0 * FIRST) / FIRST);
    let at = |n: u32| FIRST * libm::exp(whole * f64::from(n) / f64::from(POINTS));
    (0..=POINTS).map(|n| Hours::hours(at(n))).collect()
}

/// Pieces of the curve of a season: as fine as a picture shows.
const POINTS: u32 = 40;
/// A strap that must be looked at more often in one season is the wrong strap.
const MOST_VISITS: usize = 12;
/// First step, an ordinary look back after mounting; each is longer by this ratio.
const FIRST: f64 = 0.25;
const RATIO: f64 = 1.25;
/// A minute.
const CLOSE: f64 = 1.0 / 60.0;

/// A ring of straps that was pulled at some time of the season.
#[derive(Debug, Clone, Copy)]
struct Pulled<'a> {
    seated: &'a Seated<'a>,
    season: &'a Season,
    aim: Force,
    at: f64,
    settled: Age,
}

impl Pulled<'_> {
    /// What is left at a time of the season, and the foam's age then.
    fn left(&self, hours: f64, warmer: f64) -> Result<(Force, Age), OutOfRange> {
        let growth = self.season.growth * ((hours - self.at) / self.season.end.get());
        let since = Since { hours: Hours::hours(hours - self.at), growth, wet: true, warmer };
        let springs = self.seated.springs();
        let age = springs.age(&Since { hours: Hours::hours(hours), ..since });
        Ok((springs.left(self.aim, self.settled, age, &since)?.0, age))
    }

    /// Below what must be left, above what may be, or in between.
    fn leaves(&self, hours: f64, most: Force) -> Result<Option<Do>, OutOfRange> {
        let (left, age) = self.left(hours, 0.0)?;
        Ok(if left < self.seated.needed(age).0 {
            Some(Do::Tighten)
        } else {
            (left > most).then_some(Do::Slacken)
        })
    }

    /// The first time after the pull when something must be done, and what.
    fn due(&self, most: Force) -> Result<Option<Visit>, OutOfRange> {
        let end = self.season.end.get();
        let (mut inside, mut step) = (self.at, FIRST);
        while inside < end {
            let mut outside = (self.at + step).min(end);
            if let Some(mut what) = self.leaves(outside, most)? {
                while outside - inside > CLOSE {
                    let middle = 0.5 * (inside + outside);
                    match self.leaves(middle, most)? {
                        Some(then) => (outside, what) = (middle, then),
                        None => inside = middle,
                    }
                }
                return Ok(Some(Visit { due: Hours::hours(outside), what }));
            }
            inside = outside;
            step *= RATIO;
        }
        Ok(None)
    }
}

/// The pull at some times after mounting when nobody looks, new pads pulled to `aim`.
///
/// # Errors
/// A negative pull.
pub(crate) fn curve(
    seated: &Seated<'_>,
    aim: Force,
    season: &Season,
    times: &[Hours],
) -> Result<Vec<Point>, OutOfRange> {
    let pulled = Pulled { seated, season, aim, at: 0.0, settled: Age::FRESH };
    times
        .iter()
        .map(|hours| {
            let (left, age) = pulled.left(hours.get(), 0.0)?;
            let [cold, warm] = season.weather;
            let band = [pulled.left(hours.get(), cold)?.0, pulled.left(hours.get(), warm)?.0];
            Ok(Point { hours: *hours, left, band, needed: seated.needed(age).0 })
        })
        .collect()
}

/// The visits of a season: when the pull leaves its window, and what to do then. It ends early where
/// a strap must be looked at too often to be worth it.
///
/// # Errors
/// A negative pull.
pub(crate) fn visits(
    seated: &Seated<'_>,
    window: &Window,
    aim: Force,
    season: &Season,
) -> Result<Vec<Visit>, OutOfRange> {
    let mut pulled = Pulled { seated, season, aim, at: 0.0, settled: Age::FRESH };
    let mut visits = Vec::new();
    while visits.len() < MOST_VISITS {
        let Some(visit) = pulled.due(window.most)? else { break };
        if visit.due >= season.end {
            break;
        }
        visits.push(visit);
        pulled.at = visit.due.get();
        pulled.settled = seated.springs().age(&Since::only(visit.due));
    }
    Ok(visits)
}

#[cfg(test)]
mod tests {
    use super::super::pull::tests::{conditions, print};
    use super::super::pull::{Conditions, judge};
    use super::super::seat::Pad;
    use super::super::springs::Webbing;
    use super::*;
    use std::f64::consts::TAU;

    const GIRTH: Length = Length::mm(880.0);

    fn season(growth: f64) -> Season {
        Season {
            end: Hours::hours(90.0 * 24.0),
            growth: Length::mm(growth),
            weather: [-15.0, 10.0],
        }
    }

    fn with(conditions: &Conditions, test: impl Fn(&Seated<'_>, &Window, Force)) {
        let print = print(146.5, 45.0, 110.0);
        let seated = Seated::new(&print, conditions, GIRTH / TAU).unwrap();
        let window = judge(&print, conditions, GIRTH).unwrap();
        let aim = window.aim().expect("an open window");
        test(&seated, &window, aim);
    }

    #[test]
    fn a_pull_that_must_last_a_week_lasts_a_week() {
        with(&conditions(), |seated, window, aim| {
            let visits = visits(seated, window, aim, &season(0.0)).unwrap();
            assert!(visits.first().is_none_or(|v| v.due.get() >= 168.0), "{visits:?}");
            assert!(visits.iter().all(|v| v.what == Do::Tighten));
            // Each stretch is longer than the one before: what has settled does not settle again.
            let times: Vec<f64> = visits.iter().map(|v| v.due.get()).collect();
            assert!(times.windows(3).all(|w| w[2] - w[1] >= w[1] - w[0]), "{times:?}");
        });
    }

    #[test]
    fn the_pull_falls_with_time_and_the_weather_makes_a_band() {
        with(&conditions(), |seated, _, aim| {
            let points = curve(seated, aim, &season(0.0), &TIMES).unwrap();
            assert!(points.windows(2).all(|w| w[1].left < w[0].left));
            assert!(points.iter().all(|p| p.band[0] <= p.left && p.left <= p.band[1]));
            // While there is gas, cold takes more than nothing.
            assert!(points[0].left - points[0].band[0] > Force::newtons(0.5));
        });
    }

    #[test]
    fn growth_asks_for_slackening_and_webbing_that_creeps_for_pulling() {
        with(&conditions(), |seated, window, aim| {
            let visits = visits(seated, window, aim, &season(25.0)).unwrap();
            assert!(visits.iter().any(|v| v.what == Do::Slacken), "{visits:?}");
        });
        // Polypropylene loses half in a day: pulled as hard, it must be looked at sooner.
        let poor = conditions();
        let webbing = Webbing { kept: 0.5, ..poor.straps.webbing };
        let poor =
            Conditions { straps: super::super::pull::Straps { webbing, ..poor.straps }, ..poor };
        let first = |conditions: &Conditions| {
            let print = print(146.5, 45.0, 110.0);
            let seated = Seated::new(&print, conditions, GIRTH / TAU).unwrap();
            let (most, _) = seated.most();
            let aim = Force::newtons(100.0);
            let window = Window { most, ..seated.window().unwrap() };
            let visits = visits(&seated, &window, aim, &season(0.0)).unwrap();
            visits.first().map_or(f64::INFINITY, |v| v.due.get())
        };
        assert!(first(&poor) < first(&conditions()));
    }

    #[test]
    fn thinner_foam_settles_less() {
        // The same pull on pads of 5 and 15 mm: the thin one leaves more in the strap.
        let left = |thickness: f64| {
            let base = conditions();
            let pad = Pad { thickness: Length::mm(thickness), ..base.pad };
            let conditions = Conditions { pad, ..base };
            let print = print(140.0 + 0.7 * thickness, 45.0, 110.0);
            let seated = Seated::new(&print, &conditions, Length::mm(140.0)).unwrap();
            let aim = Force::newtons(180.0);
            curve(&seated, aim, &season(0.0), &TIMES).unwrap()[2].left
        };
        assert!(left(5.0) > left(15.0) + Force::newtons(5.0));
    }
}
