//! Lines, arcs and splines of the entities of a DXF, each in its own plane.

use crate::affine::Affine;
use crate::ellipse::EllipticArc;
use crate::spline::Spline;
use dxf::entities::EntityType;
use geom::math::PI;
use geom::{Arc, Point2, Segment, Vector2};

/// The least rise of an arc over its chord (drawing units) that is drawn as an arc.
const LEAST_RISE: f64 = 1e-7;

/// What an entity draws.
pub(crate) enum Drawn {
    Segments(Vec<Segment>),
    Ellipse(EllipticArc),
    Spline(Spline),
}

pub(crate) fn kind_of(specific: &EntityType) -> &'static str {
    match specific {
        EntityType::Line(_) => "LINE",
        EntityType::Arc(_) => "ARC",
        EntityType::Circle(_) => "CIRCLE",
        EntityType::Ellipse(_) => "ELLIPSE",
        EntityType::Spline(_) => "SPLINE",
        EntityType::LwPolyline(_) => "LWPOLYLINE",
        EntityType::Polyline(_) => "POLYLINE",
        EntityType::Text(_) => "TEXT",
        EntityType::MText(_) => "MTEXT",
        EntityType::Insert(_) => "INSERT",
        _ => "entity",
    }
}

/// The plane that an entity's own coordinates are in; `None` if it is tilted.
pub(crate) fn plane_of(specific: &EntityType) -> Option<Affine> {
    let normal = match specific {
        EntityType::Arc(arc) => &arc.normal,
        EntityType::Circle(circle) => &circle.normal,
        EntityType::LwPolyline(line) => &line.extrusion_direction,
        EntityType::Polyline(line) => &line.normal,
        EntityType::Text(text) => &text.normal,
        EntityType::Insert(insert) => &insert.extrusion_direction,
        // Ends of lines, axes of ellipses and places of running text are in the drawing's own coordinates.
        _ => return Some(Affine::scaling(1.0, 1.0)),
    };
    let upright = normal.x.abs() <= 1e-9 && normal.y.abs() <= 1e-9 && normal.z != 0.0;
    // Seen from below, x runs the other way.
    upright.then(|| Affine::scaling(normal.z.signum(), 1.0))
}

/// What an entity draws in its own plane, or why nothing.
pub(crate) fn drawn_by(specific: &EntityType) -> Result<Drawn, &'static str> {
    match specific {
        EntityType::Ellipse(ellipse) => ellipse_of(ellipse).map(Drawn::Ellipse),
        EntityType::Spline(spline) => spline_of(spline).map(Drawn::Spline),
        other => curves(other).map(Drawn::Segments),
    }
}

fn ellipse_of(ellipse: &dxf::entities::Ellipse) -> Result<EllipticArc, &'static str> {
    let (axis, normal) = (&ellipse.major_axis, &ellipse.normal);
    let flat = normal.x.abs() <= 1e-9 && normal.y.abs() <= 1e-9 && axis.z.abs() <= 1e-6;
    if !flat || normal.z == 0.0 {
        return Err("out of the drawing plane");
    }
    let u = Vector2::new(axis.x, axis.y);
    let ratio = ellipse.minor_axis_ratio.abs();
    if u.norm() <= 0.0 || ratio <= 0.0 {
        return Err("without size");
    }
    let sweep = (ellipse.end_parameter - ellipse.start_parameter).rem_euclid(2.0 * PI);
    Ok(EllipticArc {
        centre: Point2::new(ellipse.center.x, ellipse.center.y),
        u,
        // The short axis stands a quarter turn on about the normal.
        v: Vector2::new(-u.y, u.x) * ratio * normal.z.signum(),
        from: ellipse.start_parameter.rem_euclid(2.0 * PI),
        sweep: if sweep < 1e-9 { 2.0 * PI } else { sweep },
    })
}

fn spline_of(spline: &dxf::entities::Spline) -> Result<Spline, &'static str> {
    let points = &spline.control_points;
    let level = points.first().map_or(0.0, |p| p.z);
    if points.iter().any(|p| (p.z - level).abs() > 1e-6) {
        return Err("out of the drawing plane");
    }
    let flat: Vec<Point2> = points.iter().map(|p| Point2::new(p.x, p.y)).collect();
    let degree = usize::try_from(spline.degree_of_curve).unwrap_or(0);
    Spline::new(
        degree,
        spline.knot_values.clone(),
        &flat,
        &spline.weight_values,
    )
}

/// Curves of an entity in its own plane, or why there are none.
fn curves(specific: &EntityType) -> Result<Vec<Segment>, &'static str> {
    let flat = |p: &dxf::Point| Point2::new(p.x, p.y);
    match specific {
        EntityType::Line(line) => {
            if (line.p1.z - line.p2.z).abs() > 1e-6 {
                return Err("out of the drawing plane");
            }
            Ok(vec![Segment::line(flat(&line.p1), flat(&line.p2))])
        }
        EntityType::Circle(circle) if circle.radius > 0.0 => {
            Ok(vec![Segment::circle(flat(&circle.center), circle.radius)])
        }
        EntityType::Arc(arc) if arc.radius > 0.0 => {
            let turn = (arc.end_angle - arc.start_angle).rem_euclid(360.0);
            let turn = if turn == 0.0 { 360.0 } else { turn };
            Ok(vec![Segment::Arc(Arc {
                centre: flat(&arc.center),
                radius: arc.radius,
                start_angle: arc.start_angle * PI / 180.0,
                sweep: turn * PI / 180.0,
            })])
        }
        EntityType::Circle(_) | EntityType::Arc(_) => Err("without size"),
        EntityType::LwPolyline(line) => {
            let vertices = line
                .vertices
                .iter()
                .map(|v| (Point2::new(v.x, v.y), v.bulge));
            Ok(joined(&vertices.collect::<Vec<_>>(), line.is_closed()))
        }
        EntityType::Polyline(line) => {
            if line.is_3d_polygon_mesh() || line.is_polyface_mesh() {
                return Err("that is a mesh");
            }
            let vertices: Vec<_> = line
                .vertices()
                .filter(|v| !v.is_spline_frame_control_point())
                .map(|v| (flat(&v.location), v.bulge, v.location.z))
                .collect();
            if vertices
                .windows(2)
                .any(|pair| (pair[0].2 - pair[1].2).abs() > 1e-6)
            {
                return Err("out of the drawing plane");
            }
            let vertices: Vec<_> = vertices.iter().map(|v| (v.0, v.1)).collect();
            Ok(joined(&vertices, line.is_closed()))
        }
        _ => Err("of a kind that is not read"),
    }
}

/// Sides between vertices with bulges.
fn joined(vertices: &[(Point2, f64)], closed: bool) -> Vec<Segment> {
    let n = vertices.len();
    let sides = if closed { n } else { n.saturating_sub(1) };
    (0..sides)
        .map(|i| (vertices[i].0, vertices[(i + 1) % n].0, vertices[i].1))
        .filter(|(a, b, _)| (b - a).norm() > 0.0)
        .map(|(a, b, bulge)| {
            // A side that rises less than this from its chord is a line; its centre would be lost to rounding.
            let straight = bulge.abs() * (b - a).norm() / 2.0 < LEAST_RISE;
            Segment::from_bulge(a, b, if straight { 0.0 } else { bulge })
        })
        .collect()
}
