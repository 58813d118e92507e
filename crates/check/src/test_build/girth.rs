//! Wrappers against the formers that they go round: length, seam and diagonal.

use super::as_drawn::Drawn;
use super::measure::{Judged, Measured};
use crate::skin::is_ring;
use crate::tolerance::{READING_MM, wrapper_long};
use body::{FindingPlace, Joint, Meeting, Plate, Severity};
use geom::math::PI;
use geom::{FlatPoint, Segment};

/// How far a wrapper may be short on a drawn former (mm): what two drawings are read to, no more.
const SHORT_MM: f64 = 1.5 * READING_MM;

/// Meant length of all edges of a name (mm).
fn meant_length(own: &Drawn<'_>, name: &str) -> f64 {
    let edges = own.flat.edges.iter();
    edges
        .filter(|edge| edge.name == name)
        .map(|edge| edge.fitted)
        .sum()
}

/// What is drawn longer than meant of all edges of a name (mm); nothing for a plate that is not drawn.
fn longer(own: Option<&Drawn<'_>>, name: &str) -> Option<f64> {
    match own {
        None => Some(0.0),
        Some(own) => Some(own.drawn.length(own.plate, name)? - meant_length(own, name)),
    }
}

/// The length of a wrapper's edge against the rim of its former, both as drawn.
pub(crate) fn girth_as_drawn(
    joint: &Joint,
    wrapper: &Plate,
    drawn: impl Fn(&str) -> Option<usize>,
    all: &[Drawn<'_>],
    mm_per_foot: f64,
) -> Option<Judged> {
    let Meeting::OnFormer { .. } = joint.meeting else {
        return None;
    };
    let (edge, rim) = (joint.a.feature.as_str(), joint.b.feature.as_str());
    let own = |id: &str| drawn(id).map(|i| &all[i]);
    let (a, b) = (own(&joint.a.plate), own(&joint.b.plate));
    if a.is_none() && b.is_none() {
        return None;
    }
    let spare = longer(a, edge)? - longer(b, rim)?;
    let ring = wrapper.forming.loft().is_some_and(is_ring);
    let place = wrapper.edge(edge)?;
    let flat = wrapper.flat_point(&place.curve, 0.0).ok();
    let measured = Measured {
        path: joint.id.clone(),
        rule: if ring {
            "seam-as-drawn"
        } else {
            "girth-as-drawn"
        },
        what: if ring {
            "overlap at the seam"
        } else {
            "length round the former"
        },
        plates: vec![joint.a.plate.clone(), joint.b.plate.clone()],
        should_be: 0.0,
        drawn: spare,
        allowed: (-SHORT_MM, wrapper_long(mm_per_foot)),
        at: FindingPlace {
            plate: Some(wrapper.id.clone()),
            flat,
            body: flat.map(|p| wrapper.forming.place(p).point),
        },
    };
    let closes = a.map(|own| {
        let t = wrapper.sheet.thickness();
        let length = meant_length(own, edge);
        (
            (length + longer(a, edge).unwrap_or(0.0)) / PI + t,
            length / PI + t,
        )
    });
    let has_feet = wrapper
        .points
        .iter()
        .any(|(name, _)| name.ends_with("-foot"));
    let severity = if spare < 0.0 {
        Severity::Error
    } else {
        Severity::Warning
    };
    Some(measured.judged(severity, |_| {
        in_metal(joint, spare, closes.filter(|_| ring), has_feet)
    }))
}

fn in_metal(joint: &Joint, spare: f64, closes: Option<(f64, f64)>, has_feet: bool) -> String {
    let (a, b, edge) = (&joint.a.plate, &joint.b.plate, &joint.a.feature);
    if let Some((drawn, meant)) = closes {
        let seam = if spare < 0.0 { "gapes" } else { "overlaps" };
        return format!(
            "the seam of {a} {seam} by {:.2} mm on {b} at its {edge}: it closes on {drawn:.2} mm instead of {meant:.2}",
            spare.abs()
        );
    }
    let each = spare.abs() / 2.0;
    if has_feet {
        let way = if spare < 0.0 { "high" } else { "low" };
        let stands = if spare < 0.0 { "short of" } else { "beyond" };
        format!(
            "the wrapper {a} will stand {:.2} mm {stands} the former {b} at its {edge}: each foot {each:.2} mm too {way}",
            spare.abs()
        )
    } else {
        let stands = if spare < 0.0 { "short of" } else { "beyond" };
        format!(
            "the wrapper {a} will stand {:.2} mm {stands} the former {b} at its {edge}, {each:.2} mm at each end",
            spare.abs()
        )
    }
}

/// How far the two diagonals of a wrapper may differ from what is meant (mm): a turn of the outline's
/// tolerance at each of two corners.
const DIAGONAL_MM: f64 = 0.10;

/// The two diagonals of a rolled plate: unlike what is meant, one end comes out twisted on the other.
pub(crate) fn diagonal_as_drawn(own: &Drawn<'_>) -> Option<Judged> {
    own.plate.forming.loft()?;
    let edges = own.drawn.edges.as_ref()?;
    if edges.len() != 4 || own.plate.outline.len() != 4 {
        return None;
    }
    let drawn: Vec<FlatPoint> = edges
        .iter()
        .filter_map(|run| run.first().map(Segment::start))
        .collect();
    let meant: Vec<FlatPoint> = (0..4)
        .filter_map(|e| own.flat.edge_segments(e).next().map(Segment::start))
        .collect();
    if drawn.len() != 4 || meant.len() != 4 {
        return None;
    }
    let unlike = |p: &[FlatPoint]| (p[2] - p[0]).norm() - (p[3] - p[1]).norm();
    let (is, ought) = (unlike(&drawn), unlike(&meant));
    let id = &own.plate.id;
    let measured = Measured {
        path: format!("{id}/diagonals"),
        rule: "diagonal-as-drawn",
        what: "one diagonal longer than the other",
        plates: vec![id.clone()],
        should_be: ought,
        drawn: is,
        allowed: (ought - DIAGONAL_MM, ought + DIAGONAL_MM),
        at: FindingPlace {
            plate: Some(id.clone()),
            flat: Some(meant[2]),
            body: Some(own.plate.forming.place(meant[2]).point),
        },
    };
    Some(measured.judged(Severity::Error, |_| {
        format!(
            "{id} is drawn out of square: its diagonals differ by {is:.2} mm instead of {ought:.2}, so one end will lie twisted on its former"
        )
    }))
}
