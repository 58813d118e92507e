//! Where a plane square to the direction of view cuts a mesh.

use super::scene::Seen;
use crate::Mesh;
use geom::Point2;
use std::collections::BTreeMap;

/// Closed runs at which a mesh is cut at a depth, those round openings with the others.
pub(super) fn cut_loops(mesh: &Mesh, seen: &[Seen], cut: f64) -> Vec<Vec<Point2>> {
    // A corner in the plane counts as beyond it, so that every facet is cut twice or not at all.
    let is_near = |i: u32| seen[i as usize].depth > cut;
    let mut next: BTreeMap<(u32, u32), (u32, u32)> = BTreeMap::new();
    for triangle in &mesh.triangles {
        let mut from = None;
        let mut to = None;
        for i in 0..3 {
            let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
            let key = (a.min(b), a.max(b));
            match (is_near(a), is_near(b)) {
                (true, false) => from = Some(key),
                (false, true) => to = Some(key),
                _ => {}
            }
        }
        if let (Some(from), Some(to)) = (from, to) {
            next.insert(from, to);
        }
    }
    let at = |(a, b): (u32, u32)| {
        let (a, b) = (seen[a as usize], seen[b as usize]);
        a.between(&b, (cut - a.depth) / (b.depth - a.depth)).at
    };
    let mut loops = Vec::new();
    while let Some((&start, _)) = next.first_key_value() {
        let mut run = Vec::new();
        let mut key = start;
        while let Some(to) = next.remove(&key) {
            run.push(at(key));
            key = to;
        }
        if run.len() > 2 {
            loops.push(run);
        }
    }
    loops
}
