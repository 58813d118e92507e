//! Beading round windows and cut-outs: thin rings on the overlays, a little too wide, to be filed back.

use super::Cab;
use super::sides::{front_of, notch, opening};
use crate::fit::face_joint;
use crate::upright::{Facing, FlatPlateOf, cut};
use crate::{Body, BodyError, Model, Plate};
use geom::{Chain, Outline, Point2, Point3, Segment};

pub(super) fn add_beading(model: &Model, cab: &Cab, body: &mut Body) -> Result<(), BodyError> {
    let c = model.cab();
    let raised = model.metal.thickness("beading") + model.metal.film;
    let mut laid: Vec<(Plate, String)> = Vec::new();
    if let Some(w) = &c.windows {
        for (y, hand) in [(-w.offset, "left"), (w.offset, "right")] {
            let ring = window_ring(model, Point2::new(y, w.height), w.diameter / 2.0);
            let Some((outer, inner)) = ring else { continue };
            let mut plate = FlatPlateOf {
                id: format!("cab-window-beading-{hand}"),
                assembly: "cab",
                title: format!("Cab window beading, {hand}"),
                sheet: model.metal.sheet("beading"),
                outside_origin: Point3::new(c.front - raised, 0.0, 0.0),
                facing: Facing::Front,
                outline: &outer,
                sides: &vec!["rim"; outer.segments().len()],
            }
            .plate();
            cut(&mut plate, "window", &inner, None);
            laid.push((plate, "cab-front-overlay".to_owned()));
        }
    }
    for left in [true, false] {
        if let Some(plate) = cut_out_beading(model, cab, left, raised) {
            let hand = if left { "left" } else { "right" };
            laid.push((plate, format!("cab-side-{hand}-overlay")));
        }
    }
    for (plate, under) in laid {
        if let Some(base) = body.plate(&under) {
            let joint = face_joint((&plate, "inside"), (base, "outside"));
            body.joints.push(joint);
        }
        body.plates.push(plate);
    }
    Ok(())
}

/// Outer and inner circle of the ring round a window; `None` where the spare would close it.
fn window_ring(model: &Model, centre: Point2, radius: f64) -> Option<(Outline, Outline)> {
    let b = &model.cab().beading;
    let inner = radius - b.spare;
    (inner > 0.0).then(|| {
        (
            Outline::circle(centre, radius + b.width),
            Outline::circle(centre, inner),
        )
    })
}

/// The ring round a cut-out, or the strip round one open to the rear.
fn cut_out_beading(model: &Model, cab: &Cab, left: bool, raised: f64) -> Option<Plate> {
    let c = model.cab();
    let b = &c.beading;
    let cut_out = c.cut_out.as_ref()?;
    let front = front_of(model, cab, true);
    let (hand, facing, x, sign) = if left {
        ("left", Facing::Left, c.back, 1.0)
    } else {
        ("right", Facing::Right, front, -1.0)
    };
    let plate = |outline: &Outline, sides: &[&str]| {
        FlatPlateOf {
            id: format!("cab-cut-out-beading-{hand}"),
            assembly: "cab",
            title: format!("Cab cut-out beading, {hand}"),
            sheet: model.metal.sheet("beading"),
            outside_origin: Point3::new(x, sign * (c.over / 2.0 + raised), 0.0),
            facing,
            outline,
            sides,
        }
        .plate()
    };
    let small = (cut_out.top - cut_out.bottom).min(cut_out.to.unwrap_or(c.back) - cut_out.from);
    if small <= 2.0 * b.spare || b.width <= 0.0 {
        return None;
    }
    if let (Some(outer), Some(inner)) = (
        opening(model, left, front, -b.width),
        opening(model, left, front, b.spare),
    ) {
        let mut ring = plate(&outer, &vec!["rim"; outer.segments().len()]);
        cut(&mut ring, "cut-out", &inner, None);
        return Some(ring);
    }
    let along = (cut_out.from - front, c.back - front);
    let outer = notch(cut_out, along, -b.width);
    let inner = notch(cut_out, along, b.spare);
    // Out along the outer edge, back along the inner one: the outside of the strip on the left of travel.
    let mut run: Vec<(&str, Segment)> = Vec::new();
    run.extend(inner.segments().iter().map(|s| ("cut-out", *s)));
    run.push(("end-top", Segment::line(inner.end(), outer.end())));
    run.extend(outer.reversed().segments().iter().map(|s| ("rim", *s)));
    run.push(("end-bottom", Segment::line(outer.start(), inner.start())));
    if left {
        let length = geom::Vector2::new(c.back - front, 0.0);
        run = run
            .iter()
            .rev()
            .map(|(name, s)| (*name, s.mirrored_in_y_axis().translated(length).reversed()))
            .collect();
    }
    let (sides, segments): (Vec<&str>, Vec<Segment>) = run.into_iter().unzip();
    let outline = Outline::from_chain(&Chain::from_segments(segments)).ok()?;
    (outline.segments().len() == sides.len() && outline.area() > 0.0)
        .then(|| plate(&outline, &sides))
}
