//! A triangle mesh that bounds a solid.

use geom::{Point3, Vector3};

/// The boundary of a solid as triangles, in body millimetres.
///
/// # Shape
///
/// Closed: every edge has one triangle on either side. Triangles run anticlockwise seen from
/// outside. A position is held once, however many triangles meet in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners (mm).
    pub positions: Vec<[f64; 3]>,
    /// Numbers of the three corners of each triangle.
    pub triangles: Vec<[u32; 3]>,
    /// Outward unit normals for shading at the three corners of each triangle: of the true surface
    /// where the solid is curved, of the facet where it is flat.
    pub normals: Vec<[[f32; 3]; 3]>,
}

/// What is wrong with a mesh.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MeshFault {
    /// There are no triangles.
    #[error("it has no triangles")]
    Empty,
    /// A coordinate is not a number, or a corner does not exist.
    #[error("corner {corner} is not a point")]
    NotFinite {
        /// Number of the corner.
        corner: u32,
    },
    /// An edge does not have exactly one triangle on either side.
    #[error("the edge from corner {from} to corner {to} does not have one triangle on either side")]
    Open {
        /// Corner where the edge starts.
        from: u32,
        /// Corner where it ends.
        to: u32,
    },
    /// It bounds nothing, or is inside out.
    #[error("it encloses {volume_mm3} mm³; it is inside out or empty")]
    InsideOut {
        /// Signed volume (mm³).
        volume_mm3: f64,
    },
    /// A triangle has no height to speak of.
    #[error("triangle {triangle} is only {height_mm} mm high")]
    Sliver {
        /// Number of the triangle.
        triangle: usize,
        /// Its least height (mm).
        height_mm: f64,
    },
}

/// Least height of a triangle (mm): a thousandth of the finest feature that can be etched, and
/// well above the rounding of 32-bit coordinates of 300 mm.
pub(super) const LEAST_HEIGHT_MM: f64 = 1e-3;

impl Mesh {
    /// A corner's place.
    pub(crate) fn point(&self, corner: u32) -> Point3 {
        Point3::from(self.positions[corner as usize])
    }

    fn corners(&self) -> impl Iterator<Item = [Point3; 3]> + '_ {
        self.triangles
            .iter()
            .map(|t| t.map(|corner| self.point(corner)))
    }

    /// Volume (mm³), negative for a mesh that is inside out.
    pub fn volume(&self) -> f64 {
        // Measured from a corner of the mesh, so that a place far from the origin costs no digits.
        let home = self
            .positions
            .first()
            .copied()
            .map_or(Point3::origin(), Point3::from);
        self.corners()
            .map(|[a, b, c]| (a - home).dot(&(b - home).cross(&(c - home))))
            .sum::<f64>()
            / 6.0
    }

    /// Middle of the volume; that of its points if it encloses none.
    pub fn centroid(&self) -> Point3 {
        let home = self
            .positions
            .first()
            .copied()
            .map_or(Point3::origin(), Point3::from);
        let (mut volume, mut moment) = (0.0, geom::Vector3::zeros());
        for [a, b, c] in self.corners() {
            let (a, b, c) = (a - home, b - home, c - home);
            let own = a.dot(&b.cross(&c));
            volume += own;
            moment += (a + b + c) * (own / 4.0);
        }
        if volume.abs() < 1e-12 {
            return home;
        }
        home + moment / volume
    }

    /// Area of the surface (mm²).
    pub fn area(&self) -> f64 {
        self.corners()
            .map(|[a, b, c]| (b - a).cross(&(c - a)).norm())
            .sum::<f64>()
            / 2.0
    }

    /// Least and greatest coordinates; the origin twice for an empty mesh.
    pub fn bounds(&self) -> ([f64; 3], [f64; 3]) {
        let first = self.positions.first().copied().unwrap_or_default();
        self.positions
            .iter()
            .fold((first, first), |(low, high), p| {
                (
                    std::array::from_fn(|i| low[i].min(p[i])),
                    std::array::from_fn(|i| high[i].max(p[i])),
                )
            })
    }

    /// Least height of any triangle (mm), and which it is; `None` for an empty mesh.
    pub fn least_height(&self) -> Option<(usize, f64)> {
        self.corners()
            .map(|corners| height(&corners))
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Whether the mesh is closed, finite, wound outward, and free of triangles below 1 µm.
    ///
    /// # Errors
    ///
    /// The first [`MeshFault`] met.
    pub fn soundness(&self) -> Result<(), MeshFault> {
        self.closedness()?;
        match self.least_height() {
            Some((triangle, height_mm)) if height_mm < LEAST_HEIGHT_MM => Err(MeshFault::Sliver {
                triangle,
                height_mm,
            }),
            _ => Ok(()),
        }
    }

    /// Whether the mesh is closed, finite and wound outward.
    pub(crate) fn closedness(&self) -> Result<(), MeshFault> {
        if self.triangles.is_empty() {
            return Err(MeshFault::Empty);
        }
        let exists = |corner: u32| {
            self.positions
                .get(corner as usize)
                .is_some_and(|p| p.iter().all(|x| x.is_finite()))
        };
        if let Some(&corner) = self
            .triangles
            .iter()
            .flatten()
            .find(|&&corner| !exists(corner))
        {
            return Err(MeshFault::NotFinite { corner });
        }
        self.edges_paired()?;
        let volume_mm3 = self.volume();
        // A NaN volume must not pass.
        if volume_mm3 > 0.0 {
            Ok(())
        } else {
            Err(MeshFault::InsideOut { volume_mm3 })
        }
    }

    fn edges_paired(&self) -> Result<(), MeshFault> {
        // Key of the undirected edge, its direction in the last bit.
        let mut uses: Vec<u128> = self
            .triangles
            .iter()
            .flat_map(|t| (0..3).map(move |i| (t[i], t[(i + 1) % 3])))
            .map(|(a, b)| {
                let key = (u128::from(a.min(b)) << 33) | (u128::from(a.max(b)) << 1);
                key | u128::from(a > b)
            })
            .collect();
        uses.sort_unstable();
        for pair in uses.chunks(2) {
            if pair.len() != 2 || pair[0] ^ 1 != pair[1] || pair[0] & 1 == 1 {
                let (from, to) = ((pair[0] >> 33) as u32, (pair[0] >> 1) as u32);
                return Err(MeshFault::Open { from, to });
            }
        }
        Ok(())
    }

    /// Adds a triangle with one normal at all corners.
    pub(super) fn push_flat(&mut self, triangle: [u32; 3], normal: Vector3) {
        self.triangles.push(triangle);
        self.normals.push([to_f32(normal); 3]);
    }

    /// Adds a position and gives its number.
    pub(super) fn push_point(&mut self, point: Point3) -> u32 {
        self.positions.push([point.x, point.y, point.z]);
        (self.positions.len() - 1) as u32
    }

    /// Turns every triangle over.
    pub(crate) fn turn_inside_out(&mut self) {
        for (triangle, normals) in self.triangles.iter_mut().zip(&mut self.normals) {
            triangle.swap(1, 2);
            normals.swap(1, 2);
            for normal in normals.iter_mut() {
                *normal = normal.map(|x| -x);
            }
        }
    }
}

