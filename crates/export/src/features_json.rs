//! What can be pointed at on a plate, in both its states, as JSON.

use crate::ExportError;
use crate::number::{millimetres, rounded};
use body::{Curve, Hole, Plate};
use develop::{DevelopError, Loft};
use geom::{FlatPoint, Vector2};
use serde::Serialize;
use utoipa::ToSchema;

/// Points left out lie within this of the line between their neighbours, in both states (mm): well below
/// what a screen shows, and below the chord error of meshes.
const LINE_MM: f64 = 0.01;

/// Pieces that each smooth run of a curve is cut to before points are left out.
const PIECES: usize = 64;

/// Turn between two rulings that are shown of a bend (rad), ten degrees: chosen by eye.
const RULING_TURN: f64 = geom::math::PI / 18.0;

/// Rulings are shown this share of the bend inside its borders, where they cross the outline and do not run along it.
const INSIDE: f64 = 1e-3;

/// Everything on a plate that has a place on the flat and on the formed plate.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct FeaturesJson {
    /// The plate's id.
    pub plate: String,
    /// Edges, openings, bends, rivets and named points, in the order of the plate.
    pub features: Vec<FeatureJson>,
}

/// An edge, opening, bend, rivet or named point.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct FeatureJson {
    /// Unique on the plate: `edge:front`, `hole:dome`, `bend:2`, `rivet:17`, `point:front-crown`.
    pub id: String,
    /// `edge`, `hole`, `bend`, `rivet` or `point`.
    pub kind: &'static str,
    /// Its name; of a rivet that of its row.
    pub name: String,
    /// Middle of an opening; the place of a rivet or point.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<SpotJson>,
    /// Its lines: one run of an edge, one closed run of an opening, the rulings of a bend.
    pub runs: Vec<RunJson>,
    /// Length of an edge on the flat.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    /// Diameter of a round opening, square to the drill, or of a rivet's head.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub diameter_mm: Option<f64>,
    /// Turn of a bend from flat to formed, unsigned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turn_deg: Option<f64>,
    /// Mid-sheet radii of a bend at its front and rear section.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub radii_mm: Option<[f64; 2]>,
}

/// A point of a plate in both states.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, ToSchema)]
pub struct SpotJson {
    /// On the flat.
    pub flat_mm: [f64; 2],
    /// On the outside face of the formed plate, body frame.
    pub body_mm: [f64; 3],
}

/// The same run of points on the flat and on the outside face of the formed plate.
#[derive(Clone, Debug, Default, PartialEq, Serialize, ToSchema)]
pub struct RunJson {
    /// On the flat.
    pub flat_mm: Vec<[f64; 2]>,
    /// In the body frame, point by point.
    pub body_mm: Vec<[f64; 3]>,
}

impl FeaturesJson {
    /// The features of a plate.
    ///
    /// # Errors
    ///
    /// [`ExportError::Develop`] for a bore that runs off the wrapper.
    pub fn of(plate: &Plate) -> Result<Self, ExportError> {
        let features = Reader { plate }
            .all()
            .map_err(|cause| ExportError::Develop {
                plate: plate.id.clone(),
                cause,
            })?;
        Ok(Self {
            plate: plate.id.clone(),
            features,
        })
    }
}

impl FeatureJson {
    fn new(kind: &'static str, id: &str, name: &str) -> Self {
        Self {
            id: format!("{kind}:{id}"),
            kind,
            name: name.to_owned(),
            at: None,
            runs: Vec::new(),
            length_mm: None,
            diameter_mm: None,
            turn_deg: None,
            radii_mm: None,
        }
    }
}

struct Reader<'a> {
    plate: &'a Plate,
}

