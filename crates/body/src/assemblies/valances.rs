//! Valances: the footplate's side shape, and the former that its drops are bent over.

use super::beams::stack;
use super::footplate::underside_profile;
use super::side_plate::{SidePlateOf, hand, outline_on_side};
use crate::fit::butt_joint;
use crate::model::specs::End;
use crate::tabs::{Tabbing, tab_into};
use crate::{Body, BodyError, Face, Model, Plate, Purpose, Region, flat_curves};
use geom::{Chain, Outline, Point2, Segment, Vector2};
use std::cmp::Ordering;

/// Path of the keys that decide the valances.
const PATH: &str = "footplate.valances";

pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let shape = Shape::of(model)?;
    let levels: Vec<String> = model
        .footplate
        .levels()
        .iter()
        .map(|level| format!("top{}", level.suffix))
        .collect();
    for left in [true, false] {
        let plate = shape.plate(model, left);
        let id = plate.id.clone();
        if let Some(footplate) = body.plate("footplate") {
            let mut tops: Vec<&str> = plate
                .outline
                .iter()
                .map(|edge| edge.name.as_str())
                .collect();
            tops.retain(|name| name.starts_with("top") || name.starts_with("drop"));
            tops.dedup();
            let joints: Vec<_> = tops
                .iter()
                .map(|top| butt_joint((&plate, top), (footplate, "underside")))
                .collect();
            body.joints.extend(joints);
        }
        body.plates.push(plate);
        for level in &levels {
            let edge = (id.as_str(), level.as_str());
            tab_into(model, body, edge, "footplate", Tabbing::default(), PATH)?;
        }
    }
    Ok(())
}

/// Distance of a valance's outside face from the centre line (mm).
pub(super) fn outside(model: &Model) -> f64 {
    model.footplate.width / 2.0 - model.footplate.valance_inset
}

/// True if a valance ends behind the beam of that end, and false if it passes outside the beam.
pub(super) fn behind_beam(model: &Model, end: End) -> bool {
    let f = &model.footplate;
    let half = f.drag_beam_at(end).map_or(f.beam_width, |beam| beam.width) / 2.0;
    outside(model) <= half
}

/// Where valances end: at the back of a beam, or at the end of the footplate outside one.
fn end_x(model: &Model, end: End) -> f64 {
    let inset = if behind_beam(model, end) {
        stack(model, end)
    } else {
        0.0
    };
    match end {
        End::Front => inset,
        End::Rear => model.footplate.length - inset,
    }
}

/// Outline of a valance in x and height, with what is cut away for a cylinder.
struct Shape {
    ends: (f64, f64),
    top: Chain,
    bottom: Chain,
    /// The half-etched face: its lower and upper bounds.
    etched: Option<(Chain, Chain)>,
    /// From, to and height of the place cut away.
    away: Option<(f64, f64, f64)>,
}

impl Shape {
    fn of(model: &Model) -> Result<Self, BodyError> {
        let f = &model.footplate;
        let t = model.metal.thickness("footplate");
        let under = underside_profile(model)?;
        let ends = (end_x(model, End::Front), end_x(model, End::Rear));
        let levels = f.levels();
        let (first, last) = (levels[0], levels[levels.len() - 1]);
        if !(first.to > ends.0 && last.from < ends.1 && ends.1 > ends.0) {
            return Err(BodyError::Shape {
                path: "footplate.drops".to_owned(),
                sentence: "a drop begins within the thickness of the beam".to_owned(),
                help: "leave a level part behind the beam".to_owned(),
            });
        }
        let profile = f.profile()?;
        // A line parallel to the underside; where a convex arc is too small for that, the underside moved
        // straight down.
        let below = |depth: f64| {
            profile
                .offset(-(t + depth))
                .unwrap_or_else(|_| under.translated(Vector2::new(0.0, -depth)))
        };
        let part = |chain: &Chain, (from, to): (f64, f64)| {
            chain.part(from, chain.length() - (f.length - to))
        };
        let land = 1.5 * model.metal.thickness("valances");
        let inner = (ends.0 + land, ends.1 - land);
        let etched = (f.valance_depth - f.beading > 2.0 * land).then(|| {
            (
                part(&below(f.valance_depth - f.beading), inner),
                part(&below(land), inner),
            )
        });
        Ok(Self {
            ends,
            top: part(&under, ends),
            bottom: part(&below(f.valance_depth), ends),
            etched,
            away: super::cylinders::valance_cut(model)?,
        })
    }

