//! Measures the joints of a body from its plates as they stand, and their worst case.
//!
//! Nothing here knows how a plate was made: a plate that is drawn wrong shows in its joints.

use crate::rows::sampled;
use crate::{Body, Curve, Edge, Hole, Joint, Meeting, Metal, Plate, Purpose, Region, Scale};
use develop::Place;
use geom::{BodyPoint, FlatPoint, Vector2};

/// A share of a worst case: what it is, and how far it moves the gap either way (mm).
type Share = (String, f64);

impl Body {
    /// Measures every joint anew from the plates.
    pub fn measure_joints(&mut self, metal: &Metal, scale: Scale) {
        let mut joints = std::mem::take(&mut self.joints);
        for joint in &mut joints {
            let plate = |id: &str| {
                self.plate(id)
                    .unwrap_or_else(|| panic!("joint {} names a plate of this body", joint.id))
            };
            let (a, b) = (plate(&joint.a.plate), plate(&joint.b.plate));
            let pair = Pair { a, b, metal, scale };
            pair.measure(joint);
        }
        self.joints = joints;
    }

    /// A joint measured on the plates as they stand; `None` where one of its plates, edges or openings is
    /// not there or is drawn so that no gap can be told.
    pub fn measured_joint(&self, joint: &Joint, metal: &Metal, scale: Scale) -> Option<Joint> {
        let side = |side: &crate::Side| {
            let plate = self.plate(&side.plate)?;
            let feature = side.feature.as_str();
            let opening = matches!(joint.meeting, Meeting::Hole);
            let there = if opening {
                plate.hole(feature).is_some()
            } else {
                plate.edge(feature).is_some()
                    || face_height(plate, feature).is_some()
                    || face_along_edge(plate, feature).is_some()
                    || plate.hole(feature).is_some()
            };
            there.then_some(plate)
        };
        let (a, b) = (side(&joint.a)?, side(&joint.b)?);
        if joint.meeting == Meeting::Tab
            && (a.edge(&joint.a.feature).is_none() || b.hole(&joint.b.feature).is_none())
        {
            return None;
        }
        let mut measured = joint.clone();
        Pair { a, b, metal, scale }.measure(&mut measured);
        measured.gap.is_finite().then_some(measured)
    }
}

/// The two plates of a joint.
struct Pair<'p> {
    a: &'p Plate,
    b: &'p Plate,
    metal: &'p Metal,
    scale: Scale,
}

