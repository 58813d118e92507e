//! Rivet rows that come out even.

use crate::model::Model;
use crate::model::specs::{RivetRowSpec, RivetsMade};
use crate::{Body, Curve, Finding, FindingPlace, Plate, Rivet, Severity};
use geom::{Chain, FlatPoint, Outline, Point2};

/// Most spaces of a row (chosen, not sourced): several times what fits the longest row of the least heads, and few
/// enough that a pitch of next to nothing costs no time and no memory.
const MOST_SPACES: f64 = 2000.0;

/// The number of equal spaces in a length (mm) that comes nearest to a pitch (mm), at least one.
pub(crate) fn even_spaces(length: f64, pitch: f64) -> usize {
    (length / pitch).round().clamp(1.0, MOST_SPACES) as usize
}

/// Points from `from` to `to` at the equal pitch nearest to `pitch` (mm), both ends included.
pub(crate) fn even_row(from: FlatPoint, to: FlatPoint, pitch: f64) -> Vec<FlatPoint> {
    let spaces = even_spaces((to - from).norm(), pitch);
    (0..=spaces)
        .map(|i| from + (to - from) * (i as f64 / spaces as f64))
        .collect()
}

/// Points along a chain at the equal pitch nearest to `pitch` (mm), both ends included.
pub(crate) fn along(chain: &Chain, pitch: f64) -> Vec<FlatPoint> {
    let length = chain.length();
    let spaces = even_spaces(length, pitch);
    (0..=spaces)
        .map(|i| chain.point_at(length * i as f64 / spaces as f64))
        .collect()
}

/// Lays rivets of a row on a plate, leaving out any that would touch an edge, an opening, a place of
/// other depth or a rivet already there, or come closer than a punch does to a rivet of another row.
pub(crate) fn lay_row(
    plate: &mut Plate,
    row: &str,
    spec: &RivetRowSpec,
    points: impl IntoIterator<Item = FlatPoint>,
) {
    let head = spec.head_diameter();
    let proud = plate.sheet.proud_height();
    let is_raised = spec.made == RivetsMade::Raised && proud > 0.0;
    let dot = (!is_raised).then(|| spec.dot(plate.sheet.stock_thickness));
    let head_height = if is_raised { proud } else { spec.head_height() };
    let obstacles = obstacles(plate);
    for centre in points {
        let clear = obstacles
            .iter()
            .all(|obstacle| obstacle.clear_of(centre, head / 2.0 + CLEAR));
        // Heads of a row may stand as close as its pitch has them but never touch; corners are shared.
        let alone = plate.rivets.iter().all(|other| {
            let between = if other.row == row { 0.0 } else { CLEAR };
            (other.centre - centre).norm() >= (other.head_diameter + head) / 2.0 + between
        });
        if clear && alone {
            plate.rivets.push(Rivet {
                centre,
                head_diameter: head,
                head_height,
                dot,
                row: row.to_owned(),
            });
        }
    }
}

/// Metal left between a rivet head and anything else (mm): chosen, not sourced.
const CLEAR: f64 = 0.05;

/// Rows round a rectangle of the flat whose corners lie on rivets common to both rows.
pub(crate) fn lay_border(
    plate: &mut Plate,
    spec: &RivetRowSpec,
    low: Point2,
    high: Point2,
    sides: &[&str],
) {
    let corner = [
        low,
        Point2::new(high.x, low.y),
        high,
        Point2::new(low.x, high.y),
    ];
    for (i, name) in ["bottom", "right", "top", "left"].iter().enumerate() {
        if sides.contains(name) {
            lay_row(
                plate,
                name,
                spec,
                even_row(corner[i], corner[(i + 1) % 4], spec.pitch),
            );
        }
    }
}

/// Says where a row had to be eased by more than a twentieth of its pitch to come out even.
pub(crate) fn eased_pitch(plate: &Plate, path: &str, length: f64, pitch: f64) -> Option<Finding> {
    let eased = length / even_spaces(length, pitch) as f64;
    ((eased / pitch - 1.0).abs() > 0.05).then(|| Finding {
        path: path.to_owned(),
        rule: "rivet-pitch-eased",
        severity: Severity::Note,
        found: eased,
        limit: pitch,
        at: FindingPlace {
            plate: Some(plate.id.clone()),
            flat: None,
            body: None,
        },
        sentence: format!(
            "the rivets of {} stand {eased:.2} mm apart instead of {pitch:.2} so that the row comes out even",
            plate.title.to_lowercase()
        ),
    })
}

/// Least metal that the etch may leave of a plate round raised rivets (mm): chosen, not sourced.
const LEAST_LEFT: f64 = 0.1;

