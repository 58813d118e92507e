//! The saddle tank: one wrapper with its lips, ends and formers that sit over the boiler, a riveted overlay.

use super::boiler::bore_top;
use super::tank_fittings::{filler, note_capacity};
use crate::error::AtKey;
use crate::fit::{former_joint, hole_joint};
use crate::laminations::{laminate, recess, witness_ring};
use crate::model::specs::RivetRowSpec;
use crate::panel::bays;
use crate::rows::{even_row, lay_row};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf};
use crate::wrapper::{SideNames, WrapperOf, add_ticks, loft_of};
use crate::{
    Body, BodyError, DerivedAngle, Finding, FindingPlace, Model, Plate, Precedence, Severity, Sheet,
};
use develop::{Loft, LoftFrame, SurfacePoint};
use geom::math::{PI, TAU, atan2};
use geom::sections::{SaddleTank, SaddleTankSection};
use geom::{Arc, Chain, FlatPoint, Outline, Point2, Point3, Segment, Vector2};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let tank = Tank::new(model)?;
    derive(&tank, body)?;
    let mut base = tank.base()?;
    let mut overlay = tank.overlay()?;
    for plate in [&mut base, &mut overlay] {
        bore_for_fittings(model, plate)?;
    }
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(base.sheet.thickness());
    let crown = loft_of(&base).datum();
    add_ticks(
        &mut base,
        &[("centre-line", crown)],
        model.rivets.edge,
        etched,
    );
    tank.rivet(&mut overlay);
    let inside = tank.inside()?;
    let places = tank.former_places();
    let formers: Vec<Plate> = places
        .iter()
        .map(|(id, title, facing, x)| tank.former(&inside, id, title, *facing, *x))
        .collect::<Result<_, _>>()?;
    for former in &formers {
        body.precedences
            .push(Precedence::new(&former.id, &base.id, CLOSED_OVER));
        for edge in RIM {
            // Whichever end of the wrapper is named, the rim is measured where the former stands.
            let end = if former.id == "saddle-tank-end-rear" {
                "rear"
            } else {
                "front"
            };
            body.joints
                .push(former_joint((&base, end), (former, edge), TAU));
        }
    }
    for hole in &overlay.holes {
        if base.hole(&hole.feature).is_some() {
            let name = hole.feature.clone();
            body.joints
                .push(hole_joint((&overlay, &name), (&base, &name)));
        }
    }
    body.plates.extend(formers);
    body.plates.extend([base, overlay]);
    for (id, ..) in &places {
        for edge in ["side-left", "side-right"] {
            let (edge, path) = ((*id, edge), "saddle_tank");
            tab_into(
                model,
                body,
                edge,
                "saddle-tank-wrapper",
                Tabbing::default(),
                path,
            )?;
        }
    }
    laminate(
        model,
        body,
        "saddle-tank-wrapper-overlay",
        "saddle-tank-wrapper",
    );
    add_filler(model, body);
    note_boiler_gap(model, body);
    Ok(())
}

/// The wrapper's tabbed sides spring over the ends and formers.
const CLOSED_OVER: &str = "the wrapper is closed over its ends and formers";

/// Edges of a former that the wrapper goes over.
const RIM: [&str; 5] = ["lip-left", "lip-right", "side-left", "side-right", "rim"];

const LIPS: SideNames = SideNames {
    ends: ("front", "rear"),
    sides: ("lip-right", "lip-left"),
    corners: [
        "front-right-lip",
        "rear-right-lip",
        "front-left-lip",
        "rear-left-lip",
    ],
    datum: ("front-crown", "rear-crown"),
};

struct Tank<'m> {
    model: &'m Model,
    section: SaddleTankSection,
}

impl<'m> Tank<'m> {
    fn new(model: &'m Model) -> Result<Self, BodyError> {
        let s = model.saddle_tank();
        let length = s.to - s.from;
        let least = 6.0 * model.metal.thickness("formers");
        if length <= least {
            return Err(BodyError::Shape {
                path: "saddle_tank.to".to_owned(),
                sentence: format!("the saddle tank is {length:.2} mm long on the model"),
                help: format!("its ends and formers need {least:.2} mm and more"),
            });
        }
        Ok(Self {
            model,
            section: section(model)?,
        })
    }

    fn frame(&self) -> LoftFrame {
        LoftFrame::along_engine(self.model.saddle_tank().from)
    }

    fn length(&self) -> f64 {
        let s = self.model.saddle_tank();
        s.to - s.from
    }

