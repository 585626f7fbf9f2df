//! From a measured tree girth to checked, printable lamp cradles: a guided tour.
//!
//! Rooms look down only, from the ground up: quantities carry their unit in the type ([`units`], `space`);
//! a [`finding`] is what any stage can say; published figures are `standards`. On them stand the [`mesh`]
//! and the exact `solid` kit, the job file ([`params`]: what was measured) and [`engineering`], the sums
//! as pure functions. [`design`] is the fewest sizes that serve all trunks and every part, dimensions and
//! drawing; [`build`] sews, meshes and gates them; [`assessment`] applies the sums and says what is wrong
//! and the smallest change that cures it. [`pipeline`] runs all of it: it is the one way in. [`formats`] and
//! [`documents`] turn the outcome into files; [`cli`] is the only room that knows of files, terminals and
//! threads.
//!
//! Girth in, STL bytes out:
//!
//! ```
//! use bolewright::{formats::stl, params, pipeline};
//!
//! let text = include_str!("../params/one-lamp.toml").replace("88 cm", "1.13 m");
//! let job = params::read(&text).expect("the demo job reads").job;
//! let outcome = pipeline::run(&job, &Default::default()).expect("it can be planned");
//! let cradle = outcome.good().next().expect("no error blocks the cradle");
//! let bytes = stl(&cradle.mesh).expect("a gated mesh is printable");
//! assert_eq!(cradle.name(), "cradle-a");
//! assert_eq!(bytes.len(), 84 + 50 * cradle.report.triangles);
//! assert!(outcome.plan.cradles[0].class.size.girth_from.get() < 1130.0);
//! ```
//!
//! What the meshes are: closed, oriented, one body, the holes that the design has, within the job's
//! deviation of the exact solid, and still so after rounding to the single precision of the files. What
//! is not promised: see the README, "Limits, said plainly".

pub mod assessment;
mod bisection;
pub mod build;
pub mod cli;
pub mod design;
pub mod documents;
pub mod engineering;
pub mod finding;
pub mod formats;
pub mod mesh;
pub mod params;
pub mod pipeline;
pub mod remedies;
mod remembered;
mod solid;
mod space;
mod standards;
pub mod units;
