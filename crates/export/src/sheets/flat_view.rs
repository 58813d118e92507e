//! The flat of a plate at true size with its bend lines.

use super::paper::{FAINT, INK, THIN, WIDE};
use super::words::{Room, Taken, width_of};
use crate::page::{Item, Rgb};
use artwork::FlatDrawing;
use body::Bend;
use develop::Loft;
use geom::{Outline, Point2, Segment, Vector2};

/// Where bends begin and end, and their middles.
const BEND: Rgb = (0, 92, 170);
const ETCHED: Rgb = (226, 234, 240);
const PROUD: Rgb = (244, 234, 210);

/// Long dash and dot of a centre line, short dashes of a bend's middle (mm).
pub(super) const CENTRE: &[f64] = &[6.0, 1.2, 0.5, 1.2];
const MIDDLE: &[f64] = &[2.0, 1.0];

/// Radius of the ring round a bend's number, height of the number, height of a side's name (mm).
const RING: f64 = 2.0;
const NUMBER: f64 = 1.8;
const NAME: f64 = 1.6;

/// Shortest side that is named (mm).
const NAMED_FROM: f64 = 8.0;

/// A drawing with its extent; words stand apart, so that tiles can leave out those that are cut.
pub(super) struct View {
    pub(super) room: Room,
    pub(super) lines: Vec<Item>,
    pub(super) labels: Vec<(Room, Vec<Item>)>,
}

/// The flat, turned by a quarter if asked.
pub(super) fn flat_view(drawing: &FlatDrawing, loft: &Loft, bends: &[Bend], turned: bool) -> View {
    let own = Turn { turned };
    let outline = own.outline(&drawing.outline);
    let mut lines = Vec::new();
    for region in &drawing.regions {
        let is_proud = region.z_high - region.z_low > drawing.plain.1 - drawing.plain.0;
        lines.push(Item::Filled {
            loops: vec![own.outline(&region.outline)],
            colour: if is_proud { PROUD } else { ETCHED },
        });
    }
    let borders = drawing.regions.iter().map(|own| &own.outline);
    lines.push(Item::Drawn {
        loops: borders.map(|border| own.outline(border)).collect(),
        colour: FAINT,
        width: 0.1,
    });
    lines.push(Item::Drawn {
        loops: drawing
            .rivets
            .iter()
            .map(|rivet| Outline::circle(own.point(rivet.centre), rivet.drawn_diameter() / 2.0))
            .collect(),
        colour: FAINT,
        width: 0.1,
    });
    let (mut sides, mut middles) = (Vec::new(), Vec::new());
    for bend in bends {
        let [first, middle, last] = bend.lines(loft).map(|(a, b)| (own.point(a), own.point(b)));
        sides.push(vec![Segment::line(first.0, first.1)]);
        sides.push(vec![Segment::line(last.0, last.1)]);
        // The centre line is drawn as such.
        let on_datum = loft.datum() - (bend.rulings.0 + bend.rulings.1) / 2.0;
        if on_datum.abs() > 1e-6 {
            middles.push(vec![Segment::line(middle.0, middle.1)]);
        }
    }
    lines.push(coloured(sides, THIN, &[]));
    lines.push(coloured(middles, THIN, MIDDLE));
    let (a, b) = datum(loft, &own);
    let along = (b - a).normalize() * 3.0;
    lines.push(Item::Runs {
        runs: vec![vec![Segment::line(a - along, b + along)]],
        colour: INK,
        width: THIN,
        dashes: CENTRE,
    });
    let beside = |p: Point2| (b - a).perp(&(own.point(p) - a)).abs() > 0.01 * (b - a).norm();
    let marks = drawing
        .marks
        .iter()
        .filter(|mark| beside(mark.from) || beside(mark.to));
    lines.push(Item::Runs {
        runs: marks
            .map(|mark| vec![Segment::line(own.point(mark.from), own.point(mark.to))])
            .collect(),
        colour: INK,
        width: 0.1,
        dashes: CENTRE,
    });
    let mut loops = vec![outline.clone()];
    loops.extend(drawing.holes.iter().map(|hole| own.outline(&hole.outline)));
    lines.push(Item::Drawn {
        loops,
        colour: INK,
        width: WIDE,
    });
    let (low, high) = outline.bounds();
    let mut taken = Taken::default();
    let stub = |end: Point2, along: Vector2| {
        let tip = end + along * 1.2;
        Room::about(
            end + (tip - end) / 2.0,
            along.x.abs() * 1.2 + 1.4,
            along.y.abs() * 1.2 + 1.4,
        )
    };
    taken.add(stub(b, along));
    taken.add(stub(a, -along));
    let mut labels = numbers(&outline, loft, bends, &own, &mut taken);
    labels.extend(names(drawing, &outline, &own, &mut taken));
    let mut room = Room {
        low: low - Vector2::new(3.5, 3.5),
        high: high + Vector2::new(3.5, 3.5),
    };
    for (label, _) in &labels {
        room = room.with(label);
    }
    View {
        room,
        lines,
        labels,
    }
}