    /// The section a depth inside the drawn outside, from lip to lip; the lips end on the opening's circle.
    ///
    /// `reach` is the height of the lip's upper face over that depth: the corner nearest to the boiler ends there.
    fn section_within(&self, depth: f64, reach: f64) -> Result<Chain, BodyError> {
        let outside = self.section.left_half();
        let inner = outside
            .offset(-depth)
            .at_key("saddle_tank.bottom_corner_radius")?;
        // The lip is laid anew: it ends on the circle at its own height.
        let kept = inner.segments().len() - usize::from(self.section.lip > 1e-6);
        let kept = Chain::from_segments(inner.segments()[..kept].iter().copied());
        let start = kept.end();
        let half = self
            .opening_half_width(start.y - reach)
            .max(self.opening_half_width(start.y + reach));
        let lip = start.x - half;
        if lip <= 0.05 {
            return Err(BodyError::Shape {
                path: "saddle_tank.opening_radius".to_owned(),
                sentence: "no flat bottom is left between the tank's corner and its opening"
                    .to_owned(),
                help: "make the opening or the bottom corner smaller".to_owned(),
            });
        }
        let lip = Chain::from_segments([Segment::line(start, Point2::new(half, start.y))]);
        Ok(kept.joined(&lip).with_mirror_image())
    }

    /// Half the width of the opening at a height above rail (mm).
    fn opening_half_width(&self, z: f64) -> f64 {
        let g = &self.section.given;
        let below = g.boiler_centre - z;
        ((g.opening_radius - below) * (g.opening_radius + below))
            .max(0.0)
            .sqrt()
    }

    fn wrapper(
        &self,
        id: &str,
        title: &str,
        sheet: Sheet,
        names: SideNames,
        section: &Chain,
    ) -> Result<Plate, BodyError> {
        let loft = Loft::between(
            self.frame(),
            section,
            section,
            self.length(),
            sheet.thickness(),
            sheet.bend_rule,
        )
        .at_key("saddle_tank")?;
        Ok(WrapperOf {
            id,
            assembly: "saddle-tank",
            title,
            sheet,
            names,
        }
        .plate(loft))
    }

    /// The structural wrapper: over the top, round both bottom corners, along the lips to the opening.
    fn base(&self) -> Result<Plate, BodyError> {
        let sheet = self.model.metal.sheet("tanks");
        let neutral = self.section_within(recess(self.model) + sheet.z_high, sheet.z_high)?;
        self.wrapper(
            "saddle-tank-wrapper",
            "Saddle tank wrapper",
            sheet,
            LIPS,
            &neutral,
        )
    }

    /// The overlay ends round the bottom corners, where nothing more is seen.
    fn overlay(&self) -> Result<Plate, BodyError> {
        let sheet = self.model.metal.sheet("overlay");
        let outside = self.section.left_half();
        let last = outside.segments().len() - usize::from(self.section.lip > 1e-6);
        let over = Chain::from_segments(outside.segments()[..last].iter().copied());
        let neutral = over
            .with_mirror_image()
            .offset(-sheet.z_high)
            .at_key("saddle_tank.bottom_corner_radius")?;
        let names = SideNames {
            sides: ("bottom-right", "bottom-left"),
            corners: [
                "front-right-bottom",
                "rear-right-bottom",
                "front-left-bottom",
                "rear-left-bottom",
            ],
            ..LIPS
        };
        let id = "saddle-tank-wrapper-overlay";
        self.wrapper(id, "Saddle tank overlay", sheet, names, &neutral)
    }

    /// Inside of the wrapper, less the film of solder: what ends and formers fill.
    fn inside(&self) -> Result<Chain, BodyError> {
        let m = &self.model.metal;
        self.section_within(recess(self.model) + m.thickness("tanks") + m.film, 0.0)
    }

    /// Ends flush with the wrapper's, and formers under its upright rows.
    fn former_places(&self) -> Vec<(&'static str, &'static str, Facing, f64)> {
        let s = self.model.saddle_tank();
        let middle = f64::midpoint(s.from, s.to);
        vec![
            (
                "saddle-tank-end-front",
                "Saddle tank, front end",
                Facing::Front,
                s.from,
            ),
            (
                "saddle-tank-former",
                "Saddle tank former",
                Facing::Front,
                middle,
            ),
            (
                "saddle-tank-end-rear",
                "Saddle tank, rear end",
                Facing::Rear,
                s.to,
            ),
        ]
    }

