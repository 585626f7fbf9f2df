//! What was probably meant: the remedy for a value, a key or a line that cannot be read.
//!
//! Whoever types a girth into a job file writes `113` for centimetres, `1,13 m` with a comma, leaves a
//! quote out, or says `lamp` for `fixture`. Each function returns the text to write instead. What it
//! proposes has been read by the same reader that refused the original, so that a remedy that is
//! followed does not fail in the same way again.

use std::ops::RangeInclusive;

use jiff::civil::Date;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::spec::{Field, Kind};
use super::text;
use super::why::fields_called;
use crate::units::parse::{self, Dimension, Unit};

/// Most units proposed for one number.
const MOST_UNITS: usize = 2;

/// What people call a table or a key, and its name in the job file; names of earlier formats too.
const ALIASES: &[(&str, &str)] = &[
    ("ampere-hours", "capacity"),
    ("cable", "feed"),
    ("circumference", "girth"),
    ("entries", "gland"),
    ("entry", "gland"),
    ("filament", "polymer"),
    ("flood", "fixture"),
    ("floodlight", "fixture"),
    ("foam", "pad"),
    ("gasket", "seal"),
    ("glands", "gland"),
    ("lamp", "fixture"),
    ("lamps", "fixtures"),
    ("light", "fixture"),
    ("material", "kind"),
    ("outlook", "glare"),
    ("plastic", "polymer"),
    ("reach", "max-width-ratio"),
    ("show", "programme"),
    ("skins", "solid-layers"),
    ("tree", "trunk"),
    ("trees", "trunk"),
    ("walls", "wall-lines"),
    ("watts", "power"),
    ("webbing", "strap"),
    ("weight", "mass"),
];

