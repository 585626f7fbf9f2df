//! Posts under receiver and controller, and the rails' bosses, stand apart.

use super::TooClose;
use super::holes_off_plate::held;
use crate::assessment::Subject;
use crate::design::PartId;
use crate::design::enclosure::{Enclosure, POST_GAP};
use crate::finding::{Finding, Rule, Severity};
use crate::params::{HolePattern, Job};
use crate::units::Length;

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "posts-collide",
    title: "the posts of a hole pattern stand apart",
    why: "each screw gets a post with plastic round its insert; posts that run into each other cannot be drawn",
    formula: "distance of middles >= sum of radii + 1 mm",
    source: "geometry; a post is twice as wide as its insert (common design guides for heat-set inserts)",
    cure: "leave out holes that are not needed, or use thinner screws",
};

fn apart(a: [Length; 2], b: [Length; 2]) -> Length {
    let d = [0, 1].map(|i| (a[i] - b[i]).get());
    Length::mm((d[0] * d[0] + d[1] * d[1]).sqrt())
}

/// An error for every pattern whose posts stand too close, and for posts on rail bosses.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    subject.judge_box(judge)
}

pub(crate) fn judge(plan: &Enclosure, job: &Job) -> Vec<Finding> {
    let mut findings = Vec::new();
    for held in held(plan, job) {
        let (name, key, content) = (held.name, held.key, held.content);
        let radius = content.post.radius;
        let limit = 2.0 * radius + POST_GAP;
        let pairs = content.holes.iter().enumerate();
        let nearest = pairs
            .flat_map(|(i, a)| content.holes.iter().take(i).map(move |b| apart(*a, *b)))
            .fold(Length::mm(f64::INFINITY), Length::min);
        if nearest < limit - Length::mm(1e-9) {
            let message =
                format!("two posts of the {name} stand {nearest} apart, middle to middle");
            let finding = Finding::new(RULE.code, Severity::Error, message)
                .measured(nearest, format!("at least {limit}"))
                .part(PartId::BoxBody)
                .key(key);
            findings.push(match held.holes {
                HolePattern::Rectangle { width, height } => {
                    let side = if width < height { "width" } else { "height" };
                    finding.remedy(format!("{key}.{side}"), format!("at least {limit}"))
                }
                HolePattern::Circle { count, .. } => {
                    // Neighbours on a circle are d sin(pi / n) apart.
                    let sine = libm::sin(std::f64::consts::PI / f64::from(*count));
                    let diameter = limit / sine;
                    finding.remedy(format!("{key}.diameter"), format!("at least {diameter}"))
                }
                HolePattern::Points { .. } => {
                    finding.remedy(format!("{key}.points"), format!("{limit} or more apart"))
                }
            });
        }
        let boss = plan.rail_boss.radius;
        let on_rail = plan.rail_rows_y.into_iter().flat_map(|y| {
            [-plan.rail_screw_x, plan.rail_screw_x].into_iter().flat_map(move |x| {
                content.posts().iter().map(move |p| apart(*p, [x, y]) - radius - boss)
            })
        });
        let free = on_rail.fold(Length::mm(f64::INFINITY), Length::min);
        let mut close = TooClose::default();
        close.compare("a rail boss", free, POST_GAP);
        let finding = close.finding(&RULE, &format!("a post of the {name}"));
        findings.extend(finding.map(|finding| finding.key(key)));
    }
    findings
}
