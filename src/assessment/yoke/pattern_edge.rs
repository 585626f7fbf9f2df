//! A bolt of the hole pattern lies at or past the edge of the lamp's back.

use crate::assessment::Subject;
use crate::assessment::rounding::{down, up};
use crate::design::PartId;
use crate::finding::{Finding, Rule, Severity};
use crate::params::Mount;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "pattern-edge",
    title: "the lamp's bolts lie inside its back, an edge away from its rim",
    why: "a bolt past the rim holds nothing: the pattern or its middle was measured wrongly",
    formula: "|x| + d <= width / 2; -below + d <= y <= height - below - d, with d the thread's diameter",
    source: "geometry; an edge of one diameter from the middle is the least in which a thread is cut (common practice, no source)",
    cure: "measure again from the lamp's lower face to the middle of its holes, and the pattern itself",
};

/// One warning for all holes near the rim.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let fixture = &job.fixture;
    let (Some(plate), Mount::BasePlate { thread, .. }) = (&plan.yoke.plate, &fixture.mount) else {
        return Vec::new();
    };
    let edge = thread.diameter();
    let below = fixture.pivot_from_bottom.unwrap_or(fixture.height / 2.0);
    let far = |k: usize, sign: f64| {
        plate.holes.iter().map(|h| h[k] * sign).fold(Length::mm(f64::NEG_INFINITY), Length::max)
    };
    let sides = [
        ("side", fixture.width / 2.0 - far(0, 1.0).max(far(0, -1.0))),
        ("upper", fixture.height - below - far(1, 1.0)),
        ("lower", below - far(1, -1.0)),
    ];
    let nearest = sides.into_iter().min_by(|a, b| a.1.get().total_cmp(&b.1.get()));
    let Some((side, found)) = nearest.filter(|n| n.1 < edge && n.1.is_finite()) else {
        return Vec::new();
    };
    let place = if found < Length::ZERO {
        format!("{:.1} beyond", found.abs())
    } else {
        format!("only {found:.1} inside")
    };
    let message = format!(
        "the middle of a hole lies {place} the lamp's {side} edge, but {thread} needs {edge} inside it"
    );
    let finding = Finding::new(RULE.code, Severity::Warning, message)
        .measured(format!("{found:.1}"), format!("at least {edge}"))
        .part(PartId::TiltPlate)
        .key("fixture.mount.holes");
    // Where the middle of the pattern may lie, if it has room at all.
    let [lowest, highest] = [edge + far(1, -1.0), fixture.height - edge - far(1, 1.0)];
    vec![if side == "side" {
        let least = (fixture.width + 2.0 * (edge - found)).max(Length::ZERO);
        finding.key("fixture.width").remedy("fixture.width", format!("at least {}", up(least)))
    } else if lowest <= highest {
        finding
            .key("fixture.pivot-from-bottom")
            .remedy("fixture.pivot-from-bottom", format!("{} to {}", up(lowest), down(highest)))
    } else {
        let least = fixture.height + (lowest - highest);
        finding.key("fixture.height").remedy("fixture.height", format!("at least {}", up(least)))
    }]
}
