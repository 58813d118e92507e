//! Solids that jigs are put together from, standing on the bed of the printer (z = 0).

use geom::math::{PI, acos, sin, sin_cos};
use geom::{Point2, Point3, Vector2, Vector3};

use super::fault::JigFault;
use crate::Mesh;
use crate::mesh::{shaded, triangulate_polygon};

/// Greatest distance of a jig's face from the true one (mm).
pub(super) const CHORD_MM: f64 = 0.002;

/// Corners of an outline closer than this are one (mm).
const SAME_MM: f64 = 1e-4;

/// A solid in horizontal layers: outlines of equally many corners at rising heights, corner joined to
/// corner.
pub(super) fn layers(rings: &[(f64, Vec<Point2>)]) -> Result<Mesh, JigFault> {
    let mut positions: Vec<[f64; 3]> = Vec::new();
    let mut numbers: Vec<Vec<u32>> = Vec::new();
    let mut outlines: Vec<Vec<Point2>> = Vec::new();
    let inverted = rings.first().is_some_and(|(_, ring)| area(ring) < 0.0);
    for (z, ring) in rings {
        let mut ring = ring.clone();
        if inverted {
            ring.reverse();
        }
        let first = positions.len() as u32;
        let mut own = Vec::with_capacity(ring.len());
        let mut outline: Vec<Point2> = Vec::new();
        for point in &ring {
            if outline
                .last()
                .is_none_or(|last| (point - last).norm() > SAME_MM)
            {
                outline.push(*point);
            }
            own.push(first + outline.len() as u32 - 1);
        }
        if outline.len() > 1 && (outline[0] - outline[outline.len() - 1]).norm() <= SAME_MM {
            let last = first + outline.len() as u32 - 1;
            outline.pop();
            for number in own.iter_mut().filter(|number| **number == last) {
                *number = first;
            }
        }
        positions.extend(outline.iter().map(|p| [p.x, p.y, *z]));
        numbers.push(own);
        outlines.push(outline);
    }
    let mut triangles: Vec<[u32; 3]> = Vec::new();
    let mut push = |t: [u32; 3]| {
        if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
            triangles.push(t);
        }
    };
    for pair in numbers.windows(2) {
        let n = pair[0].len();
        for k in 0..n {
            let next = (k + 1) % n;
            let [a, b] = [&pair[0], &pair[1]];
            push([a[k], a[next], b[next]]);
            push([a[k], b[next], b[k]]);
        }
    }
    for (i, low) in [(0, true), (outlines.len().saturating_sub(1), false)] {
        let Some(outline) = outlines.get(i) else {
            continue;
        };
        let caps = triangulate_polygon(outline).ok_or(JigFault::Crossed { what: "outline" })?;
        let first = numbers[i].iter().copied().min().unwrap_or(0);
        for [a, b, c] in caps {
            let [a, b, c] = [a + first, b + first, c + first];
            push(if low { [a, c, b] } else { [a, b, c] });
        }
    }
    let mesh = shaded(positions, triangles);
    mesh.closedness().map_err(JigFault::Mesh)?;
    Ok(mesh)
}

/// An outline raised from one height to another.
pub(super) fn prism(outline: &[Point2], low: f64, high: f64) -> Result<Mesh, JigFault> {
    layers(&[(low, outline.to_vec()), (high, outline.to_vec())])
}

/// An outline raised from the bed, its foot chamfered against the spread of the first layer.
pub(super) fn footed(outline: &[Point2], high: f64, chamfer: f64) -> Result<Mesh, JigFault> {
    match foot(outline, chamfer) {
        Some(inner) => layers(&[
            (0.0, inner),
            (chamfer, outline.to_vec()),
            (high, outline.to_vec()),
        ]),
        None => prism(outline, 0.0, high),
    }
}

/// The outline of a chamfered foot; `None` where an outline is too fine for it.
pub(super) fn foot(outline: &[Point2], chamfer: f64) -> Option<Vec<Point2>> {
    (chamfer > 0.0).then(|| inset(outline, chamfer)).flatten()
}

/// An upright box between two corners.
pub(super) fn slab(low: [f64; 3], high: [f64; 3]) -> Result<Mesh, JigFault> {
    let ring = rectangle(low[0], low[1], high[0], high[1]);
    prism(&ring, low[2], high[2])
}

/// A rectangle as an outline.
pub(super) fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point2> {
    vec![
        Point2::new(x0, y0),
        Point2::new(x1, y0),
        Point2::new(x1, y1),
        Point2::new(x0, y1),
    ]
}

/// An arc about a centre, angles in radian, ends included, corners on the circle.
pub(super) fn arc(centre: Point2, radius: f64, from: f64, to: f64) -> Vec<Point2> {
    let step = 2.0 * acos((1.0 - CHORD_MM / radius.max(2.0 * CHORD_MM)).clamp(-1.0, 1.0));
    let n = (((to - from).abs() / step).ceil() as usize).clamp(6, 4000);
    (0..=n)
        .map(|k| {
            let (s, c) = sin_cos(from + (to - from) * k as f64 / n as f64);
            centre + Vector2::new(c, s) * radius
        })
        .collect()
}

