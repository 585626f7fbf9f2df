//! Boxes that get too warm for their cells or their plastic.

use crate::assessment::Subject;
use crate::bisection::try_border;
use crate::engineering::guard::OutOfRange;
use crate::engineering::heat::{
    ABSORPTIVITY_DARK, ABSORPTIVITY_LIGHT, BoxTemperatures, CELLS_COMFORT, Enclosure, State, sun,
};
use crate::engineering::strength::limits::{BELOW_GLASS, softens_last};
use crate::engineering::sun::{Facing, strongest};
use crate::finding::{Finding, KeyPath, Remedy, Rule, Severity};
use crate::params::Job;
use crate::standards::PolymerKind;
use crate::standards::battery::DISCHARGING;
use crate::standards::polymer::polymer;
use crate::units::{Power, Temperature};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "box-too-warm",
    title: "cells and box stay cool enough, lit in the evening and sunlit in the afternoon",
    why: "hot cells age and may vent; a soft box lets go of its gasket",
    formula: "Q = A (h_c dT + eps sigma (T^4 - T_air^4)) outside and inside, h_c = 1.42 (dT/L)^0.25; \
              sun on the upright lid: absorptivity x (D cos h cos a + D/20 + (D sin h + D/10)/10) x lid, \
              D = 1353 x 0.7^(AM^0.678), AM = 1/sin h; the worst h and a where site.latitude and \
              site.lid-facing do not tell them",
    source: "natural convection on an upright face (Holman, Heat Transfer); Meinel and Meinel 1976 for the \
             sun, Liu and Jordan 1963 for sky and ground; cell makers' sheets; glass transitions from the \
             polymer table",
    cure: "light-coloured plastic, shade, a larger box, or a polymer that softens later",
};

/// Evening (lamps lit, no sun) and afternoon (dark, sun on the lid) of a box, both at `site.warm`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BoxDay {
    /// Heat and air of the evening, and what comes of it.
    pub(crate) evening: (State, BoxTemperatures),
    /// The same for the afternoon.
    pub(crate) afternoon: (State, BoxTemperatures),
}

/// A box and what warms it from inside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Warmed {
    /// Its outer size.
    pub(crate) shell: Enclosure,
    /// What its controller passes on.
    pub(crate) lamps: Power,
    /// What its pack loses in itself.
    pub(crate) pack_loss: Power,
    /// The strongest sun on its lid, W/m2.
    pub(crate) sun: f64,
}

/// The strongest sun on the lid of a job's box, W/m2, over the days that it hangs.
pub(crate) fn sun_on_lid(job: &Job) -> f64 {
    let facing = job.site.latitude.zip(job.site.lid_facing).map(|(latitude, bearing)| {
        let day = |date: Option<jiff::civil::Date>| {
            date.and_then(|d| u16::try_from(d.day_of_year()).ok())
        };
        let days = day(job.job.install)
            .zip(day(job.job.take_down))
            .filter(|_| hangs_less_than_a_year(job));
        Facing { latitude, bearing, days: days.map_or([1, 365], |(first, last)| [first, last]) }
    });
    strongest(facing)
}

fn hangs_less_than_a_year(job: &Job) -> bool {
    let span = job.job.install.zip(job.job.take_down).and_then(|(a, b)| a.until(b).ok());
    span.is_some_and(|span| span.get_days() < 365)
}

/// The day of a job's box.
///
/// # Errors
/// [`OutOfRange`] as [`Enclosure::temperatures`].
pub(crate) fn day(job: &Job, warmed: &Warmed) -> Result<BoxDay, OutOfRange> {
    let (standby, efficiency) =
        job.controller.as_ref().map_or((Power::ZERO, 1.0), |c| (c.standby, c.efficiency));
    let (air, shell) = (job.site.warm, &warmed.shell);
    let inside = warmed.lamps * (1.0 / efficiency - 1.0) + standby + warmed.pack_loss;
    let lit = State { air, inside, sun: Power::ZERO };
    let absorptivity = if job.polymer.dark { ABSORPTIVITY_DARK } else { ABSORPTIVITY_LIGHT };
    let dark = State { air, inside: standby, sun: sun(shell.lid(), absorptivity, warmed.sun)? };
    Ok(BoxDay {
        evening: (lit, shell.temperatures(lit)?),
        afternoon: (dark, shell.temperatures(dark)?),
    })
}

/// One finding for cells and plastic in both states.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    match subject.calculations.and_then(|c| c.power.day.as_ref()) {
        Some(Ok((warmed, day))) => judge(subject.job, warmed, day).into_iter().collect(),
        _ => Vec::new(),
    }
}

