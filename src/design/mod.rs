//! The design: every derived dimension of every part, and its drawing.
//!
//! One folder a part holds its dimensions and draws it with the solid kit; beside them sizes, who gets
//! which, and what is used again. Pure arithmetic from the job to plain data in millimetres and
//! radians. Guarantees: a dimension is computed in one place. Not here: meshes, findings of rules.

pub(crate) mod arrangement;
mod as_made;
pub(crate) mod beds;
pub(crate) mod cable_lengths;
pub(crate) mod cradle;
pub(crate) mod derived;
pub(crate) mod enclosure;
pub(crate) mod foam_trade_off;
pub(crate) mod job_inputs;
pub(crate) mod job_plan;
pub(crate) mod marks;
pub(crate) mod part;
pub(crate) mod previous;
pub(crate) mod print_record;
pub(crate) mod rail;
pub(crate) mod reuse;
pub(crate) mod saddle;
pub(crate) mod seating;
pub(crate) mod settle;
mod sizing;
pub(crate) mod stability;
pub(crate) mod test_piece;
pub(crate) mod tilt_plate;

pub use cradle::Yoke;
pub use derived::Derived;
pub use job_plan::{
    CradleSize, LeftOpen, Plan, PlanError, RailSize, SizeClass, SizeKind, TrunkPlan, plan,
};
pub use part::{Part, PartId, PartKind};
pub use previous::PreviousSet;
pub use settle::{Settled, settle};
