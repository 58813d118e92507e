//! The edges of both skins in space.

use super::layer::Crossing;
use super::levels::{HIGH, LOW};
use super::net::{Net, Piece};
use super::skins::{Spot, StripKind};
use super::space_curve::SpaceCurve;
use super::spline::{Spline, fit};
use crate::SolidError;
use body::Plate;
use geom::Point3;
use std::collections::{BTreeMap, BTreeSet};

/// How near an edge that is no line and no arc keeps to the exact curve (mm).
///
/// A skin that is off by this over its whole area moves the volume of sheet of 0.25 mm by 4e-8.
pub(super) const EDGE_MM: f64 = 1e-8;

/// A curve at each of some levels, rising, over one parameter.
pub(super) type Stack = Vec<(usize, SpaceCurve)>;

/// The curve of a stack at a level.
pub(super) fn curve_at(stack: &Stack, level: usize) -> Option<&SpaceCurve> {
    stack
        .iter()
        .find(|(own, _)| *own == level)
        .map(|(_, curve)| curve)
}

/// A net with its edges in space.
pub(super) struct Edges {
    /// The node that stands for each: itself, or the first of those at its apex.
    pub(super) same: Vec<usize>,
    /// Points of each node that stands for others, at each level of its edges, rising.
    pub(super) corners: Vec<Vec<(usize, Point3)>>,
    /// Edges of the pieces; none at an apex.
    pub(super) pieces: Vec<Stack>,
    /// Edges of the crossings of the inner and of the outer skin.
    pub(super) crossings: [Vec<SpaceCurve>; 2],
    /// Over each piece that is part of a rim, the row of shoulders of its domes on either skin.
    pub(super) shoulders: Vec<[Option<SpaceCurve>; 2]>,
}

impl Edges {
    /// The edges of a plate's net.
    ///
    /// # Errors
    ///
    /// [`SolidError::Kernel`] where a curve cannot be followed.
    pub(super) fn of(plate: &Plate, net: &Net<'_>) -> Result<Self, SolidError> {
        let same = joined_nodes(net);
        let bent = bent_domes(net);
        let mut shoulders = vec![[None, None]; net.pieces.len()];
        let pieces = net
            .pieces
            .iter()
            .zip(&mut shoulders)
            .map(|(piece, shoulders)| {
                let levels = piece.levels(&net.levels);
                if piece.is_apex || levels.is_empty() {
                    return Ok(Vec::new());
                }
                let heights: Vec<f64> = levels.iter().map(|z| net.levels.heights[*z]).collect();
                let curves = edge_curves(net, piece, &heights, bent.contains(&piece.left));
                let mut curves = curves.ok_or_else(|| SolidError::Kernel {
                    plate: plate.id.clone(),
                    step: "following an edge",
                })?;
                let mut over = curves.split_off(levels.len()).into_iter();
                if let Some(dome) = net.dome_of(piece) {
                    *shoulders = dome.rises.map(|rise| rise.and_then(|_| over.next()));
                }
                Ok(levels.into_iter().zip(curves).collect())
            })
            .collect::<Result<_, _>>()?;
        let crossings = [LOW, HIGH].map(|skin| {
            let crossings = net.layers[skin].crossings.iter();
            let curve = |crossing: &Crossing| {
                let (start, end) = (net.nodes[crossing.start].spot, net.nodes[crossing.end].spot);
                let height = net.levels.heights[crossing.level];
                ruling_curve(net, crossing.before, start, end, height)
            };
            crossings.map(curve).collect()
        });
        Ok(Self {
            corners: corners(net, &same),
            same,
            pieces,
            crossings,
            shoulders,
        })
    }
}

fn corners(net: &Net<'_>, same: &[usize]) -> Vec<Vec<(usize, Point3)>> {
    let mut levels = vec![BTreeSet::new(); net.nodes.len()];
    for piece in &net.pieces {
        for level in piece.levels(&net.levels) {
            levels[same[piece.start]].insert(level);
            levels[same[piece.end]].insert(level);
        }
    }
    net.nodes
        .iter()
        .zip(levels)
        .map(|(node, levels)| {
            let point = |z: usize| {
                net.skins
                    .point(node.strip, node.spot, net.levels.heights[z])
            };
            levels.into_iter().map(|z| (z, point(z))).collect()
        })
        .collect()
}

fn joined_nodes(net: &Net<'_>) -> Vec<usize> {
    let mut same: Vec<usize> = (0..net.nodes.len()).collect();
    for piece in net.pieces.iter().filter(|piece| piece.is_apex) {
        let (a, b) = (same[piece.start], same[piece.end]);
        let (keep, give) = (a.min(b), a.max(b));
        for node in &mut same {
            if *node == give {
                *node = keep;
            }
        }
    }
    same
}