/// Something that gets too warm.
struct Excess {
    severity: Severity,
    message: String,
    reached: Temperature,
    limit: Temperature,
}

fn excesses(job: &Job, day: &BoxDay) -> Vec<Excess> {
    let mut found = Vec::new();
    let states = [("lit in the evening", &day.evening.1), ("in the sun", &day.afternoon.1)];
    for (when, state) in states {
        let [_, hottest] = DISCHARGING;
        let reached = state.inside;
        if reached > CELLS_COMFORT {
            let (severity, limit) = if reached > hottest {
                (Severity::Error, hottest)
            } else {
                (Severity::Warning, CELLS_COMFORT)
            };
            let message = format!("{when}, the cells in the box reach {reached:.0}");
            found.push(Excess { severity, message, reached, limit });
        }
        let row = polymer(job.polymer.kind);
        let limit = row.glass - Temperature::celsius(BELOW_GLASS);
        let reached = state.lid.max(state.inner_wall);
        if reached > limit {
            let message = format!(
                "{when}, the lid reaches {reached:.0}; {} softens at {}",
                row.name, row.glass
            );
            found.push(Excess { severity: Severity::Warning, message, reached, limit });
        }
    }
    found
}

pub(crate) fn judge(job: &Job, warmed: &Warmed, today: &BoxDay) -> Option<Finding> {
    let found = excesses(job, today);
    let over = |e: &Excess| e.reached - e.limit;
    let worst = found
        .iter()
        .max_by(|a, b| a.severity.cmp(&b.severity).then(over(a).get().total_cmp(&over(b).get())))?;
    let mut told: Vec<&str> = vec![worst.message.as_str()];
    told.extend(found.iter().map(|e| e.message.as_str()).filter(|m| *m != worst.message));
    let finding = Finding::new(RULE.code, worst.severity, told.join("; "))
        .measured(format!("{:.0}", worst.reached), format!("at most {:.0}", worst.limit))
        .key("polymer.kind")
        .key("polymer.dark")
        .key("site.warm");
    Some(cure(job, warmed, finding))
}

/// Every single change that leaves nothing too warm: colour where it is dark, a plastic that softens
/// later, a cooler day.
fn cure(job: &Job, warmed: &Warmed, finding: Finding) -> Finding {
    let mut finding = finding;
    let cool = |job: &Job| day(job, warmed).map(|day| excesses(job, &day).is_empty());
    let cures = |change: &dyn Fn(&mut Job)| {
        let mut changed = job.clone();
        change(&mut changed);
        cool(&changed).unwrap_or(false)
    };
    if job.polymer.dark && cures(&|job| job.polymer.dark = false) {
        finding = finding.remedy("polymer.dark", "false");
    }
    if let Some(kind) =
        softens_last().into_iter().find(|&kind| cures(&|job| job.polymer.kind = kind))
    {
        finding = finding.remedy("polymer.kind", format!("\"{kind}\""));
    }
    let at = |celsius: f64| {
        let mut cooler = job.clone();
        cooler.site.warm = Temperature::celsius(celsius);
        cool(&cooler)
    };
    let coldest = job.site.cold.get().max(COOLEST_AFTERNOON);
    if job.site.warm.get() > coldest && at(coldest) == Ok(true) {
        let border = try_border(coldest, job.site.warm.get(), HALVINGS, at);
        if let Ok([cool, _]) = border {
            let degrees = Temperature::celsius(cool.floor());
            return finding.remedy("site.warm", format!("at most {degrees}, or shade"));
        }
    }
    // Colour and plastic together, where neither does alone.
    let both = |kind: PolymerKind| {
        cures(&|job| {
            job.polymer.dark = false;
            job.polymer.kind = kind;
        })
    };
    if finding.remedies.is_empty()
        && job.polymer.dark
        && let Some(kind) = softens_last().into_iter().find(|&kind| both(kind))
    {
        let together = vec![(KeyPath::new("polymer.dark"), "false".to_owned())];
        let one = Remedy::new(KeyPath::new("polymer.kind"), format!("\"{kind}\""));
        finding.remedies.push(Remedy { together, ..one });
    }
    if finding.remedies.is_empty() {
        let change = if job.polymer.dark {
            "light-coloured, with a plastic that softens later, and hung in the shade"
        } else {
            "hang the box in the shade, where the afternoon sun does not reach it"
        };
        finding = finding.remedy("site.warm", change);
    }
    finding
}

/// A cooler warmest afternoon than this is no summer that could be meant, C.
const COOLEST_AFTERNOON: f64 = 10.0;
/// Halvings of the search for a day that is cool enough.
const HALVINGS: usize = 12;
