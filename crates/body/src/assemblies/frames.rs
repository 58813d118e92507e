//! Frames for the wheels chosen: two plates and the spacers between them.

use super::beams::stack;
use super::footplate::{on_footplate, underside_at};
use super::run::{Run, quarter};
use super::side_plate::{SidePlateOf, cut_side, hand, on_side};
use super::trucks::{Truck, trucks};
use crate::fit::{butt_joint, hole_joint};
use crate::model::specs::End;
use crate::rows::{even_row, lay_row, obstacles};
use crate::tabs::{Tabbing, tab_into};
use crate::upright::{Facing, FlatPlateOf, drill, rectangle};
use crate::{Body, BodyError, Finding, FindingPlace, Model, Plate, Severity};
use geom::{Outline, Point2, Point3};

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let layout = Layout::of(model)?;
    for left in [true, false] {
        body.plates.push(layout.frame(model, left));
    }
    layout.warn_of_low_frames(model, body);
    let places = layout.spacers(model, body);
    for place in &places {
        layout.add_spacer(model, body, place)?;
    }
    for left in [true, false] {
        let frame = format!("frame-{}", hand(left));
        if let Some(plate) = body.plates.iter_mut().find(|plate| plate.id == frame) {
            layout.lay_rivets(model, plate, left, &places);
        }
    }
    Ok(())
}

/// Radius of an axle (mm): common practice, no source.
pub(super) fn shaft(model: &Model) -> f64 {
    model.scale.pick(1.5, 2.4)
}

/// A screw that holds the body on its frames (mm): clearance for M2 at 4 mm scale and M3 at 7 mm: common
/// practice, no source.
pub(super) fn screw(model: &Model) -> f64 {
    model.scale.pick(2.2, 3.2)
}

/// A place cut out of the frames' lower edge.
#[derive(Clone, Copy, Debug)]
struct Notch {
    from: f64,
    to: f64,
    /// How high it reaches above rail.
    height: f64,
    /// Radius of its upper corners.
    corner: f64,
    name: &'static str,
    /// True for the horn slot of an axle.
    horn: bool,
}

/// A stretch of the frames' upper edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ceiling {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) top: f64,
}

/// A spacer: what it is for, its middle, and the height of its upper face.
struct SpacerPlace {
    name: String,
    x: f64,
    top: f64,
    /// Holds the body, at one end.
    fixing: bool,
    /// A truck turns about it.
    pivot: bool,
}

struct Layout {
    ends: (f64, f64),
    /// Over both plates, and the thickness of one.
    over: f64,
    thickness: f64,
    bottom: f64,
    ceilings: Vec<Ceiling>,
    notches: Vec<Notch>,
    /// Wheels that the frames cannot be cut away for: axle number and what is lacking.
    low: Vec<(usize, f64)>,
}

impl Layout {
    fn of(model: &Model) -> Result<Self, BodyError> {
        let r = &model.running;
        let over = model.wheels.dimensions().over_frames;
        let thickness = model.metal.thickness("frames").min(over / 8.0);
        let ends = (
            stack(model, End::Front),
            model.footplate.length - stack(model, End::Rear),
        );
        let ceilings = ceilings(model, ends);
        let lowest_top = ceilings.iter().map(|c| c.top).fold(f64::INFINITY, f64::min);
        let land = 3.0 * thickness;
        let lowest_axle = r
            .axles
            .iter()
            .filter(|axle| axle.kind.in_frames())
            .map(|axle| axle.diameter / 2.0 - shaft(model) - land)
            .fold(f64::INFINITY, f64::min);
        let bottom = r.frame_bottom.min(lowest_axle);
        if !(ends.1 - ends.0 > 4.0 * land && bottom > 0.0 && lowest_top - bottom > 2.0 * land) {
            return Err(BodyError::Shape {
                path: "frames.bottom".to_owned(),
                sentence: "the frames have no depth between the footplate and the rail".to_owned(),
                help: "check the heights of frames and footplate and the diameters of the wheels"
                    .to_owned(),
            });
        }
        let mut layout = Self {
            ends,
            over,
            thickness,
            bottom,
            ceilings,
            notches: Vec::new(),
            low: Vec::new(),
        };
        for truck in trucks(model) {
            layout.cut_away(model, &truck, land);
        }
        if r.horns {
            layout.cut_horns(model);
        }
        layout.merge_notches(land);
        Ok(layout)
    }

