//! What leaves the program, as bytes: one file a format, and one writer that puts a whole set of
//! files into a folder or none.
//!
//! Solids: [`stl`], [`threemf`]. Pictures and drawings: [`camera`] (parallel views), [`edges`] (which
//! edges of a mesh are drawn), [`raster`] (shaded PNG). Only [`files`] touches the disk.

pub mod camera;
pub mod edges;
pub mod files;
pub mod manifest;
pub mod mesh;
pub mod raster;
pub mod stl;
pub mod threemf;

pub use mesh::MeshWriteError;
pub mod step;
