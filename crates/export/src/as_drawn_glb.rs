//! The engine as drawn beside the engine as meant, what is drawn wrong in colour.

use crate::{ExportError, GlbNode, Material, glb_of_nodes};
use body::Plate;
use check::TestBuild;
use geom::BodyPoint;
use serde_json::json;
use solid::Mesh;

/// A plate with its mesh, formed.
#[derive(Clone, Copy, Debug)]
pub struct AsDrawnMesh<'m> {
    /// The plate.
    pub plate: &'m Plate,
    /// Its mesh.
    pub mesh: &'m Mesh,
}

/// What is drawn off by this much has the full colour (mm).
const FULL_COLOUR_MM: f64 = 0.30;

/// What is drawn off by less has no colour (mm).
const NO_COLOUR_MM: f64 = 0.02;

/// Room between the two engines (mm).
const BETWEEN_MM: f64 = 25.0;

/// Steps of the legend (mm).
const LEGEND_MM: [f64; 7] = [-0.30, -0.15, -0.05, 0.0, 0.05, 0.15, 0.30];

/// Colour of what is drawn beyond what is meant by so much (mm), linear: blue is short, red is beyond.
pub fn deviation_colour(beyond: f64) -> [u8; 4] {
    const SOUND: [f64; 3] = [0.55, 0.56, 0.52];
    const SHORT: [f64; 3] = [0.02, 0.10, 0.55];
    const BEYOND: [f64; 3] = [0.62, 0.05, 0.02];
    let share = ((beyond.abs() - NO_COLOUR_MM) / (FULL_COLOUR_MM - NO_COLOUR_MM)).clamp(0.0, 1.0);
    // Small faults must be seen too.
    let share = share.sqrt();
    let full = if beyond < 0.0 { SHORT } else { BEYOND };
    let mixed = |k: usize| ((SOUND[k] + (full[k] - SOUND[k]) * share) * 255.0).round() as u8;
    [mixed(0), mixed(1), mixed(2), 255]
}