    /// Lowest upper edge between two places.
    fn top_between(&self, from: f64, to: f64) -> f64 {
        self.ceilings
            .iter()
            .filter(|c| c.to > from && c.from < to)
            .map(|c| c.top)
            .fold(f64::INFINITY, f64::min)
    }

    /// Room for the wheels of a truck to swing.
    fn cut_away(&mut self, model: &Model, truck: &Truck, land: f64) {
        let reach = truck.swept(model);
        let (from, to) = (truck.first().1 - reach, truck.last().1 + reach);
        let wanted = truck.radius + reach;
        let cap = self.top_between(from, to) - land / 2.0;
        if wanted > cap {
            self.low.push((truck.first().0, wanted - cap));
        }
        let height = wanted.min(cap);
        if height > self.bottom {
            let corner = reach.min(height - self.bottom).min((to - from) / 2.0);
            self.notches.push(Notch {
                from,
                to,
                height,
                corner,
                name: "truck",
                horn: false,
            });
        }
    }

    fn cut_horns(&mut self, model: &Model) {
        let half = model.running.horn_width / 2.0;
        let t = self.thickness;
        let corner = model.metal.process.inside_corner.at(t).min(half);
        for axle in model.running.axles.iter().filter(|a| a.kind.in_frames()) {
            let cap = self.top_between(axle.x - half, axle.x + half) - 3.0 * t;
            let height = (axle.diameter / 2.0 + half).min(cap);
            if height > self.bottom + corner {
                self.notches.push(Notch {
                    from: axle.x - half,
                    to: axle.x + half,
                    height,
                    corner,
                    name: "horn",
                    horn: true,
                });
            }
        }
    }

    /// Puts the notches in order; those that meet, or leave less than `land` between them, become one.
    fn merge_notches(&mut self, land: f64) {
        self.notches.sort_by(|a, b| a.from.total_cmp(&b.from));
        let mut merged: Vec<Notch> = Vec::new();
        for notch in self.notches.drain(..) {
            match merged.last_mut() {
                Some(last) if notch.from < last.to + land => {
                    last.to = last.to.max(notch.to);
                    last.height = last.height.max(notch.height);
                    last.corner = last.corner.min(notch.corner);
                    last.horn = false;
                    last.name = "truck";
                }
                _ => merged.push(notch),
            }
        }
        let (first, last) = self.ends;
        merged.retain(|notch| notch.to > first + land && notch.from < last - land);
        for notch in &mut merged {
            // No thin prong is left at an end: the place is open there.
            if notch.from < first + land {
                notch.from = first;
            }
            if notch.to > last - land {
                notch.to = last;
            }
            notch.corner = notch.corner.min((notch.to - notch.from) / 2.0);
        }
        self.notches = merged;
    }

    fn frame(&self, model: &Model, left: bool) -> Plate {
        let (outline, sides) = self.run().close();
        let word = hand(left);
        let mut plate = SidePlateOf {
            id: format!("frame-{word}"),
            assembly: "frames",
            title: format!("Frame, {word}"),
            sheet: model.metal.sheet("frames"),
            left,
            outside: self.over / 2.0,
            ends: self.ends,
            outline: &outline,
            sides: &sides,
        }
        .plate();
        for (i, axle) in model.running.axles.iter().enumerate() {
            let centre = Point2::new(axle.x, axle.diameter / 2.0);
            if axle.kind.in_frames() && self.holds(centre, shaft(model)) {
                let hole = Outline::circle(centre, shaft(model));
                let diameter = Some(2.0 * shaft(model));
                let feature = format!("axle-{}", i + 1);
                cut_side(&mut plate, left, self.ends, &feature, &hole, diameter);
            }
        }
        plate
    }