/// Where raised rivets were asked for: plates that stay thick and are punched, sheet that gets too thin.
pub(crate) fn raised_findings(model: &Model, body: &Body) -> Vec<Finding> {
    if model.metal.rivets_made != RivetsMade::Raised {
        return Vec::new();
    }
    let finding = |plate: &Plate, rule, severity, (found, limit), sentence| Finding {
        path: "rivets.made".to_owned(),
        rule,
        severity,
        found,
        limit,
        at: FindingPlace {
            plate: Some(plate.id.clone()),
            flat: None,
            body: None,
        },
        sentence,
    };
    let riveted = body.plates.iter().filter(|plate| !plate.rivets.is_empty());
    let mut findings = Vec::new();
    for plate in riveted {
        let (left, title) = (plate.sheet.thickness(), plate.title.to_lowercase());
        let punched = plate
            .rivets
            .iter()
            .filter(|rivet| rivet.dot.is_some())
            .count();
        if punched > 0 {
            let sentence = format!(
                "{title} is no overlay and keeps its thickness: its {punched} rivets are punched from inside"
            );
            let counts = (punched as f64, 0.0);
            findings.push(finding(
                plate,
                "rivets-punched",
                Severity::Note,
                counts,
                sentence,
            ));
        } else if left < LEAST_LEFT {
            let sentence = format!(
                "round the raised rivets of {title} the etch leaves {left:.3} mm of metal; below {LEAST_LEFT} mm it is easily crumpled, so take thicker sheet for overlays"
            );
            let counts = (left, LEAST_LEFT);
            findings.push(finding(
                plate,
                "raised-rivets-thin",
                Severity::Warning,
                counts,
                sentence,
            ));
        }
    }
    findings
}

/// Something a rivet must keep clear of: a closed polygon of the flat, and whether inside it is allowed.
pub(crate) struct Obstacle {
    outline: Outline,
    /// Corners of the outline's bounding box.
    bounds: (Point2, Point2),
    keep_inside: bool,
}

impl Obstacle {
    /// An opening, to be kept clear of from outside.
    pub(crate) fn opening(outline: Outline) -> Self {
        Self::new(outline, false)
    }

    fn new(outline: Outline, keep_inside: bool) -> Self {
        Self {
            bounds: outline.bounds(),
            outline,
            keep_inside,
        }
    }

    pub(crate) fn clear_of(&self, point: FlatPoint, distance: f64) -> bool {
        let (low, high) = self.bounds;
        let beyond = (low - point).sup(&(point - high));
        if !self.keep_inside && beyond.x.max(beyond.y) > distance {
            return true;
        }
        self.outline.contains(point) == self.keep_inside
            && self.outline.nearest(point).1 >= distance
    }
}

/// What rivets and slots of a plate must keep clear of: its edge, openings and etched places.
pub(crate) fn obstacles(plate: &Plate) -> Vec<Obstacle> {
    let of = |curves: Vec<&Curve>, keep_inside| Obstacle::new(sampled(plate, &curves), keep_inside);
    let mut all = vec![of(plate.outline.iter().map(|e| &e.curve).collect(), true)];
    all.extend(
        plate
            .holes
            .iter()
            .map(|hole| of(hole.boundary.iter().collect(), false)),
    );
    all.extend(
        plate
            .regions
            .iter()
            .map(|region| of(region.boundary.iter().collect(), false)),
    );
    all
}

/// A closed run of curves as an outline; curves on a loft by 64 chords, which is enough to keep clear of.
pub(crate) fn sampled(plate: &Plate, curves: &[&Curve]) -> Outline {
    if let Some(segments) = curves
        .iter()
        .map(|curve| match curve {
            Curve::Flat(segment) => Some(*segment),
            Curve::Surface(_) => None,
        })
        .collect::<Option<Vec<_>>>()
        && let Ok(outline) = Outline::from_chain(&geom::Chain::from_segments(segments))
    {
        return outline;
    }
    const CHORDS: usize = 64;
    let points: Vec<Point2> = curves
        .iter()
        .flat_map(|curve| (0..CHORDS).map(move |i| (curve, i as f64 / CHORDS as f64)))
        .filter_map(|(curve, t)| plate.flat_point(curve, t).ok())
        .collect();
    Outline::polygon(&points)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pitch_of_next_to_nothing_makes_no_endless_row() {
        let row = |pitch| even_row(FlatPoint::new(0.0, 0.0), FlatPoint::new(200.0, 0.0), pitch);
        assert_eq!(row(1.17).len(), 172);
        assert_eq!(row(500.0).len(), 2);
        // Without a bound this many points have no room in any memory.
        for pitch in [1e-9, 1e-300, f64::MIN_POSITIVE] {
            assert_eq!(row(pitch).len(), MOST_SPACES as usize + 1, "{pitch}");
        }
    }
}
