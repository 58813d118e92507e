//! What tanks of every kind have: their capacity, fillers, soldering access holes.

use crate::model::specs::FillerSpec;
use crate::upright::drill;
use crate::{Body, Finding, FindingPlace, Fitting, FittingShape, Look, Model, Plate, Severity};
use geom::sections::uk_gallons;
use geom::{Outline, Point2, Point3, Vector3};

/// Notes what a tank of a volume (mm³ on the model) would hold full size, against what the file states.
///
/// The outside of the tank is taken, so that the true capacity is a little less.
pub(super) fn note_capacity(
    model: &Model,
    body: &mut Body,
    tank: &str,
    volume: f64,
    stated: Option<f64>,
) {
    let inch = model.scale.mm_per_foot() / 12.0;
    let held = uk_gallons(volume / (inch * inch * inch), 1.0);
    let short = stated.is_some_and(|gallons| gallons > held * 1.005);
    let against = match stated {
        Some(gallons) if short => format!(
            "; the file states {gallons:.0}, which does not go in: a dimension or the figure is wrong"
        ),
        Some(gallons) => format!("; the file states {gallons:.0}"),
        None => String::new(),
    };
    body.findings.push(Finding {
        path: format!("{tank}.gallons"),
        rule: "tank-capacity",
        severity: if short {
            Severity::Warning
        } else {
            Severity::Note
        },
        found: held,
        limit: stated.unwrap_or(held),
        at: FindingPlace::default(),
        sentence: format!(
            "full size, the outside of {} encloses {held:.0} gallons{against}",
            tank.replace('_', " ")
        ),
    });
}

/// A filler standing on a tank's top, for looking at.
pub(super) fn filler(
    id: String,
    assembly: &'static str,
    spec: &FillerSpec,
    across: f64,
    top: f64,
) -> Fitting {
    let r = spec.diameter / 2.0;
    let p = |x: f64, z: f64| Point2::new(x * r, z * spec.height);
    // A neck with a lid a little wider than it: chosen.
    let profile = Outline::polygon(&[
        p(0.0, -0.05),
        p(0.85, -0.05),
        p(0.85, 0.7),
        p(1.0, 0.7),
        p(1.0, 0.9),
        p(0.5, 1.0),
        p(0.0, 1.0),
    ]);
    Fitting {
        id,
        assembly,
        shape: FittingShape::Turned {
            foot: Point3::new(spec.x, across, top),
            axis: Vector3::z(),
            profile,
        },
        look: Look::Turned,
    }
}

/// Drills holes for the soldering iron along the middle of a rectangle of a flat plate, one to each bay between `marks`.
///
/// 3 and 6 mm across: common practice, no source; smaller where the plate is low.
pub(super) fn drill_access(
    model: &Model,
    plate: &mut Plate,
    low: Point2,
    high: Point2,
    marks: &[f64],
) {
    let least = model
        .metal
        .process
        .least_hole
        .at(plate.sheet.stock_thickness);
    let diameter = model.scale.pick(3.0, 6.0).min(0.5 * (high.y - low.y));
    let mut ends = vec![low.x];
    ends.extend_from_slice(marks);
    ends.push(high.x);
    ends.sort_by(f64::total_cmp);
    for (i, bay) in ends.windows(2).enumerate() {
        let own = diameter.min(0.5 * (bay[1] - bay[0]));
        if own >= least {
            let centre = Point2::new(f64::midpoint(bay[0], bay[1]), f64::midpoint(low.y, high.y));
            drill(plate, &format!("access-{}", i + 1), centre, own);
        }
    }
}
