//! Surveys as spreadsheets write them, and every mistake at its place.

use super::*;
use crate::params::Origin;

const JOB: &str = include_str!("../../../params/thimbleford-inches.toml");
const SURVEY: &str = include_str!("../../../params/thimbleford-survey.csv");

/// Code, line and what is said of each problem.
fn messages(source: &str) -> Vec<(&'static str, usize, String)> {
    let line = |p: &Problem| 1 + source[..p.place.span.start].matches('\n').count();
    read_survey(source).problems.into_iter().map(|p| (p.code, line(&p), p.message)).collect()
}

/// The trunks of a survey without a mistake.
fn trunks(source: &str) -> Vec<Trunk> {
    let survey = read_survey(source);
    assert_eq!(survey.problems, []);
    survey.trunks
}

#[test]
fn a_survey_in_inches_reads_and_joins_the_job() {
    let survey = read_survey(SURVEY);
    assert_eq!(survey.problems, []);
    // 52 1/4 in = 1327.15 mm at 25.4 mm an inch; 4 ft 3 in = 1295.4 mm.
    assert!((survey.trunks[0].girth.get() - 1327.15).abs() < 1e-9);
    assert!((survey.trunks[0].height.get() - 1295.4).abs() < 1e-9);
    assert_eq!(survey.trunks[2].name, "Cooper's ash");
    assert!(survey.trunks[2].carries_box);
    assert!((survey.trunks[2].lean.deg() + 3.0).abs() < 1e-9);
    assert_eq!(survey.trunks[4].fixtures, 2);
    let mut draft = Draft::new(JOB, &[]);
    assert_eq!(draft.survey(), Some("thimbleford-survey.csv"));
    draft.add_survey(SURVEY);
    let loaded = draft.finish().unwrap();
    assert_eq!(loaded.job.trunks.len(), 5);
    let Place { origin, span, .. } = loaded.source_map.place(&KeyPath::trunk(3, "girth"));
    assert_eq!((origin, &SURVEY[span]), (Origin::Survey, "58 3/4"));
    let Place { origin, span, .. } = loaded.source_map.place(&KeyPath::trunk(1, "growth"));
    assert_eq!(origin, Origin::Survey);
    assert!(SURVEY[span].starts_with("Forge sycamore,"));
}

#[test]
fn separators_quotes_remarks_and_units_in_the_header() {
    let text = "\u{FEFF}# walked in May\n\nName; Girth (cm) ;Crown spread [m];notes\n\
                # the long one\n\"Elm; north\";  104.5;6;\"two\"\n\nOak;1.2 m;;\n";
    let found = trunks(text);
    assert_eq!(found.len(), 2);
    assert_eq!((found[0].name.as_str(), found[0].girth), ("Elm; north", Length::mm(1045.0)));
    assert_eq!(found[0].crown_spread, Some(Length::mm(6000.0)));
    assert_eq!(found[1].girth, Length::mm(1200.0));
    let oval = "name\tgirth\tdiameter-toward\tdiameter-across\nA\t900\t300\t28 cm\n";
    assert_eq!(trunks(oval)[0].diameters, Some([300.0, 280.0].map(Length::mm)));
    let edge = "name,girth,edge-length [cm],edge-gap-left,edge-gap-right\nA,900,20,18,1.7 cm\n";
    assert_eq!(trunks(edge)[0].straight_edge, Some([200.0, 18.0, 17.0].map(Length::mm)));
}

