//! What to know and to do at each trunk.
//!
//! Few trunks get a card each; where there are more than [`ONE_EACH`], trunks with the same numbers
//! share one, and beyond [`MOST_CARDS`] cards the table of all trunks has to do.

use super::super::Subject;
use super::table;
use crate::build::mark_lines;
use crate::design::SizeKind;
use crate::design::part::PartId;
use crate::design::{Plan, SizeClass};
use crate::engineering::seal::Closing;
use crate::formats::sheet::{Card, Fact, Table};
use crate::params::Mount;
use crate::standards::GasketKind;
use crate::units::{Angle, Length, Torque, trimmed};

/// Up to so many trunks have a card each.
const ONE_EACH: usize = 24;
/// Most cards.
const MOST_CARDS: usize = 200;
/// Names listed before "and so many more".
const MOST_NAMES: usize = 12;

/// Names as a list in words, the longest cut short.
pub(super) fn names(all: &[String]) -> String {
    match all.get(..MOST_NAMES) {
        Some(first) if all.len() > MOST_NAMES => {
            format!("{} and {} more", first.join(", "), all.len() - MOST_NAMES)
        }
        _ => all.join(", "),
    }
}

/// The cards, and the table of all trunks.
pub(super) fn cards(subject: &Subject<'_>) -> (Vec<Card>, Table) {
    let count = subject.job.trunks.len();
    let mut cards: Vec<(Vec<String>, Card)> = Vec::new();
    for index in 0..count {
        let card = card(subject, index);
        let same = |c: &(Vec<String>, Card)| c.1.facts == card.facts && c.1.steps == card.steps;
        let alike = if count > ONE_EACH { cards.iter().position(same) } else { None };
        let name = subject.job.trunks[index].name.clone();
        match alike {
            Some(there) => cards[there].0.push(name),
            None if cards.len() < MOST_CARDS => cards.push((vec![name], card)),
            None => {}
        }
    }
    let cards = cards.into_iter().map(|(all, card)| Card { name: names(&all), ..card }).collect();
    (cards, overview(subject))
}

/// A length to be cut, to whole millimetres, upward.
fn mm(length: Length) -> String {
    format!("{:.0}", length.get().ceil())
}

/// One row a trunk.
fn overview(subject: &Subject<'_>) -> Table {
    let (job, plan) = (subject.job, subject.plan);
    let row = |index: usize| {
        let (trunk, figures) = (&job.trunks[index], &subject.sums.results[index]);
        let or_blank = |text: Option<String>| text.unwrap_or_default();
        vec![
            trunk.name.clone(),
            mm(trunk.girth),
            match cradle(plan, index) {
                Some(class) if trunk.fixtures > 0 => {
                    format!("{} x {}", trunk.fixtures, SizeKind::Cradle.part(&class.mark))
                }
                _ => String::new(),
            },
            or_blank(figures.strap.map(mm)),
            or_blank(figures.tension.map(|t| format!("{t:.0}"))),
            or_blank(figures.scale.map(degrees)),
            or_blank(rail(plan, index).map(|class| SizeKind::Rail.part(&class.mark).to_string())),
            or_blank(figures.box_strap.map(mm)),
        ]
    };
    let columns = [
        "trunk",
        "#girth mm",
        "cradles",
        "#strap mm",
        "#pull to",
        "#scale",
        "box on",
        "#box strap mm",
    ];
    let rows = (0..job.trunks.len()).map(row).collect();
    table("Every trunk at a glance.", &columns, rows)
}

fn degrees(angle: Angle) -> String {
    format!("{}\u{b0}", trimmed(angle.deg(), 0))
}

fn cradle(plan: &Plan, trunk: usize) -> Option<&SizeClass> {
    plan.trunks.get(trunk)?.cradle.and_then(|c| plan.cradles.get(c)).map(|c| &c.class)
}

fn rail(plan: &Plan, trunk: usize) -> Option<&SizeClass> {
    plan.trunks.get(trunk)?.rail.and_then(|r| plan.rails.get(r)).map(|r| &r.class)
}

