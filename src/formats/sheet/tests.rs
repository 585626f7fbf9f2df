//! The page is read with independent readers: an XML reader for its bones, SHA-256 and base64 for
//! what it embeds.

use super::*;
use crate::formats::drawing::{HOSTILE, clean};
use crate::mesh::shapes::cuboid;

fn column(name: &str, numeric: bool) -> Column {
    Column { name: name.into(), numeric }
}

/// A sheet in which every text is `name`.
fn sheet(name: &str) -> Sheet {
    let text = || name.to_string();
    let fact = || Fact::new(name, name);
    let table = || Table {
        caption: text(),
        columns: vec![column(name, false), column(name, true)],
        rows: vec![vec![text(), text()], vec![text()]],
        tick: true,
    };
    let picture = || Picture {
        title: text(),
        alt: text(),
        content: PictureContent::Svg("<svg xmlns=\"http://www.w3.org/2000/svg\"/>".into()),
    };
    let finding = |severity| {
        Finding::new("wall-too-thin", severity, name)
            .measured(name, name)
            .part(name)
            .key(name)
            .remedy(name, name)
    };
    Sheet {
        title: text(),
        generator: text(),
        facts: vec![fact()],
        findings: vec![finding(Severity::Note), finding(Severity::Error)],
        pictures: vec![picture()],
        drawings: vec![picture()],
        parts: table(),
        beds: table(),
        buy: table(),
        cut: table(),
        runtime: table(),
        all_trunks: table(),
        trunks: vec![Card {
            name: text(),
            facts: vec![fact()],
            steps: vec![text()],
            pictures: vec![picture()],
        }],
        pull: Some(picture()),
        feed: Some(Feed { diagram: Some(picture()), facts: vec![fact()], volts: table() }),
        calendar: vec![fact()],
        assumptions: vec![Assumption { what: text(), value: text(), source: text() }],
        accounts: vec![Account {
            title: text(),
            lines: vec![Line::new(name, name, name, name).input(name, name)],
            absent: vec![text()],
        }],
        models: vec![Model {
            name: text(),
            colour: [240, 150, 50],
            opacity: 1.0,
            mesh: cuboid([30.0, 20.0, 10.0]),
        }],
        dimensions: vec![ModelDimension { from: [0.0; 3], to: [30.0, 0.0, 0.0], label: text() }],
    }
}

/// Names of all elements, in order, from a scan that knows only `<name`. Contents of style and
/// script are left out, as an HTML reader would.
fn elements(html: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let name: String = rest.chars().take_while(char::is_ascii_alphanumeric).collect();
        if name.is_empty() {
            continue;
        }
        if name == "script" || name == "style" {
            let end = rest.find(&format!("</{name}")).unwrap();
            rest = &rest[end..];
        }
        out.push(name);
    }
    out
}

/// The page as XML once style and script are out and void elements closed: every other element is
/// closed in the order in which it was opened.
fn bones(html: &str) -> String {
    let mut bones = html.replace("<!DOCTYPE html>", "");
    for tag in ["style", "script"] {
        while let Some(from) = bones.find(&format!("<{tag}")) {
            let to = bones[from..].find(&format!("</{tag}>")).unwrap() + from;
            bones.replace_range(from..to + tag.len() + 3, "");
        }
    }
    for void in ["meta", "img", "input"] {
        let mut at = 0;
        while let Some(from) = bones[at..].find(&format!("<{void}")) {
            let end = bones[at + from..].find('>').unwrap() + at + from;
            bones.insert(end, '/');
            at = end;
        }
    }
    // Attributes without a value are HTML only.
    bones.replace(" hidden", " hidden=\"\"")
}

#[test]
fn names_cannot_change_the_page() {
    let plain = elements(&sheet("oak").html().unwrap());
    assert!(plain.len() > 150);
    for name in HOSTILE {
        let html = sheet(name).html().unwrap();
        assert_eq!(elements(&html), plain, "{name:?}");
        assert!(!html.contains('\u{202e}') && !html.contains('\0'), "{name:?}");
        let attributes = html.matches("alt=\"").count();
        // Overview, drawing, card, diagram, pull.
        assert_eq!(attributes, 5, "{name:?}");
        // Wherever a name goes, it reads back; a page may break a line, and XML has a space for that
        // in an attribute.
        let kept = name.split('\n').map(clean).collect::<Vec<_>>().join("\n");
        let bones = bones(&html);
        let page = roxmltree::Document::parse(&bones).unwrap();
        for tag in ["title", "h1", "h3", "dt", "dd", "figcaption", "caption", "th", "td", "code"] {
            let mut found = page.descendants().filter(|n| n.tag_name().name() == tag);
            assert!(found.any(|n| n.text() == Some(&kept)), "{tag}: {name:?}");
        }
        let words = page.descendants().filter_map(|n| n.attribute("alt")).collect::<Vec<_>>();
        assert_eq!(words, [kept.replace('\n', " ").as_str(); 5], "{name:?}");
    }
}

