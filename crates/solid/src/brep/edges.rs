//! The edges of both skins in space.

use super::net::{Net, Piece};
use super::skins::{Spot, StripKind};
use super::space_curve::SpaceCurve;
use super::spline::{Spline, fit};
use crate::SolidError;
use body::Plate;
use geom::Point3;

/// How near an edge that is no line and no arc keeps to the exact curve (mm).
///
/// A skin that is off by this over its whole area moves the volume of sheet of 0.25 mm by 4e-8.
pub(super) const EDGE_MM: f64 = 1e-8;

/// An edge on the inner and on the outer skin, over one parameter.
pub(super) struct EdgePair {
    pub(super) low: SpaceCurve,
    pub(super) high: SpaceCurve,
}

/// A net with its edges in space.
pub(super) struct Edges {
    /// Nodes on the inner and outer skin; nodes joined by an apex are one.
    pub(super) corners: Vec<[Point3; 2]>,
    /// The node that stands for each: itself, or the first of those at its apex.
    pub(super) same: Vec<usize>,
    /// Edges of the pieces; `None` at an apex.
    pub(super) pieces: Vec<Option<EdgePair>>,
    /// Edges of the crossings.
    pub(super) crossings: Vec<EdgePair>,
}

impl Edges {
    /// The edges of a plate's net.
    ///
    /// # Errors
    ///
    /// [`SolidError::Kernel`] where a curve cannot be followed.
    pub(super) fn of(plate: &Plate, net: &Net<'_>) -> Result<Self, SolidError> {
        let heights = [plate.sheet.z_low, plate.sheet.z_high];
        let corners: Vec<[Point3; 2]> = net
            .nodes
            .iter()
            .map(|node| heights.map(|z| net.skins.point(node.strip, node.spot, z)))
            .collect();
        let same = joined_nodes(net);
        let pieces = net
            .pieces
            .iter()
            .map(|piece| match piece.is_apex {
                true => Ok(None),
                false => {
                    edge_pair(net, piece, heights)
                        .map(Some)
                        .ok_or_else(|| SolidError::Kernel {
                            plate: plate.id.clone(),
                            step: "following an edge",
                        })
                }
            })
            .collect::<Result<_, _>>()?;
        let crossings = net
            .crossings
            .iter()
            .map(|crossing| {
                let (start, end) = (net.nodes[crossing.start].spot, net.nodes[crossing.end].spot);
                ruling_pair(net, crossing.before, start, end, heights)
            })
            .collect();
        Ok(Self {
            corners,
            same,
            pieces,
            crossings,
        })
    }
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

fn edge_pair(net: &Net<'_>, piece: &Piece<'_>, heights: [f64; 2]) -> Option<EdgePair> {
    let skins = &net.skins;
    let strip = &skins.strips[piece.strip];
    let (start, end) = (net.nodes[piece.start].spot, net.nodes[piece.end].spot);
    let at = |t: f64| -> Spot {
        if t <= 0.0 {
            start
        } else if t >= 1.0 {
            end
        } else {
            piece.spot(skins, t)
        }
    };
    let places = |t: f64| heights.map(|z| skins.point(piece.strip, at(t), z));
    let (middle, [start_low, start_high], [end_low, end_high]) =
        (places(0.5), places(0.0), places(1.0));
    let flat = strip.kind == StripKind::Plane;
    let straight = matches!(strip.kind, StripKind::Plane | StripKind::NearPlane);
    let is_section = (0..=4).all(|i| (at(f64::from(i) / 4.0).x - start.x).abs() < 1e-12);
    let is_ruling = (0..=4).all(|i| (at(f64::from(i) / 4.0).y - start.y).abs() < 1e-12);
    let rolled = skins.is_rolled();
    if rolled && is_ruling {
        return Some(ruling_pair(net, piece.strip, start, end, heights));
    }
    if (piece.run.is_flat_line() && flat) || (rolled && is_section && straight) {
        return Some(EdgePair {
            low: SpaceCurve::Line(start_low, end_low),
            high: SpaceCurve::Line(start_high, end_high),
        });
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
        return Some(EdgePair {
            low: SpaceCurve::arc(start_low, middle[0], end_low, angle),
            high: SpaceCurve::arc(start_high, middle[1], end_high, angle),
        });
    }
    let mut splines = fit(|t| places(t).to_vec(), EDGE_MM)?.into_iter();
    Some(EdgePair {
        low: SpaceCurve::Spline(splines.next()?),
        high: SpaceCurve::Spline(splines.next()?),
    })
}

/// An edge along a ruling: straight, or bent by a hair beside an apex.
fn ruling_pair(net: &Net<'_>, strip: usize, start: Spot, end: Spot, heights: [f64; 2]) -> EdgePair {
    let places = net.skins.ruling_poles(strip, start, end);
    let [low, high] = heights.map(|height| {
        let pole = |place| net.skins.pole(strip, start.y, place, height);
        match &places {
            None => SpaceCurve::Line(pole([start.x; 2]), pole([end.x; 2])),
            Some(grid) => SpaceCurve::Spline(Spline {
                degree: 2,
                knots: grid.knots.clone(),
                poles: grid.places.iter().map(|place| pole(*place)).collect(),
            }),
        }
    });
    EdgePair { low, high }
}