impl Reader<'_> {
    fn all(&self) -> Result<Vec<FeatureJson>, DevelopError> {
        let mut features = self.edges()?;
        for hole in &self.plate.holes {
            features.push(self.hole(hole)?);
        }
        if let Some(loft) = self.plate.forming.loft() {
            features.extend(self.bends(loft)?);
        }
        features.extend(self.rivets());
        features.extend(self.points());
        Ok(features)
    }

    fn spot(&self, flat: FlatPoint) -> SpotJson {
        let place = self.plate.forming.place(flat);
        let body = place.at_height(self.plate.sheet.z_high);
        SpotJson {
            flat_mm: [flat.x, flat.y].map(millimetres),
            body_mm: [body.x, body.y, body.z].map(millimetres),
        }
    }

    /// Points along a curve, both ends included.
    fn sampled(&self, curve: &Curve) -> Result<Vec<FlatPoint>, DevelopError> {
        let breaks = match (curve, self.plate.forming.loft()) {
            (Curve::Surface(trace), Some(loft)) => trace.breaks(loft)?,
            _ => vec![0.0, 1.0],
        };
        let mut points = Vec::new();
        for piece in breaks.windows(2) {
            for k in 0..PIECES {
                let t = piece[0] + (piece[1] - piece[0]) * k as f64 / PIECES as f64;
                points.push(self.plate.flat_point(curve, t)?);
            }
        }
        points.push(self.plate.flat_point(curve, 1.0)?);
        Ok(points)
    }

    fn run(&self, points: &[FlatPoint]) -> RunJson {
        let spots: Vec<SpotJson> = points.iter().map(|point| self.spot(*point)).collect();
        let mut run = RunJson::default();
        for k in needed(&spots) {
            run.flat_mm.push(spots[k].flat_mm);
            run.body_mm.push(spots[k].body_mm);
        }
        run
    }

    fn edges(&self) -> Result<Vec<FeatureJson>, DevelopError> {
        let lengths = self.plate.edge_lengths()?;
        let mut edges: Vec<FeatureJson> = Vec::with_capacity(lengths.len());
        for (edge, length) in self.plate.outline.iter().zip(lengths) {
            // A plate may have several edges of one name: the second is `foot#2`.
            let before = edges.iter().filter(|other| other.name == edge.name).count();
            let id = match before {
                0 => edge.name.clone(),
                n => format!("{}#{}", edge.name, n + 1),
            };
            edges.push(FeatureJson {
                runs: vec![self.run(&self.sampled(&edge.curve)?)],
                length_mm: Some(millimetres(length.flat)),
                ..FeatureJson::new("edge", &id, &edge.name)
            });
        }
        Ok(edges)
    }

    fn hole(&self, hole: &Hole) -> Result<FeatureJson, DevelopError> {
        let mut points = Vec::new();
        for curve in &hole.boundary {
            let run = self.sampled(curve)?;
            points.extend_from_slice(&run[..run.len() - 1]);
        }
        points.extend(points.first().copied());
        Ok(FeatureJson {
            at: Some(self.spot(hole.centre)),
            runs: vec![self.run(&points)],
            diameter_mm: hole.diameter.map(millimetres),
            ..FeatureJson::new("hole", &hole.feature, &hole.feature)
        })
    }

    /// The bends of a rolled or folded plate, as some of their rulings within the outline.
    fn bends(&self, loft: &Loft) -> Result<Vec<FeatureJson>, DevelopError> {
        let mut outline = Vec::new();
        for edge in &self.plate.outline {
            let run = self.sampled(&edge.curve)?;
            outline.extend_from_slice(&run[..run.len() - 1]);
        }
        let bent = (loft.patches().iter().enumerate()).filter(|(_, patch)| patch.is_bent());
        let mut bends = Vec::new();
        for (i, patch) in bent {
            let turn = patch.turn().abs();
            let count = (turn / RULING_TURN).ceil().max(1.0) as usize;
            let mut runs = Vec::new();
            for k in 0..=count {
                let share = INSIDE + (1.0 - 2.0 * INSIDE) * k as f64 / count as f64;
                let ruling = loft.ruling(i as f64 + share);
                for (from, to) in within(&outline, ruling.flat, ruling.flat_direction) {
                    let point = |t: f64| ruling.flat + ruling.flat_direction * t;
                    runs.push(self.run(&[point(from), point(to)]));
                }
            }
            if runs.is_empty() {
                continue;
            }
            let number = (bends.len() + 1).to_string();
            bends.push(FeatureJson {
                runs,
                turn_deg: Some(rounded(turn.to_degrees(), 6)),
                radii_mm: patch.radii().map(|(a, b)| [a, b].map(millimetres)),
                ..FeatureJson::new("bend", &number, &number)
            });
        }
        Ok(bends)
    }

    fn rivets(&self) -> Vec<FeatureJson> {
        let rivets = self.plate.rivets.iter().enumerate();
        rivets
            .map(|(k, rivet)| FeatureJson {
                at: Some(self.spot(rivet.centre)),
                diameter_mm: Some(millimetres(rivet.head_diameter)),
                ..FeatureJson::new("rivet", &(k + 1).to_string(), &rivet.row)
            })
            .collect()
    }

    fn points(&self) -> Vec<FeatureJson> {
        let points = self.plate.points.iter();
        points
            .map(|(name, point)| FeatureJson {
                at: Some(self.spot(*point)),
                ..FeatureJson::new("point", name, name)
            })
            .collect()
    }
}

