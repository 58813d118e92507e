//! Former blocks: the inside of a wrapper as a solid to print.

use body::FormerBlock;
use develop::{BendRule, DevelopError, Loft, SectionEnd, SurfacePoint};
use geom::math::{PI, TAU, sin, sin_cos};
use geom::{BodyPoint, Point2, Segment, Vector2, integrate, line_integral};

use super::options::{SNAP_MM, edge_error_within};
use super::shading::shaded;
use super::stations::Stations;
use super::surface::Mesh;
use super::triangulation::triangulate_polygon;
use crate::{SolidError, subtract};

/// How far tools reach past the faces that they cut through (mm).
const PAST_MM: f64 = 1.0;

/// Meshes a former block: the inside of the wrapper between two flat ends, closed at the foot,
/// with its studding holes and its groove cut out.
///
/// # Shape
///
/// Closed and wound outward, curves within `chord_error` (mm) and R/400. The flat ends have no
/// corners but those of their edges, so triangles along a fine curve may be very low.
///
/// # Errors
///
/// [`SolidError::Develop`] for sections that no sheet joins; [`SolidError::StudBreaksOut`];
/// [`SolidError::Subtraction`] and [`SolidError::BlockVolume`] if cutting went wrong.
pub fn block_mesh(block: &FormerBlock, chord_error: f64) -> Result<Mesh, SolidError> {
    let loft = loft_of(block)?;
    let uncut = uncut(block, &loft, chord_error)?;
    check_volume(
        block,
        uncut.volume(),
        uncut_volume(&loft),
        uncut.area(),
        chord_error,
    )?;
    let mut tools = Vec::new();
    for &stud in &block.studding {
        check_stud(block, stud)?;
        tools.push(drill(&loft, stud, chord_error));
    }
    if groove_of(block).is_some() {
        tools.push(groove_tool(block, &loft));
    }
    let cut = if tools.is_empty() {
        uncut
    } else {
        subtract(&uncut, &tools)?
    };
    let expected = volume_of(block, &loft)?;
    check_volume(block, cut.volume(), expected, cut.area(), chord_error)?;
    Ok(cut)
}

/// Volume that a former block must have, studding holes and groove taken out (mm³).
///
/// # Accuracy
///
/// 1e-9 of the volume: the area of a section is quadratic along the block, so that Simpson's rule
/// is exact, and section areas are by quadrature.
///
/// # Errors
///
/// [`SolidError::Develop`] for sections that no sheet joins, or a groove wider than the block.
pub fn block_volume(block: &FormerBlock) -> Result<f64, SolidError> {
    volume_of(block, &loft_of(block)?)
}

/// The outlines of a block at its front and its rear end, in section coordinates, point by point on
/// the same rulings, curves within `chord_error` (mm): from one foot over the top to the other.
pub(crate) fn block_rings(
    block: &FormerBlock,
    chord_error: f64,
) -> Result<[Vec<Point2>; 2], SolidError> {
    let loft = loft_of(block)?;
    let stations = Stations::of(&loft, |radius| edge_error_within(chord_error, radius), 0.0);
    Ok([0.0, 1.0].map(|v| {
        let at = |&w: &f64| loft.section_point(SurfacePoint { w, v });
        stations.w.iter().map(at).collect()
    }))
}

/// Volume of a block before its holes and its groove are cut (mm³).
pub(crate) fn uncut_block_volume(block: &FormerBlock) -> Result<f64, SolidError> {
    Ok(uncut_volume(&loft_of(block)?))
}

fn loft_of(block: &FormerBlock) -> Result<Loft, SolidError> {
    // A surface without thickness of its own; no bend is too tight for it.
    const SKIN_MM: f64 = 1e-9;
    Loft::between(
        block.frame,
        &block.front,
        &block.rear,
        block.length,
        SKIN_MM,
        BendRule::default(),
    )
    .map_err(|cause| failed(block, cause))
}

fn failed(block: &FormerBlock, cause: DevelopError) -> SolidError {
    SolidError::Develop {
        plate: block.id.clone(),
        cause,
    }
}

