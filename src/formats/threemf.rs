//! 3MF: meshes with their unit and their names in one package.
//!
//! A package of the 3D Manufacturing Format core specification (3MF Consortium, version 1.4;
//! ISO/IEC 25422:2025): a ZIP archive with content types, one relationship and one model. Placement
//! is baked into the vertices and every object is one build item without a transform, since some
//! readers scale or drop translations. Coordinates are the shortest decimals that read back as the
//! same single-precision numbers. The same objects give the same bytes: entries carry 1980-01-01, the
//! first date that ZIP can hold.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, System, ZipWriter};

use super::drawing::clean;
use super::mesh::{MeshWriteError, check_single_precision};
use crate::mesh::TriMesh;

/// A named solid of a package.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Object<'a> {
    /// What a slicer shows.
    pub name: &'a str,
    /// The solid where it lies on the bed, printable.
    pub mesh: &'a TriMesh,
}

/// A package: what it is, and its objects, all of which are built.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Package<'a> {
    /// Metadata "Title".
    pub title: &'a str,
    /// Metadata "Description".
    pub description: &'a str,
    /// At least one.
    pub objects: &'a [Object<'a>],
}

/// Why there is no package.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ThreeMfError {
    /// A build needs an item.
    #[error("a 3MF package needs at least one object")]
    NoObjects,
    /// An object cannot be written as it is.
    #[error("object {name:?}: {source}")]
    Mesh {
        /// Its name.
        name: String,
        /// Why.
        source: MeshWriteError,
    },
    /// The archive could not be made.
    #[error("the 3MF archive cannot be packed: {0}")]
    Archive(#[from] zip::result::ZipError),
    /// The archive could not be made.
    #[error("the 3MF archive cannot be packed: {0}")]
    Stream(#[from] std::io::Error),
}

/// Effort of packing: a mesh as text shrinks by six times at once and hardly further with patience.
const LEVEL: i64 = 2;

const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
 <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
 <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"#;

const RELATIONSHIPS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
 <Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"#;

/// The bytes of a 3MF file.
///
/// # Errors
/// [`ThreeMfError`] without objects, for an object that is not
/// [printable](crate::mesh::printable()), or where packing fails.
pub(crate) fn threemf(package: &Package<'_>) -> Result<Vec<u8>, ThreeMfError> {
    let model = model(package)?;
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(Some(LEVEL))
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644)
        .system(System::Unix);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in [
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", RELATIONSHIPS),
        ("3D/3dmodel.model", &model),
    ] {
        archive.start_file(name, options)?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
}

fn model(package: &Package<'_>) -> Result<String, ThreeMfError> {
    if package.objects.is_empty() {
        return Err(ThreeMfError::NoObjects);
    }
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <model unit=\"millimeter\" xml:lang=\"en-GB\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n",
    );
    for (name, value) in [
        ("Title", package.title),
        ("Application", "Bolewright"),
        ("Description", package.description),
    ] {
        let _ = writeln!(out, " <metadata name=\"{name}\">{}</metadata>", escaped(value));
    }
    out.push_str(" <resources>\n");
    for (object, id) in package.objects.iter().zip(1..) {
        check_single_precision(object.mesh)
            .map_err(|source| ThreeMfError::Mesh { name: object.name.into(), source })?;
        let name = escaped(object.name);
        let _ = writeln!(out, "  <object id=\"{id}\" type=\"model\" name=\"{name}\">\n   <mesh>");
        out.push_str("    <vertices>\n");
        for p in &object.mesh.vertices {
            // Adding zero turns minus zero into zero.
            let [x, y, z] = p.map(|c| c as f32 + 0.0);
            let _ = writeln!(out, "     <vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>");
        }
        out.push_str("    </vertices>\n    <triangles>\n");
        for [a, b, c] in &object.mesh.triangles {
            let _ = writeln!(out, "     <triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
        }
        out.push_str("    </triangles>\n   </mesh>\n  </object>\n");
    }
    out.push_str(" </resources>\n <build>\n");
    for id in 1..=package.objects.len() {
        let _ = writeln!(out, "  <item objectid=\"{id}\"/>");
    }
    out.push_str(" </build>\n</model>\n");
    Ok(out)
}

/// [Clean] text for XML 1.0, in an attribute or between tags.
///
/// [Clean]: clean
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::drawing::HOSTILE;
    use crate::mesh::shapes::{cuboid, moved, torus};
    use crate::mesh::{Expected, gate, measure, printable};
    use proptest::prelude::*;
    use std::io::Read as _;
    use zip::ZipArchive;

    const CORE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";

    fn unpacked(bytes: Vec<u8>, name: &str) -> String {
        let mut archive = ZipArchive::new(Cursor::new(bytes)).unwrap();
        let mut text = String::new();
        archive.by_name(name).unwrap().read_to_string(&mut text).unwrap();
        text
    }

    /// Names and meshes, read with a general XML parser.
    fn read(bytes: Vec<u8>) -> Vec<(String, TriMesh)> {
        let text = unpacked(bytes, "3D/3dmodel.model");
        let doc = roxmltree::Document::parse(&text).unwrap();
        let root = doc.root_element();
        assert_eq!(root.tag_name().namespace(), Some(CORE));
        assert_eq!(root.attribute("unit"), Some("millimeter"));
        let objects: Vec<_> =
            root.descendants().filter(|n| n.has_tag_name((CORE, "object"))).collect();
        let ids: Vec<_> = objects.iter().map(|o| o.attribute("id").unwrap()).collect();
        let built: Vec<_> = root
            .descendants()
            .filter(|n| n.has_tag_name((CORE, "item")))
            .map(|n| n.attribute("objectid").unwrap())
            .collect();
        assert_eq!(ids, built, "each object is built once");
        let number = |n: roxmltree::Node<'_, '_>, k: &str| n.attribute(k).unwrap().to_owned();
        objects
            .iter()
            .map(|o| {
                let mut mesh = TriMesh::default();
                for n in o.descendants() {
                    if n.has_tag_name((CORE, "vertex")) {
                        let c = |k| f64::from(number(n, k).parse::<f32>().unwrap());
                        mesh.vertices.push([c("x"), c("y"), c("z")]);
                    } else if n.has_tag_name((CORE, "triangle")) {
                        let v = |k| number(n, k).parse().unwrap();
                        mesh.triangles.push([v("v1"), v("v2"), v("v3")]);
                    }
                }
                (o.attribute("name").unwrap().to_owned(), mesh)
            })
            .collect()
    }

    #[test]
    fn a_reader_gets_each_solid_with_its_name() {
        let ring = printable(&torus(31.7, 7.3, 48, 20)).unwrap();
        let block = moved(&cuboid([10.0, 20.0, 30.5]), [60.0, 0.0, 0.0]);
        let objects =
            [Object { name: "ring", mesh: &ring }, Object { name: "block", mesh: &block }];
        let package = Package { title: "bed 1", description: "two parts", objects: &objects };
        let bytes = threemf(&package).unwrap();
        assert_eq!(bytes, threemf(&package).unwrap());
        let back = read(bytes);
        assert_eq!(back, [("ring".into(), ring.clone()), ("block".into(), block.clone())]);
        for ((_, mesh), genus) in back.iter().zip([1, 0]) {
            let volume = measure(mesh).unwrap().volume;
            let deviation = crate::units::Length::mm(1e-9);
            gate(mesh, &Expected { bodies: 1, genus, volume, deviation }).unwrap();
        }
    }

    #[test]
    fn the_package_holds_what_the_core_specification_asks_for() {
        let block = cuboid([1.0; 3]);
        let objects = [Object { name: "block", mesh: &block }];
        let package = Package { title: "T", description: "D", objects: &objects };
        let bytes = threemf(&package).unwrap();
        let mut archive = ZipArchive::new(Cursor::new(bytes.clone())).unwrap();
        let names: Vec<_> = (0..archive.len())
            .map(|i| archive.by_index(i).unwrap().name().unwrap().into_owned())
            .collect();
        assert_eq!(names, ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]);
        for i in 0..archive.len() {
            let time = archive.by_index(i).unwrap().last_modified().unwrap();
            assert_eq!((time.year(), time.month(), time.day(), time.hour()), (1980, 1, 1, 0));
        }
        let rels = unpacked(bytes.clone(), "_rels/.rels");
        let rels = roxmltree::Document::parse(&rels).unwrap();
        let target = rels.descendants().find_map(|n| n.attribute("Target"));
        assert_eq!(target, Some("/3D/3dmodel.model"));
        let model = unpacked(bytes, "3D/3dmodel.model");
        let model = roxmltree::Document::parse(&model).unwrap();
        let metadata: Vec<_> = model
            .descendants()
            .filter(|n| n.has_tag_name((CORE, "metadata")))
            .map(|n| (n.attribute("name").unwrap(), n.text().unwrap()))
            .collect();
        assert_eq!(metadata, [("Title", "T"), ("Application", "Bolewright"), ("Description", "D")]);
    }

    #[test]
    fn hostile_names_stay_names() {
        let block = cuboid([1.0; 3]);
        for name in HOSTILE.into_iter().chain(["a\"/><item objectid=\"9\"/>", ""]) {
            let objects = [Object { name, mesh: &block }];
            let package = Package { title: name, description: name, objects: &objects };
            let bytes = threemf(&package).unwrap();
            let model = unpacked(bytes.clone(), "3D/3dmodel.model");
            let model = roxmltree::Document::parse(&model).unwrap();
            let metadata: Vec<_> = model
                .descendants()
                .filter(|n| n.has_tag_name((CORE, "metadata")))
                .map(|n| n.text().unwrap_or_default())
                .collect();
            assert_eq!(metadata, [&clean(name), "Bolewright", &clean(name)]);
            assert_eq!(read(bytes), [(clean(name), block.clone())]);
        }
    }

    #[test]
    fn what_would_change_on_writing_is_refused() {
        let mut block = cuboid([1.0; 3]);
        block.vertices[7][2] = 0.1;
        let objects = [Object { name: "block", mesh: &block }];
        let package = Package { title: "", description: "", objects: &objects };
        let error = threemf(&package).unwrap_err();
        assert!(error.to_string().starts_with("object \"block\": vertex 7"), "{error}");
        assert!(threemf(&Package { objects: &[], ..package }).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn any_name_parses_and_any_coordinate_reads_back(
            name in any::<String>(), x in 0.001..900.0_f64, y in 0.001..900.0_f64,
        ) {
            let block = printable(&cuboid([x, y, 5.0])).unwrap();
            let objects = [Object { name: &name, mesh: &block }];
            let package = Package { title: &name, description: &name, objects: &objects };
            let back = read(threemf(&package).unwrap());
            prop_assert_eq!(&back[0].1, &block);
            prop_assert_eq!(&back[0].0, &clean(&name));
        }
    }
}
