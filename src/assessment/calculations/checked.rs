//! The engineering checks, each run where it matters most.
//!
//! Rules of strap, pad and bark are run once a printed part, on the trunk that asks most of it: many
//! trunks give one finding and not many, and its remedy serves them all. Where a trunk has some
//! tension that serves, the sums name it, so that a wish outside is a warning and no error.

use super::ring::Ring;
use super::{Absent, Group, Shared};
use crate::assessment::calculations::power::Power;
use crate::assessment::checks::strap_window_empty::Today;
use crate::assessment::checks::{
    Finding, Severity, bark_bruised, battery_too_small, box_too_warm, cells_too_cold,
    ear_overstressed, feed_collapses, fuse_mismatch, groove_corner_tight, groove_fill,
    lamp_overvolted, lamps_crowded, lid_bows, pad_opens, pad_strain, passage_web_overstressed,
    spill_light, strap_too_slack, strap_window_empty, sum_without_result, tilt_lock_slips,
    tilt_out_of_reach, wire_too_thin,
};
use crate::design::enclosure::print_tolerance;
use crate::engineering::aim::AimError;
use crate::engineering::hold::{HoldInput, Need};
use crate::engineering::seal::SealError;
use crate::units::Force;

pub(crate) fn findings(shared: &Shared<'_>, groups: &[Group], power: &Power) -> Vec<Finding> {
    let mut found = yoke(shared);
    found.extend(straps(shared, groups));
    found.extend(places(shared, groups));
    found.extend(seal(shared));
    found.extend(electric(shared, power));
    found
}

fn cradle_parts(shared: &Shared<'_>) -> Vec<String> {
    let classes = shared.plan.cradles.iter();
    classes.map(|c| crate::build::part_name("cradle", &c.class)).collect()
}

/// Ears and lock, the same on every cradle.
fn yoke(shared: &Shared<'_>) -> Vec<Finding> {
    let parts = cradle_parts(shared);
    let Some((first, others)) = parts.split_first() else { return Vec::new() };
    let yoke = match &shared.yoke {
        Ok(yoke) => yoke,
        Err(why) => return fault("the loads of the yoke", why, first).into_iter().collect(),
    };
    let site = &shared.job.site;
    let mut found = ear_overstressed::check(first, &yoke.ear, &yoke.load, &shared.print, site.gust);
    if let Ok(lock) = &yoke.lock {
        found.extend(tilt_lock_slips::check(first, lock, shared.job));
    }
    for finding in &mut found {
        finding.parts.extend(others.iter().cloned());
    }
    found
}

/// A ring and the name of its first trunk.
struct At<'a> {
    ring: &'a Ring,
    trunks: &'a [usize],
    input: HoldInput<'a>,
}

