//! Surveys as spreadsheets write them, and every mistake at its place.

use super::*;
use crate::params::{Place, read};

const JOB: &str = include_str!("../../../params/thimbleford-inches.toml");
const SURVEY: &str = include_str!("../../../params/thimbleford-survey.csv");

fn messages(source: &str) -> Vec<(&'static str, String)> {
    read_survey(source).unwrap_err().into_iter().map(|p| (p.code, p.message)).collect()
}

#[test]
fn a_survey_in_inches_reads_and_joins_the_job() {
    let survey = read_survey(SURVEY).unwrap();
    assert!(survey.warnings.is_empty());
    // 52 1/4 in = 1327.15 mm at 25.4 mm an inch; 4 ft 3 in = 1295.4 mm.
    assert!((survey.trunks[0].girth.get() - 1327.15).abs() < 1e-9);
    assert!((survey.trunks[0].height.get() - 1295.4).abs() < 1e-9);
    assert_eq!(survey.trunks[2].name, "Cooper's ash");
    assert!(survey.trunks[2].carries_box);
    assert!((survey.trunks[2].lean.deg() + 3.0).abs() < 1e-9);
    assert_eq!(survey.trunks[4].fixtures, 2);
    let mut loaded = read(JOB).unwrap();
    loaded.add_survey(&survey).unwrap();
    assert_eq!(loaded.job.trunks.len(), 5);
    let Place { origin, span } = loaded.source_map.place(&KeyPath::trunk(3, "girth"));
    assert_eq!((origin, &SURVEY[span]), (Origin::Survey, "58 3/4"));
    let Place { origin, span } = loaded.source_map.place(&KeyPath::trunk(1, "growth"));
    assert_eq!(origin, Origin::Survey);
    assert!(SURVEY[span].starts_with("Forge sycamore,"));
}

#[test]
fn separators_quotes_remarks_and_units_in_the_header() {
    let text = "\u{FEFF}# walked in May\n\nName; Girth (cm) ;Crown spread [m];notes\n\
                # the long one\n\"Elm; north\";  104.5;6;\"two\"\n\nOak;1.2 m;;\n";
    let trunks = read_survey(text).unwrap().trunks;
    assert_eq!(trunks.len(), 2);
    assert_eq!((trunks[0].name.as_str(), trunks[0].girth), ("Elm; north", Length::mm(1045.0)));
    assert_eq!(trunks[0].crown_spread, Some(Length::mm(6000.0)));
    assert_eq!(trunks[1].girth, Length::mm(1200.0));
    let oval = "name\tgirth\tdiameter-toward\tdiameter-across\nA\t900\t300\t28 cm\n";
    let trunks = read_survey(oval).unwrap().trunks;
    assert_eq!(trunks[0].diameters, Some([300.0, 280.0].map(Length::mm)));
}

#[test]
fn every_mistake_is_reported_with_line_and_column() {
    let text = "name,girth [cm],fixtures,box,diameter-toward\nA,95,1,no,\n\
                B,many,1,no,\nC,9,1,no,\nD,96,one,perhaps,\n,97,,,\nE,98,1,no,300\nF,99,1,no,,x\n";
    assert_eq!(
        messages(text),
        [
            ("bad-quantity", "line 3, column 3: `girth`: expected a number, found `many`".into()),
            ("out-of-range", "line 4, column 3: `girth` is 90 mm, outside 250 to 6000 mm".into()),
            ("wrong-type", "line 5, column 6: `fixtures` needs a whole number, found text".into()),
            ("wrong-type", "line 5, column 10: `box` needs true or false, found text".into()),
            ("missing-key", "line 6, column 1: `name` is missing".into()),
            (
                "bad-row",
                "line 7, column 11: one diameter of an oval trunk without the other".into()
            ),
            ("bad-row", "line 8, column 12: the line has 6 cells, the header 5".into()),
        ]
    );
    for (header, code) in [
        ("name,gurth\n", "unknown-key"),
        ("name,girth,girth\n", "bad-row"),
        ("name,girth [stone]\n", "bad-quantity"),
        ("name,height\n", "missing-key"),
        ("", "missing-key"),
    ] {
        assert_eq!(messages(header)[0].0, code, "{header}");
    }
}

#[test]
fn girths_in_a_wrong_unit_are_pointed_out() {
    let text = "name,girth [cm]\nA,110\nB,105\nC,43.3\nD,112\nE,300\nF,268\n";
    let warnings = read_survey(text).unwrap().warnings;
    let said: Vec<_> = warnings.iter().map(|w| (&text[w.span.clone()], &w.message)).collect();
    assert_eq!(said.len(), 3, "{said:?}");
    // 43.3 in = 110 cm.
    assert_eq!(said[0].0, "43.3");
    assert!(said[0].1.contains("inches read as centimetres"), "{}", said[0].1);
    assert!(said[1].1.contains("centimetres read as inches"), "{}", said[1].1);
    let tenfold = "name,girth\nA,1100\nB,1050\nC,1120\nD,290\nE,5900\nF,6000\nG,590\n";
    assert!(read_survey(tenfold).unwrap().warnings.is_empty());
    let tenfold = "name,girth\nA,300\nB,310\nC,305\nD,3100\n";
    let warnings = read_survey(tenfold).unwrap().warnings;
    assert!(warnings[0].message.contains("ten times too large"), "{warnings:?}");
}

#[test]
fn names_in_both_texts_are_refused() {
    let mut loaded =
        read(&format!("{JOB}\n[[trunk]]\nname = \"twin ash\"\ngirth = 900\n")).unwrap();
    let list = loaded.add_survey(&read_survey(SURVEY).unwrap()).unwrap_err();
    assert_eq!((list[0].code, list[0].origin), ("duplicate-name", Origin::Survey));
    assert_eq!(&SURVEY[list[0].span.clone()], "Twin ash");
}

proptest::proptest! {
    #[test]
    fn any_text_gives_trunks_or_problems_within_the_text(
        rows in "[a-c0-9\",;\\n\\r# .½]{0,60}", head in 0_usize..3
    ) {
        let header = ["name,girth\n", "name;girth [cm];notes\n", "\u{FEFF}"][head];
        let text = format!("{header}{rows}");
        let list = read_survey(&text).map_or_else(|p| p, |s| s.warnings);
        for p in list {
            proptest::prop_assert!(text.get(p.span.clone()).is_some(), "{:?} {:?}", p, text);
        }
    }
}
