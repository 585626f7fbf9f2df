//! `--only`: what of a set is asked for. A name is a part's, or that of a kind of part, or that of a
//! kind of file: the folder of the set in which such files lie, or the file without its ending.

use super::Failure;
use crate::design::PartId;
use crate::params::nearest;

/// Kinds of file in a set.
pub(super) const KINDS: [&str; 7] =
    ["print", "exact", "plates", "templates", "pictures", "sheet", "trunks"];

/// What was asked for; everything when nothing was.
#[derive(Debug, Clone, Copy)]
pub(super) struct Only<'a>(&'a [String]);

impl<'a> Only<'a> {
    /// What the command line asks for.
    ///
    /// # Errors
    /// [`Failure::Usage`] for a name that is none of these parts, nor of any kind.
    pub(super) fn of(asked: &'a [String], parts: &[PartId]) -> Result<Self, Failure> {
        let mut names: Vec<String> = Vec::new();
        for part in parts {
            for word in [part.kind().name().to_owned(), part.to_string()] {
                if !names.contains(&word) {
                    names.push(word);
                }
            }
        }
        names.extend(KINDS.map(str::to_owned));
        let Some(wrong) = asked.iter().find(|name| !names.contains(name)) else {
            return Ok(Self(asked));
        };
        let hint = nearest(wrong, names.iter().map(String::as_str))
            .map(|name| format!("did you mean `{name}`? "))
            .unwrap_or_default();
        Err(Failure::Usage(format!(
            "--only `{wrong}`: no part and no kind of file; {hint}there are {}",
            names.join(", ")
        )))
    }

    /// Whether the whole set is asked for.
    pub(super) const fn all(self) -> bool {
        self.0.is_empty()
    }

    /// Whether all files of a kind are asked for.
    pub(super) fn files(self, kind: &str) -> bool {
        self.all() || self.0.iter().any(|name| name == kind)
    }

    /// Whether a part is asked for, by its name or its kind.
    pub(super) fn part(self, part: &PartId) -> bool {
        self.files(&part.to_string()) || self.files(part.kind().name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::PartKind;

    #[test]
    fn kinds_of_parts_are_named_as_in_the_manifest() {
        for kind in [
            PartKind::Cradle,
            PartKind::TiltPlate,
            PartKind::BoxBody,
            PartKind::BoxLid,
            PartKind::Rail,
            PartKind::TryPiece,
        ] {
            assert_eq!(serde_json::json!(kind), kind.name());
            assert!(!KINDS.contains(&kind.name()));
        }
    }
}
