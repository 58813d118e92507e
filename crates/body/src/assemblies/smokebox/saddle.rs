//! The saddle between drum and footplate: front and rear with the drum's arc, and two sides.

use super::stand;
use crate::error::AtKey;
use crate::fit::{butt_joint, former_joint};
use crate::model::specs::SaddleSpec;
use crate::upright::{Facing, FlatPlateOf, drill};
use crate::wrapper::{SideNames, WrapperOf};
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity};
use develop::{Loft, LoftFrame};
use geom::math::{PI, asin, atan2};
use geom::{Arc, Chain, Outline, Point2, Point3, Segment};

pub(super) fn build(model: &Model, saddle: &SaddleSpec, body: &mut Body) -> Result<(), BodyError> {
    let shape = Shape::of(model, saddle)?;
    let front = shape.end_plate(model, saddle, true)?;
    let rear = shape.end_plate(model, saddle, false)?;
    let mut plates = Vec::new();
    for left in [true, false] {
        let side = shape.side(model, saddle, left)?;
        // Seen from the front the left side is on the right.
        for (end, edge) in [(&front, "front"), (&rear, "rear")] {
            let rim = if left { "side-left" } else { "side-right" };
            body.joints.push(if side.forming.loft().is_some() {
                former_joint((&side, edge), (end, rim), shape.side_turn())
            } else {
                butt_joint((end, rim), (&side, "inside"))
            });
        }
        plates.push(side);
    }
    plates.extend([front, rear]);
    if let Some(drum) = body.plate("smokebox-wrapper-overlay").cloned() {
        for plate in &plates {
            body.joints
                .push(butt_joint((plate, "seat"), (&drum, "outside")));
        }
    }
    body.findings.push(shape.bevel(model));
    body.plates.extend(plates);
    stand(model, body, "smokebox.saddle.width")
}

/// What a seat is larger than the drum in radius, so that it goes on without scraping (mm): common
/// practice, no source.
const SEAT_CLEARANCE: f64 = 0.05;

/// The saddle across the engine: heights, and how far its sides stand out.
struct Shape {
    /// Top of the footplate.
    foot: f64,
    /// Centre of the drum, and radius of the seat.
    pitch: f64,
    seat: f64,
    /// Half width over the sides at the footplate and at the seat.
    half: f64,
    /// Height of the sides' drawn upper edge.
    top: f64,
    /// Radius of sides that curve inwards and distance of their centre from the centre line.
    hollow: Option<(f64, f64)>,
    /// Thickness of the sides.
    sheet: f64,
    film: f64,
}

impl Shape {
    fn of(model: &Model, saddle: &SaddleSpec) -> Result<Self, BodyError> {
        let s = model.smokebox();
        let (foot, pitch) = (model.footplate.top, model.boiler().pitch);
        let seat = s.diameter / 2.0 + SEAT_CLEARANCE;
        let half = saddle.width / 2.0;
        let sheet = model.metal.thickness("smokebox");
        let film = model.metal.film;
        let wrong = |key: &str, sentence: String, help: &str| BodyError::Shape {
            path: format!("smokebox.saddle.{key}"),
            sentence,
            help: help.to_owned(),
        };
        let holds = pitch - seat > foot;
        if !holds {
            return Err(wrong(
                "width",
                format!(
                    "the drum reaches down to {:.2} mm and the footplate lies at {foot:.2} mm: there is no room for a saddle",
                    pitch - seat
                ),
                "check the boiler's pitch, the smokebox's diameter and the height of the footplate",
            ));
        }
        // Past this the drum runs too nearly upright beside the side for a seat.
        let widest = 0.95 * seat;
        let least = 4.0 * (sheet + film);
        if !(half <= widest && half > least) {
            return Err(wrong(
                "width",
                format!(
                    "a saddle {:.2} mm wide does not carry the drum",
                    saddle.width
                ),
                &format!(
                    "between {:.2} and {:.2} mm on the model is wanted",
                    2.0 * least,
                    2.0 * widest
                ),
            ));
        }
        let ends = (s.front, s.end());
        let fits = saddle.from >= ends.0 - 1e-9 && saddle.from + saddle.length <= ends.1 + 1e-9;
        if !fits || saddle.length <= 4.0 * model.metal.thickness("formers") {
            return Err(wrong(
                "length",
                format!(
                    "a saddle {:.2} mm long does not stand under the drum",
                    saddle.length
                ),
                &format!("the drum reaches from x {:.2} to {:.2} mm", ends.0, ends.1),
            ));
        }
        let top = pitch - (seat * seat - half * half).sqrt();
        let hollow = match saddle.side_radius {
            None => None,
            Some(radius) => {
                let chord = (top - foot) / 2.0;
                let reach = radius * radius - chord * chord;
                let sag = radius - reach.max(0.0).sqrt();
                if !(reach > 0.0 && sag < half - least) {
                    return Err(wrong(
                        "side_radius",
                        format!(
                            "sides of {radius:.2} mm radius do not go between drum and footplate"
                        ),
                        &format!(
                            "they are {:.2} mm high; make the radius larger",
                            2.0 * chord
                        ),
                    ));
                }
                Some((radius, half + reach.sqrt()))
            }
        };
        Ok(Self {
            foot,
            pitch,
            seat,
            half,
            top,
            hollow,
            sheet,
            film,
        })
    }

