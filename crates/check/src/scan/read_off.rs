//! The places of the measuring sheet, read off a scan.

use super::fine::{NORMAL, median};
use super::pose::spread_at;
use super::report::ScanReport;
use super::round::{centre_at, is_centre};
use super::surface::{BodySurface, Faces};
use body::{Measurement, MeasuringPoint};
use geom::{Point3, Vector3};

/// Points of the scan within this share of the body's size of a place are read there: a millimetre or two, as wide as
/// a jaw.
const JAW_SHARE: f64 = 1.0 / 120.0;

/// A face is read that looks along the jaws within so much: cosine of 25°.
const ALONG: f64 = 0.906;

/// Fewer points are no reading.
const LEAST_POINTS: usize = 6;

/// A place of the measuring sheet, read off a scan.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadOff {
    /// The place: `tank-width-front`.
    pub id: String,
    /// What is measured.
    pub title: String,
    /// As drawn (mm).
    pub drawn: f64,
    /// The tolerance, either way (mm).
    pub tolerance: f64,
    /// As scanned; `None` where the scan shows too little of it.
    pub reading: Option<Reading>,
}

/// What a scan shows of a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// As scanned (mm); a height is over the rail that the datum plates are drawn over.
    pub found: f64,
    /// Uncertainty of that, k = 2 (mm).
    pub uncertainty: f64,
    /// Points that it was read from.
    pub points: usize,
}

/// How far a face stands off along a direction, the standard uncertainty of that (mm), and points.
struct Off {
    along: f64,
    unsure: f64,
    points: usize,
}

/// Reads the places of the measuring sheet off. Centres of axles and of buffers are those of the tyres and heads as far as
/// they were scanned.
pub fn read_off(
    surface: &BodySurface<'_>,
    report: &ScanReport,
    points: &[MeasuringPoint],
) -> Vec<ReadOff> {
    let reader = Reader { surface, report };
    let read = |point: &MeasuringPoint| ReadOff {
        id: point.id.clone(),
        title: point.title.clone(),
        drawn: point.mm(),
        tolerance: point.tolerance,
        reading: reader.read(point),
    };
    points.iter().map(read).collect()
}

struct Reader<'r> {
    surface: &'r BodySurface<'r>,
    report: &'r ScanReport,
}

impl Reader<'_> {
    fn read(&self, point: &MeasuringPoint) -> Option<Reading> {
        let (found, offs) = match point.measurement {
            Measurement::Height { at } if is_centre(self.surface, &at) => {
                let off = self.centre(&at, &Vector3::z())?;
                (at.z + off.along, vec![off])
            }
            Measurement::Height { at } => {
                let off = self.off(&at, &Vector3::z())?;
                (at.z + off.along, vec![off])
            }
            Measurement::Between { a, b, direction } => {
                let (one, other) = (self.off(&a, &direction)?, self.off(&b, &direction)?);
                (point.mm() + other.along - one.along, vec![one, other])
            }
            Measurement::Diameter {
                centre,
                across,
                radius,
                ..
            } => {
                let one = self.off(&(centre - across * radius), &across)?;
                let other = self.off(&(centre + across * radius), &across)?;
                (point.mm() + other.along - one.along, vec![one, other])
            }
            Measurement::Offset { at, radius } => {
                let across = Vector3::y();
                let one = self.off(&(at - across * radius), &across)?;
                let other = self.off(&(at + across * radius), &across)?;
                (at.y + (one.along + other.along) / 2.0, vec![one, other])
            }
            Measurement::Centres { a, b, .. } => {
                let way = (b - a).normalize();
                let (one, other) = (self.centre(&a, &way)?, self.centre(&b, &way)?);
                (point.mm() + other.along - one.along, vec![one, other])
            }
        };
        // A width holds nothing of the place of the whole; that of a height goes in once.
        let common = match point.measurement {
            Measurement::Height { at } | Measurement::Offset { at, .. } => {
                let laid = &self.report.alignment;
                spread_at(&laid.covariance, &self.surface.middle(), &at)
            }
            _ => 0.0,
        };
        let square: f64 = offs.iter().map(|own| own.unsure * own.unsure).sum();
        Some(Reading {
            found,
            uncertainty: 2.0 * (square + common * common).sqrt(),
            points: offs.iter().map(|own| own.points).sum(),
        })
    }

    /// How far the centre of a round part stands off along a direction.
    fn centre(&self, at: &Point3, direction: &Vector3) -> Option<Off> {
        let own = centre_at(self.surface, self.report, at)?;
        Some(Off {
            along: own.shift.dot(direction),
            unsure: own.unsure,
            points: own.points,
        })
    }

    /// How far the face at a place stands off along a direction, by the middle one of the points there.
    fn off(&self, at: &Point3, direction: &Vector3) -> Option<Off> {
        let jaw = self.surface.size() * JAW_SHARE;
        let mut offs: Vec<f64> = self
            .report
            .places
            .all()
            .filter(|(point, _, _)| (*point - at).norm_squared() < jaw * jaw)
            .filter_map(|(point, part, off)| {
                let near = self.surface.nearest(point, Faces::All, jaw)?;
                if self.surface.part_of(&near) != part {
                    return None;
                }
                let along = self.surface.facets[near.facet as usize]
                    .normal
                    .dot(direction);
                // The jaw lies on the face that is farthest out.
                (along.abs() > ALONG && (near.point - at).dot(direction).abs() < 0.3 * jaw)
                    .then_some(off * along)
            })
            .collect();
        let points = offs.len();
        if points < LEAST_POINTS {
            return None;
        }
        let along = median(&mut offs)?;
        let mut by: Vec<f64> = offs.iter().map(|own| (own - along).abs()).collect();
        let spread = NORMAL * median(&mut by)?;
        Some(Off {
            along,
            // A median is less sure than a mean by √(π/2).
            unsure: (geom::math::FRAC_PI_2 / points as f64).sqrt() * spread,
            points,
        })
    }
}