/// Facts and steps of one trunk.
fn card(subject: &Subject<'_>, index: usize) -> Card {
    let (job, plan) = (subject.job, subject.plan);
    let (trunk, figures) = (&job.trunks[index], &subject.sums.results[index]);
    let mut facts = vec![
        Fact::new("girth", format!("{:.0}", trunk.girth)),
        Fact::new("height above ground", format!("{:.0}", trunk.height)),
    ];
    let mut say = |label: &str, value: Option<String>| {
        facts.extend(value.map(|v| Fact::new(label, v)));
    };
    let class = cradle(plan, index).filter(|_| trunk.fixtures > 0);
    say(
        "cradles",
        class.map(|c| format!("{} x {}", trunk.fixtures, SizeKind::Cradle.part(&c.mark))),
    );
    let shape = match (trunk.edge(), trunk.diameters) {
        (Some(_), _) => Some("by straight edge"),
        (None, Some(_)) => Some("oval"),
        (None, None) => None,
    };
    if let Some((shape, girth)) = shape.zip(figures.as_round_as) {
        say(shape, Some(format!("as round as a girth of {girth:.0} where it sits")));
    }
    say("leans", (trunk.lean != Angle::ZERO).then(|| degrees(trunk.lean)));
    say("cradle serves girths", class.map(|c| format!("{} mm", mark_lines(c)[1])));
    if trunk.fixtures > 0 && class.is_none() {
        say("cradles", Some("none: no size serves this trunk".into()));
    }
    say("straps", figures.strap.map(|l| format!("{} x {}", figures.straps, whole(l))));
    say("pull each strap to", figures.tension.map(|t| format!("{t:.0}")));
    say("which feels like", figures.tension_hint.clone());
    say(
        "the pad then",
        figures.pad.map(|p| {
            let percent = |[a, b]: [f64; 2]| format!("{:.0} to {:.0} %", a * 100.0, b * 100.0);
            format!("pressed {}, a week later {}", percent(p.fresh), percent(p.later))
        }),
    );
    say(
        "pull left when nobody looks",
        figures.course.as_ref().map(|course| {
            let times = ["an hour", "a day", "a week", "a month"];
            let left = course.left.iter().zip(times);
            let left: Vec<String> =
                left.map(|((_, t), when)| format!("{t:.0} after {when}")).collect();
            left.join(", ")
        }),
    );
    say("keep within", figures.window.map(|[least, most]| format!("{:.0} to {:.0}", least, most)));
    say("tilt scale shows", figures.scale.map(degrees));
    say(
        "the foam gives",
        figures.pad.map(|p| {
            let tenth = |a: Angle| format!("{}\u{b0}", trimmed(a.deg(), 1));
            format!("{} under the lamp's weight, {} more in the gust", tenth(p.sag), tenth(p.nod))
        }),
    );
    if class.is_some() && figures.scale.is_none() {
        let missing = [
            ("fixture.beam-angle", job.fixture.beam_angle.is_none()),
            ("crown-base", trunk.crown_base.is_none()),
            ("crown-spread", trunk.crown_spread.is_none()),
        ];
        let missing: Vec<&str> = missing.iter().filter(|m| m.1).map(|m| m.0).collect();
        let why = format!("set by eye; the sum would need {}", missing.join(", "));
        say("tilt", Some(why).filter(|_| !missing.is_empty()));
    }
    say("lit spot at the crown", figures.spot.map(|l| format!("{} m", trimmed(l.in_metres(), 1))));
    say("light there", figures.light.map(|l| format!("{l:.0}")));
    if figures.bearings.len() > 1 {
        let bearings: Vec<String> = figures.bearings.iter().map(|b| degrees(*b)).collect();
        say("lamps round the trunk at", Some(bearings.join(", ")));
    }
    let rails = rail(plan, index);
    say("box", rails.map(|r| format!("on 2 x {}", SizeKind::Rail.part(&r.mark))));
    say("box straps", figures.box_strap.map(|l| format!("{} x {}", figures.box_straps, whole(l))));
    say("pull box straps to", figures.box_tension.map(|t| format!("{t:.0}")));
    say("remember", trunk.notes.clone());

    let on_trunk = class
        .map(|c| SizeKind::Cradle.part(&c.mark))
        .into_iter()
        .chain(rails.into_iter().flat_map(|r| [SizeKind::Rail.part(&r.mark), PartId::BoxBody]));
    let blocked = on_trunk.filter(|part| subject.blocks(part));
    let blocked: Vec<String> = blocked.map(|part| part.to_string()).collect();
    if !blocked.is_empty() {
        let none =
            format!("An error blocks {}: see the findings. Hang nothing here.", blocked.join(", "));
        return Card { name: trunk.name.clone(), facts, steps: vec![none], pictures: Vec::new() };
    }
    let mut steps = Vec::new();
    if rails.is_some() {
        steps.extend(bench_steps(subject));
        steps.push(
            "At the bench: screw both rails to the back of the box, pads in, straps through."
                .into(),
        );
    }
    if class.is_some() {
        cradle_steps(subject, index, &mut steps);
    }
    if rails.is_some() {
        box_steps(subject, index, &mut steps);
    }
    Card { name: trunk.name.clone(), facts, steps, pictures: Vec::new() }
}

/// To whole millimetres, upward, as it is cut.
fn whole(length: Length) -> String {
    format!("{} mm", mm(length))
}

