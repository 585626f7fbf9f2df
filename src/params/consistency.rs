//! Keys of the job compared with each other: what cannot hold together is reported with every key
//! that takes part. Only what makes the job unreadable as a job is here; whether a strap holds or a
//! wall is thick enough is a matter of the checks.

use std::collections::BTreeMap;

use super::job::{Fixture, HolePattern, Job, Mount, Trunk};
use super::reader::Reader;
use super::text;
use crate::engineering::feed::FeedLayout;
use crate::engineering::seal::Closing;
use crate::finding::KeyPath;
use crate::standards::GasketKind;
use crate::units::Length;

const CODE: &str = "contradiction";

fn keys<const N: usize>(names: [&str; N]) -> [KeyPath; N] {
    names.map(KeyPath::new)
}

/// Compares keys of the tables other than the trunks.
pub(crate) fn check_tables(job: &Job, reader: &mut Reader) {
    if let (Some(install), Some(take_down)) = (job.job.install, job.job.take_down)
        && take_down < install
    {
        reader.contradiction(
            CODE,
            &keys(["job.take-down", "job.install"]),
            format!("the take-down on {take_down} is before the installation on {install}"),
            "exchange the two dates, or correct the year",
        );
    }
    if job.tilt.min.rad() > job.tilt.max.rad() {
        reader.contradiction(
            CODE,
            &keys(["tilt.min", "tilt.max"]),
            format!("the tilt runs from {} down to {}", job.tilt.min, job.tilt.max),
            "write the smaller angle as tilt.min",
        );
    }
    if let Some(survey) = &job.job.survey
        && survey.contains(['/', '\\'])
    {
        reader.contradiction(
            "bad-name",
            &keys(["job.survey"]),
            "the survey lies beside the job file, and this is more than the name of a file",
            "write the file's name alone, such as survey.csv",
        );
    }
    check_fixture(&job.fixture, reader);
    check_pad_and_strap(job, reader);
    check_box(job, reader);
    if job.printer.layer > job.printer.line {
        reader.contradiction(
            CODE,
            &keys(["printer.layer", "printer.line"]),
            format!(
                "a layer of {} is higher than its line of {} is wide",
                job.printer.layer, job.printer.line
            ),
            format!("write printer.layer of at most {}", job.printer.line),
        );
    }
    if job.site.cold > job.site.warm {
        reader.contradiction(
            CODE,
            &keys(["site.cold", "site.warm"]),
            format!("the coldest evening, {}, is warmer than {}", job.site.cold, job.site.warm),
            "write the lower temperature as site.cold",
        );
    }
    if job.feed.layout == FeedLayout::Chain && job.feed.back.is_some() {
        reader.contradiction(
            CODE,
            &keys(["feed.back", "feed.layout"]),
            "a chain has no return, yet feed.back is written",
            "write layout = \"loop\", or leave back out",
        );
    }
    if job.feed.segments.as_ref().is_some_and(Vec::is_empty) {
        reader.contradiction(
            CODE,
            &keys(["feed.segments"]),
            "this list of cable lengths is empty",
            "write one length for all segments, or one a segment",
        );
    }
    if job.programme.parts.is_empty() {
        reader.contradiction(
            CODE,
            &keys(["programme.part"]),
            "the programme has no part",
            "add a table [[programme.part]] with a level and a duration, or leave part out",
        );
    }
}

fn check_fixture(fixture: &Fixture, reader: &mut Reader) {
    if let (Some(min), Some(max)) = (fixture.min_voltage, fixture.max_voltage)
        && min > max
    {
        reader.contradiction(
            CODE,
            &keys(["fixture.min-voltage", "fixture.max-voltage"]),
            format!("the least voltage, {min}, is above the most, {max}"),
            "exchange the two",
        );
    }
    let along = [
        ("fixture.pivot-from-back", fixture.pivot_from_back, "fixture.depth", fixture.depth),
        ("fixture.pivot-from-bottom", fixture.pivot_from_bottom, "fixture.height", fixture.height),
    ];
    for (key, pivot, size_key, size) in along {
        if let Some(pivot) = pivot
            && pivot > size
        {
            reader.contradiction(
                CODE,
                &keys([key, size_key]),
                format!("the pivot lies at {pivot}, outside the body of {size}"),
                format!("write {key} of at most {size}"),
            );
        }
    }
    match &fixture.mount {
        Mount::SideBosses { span, .. } => {
            if *span < fixture.width {
                reader.contradiction(
                    CODE,
                    &keys(["fixture.mount.span", "fixture.width"]),
                    format!(
                        "the bosses span {span}, less than the body's width of {}",
                        fixture.width
                    ),
                    format!("write fixture.mount.span of at least {}", fixture.width),
                );
            }
        }
        Mount::BasePlate { pattern, .. } => {
            check_pattern(
                pattern,
                "fixture.mount.holes",
                [("fixture.width", fixture.width), ("fixture.height", fixture.height)],
                reader,
            );
        }
    }
}