/// Rules of strap, pad and bark for every printed size.
fn straps(shared: &Shared<'_>, groups: &[Group]) -> Vec<Finding> {
    let job = shared.job;
    let mut found = Vec::new();
    let mut parts: Vec<(String, Vec<At<'_>>)> = Vec::new();
    let mut told: Vec<(String, String)> = Vec::new();
    for group in groups {
        for ring in [&group.cradle, &group.rail].into_iter().flatten() {
            let part = ring.as_ref().map_or("", |r| r.part.as_str());
            let at = match ring {
                Ok(ring) => ring.input(job).map(|input| At { ring, trunks: &group.trunks, input }),
                Err(why) => Err(why.clone()),
            };
            let name = &job.trunks[group.trunks[0]].name;
            match at {
                Ok(at) => match parts.iter_mut().find(|(p, _)| p == part) {
                    Some((_, rings)) => rings.push(at),
                    None => parts.push((part.to_owned(), vec![at])),
                },
                Err(Absent::Crowded { most, why }) => {
                    found.push(lamps_crowded::finding(group.trunks[0], name, most, &why));
                }
                Err(Absent::Fault(why)) => {
                    // The same reason on many trunks is told once.
                    let key = (part.to_owned(), why);
                    if !told.contains(&key) {
                        let what = format!("the hold on `{name}`");
                        found.extend(fault(&what, &Absent::Fault(key.1.clone()), part));
                        told.push(key);
                    }
                }
                Err(Absent::Told(_)) => {}
            }
        }
    }
    for (part, rings) in &parts {
        found.extend(size(shared, part, rings));
    }
    // The passage comes first where the plastic is too soft for any sum.
    for ring in groups.iter().flat_map(|g| [&g.cradle, &g.rail]).flatten().flatten() {
        if ring.hold.is_err() && ring.passage.most_tension(&shared.print).is_err() {
            let wish = job.strap.tension;
            found.extend(passage_web_overstressed::check(
                &ring.part,
                &ring.passage,
                wish,
                &shared.print,
            ));
            break;
        }
    }
    found
}

/// Rules of one printed part over all its trunks.
fn size(shared: &Shared<'_>, part: &str, rings: &[At<'_>]) -> Vec<Finding> {
    let job = shared.job;
    let wish = job.strap.tension;
    let least = |at: &At<'_>, chosen: fn(Need) -> bool| {
        let all = at.input.least_tensions().unwrap_or_default();
        all.iter().filter(|(_, n, _)| chosen(*n)).map(|x| x.2).fold(Force::ZERO, Force::max)
    };
    let most = |at: &At<'_>| at.ring.window.as_ref().map_or(Force::ZERO, |w| w.most);
    let worst = |key: &dyn Fn(&At<'_>) -> f64| {
        let keyed = rings.iter().map(|at| (key(at), at));
        keyed.fold(None::<(f64, &At<'_>)>, |best, (k, at)| match best {
            Some((b, _)) if b >= k => best,
            _ => Some((k, at)),
        })
    };
    let mut found = Vec::new();
    let today = Today {
        half_width: rings[0].ring.size.half_width,
        mass: job.fixture.mass,
        gust: job.site.gust,
    };
    let tightest = worst(&|at| match &at.ring.window {
        Ok(window) => window.least.get() - window.most.get(),
        Err(_) => f64::INFINITY,
    });
    if let Some((_, at)) = tightest {
        let empty = strap_window_empty::check(part, &at.input, today);
        if !empty.is_empty() {
            return named(shared, at, empty, None);
        }
    }
    let slides =
        worst(&|at| least(at, |n| matches!(n, Need::SlidesAside | Need::SlidesDown)).get());
    if let Some((_, at)) = slides {
        let some = strap_too_slack::check(part, &at.input, wish);
        found.extend(named(shared, at, some, at.ring.tension(wish)));
    }
    let opens = worst(&|at| least(at, |n| matches!(n, Need::Peels | Need::PadLoose)).get());
    if let Some((_, at)) = opens {
        let some = pad_opens::check(part, &at.input, wish);
        found.extend(named(shared, at, some, at.ring.tension(wish)));
    }
    if let Some((_, at)) = worst(&|at| -most(at).get()) {
        let mut some = bark_bruised::check(part, &at.input, wish);
        some.extend(passage_web_overstressed::check(part, &at.ring.passage, wish, &shared.print));
        found.extend(named(shared, at, some, at.ring.tension(wish)));
    }
    found
}

/// Names the trunk. Where another tension serves it, the finding is a warning that names the tension.
fn named(
    shared: &Shared<'_>,
    at: &At<'_>,
    findings: Vec<Finding>,
    instead: Option<Force>,
) -> Vec<Finding> {
    let name = &shared.job.trunks[at.trunks[0]].name;
    let named = |mut finding: Finding| {
        finding.message = format!("`{name}`: {}", finding.message);
        if let Some(tension) = instead {
            finding.severity = finding.severity.min(Severity::Warning);
            finding.message = format!("{}; the sheet says {tension:.0}", finding.message);
        }
        finding
    };
    findings.into_iter().map(named).collect()
}

