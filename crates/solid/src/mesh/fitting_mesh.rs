//! Meshes of fittings: turned solids and slabs.

use body::{Fitting, FittingShape};
use develop::Place;
use geom::{Outline, Placement};

use super::drawing::{Drawing, Label, flatten};
use super::options::look_error_within;
use super::seating::seated;
use super::surface::Mesh;
use super::thickening::Thickening;
use super::triangulation::FlatMesh;
use super::turning::turned;
use crate::SolidError;

/// Meshes a fitting, its curves within `chord_error` (mm) and R/400.
///
/// # Shape
///
/// Closed and wound outward.
///
/// # Errors
///
/// [`SolidError::Unsound`] for a profile or slab that encloses nothing or crosses itself;
/// [`SolidError::OffItsSeat`] for a foot that hangs over the edge of what it stands on;
/// [`SolidError::Tangled`] for openings of a slab that cannot be told apart.
pub fn mesh_fitting(fitting: &Fitting, chord_error: f64) -> Result<Mesh, SolidError> {
    let mesh = match &fitting.shape {
        FittingShape::Turned {
            foot,
            axis,
            profile,
        } => turned(*foot, *axis, profile, chord_error),
        FittingShape::Seated(own) => {
            seated(own, chord_error).ok_or_else(|| SolidError::OffItsSeat {
                name: fitting.id.clone(),
            })?
        }
        FittingShape::Slab {
            placement,
            outline,
            holes,
            low,
            high,
        } => slab(placement, outline, holes, [*low, *high], chord_error).ok_or_else(|| {
            SolidError::Tangled {
                name: fitting.id.clone(),
            }
        })?,
    };
    mesh.closedness().map_err(|fault| SolidError::Unsound {
        name: fitting.id.clone(),
        fault,
    })?;
    Ok(mesh)
}

fn slab(
    placement: &Placement,
    outline: &Outline,
    holes: &[Outline],
    levels: [f64; 2],
    chord_error: f64,
) -> Option<Mesh> {
    let mut drawing = Drawing {
        stations: None,
        seeds: Vec::new(),
        loops: Vec::new(),
    };
    let labels = (0u32..).map(Label::Hole);
    let holes = holes.iter().zip(labels).map(|(hole, label)| (label, hole));
    for (label, outline) in std::iter::once((Label::Outline, outline)).chain(holes) {
        let points = outline
            .segments()
            .iter()
            .flat_map(|s| flatten(s, |radius| look_error_within(chord_error, radius)));
        drawing.add_polygon(label, points).ok()?;
    }
    let flat = FlatMesh::of(&drawing).ok()?;
    let normal = placement.normal();
    let places: Vec<Place> = flat
        .nodes
        .iter()
        .map(|node| Place {
            point: placement.point(node.point, 0.0),
            normal,
        })
        .collect();
    let depths = vec![(0, 1); flat.triangles.len()];
    let thickening = Thickening {
        flat: &flat,
        places: &places,
        levels: &levels,
        depths: &depths,
    };
    Some(thickening.solid().mesh)
}
