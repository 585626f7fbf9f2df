//! Strap or pad press on the bark harder than it should bear.

use super::judge_sizes;
use crate::assessment::{Subject, undetermined};
use crate::design::PartId;
use crate::engineering::hold::{HoldInput, WindowError};
use crate::finding::{Finding, Rule, Severity};
use crate::units::{Force, Pressure};

/// See [`check`].
pub(crate) const RULE: Rule = Rule {
    code: "bark-bruised",
    title: "pressure of strap and pad on the bark",
    why: "pressed bark bruises, most of all in spring and early summer when the cambium is active",
    formula: "p = T / (r b) under a strap; p = (N + 6 M / H) / A + E x spread under a pad",
    source: "Mott, Machine Elements in Mechanical Design (band brakes); elastic foundation; the limit is common practice, no published value",
    cure: "pull less, use wider webbing or wider pads",
};

/// One finding for the bare strap and one for each saddle over the limit, at the tension asked for.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    judge_sizes(
        subject,
        |case| -case.most().get(),
        |case, wish| judge(case.part(), &case.input, wish),
    )
}

/// At this tension.
pub(crate) fn judge(part: &PartId, input: &HoldInput<'_>, tension: Force) -> Vec<Finding> {
    match pressures(input, tension) {
        Err(error) => vec![undetermined(&RULE, &error).part(part)],
        Ok((places, most)) => places
            .into_iter()
            .filter(|(_, pressure)| *pressure > input.bark_limit)
            .map(|(place, pressure)| {
                let message = format!(
                    "{place} presses {pressure:.0} on the bark at a strap tension of {tension:.0}"
                );
                let finding = Finding::new(RULE.code, Severity::Error, message)
                    .measured(format!("{pressure:.0}"), format!("at most {}", input.bark_limit))
                    .part(part)
                    .key("strap.tension")
                    .key("strap.width");
                match most {
                    Some(most) => {
                        finding.remedy("strap.tension", format!("at most {} N", most.get().floor()))
                    }
                    None => finding,
                }
            })
            .collect(),
    }
}

/// Pressures with their places, and the most tension when the window is open.
type Pressures = (Vec<(String, Pressure)>, Option<Force>);

fn pressures(input: &HoldInput<'_>, tension: Force) -> Result<Pressures, WindowError> {
    let window = input.window()?;
    let mut places = vec![("the bare strap".to_owned(), input.bare_pressure(tension)?)];
    for seat in 0..input.seats.len() {
        let place = format!("the pad of saddle {}", seat + 1);
        places.push((place, input.pad_pressure(seat, tension)?));
    }
    Ok((places, window.is_open().then_some(window.most)))
}