    /// The outline, anticlockwise seen from the right, and the names of its sides.
    fn outline(&self, main: f64) -> (Outline, Vec<String>) {
        let mut segments: Vec<(Segment, String)> = self
            .bottom_run()
            .into_iter()
            .map(|segment| (segment, "bottom".to_owned()))
            .collect();
        let rear = Segment::line(self.bottom.end(), self.top.end());
        segments.push((rear, "rear".to_owned()));
        let tops = self.top.segments();
        let middle = tops
            .iter()
            .position(|s| is_level(s) && (s.start().y - main).abs() < 1e-6)
            .unwrap_or(0);
        for (i, segment) in tops.iter().enumerate().rev() {
            let side = match i.cmp(&middle) {
                Ordering::Less => "-front",
                Ordering::Equal => "",
                Ordering::Greater => "-rear",
            };
            let kind = if is_level(segment) { "top" } else { "drop" };
            segments.push((segment.reversed(), format!("{kind}{side}")));
        }
        let front = Segment::line(self.top.start(), self.bottom.start());
        segments.push((front, "front".to_owned()));
        let (pieces, names): (Vec<Segment>, Vec<String>) = segments.into_iter().unzip();
        let outline = Outline::from_chain(&Chain::from_segments(pieces))
            .expect("its sides are laid end to end");
        (outline, names)
    }

    /// The lower edge, stepped up where a cylinder passes.
    fn bottom_run(&self) -> Vec<Segment> {
        let mut run = Vec::new();
        for segment in self.bottom.segments() {
            let (a, b) = (segment.start(), segment.end());
            match self.away {
                Some((from, to, height)) if is_level(segment) && a.x < from && to < b.x => {
                    let at = |x, z| Point2::new(x, z);
                    let corners = [
                        a,
                        at(from, a.y),
                        at(from, height),
                        at(to, height),
                        at(to, a.y),
                        b,
                    ];
                    run.extend(
                        corners
                            .windows(2)
                            .map(|ends| Segment::line(ends[0], ends[1])),
                    );
                }
                _ => run.push(*segment),
            }
        }
        run
    }

    /// The half-etched places of the face, drawn in x and height: all but the beading, the ends and the
    /// strip under the footplate, where tabs stand on the full thickness.
    fn etched_places(&self, land: f64) -> Vec<Outline> {
        let Some((low, high)) = &self.etched else {
            return Vec::new();
        };
        let between = |from: f64, to: f64| {
            let part = |chain: &Chain| {
                let end = chain.end().x;
                chain.part(
                    (from - chain.start().x).max(0.0),
                    chain.length() - (end - to).max(0.0),
                )
            };
            let (low, high) = (part(low), part(high).reversed());
            let (Some(_), Some(_)) = (low.segments().first(), high.segments().first()) else {
                return None;
            };
            let side = |a, b| Chain::from_segments([Segment::line(a, b)]);
            let (up, down) = (side(low.end(), high.start()), side(high.end(), low.start()));
            Outline::from_chain(&low.joined(&up).joined(&high).joined(&down)).ok()
        };
        let (from, to) = (low.start().x, low.end().x);
        let places = match self.away {
            Some((a, b, _)) => vec![between(from, a - land), between(b + land, to)],
            None => vec![between(from, to)],
        };
        places.into_iter().flatten().collect()
    }

    fn plate(&self, model: &Model, left: bool) -> Plate {
        let (outline, names) =
            self.outline(model.footplate.top - model.metal.thickness("footplate"));
        let sheet = model.metal.sheet("valances");
        let mut plate = SidePlateOf {
            id: format!("valance-{}", hand(left)),
            assembly: "footplate",
            title: format!("Valance, {}", hand(left)),
            sheet,
            left,
            outside: outside(model),
            ends: self.ends,
            outline: &outline,
            sides: &names.iter().map(String::as_str).collect::<Vec<_>>(),
        }
        .plate();
        let t = plate.sheet.thickness();
        let depth = model.metal.process.half_etch_depth.at(t);
        for (i, place) in self.etched_places(1.5 * t).iter().enumerate() {
            plate.regions.push(Region {
                name: format!("beading-{}", i + 1),
                purpose: Purpose::HalfEtch,
                face: Face::Outside,
                z_low: plate.sheet.z_low,
                z_high: plate.sheet.z_high - depth,
                boundary: flat_curves(&outline_on_side(left, self.ends, place)),
            });
        }
        plate
    }
}

fn is_level(segment: &Segment) -> bool {
    matches!(segment, Segment::Line { start, end } if (start.y - end.y).abs() < 1e-9)
}
