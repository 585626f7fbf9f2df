//! The cable plan, the fuse, and how long the packs last.

use super::super::Subject;
use super::table;
use crate::assessment::power::feeds::{Studied, charging};
use crate::assessment::power::name;
use crate::assessment::seal;
use crate::engineering::swap::minutes;
use crate::formats::sheet::{Fact, Feed, Picture, Table};
use crate::units::{Current, Voltage, trimmed};

/// Path of the diagram.
pub(super) const FEED: &str = "pictures/feed.svg";

/// Fuses, cable, and volts at each lamp; `None` without a feed.
pub(super) fn feed(subject: &Subject<'_>, pictures: &[(String, Picture)]) -> Option<Feed> {
    let feeds = subject.sums.power.feeds.as_ref().ok().filter(|f| !f.is_empty())?;
    let diagram = pictures.iter().find(|(path, _)| path == FEED).map(|(_, p)| p.clone());
    let facts = feeds.iter().flat_map(|feed| facts(subject, feed)).collect();
    let rows = feeds.iter().flat_map(|feed| rows(subject, feed)).collect();
    let columns =
        ["box", "#lamp", "trunk", "#cable to it", "#nominal", "#drawn as planned", "#worst break"];
    let caption = "Volts at each lamp, everything at full level: at the battery's nominal voltage, with \
                   all drawn that the runtime draws, and so with the worst segment of a loop broken.";
    Some(Feed { diagram, facts, volts: table(caption, &columns, rows) })
}

fn facts(subject: &Subject<'_>, studied: &Studied) -> Vec<Fact> {
    let study = &studied.study;
    let who = name(subject.job, studied);
    let fuse = match (subject.job.feed.fuse, study.fuse) {
        (Some(rating), _) | (None, Ok(rating)) => {
            format!("{}, at the battery", feed_fuse(subject, studied, rating))
        }
        (None, Err(none)) => none.to_string(),
    };
    let volts = match &study.fresh {
        Ok(s) => format!("{:.1} at lamp {}", s.least(), s.worst + 1),
        Err(collapse) => collapse.to_string(),
    };
    vec![
        Fact::new(format!("{who}: fuse"), fuse),
        Fact::new("cable", format!("{}, carries {:.1}", study.size, study.ampacity)),
        Fact::new("lasting current", format!("{:.1}", study.continuous)),
        Fact::new(
            "a meter on the fully charged pack shows",
            format!("{:.1}", full(subject, studied)),
        ),
        Fact::new("least volts, battery at its nominal voltage", volts),
    ]
}

fn feed_fuse(subject: &Subject<'_>, studied: &Studied, rating: Current) -> String {
    studied.feed.plan.fuse_kind.designation(rating, full(subject, studied))
}

/// What a meter shows at the freshly charged pack.
fn full(subject: &Subject<'_>, studied: &Studied) -> Voltage {
    let full = subject.job.battery.as_ref().map(|b| b.chemistry.pack_full(b.voltage));
    full.unwrap_or(studied.study.nominal)
}

/// One row a lamp.
fn rows(subject: &Subject<'_>, studied: &Studied) -> Vec<Vec<String>> {
    let (job, feed, study) = (subject.job, &studied.feed, &studied.study);
    let home = feed.trunk.map_or("", |t| job.trunks[t].name.as_str());
    let broken = study.worst_break.as_ref().map(|b| &b.spent);
    let states = [Some(&study.fresh), Some(&study.spent), broken];
    let row = |(k, &trunk): (usize, &usize)| {
        let volts = states.map(|state| {
            let state = state.and_then(|s| s.as_ref().ok());
            state.and_then(|s| s.volts.get(k)).map_or(String::new(), |v| format!("{v:.1}"))
        });
        let mut cells = vec![
            home.to_owned(),
            (k + 1).to_string(),
            job.trunks.get(trunk).map_or(String::new(), |t| t.name.clone()),
            format!("{} m", trimmed(feed.plan.cable_to(k).in_metres(), 1)),
        ];
        cells.extend(volts);
        cells
    };
    feed.fixtures.iter().enumerate().map(row).collect()
}

/// One row a feed: hours, nights, packs.
pub(super) fn runtime(subject: &Subject<'_>) -> Table {
    let power = &subject.sums.power;
    let feeds = power.feeds.as_deref().unwrap_or_default();
    let row = |(feed, night): (&Studied, &Result<_, _>)| {
        let who = name(subject.job, feed);
        let Ok((_, found)): &Result<(_, crate::engineering::runtime::Runtime), _> = night else {
            let why = night
                .as_ref()
                .err()
                .map_or(String::new(), |e: &crate::assessment::calculations::Unavailable| {
                    e.to_string()
                });
            return vec![who, why];
        };
        let time = subject.plan.enclosure.as_ref();
        let time = time.map(|boxed| format!(", {} each", minutes(seal::swap(boxed).time())));
        let swap = match (found.empty_after, found.swap_every) {
            (Some(after), _) => format!("swap during the evening, before {}", clock(after)),
            (None, 0 | 1) => "swap before every evening".to_owned(),
            (None, n) => format!("swap every {n} evenings"),
        };
        let charging = subject.job.battery.as_ref().and_then(charging);
        vec![
            who,
            clock(found.evening),
            format!("{:.0}", found.energy),
            format!("{} %", trimmed(100.0 * found.share, 0)),
            clock(found.bench),
            clock(found.full_level),
            swap + &time.unwrap_or_default(),
            charging.map_or(String::new(), |each| {
                format!("{} in the season, {} each", found.charges, clock(each))
            }),
        ]
    };
    let rows = feeds.iter().zip(&power.nights).map(row).collect();
    let columns = [
        "feed",
        "#evening",
        "#energy",
        "#of a pack",
        "#new pack",
        "#planned",
        "swap plan",
        "charging",
    ];
    let caption = "What an evening takes from a pack, with cold, age and reserve, and when to swap. At full level a new \
                   pack lasts on the bench as long as \"new pack\" says; plan by the other. Mark the packs and use them in turn.";
    table(caption, &columns, rows)
}

/// Hours and minutes, downward.
fn clock(hours: crate::units::Hours) -> String {
    let minutes = (hours.get() * 60.0 + 1e-6).floor();
    format!("{:.0} h {:02.0} min", (minutes / 60.0).floor(), minutes % 60.0)
}