#[test]
fn the_bones_are_well_formed_and_labelled() {
    let html = sheet("oak").html().unwrap();
    let bones = bones(&html);
    let page = roxmltree::Document::parse(&bones).unwrap();
    let ids: Vec<_> = page.descendants().filter_map(|n| n.attribute("id")).collect();
    for link in page.descendants().filter(|n| n.tag_name().name() == "a") {
        let target = link.attribute("href").unwrap().trim_start_matches('#');
        assert!(ids.contains(&target), "{target}");
    }
    for image in page.descendants().filter(|n| n.tag_name().name() == "img") {
        assert!(image.attribute("alt").is_some_and(|a| !a.is_empty()));
        assert!(image.attribute("src").is_some_and(|s| s.starts_with("data:image/")));
    }
    // WCAG 2.2, success criterion 1.3.1: one first-level heading, none skipped on the way down.
    let levels: Vec<u32> = page
        .descendants()
        .filter_map(|n| n.tag_name().name().strip_prefix('h')?.parse().ok())
        .collect();
    assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1);
    assert!(levels.windows(2).all(|w| w[1] <= w[0] + 1), "{levels:?}");
    // Errors come before notes.
    let first = html.find("class=\"finding error\"").unwrap();
    assert!(first < html.find("class=\"finding note\"").unwrap());
}

#[test]
fn the_policy_names_the_hashes_of_what_is_in_the_page() {
    let html = sheet("oak").html().unwrap();
    let hash = |open: &str, close: &str| {
        let from = html.rfind(open).unwrap() + open.len();
        let to = html[from..].find(close).unwrap() + from;
        BASE64.encode(Sha256::digest(&html.as_bytes()[from..to]))
    };
    let policy = html.split("Content-Security-Policy\" content=\"").nth(1).unwrap();
    let policy = policy.split('"').next().unwrap().replace("&#39;", "'");
    for want in [
        format!("style-src 'sha256-{}'", hash("<style>", "</style>")),
        format!("script-src 'sha256-{}'", hash("<script>", "</script>")),
        "default-src 'none'".into(),
    ] {
        assert!(policy.contains(&want), "{policy}\n{want}");
    }
    assert!(!STYLE.contains("url(") && !STYLE.contains("@import"));
}

#[test]
fn the_bundle_is_the_one_that_was_built_from_this_source() {
    let listed = include_str!("viewer/viewer.sha256");
    let sum = |text: &str| {
        Sha256::digest(text.as_bytes()).iter().map(|b| format!("{b:02x}")).collect::<String>()
    };
    assert!(listed.contains(&format!("{}  viewer.bundle.js", sum(SCRIPT))));
    assert!(listed.contains(&format!("{}  viewer.js", sum(include_str!("viewer/viewer.js")))));
    // It must survive inside a script element, and stand alone.
    assert!(SCRIPT.is_ascii() && !SCRIPT.contains("</script") && !SCRIPT.contains("<!--"));
    for word in ["XMLHttpRequest(", "WebSocket(", "importScripts(", "eval("] {
        assert!(!SCRIPT.contains(word), "{word}");
    }
    assert!(include_str!("viewer/viewer.LICENSE.txt").contains("MIT License"));
    let package: serde_json::Value =
        serde_json::from_str(include_str!("viewer/package.json")).unwrap();
    let lock: serde_json::Value =
        serde_json::from_str(include_str!("viewer/package-lock.json")).unwrap();
    let locked = &lock["packages"]["node_modules/three"]["version"];
    assert_eq!(&package["dependencies"]["three"], locked);
}

#[test]
fn the_model_block_holds_the_mesh() {
    let html = sheet("a <b>").html().unwrap();
    let block = html.split("id=\"model\">").nth(1).unwrap().split("</script>").next().unwrap();
    let model: serde_json::Value = serde_json::from_str(block).unwrap();
    assert_eq!(model["parts"][0]["name"], "a <b>");
    let bytes = BASE64.decode(model["parts"][0]["positions"].as_str().unwrap()).unwrap();
    let numbers: Vec<f64> = bytes
        .chunks_exact(4)
        .map(|b| f64::from(f32::from_le_bytes(b.try_into().unwrap())))
        .collect();
    let wanted: Vec<f64> = cuboid([30.0, 20.0, 10.0]).vertices.into_iter().flatten().collect();
    assert_eq!(numbers, wanted);
    let bytes = BASE64.decode(model["parts"][0]["indices"].as_str().unwrap()).unwrap();
    assert_eq!(bytes.len(), 12 * 3 * 4);
}

#[test]
fn an_empty_sheet_is_a_page_and_bad_models_are_refused() {
    let html = Sheet::default().html().unwrap();
    assert!(html.contains("nothing to report") && !html.contains("id=\"viewer\""));
    assert!(CAUTIONS.iter().all(|c| html.contains(&c.replace('\'', "&#39;"))));
    let mut s = sheet("oak");
    s.models[0].opacity = f64::NAN;
    assert!(matches!(s.html(), Err(SheetError::Range { .. })));
    let mut s = sheet("oak");
    s.models[0].mesh.vertices[2][1] = f64::INFINITY;
    assert!(matches!(s.html(), Err(SheetError::Mesh { .. })));
    let mut s = sheet("oak");
    s.dimensions[0].to[0] = f64::NAN;
    assert!(matches!(s.html(), Err(SheetError::Range { .. })));
    assert_eq!(sheet("oak").html().unwrap(), sheet("oak").html().unwrap());
}