impl Pair<'_> {
    fn measure(&self, joint: &mut Joint) {
        let (fa, fb) = (joint.a.feature.as_str(), joint.b.feature.as_str());
        let film = self.metal.film;
        let (gap, shares, limit) = match joint.meeting {
            Meeting::OnFormer { turn } => (
                self.over_former(fa, fb, film),
                self.former_shares(turn),
                self.former_limit(),
            ),
            Meeting::Butt => (
                self.between(fa, fb, 0.0),
                self.butt_shares(),
                self.butt_limit(),
            ),
            Meeting::Face => (
                self.between(fa, fb, film),
                self.face_shares(),
                self.face_limit(),
            ),
            Meeting::Tab => (
                self.tab_in_slot(fa, fb),
                self.tab_shares(),
                self.tab_limit(),
            ),
            Meeting::Hole => (
                self.holes_apart(fa, fb),
                self.hole_shares(),
                self.hole_limit(),
            ),
        };
        let spread: f64 = shares.iter().map(|(_, amount)| amount).sum();
        joint.gap = gap;
        joint.range = match joint.meeting {
            // Two centres are never less than nothing apart.
            Meeting::Hole => (0.0, gap + spread),
            _ => (gap - spread, gap + spread),
        };
        joint.limit = limit;
        joint.largest_contributor = shares
            .into_iter()
            .max_by(|x, y| x.1.total_cmp(&y.1))
            .map_or_else(String::new, |(what, _)| what);
        joint.at = place_of(self.a, fa);
    }

    /// Radial gap between a wrapper's inner face and its former's rim, where it is farthest from `film`.
    ///
    /// The rim is followed half way through the former's thickness.
    fn over_former(&self, edge: &str, rim: &str, film: f64) -> f64 {
        let gaps = edges(self.b, rim)
            .flat_map(|edge| SHARES.map(|t| self.b.flat_point(&edge.curve, t)))
            .filter_map(Result::ok)
            .map(|flat| {
                let place = nearest_place(self.a, self.b.forming.place(flat).point);
                let from = self.b.forming.place(flat).point - place.point;
                self.a.sheet.z_low - from.dot(&place.normal)
            });
        debug_assert!(
            self.a.edge(edge).is_some(),
            "{} has an edge {edge}",
            self.a.id
        );
        farthest_from(film, gaps)
    }

    /// Gap between a feature of `a` and one of `b`, where it is farthest from `wanted`.
    fn between(&self, feature: &str, other: &str, wanted: f64) -> f64 {
        let points = off_folds(self.b, points_of(self.a, feature));
        match face_height(self.b, other) {
            Some((face, outward)) => farthest_from(
                wanted,
                points.into_iter().map(|point| {
                    let place = nearest_place(self.b, point);
                    ((point - place.point).dot(&place.normal) - face) * outward
                }),
            ),
            None => {
                let line: Vec<BodyPoint> = edges(self.b, other)
                    .flat_map(|edge| {
                        let n = chords_of(edge);
                        (0..=n).map(move |i| (edge, i as f64 / n as f64))
                    })
                    .filter_map(|(edge, t)| self.b.flat_point(&edge.curve, t).ok())
                    .map(|flat| self.b.forming.place(flat).point)
                    .collect();
                farthest_from(
                    wanted,
                    points
                        .into_iter()
                        .map(|point| distance_to_line(&line, point)),
                )
            }
        }
    }

    /// What a tab has to spare in its slot, across or along, whichever is less.
    fn tab_in_slot(&self, tab: &str, slot: &str) -> f64 {
        let own: Vec<&Edge> = edges(self.a, tab).collect();
        let (Some(first), Some(last), Some(hole)) = (own.first(), own.last(), self.b.hole(slot))
        else {
            panic!(
                "tab {tab} of {} and slot {slot} of {} are made together",
                self.a.id, self.b.id
            );
        };
        let root = [(first, 0.0), (last, 1.0)].map(|(edge, t)| {
            let flat = self
                .a
                .flat_point(&edge.curve, t)
                .expect("tabs are straight runs of the flat");
            flat_of(self.b, self.a.forming.place(flat).point)
        });
        let along = (root[1] - root[0]).normalize();
        let fit = SlotFit::of(self.b, hole, along);
        let thickness = self.a.sheet.stock_thickness;
        let aside = fit.centre - (root[0] + (root[1] - root[0]) / 2.0);
        let across = fit.width - thickness - 2.0 * along.perp(&aside).abs();
        let lengthways = fit.usable_length(thickness)
            - (root[1] - root[0]).norm()
            - 2.0 * along.dot(&aside).abs();
        across.min(lengthways)
    }

    /// Distance between two hole centres, seen square to `b`.
    fn holes_apart(&self, hole: &str, other: &str) -> f64 {
        let centre = |plate: &Plate, feature: &str| {
            plate
                .hole(feature)
                .map(|hole| plate.forming.place(hole.centre))
                .unwrap_or_else(|| panic!("{} has a hole {feature}", plate.id))
        };
        let (a, b) = (centre(self.a, hole), centre(self.b, other));
        let apart = a.point - b.point;
        (apart - b.normal * apart.dot(&b.normal)).norm()
    }

    fn sheet_share(&self, plate: &Plate) -> Share {
        (
            format!("thickness of {}", plate.id),
            self.metal
                .process
                .sheet_tolerance
                .at(plate.sheet.stock_thickness),
        )
    }

    fn size_share(&self, plate: &Plate) -> Share {
        (
            format!("size of {}", plate.id),
            self.metal
                .process
                .feature_tolerance
                .at(plate.sheet.thickness()),
        )
    }

    /// The former's size and the sheet's thickness at half their tolerance a side, and the wrapper's
    /// own length spread over its turn.
    fn former_shares(&self, turn: f64) -> Vec<Share> {
        let length = self
            .metal
            .process
            .feature_tolerance
            .at(self.a.sheet.thickness());
        vec![
            half(self.size_share(self.b)),
            half(self.sheet_share(self.a)),
            (format!("length of {}", self.a.id), length / turn),
        ]
    }

    fn butt_shares(&self) -> Vec<Share> {
        vec![half(self.size_share(self.a)), self.sheet_share(self.b)]
    }

    fn face_shares(&self) -> Vec<Share> {
        vec![
            half(self.sheet_share(self.a)),
            half(self.sheet_share(self.b)),
        ]
    }

    /// The slot at its narrowest and the tab's sheet at its thickest.
    fn tab_shares(&self) -> Vec<Share> {
        vec![self.size_share(self.b), self.sheet_share(self.a)]
    }

    fn hole_shares(&self) -> Vec<Share> {
        let centres = |plate: &Plate| {
            (
                format!("hole centres of {}", plate.id),
                self.metal
                    .process
                    .centre_tolerance
                    .at(plate.sheet.stock_thickness)
                    / 2.0,
            )
        };
        vec![centres(self.a), centres(self.b)]
    }

    /// Above, the greatest gap that solder bridges neatly (common practice, no source). Below zero the
    /// former is proud and is filed; a twentieth more than the film is as much as a builder takes off
    /// (chosen, not sourced).
    fn former_limit(&self) -> (f64, f64) {
        (-self.scale.pick(0.06, 0.10), self.scale.pick(0.10, 0.15))
    }

    /// Common practice, no source.
    fn butt_limit(&self) -> (f64, f64) {
        (-self.scale.pick(0.10, 0.15), self.scale.pick(0.10, 0.15))
    }

    /// Below zero by rounding of sheets only; above, what solder bridges: common practice, no source.
    fn face_limit(&self) -> (f64, f64) {
        (0.0, self.scale.pick(0.10, 0.15))
    }

    /// A tab goes in with 0.02 mm to spare and does not rattle by more than twice the trade's usual
    /// clearance: common practice, no source.
    fn tab_limit(&self) -> (f64, f64) {
        (crate::tabs::LEAST_CLEARANCE, self.scale.pick(0.25, 0.35))
    }

    /// Laminations etched on one sheet lie within this: common practice, no source.
    fn hole_limit(&self) -> (f64, f64) {
        (0.0, 0.075)
    }
}

