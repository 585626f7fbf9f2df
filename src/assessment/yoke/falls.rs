//! Falls onto the lanyards of lamps and boxes, and ice on a lamp: their sums.

use crate::assessment::calculations::{Section, Shared};
use crate::assessment::prints::Prints;
use crate::design::{PartId, Plan};
use crate::engineering::account::{Line, Side};
use crate::engineering::fall::{Fall, fall, glaze};
use crate::engineering::guard::OutOfRange;
use crate::engineering::strength::{Direction, Duration};
use crate::engineering::wind::weight;
use crate::params::Job;
use crate::units::{Length, Mass, Pressure};

/// Shear strength over tensile strength (von Mises).
const SHEAR: f64 = 0.577;

/// What hangs on a lanyard, and its mass; a box only where its prints were weighed.
pub(super) fn hung(job: &Job, plan: Option<&Plan>, prints: &Prints) -> Vec<(&'static str, Mass)> {
    let mut all = vec![("lamp", job.fixture.mass)];
    if let Some(enclosure) = plan.and_then(|plan| plan.enclosure.as_ref()) {
        let parts = [PartId::BoxBody, PartId::BoxLid].map(|part| prints.known_mass(&part).ok());
        if let [Some(body), Some(lid)] = parts {
            all.push(("box", enclosure.contents + body + lid));
        }
    }
    all
}

/// The fall of this mass onto the job's lanyard.
pub(super) fn of(job: &Job, mass: Mass) -> Result<Fall, OutOfRange> {
    fall(weight(mass), job.lanyard.slack, job.lanyard.stiffness)
}

/// The account of falls and ice.
pub(crate) fn section(shared: &Shared<'_>) -> Section {
    let job = shared.job;
    let mut section = Section::new("lanyards and ice");
    for (what, mass) in hung(job, Some(shared.plan), &shared.prints) {
        section.take(of(job, mass).map(|found| vec![line(job, what, found)]));
        if what == "box"
            && let (Some(enclosure), Ok(found)) = (&shared.plan.enclosure, of(job, mass))
        {
            let rim = &enclosure.flange.rim;
            let upper = rim.centre[1] + rim.half[1];
            let eye = &enclosure.lanyard;
            let round = (upper - eye.at[1]).get().abs() - eye.diameter.get() / 2.0;
            // The lid may be off: the flange alone, as thick as its upright face.
            let area = 2.0 * round * enclosure.flange.face.get();
            let limit = shared.print.limit(Direction::InLayer, Duration::Gust);
            section.take(limit.map(|limit| {
                let limit = limit * SHEAR;
                let stress = Pressure::kpa(found.peak.get() / area * 1e3);
                let shown = |p: Pressure| format!("{:.1} MPa", p.get() / 1e3);
                vec![
                    Line::new(
                        "eye of the box in that fall, the lid off",
                        "F/(2 e t)",
                        shown(stress),
                        "shear of the two ligaments; 0.577 of the tensile limit (von Mises); the slope below the \
                         flange's face not counted",
                    )
                    .input("F", format!("{:.0}", found.peak))
                    .input("e", Length::mm(round))
                    .input("t", enclosure.flange.face)
                    .against(Side::AtMost, stress.get(), limit.get(), shown(limit)),
                ]
            }));
        }
    }
    if let Some(ice) = job.site.ice {
        let lamp = &job.fixture;
        let mass = glaze([lamp.width, lamp.height, lamp.depth], ice);
        section.lines.push(
            Line::new(
                "ice on a lamp",
                "900 kg/m3 ((w + 2 t)(h + 2 t)(d + 2 t) - w h d)",
                mass,
                "ISO 12494, glaze; not counted by the other sums: write fixture.mass with it to hold for it",
            )
            .input("t", ice)
            .input("lamp", lamp.mass),
        );
    }
    section
}

fn line(job: &Job, what: &str, found: Fall) -> Line {
    let line = Line::new(
        format!("jerk of a {what} that falls onto its lanyard"),
        "W (1 + sqrt(1 + 2 h/d)), d = W/k",
        format!("{:.0}", found.peak),
        "energy balance of a weight on a spring without damping",
    )
    .input("W", found.weight)
    .input("h", job.lanyard.slack)
    .input("k", format!("{} N/mm", job.lanyard.stiffness))
    .input("d", found.stretch)
    .input("times the weight", format!("{:.1}", found.times));
    match job.lanyard.working_load {
        Some(most) => {
            line.against(Side::AtMost, found.peak.get(), most.get(), format!("{most:.0}"))
        }
        None => line,
    }
}
