//! What every piece of a jig is held to before it is served.

use geom::{Point3, Vector3};

use super::fault::JigFault;
use crate::Mesh;
use body::PrintSpec;

/// Faces that look at each other closer to square than this bound a wall: cosine of 25°.
const FACING: f64 = 0.906;

/// Rays from this many of a piece's largest faces.
const RAYS: usize = 300;

/// Whether a piece is one closed solid (or as many as it should be).
pub(super) fn whole(mesh: &Mesh, wanted: usize) -> Result<(), JigFault> {
    mesh.closedness().map_err(JigFault::Mesh)?;
    let found = solids(mesh);
    if found == wanted {
        Ok(())
    } else {
        Err(JigFault::Solids { found, wanted })
    }
}

/// Whether a piece goes onto the printer, turned by a quarter if it must be.
pub(super) fn fits_bed(mesh: &Mesh, print: &PrintSpec) -> Result<(), JigFault> {
    let grown = 1.0 + print.shrinkage;
    let (low, high) = mesh.bounds();
    let size_mm: [f64; 3] = std::array::from_fn(|i| (high[i] - low[i]) * grown);
    let [w, d, h] = print.bed;
    let lies = |x: f64, y: f64| x <= w && y <= d;
    if (lies(size_mm[0], size_mm[1]) || lies(size_mm[1], size_mm[0])) && size_mm[2] <= h {
        return Ok(());
    }
    Err(JigFault::TooLarge {
        size_mm,
        bed_mm: print.bed,
    })
}

/// Number of solids that do not touch.
pub(super) fn solids(mesh: &Mesh) -> usize {
    let mut home: Vec<u32> = (0..mesh.positions.len() as u32).collect();
    fn find(home: &mut [u32], mut i: u32) -> u32 {
        while home[i as usize] != i {
            home[i as usize] = home[home[i as usize] as usize];
            i = home[i as usize];
        }
        i
    }
    for &[a, b, c] in &mesh.triangles {
        let (a, b, c) = (find(&mut home, a), find(&mut home, b), find(&mut home, c));
        home[b as usize] = a;
        home[c as usize] = a;
    }
    let mut used: Vec<u32> = mesh.triangles.iter().flatten().copied().collect();
    used.sort_unstable();
    used.dedup();
    used.iter().filter(|&&i| home[i as usize] == i).count()
}

/// Holds the walls of a piece against the least that prints.
///
/// From the middle of each of its largest faces a ray goes into the metal; where it comes out through a
/// face that looks the other way, its length is a wall.
pub(super) fn walls(mesh: &Mesh, least_mm: f64) -> Result<(), JigFault> {
    match thinnest(mesh) {
        // The last hundredth is the rounding of curves to chords.
        Some((found_mm, at)) if found_mm < least_mm - 0.01 => Err(JigFault::ThinWall {
            found_mm,
            least_mm,
            at: [at.x, at.y, at.z],
        }),
        _ => Ok(()),
    }
}

fn thinnest(mesh: &Mesh) -> Option<(f64, Point3)> {
    let corners = |t: &[u32; 3]| t.map(|corner| mesh.point(corner));
    let mut faces: Vec<(f64, usize)> = mesh
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = corners(t);
            (b - a).cross(&(c - a)).norm()
        })
        .zip(0..)
        .collect();
    faces.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut thinnest: Option<(f64, Point3)> = None;
    for &(_, i) in faces.iter().take(RAYS) {
        let [a, b, c] = corners(&mesh.triangles[i]);
        let from = Point3::from((a.coords + b.coords + c.coords) / 3.0);
        let Some(normal) = (b - a).cross(&(c - a)).try_normalize(0.0) else {
            continue;
        };
        let within = thinnest.map_or(f64::INFINITY, |(found, _)| found);
        let mut nearest: Option<(f64, bool)> = None;
        for (j, t) in mesh.triangles.iter().enumerate() {
            if j == i {
                continue;
            }
            let other = corners(t);
            if let Some(length) = hit(from, -normal, &other)
                && nearest.is_none_or(|(found, _)| length < found)
            {
                let [a, b, c] = other;
                let out = (b - a).cross(&(c - a)).normalize();
                nearest = Some((length, out.dot(&normal) < -FACING));
            }
        }
        if let Some((length, true)) = nearest
            && length < within
        {
            thinnest = Some((length, from));
        }
    }
    thinnest
}

/// Length of a ray to a triangle.
fn hit(from: Point3, ray: Vector3, [a, b, c]: &[Point3; 3]) -> Option<f64> {
    let (p, q) = (b - a, c - a);
    let h = ray.cross(&q);
    let det = p.dot(&h);
    if det.abs() < 1e-14 {
        return None;
    }
    let s = from - a;
    let u = s.dot(&h) / det;
    if !(-1e-9..=1.0 + 1e-9).contains(&u) {
        return None;
    }
    let k = s.cross(&p);
    let v = ray.dot(&k) / det;
    if v < -1e-9 || u + v > 1.0 + 1e-9 {
        return None;
    }
    let length = q.dot(&k) / det;
    (length > 1e-6).then_some(length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jigs::shape::slab;
    use crate::unite;

    #[test]
    fn a_thin_wall_is_found_and_a_stout_one_passes() {
        let thin = slab([0.0; 3], [10.0, 0.5, 8.0]).unwrap();
        assert!(matches!(
            walls(&thin, 0.8),
            Err(JigFault::ThinWall { found_mm, .. }) if (found_mm - 0.5).abs() < 1e-9
        ));
        assert_eq!(walls(&thin, 0.5), Ok(()));
    }

    #[test]
    fn two_blocks_apart_are_two_solids() {
        let one = slab([0.0; 3], [1.0; 3]).unwrap();
        let other = slab([2.0, 0.0, 0.0], [3.0, 1.0, 1.0]).unwrap();
        let both = unite(&[one.clone(), other]).unwrap();
        assert_eq!(solids(&both), 2);
        assert!(whole(&both, 1).is_err() && whole(&one, 1).is_ok());
    }
}
