//! What the prints cost in plastic and time, and what they ask of the printer: walls, bridges and
//! overhangs, measured once for the report and for the rules.

pub(super) mod bed_too_small;
pub(super) mod bridge_too_long;
pub(super) mod mark_omitted;
pub(super) mod overhang_hangs_free;
pub(super) mod part_invalid;
pub(super) mod wall_too_thin;

use std::collections::BTreeMap;

use self::wall_too_thin::Thinnest;
use super::Subject;
use super::calculations::{Section, Unavailable};
use crate::build::BuiltPart;
use crate::design::PartId;
use crate::engineering::account::Line;
use crate::engineering::print::{PrintAccount, PrintError, PrintSettings, print_account};
use crate::mesh::MeshFault;
use crate::mesh::overhang::{Overhang, OverhangError, overhang};
use crate::params::Job;
use crate::units::{Hours, Length, Mass, trimmed};

/// Least wall that carries strap, lamp or bolt.
pub(crate) const LEAST_WALL: Length = Length::mm(2.4);

/// What is measured on one print, for the report and for the rules.
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
    pub fn of(job: &Job, made: &BuiltPart) -> Self {
        Self {
            account: print_account(&made.mesh, &settings(job)),
            thinnest: wall_too_thin::thinnest(made),
            overhang: overhang(&made.mesh, job.printer.overhang),
        }
    }

    /// Measures every part, one after the other.
    #[must_use]
    pub fn all(job: &Job, made: &[BuiltPart]) -> Vec<Self> {
        made.iter().map(|one| Self::of(job, one)).collect()
    }
}

/// Slicer and plastic of a job.
fn settings(job: &Job) -> PrintSettings {
    let printer = &job.printer;
    PrintSettings {
        line: printer.line,
        layer: printer.layer,
        walls: printer.wall_lines,
        skins: printer.solid_layers,
        infill: printer.infill,
        flow: printer.flow,
        time_factor: printer.time_factor,
        polymer: job.polymer.kind,
        price: job.polymer.price,
    }
}

/// Accounts of the parts that were built.
#[derive(Debug, Clone)]
pub(crate) struct Prints {
    parts: BTreeMap<PartId, Print>,
    absent: Vec<String>,
    /// Width of an extrusion line.
    line: Length,
    /// What was measured on each part, in the order of the parts.
    measured: Vec<Measured>,
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
    pub(crate) fn of(job: &Job, parts: &[BuiltPart], measured: &[Measured]) -> Self {
        let line = job.printer.line;
        let measured = measured.to_vec();
        let mut found = Self { parts: BTreeMap::new(), absent: Vec::new(), line, measured };
        for (part, Measured { account, thinnest, overhang }) in parts.iter().zip(&found.measured) {
            match account {
                Ok(account) => {
                    let print = Print {
                        account: *account,
                        copies: part.spec.prints,
                        thinnest: thinnest.as_ref().ok().copied().flatten(),
                        overhang: overhang.as_ref().ok().cloned(),
                    };
                    found.parts.insert(part.id().clone(), print);
                }
                Err(why) => found.absent.push(format!("{}: {why}", part.id())),
            }
        }
        found
    }

    /// Plastic and time of one copy; `None` where the calculation failed.
    pub(crate) fn account(&self, part: &PartId) -> Option<&PrintAccount> {
        self.parts.get(part).map(|p| &p.account)
    }

    /// Plastic and time of so many copies of these parts.
    pub(crate) fn total<'a>(
        &self,
        copies: impl IntoIterator<Item = (&'a BuiltPart, u32)>,
    ) -> Total {
        let mut total = Total::default();
        for (made, copies) in copies {
            let account = self.account(made.id());
            account.iter().for_each(|account| total.add(account, copies));
        }
        total
    }

    /// Mass of one copy, for what bears it.
    pub(crate) fn known_mass(&self, part: &PartId) -> Result<Mass, Unavailable> {
        let mass = self.account(part).map(|account| account.mass);
        mass.ok_or_else(|| {
            Unavailable::elsewhere(format!("the mass of {part} is not known, it was not made"))
        })
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
                    "walls + solid layers + infill; factor (deposited/flow + layers x 2 s)",
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

/// Every part with what was measured on it.
fn measured<'a>(
    subject: &Subject<'a>,
) -> impl Iterator<Item = (&'a BuiltPart, &'a Measured)> + use<'a> {
    let measured = subject.calculations.map_or(&[][..], |c| &c.prints.measured);
    subject.parts.iter().zip(measured)
}