    /// True if there is metal all round a hole.
    fn holds(&self, centre: Point2, radius: f64) -> bool {
        let r = radius + self.thickness;
        let (from, to) = (centre.x - r, centre.x + r);
        from > self.ends.0
            && to < self.ends.1
            && centre.y + r < self.top_between(from, to)
            && centre.y - r > self.bottom
            && self
                .notches
                .iter()
                .all(|n| n.to < from || n.from > to || n.height < centre.y - r)
    }

    /// The outline seen from the right.
    fn run(&self) -> Run<'static> {
        let mut run = Run::default();
        let (first, last) = self.ends;
        let (mut start, mut stop) = (self.bottom, self.bottom);
        for notch in &self.notches {
            let z = notch.height;
            let c = notch.corner;
            if notch.from > first {
                if run.is_empty() {
                    run.line(first, self.bottom, "bottom");
                }
                run.line(notch.from, self.bottom, notch.name);
                run.arc(notch.from, z - c, -quarter(), notch.name);
                run.line(notch.from + c, z, notch.name);
            } else {
                start = z;
                run.line(first, z, notch.name);
            }
            if notch.to < last {
                run.arc(notch.to - c, z, -quarter(), notch.name);
                run.line(notch.to, z - c, notch.name);
                run.line(notch.to, self.bottom, "bottom");
            } else {
                stop = z;
            }
        }
        if run.is_empty() {
            run.line(first, start, "bottom");
        }
        run.line(last, stop, "rear");
        for (i, ceiling) in self.ceilings.iter().enumerate().rev() {
            run.line(ceiling.to, ceiling.top, TOPS[i.min(TOPS.len() - 1)]);
            let step = if i == 0 { "front" } else { "step" };
            run.line(ceiling.from, ceiling.top, step);
        }
        run
    }

    /// Says where wheels of a truck come against frames that cannot be cut away further.
    fn warn_of_low_frames(&self, model: &Model, body: &mut Body) {
        for &(axle, lacking) in &self.low {
            let Some(own) = model.running.axles.get(axle - 1) else {
                continue;
            };
            body.findings.push(Finding {
                path: format!("axles[{}].diameter", axle - 1),
                rule: "wheel-fouls-frames",
                severity: Severity::Warning,
                found: -lacking,
                limit: 0.0,
                at: FindingPlace {
                    plate: Some("frame-left".to_owned()),
                    flat: None,
                    body: Some(Point3::new(own.x, self.over / 2.0, own.diameter)),
                },
                sentence: format!(
                    "the wheels of axle {axle} cannot swing freely: {lacking:.2} mm of frame is left above them for strength; \
                     limit the swing, or let the frames in there"
                ),
            });
        }
    }

    /// Where spacers go: under both ends of the body, half way, and where a truck turns.
    fn spacers(&self, model: &Model, body: &mut Body) -> Vec<SpacerPlace> {
        let half = spacer_length(model) / 2.0;
        let mut places: Vec<SpacerPlace> = Vec::new();
        for truck in trucks(model) {
            let x = truck.pivot;
            match self.spacer_top(model, x) {
                Some(top) => places.push(SpacerPlace {
                    name: truck.id.clone(),
                    x,
                    top,
                    fixing: false,
                    pivot: true,
                }),
                None => body.findings.push(no_room(&truck.id, x, 2.0 * half)),
            }
        }
        let (first, last) = (self.ends.0 + half + 1.0, self.ends.1 - half - 1.0);
        let middle = (first + last) / 2.0;
        for (name, ideal) in [("front", first), ("rear", last), ("middle", middle)] {
            let fixing = name != "middle";
            let reach = (last - first) / if fixing { 2.0 } else { 4.0 };
            let steps = (reach / STEP).clamp(0.0, 4000.0) as i32;
            // Outwards from the ideal place; the ends come inwards only.
            let found = (0..=2 * steps)
                .map(|k| {
                    ideal + STEP * f64::from((k + 1) / 2) * if k % 2 == 0 { 1.0 } else { -1.0 }
                })
                .filter(|x| (first..=last).contains(x))
                .filter(|x| {
                    places
                        .iter()
                        .all(|own| (own.x - x).abs() > 2.0 * half + 1.0)
                })
                .find_map(|x| {
                    let top = self.spacer_top(model, x)?;
                    let clear = if fixing {
                        self.fixing_is_clear(model, body, x)
                    } else {
                        clear_of_firebox(model, x, half)
                    };
                    clear.then_some((x, top))
                });
            match found {
                Some((x, top)) => places.push(SpacerPlace {
                    name: name.to_owned(),
                    x,
                    top,
                    fixing,
                    pivot: false,
                }),
                None => body.findings.push(no_room(name, ideal, 2.0 * half)),
            }
        }
        places
    }

    /// Height of a spacer's upper face about a place, if frames, axles and notches leave room.
    fn spacer_top(&self, model: &Model, x: f64) -> Option<f64> {
        let half = spacer_length(model) / 2.0;
        let t = self.thickness;
        let (from, to) = (x - half - t, x + half + t);
        if from < self.ends.0 || to > self.ends.1 {
            return None;
        }
        let top = self.top_between(from, to) - 1.5 * t;
        let below = top - 3.0 * t;
        let notched = self
            .notches
            .iter()
            .any(|n| n.to > from && n.from < to && n.height > below);
        let axle = model.running.axles.iter().any(|axle| {
            let r = shaft(model) + t;
            let (low, high) = (axle.diameter / 2.0 - r, axle.diameter / 2.0 + r);
            axle.x + r > from && axle.x - r < to && high > below && low < top
        });
        (!notched && !axle && below > self.bottom).then_some(top)
    }

    /// True if the screw's hole in the footplate keeps clear of everything there.
    fn fixing_is_clear(&self, model: &Model, body: &Body, x: f64) -> bool {
        let Some(footplate) = body.plate("footplate") else {
            return false;
        };
        let radius = screw(model) / 2.0;
        let land = model
            .metal
            .process
            .least_bar
            .at(footplate.sheet.stock_thickness);
        let level = |side: f64| underside_at(model, x + side * radius);
        // On a slope a screw has nothing to sit on.
        (level(-2.0) - level(2.0)).abs() < 1e-9
            && on_footplate(model, footplate, x, 0.0).is_some_and(|flat| {
                obstacles(footplate)
                    .iter()
                    .all(|own| own.clear_of(flat, radius + 2.0 * land))
            })
    }

    fn add_spacer(
        &self,
        model: &Model,
        body: &mut Body,
        place: &SpacerPlace,
    ) -> Result<(), BodyError> {
        let id = format!("spacer-{}", place.name);
        let (half, side) = (spacer_length(model) / 2.0, self.over / 2.0 - self.thickness);
        let outline = rectangle(
            Point2::new(place.x - half, -side),
            Point2::new(place.x + half, side),
        );
        let mut plate = FlatPlateOf {
            id: id.clone(),
            assembly: "frames",
            title: format!("Frame spacer, {}", place.name),
            sheet: model.metal.sheet("frames"),
            outside_origin: Point3::new(0.0, 0.0, place.top),
            facing: Facing::Up,
            outline: &outline,
            sides: &["right", "rear", "left", "front"],
        }
        .plate();
        if place.fixing {
            drill(
                &mut plate,
                "fixing",
                Point2::new(place.x, 0.0),
                screw(model),
            );
            self.drill_footplate(model, body, place, &plate);
        }
        if place.pivot {
            drill(&mut plate, "pivot", Point2::new(place.x, 0.0), screw(model));
        }
        for side in ["left", "right"] {
            if let Some(frame) = body.plate(&format!("frame-{side}")) {
                let joint = butt_joint((&plate, side), (frame, "inside"));
                body.joints.push(joint);
            }
        }
        body.plates.push(plate);
        for side in ["left", "right"] {
            let frame = format!("frame-{side}");
            let edge = (id.as_str(), side);
            tab_into(model, body, edge, &frame, Tabbing::default(), "frames")?;
        }
        Ok(())
    }

    /// Repeats the hole of a fixing in the footplate, and declares the meeting.
    fn drill_footplate(&self, model: &Model, body: &mut Body, place: &SpacerPlace, spacer: &Plate) {
        let Some(footplate) = body.plates.iter_mut().find(|plate| plate.id == "footplate") else {
            return;
        };
        let Some(flat) = on_footplate(model, footplate, place.x, 0.0) else {
            return;
        };
        let feature = format!("fixing-{}", place.name);
        drill(footplate, &feature, flat, screw(model));
        let joint = hole_joint((spacer, "fixing"), (footplate, &feature));
        body.joints.push(joint);
    }

    /// An upright row of rivets at each spacer.
    fn lay_rivets(&self, model: &Model, plate: &mut Plate, left: bool, places: &[SpacerPlace]) {
        let spec = &model.rivets.beams;
        let edge = model.rivets.edge;
        for place in places {
            let top = self.top_between(place.x, place.x) - edge;
            let low = self.bottom + edge;
            if top - low > 2.0 * spec.pitch {
                let at = |z| on_side(left, self.ends, Point2::new(place.x, z));
                let row = format!("spacer-{}", place.name);
                lay_row(plate, &row, spec, even_row(at(low), at(top), spec.pitch));
            }
        }
    }
}

