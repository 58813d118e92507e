//! Drawn edges held against one another: overlay against base, left hand against right.

use super::as_drawn::Drawn;
use super::drawn_flat::{Displaced, displacements};
use super::measure::{Judged, Measured};
use artwork::centre_of;
use body::{Body, FindingPlace, Joint, Meeting, Severity};
use geom::{BodyPoint, Vector3};

/// Plates laid on one another, and left and right, agree within this (mm): what laminations etched on
/// one sheet do (common practice, no source).
const TOGETHER_MM: f64 = 0.075;

/// An edge of the base farther from that of its overlay than this is another edge (mm).
const SAME_EDGE_MM: f64 = 2.5;

/// A displaced place of an edge, on the body.
struct OnBody {
    own: Displaced,
    point: BodyPoint,
    outward: Vector3,
}

fn on_body(drawn: &Drawn<'_>) -> Vec<OnBody> {
    let place = |p| drawn.plate.forming.place(p).point;
    displacements(drawn.flat, drawn.drawn)
        .into_iter()
        .filter_map(|own| {
            let step = place(own.at + own.outward * 0.01) - place(own.at - own.outward * 0.01);
            let outward = step.try_normalize(1e-12)?;
            Some(OnBody {
                point: place(own.at),
                outward,
                own,
            })
        })
        .collect()
}

/// Places of a drawn plate on the body with what is drawn beyond what is meant there (mm), for showing.
pub(crate) fn deviations(drawn: &Drawn<'_>) -> Vec<(BodyPoint, f64)> {
    let place = |p| drawn.plate.forming.place(p).point;
    let edges = displacements(drawn.flat, drawn.drawn)
        .into_iter()
        .map(|own| (place(own.at + own.outward * own.beyond), own.beyond));
    let openings = drawn
        .drawn
        .openings
        .iter()
        .filter_map(|(feature, outline)| {
            let hole = drawn
                .flat
                .holes
                .iter()
                .find(|hole| hole.feature == *feature)?;
            let is = centre_of(outline);
            Some((place(is), (is - centre_of(&hole.outline)).norm()))
        });
    edges.chain(openings).collect()
}

