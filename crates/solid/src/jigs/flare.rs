//! Formers for the flare of a tank or bunker: a nose to bend the strips over, and a cone for the corners.

use body::Plate;
use geom::math::{PI, TAU, sin_cos};
use geom::{Point2, Vector2, Vector3};

use super::JigPiece;
use super::bench::{Bench, Made, Trouble};
use super::fault::JigFault;
use super::letters::Field;
use super::shape::{arc, footed, inset, layers, moved, prism, slab};
use super::spring::tool_for;
use super::{FormedBend, FormedSheet};
use crate::unite;

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    let strips: Vec<&Plate> = bench
        .body
        .plates
        .iter()
        .filter(|plate| plate.id.contains("-flare-") && !plate.id.contains("corner"))
        .collect();
    let length = |plate: &Plate| {
        plate
            .forming
            .loft()
            .map_or(0.0, develop::Loft::axial_length)
    };
    // All strips of a flare have one section; the longest decides.
    let longest = strips
        .into_iter()
        .max_by(|a, b| length(a).total_cmp(&length(b)));
    if let Some(plate) = longest {
        let piece = nose(bench, plate, &mut made)?;
        made.pieces.push(piece);
    }
    if let Some(piece) = corner(bench, &mut made.notes)? {
        made.pieces.push(piece);
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// A bar with a round nose; beyond the nose the metal lies on a slope when it is bent far enough.
fn nose(bench: &Bench<'_>, plate: &Plate, made: &mut Made) -> Result<JigPiece, Trouble> {
    let loft = plate
        .forming
        .loft()
        .ok_or(JigFault::Crossed { what: "flare" })?;
    let t = plate.sheet.thickness();
    let bend = loft.patches().iter().find_map(|patch| {
        let (radius, _) = patch.radii()?;
        Some((radius - t / 2.0, patch.turn().abs()))
    });
    let Some((wanted, angle)) = bend else {
        return Err(JigFault::Crossed { what: "flare" }.into());
    };
    let tool = tool_for(&plate.sheet, t, wanted)?;
    let (radius, bent) = (tool.radius, angle / tool.angle_share);
    made.forming.push(FormedSheet::of(
        plate,
        vec![FormedBend {
            piece: 0,
            wanted_radius: wanted,
            wanted_angle: angle,
            tool_radius: radius,
            tool_angle: bent,
            by_hand: false,
        }],
    ));
    made.notes.push(format!(
        "{}: radius {wanted:.2} mm through {:.1}° is left by {radius:.2} mm through {:.1}°",
        plate.title,
        angle.to_degrees(),
        bent.to_degrees()
    ));
    // The upright face is what the tank's side continues.
    let tall = radius + bench.pick(11.0, 14.0);
    let centre = Point2::new(radius, tall);
    let mut ring = vec![Point2::new(0.0, 0.0)];
    ring.extend(arc(centre, radius, PI, PI - bent));
    let (s, c) = sin_cos(bent);
    let end = ring[ring.len() - 1] + Vector2::new(s, c) * 4.0;
    ring.push(end);
    let wide = end.x.max(12.0);
    ring.push(Point2::new(wide, end.y - (wide - end.x)));
    ring.push(Point2::new(wide, 0.0));
    if !super::shape::is_simple(&ring) {
        return Err(JigFault::Crossed { what: "nose" }.into());
    }
    let long = loft.axial_length() + 6.0;
    let bar = prism(&ring, 0.0, long)?;
    let stop = inset(&ring, -2.5).ok_or(JigFault::Crossed { what: "end stop" })?;
    let stop = footed(&stop, 3.0, bench.print.foot_chamfer)?;
    let mesh = unite(&[bar, moved(&stop, Vector3::new(0.0, 0.0, -3.0))])?;
    let high = end.y - (wide - end.x);
    let field = Field {
        centre: geom::Point3::new(wide, high / 2.0, long / 2.0),
        right: -Vector3::z(),
        up: Vector3::y(),
        width: long - 1.5,
        height: high - 1.5,
    };
    bench.piece("nose", mesh, &[field], "strip")
}

/// The cones of a corner, one on the other, wide end down.
fn corner(bench: &Bench<'_>, notes: &mut Vec<String>) -> Result<Option<JigPiece>, Trouble> {
    let mut cones: Vec<&Plate> = bench
        .body
        .plates
        .iter()
        .filter(|plate| plate.id.contains("flare-corner-left"))
        .collect();
    cones.sort_by(|a, b| a.id.cmp(&b.id));
    if cones.is_empty() {
        return Ok(None);
    }
    // From the lip down: height below the lip and radius of the tool.
    let mut rings: Vec<(f64, f64)> = Vec::new();
    let mut depth = 0.0;
    for plate in cones.iter().rev() {
        let loft = plate
            .forming
            .loft()
            .ok_or(JigFault::Crossed { what: "corner" })?;
        let t = plate.sheet.thickness();
        let radii = loft.patches().iter().find_map(develop::Patch::radii);
        let Some((lower, upper)) = radii else {
            return Err(JigFault::Crossed { what: "corner" }.into());
        };
        let tool = |radius: f64| -> Result<f64, JigFault> {
            Ok(tool_for(&plate.sheet, t, (radius - t / 2.0).max(0.2))?.radius)
        };
        if rings.is_empty() {
            rings.push((0.0, tool(upper)?));
        }
        depth += loft.axial_length();
        rings.push((depth, tool(lower)?));
        notes.push(format!(
            "{}: cone of {:.2} to {:.2} mm mid-sheet radius",
            plate.title, lower, upper
        ));
    }
    let circle = |radius: f64| -> Vec<Point2> {
        (0..240)
            .map(|k| {
                let (s, c) = sin_cos(TAU * f64::from(k) / 240.0);
                Point2::new(c, s) * radius
            })
            .collect()
    };
    let mut levels: Vec<(f64, Vec<Point2>)> = rings.iter().map(|(z, r)| (*z, circle(*r))).collect();
    let last = rings[rings.len() - 1];
    // A knob to hold it by.
    levels.push((last.0 + 12.0, circle(last.1)));
    let cone = layers(&levels)?;
    let widest = rings[0].1;
    let half = (widest + 1.5).max(7.0);
    let ring = super::shape::rectangle(-widest - 1.5, -half, widest + 29.0, half);
    let plate = footed(&ring, 3.2, bench.print.foot_chamfer)?;
    let mesh = unite(&[cone, moved(&plate, Vector3::new(0.0, 0.0, -3.0))])?;
    let mesh = crate::subtract(
        &mesh,
        &[slab(
            [widest + 0.6, -half - 1.0, 0.0],
            [widest + 40.0, half + 1.0, 1.0],
        )?],
    )?;
    let field = Field::top(widest + 15.0, 0.0, 0.0, 26.5, 2.0 * half - 1.5);
    Ok(Some(bench.piece(
        "corner-cone",
        mesh,
        &[field],
        "corner",
    )?))
}
