//! Mandrels for barrels: at the finished bore, and at the bore that the sheet springs back from.

use geom::math::{PI, TAU};
use geom::{Point2, Point3};

use super::bench::{Bench, Made, Trouble, blank};
use super::fault::JigFault;
use super::letters::Field;
use super::shape::{arc, foot, layers, rod, vee};
use super::spring::tool_for;
use super::tubes::{Circle, Tube, tubes};
use super::{FormedBend, FormedSheet};
use crate::{Mesh, subtract, unite};

/// Taken off the bore all round so that the barrel slides over (mm): common practice, no source.
const EASE_MM: f64 = 0.05;

/// Room under the joint strip for solder and heat (mm): common practice, no source.
const RELIEF_MM: f64 = 1.2;

/// At the finished bore, slotted under the seam.
pub(super) fn make_final(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    for tube in tubes(bench.body) {
        let [front, rear] = [tube.front, tube.rear].map(|end| Circle {
            radius: end.radius + tube.inside() - EASE_MM,
            ..end
        });
        let (body, volume) = cone(bench, &tube, front, rear)?;
        let mut tools = drilled(bench, &tube, front, rear)?;
        let slot = Slot::of(bench, &tube);
        tools.push(slot.tool(&tube, front, rear)?);
        let body = subtract(&body, &tools)?;
        let name = tube.plate.id.replace("wrapper", "mandrel");
        let mut fields = vec![slot.floor(&tube, [front, rear]), face(&tube, rear)];
        let mut body = body;
        // A short one has no room for its name, and nothing to be drawn out by.
        if tube.length < bench.pick(24.0, 36.0) {
            let (handle, field) = paddle(&tube, rear)?;
            body = unite(&[body, handle])?;
            fields = vec![field];
        }
        let mut piece = bench.piece(&name, body, &fields, "")?;
        piece.to_body = Some(tube.frame);
        piece.blank = volume;
        made.pieces.push(piece);
        made.notes.push(format!(
            "{}: Ø {:.2} mm in front, {:.2} behind, {:.2} under the bore",
            tube.plate.title,
            2.0 * front.radius,
            2.0 * rear.radius,
            2.0 * EASE_MM
        ));
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// At the bore that springs back to the finished one.
pub(super) fn make_rolling(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let mut made = Made::default();
    for tube in tubes(bench.body) {
        let sheet = &tube.plate.sheet;
        let bore = |end: Circle| end.radius + tube.inside();
        let tool = |end: Circle| tool_for(sheet, sheet.thickness(), bore(end));
        let bend = tool(tube.front)?;
        let front = Circle {
            radius: bend.radius,
            ..tube.front
        };
        let rear = Circle {
            radius: tool(tube.rear)?.radius,
            ..tube.rear
        };
        made.forming.push(FormedSheet::of(
            tube.plate,
            vec![FormedBend {
                piece: 0,
                wanted_radius: bore(tube.front),
                wanted_angle: -TAU,
                tool_radius: bend.radius,
                tool_angle: -TAU / bend.angle_share,
                by_hand: false,
            }],
        ));
        let (body, volume) = cone(bench, &tube, front, rear)?;
        let (handle, field) = paddle(&tube, rear)?;
        let body = unite(&[body, handle])?;
        let name = tube.plate.id.replace("wrapper", "rolling-mandrel");
        let mut piece = bench.piece(&name, body, &[field], "rear")?;
        piece.blank = volume;
        made.pieces.push(piece);
        made.notes.push(format!(
            "{}: {} {:.2} mm thick where it bends, rolled at radius {:.2} mm in front and {:.2} behind, springs back to {:.2} and {:.2}",
            tube.plate.title,
            sheet.metal,
            sheet.thickness(),
            front.radius,
            rear.radius,
            tube.front.radius + tube.inside(),
            tube.rear.radius + tube.inside()
        ));
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// A cone between two circles, chamfered at the foot, and its volume in closed form.
fn cone(
    bench: &Bench<'_>,
    tube: &Tube<'_>,
    front: Circle,
    rear: Circle,
) -> Result<(Mesh, Option<(f64, f64)>), JigFault> {
    let widest = front.radius.max(rear.radius);
    // As many corners at both ends.
    let corners = arc(Point2::origin(), widest, 0.0, TAU).len() - 1;
    let ring = |end: Circle| -> Vec<Point2> {
        (0..corners)
            .map(|k| {
                let (s, c) = geom::math::sin_cos(TAU * k as f64 / corners as f64);
                end.centre + geom::Vector2::new(c, s) * end.radius
            })
            .collect()
    };
    let whole = layers(&[(0.0, ring(front)), (tube.length, ring(rear))])?;
    let (a, b) = (front.radius, rear.radius);
    let volume = blank(&whole, PI * tube.length * (a * a + a * b + b * b) / 3.0)?;
    // The chamfer stands under the mandrel's own length: the barrel is borne from end to end.
    let chamfer = bench.print.foot_chamfer;
    let front_ring = ring(front);
    let mesh = match foot(&front_ring, chamfer) {
        Some(inner) => layers(&[
            (-chamfer - 0.6, inner),
            (-0.6, front_ring.clone()),
            (0.0, front_ring),
            (tube.length, ring(rear)),
        ])?,
        None => whole,
    };
    Ok((mesh, volume))
}

/// A hole for studding along the axis, and the centre line along the top.
fn drilled(
    bench: &Bench<'_>,
    tube: &Tube<'_>,
    front: Circle,
    rear: Circle,
) -> Result<Vec<Mesh>, JigFault> {
    let diameter = bench.hole(bench.pick(3.0, 4.0));
    let at = |end: Circle, z: f64| Point3::new(end.centre.x, end.centre.y, z);
    let top = |end: Circle, z: f64| Point3::new(end.centre.x, end.centre.y + end.radius, z);
    let along = (at(rear, tube.length) - at(front, 0.0)).normalize();
    let needed = diameter + 2.0 * bench.print.least_wall;
    let narrow = 2.0 * front.radius.min(rear.radius);
    if narrow < needed {
        return Err(JigFault::NoRoom {
            what: "studding through the middle",
            found_mm: narrow,
            needed_mm: needed,
        });
    }
    let run = (top(rear, tube.length) - top(front, 0.0)).normalize();
    let normal = run.cross(&-geom::Vector3::x()).normalize();
    let line = vee(
        top(front, 0.0) - run * 3.0,
        top(rear, tube.length) + run * 3.0,
        if normal.y > 0.0 { normal } else { -normal },
        0.8,
    )?;
    Ok(vec![
        rod(
            at(front, 0.0) - along * 5.0,
            at(rear, tube.length) + along * 5.0,
            diameter / 2.0,
        )?,
        line,
    ])
}

/// A slot along the seam underneath, for the joint strip and the heat of its solder.
struct Slot {
    half: f64,
    depth: f64,
}

impl Slot {
    fn of(bench: &Bench<'_>, tube: &Tube<'_>) -> Self {
        let strip = tube.plate.id.replace("wrapper", "joint-strip");
        let usual = (bench.pick(4.5, 7.0), bench.pick(0.25, 0.30));
        let (wide, thick) = bench
            .plate(&strip)
            .and_then(|plate| {
                let lengths = plate.edge_lengths().ok()?;
                let ends = lengths
                    .iter()
                    .filter(|e| e.name == "front" || e.name == "rear");
                let wide = ends.map(|e| e.formed).fold(0.0, f64::max);
                (wide > 0.0).then_some((wide, plate.sheet.thickness()))
            })
            .unwrap_or(usual);
        Self {
            half: wide / 2.0 + bench.print.loose,
            depth: thick + bench.model.metal.film + RELIEF_MM,
        }
    }

    /// Height of the slot's floor in a section.
    fn floor_height(&self, end: Circle) -> f64 {
        // The strip lies on the bore, which rises at its sides.
        let rise = end.radius
            - (end.radius * end.radius - self.half * self.half)
                .max(0.0)
                .sqrt();
        end.centre.y - end.radius + rise + self.depth
    }

    fn tool(&self, tube: &Tube<'_>, front: Circle, rear: Circle) -> Result<Mesh, JigFault> {
        let ring = |end: Circle| {
            super::shape::rectangle(
                end.centre.x - self.half,
                end.centre.y - end.radius - 2.0,
                end.centre.x + self.half,
                self.floor_height(end),
            )
        };
        layers(&[
            (-8.0, ring(front)),
            (0.0, ring(front)),
            (tube.length, ring(rear)),
            (tube.length + 1.0, ring(rear)),
        ])
    }

    /// Room for letters on the slot's floor, along the barrel.
    fn floor(&self, tube: &Tube<'_>, [front, rear]: [Circle; 2]) -> Field {
        let at = |end: Circle, z: f64| Point3::new(end.centre.x, self.floor_height(end), z);
        let (from, to) = (at(front, 0.0), at(rear, tube.length));
        let along = (to - from).normalize();
        Field {
            centre: from + (to - from) / 2.0,
            right: along,
            up: -geom::Vector3::x(),
            width: tube.length - 2.0,
            height: 2.0 * self.half - 0.8,
        }
    }
}

/// A flat handle behind a rolling mandrel, to turn it by.
fn paddle(tube: &Tube<'_>, rear: Circle) -> Result<(Mesh, Field), JigFault> {
    let (half, thick, long) = (rear.radius + 3.0, rear.radius, 26.0);
    let (x, y, z) = (rear.centre.x, rear.centre.y, tube.length);
    let mesh = super::shape::slab(
        [x - half, y - thick / 2.0, z - 0.5],
        [x + half, y + thick / 2.0, z + long],
    )?;
    let field = Field {
        centre: Point3::new(x, y - thick / 2.0, z + long / 2.0),
        right: geom::Vector3::x(),
        up: geom::Vector3::z(),
        width: 2.0 * half - 1.0,
        height: long - 1.5,
    };
    Ok((mesh, field))
}

/// Room for letters on the upper half of the rear face.
fn face(tube: &Tube<'_>, rear: Circle) -> Field {
    let r = rear.radius;
    Field::top(
        rear.centre.x,
        rear.centre.y + 0.5 * r,
        tube.length,
        1.35 * r,
        0.62 * r,
    )
}
