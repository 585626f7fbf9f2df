//! `fit`: which printed size serves a girth, how well, and for how long.

use std::fmt::Write;

use serde::Serialize;

use super::args::JobArgs;
use super::input::Input;
use super::{Failure, Outcome, Output, counted};
use crate::assessment::{Calculations, PadState};
use crate::assessment::{Subject, assess};
use crate::build::mark_lines;
use crate::design::foam_trade_off::trade_off;
use crate::design::saddle::Saddle;
use crate::design::seating;
use crate::design::{self, CradleSize, PartId, Plan, PreviousSet, Settled, SizeClass};
use crate::engineering::fit::{FitError, Margin, margin};
use crate::engineering::pull::{Conditions, Hung};
use crate::engineering::served::{Rehearsal, Shim, rehearsal};
use crate::params::{self, Job, Place, Problem, Trunk};
use crate::units::{Force, Length, trimmed};

/// How a girth is served.
#[derive(Debug, Clone, Serialize)]
struct Answer {
    /// The girth asked for.
    girth: Length,
    /// A size of the job, or one that would have to be printed.
    in_job: bool,
    /// The part's name; for a new size the name that it would get.
    part: Option<String>,
    /// Girths engraved on it.
    serves: Option<String>,
    /// Pull on each strap.
    pull: Option<Force>,
    /// How the pad lies then.
    pad: Option<PadState>,
    /// Girth left before it stops fitting.
    margin: Option<Margin>,
    /// Webbing to cut for each strap, with one lamp on the trunk.
    strap: Option<Length>,
    /// What to do.
    advice: String,
}

pub(super) fn run(
    args: &JobArgs,
    girths: &[String],
    json: bool,
    output: &Output,
) -> Result<Outcome, Failure> {
    let input = Input::read(args, output)?;
    let lengths = lengths(&input, girths, output)?;
    let Settled { job, plan } = match design::settle(&input.job, &PreviousSet::default()) {
        Ok(settled) => settled,
        Err(error) => {
            let findings = assess(&Subject::planned(&input.job, Err(&error)));
            output.findings(&input, &findings);
            return Ok(Outcome::Failed);
        }
    };
    if lengths.is_empty() {
        output.data(overview(&job, &plan, json)?.as_bytes())?;
        return Ok(if plan.unserved.is_empty() { Outcome::Done } else { Outcome::Failed });
    }
    let answers: Vec<Answer> = lengths
        .iter()
        .map(|&girth| answer(&job, &plan, girth))
        .collect::<Result<_, _>>()
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let text = if json {
        serde_json::to_string_pretty(&answers).map_err(|e| Failure::Io(e.to_string()))? + "\n"
    } else {
        answers.iter().map(told).collect()
    };
    output.data(text.as_bytes())?;
    let all = answers.iter().all(|a| a.part.is_some());
    Ok(if all { Outcome::Done } else { Outcome::Failed })
}

/// The girths asked for; every text that is no girth is shown, with what to write instead.
///
/// # Errors
/// [`Failure::Refused`] when there is one.
fn lengths(input: &Input, girths: &[String], output: &Output) -> Result<Vec<Length>, Failure> {
    let mut lengths = Vec::new();
    let mut wrong = Vec::new();
    for text in girths {
        match params::read_girth(text) {
            Ok(girth) => lengths.push(girth),
            Err(error) => {
                let named = |t: &&Trunk| t.name.to_lowercase() == text.trim().to_lowercase();
                let (message, remedy) = match input.job.trunks.iter().find(named) {
                    Some(trunk) => (
                        "this is the name of a trunk, and a girth is needed".to_owned(),
                        format!("write \"{} mm\" for its own", trimmed(trunk.girth.get(), 1)),
                    ),
                    None => (error.to_string(), params::girth_remedy(text)),
                };
                let place = Place { given: Some(format!("\"{text}\"")), ..Place::in_job(0..0) };
                let problem = Problem::new("bad-override", place, message).with_remedy(remedy);
                wrong.push(problem);
            }
        }
    }
    output.problems(&input.sources(), &wrong);
    if wrong.is_empty() { Ok(lengths) } else { Err(Failure::Refused(wrong.len())) }
}