/// Holes must lie on the face that carries them.
fn check_pattern(pattern: &HolePattern, key: &str, face: [(&str, Length); 2], reader: &mut Reader) {
    if let HolePattern::Points { points } = pattern
        && points.is_empty()
    {
        reader.contradiction(
            CODE,
            &keys([&format!("{key}.points")]),
            "the pattern has no holes",
            "write one [across, up] pair a hole",
        );
    }
    let words = ["wide", "high"];
    for ((extent, (face_key, size)), word) in extents(pattern).into_iter().zip(face).zip(words) {
        if extent > size {
            reader.contradiction(
                CODE,
                &keys([key, face_key]),
                format!("the hole pattern is {extent} {word}, more than the {size} of {face_key}"),
                format!("bring the holes within {size}, or correct {face_key}"),
            );
        }
    }
}

/// Width and height over the holes' middles, for points twice the farthest from the middle.
fn extents(pattern: &HolePattern) -> [Length; 2] {
    match pattern {
        HolePattern::Rectangle { width, height } => [*width, *height],
        HolePattern::Circle { diameter, .. } => [*diameter, *diameter],
        HolePattern::Points { points } => [0, 1].map(|axis| {
            points.iter().fold(Length::ZERO, |far, point| far.max(2.0 * point[axis].abs()))
        }),
    }
}

fn check_pad_and_strap(job: &Job, reader: &mut Reader) {
    let pad = &job.pad;
    if !(pad.strain_min < pad.strain && pad.strain < pad.strain_max) {
        reader.contradiction(
            CODE,
            &keys(["pad.strain", "pad.strain-min", "pad.strain-max"]),
            format!(
                "the pad's compressions do not rise: least {}, aimed at {}, most {}",
                pad.strain_min, pad.strain, pad.strain_max
            ),
            "write strain-min below strain, and strain below strain-max",
        );
    }
    if let Some(tension) = job.strap.tension
        && tension > job.strap.working_load
    {
        reader.contradiction(
            CODE,
            &keys(["strap.tension", "strap.working-load"]),
            format!(
                "the strap is pulled with {tension}, more than its working load of {}",
                job.strap.working_load
            ),
            format!("write strap.tension of at most {}", job.strap.working_load),
        );
    }
}

fn check_box(job: &Job, reader: &mut Reader) {
    if let Some(battery) = &job.battery {
        if let Some(cutoff) = battery.cutoff
            && cutoff >= battery.voltage
        {
            reader.contradiction(
                CODE,
                &keys(["battery.cutoff", "battery.voltage"]),
                format!("the pack cuts off at {cutoff}, not below its nominal {}", battery.voltage),
                format!("write battery.cutoff below {}", battery.voltage),
            );
        }
        if job.glands.is_empty() {
            reader.contradiction(
                "missing-key",
                &keys(["battery", "gland"]),
                "the box has no cable gland",
                "add a table [[gland]] with size = \"M16\"",
            );
        }
    }
    check_seal(job, reader);
    if let Some(controller) = &job.controller {
        check_pattern(
            &controller.holes,
            "controller.holes",
            [("controller.length", controller.length), ("controller.width", controller.width)],
            reader,
        );
        if job.battery.is_none() {
            reader.contradiction(
                CODE,
                &keys(["controller", "battery"]),
                "there is a controller but no battery, so no box to put it in",
                "add a table [battery], or leave the controller out",
            );
        }
    }
}

fn check_seal(job: &Job, reader: &mut Reader) {
    let seal = &job.seal;
    match (seal.kind, seal.cord, seal.sponge) {
        (Some(GasketKind::Sponge), Some(_), _) => reader.contradiction(
            CODE,
            &keys(["seal.cord", "seal.kind"]),
            "the gasket is a sponge strip, which has no cord diameter",
            "leave seal.cord out, or write kind = \"cord\"",
        ),
        (Some(GasketKind::Cord), _, Some(_)) | (None, Some(_), Some(_)) => reader.contradiction(
            CODE,
            &keys(["seal.sponge", "seal.cord"]),
            "there are sizes of a sponge strip, and the gasket is a cord",
            "keep the one that lies in the groove",
        ),
        _ => {}
    }
    let gasket = seal.gasket(job.lid.close.unwrap_or(Closing::Knobs));
    if let Some(squeeze) = seal.squeeze
        && squeeze > gasket.most_squeeze()
    {
        reader.contradiction(
            CODE,
            &keys(["seal.squeeze"]),
            format!("closed-cell sponge bears no squeeze of {squeeze}"),
            format!("write seal.squeeze of at most {}", gasket.most_squeeze()),
        );
    }
}