/// Names of the frames' upper edges, front to rear.
pub(super) const TOPS: [&str; 3] = ["top", "top-2", "top-3"];

/// Step of the search for a spacer's place (mm).
const STEP: f64 = 0.5;

/// Length of a spacer along the engine (mm): common practice, no source.
fn spacer_length(model: &Model) -> f64 {
    model.scale.pick(8.0, 14.0)
}

fn clear_of_firebox(model: &Model, x: f64, half: f64) -> bool {
    model.firebox.as_ref().is_none_or(|firebox| {
        let from = super::firebox::front_x(model);
        x + half < from || x - half > from + firebox.length
    })
}

fn no_room(name: &str, x: f64, length: f64) -> Finding {
    Finding {
        path: "frames".to_owned(),
        rule: "no-room-for-spacer",
        severity: Severity::Warning,
        found: 0.0,
        limit: length,
        at: FindingPlace {
            plate: Some("frame-left".to_owned()),
            flat: None,
            body: Some(Point3::new(x, 0.0, 0.0)),
        },
        sentence: format!(
            "no spacer of {length:.1} mm fits between the frames for {name}: wheels, axles or openings take the room; \
             add one by hand"
        ),
    }
}

/// The frames' upper edge: under the footplate everywhere. Beside a drop it keeps to the lower level.
pub(super) fn ceilings(model: &Model, (first, last): (f64, f64)) -> Vec<Ceiling> {
    let levels = model.footplate.levels();
    let t = model.metal.thickness("footplate");
    let mut all: Vec<Ceiling> = Vec::new();
    for (i, level) in levels.iter().enumerate() {
        let lower = |other: Option<&crate::model::specs::Level>| {
            other.is_none_or(|other| level.top <= other.top)
        };
        let before = i.checked_sub(1).and_then(|k| levels.get(k));
        let behind = levels.get(i + 1);
        // The lower of two levels runs on through the slope to where the higher begins.
        let from = match before {
            Some(other) if lower(Some(other)) => other.to,
            _ => level.from,
        };
        let to = match behind {
            Some(other) if lower(Some(other)) => other.from,
            _ => level.to,
        };
        let top = level.top - t;
        let top = model.running.frame_top.map_or(top, |own| own.min(top));
        let (from, to) = (from.max(first), to.min(last));
        if to > from {
            all.push(Ceiling { from, to, top });
        }
    }
    all
}
