//! The engine against the outline that the railway lets it fill, on the straight and on the curve.

use super::approach::Solids;
use super::clearances::ACCURACY_MM;
use super::passage::Passage;
use super::train::Train;
use super::{Frame, RunningError};
use body::{Finding, FindingPlace, GaugePoint, Scale, Severity};
use geom::{Point2, Point3, Vector2};
use serde::Deserialize;
use std::sync::LazyLock;

/// Size of the boxes along the engine and upwards in which its outermost points are kept (mm).
const ALONG_MM: f64 = 3.0;
const UPWARD_MM: f64 = 1.0;

/// Positions of the train at which it sweeps.
const POSITIONS: usize = 80;

/// What lies lower is of the wheels (mm).
const RAIL_MM: f64 = 0.05;

/// The right half of an outline, from the rail up.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// What it is.
    pub title: String,
    /// Where it is from.
    pub source: String,
    /// Its corners: half width and height (mm).
    corners: Vec<Point2>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Structures {
    structure: Vec<Structure>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Structure {
    title: String,
    scale: String,
    source: String,
    /// Half width and height of each corner (mm).
    corners: Vec<[f64; 2]>,
}

static STRUCTURES: LazyLock<Vec<Structure>> = LazyLock::new(|| {
    toml::from_str::<Structures>(include_str!("../../data/structures.toml"))
        .expect("the table of structure gauges is part of the program and read by its tests")
        .structure
});

impl Profile {
    /// The loading gauge of a model file; `None` if it gives none.
    pub fn loading(points: &[GaugePoint]) -> Option<Self> {
        (points.len() > 1).then(|| Self {
            title: "loading gauge".to_owned(),
            source: "the model file".to_owned(),
            corners: points
                .iter()
                .map(|own| Point2::new(own.half_width, own.height))
                .collect(),
        })
    }

    /// The structure gauge of the published standard nearest to a scale.
    pub fn structure(scale: Scale) -> Self {
        let own = STRUCTURES
            .iter()
            .find(|own| own.scale == scale.word())
            .expect("each scale has its structure gauge");
        Self {
            title: own.title.clone(),
            source: own.source.clone(),
            corners: own
                .corners
                .iter()
                .map(|[y, z]| Point2::new(*y, *z))
                .collect(),
        }
    }

    /// How far a point lies inside (mm); negative outside. The rail closes the outline below, and what is
    /// under the lowest corner has that one's width.
    pub fn margin(&self, aside: f64, height: f64) -> f64 {
        let own = Point2::new(aside.abs(), height);
        let mut sides: Vec<(Point2, Point2)> = self
            .corners
            .windows(2)
            .map(|two| (two[0], two[1]))
            .collect();
        let (first, last) = (self.corners[0], self.corners[self.corners.len() - 1]);
        // Far below the rail, since the rail is not what is kept clear of here.
        sides.push((Point2::new(first.x, first.y - 1e3), first));
        sides.push((last, Point2::new(-1e3, last.y)));
        let distance = sides
            .iter()
            .map(|(a, b)| from_segment(own, *a, *b))
            .fold(f64::INFINITY, f64::min);
        let inside = own.y < last.y && own.x < self.half_width(own.y);
        if inside { distance } else { -distance }
    }

    /// Half width at a height; the widest where it steps.
    fn half_width(&self, height: f64) -> f64 {
        let (first, last) = (self.corners[0], self.corners[self.corners.len() - 1]);
        if height <= first.y {
            return first.x;
        }
        let mut widest: f64 = 0.0;
        for two in self.corners.windows(2) {
            let (a, b) = (two[0], two[1]);
            if (a.y..=b.y).contains(&height) {
                let share = if b.y > a.y {
                    (height - a.y) / (b.y - a.y)
                } else {
                    1.0
                };
                widest = widest.max(a.x + share * (b.x - a.x));
            }
        }
        if height > last.y { 0.0 } else { widest }
    }
}

fn from_segment(point: Point2, a: Point2, b: Point2) -> f64 {
    let run: Vector2 = b - a;
    let share = ((point - a).dot(&run) / run.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (a + run * share - point).norm()
}

/// Where a part comes nearest to an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Margin {
    /// The plate or fitting.
    pub part: String,
    /// How far it stays inside (mm); negative where it stands out.
    pub margin: f64,
    /// The place on it, in the frame of its body (mm).
    pub at: Point3,
    /// On the curve: how far this place stands from the middle of the track (mm), to the left of the way.
    pub aside: f64,
}

/// The outermost points of a body.
#[derive(Clone, Debug)]
pub struct Envelope {
    /// Names of the parts, and the truck that carries each, if one does.
    parts: Vec<(String, Option<usize>)>,
    /// Number of the part, and place.
    points: Vec<(usize, Point3)>,
}

impl Envelope {
    /// Of the solids of a body.
    pub(super) fn of(solids: &Solids) -> Self {
        let mut parts = Vec::new();
        let mut points: Vec<(usize, Point3)> = Vec::new();
        for (id, truck, vertices) in solids.vertices() {
            let number = parts.len();
            parts.push((id.to_owned(), truck));
            points.extend(
                vertices
                    .filter(|p| p.z > RAIL_MM)
                    .map(|p| (number, Point3::new(p.x, p.y, p.z))),
            );
        }
        // Of what moves together only the outermost of each box on either side, and the highest, can be nearest to an
        // outline.
        let mut outermost: std::collections::BTreeMap<_, [usize; 2]> =
            std::collections::BTreeMap::new();
        for (i, (part, p)) in points.iter().enumerate() {
            let (along, up) = ((p.x / ALONG_MM).floor(), (p.z / UPWARD_MM).floor());
            let cell = (parts[*part].1, along as i64, up as i64, p.y > 0.0);
            let kept = outermost.entry(cell).or_insert([i, i]);
            if p.y.abs() > points[kept[0]].1.y.abs() {
                kept[0] = i;
            }
            if p.z > points[kept[1]].1.z {
                kept[1] = i;
            }
        }
        let mut kept: Vec<usize> = outermost.into_values().flatten().collect();
        kept.sort_unstable();
        kept.dedup();
        Self {
            points: kept.into_iter().map(|i| points[i]).collect(),
            parts,
        }
    }

    /// Where each part comes nearest to an outline on the straight, nearest first.
    pub fn margins(&self, profile: &Profile) -> Vec<Margin> {
        self.nearest(
            self.points.iter().map(|(part, p)| (*part, *p, -p.y)),
            profile,
        )
    }

    fn nearest(
        &self,
        places: impl Iterator<Item = (usize, Point3, f64)>,
        profile: &Profile,
    ) -> Vec<Margin> {
        let mut best: Vec<Option<Margin>> = vec![None; self.parts.len()];
        for (part, at, aside) in places {
            let margin = profile.margin(aside, at.z);
            if best[part].as_ref().is_none_or(|own| margin < own.margin) {
                best[part] = Some(Margin {
                    part: self.parts[part].0.clone(),
                    margin,
                    at,
                    aside,
                });
            }
        }
        let mut all: Vec<Margin> = best.into_iter().flatten().collect();
        all.sort_by(|a, b| a.margin.total_cmp(&b.margin));
        all
    }
}

/// How far a train reaches to the sides of its course.
#[derive(Clone, Debug, PartialEq)]
pub struct Swept {
    /// Farthest to the left and to the right of the middle of the track (mm).
    pub reach: [f64; 2],
    /// Least distance between the middles of this and an equal track beside it on which an equal train
    /// passes without touching (mm).
    pub tracks: f64,
    /// Where parts come nearest to the structure gauge, nearest first.
    pub margins: Vec<Margin>,
}

impl Swept {
    /// Of a train on a course that it was led over.
    ///
    /// # Errors
    ///
    /// [`RunningError`] where the train cannot be stood on the track.
    pub(super) fn of(
        train: &Train<'_>,
        passage: &Passage,
        envelopes: (&Envelope, Option<&Envelope>),
        profile: &Profile,
    ) -> Result<Self, RunningError> {
        let track = &passage.track;
        let way = track.length() + train.length();
        let mut standings = Vec::with_capacity(POSITIONS + 1);
        for i in 0..=POSITIONS {
            standings.push(train.at(track, way * i as f64 / POSITIONS as f64)?);
        }
        let vehicles = [
            (envelopes.0, Some(train.engine), 0),
            (
                envelopes.1.unwrap_or(envelopes.0),
                envelopes.1.and(train.tender),
                1,
            ),
        ];
        let mut reach = [0.0_f64; 2];
        let mut rows: std::collections::BTreeMap<i64, [f64; 2]> = std::collections::BTreeMap::new();
        let mut margins = Vec::new();
        for (envelope, chassis, which) in vehicles {
            let Some(chassis) = chassis else { continue };
            let first = chassis.rigid().next().or(chassis.axles.first());
            let first = first.map_or(0.0, |axle| axle.x);
            let mut places = Vec::with_capacity(envelope.points.len() * standings.len());
            for stood in &standings {
                let own = match which {
                    0 => &stood.engine,
                    _ => match &stood.tender {
                        Some((own, _)) => own,
                        None => continue,
                    },
                };
                for (part, p) in &envelope.points {
                    // What a truck carries stands as the truck does.
                    let frame: &Frame = match envelope.parts[*part].1 {
                        Some(truck) => &own.trucks[truck].frame,
                        None => &own.frame,
                    };
                    let ground = frame.place(Point2::new(p.x, p.y));
                    let aside = track.offset(ground, own.s + first - p.x);
                    let side = usize::from(aside < 0.0);
                    reach[side] = reach[side].max(aside.abs());
                    let row = rows.entry((p.z / UPWARD_MM).floor() as i64).or_default();
                    row[side] = row[side].max(aside.abs());
                    places.push((*part, *p, aside));
                }
            }
            margins.extend(envelope.nearest(places.into_iter(), profile));
        }
        margins.sort_by(|a, b| a.margin.total_cmp(&b.margin));
        let tracks = rows.values().map(|row| row[0] + row[1]);
        Ok(Self {
            reach,
            tracks: tracks.fold(0.0, f64::max),
            margins,
        })
    }
}

/// What stands out of an outline.
pub(super) fn margin_findings(
    margins: &[Margin],
    profile: &Profile,
    rule: &'static str,
) -> Vec<Finding> {
    margins
        .iter()
        .filter(|own| own.margin < -ACCURACY_MM)
        .map(|own| Finding {
            path: own.part.clone(),
            rule,
            severity: Severity::Warning,
            found: own.margin,
            limit: 0.0,
            at: FindingPlace {
                plate: Some(own.part.clone()),
                flat: None,
                body: Some(own.at),
            },
            sentence: format!(
                "{} stands {:.2} mm out of the {}: {:.2} mm from the middle of the track at {:.2} mm above rail",
                own.part,
                -own.margin,
                profile.title,
                own.aside.abs(),
                own.at.z
            ),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn demo_gauge() -> Profile {
        // Inches.
        let corners = [
            (52.0, 0.0),
            (52.0, 36.0),
            (53.0, 36.0),
            (53.0, 129.0),
            (36.0, 147.0),
            (24.0, 156.0),
        ];
        Profile {
            title: "test".to_owned(),
            source: "test".to_owned(),
            corners: corners.map(|(y, z)| Point2::new(y, z)).to_vec(),
        }
    }

    #[test]
    fn distances_from_the_outline_have_their_sign() {
        let gauge = demo_gauge();
        for (aside, height, wanted) in [
            (0.0, 60.0, 53.0),
            (-50.0, 60.0, 3.0),
            (54.0, 60.0, -1.0),
            (51.5, 10.0, 0.5),
            (52.5, 10.0, -0.5),
            (0.0, 150.0, 6.0),
            (0.0, 157.0, -1.0),
        ] {
            let found = gauge.margin(aside, height);
            assert!((found - wanted).abs() < 1e-12, "{aside} {height}: {found}");
        }
        // Beside the slope from (53, 129) to (36, 147): at right angles to it.
        let normal = Vector2::new(18.0, 17.0).normalize();
        let middle = Point2::new(44.5, 138.0);
        let out = middle + normal * 0.7;
        assert!((gauge.margin(out.x, out.y) + 0.7).abs() < 1e-12);
    }

    /// The vehicles that NEM 301 allows stay within the structures of NEM 102.
    #[test]
    fn published_vehicles_lie_within_published_structures() {
        for (scale, half, heights) in [
            (Scale::Four, [19.5, 20.0, 13.5], [13.5, 44.0, 55.0]),
            (Scale::Seven, [38.5, 39.0, 26.0], [26.0, 83.0, 106.0]),
        ] {
            let structure = Profile::structure(scale);
            for (y, z) in [
                (half[0], 6.0),
                (half[0], heights[0]),
                (half[1], heights[1]),
                (half[2], heights[2]),
            ] {
                let margin = structure.margin(y, z);
                assert!((1.4..9.0).contains(&margin), "{scale:?} {y} {z}: {margin}");
            }
        }
    }
}