/// Least height of a triangle (mm).
fn height(corners: &[Point3; 3]) -> f64 {
    let [a, b, c] = corners;
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let height = (b - a).cross(&(c - a)).norm() / longest;
    // Three equal corners divide zero by zero.
    if height.is_finite() { height } else { 0.0 }
}

/// Unit vector along `v`; zero stays zero.
pub(super) fn unit(v: Vector3) -> Vector3 {
    v.try_normalize(0.0).unwrap_or_else(Vector3::zeros)
}

/// A direction in the precision of a picture.
pub(super) fn to_f32(v: Vector3) -> [f32; 3] {
    [v.x as f32, v.y as f32, v.z as f32]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tetrahedron() -> Mesh {
        let mut mesh = Mesh {
            positions: vec![[0.0; 3], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 5.0]],
            ..Mesh::default()
        };
        for t in [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]] {
            mesh.push_flat(t, Vector3::z());
        }
        mesh
    }

    #[test]
    fn tetrahedron_encloses_a_sixth_of_its_box() {
        let mesh = tetrahedron();
        assert_eq!(mesh.soundness(), Ok(()));
        assert!((mesh.volume() - 10.0).abs() < 1e-12);
        assert_eq!(mesh.bounds(), ([0.0; 3], [3.0, 4.0, 5.0]));
    }

    #[test]
    fn each_fault_is_found() {
        let mut open = tetrahedron();
        open.triangles.pop();
        assert!(matches!(open.soundness(), Err(MeshFault::Open { .. })));
        let mut turned = tetrahedron();
        turned.triangles[0].swap(1, 2);
        assert!(matches!(turned.soundness(), Err(MeshFault::Open { .. })));
        let mut inside_out = tetrahedron();
        inside_out.turn_inside_out();
        assert!(matches!(
            inside_out.soundness(),
            Err(MeshFault::InsideOut { .. })
        ));
        let mut twice = tetrahedron();
        twice.triangles.extend(tetrahedron().triangles);
        assert!(matches!(twice.soundness(), Err(MeshFault::Open { .. })));
        let mut lost = tetrahedron();
        lost.positions[3][1] = f64::NAN;
        assert_eq!(lost.soundness(), Err(MeshFault::NotFinite { corner: 3 }));
        let mut flat = tetrahedron();
        flat.positions[3] = [1.0, 1e-4, 1e-4];
        assert!(matches!(flat.soundness(), Err(MeshFault::Sliver { .. })));
        assert_eq!(Mesh::default().soundness(), Err(MeshFault::Empty));
    }
}