fn half((what, amount): Share) -> Share {
    (what, amount / 2.0)
}

/// Places along an edge that are measured.
const SHARES: [f64; 5] = [0.02, 0.25, 0.5, 0.75, 0.98];

/// Chords that stand for an edge when the distance to it is taken.
const CHORDS: usize = 64;

/// The longest chord of an edge drawn on the flat (mm): round a bend of 2 mm it rises by 0.004.
const CHORD_MM: f64 = 0.25;

/// What lies this close to a bend, as a share of the straight metal beside it, is by the bend: the
/// rounding of a drawing does not decide it.
const BY_BEND: f64 = 0.01;

fn edges<'p>(plate: &'p Plate, name: &str) -> impl Iterator<Item = &'p Edge> {
    let name = name.to_owned();
    plate.outline.iter().filter(move |edge| edge.name == name)
}

/// Height of a named face over mid-sheet, and the sense in which it looks; `None` for an edge.
fn face_height(plate: &Plate, feature: &str) -> Option<(f64, f64)> {
    if plate.edge(feature).is_some() {
        return None;
    }
    match feature {
        "outside" | "top" => Some((plate.sheet.z_high, 1.0)),
        "inside" | "underside" => Some((plate.sheet.z_low, -1.0)),
        _ => None,
    }
}

/// Height over mid-sheet of the face that a feature names along an edge: `lip-left-outside` is the outside
/// along the edge `lip-left`.
fn face_along_edge<'f>(plate: &Plate, feature: &'f str) -> Option<(&'f str, f64)> {
    let (edge, face) = feature.rsplit_once('-')?;
    let (height, _) = face_height(plate, face)?;
    plate.edge(feature).is_none().then_some(())?;
    plate.edge(edge).is_some().then_some((edge, height))
}

/// Points that stand by the straight metal of a folded plate: beside a fold it is bent and touches nothing,
/// and beyond its outline, where one leg is shorter than the other, there is none. All of them, if none
/// stands beside straight metal.
fn off_folds(plate: &Plate, points: Vec<BodyPoint>) -> Vec<BodyPoint> {
    let Some(loft) = plate.forming.loft() else {
        return points;
    };
    let is_fold = |region: &Region| region.purpose == Purpose::Fold;
    if !plate.regions.iter().any(is_fold) {
        return points;
    }
    let edges: Vec<&Curve> = plate.outline.iter().map(|edge| &edge.curve).collect();
    let outline = sampled(plate, &edges);
    let by_metal = |flat: FlatPoint| {
        outline.contains(flat) || outline.nearest(flat).1 < plate.sheet.thickness()
    };
    let by_straight_metal = |point: &&BodyPoint| {
        let on = loft.nearest_across(**point);
        let w = on.w;
        if !by_metal(loft.flat(on)) {
            return false;
        }
        let is_bent = |w: f64| {
            let patch = (w.max(0.0) as usize).min(loft.patches().len() - 1);
            loft.patches()[patch].is_bent()
        };
        ![w - BY_BEND, w, w + BY_BEND].into_iter().any(is_bent)
    };
    let kept: Vec<BodyPoint> = points.iter().filter(by_straight_metal).copied().collect();
    if kept.is_empty() { points } else { kept }
}

