//! `check`: plan, draw and measure everything, write nothing.

use super::args::JobArgs;
use super::input::Input;
use super::{Failure, Outcome, Output, make};
use crate::design::PreviousSet;

pub(super) fn run(args: &JobArgs, json: bool, output: &Output) -> Result<Outcome, Failure> {
    let input = Input::read(args, output)?;
    let work = make::Work::of(&input, &PreviousSet::default(), output);
    output.findings(&input.sources(), &input.map, &work.findings);
    if json {
        let text = serde_json::to_string_pretty(&work.about(&input.job))
            .map_err(|e| Failure::Io(e.to_string()))?;
        output.data(format!("{text}\n").as_bytes())?;
    } else if !work.failed() {
        output.say(&work.in_short(&input.job));
    }
    Ok(if work.failed() { Outcome::Failed } else { Outcome::Done })
}