/// The block before it is cut: skin, ends and foot.
fn uncut(block: &FormerBlock, loft: &Loft, chord_error: f64) -> Result<Mesh, SolidError> {
    let stations = Stations::of(loft, |radius| edge_error_within(chord_error, radius), 0.0);
    let mut positions: Vec<[f64; 3]> = Vec::new();
    let mut lines: [Vec<u32>; 2] = Default::default();
    let mut sections: [Vec<Point2>; 2] = Default::default();
    for (end, v) in [0.0, 1.0].into_iter().enumerate() {
        for &w in &stations.w {
            let at = SurfacePoint { w, v };
            let section = loft.section_point(at);
            // Rulings that end in one point have one corner there.
            if sections[end]
                .last()
                .is_none_or(|last| (section - last).norm() > SNAP_MM)
            {
                let point = loft.formed(at).point;
                positions.push([point.x, point.y, point.z]);
                sections[end].push(section);
            }
            lines[end].push(positions.len() as u32 - 1);
        }
    }
    let [front, rear] = &lines;
    let mut triangles = Vec::new();
    let mut push = |t: [u32; 3]| {
        if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
            triangles.push(t);
        }
    };
    for k in 0..front.len() - 1 {
        push([front[k + 1], front[k], rear[k]]);
        push([front[k + 1], rear[k], rear[k + 1]]);
    }
    let last = front.len() - 1;
    push([front[0], front[last], rear[last]]);
    push([front[0], rear[last], rear[0]]);
    for (end, section) in sections.iter().enumerate() {
        let caps = triangulate_polygon(section).ok_or_else(|| SolidError::Tangled {
            name: block.id.clone(),
        })?;
        let first = lines[end][0];
        for [a, b, c] in caps {
            let cap = [a + first, b + first, c + first];
            // The front end faces against the axis.
            push(if end == 0 {
                [cap[0], cap[2], cap[1]]
            } else {
                cap
            });
        }
    }
    let mesh = shaded(positions, triangles);
    mesh.closedness().map_err(|fault| SolidError::Unsound {
        name: block.id.clone(),
        fault,
    })?;
    Ok(mesh)
}

/// Area of the section at a fraction of the length (mm²), closed along the foot.
fn section_area(loft: &Loft, v: f64) -> f64 {
    let at = |w: f64| loft.section_point(SurfacePoint { w, v });
    // Travel has the inside on its right, so the area comes out of ∫y dx positive.
    let patches = loft.patches().len();
    let skin: f64 = (0..patches)
        .map(|i| {
            // The end of a patch belongs to the next; a hair before it is this patch's own.
            let (from, to) = (i as f64, (i + 1) as f64 * (1.0 - f64::EPSILON));
            line_integral(from, to, |w| {
                let p = at(w);
                (p.x, p.y)
            })
        })
        .sum();
    let (start, end) = (at(0.0), at(loft.w_end()));
    skin + (start.x - end.x) * (start.y + end.y) / 2.0
}

fn simpson(
    length: f64,
    value: impl Fn(f64) -> Result<f64, DevelopError>,
) -> Result<f64, DevelopError> {
    Ok(length / 6.0 * (value(0.0)? + 4.0 * value(0.5)? + value(1.0)?))
}

fn uncut_volume(loft: &Loft) -> f64 {
    let length = loft.axial_length();
    length / 6.0
        * (section_area(loft, 0.0) + 4.0 * section_area(loft, 0.5) + section_area(loft, 1.0))
}

fn volume_of(block: &FormerBlock, loft: &Loft) -> Result<f64, SolidError> {
    let studs: f64 = block
        .studding
        .iter()
        .map(|(_, diameter)| PI * diameter * diameter / 4.0 * block.length)
        .sum();
    let groove = match groove_of(block) {
        Some(size) => {
            simpson(block.length, |v| groove_area(loft, size, v)).map_err(|e| failed(block, e))?
        }
        None => 0.0,
    };
    Ok(uncut_volume(loft) - studs - groove)
}

/// Width and depth of the groove, if there is one.
fn groove_of(block: &FormerBlock) -> Option<(f64, f64)> {
    let (width, depth) = block.groove;
    (width > 0.0 && depth > 0.0).then_some((width, depth))
}

/// Area that the groove takes out of a section (mm²): its depth less the fall of the crown.
fn groove_area(loft: &Loft, (width, depth): (f64, f64), v: f64) -> Result<f64, DevelopError> {
    let up = outward_in_section(loft);
    let drill = up.normalize();
    let right = Vector2::new(drill.y, -drill.x);
    let crown = loft.section_point(SurfacePoint { w: loft.datum(), v });
    let rise = |offset: f64| -> Result<f64, DevelopError> {
        let at = loft.under_drill(drill, crown.coords.dot(&right) + offset, v)?;
        Ok((loft.section_point(at) - crown).dot(&drill))
    };
    // The integrand cannot fail half-way: what is under both sides of the groove is under all of it.
    rise(-width / 2.0)?;
    rise(width / 2.0)?;
    let floor = depth / up.norm();
    Ok([(-width / 2.0, 0.0), (0.0, width / 2.0)]
        .into_iter()
        .map(|(from, to)| {
            integrate(from, to, 1e-9, &mut |offset| {
                floor + rise(offset).unwrap_or(0.0)
            })
        })
        .sum())
}

