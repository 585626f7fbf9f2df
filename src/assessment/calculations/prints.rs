//! What the prints cost in plastic and time, and what they ask of the printer: walls, bridges and
//! overhangs, measured once for the account and for the checks.

use std::collections::BTreeMap;

use super::Section;
use crate::assessment::checks::wall_too_thin::{self, Thinnest};
use crate::assessment::checks::{Finding, bridge_too_long, not_found, overhang_hangs_free};
use crate::build::Made;
use crate::design::Plan;
use crate::engineering::account::Line;
use crate::engineering::print::{PrintAccount, PrintError, print_account};
use crate::mesh::MeshFault;
use crate::mesh::overhang::{Overhang, OverhangError, overhang};
use crate::params::Job;
use crate::units::{Hours, Length, Mass, trimmed};

/// What is measured on one print, for the account and for the checks.
#[derive(Debug, Clone)]
pub struct Measured {
    account: Result<PrintAccount, PrintError>,
    thinnest: Result<Option<Thinnest>, MeshFault>,
    overhang: Result<Overhang, OverhangError>,
}

impl Measured {
    /// Measures a part that was made. Parts do not depend on each other, so that the caller may
    /// measure several at once.
    #[must_use]
    pub fn of(job: &Job, made: &Made) -> Self {
        Self {
            account: print_account(&made.mesh, &job.printer, &job.polymer),
            thinnest: wall_too_thin::thinnest(made),
            overhang: overhang(&made.mesh, job.printer.overhang),
        }
    }

    /// Measures every part, one after the other.
    #[must_use]
    pub fn all(job: &Job, made: &[Made]) -> Vec<Self> {
        made.iter().map(|one| Self::of(job, one)).collect()
    }
}

/// Accounts of the parts made.
#[derive(Debug, Clone)]
pub(crate) struct Prints {
    parts: BTreeMap<String, Print>,
    absent: Vec<String>,
    /// Width of an extrusion line.
    line: Length,
    /// What the checks say of walls, bridges and overhangs.
    pub(crate) findings: Vec<Finding>,
}

/// One part.
#[derive(Debug, Clone)]
struct Print {
    account: PrintAccount,
    /// Copies still to print.
    copies: u32,
    /// Its thinnest wall, where one could be measured.
    thinnest: Option<Thinnest>,
    /// What hangs, where it could be measured.
    overhang: Option<Overhang>,
}

/// Plastic and time of several copies.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Total {
    pub(crate) mass: Mass,
    pub(crate) time: Hours,
    pub(crate) filament: Length,
    /// None where no copy has a price.
    pub(crate) cost: Option<f64>,
}

impl Total {
    /// Adds copies of one part.
    pub(crate) fn add(&mut self, account: &PrintAccount, copies: u32) {
        let n = f64::from(copies);
        self.mass += account.mass * n;
        self.time += account.time * n;
        self.filament += account.filament * n;
        if let Some(one) = account.cost {
            self.cost = Some(self.cost.unwrap_or(0.0) + one * n);
        }
    }
}

impl Prints {
    /// From the parts and what was [measured](Measured) on each, in the same order.
    pub(crate) fn of(job: &Job, plan: &Plan, made: &[Made], measured: &[Measured]) -> Self {
        let mut found = Self {
            parts: BTreeMap::new(),
            absent: Vec::new(),
            line: job.printer.line,
            findings: Vec::new(),
        };
        for (one, Measured { account, thinnest, overhang }) in made.iter().zip(measured) {
            let name = one.order.part.name.clone();
            let copies = one.order.prints;
            found.findings.extend(wall_too_thin::check(job, one, thinnest));
            match overhang {
                Ok(overhang) => {
                    found.findings.extend(overhang_hangs_free::check(job, one, overhang));
                    found.findings.extend(bridge_too_long::check(job, plan, one, overhang));
                }
                Err(why) => {
                    found.findings.push(not_found(&overhang_hangs_free::RULE, &name, why));
                }
            }
            match account {
                Ok(account) => {
                    let thinnest = thinnest.as_ref().ok().copied().flatten();
                    let overhang = overhang.as_ref().ok().cloned();
                    let print = Print { account: *account, copies, thinnest, overhang };
                    found.parts.insert(name, print);
                }
                Err(why) => found.absent.push(format!("{name}: {why}")),
            }
        }
        found
    }

    /// Plastic and time of one copy; none where the sum has no result.
    pub(crate) fn account(&self, part: &str) -> Option<&PrintAccount> {
        self.parts.get(part).map(|p| &p.account)
    }

    /// Plastic and time of so many copies of these parts.
    pub(crate) fn total<'a>(&self, copies: impl IntoIterator<Item = (&'a Made, u32)>) -> Total {
        let mut total = Total::default();
        for (made, copies) in copies {
            let account = self.account(&made.order.part.name);
            account.iter().for_each(|account| total.add(account, copies));
        }
        total
    }

    /// Mass of one copy.
    pub(crate) fn mass(&self, part: &str) -> Option<Mass> {
        self.account(part).map(|account| account.mass)
    }

    pub(crate) fn section(&self) -> Section {
        let mut section = Section::new("prints");
        let mut total = Total::default();
        for (name, Print { account, copies, thinnest, overhang }) in &self.parts {
            total.add(account, *copies);
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
            if let Some(Thinnest { wall, face, .. }) = thinnest {
                section.lines.push(
                    Line::new(
                        format!("{name}: smallest feature"),
                        "thinnest wall / line width",
                        format!("{wall:.2}, {:.1} lines", *wall / self.line),
                        "measured on the mesh, straight behind sampled faces",
                    )
                    .input("behind its", face)
                    .input("line", self.line),
                );
            }
            if let Some(overhang) = overhang {
                section.lines.push(
                    Line::new(
                        format!("{name}: longest bridge, and what hangs beyond the overhang limit"),
                        "longest line across a hanging region from held rim to held rim; sum of the regions' areas",
                        format!("{:.1}, {:.0}", overhang.longest_bridge(), overhang.area()),
                        "measured on the mesh in its print pose",
                    )
                    .input("on the bed", format!("{:.0}", overhang.bed_contact)),
                );
            }
        }
        let Total { mass, time, filament, cost } = total;
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
