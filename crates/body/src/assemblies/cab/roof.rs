//! The roof: its wrapper, the ribs under it and the strips on it.

use super::Cab;
use crate::assemblies::boiler::tick_at_rim;
use crate::error::AtKey;
use crate::fit::{butt_joint, face_joint, former_joint};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf};
use crate::wrapper::{ARCH, SideNames, WrapperOf, add_ticks, loft_of};
use crate::{Body, BodyError, Curve, Face, Model, Plate};
use develop::{Loft, LoftFrame};
use geom::math::FRAC_PI_2;
use geom::sections::{RoofArcs, roof_arcs, single_arc_roof};
use geom::{Chain, Outline, Point2, Point3, Segment, Vector2};

/// The arcs of the drawn outside, from the top centre to the eaves.
pub(super) fn arcs(model: &Model) -> Result<RoofArcs, BodyError> {
    let c = model.cab();
    let r = &c.roof;
    let arcs = match (r.corner_radius, r.intermediate) {
        (None, _) => single_arc_roof(r.centre_radius, c.roof_half_width),
        (Some(corner), None) => {
            roof_arcs(&[r.centre_radius, corner], &[], c.roof_half_width, r.eaves)
        }
        (Some(corner), Some((radius, from))) => roof_arcs(
            &[r.centre_radius, radius, corner],
            &[from],
            c.roof_half_width,
            r.eaves,
        ),
    };
    arcs.at_key("cab.roof.corner_radius")
}

/// The drawn outside of the roof from the right eaves to the left.
pub(super) fn section(model: &Model) -> Result<Chain, BodyError> {
    Ok(arcs(model)?
        .left_half(model.cab().roof_top)
        .with_mirror_image())
}

/// Names of a plate rolled along the engine whose edges are the eaves.
const EAVES: SideNames = SideNames {
    ends: ARCH.ends,
    sides: ("eaves-right", "eaves-left"),
    corners: [
        "front-right-eaves",
        "rear-right-eaves",
        "front-left-eaves",
        "rear-left-eaves",
    ],
    datum: ARCH.datum,
};

/// x of the roof's front and its length (mm).
fn extent(model: &Model) -> Result<(f64, f64), BodyError> {
    let c = model.cab();
    let from = c.front - c.roof.overhang.0;
    let length = c.back + c.roof.overhang.1 - from;
    Ok((from, length))
}