    /// How far a face `inwards` (mm) of the sides' outside stands from the centre line at a height.
    fn half_at(&self, z: f64, inwards: f64) -> f64 {
        match self.hollow {
            None => self.half - inwards,
            Some((radius, centre)) => {
                let (own, up) = (radius + inwards, z - (self.foot + self.top) / 2.0);
                centre - (own * own - up * up).max(0.0).sqrt()
            }
        }
    }

    /// Height at which that face meets the seat.
    fn top_at(&self, inwards: f64) -> f64 {
        let (mut low, mut high) = (self.foot, self.pitch);
        // Below the seat the face is outside the drum, level with its centre inside.
        for _ in 0..80 {
            let middle = (low + high) / 2.0;
            let (y, z) = (self.half_at(middle, inwards), middle - self.pitch);
            if y * y + z * z > self.seat * self.seat {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    /// The left face from the seat down to the footplate, in section.
    fn left_face(&self, inwards: f64) -> Segment {
        let (top, foot) = (self.top_at(inwards), self.foot);
        match self.hollow {
            None => Segment::line(
                Point2::new(self.half - inwards, top),
                Point2::new(self.half - inwards, foot),
            ),
            Some((radius, centre)) => {
                let (own, middle) = (radius + inwards, (self.foot + self.top) / 2.0);
                let (up, down) = (asin((top - middle) / own), asin((middle - foot) / own));
                Segment::Arc(Arc {
                    centre: Point2::new(centre, middle),
                    radius: own,
                    start_angle: PI - up,
                    sweep: up + down,
                })
            }
        }
    }

    /// Turning of a side's section (rad).
    fn side_turn(&self) -> f64 {
        self.left_face(self.sheet / 2.0).turn().abs()
    }

    /// Front or rear: foot, sides and the drum's arc.
    fn end_plate(
        &self,
        model: &Model,
        saddle: &SaddleSpec,
        front: bool,
    ) -> Result<Plate, BodyError> {
        let down = self.left_face(self.sheet + self.film);
        let up = down.mirrored_in_y_axis().reversed();
        // From the right of the plate as it is looked at, over the lowest point, to its left.
        let (right, left) = (down.start(), up.end());
        let from = atan2(right.y - self.pitch, right.x);
        let arc = Segment::Arc(Arc {
            centre: Point2::new(0.0, self.pitch),
            radius: self.seat,
            start_angle: from,
            sweep: -(PI + 2.0 * from),
        });
        let outline = Chain::from_segments([
            Segment::line(up.start(), down.end()),
            down.reversed(),
            arc,
            up.reversed(),
        ]);
        debug_assert!((arc.end() - left).norm() < 1e-6);
        let outline = Outline::from_chain(&outline).at_key("smokebox.saddle.width")?;
        let (id, title, facing, x, sides) = if front {
            (
                "smokebox-saddle-front",
                "Smokebox saddle, front",
                Facing::Front,
                saddle.from,
                ["foot", "side-right", "seat", "side-left"],
            )
        } else {
            (
                "smokebox-saddle-rear",
                "Smokebox saddle, rear",
                Facing::Rear,
                saddle.from + saddle.length,
                ["foot", "side-left", "seat", "side-right"],
            )
        };
        let mut plate = FlatPlateOf {
            id: id.to_owned(),
            assembly: "smokebox",
            title: title.to_owned(),
            sheet: model.metal.sheet("formers"),
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        if !front {
            // Room for an iron; common practice, no source.
            let room = self.pitch - self.seat - self.foot;
            let diameter = (0.5 * room).min(self.half);
            let p = model.metal.process;
            let bar = (room - diameter) / 2.0;
            let t = plate.sheet.thickness();
            if diameter > p.least_hole.at(t) && bar > p.least_bar.at(t) {
                let centre = Point2::new(0.0, self.foot + room / 2.0);
                drill(&mut plate, "access", centre, diameter);
            }
        }
        Ok(plate)
    }

    fn side(&self, model: &Model, saddle: &SaddleSpec, left: bool) -> Result<Plate, BodyError> {
        let sheet = model.metal.sheet("smokebox");
        let (hand, title) = if left {
            ("left", "Smokebox saddle, left side")
        } else {
            ("right", "Smokebox saddle, right side")
        };
        let id = format!("smokebox-saddle-{hand}");
        let neutral = self.left_face(sheet.z_high);
        if self.hollow.is_none() {
            let height = neutral.start().y;
            let outline = Outline::rectangle(
                Point2::new(0.0, self.foot),
                Point2::new(saddle.length, height),
            );
            let (facing, x, y, sides) = if left {
                (
                    Facing::Left,
                    saddle.from + saddle.length,
                    self.half,
                    ["foot", "front", "seat", "rear"],
                )
            } else {
                (
                    Facing::Right,
                    saddle.from,
                    -self.half,
                    ["foot", "rear", "seat", "front"],
                )
            };
            return Ok(FlatPlateOf {
                id,
                assembly: "smokebox",
                title: title.to_owned(),
                sheet,
                outside_origin: Point3::new(x, y, 0.0),
                facing,
                outline: &outline,
                sides: &sides,
            }
            .plate());
        }
        // With the outside on the left of travel the left side is travelled downwards, the right upwards.
        let (run, sides, corners) = if left {
            (
                neutral,
                ("seat", "foot"),
                ["front-seat", "rear-seat", "front-foot", "rear-foot"],
            )
        } else {
            (
                neutral.mirrored_in_y_axis().reversed(),
                ("foot", "seat"),
                ["front-foot", "rear-foot", "front-seat", "rear-seat"],
            )
        };
        let chain = Chain::from_segments([run]);
        let loft = Loft::between(
            LoftFrame::along_engine(saddle.from),
            &chain,
            &chain,
            saddle.length,
            sheet.thickness(),
            sheet.bend_rule,
        )
        .at_key("smokebox.saddle.side_radius")?;
        Ok(WrapperOf {
            id: &id,
            assembly: "smokebox",
            title,
            sheet,
            names: SideNames {
                ends: ("front", "rear"),
                sides,
                corners,
                datum: ("front-middle", "rear-middle"),
            },
        }
        .plate(loft))
    }

    /// The sides' upper edges are etched square at the height of mid-sheet.
    fn bevel(&self, model: &Model) -> Finding {
        let depth = self.top_at(0.0) - self.top_at(model.metal.thickness("smokebox"));
        Finding {
            path: "smokebox.saddle.width".to_owned(),
            rule: "edge-to-bevel",
            severity: Severity::Note,
            found: depth,
            limit: 0.0,
            at: FindingPlace {
                plate: Some("smokebox-saddle-left".to_owned()),
                flat: None,
                body: None,
            },
            sentence: format!(
                "the upper edges of the saddle's sides are etched square; file them to the drum, {depth:.2} mm higher outside than inside"
            ),
        }
    }
}
