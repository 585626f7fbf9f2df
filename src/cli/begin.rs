//! `begin`: a commented job file to start from.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::Path;

use super::{Failure, Outcome, Output};
use crate::params::template::STARTER;

pub(super) fn run(path: &Path, output: &Output) -> Result<Outcome, Failure> {
    // `create_new` refuses an existing file in the same step: nobody's job is lost.
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|e| {
        let why = match e.kind() {
            std::io::ErrorKind::AlreadyExists => "it is there already, choose another name".into(),
            _ => e.to_string(),
        };
        Failure::Io(format!("cannot write {}: {why}", path.display()))
    })?;
    file.write_all(STARTER.as_bytes())
        .map_err(|e| Failure::Io(format!("cannot write {}: {e}", path.display())))?;
    output.say(&format!("wrote {}; measure, fill in, then: bolewright check {0}", path.display()));
    Ok(Outcome::Done)
}
