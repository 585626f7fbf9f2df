//! Something on a part hangs in the air while it is printed, and is not bridged.

use super::{Measured, measured};
use crate::assessment::{Subject, undetermined};
use crate::build::{BuiltPart, build_part, part_specs};
use crate::design::cradle::yoke::default_lock_angle;
use crate::design::{PartId, PreviousSet, plan};
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::overhang::{Hanging, Overhang, overhang};
use crate::params::{Job, Mount, enumerated};
use crate::units::{Angle, Length};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "overhang-hangs-free",
    title: "every part prints without support",
    why: "a line laid on air sags, and what is printed on it starts in the wrong place",
    formula: "a face steeper than printer.overhang is held along its rim so that straight lines bridge it; held at one side only, it reaches out two lines at most",
    source: "regions of the mesh, crossed in twelve directions; two lines: common practice, no source",
    cure: "move what causes it, set supports there in the slicer, or measure how far the printer overhangs",
};

/// A ledge of so many lines prints by clinging to the line beside it.
const LEDGE_IN_LINES: f64 = 2.0;

/// What a slope may measure steeper than it is drawn, degrees.
const ROUNDING: f64 = 0.01;

/// What hangs free, the farthest first in line.
fn worst<'o>(job: &Job, found: &'o Overhang) -> Option<&'o Hanging> {
    let ledge = job.printer.line * LEDGE_IN_LINES;
    let free = found.hanging.iter().filter(|h| h.held == 0.0 || h.free > ledge);
    free.max_by(|a, b| a.free.get().total_cmp(&b.free.get()))
}

/// A warning for parts on which something hangs free: one for all that the same change cures.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let judge = |(built, measured): (&BuiltPart, &Measured)| match &measured.overhang {
        Ok(found) => judge(subject.job, built, found),
        Err(error) => Some(undetermined(&RULE, error).part(built.id())),
    };
    let mut findings: Vec<Finding> = Vec::new();
    for finding in measured(subject).filter_map(judge) {
        let same = |known: &&mut Finding| {
            (known.severity, &known.keys, &known.remedies)
                == (finding.severity, &finding.keys, &finding.remedies)
        };
        match findings.iter_mut().find(same) {
            Some(known) => known.parts.extend(finding.parts),
            None => findings.push(finding),
        }
    }
    for finding in &mut findings {
        if let [_, others @ ..] = finding.parts.as_slice()
            && !others.is_empty()
        {
            let others = enumerated(others.iter().cloned());
            finding.message = format!("{}; likewise {others}", finding.message);
        }
    }
    findings
}

fn judge(job: &Job, made: &BuiltPart, found: &Overhang) -> Option<Finding> {
    let part = made.id();
    let worst = worst(job, found)?;
    let limit = job.printer.overhang;
    let [x, y, z] = worst.at;
    let message = format!(
        "{part} has an unsupported overhang of {:.0}, reaching out by up to {:.1}, at {x:.0}, {y:.0}, {z:.0} mm on the bed",
        worst.area, worst.free
    );
    let mut finding = Finding::new(RULE.code, Severity::Warning, message)
        .measured(format!("{:.0} from upright", worst.steepest), format!("at most {limit}"))
        .part(part);
    if matches!(part, PartId::Cradle(_)) && has_lock(job) {
        finding = finding.key(LOCK_ANGLE);
        if let Some(angle) = better_lock_angle(job, part) {
            finding =
                finding.remedy(LOCK_ANGLE, format!("{angle:.0}, if the lamp has a boss there"));
        }
    }
    finding = finding.key("printer.overhang");
    // Rounding on a slope of 45 degrees asks for no printer of 46.
    let steeper = Angle::degrees((worst.steepest.deg() - ROUNDING).ceil());
    let enough = |o: Overhang| self::worst(job, &o).is_none();
    if steeper.deg() < 90.0 && overhang(&made.mesh, steeper).is_ok_and(enough) {
        finding = finding.remedy("printer.overhang", format!("at least {steeper:.0}"));
    }
    Some(finding)
}

const LOCK_ANGLE: &str = "fixture.mount.lock-angle";

fn has_lock(job: &Job) -> bool {
    matches!(job.fixture.mount, Mount::SideBosses { lock_radius: Some(_), .. })
}

/// The place of the lock boss at which the slot stands as upright as it can, behind or before the
/// pivot, if the cradle of this name then prints without support.
fn better_lock_angle(job: &Job, part: &PartId) -> Option<Angle> {
    let behind = default_lock_angle(&job.tilt);
    [behind, behind - Angle::degrees(180.0)].into_iter().find(|angle| {
        let mut other = job.clone();
        if let Mount::SideBosses { lock_angle, .. } = &mut other.fixture.mount {
            *lock_angle = Some(*angle);
        }
        let Ok(plan) = plan(&other, &PreviousSet::default()) else { return false };
        let spec = part_specs(&other, &plan).into_iter().find(|s| s.part.id == *part);
        let made = spec.and_then(|s| build_part(s, Length::max(job.job.deviation, COARSE)).ok());
        let found = made.and_then(|m| overhang(&m.mesh, job.printer.overhang).ok());
        found.is_some_and(|o| worst(job, &o).is_none())
    })
}

/// Fine enough to tell slopes by.
const COARSE: Length = Length::mm(0.1);
