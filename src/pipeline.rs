//! From a job to everything that is known of it: plan, solids, sums, findings.
//!
//! [`run`] is the one way in: the command line, benches and tests all take it, and whoever asks again
//! and again keeps a [`Pipeline`], which remembers solids and what was measured on them, each as long as
//! what it was made from stays equal. What depends on several trunks (plan, sums, findings) is worked out
//! anew every time: it costs milliseconds, and nothing of it can go stale.
//!
//! Pure: no file, clock or terminal. Parts are worked side by side on the rayon pool of the caller; results
//! keep their order, so that the same job gives the same outcome on any number of processors.

use rayon::prelude::*;

use crate::assessment::calculations::Sums;
use crate::assessment::calculations::prints::Measured;
use crate::assessment::checks;
use crate::build::{self, BuiltSolid, Made, Order};
use crate::design::part::{Part, PartKind};
use crate::design::{self, Before, Plan};
use crate::finding::{Finding, Severity};
use crate::params::Job;
use crate::params::job::{Polymer, Printer};
use crate::remembered::{Remembered, Same};
use crate::units::Length;

/// A job worked through.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Sizes, dimensions, who gets what.
    pub plan: Plan,
    /// Name and kind of every part of the plan, built or not.
    pub parts: Vec<(String, PartKind)>,
    /// The parts that passed the gate, in the order of [`Outcome::parts`].
    pub built: Vec<Made>,
    /// Every sum.
    pub sums: Sums,
    /// What the checks say, worst first.
    pub findings: Vec<Finding>,
}

impl Outcome {
    /// Whether a finding is an error.
    #[must_use]
    pub fn failed(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Error)
    }

    /// Whether an error keeps this part from being written.
    #[must_use]
    pub fn blocks(&self, part: &str) -> bool {
        checks::bars(&self.findings, part)
    }

    /// The parts to write: built, and kept back by no error.
    pub fn good(&self) -> impl Iterator<Item = &Made> {
        self.built.iter().filter(|made| !self.blocks(&made.order.part.name))
    }
}

/// No plan could be made at all.
#[derive(Debug, Clone, thiserror::Error)]
#[error("no plan is possible for this job")]
pub struct Failure {
    /// Why, each leading to keys of the job.
    pub findings: Vec<Finding>,
}

/// Works a job through once.
///
/// # Errors
/// [`Failure`] when not even a plan is possible.
pub fn run(job: &Job, previous: &Before) -> Result<Outcome, Failure> {
    Pipeline::default().run(job, previous)
}

/// What a solid is made from.
#[derive(Debug, PartialEq)]
struct SolidFrom {
    part: Part,
    deviation: Length,
}

/// What is measured on a solid, and for which print.
#[derive(Debug, PartialEq)]
struct MeasuredFrom {
    solid: Same<BuiltSolid>,
    printer: Printer,
    polymer: Polymer,
}

/// Works jobs through and remembers what the next one may ask again.
#[derive(Debug, Default)]
pub struct Pipeline {
    solids: Remembered<SolidFrom, BuiltSolid>,
    measured: Remembered<MeasuredFrom, Measured>,
}

impl Pipeline {
    /// Works a job through.
    ///
    /// # Errors
    /// [`Failure`] when not even a plan is possible.
    pub fn run(&self, job: &Job, previous: &Before) -> Result<Outcome, Failure> {
        self.run_watched(job, previous, |_, _| {})
    }

    /// As [`Pipeline::run`]; `watch` is told after each part how many parts there are, and that one more
    /// is done. It is called from several threads.
    ///
    /// # Errors
    /// [`Failure`] when not even a plan is possible.
    pub fn run_watched(
        &self,
        job: &Job,
        previous: &Before,
        watch: impl Fn(usize, &str) + Sync,
    ) -> Result<Outcome, Failure> {
        let plan = design::plan(job, previous).map_err(|findings| Failure { findings })?;
        let mut findings = checks::before_making(job, &plan);
        let mut orders = build::orders(job, &plan);
        let parts = orders.iter().map(|o| (o.part.name.clone(), o.part.kind)).collect();
        orders.retain(|order| !checks::bars(&findings, &order.part.name));
        let count = orders.len();
        let results: Vec<_> = orders
            .into_par_iter()
            .map(|order| {
                let name = order.part.name.clone();
                let part = self.part(job, order);
                watch(count, &name);
                part
            })
            .collect();
        self.solids.sweep();
        self.measured.sweep();
        let (mut built, mut measured) = (Vec::new(), Vec::new());
        for result in results {
            match result {
                Ok((made, figures)) => {
                    built.push(made);
                    measured.push(figures);
                }
                Err(finding) => findings.push(*finding),
            }
        }
        let sums = Sums::of(job, &plan, &built, &measured);
        findings.extend(checks::run(job, &plan, &built, &sums));
        findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
        Ok(Outcome { plan, parts, built, sums, findings })
    }

    fn part(&self, job: &Job, order: Order) -> Result<(Made, Measured), Box<Finding>> {
        let name = order.part.name.as_str();
        let from = SolidFrom { part: order.part.clone(), deviation: job.job.deviation };
        let solid =
            self.solids.get_or_make(name, from, |from| build::solid(&from.part, from.deviation))?;
        let from = MeasuredFrom {
            solid: Same(solid.clone()),
            printer: job.printer.clone(),
            polymer: job.polymer.clone(),
        };
        let made = Made { solid, order };
        let name = made.order.part.name.as_str();
        let measure = |_: &MeasuredFrom| Ok::<_, Box<Finding>>(Measured::of(job, &made));
        let measured = self.measured.get_or_make(name, from, measure)?;
        let measured = Measured::clone(&measured);
        Ok((made, measured))
    }
}
