//! The manifest: which files a set holds, and the hash of each.
//!
//! A JSON file beside the files. It is written last, so a manifest that lists a file says that the
//! file was whole on disk; a file whose hash differs was changed by a person or by a run that did not
//! finish. SHA-256 after FIPS 180-4, in lower-case hexadecimal.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Name of the manifest in its folder.
pub const MANIFEST: &str = "manifest.json";

/// Layout of the file that this version writes and reads.
const FORMAT: u32 = 1;

/// One file of a set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Length in bytes.
    pub bytes: u64,
    /// SHA-256 in lower-case hexadecimal.
    pub sha256: String,
}

impl Entry {
    /// The entry of some content.
    #[must_use]
    pub fn of(content: &[u8]) -> Self {
        let digest = Sha256::digest(content);
        let sha256 = digest.iter().map(|b| format!("{b:02x}")).collect();
        Self { bytes: content.len() as u64, sha256 }
    }
}

/// A set of files and what they are about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    format: u32,
    /// What the set is about, for the next run: job, parts, inputs.
    pub about: serde_json::Value,
    /// Files by their path in the folder, `/` between folders.
    pub files: BTreeMap<String, Entry>,
}

/// Why a text is no manifest.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ManifestError {
    /// Not the JSON of a manifest.
    #[error("not a manifest: {0}")]
    Unreadable(String),
    /// Written by a later version.
    #[error("manifest format {found}, this version reads {FORMAT}")]
    Format {
        /// Found in the file.
        found: u32,
    },
}

impl Manifest {
    /// A manifest of this version's format.
    #[must_use]
    pub const fn new(about: serde_json::Value, files: BTreeMap<String, Entry>) -> Self {
        Self { format: FORMAT, about, files }
    }

    /// Reads a manifest.
    ///
    /// # Errors
    /// [`ManifestError`] for what is no manifest, or one of another format.
    pub fn parse(text: &[u8]) -> Result<Self, ManifestError> {
        let manifest: Self =
            serde_json::from_slice(text).map_err(|e| ManifestError::Unreadable(e.to_string()))?;
        if manifest.format != FORMAT {
            return Err(ManifestError::Format { found: manifest.format });
        }
        Ok(manifest)
    }

    /// The bytes of the file, the same for equal manifests.
    ///
    /// # Errors
    /// [`ManifestError::Unreadable`] where JSON cannot hold it.
    pub fn to_bytes(&self) -> Result<Vec<u8>, ManifestError> {
        let mut bytes = serde_json::to_vec_pretty(self)
            .map_err(|e| ManifestError::Unreadable(e.to_string()))?;
        bytes.push(b'\n');
        Ok(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_are_those_of_the_standard() {
        // FIPS 180-4 example values of NIST: SHA-256 of "abc" and of the empty message.
        assert_eq!(
            Entry::of(b"abc").sha256,
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            Entry::of(b""),
            Entry {
                bytes: 0,
                sha256: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855".into()
            }
        );
    }

    #[test]
    fn a_manifest_reads_back_and_others_are_refused() {
        let files = BTreeMap::from([("a/b.stl".to_owned(), Entry::of(b"x"))]);
        let manifest = Manifest::new(serde_json::json!({"job": "grove"}), files);
        let bytes = manifest.to_bytes().unwrap();
        assert_eq!(Manifest::parse(&bytes).unwrap(), manifest);
        assert!(matches!(Manifest::parse(b"{}"), Err(ManifestError::Unreadable(_))));
        let later = String::from_utf8(bytes).unwrap().replace("\"format\": 1", "\"format\": 2");
        assert_eq!(Manifest::parse(later.as_bytes()), Err(ManifestError::Format { found: 2 }));
    }
}
