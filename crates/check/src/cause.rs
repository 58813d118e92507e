//! Faults of drawing that are known by what they do to an outline.

use crate::CheckError;
use crate::datum::{ClosedRun, bow, meant_middle};
use crate::drawn_plate::DrawnPlate;
use crate::one_bend::OneBend;
use crate::skin::{SectionEdge, Side, Skin, section_edges};
use crate::tolerance::{BOWED_MM, CAUSE_MM, STRAIGHT_MM};
use geom::{FlatPoint, Segment, Vector2};

/// A bowed edge that was drawn straight.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Straightened {
    /// Its place in the outline.
    pub(crate) edge: usize,
    /// Rise of the meant edge over its chord (mm).
    pub(crate) rise: f64,
    /// True if its ends stand farther back than its middle.
    pub(crate) back: bool,
}

/// What was recognised in a drawn wrapper.
pub(crate) struct Causes<'a> {
    /// The skin that it was developed on.
    pub(crate) side: Option<Side>,
    skin: Option<Skin<'a>>,
    /// Ends drawn straight.
    pub(crate) straightened: Vec<Straightened>,
    /// The one bend that was developed on the outside.
    pub(crate) bend: Option<OneBend>,
}

impl<'a> Causes<'a> {
    /// Looks for known causes in a drawn plate.
    pub(crate) fn of(drawn: &DrawnPlate<'a>) -> Result<Self, CheckError> {
        let mut own = Self {
            side: None,
            skin: None,
            straightened: Vec::new(),
            bend: None,
        };
        let Some(loft) = drawn.plate.forming.loft() else {
            return Ok(own);
        };
        let sections = section_edges(drawn.plate);
        own.straightened = sections
            .iter()
            .filter_map(|s| straightened(drawn, *s))
            .collect();
        for side in [Side::Outside, Side::Inside] {
            let skin = Skin::of(drawn.plate, loft, side).map_err(|cause| CheckError::Develop {
                plate: drawn.plate.id.clone(),
                cause,
            })?;
            if developed_on(drawn, &skin, &sections) {
                own.side = Some(side);
                own.skin = Some(skin);
                break;
            }
            if side == Side::Outside {
                own.bend = OneBend::of(drawn, loft, &skin, &sections);
            }
        }
        if own.side.is_some() {
            own.bend = None;
        }
        Ok(own)
    }

    /// True if nothing was recognised.
    pub(crate) fn is_empty(&self) -> bool {
        self.side.is_none() && self.straightened.is_empty() && self.bend.is_none()
    }

    /// Rules of what was recognised.
    pub(crate) fn rules(&self) -> Vec<&'static str> {
        let side = self.side.map(|side| match side {
            Side::Outside => "developed-on-outside",
            Side::Inside => "developed-on-inside",
        });
        let trapezium = (!self.straightened.is_empty()).then_some("drawn-as-trapezium");
        let bend = self.bend.as_ref().map(|_| "bend-on-outside");
        side.into_iter().chain(trapezium).chain(bend).collect()
    }

    /// Where these causes would put a place of the flat that is not on its outline.
    pub(crate) fn place(&self, point: FlatPoint) -> FlatPoint {
        if let Some(bend) = &self.bend {
            return bend.place(point);
        }
        self.skin
            .as_ref()
            .map_or(point, |skin| skin.drawn_at(point))
    }

    /// The outline that these causes would draw.
    pub(crate) fn outline(&self, drawn: &DrawnPlate<'_>) -> Vec<Segment> {
        let flat = drawn.flat;
        let n = flat.edges.len();
        let line = |edge: usize| {
            self.straightened
                .iter()
                .any(|s| s.edge == edge)
                .then(|| chord_line(drawn, edge))
                .flatten()
        };
        let onto = |line: Option<(FlatPoint, Vector2)>, p: FlatPoint| {
            line.map_or(Vector2::zeros(), |(through, normal)| {
                normal * (through - p).dot(&normal)
            })
        };
        let mut points = Vec::new();
        for edge in 0..n {
            let own = ClosedRun::new(flat.edge_segments(edge).copied().collect());
            if own.segments.is_empty() {
                continue;
            }
            let along: Vec<FlatPoint> = open_points(&own);
            let (before, here, after) =
                (line((edge + n - 1) % n), line(edge), line((edge + 1) % n));
            let (first, last) = (onto(before, along[0]), onto(after, along[along.len() - 1]));
            for (i, p) in along.iter().enumerate() {
                let share = i as f64 / (along.len() - 1) as f64;
                let straight = if here.is_some() {
                    onto(here, *p)
                } else {
                    first + (last - first) * share
                };
                points.push(self.place(*p) + straight);
            }
        }
        (0..points.len())
            .map(|i| Segment::line(points[i], points[(i + 1) % points.len()]))
            .filter(|s| s.length() > 1e-9)
            .collect()
    }
}

/// Points of an open run at most a quarter of a millimetre apart, equally spaced along it.
fn open_points(run: &ClosedRun) -> Vec<FlatPoint> {
    let n = (run.length / 0.25).ceil().max(8.0) as usize;
    let chain = geom::Chain::from_segments(run.segments.iter().copied());
    (0..=n)
        .map(|i| chain.point_at(run.length * i as f64 / n as f64))
        .collect()
}

/// The line square to whose normal an edge would run if drawn straight through its middle.
fn chord_line(drawn: &DrawnPlate<'_>, edge: usize) -> Option<(FlatPoint, Vector2)> {
    let mut segments = drawn.flat.edge_segments(edge);
    let first = segments.next()?.start();
    let last = segments.last()?.end();
    let chord = last - first;
    let normal = Vector2::new(-chord.y, chord.x) / chord.norm();
    Some((meant_middle(drawn.flat, edge)?, normal))
}

fn straightened(drawn: &DrawnPlate<'_>, section: SectionEdge) -> Option<Straightened> {
    let meant = ClosedRun::new(drawn.flat.edge_segments(section.edge).copied().collect());
    let points = open_points(&meant);
    let rise = bow(&points);
    let is_straight = bow(&drawn.edge_points(section.edge)?).abs() < STRAIGHT_MM;
    let ends = (points[0].x + points[points.len() - 1].x) / 2.0;
    let middle = points[points.len() / 2].x;
    (is_straight && rise.abs() > BOWED_MM).then_some(Straightened {
        edge: section.edge,
        rise: rise.abs(),
        back: ends > middle,
    })
}

/// A skin must differ by this much from the flat before a drawing can be said to follow it (mm).
const LEAST_DIFFERENCE_MM: f64 = 0.10;

/// True if all edges along the section are as long as on the skin.
fn developed_on(drawn: &DrawnPlate<'_>, skin: &Skin<'_>, sections: &[SectionEdge]) -> bool {
    !sections.is_empty()
        && sections.iter().all(|section| {
            let longer = skin.longer(section.from, section.to);
            let Some(part) = drawn.runs.get(section.edge).copied().flatten() else {
                return false;
            };
            let difference = part.length - drawn.flat.edges[section.edge].flat;
            longer.abs() > LEAST_DIFFERENCE_MM
                && (difference - longer).abs() < CAUSE_MM.min(longer.abs() / 3.0)
        })
}
