//! What was drawn of a plate, laid on its flat with the names of what was meant.

use super::refit::refitted;
use super::relay::{identity, relay};
use crate::datum::ClosedRun;
use crate::drawn_plate::DrawnPlate;
use crate::openings::{Opening, Paired};
use artwork::{FlatDrawing, Role};
use body::Plate;
use geom::{FlatPoint, Outline, Segment, Vector2};

/// A plate as drawn: the names of the meant one carried over to the drawn curves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawnFlat {
    /// The drawn run of each meant edge, in the order of the plate's outline; `None` if what was drawn
    /// does not follow the meant corners.
    pub edges: Option<Vec<Vec<Segment>>>,
    /// The whole drawn outline.
    pub outline: Vec<Segment>,
    /// Drawn openings with the feature that each is.
    pub openings: Vec<(String, Outline)>,
    /// Meant openings that are not drawn.
    pub missing: Vec<String>,
    /// Borders of what is no opening: half-etched places, rivets, and what cannot be told.
    pub details: Vec<(Role, Outline)>,
}

impl DrawnFlat {
    /// What was drawn of a plate; `on_datum` if it lies by its centre line and must stay so.
    pub(crate) fn of(drawn: &DrawnPlate<'_>, openings: &Paired<'_>, on_datum: bool) -> Self {
        let meant = ClosedRun::new(drawn.flat.outline.segments().to_vec());
        let ties = openings.ties();
        let motion = if on_datum {
            identity()
        } else {
            relay(&drawn.run, &meant, &ties)
        };
        let moved = |outline: &Outline| {
            let segments = outline.segments().iter().map(|s| motion.segment(s));
            Outline::from_chain(&geom::Chain::from_segments(segments))
                .unwrap_or_else(|_| outline.clone())
        };
        let run = drawn.run.moved(&motion);
        let parts: Vec<Option<Vec<Segment>>> = drawn
            .runs
            .iter()
            .map(|part| part.map(|part| refitted(&run.part(part.from, part.length))))
            .collect();
        let edges = parts
            .into_iter()
            .collect::<Option<Vec<_>>>()
            .filter(|all| !all.is_empty() && all.iter().all(|own| !own.is_empty()));
        let taken: Vec<&Opening> = openings.pairs.iter().map(|pair| &pair.drawn).collect();
        let unknown = drawn
            .openings()
            .into_iter()
            .filter(|outline| taken.iter().all(|own| own.outline != *outline))
            .map(|outline| (Role::Unknown, outline));
        Self {
            edges,
            openings: openings
                .pairs
                .iter()
                .map(|pair| (pair.hole.feature.clone(), moved(&pair.drawn.outline)))
                .collect(),
            missing: openings.missing.iter().map(|h| h.feature.clone()).collect(),
            details: drawn
                .details()
                .into_iter()
                .chain(unknown)
                .map(|(role, outline)| (role, moved(&outline)))
                .collect(),
            outline: run.segments,
        }
    }

    /// Drawn length of all edges of a name (mm).
    pub(crate) fn length(&self, plate: &Plate, name: &str) -> Option<f64> {
        let edges = self.edges.as_ref()?;
        let own = plate.outline.iter().zip(edges);
        let run = own.filter(|(edge, _)| edge.name == name);
        Some(run.flat_map(|(_, run)| run).map(Segment::length).sum())
    }
}

/// A place of a meant edge, and how far outward the drawn edge runs there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Displaced {
    /// The edge, by its place in the outline.
    pub(crate) edge: usize,
    /// The meant place on the flat.
    pub(crate) at: FlatPoint,
    /// Outward from the plate, in the sheet.
    pub(crate) outward: Vector2,
    /// Drawn beyond meant (mm); negative is short.
    pub(crate) beyond: f64,
}

/// Shares of an edge at which displacements are taken: clear of the corners, which belong to two edges,
/// and the same from either end, so that left and right hands are looked at in the same places.
const SHARES: [f64; 5] = [0.08, 0.29, 0.5, 0.71, 0.92];

/// How far the drawn outline runs beyond the meant one, edge by edge.
pub(crate) fn displacements(flat: &FlatDrawing, drawn: &DrawnFlat) -> Vec<Displaced> {
    let Some(edges) = &drawn.edges else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (edge, run) in edges.iter().enumerate() {
        let meant = geom::Chain::from_segments(flat.edge_segments(edge).copied());
        let length = meant.length();
        if meant.segments().is_empty() || length < 0.3 {
            continue;
        }
        for share in SHARES {
            let at = meant.point_at(share * length);
            let (s, c) = geom::math::sin_cos(meant.tangent_angle_at(share * length));
            let outward = Vector2::new(s, -c);
            let nearest = run
                .iter()
                .map(|piece| {
                    let (fraction, distance) = piece.nearest(at);
                    (piece.point_at(fraction), distance)
                })
                .min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((place, _)) = nearest {
                found.push(Displaced {
                    edge,
                    at,
                    outward,
                    beyond: (place - at).dot(&outward),
                });
            }
        }
    }
    found
}