/// A size of the job in the overview.
#[derive(Debug, Serialize)]
struct JobSize<'a> {
    part: String,
    /// Girths engraved on it.
    serves: String,
    trunks: Vec<&'a str>,
}

/// The job's sizes, and how many other foams would need.
fn overview(job: &Job, plan: &Plan, json: bool) -> Result<String, Failure> {
    let listed = |(part, class, _): (PartId, &SizeClass, &Saddle)| {
        let [_, serves] = mark_lines(class);
        let trunks = class.trunks.iter().map(|&t| job.trunks[t].name.as_str()).collect();
        JobSize { part: part.to_string(), serves, trunks }
    };
    let sizes: Vec<JobSize<'_>> = plan.saddles().map(listed).collect();
    let foams = trade_off(job);
    if json {
        let value = serde_json::json!({ "sizes": sizes, "foams": foams });
        let text = serde_json::to_string_pretty(&value).map_err(|e| Failure::Io(e.to_string()))?;
        return Ok(text + "\n");
    }
    /// Names of trunks on a line, before the rest is only counted.
    const NAMED: usize = 4;
    let mut text = String::from("sizes\n");
    for size in &sizes {
        let mut who = size.trunks.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
        if size.trunks.len() > NAMED {
            let _ = write!(who, " and {} more", size.trunks.len() - NAMED);
        }
        let _ = writeln!(text, "  {:<12}{:>11} mm  {who}", size.part, size.serves);
    }
    text += "\nfoam, and the fewest sizes with it\n";
    for row in &foams {
        let mut sizes = counted(row.cradles, "cradle size");
        if row.rails > 0 {
            let _ = write!(sizes, ", {}", counted(row.rails, "rail size"));
        }
        if row.unserved > 0 {
            let _ = write!(sizes, "; {} without one", counted(row.unserved, "trunk"));
        }
        let own = if row.chosen { "  (this job)" } else { "" };
        let _ = writeln!(text, "  {:>8}  {sizes}{own}", row.thickness.to_string());
    }
    Ok(text)
}

/// Plans a job of one trunk of this girth, with the sizes of the job in hand.
fn answer(job: &Job, plan: &Plan, girth: Length) -> Result<Answer, FitError> {
    // Growth and height as of the job's first trunk: a job has at least one.
    let Some(model) = job.trunks.first().cloned() else {
        return Err(FitError::NotPositive { what: "number of trunks", value: Length::ZERO });
    };
    let one = Job {
        trunks: vec![Trunk {
            name: "this girth".into(),
            girth,
            upper_girth: None,
            upper_height: None,
            diameters: None,
            straight_edge: None,
            fixtures: 1,
            carries_box: false,
            lean: crate::units::Angle::ZERO,
            ..model
        }],
        ..job.clone()
    };
    // A print that is there serves the trunk as it is; a new one shall serve what grows as well.
    let mut today = one.clone();
    today.job.years = 0.0;
    let nothing = |advice: String| Answer {
        girth,
        in_job: false,
        part: None,
        serves: None,
        pull: None,
        pad: None,
        margin: None,
        strap: None,
        advice,
    };
    let none = || nothing("this girth cannot be planned for; run check on the job".into());
    let Ok(now) = design::plan(&today, &plan.as_previous()) else { return Ok(none()) };
    let kept = now.cradles.iter().any(|c| c.class.kept);
    let (one, planned) = if kept {
        (today, now)
    } else {
        let Ok(planned) = design::plan(&one, &plan.as_previous()) else { return Ok(none()) };
        (one, planned)
    };
    let Some(size) = planned.trunks.first().and_then(|t| t.cradle).map(|c| &planned.cradles[c])
    else {
        return Ok(nothing(format!("no size serves it with this foam{}", tried(job, plan, girth))));
    };
    let class: &SizeClass = &size.class;
    let growth = one.trunks[0].growth.unwrap_or(job.job.growth);
    let room = margin(girth, class.size.girth_from, class.size.girth_to, growth);
    let results = Calculations::new(&one, &planned, &[], &[]).results;
    let found = results.first();
    let advice = if class.kept {
        "strap it on; check again when it has grown".into()
    } else {
        format!("print a new size: add this trunk to the job and make{}", tried(job, plan, girth))
    };
    Ok(Answer {
        girth,
        in_job: class.kept,
        part: Some(size.id().to_string()),
        serves: Some(mark_lines(class)[1].clone()),
        pull: found.and_then(|f| f.tension),
        pad: found.and_then(|f| f.pad),
        margin: Some(room),
        strap: found.and_then(|f| f.strap),
        advice,
    })
}

