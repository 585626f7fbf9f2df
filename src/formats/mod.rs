//! What leaves the program, as bytes: one file a format, and one writer that puts a whole set of
//! files into a folder or none.
//!
//! Solids: [`stl`], [`threemf`], [`step`]. Pictures: [`camera`] (parallel views), [`edges`] (which
//! edges of a mesh are drawn), [`raster`] (shaded PNG). Drawings: [`drawing`] (figures on layers),
//! written as [`svg`] or [`dxf`]; [`templates`] at 1:1 and dimensioned [`views`]. For people: the job
//! [`sheet`]. Only [`files`] touches the disk.

pub mod camera;
pub mod drawing;
pub mod dxf;
pub mod edges;
pub mod files;
pub mod manifest;
pub mod mesh;
pub mod raster;
mod samples;
pub mod sheet;
pub mod step;
pub mod stl;
pub mod svg;
pub mod templates;
pub mod threemf;
pub mod views;

pub use mesh::MeshWriteError;
