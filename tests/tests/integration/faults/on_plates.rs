//! Mistakes on single plates.

use super::Fault;
use super::bench::Bench;
use super::classes::*;
use geom::{Point2, Vector2};
use platework_tests::faulty_flats::{FaultySheet, Place, Seeded};

const B: &str = "class-b";
const E: &str = "class-e";
const M: &str = "class-m";
const S: &str = "class-s";
const T: &str = "tender-t";

type Seed = fn(&mut FaultySheet, &Bench) -> Seeded;

fn fault(class: Class, model: &'static str, mistake: &'static str, seed: Seed) -> Fault {
    Fault {
        class,
        model,
        mistake,
        seed,
    }
}

fn v(x: f64, y: f64) -> Vector2 {
    Vector2::new(x, y)
}

pub(crate) fn faults() -> Vec<Fault> {
    [
        slots_and_tabs(),
        holes(),
        wrappers(),
        bends(),
        formers(),
        folds(),
        hands(),
        etched(),
        outlines(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn slots_and_tabs() -> Vec<Fault> {
    vec![
        fault(
            SLOT_MOVED,
            B,
            "a slot of the footplate typed 0.30 mm aside",
            |s, _| s.move_hole("footplate", "slot-valance-left-top-3", v(0.3, 0.0)),
        ),
        fault(
            SLOT_MOVED,
            B,
            "a slot of the tank side 0.20 mm too high",
            |s, _| {
                s.move_hole(
                    "tank-side-left",
                    "slot-tank-baffle-1-left-outer-2",
                    v(0.0, 0.2),
                )
            },
        ),
        fault(
            SLOT_MOVED,
            M,
            "a slot of the frame 0.15 mm aslant",
            |s, _| s.move_hole("frame-left", "slot-spacer-middle-left-1", v(0.12, 0.09)),
        ),
        fault(
            SLOT_NARROW,
            B,
            "tank slot as wide as the sheet is thick, no more",
            |s, b| {
                let t = b.thickness("tank-side-left");
                let by = 0.54 - t;
                s.narrow_slot("tank-side-left", "slot-tank-top-left-outer-1", by)
            },
        ),
        fault(
            SLOT_NARROW,
            E,
            "a slot of the frame 0.10 mm narrow",
            |s, _| s.narrow_slot("frame-left", "slot-spacer-middle-left-1", 0.1),
        ),
        fault(
            SLOT_NARROW,
            S,
            "a slot of the saddle tank 0.12 mm narrow",
            |s, _| {
                s.narrow_slot(
                    "saddle-tank-wrapper",
                    "slot-saddle-tank-former-side-left-1",
                    0.12,
                )
            },
        ),
        fault(
            SLOT_MISSING,
            T,
            "a slot of the footplate forgotten",
            |s, _| s.drop_hole("footplate", "slot-valance-left-top-2"),
        ),
        fault(
            SLOT_MISSING,
            E,
            "a slot of the bent footplate forgotten",
            |s, _| s.drop_hole("footplate", "slot-valance-left-top-3"),
        ),
        fault(
            TAB_TWICE,
            B,
            "a tab of the valance copied once too often",
            |s, _| s.double_tab("valance-left", "tab-top-3", 9.0),
        ),
        fault(
            TAB_TWICE,
            M,
            "a tab of the valance copied once too often",
            |s, _| s.double_tab("valance-right", "tab-top-2", 8.0),
        ),
        fault(
            TAB_MISSING,
            B,
            "a tab of the tank side forgotten",
            |s, _| s.drop_tab("tank-side-left", "tab-bottom-1"),
        ),
        fault(
            TAB_MISSING,
            T,
            "a tab of the tank's front forgotten",
            |s, _| s.drop_tab("tender-tank-front", "tab-bottom-2"),
        ),
        fault(
            TAB_WIDTH,
            B,
            "a tab of the cab side drawn 0.4 mm narrow",
            |s, _| s.narrow_tab("cab-side-left", "tab-bottom-1", 0.4),
        ),
        fault(
            TAB_WIDTH,
            S,
            "a tab of the tank former drawn 0.3 mm wide",
            |s, _| s.narrow_tab("saddle-tank-former", "tab-side-left-1", -0.3),
        ),
        fault(
            TAB_MOVED,
            E,
            "a tab of the splasher 0.25 mm aside",
            |s, _| s.move_tab("splasher-3-face-left", "tab-bottom-1", 0.25),
        ),
    ]
}

fn holes() -> Vec<Fault> {
    vec![
        fault(HOLE_OFF, B, "a window 0.15 mm out", |s, _| {
            s.move_hole("cab-front", "window-1", v(0.15, 0.0))
        }),
        fault(HOLE_OFF, M, "an axle hole 0.15 mm out", |s, _| {
            s.move_hole("frame-left", "axle-3", v(0.0, 0.15))
        }),
        fault(HOLE_OFF, S, "the dome's hole 0.15 mm out", |s, _| {
            s.move_hole("boiler-wrapper", "dome", v(0.15, 0.0))
        }),
        fault(HOLE_OFF, T, "an axlebox opening 0.15 mm out", |s, _| {
            s.move_hole("outside-frame-left", "axlebox-2", v(-0.15, 0.0))
        }),
        fault(
            ON_PLAN,
            B,
            "handrail knobs of the boiler at their height in plan",
            |s, b| on_plan(s, b, "boiler-wrapper", "handrail-left-2"),
        ),
        fault(
            ON_PLAN,
            E,
            "a handrail knob of the smokebox placed in plan",
            |s, b| on_plan(s, b, "smokebox-wrapper", "handrail-left-1"),
        ),
        fault(
            ON_PLAN,
            M,
            "a handrail knob of the taper boiler placed in plan",
            |s, b| on_plan(s, b, "boiler-wrapper", "handrail-left-3"),
        ),
        fault(
            ON_PLAN,
            E,
            "slots beyond the ogee of the footplate placed on plan length",
            slots_on_plan,
        ),
        fault(
            HOLE_SIZE,
            B,
            "a pilot hole of the overlay 0.2 mm small",
            |s, _| s.size_hole("cab-front-overlay", "window-2", -0.2),
        ),
        fault(HOLE_SIZE, M, "an axle hole 0.1 mm small", |s, _| {
            s.size_hole("frame-right", "axle-2", -0.1)
        }),
        fault(HOLE_SIZE, T, "an axle hole 0.1 mm large", |s, _| {
            s.size_hole("frame-left", "axle-1", 0.1)
        }),
        fault(OPENING_MISSING, B, "a window forgotten", |s, _| {
            s.drop_hole("cab-front", "window-2")
        }),
        fault(
            BAR_THIN,
            B,
            "a pilot hole of the tank side 0.20 mm from its rear edge",
            |s, b| {
                near_edge(
                    s,
                    b,
                    "tank-side-left",
                    "pilot-tank-side-left-overlay-2",
                    0.2,
                )
            },
        ),
        fault(
            BAR_THIN,
            T,
            "a pilot hole of the tank's overlay 0.10 mm from its edge",
            |s, b| {
                near_edge(
                    s,
                    b,
                    "tender-tank-wrapper-overlay",
                    "pilot-tender-tank-wrapper-overlay-1",
                    0.1,
                )
            },
        ),
        fault(
            OPENING_MISSING,
            S,
            "the chimney's hole forgotten",
            |s, _| s.drop_hole("smokebox-wrapper", "chimney"),
        ),
        fault(
            OPENING_EXTRA,
            B,
            "a hole left from an earlier cab",
            |s, _| s.add_hole("cab-side-left", Point2::new(10.0, 40.0), 1.2),
        ),
        fault(
            OPENING_EXTRA,
            T,
            "a hole left from an earlier footplate",
            |s, _| s.add_hole("footplate", Point2::new(75.0, 0.0), 3.0),
        ),
    ]
}

/// A round hole moved so near to the edge on its left that a bar of so many millimetres is left: the bar is named.
fn near_edge(s: &mut FaultySheet, b: &Bench, plate: &str, feature: &str, bar: f64) -> Seeded {
    let left = s.flat(plate).bounds.0.x;
    let holes = &b.flat(plate).holes;
    let hole = holes.iter().find(|own| own.feature == feature).unwrap();
    let radius = hole.round.expect("it is round");
    s.move_hole(plate, feature, v(left + bar + radius - hole.centre.x, 0.0));
    Seeded::feature(plate, feature, bar)
}

/// A hole of a wrapper put at its distance in plan from the centre line.
fn on_plan(s: &mut FaultySheet, b: &Bench, plate: &str, feature: &str) -> Seeded {
    let at = b.hole(plate, feature);
    let formed = b.body.plate(plate).unwrap().forming.place(at).point;
    s.move_hole(
        plate,
        feature,
        v(0.0, formed.y.abs() * at.y.signum() - at.y),
    )
}

/// The slots beyond the bends of a footplate put where a plan shows them.
fn slots_on_plan(s: &mut FaultySheet, b: &Bench) -> Seeded {
    let own = b.body.plate("footplate").unwrap();
    let rear = s.flat("footplate").bounds.1.y;
    let behind = own.forming.place(Point2::new(1.4, rear)).point.x;
    let mut first = None;
    for name in [
        "slot-valance-left-top-front-1",
        "slot-valance-right-top-front-1",
    ] {
        let at = b.hole("footplate", name);
        let plan = rear - (behind - own.forming.place(at).point.x);
        first = Some(s.move_hole("footplate", name, v(0.0, plan - at.y)));
    }
    first.expect("there are two slots")
}

fn wrappers() -> Vec<Fault> {
    vec![
        fault(WRAPPER_LONG, B, "the cab roof 0.9 mm long", |s, _| {
            s.stretch_round("cab-roof", 0.9)
        }),
        fault(
            WRAPPER_LONG,
            E,
            "the firebox wrapper 0.4 mm long",
            |s, _| s.stretch_round("firebox-wrapper", 0.4),
        ),
        fault(
            WRAPPER_SHORT,
            B,
            "the smokebox wrapper 0.2 mm short",
            |s, _| s.stretch_round("smokebox-wrapper", -0.2),
        ),
        fault(WRAPPER_SHORT, S, "the boiler 0.25 mm short", |s, _| {
            s.stretch_round("boiler-wrapper", -0.25)
        }),
        fault(
            ON_OUTSIDE,
            B,
            "the taper boiler developed on its outside",
            |s, b| ring(s, b, "boiler-wrapper", 0.5),
        ),
        fault(
            ON_OUTSIDE,
            E,
            "the boiler developed on its outside",
            |s, b| skin(s, b, "boiler-wrapper", 0.5),
        ),
        fault(
            ON_OUTSIDE,
            S,
            "the firebox developed on its outside",
            |s, b| skin(s, b, "firebox-wrapper", 0.5),
        ),
        fault(
            ON_INSIDE,
            B,
            "the smokebox developed on its inside",
            |s, b| skin(s, b, "smokebox-wrapper", -0.5),
        ),
        fault(
            TRAPEZIUM,
            M,
            "the firebox drawn as a trapezium, its bow missed",
            |s, b| trapezium(s, b, "firebox-wrapper"),
        ),
        fault(
            TRAPEZIUM,
            B,
            "the taper boiler drawn as a trapezium",
            |s, b| trapezium(s, b, "boiler-wrapper"),
        ),
        fault(
            STRIP,
            T,
            "the corner of the coping drawn as one straight strip",
            |s, _| strip(s, "tender-flare-corner-left-3"),
        ),
        fault(
            STRIP,
            T,
            "a segment of the right corner of the coping drawn straight",
            |s, _| strip(s, "tender-flare-corner-right-2"),
        ),
    ]
}

/// A wrapper of parallel sections as long as it is at a share of its thickness off mid-sheet.
fn skin(s: &mut FaultySheet, b: &Bench, plate: &str, share: f64) -> Seeded {
    let loft = b
        .body
        .plate(plate)
        .unwrap()
        .forming
        .loft()
        .expect("a wrapper is rolled");
    let turn: f64 = loft.patches().iter().map(develop::Patch::turn).sum();
    s.stretch_round(plate, turn.abs() * share * b.thickness(plate))
}

/// A taper ring as the sector of the frustum at a share of its thickness off mid-sheet.
fn ring(s: &mut FaultySheet, b: &Bench, plate: &str, share: f64) -> Seeded {
    use geom::math::{PI, cos, sin, tan};
    let t = b.thickness(plate);
    let axial = b
        .body
        .plate(plate)
        .unwrap()
        .forming
        .loft()
        .expect("a wrapper is rolled")
        .axial_length();
    let flat = s.flat(plate);
    let [front, rear] = ["front", "rear"].map(|name| {
        let edge = flat.edges.iter().find(|own| own.name == name).unwrap();
        edge.flat / PI + 2.0 * share * t
    });
    let cone = develop::right_cone(rear / 2.0, front / 2.0, axial).unwrap();
    let (inner, outer, half) = (cone.inner_radius, cone.outer_radius, cone.angle / 2.0);
    let at = |r: f64, a: f64| Point2::new(r * cos(a) - inner, r * sin(a));
    let bulge = tan(half / 2.0);
    let corners = [
        (at(inner, -half), 0.0),
        (at(outer, -half), bulge),
        (at(outer, half), 0.0),
        (at(inner, half), -bulge),
    ];
    flat.outline = geom::Outline::from_vertices(
        &corners.map(|(point, bulge)| geom::BulgeVertex { point, bulge }),
    );
    Seeded::plate(plate, Some(2.0 * PI * share * t))
}

/// A wrapper drawn as a trapezium: its ends straight and as long as they should be, at the right distance.
fn trapezium(s: &mut FaultySheet, b: &Bench, plate: &str) -> Seeded {
    let own = b.body.plate(plate).unwrap();
    let [front, rear] = ["front-crown", "rear-crown"].map(|name| own.point(name).unwrap().x);
    let flat = s.flat(plate);
    let bow = greatest_bow(flat);
    let half = |name: &str| {
        flat.edges
            .iter()
            .find(|edge| edge.name == name)
            .unwrap()
            .flat
            / 2.0
    };
    let (a, c) = (half("front"), half("rear"));
    let corners = [(front, -a), (rear, -c), (rear, c), (front, a)].map(|(x, y)| Point2::new(x, y));
    flat.outline = geom::Outline::polygon(&corners);
    Seeded::plate(plate, Some(bow))
}

/// A segment of a flared corner drawn as a straight strip from corner to corner.
fn strip(s: &mut FaultySheet, plate: &str) -> Seeded {
    let flat = s.flat(plate);
    let bow = greatest_bow(flat);
    let corners: Vec<Point2> = (0..flat.edges.len())
        .filter_map(|e| flat.edge_segments(e).next().map(geom::Segment::start))
        .collect();
    flat.outline = geom::Outline::polygon(&corners);
    Seeded::plate(plate, Some(bow))
}

/// Greatest rise of an edge over its chord (mm).
fn greatest_bow(flat: &artwork::FlatDrawing) -> f64 {
    let rise = |e: usize| {
        let run: Vec<_> = flat.edge_segments(e).copied().collect();
        let (start, end) = (run[0].start(), run[run.len() - 1].end());
        let chord = (end - start).normalize();
        let points = run
            .iter()
            .flat_map(|own| (0..=40).map(move |i| own.point_at(f64::from(i) / 40.0)));
        points
            .map(|p| chord.perp(&(p - start)).abs())
            .fold(0.0, f64::max)
    };
    (0..flat.edges.len()).map(rise).fold(0.0, f64::max)
}

fn bends() -> Vec<Fault> {
    vec![
        fault(
            ONE_BEND,
            B,
            "one corner of the bunker developed on the outside",
            |s, b| one_bend(s, b, "bunker-wrapper"),
        ),
        fault(
            ONE_BEND,
            T,
            "one corner of the tender tank developed on the outside",
            |s, b| one_bend(s, b, "tender-tank-wrapper"),
        ),
        fault(
            ONE_BEND,
            E,
            "one bend of the footplate's ogee developed on the outside",
            |s, b| one_bend(s, b, "footplate"),
        ),
        fault(
            ONE_BEND,
            M,
            "one bend of the footplate's ogee developed on the outside",
            |s, b| one_bend(s, b, "footplate"),
        ),
    ]
}

/// All beyond one bend moved on by what the bend measures more on the outside.
fn one_bend(s: &mut FaultySheet, b: &Bench, plate: &str) -> Seeded {
    use develop::SurfacePoint;
    let own = b.body.plate(plate).unwrap();
    let loft = own.forming.loft().expect("a wrapper is rolled");
    let at = |w: f64| SurfacePoint { w, v: 0.5 };
    let skin = |i: usize, height: f64| {
        let point = |t: f64| {
            loft.formed(at(i as f64 + 0.001 + 0.998 * t))
                .at_height(height)
        };
        geom::chord_length(0.0, 1.0, point)
    };
    let bends: Vec<usize> = (0..loft.patches().len())
        .filter(|i| {
            loft.patches()[*i].turn().abs() > 0.5 && skin(*i, own.sheet.z_high) > skin(*i, 0.0)
        })
        .collect();
    let bend = bends[0];
    let longer = loft.patches()[bend].turn().abs() * b.thickness(plate) / 2.0;
    let step = (loft.flat(at(bend as f64 + 1.0)) - loft.flat(at(bend as f64))).normalize() * longer;
    let middle = bend as f64 + 0.5;
    s.move_places(plate, |p| {
        if loft.locate(p).w > middle {
            p + step
        } else {
            p
        }
    });
    let mut seeded = Seeded::plate(plate, Some(longer));
    // With nothing between two bends that turn alike the drawing is the same for either.
    let between = |w: f64| w > middle && bends[1..].iter().any(|other| w < *other as f64);
    let told = bends.len() == 1
        || b.flat(plate)
            .holes
            .iter()
            .any(|hole| between(loft.locate(hole.centre).w));
    let places = if told { &bends[..1] } else { &bends[..] };
    seeded.at = Place::OneOf(
        places
            .iter()
            .map(|i| loft.flat(at(*i as f64 + 0.5)))
            .collect(),
    );
    seeded
}

fn formers() -> Vec<Fault> {
    vec![
        fault(
            FORMER_OUTWARDS,
            S,
            "the shoulder of the saddle tank's former offset outwards",
            |s, b| offset_rim(s, b, "saddle-tank-former", "saddle-tank-wrapper", Some(1)),
        ),
        fault(
            FORMER_OUTWARDS,
            E,
            "the boiler's former offset outwards",
            |s, b| offset_rim(s, b, "boiler-former-front", "boiler-wrapper", None),
        ),
        fault(
            FORMER_OUTWARDS,
            B,
            "the smokebox's former offset outwards",
            |s, b| offset_rim(s, b, "smokebox-former-rear", "smokebox-wrapper", None),
        ),
    ]
}

/// The rim of a former moved out by twice what it should have been moved in; or one of its arcs only.
fn offset_rim(
    s: &mut FaultySheet,
    b: &Bench,
    former: &str,
    wrapper: &str,
    only: Option<usize>,
) -> Seeded {
    let by = 2.0 * (b.thickness(wrapper) + b.model.metal.film);
    let flat = s.flat(former);
    let rims: Vec<usize> = (0..flat.edges.len())
        .filter(|e| flat.edges[*e].name == "rim")
        .collect();
    let n = flat.outline.segments().len();
    let is_rim: Vec<bool> = flat
        .edge_of
        .iter()
        .map(|e| {
            rims.iter()
                .position(|r| r == e)
                .is_some_and(|r| only.is_none_or(|k| k == r))
        })
        .collect();
    let vertices = flat.outline.vertices();
    let outward = |segment: &geom::Segment, t: f64| {
        let (s, c) = geom::math::sin_cos(segment.tangent_angle_at(t));
        Vector2::new(s, -c) * by
    };
    let segments = flat.outline.segments().to_vec();
    let moved: Vec<geom::BulgeVertex> = (0..n)
        .map(|i| {
            let before = (i + n - 1) % n;
            let step = if is_rim[i] {
                outward(&segments[i], 0.0)
            } else if is_rim[before] {
                outward(&segments[before], 1.0)
            } else {
                Vector2::zeros()
            };
            geom::BulgeVertex {
                point: vertices[i].point + step,
                bulge: vertices[i].bulge,
            }
        })
        .collect();
    flat.outline = geom::Outline::from_vertices(&moved);
    Seeded::plate(former, Some(by))
}

fn folds() -> Vec<Fault> {
    vec![
        fault(
            FOLD_FACE,
            B,
            "the fold of a step etched on the wrong face",
            |s, _| s.swap_face("step-left-1", "fold-1"),
        ),
        fault(
            FOLD_FACE,
            E,
            "a fold of the buffer beam etched on the wrong face",
            |s, _| s.swap_face("buffer-beam-front", "fold-2"),
        ),
        fault(
            FOLD_NARROW,
            B,
            "a fold line as wide as a scribed line",
            |s, _| s.narrow_region("buffer-beam-front", "fold-1", 0.4),
        ),
        fault(FOLD_NARROW, T, "the fold of a step half as wide", |s, _| {
            s.narrow_region("step-left-1", "fold-1", 0.3)
        }),
        fault(FOLD_SHIFTED, B, "the fold of a step 0.3 mm down", |s, _| {
            s.move_region("step-right-1", "fold-1", v(0.0, 0.3))
        }),
        fault(FOLD_SHIFTED, M, "the fold of a step 0.2 mm up", |s, _| {
            s.move_region("step-left-1", "fold-1", v(0.0, -0.2))
        }),
        fault(
            FOLD_MISSING,
            T,
            "the fold of the drag beam forgotten",
            |s, _| s.drop_region("drag-beam", "fold-1"),
        ),
    ]
}

fn hands() -> Vec<Fault> {
    vec![
        fault(
            MIRRORED,
            B,
            "the overlay of the cab drawn as seen from inside",
            |s, _| turned_over(s, "cab-front-overlay"),
        ),
        fault(
            MIRRORED,
            E,
            "the overlay of the smokebox drawn as seen from inside",
            |s, _| turned_over(s, "smokebox-wrapper-overlay"),
        ),
        fault(
            MIRRORED,
            T,
            "a valance drawn as seen from inside",
            |s, _| turned_over(s, "valance-left"),
        ),
        fault(SAME_HAND, B, "the left tank side used twice", |s, _| {
            left_twice(s, "tank-side-left", "tank-side-right")
        }),
        fault(SAME_HAND, M, "the left frame used twice", |s, _| {
            left_twice(s, "frame-left", "frame-right")
        }),
    ]
}

fn turned_over(s: &mut FaultySheet, plate: &str) -> Seeded {
    s.flat(plate);
    s.turned_over.push(plate.to_owned());
    Seeded::plate(plate, None)
}

fn left_twice(s: &mut FaultySheet, left: &str, right: &str) -> Seeded {
    let own = s.flat(left).clone();
    *s.flat(right) = own;
    let mut seeded = Seeded::plate(left, None);
    seeded.plates.push(right.to_owned());
    seeded
}

fn etched() -> Vec<Fault> {
    vec![
        fault(
            FACE_SWAPPED,
            B,
            "the beading of a valance etched on the rear",
            |s, _| s.swap_face("valance-left", "beading-1"),
        ),
        fault(
            FACE_SWAPPED,
            T,
            "the beading of a valance etched on the rear",
            |s, _| s.swap_face("valance-right", "beading-1"),
        ),
        fault(
            BOTH_FACES,
            B,
            "the fold of a step half-etched from the rear as well",
            |s, _| s.etch_on_both("step-right-1", "fold-1"),
        ),
        fault(
            ETCH_MISSING,
            B,
            "the beading of a valance forgotten",
            |s, _| s.drop_region("valance-right", "beading-1"),
        ),
        fault(
            ETCH_MISSING,
            E,
            "a part of the chimney's outline forgotten",
            |s, _| s.drop_region("smokebox-wrapper-overlay", "chimney-witness-2"),
        ),
        fault(
            RIVETS_MISSING,
            B,
            "a row of the tank side forgotten",
            |s, _| s.drop_row("tank-side-left-overlay", "baffle-2"),
        ),
        fault(
            RIVETS_MISSING,
            E,
            "the second row of the smokebox forgotten",
            |s, _| s.drop_row("smokebox-wrapper-overlay", "front-second"),
        ),
        fault(
            RIVETS_SHIFTED,
            B,
            "a row of the buffer beam 0.2 mm down",
            |s, _| s.move_row("buffer-beam-front-overlay", "bottom", v(0.0, -0.2)),
        ),
        fault(
            RIVETS_SHIFTED,
            S,
            "a row of the buffer beam 0.15 mm aside",
            |s, _| s.move_row("buffer-beam-front-overlay", "top", v(0.15, 0.0)),
        ),
    ]
}

fn outlines() -> Vec<Fault> {
    vec![
        fault(
            SIDE_MOVED,
            B,
            "the rear of the cab side 0.3 mm too far forward",
            |s, _| s.move_side("cab-side-left-overlay", "rear", -0.3),
        ),
        fault(SIDE_MOVED, M, "the top of a frame 0.2 mm high", |s, _| {
            s.move_side("frame-left", "rear", 0.2)
        }),
        fault(
            OUT_OF_SQUARE,
            B,
            "the tank side leaning by 0.3 mm",
            |s, _| lean(s, "tank-inner-left", 0.3),
        ),
        fault(
            OUT_OF_SQUARE,
            E,
            "the smokebox wrapper leaning by 0.4 mm",
            |s, _| lean(s, "smokebox-wrapper", 0.4),
        ),
        fault(
            OTHER_SCALE,
            B,
            "the floor of the cab drawn for 4 mm scale",
            |s, _| s.scale("cab-floor", 4.0 / 7.0),
        ),
        fault(
            OTHER_SCALE,
            S,
            "a frame spacer drawn for 4 mm scale",
            |s, _| s.scale("spacer-front", 4.0 / 7.0),
        ),
        fault(
            ALLOWANCE,
            B,
            "the allowance put on the cab's front as well",
            |s, b| {
                let growth = b.growth("cab-front");
                s.grow("cab-front", growth)
            },
        ),
        fault(
            ALLOWANCE,
            M,
            "the allowance put on a frame as well",
            |s, b| {
                let growth = b.growth("frame-right");
                s.grow("frame-right", growth)
            },
        ),
    ]
}

/// The whole plate sheared: every place moved along x in proportion to its height.
fn lean(s: &mut FaultySheet, plate: &str, by: f64) -> Seeded {
    let (low, high) = s.flat(plate).bounds;
    s.move_places(plate, |p| p + v(by * (p.y - low.y) / (high.y - low.y), 0.0));
    Seeded::plate(plate, None)
}