/// The key among `known` that a wrong one was probably meant to be.
pub(super) fn key(written: &str, known: &[&'static str]) -> Option<&'static str> {
    let lower = written.to_lowercase();
    let called = ALIASES.iter().find(|(said, key)| *said == lower && known.contains(key));
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

/// For a quantity that is out of range: the same number with the units that bring it inside.
///
/// `written` is the quantity as the file has it, with a unit or without. `None` when no unit helps.
pub(super) fn units(written: &str, field: &Field) -> Option<String> {
    let dimension = dimension_of(field)?;
    let range = field.range.as_ref()?;
    let end = written.find(|c: char| !is_of_number(c)).unwrap_or(written.len());
    let (number, unit) = (written[..end].trim(), written[end..].trim());
    let own = dimension.units.first()?;
    let used = if unit.is_empty() { own } else { dimension.find(unit)? };
    let mut likely: Vec<&Unit> = Vec::new();
    for unit in dimension.units {
        let same = |a: &Unit, b: &Unit| a.factor == b.factor && a.offset == b.offset;
        // A second symbol of a unit says nothing new; a tape in decimal feet is rare.
        let is_first = dimension.units.iter().find(|u| same(u, unit)) == Some(unit);
        let serves = |unit: &Unit| {
            let text = format!("{number} {}", unit.symbol);
            let read = parse::number_in(&text, &dimension, own.symbol);
            read.is_ok_and(|value| range.contains(&value))
        };
        if is_first && !same(unit, used) && unit.symbol != "ft" && serves(unit) {
            likely.push(unit);
        }
    }
    // Metres before centimetres: 1.2 is metres to anybody.
    likely.sort_by_key(|unit| unit.symbol != "m");
    likely.truncate(MOST_UNITS);
    let texts: Vec<String> =
        likely.iter().map(|unit| format!("\"{number} {}\"", unit.symbol)).collect();
    let bare = match unit {
        "" => format!("; a bare number is in {}", own.symbol),
        _ => String::new(),
    };
    match texts.as_slice() {
        [] => None,
        [one] => Some(format!("write {one} if that was meant{bare}")),
        many => Some(format!("write {}, whichever was meant{bare}", many.join(" or "))),
    }
}

/// Whether a character may stand in a number without a unit, such as `44 1/2`.
pub(super) fn is_of_number(c: char) -> bool {
    c.is_ascii_digit() || c.is_whitespace() || "+-\u{2212}./\u{bc}\u{bd}\u{be}".contains(c)
}

/// For a text that is no quantity: the same with what is wrong put right, within the range when
/// there is one.
pub(super) fn quantity(
    written: &str,
    dimension: &Dimension,
    range: Option<&RangeInclusive<f64>>,
) -> Option<String> {
    let reads = |text: &String| {
        parse::number_in(text, dimension, dimension.own_unit())
            .is_ok_and(|value| range.is_none_or(|range| range.contains(&value)))
    };
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

/// For a text that is no date of a job file, such as `5.12.2026` or `5 December 2026`: the same
/// day as a job file has it; both where day and month may be exchanged.
pub(super) fn date(written: &str) -> Option<String> {
    match dates(written).as_slice() {
        [] => None,
        [one] => Some(format!("write {one}")),
        many => {
            let many: Vec<String> = many.iter().map(Date::to_string).collect();
            Some(format!("write {}, whichever was meant", many.join(" or ")))
        }
    }
}

/// The days that a text can mean.
fn dates(written: &str) -> Vec<Date> {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let words: Vec<&str> = written
        .split(|c: char| c.is_whitespace() || "./-,".contains(c))
        .filter(|word| !word.is_empty())
        .collect();
    let [a, b, c] = words.as_slice() else { return Vec::new() };
    let number = |word: &str| word.parse::<i16>().ok().filter(|_| word.len() <= 4);
    let month = |word: &str| {
        let lower = word.to_lowercase();
        let named = MONTHS.iter().position(|m| lower.len() >= 3 && lower.starts_with(m));
        named.map(|m| m as i16 + 1).or_else(|| number(word))
    };
    // Two digits of a year are of this century: no job is planned for another.
    let year = |word: &str| {
        number(word)
            .filter(|_| matches!(word.len(), 2 | 4))
            .map(|y| if y < 100 { 2000 + y } else { y })
    };
    let named = |word: &str| number(word).is_none();
    // With points, and with the month's name in the middle, the day comes first.
    let day_first = written.contains('.') || named(b);
    let mut orders = vec![];
    if a.len() == 4 {
        orders.push((a, b, c));
    } else {
        if !named(a) {
            orders.push((c, b, a));
        }
        if !day_first {
            orders.push((c, a, b));
        }
    }
    let mut found = Vec::new();
    for (y, m, d) in orders {
        if let (Some(y), Some(m), Some(d)) = (year(y), month(m), number(d))
            && let (Ok(m), Ok(d)) = (i8::try_from(m), i8::try_from(d))
            && let Ok(date) = Date::new(y, m, d)
            && !found.contains(&date)
        {
            found.push(date);
        }
    }
    found
}

/// A text as TOML: in single quotes when it has a double one, as in `'44"'`.
fn in_quotes(text: &str) -> String {
    if text.contains('"') { format!("'{text}'") } else { format!("\"{text}\"") }
}

/// The ways to read commas: as the decimal mark, or as a mark between thousands.
pub(super) fn decimal_points(written: &str) -> Vec<String> {
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
    // Words before a number may be left out; letters that run into it make it a name.
    if written[..start].ends_with(|c: char| c.is_alphanumeric() || "+-_".contains(c)) {
        return Vec::new();
    }
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
    let all = lines.into_iter().map(|line| {
        let mut texts = corrected(line);
        texts.retain(|corrected| corrected != line);
        texts
    });
    match all.into_iter().find(|texts| !texts.is_empty()).as_deref() {
        Some([one]) => format!("write {one}"),
        Some(many) => format!("write {}, whichever was meant", many.join(" or ")),
        None => {
            "a line is key = value, [table], [[table]] or # a remark; text stands in quotes".into()
        }
    }
}

/// A longer line is no slip of a beginner, and reading it again and again takes its time.
const LONGEST_LINE: usize = 400;

/// A line of a key and a value with the slips of beginners put right, as far as that gives TOML.
fn corrected(line: &str) -> Vec<String> {
    if line.len() > LONGEST_LINE {
        return Vec::new();
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
        return if is_toml(&header) { vec![header] } else { Vec::new() };
    }
    let is_of_key = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
    let Some(ends) = line.find(|c: char| !is_of_key(c)) else { return Vec::new() };
    let (key, rest) = line.split_at(ends);
    let value = rest.trim_start().trim_start_matches([':', '=']).trim();
    let plain = value.trim_matches(['"', '\'']).trim();
    let name = key.rsplit('.').next().unwrap_or(key);
    let kinds: Vec<Kind> = fields_called(name).iter().map(|field| (field.kind)()).collect();
    let serves = |line: &String| is_toml(line) && is_of_kind(line, key, &kinds);
    let lines = |value: String| Some(format!("{key} = {value}")).filter(serves);
    let days: Vec<String> =
        dates(plain).iter().filter_map(|date| lines(date.to_string())).collect();
    if !days.is_empty() {
        return days;
    }
    let point = value.replace(',', ".");
    let mut values = vec![value.to_owned(), point, format!("\"{plain}\"")];
    // A plain number has no unit: `2 seasons` is 2.
    if kinds.iter().any(|kind| matches!(kind, Kind::Count | Kind::Number)) {
        values.extend(plain.split_whitespace().next().map(str::to_owned));
    }
    values.into_iter().find_map(lines).into_iter().collect()
}

/// Whether the value of a line is what a key of this name holds in some table; nothing is known of the
/// keys that no table has.
fn is_of_kind(line: &str, key: &str, kinds: &[Kind]) -> bool {
    let Ok(table) = DeTable::parse(line) else { return false };
    let mut steps = key.split('.');
    let first = steps.next().and_then(|step| table.get_ref().get(step));
    let value = steps.try_fold(first, |value, step| match value.map(Spanned::get_ref) {
        Some(DeValue::Table(inner)) => Some(inner.get(step)),
        _ => None,
    });
    let Some(Some(value)) = value else { return false };
    kinds.is_empty() || kinds.iter().any(|kind| accepts(kind, value.get_ref()))
}

/// Whether a key of this kind reads such a value; ranges are left to the reader.
fn accepts(kind: &Kind, value: &DeValue<'_>) -> bool {
    match (kind, value) {
        (Kind::Quantity(dimension), DeValue::String(text)) => {
            parse::number_in(text, dimension, dimension.own_unit()).is_ok()
        }
        (Kind::Words(words), DeValue::String(text)) => words.iter().any(|(word, _)| word == text),
        (Kind::Quantity(_) | Kind::Number, DeValue::Integer(_) | DeValue::Float(_))
        | (Kind::Count, DeValue::Integer(_))
        | (Kind::Flag, DeValue::Boolean(_))
        | (Kind::Text, DeValue::String(_))
        | (Kind::Date, DeValue::Datetime(_))
        | (Kind::Table(_) | Kind::Tagged(_), DeValue::Table(_)) => true,
        (
            Kind::Fixed(inner, _) | Kind::List(inner) | Kind::OneOrMore(inner),
            DeValue::Array(values),
        ) => values.iter().all(|value| accepts(inner, value.get_ref())),
        (Kind::OneOrMore(inner), value) => accepts(inner, value),
        _ => false,
    }
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
            ("9999999", "write at most 6000 mm"),
            // Ten metres round is no trunk, a metre is.
            ("\"1010 cm\"", "write \"1010 mm\" if that was meant, else at most 6000 mm"),
            (
                "\"88 mm\"",
                "write \"88 cm\" or \"88 in\", whichever was meant, else at least 250 mm",
            ),
            ("\"90 m\"", "write \"90 cm\" or \"90 in\", whichever was meant, else at most 6000 mm"),
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
            // 1.130 mm is no girth.
            ("\"1,130 mm\"", "write \"1130 mm\""),
            ("\"1,130 m\"", "write \"1.130 m\""),
            ("\"T88\"", "write a length such as \"1.13 m\", or a number of mm"),
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
            (
                "girth = ",
                "a line is key = value, [table], [[table]] or # a remark; text stands in quotes",
            ),
            ("[strap", "write [strap]"),
        ] {
            let told = remedies("girth = \"88 cm\"", written);
            assert_eq!(told.first().map(String::as_str), Some(remedy), "{written}: {told:?}");
        }
        let general = remedies("girth = \"88 cm\"", "?!");
        assert!(general[0].contains("key = value"), "{general:?}");
    }

    #[test]
    fn trade_words_lead_to_the_key_and_to_no_further_mistake() {
        assert_eq!(remedies("girth = ", "circumference = "), ["write girth if that was meant"]);
        assert_eq!(remedies("[fixture]", "[lamp]"), ["write fixture if that was meant"]);
        assert_eq!(remedies("[[trunk]]", "[[tree]]"), ["write trunk if that was meant"]);
        assert_eq!(remedies("mass = ", "weight = "), ["write mass if that was meant"]);
        assert_eq!(remedies("[[trunk]]", "[trunk]"), ["write [[trunk]], one for each"]);
    }

    #[test]
    fn a_date_in_another_form_is_put_right() {
        let key = "[job]\n";
        for (written, remedy) in [
            ("5.12.2026", "write install = 2026-12-05"),
            ("\"5.12.2026\"", "write 2026-12-05"),
            ("\"05.12.26\"", "write 2026-12-05"),
            ("\"5 December 2026\"", "write 2026-12-05"),
            ("\"Dec 5, 2026\"", "write 2026-12-05"),
            ("\"5/12/2026\"", "write 2026-12-05 or 2026-05-12, whichever was meant"),
            ("\"31/12/2026\"", "write 2026-12-31"),
            ("\"2026-2-30\"", "write year, month and day, such as 2027-05-28"),
            ("\"soon\"", "write year, month and day, such as 2027-05-28"),
        ] {
            let told = remedies(key, &format!("{key}install = {written}\n"));
            assert_eq!(told.first().map(String::as_str), Some(remedy), "{written}: {told:?}");
            // What is proposed is read.
            for day in remedy.split(' ').filter(|word| word.starts_with("20") && word.len() == 10) {
                let corrected = JOB.replacen(key, &format!("{key}install = {day}\n"), 1);
                assert!(day.contains("05-28") || read(&corrected).is_ok(), "{day}");
            }
        }
    }

    /// A line is put right only as its key reads it: no text for a whole number, none that is no length.
    #[test]
    fn a_corrected_line_holds_what_its_key_reads() {
        assert_eq!(corrected("years = 2 seasons"), ["years = 2"]);
        assert_eq!(corrected("girth = 113 cm"), ["girth = \"113 cm\""]);
        assert_eq!(corrected("girth = rather thick"), [""; 0]);
        assert_eq!(corrected("polymer.kind = asa"), ["polymer.kind = \"asa\""]);
        assert_eq!(corrected("polymer.kind = straw"), [""; 0]);
    }

    /// What a remedy proposes is read without the mistake that it cures.
    #[test]
    fn proposed_units_lie_in_the_range() {
        let field = Trunk::spec().field("girth").unwrap();
        for number in [0.3, 1.0, 5.9, 12.0, 26.0, 44.5, 99.0, 200.0] {
            let Some(remedy) = units(&number.to_string(), field) else { continue };
            for text in remedy.split('"').skip(1).step_by(2) {
                read(&JOB.replacen("88 cm", text, 1)).unwrap_or_else(|p| panic!("{text}: {p:?}"));
            }
        }
    }

    #[test]
    fn every_other_name_is_one_of_a_key_that_exists() {
        for (said, key) in ALIASES {
            let tables = ["", "trunk.", "fixture.", "battery.", "polymer.", "pad.", "printer."];
            let known = tables.iter().any(|t| crate::params::why(&format!("{t}{key}")).is_some());
            assert!(known, "{said} -> {key}");
        }
        assert!(ALIASES.is_sorted(), "{ALIASES:?}");
    }
}
