//! Binary STL: what every slicer reads, without units and without names.
//!
//! An 80-byte header of zeros (never the word "solid", by which readers know the text form), the
//! count of triangles as a little-endian 32-bit number, then 50 bytes a triangle (P. Bourke, "STL
//! format"; after the StereoLithography Interface Specification, 3D Systems, 1989). The numbers are
//! millimetres by convention. Written through `stl_io`.

use stl_io::{Normal, Triangle, Vertex};

use super::mesh::{MeshWriteError, check_single_precision};
use crate::mesh::TriMesh;
use crate::space::{cross, sub, unit};

/// The bytes of a binary STL file: 84 and 50 a triangle.
///
/// # Errors
/// [`MeshWriteError`] where the mesh is empty, not finite, badly indexed or not
/// [printable](crate::mesh::printable()).
pub fn stl(mesh: &TriMesh) -> Result<Vec<u8>, MeshWriteError> {
    check_single_precision(mesh)?;
    let facet = |triangle: usize| {
        let corners = mesh.corners(triangle);
        let [a, b, c] = corners;
        let normal = unit(cross(sub(b, a), sub(c, a)));
        let normal = normal.ok_or(MeshWriteError::NoArea { triangle })?;
        let single = |p: [f64; 3]| p.map(|c| c as f32);
        Ok(Triangle {
            normal: Normal::new(single(normal)),
            vertices: corners.map(|p| Vertex::new(single(p))),
        })
    };
    let facets =
        (0..mesh.triangles.len()).map(facet).collect::<Result<Vec<_>, MeshWriteError>>()?;
    let mut bytes = Vec::with_capacity(84 + 50 * facets.len());
    stl_io::write_stl(&mut bytes, facets.iter()).map_err(|_| MeshWriteError::Unwritten)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{cuboid, torus};
    use crate::mesh::{Expected, MeshFault, gate, measure, printable};
    use crate::units::Length;

    #[test]
    fn a_box_takes_684_bytes_and_no_file_begins_with_solid() {
        // 84 + 50 n bytes (Bourke): 12 triangles give 684.
        let bytes = stl(&cuboid([3.0, 4.0, 5.0])).unwrap();
        assert_eq!(bytes.len(), 684);
        assert_eq!(bytes[80..84], 12_u32.to_le_bytes());
        assert!(!bytes.starts_with(b"solid"));
    }

    #[test]
    fn a_reader_gets_the_mesh_that_passed_the_gate() {
        let mesh = printable(&torus(31.7, 7.3, 48, 20)).unwrap();
        let bytes = stl(&mesh).unwrap();
        let read = stl_io::read_stl(&mut std::io::Cursor::new(bytes)).unwrap();
        assert_eq!(read.vertices.len(), mesh.vertices.len());
        let back = TriMesh {
            vertices: read.vertices.iter().map(|v| v.0.map(f64::from)).collect(),
            triangles: read.faces.iter().map(|f| f.vertices.map(|v| v as u32)).collect(),
        };
        let volume = measure(&mesh).unwrap().volume;
        let expected = Expected { bodies: 1, genus: 1, volume, deviation: Length::mm(1e-9) };
        gate(&back, &expected).unwrap();
        for (face, t) in read.faces.iter().zip(0..) {
            let [a, b, c] = back.corners(t);
            let n = unit(cross(sub(b, a), sub(c, a))).unwrap();
            for (written, exact) in face.normal.0.iter().zip(n) {
                assert!((f64::from(*written) - exact).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn what_would_change_on_writing_is_refused() {
        let mut mesh = cuboid([3.0; 3]);
        mesh.vertices[5][0] = 0.1;
        assert_eq!(stl(&mesh), Err(MeshWriteError::NotPrintable { vertex: 5 }));
        assert_eq!(stl(&TriMesh::default()), Err(MeshFault::Empty.into()));
    }
}
