//! A wrapper with one bend developed on its outside, the others on the neutral line.

use crate::datum::ClosedRun;
use crate::drawn_plate::DrawnPlate;
use crate::skin::{SectionEdge, Skin};
use crate::test_build::relay::relay;
use artwork::{Motion2, centre_of};
use develop::{Loft, SurfacePoint};
use geom::{FlatPoint, Segment, Vector2};

/// A bend turns by this much at least (rad): 15°.
const TURN_RAD: f64 = 0.26;

/// A bend must lengthen a drawing by this much before it can be told (mm): what an outline is allowed.
const LEAST_MM: f64 = 0.10;

/// Bends that leave this little more than another of what was drawn (mm, mean distance) cannot be told from it.
const ALIKE_MM: f64 = 0.01;

/// The one bend that was developed on the outside.
#[derive(Clone, Debug)]
pub(crate) struct OneBend {
    /// How much longer the drawing is for it (mm).
    pub(crate) longer: f64,
    /// The middle of the bend on the flat.
    pub(crate) at: FlatPoint,
    /// Middles of other bends that would show just so.
    pub(crate) or_at: Vec<FlatPoint>,
    /// Degrees that it turns.
    pub(crate) turn_deg: f64,
    /// The motion that lays the drawing where all but what is beyond the bend agrees.
    pub(crate) motion: Motion2,
    loft: Loft,
    middle: f64,
    moved: Vector2,
}

impl OneBend {
    /// The bend whose lengthening the drawing shows, told from others of like turn by the openings beyond it.
    pub(crate) fn of(
        drawn: &DrawnPlate<'_>,
        loft: &Loft,
        skin: &Skin<'_>,
        sections: &[SectionEdge],
    ) -> Option<Self> {
        if sections.is_empty() {
            return None;
        }
        let bends = loft
            .patches()
            .iter()
            .enumerate()
            .filter(|(_, patch)| patch.turn().abs() > TURN_RAD);
        if bends.clone().count() < 2 {
            return None;
        }
        let mut all: Vec<(Self, f64)> = bends
            .filter(|(i, _)| {
                sections
                    .iter()
                    .all(|section| shows(drawn, skin, *section, *i))
            })
            .map(|(i, patch)| {
                let (longer, moved) = skin.of_patch(i);
                let middle = i as f64 + 0.5;
                let mut own = Self {
                    longer,
                    at: loft.flat(SurfacePoint { w: middle, v: 0.5 }),
                    or_at: Vec::new(),
                    turn_deg: patch.turn().abs().to_degrees(),
                    motion: crate::test_build::relay::identity(),
                    loft: loft.clone(),
                    middle,
                    moved,
                };
                let outline = ClosedRun::new(own.outline(drawn));
                own.motion = relay(&drawn.run, &outline, &[]);
                let left = own.openings_left(drawn) + own.outline_left(drawn, &outline);
                (own, left)
            })
            .collect();
        all.sort_by(|a, b| a.1.total_cmp(&b.1));
        let least = all.first()?.1;
        let or_at = all[1..]
            .iter()
            .filter(|(_, left)| left - least < ALIKE_MM)
            .map(|(other, _)| other.at)
            .collect();
        let (own, _) = all.swap_remove(0);
        Some(Self { or_at, ..own })
    }

    /// Where a point of the flat comes to on such a drawing.
    pub(crate) fn place(&self, point: FlatPoint) -> FlatPoint {
        if self.loft.locate(point).w > self.middle {
            point + self.moved
        } else {
            point
        }
    }

    fn outline(&self, drawn: &DrawnPlate<'_>) -> Vec<Segment> {
        let points: Vec<FlatPoint> = drawn
            .flat
            .outline
            .flattened(1e-3)
            .into_iter()
            .map(|p| self.place(p))
            .collect();
        (0..points.len())
            .map(|i| Segment::line(points[i], points[(i + 1) % points.len()]))
            .filter(|segment| segment.length() > 1e-9)
            .collect()
    }

    /// Mean distance of the drawn outline from the one that this bend would give (mm).
    fn outline_left(&self, drawn: &DrawnPlate<'_>, outline: &ClosedRun) -> f64 {
        let points = drawn.run.sampled(0.0, drawn.run.length, 2.0);
        let sum: f64 = points
            .iter()
            .map(|p| outline.nearest(self.motion.point(*p)).1)
            .sum();
        sum / points.len().max(1) as f64
    }

    /// Mean distance of the openings from where this bend would put them (mm).
    fn openings_left(&self, drawn: &DrawnPlate<'_>) -> f64 {
        let meant: Vec<FlatPoint> = drawn
            .flat
            .holes
            .iter()
            .map(|hole| self.place(centre_of(&hole.outline)))
            .collect();
        let all: Vec<f64> = drawn
            .openings()
            .iter()
            .map(|own| {
                let at = self.motion.point(centre_of(own));
                meant.iter().map(|p| (p - at).norm()).fold(1.0, f64::min)
            })
            .collect();
        all.iter().sum::<f64>() / all.len().max(1) as f64
    }
}

/// True if an edge is longer by just what one bend would make it.
fn shows(drawn: &DrawnPlate<'_>, skin: &Skin<'_>, section: SectionEdge, bend: usize) -> bool {
    let Some(part) = drawn.runs.get(section.edge).copied().flatten() else {
        return false;
    };
    let longer = skin.patch_within(bend, section.from, section.to);
    let difference = part.length - drawn.flat.edges[section.edge].flat;
    longer > LEAST_MM && (difference - longer).abs() < 0.02 + 0.05 * longer
}
