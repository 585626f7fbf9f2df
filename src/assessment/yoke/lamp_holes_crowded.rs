//! The lamp's bolt holes stand so close that plate or heads have no room between them.

use crate::assessment::Subject;
use crate::assessment::prints::LEAST_WALL;
use crate::assessment::rounding::up;
use crate::design::PartId;
use crate::design::cradle::pattern;
use crate::finding::{Finding, Rule, Severity};
use crate::params::{HolePattern, Mount};
use crate::standards::Thread;
use crate::standards::fastener::HoleFit;
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "lamp-holes-crowded",
    title: "plate and heads have room between the lamp's bolts",
    why: "holes that meet leave no plate, and heads that meet cannot be turned in",
    formula: "distance of two holes >= max(clearance hole + 2.4 mm, cap head)",
    source: "geometry; ISO 273 medium holes, ISO 4762 heads; least wall: common practice, no source",
    cure: "measure the pattern again; use fewer of the lamp's holes, or a thinner thread",
};

/// The least distance of two bolts of a thread.
fn least_pitch(thread: Thread) -> Length {
    (thread.clearance_hole(HoleFit::Medium) + LEAST_WALL).max(thread.cap_head().diameter)
}

/// The two holes that stand closest, as indices, and their distance.
fn closest(holes: &[[Length; 2]]) -> Option<(usize, usize, Length)> {
    let pairs = (0..holes.len()).flat_map(|i| (0..i).map(move |j| (j, i)));
    let apart = |(i, j): (usize, usize)| {
        let [a, b] = [0, 1].map(|k| (holes[i][k] - holes[j][k]).get());
        (i, j, Length::mm(libm::hypot(a, b)))
    };
    pairs.map(apart).min_by(|a, b| a.2.get().total_cmp(&b.2.get()))
}

/// One finding when two holes are too close.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let (Some(plate), Mount::BasePlate { pattern: holes, thread }) =
        (&plan.yoke.plate, &job.fixture.mount)
    else {
        return Vec::new();
    };
    let least = least_pitch(*thread);
    let Some((i, j, apart)) = closest(&plate.holes).filter(|found| found.2 < least) else {
        return Vec::new();
    };
    let message = format!(
        "holes {} and {} of the lamp stand {apart:.1} apart, but {thread} bolts need {least:.1}",
        i + 1,
        j + 1
    );
    let finding = Finding::new(RULE.code, Severity::Error, message)
        .measured(format!("{apart:.1}"), format!("at least {least:.1}"))
        .part(PartId::TiltPlate)
        .key("fixture.mount.holes")
        .key("fixture.mount.thread");
    let finding = match holes {
        // Fewer holes on the same circle stand farther apart.
        HolePattern::Circle { diameter, count } => {
            let fits = |n: &u32| {
                let turned = HolePattern::Circle { diameter: *diameter, count: *n };
                closest(&pattern::points(&turned)).is_none_or(|found| found.2 >= least)
            };
            match (2..*count).rev().find(fits) {
                Some(n) => finding.remedy("fixture.mount.holes.count", format!("at most {n}")),
                None => finding
                    .remedy("fixture.mount.holes.diameter", format!("at least {}", up(least))),
            }
        }
        HolePattern::Rectangle { width, height } => {
            let narrow = [("width", *width), ("height", *height)];
            let narrow = narrow.into_iter().filter(|(_, size)| *size < least);
            narrow.fold(finding, |f, (side, _)| {
                f.remedy(format!("fixture.mount.holes.{side}"), format!("at least {}", up(least)))
            })
        }
        HolePattern::Points { .. } => finding,
    };
    let thinner = Thread::ALL.into_iter().rev().find(|t| least_pitch(*t) <= apart);
    vec![match thinner {
        Some(t) => finding.remedy("fixture.mount.thread", format!("\"{t}\" or thinner")),
        None => finding,
    }]
}
