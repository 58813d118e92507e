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

/// The mesh with its longest sides halved until none is too long. Triangles that share a side halve it at the same
/// place, and what is long and thin gives no more than its length asks for.
fn cut(mesh: &Mesh) -> Mesh {
    let mut own = mesh.clone();
    // The middle of each side that has been halved, by its ends.
    let mut middles: BTreeMap<[u32; 2], u32> = BTreeMap::new();
    let mut from = 0;
    while from < own.triangles.len() {
        let triangle = own.triangles[from];
        let side = |k: usize| {
            let ends = [triangle[k], triangle[(k + 1) % 3]];
            let [a, b] = ends.map(|corner| own.positions[corner as usize]);
            (length(a, b), ends)
        };
        let longest = (0..3)
            .max_by(|a, b| side(*a).0.total_cmp(&side(*b).0))
            .expect("a triangle has sides");
        let (long, mut ends) = side(longest);
        if long <= LONGEST_MM {
            from += 1;
            continue;
        }
        ends.sort_unstable();
        let new = own.positions.len() as u32;
        let halved = *middles.entry(ends).or_insert(new);
        if halved == new {
            let [a, b] = ends.map(|corner| own.positions[corner as usize]);
            own.positions.push(middle(a, b));
        }
        let turned =
            |corners: [u32; 3]| -> [u32; 3] { std::array::from_fn(|k| corners[(k + longest) % 3]) };
        let [a, b, c] = turned(triangle);
        let normals = own.normals[from];
        let [na, nb, nc]: [[f32; 3]; 3] = std::array::from_fn(|k| normals[(k + longest) % 3]);
        let nab = between(na, nb);
        own.triangles[from] = [a, halved, c];
        own.normals[from] = [na, nab, nc];
        own.triangles.push([halved, b, c]);
        own.normals.push([nab, nb, nc]);
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_and_thin_is_cut_across_and_stays_closed() {
        let (x, y, z) = (80.0, 0.2, 5.0);
        let corners = [[0.0, 0.0, 0.0], [x, 0.0, 0.0], [0.0, y, 0.0], [0.0, 0.0, z]];
        let triangles = vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];
        let mesh = Mesh {
            positions: corners.to_vec(),
            normals: vec![[[0.0, 0.0, 1.0]; 3]; triangles.len()],
            triangles,
        };
        let fine = cut(&mesh);
        assert!((fine.volume() - mesh.volume()).abs() < 1e-9 * mesh.volume());
        assert!((fine.area() - mesh.area()).abs() < 1e-9 * mesh.area());
        // Some sixty lengths of side, on four faces of which two are wide.
        assert!(fine.triangles.len() < 2500, "{}", fine.triangles.len());
        let mut sides: BTreeMap<[u32; 2], i32> = BTreeMap::new();
        for corners in &fine.triangles {
            for k in 0..3 {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                let [pa, pb] = [a, b].map(|own| fine.positions[own as usize]);
                assert!(length(pa, pb) <= LONGEST_MM);
                *sides.entry([a.min(b), a.max(b)]).or_default() += if a < b { 1 } else { -1 };
            }
        }
        assert!(sides.values().all(|sum| *sum == 0));
    }
}