/// The edges of overlays against those of their bases, both as drawn.
pub(crate) fn overlays_as_drawn(
    joints: &[Joint],
    find: impl Fn(&str) -> Option<usize>,
    all: &[Drawn<'_>],
) -> Vec<Judged> {
    let mut found = Vec::new();
    for joint in joints.iter().filter(|joint| joint.meeting == Meeting::Face) {
        let (Some(a), Some(b)) = (find(&joint.a.plate), find(&joint.b.plate)) else {
            continue;
        };
        let (over, base) = (on_body(&all[a]), on_body(&all[b]));
        let mut worst: Option<(f64, &OnBody)> = None;
        for edge in &over {
            let mate = base
                .iter()
                .filter(|other| other.outward.dot(&edge.outward) > 0.95)
                .map(|other| (other, (other.point - edge.point).norm()))
                .filter(|(_, distance)| *distance < SAME_EDGE_MM)
                .min_by(|x, y| x.1.total_cmp(&y.1));
            let Some((mate, _)) = mate else { continue };
            let beyond = edge.own.beyond - mate.own.beyond;
            if worst.is_none_or(|(most, _)| beyond.abs() > most.abs()) {
                worst = Some((beyond, edge));
            }
        }
        let Some((beyond, edge)) = worst else {
            continue;
        };
        let (overlay, under) = (&joint.a.plate, &joint.b.plate);
        let name = &all[a].flat.edges[edge.own.edge].name;
        let measured = Measured {
            path: joint.id.clone(),
            rule: "overlay-as-drawn",
            what: "edge of the overlay beyond that of the base",
            plates: vec![overlay.clone(), under.clone()],
            should_be: 0.0,
            drawn: beyond,
            allowed: (-TOGETHER_MM, TOGETHER_MM),
            at: place_of(&all[a], edge),
        };
        found.push(measured.judged(Severity::Error, |_| {
            let way = if beyond > 0.0 { "over" } else { "short of" };
            format!(
                "{overlay} will stand {:.2} mm {way} the edge of {under} at its {name}",
                beyond.abs()
            )
        }));
    }
    found
}

fn place_of(drawn: &Drawn<'_>, edge: &OnBody) -> FindingPlace {
    FindingPlace {
        plate: Some(drawn.plate.id.clone()),
        flat: Some(edge.own.at),
        body: Some(edge.point),
    }
}

/// The other hand of a plate: `tank-side-right` of `tank-side-left`.
fn other_hand(id: &str) -> Option<String> {
    let words: Vec<&str> = id.split('-').collect();
    words.contains(&"left").then(|| {
        let turned = words
            .iter()
            .map(|word| if *word == "left" { "right" } else { word });
        turned.collect::<Vec<_>>().join("-")
    })
}

/// Left hands against right hands, both as drawn.
pub(crate) fn hands_as_drawn(
    body: &Body,
    find: impl Fn(&str) -> Option<usize>,
    all: &[Drawn<'_>],
) -> Vec<Judged> {
    let mut found = Vec::new();
    for plate in &body.plates {
        let Some(right) = other_hand(&plate.id) else {
            continue;
        };
        let (Some(l), Some(r)) = (find(&plate.id), find(&right)) else {
            continue;
        };
        let mut worst = worst_edge(&all[l], &all[r]);
        let hole = worst_hole(&all[l], &all[r]);
        if hole.as_ref().map_or(0.0, |own| own.0) > worst.as_ref().map_or(0.0, |own| own.0.abs()) {
            worst = hole;
        }
        let Some((unlike, what, at)) = worst else {
            continue;
        };
        let id = &plate.id;
        let measured = Measured {
            path: format!("{id}~{right}"),
            rule: "hands-as-drawn",
            what: "left unlike right",
            plates: vec![id.clone(), right.clone()],
            should_be: 0.0,
            drawn: unlike,
            allowed: (-TOGETHER_MM, TOGETHER_MM),
            at,
        };
        found.push(measured.judged(Severity::Warning, |_| {
            format!(
                "{id} and {right} are no mirror images: they differ by {:.2} mm at {what}",
                unlike.abs()
            )
        }));
    }
    found
}

type Unlike = (f64, String, FindingPlace);

fn mirrored(p: BodyPoint) -> BodyPoint {
    BodyPoint::new(p.x, -p.y, p.z)
}

/// Two places of the body that are mirror images agree within this by design (mm).
const MIRROR_MM: f64 = 0.05;

fn worst_edge(left: &Drawn<'_>, right: &Drawn<'_>) -> Option<Unlike> {
    let others = on_body(right);
    let mut worst: Option<(f64, OnBody)> = None;
    for edge in on_body(left) {
        let image = mirrored(edge.point);
        let mate = others
            .iter()
            .map(|other| (other, (other.point - image).norm()))
            .filter(|(_, distance)| *distance < MIRROR_MM)
            .min_by(|x, y| x.1.total_cmp(&y.1));
        let Some((mate, _)) = mate else { continue };
        let unlike = edge.own.beyond - mate.own.beyond;
        if worst
            .as_ref()
            .is_none_or(|(most, _)| unlike.abs() > most.abs())
        {
            worst = Some((unlike, edge));
        }
    }
    let (unlike, edge) = worst?;
    let name = format!("the {} edge", left.flat.edges[edge.own.edge].name);
    let at = place_of(left, &edge);
    Some((unlike, name, at))
}

fn worst_hole(left: &Drawn<'_>, right: &Drawn<'_>) -> Option<Unlike> {
    let places = |own: &Drawn<'_>| {
        own.drawn
            .openings
            .iter()
            .filter_map(|(feature, outline)| {
                let hole = own
                    .flat
                    .holes
                    .iter()
                    .find(|hole| hole.feature == *feature)?;
                let point = |p| own.plate.forming.place(p).point;
                let meant = centre_of(&hole.outline);
                let is = centre_of(outline);
                Some((feature.clone(), meant, point(meant), point(is)))
            })
            .collect::<Vec<_>>()
    };
    let others = places(right);
    let mut worst: Option<Unlike> = None;
    for (feature, flat, meant, is) in places(left) {
        let image = mirrored(meant);
        let mate = others
            .iter()
            .find(|other| (other.2 - image).norm() < MIRROR_MM);
        let Some(mate) = mate else { continue };
        let unlike = ((mirrored(is) - image) - (mate.3 - mate.2)).norm();
        if worst.as_ref().is_none_or(|own| unlike > own.0) {
            let at = FindingPlace {
                plate: Some(left.plate.id.clone()),
                flat: Some(flat),
                body: Some(meant),
            };
            worst = Some((unlike, format!("the opening {feature}"), at));
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hands_by_whole_words() {
        assert_eq!(
            other_hand("tank-side-left").as_deref(),
            Some("tank-side-right")
        );
        assert_eq!(other_hand("cleft-plate"), None);
    }
}
