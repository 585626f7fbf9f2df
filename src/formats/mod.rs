//! What leaves the program, as bytes: one file a format, and one writer that puts a whole set of
//! files into a folder or none.
//!
//! Solids: [`mod@stl`], [`threemf`], [`step`]. Pictures: [`camera`] (parallel views), [`edges`] (which
//! edges of a mesh are drawn), [`raster`] (shaded PNG). Drawings: [`drawing`] (figures on layers),
//! written as [`svg`] or [`dxf`]; [`templates`] at 1:1 and dimensioned [`views`]. For people: the job
//! [`sheet`]. Only [`files`] touches the disk.

pub(crate) mod camera;
pub(crate) mod drawing;
pub(crate) mod dxf;
pub(crate) mod edges;
pub(crate) mod files;
pub(crate) mod manifest;
pub(crate) mod mesh;
pub(crate) mod raster;
mod samples;
pub(crate) mod sheet;
pub(crate) mod step;
pub(crate) mod stl;
pub(crate) mod svg;
pub(crate) mod templates;
pub(crate) mod threemf;
pub(crate) mod views;

pub use manifest::{Manifest, ManifestError};
pub use mesh::MeshWriteError;
pub use stl::stl;
