//! A closed run of named sides, from which a flat plate's outline is made.

use geom::{Chain, Outline, Point2, Segment};

/// Vertices with the bulge and the name of the side after each, anticlockwise.
#[derive(Clone, Debug, Default)]
pub(super) struct Run<'n> {
    vertices: Vec<(Point2, f64, &'n str)>,
}

/// Sides shorter than this are left out (mm): what rounding leaves of a side that is not there.
const NO_SIDE: f64 = 1e-6;

impl<'n> Run<'n> {
    /// True if nothing is laid yet.
    pub(super) fn is_empty(&self) -> bool {
        self.vertices.is_empty()
    }

    /// Goes on from a point by a straight side of a name.
    pub(super) fn line(&mut self, x: f64, y: f64, name: &'n str) -> &mut Self {
        self.arc(x, y, 0.0, name)
    }

    /// Goes on from a point by an arc of a bulge (tan of a quarter of its angle, anticlockwise positive).
    pub(super) fn arc(&mut self, x: f64, y: f64, bulge: f64, name: &'n str) -> &mut Self {
        self.vertices.push((Point2::new(x, y), bulge, name));
        self
    }

    /// The same run in the mirror x → −x, anticlockwise again.
    pub(super) fn mirrored(&self) -> Self {
        let n = self.vertices.len();
        let vertices = (0..n)
            .rev()
            .map(|i| {
                let (p, ..) = self.vertices[(i + 1) % n];
                let (_, bulge, name) = self.vertices[i];
                (Point2::new(-p.x, p.y), bulge, name)
            })
            .collect();
        Self { vertices }
    }

    /// The same run moved.
    pub(super) fn moved(&self, x: f64, y: f64) -> Self {
        let by = geom::Vector2::new(x, y);
        let moved = self
            .vertices
            .iter()
            .map(|(p, bulge, name)| (p + by, *bulge, *name));
        Self {
            vertices: moved.collect(),
        }
    }

    /// The outline and a name for each of its sides.
    pub(super) fn close(&self) -> (Outline, Vec<&'n str>) {
        let n = self.vertices.len();
        let (mut segments, mut names) = (Vec::new(), Vec::new());
        // A side too short to be there is passed over, and the next begins where the last one ended.
        let mut at = self.vertices.first().map_or(Point2::origin(), |v| v.0);
        for i in 0..n {
            let (_, bulge, name) = self.vertices[i];
            let next = if i + 1 == n {
                segments.first().map_or(self.vertices[0].0, Segment::start)
            } else {
                self.vertices[i + 1].0
            };
            if (next - at).norm() > NO_SIDE {
                segments.push(Segment::from_bulge(at, next, bulge));
                names.push(name);
                at = next;
            }
        }
        let outline = Outline::from_chain(&Chain::from_segments(segments));
        (outline.unwrap_or_else(|_| Outline::polygon(&[])), names)
    }
}

/// Bulge of a quarter circle, anticlockwise.
pub(super) fn quarter() -> f64 {
    geom::math::tan(geom::math::FRAC_PI_2 / 4.0)
}
