//! What was probably meant: the remedy for a value, a key or a line that cannot be read.
//!
//! Whoever types a girth into a job file writes `113` for centimetres, `1,13 m` with a comma, leaves a
//! quote out, or says `lamp` for `fixture`. Each function returns the text to write instead. What it
//! proposes has been read by the same reader that refused the original, so that a remedy that is
//! followed does not fail in the same way again.

use toml::de::DeTable;

use super::spec::{Field, Kind};
use super::text;
use crate::units::parse::{self, Dimension, Unit};

/// Most units proposed for one number.
const MOST_UNITS: usize = 2;

/// What people call a table or a key, and its name in the job file.
const ALSO_CALLED: &[(&str, &str)] = &[
    ("ampere-hours", "capacity"),
    ("cable", "feed"),
    ("circumference", "girth"),
    ("filament", "polymer"),
    ("flood", "fixture"),
    ("floodlight", "fixture"),
    ("foam", "pad"),
    ("gasket", "seal"),
    ("gland", "entry"),
    ("glands", "entry"),
    ("lamp", "fixture"),
    ("lamps", "fixtures"),
    ("light", "fixture"),
    ("material", "kind"),
    ("plastic", "polymer"),
    ("tree", "trunk"),
    ("trees", "trunk"),
    ("watts", "power"),
    ("webbing", "strap"),
    ("weight", "mass"),
];

