//! Boxes that get too warm for their cells or their plastic.

use crate::assessment::Subject;
use crate::engineering::guard::OutOfRange;
use crate::engineering::heat::{
    ABSORPTIVITY_DARK, ABSORPTIVITY_LIGHT, BoxTemperatures, CELLS_COMFORT, Enclosure, STRONG_SUN,
    State, sun,
};
use crate::finding::{Finding, Rule, Severity};
use crate::params::Job;
use crate::standards::battery::DISCHARGING;
use crate::standards::polymer::polymer;
use crate::units::{Power, Temperature};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "box-too-warm",
    title: "cells and box stay cool enough, lit in the evening and sunlit in the afternoon",
    why: "hot cells age and may vent; a soft box lets go of its gasket",
    formula: "Q = A (h_c dT + eps sigma (T^4 - T_air^4)) outside and inside, h_c = 1.42 (dT/L)^0.25; \
              sun: absorptivity x 1000 W/m2 x lid",
    source: "natural convection on an upright face (Holman, Heat Transfer); cell makers' sheets; \
             glass transitions from the polymer table",
    cure: "light-coloured plastic, shade, a larger box, or a polymer that softens later",
};

/// Below the glass transition by this much a wall under gasket load keeps its shape (from memory).
const BELOW_GLASS: f64 = 10.0;

/// Evening (lamps lit, no sun) and afternoon (dark, sun on the lid) of a box, both at `site.warm`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BoxDay {
    /// Heat and air of the evening, and what comes of it.
    pub(crate) evening: (State, BoxTemperatures),
    /// The same for the afternoon.
    pub(crate) afternoon: (State, BoxTemperatures),
}

/// The day of a job's box of this outer size, its controller passing on `lamps`, its pack losing
/// `pack_loss`.
///
/// # Errors
/// [`OutOfRange`] as [`Enclosure::temperatures`].
pub(crate) fn day(
    job: &Job,
    shell: &Enclosure,
    lamps: Power,
    pack_loss: Power,
) -> Result<BoxDay, OutOfRange> {
    let (standby, efficiency) =
        job.controller.as_ref().map_or((Power::ZERO, 1.0), |c| (c.standby, c.efficiency));
    let air = job.site.warm;
    let inside = lamps * (1.0 / efficiency - 1.0) + standby + pack_loss;
    let lit = State { air, inside, sun: Power::ZERO };
    let absorptivity = if job.polymer.dark { ABSORPTIVITY_DARK } else { ABSORPTIVITY_LIGHT };
    let dark = State { air, inside: standby, sun: sun(shell.lid(), absorptivity, STRONG_SUN)? };
    Ok(BoxDay {
        evening: (lit, shell.temperatures(lit)?),
        afternoon: (dark, shell.temperatures(dark)?),
    })
}

/// Findings for cells and plastic in both states.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    match subject.calculations.and_then(|c| c.power.day.as_ref()) {
        Some(Ok((_, day))) => judge(subject.job, day),
        _ => Vec::new(),
    }
}

pub(crate) fn judge(job: &Job, day: &BoxDay) -> Vec<Finding> {
    let mut findings = Vec::new();
    let states = [("lit in the evening", &day.evening.1), ("in the sun", &day.afternoon.1)];
    for (when, found) in states {
        let [_, hottest] = DISCHARGING;
        let inside = found.inside;
        let severity = if inside > hottest { Severity::Error } else { Severity::Warning };
        if inside > CELLS_COMFORT {
            let limit = if inside > hottest { hottest } else { CELLS_COMFORT };
            let finding = Finding::new(
                RULE.code,
                severity,
                format!("{when}, the cells in the box reach {inside}"),
            );
            findings.push(cure(
                job,
                finding.measured(inside, format!("at most {limit}")),
                inside - limit,
            ));
        }
        let row = polymer(job.polymer.kind);
        let soft = row.glass - Temperature::celsius(BELOW_GLASS);
        let wall = found.lid.max(found.inner_wall);
        if wall > soft {
            let finding = Finding::new(
                RULE.code,
                Severity::Warning,
                format!("{when}, the lid reaches {wall}; {} softens at {}", row.name, row.glass),
            )
            .measured(wall, format!("at most {soft}"))
            .key("polymer.kind");
            findings.push(cure(job, finding, wall - soft));
        }
    }
    findings
}

/// The changes that help: colour where it is dark, else shade or a cooler day by what is too much.
fn cure(job: &Job, finding: Finding, over: Temperature) -> Finding {
    let finding = finding.key("site.warm").key("polymer.dark");
    let cooler = format!("at most {}, or shade", job.site.warm - over);
    if job.polymer.dark {
        finding.remedy("polymer.dark", "false").remedy("site.warm", cooler)
    } else {
        finding.remedy("site.warm", cooler)
    }
}
