//! Names that a user may write, through to every file of a set, read with readers of others.

use std::io::{Cursor, Read};

use super::{Bench, RIVER, files};

/// Markup, quotes, braces, right-to-left text, emoji with joiners.
const FREE: &str = r#"<script>alert(1)</script> "two" 'one' & ]]> --> {{ x }} ${y} 100%% \U+0041"#;
const JOB: &str = "Fête & l'arbre 🌳 {{x}}";
const TRUNK: &str = "🌳 עץ <d'or>: 1/2";

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn they_stay_text_in_every_file_and_read_back() {
    let literal = |text: &str| text.replace('\\', "\\\\").replace('"', "\\\"");
    let job = RIVER
        .replace("\"Quillmere Stories\"", &format!("\"{}\"", literal(JOB)))
        .replace("\"Quillmere Green, river path\"", &format!("\"{}\"", literal(FREE)))
        .replace("Bench Lime", TRUNK);
    assert!(job.contains(JOB) && job.contains("<script>") && job.contains(TRUNK));
    let bench = Bench::new(&job);
    bench.make("out").ends(0);
    let set = files(&bench.path("out"));
    let (mut drawings, mut packages, mut plans, mut named) = (0, 0, 0, 0);
    for (path, bytes) in &set {
        if path.ends_with(".svg") {
            let svg = text(bytes);
            let xml = roxmltree::Document::parse(&svg).unwrap();
            assert!(!xml.descendants().any(|n| n.tag_name().name() == "script"), "{path}");
            drawings += 1;
            if path == "pictures/feed.svg" {
                let told = |n: roxmltree::Node<'_, '_>| n.text().is_some_and(|t| t == TRUNK);
                named += xml.descendants().filter(|n| told(*n)).count();
            }
        } else if path.ends_with(".3mf") {
            let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
            let mut model = String::new();
            zip.by_name("3D/3dmodel.model").unwrap().read_to_string(&mut model).unwrap();
            let xml = roxmltree::Document::parse(&model).unwrap();
            let description = xml
                .descendants()
                .find(|n| n.attribute("name") == Some("Description"))
                .and_then(|n| n.text())
                .unwrap();
            assert!(description.contains(JOB), "{path}: {description}");
            packages += 1;
        } else if path.ends_with(".dxf") {
            dxf::Drawing::load(&mut bytes.as_slice()).unwrap();
            plans += 1;
        }
    }
    assert!(drawings > 10 && packages > 10 && plans > 3, "{drawings} {packages} {plans}");
    assert!(named >= 1, "the feed diagram does not tell the trunk");

    let page = text(&set["sheet.html"]);
    assert!(!page.contains("<script>alert"));
    let inside = |tag: &str, wanted: &str| {
        let open = format!("<{tag}>");
        page.match_indices(&open).any(|(at, _)| {
            let end = page[at..].find(&format!("</{tag}>")).unwrap() + at + tag.len() + 3;
            let element = roxmltree::Document::parse(&page[at..end]).unwrap();
            element.root_element().text() == Some(wanted)
        })
    };
    assert!(inside("h1", JOB) && inside("dd", FREE) && inside("h3", TRUNK));

    let table = text(&set["trunks.csv"]);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    assert!(rows.records().any(|row| &row.unwrap()[0] == TRUNK));
    let manifest: serde_json::Value = serde_json::from_slice(&set["manifest.json"]).unwrap();
    assert_eq!(manifest["about"]["job"], JOB);
}

#[test]
fn controls_and_marks_that_turn_the_reading_direction_are_refused() {
    for bad in ["\\u0007", "\\u0000", "\\u001b[31m", "\\u202e", "\\u2066", "\\u2028", "\\u0085"] {
        let bench = Bench::new(&RIVER.replace("Quillmere Green", bad));
        bench.make("out").ends(2).says("control character");
        assert!(!bench.path("out").exists());
    }
}