/// How the nearest print of the job can be tried on a girth that it does not serve, in still air.
fn tried(job: &Job, plan: &Plan, girth: Length) -> String {
    let off = |c: &&CradleSize| {
        let size = &c.class.size;
        (size.girth_from - girth).max(girth - size.girth_to).get()
    };
    let nearest = plan.cradles.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let Some(cradle) = nearest else { return String::new() };
    let Ok(common) = seating::conditions(job) else { return String::new() };
    let hung = seating::lamp(job, &plan.yoke.on(cradle.saddle.height), &cradle.saddle);
    let still = Hung { front: Force::ZERO, side: Force::ZERO, ..hung };
    let bark = cradle.class.trunks.first().map_or(Length::ZERO, |&t| job.trunks[t].bark.relief());
    let conditions = Conditions { hung: still, relief: bark, ..common };
    let Rehearsal { foam, shim } =
        rehearsal(&seating::print(job, &cradle.saddle), &conditions, girth);
    let foam = foam.map(|t| format!("foam of {t:.0}"));
    let shim = shim.map(|shim| match shim {
        Shim::Middle(t) => format!("{t:.1} packed behind the middle of its pad"),
        Shim::Edges(t) => format!("{t:.1} packed behind both edges of its pad"),
    });
    let ways: Vec<String> = [foam, shim].into_iter().flatten().collect();
    if ways.is_empty() {
        return String::new();
    }
    format!("; for a rehearsal in still air {} holds with {}", cradle.id(), ways.join(", or with "))
}

fn told(answer: &Answer) -> String {
    // As it was asked for: a rounded girth could lie on the other side of a size's end.
    let mut text = format!("{:.1} of girth\n", answer.girth);
    if let (Some(part), Some(serves)) = (&answer.part, &answer.serves) {
        let how = if answer.in_job { "serves" } else { "would serve" };
        let _ = writeln!(text, "  part    {part} {how} {serves} mm");
    }
    if let Some(pull) = answer.pull {
        let _ = writeln!(text, "  pull    {pull:.0} on each strap");
    }
    if let Some(pad) = &answer.pad {
        let percent = |[a, b]: [f64; 2]| format!("{:.0} to {:.0} %", a * 100.0, b * 100.0);
        let [fresh, later] = [pad.fresh, pad.later].map(percent);
        let _ = writeln!(text, "  pad     pressed {fresh}, a week later {later}");
    }
    if let Some(room) = &answer.margin {
        /// No forecast goes farther: the tree, the strap and the print will not be the same.
        const FORESEEN: f64 = 30.0;
        let years = room.years.map_or(String::new(), |years| {
            let more = if years > FORESEEN { "more than " } else { "" };
            format!(", {more}{:.0} years at its growth", years.min(FORESEEN).floor())
        });
        // Room is never rounded up.
        let [below, above] = [room.below, room.above].map(|l| Length::mm(l.get().floor()));
        let _ = writeln!(text, "  margin  {below:.0} thinner, {above:.0} thicker{years}");
    }
    if let Some(strap) = answer.strap {
        let _ = writeln!(text, "  straps  cut each to {strap:.0}");
    }
    let _ = writeln!(text, "  do      {}", answer.advice);
    text
}