/// A circle as an outline, corners on it.
pub(super) fn circle(centre: Point2, radius: f64) -> Vec<Point2> {
    let mut ring = arc(centre, radius, 0.0, 2.0 * PI);
    ring.pop();
    ring
}

/// A round bar from one point to another whose sides are as far out as a circle of the same area.
pub(super) fn rod(from: Point3, to: Point3, radius: f64) -> Result<Mesh, JigFault> {
    const SIDES: usize = 48;
    let along = to - from;
    let axis = along / along.norm();
    let least = if axis.x.abs() < 0.6 {
        Vector3::x()
    } else {
        Vector3::y()
    };
    let side = axis.cross(&least).normalize();
    let other = axis.cross(&side);
    let step = 2.0 * PI / SIDES as f64;
    let swell = (step / sin(step)).sqrt() * radius;
    let ring: Vec<Point2> = (0..SIDES)
        .map(|k| {
            let (s, c) = sin_cos(step * k as f64);
            Point2::new(c, s) * swell
        })
        .collect();
    let bar = prism(&ring, 0.0, along.norm())?;
    let frame = Frame {
        origin: from,
        x: side,
        y: other,
        z: axis,
    };
    Ok(placed(&bar, &frame))
}

/// Where a solid stands: its origin and its three axes, square unit vectors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Where the origin lies.
    pub origin: Point3,
    /// Along x.
    pub x: Vector3,
    /// Along y.
    pub y: Vector3,
    /// Along z, x × y.
    pub z: Vector3,
}

impl Frame {
    /// The frame of a section plane: x across, y up, z along the axis.
    pub(super) fn of_section(frame: &develop::LoftFrame) -> Self {
        Self {
            origin: frame.origin,
            x: frame.across,
            y: frame.up,
            z: frame.axis,
        }
    }

    /// The place of a point given in the frame.
    pub fn point(&self, at: Point3) -> Point3 {
        self.origin + self.x * at.x + self.y * at.y + self.z * at.z
    }
}

/// A solid put into a frame.
pub(super) fn placed(mesh: &Mesh, frame: &Frame) -> Mesh {
    let positions = mesh
        .positions
        .iter()
        .map(|p| {
            let q = frame.point(Point3::from(*p));
            [q.x, q.y, q.z]
        })
        .collect();
    let mut mesh = shaded(positions, mesh.triangles.clone());
    if mesh.volume() < 0.0 {
        mesh.turn_inside_out();
    }
    mesh
}

/// A solid moved (mm).
pub(super) fn moved(mesh: &Mesh, by: Vector3) -> Mesh {
    let mut mesh = mesh.clone();
    for p in &mut mesh.positions {
        *p = [p[0] + by.x, p[1] + by.y, p[2] + by.z];
    }
    mesh
}

/// Enclosed area, positive anticlockwise (mm²).
pub(super) fn area(ring: &[Point2]) -> f64 {
    (0..ring.len())
        .map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            a.x * b.y - b.x * a.y
        })
        .sum::<f64>()
        / 2.0
}

/// An outline moved in by a distance (out, if negative), corner for corner; `None` if it would cross
/// itself.
pub(super) fn inset(ring: &[Point2], by: f64) -> Option<Vec<Point2>> {
    let by = if area(ring) < 0.0 { -by } else { by };
    // Corners that fall together move together.
    let mut own: Vec<Point2> = Vec::new();
    let mut number = Vec::with_capacity(ring.len());
    for point in ring {
        if own
            .last()
            .is_none_or(|last| (point - last).norm() > SAME_MM)
        {
            own.push(*point);
        }
        number.push(own.len() - 1);
    }
    if own.len() > 1 && (own[0] - own[own.len() - 1]).norm() <= SAME_MM {
        let last = own.len() - 1;
        own.pop();
        for i in number.iter_mut().filter(|i| **i == last) {
            *i = 0;
        }
    }
    let n = own.len();
    if n < 3 {
        return None;
    }
    let normal = |a: Point2, b: Point2| {
        let along = (b - a).normalize();
        Vector2::new(-along.y, along.x)
    };
    let moved: Vec<Point2> = (0..n)
        .map(|i| {
            let (before, here, after) = (own[(i + n - 1) % n], own[i], own[(i + 1) % n]);
            let (p, q) = (normal(before, here), normal(here, after));
            // At a corner of less than 30° the mitre would run away.
            (1.0 + p.dot(&q) > 0.13).then(|| here + (p + q) * (by / (1.0 + p.dot(&q))))
        })
        .collect::<Option<_>>()?;
    let moved = without_spikes(&own, moved, by.abs())?;
    is_simple(&moved).then(|| number.iter().map(|&i| moved[i]).collect())
}

