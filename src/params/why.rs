//! What `why KEY` prints: the meaning of a key, its range, its default and the reason.

use super::schema::written;
use super::spec::{Absent, Field, Kind, TableSpec};
use super::value::Table;
use super::{Job, SourceMap, text};
use crate::finding::KeyPath;

/// The explanation of a key such as `strap.clearance`, `trunk.girth`, `trunk[0].girth`, or of a
/// whole table such as `strap`; `None` when the job file has no such key.
#[must_use]
pub fn why(key: &str) -> Option<String> {
    let names: Vec<&str> =
        key.split('.').map(|step| step.split('[').next().unwrap_or(step)).collect();
    let mut found = fields_of(&Kind::Table(Job::spec()));
    let (last, tables) = names.split_last()?;
    for name in tables {
        found = found
            .into_iter()
            .filter(|f| f.key == *name)
            .flat_map(|f| fields_of(&(f.kind)()))
            .collect();
    }
    let texts: Vec<String> = found
        .iter()
        .filter(|f| f.key == *last)
        .map(|field| explanation(&names.join("."), field))
        .collect();
    (!texts.is_empty()).then(|| texts.join("\n"))
}

/// Every key whose last step has this name: `width` is a key of several tables.
#[must_use]
pub(crate) fn keys_called(name: &str) -> Vec<String> {
    let mut keys = Vec::new();
    all_keys("", &Kind::Table(Job::spec()), &mut keys);
    keys.retain(|key| key.contains('.') && key.rsplit('.').next() == Some(name));
    keys.dedup();
    keys
}

/// The keys of every table that have this name.
pub(super) fn fields_called(name: &str) -> Vec<&'static Field> {
    fn collect(kind: &Kind, name: &str, fields: &mut Vec<&'static Field>) {
        for field in fields_of(kind) {
            if field.key == name {
                fields.push(field);
            }
            collect(&(field.kind)(), name, fields);
        }
    }
    let mut fields = Vec::new();
    collect(&Kind::Table(Job::spec()), name, &mut fields);
    fields
}

/// The key that a wrong one was probably meant to be, when it is written with its table.
#[must_use]
pub(crate) fn nearest_key(written: &str) -> Option<String> {
    let mut keys = Vec::new();
    all_keys("", &Kind::Table(Job::spec()), &mut keys);
    let near = || text::nearest(written, keys.iter().map(String::as_str));
    written.contains('.').then(near).flatten().map(str::to_owned)
}

fn all_keys(prefix: &str, kind: &Kind, keys: &mut Vec<String>) {
    for field in fields_of(kind) {
        let key = format!("{prefix}{}", field.key);
        all_keys(&format!("{key}."), &(field.kind)(), keys);
        keys.push(key);
    }
}

/// A default that holds because the job file does not write its key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Taken {
    /// The key.
    pub key: String,
    /// What it is.
    pub what: &'static str,
    /// The default, with its unit.
    pub value: String,
    /// Why it is so.
    pub why: &'static str,
}

/// Every default with a reason that holds in a job file of this map: what was assumed.
///
/// Keys of lists of tables, and of tables that the job does without, are not listed.
#[must_use]
pub(crate) fn defaults_taken(map: &SourceMap) -> Vec<Taken> {
    let mut taken = Vec::new();
    take_defaults(Job::spec(), "", map, &mut taken);
    taken
}

fn take_defaults(table: &TableSpec, prefix: &str, map: &SourceMap, taken: &mut Vec<Taken>) {
    for field in table.fields {
        let key = format!("{prefix}{}", field.key);
        let is_written = map.is_written(&KeyPath::new(&key));
        if let Kind::Table(inner) = (field.kind)() {
            if is_written || inner.may_be_absent() {
                take_defaults(inner, &format!("{key}."), map, taken);
            }
        } else if let (false, Absent::Value(value), Some(why)) =
            (is_written, (field.default)(), field.why)
        {
            taken.push(Taken { key, what: field.doc.trim(), value: written(&value), why });
        }
    }
}

/// The keys of a table, of every form when it has several.
fn fields_of(kind: &Kind) -> Vec<&'static Field> {
    let of = |table: &'static TableSpec| table.fields.iter();
    match kind {
        Kind::Table(table) | Kind::Tables(table) => of(table).collect(),
        Kind::Tagged(tagged) => tagged.forms.iter().flat_map(|form| of(&form.table)).collect(),
        _ => Vec::new(),
    }
}

