//! What the exact solid should measure, by quadrature of the skins without the kernel.

use super::domes::Rise;
use super::edges::{Edges, curve_at};
use super::levels::{HIGH, LOW, PLAIN};
use super::net::{Net, Piece};
use super::skins::Spot;
use super::space_curve::SpaceCurve;
use super::step::domes_of;
use crate::SolidError;
use body::Plate;
use geom::{Point3, Vector3, gauss_legendre, line_integral};

/// What a plate's exact solid measures: holes out, regions at their own heights, rivet heads left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExactMeasures {
    /// Volume (mm³).
    pub volume: f64,
    /// Area of all faces (mm²): both skins, the walls of edges, holes and steps.
    pub area: f64,
    /// Least coordinates in space (mm).
    pub low: Point3,
    /// Greatest coordinates in space (mm).
    pub high: Point3,
}

/// Measures a plate's exact solid.
///
/// # Formula
///
/// Volume and skins: ∮ F dy over the boundary of each depth with F(x, y) the integral of the volume
/// or area element along x, by Green's theorem: `docs/derivations.md#exact-solid-of-a-plate`.
///
/// # Accuracy
///
/// Volume 1e-10 and area 1e-9 relative; bounds 1e-6 mm.
///
/// # Errors
///
/// As [`crate::step_solid`].
pub fn exact_measures(plate: &Plate) -> Result<ExactMeasures, SolidError> {
    let net = Net::of(plate, &[])?;
    measured(plate, &net)
}

/// As [`exact_measures`], of the solid with its rivet heads on.
///
/// # Formula
///
/// A head adds what its own face and the skin under it enclose: the flux of the spoke from the middle
/// of the foot through both, divided by three (`docs/derivations.md#exact-solid-of-a-plate`).
///
/// # Errors
///
/// As [`crate::riveted_step`].
pub fn riveted_measures(plate: &Plate) -> Result<ExactMeasures, SolidError> {
    let domes = domes_of(plate)?;
    let net = Net::of(plate, &domes)?;
    measured(plate, &net)
}

fn measured(plate: &Plate, net: &Net<'_>) -> Result<ExactMeasures, SolidError> {
    let edges = Edges::of(plate, net)?;
    let (low, high) = bounds(&edges);
    let mut measures = ExactMeasures {
        volume: volume(net),
        area: skin_area(net) + wall_area(net, &edges),
        low,
        high,
    };
    add_domes(net, &edges, &mut measures);
    Ok(measures)
}

/// Adds the domes to what the plate measures without them.
fn add_domes(net: &Net<'_>, edges: &Edges, measures: &mut ExactMeasures) {
    for (i, piece) in net.pieces.iter().enumerate() {
        let Some(dome) = net.dome_of(piece) else {
            continue;
        };
        for skin in [LOW, HIGH] {
            let level = net.levels.fields[PLAIN][skin];
            let rim = curve_at(&edges.pieces[i], level);
            let (Some(rise), Some(rim), Some(shoulders)) =
                (&dome.rises[skin], rim, &edges.shoulders[i][skin])
            else {
                continue;
            };
            let sector = Sector {
                rise,
                rim,
                shoulders,
            };
            let under = |weigh: &dyn Fn(Point3, Vector3) -> f64| {
                let z = net.levels.heights[level];
                under_piece(net, piece, |spot| {
                    let (along, across) = net.skins.rates(piece.strip, spot, z);
                    weigh(net.skins.point(piece.strip, spot, z), along.cross(&across))
                })
            };
            let swell = sector.integral(&|point, square| (point - rise.centre).dot(&square))
                - under(&|point, square| (point - rise.centre).dot(&square));
            measures.volume += if skin == HIGH { swell } else { -swell } / 3.0;
            measures.area +=
                sector.integral(&|_, square| square.norm()) - under(&|_, square| square.norm());
            sector.stretch(&mut measures.low, &mut measures.high);
        }
    }
}

