//! How long it takes to change a pack: open the lid, swap, look, close.
//!
//! Time = 2 n (reach + turns x time of a turn) + pack + look; turns = length of thread in the insert over
//! the pitch. Seconds. The times of a hand are common practice, no source: cold evening, gloves, on a
//! ladder. Not covered: the way to the tree, and putting up the ladder.

use super::account::Line;
use super::seal::Closing;
use crate::units::{Hours, Length, trimmed};

/// To the next fastener, and finding it with the key.
const REACH: f64 = 2.0;
/// A turn of a knob with three fingers; of a key, which is taken off and put on again.
const TURN: [f64; 2] = [0.6, 1.0];
/// The empty pack out, the full one in.
const PACK: f64 = 20.0;
/// A look at gasket, cables and the lamps.
const LOOK: f64 = 15.0;
const SECONDS_AN_HOUR: f64 = 3600.0;

/// A lid that is opened to change a pack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Swap {
    /// How it is closed.
    pub closing: Closing,
    /// By how many fasteners.
    pub fasteners: u32,
    /// Thread of a fastener that is in its insert.
    pub engaged: Length,
    /// Its pitch.
    pub pitch: Length,
}

impl Swap {
    fn turn(&self) -> f64 {
        match self.closing {
            Closing::Knobs => TURN[0],
            Closing::Screws => TURN[1],
        }
    }

    fn turns(&self) -> f64 {
        (self.engaged / self.pitch).ceil()
    }

    /// Time for one pack.
    pub(crate) fn time(&self) -> Hours {
        let fastener = REACH + self.turns() * self.turn();
        Hours::hours((2.0 * f64::from(self.fasteners) * fastener + PACK + LOOK) / SECONDS_AN_HOUR)
    }

    /// The time, and how it adds up over a season with so many swaps.
    pub(crate) fn lines(&self, swaps: u32) -> Vec<Line> {
        let seconds = |s: f64| format!("{} s", trimmed(s, 1));
        let one = self.time();
        let hands = "times of a hand from common practice, no source";
        let each = Line::new("time to change a pack", "2 n (r + z t) + p + l", minutes(one), hands)
            .input("n", self.fasteners)
            .input("r", seconds(REACH))
            .input("z", format!("{} turns", trimmed(self.turns(), 0)))
            .input("t", seconds(self.turn()))
            .input("p", seconds(PACK))
            .input("l", seconds(LOOK));
        let season = Hours::hours(one.get() * f64::from(swaps));
        let all = Line::new("changing packs in the season", "s m", minutes(season), hands)
            .input("s", minutes(one))
            .input("m", swaps);
        vec![each, all]
    }
}

/// `1 min 47 s`, and from an hour on `2 h 05 min`.
pub(crate) fn minutes(time: Hours) -> String {
    let seconds = (time.get() * SECONDS_AN_HOUR).round();
    let minutes = (seconds / 60.0).floor();
    if minutes < 60.0 {
        format!("{minutes:.0} min {:02.0} s", seconds - 60.0 * minutes)
    } else {
        format!("{:.0} h {:02.0} min", (minutes / 60.0).floor(), minutes % 60.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_knobs_are_changed_in_a_fifth_of_the_time_of_many_screws() {
        let lid = |closing, fasteners| Swap {
            closing,
            fasteners,
            engaged: Length::mm(8.0),
            pitch: Length::mm(0.7),
        };
        // 2 x 4 (2 + 12 x 0.6) + 35; 2 x 20 (2 + 12 x 1) + 35.
        assert_eq!(minutes(lid(Closing::Knobs, 4).time()), "1 min 49 s");
        assert_eq!(minutes(lid(Closing::Screws, 20).time()), "9 min 55 s");
        let told = lid(Closing::Knobs, 4).lines(40);
        assert_eq!(told[1].result, "1 h 12 min");
    }
}
