//! Tabs and slots made from a joint: both sides from the same numbers.

use crate::error::BodyError;
use crate::fit::tab_joint;
use crate::measure::flat_of;
use crate::rows::{Obstacle, obstacles};
use crate::upright::cut;
use crate::{Body, Curve, Edge, Joint, Metal, Model, Plate};
use geom::{BulgeVertex, FlatPoint, Outline, Segment, Vector2};

/// What a tab has to spare in its slot at the worst case of metal and etch (mm).
pub(crate) const LEAST_CLEARANCE: f64 = 0.02;

/// How the tabs along an edge are laid out.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tabbing {
    /// Number of tabs; `None` for one to each usual spacing of the edge, and two at least.
    pub(crate) count: Option<usize>,
    /// Part of the edge that may carry tabs, as shares from its start to its end.
    pub(crate) within: (f64, f64),
}

impl Default for Tabbing {
    fn default() -> Self {
        Self {
            count: None,
            within: (0.0, 1.0),
        }
    }
}

/// Part of the rounded end of a slot of end radius `radius` that a square tab of a thickness cannot
/// use (mm): r − √(r² − (t/2)²).
pub(crate) fn end_allowance(radius: f64, thickness: f64) -> f64 {
    let half = thickness.min(2.0 * radius) / 2.0;
    radius - (radius * radius - half * half).sqrt()
}

/// Width of the slot for a tab of a plate: its sheet at its thickest, the least clearance, and the
/// slot at its narrowest; never less than the etcher's least slot.
fn slot_width(metal: &Metal, tab: &Plate, slotted: &Plate) -> f64 {
    let p = metal.process;
    let t = tab.sheet.stock_thickness;
    let own = slotted.sheet.stock_thickness;
    (t + p.sheet_tolerance.at(t) + LEAST_CLEARANCE + p.feature_tolerance.at(own))
        .max(p.least_slot.at(own))
}

/// Puts tabs along a straight edge of one plate and slots for them in another, and declares the joints.
///
/// The first tab is longer than the others, so that the plate fits one way only. Tabs keep clear of
/// openings, edges and etched places of the slotted plate; where none fits, the edge keeps no tab.
///
/// # Errors
///
/// [`BodyError::Shape`] at `path` if the edge is not a straight run of a plate that stays flat.
pub(crate) fn tab_into(
    model: &Model,
    body: &mut Body,
    (plate, edge): (&str, &str),
    into: &str,
    tabbing: Tabbing,
    path: &str,
) -> Result<(), BodyError> {
    let [tabbed, slotted] = body.two_plates(plate, into);
    let joints = tab_pair(model, (tabbed, edge), slotted, tabbing, path)?;
    body.joints.extend(joints);
    Ok(())
}

fn tab_pair(
    model: &Model,
    (tabbed, edge): (&mut Plate, &str),
    slotted: &mut Plate,
    tabbing: Tabbing,
    path: &str,
) -> Result<Vec<Joint>, BodyError> {
    let at = tabbed.outline.iter().position(|own| own.name == edge);
    let straight = at.map(|at| (at, tabbed.outline[at].curve.clone()));
    let Some((at, Curve::Flat(Segment::Line { start, end }))) = straight else {
        return Err(BodyError::Shape {
            path: path.to_owned(),
            sentence: format!(
                "{} has no straight edge {edge} to put tabs on",
                tabbed.title
            ),
            help: "tabs stand on straight edges".to_owned(),
        });
    };
    let plan = Plan::new(model, tabbed, slotted, (start, end), tabbing);
    let tabs = plan.tabs(tabbed, slotted);
    let mut outline: Vec<Edge> = tabbed.outline[..at].to_vec();
    let mut from = start;
    let mut joints = Vec::new();
    for (i, tab) in tabs.iter().enumerate() {
        let number = if plan.from_end { tabs.len() - i } else { i + 1 };
        let name = format!("tab-{edge}-{number}");
        let slot = format!("slot-{}-{edge}-{number}", tabbed.id);
        let line = |name: &str, a, b| Edge {
            name: name.to_owned(),
            curve: Curve::Flat(Segment::line(a, b)),
        };
        let (root, tip) = plan.corners(tab);
        outline.push(line(edge, from, root.0));
        outline.push(line(&name, root.0, tip.0));
        outline.push(line(&name, tip.0, tip.1));
        outline.push(line(&name, tip.1, root.1));
        from = root.1;
        plan.cut_slot(slotted, tab, &slot);
        joints.push((name, slot));
    }
    outline.push(Edge {
        name: edge.to_owned(),
        curve: Curve::Flat(Segment::line(from, end)),
    });
    outline.extend_from_slice(&tabbed.outline[at + 1..]);
    tabbed.outline = outline;
    Ok(joints
        .iter()
        .map(|(tab, slot)| tab_joint((tabbed, tab), (slotted, slot)))
        .collect())
}