/// The face of a dome over one piece of its rim.
struct Sector<'a> {
    rise: &'a Rise,
    rim: &'a SpaceCurve,
    shoulders: &'a SpaceCurve,
}

impl Sector<'_> {
    /// The point, and the cross product of the rates along the rim and towards the top.
    fn at(&self, t: f64, s: f64) -> (Point3, Vector3) {
        let shares = [
            (1.0 - s) * (1.0 - s),
            2.0 * s * (1.0 - s) * self.rise.weight,
            s * s,
        ];
        let rates = [
            -2.0 * (1.0 - s),
            2.0 * (1.0 - 2.0 * s) * self.rise.weight,
            2.0 * s,
        ];
        let divisor: f64 = shares.iter().sum();
        let rows = [self.rim.point(t), self.shoulders.point(t), self.rise.crown];
        let sum = |by: [f64; 3]| -> Vector3 { (0..3).map(|i| rows[i].coords * by[i]).sum() };
        let point = sum(shares) / divisor;
        let up = (sum(rates) - point * rates.iter().sum::<f64>()) / divisor;
        let along = (self.rim.derivative(t) * shares[0] + self.shoulders.derivative(t) * shares[1])
            / divisor;
        (Point3::from(point), along.cross(&up))
    }

    fn integral(&self, weigh: &dyn Fn(Point3, Vector3) -> f64) -> f64 {
        self.rim
            .breaks()
            .windows(2)
            .map(|part| {
                gauss_legendre(part[0], part[1], |t| {
                    gauss_legendre(0.0, 1.0, |s| {
                        let (point, square) = self.at(t, s);
                        weigh(point, square)
                    })
                })
            })
            .sum()
    }

    /// Widens bounds by points of the face, close enough for 1e-4 mm on a head of 1 mm.
    fn stretch(&self, low: &mut Point3, high: &mut Point3) {
        const STEPS: u32 = 64;
        for i in 0..=STEPS {
            for k in 0..=STEPS {
                let (point, _) = self.at(f64::from(i) / 64.0, f64::from(k) / 64.0);
                *low = low.inf(&point);
                *high = high.sup(&point);
            }
        }
    }
}

fn volume(net: &Net<'_>) -> f64 {
    boundary_integral(net, |field, strip, spot| {
        let [low, high] = net.levels.solid_heights(field);
        // A point moves with the height along a straight line, and so do both rates: their product is of degree two.
        let rise = net.skins.point(strip, spot, high) - net.skins.point(strip, spot, low);
        let at = |height: f64| {
            let (along, across) = net.skins.rates(strip, spot, height);
            along.cross(&across).dot(&rise)
        };
        (at(low) + 4.0 * at(f64::midpoint(low, high)) + at(high)) / 6.0
    })
}

fn skin_area(net: &Net<'_>) -> f64 {
    boundary_integral(net, |field, strip, spot| {
        let heights = net.levels.solid_heights(field);
        let areas = heights.map(|height| {
            let (along, across) = net.skins.rates(strip, spot, height);
            along.cross(&across).norm()
        });
        areas.iter().sum()
    })
}

/// Least and greatest coordinates of all edges.
///
/// A skin is ruled by straight lines, so that it reaches furthest on an edge. Each edge is tried at
/// 512 points, and a parabola laid through the furthest.
fn bounds(edges: &Edges) -> (Point3, Point3) {
    const STEPS: usize = 512;
    let mut low = Point3::new(f64::INFINITY, f64::INFINITY, f64::INFINITY);
    let mut high = -low;
    for (_, curve) in edges.pieces.iter().flatten() {
        let points: Vec<Point3> = (0..=STEPS)
            .map(|i| curve.point(i as f64 / STEPS as f64))
            .collect();
        for axis in 0..3 {
            let (least, greatest) = extremes(points.iter().map(|p| p[axis]));
            low[axis] = low[axis].min(least);
            high[axis] = high[axis].max(greatest);
        }
    }
    (low, high)
}

