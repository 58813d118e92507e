//! Lips of a beam, folded back under the footplate on each side of the frames.

use super::side_plate::hand;
use crate::fit::{butt_joint, face_joint, hole_joint};
use crate::folded::{Corner, FoldedPlateOf};
use crate::laminations::pilot_diameter;
use crate::measure::flat_of;
use crate::model::specs::End;
use crate::rows::obstacles;
use crate::upright::drill;
use crate::{Body, BodyError, Model, Plate};
use develop::LoftFrame;
use geom::math::FRAC_PI_2;
use geom::{BodyPoint, Point2, Point3, Vector3};

/// Where a beam is folded (mm).
pub(super) struct Lips {
    /// x from the end of the footplate to the beam's outside face.
    behind: f64,
    /// Lower edge and upper face of the lips, above rail.
    heights: (f64, f64),
    half_width: f64,
    /// Distances from the centre line between which each lip lies.
    reach: (f64, f64),
    /// Length of a lip over the outside of its fold.
    depth: f64,
}

impl Lips {
    /// Room for lips: outside the frames, inside valances and outside frames that end behind the beam, under
    /// a level part of the footplate. `None` where there is too little.
    pub(super) fn of(
        model: &Model,
        end: End,
        behind: f64,
        (low, high): (Point2, Point2),
    ) -> Option<Self> {
        let t = model.metal.thickness("beams");
        let half_width = high.x;
        let clear = 2.0 * t;
        let inner = model.wheels.dimensions().over_frames / 2.0 + clear;
        let mut outer = half_width - t;
        if super::valances::behind_beam(model, end) {
            let inside = super::valances::outside(model) - model.metal.thickness("valances");
            outer = outer.min(inside - clear);
        }
        if let Some(frames) = &model.running.outside {
            let inside = frames.over / 2.0 - recess_of_frames(model);
            outer = outer.min(inside - clear);
        }
        // Enough for a pin and the metal round it: common practice, no source.
        let depth = model.scale.pick(2.5, 4.0);
        let (from, to) = match end {
            End::Front => (0.0, behind + depth),
            End::Rear => {
                let length = model.footplate.length;
                (length, length - behind - depth)
            }
        };
        let under = |x| super::footplate::underside_at(model, x);
        let is_level = (under(from) - under(to)).abs() < 1e-9;
        let top = high.y - model.metal.film;
        let fits = is_level && outer - inner > depth && top - low.y > 4.0 * t;
        fits.then_some(Self {
            behind,
            heights: (low.y, top),
            half_width,
            reach: (inner, outer),
            depth,
        })
    }
}

/// Thickness over all layers of an outside frame (mm).
fn recess_of_frames(model: &Model) -> f64 {
    model.metal.thickness("frames") + crate::laminations::recess(model)
}

/// A beam with two lips, its shoulders between and beside them as low as the fold begins.
pub(super) fn fold_beam(
    model: &Model,
    end: End,
    (id, title): (String, String),
    lips: &Lips,
) -> Result<Plate, BodyError> {
    let (bottom, top) = lips.heights;
    let half = lips.half_width;
    // The section is seen with the beam's outside on the left, travelling up and then inwards.
    let (x, outwards) = match end {
        End::Front => (0.0, 1.0),
        End::Rear => (model.footplate.length, -1.0),
    };
    let frame = LoftFrame {
        origin: Point3::new(x, half * outwards, 0.0),
        axis: -Vector3::y() * outwards,
        across: Vector3::x() * outwards,
        up: Vector3::z(),
    };
    let folded = FoldedPlateOf {
        id,
        assembly: "footplate",
        title,
        sheet: model.metal.sheet("beams"),
        frame,
        start: Point2::new(lips.behind, bottom),
        heading: FRAC_PI_2,
        legs: &[top - bottom, lips.depth],
        turns: &[-FRAC_PI_2],
        length: 2.0 * half,
        reach: 0.0,
        path: "buffer_beams",
    }
    .fold(model)?;
    let ((foot, lip), shoulder) = (folded.edges(), folded.fold(0).0);
    let (inner, outer) = lips.reach;
    // The first lip met is the left one at the front and the right one at the rear.
    let front = end == End::Front;
    let names = [!front, front].map(|left| format!("lip-{}", hand(left)));
    let sides = names.each_ref().map(|name| format!("{name}-side"));
    let corner = |w, along, side| Corner { w, along, side };
    let mut corners = vec![
        corner(foot, 0.0, "bottom"),
        corner(foot, 2.0 * half, "right"),
        corner(shoulder, 2.0 * half, "top"),
    ];
    let mut grooved = Vec::new();
    for (i, (from, to)) in [(half + inner, half + outer), (half - outer, half - inner)]
        .into_iter()
        .enumerate()
    {
        corners.extend([
            corner(shoulder, to, sides[i].as_str()),
            corner(lip, to, names[i].as_str()),
            corner(lip, from, sides[i].as_str()),
            corner(shoulder, from, "top"),
        ]);
        grooved.push((from, to));
    }
    corners.push(corner(shoulder, 0.0, "left"));
    Ok(folded.outlined(&corners, &grooved))
}

/// Lays the lips of a beam on the underside of the footplate, a pilot hole through each; a beam without
/// lips butts against it.
pub(super) fn join_lips(model: &Model, body: &mut Body, id: &str) {
    let [beam, footplate] = body.two_plates(id, "footplate");
    let mut joints = Vec::new();
    if beam.forming.loft().is_none() {
        joints.push(butt_joint((beam, "top"), (footplate, "underside")));
    }
    for left in [true, false] {
        let lip = format!("lip-{}", hand(left));
        let Some(middle) = middle_of_lip(beam, &lip) else {
            continue;
        };
        let face = format!("{lip}-outside");
        joints.push(face_joint((beam, &face), (footplate, "underside")));
        let diameter = pilot_diameter(model, beam, footplate);
        let (own, other) = (flat_of(beam, middle), flat_of(footplate, middle));
        let room = diameter / 2.0 + diameter;
        let clear = obstacles(beam).iter().all(|o| o.clear_of(own, diameter))
            && obstacles(footplate).iter().all(|o| o.clear_of(other, room));
        if !clear {
            continue;
        }
        let feature = format!("pilot-{id}-{}", hand(left));
        drill(beam, &feature, own, diameter);
        drill(footplate, &feature, other, diameter);
        joints.push(hole_joint((beam, &feature), (footplate, &feature)));
    }
    body.joints.extend(joints);
}

/// The place in the middle of a lip's flat part, on mid-sheet; `None` for a plate without that lip.
fn middle_of_lip(beam: &Plate, lip: &str) -> Option<BodyPoint> {
    let edge = beam.edge(lip)?;
    let middle = beam.flat_point(&edge.curve, 0.5).ok()?;
    let loft = beam.forming.loft()?;
    let end = loft.w_end();
    let y = |w| loft.flat(develop::SurfacePoint { w, v: 0.0 }).y;
    let back = (y(end) - y(end - 1.0)) / 2.0;
    let flat = Point2::new(middle.x, middle.y - back);
    Some(beam.forming.place(flat).point)
}
