//! No pull on the straps both holds the saddle and spares bark, pad, webbing, print and hand.

use super::cures::remedies;
use crate::assessment::Subject;
use crate::design::{LeftOpen, SizeKind};
use crate::engineering::pull::Window;
use crate::engineering::sizes::Unserved;
use crate::finding::{Finding, KeyPath, Rule, Severity};
use crate::params::Job;

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "no-pull-holds",
    title: "a pull on the straps that holds and harms nothing",
    why: "pulled less the lamp slides or the pad lets go, pulled harder bark, pad or print suffer, or no hand can pull it",
    formula: "least T (sliding, tipping, loosest place of the pad, new and weeks later) <= most T (hand or ratchet, working load, passage, bark, largest strain, rim)",
    source: "integral of the foam's stress over the face, springs in series, Coulomb friction, capstan law (Euler and Eytelwein), p = T/(r b) (Mott, band brakes); limits on bark are common practice, no source",
    cure: "foam of another thickness, a pad of another width, more straps, a lighter lamp, or take-down before strong wind",
};

/// One finding for trunks and kind whose best face has no window, at the one where least is left.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(plan) = subject.plan() else { return Vec::new() };
    let closed = |u: &Unserved| u.window.is_none_or(|w| !w.is_open());
    let mut found = Vec::new();
    for kind in [SizeKind::Cradle, SizeKind::Rail] {
        found.extend(worst(
            (subject.job, plan.open),
            &plan.unserved,
            kind,
            &RULE,
            closed,
            |window| match window {
                None => "a print cannot sit on so thin a trunk with its tolerance".into(),
                Some(w) => format!(
                    "{:.0} is needed {}, but {} allows {:.0}",
                    w.least,
                    w.need.words(),
                    w.cap.words(),
                    w.most
                ),
            },
        ));
    }
    found
}

/// The finding on those of one kind that a rule is for, told of the one with the least room.
pub(super) fn worst(
    (job, open): (&Job, LeftOpen),
    unserved: &[(SizeKind, Unserved)],
    kind: SizeKind,
    rule: &Rule,
    is_for: impl Fn(&Unserved) -> bool,
    message: impl Fn(Option<&Window>) -> String,
) -> Option<Finding> {
    let of = || unserved.iter().filter(|(k, u)| *k == kind && is_for(u)).map(|(_, u)| u);
    let room = |u: &Unserved| u.window.map_or(0.0, |w| w.ratio());
    let tightest = of().min_by(|a, b| room(a).total_cmp(&room(b)))?;
    let also = also(job, of(), tightest);
    let name = &job.trunks[tightest.trunk].name;
    let what = kind.word();
    let text = format!("no {what} holds on `{name}`: {}{also}", message(tightest.window.as_ref()));
    let mut finding = Finding::new(rule.code, Severity::Error, text)
        .key(KeyPath::trunk(tightest.trunk, "girth").as_str())
        .key("pad.thickness");
    if let Some(w) = tightest.window {
        finding =
            finding.measured(format!("at least {:.0}", w.least), format!("at most {:.0}", w.most));
    }
    Some(remedies((job, open), tightest.trunk, kind, finding))
}

/// Further trunks of which a finding is true.
pub(in crate::assessment) fn also<'a>(
    job: &Job,
    all: impl Iterator<Item = &'a Unserved>,
    told: &Unserved,
) -> String {
    let others: Vec<&str> =
        all.filter(|u| u.trunk != told.trunk).map(|u| job.trunks[u.trunk].name.as_str()).collect();
    match others.len() {
        0 => String::new(),
        1..=NAMED => format!("; nor on {}", others.join(", ")),
        n => format!("; nor on {n} others"),
    }
}

/// Names of further trunks before they are only counted.
const NAMED: usize = 4;
