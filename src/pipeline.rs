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

use crate::assessment::prints::Measured;
use crate::assessment::{Calculations, Subject, assess, blocks, in_order};
use crate::build::{self, BuildError, BuiltPart, BuiltSolid, PartSpec};
use crate::design::part::{Part, PartId};
use crate::design::{self, Plan, PreviousSet, Settled};
use crate::finding::{Finding, Severity};
use crate::params::Job;
use crate::params::job::{Polymer, Printer};
use crate::remembered::{Remembered, Same};
use crate::units::Length;

/// A job worked through.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The job, with what it left open and the plan settled written in.
    pub job: Job,
    /// Sizes, dimensions, who gets what.
    pub plan: Plan,
    /// Every part of the plan, built or not.
    pub parts: Vec<PartId>,
    /// The parts that passed the gate, in the order of [`Outcome::parts`].
    pub built: Vec<BuiltPart>,
    /// Every sum.
    pub sums: Calculations,
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
    pub fn blocks(&self, part: &PartId) -> bool {
        blocks(&self.findings, part)
    }

    /// The parts to write: built, and kept back by no error.
    pub fn good(&self) -> impl Iterator<Item = &BuiltPart> {
        self.built.iter().filter(|made| !self.blocks(made.id()))
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
pub fn run(job: &Job, previous: &PreviousSet) -> Result<Outcome, Failure> {
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
    pub fn run(&self, job: &Job, previous: &PreviousSet) -> Result<Outcome, Failure> {
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
        previous: &PreviousSet,
        watch: impl Fn(usize, &str) + Sync,
    ) -> Result<Outcome, Failure> {
        let (job, plan) = match design::settle(job, previous) {
            Ok(Settled { job, plan }) => (job, plan),
            Err(error) => {
                return Err(Failure { findings: assess(&Subject::planned(job, Err(&error))) });
            }
        };
        let job = &job;
        let mut findings = assess(&Subject::planned(job, Ok(&plan)));
        let mut specs = build::part_specs(job, &plan);
        let parts = specs.iter().map(|spec| spec.part.id.clone()).collect();
        specs.retain(|spec| !blocks(&findings, &spec.part.id));
        let count = specs.len();
        let results: Vec<_> = specs
            .into_par_iter()
            .map(|spec| {
                let name = spec.part.name();
                let part = self.part(job, spec);
                watch(count, &name);
                part
            })
            .collect();
        self.solids.sweep();
        self.measured.sweep();
        let (mut built, mut measured, mut failures) = (Vec::new(), Vec::new(), Vec::new());
        for result in results {
            match result {
                Ok((made, figures)) => {
                    built.push(made);
                    measured.push(figures);
                }
                Err(error) => failures.push(*error),
            }
        }
        let sums = Calculations::new(job, &plan, &built, &measured);
        findings.extend(assess(&Subject {
            parts: &built,
            failures: &failures,
            calculations: Some(&sums),
            ..Subject::planned(job, Ok(&plan))
        }));
        let findings = in_order(findings);
        Ok(Outcome { job: job.clone(), plan, parts, built, sums, findings })
    }

    fn part(&self, job: &Job, spec: PartSpec) -> Result<(BuiltPart, Measured), Box<BuildError>> {
        let name = spec.part.name();
        let from = SolidFrom { part: spec.part.clone(), deviation: job.job.deviation };
        let solid = self
            .solids
            .get_or_make(&name, from, |from| build::solid(&from.part, from.deviation))?;
        let from = MeasuredFrom {
            solid: Same(solid.clone()),
            printer: job.printer.clone(),
            polymer: job.polymer.clone(),
        };
        let built = BuiltPart { spec, solid };
        let measure = |_: &MeasuredFrom| Ok::<_, Box<BuildError>>(Measured::of(job, &built));
        let measured = self.measured.get_or_make(&name, from, measure)?;
        let measured = Measured::clone(&measured);
        Ok((built, measured))
    }
}