fn explanation(path: &str, field: &Field) -> String {
    let kind = (field.kind)();
    let mut lines = vec![format!("{path}: {}", field.doc.trim())];
    match &kind {
        Kind::Table(_) | Kind::Tables(_) | Kind::Tagged(_) => {}
        Kind::Words(words) => {
            lines.extend(words.iter().map(|(w, m)| format!("  \"{w}\" {m}").trim_end().to_owned()));
        }
        _ => lines.push(format!("  write    {}", kind.expected())),
    }
    if let Kind::Quantity(dimension) = &kind {
        lines.push(format!("  units    {}", dimension.symbols()));
    }
    lines.extend(field.range_text().map(|range| format!("  range    {range}")));
    let keys = fields_of(&kind);
    let has_defaults = matches!(kind, Kind::Table(table) if table.may_be_absent());
    lines.push(match (field.default)() {
        Absent::Required => "  default  none: it must be written".into(),
        Absent::Nothing if !has_defaults => "  default  not there".into(),
        Absent::Value(value) if keys.is_empty() => format!("  default  {}", written(&value)),
        Absent::Nothing | Absent::Value(_) => "  default  see its keys".into(),
    });
    lines.extend(field.why.map(|why| format!("  why      {why}")));
    lines.extend(keys.iter().map(|f| format!("  {:<18} {}", f.key, f.doc.trim())));
    lines.push(String::new());
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_told_with_its_range_default_and_reason() {
        insta::assert_snapshot!(why("strap.clearance").unwrap(), @r#"
strap.clearance: Gap between webbing and passage, all round.
  write    a length such as "1.13 m", or a number of mm
  units    mm, cm, m, in, ft, inch, inches, ", ″, foot, feet, ', ′
  range    0.2 to 3 mm
  default  0.6 mm
  why      0.5 mm between moving printed parts is the common rule, and roofs of passages sag a little
"#);
    }

    #[test]
    fn indices_forms_tables_and_words_are_told_and_nonsense_is_not() {
        assert!(why("trunk[3].girth").unwrap().contains("must be written"));
        assert!(why("fixture.mount.holes.count").unwrap().contains("How many"));
        let strap = why("strap").unwrap();
        assert!(strap.contains("working-load") && strap.contains("see its keys"));
        assert!(why("battery").unwrap().contains("not there"));
        assert!(why("polymer.kind").unwrap().contains("\"asa\""));
        for nonsense in ["", ".", "strap.colour", "girth", "strap.width.x", "[0]"] {
            assert_eq!(why(nonsense), None, "{nonsense}");
        }
    }

    #[test]
    fn defaults_are_told_only_where_the_job_leaves_them() {
        let text = include_str!("../../params/one-lamp.toml");
        let keys = |text: &str| -> Vec<String> {
            let map = super::super::read(text).unwrap().source_map;
            defaults_taken(&map).into_iter().map(|t| t.key).collect()
        };
        let before = keys(text);
        assert!(before.contains(&"printer.infill".into()), "{before:?}");
        // One-lamp has no battery: its defaults are not assumed.
        assert!(!before.iter().any(|k| k.starts_with("battery.")), "{before:?}");
        let after = keys(&format!("{text}\n[printer]\ninfill = 0.3\n"));
        assert!(!after.contains(&"printer.infill".into()), "{after:?}");
        assert_eq!(before.len(), after.len() + 1);
    }

    /// Every key of every table can be explained.
    #[test]
    fn every_key_has_an_explanation() {
        let mut keys = Vec::new();
        all_keys("", &Kind::Table(Job::spec()), &mut keys);
        assert!(keys.len() > 100, "{}", keys.len());
        for key in keys {
            assert!(why(&key).is_some(), "{key}");
        }
    }

    #[test]
    fn a_slip_or_the_last_step_alone_leads_to_the_key() {
        assert_eq!(keys_called("girth"), ["trunk.girth"]);
        assert!(keys_called("width").contains(&"strap.width".to_owned()));
        assert_eq!(keys_called("strap"), [""; 0]);
        assert_eq!(nearest_key("trunk.girht").as_deref(), Some("trunk.girth"));
        assert_eq!(nearest_key("xyz"), None);
    }
}
