//! Two skins over a triangulated flat, and walls wherever the depth changes.

use develop::Place;

use super::surface::{Mesh, to_f32, unit};
use super::triangulation::{FlatMesh, NONE};

/// Most heights over mid-sheet that one plate may have.
pub(super) const MOST_LEVELS: usize = 64;

/// Inner and outer face of the metal at a triangle, as numbers of levels.
pub(super) type Depth = (u8, u8);

/// A flat with a place in space for each corner and a depth for each triangle.
pub(super) struct Thickening<'a> {
    pub(super) flat: &'a FlatMesh,
    pub(super) places: &'a [Place],
    /// Heights over mid-sheet (mm), rising.
    pub(super) levels: &'a [f64],
    pub(super) depths: &'a [Depth],
}

/// A mesh in the making, whose corners are known by flat corner and level.
pub(super) struct Thickened {
    pub(super) mesh: Mesh,
    /// Bit k is set if the corner has a position at level k.
    masks: Vec<u64>,
    /// Number of the position at each corner's lowest level.
    starts: Vec<u32>,
    /// Rivet of each position that was added for a head, in order, behind those of the corners.
    pub(super) of_heads: Vec<u32>,
}

impl Thickened {
    /// The position of a flat corner at a level.
    pub(super) fn at(&self, corner: u32, level: u8) -> u32 {
        let below = self.masks[corner as usize] & ((1u64 << level) - 1);
        self.starts[corner as usize] + below.count_ones()
    }

    /// What holds for each position, given what holds for each corner of the flat and each rivet.
    pub(super) fn spread(&self, of_corner: &[f64], of_rivet: &[f64]) -> Vec<f64> {
        let mut all = Vec::with_capacity(self.mesh.positions.len());
        for (value, mask) in of_corner.iter().zip(&self.masks) {
            all.extend(std::iter::repeat_n(*value, mask.count_ones() as usize));
        }
        all.extend(self.of_heads.iter().map(|&rivet| of_rivet[rivet as usize]));
        all
    }

    /// Levels of a corner from `low` to `high`.
    fn ladder(&self, corner: u32, (low, high): (u8, u8)) -> impl Iterator<Item = u8> + use<> {
        let mask = self.masks[corner as usize];
        (low..=high).filter(move |&level| mask >> level & 1 == 1)
    }
}

impl Thickening<'_> {
    /// Skins and walls; the outer skin is left open under rivet heads.
    pub(super) fn solid(&self) -> Thickened {
        let mut solid = self.corners();
        self.add_skins(&mut solid);
        self.add_walls(&mut solid);
        solid
    }

    /// A position for every level of every triangle round a corner, so that walls of unlike height
    /// that meet in a corner share all positions on it.
    fn corners(&self) -> Thickened {
        let mut masks = vec![0u64; self.flat.nodes.len()];
        for (triangle, &(low, high)) in self.flat.triangles.iter().zip(self.depths) {
            for &corner in triangle {
                masks[corner as usize] |= (1 << low) | (1 << high);
            }
        }
        let mut starts = Vec::with_capacity(masks.len());
        let mut mesh = Mesh::default();
        for (mask, place) in masks.iter().zip(self.places) {
            starts.push(mesh.positions.len() as u32);
            for (level, height) in self.levels.iter().enumerate() {
                if mask >> level & 1 == 1 {
                    mesh.push_point(place.at_height(*height));
                }
            }
        }
        Thickened {
            mesh,
            masks,
            starts,
            of_heads: Vec::new(),
        }
    }

    fn add_skins(&self, solid: &mut Thickened) {
        for (i, (triangle, &(low, high))) in self.flat.triangles.iter().zip(self.depths).enumerate()
        {
            let outward = triangle.map(|corner| self.places[corner as usize].normal);
            if self.flat.rivet[i] == NONE {
                let top = triangle.map(|corner| solid.at(corner, high));
                solid.mesh.triangles.push(top);
                solid.mesh.normals.push(outward.map(to_f32));
            }
            let [a, b, c] = triangle.map(|corner| solid.at(corner, low));
            let [na, nb, nc] = outward.map(|normal| to_f32(-normal));
            solid.mesh.triangles.push([a, c, b]);
            solid.mesh.normals.push([na, nc, nb]);
        }
    }

    fn add_walls(&self, solid: &mut Thickened) {
        for (i, triangle) in self.flat.triangles.iter().enumerate() {
            for side in 0..3 {
                let (a, b) = (triangle[side], triangle[(side + 1) % 3]);
                for span in self.wall_spans(i, side).into_iter().flatten() {
                    self.add_wall(solid, a, b, span);
                }
            }
        }
    }

    /// Levels between which walls stand on a side of a triangle: where it has metal and the next has none.
    fn wall_spans(&self, triangle: usize, side: usize) -> [Option<Depth>; 2] {
        let (low, high) = self.depths[triangle];
        let beyond = self.flat.beyond[triangle][side];
        if beyond == NONE {
            return [Some((low, high)), None];
        }
        let (next_low, next_high) = self.depths[beyond as usize];
        [
            (next_low > low).then_some((low, high.min(next_low))),
            (next_high < high).then_some((low.max(next_high), high)),
        ]
    }

    /// Whether so many walls stand round a corner that metal may do no more than touch there: an opening and a step, or two
    /// of either, that have the corner in common and nothing else.
    pub(super) fn may_pinch(&self) -> bool {
        let mut walls = vec![0u8; self.flat.nodes.len()];
        for (i, triangle) in self.flat.triangles.iter().enumerate() {
            for side in 0..3 {
                if self.wall_spans(i, side) != [None, None] {
                    for corner in [triangle[side], triangle[(side + 1) % 3]] {
                        walls[corner as usize] = walls[corner as usize].saturating_add(1);
                    }
                }
            }
        }
        walls.iter().any(|count| *count > 3)
    }

    /// A wall from corner `a` to `b`, the metal on its left seen from the outside face.
    fn add_wall(&self, solid: &mut Thickened, a: u32, b: u32, span: (u8, u8)) {
        let (pa, pb) = (&self.places[a as usize], &self.places[b as usize]);
        let normal = unit((pb.point - pa.point).cross(&(pa.normal + pb.normal)));
        let mut rungs_a = solid.ladder(a, span).peekable();
        let mut rungs_b = solid.ladder(b, span).peekable();
        let (mut here_a, mut here_b) = (rungs_a.next(), rungs_b.next());
        while let (Some(at_a), Some(at_b)) = (here_a, here_b) {
            let (next_a, next_b) = (rungs_a.peek().copied(), rungs_b.peek().copied());
            let climb_a = match (next_a, next_b) {
                (None, None) => break,
                (Some(up_a), Some(up_b)) => up_a <= up_b,
                (up_a, _) => up_a.is_some(),
            };
            let (low_a, low_b) = (solid.at(a, at_a), solid.at(b, at_b));
            let top = if climb_a {
                here_a = rungs_a.next();
                next_a.map(|level| solid.at(a, level))
            } else {
                here_b = rungs_b.next();
                next_b.map(|level| solid.at(b, level))
            };
            if let Some(top) = top {
                solid.mesh.push_flat([low_a, low_b, top], normal);
            }
        }
    }
}