fn coloured(runs: Vec<Vec<Segment>>, width: f64, dashes: &'static [f64]) -> Item {
    Item::Runs {
        runs,
        colour: BEND,
        width,
        dashes,
    }
}

fn datum(loft: &Loft, own: &Turn) -> (Point2, Point2) {
    let ruling = loft.ruling(loft.datum());
    let end = ruling.flat + ruling.flat_direction * ruling.length;
    (own.point(ruling.flat), own.point(end))
}

/// Numbers of bends in rings beyond the ends of their middles.
fn numbers(
    outline: &Outline,
    loft: &Loft,
    bends: &[Bend],
    own: &Turn,
    taken: &mut Taken,
) -> Vec<(Room, Vec<Item>)> {
    let (low, high) = outline.bounds();
    let metal = Room { low, high };
    let mut labels = Vec::new();
    for bend in bends {
        let (a, b) = bend.lines(loft)[1];
        let (a, b) = (own.point(a), own.point(b));
        let along = (b - a).normalize();
        let across = Vector2::new(-along.y, along.x);
        let mut choices = Vec::new();
        for out in [4.5, 9.0, 13.5, 18.0] {
            for (end, along) in [(a, -along), (b, along)] {
                for aside in [0.0, 4.5, -4.5] {
                    let at = end + along * out + across * aside;
                    choices.push((Room::about(at, 2.2 * RING, 2.2 * RING), end, at));
                }
            }
        }
        // Rings that lie on the metal come last.
        choices.sort_by_key(|(room, ..)| room.meets(&metal));
        let Some(room) = taken.take(choices.iter().map(|own| own.0)) else {
            continue;
        };
        let (_, end, at) = choices
            .into_iter()
            .find(|own| own.0 == room)
            .expect("the room taken is one of the choices");
        let text = bend.number.to_string();
        let width = width_of(&text, NUMBER);
        let to_ring = (at - end).normalize();
        let mut items = vec![
            Item::Drawn {
                loops: vec![Outline::circle(at, RING)],
                colour: BEND,
                width: THIN,
            },
            Item::Words {
                text,
                at: at - Vector2::new(width / 2.0, NUMBER / 2.0),
                height: NUMBER,
                colour: BEND,
            },
        ];
        let leader = Segment::line(end + to_ring * 0.6, at - to_ring * RING);
        items.push(coloured(vec![vec![leader]], 0.13, &[]));
        labels.push((room, items));
    }
    labels
}

/// Names of the longer sides, outside the metal.
fn names(
    drawing: &FlatDrawing,
    outline: &Outline,
    own: &Turn,
    taken: &mut Taken,
) -> Vec<(Room, Vec<Item>)> {
    let mut labels = Vec::new();
    for (i, edge) in drawing.edges.iter().enumerate() {
        let segments: Vec<&Segment> = drawing.edge_segments(i).collect();
        let Some(longest) = segments
            .iter()
            .max_by(|a, b| a.length().total_cmp(&b.length()))
        else {
            continue;
        };
        if edge.fitted < NAMED_FROM {
            continue;
        }
        let width = width_of(&edge.name, NAME);
        let mut rooms = Vec::new();
        for out in [1.6, 3.4, 5.2, 8.0] {
            for share in [0.5, 0.3, 0.7, 0.15, 0.85] {
                let at = longest.point_at(share);
                let heading = longest.tangent_angle_at(share);
                let (s, c) = geom::math::sin_cos(heading);
                // The outline runs anticlockwise: outside is on the right.
                let outward = own.vector(Vector2::new(s, -c));
                let reach = outward.x.abs() * width / 2.0 + outward.y.abs() * NAME;
                let middle = own.point(at) + outward * (out + reach);
                rooms.push(Room::about(middle, width + 1.0, 1.8 * NAME));
            }
        }
        rooms.retain(|room| !outline_meets(outline, room));
        if let Some(room) = taken.take(rooms) {
            let at = Point2::new(room.low.x + 0.5, room.low.y + 0.4 * NAME);
            labels.push((
                room,
                vec![Item::Words {
                    text: edge.name.clone(),
                    at,
                    height: NAME,
                    colour: FAINT,
                }],
            ));
        }
    }
    labels
}

fn outline_meets(outline: &Outline, room: &Room) -> bool {
    let middle = Point2::from((room.low.coords + room.high.coords) / 2.0);
    let corners = [
        room.low,
        room.high,
        Point2::new(room.low.x, room.high.y),
        Point2::new(room.high.x, room.low.y),
        middle,
    ];
    corners.iter().any(|corner| outline.contains(*corner))
}

/// A quarter turn, or none.
struct Turn {
    turned: bool,
}

impl Turn {
    fn point(&self, p: Point2) -> Point2 {
        Point2::from(self.vector(p.coords))
    }

    fn vector(&self, v: Vector2) -> Vector2 {
        if self.turned {
            Vector2::new(-v.y, v.x)
        } else {
            v
        }
    }

    fn outline(&self, outline: &Outline) -> Outline {
        outline.quarter_turned(u8::from(self.turned))
    }
}
