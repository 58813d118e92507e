//! Where plates are meant to meet: joints declared by the sub-assemblies, measured afterwards.
//!
//! In every joint side `a` goes onto side `b`.

use crate::{Joint, JointKind, Meeting, Plate, Side};
use geom::BodyPoint;

fn declared(meeting: Meeting, a: (&Plate, &str), b: (&Plate, &str)) -> Joint {
    let kind = match meeting {
        Meeting::OnFormer { .. } | Meeting::Butt => JointKind::Edge,
        Meeting::Tab => JointKind::Tab,
        Meeting::Hole => JointKind::Hole,
        Meeting::Face => JointKind::Face,
    };
    Joint {
        id: format!("{}/{}~{}/{}", a.0.id, a.1, b.0.id, b.1),
        kind,
        meeting,
        a: Side::new(&a.0.id, a.1),
        b: Side::new(&b.0.id, b.1),
        gap: f64::NAN,
        range: (f64::NAN, f64::NAN),
        limit: (f64::NAN, f64::NAN),
        largest_contributor: String::new(),
        at: BodyPoint::origin(),
    }
}

/// A wrapper's edge on the rim of its former: a radial gap, as designed the film of solder.
///
/// `turn` (rad) is the net turning of the section.
pub(crate) fn former_joint(wrapper: (&Plate, &str), former: (&Plate, &str), turn: f64) -> Joint {
    declared(Meeting::OnFormer { turn }, wrapper, former)
}

/// Face on face with a film of solder between: an overlay, a lamination or a strip on its base.
///
/// Faces are named `outside` or `top`, `inside` or `underside`.
pub(crate) fn face_joint(a: (&Plate, &str), b: (&Plate, &str)) -> Joint {
    declared(Meeting::Face, a, b)
}

/// An edge that butts on a face or another edge.
pub(crate) fn butt_joint(a: (&Plate, &str), b: (&Plate, &str)) -> Joint {
    declared(Meeting::Butt, a, b)
}

/// A tab in its slot.
pub(crate) fn tab_joint(a: (&Plate, &str), b: (&Plate, &str)) -> Joint {
    declared(Meeting::Tab, a, b)
}

/// A hole over another.
pub(crate) fn hole_joint(a: (&Plate, &str), b: (&Plate, &str)) -> Joint {
    declared(Meeting::Hole, a, b)
}
