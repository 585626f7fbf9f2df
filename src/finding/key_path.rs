//! Names of keys in the job file, such as `strap.clearance` or `trunk[2].girth`.
//!
//! A finding carries key paths, not byte offsets: whoever renders it asks the source map where the
//! key stands. An element of an array of tables is written with its index, counted from 0.

use std::fmt;

use serde::Serialize;

/// The dotted name of a key in the job file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct KeyPath(String);

impl KeyPath {
    /// From dotted text: `KeyPath::new("strap.clearance")`.
    #[must_use]
    pub fn new(dotted: impl Into<String>) -> Self {
        Self(dotted.into())
    }

    /// The key `name` of the trunk with this index.
    #[must_use]
    pub fn trunk(index: usize, name: &str) -> Self {
        Self(format!("trunk[{index}].{name}"))
    }

    /// The key `name` of this table; at the top when this path is empty.
    #[must_use]
    pub fn child(&self, name: &str) -> Self {
        Self(if self.0.is_empty() { name.to_owned() } else { format!("{}.{name}", self.0) })
    }

    /// The element with this index, from 0.
    #[must_use]
    pub fn element(&self, index: usize) -> Self {
        Self(format!("{}[{index}]", self.0))
    }

    /// The dotted text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The path of the table that holds this key, or `None` at the top.
    #[must_use]
    pub fn parent(&self) -> Option<Self> {
        let cut = self.0.rfind(['.', '['])?;
        Some(Self(self.0[..cut].to_owned()))
    }
}

impl fmt::Display for KeyPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
