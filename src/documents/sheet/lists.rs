//! What to print, to buy and to cut, as tables.

use std::collections::BTreeMap;

use super::super::Subject;
use super::super::beds::{BedList, FilledBed};
use super::table;
use crate::assessment::prints::Total;
use crate::build::BuiltPart;
use crate::formats::sheet::Table;
use crate::units::{Hours, Length, Mass, trimmed};

/// Mass, time and money as cells.
fn cells(total: &Total) -> [String; 3] {
    let cost = total.cost.map_or(String::new(), |c| format!("{c:.2}"));
    [grams(total.mass), hours(total.time), cost]
}

fn grams(mass: Mass) -> String {
    format!("{:.0} g", mass.get() * 1000.0)
}

/// Hours and minutes, upward to five minutes.
fn hours(time: Hours) -> String {
    let minutes = (time.get() * 12.0).ceil() * 5.0;
    let (h, m) = ((minutes / 60.0).floor(), minutes % 60.0);
    if h < 1.0 { format!("{m:.0} min") } else { format!("{h:.0} h {m:02.0} min") }
}

/// Copies of each part that are to be printed.
fn to_print<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (&'a BuiltPart, u32)> {
    let subject = *subject;
    subject.made.iter().map(move |made| (made, copies_to_print(&subject, made)))
}

/// Everything to print, in one line.
pub(super) fn total(subject: &Subject<'_>) -> String {
    let [mass, time, cost] = cells(&subject.sums.prints.total(to_print(subject)));
    let cost = if cost.is_empty() { cost } else { format!(", {cost} of plastic") };
    let copies: u32 = to_print(subject).map(|(_, copies)| copies).sum();
    format!("{copies} parts, {mass}, about {time}{cost}")
}

/// None of a part that an error blocks.
fn copies_to_print(subject: &Subject<'_>, made: &BuiltPart) -> u32 {
    if subject.blocks(made.id()) { 0 } else { made.spec.prints }
}

/// One row a distinct part.
pub(super) fn parts(subject: &Subject<'_>) -> Table {
    let prints = &subject.sums.prints;
    let row = |made: &BuiltPart| {
        let size = made.report.bounds.size().map(|l| trimmed(l.get(), 1)).join(" x ");
        let [mass, time, cost] = cells(&prints.total([(made, 1)]));
        let brim = prints.account(made.id()).is_some_and(|a| a.may_warp);
        let names: Vec<String> = made
            .spec
            .trunks
            .iter()
            .filter_map(|&t| subject.job.trunks.get(t))
            .map(|t| t.name.clone())
            .collect();
        let place = if subject.blocks(made.id()) {
            "blocked by an error, not to be printed".into()
        } else {
            super::cards::names(&names)
        };
        vec![
            made.name(),
            made.spec.copies.to_string(),
            copies_to_print(subject, made).to_string(),
            size,
            mass,
            time,
            cost,
            if brim { "yes".into() } else { String::new() },
            place,
        ]
    };
    let columns = [
        "part",
        "#wanted",
        "#to print",
        "size in mm",
        "#mass each",
        "#time each",
        "#cost each",
        "brim",
        "for",
    ];
    let rows = subject.made.iter().map(row).collect();
    Table {
        tick: true,
        ..table(
            "Print as laid, without supports. Times are estimates; set printer.time-factor from one finished print.",
            &columns,
            rows,
        )
    }
}

/// One row for each filled bed.
pub(super) fn beds(subject: &Subject<'_>, list: &BedList) -> Table {
    let row = |(number, bed): (usize, &FilledBed)| {
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        bed.copies.iter().for_each(|(part, _)| *counts.entry(*part).or_default() += 1);
        let copies = counts.iter().map(|(&part, &copies)| (&subject.made[part], copies));
        let sum = subject.sums.prints.total(copies);
        let what: Vec<String> = counts
            .iter()
            .map(|(&part, copies)| format!("{copies} x {}", subject.made[part].name()))
            .collect();
        let [mass, time, cost] = cells(&sum);
        let file = format!("bed-{}.3mf", number + 1);
        vec![file, bed.times.to_string(), what.join(", "), mass, time, cost]
    };
    let rows: Vec<Vec<String>> = list.beds.iter().enumerate().map(row).collect();
    let caption = match list.left_out.as_slice() {
        [] => "One file for each bed, in beds/; mass, time and cost are of one print of it."
            .to_owned(),
        parts => {
            let names: Vec<String> = parts.iter().map(|&p| subject.made[p].name()).collect();
            format!(
                "One file for each bed, in beds/; mass, time and cost are of one print of it. On no bed, see the findings: {}.",
                names.join(", ")
            )
        }
    };
    Table {
        tick: true,
        ..table(&caption, &["bed", "#times", "parts on it", "#mass", "#time", "#cost"], rows)
    }
}

