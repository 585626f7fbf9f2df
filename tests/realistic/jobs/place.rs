//! The site: how many trees of which age, which season, which tape, which wind.

use super::dice::{Dice, Table, Tape, plain};

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// A private garden or orchard: few trees, fruit trees among them.
    Garden,
    /// A park, a river path, a churchyard.
    Park,
    /// A street planted at one time.
    Street,
    /// One or two old trees in a yard.
    Specimen,
}

#[derive(Clone, Copy, PartialEq)]
enum Season {
    /// Garden evenings and festivals.
    Summer,
    /// Winter lights.
    Winter,
}

pub(super) struct Place {
    pub(super) kind: Kind,
    pub(super) tape: Tape,
    season: Season,
    /// Programme of the evening, level and hours; `None` when nothing is written.
    pub(super) show: Option<Vec<(f64, f64)>>,
    /// Evenings between battery swaps; `None` when nothing is written, for each evening.
    pub(super) nights: Option<u32>,
    /// Height of the cradles above ground; `None` when nothing is written.
    pub(super) height: Option<f64>,
}

impl Place {
    pub(super) fn draw(dice: &mut Dice) -> Self {
        use Kind::{Garden, Park, Specimen, Street};
        let kind = dice.weighted(&[(35, Garden), (35, Park), (20, Street), (10, Specimen)]);
        let tape = dice.weighted(&[
            (40, Tape::Metres),
            (25, Tape::Centimetres),
            (22, Tape::Millimetres),
            (13, Tape::Inches),
        ]);
        let season = dice.weighted(&[(55, Season::Summer), (45, Season::Winter)]);
        let show = dice.chance(65).then(|| programme(dice));
        let nights = dice.chance(7).then(|| dice.count(2, 3));
        // Most hang the lamp where they took the girth; some out of the reach of hands, some below a
        // low fork.
        let height = dice.chance(30).then(|| 1000.0 + dice.between(0.0, 1500.0, 100.0));
        Self { kind, tape, season, show, nights, height }
    }

    /// Watt-hours from swap to swap for each watt of lamps.
    pub(super) fn hours_at_full(&self) -> f64 {
        // What the job file takes when no programme is written.
        const UNWRITTEN: f64 = 4.0;
        let evening: f64 =
            self.show.as_ref().map_or(UNWRITTEN, |parts| parts.iter().map(|(l, h)| l * h).sum());
        evening * f64::from(self.nights.unwrap_or(1))
    }

    pub(super) fn write_job(&self, dice: &mut Dice, index: usize, job: &mut String) {
        let name = match self.kind {
            Kind::Garden => "Garden evening",
            Kind::Park => "Park lights",
            Kind::Street => "Street lights",
            Kind::Specimen => "The old tree",
        };
        let mut table = Table::new("[job]");
        table.put_text("name", format!("{name} {index}"));
        if dice.chance(60) {
            let (install, down) = match self.season {
                Season::Summer => ("2027-05-28", dice.pick(&["2027-06-14", "2027-08-30"])),
                Season::Winter => ("2027-11-26", dice.pick(&["2028-01-09", "2028-02-20"])),
            };
            table.put("install", install);
            table.put("take-down", down);
        }
        if dice.chance(30) {
            // From a slow old oak to a willow by the water; the default is 10 mm.
            table.put("growth", plain(dice.between(6.0, 22.0, 2.0)));
        }
        if dice.chance(20) {
            table.put("years", dice.weighted(&[(60, 2), (30, 3), (10, 5)]));
        }
        if dice.chance(8) {
            table.put("girth-tolerance", dice.pick(&[2, 5, 10]));
        }
        table.finish(job);
    }

    pub(super) fn write_site(&self, dice: &mut Dice, job: &mut String) {
        let mut site = Table::new("[site]");
        if dice.chance(50) {
            // Upper ends of Beaufort 5, 6 and 7 (10.7, 13.8, 17.1 m/s) are means; in gusts about half as
            // much again. Who writes a gust takes down before worse.
            match self.tape {
                Tape::Inches => {
                    site.put_text("gust", dice.pick(&["30 mph", "40 mph", "45 mph", "50 mph"]))
                }
                _ => match self.season {
                    Season::Summer => site.put("gust", dice.pick(&[12, 14, 15, 16, 18, 20])),
                    Season::Winter => site.put("gust", dice.pick(&[16, 18, 20, 22, 24, 25])),
                },
            }
        }
        if dice.chance(50) {
            // Evenings and afternoons of a temperate climate.
            let (cold, warm) = match self.season {
                Season::Summer => (dice.between(6.0, 14.0, 1.0), dice.between(26.0, 34.0, 1.0)),
                Season::Winter => (dice.between(-8.0, 3.0, 1.0), dice.between(8.0, 16.0, 1.0)),
            };
            site.put_text("cold", format!("{cold} C"));
            site.put_text("warm", format!("{warm} C"));
        }
        site.finish(job);
        if dice.chance(12) {
            let mut glare = Table::new("[[glare]]");
            glare.put_text("name", "window opposite");
            glare.put_text("distance", format!("{} m", dice.between(12.0, 50.0, 1.0)));
            // Ground floor to second floor.
            glare.put_text("height", format!("{} m", plain(dice.between(1.5, 7.5, 0.5))));
            glare.finish(job);
        }
    }
}

/// From dusk to closing; often dimmed after the first hours.
fn programme(dice: &mut Dice) -> Vec<(f64, f64)> {
    let first = (dice.pick(&[1.0, 1.0, 1.0, 0.8, 0.7, 0.6, 0.5]), dice.between(1.5, 5.0, 0.5));
    if dice.chance(55) {
        return vec![first];
    }
    vec![first, (dice.pick(&[0.5, 0.4, 0.3, 0.2]), dice.between(1.0, 3.0, 0.5))]
}