/// Places of an edge, or of a face just within its outline or along an edge.
fn points_of(plate: &Plate, feature: &str) -> Vec<BodyPoint> {
    if let Some((edge, height)) = face_along_edge(plate, feature) {
        return edges(plate, edge)
            .flat_map(|edge| SHARES.map(|t| plate.flat_point(&edge.curve, t)))
            .filter_map(Result::ok)
            .map(|flat| plate.forming.place(flat).at_height(height))
            .collect();
    }
    let Some((height, _)) = face_height(plate, feature) else {
        return edges(plate, feature)
            .flat_map(|edge| SHARES.map(|t| plate.flat_point(&edge.curve, t)))
            .filter_map(Result::ok)
            .map(|flat| plate.forming.place(flat).point)
            .collect();
    };
    let rim: Vec<FlatPoint> = plate
        .outline
        .iter()
        .flat_map(|edge| [0.25, 0.75].map(|t| plate.flat_point(&edge.curve, t)))
        .filter_map(Result::ok)
        .collect();
    let middle = rim.iter().map(|p| p.coords).sum::<Vector2>() / rim.len().max(1) as f64;
    rim.iter()
        .map(|p| FlatPoint::from(p.coords + (middle - p.coords) * 0.02))
        .map(|flat| plate.forming.place(flat).at_height(height))
        .collect()
}

fn farthest_from(wanted: f64, values: impl IntoIterator<Item = f64>) -> f64 {
    values
        .into_iter()
        .max_by(|x, y| (x - wanted).abs().total_cmp(&(y - wanted).abs()))
        .unwrap_or(f64::NAN)
}

/// The point of a plate's flat nearest to a point of the body.
pub(crate) fn flat_of(plate: &Plate, point: BodyPoint) -> FlatPoint {
    match &plate.forming {
        develop::Forming::Flat(placement) => placement.project(point),
        develop::Forming::Rolled(loft) => loft.flat(loft.nearest_across(point)),
    }
}

/// The nearest place of a plate's formed mid-surface.
fn nearest_place(plate: &Plate, point: BodyPoint) -> Place {
    match &plate.forming {
        develop::Forming::Flat(placement) => Place {
            point: placement.point(placement.project(point), 0.0),
            normal: placement.normal(),
        },
        develop::Forming::Rolled(loft) => loft.formed(loft.nearest_across(point)),
    }
}

/// Chords that follow an edge. One drawn on the flat runs over bends without a mark where they are.
fn chords_of(edge: &Edge) -> usize {
    match &edge.curve {
        Curve::Flat(segment) => CHORDS.max((segment.length() / CHORD_MM).ceil() as usize),
        Curve::Surface(_) => CHORDS,
    }
}

fn distance_to_line(line: &[BodyPoint], point: BodyPoint) -> f64 {
    line.windows(2)
        .map(|ends| {
            let run = ends[1] - ends[0];
            let share = if run.norm_squared() > 0.0 {
                ((point - ends[0]).dot(&run) / run.norm_squared()).clamp(0.0, 1.0)
            } else {
                0.0
            };
            (point - (ends[0] + run * share)).norm()
        })
        .fold(f64::INFINITY, f64::min)
}

/// A slot seen along its tab.
struct SlotFit {
    centre: FlatPoint,
    length: f64,
    width: f64,
}

impl SlotFit {
    fn of(plate: &Plate, hole: &Hole, along: Vector2) -> Self {
        let (mut low, mut high) = (
            Vector2::repeat(f64::INFINITY),
            Vector2::repeat(f64::NEG_INFINITY),
        );
        for curve in &hole.boundary {
            for i in 0..=CHORDS {
                let Ok(point) = plate.flat_point(curve, i as f64 / CHORDS as f64) else {
                    continue;
                };
                let seen = Vector2::new(along.dot(&point.coords), along.perp(&point.coords));
                low = low.inf(&seen);
                high = high.sup(&seen);
            }
        }
        let middle = (low + high) / 2.0;
        Self {
            centre: FlatPoint::from(along * middle.x + Vector2::new(-along.y, along.x) * middle.y),
            length: high.x - low.x,
            width: high.y - low.y,
        }
    }

    /// Length that a square-ended tab of a thickness has between the round ends.
    fn usable_length(&self, thickness: f64) -> f64 {
        let radius = self.width / 2.0;
        self.length - 2.0 * crate::tabs::end_allowance(radius, thickness)
    }
}

/// The middle of an edge, the centre of a hole, or the middle of the plate for a face.
fn place_of(plate: &Plate, feature: &str) -> BodyPoint {
    let feature = face_along_edge(plate, feature).map_or(feature, |(edge, _)| edge);
    let flat = plate
        .edge(feature)
        .and_then(|edge| plate.flat_point(&edge.curve, 0.5).ok())
        .or_else(|| plate.hole(feature).map(|hole| hole.centre))
        .or_else(|| plate.points.first().map(|(_, point)| *point))
        .unwrap_or(FlatPoint::origin());
    plate.forming.place(flat).point
}
