//! The JSON Schema (draft-07) of the job file, for editors that complete and check TOML.
//!
//! Made from the declarations that the reader uses. It describes the shape, the words and the ranges
//! of bare numbers; the range of a text with a unit and the comparisons between keys are left to the
//! reader.

use serde_json::{Map, Value, json};

use super::Job;
use super::spec::{Absent, Field, Kind, TableSpec};
use super::value::Table;

/// The schema of a whole job file.
#[must_use]
pub fn schema() -> Value {
    let mut root = table(Job::spec());
    if let Value::Object(map) = &mut root {
        map.insert("$schema".into(), json!("http://json-schema.org/draft-07/schema#"));
        map.insert("title".into(), json!("Bolewright job file"));
    }
    root
}

fn table(spec: &TableSpec) -> Value {
    let properties: Map<String, Value> =
        spec.fields.iter().map(|f| (f.key.to_owned(), field(f))).collect();
    let required: Vec<_> = spec.fields.iter().filter(|f| f.is_required()).map(|f| f.key).collect();
    let mut object = json!({
        "type": "object",
        "description": spec.doc.trim(),
        "properties": properties,
        "additionalProperties": false,
    });
    if let (Value::Object(map), false) = (&mut object, required.is_empty()) {
        map.insert("required".into(), json!(required));
    }
    object
}

fn field(field: &Field) -> Value {
    let kind = (field.kind)();
    let mut value = shape(&kind, field);
    let mut description = field.doc.trim().to_owned();
    if let Some(range) = field.range_text() {
        description.push_str(&format!(" Range: {range}."));
    }
    let default = (field.default)();
    if let Absent::Value(default) = &default {
        description.push_str(&format!(" Default: {}", written(default)));
        description.push_str(&field.why.map_or(".".into(), |why| format!(", because: {why}.")));
    } else if let Some(why) = field.why {
        description.push_str(&format!(" Why: {why}."));
    }
    if let Kind::Quantity(dimension) = &kind {
        description.push_str(&format!(" Units: {}.", dimension.symbols()));
    }
    if let Value::Object(map) = &mut value {
        map.insert("title".into(), json!(field.key));
        map.insert("description".into(), json!(description));
        if let Absent::Value(default) = default
            && !is_table(&kind)
        {
            map.insert("default".into(), default);
        }
    }
    value
}

fn is_table(kind: &Kind) -> bool {
    matches!(kind, Kind::Table(_) | Kind::Tables(_) | Kind::Tagged(_))
}

/// A default as it stands in a sentence.
pub(super) fn written(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        other if other.is_array() => other
            .as_array()
            .map(|list| list.iter().map(written).collect::<Vec<_>>().join(", "))
            .unwrap_or_default(),
        other => other.to_string(),
    }
}

fn ranged(base: Value, field: &Field, least: &str, most: &str) -> Value {
    let Value::Object(mut map) = base else { return base };
    if let Some(range) = &field.range {
        map.insert(least.into(), number(*range.start()));
        map.insert(most.into(), number(*range.end()));
    }
    Value::Object(map)
}

/// Whole numbers without a decimal point.
fn number(value: f64) -> Value {
    if value.fract() == 0.0 && value.abs() < 1e15 { json!(value as i64) } else { json!(value) }
}

