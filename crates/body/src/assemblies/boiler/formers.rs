//! What holds the barrel's rings round and together: ring formers and the strips behind the seams.

use crate::error::AtKey;
use crate::fit::{butt_joint, face_joint, former_joint};
use crate::laminations::laminate_faces;
use crate::model::specs::BoilerRing;
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::wrapper::{ARCH, WrapperOf};
use crate::{Body, BodyError, Curve, Face, Model, Plate, Precedence, Purpose, Region};
use develop::{Loft, LoftFrame};
use geom::math::{PI, TAU};
use geom::{Chain, Outline, Point2, Point3, Segment, Vector2};

const CLOSED_OVER: &str = "the wrapper is closed over the formers and the strip behind its seam";

/// Radius inside a ring's wrapper and its film of solder at `x` (mm).
fn inside_radius(model: &Model, ring: &BoilerRing, x: f64) -> f64 {
    ring.radius(x) - model.metal.boiler.1 - model.metal.film
}

/// A disc inside one ring or two, between two places along the engine.
struct Disc<'a> {
    id: String,
    title: String,
    facing: Facing,
    /// x of its front and rear faces (mm).
    faces: (f64, f64),
    /// Rings that it is inside of.
    rings: &'a [&'a BoilerRing],
    /// Height of its centre (mm).
    axis: f64,
}

impl Disc<'_> {
    fn plate(self, model: &Model) -> Result<Plate, BodyError> {
        let sheet = model.metal.sheet("formers");
        // Etched walls are square: the smallest of the faces and rings decides.
        let radius = self
            .rings
            .iter()
            .flat_map(|ring| [self.faces.0, self.faces.1].map(|x| inside_radius(model, ring, x)))
            .fold(f64::INFINITY, f64::min);
        let holds = radius > 2.0 * sheet.thickness();
        if !holds {
            return Err(BodyError::Shape {
                path: self
                    .rings
                    .first()
                    .map_or_else(|| "boiler".to_owned(), |ring| ring.key.clone()),
                sentence: format!(
                    "a former of {radius:.2} mm radius cannot be made from {:.2} mm sheet",
                    sheet.thickness()
                ),
                help: "give the diameter over the cladding of the full-size engine".to_owned(),
            });
        }
        let centre = Point2::new(0.0, self.axis);
        let outline = Outline::circle(centre, radius);
        let outside = match self.facing {
            Facing::Front => self.faces.0,
            _ => self.faces.1,
        };
        let mut plate = FlatPlateOf {
            id: self.id,
            assembly: "boiler",
            title: self.title,
            sheet,
            outside_origin: Point3::new(outside, 0.0, 0.0),
            facing: self.facing,
            outline: &outline,
            sides: &["rim", "rim"],
        }
        .plate();
        // Room for an iron and for screws; common practice, no source.
        drill(&mut plate, "access", centre, radius);
        tick_at_top(&mut plate, centre + Vector2::new(0.0, radius), model);
        Ok(plate)
    }
}

/// A half-etched tick just under the top of a former, to meet the centre line of its wrapper.
pub(in crate::assemblies) fn tick_at_top(plate: &mut Plate, top: Point2, model: &Model) {
    let outside = (Face::Outside, f64::INFINITY);
    tick_at_rim(plate, "centre-line-top", top, -Vector2::y(), outside, model);
    plate.points.push(("crown".to_owned(), top));
}

/// A half-etched tick just within the rim of a former, on a face and within a depth of metal (mm) from the
/// rim; `inward` is a unit vector along an axis of the flat. Where there is too little metal, no tick.
pub(in crate::assemblies) fn tick_at_rim(
    plate: &mut Plate,
    name: &str,
    rim: Point2,
    inward: Vector2,
    (face, room): (Face, f64),
    model: &Model,
) {
    use crate::wrapper::TICK;
    let margin = model.metal.process.least_bar.at(plate.sheet.thickness()) / 2.0;
    let length = TICK.1.min(room - 2.0 * margin);
    if length < TICK.0 {
        return;
    }
    let aside = Vector2::new(inward.y, inward.x).abs() * (TICK.0 / 2.0);
    let (a, b) = (rim + inward * margin, rim + inward * (margin + length));
    let (low, high) = (a.inf(&b) - aside, a.sup(&b) + aside);
    let depth = model
        .metal
        .process
        .half_etch_depth
        .at(plate.sheet.thickness());
    let (low_z, high_z) = match face {
        Face::Outside => (plate.sheet.z_low, plate.sheet.z_high - depth),
        Face::Inside => (plate.sheet.z_low + depth, plate.sheet.z_high),
    };
    plate.regions.push(Region {
        name: name.to_owned(),
        purpose: Purpose::Mark,
        face,
        z_low: low_z,
        z_high: high_z,
        boundary: crate::flat_curves(&Outline::rectangle(low, high)),
    });
}

