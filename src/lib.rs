//! From a measured tree girth to checked, printable lamp cradles: a guided tour.
//!
//! A job file says what was measured ([`params`]); quantities carry their unit in the type
//! ([`units`]); published figures are in [`standards`]. From the job follows the [`design`]: the fewest
//! sizes that serve all trunks, every dimension of every part, and its drawing, face by face with the
//! exact [`solid`] kit. [`build`] meshes the parts and gates them; [`assessment`] applies the pure
//! functions of [`engineering`] to a job and says what is wrong and the smallest change that cures it.
//! [`documents`] and [`formats`] turn it all into files; [`cli`] is the only part that knows of files,
//! terminals and threads.
//!
//! Girth in, STL bytes out:
//!
//! ```
//! use bolewright::{build, design, formats::stl::stl, params};
//!
//! let text = include_str!("../params/one-lamp.toml").replace("88 cm", "1.13 m");
//! let job = params::read(&text).expect("the demo job reads").job;
//! let plan = design::plan(&job, &design::Before::default()).expect("it can be planned");
//! let spec = build::part_specs(&job, &plan).swap_remove(0);
//! let made = build::build_part(spec, job.job.deviation).expect("the gate passes it");
//! let bytes = stl(&made.mesh).expect("a gated mesh is printable");
//! assert_eq!(made.name(), "cradle-a");
//! assert_eq!(bytes.len(), 84 + 50 * made.report.triangles);
//! assert!(plan.cradles[0].class.size.girth_from.get() < 1130.0);
//! ```
//!
//! What the meshes are: closed, oriented, one body, the holes that the design has, within the job's
//! deviation of the exact solid, and still so after rounding to the single precision of the files. What
//! is not promised: see the README, "Limits, said plainly".

pub mod assessment;
pub mod build;
pub mod cli;
pub mod design;
pub mod documents;
pub mod engineering;
pub mod finding;
pub mod formats;
pub mod mesh;
pub mod params;
pub mod solid;
pub mod space;
pub mod standards;
pub mod units;
