//! What is engraved, against `fit`: the command is asked at every ten millimetres of every mark.
//!
//! A girth inside the mark of a cradle must be served by a print of the job, with a pull; twenty
//! millimetres outside it, that print must not be the answer. Jobs whose trunks differ in bark are left
//! out, since the command takes bark and growth as of the first trunk.

use std::io::Write;
use std::process::Command;

/// What `fit` says of one girth.
#[derive(Debug, serde::Deserialize)]
struct Answer {
    in_job: bool,
    part: Option<String>,
    pull: Option<f64>,
}

#[derive(Debug, serde::Deserialize)]
struct Sizes {
    sizes: Vec<Size>,
}

#[derive(Debug, serde::Deserialize)]
struct Size {
    part: String,
    serves: String,
}

/// Ends of what a job file takes, mm.
const GIRTHS: [f64; 2] = [250.0, 6000.0];
/// From girth to girth inside a mark, and how far outside it must be refused, mm.
const STEP: f64 = 10.0;
const OUTSIDE: f64 = 20.0;

fn fit(path: &std::path::Path, girths: &[f64]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bolewright"));
    command.arg("fit").arg(path).arg("--json");
    command.args(girths.iter().map(|g| format!("{g} mm")));
    String::from_utf8(command.output().unwrap().stdout).unwrap()
}

/// How many marks of a job were asked about.
///
/// # Errors
/// The girth at which mark and command disagree.
pub(crate) fn agree(text: &str) -> Result<usize, String> {
    let barks = text.matches("\nbark = ").count();
    if barks > 0 && barks < text.matches("[[trunk]]").count() {
        return Ok(0);
    }
    let mut file = tempfile::Builder::new().suffix(".toml").tempfile().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    let Ok(Sizes { sizes }) = serde_json::from_str(&fit(file.path(), &[])) else { return Ok(0) };
    let cradles: Vec<&Size> = sizes.iter().filter(|s| s.part.starts_with("cradle")).collect();
    for size in &cradles {
        let (from, to) = size.serves.split_once('-').unwrap();
        let [from, to] = [from, to].map(|end| end.parse::<f64>().unwrap());
        let mut girths = vec![from - OUTSIDE, to + OUTSIDE];
        let mut girth = from;
        while girth < to {
            girths.push(girth);
            girth += STEP;
        }
        girths.push(to);
        girths.retain(|g| (GIRTHS[0]..=GIRTHS[1]).contains(g));
        let answers: Vec<Answer> = serde_json::from_str(&fit(file.path(), &girths)).unwrap();
        for (girth, answer) in girths.iter().zip(&answers) {
            let inside = (from..=to).contains(girth);
            let good = if inside {
                answer.in_job && answer.pull.is_some()
            } else {
                answer.part.as_ref() != Some(&size.part)
            };
            if !good {
                return Err(format!(
                    "{girth} mm, {} {}: {answer:?}\n{text}",
                    size.part, size.serves
                ));
            }
        }
    }
    Ok(cradles.len())
}