/// A tab: middle along the edge and length (mm), and its slot on the other flat.
struct Tab {
    middle: f64,
    length: f64,
    slot: Outline,
}

/// Where tabs may stand along an edge, and how large they are.
struct Plan {
    start: FlatPoint,
    along: Vector2,
    length: f64,
    within: (f64, f64),
    /// Laid out from the end of the edge.
    from_end: bool,
    count: usize,
    /// Length of a tab, and by how much the first is longer (mm).
    size: (f64, f64),
    /// How far a tab stands out of its edge (mm).
    projection: f64,
    slot_width: f64,
    /// By how much a slot is longer than its tab (mm).
    slot_extra: f64,
    /// Metal round a slot (mm).
    land: f64,
}

impl Plan {
    fn new(
        model: &Model,
        tabbed: &Plate,
        slotted: &Plate,
        (start, end): (FlatPoint, FlatPoint),
        tabbing: Tabbing,
    ) -> Self {
        let (scale, p) = (model.scale, model.metal.process);
        let length = (end - start).norm();
        let margin = 1.5 * tabbed.sheet.stock_thickness;
        let (low, high) = (
            (tabbing.within.0 * length).max(margin),
            (tabbing.within.1 * length).min(length - margin),
        );
        let room = (high - low).max(0.0);
        // One to each usual spacing, two at least: common practice, no source.
        let count = tabbing
            .count
            .unwrap_or_else(|| ((room / scale.pick(25.0, 40.0)).round() as usize).clamp(2, 5));
        let width = slot_width(&model.metal, tabbed, slotted);
        let t = tabbed.sheet.stock_thickness;
        let ends = 2.0 * end_allowance(width / 2.0, t + p.sheet_tolerance.at(t));
        let tolerance = p.feature_tolerance.at(t)
            + p.feature_tolerance.at(slotted.sheet.stock_thickness)
            + 2.0 * p.centre_tolerance.at(t);
        // Usual tab, and the difference that keys it: common practice, no source.
        let usual = scale.pick(2.0, 3.5);
        let key = scale.pick(0.5, 0.8);
        Self {
            start,
            along: (end - start) / length.max(f64::MIN_POSITIVE),
            length,
            within: (low, high),
            from_end: runs_back(tabbed, start, end),
            count,
            size: (usual.min(room / (2.0 * count as f64)), key.min(room / 8.0)),
            // Just short of the far face, so that nothing shows: common practice, no source.
            projection: (slotted.sheet.stock_thickness - 0.05).max(0.05),
            slot_width: width,
            slot_extra: ends + tolerance + LEAST_CLEARANCE,
            land: p.least_bar.at(slotted.sheet.stock_thickness),
        }
    }