    /// A plate that fills the inside, open round the boiler.
    fn former(
        &self,
        inside: &Chain,
        id: &str,
        title: &str,
        facing: Facing,
        x: f64,
    ) -> Result<Plate, BodyError> {
        let g = &self.section.given;
        let end = inside.end();
        let from = atan2(end.y - g.boiler_centre, end.x);
        let over = Segment::Arc(Arc {
            centre: Point2::new(0.0, g.boiler_centre),
            radius: g.opening_radius,
            start_angle: from,
            sweep: PI - 2.0 * from,
        });
        // Clockwise over the outside and back over the boiler; turned about it is anticlockwise, and its mirror
        // image, seen from the front, is itself.
        let round = inside.clone().joined(&Chain::from_segments([over]));
        let outline = Outline::from_chain(&round)
            .at_key("saddle_tank.opening_radius")?
            .reversed();
        let seen_left = if facing == Facing::Front { -1.0 } else { 1.0 };
        let sides: Vec<&str> = outline
            .segments()
            .iter()
            .map(|segment| side_of(segment, g.opening_radius, seen_left))
            .collect();
        Ok(FlatPlateOf {
            id: id.to_owned(),
            assembly: "saddle-tank",
            title: title.to_owned(),
            sheet: self.model.metal.sheet("formers"),
            outside_origin: Point3::new(x, 0.0, 0.0),
            facing,
            outline: &outline,
            sides: &sides,
        }
        .plate())
    }

    /// Double rows at both ends, a row along both bottoms, one over each inner former.
    fn rivet(&self, overlay: &mut Plate) {
        let (model, s) = (self.model, self.model.saddle_tank());
        let spec = RivetRowSpec {
            pitch: s.rivet_pitch,
            ..model.rivets.platework
        };
        let edge = model.rivets.edge;
        let loft = loft_of(overlay).clone();
        let at = |w| loft.flat(SurfacePoint { w, v: 0.0 }).y;
        let (low, high) = (at(0.0) + edge, at(loft.w_end()) - edge);
        let length = self.length();
        // A second row stands 0.8 pitches behind the first: common practice, no source.
        let apart = (0.8 * spec.pitch).max(1.05 * spec.head_diameter());
        if low >= high || 2.0 * (edge + apart) >= length {
            return;
        }
        let across = |x: f64| even_row(Point2::new(x, low), Point2::new(x, high), spec.pitch);
        let between = |x: f64| -> Vec<FlatPoint> {
            across(x)
                .windows(2)
                .map(|pair| pair[0] + (pair[1] - pair[0]) / 2.0)
                .collect()
        };
        lay_row(overlay, "front", &spec, across(edge));
        lay_row(overlay, "front-second", &spec, between(edge + apart));
        lay_row(overlay, "rear", &spec, across(length - edge));
        lay_row(
            overlay,
            "rear-second",
            &spec,
            between(length - edge - apart),
        );
        for (name, y) in [("bottom-right", low), ("bottom-left", high)] {
            let row = even_row(
                Point2::new(edge, y),
                Point2::new(length - edge, y),
                spec.pitch,
            );
            lay_row(overlay, name, &spec, row);
        }
        for (i, x) in bays(0.0, length, length / 2.0).iter().enumerate() {
            lay_row(overlay, &format!("former-{}", i + 1), &spec, across(*x));
        }
    }
}

/// The name of a former's side: lips and upright sides by their hand, the opening, and the rim for the rest.
///
/// `seen_left` is the sign of the flat's x on the engine's left.
fn side_of(segment: &Segment, opening: f64, seen_left: f64) -> &'static str {
    let middle = segment.point_at(0.5);
    let left = middle.x * seen_left > 0.0;
    match segment {
        Segment::Line { start, end } if (start.y - end.y).abs() < (start.x - end.x).abs() => {
            if left { "lip-left" } else { "lip-right" }
        }
        Segment::Line { .. } => {
            if left {
                "side-left"
            } else {
                "side-right"
            }
        }
        // The opening alone is concave; the outline runs anticlockwise.
        Segment::Arc(arc) if arc.sweep < 0.0 && (arc.radius - opening).abs() < 1e-9 => "opening",
        Segment::Arc(_) => "rim",
    }
}

