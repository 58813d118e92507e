//! The cab sides: structural plates and riveted overlays, with a cut-out closed or open to the rear.

use super::Cab;
use crate::model::specs::CutOutSpec;
use crate::rows::{even_row, lay_row};
use crate::upright::{Facing, FlatPlateOf, cut, rounded_rectangle};
use crate::{BodyError, Model, Plate};
use geom::math::{FRAC_PI_2, PI};
use geom::{Chain, Outline, Point2, Point3, Segment};

/// Where a side's front stands (mm): the structural plate stands back under the front's overlay.
pub(super) fn front_of(model: &Model, cab: &Cab, overlay: bool) -> f64 {
    model.cab().front + if overlay { 0.0 } else { cab.recess }
}

/// Flat x of a side at a place along the engine: from the rear end forward on the left, from the front
/// back on the right.
pub(super) fn flat_x(model: &Model, left: bool, front: f64, x: f64) -> f64 {
    if left { model.cab().back - x } else { x - front }
}

/// A side up to the eaves.
pub(super) fn side(
    model: &Model,
    cab: &Cab,
    left: bool,
    overlay: bool,
) -> Result<Plate, BodyError> {
    let c = model.cab();
    let front = front_of(model, cab, overlay);
    let (hand, facing, x, sign) = if left {
        ("left", Facing::Left, c.back, 1.0)
    } else {
        ("right", Facing::Right, front, -1.0)
    };
    let (id, title, part, inset) = if overlay {
        (format!("cab-side-{hand}-overlay"), format!("Cab side overlay, {hand}"), "overlay", 0.0)
    } else {
        (format!("cab-side-{hand}"), format!("Cab side, {hand}"), "cab", cab.recess)
    };
    if let Some(cut) = &c.cut_out {
        check_cut_out(model, cab, cut)?;
    }
    let run = right_outline(model, cab, front);
    // The left side is the mirror image of the right.
    let run: Vec<(&str, Segment)> = if left {
        let length = geom::Vector2::new(c.back - front, 0.0);
        run.iter()
            .rev()
            .map(|(name, s)| (*name, s.mirrored_in_y_axis().translated(length).reversed()))
            .collect()
    } else {
        run
    };
    let (sides, segments): (Vec<&str>, Vec<Segment>) = run.into_iter().unzip();
    let outline = Outline::from_chain(&Chain::from_segments(segments)).map_err(|_| outside(cab))?;
    if outline.segments().len() != sides.len() {
        return Err(outside(cab));
    }
    let mut plate = FlatPlateOf {
        id,
        assembly: "cab",
        title,
        sheet: model.metal.sheet(part),
        outside_origin: Point3::new(x, sign * (c.over / 2.0 - inset), 0.0),
        facing,
        outline: &outline,
        sides: &sides,
    }
    .plate();
    if let Some(opening) = opening(model, left, front, 0.0) {
        cut(&mut plate, "cut-out", &opening, None);
    }
    if overlay {
        lay_rivets(model, cab, left, front, &mut plate);
    }
    Ok(plate)
}

/// The outline on the flat of the right side, from its front lower corner.
fn right_outline(model: &Model, cab: &Cab, front: f64) -> Vec<(&'static str, Segment)> {
    let c = model.cab();
    let length = c.back - front;
    let (low, high) = (model.footplate.top, cab.side_top);
    let at = Point2::new;
    let mut run = vec![("bottom", Segment::line(at(0.0, low), at(length, low)))];
    match &c.cut_out {
        Some(cut) if cut.to.is_none() => {
            run.push(("rear", Segment::line(at(length, low), at(length, cut.bottom))));
            let notch = notch(cut, (cut.from - front, length), 0.0);
            run.extend(notch.segments().iter().map(|s| ("cut-out", *s)));
            run.push(("rear", Segment::line(at(length, cut.top), at(length, high))));
        }
        _ => run.push(("rear", Segment::line(at(length, low), at(length, high)))),
    }
    run.push(("top", Segment::line(at(length, high), at(0.0, high))));
    run.push(("front", Segment::line(at(0.0, high), at(0.0, low))));
    run
}