#[test]
fn every_mistake_is_reported_at_its_row_and_hides_no_other() {
    let text = "name,girth [cm],fixtures,box,diameter-toward\nA,95,1,no,\n\
                B,many,9,no,\nC,9,1,no,\nD,96,one,perhaps,\n,97,,,\nE,98,1,no,300\nF,99,1,no,,x\n";
    assert_eq!(
        messages(text),
        [
            ("bad-quantity", 3, "\"many\" stands where a number is needed".into()),
            // The row with a bad girth is read on.
            ("out-of-range", 3, "9 is outside the range of 0 to 8".into()),
            ("out-of-range", 4, "90 mm is outside the range of 250 to 6000 mm".into()),
            ("wrong-type", 5, "this is text, and a whole number is needed".into()),
            ("wrong-type", 5, "this is text, and true or false is needed".into()),
            ("missing-key", 6, "this cell is empty".into()),
            ("bad-row", 7, "diameter-toward without diameter-across".into()),
            ("bad-row", 8, "the row has 6 cells, the header 5".into()),
        ]
    );
    for (header, code) in [
        ("name,gurth\n", "unknown-key"),
        ("name,girth,girth\n", "bad-row"),
        ("name,girth [stone]\n", "bad-quantity"),
        ("name,height\n", "missing-key"),
        ("name,girth,\n", "unknown-key"),
        ("", "missing-key"),
    ] {
        assert_eq!(messages(header)[0].0, code, "{header}");
    }
}

#[test]
fn a_mistake_in_the_header_hides_none_in_the_rows() {
    let list = messages("name,gurth,height\nA,900,1.3 m\nB,800,90 m\n");
    let told: Vec<_> = list.iter().map(|(code, line, _)| (*code, *line)).collect();
    // The column of girths is missing once, and not in every row.
    assert_eq!(told, [("unknown-key", 1), ("out-of-range", 3)], "{list:?}");
}

#[test]
fn mistakes_of_header_cells_names_and_job_file_come_in_one_round() {
    let job = format!("{JOB}\n[tilt\nmin = 1\n").replace("mass = \"1 lb 6 oz\"", "mass = 0");
    let mut draft = Draft::new(&job, &[]);
    draft.add_survey("name,girth,hight\nA,900,1\nB,x,1\na,910,1\n");
    let codes: Vec<_> = draft.finish().unwrap_err().into_iter().map(|p| p.code).collect();
    for code in ["not-toml", "out-of-range", "unknown-key", "bad-quantity", "duplicate-name"] {
        assert!(codes.contains(&code), "{code}: {codes:?}");
    }
}

#[test]
fn common_heads_semicolons_and_decimal_commas_are_read() {
    let text = "Tree No;GBH (cm);Height of girth;Lamps;Crown width m;Remarks\n\
                1/2;113,5;1,3 m;2;6,5;by the gate\n2;1,130 m;1.300,5 mm;1;7;\n";
    let found = trunks(text);
    assert_eq!((found[0].name.as_str(), found[0].girth), ("1/2", Length::mm(1135.0)));
    assert_eq!(found[0].height, Length::mm(1300.0));
    assert_eq!((found[0].fixtures, found[0].crown_spread), (2, Some(Length::mm(6500.0))));
    // Where cells are parted by semicolons a comma is the decimal mark: 1.13 m, and not 1130 m.
    assert_eq!((found[1].girth, found[1].height), (Length::mm(1130.0), Length::mm(1300.5)));
    let quoted = "name,girth cm\nA,\"95,5\"\n";
    assert_eq!(trunks(quoted)[0].girth, Length::mm(955.0));
    // Between commas "1,130" may be either: it is asked for.
    let either = read_survey("name,girth\nA,\"1,130 m\"\n").problems;
    assert_eq!(either[0].remedy.as_deref(), Some("write \"1.130 m\""));
    for (said, column) in HEADS {
        assert_eq!(read_head(&said.replace('-', " ").to_uppercase()).0, Some(column), "{said}");
        assert!(COLUMNS.iter().any(|(key, _)| *key == column), "{column}");
        assert!(!COLUMNS.iter().any(|(key, _)| *key == said), "{said} is a column of its own");
    }
    for head in
        ["girth [cm]", "Girth(cm)", "girth cm", "girth in cm", "girth, cm", "girth_cm", "girth/cm"]
    {
        assert_eq!(read_head(head), (Some("girth"), Some("cm".to_owned())), "{head}");
    }
    assert_eq!(read_head("crown-spread"), (Some("crown-spread"), None));
}

