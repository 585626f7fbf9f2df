//! `--only`: what of a set is asked for. A name is a part's, or that of a kind of part, or that of a
//! kind of file: the folder of the set in which such files lie, or the file without its ending.

use super::Failure;
use crate::design::part::PartKind;
use crate::documents::set::{KINDS, Selection};
use crate::params::nearest;

/// What the command line asks for.
///
/// # Errors
/// [`Failure::Usage`] for a name that is none of these parts, nor of any kind.
pub(super) fn selection<'a>(
    asked: &'a [String],
    parts: &[(String, PartKind)],
) -> Result<Selection<'a>, Failure> {
    let mut names: Vec<&str> = Vec::new();
    for (name, kind) in parts {
        for word in [kind.name(), name] {
            if !names.contains(&word) {
                names.push(word);
            }
        }
    }
    names.extend(KINDS);
    let Some(wrong) = asked.iter().find(|name| !names.contains(&name.as_str())) else {
        return Ok(Selection(asked));
    };
    let hint = nearest(wrong, names.iter().copied())
        .map(|name| format!("write {name} if that was meant; "))
        .unwrap_or_default();
    Err(Failure::Usage(format!(
        "--only \"{wrong}\" names no part and no kind of file; {hint}there are {}",
        names.join(", ")
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_of_parts_are_named_as_in_the_manifest() {
        for kind in [
            PartKind::Cradle,
            PartKind::TiltPlate,
            PartKind::BoxBody,
            PartKind::BoxLid,
            PartKind::Rail,
            PartKind::TestPiece,
        ] {
            assert_eq!(serde_json::json!(kind), kind.name());
            assert!(!KINDS.contains(&kind.name()));
        }
    }
}