/// The edge of a cut-out open to the rear, from its lower end forward, up and back, drawn together by
/// `inwards` (mm): both corners are rounded.
pub(super) fn notch(cut: &CutOutSpec, (from, to): (f64, f64), inwards: f64) -> Chain {
    let (from, bottom, top) = (from + inwards, cut.bottom + inwards, cut.top - inwards);
    let radius = (cut.radius - inwards)
        .min((top - bottom) / 2.0)
        .min(to - from)
        .max(0.0);
    // Along the lower edge forward, round, up, round, and back along the upper edge.
    Chain::starting(Point2::new(to, bottom), PI)
        .line(to - from - radius)
        .arc(radius, -FRAC_PI_2)
        .line(top - bottom - 2.0 * radius)
        .arc(radius, -FRAC_PI_2)
        .line(to - from - radius)
        .finish()
}

/// The opening of a closed cut-out on a side's flat, drawn together by `inwards` (mm).
pub(super) fn opening(model: &Model, left: bool, front: f64, inwards: f64) -> Option<Outline> {
    let cut = model.cab().cut_out.as_ref()?;
    let to = cut.to?;
    let (a, b) = (
        flat_x(model, left, front, cut.from),
        flat_x(model, left, front, to),
    );
    Some(rounded_rectangle(
        Point2::new(a.min(b) + inwards, cut.bottom + inwards),
        Point2::new(a.max(b) - inwards, cut.top - inwards),
        (cut.radius - inwards).max(0.0),
    ))
}

fn check_cut_out(model: &Model, cab: &Cab, cut: &CutOutSpec) -> Result<(), BodyError> {
    let c = model.cab();
    let bar = model.metal.process.least_bar.at(model.metal.thickness("cab"));
    let to = cut.to.unwrap_or(c.back - bar);
    let within = cut.from >= c.front + cab.recess + bar
        && to <= c.back - bar
        && cut.from < to
        && cut.bottom >= model.footplate.top + bar
        && cut.top <= cab.side_top - bar
        && cut.bottom < cut.top;
    if within { Ok(()) } else { Err(outside(cab)) }
}

fn outside(cab: &Cab) -> BodyError {
    BodyError::Shape {
        path: "cab.cut_out".to_owned(),
        sentence: "the cut-out does not lie within the cab side".to_owned(),
        help: format!(
            "it must lie between the cab's front and back, above the footplate and below the eaves at {:.2} mm above rail",
            cab.side_top
        ),
    }
}

/// Rows along bottom, front, top and rear, a rivet in each corner, stopped short of cut-out and beading.
fn lay_rivets(model: &Model, cab: &Cab, left: bool, front: f64, plate: &mut Plate) {
    let (spec, edge) = (&model.rivets.platework, model.rivets.edge);
    let (low, high) = (model.footplate.top + edge, cab.side_top - edge);
    let at = |x: f64, z: f64| Point2::new(flat_x(model, left, front, x), z);
    let (fore, aft) = (front + edge, model.cab().back - edge);
    for (row, from, to) in [
        ("bottom", at(fore, low), at(aft, low)),
        ("front", at(fore, low), at(fore, high)),
        ("top", at(fore, high), at(aft, high)),
        ("rear", at(aft, low), at(aft, high)),
    ] {
        lay_row(plate, row, spec, even_row(from, to, spec.pitch));
    }
    let Some(cut) = &model.cab().cut_out else {
        return;
    };
    // Rows stop a pitch from the opening, beading or not: common practice, no source.
    let clear = spec.pitch.max(model.cab().beading.width) + spec.head_diameter() / 2.0;
    let near = |p: Point2| match opening(model, left, front, 0.0) {
        Some(opening) => opening.contains(p) || opening.nearest(p).1 < clear,
        None => {
            let x = if left { model.cab().back - p.x } else { p.x + front };
            x > cut.from - clear && p.y > cut.bottom - clear && p.y < cut.top + clear
        }
    };
    // A row that would lose half of itself to that is kept as far as the metal goes.
    let beading = model.cab().beading.width + spec.head_diameter() / 2.0;
    let on_beading = |p: Point2| match opening(model, left, front, 0.0) {
        Some(opening) => opening.contains(p) || opening.nearest(p).1 < beading,
        None => {
            let x = if left { model.cab().back - p.x } else { p.x + front };
            x > cut.from - beading && p.y > cut.bottom - beading && p.y < cut.top + beading
        }
    };
    plate.rivets.retain(|rivet| {
        let across = rivet.row == "rear" || rivet.row == "front";
        !(on_beading(rivet.centre) || across && near(rivet.centre))
    });
}
