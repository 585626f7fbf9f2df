//! `--only`: what of a set is asked for. A name is a part's, or that of a kind of part, or that of a
//! kind of file: the folder of the set in which such files lie, or the file without its ending.

use super::Failure;
use crate::design::PartId;
use crate::documents::set::{KINDS, Selection};
use crate::params::nearest;

/// What the command line asks for.
///
/// # Errors
/// [`Failure::Usage`] for a name that is none of these parts, nor of any kind.
pub(super) fn selection<'a>(
    asked: &'a [String],
    parts: &[PartId],
) -> Result<Selection<'a>, Failure> {
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
        return Ok(Selection(asked));
    };
    let hint = nearest(wrong, names.iter().map(String::as_str))
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
    use crate::design::PartKind;

    #[test]
    fn kinds_of_parts_are_named_as_in_the_manifest() {
        for kind in [
            PartKind::Cradle,
            PartKind::TiltPlate,
            PartKind::BoxBody,
            PartKind::BoxLid,
            PartKind::Knob,
            PartKind::Rail,
            PartKind::TestPiece,
        ] {
            assert_eq!(serde_json::json!(kind), kind.name());
            assert!(!KINDS.contains(&kind.name()));
        }
    }
}
