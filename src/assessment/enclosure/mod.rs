//! The box: its contents, its weight and the wind on it.

pub(super) mod contents_collide;
pub(super) mod glands_collide;
pub(super) mod holes_off_plate;
pub(super) mod pack_cannot_slide;
pub(super) mod posts_collide;
pub(super) mod rail_screws_blocked;
pub(super) mod roof_bridges_far;
pub(super) mod wall_not_whole_lines;

use super::calculations::{Section, Unavailable};
use super::prints::Prints;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, HAND};
use crate::engineering::account::{Line, Side};
use crate::engineering::strength::beam::{cantilever_stress, megapascals};
use crate::engineering::strength::{Direction, Duration, Print};
use crate::engineering::wind::{Cuboid, WindLoad, weight, wind_on};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{Job, enumerated};
use crate::standards::wind::BluffBody;
use crate::units::{Angle, Length, Mass};

/// The pack's stand under a hand; none for a pack that lies.
pub(crate) fn stand(enclosure: &Enclosure, print: &Print) -> Option<Section> {
    let battery = &enclosure.battery;
    let block = battery.stand.as_ref()?;
    let [thickness, width, _] = [0, 1, 2].map(|axis| block.high[axis] - block.low[axis]);
    let arm = battery.body.high[2] - block.low[2];
    let mut section = Section::new("stand of the pack");
    let stress = cantilever_stress(HAND, arm, width, thickness).map_err(|e| e.to_string());
    let limit = print.limit(Direction::AcrossLayers, Duration::Gust).map_err(|e| e.to_string());
    section.take(stress.and_then(|stress| Ok((stress, limit?))).map(|(stress, limit)| {
        vec![
            Line::new(
                "a hand on the pack's outer end",
                "6 F l / (b t^2)",
                megapascals(stress),
                "bending of a cantilever; the hand by common practice, no source",
            )
            .input("F", HAND)
            .input("l", arm)
            .input("b", width)
            .input("t", thickness)
            .against(Side::AtMost, stress.get(), limit.get(), megapascals(limit)),
        ]
    }));
    Some(section)
}

/// Distances may fall short of their limits by this: what the plan's sums round.
const ROUNDING: Length = Length::mm(1e-6);

/// The distances of one thing that are too small, of each neighbour the smallest: one finding lists them.
#[derive(Default)]
pub(super) struct TooClose(Vec<(String, Length, Length)>);

impl TooClose {
    /// Compares a distance with its limit; an overlap is a negative distance.
    pub(super) fn compare(&mut self, neighbour: &str, distance: Length, limit: Length) {
        if distance >= limit - ROUNDING {
            return;
        }
        match self.0.iter_mut().find(|known| known.0 == neighbour) {
            Some(known) => known.1 = known.1.min(distance),
            None => self.0.push((neighbour.to_owned(), distance, limit)),
        }
    }

    /// The error about all of them; `None` when every distance suffices.
    pub(super) fn finding(&self, rule: &Rule, thing: &str) -> Option<Finding> {
        let worst = |k: &&(String, Length, Length)| (k.2 - k.1).get();
        let (_, distance, limit) = self.0.iter().max_by(|a, b| worst(a).total_cmp(&worst(b)))?;
        let neighbours = self.0.iter().map(|(neighbour, distance, limit)| {
            if *distance < Length::ZERO {
                format!("{neighbour} (they overlap by {})", distance.abs())
            } else {
                format!("{neighbour} ({distance} apart, {limit} needed)")
            }
        });
        let message = format!("{thing} is too close to {}", enumerated(neighbours));
        let finding = Finding::new(rule.code, Severity::Error, message)
            .measured(distance, format!("at least {limit}"))
            .part(PartId::BoxBody);
        Some(finding)
    }
}

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