/// Fields of the domes that do not stand on one plane.
fn bent_domes(net: &Net<'_>) -> BTreeSet<usize> {
    let mut strips: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for piece in net.pieces.iter().filter(|p| net.dome_of(p).is_some()) {
        let beside = piece.right.map_or(piece.strip, |beside| beside.strip);
        let own = strips.entry(piece.left).or_default();
        own.extend([piece.strip, beside]);
    }
    let is_plane = |strip: &usize| net.skins.strips[*strip].kind == StripKind::Plane;
    strips
        .into_iter()
        .filter(|(_, own)| own.len() > 1 || !own.iter().all(is_plane))
        .map(|(field, _)| field)
        .collect()
}

/// The curves of a piece at each height, and over them the shoulders of its dome.
///
/// Those of a dome that `is_bent` are all splines of one family.
fn edge_curves(
    net: &Net<'_>,
    piece: &Piece<'_>,
    heights: &[f64],
    is_bent: bool,
) -> Option<Vec<SpaceCurve>> {
    let skins = &net.skins;
    let strip = &skins.strips[piece.strip];
    let (start, end) = (net.nodes[piece.start].spot, net.nodes[piece.end].spot);
    // Curves that meet to within the tolerance of joints are led to the one node smoothly.
    let (off_start, off_end) = (start - piece.spot(skins, 0.0), end - piece.spot(skins, 1.0));
    let at = |t: f64| -> Spot {
        if t <= 0.0 {
            start
        } else if t >= 1.0 {
            end
        } else {
            piece.spot(skins, t) + off_start * (1.0 - t) + off_end * t
        }
    };
    let places = |t: f64| -> Vec<Point3> {
        let point = |z: &f64| skins.point(piece.strip, at(t), *z);
        let mut points: Vec<Point3> = heights.iter().map(point).collect();
        if let Some(dome) = net.dome_of(piece) {
            let plain = net.levels.solid_heights(piece.left);
            for (rise, z) in dome.rises.iter().zip(plain) {
                points.extend(rise.map(|rise| rise.shoulder(point(&z))));
            }
        }
        points
    };
    if is_bent {
        let splines = fit(places, EDGE_MM)?;
        return Some(splines.into_iter().map(SpaceCurve::Spline).collect());
    }
    let flat = strip.kind == StripKind::Plane;
    let straight = matches!(strip.kind, StripKind::Plane | StripKind::NearPlane);
    let is_section = (0..=4).all(|i| (at(f64::from(i) / 4.0).x - start.x).abs() < 1e-12);
    let is_ruling = (0..=4).all(|i| (at(f64::from(i) / 4.0).y - start.y).abs() < 1e-12);
    let rolled = skins.is_rolled();
    if rolled && is_ruling {
        let curve = |z: &f64| ruling_curve(net, piece.strip, start, end, *z);
        return Some(heights.iter().map(curve).collect());
    }
    let (first, middle, last) = (places(0.0), places(0.5), places(1.0));
    if (piece.run.is_flat_line() && flat) || (rolled && is_section && straight) {
        let ends = first.into_iter().zip(last);
        return Some(ends.map(|(a, b)| SpaceCurve::Line(a, b)).collect());
    }
    let arc_angle = if flat {
        piece
            .run
            .flat_sweep()
            .map(|sweep| sweep * (piece.to - piece.from))
    } else if rolled && is_section && strip.kind == StripKind::RightCone {
        Some(strip.turn * (end.y - start.y) / (strip.to - strip.from))
    } else {
        None
    };
    if let Some(angle) = arc_angle {
        let arc = |i: usize| SpaceCurve::arc(first[i], middle[i], last[i], angle);
        return Some((0..first.len()).map(arc).collect());
    }
    let splines = fit(places, EDGE_MM)?;
    Some(splines.into_iter().map(SpaceCurve::Spline).collect())
}

/// An edge along a ruling: straight, or bent by a hair beside an apex.
fn ruling_curve(net: &Net<'_>, strip: usize, start: Spot, end: Spot, height: f64) -> SpaceCurve {
    let pole = |place| net.skins.pole(strip, start.y, place, height);
    match net.skins.ruling_poles(strip, start, end) {
        None => SpaceCurve::Line(pole([start.x; 2]), pole([end.x; 2])),
        Some(grid) => SpaceCurve::Spline(Spline {
            degree: 2,
            poles: grid.places.iter().map(|place| pole(*place)).collect(),
            knots: grid.knots,
        }),
    }
}
