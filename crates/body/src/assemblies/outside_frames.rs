//! A tender's outside frames, on which its footplate sits.

use super::beams::stack;
use super::frames::{Ceiling, TOPS, ceilings};
use super::run::Run;
use super::side_plate::{SidePlateOf, cut_side, hand, on_side};
use crate::fit::butt_joint;
use crate::model::specs::{End, OutsideFrameSpec};
use crate::rows::{even_row, lay_row};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::rounded_rectangle;
use crate::{Body, BodyError, Model, Plate};
use geom::Point2;

/// Frame plates outside the wheels, on which the footplate sits.
pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let Some(spec) = &model.running.outside else {
        return Ok(());
    };
    let ends = (
        stack(model, End::Front),
        model.footplate.length - stack(model, End::Rear),
    );
    let tops = ceilings(model, ends);
    let lowest = tops.iter().map(|c| c.top).fold(f64::INFINITY, f64::min);
    let sheet = model.metal.sheet("frames");
    let land = 3.0 * sheet.thickness();
    if !(spec.bottom + 2.0 * land < lowest && spec.over / 2.0 < super::valances::outside(model)) {
        return Err(BodyError::Shape {
            path: "outside_frames.over".to_owned(),
            sentence: "the outside frames do not stand under the footplate, behind its valances"
                .to_owned(),
            help: "give the width over both plates and the height of their lower edge".to_owned(),
        });
    }
    for left in [true, false] {
        let word = hand(left);
        let id = format!("outside-frame-{word}");
        let mut run = Run::default();
        run.line(ends.0, spec.bottom, "bottom");
        run.line(ends.1, spec.bottom, "rear");
        for (i, c) in tops.iter().enumerate().rev() {
            run.line(c.to, c.top, TOPS[i.min(TOPS.len() - 1)]);
            run.line(c.from, c.top, if i == 0 { "front" } else { "step" });
        }
        let (outline, sides) = run.close();
        let mut plate = SidePlateOf {
            id: id.clone(),
            assembly: "frames",
            title: format!("Outside frame, {word}"),
            sheet: sheet.clone(),
            left,
            outside: spec.over / 2.0,
            ends,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        cut_axleboxes(model, spec, &mut plate, left, ends, lowest);
        lay_border(model, spec, &mut plate, left, ends, &tops);
        if let Some(footplate) = body.plate("footplate") {
            let joints: Vec<_> = TOPS[..tops.len().min(TOPS.len())]
                .iter()
                .map(|name| butt_joint((&plate, name), (footplate, "underside")))
                .collect();
            body.joints.extend(joints);
        }
        body.plates.push(plate);
        for name in TOPS.iter().take(tops.len()) {
            let edge = (id.as_str(), *name);
            tab_into(
                model,
                body,
                edge,
                "footplate",
                Tabbing::default(),
                "outside_frames",
            )?;
        }
    }
    Ok(())
}

fn cut_axleboxes(
    model: &Model,
    spec: &OutsideFrameSpec,
    plate: &mut Plate,
    left: bool,
    ends: (f64, f64),
    top: f64,
) {
    let t = plate.sheet.thickness();
    let corner = model.metal.process.inside_corner.at(t);
    for (i, axle) in model.running.axles.iter().enumerate() {
        let z = axle.diameter / 2.0;
        let low = Point2::new(
            axle.x - spec.axlebox_width / 2.0,
            (z - spec.axlebox_height / 2.0).max(spec.bottom + 2.0 * t),
        );
        let high = Point2::new(
            axle.x + spec.axlebox_width / 2.0,
            (z + spec.axlebox_height / 2.0).min(top - 4.0 * t),
        );
        let inside = low.x > ends.0 + t && high.x < ends.1 - t && high.y - low.y > 2.0 * t;
        if inside {
            let opening = rounded_rectangle(low, high, corner);
            cut_side(
                plate,
                left,
                ends,
                &format!("axlebox-{}", i + 1),
                &opening,
                None,
            );
        }
    }
}

/// Rivets along the upper and lower edges.
fn lay_border(
    model: &Model,
    spec: &OutsideFrameSpec,
    plate: &mut Plate,
    left: bool,
    ends: (f64, f64),
    tops: &[Ceiling],
) {
    let (rivet, edge) = (&model.rivets.beams, model.rivets.edge);
    let at = |x, z| on_side(left, ends, Point2::new(x, z));
    let low = spec.bottom + edge;
    let row = even_row(at(ends.0 + edge, low), at(ends.1 - edge, low), rivet.pitch);
    lay_row(plate, "bottom", rivet, row);
    for c in tops {
        let z = c.top - edge;
        let row = even_row(at(c.from + edge, z), at(c.to - edge, z), rivet.pitch);
        lay_row(plate, "top", rivet, row);
    }
}