/// Numbers of the points that are needed for the run to keep within [`LINE_MM`] in both states.
fn needed(spots: &[SpotJson]) -> Vec<usize> {
    let mut keep = vec![false; spots.len()];
    let mut open = vec![(0, spots.len().saturating_sub(1))];
    while let Some((first, last)) = open.pop() {
        keep[first] = true;
        keep[last] = true;
        let worst = (first + 1..last)
            .map(|k| (off_line(&spots[first], &spots[last], &spots[k]), k))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, k)) = worst.filter(|(off, _)| *off > LINE_MM) {
            open.extend([(first, k), (k, last)]);
        }
    }
    (0..spots.len()).filter(|k| keep[*k]).collect()
}

/// The greater of a point's distances from the line between two others, on the flat and in space (mm).
fn off_line(a: &SpotJson, b: &SpotJson, p: &SpotJson) -> f64 {
    let flat = |s: &SpotJson| [s.flat_mm[0], s.flat_mm[1], 0.0];
    let body = |s: &SpotJson| s.body_mm;
    distance(flat(a), flat(b), flat(p)).max(distance(body(a), body(b), body(p)))
}

/// Distance of a point from the line between two others.
fn distance(a: [f64; 3], b: [f64; 3], p: [f64; 3]) -> f64 {
    let minus = |u: [f64; 3], v: [f64; 3]| [u[0] - v[0], u[1] - v[1], u[2] - v[2]];
    let dot = |u: [f64; 3], v: [f64; 3]| u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
    let (along, to) = (minus(b, a), minus(p, a));
    let square = dot(along, along);
    let share = if square > 0.0 {
        (dot(to, along) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let rest = minus(to, along.map(|x| x * share));
    dot(rest, rest).sqrt()
}

/// Stretches of the line through `start` along the unit vector `direction` that lie within a closed polygon, as
/// distances from `start` (mm).
fn within(polygon: &[FlatPoint], start: FlatPoint, direction: Vector2) -> Vec<(f64, f64)> {
    let off = |p: FlatPoint| direction.perp(&(p - start));
    let mut crossings: Vec<f64> = (0..polygon.len())
        .filter_map(|k| {
            let (a, b) = (polygon[k], polygon[(k + 1) % polygon.len()]);
            let (da, db) = (off(a), off(b));
            // One end counts and the other does not, so that a corner is crossed once.
            if (da < 0.0) == (db < 0.0) {
                return None;
            }
            let crossing = a + (b - a) * (da / (da - db));
            Some((crossing - start).dot(&direction))
        })
        .collect();
    crossings.sort_by(f64::total_cmp);
    let pairs = crossings.chunks_exact(2).map(|pair| (pair[0], pair[1]));
    pairs.filter(|(from, to)| to - from > LINE_MM).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(x: f64, y: f64, z: f64) -> SpotJson {
        SpotJson {
            flat_mm: [x, 0.0],
            body_mm: [x, y, z],
        }
    }

    #[test]
    fn straight_runs_keep_their_ends_and_bent_ones_their_corner() {
        let straight: Vec<SpotJson> = (0..9).map(|k| spot(f64::from(k), 0.0, 0.0)).collect();
        assert_eq!(needed(&straight), [0, 8]);
        let mut bent = straight;
        bent[3].body_mm[2] = 1.0;
        assert_eq!(needed(&bent), [0, 2, 3, 4, 8]);
    }

    #[test]
    fn a_line_lies_twice_within_a_plate_with_a_notch() {
        let corners = [
            (0.0, 0.0),
            (6.0, 0.0),
            (6.0, 4.0),
            (4.0, 4.0),
            (4.0, 1.0),
            (2.0, 1.0),
            (2.0, 4.0),
            (0.0, 4.0),
        ];
        let notched: Vec<FlatPoint> = corners
            .iter()
            .map(|(x, y)| FlatPoint::new(*x, *y))
            .collect();
        let level = |y: f64| within(&notched, FlatPoint::new(-1.0, y), Vector2::new(1.0, 0.0));
        assert_eq!(level(3.0), [(1.0, 3.0), (5.0, 7.0)]);
        assert_eq!(level(0.5), [(1.0, 7.0)]);
        assert!(level(5.0).is_empty());
    }
}