/// The plates as drawn in their places, those as meant beside them, and a legend of colours with a bar of
/// ten millimetres.
///
/// # Shape
///
/// Three groups: `as-drawn`, `as-meant` (nodes named `<plate>-as-meant`, moved to the engine's right) and
/// `legend`. Each plate as drawn says in its extras whether it is `drawn` and the greatest `deviation_mm`.
///
/// # Errors
///
/// As [`glb_of_nodes`].
pub fn as_drawn_glb(
    build: &TestBuild,
    drawn: &[AsDrawnMesh<'_>],
    meant: &[AsDrawnMesh<'_>],
) -> Result<Vec<u8>, ExportError> {
    let (low, high) = box_of(meant);
    let aside = high[1] - low[1] + BETWEEN_MM;
    let mut nodes = Vec::with_capacity(drawn.len() + meant.len() + LEGEND_MM.len() + 1);
    for own in drawn {
        nodes.push(coloured(build, own)?);
    }
    for own in meant {
        nodes.push(beside(own, aside)?);
    }
    nodes.extend(legend(low, high, ["short", "beyond", "as meant"])?);
    glb_of_nodes(&nodes)
}

fn box_of(meshes: &[AsDrawnMesh<'_>]) -> ([f64; 3], [f64; 3]) {
    let points = meshes.iter().flat_map(|own| &own.mesh.positions);
    points.fold(
        ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]),
        |(low, high), p| {
            (
                std::array::from_fn(|k| low[k].min(p[k])),
                std::array::from_fn(|k| high[k].max(p[k])),
            )
        },
    )
}

fn coloured(build: &TestBuild, own: &AsDrawnMesh<'_>) -> Result<GlbNode, ExportError> {
    let id = &own.plate.id;
    let found = build.deviations.iter().find(|(plate, _)| plate == id);
    let places: &[(BodyPoint, f64)] = found.map_or(&[], |(_, places)| places);
    let worst = places
        .iter()
        .map(|(_, beyond)| *beyond)
        .fold(
            0.0,
            |most: f64, own| if own.abs() > most.abs() { own } else { most },
        );
    let extras = json!({
        "plate": id,
        "assembly": own.plate.assembly,
        "kind": "plate",
        "title": own.plate.title,
        "drawn": found.is_some(),
        "deviation_mm": crate::millimetres(worst),
    });
    let mut node = GlbNode::of_mesh(id, "as-drawn", extras, Material::Chart, own.mesh)?;
    node.colours = node
        .positions
        .iter()
        .map(|p| {
            let point = BodyPoint::new(p[0], p[1], p[2]);
            let nearest = places
                .iter()
                .map(|(at, beyond)| ((at - point).norm_squared(), *beyond))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            deviation_colour(nearest.map_or(0.0, |(_, beyond)| beyond))
        })
        .collect();
    Ok(node)
}

fn beside(own: &AsDrawnMesh<'_>, aside: f64) -> Result<GlbNode, ExportError> {
    let name = format!("{}-as-meant", own.plate.id);
    let extras = json!({
        "plate": own.plate.id,
        "assembly": own.plate.assembly,
        "kind": "plate",
        "title": format!("{}, as meant", own.plate.title),
    });
    let mut node = GlbNode::of_mesh(&name, "as-meant", extras, Material::Plain, own.mesh)?;
    for p in &mut node.positions {
        p[1] -= aside;
    }
    Ok(node)
}

/// Blocks of colour in a row in front of the engine, and a bar of ten millimetres; the words are for less, for more
/// and for none.
pub(crate) fn legend(
    low: [f64; 3],
    high: [f64; 3],
    [less, more, none]: [&str; 3],
) -> Result<Vec<GlbNode>, ExportError> {
    const SIDE: f64 = 8.0;
    let y = high[1] + BETWEEN_MM;
    let mut nodes = Vec::new();
    for (i, beyond) in LEGEND_MM.into_iter().enumerate() {
        let x = low[0] + i as f64 * (SIDE + 2.0);
        let mesh = block([x, y, low[2]], [x + SIDE, y + SIDE, low[2] + 3.0]);
        let title = match beyond {
            b if b < 0.0 => format!("{:.2} mm {less}", -b),
            b if b > 0.0 => format!("{b:.2} mm {more}"),
            _ => none.to_owned(),
        };
        let extras = json!({"kind": "legend", "title": title, "deviation_mm": beyond});
        let name = format!("legend-{}", i + 1);
        let mut node = GlbNode::of_mesh(&name, "legend", extras, Material::Chart, &mesh)?;
        node.colours = vec![deviation_colour(beyond); node.positions.len()];
        nodes.push(node);
    }
    let bar = block(
        [low[0], y + SIDE + 4.0, low[2]],
        [low[0] + 10.0, y + SIDE + 5.0, low[2] + 1.0],
    );
    let extras =
        json!({"kind": "legend", "title": "ten millimetres on the model", "length_mm": 10.0});
    nodes.push(GlbNode::of_mesh(
        "bar-10-mm",
        "legend",
        extras,
        Material::DarkPaint,
        &bar,
    )?);
    Ok(nodes)
}

/// An upright block between two corners.
pub(crate) fn block(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let corner = |i: usize| -> [f64; 3] {
        std::array::from_fn(|k| if i >> k & 1 == 1 { high[k] } else { low[k] })
    };
    // Corners of each side anticlockwise seen from outside; bit k of a corner is its axis k.
    const SIDES: [([u32; 4], [f32; 3]); 6] = [
        ([0, 2, 3, 1], [0.0, 0.0, -1.0]),
        ([4, 5, 7, 6], [0.0, 0.0, 1.0]),
        ([0, 1, 5, 4], [0.0, -1.0, 0.0]),
        ([2, 6, 7, 3], [0.0, 1.0, 0.0]),
        ([0, 4, 6, 2], [-1.0, 0.0, 0.0]),
        ([1, 3, 7, 5], [1.0, 0.0, 0.0]),
    ];
    let mut mesh = Mesh {
        positions: (0..8).map(corner).collect(),
        triangles: Vec::new(),
        normals: Vec::new(),
    };
    for ([a, b, c, d], normal) in SIDES {
        mesh.triangles.extend([[a, b, c], [a, c, d]]);
        mesh.normals.extend([[normal; 3]; 2]);
    }
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_tell_short_from_beyond() {
        let [sound, short, beyond] = [0.0, -0.3, 0.3].map(deviation_colour);
        assert_eq!(deviation_colour(0.019), sound);
        assert!(short[2] > short[0] && beyond[0] > beyond[2]);
        assert_ne!(deviation_colour(0.06), sound);
    }

    #[test]
    fn a_block_is_closed_and_wound_outward() {
        let mesh = block([0.0; 3], [2.0, 3.0, 4.0]);
        assert!((mesh.volume() - 24.0).abs() < 1e-9);
    }
}
