//! `check`: plan, draw and measure everything, write nothing.

use super::args::JobArgs;
use super::input::Input;
use super::{Failure, Outcome, Output, make};
use crate::design::PreviousSet;

pub(super) fn run(args: &JobArgs, json: bool, output: &Output) -> Result<Outcome, Failure> {
    let input = Input::read(args, output)?;
    let worked = make::work(&input, &PreviousSet::default(), output);
    let findings = worked.as_ref().map_or_else(|f| &f.findings, |worked| &worked.findings);
    output.findings(&input, findings);
    if json {
        let about = match &worked {
            Ok(worked) => make::about(worked),
            Err(failure) => serde_json::json!({ "findings": failure.findings }),
        };
        let text = serde_json::to_string_pretty(&about).map_err(|e| Failure::Io(e.to_string()))?;
        output.data(format!("{text}\n").as_bytes())?;
    }
    match worked {
        Ok(worked) if !worked.failed() => {
            if !json {
                output.say(&make::job_summary(&worked));
            }
            Ok(Outcome::Done)
        }
        _ => Ok(Outcome::Failed),
    }
}