    /// Tabs in order from the start of the edge.
    fn tabs(&self, tabbed: &Plate, slotted: &Plate) -> Vec<Tab> {
        let least = self.size.0 >= self.slot_width && self.length > 0.0;
        if !least {
            return Vec::new();
        }
        let mut blocked = obstacles(slotted);
        let (low, high) = self.within;
        let mut tabs: Vec<Tab> = Vec::new();
        for i in 0..self.count {
            let length = self.size.0 + if i == 0 { self.size.1 } else { 0.0 };
            let bay = (high - low) / self.count as f64;
            let (ideal, onwards) = if self.from_end {
                (high - bay * (i as f64 + 0.5), -1.0)
            } else {
                (low + bay * (i as f64 + 0.5), 1.0)
            };
            let reach = (bay - length) / 2.0 - self.land;
            let steps = (reach.max(0.0) / STEP) as i32;
            // Outwards from the ideal place, first one way and then the other.
            let found = (0..=2 * steps)
                .map(|k| {
                    let way = if k % 2 == 0 { onwards } else { -onwards };
                    ideal + STEP * f64::from((k + 1) / 2) * way
                })
                .filter(|middle| *middle - length / 2.0 >= low && *middle + length / 2.0 <= high)
                .find_map(|middle| {
                    let slot = self.slot(tabbed, slotted, middle, length)?;
                    clear(&slot, &blocked, self.land).then_some(Tab {
                        middle,
                        length,
                        slot,
                    })
                });
            // The next slot keeps clear of this one as well.
            blocked.extend(found.iter().map(|tab| Obstacle::opening(tab.slot.clone())));
            tabs.extend(found);
        }
        tabs.sort_by(|a, b| a.middle.total_cmp(&b.middle));
        tabs
    }

    /// Root and tip corners of a tab on its own flat, in the order of travel; the plate lies to the left.
    fn corners(&self, tab: &Tab) -> ((FlatPoint, FlatPoint), (FlatPoint, FlatPoint)) {
        let out = Vector2::new(self.along.y, -self.along.x) * self.projection;
        let at = |s: f64| self.start + self.along * s;
        let root = (
            at(tab.middle - tab.length / 2.0),
            at(tab.middle + tab.length / 2.0),
        );
        (root, (root.0 + out, root.1 + out))
    }

    /// The slot for a tab, round-ended; `None` if the two ends do not come down as far apart as they are.
    fn slot(&self, tabbed: &Plate, slotted: &Plate, middle: f64, length: f64) -> Option<Outline> {
        let ends = [-0.5, 0.5].map(|share| {
            let flat = self.start + self.along * (middle + share * length);
            flat_of(slotted, tabbed.forming.place(flat).point)
        });
        let run = ends[1] - ends[0];
        // On a bend a straight slot would not take a straight tab.
        if (run.norm() - length).abs() > 1e-6 {
            return None;
        }
        let along = run / run.norm();
        let centre = ends[0] + run / 2.0;
        Some(round_ended(
            centre,
            along,
            length + self.slot_extra,
            self.slot_width,
        ))
    }

    fn cut_slot(&self, slotted: &mut Plate, tab: &Tab, feature: &str) {
        slotted.rivets.retain(|rivet| {
            let clear = rivet.head_diameter / 2.0 + self.land / 2.0;
            !tab.slot.contains(rivet.centre) && tab.slot.nearest(rivet.centre).1 >= clear
        });
        cut(slotted, feature, &tab.slot, None);
    }
}

/// True if an edge runs forwards, down or inwards on the body.
///
/// Mirror images travel their edges opposite ways; laid out rearwards, upwards and outwards their tabs
/// are mirror images too.
fn runs_back(plate: &Plate, start: FlatPoint, end: FlatPoint) -> bool {
    let [a, b] = [start, end].map(|flat| plate.forming.place(flat).point);
    [b.x - a.x, b.z - a.z, b.y.abs() - a.y.abs()]
        .into_iter()
        .find(|run| run.abs() > 1e-6)
        .is_some_and(|run| run < 0.0)
}

/// Step of the search for a clear place (mm).
const STEP: f64 = 0.25;

/// A slot with half-round ends, anticlockwise.
fn round_ended(centre: FlatPoint, along: Vector2, length: f64, width: f64) -> Outline {
    let left = Vector2::new(-along.y, along.x) * (width / 2.0);
    let half = along * ((length - width).max(0.0) / 2.0);
    let vertex = |point, bulge| BulgeVertex { point, bulge };
    Outline::from_vertices(&[
        vertex(centre - half - left, 0.0),
        vertex(centre + half - left, 1.0),
        vertex(centre + half + left, 0.0),
        vertex(centre - half + left, 1.0),
    ])
}

fn clear(slot: &Outline, blocked: &[Obstacle], land: f64) -> bool {
    // Chords of the rounded ends lie a little inside them.
    const CHORD: f64 = 0.02;
    slot.flattened(CHORD)
        .iter()
        .all(|point| blocked.iter().all(|own| own.clear_of(*point, land + CHORD)))
}