/// What to buy: the lists of the sums, then what is sold by the metre or by the piece.
pub(super) fn buy(subject: &Subject<'_>) -> Table {
    let (job, plan, lists) = (subject.job, subject.plan, &subject.sums.lists);
    let metres = |l: Length| format!("{} m", trimmed(l.in_metres(), 1));
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut say = |count: String, what: String, place: &str| {
        rows.push(vec![count, what, place.to_owned()]);
    };
    say(plan.lamps.to_string(), job.fixture.name.clone(), "lamps");
    if let Some(battery) = &job.battery {
        let packs: u32 =
            subject.sums.power.nights.iter().flatten().map(|n| n.1.packs_per_night).sum();
        let packs = packs.max(plan.boxes).max(1);
        say(
            packs.to_string(),
            battery.name.clone(),
            "packs in use on one evening; spares to swap beside them",
        );
        if let Some(controller) = &job.controller {
            say(plan.boxes.max(1).to_string(), controller.name.clone(), "in the boxes");
        }
    }
    for item in &lists.buy {
        say(item.count.to_string(), item.name.clone(), &item.place);
    }
    let width = trimmed(lists.webbing.get(), 1);
    say(metres(lists.webbing_total), format!("webbing {width} mm"), "straps, cut as listed");
    let foam: f64 =
        lists.pads.iter().map(|p| p.width.get() * p.height.get() * f64::from(p.count)).sum();
    if let Some(pad) = lists.pads.first() {
        let thick = trimmed(pad.thickness.get(), 1);
        say(
            format!("{} dm2", trimmed((foam / 1000.0).ceil() / 10.0, 1)),
            format!("closed-cell foam {thick} mm"),
            "pads, without waste",
        );
    }
    if let Some(gasket) = &lists.gasket {
        let length = gasket.length * f64::from(gasket.count);
        say(metres(length), gasket.name.clone(), "gaskets of the lids");
    }
    let mut cables: BTreeMap<&str, Length> = BTreeMap::new();
    for cable in &lists.cables {
        *cables.entry(cable.conductor.as_str()).or_insert(Length::ZERO) += cable.length;
    }
    for (conductor, length) in cables {
        say(metres(length), format!("two-core cable {conductor}"), "feed, cut as listed");
    }
    let sum = subject.sums.prints.total(to_print(subject));
    if sum.mass > Mass::ZERO {
        let what = format!("{} filament", polymer(subject));
        say(
            format!("{} kg", trimmed(sum.mass.get(), 2)),
            what,
            "prints, without purge and failures",
        );
    }
    Table {
        tick: true,
        ..table(
            "Count before you order; nothing here is spare.",
            &["#how much", "what", "where it goes"],
            rows,
        )
    }
}

fn polymer(subject: &Subject<'_>) -> String {
    format!("{:?}", subject.job.polymer.kind).to_uppercase()
}

/// What to cut, longest lists last.
pub(super) fn cut(subject: &Subject<'_>) -> Table {
    let lists = &subject.sums.lists;
    let mm = |l: Length| format!("{:.0} mm", l.get());
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut straps: BTreeMap<(u64, &str), (u32, Vec<String>)> = BTreeMap::new();
    let mut sleeves = straps.clone();
    for strap in &lists.straps {
        let key = (strap.length.get().round().max(0.0) as u64, strap.holds);
        let entry = straps.entry(key).or_default();
        entry.0 += strap.count;
        entry.1.push(strap.trunk.clone());
        if let Some(sleeve) = strap.sleeve {
            let key = (sleeve.get().round().max(0.0) as u64, strap.holds);
            let entry = sleeves.entry(key).or_default();
            entry.0 += strap.count;
            entry.1.push(strap.trunk.clone());
        }
    }
    for ((length, holds), (count, trunks)) in straps {
        let place = format!("{holds}: {}", super::cards::names(&trunks));
        rows.push(vec!["strap".into(), count.to_string(), format!("{length} mm"), place]);
    }
    for ((length, holds), (count, trunks)) in sleeves {
        let place = format!("straps of {holds}: {}", super::cards::names(&trunks));
        rows.push(vec!["strap sleeve".into(), count.to_string(), format!("{length} mm"), place]);
    }
    for pad in &lists.pads {
        let size = format!("{} x {}", mm(pad.width), mm(pad.height));
        let place = format!("{}, template templates/pad-{}.svg", pad.part, pad.part);
        rows.push(vec!["foam pad".into(), pad.count.to_string(), size, place]);
    }
    if let Some(gasket) = &lists.gasket {
        rows.push(vec![
            gasket.name.clone(),
            gasket.count.to_string(),
            mm(gasket.length),
            format!("groove of the box; {}", gasket.joint),
        ]);
    }
    for cable in &lists.cables {
        let length = format!("{} m", trimmed(cable.length.in_metres(), 2));
        let place = format!("{} to {}", cable.from, cable.to);
        rows.push(vec![format!("cable {}", cable.conductor), "1".into(), length, place]);
    }
    Table {
        tick: true,
        ..table(
            "Straps with what buckle and tail take; cables as measured, add what your plugs take.",
            &["what", "#pieces", "#size", "for"],
            rows,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_rounded_upward_to_five_minutes() {
        // By hand: 0.51 h = 30.6 min; 2 h; 23.99 h = 23 h 59.4 min.
        let shown = [0.51, 2.0, 23.99, 0.0].map(|h| hours(Hours::hours(h)));
        assert_eq!(shown, ["35 min", "2 h 00 min", "24 h 00 min", "0 min"]);
    }
}