/// Aim and spill, each at the trunk where it is worst; the pad's strain on every trunk.
fn places(shared: &Shared<'_>, groups: &[Group]) -> Vec<Finding> {
    let job = shared.job;
    let mut found = Vec::new();
    let mut take = |what: &str, some: Result<Vec<Finding>, AimError>| match some {
        Ok(some) => found.extend(some),
        Err(why) => found.push(sum_without_result::finding(what, &why.to_string(), "")),
    };
    let lights = || groups.iter().filter_map(|g| Some((g.trunks[0], g.light.as_ref()?)));
    let aims = || lights().filter_map(|(trunk, light)| Some((trunk, light.aim.as_ref()?)));
    let crowns = || {
        let wished = lights().filter_map(|(t, l)| Some((l.wished?.rad(), t, l.aim.as_ref()?)));
        wished.filter_map(|(wished, t, aim)| Some((wished, t, aim, aim.crown?)))
    };
    let highest = crowns().max_by(|a, b| a.0.total_cmp(&b.0));
    let lowest = crowns().min_by(|a, b| a.0.total_cmp(&b.0));
    let lowest = lowest.filter(|low| highest.as_ref().is_some_and(|high| high.1 != low.1));
    for (_, trunk, aim, crown) in highest.into_iter().chain(lowest) {
        take("the tilt", tilt_out_of_reach::check(job, trunk, crown, aim.beam, aim.half));
    }
    for outlook in 0..job.glare.len() {
        let here = aims().filter_map(|(trunk, aim)| Some((trunk, aim, aim.sights.get(outlook)?)));
        let worst = here.max_by(|a, b| a.2.1.get().total_cmp(&b.2.1.get()));
        if let Some((trunk, aim, (sight, _))) = worst {
            let (beam, at) = (aim.beam, aim.elevation);
            let some = spill_light::check(job, trunk, outlook, *sight, beam, at, aim.half);
            take("light on a place in [[glare]]", some);
        }
    }
    if let Ok(foam) = &shared.foam {
        for group in groups {
            for ring in [&group.cradle, &group.rail].into_iter().flatten().flatten() {
                let some = pad_strain::check(job, group.trunks[0], *foam, ring.fit);
                found.extend(some.into_iter().map(|f| f.part(&ring.part)));
            }
        }
    }
    found
}

/// Groove and lid of the box.
fn seal(shared: &Shared<'_>) -> Vec<Finding> {
    let (job, Some(enclosure)) = (shared.job, &shared.plan.enclosure) else { return Vec::new() };
    let planned = &enclosure.groove;
    let tolerance = print_tolerance(&job.printer);
    let mut found = groove_corner_tight::check(&planned.section, planned.center_line.radius);
    let mut take = |some: Result<Vec<Finding>, SealError>| match some {
        Ok(some) => found.extend(some),
        Err(why) => {
            found.push(sum_without_result::finding("the seal", &why.to_string(), "box-lid"));
        }
    };
    take(groove_fill::check(&planned.section, tolerance));
    let line_load = job.seal.line_load;
    take(lid_bows::check(
        &planned.section,
        &enclosure.lid.edge,
        line_load,
        enclosure.screws.pitch,
        tolerance,
    ));
    for finding in &mut found {
        finding.parts = vec!["box-body".into(), "box-lid".into()];
    }
    found
}

fn electric(shared: &Shared<'_>, power: &Power) -> Vec<Finding> {
    let job = shared.job;
    let mut found = cells_too_cold::check(job);
    found.extend(lamp_overvolted::check(job));
    match &power.feeds {
        Ok(feeds) => {
            found.extend(feed_collapses::check(job, feeds));
            found.extend(wire_too_thin::check(job, feeds));
            found.extend(fuse_mismatch::check(job, feeds));
            found.extend(battery_too_small::check(job, feeds));
        }
        Err(why) => found.extend(fault("the feed", why, "box-body")),
    }
    match &power.day {
        Some(Ok((_, day))) => found.extend(box_too_warm::check(job, day)),
        Some(Err(why)) => found.extend(fault("the warmth of the box", why, "box-body")),
        None => {}
    }
    found
}

fn fault(what: &str, why: &Absent, part: &str) -> Option<Finding> {
    match why {
        Absent::Told(_) => None,
        Absent::Fault(why) | Absent::Crowded { why, .. } => {
            Some(sum_without_result::finding(what, why, part))
        }
    }
}
