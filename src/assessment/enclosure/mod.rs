//! The box: its contents, its weight and the wind on it.

pub(super) mod contents_collide;
pub(super) mod glands_collide;
pub(super) mod holes_off_plate;
pub(super) mod posts_collide;
pub(super) mod rail_screws_blocked;
pub(super) mod roof_bridges_far;
pub(super) mod wall_not_whole_lines;

use super::calculations::Unavailable;
use super::prints::Prints;
use crate::design::PartId;
use crate::design::enclosure::Enclosure;
use crate::engineering::account::Line;
use crate::engineering::wind::{Cuboid, WindLoad, weight, wind_on};
use crate::params::Job;
use crate::standards::wind::BluffBody;
use crate::units::{Angle, Mass};

/// What the box does to its rails.
pub(crate) struct BoxLoad {
    mass: Mass,
    wind: WindLoad,
}

impl BoxLoad {
    pub(crate) fn of(
        job: &Job,
        enclosure: &Enclosure,
        prints: &Prints,
    ) -> Result<Self, Unavailable> {
        let mut mass = enclosure.contents;
        for part in [PartId::BoxBody, PartId::BoxLid] {
            mass += prints.known_mass(&part)?;
        }
        let [width, height] = enclosure.footprint();
        let body = Cuboid { width, height, depth: enclosure.overall_depth() };
        let still = [Angle::ZERO, Angle::ZERO];
        let wind = wind_on(body, still, job.site.gust, BluffBody::Signboard)
            .map_err(Unavailable::failed)?;
        Ok(Self { mass, wind })
    }

    /// Weight and wind of the box.
    pub(crate) fn lines(&self) -> Vec<Line> {
        vec![
            Line::new("weight of the filled box", "m g", weight(self.mass), "statics")
                .input("m", self.mass),
            Line::new(
                "wind on the box",
                "c_f q A",
                self.wind.front,
                "EN 1991-1-4, 5.3 and 7.4.3 (signboard)",
            )
            .input("c_f", self.wind.coefficient)
            .input("q", self.wind.pressure)
            .input("A", format!("{:.0}", self.wind.area)),
        ]
    }
}