fn cradle_steps(subject: &Subject<'_>, index: usize, steps: &mut Vec<String>) {
    let (job, yoke) = (subject.job, &subject.plan.yoke);
    let (trunk, figures) = (&job.trunks[index], &subject.sums.results[index]);
    let mut step = |text: String| steps.push(text);
    step("Look for nests and roosts, loose bark and old wounds; hang nothing on them.".into());
    step("Hold the test piece of the curve to the bark. It should not rock.".into());
    step(
        "Lay the pad in its recess and thread the straps through the passages, buckles outward."
            .into(),
    );
    if let Some(sleeve) = figures.sleeve {
        step(format!(
            "Slide the sleeves over the straps, {} in all on each: no strap lies on bare bark.",
            whole(sleeve)
        ));
    }
    step(format!(
        "Hold the cradle with its arrow up, middle {} above the ground, and close the straps by hand.",
        format_args!("{:.0}", trunk.height)
    ));
    match (figures.tension, &figures.tension_hint) {
        (Some(tension), Some(feel)) => step(format!(
            "Pull the straps in turn, a little each time, to {tension:.0} each ({feel}). Work the webbing round the trunk by hand so that the back is as tight as the front."
        )),
        _ => step("No tension of the straps is both safe and enough: see the findings. Do not hang the lamp.".into()),
    }
    if let (Mount::BasePlate { .. }, true) = (&job.fixture.mount, yoke.plate.is_some()) {
        step("Screw the tilt plate to the lamp.".into());
    }
    let lock = if yoke.lock.is_some() { "pivot and lock screws" } else { "pivot screws" };
    step(format!(
        "Hang the lamp between the ears with its {lock} ({}), washers outside, finger tight.",
        yoke.thread
    ));
    let torque = torque(subject);
    match figures.scale {
        Some(scale) => {
            step(format!("Set the scale to {} and tighten the screws{torque}.", degrees(scale)))
        }
        None => step(format!(
            "Set the tilt by eye in the dark and tighten the screws{torque}. Note what the scale shows: ____"
        )),
    }
    step(
        "Lead the safety lanyard round the trunk and through the lamp, on its own, not on a strap."
            .into(),
    );
    step("Lead the cable with a loop that drips below the lamp, and tie it without pull.".into());
}

/// How tight the tilt screws go: as the job asks, else the middle of what holds and does not crush.
fn torque(subject: &Subject<'_>) -> String {
    let Some([least, most]) = subject.sums.lock_torque else {
        return " by hand; no torque is both safe and enough: see the findings".into();
    };
    let middle = Torque::newton_metres(f64::midpoint(least.get(), most.get()));
    let asked = subject.job.site.lock_torque.unwrap_or(middle);
    // The window rounded inward, so that both ends are within it.
    let [from, to] =
        [(least.get() * 100.0).ceil(), (most.get() * 100.0).floor()].map(|x| x / 100.0);
    let window =
        if from <= to { format!(" (at least {from}, at most {to})") } else { String::new() };
    format!(" to {asked:.2}{window}")
}

/// What is done once to the box before it goes to its tree.
fn bench_steps(subject: &Subject<'_>) -> Vec<String> {
    let Some(boxed) = &subject.plan.enclosure else { return Vec::new() };
    let screw = boxed.screws.thread;
    let gasket = match boxed.groove.section.gasket.kind() {
        GasketKind::Cord => {
            "glue the cord into the groove, joint on a straight side; press it in without stretching."
        }
        GasketKind::Sponge => {
            "stick the sponge strip into the groove without stretching, ends pressed against each other \
             in the middle of the lower side."
        }
    };
    let lid = match boxed.screws.closing {
        Closing::Knobs => format!(
            "put an {screw} screw through each knob and the lid, and push a rubber ring on it from \
             inside, into its pocket."
        ),
        Closing::Screws => format!(
            "put an {screw} screw with its washer through each hole of the lid, and push a rubber ring \
             on it from inside, into its pocket."
        ),
    };
    [gasket.to_owned(), lid].map(|what| format!("At the bench: {what}")).to_vec()
}

fn box_steps(subject: &Subject<'_>, index: usize, steps: &mut Vec<String>) {
    let (job, figures) = (subject.job, &subject.sums.results[index]);
    let mut step = |text: String| steps.push(text);
    if let Some(sleeve) = figures.box_sleeve {
        step(format!("Slide sleeves over the box's straps, {} in all on each.", whole(sleeve)));
    }
    match figures.box_tension {
        Some(tension) => step(format!("Hang the box with its cable glands down and pull both straps to {tension:.0}.")),
        None => step("No tension of the box's straps is both safe and enough: see the findings. Do not hang the box.".into()),
    }
    step("Lead the safety lanyard from its eye round the trunk.".into());
    step(
        "Draw the cables through the glands with a loop that drips, and tighten the glands.".into(),
    );
    if job.battery.is_some() {
        step("Fuse out, battery in, then the fuse. Switch on and look at every lamp down to the last.".into());
    }
    let closed = "crosswise, a little each time, until the lid lies on the land all round.";
    let boxed = subject.plan.enclosure.as_ref().map(|boxed| boxed.screws.closing);
    match boxed {
        Some(Closing::Screws) => step(format!("Close the lid: screws {closed}")),
        _ => step(format!("Close the lid: knobs by hand, {closed}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_of_names_are_cut_short() {
        let all: Vec<String> = (1..=14).map(|i| i.to_string()).collect();
        assert_eq!(names(&all), "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 2 more");
        assert_eq!(names(&all[..12]), "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12");
        assert_eq!(names(&[]), "");
    }
}