#[test]
fn columns_are_the_keys_of_a_trunk() {
    let mut keys: Vec<&str> = Trunk::spec().fields.iter().map(|f| f.key).collect();
    for (key, columns) in JOINED {
        keys.retain(|k| *k != key);
        keys.extend(columns);
    }
    let mut columns = COLUMNS.map(|(key, _)| key).to_vec();
    keys.sort_unstable();
    columns.sort_unstable();
    assert_eq!(columns, keys);
}

#[test]
fn a_diameter_is_asked_for_by_its_side_and_not_taken_for_a_girth() {
    let remedy = |head: &str| {
        let text = format!("name,girth,{head}\n");
        read_survey(&text).problems[0].remedy.clone().unwrap()
    };
    for head in ["Diam along", "diam 1", "diameters"] {
        let told = remedy(head);
        assert!(told.contains("diameter-toward for the one toward the lamp"), "{head}: {told}");
    }
    for head in ["DBH", "dbh (cm)", "Diameter"] {
        assert!(remedy(head).contains("3.142 times"), "{head}: {}", remedy(head));
    }
    assert!(remedy("crown spred").contains("write crown-spread"), "{}", remedy("crown spred"));
}

#[test]
fn girths_in_a_wrong_unit_are_pointed_out_once_for_each_slip() {
    let text = "name,girth [cm]\nA,110\nB,105\nC,43.3\nD,112\nE,300\nF,268\n";
    let odd = |text: &str| {
        let list = read_survey(text).problems;
        assert!(list.iter().all(|p| p.severity == Severity::Warning), "{list:?}");
        list
    };
    let warnings = odd(text);
    let said: Vec<_> = warnings.iter().map(|w| (&text[w.place.span.clone()], &w.message)).collect();
    assert_eq!(said.len(), 2, "{said:?}");
    // 43.3 in = 110 cm.
    assert_eq!(said[0].0, "43.3");
    assert!(said[0].1.contains("inches read as centimetres"), "{}", said[0].1);
    // One cause for two trunks: one warning with both names, at the first.
    assert_eq!(said[1].0, "300");
    assert!(said[1].1.contains("centimetres read as inches: \"E\" and \"F\""), "{}", said[1].1);
    assert!(odd("name,girth\nA,1100\nB,1050\nC,1120\nD,290\nE,5900\nF,6000\nG,590\n").is_empty());
    let warnings = odd("name,girth\nA,300\nB,310\nC,305\nD,3100\n");
    assert!(warnings[0].message.contains("ten times too large"), "{warnings:?}");
    // Five thousand trunks of which half are in inches: a list that one reads.
    let many: String =
        (0..4999).map(|i| format!("t{i},{}\n", if i % 3 == 0 { 43.3 } else { 110.0 })).collect();
    let warnings = odd(&format!("name,girth cm\n{many}"));
    assert_eq!(warnings.len(), 1);
    assert!(
        warnings[0].message.starts_with("the girths of 1667 trunks"),
        "{}",
        warnings[0].message
    );
    assert!(warnings[0].message.ends_with("and 1655 more"), "{}", warnings[0].message);
}

#[test]
fn names_in_both_texts_are_refused() {
    let job = format!("{JOB}\n[[trunk]]\nname = \"twin ash\"\ngirth = 900\n");
    let mut draft = Draft::new(&job, &[]);
    draft.add_survey(SURVEY);
    let list = draft.finish().unwrap_err();
    assert_eq!((list[0].code, list[0].place.origin), ("duplicate-name", Origin::Survey));
    assert_eq!(&SURVEY[list[0].place.span.clone()], "Twin ash");
    assert_eq!(&job[list[0].also[0].1.span.clone()], "\"twin ash\"");
}

proptest::proptest! {
    #[test]
    fn any_text_gives_trunks_or_problems_within_the_text(
        rows in "[a-c0-9\",;\\n\\r# .½]{0,60}", head in 0_usize..3
    ) {
        let header = ["name,girth\n", "name;girth [cm];notes\n", "\u{FEFF}"][head];
        let text = format!("{header}{rows}");
        for p in read_survey(&text).problems {
            proptest::prop_assert!(text.get(p.place.span.clone()).is_some(), "{:?} {:?}", p, text);
        }
    }
}