/// Corners that came closer to the outline than they were to be moved fall onto the nearest that did not: where a
/// curve of short chords meets a corner, the mitre of the corner lies behind some of its chords.
fn without_spikes(ring: &[Point2], moved: Vec<Point2>, by: f64) -> Option<Vec<Point2>> {
    let n = ring.len();
    // Chords and mitres are off by less than this share of the move.
    let least = 0.94 * by;
    let far = |p: Point2| {
        (0..n).all(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % n]);
            let along = b - a;
            let s = ((p - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
            (p - (a + along * s)).norm() >= least
        })
    };
    let good: Vec<bool> = moved.iter().map(|p| far(*p)).collect();
    if good.iter().all(|own| *own) {
        return Some(moved);
    }
    (0..n)
        .map(|i| {
            (0..=n / 2)
                .flat_map(|k| [(i + k) % n, (i + n - k) % n])
                .find(|&j| good[j])
                .map(|j| moved[j])
        })
        .collect()
}

/// True if no two sides of an outline that are not neighbours meet.
pub(super) fn is_simple(ring: &[Point2]) -> bool {
    let mut ring = ring.to_vec();
    ring.dedup_by(|p, q| (*p - *q).norm() <= SAME_MM);
    if ring.len() > 1 && (ring[0] - ring[ring.len() - 1]).norm() <= SAME_MM {
        ring.pop();
    }
    let n = ring.len();
    let side = |i: usize| (ring[i], ring[(i + 1) % n]);
    let left = |a: Point2, b: Point2, c: Point2| (b - a).perp(&(c - a));
    for i in 0..n {
        let (a, b) = side(i);
        let (low, high) = (a.x.min(b.x), a.x.max(b.x));
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (c, d) = side(j);
            if c.x.min(d.x) > high || c.x.max(d.x) < low {
                continue;
            }
            let crosses =
                left(a, b, c) * left(a, b, d) <= 0.0 && left(c, d, a) * left(c, d, b) <= 0.0;
            if crosses {
                return false;
            }
        }
    }
    true
}

/// A groove of triangular section along a line on a face: half as deep as wide.
pub(super) fn vee(from: Point3, to: Point3, normal: Vector3, width: f64) -> Result<Mesh, JigFault> {
    let along = (to - from).normalize();
    let frame = Frame {
        origin: from,
        x: normal.cross(&along),
        y: normal,
        z: along,
    };
    let (half, out) = (width / 2.0, 0.5);
    let ring = [
        Point2::new(0.0, -half),
        Point2::new(half + out, out),
        Point2::new(-half - out, out),
    ];
    Ok(placed(&prism(&ring, 0.0, (to - from).norm())?, &frame))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_has_its_volume_and_a_chamfer_takes_a_frame_off_it() {
        let ring = rectangle(0.0, 0.0, 10.0, 6.0);
        assert!((prism(&ring, 1.0, 4.0).unwrap().volume() - 180.0).abs() < 1e-9);
        // Prismoid of 9 × 5 to 10 × 6 over 0.5 mm: (45 + 4 · 52.25 + 60) / 6 · 0.5.
        let lost = 0.5 * 60.0 - 0.5 * (45.0 + 4.0 * 52.25 + 60.0) / 6.0;
        let foot = footed(&ring, 3.0, 0.5).unwrap();
        assert!((foot.volume() - (180.0 - lost)).abs() < 1e-9);
    }

    #[test]
    fn an_outline_too_fine_for_an_inset_has_none() {
        let strip = rectangle(0.0, 0.0, 10.0, 0.5);
        assert!(inset(&strip, 0.3).is_none());
        let out = inset(&strip, -0.3).unwrap();
        assert!((area(&out) - 10.6 * 1.1).abs() < 1e-9);
    }

    #[test]
    fn a_curve_that_meets_a_corner_keeps_its_inset() {
        // A half disc of radius 10: its inset is the half disc of radius 9.5 cut 0.5 above the diameter.
        let ring = arc(Point2::origin(), 10.0, 0.0, PI);
        let inner = inset(&ring, 0.5).unwrap();
        let (r, h): (f64, f64) = (9.5, 0.5);
        let half = acos(h / r);
        let want = r * r * half - h * (r * r - h * h).sqrt();
        assert!(
            (area(&inner) - want).abs() < 0.05,
            "{} {want}",
            area(&inner)
        );
        assert!(inner.iter().all(|p| p.y > 0.46 && p.coords.norm() < 9.55));
    }

    #[test]
    fn a_rod_has_the_volume_of_a_cylinder() {
        let bar = rod(Point3::new(1.0, 2.0, 3.0), Point3::new(4.0, 6.0, 3.0), 1.5).unwrap();
        assert!((bar.volume() - PI * 2.25 * 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_clockwise_outline_is_turned() {
        let mut ring = rectangle(0.0, 0.0, 2.0, 2.0);
        ring.reverse();
        assert!((prism(&ring, 0.0, 2.0).unwrap().volume() - 8.0).abs() < 1e-12);
    }
}