fn shape(kind: &Kind, field: &Field) -> Value {
    match kind {
        Kind::Quantity(_) => json!({ "anyOf": [
            ranged(json!({ "type": "number" }), field, "minimum", "maximum"),
            { "type": "string", "pattern": "[0-9¼½¾⅛⅜⅝⅞]", "maxLength": 64 },
        ]}),
        Kind::Number => ranged(json!({ "type": "number" }), field, "minimum", "maximum"),
        Kind::Count => {
            ranged(json!({ "type": "integer", "minimum": 0 }), field, "minimum", "maximum")
        }
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Text => ranged(json!({ "type": "string" }), field, "minLength", "maxLength"),
        Kind::Date => json!({ "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" }),
        Kind::Words(words) => {
            let all: Vec<_> = words.iter().map(|(word, _)| word).collect();
            json!({ "enum": all })
        }
        Kind::Fixed(inner, n) => json!({
            "type": "array", "items": shape(inner, field), "minItems": n, "maxItems": n,
        }),
        Kind::List(inner) => json!({ "type": "array", "items": shape(inner, field) }),
        Kind::OneOrMore(inner) => json!({ "anyOf": [
            shape(inner, field),
            { "type": "array", "items": shape(inner, field), "minItems": 1 },
        ]}),
        Kind::Table(spec) => table(spec),
        Kind::Tables(spec) => json!({ "type": "array", "items": table(spec) }),
        Kind::Tagged(spec) => {
            let forms: Vec<_> = spec
                .forms
                .iter()
                .map(|form| {
                    let mut one = table(&form.table);
                    one["properties"][spec.tag] = json!({ "const": form.word });
                    match one["required"].as_array_mut() {
                        Some(required) => required.push(json!(spec.tag)),
                        None => one["required"] = json!([spec.tag]),
                    }
                    one
                })
                .collect();
            json!({ "oneOf": forms })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILES: [&str; 5] = [
        include_str!("../../params/one-lamp.toml"),
        include_str!("../../params/quillmere-stories.toml"),
        include_str!("../../params/orchard-supper.toml"),
        include_str!("../../params/thimbleford-inches.toml"),
        crate::params::template::STARTER,
    ];

    /// TOML as JSON, with dates as text.
    fn json_of(value: toml::Value) -> Value {
        match value {
            toml::Value::String(s) => json!(s),
            toml::Value::Integer(i) => json!(i),
            toml::Value::Float(f) => json!(f),
            toml::Value::Boolean(b) => json!(b),
            toml::Value::Datetime(d) => json!(d.to_string()),
            toml::Value::Array(list) => list.into_iter().map(json_of).collect(),
            toml::Value::Table(table) => {
                Value::Object(table.into_iter().map(|(k, v)| (k, json_of(v))).collect())
            }
        }
    }

    fn parsed(source: &str) -> Value {
        json_of(toml::Value::Table(source.parse().unwrap()))
    }

    #[test]
    fn the_schema_is_draft_07_and_takes_every_job_file() {
        // JSON Schema draft-07, by an independent validator and its copy of the meta-schema.
        let schema = schema();
        assert!(jsonschema::draft7::meta::is_valid(&schema));
        let validator = jsonschema::draft7::new(&schema).unwrap();
        for file in FILES {
            let job = parsed(file);
            let errors: Vec<_> = validator.iter_errors(&job).map(|e| e.to_string()).collect();
            assert!(errors.is_empty(), "{errors:?}");
        }
    }

    #[test]
    fn the_schema_refuses_what_the_reader_refuses() {
        let validator = jsonschema::draft7::new(&schema()).unwrap();
        for (from, to) in [
            ("girth = \"88 cm\"", "girth = 20"),
            ("girth = \"88 cm\"", "girth = true"),
            ("girth = \"88 cm\"", "gitrh = \"88 cm\""),
            ("girth = \"88 cm\"", "girth = 880\nfixtures = 9"),
            ("girth = \"88 cm\"", "girth = 880\ndiameters = [280]"),
            ("thread = \"M5\"", "thread = \"M7\""),
            ("kind = \"side-bosses\"", "kind = \"base-plate\""),
            ("name = \"Pear Tree\"", "name = \"\""),
            ("[job]", "[jobs]"),
        ] {
            let source = FILES[0].replacen(from, to, 1);
            assert_ne!(source, FILES[0], "{from}");
            assert!(!validator.is_valid(&parsed(&source)), "{to}");
            assert!(crate::params::read(&source).is_err(), "{to}");
        }
    }

    #[test]
    fn the_schema_beside_the_job_files_is_the_current_one() {
        let fresh = format!("{:#}\n", schema());
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/params/job.schema.json");
        if std::env::var_os("UPDATE_SCHEMA").is_some() {
            std::fs::write(path, &fresh).unwrap();
        }
        let kept = std::fs::read_to_string(path).unwrap_or_default();
        assert!(
            kept == fresh,
            "params/job.schema.json is stale: run this test with UPDATE_SCHEMA=1"
        );
    }
}
