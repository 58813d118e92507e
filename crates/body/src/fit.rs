//! Joints as data: the gap as designed, at worst case, and as allowed.

use crate::{Joint, JointKind, Model, Plate, Scale, Side};
use geom::{BodyPoint, FlatPoint};

/// A share of a worst case: what it is, and how far it moves the gap either way (mm).
type Share = (String, f64);

/// Gap that builds well between a wrapper and its former (mm).
///
/// Above, the greatest gap that solder bridges neatly (common practice, no source). Below zero the
/// former is proud and is filed; a twentieth more than the film is as much as a builder takes off
/// (chosen, not sourced).
fn former_limit(scale: Scale) -> (f64, f64) {
    (-scale.pick(0.06, 0.10), scale.pick(0.10, 0.15))
}

/// Gap that builds well between two plates that butt (mm): common practice, no source.
fn butt_limit(scale: Scale) -> (f64, f64) {
    (-scale.pick(0.10, 0.15), scale.pick(0.10, 0.15))
}

fn joint(
    kind: JointKind,
    a: (&Plate, &str),
    b: (&Plate, &str),
    gap: f64,
    shares: Vec<Share>,
    limit: (f64, f64),
) -> Joint {
    let spread: f64 = shares.iter().map(|(_, amount)| amount).sum();
    let largest = shares
        .iter()
        .max_by(|x, y| x.1.total_cmp(&y.1))
        .map_or_else(String::new, |(what, _)| what.clone());
    Joint {
        id: format!("{}/{}~{}/{}", a.0.id, a.1, b.0.id, b.1),
        kind,
        a: Side::new(&a.0.id, a.1),
        b: Side::new(&b.0.id, b.1),
        gap,
        range: (gap - spread, gap + spread),
        limit,
        largest_contributor: largest,
        at: place_of(a.0, a.1),
    }
}

/// The middle of an edge, or the middle of the plate for a face.
fn place_of(plate: &Plate, feature: &str) -> BodyPoint {
    let flat = plate
        .edge(feature)
        .and_then(|edge| plate.flat_point(&edge.curve, 0.5).ok())
        .or_else(|| plate.points.first().map(|(_, point)| *point))
        .unwrap_or(FlatPoint::origin());
    plate.forming.place(flat).point
}

/// A wrapper's edge on the rim of its former: radial gap, as designed the film of solder.
///
/// `turn` (rad) is the net turning of the section. Worst case: the former's size and the sheet's
/// thickness at half their tolerance a side, and the wrapper's own length spread over its turn.
pub(crate) fn former_joint(
    model: &Model,
    wrapper: (&Plate, &str),
    former: (&Plate, &str),
    turn: f64,
) -> Joint {
    let p = model.metal.process;
    let sheet = wrapper.0.sheet.thickness();
    let shares = vec![
        (
            format!("size of {}", former.0.id),
            p.feature_tolerance.at(former.0.sheet.thickness()) / 2.0,
        ),
        (
            format!("thickness of {}", wrapper.0.id),
            p.sheet_tolerance.at(wrapper.0.sheet.stock_thickness) / 2.0,
        ),
        (
            format!("length of {}", wrapper.0.id),
            p.feature_tolerance.at(sheet) / turn,
        ),
    ];
    joint(
        JointKind::Edge,
        wrapper,
        former,
        model.metal.film,
        shares,
        former_limit(model.scale),
    )
}

/// Face on face with a film of solder between.
pub(crate) fn face_joint(model: &Model, a: (&Plate, &str), b: (&Plate, &str)) -> Joint {
    let p = model.metal.process;
    let shares = [a.0, b.0]
        .into_iter()
        .map(|plate| {
            (
                format!("thickness of {}", plate.id),
                p.sheet_tolerance.at(plate.sheet.stock_thickness) / 2.0,
            )
        })
        .collect();
    joint(
        JointKind::Face,
        a,
        b,
        model.metal.film,
        shares,
        (0.0, model.scale.pick(0.10, 0.15)),
    )
}

/// An edge that butts on a face or another edge, `gap` apart as designed (mm).
pub(crate) fn butt_joint(model: &Model, a: (&Plate, &str), b: (&Plate, &str), gap: f64) -> Joint {
    let p = model.metal.process;
    let shares = vec![
        (
            format!("size of {}", a.0.id),
            p.feature_tolerance.at(a.0.sheet.thickness()) / 2.0,
        ),
        (
            format!("thickness of {}", b.0.id),
            p.sheet_tolerance.at(b.0.sheet.thickness()),
        ),
    ];
    joint(JointKind::Edge, a, b, gap, shares, butt_limit(model.scale))
}
