//! The manifest: which files a set holds, and the hash of each.
//!
//! A JSON file beside the files. It is written last, so a manifest that lists a file says that the
//! file was whole on disk; a file whose hash differs was changed by a person or by a run that did not
//! finish. SHA-256 after FIPS 180-4, in lower-case hexadecimal.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Name of the manifest in its folder.
pub(crate) const MANIFEST: &str = "manifest.json";

/// Layout of the file that this version writes.
const FORMAT: u32 = 2;

/// Oldest layout that this version reads: file list and numbers of that format are known.
const OLDEST: u32 = 1;

/// Largest manifest that is read, in bytes: some ten times that of the largest job.
pub(crate) const LARGEST_MANIFEST: u64 = 500_000_000;

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
    /// Written by another version.
    #[error(
        "written by a {} version of this program (manifest format {found}, this one reads {OLDEST} to {FORMAT}), use that version",
        if *found > u64::from(FORMAT) { "later" } else { "different" }
    )]
    Format {
        /// Found in the file.
        found: u64,
    },
    /// A path that leads out of the folder, or that no set can have.
    #[error("not a manifest: it lists {path:?}, and {why}")]
    BadPath {
        /// The path.
        path: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Larger than any manifest of this program.
    #[error("not a manifest: larger than {LARGEST_MANIFEST} bytes")]
    TooLarge,
}

/// Whether a path is plain and relative, and can be on every file system in use.
///
/// # Errors
/// What is wrong with it.
pub(crate) fn plain_path(path: &str) -> Result<(), &'static str> {
    for part in path.split('/') {
        if part.is_empty() || part.starts_with('.') || part.ends_with(['.', ' ']) {
            return Err("a part is empty, begins with a dot or ends with a dot or space");
        }
        // What the file systems in use forbid (Microsoft, "Naming Files, Paths, and Namespaces").
        if part.chars().any(|c| c.is_control() || "\\:*?\"<>|".contains(c)) {
            return Err("a part has a character that some file systems forbid");
        }
        let stem = part.split('.').next().unwrap_or(part).to_ascii_lowercase();
        let port = stem.strip_prefix("com").or(stem.strip_prefix("lpt"));
        let device = port.is_some_and(|n| n.len() == 1 && n.as_bytes()[0].is_ascii_digit());
        if device || matches!(&*stem, "con" | "prn" | "aux" | "nul") {
            return Err("a part is the name of a device on some systems");
        }
    }
    if path.to_lowercase() == MANIFEST {
        return Err("the name is kept for the manifest");
    }
    Ok(())
}

impl Manifest {
    /// A manifest of this version's format.
    #[must_use]
    pub const fn new(about: serde_json::Value, files: BTreeMap<String, Entry>) -> Self {
        Self { format: FORMAT, about, files }
    }

    /// Its layout: what [`Self::about`] holds depends on it.
    #[must_use]
    pub const fn format(&self) -> u32 {
        self.format
    }

    /// Reads a manifest.
    ///
    /// # Errors
    /// [`ManifestError`] for what is no manifest, or one of another format.
    pub fn parse(text: &[u8]) -> Result<Self, ManifestError> {
        /// What a manifest of any format has.
        #[derive(Deserialize)]
        struct Head {
            format: u64,
        }
        let unreadable = |e: serde_json::Error| ManifestError::Unreadable(e.to_string());
        if text.len() as u64 > LARGEST_MANIFEST {
            return Err(ManifestError::TooLarge);
        }
        // The format first: another one may differ in all else.
        let Head { format } = serde_json::from_slice(text).map_err(unreadable)?;
        if !(u64::from(OLDEST)..=u64::from(FORMAT)).contains(&format) {
            return Err(ManifestError::Format { found: format });
        }
        let manifest: Self = serde_json::from_slice(text).map_err(unreadable)?;
        for path in manifest.files.keys() {
            plain_path(path).map_err(|why| ManifestError::BadPath { path: path.clone(), why })?;
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
        let later = String::from_utf8(bytes).unwrap().replace("\"format\": 2", "\"format\": 3");
        assert_eq!(Manifest::parse(later.as_bytes()), Err(ManifestError::Format { found: 3 }));
        // A later format may have nothing but its number in common with this one.
        let other = br#"{ "format": 99, "parts": [] }"#;
        let told = Manifest::parse(other).unwrap_err().to_string();
        assert!(told.starts_with("written by a later version"), "{told}");
    }
}