/// The crown's outward normal as seen in the section plane.
fn outward_in_section(loft: &Loft) -> Vector2 {
    let [_, _, normal] = loft.formed_axes(loft.datum());
    let frame = loft.frame();
    Vector2::new(normal.dot(&frame.across), normal.dot(&frame.up))
}

/// A bar along the crown, as deep as the groove, that stands out of the block on all sides.
fn groove_tool(block: &FormerBlock, loft: &Loft) -> Mesh {
    let (width, depth) = block.groove;
    let [along, side, normal] = loft.formed_axes(loft.datum());
    let ends = [0.0, 1.0].map(|v| loft.formed(SurfacePoint { w: loft.datum(), v }).point);
    let past = PAST_MM + depth;
    let corner = |end: BodyPoint, reach: f64, across: f64, height: f64| {
        end + along * reach + side * (across * width / 2.0) + normal * height
    };
    let ring = |end: BodyPoint, reach: f64| {
        [(-1.0, -depth), (1.0, -depth), (1.0, past), (-1.0, past)]
            .map(|(across, height)| corner(end, reach, across, height))
    };
    prism(&ring(ends[0], -past), &ring(ends[1], past))
}

/// A bar through the block from end to end, its corners a little outside the circle so that it
/// takes out the circle's area.
fn drill(loft: &Loft, (centre, diameter): (Point2, f64), chord_error: f64) -> Mesh {
    let radius = diameter / 2.0;
    let circle = Segment::circle(centre, radius);
    let sides = circle
        .chords_within(edge_error_within(chord_error, radius))
        .max(12);
    let step = TAU / sides as f64;
    let swell = (step / sin(step)).sqrt();
    let frame = loft.frame();
    let ring = |along: f64| -> Vec<BodyPoint> {
        (0..sides)
            .map(|k| {
                let (s, c) = sin_cos(step * k as f64);
                let at = centre + Vector2::new(c, s) * (radius * swell);
                frame.origin + frame.across * at.x + frame.up * at.y + frame.axis * along
            })
            .collect()
    };
    prism(&ring(-PAST_MM), &ring(loft.axial_length() + PAST_MM))
}

/// A solid between two convex rings of equally many corners.
fn prism(from: &[BodyPoint], to: &[BodyPoint]) -> Mesh {
    let n = from.len() as u32;
    let positions = from.iter().chain(to).map(|p| [p.x, p.y, p.z]).collect();
    let mut triangles = Vec::new();
    for k in 0..n {
        let next = (k + 1) % n;
        triangles.push([k, next, n + next]);
        triangles.push([k, n + next, n + k]);
    }
    for k in 1..n - 1 {
        triangles.push([0, k + 1, k]);
        triangles.push([n, n + k, n + k + 1]);
    }
    let mut mesh = shaded(positions, triangles);
    if mesh.volume() < 0.0 {
        mesh.turn_inside_out();
    }
    mesh
}

fn check_stud(block: &FormerBlock, (at, diameter_mm): (Point2, f64)) -> Result<(), SolidError> {
    for (chain, end) in [
        (&block.front, SectionEnd::Front),
        (&block.rear, SectionEnd::Rear),
    ] {
        let foot = Segment::line(chain.end(), chain.start());
        let room = chain.nearest(at).1.min(foot.nearest(at).1);
        let closed = chain.clone().joined(&geom::Chain::from_segments([foot]));
        let inside = geom::Outline::from_chain(&closed).is_ok_and(|outline| outline.contains(at));
        // A NaN diameter must not pass.
        let fits = diameter_mm > 0.0 && diameter_mm / 2.0 < room;
        if !(inside && fits) {
            return Err(SolidError::StudBreaksOut {
                block: block.id.clone(),
                at,
                diameter_mm,
                end,
            });
        }
    }
    Ok(())
}

/// Holds a mesh against the volume it must have: curves may take off the chord error all over.
fn check_volume(
    block: &FormerBlock,
    found_mm3: f64,
    expected_mm3: f64,
    area: f64,
    chord_error: f64,
) -> Result<(), SolidError> {
    let allowed = area * chord_error + 1e-6 * expected_mm3.abs();
    if (found_mm3 - expected_mm3).abs() <= allowed {
        Ok(())
    } else {
        Err(SolidError::BlockVolume {
            block: block.id.clone(),
            found_mm3,
            expected_mm3,
        })
    }
}
