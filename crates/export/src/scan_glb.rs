//! The engine as drawn, coloured by how far the scan of the built model lies off it.

use crate::as_drawn_glb::{deviation_colour, legend};
use crate::{ExportError, GlbNode, Material, glb_of_nodes, millimetres};
use check::scan::{PartSpread, ScanReport};
use serde_json::json;
use solid::Mesh;
use std::collections::BTreeMap;

/// Triangles are cut until no side is longer (mm), so that colours show between the corners of a flat plate.
const LONGEST_MM: f64 = 1.5;

/// Side of the cubes in which distances are averaged (mm): less shows noise.
const CUBE_MM: f64 = 1.0;

/// Colour of what was not scanned, linear.
const NOT_SCANNED: [u8; 4] = [40, 40, 42, 255];

/// A plate or fitting with its mesh.
#[derive(Clone, Copy, Debug)]
pub struct ScannedMesh<'m> {
    /// The plate or fitting.
    pub id: &'m str,
    /// Its sub-assembly.
    pub assembly: &'m str,
    /// Its mesh.
    pub mesh: &'m Mesh,
}

/// The body in the colours of its deviations, red where the built metal is proud and blue where it is low, dark where
/// nothing was scanned, with a legend of the colours and a bar of ten millimetres.
///
/// # Shape
///
/// Groups by sub-assembly, and `legend`. Each part says in its extras whether it was `scanned`, and `rms_mm`,
/// `mean_mm` and `within_tolerance`.
///
/// # Errors
///
/// As [`glb_of_nodes`].
pub fn scan_glb(report: &ScanReport, parts: &[ScannedMesh<'_>]) -> Result<Vec<u8>, ExportError> {
    let mut nodes = Vec::with_capacity(parts.len() + 8);
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    for own in parts {
        let (a, b) = own.mesh.bounds();
        for k in 0..3 {
            low[k] = low[k].min(a[k]);
            high[k] = high[k].max(b[k]);
        }
        nodes.push(coloured(report, own)?);
    }
    nodes.extend(legend(low, high, ["low", "proud", "as drawn"])?);
    glb_of_nodes(&nodes)
}

fn coloured(report: &ScanReport, own: &ScannedMesh<'_>) -> Result<GlbNode, ExportError> {
    let found: Option<&PartSpread> = report.parts.iter().find(|part| part.id == own.id);
    let mut extras = json!({
        "plate": own.id,
        "assembly": own.assembly,
        "kind": if found.is_none_or(|part| part.is_plate) { "plate" } else { "fitting" },
        "scanned": found.is_some(),
    });
    if let Some(part) = found {
        extras["title"] = json!(part.title);
        extras["mean_mm"] = json!(millimetres(part.spread.mean));
        extras["rms_mm"] = json!(millimetres(part.spread.rms));
        extras["within_tolerance"] = json!(crate::rounded(part.spread.within_tolerance, 4));
    }
    let mean = Averaged::of(report, own.id);
    let mesh = cut(own.mesh);
    let mut node = GlbNode::of_mesh(own.id, own.assembly, extras, Material::Chart, &mesh)?;
    node.colours = node
        .positions
        .iter()
        .map(|p| mean.at(*p).map_or(NOT_SCANNED, deviation_colour))
        .collect();
    Ok(node)
}

/// Mean distances of the points of one part in cubes of space.
struct Averaged {
    cubes: BTreeMap<[i32; 3], (f64, u32)>,
}

impl Averaged {
    fn of(report: &ScanReport, id: &str) -> Self {
        let mut cubes: BTreeMap<[i32; 3], (f64, u32)> = BTreeMap::new();
        for (point, off) in report.places.on(id) {
            let own = cubes.entry(cube(point.coords.into())).or_default();
            own.0 += off;
            own.1 += 1;
        }
        Self { cubes }
    }

    /// Mean of what lies within a cube of a place; `None` where nothing does.
    fn at(&self, place: [f64; 3]) -> Option<f64> {
        let middle = cube(place);
        let (mut sum, mut count) = (0.0, 0);
        for dx in -1..=1 {
            for dy in -1..=1 {
                for dz in -1..=1 {
                    let key = [middle[0] + dx, middle[1] + dy, middle[2] + dz];
                    if let Some(own) = self.cubes.get(&key) {
                        sum += own.0;
                        count += own.1;
                    }
                }
            }
        }
        (count > 0).then(|| sum / f64::from(count))
    }
}

fn cube(place: [f64; 3]) -> [i32; 3] {
    place.map(|x| (x / CUBE_MM).floor() as i32)
}

/// The mesh with its triangles cut in four until no side is too long.
fn cut(mesh: &Mesh) -> Mesh {
    let mut own = mesh.clone();
    let mut from = 0;
    while from < own.triangles.len() {
        let triangle = own.triangles[from];
        let at = |corner: u32| own.positions[corner as usize];
        let [a, b, c] = triangle.map(at);
        let longest = length(a, b).max(length(b, c)).max(length(c, a));
        if longest <= LONGEST_MM {
            from += 1;
            continue;
        }
        let [na, nb, nc] = own.normals[from];
        let first = own.positions.len() as u32;
        own.positions
            .extend([middle(a, b), middle(b, c), middle(c, a)]);
        let [ab, bc, ca] = [first, first + 1, first + 2];
        let (nab, nbc, nca) = (between(na, nb), between(nb, nc), between(nc, na));
        own.triangles[from] = [ab, bc, ca];
        own.normals[from] = [nab, nbc, nca];
        own.triangles.extend([
            [triangle[0], ab, ca],
            [ab, triangle[1], bc],
            [ca, bc, triangle[2]],
        ]);
        own.normals
            .extend([[na, nab, nca], [nab, nb, nbc], [nca, nbc, nc]]);
    }
    own
}

fn length(a: [f64; 3], b: [f64; 3]) -> f64 {
    let square: f64 = (0..3).map(|k| (a[k] - b[k]) * (a[k] - b[k])).sum();
    square.sqrt()
}

fn middle(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|k| (a[k] + b[k]) / 2.0)
}

fn between(a: [f32; 3], b: [f32; 3]) -> [f32; 3] {
    let sum: [f32; 3] = std::array::from_fn(|k| a[k] + b[k]);
    let square: f32 = sum.iter().map(|x| x * x).sum();
    if square > 1e-6 {
        sum.map(|x| x / square.sqrt())
    } else {
        a
    }
}
