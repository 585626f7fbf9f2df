//! The solid kit: exact parts, drawn face by face, without boolean operations.
//!
//! | file | what |
//! |---|---|
//! | [`crate::space`] | points, plane frames, rigid poses |
//! | [`edge`] | lines, arcs, loops; plane outlines with fillets and slots |
//! | [`shell`] | faces, walls, pockets, bosses; sewing into a closed [`Body`] |
//! | [`volume`] | exact volume, area and bounds |
//! | [`engrave`], [`lettering`] | marks cut as part of the exact solid |
//! | [`tessellate`] | closed triangle mesh within a deviation |
//! | [`analytic`] | circles, cylinders and cones by their centre, axis and radius |
//! | [`exact`] | the same body for the kernel and for STEP |
//! | [`lettering`] | text, ticks and arrows as plane regions |
//!
//! What is guaranteed: a sewn [`Body`] is closed, every edge has two faces, once each way; its mesh
//! shares vertices and is closed by construction. What is not: that faces do not cross each other
//! away from their edges. That follows from the dimensions, which the plan guards and the checks
//! measure.

pub(crate) mod analytic;
pub(crate) mod edge;
pub(crate) mod engrave;
pub(crate) mod exact;
pub(crate) mod lettering;
pub(crate) mod shell;
pub(crate) mod tessellate;
pub(crate) mod volume;

pub(crate) use crate::space::{Frame, Pose, Vec3, v};
pub(crate) use edge::{Corner, Edge, Loop, Outline, Path, corner};
pub(crate) use shell::{Body, FaceKind, Plane, SewError, Shell};

#[cfg(test)]
mod tests;