/// The key among `known` that a wrong one was probably meant to be.
pub(super) fn key(written: &str, known: &[&'static str]) -> Option<&'static str> {
    let lower = written.to_lowercase();
    let called = ALSO_CALLED.iter().find(|(said, key)| *said == lower && known.contains(key));
    called.map(|(_, key)| *key).or_else(|| text::nearest(written, known.iter().copied()))
}

/// The dimension of a key, of its elements when it is a list.
fn dimension_of(field: &Field) -> Option<Dimension> {
    let mut kind = (field.kind)();
    while let Kind::Fixed(inner, _) | Kind::List(inner) | Kind::OneOrMore(inner) = kind {
        kind = *inner;
    }
    if let Kind::Quantity(dimension) = kind { Some(dimension) } else { None }
}

/// For a number without a unit that is out of range: the units in which it would lie inside.
///
/// `written` is the number as the file has it. `None` when no unit helps.
pub(super) fn units(written: &str, number: f64, field: &Field) -> Option<String> {
    let dimension = dimension_of(field)?;
    let range = field.range.as_ref()?;
    let own = dimension.own_unit();
    let serves = |unit: &&Unit| range.contains(&(number * unit.factor + unit.offset));
    let mut likely: Vec<&Unit> = Vec::new();
    for unit in dimension.units.iter().skip(1).filter(serves) {
        // A second symbol of a unit says nothing new; a tape in decimal feet is rare.
        let first =
            dimension.units.iter().find(|u| u.factor == unit.factor && u.offset == unit.offset);
        if first == Some(unit) && unit.symbol != "ft" {
            likely.push(unit);
        }
    }
    // Metres before centimetres: 1.2 is metres to anybody.
    likely.sort_by_key(|unit| unit.symbol != "m");
    let texts: Vec<String> = likely
        .iter()
        .take(MOST_UNITS)
        .map(|unit| format!("\"{written} {}\"", unit.symbol))
        .collect();
    match texts.as_slice() {
        [] => None,
        [one] => Some(format!("write {one} if that was meant; a bare number is in {own}")),
        many => {
            let many = many.join(" or ");
            Some(format!("write {many}, whichever was meant; a bare number is in {own}"))
        }
    }
}

/// For a text that is no quantity: the same with what is wrong put right.
pub(super) fn quantity(written: &str, dimension: &Dimension) -> Option<String> {
    let reads = |text: &String| parse::number_in(text, dimension, dimension.own_unit()).is_ok();
    let mut texts: Vec<String> = Vec::new();
    for numbers in decimal_points(written.trim()) {
        for text in known_units(&numbers, dimension) {
            if text != written && reads(&text) && !texts.contains(&text) {
                texts.push(text);
            }
        }
    }
    texts.truncate(MOST_UNITS);
    let quoted: Vec<String> = texts.iter().map(|text| in_quotes(text)).collect();
    match quoted.as_slice() {
        [] => None,
        [one] => Some(format!("write {one}")),
        many => Some(format!("write {}, whichever was meant", many.join(" or "))),
    }
}

/// A text as TOML: in single quotes when it has a double one, as in `'44"'`.
fn in_quotes(text: &str) -> String {
    if text.contains('"') { format!("'{text}'") } else { format!("\"{text}\"") }
}

/// The ways to read commas: as the decimal mark, or as a mark between thousands.
fn decimal_points(written: &str) -> Vec<String> {
    let decimal = || written.replace('.', "").replace(',', ".");
    let thousands = || written.replace(',', "");
    match (written.rfind(','), written.rfind('.')) {
        (None, _) => vec![written.to_owned()],
        (Some(comma), Some(point)) if point > comma => vec![thousands()],
        (Some(_), Some(_)) => vec![decimal()],
        (Some(comma), None) => {
            let behind = written[comma + 1..].bytes().take_while(u8::is_ascii_digit).count();
            if behind == 3 { vec![thousands(), decimal()] } else { vec![decimal()] }
        }
    }
}

/// Without words before the number, and with the unit nearest to one that does not exist.
fn known_units(written: &str, dimension: &Dimension) -> Vec<String> {
    let Some(start) = written.find(|c: char| c.is_ascii_digit()) else { return Vec::new() };
    let bare = &written[start..];
    let end = bare.rfind(|c: char| c.is_ascii_digit()).map_or(bare.len(), |i| i + 1);
    let (number, unit) = bare.split_at(end);
    let unit = unit.trim().trim_end_matches('.');
    let doubled = unit.replace("''", "\"").replace(['\u{201c}', '\u{201d}'], "\"");
    let mut texts = vec![bare.to_owned()];
    if dimension.find(&doubled).is_some() {
        texts.push(format!("{number} {doubled}"));
    }
    if !unit.is_empty() {
        let symbols = dimension.units.iter().map(|u| u.symbol);
        let near = symbols.clone().find(|s| s.eq_ignore_ascii_case(unit)).or_else(|| {
            let singular = unit.strip_suffix('s').unwrap_or(unit);
            symbols.clone().find(|s| s.eq_ignore_ascii_case(singular))
        });
        let near = near.or_else(|| text::nearest(unit, symbols.filter(|s| s.len() > 1)));
        texts.extend(near.map(|near| format!("{number} {near}")));
    }
    texts
}

/// For a line that is not TOML: the line put right, or what lines there are.
pub(super) fn line(source: &str, at: usize) -> String {
    let at = source.floor_char_boundary(at);
    let start = source[..at].rfind('\n').map_or(0, |i| i + 1);
    let end = source[at..].find('\n').map_or(source.len(), |i| at + i);
    let mut lines = vec![source[start..end].trim()];
    // A text that is not closed is reported where the line ends, or on the next.
    if lines[0].is_empty() || start == at {
        lines.extend(source[..start].trim_end().rsplit('\n').next().map(str::trim));
    }
    let mended = lines.into_iter().find_map(|line| mended(line).filter(|m| m != line));
    mended.map_or_else(
        || {
            "a line is `key = value`, `[table]`, `[[table]]` or `# a remark`; text stands in quotes"
                .into()
        },
        |line| format!("write {line}"),
    )
}

/// A longer line is no slip of a beginner, and reading it again and again takes its time.
const LONGEST_LINE: usize = 400;

/// A line of a key and a value with the slips of beginners put right, when that is TOML.
fn mended(line: &str) -> Option<String> {
    if line.len() > LONGEST_LINE {
        return None;
    }
    let straight: String = line
        .chars()
        .map(|c| match c {
            '\u{201c}' | '\u{201d}' | '\u{201e}' | '\u{ab}' | '\u{bb}' => '"',
            '\u{2018}' | '\u{2019}' => '\'',
            c => c,
        })
        .collect();
    let line = straight.split(" #").next().unwrap_or(&straight).trim();
    if let Some(name) = line.strip_prefix('[') {
        let name = name.trim_matches(|c: char| c == '[' || c == ']' || c.is_whitespace());
        let header =
            if line.starts_with("[[") { format!("[[{name}]]") } else { format!("[{name}]") };
        return is_toml(&header).then_some(header);
    }
    let ends = line.find(|c: char| !(c.is_ascii_alphanumeric() || "-_.".contains(c)))?;
    let (key, rest) = line.split_at(ends);
    let value = rest.trim_start().trim_start_matches([':', '=']).trim();
    let plain = value.trim_matches(['"', '\'']).trim();
    let point = value.replace(',', ".");
    [value.to_owned(), point, format!("\"{plain}\"")]
        .into_iter()
        .map(|value| format!("{key} = {value}"))
        .find(|line| is_toml(line))
}

fn is_toml(line: &str) -> bool {
    DeTable::parse(line).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::problem::Problem;
    use crate::params::{Trunk, read, value::Table};

    const JOB: &str = include_str!("../../params/one-lamp.toml");

    /// The remedies of the job in which one text stands in place of another.
    fn remedies(from: &str, to: &str) -> Vec<String> {
        assert!(JOB.contains(from), "{from}");
        let problems = read(&JOB.replacen(from, to, 1)).unwrap_err();
        let told = |p: Problem| p.remedy.unwrap_or_else(|| panic!("no remedy: {}", p.message));
        problems.into_iter().map(told).collect()
    }

    #[test]
    fn a_girth_without_its_unit_is_offered_the_units_in_which_it_is_a_girth() {
        for (written, remedy) in [
            ("113", "write \"113 cm\" or \"113 in\", whichever was meant; a bare number is in mm"),
            (
                "44.5",
                "write \"44.5 cm\" or \"44.5 in\", whichever was meant; a bare number is in mm",
            ),
            ("1.13", "write \"1.13 m\" if that was meant; a bare number is in mm"),
            (
                "\"113\"",
                "write \"113 cm\" or \"113 in\", whichever was meant; a bare number is in mm",
            ),
            (
                "\"44 1/2\"",
                "write \"44 1/2 cm\" or \"44 1/2 in\", whichever was meant; a bare number is in mm",
            ),
            ("9999999", "at most 6000 mm"),
        ] {
            assert_eq!(remedies("\"88 cm\"", written), [remedy], "{written}");
        }
        let remedy = "write \"480 g\" or \"480 oz\", whichever was meant; a bare number is in kg";
        assert_eq!(remedies("\"480 g\"", "480"), [remedy]);
    }

    #[test]
    fn a_girth_with_a_comma_or_a_strange_unit_is_put_right() {
        for (written, remedy) in [
            ("\"1,13 m\"", "write \"1.13 m\""),
            ("\"44,5 in\"", "write \"44.5 in\""),
            ("\"1,130 mm\"", "write \"1130 mm\" or \"1.130 mm\", whichever was meant"),
            ("\"1.130,5 mm\"", "write \"1130.5 mm\""),
            ("\"1,130.5 mm\"", "write \"1130.5 mm\""),
            ("\"113 cms\"", "write \"113 cm\""),
            ("\"113cm.\"", "write \"113 cm\""),
            ("\"113 CM\"", "write \"113 cm\""),
            ("\"about 113 cm\"", "write \"113 cm\""),
            ("\"44''\"", "write '44 \"'"),
            ("\"44 bananas\"", "write a length such as \"1.13 m\", or a number of mm"),
        ] {
            assert_eq!(remedies("\"88 cm\"", written), [remedy], "{written}");
        }
    }

    #[test]
    fn a_line_that_is_not_toml_is_put_right() {
        for (written, remedy) in [
            ("girth = 113 cm", "write girth = \"113 cm\""),
            ("girth = \"113 cm", "write girth = \"113 cm\""),
            ("girth = 113 cm\"", "write girth = \"113 cm\""),
            ("girth = \u{201c}113 cm\u{201d}", "write girth = \"113 cm\""),
            ("girth \"113 cm\"", "write girth = \"113 cm\""),
            ("girth: 113 cm", "write girth = \"113 cm\""),
            ("girth = 1130,5  # tape", "write girth = 1130.5"),
            ("girth = \"44 1/2\"\"", "write girth = \"44 1/2\""),
            ("girth = ", "write girth = \"\""),
            ("[strap", "write [strap]"),
        ] {
            let told = remedies("girth = \"88 cm\"", written);
            assert_eq!(told.first().map(String::as_str), Some(remedy), "{written}: {told:?}");
        }
        let general = remedies("girth = \"88 cm\"", "?!");
        assert!(general[0].contains("`key = value`"), "{general:?}");
    }

    #[test]
    fn trade_words_lead_to_the_key_and_to_no_further_mistake() {
        assert_eq!(remedies("girth = ", "circumference = "), ["did you mean `girth`?"]);
        assert_eq!(remedies("[fixture]", "[lamp]"), ["did you mean `fixture`?"]);
        assert_eq!(remedies("[[trunk]]", "[[tree]]"), ["did you mean `trunk`?"]);
        assert_eq!(remedies("mass = ", "weight = "), ["did you mean `mass`?"]);
        assert_eq!(remedies("[[trunk]]", "[trunk]"), ["write [[trunk]], one for each"]);
    }

    /// What a remedy proposes is read without the mistake that it cures.
    #[test]
    fn proposed_units_lie_in_the_range() {
        let field = Trunk::spec().field("girth").unwrap();
        for number in [0.3, 1.0, 5.9, 12.0, 26.0, 44.5, 99.0, 200.0] {
            let Some(remedy) = units(&number.to_string(), number, field) else { continue };
            for text in remedy.split('"').skip(1).step_by(2) {
                read(&JOB.replacen("88 cm", text, 1)).unwrap_or_else(|p| panic!("{text}: {p:?}"));
            }
        }
    }

    #[test]
    fn every_other_name_is_one_of_a_key_that_exists() {
        for (said, key) in ALSO_CALLED {
            let tables = ["", "trunk.", "fixture.", "battery.", "polymer."];
            let known =
                tables.iter().any(|t| crate::params::explain_key(&format!("{t}{key}")).is_some());
            assert!(known, "{said} -> {key}");
        }
        assert!(ALSO_CALLED.is_sorted(), "{ALSO_CALLED:?}");
    }
}
