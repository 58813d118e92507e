//! Printed pieces as 3MF: in millimetres, by name, one object a piece.

use crate::{ExportError, millimetres, stl::check};
use threemf2::model::builder::{ModelBuilder, ObjectType, Unit};
use threemf2::package::ThreemfPackageBuilder;

/// A solid in a 3MF file, where it lies on the bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreemfObject<'a> {
    /// Its name: `firebox-soldering-block/key`.
    pub name: &'a str,
    /// Corners (mm).
    pub positions: &'a [[f64; 3]],
    /// Numbers of the three corners of each triangle, anticlockwise seen from outside.
    pub triangles: &'a [[u32; 3]],
}

/// A 3MF file of solids (3MF core specification, ISO/IEC 25422).
///
/// # Errors
///
/// As [`stl_of`](crate::stl_of) for a mesh that is no solid; [`ExportError::Threemf`] for what the format refuses.
pub fn threemf_of(title: &str, objects: &[ThreemfObject<'_>]) -> Result<Vec<u8>, ExportError> {
    let refused = |name: &str| ExportError::Threemf {
        name: name.to_owned(),
    };
    let mut builder = ModelBuilder::new(Unit::Millimeter, true);
    builder.add_metadata("Title", Some(title));
    builder.add_build(None).map_err(|_| refused(title))?;
    for object in objects {
        check(object.name, object.positions, object.triangles)?;
        let vertices: Vec<[f64; 3]> = object
            .positions
            .iter()
            .map(|p| p.map(millimetres))
            .collect();
        let triangles: Vec<[usize; 3]> = object
            .triangles
            .iter()
            .map(|t| t.map(|corner| corner as usize))
            .collect();
        let id = builder
            .add_mesh_object(|mesh| {
                mesh.object_type(ObjectType::Model)
                    .name(object.name)
                    .part_number(object.name);
                mesh.add_vertices(&vertices);
                mesh.add_triangles(&triangles);
                Ok(())
            })
            .map_err(|_| refused(object.name))?;
        builder
            .add_build_item(id)
            .map_err(|_| refused(object.name))?;
    }
    let model = builder.build().map_err(|_| refused(title))?;
    let mut package = ThreemfPackageBuilder::new();
    package.set_root_model(model);
    let package = package.build().map_err(|_| refused(title))?;
    let mut bytes = Vec::new();
    package
        .write(std::io::Cursor::new(&mut bytes))
        .map_err(|_| refused(title))?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_solids_give_the_same_zip() {
        let positions = [[0.0; 3], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 5.0]];
        let triangles = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];
        let object = ThreemfObject {
            name: "wedge",
            positions: &positions,
            triangles: &triangles,
        };
        let bytes = threemf_of("Wedge", &[object]).unwrap();
        assert_eq!(bytes, threemf_of("Wedge", &[object]).unwrap());
        assert!(bytes.starts_with(b"PK\x03\x04"));
        let open = ThreemfObject {
            triangles: &[],
            ..object
        };
        assert!(matches!(
            threemf_of("Nothing", &[open]),
            Err(ExportError::NoTriangles { .. })
        ));
    }
}