fn section(model: &Model) -> Result<SaddleTankSection, BodyError> {
    let s = model.saddle_tank();
    SaddleTank {
        top: s.top,
        top_radius: s.top_radius,
        shoulder_radius: s.shoulder_radius,
        half_width: s.half_width,
        bottom: s.bottom,
        bottom_radius: s.bottom_corner_radius,
        boiler_centre: model.boiler().pitch,
        opening_radius: s.opening_radius,
    }
    .section()
    .at_key("saddle_tank.opening_radius")
}

fn derive(tank: &Tank<'_>, body: &mut Body) -> Result<(), BodyError> {
    let (model, section) = (tank.model, &tank.section);
    let s = model.saddle_tank();
    let half = section.left_half().length() - section.lip;
    for (name, title, mm) in [
        (
            "shoulder_centre",
            "Height of the shoulders' centres above rail",
            section.shoulder_centre,
        ),
        (
            "half_perimeter",
            "Half perimeter over the outside, top to lip",
            half,
        ),
        ("lip", "Flat bottom from corner to opening", section.lip),
        ("length", "Length of the tank", tank.length()),
        (
            "air_gap",
            "Gap from the cladding to the tank's opening, least",
            s.opening_radius - model.boiler().radius(s.to),
        ),
    ] {
        body.derive(&format!("saddle_tank.{name}"), title, mm);
    }
    body.angles.push(DerivedAngle {
        path: "saddle_tank.crown_half_angle".to_owned(),
        title: "Half angle of the top arc".to_owned(),
        radians: section.shoulder.crown_half_angle,
    });
    let area = section.area().at_key("saddle_tank")?;
    note_capacity(model, body, "saddle_tank", area * tank.length(), s.gallons);
    Ok(())
}

/// Holes through the top for what stands on the boiler and comes through the tank.
fn bore_for_fittings(model: &Model, plate: &mut Plate) -> Result<(), BodyError> {
    let s = model.saddle_tank();
    let dome = model
        .dome
        .as_ref()
        .map(|d| ("dome", d.x, d.spigot, "the dome's hole"));
    let valves = model
        .safety_valves
        .as_ref()
        .map(|v| ("safety-valves", v.x, v.spigot, "the safety valves' hole"));
    for (feature, x, spigot, what) in [dome, valves].into_iter().flatten() {
        if x - spigot > s.from && x + spigot < s.to {
            let path = format!("{}.x", feature.replace('-', "_"));
            bore_top(plate, feature, (x - s.from, spigot), &path, what)?;
        }
    }
    Ok(())
}

fn add_filler(model: &Model, body: &mut Body) {
    let s = model.saddle_tank();
    let Some(spec) = &s.filler else { return };
    let id = "saddle-tank-filler".to_owned();
    body.fittings
        .push(filler(id, "saddle-tank", spec, 0.0, s.top));
    let name = "saddle-tank-wrapper-overlay";
    if let Some(plate) = body.plates.iter_mut().find(|plate| plate.id == name) {
        let crown = loft_of(plate).datum();
        let centre = loft_of(plate).flat(SurfacePoint { w: crown, v: 0.0 })
            + Vector2::new(spec.x - s.from, 0.0);
        witness_ring(model, plate, "filler", centre, 0.85 * spec.diameter);
    }
}

/// Says so where the opening does not clear the cladding of the boiler.
fn note_boiler_gap(model: &Model, body: &mut Body) {
    let (s, b) = (model.saddle_tank(), model.boiler());
    // The opening is about the pitch; a barrel whose axis rises comes nearer by as much.
    let nearest = |x: f64| s.opening_radius - b.radius(x) - (b.axis_height(x) - b.pitch).abs();
    let (from, to) = (s.from.clamp(b.from, b.end()), s.to.clamp(b.from, b.end()));
    let (x, gap) = [from, f64::midpoint(from, to), to]
        .map(|x| (x, nearest(x)))
        .into_iter()
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((from, f64::INFINITY));
    // What a tank needs to go over the boiler: chosen, not sourced.
    let limit = model.scale.pick(0.10, 0.15);
    if gap < limit {
        body.findings.push(Finding {
            path: "saddle_tank.opening_radius".to_owned(),
            rule: "tank-near-boiler",
            severity: if gap < 0.0 {
                Severity::Error
            } else {
                Severity::Warning
            },
            found: gap,
            limit,
            at: FindingPlace {
                plate: Some("saddle-tank-former".to_owned()),
                flat: None,
                body: Some(Point3::new(x, 0.0, b.pitch + s.opening_radius)),
            },
            sentence: format!(
                "the tank's opening clears the boiler by {gap:.2} mm; {limit:.2} mm and more goes over it"
            ),
        });
    }
}