/// Room that formers take at the front and the rear of each ring (mm), film of solder included.
///
/// The front former stands back by a film, so that it is pinned to the smokebox's rear former with
/// solder between them.
fn seats(model: &Model, rings: usize) -> Vec<(f64, f64)> {
    let (t, film) = (model.metal.thickness("formers"), model.metal.film);
    (0..rings)
        .map(|i| {
            let front = if i == 0 {
                t + 2.0 * film
            } else {
                t / 2.0 + film
            };
            let rear = if i + 1 == rings {
                t + film
            } else {
                t / 2.0 + film
            };
            (front, rear)
        })
        .collect()
}

/// Ring formers at both ends and at each joint of the rings, and the joints with their wrappers.
pub(super) fn add_formers(
    model: &Model,
    wrappers: &[Plate],
    body: &mut Body,
) -> Result<(), BodyError> {
    let b = model.boiler();
    let (t, film) = (model.metal.thickness("formers"), model.metal.film);
    let (first, last) = (&b.rings[0], &b.rings[b.rings.len() - 1]);
    let behind = if model.smokebox.is_some() { film } else { 0.0 };
    let front = Disc {
        id: "boiler-former-front".to_owned(),
        title: "Boiler former, front".to_owned(),
        facing: Facing::Front,
        faces: (b.from + behind, b.from + behind + t),
        rings: &[first],
        axis: first.axis_height(b.from + behind + t / 2.0),
    }
    .plate(model)?;
    let rear = Disc {
        id: "boiler-former-rear".to_owned(),
        title: "Boiler former, rear".to_owned(),
        facing: Facing::Rear,
        faces: (b.end() - t, b.end()),
        rings: &[last],
        axis: last.axis_height(b.end() - t / 2.0),
    }
    .plate(model)?;
    let mut hold = |wrapper: &Plate, edge: &str, former: &Plate| {
        body.joints
            .push(former_joint((wrapper, edge), (former, "rim"), TAU));
        body.precedences
            .push(Precedence::new(&former.id, &wrapper.id, CLOSED_OVER));
    };
    hold(&wrappers[0], "front", &front);
    let mut formers = vec![front];
    for (i, pair) in b.rings.windows(2).enumerate() {
        let discs = joint_formers(model, (&pair[0], &pair[1]), i + 1)?;
        hold(&wrappers[i], "rear", &discs[0]);
        hold(&wrappers[i + 1], "front", &discs[discs.len() - 1]);
        formers.extend(discs);
    }
    hold(&wrappers[wrappers.len() - 1], "rear", &rear);
    formers.push(rear);
    for pair in wrappers.windows(2) {
        body.joints
            .push(butt_joint((&pair[1], "front"), (&pair[0], "rear")));
    }
    for former in &formers {
        let own = former.outline.first().map(|edge| &edge.curve);
        if let Some(Curve::Flat(Segment::Arc(rim))) = own {
            body.derive(
                &format!(
                    "boiler.{}.diameter",
                    former.id.trim_start_matches("boiler-")
                ),
                &format!("Diameter of {}", former.title.to_lowercase()),
                2.0 * rim.radius,
            );
        }
    }
    body.plates.extend(formers);
    for number in 1..b.rings.len() {
        let [front, rear] =
            ["front", "rear"].map(|end| format!("boiler-former-joint-{number}-{end}"));
        if body.plate(&front).is_some() {
            laminate_faces(model, body, (&rear, "inside"), (&front, "inside"));
        }
    }
    Ok(())
}

