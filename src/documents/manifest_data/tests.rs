use super::*;
use crate::design::PreviousSet;
use crate::formats::manifest::{Entry, Manifest};
use crate::pipeline::{Outcome, run};
use serde_json::{Value, json};

/// The schema as the types have it.
fn schema() -> Value {
    let settings = schemars::generate::SchemaSettings::draft07();
    let about = settings.into_generator().into_root_schema_for::<ManifestData>();
    let mut about = serde_json::to_value(&about).unwrap();
    let definitions = about["definitions"].take();
    let map = about.as_object_mut().unwrap();
    map.remove("definitions");
    map.remove("$schema");
    json!({
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "Bolewright manifest",
        "type": "object",
        "required": ["format", "about", "files"],
        "additionalProperties": false,
        "properties": {
            "format": { "const": 2 },
            "about": about,
            "files": {
                "description": "Files of the set by their path in its folder.",
                "type": "object",
                "additionalProperties": {
                    "type": "object",
                    "required": ["bytes", "sha256"],
                    "properties": {
                        "bytes": { "type": "integer", "minimum": 0 },
                        "sha256": { "type": "string", "pattern": "^[0-9a-f]{64}$" },
                    },
                },
            },
        },
        "definitions": definitions,
    })
}

#[test]
fn the_schema_is_that_of_the_types() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/params/manifest.schema.json");
    let text = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        std::fs::write(path, &text).unwrap();
    }
    assert_eq!(std::fs::read_to_string(path).unwrap(), text, "set UPDATE_SCHEMA=1 to rewrite it");
}

fn manifest(text: &str) -> Value {
    let mut draft = crate::params::Draft::new(text, &[]);
    if draft.survey().is_some() {
        draft.add_survey(include_str!("../../../params/thimbleford-survey.csv"));
    }
    let job = draft.finish().unwrap().job;
    let Outcome { plan, built, sums, findings, .. } = run(&job, &PreviousSet::default()).unwrap();
    let data = ManifestData::new(&job, &plan, &built, &sums, &findings);
    let files = [("print/cradle-a.stl".to_owned(), Entry::of(b"solid"))].into();
    let manifest = Manifest::new(serde_json::to_value(data).unwrap(), files);
    serde_json::from_slice(&manifest.to_bytes().unwrap()).unwrap()
}

/// Texts that hold a number with its unit, as papers have them.
fn formatted(value: &Value, key: &str, found: &mut Vec<String>) {
    match value {
        // Names, designations and sentences are for people.
        Value::String(_)
            if [
                "name",
                "place",
                "reason",
                "message",
                "change",
                "sum",
                "section",
                "job",
                "made_by",
                "from",
                "to",
                "conductor",
                "trunks",
                "trunk",
            ]
            .contains(&key) => {}
        Value::String(text) if text.starts_with(|c: char| c.is_ascii_digit()) => {
            found.push(format!("{key}: {text}"));
        }
        Value::Array(all) => all.iter().for_each(|v| formatted(v, key, found)),
        Value::Object(map) => map.iter().for_each(|(k, v)| formatted(v, k, found)),
        _ => {}
    }
}

#[test]
fn every_demo_has_a_manifest_after_the_schema_and_numbers_are_numbers() {
    // JSON Schema draft-07, by an independent validator and its copy of the meta-schema.
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    assert!(jsonschema::draft7::meta::is_valid(&schema));
    let validator = jsonschema::draft7::new(&schema).unwrap();
    for text in [
        include_str!("../../../params/one-lamp.toml"),
        include_str!("../../../params/quillmere-stories.toml"),
        include_str!("../../../params/orchard-supper.toml"),
        include_str!("../../../params/thimbleford-inches.toml"),
    ] {
        let mut manifest = manifest(text);
        let errors: Vec<_> = validator.iter_errors(&manifest).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        let mut found = Vec::new();
        formatted(&manifest["about"], "", &mut found);
        assert!(found.is_empty(), "{found:?}");
        manifest["about"]["prints"][0]["shape"]["height_mm"] = json!("76.4 mm");
        assert!(!validator.is_valid(&manifest));
    }
}

/// A spreadsheet takes a field that begins so for a formula (OWASP, "CSV Injection"); quotes as RFC 4180 has
/// them.
#[test]
fn names_in_tables_are_no_formulas() {
    for (name, field) in [
        ("=1+1", "'=1+1"),
        ("+49 Elm", "'+49 Elm"),
        ("-Elm", "'-Elm"),
        ("@sum", "'@sum"),
        ("=a,b", "\"'=a,b\""),
        ("Elm \"old\"", "\"Elm \"\"old\"\"\""),
        ("Elm = 3", "Elm = 3"),
    ] {
        assert_eq!(quoted(name), field);
    }
    // In the table as it is written, too.
    let text = include_str!("../../../params/one-lamp.toml");
    let mut job = crate::params::read(text).expect("the job reads").job;
    job.trunks[0].name = "=1+1".into();
    let Outcome { plan, sums, .. } = run(&job, &PreviousSet::default()).unwrap();
    let table = trunk_table(&job, &plan, &sums);
    assert!(table.lines().nth(1).is_some_and(|row| row.starts_with("'=1+1,")), "{table}");
}
