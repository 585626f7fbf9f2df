//! The design: every derived dimension of every part, and its drawing.
//!
//! One folder a part holds its dimensions and draws it with the solid kit; beside them sizes, who gets
//! which, and what is used again. Pure arithmetic from the job to plain data in millimetres and
//! radians. Guarantees: a dimension is computed in one place. Not here: meshes, findings of rules.

pub(crate) mod arrangement;
pub mod beds;
pub mod cradle;
pub mod derived;
pub mod enclosure;
pub mod foam_trade_off;
pub(crate) mod job_inputs;
pub mod job_plan;
pub mod marks;
pub mod part;
pub mod previous;
pub mod print_record;
pub mod rail;
pub mod reuse;
pub mod saddle;
pub(crate) mod seating;
mod sizing;
pub(crate) mod stability;
pub mod test_piece;
pub mod tilt_plate;

pub use cradle::Yoke;
pub use derived::Derived;
pub use job_plan::{CradleSize, Plan, PlanError, RailSize, SizeClass, SizeKind, TrunkPlan, plan};
pub use part::{Part, PartId, PartKind};
pub use previous::PreviousSet;