/// The former at a joint of two rings: one disc inside both, or, where they differ by more than the
/// film of solder, two discs back to back, each fitting its own ring.
fn joint_formers(
    model: &Model,
    (front, rear): (&BoilerRing, &BoilerRing),
    number: usize,
) -> Result<Vec<Plate>, BodyError> {
    let (t, film) = (model.metal.thickness("formers"), model.metal.film);
    let (joint, axis) = (rear.from, rear.front.axis);
    if (front.rear.radius - rear.front.radius).abs() <= film {
        return Ok(vec![
            Disc {
                id: format!("boiler-former-joint-{number}"),
                title: format!("Boiler former, joint {number}"),
                facing: Facing::Front,
                faces: (joint - t / 2.0, joint + t / 2.0),
                rings: &[front, rear],
                axis,
            }
            .plate(model)?,
        ]);
    }
    let disc = |end: &str, facing, faces, ring: &BoilerRing| {
        Disc {
            id: format!("boiler-former-joint-{number}-{end}"),
            title: format!("Boiler former, joint {number}, {end}"),
            facing,
            faces,
            rings: &[ring],
            axis: ring.axis_height((faces.0 + faces.1) / 2.0),
        }
        .plate(model)
    };
    let half = film / 2.0;
    Ok(vec![
        disc(
            "front",
            Facing::Front,
            (joint - half - t, joint - half),
            front,
        )?,
        disc("rear", Facing::Rear, (joint + half, joint + half + t), rear)?,
    ])
}

/// The strips behind the seams, each between the formers of its ring.
pub(super) fn add_strips(
    model: &Model,
    wrappers: &[Plate],
    body: &mut Body,
) -> Result<(), BodyError> {
    let b = model.boiler();
    for (i, (ring, seat)) in b.rings.iter().zip(seats(model, b.rings.len())).enumerate() {
        let (id, title) = if b.rings.len() == 1 {
            (
                "boiler-joint-strip".to_owned(),
                "Boiler joint strip".to_owned(),
            )
        } else {
            (
                format!("boiler-joint-strip-{}", i + 1),
                format!("Boiler joint strip {}", i + 1),
            )
        };
        let strip = joint_strip(model, ring, seat, (&id, &title))?;
        body.joints
            .push(face_joint((&strip, "outside"), (&wrappers[i], "inside")));
        body.precedences
            .push(Precedence::new(&strip.id, &wrappers[i].id, CLOSED_OVER));
        body.plates.push(strip);
    }
    Ok(())
}

fn joint_strip(
    model: &Model,
    ring: &BoilerRing,
    seat: (f64, f64),
    (id, title): (&str, &str),
) -> Result<Plate, BodyError> {
    let b = model.boiler();
    let sheet = model.metal.sheet("joint_strip");
    let (from, to) = (ring.from + seat.0, ring.end() - seat.1);
    let neutral = |x: f64| inside_radius(model, ring, x) - sheet.z_high;
    let (front, rear) = (neutral(from), neutral(to));
    // One angle for both ends, so that the strip's edges lie along rulings of the barrel.
    let angle = 2.0 * b.strip_width / (front + rear);
    if !(to > from && front > 0.0 && rear > 0.0 && angle > 0.0 && angle < PI) {
        return Err(BodyError::Shape {
            path: "boiler.joint_strip_width".to_owned(),
            sentence: format!(
                "a strip {:.2} mm wide does not fit behind the seam of a ring {:.2} mm long",
                b.strip_width, ring.length
            ),
            help: "it lies between the ring's formers and reaches round less than half of it"
                .to_owned(),
        });
    }
    let arc = |radius: f64, x: f64| {
        let start = Point2::new(
            radius * geom::math::sin(angle / 2.0),
            ring.axis_height(x) - radius * geom::math::cos(angle / 2.0),
        );
        Chain::starting(start, PI + angle / 2.0)
            .arc(radius, -angle)
            .finish()
    };
    let loft = Loft::between(
        LoftFrame::along_engine(from),
        &arc(front, from),
        &arc(rear, to),
        to - from,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("boiler.joint_strip_width")?;
    let mut names = ARCH;
    names.sides = ("side-left", "side-right");
    names.corners = ["front-left", "rear-left", "front-right", "rear-right"];
    names.datum = ("front-seam", "rear-seam");
    Ok(WrapperOf {
        id,
        assembly: "boiler",
        title,
        sheet,
        names,
    }
    .plate(loft))
}
