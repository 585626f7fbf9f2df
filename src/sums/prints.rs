//! What the prints cost in plastic and time.

use std::collections::BTreeMap;

use super::Section;
use crate::engineering::account::Line;
use crate::engineering::print::{PrintAccount, print_account};
use crate::params::Job;
use crate::produce::Made;
use crate::units::{Hours, Length, Mass, trimmed};

/// Accounts of the parts made.
pub(crate) struct Prints {
    /// One entry a part: account, copies still to print.
    parts: BTreeMap<String, (PrintAccount, u32)>,
    absent: Vec<String>,
}

impl Prints {
    pub(crate) fn of(job: &Job, made: &[Made]) -> Self {
        let mut found = Self { parts: BTreeMap::new(), absent: Vec::new() };
        for one in made {
            let name = one.order.part.name.clone();
            let copies = one.order.prints;
            match print_account(&one.mesh, &job.printer, &job.polymer) {
                Ok(account) => {
                    found.parts.insert(name, (account, copies));
                }
                Err(why) => found.absent.push(format!("{name}: {why}")),
            }
        }
        found
    }

    /// Mass of one copy.
    pub(crate) fn mass(&self, part: &str) -> Option<Mass> {
        self.parts.get(part).map(|(account, _)| account.mass)
    }

    pub(crate) fn section(&self) -> Section {
        let mut section = Section::new("prints");
        let (mut mass, mut time, mut filament) = (Mass::ZERO, Hours::ZERO, Length::ZERO);
        let mut cost = None;
        for (name, (account, copies)) in &self.parts {
            let n = f64::from(*copies);
            mass += account.mass * n;
            time += account.time * n;
            filament += account.filament * n;
            if let Some(one) = account.cost {
                cost = Some(cost.unwrap_or(0.0) + one * n);
            }
            let warp = if account.may_warp { ", wants a brim" } else { "" };
            section.lines.push(
                Line::new(
                    format!("{name}: plastic and time of one copy"),
                    "walls + skins + infill; factor (deposited/flow + layers x 2 s)",
                    format!("{:.3}, {:.1} (estimate){warp}", account.mass, account.time),
                    "density of the polymer table; time is an estimate, common practice",
                )
                .input("volume", format!("{:.0}", account.volume))
                .input("deposited", format!("{:.0}", account.deposited))
                .input("layers", account.layers)
                .input("copies to print", copies),
            );
        }
        let price = cost.map_or(String::new(), |c| format!(", costs {}", trimmed(c, 2)));
        section.lines.push(
            Line::new(
                "all prints",
                "sum of copies x one",
                format!("{mass:.2}, {time:.1} (estimate){price}"),
                "sums of the above",
            )
            .input("filament", format!("{} m", trimmed(filament.in_metres(), 0))),
        );
        section.absent.clone_from(&self.absent);
        section
    }
}