/// Compares the trunks with each other and with the tables they rely on. What is missing, and what
/// counts the trunks, is compared only when all of them are there.
pub(crate) fn check_trunks(job: &Job, are_all_there: bool, reader: &mut Reader) {
    if job.trunks.is_empty() && are_all_there {
        reader.contradiction(
            "missing-key",
            &keys(["trunk"]),
            "the job has no trunk",
            "add a table [[trunk]] with a name and a girth, or name a survey as job.survey",
        );
    }
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for (index, trunk) in job.trunks.iter().enumerate() {
        let name = KeyPath::trunk(index, "name");
        if let Some(first) = seen.get(&trunk.name.to_lowercase()) {
            let first = KeyPath::trunk(*first, "name");
            let apart = reader.map.place(&first).origin != reader.map.place(&name).origin;
            let place = if apart { ", in the job file," } else { "" };
            reader.contradiction(
                "duplicate-name",
                &[name, first],
                format!("another trunk{place} is called \"{}\" too", trunk.name),
                "give each trunk its own name; capitals do not count",
            );
        } else if !reader.has_failed(&name) {
            seen.insert(trunk.name.to_lowercase(), index);
        }
        check_trunk(trunk, index, reader);
    }
    let boxes: Vec<_> = job.trunks.iter().enumerate().filter(|(_, t)| t.carries_box).collect();
    if let (Some((index, _)), None) = (boxes.first(), &job.battery) {
        let names: Vec<&str> = boxes.iter().map(|(_, trunk)| trunk.name.as_str()).collect();
        let carry = if names.len() == 1 { "carries" } else { "carry" };
        reader.contradiction(
            CODE,
            &[KeyPath::trunk(*index, "box"), KeyPath::new("battery")],
            format!(
                "{} {carry} a box, but the job has no battery to size it by",
                text::listed(&names)
            ),
            "add a table [battery], or write box = false",
        );
    }
    if are_all_there && !reader.trusts_written_only {
        check_segments(job, boxes.len(), reader);
    }
}

fn check_trunk(trunk: &Trunk, index: usize, reader: &mut Reader) {
    let key = |name| KeyPath::trunk(index, name);
    let (girth, height) = (key("upper-girth"), key("upper-height"));
    match (trunk.upper_girth, trunk.upper_height) {
        (Some(_), None) => reader.contradiction(
            "missing-key",
            &[girth, height],
            format!("the second girth of \"{}\" has no height", trunk.name),
            "write upper-height = the height above ground at which it was taken",
        ),
        (None, Some(_)) => reader.contradiction(
            "missing-key",
            &[height, girth],
            format!("the upper height of \"{}\" has no girth", trunk.name),
            "write upper-girth = the girth at that height",
        ),
        (Some(_), Some(upper)) if upper <= trunk.height => reader.contradiction(
            CODE,
            &[height, key("height")],
            format!(
                "the second girth of \"{}\" was taken at {upper}, not above the first at {}",
                trunk.name, trunk.height
            ),
            format!("write upper-height above {}", trunk.height),
        ),
        _ => {}
    }
    let edge = key("straight-edge");
    if trunk.edge().is_some() && trunk.diameters.is_some() {
        reader.contradiction(
            CODE,
            &[edge.clone(), key("diameters")],
            format!("\"{}\" has both diameters and a straight edge", trunk.name),
            "keep the one that tells how round the bark is where the cradle sits",
        );
    }
    if let Some(Err(error)) = trunk.edge().map(|edge| edge.radius()) {
        reader.contradiction(
            "out-of-range",
            &[edge],
            format!("the straight edge on \"{}\" tells no radius: {error}", trunk.name),
            "write [length, gap, gap] of an edge about as long as half the trunk's width; \
             where the bark is flat or hollow, choose another height",
        );
    }
}

/// One length for all segments, or one for each: fixtures less one on every feed.
fn check_segments(job: &Job, boxes: usize, reader: &mut Reader) {
    let given = job.feed.segments.as_ref().map_or(0, Vec::len);
    let fixtures: usize = job.trunks.iter().map(|t| t.fixtures as usize).sum();
    let needed = fixtures.saturating_sub(boxes.max(1));
    let is_sound = reader.failed.iter().all(|k| !k.as_str().starts_with("trunk"));
    if given > 1 && given != needed && is_sound {
        let feeds = boxes.max(1);
        reader.contradiction(
            CODE,
            &keys(["feed.segments"]),
            format!(
                "there are {given} lengths here; {fixtures} lamps on {feeds} feed{} need {needed}",
                if feeds == 1 { "" } else { "s" }
            ),
            "write one length for all, or exactly one a segment",
        );
    }
}
