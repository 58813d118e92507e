//! Centres of round parts, read off a scan: wheels by their tyres, buffers by their heads and stocks.

use super::fine::{NORMAL, median, tukey};
use super::parts::Made;
use super::pose::Normals;
use super::report::ScanReport;
use super::stance::SCANNER_MM;
use super::surface::BodySurface;
use super::turned::turned_distance;
use body::FittingShape;
use geom::math::hypot;
use geom::{Outline, Point3, Vector3};
use nalgebra::Matrix3;

/// An axis passes a place within so much (mm).
const ON_AXIS_MM: f64 = 1e-3;

/// A buffer is the one at whose place it stands, within so much (mm).
const AT_PLACE_MM: f64 = 0.5;

/// Points that a centre is found from.
const MOST_POINTS: usize = 1500;

/// Fewer points say nothing of a centre.
const LEAST_POINTS: usize = 30;

/// Reaches (mm at 4 mm scale) in which points are drawn to the round part, one after another.
const REACHES: [f64; 8] = [1.0, 1.0, 0.8, 0.6, 0.4, 0.3, 0.2, 0.2];

/// Step of differences (mm).
const STEP_MM: f64 = 1e-4;

/// How far a round part stands off where it is drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Centre {
    /// Its shift (mm); along its own axis it says nothing.
    pub(super) shift: Vector3,
    /// Standard uncertainty of that square to the axis (mm).
    pub(super) unsure: f64,
    /// Points that told.
    pub(super) points: usize,
}

/// A turned fitting on a level axis.
struct Turned<'s> {
    part: usize,
    foot: Point3,
    axis: Vector3,
    profile: &'s Outline,
}

/// True if a place is the centre of a round part on a level axis: an axle, a buffer.
pub(super) fn is_centre(surface: &BodySurface<'_>, at: &Point3) -> bool {
    !turned_at(surface, at).is_empty()
}

/// The centre of what is turned about a level axis at a place: of an axle the middle between those of its wheels.
pub(super) fn centre_at(
    surface: &BodySurface<'_>,
    report: &ScanReport,
    at: &Point3,
) -> Option<Centre> {
    let turned = turned_at(surface, at);
    let seen: Vec<Centre> = turned
        .iter()
        .filter_map(|own| centre_of(surface, report, own))
        .collect();
    let count = seen.len() as f64;
    let sum = seen
        .iter()
        .fold(Vector3::zeros(), |sum, own| sum + own.shift);
    let square: f64 = seen.iter().map(|own| own.unsure * own.unsure).sum();
    (!seen.is_empty()).then(|| Centre {
        shift: sum / count,
        unsure: square.sqrt() / count,
        points: seen.iter().map(|own| own.points).sum(),
    })
}

fn turned_at<'s>(surface: &'s BodySurface<'_>, at: &Point3) -> Vec<Turned<'s>> {
    let mut all = Vec::new();
    for (i, part) in surface.parts.iter().enumerate() {
        let Made::Fitting(fitting) = part.made else {
            continue;
        };
        let FittingShape::Turned {
            foot,
            axis,
            profile,
        } = &fitting.shape
        else {
            continue;
        };
        let off = (at - foot).cross(axis).norm();
        // What is turned lengthwise stands at both ends of the engine on one line.
        let (low, high) = part.mesh.bounds();
        let along = axis.x.abs() > 0.5;
        let is_there = !along || (at.x > low[0] - AT_PLACE_MM && at.x < high[0] + AT_PLACE_MM);
        if axis.z.abs() < 1e-9 && off < ON_AXIS_MM && is_there {
            all.push(Turned {
                part: i,
                foot: *foot,
                axis: *axis,
                profile,
            });
        }
    }
    all
}

impl Turned<'_> {
    fn distance(&self, point: &Point3) -> f64 {
        turned_distance(point, &self.foot, &self.axis, self.profile)
    }

    /// Distance and unit vector out of the metal.
    fn off(&self, point: &Point3) -> Option<(f64, Vector3)> {
        let slope = Vector3::from_fn(|k, _| {
            let mut by = Vector3::zeros();
            by[k] = STEP_MM;
            self.distance(&(point + by)) - self.distance(&(point - by))
        });
        Some((self.distance(point), slope.try_normalize(STEP_MM * 0.1)?))
    }
}

fn centre_of(surface: &BodySurface<'_>, report: &ScanReport, own: &Turned<'_>) -> Option<Centre> {
    let all: Vec<Point3> = report
        .places
        .all()
        .filter(|(_, part, _)| *part == own.part)
        .map(|(point, _, _)| *point)
        .collect();
    let step = all.len().div_ceil(MOST_POINTS).max(1);
    let points: Vec<Point3> = all.into_iter().step_by(step).collect();
    if points.len() < LEAST_POINTS {
        return None;
    }
    let noise = report.alignment.noise;
    let mut shift = Vector3::zeros();
    let mut told = None;
    for reach in REACHES {
        let reach = (reach * surface.size() / 200.0).max(6.0 * noise);
        let mut sum = Normals::<3>::zero();
        let mut offs = Vec::with_capacity(points.len());
        for point in &points {
            let Some((off, normal)) = own.off(&(point - shift)) else {
                continue;
            };
            let weight = tukey(off / reach);
            if weight > 0.0 {
                sum.add(&normal, off, weight);
                offs.push(off.abs());
            }
        }
        // The way along the axis is left out where nothing tells it.
        let along = own.axis * own.axis.transpose();
        let hold = along * 1e-3 * sum.weight.max(1.0);
        let inverse: Matrix3<f64> = (sum.matrix + hold).try_inverse()?;
        shift -= inverse * sum.side;
        let points = offs.len();
        let noise = (NORMAL * median(&mut offs)?).max(noise);
        told = Some((inverse * (noise * noise), points));
    }
    let (covariance, points) = told?;
    let across = own.axis.cross(&Vector3::z());
    let spread = |way: &Vector3| (way.transpose() * covariance * way)[0].max(0.0).sqrt();
    let unsure = spread(&across).max(spread(&Vector3::z()));
    let farthest = REACHES[0] * surface.size() / 200.0;
    // A few points on one side say nothing of the other way.
    (points >= LEAST_POINTS && unsure < 0.02 && shift.norm() < farthest).then(|| Centre {
        shift: shift - own.axis * own.axis.dot(&shift),
        unsure: hypot(unsure, SCANNER_MM),
        points,
    })
}
