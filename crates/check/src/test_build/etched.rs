//! Half-etched places as drawn: fold lines above all, their place, width and side.

use super::as_drawn::Drawn;
use super::drawn_flat::DrawnFlat;
use super::measure::{Judged, Measured};
use crate::tolerance::{PLACE_MM, SIZE_MM};
use artwork::{FlatRegion, Role, centre_of};
use body::{Face, FindingPlace, Purpose, Severity};
use geom::Outline;

/// Of two places drawn over one another the one on the right face is nearer by this (mm).
const OTHER_FACE_MM: f64 = 0.05;

/// The face that a half-etched place is etched from.
pub(crate) fn face_of(role: Role) -> Option<Face> {
    match role {
        Role::HalfEtchFront => Some(Face::Outside),
        Role::HalfEtchRear => Some(Face::Inside),
        _ => None,
    }
}

/// A drawn place farther off than this is another (mm).
const REACH_MM: f64 = 2.0;

/// Width of a narrow place (mm): of the rectangle of its area and perimeter.
fn width_of(outline: &Outline) -> f64 {
    let half = outline.perimeter() / 2.0;
    let area = outline.area().abs();
    (half - (half * half - 4.0 * area).max(0.0).sqrt()) / 2.0
}

/// The drawn border that a half-etched place is taken for: the nearest of about its size.
pub(crate) fn drawn_for<'d>(
    region: &FlatRegion,
    drawn: &'d DrawnFlat,
) -> Option<&'d (Role, Outline)> {
    let size = region.outline.perimeter();
    drawn
        .details
        .iter()
        .filter(|(role, _)| *role != Role::Rivet)
        .filter(|(_, outline)| (outline.perimeter() - size).abs() < 0.25 * size + 0.5)
        .map(|mate| {
            let other_face = face_of(mate.0).is_some_and(|face| face != region.face);
            let off = apart(&mate.1, &region.outline);
            (mate, off + if other_face { OTHER_FACE_MM } else { 0.0 })
        })
        .filter(|(_, off)| *off < REACH_MM)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(mate, _)| mate)
}

/// Each half-etched place against what is meant; for a fold that decides where it bends.
pub(crate) fn etched_as_drawn(own: &Drawn<'_>) -> Vec<Judged> {
    let mut found = Vec::new();
    let mut missing: Vec<&FlatRegion> = Vec::new();
    for region in &own.flat.regions {
        match drawn_for(region, own.drawn) {
            Some(mate) => found.extend(compared(own, region, mate)),
            None => missing.push(region),
        }
    }
    found.extend(not_drawn(own, &missing));
    found
}

/// Width of a drawn place (mm) that is as long as the meant one.
///
/// By the quotient of area and half perimeter, q = w l / (w + l) of a rectangle, so that w = q l / (l - q): unlike the
/// sides of the rectangle of area and perimeter, of a place nearly as wide as long this hardly changes where the etch
/// has rounded a corner.
fn drawn_width(drawn: &Outline, meant: &Outline) -> f64 {
    let length = meant.perimeter() / 2.0 - width_of(meant);
    let quotient = 2.0 * drawn.area().abs() / drawn.perimeter();
    if quotient < length {
        quotient * length / (length - quotient)
    } else {
        2.0 * quotient
    }
}

/// How far a place stands off another (mm): by the middles of their boxes or of their areas, whichever is less. The
/// middle of the area of a long narrow strip runs along it when its width is rounded.
fn apart(one: &Outline, other: &Outline) -> f64 {
    let middle = |own: &Outline| {
        let (low, high) = own.bounds();
        (low.coords + high.coords) / 2.0
    };
    let by_area = (centre_of(one) - centre_of(other)).norm();
    by_area.min((middle(one) - middle(other)).norm())
}

fn measured(own: &Drawn<'_>, region: &FlatRegion, what: &'static str) -> Measured {
    let id = &own.plate.id;
    let centre = centre_of(&region.outline);
    let rule = if region.purpose == Purpose::Fold {
        "fold-as-drawn"
    } else {
        "etched-as-drawn"
    };
    Measured {
        path: format!("{id}/{}", region.name),
        rule,
        what,
        plates: vec![id.clone()],
        should_be: 0.0,
        drawn: 0.0,
        allowed: (0.0, 0.0),
        at: FindingPlace {
            plate: Some(id.clone()),
            flat: Some(centre),
            body: Some(own.plate.forming.place(centre).point),
        },
    }
}

fn compared(own: &Drawn<'_>, region: &FlatRegion, mate: &(Role, Outline)) -> Vec<Judged> {
    let (id, name) = (&own.plate.id, &region.name);
    let fold = region.purpose == Purpose::Fold;
    let severity = if fold {
        Severity::Error
    } else {
        Severity::Warning
    };
    let mut found = Vec::new();
    let off = apart(&mate.1, &region.outline);
    let place = Measured {
        drawn: off,
        allowed: (0.0, PLACE_MM),
        ..measured(own, region, "out of its place")
    };
    found.push(place.judged(severity, |_| {
        if fold {
            format!("{id} will fold {off:.2} mm beside its line {name}: what is folded comes out that much too long or short")
        } else {
            format!("the half-etched place {name} of {id} stands {off:.2} mm out of its place")
        }
    }));
    let ought = width_of(&region.outline);
    let is = drawn_width(&mate.1, &region.outline);
    let width = Measured {
        should_be: ought,
        drawn: is,
        allowed: (ought - SIZE_MM, ought + SIZE_MM),
        ..measured(own, region, "width")
    };
    found.push(width.judged(Severity::Warning, |_| {
        let happens = match (fold, is < ought) {
            (true, true) => ": its walls will meet before the fold is made",
            (true, false) => ": the fold will come out with too round a corner",
            _ => "",
        };
        format!("{name} of {id} is {is:.2} mm wide instead of {ought:.2}{happens}")
    }));
    if let Some(face) = face_of(mate.0)
        && region.purpose != Purpose::Band
        && face != region.face
    {
        let side = Measured {
            drawn: 1.0,
            ..measured(own, region, "etched on the wrong face")
        };
        found.push(side.judged(Severity::Error, |_| {
            format!(
                "{name} of {id} is etched on the {} face; it belongs on the {}{}",
                face.word(),
                region.face.word(),
                if fold {
                    ", or the fold goes the wrong way"
                } else {
                    ""
                }
            )
        }));
    }
    found
}

/// Places that are not drawn: each fold by itself, the others of a plate together.
fn not_drawn(own: &Drawn<'_>, missing: &[&FlatRegion]) -> Vec<Judged> {
    let id = &own.plate.id;
    let (folds, others): (Vec<&FlatRegion>, Vec<&FlatRegion>) = missing
        .iter()
        .partition(|region| region.purpose == Purpose::Fold);
    let mut found: Vec<Judged> = folds
        .into_iter()
        .map(|region| {
            let own = Measured {
                drawn: 1.0,
                ..measured(own, region, "not drawn")
            };
            own.judged(Severity::Error, |_| {
                format!("the fold line {} of {id} is not drawn", region.name)
            })
        })
        .collect();
    if let Some(first) = others.first() {
        let names: Vec<&str> = others.iter().map(|region| region.name.as_str()).collect();
        let marks = others.iter().all(|region| region.purpose == Purpose::Mark);
        let severity = if marks {
            Severity::Note
        } else {
            Severity::Warning
        };
        let own = Measured {
            drawn: others.len() as f64,
            ..measured(own, first, "not drawn")
        };
        found.push(own.judged(severity, |_| {
            format!(
                "half-etched places of {id} are not drawn: {}",
                names.join(", ")
            )
        }));
    }
    found
}