/// Least and greatest of samples, with the vertex of the parabola through three neighbours.
fn extremes(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let values: Vec<f64> = values.collect();
    let mut found = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(*v), high.max(*v))
        });
    for three in values.windows(3) {
        let (slope, bend) = (
            (three[2] - three[0]) / 2.0,
            three[0] - 2.0 * three[1] + three[2],
        );
        if bend != 0.0 && slope.abs() < bend.abs() {
            let vertex = three[1] - slope * slope / (2.0 * bend);
            found = (found.0.min(vertex), found.1.max(vertex));
        }
    }
    found
}

/// ∮ F dy round the metal of each field, F being the integral of `density` along the ruling from x = 0.
fn boundary_integral(net: &Net<'_>, density: impl Fn(usize, usize, Spot) -> f64) -> f64 {
    let along = |field: usize, strip: usize, spot: Spot| -> f64 {
        along_ruling(net, strip, spot, |at| density(field, strip, at))
    };
    net.pieces
        .iter()
        // The skins go on under a dome.
        .filter(|piece| net.dome_of(piece).is_none())
        .map(|piece| {
            line_integral(0.0, 1.0, |t| {
                let spot = spot_of(net, piece, t);
                let left = along(piece.left, piece.strip, spot);
                let right = piece
                    .right
                    .map_or(0.0, |beside| along(beside.field, beside.strip, spot));
                (spot.y, left - right)
            })
        })
        .sum()
}

/// ∫ along the ruling from x = 0 to a spot.
fn along_ruling(net: &Net<'_>, strip: usize, spot: Spot, density: impl Fn(Spot) -> f64) -> f64 {
    // On a plane the density is the same everywhere.
    if !net.skins.is_rolled() {
        return density(spot) * spot.x;
    }
    // The density is smooth between the kinks only.
    let kinks = net.skins.kinks(strip).iter().copied();
    let mut stops = vec![0.0];
    stops.extend(kinks.filter(|kink| *kink < spot.x));
    stops.push(spot.x);
    stops
        .windows(2)
        .map(|part| gauss_legendre(part[0], part[1], |x| density(Spot::new(x, spot.y))))
        .sum()
}

/// What a piece of a closed run adds to the integral of `density` over the sheet inside the run.
fn under_piece(net: &Net<'_>, piece: &Piece<'_>, density: impl Fn(Spot) -> f64) -> f64 {
    line_integral(0.0, 1.0, |t| {
        let spot = spot_of(net, piece, t);
        (spot.y, along_ruling(net, piece.strip, spot, &density))
    })
}

fn spot_of(net: &Net<'_>, piece: &Piece<'_>, t: f64) -> Spot {
    if t <= 0.0 {
        net.nodes[piece.start].spot
    } else if t >= 1.0 {
        net.nodes[piece.end].spot
    } else {
        piece.spot(&net.skins, t)
    }
}

fn wall_area(net: &Net<'_>, edges: &Edges) -> f64 {
    net.pieces
        .iter()
        .zip(&edges.pieces)
        .flat_map(|(piece, stack)| {
            let walls = piece.walls(&net.levels);
            walls.into_iter().filter_map(move |wall| {
                Some((curve_at(stack, wall.bottom)?, curve_at(stack, wall.top)?))
            })
        })
        .map(|(bottom, top)| {
            let across = |t: f64| {
                let (low, high) = (bottom.derivative(t), top.derivative(t));
                let rise = top.point(t) - bottom.point(t);
                gauss_legendre(0.0, 1.0, |s| (low + (high - low) * s).cross(&rise).norm())
            };
            let breaks = bottom.breaks();
            breaks
                .windows(2)
                .map(|part| gauss_legendre(part[0], part[1], across))
                .sum::<f64>()
        })
        .sum()
}
