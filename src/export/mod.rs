//! What leaves the program: meshes, drawings, pictures and the job sheet, as bytes.
//!
//! Pictures and drawings: [`camera`] (parallel views), [`edges`] (which edges of a mesh are drawn),
//! [`raster`] (shaded PNG).

pub mod camera;
pub mod edges;
pub mod raster;
