//! Rivet heads with six sides and the volume of their cap.

use body::Rivet;
use develop::Place;
use geom::math::{PI, sin_cos};
use geom::{BodyPoint, FlatPoint, Vector2, Vector3};

use super::surface::{Mesh, to_f32, unit};
use super::thickening::Thickened;
use super::triangulation::{FlatMesh, NONE};

/// Radius of the ring of corners between foot and top, as a share of the foot's.
///
/// Chosen, not sourced: it leaves the sides steep and the top flat, as a cap looks.
const RING: f64 = 0.6;

/// Measures of a head as a six-sided solid of two storeys.
#[derive(Clone, Copy, Debug)]
pub(super) struct Head {
    /// Distance of the corners of the foot from the centre (mm).
    pub(super) foot: f64,
    /// Height of the ring (mm).
    ring_height: f64,
    /// Height of the top (mm).
    height: f64,
    /// Radius of the cap's sphere (mm).
    sphere: f64,
}

impl Head {
    /// The head of a rivet; `None` if it has no size.
    ///
    /// Height and the height of the ring are the cap's; the foot is as wide as makes the volume the
    /// cap's. With foot area A, ring height g and ring share s the volume is
    /// A (g (1 + s + s²) + s² (h − g))/3.
    pub(super) fn of(rivet: &Rivet) -> Option<Self> {
        let (a, h) = (rivet.head_diameter / 2.0, rivet.head_height);
        if !(a > 0.0 && h > 0.0 && a.is_finite() && h.is_finite()) {
            return None;
        }
        let sphere = (a * a + h * h) / (2.0 * h);
        let ring_height = (sphere * sphere - RING * RING * a * a).sqrt() - (sphere - h);
        let per_area =
            (ring_height * (1.0 + RING + RING * RING) + RING * RING * (h - ring_height)) / 3.0;
        let area = rivet.volume() / per_area;
        // A hexagon of circumradius r has the area (3√3/2) r².
        let foot = (area / (1.5 * 3f64.sqrt())).sqrt();
        Some(Self {
            foot,
            ring_height,
            height: h,
            sphere,
        })
    }

    /// Corners of the foot on the flat, anticlockwise.
    pub(super) fn corners(&self, centre: FlatPoint) -> [FlatPoint; 6] {
        std::array::from_fn(|i| {
            let (s, c) = sin_cos(PI / 3.0 * i as f64);
            centre + Vector2::new(c, s) * self.foot
        })
    }

    /// Normal of the cap towards a side (unit vector square to `up`), at a share of the radius.
    fn shade(&self, up: Vector3, side: Vector3, share: f64) -> Vector3 {
        let sine = (share * self.foot / self.sphere).min(1.0);
        up * (1.0 - sine * sine).sqrt() + side * sine
    }
}

/// Stands the heads on the openings that were left for them in the outer skin.
pub(super) fn add_heads(
    solid: &mut Thickened,
    flat: &FlatMesh,
    level_of: impl Fn(usize) -> u8,
    heads: &[Option<(Head, Place)>],
    levels: &[f64],
) {
    let mut standing = Standing {
        tops: vec![NONE; heads.len()],
        rings: vec![NONE; flat.nodes.len()],
    };
    for (i, &rivet) in flat.rivet.iter().enumerate() {
        let Some(Some((head, place))) = heads.get(rivet as usize) else {
            continue;
        };
        let level = level_of(i);
        let centre = place.at_height(levels[level as usize]);
        for side in 0..3 {
            let beyond = flat.beyond[i][side];
            // Sides between two triangles of the same foot are covered.
            if beyond != NONE && flat.rivet[beyond as usize] == rivet {
                continue;
            }
            let ends = [flat.triangles[i][side], flat.triangles[i][(side + 1) % 3]];
            let foot = ends.map(|corner| solid.at(corner, level));
            let top = standing.top(rivet, solid, centre + place.normal * head.height);
            let ring = [0, 1].map(|k| {
                let base = solid.mesh.point(foot[k]);
                let point = centre + (base - centre) * RING + place.normal * head.ring_height;
                standing.ring((rivet, ends[k]), solid, point)
            });
            add_side(
                &mut solid.mesh,
                head,
                (centre, place.normal),
                foot,
                ring,
                top,
            );
        }
    }
}

/// Positions of heads that are already there.
struct Standing {
    tops: Vec<u32>,
    rings: Vec<u32>,
}

impl Standing {
    fn top(&mut self, rivet: u32, solid: &mut Thickened, point: BodyPoint) -> u32 {
        let own = &mut self.tops[rivet as usize];
        if *own == NONE {
            *own = solid.mesh.push_point(point);
            solid.of_heads.push(rivet);
        }
        *own
    }

    fn ring(&mut self, (rivet, corner): (u32, u32), solid: &mut Thickened, at: BodyPoint) -> u32 {
        let own = &mut self.rings[corner as usize];
        if *own == NONE {
            *own = solid.mesh.push_point(at);
            solid.of_heads.push(rivet);
        }
        *own
    }
}

/// One side of a head: two triangles up to the ring, one to the top.
fn add_side(
    mesh: &mut Mesh,
    head: &Head,
    (centre, up): (BodyPoint, Vector3),
    foot: [u32; 2],
    ring: [u32; 2],
    top: u32,
) {
    let side = foot.map(|corner| {
        let out = mesh.point(corner) - centre;
        unit(out - up * out.dot(&up))
    });
    let low = side.map(|side| to_f32(head.shade(up, side, 1.0)));
    let high = side.map(|side| to_f32(head.shade(up, side, RING)));
    mesh.triangles.push([foot[0], foot[1], ring[1]]);
    mesh.normals.push([low[0], low[1], high[1]]);
    mesh.triangles.push([foot[0], ring[1], ring[0]]);
    mesh.normals.push([low[0], high[1], high[0]]);
    mesh.triangles.push([ring[0], ring[1], top]);
    mesh.normals.push([high[0], high[1], to_f32(up)]);
}