fn loft(model: &Model, section: &Chain, sheet: &crate::Sheet) -> Result<Loft, BodyError> {
    let (from, length) = extent(model)?;
    Loft::between(
        LoftFrame::along_engine(from),
        section,
        section,
        length,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("cab.roof")
}

pub(super) fn roof(model: &Model, outside: &Chain) -> Result<Plate, BodyError> {
    let sheet = model.metal.sheet("roof");
    let neutral = outside
        .offset(-sheet.z_high)
        .at_key("cab.roof.corner_radius")?;
    let loft = loft(model, &neutral, &sheet)?;
    let mut plate = WrapperOf {
        id: "cab-roof",
        assembly: "cab",
        title: "Cab roof",
        sheet,
        names: EAVES,
    }
    .plate(loft);
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(plate.sheet.thickness());
    let crown = loft_of(&plate).datum();
    add_ticks(&mut plate, &[("centre-line", crown)], 1.0, etched);
    Ok(plate)
}

/// The part, within a half width, of the line `depth` (mm) below the roof's inside with its film, from
/// right to left.
pub(super) fn inside(
    model: &Model,
    outside: &Chain,
    half_width: f64,
    depth: f64,
) -> Result<Chain, BodyError> {
    let drop = model.metal.thickness("roof") + model.metal.film + depth;
    let inside = outside.offset(-drop).map_err(|_| BodyError::Shape {
        path: if depth > 0.0 {
            "cab.roof.rib_depth"
        } else {
            "cab.roof.corner_radius"
        }
        .to_owned(),
        sentence: format!(
            "{drop:.2} mm within the roof its tightest arc has no radius left on the model"
        ),
        help: "make the ribs less deep or the corners of the roof larger".to_owned(),
    })?;
    let mut crossings = Vec::new();
    let mut before = 0.0;
    for segment in inside.segments() {
        for y in [-half_width, half_width] {
            let line = Segment::line(Point2::new(y, -1e4), Point2::new(y, 2e4));
            for point in geom::intersections(segment, &line) {
                crossings.push(before + segment.nearest(point).0 * segment.length());
            }
        }
        before += segment.length();
    }
    match (crossings.first(), crossings.last()) {
        (Some(&from), Some(&to)) if to > from && half_width > 0.0 => Ok(inside.part(from, to)),
        _ => Err(BodyError::Shape {
            path: "cab.roof.half_width".to_owned(),
            sentence: "the cab sides stand outside the roof".to_owned(),
            help: format!(
                "half the width over the cab sides is {:.2} mm on the model; the roof must reach over it",
                model.cab().over / 2.0
            ),
        }),
    }
}

/// Height of the cab sides' upper edge: the eaves where they end upright, else where the roof's inside
/// passes over the sides.
pub(super) fn side_top(model: &Model, outside: &Chain) -> Result<f64, BodyError> {
    let end = arcs(model)?.end_angle();
    if end >= FRAC_PI_2 - 1e-9 {
        return Ok(outside.end().y);
    }
    Ok(inside(model, outside, model.cab().over / 2.0, 0.0)?.end().y)
}

/// Ribs under the roof, each a former of it, keyed into the sides where these reach beside it.
pub(super) fn add_ribs(
    model: &Model,
    cab: &Cab,
    roof: &Plate,
    body: &mut Body,
) -> Result<(), BodyError> {
    let c = model.cab();
    let sheet = model.metal.sheet("cab");
    let (from, to) = (cab.inside_front, cab.inside_back);
    let count = c.roof.ribs;
    for i in 1..=count {
        // Where the rear is open the last rib stands at the end of the roof.
        let spaces = if c.rear_open { count } else { count + 1 };
        let x = from + (to - from) * f64::from(i) / f64::from(spaces);
        let x = beside_cut_out(model, cab, (i == 1, i == count), x);
        if to - from < 3.0 * f64::from(count) * sheet.thickness() {
            return Ok(());
        }
        let id = format!("cab-roof-rib-{i}");
        let mut plate = rib(model, cab, &id, i, x)?;
        tick_under_roof(model, &mut plate, (Face::Outside, c.roof.rib_depth));
        let end = if i == 1 { "front" } else { "rear" };
        let over = former_joint((roof, end), (&plate, "roof"), cab.roof_turn);
        body.joints.push(over);
        for hand in ["left", "right"] {
            let side = body
                .plate(&format!("cab-side-{hand}"))
                .expect("sides are made before ribs");
            let edge = format!("side-{hand}");
            let joint = butt_joint((&plate, &edge), (side, "inside"));
            body.joints.push(joint);
        }
        body.plates.push(plate);
        for hand in ["left", "right"] {
            let edge = format!("side-{hand}");
            let tabbing = Tabbing {
                count: Some(1),
                within: body.plate(&id).map_or((0.0, 1.0), |rib| {
                    beside_side(rib, &edge, cab.side_top - sheet.thickness())
                }),
            };
            let side = format!("cab-side-{hand}");
            tab_into(
                model,
                body,
                (&id, &edge),
                &side,
                tabbing,
                "cab.roof.rib_depth",
            )?;
        }
    }
    Ok(())
}

/// A centre-line tick at the top of a plate under the roof, to meet the roof's own.
pub(super) fn tick_under_roof(model: &Model, plate: &mut Plate, place: (Face, f64)) {
    let inside = model.metal.thickness("roof") + model.metal.film;
    let top = Point2::new(0.0, model.cab().roof_top - inside);
    tick_at_rim(plate, "centre-line-top", top, -Vector2::y(), place, model);
}

/// The part of a rib's upright edge that lies below a height, as shares from its start.
fn beside_side(rib: &Plate, edge: &str, top: f64) -> (f64, f64) {
    let Some(Curve::Flat(Segment::Line { start, end })) = rib.edge(edge).map(|own| &own.curve)
    else {
        return (0.0, 1.0);
    };
    let share = ((top - start.y) / (end.y - start.y)).clamp(0.0, 1.0);
    if end.y > start.y {
        (0.0, share)
    } else {
        (share, 1.0)
    }
}

/// Where a rib stands that would come over a cut-out: the first one moves to the middle of the metal before
/// it, the last one to the middle of the metal behind it, so that they have a side to be tabbed into.
fn beside_cut_out(model: &Model, cab: &Cab, (first, last): (bool, bool), x: f64) -> f64 {
    let Some(cut) = &model.cab().cut_out else {
        return x;
    };
    let t = model.metal.thickness("cab");
    let over = x > cut.from && cut.to.is_none_or(|to| x - t < to);
    let (before, behind) = (
        (cab.inside_front, cut.from),
        (cut.to.unwrap_or(cab.inside_back), cab.inside_back),
    );
    let pillar = match (first, last) {
        (true, false) => before,
        (false, true) => behind,
        // One rib alone takes the wider metal.
        (true, true) if before.1 - before.0 > behind.1 - behind.0 => before,
        (true, true) => behind,
        (false, false) => return x,
    };
    let has_room = pillar.1 - pillar.0 > 8.0 * t;
    // A rib's outside looks rearward.
    if over && has_room {
        f64::midpoint(pillar.0, pillar.1) + t / 2.0
    } else {
        x
    }
}

fn rib(model: &Model, cab: &Cab, id: &str, number: u32, x: f64) -> Result<Plate, BodyError> {
    let c = model.cab();
    let (half, depth) = (cab.between_sides, c.roof.rib_depth);
    let over = inside(model, &cab.roof_outside, half, 0.0)?;
    let under = inside(model, &cab.roof_outside, half - depth, depth)?;
    let bar = model
        .metal
        .process
        .least_bar
        .at(model.metal.thickness("cab"));
    // Far enough down the side for a tab; over a cut-out as far as there is metal.
    let beside = cab.side_top - model.scale.pick(4.0, 6.5);
    let low = match &c.cut_out {
        Some(cut) if x > cut.from - bar && cut.to.is_none_or(|to| x < to + bar) => {
            (cut.top + bar).max(beside)
        }
        _ => beside,
    };
    let low = low
        .min(under.start().y - bar)
        .min(over.start().y - 2.0 * bar);
    let at = Point2::new;
    let over = over.reversed();
    let mut run = vec![
        (
            "foot-right",
            Segment::line(at(-half, low), at(depth - half, low)),
        ),
        ("inner", Segment::line(at(depth - half, low), under.start())),
    ];
    run.extend(under.segments().iter().map(|s| ("inner", *s)));
    run.extend([
        ("inner", Segment::line(under.end(), at(half - depth, low))),
        (
            "foot-left",
            Segment::line(at(half - depth, low), at(half, low)),
        ),
        ("side-left", Segment::line(at(half, low), over.start())),
    ]);
    run.extend(over.segments().iter().map(|s| ("roof", *s)));
    run.push(("side-right", Segment::line(over.end(), at(-half, low))));
    let (sides, segments): (Vec<&str>, Vec<Segment>) = run.into_iter().unzip();
    let outline = Outline::from_chain(&Chain::from_segments(segments)).at_key("cab.roof")?;
    if outline.segments().len() != sides.len() {
        return Err(BodyError::Shape {
            path: "cab.roof.rib_depth".to_owned(),
            sentence: "the ribs of the roof come to nothing at their ends".to_owned(),
            help: "make them less deep".to_owned(),
        });
    }
    Ok(FlatPlateOf {
        id: id.to_owned(),
        assembly: "cab",
        title: format!("Cab roof rib {number}"),
        sheet: model.metal.sheet("cab"),
        outside_origin: Point3::new(x, 0.0, 0.0),
        facing: Facing::Rear,
        outline: &outline,
        sides: &sides,
    }
    .plate())
}

/// Gutters along the eaves and rain strips over the openings, lying on the roof's outside.
pub(super) fn add_strips(
    model: &Model,
    outside: &Chain,
    roof: &Plate,
    body: &mut Body,
) -> Result<(), BodyError> {
    let r = &model.cab().roof;
    let sheet = model.metal.sheet("beading");
    let raised = outside
        .offset(model.metal.film + sheet.z_high)
        .at_key("cab.roof")?;
    let whole = raised.length();
    let mut wanted: Vec<(String, String, f64, f64)> = Vec::new();
    if r.gutter > 0.0 {
        let (id, title) = ("cab-gutter".to_owned(), "Cab gutter".to_owned());
        wanted.push((id, title, r.gutter, whole));
    }
    for (i, strip) in r.strips.iter().enumerate() {
        let lower = length_at(&raised, strip.half_width).ok_or_else(|| BodyError::Shape {
            path: format!("cab.roof.strips[{i}].half_width"),
            sentence: "the rain strip lies beside the roof".to_owned(),
            help: format!(
                "the roof's half width is {:.2} mm on the model",
                model.cab().roof_half_width
            ),
        })?;
        let id = format!("cab-rain-strip-{}", i + 1);
        let title = format!("Cab rain strip {}", i + 1);
        wanted.push((id, title, strip.width, lower));
    }
    for (id, title, width, lower) in wanted {
        if width >= lower - whole / 2.0 {
            return Err(BodyError::Shape {
                path: "cab.roof".to_owned(),
                sentence: format!("{} is wider than half the roof", title.to_lowercase()),
                help: "make it narrower".to_owned(),
            });
        }
        let left = raised.part(lower - width, lower);
        let right = left.mirrored_in_y_axis().reversed();
        for (hand, section) in [("left", left), ("right", right)] {
            let plate = WrapperOf {
                id: &format!("{id}-{hand}"),
                assembly: "cab",
                title: &format!("{title}, {hand}"),
                sheet: sheet.clone(),
                names: strip_names(hand == "left"),
            }
            .plate(loft(model, &section, &sheet)?);
            let joint = face_joint((&plate, "inside"), (roof, "outside"));
            body.joints.push(joint);
            body.plates.push(plate);
        }
    }
    Ok(())
}

fn strip_names(left: bool) -> SideNames {
    let (first, last) = if left {
        ("upper", "lower")
    } else {
        ("lower", "upper")
    };
    SideNames {
        ends: ("front", "rear"),
        sides: (first, last),
        corners: if left {
            ["front-upper", "rear-upper", "front-lower", "rear-lower"]
        } else {
            ["front-lower", "rear-lower", "front-upper", "rear-upper"]
        },
        datum: ("front-middle", "rear-middle"),
    }
}

/// Length along a roof's section to the place on its left at a half width.
fn length_at(section: &Chain, half_width: f64) -> Option<f64> {
    let line = Segment::line(Point2::new(half_width, -1e4), Point2::new(half_width, 2e4));
    let mut before = 0.0;
    let mut found = None;
    for segment in section.segments() {
        for point in geom::intersections(segment, &line) {
            found = Some(before + segment.nearest(point).0 * segment.length());
        }
        before += segment.length();
    }
    found
}
