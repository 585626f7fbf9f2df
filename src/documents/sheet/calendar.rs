//! When to look again: from mounting to taking down.
//!
//! Straps are pulled again or let out when the sum says that the pull leaves its window; everything is
//! looked at then, every month after mounting, and after every storm: common practice for straps on
//! living trees, no source.

use std::collections::BTreeMap;

use jiff::Span;
use jiff::civil::Date;

use super::cards::names;
use crate::assessment::TrunkResults;
use crate::assessment::power::Power;
use crate::engineering::season::Do;
use crate::formats::sheet::Fact;
use crate::params::Job;

/// What is looked at each time.
const LOOK: &str =
    "straps, buckles and pads; bolts of the yoke; bark beside the pads; water in the box";
/// More monthly dates than this are told in one line.
const MONTHS: i32 = 24;

/// Dates and what to do on them.
pub(super) fn calendar(job: &Job, power: &Power, results: &[TrunkResults]) -> Vec<Fact> {
    let mut all = Vec::new();
    let due = due(job, results);
    match job.job.install {
        Some(install) => {
            dated(install, job.job.take_down, &due, &mut all);
            all.sort_by(|a, b| a.label.cmp(&b.label));
        }
        None => {
            let plain = [
                ("before mounting", "ask the owner, look for nests and roosts, charge the packs"),
                ("every month", LOOK),
            ];
            all.extend(plain.map(|(when, what)| Fact::new(when, what)));
            let after = |day: &u32| match day {
                0 => "on the day of mounting".to_owned(),
                1 => "one day after mounting".to_owned(),
                n => format!("{n} days after mounting"),
            };
            all.extend(due.iter().map(|(day, what)| Fact::new(after(day), what.as_str())));
        }
    }
    all.push(Fact::new(
        format!("after every storm, and when gusts above {} are forecast", job.site.gust),
        "before: take down what must not fly; after: look at everything again",
    ));
    let nights = power
        .nights
        .iter()
        .flatten()
        .map(|n| if n.1.nights_per_charge == 0 { 0 } else { n.1.swap_every })
        .min();
    if let Some(nights) = nights {
        let when = match nights {
            0 => "during every evening".to_owned(),
            1 => "before every evening".to_owned(),
            n => format!("every {n} evenings"),
        };
        all.push(Fact::new(
            when,
            "charged packs in, empty ones out; charge indoors, never below 0 C",
        ));
    }
    match (job.job.install, job.job.take_down) {
        (_, Some(day)) => all.push(Fact::new(day.to_string(), DOWN)),
        (_, None) => all.push(Fact::new("at the end of the season", DOWN)),
    }
    all
}

/// What falls due on which day after mounting, the day before the pull leaves its window.
fn due(job: &Job, results: &[TrunkResults]) -> BTreeMap<u32, String> {
    let mut days: BTreeMap<u32, BTreeMap<Do, Vec<String>>> = BTreeMap::new();
    for (trunk, found) in job.trunks.iter().zip(results) {
        for visit in found.course.iter().flat_map(|c| &c.visits) {
            let day = (visit.due.get() / HOURS_A_DAY).floor() as u32;
            days.entry(day).or_default().entry(visit.what).or_default().push(trunk.name.clone());
        }
    }
    let told = |(what, who): (Do, Vec<String>)| match what {
        Do::Tighten => format!("pull the straps again on {}", names(&who)),
        Do::Slacken => format!("let the straps out on {}", names(&who)),
    };
    let all = |due: BTreeMap<Do, Vec<String>>| due.into_iter().map(told).collect::<Vec<_>>();
    days.into_iter().map(|(day, due)| (day, all(due).join("; "))).collect()
}

const HOURS_A_DAY: f64 = 24.0;

/// The last day.
const DOWN: &str = "take everything down: lamps, boxes, straps, pads, ties; look at the bark and note what it shows";

/// Dates from mounting on, up to the day before taking down.
fn dated(install: Date, take_down: Option<Date>, due: &BTreeMap<u32, String>, all: &mut Vec<Fact>) {
    let within = |day: &Date| take_down.is_none_or(|end| *day < end);
    let mut say = |day: Date, what: &str| all.push(Fact::new(day.to_string(), what));
    say(install, "mount; look at every lamp in the dark");
    // Additions leave the calendar only in the year 9999: then there is no such date.
    let after = |span: Span| install.checked_add(span).ok().filter(within);
    for (days, what) in due {
        after(Span::new().days(i64::from(*days))).into_iter().for_each(|day| say(day, what));
    }
    for month in 1..=MONTHS {
        match after(Span::new().months(month)) {
            Some(day) => say(day, LOOK),
            None => return,
        }
    }
    all.push(Fact::new("then every month", LOOK));
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn days(install: Date, end: Option<Date>) -> Vec<String> {
        let mut all = Vec::new();
        dated(install, end, &BTreeMap::from([(9, "pull again".to_owned())]), &mut all);
        all.into_iter().map(|f| f.label).collect()
    }

    #[test]
    fn dates_run_to_the_day_before_taking_down() {
        // By a wall calendar: the month after 31 January ends on the 28th, and March has 31 days again.
        assert_eq!(
            days(date(2027, 1, 31), Some(date(2027, 4, 1))),
            ["2027-01-31", "2027-02-09", "2027-02-28", "2027-03-31"]
        );
        assert_eq!(days(date(2027, 6, 1), Some(date(2027, 6, 2))), ["2027-06-01"]);
        assert_eq!(days(date(9999, 12, 31), None), ["9999-12-31"]);
        assert_eq!(days(date(2027, 1, 1), None).last().unwrap(), "then every month");
    }
}
