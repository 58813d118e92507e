//! Mistakes of a designer, made on sound flats and on the sheet that they are drawn on.
//!
//! Each is small, and answers with what a check has to find: the plate, the place, and the amount.

use crate::drawings::Drawing;
use artwork::{FlatDrawing, Motion2};
use geom::{BulgeVertex, FlatPoint, Outline, Point2, Segment, Vector2};

/// Where a fault was seeded.
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// At one place of the flat.
    Flat(FlatPoint),
    /// At one of several places of the flat that no drawing can tell apart.
    OneOf(Vec<FlatPoint>),
    /// Somewhere along a line of the flat.
    Along(Segment),
    /// At a feature, hole, region or rivet row of this name.
    Feature(String),
    /// On the plate as a whole.
    Plate,
    /// On the drawing as a whole.
    Drawing,
}

/// What was seeded.
#[derive(Clone, Debug, PartialEq)]
pub struct Seeded {
    /// The plates whose drawings were changed; none if the sheet as a whole was.
    pub plates: Vec<String>,
    /// How much (mm, or a ratio), if the fault has an amount.
    pub amount: Option<f64>,
    /// Where.
    pub at: Place,
}

impl Seeded {
    /// A fault of a feature of a plate.
    pub fn feature(plate: &str, feature: &str, amount: f64) -> Self {
        Self {
            plates: vec![plate.to_owned()],
            amount: Some(amount),
            at: Place::Feature(feature.to_owned()),
        }
    }

    /// A fault at a place of a plate.
    pub fn place(plate: &str, at: FlatPoint, amount: f64) -> Self {
        Self {
            plates: vec![plate.to_owned()],
            amount: Some(amount),
            at: Place::Flat(at),
        }
    }

    /// A fault of a whole plate.
    pub fn plate(plate: &str, amount: Option<f64>) -> Self {
        Self {
            plates: vec![plate.to_owned()],
            amount,
            at: Place::Plate,
        }
    }

    /// A fault of the sheet.
    pub fn drawing(amount: Option<f64>) -> Self {
        Self {
            plates: Vec::new(),
            amount,
            at: Place::Drawing,
        }
    }

    /// The same without an amount.
    #[must_use]
    pub fn without_amount(mut self) -> Self {
        self.amount = None;
        self
    }
}

/// A change of the sheet after it is laid out.
pub type SheetChange = Box<dyn Fn(&mut Drawing)>;

/// The flats of a body about to be drawn, and what is done to their sheet.
pub struct FaultySheet {
    /// The flats, each of which may be changed.
    pub flats: Vec<FlatDrawing>,
    /// Changes of the sheet.
    pub changes: Vec<SheetChange>,
    /// The side file.
    pub side: String,
    /// Plates that are drawn as seen from their inside.
    pub turned_over: Vec<String>,
}

/// How sound artwork is described: no allowance on it.
pub const NOT_APPLIED: &str = "allowance = \"left to the etcher\"\n";

impl FaultySheet {
    /// Sound flats.
    pub fn of(flats: Vec<FlatDrawing>) -> Self {
        Self {
            flats,
            changes: Vec::new(),
            side: NOT_APPLIED.to_owned(),
            turned_over: Vec::new(),
        }
    }

    /// A flat by the name of its plate.
    ///
    /// # Panics
    ///
    /// If there is no such plate.
    pub fn flat(&mut self, plate: &str) -> &mut FlatDrawing {
        self.flats
            .iter_mut()
            .find(|flat| flat.plate == plate)
            .unwrap_or_else(|| panic!("there is a plate {plate}"))
    }

    /// The sheet, no two neighbours turned alike.
    pub fn drawn(&self) -> Drawing {
        let flats: Vec<FlatDrawing> = self
            .flats
            .iter()
            .map(|flat| {
                if self.turned_over.contains(&flat.plate) {
                    mirrored(flat)
                } else {
                    flat.clone()
                }
            })
            .collect();
        let mut drawing = Drawing::of_flats(&flats, |i| i as f64 * 2.399);
        for change in &self.changes {
            change(&mut drawing);
        }
        drawing
    }

    /// Moves a hole.
    pub fn move_hole(&mut self, plate: &str, feature: &str, by: Vector2) -> Seeded {
        let hole = hole(self.flat(plate), feature);
        hole.outline = hole.outline.translated(by);
        hole.centre += by;
        Seeded::feature(plate, feature, by.norm())
    }

    /// Leaves a hole out.
    pub fn drop_hole(&mut self, plate: &str, feature: &str) -> Seeded {
        hole(self.flat(plate), feature);
        self.flat(plate).holes.retain(|own| own.feature != feature);
        Seeded::feature(plate, feature, 0.0).without_amount()
    }

    /// Draws a round hole with another diameter.
    pub fn size_hole(&mut self, plate: &str, feature: &str, by: f64) -> Seeded {
        let hole = hole(self.flat(plate), feature);
        let radius = hole
            .round
            .unwrap_or_else(|| (hole.outline.area() / geom::math::PI).sqrt());
        hole.round = Some(radius + by / 2.0);
        hole.outline = Outline::circle(hole.centre, radius + by / 2.0);
        Seeded::feature(plate, feature, by)
    }

    /// Draws an opening that belongs nowhere.
    pub fn add_hole(&mut self, plate: &str, at: FlatPoint, diameter: f64) -> Seeded {
        let flat = self.flat(plate);
        assert!(flat.outline.contains(at), "{at} lies on {plate}");
        let mut own = flat.holes.first().cloned().unwrap_or(artwork::FlatHole {
            feature: String::new(),
            outline: Outline::circle(at, diameter / 2.0),
            centre: at,
            diameter: None,
            round: None,
        });
        own.feature = "stray".to_owned();
        own.centre = at;
        own.round = Some(diameter / 2.0);
        own.outline = Outline::circle(at, diameter / 2.0);
        flat.holes.push(own);
        Seeded::place(plate, at, diameter)
    }

    /// Draws a slot narrower, or wider, its length kept.
    pub fn narrow_slot(&mut self, plate: &str, feature: &str, by: f64) -> Seeded {
        let hole = hole(self.flat(plate), feature);
        let long = hole
            .outline
            .segments()
            .iter()
            .max_by(|a, b| a.length().total_cmp(&b.length()))
            .map(|s| (s.end() - s.start()).normalize())
            .expect("a slot has sides");
        let across = Vector2::new(-long.y, long.x);
        let centre = artwork::centre_of(&hole.outline);
        hole.outline = mapped(&hole.outline, |p| {
            let side = (p - centre).dot(&across);
            p - across * (side.signum() * by / 2.0)
        });
        Seeded::feature(plate, feature, -by)
    }

    /// Leaves a tab out: its side runs straight on.
    pub fn drop_tab(&mut self, plate: &str, tab: &str) -> Seeded {
        let flat = self.flat(plate);
        let own = tab_of(flat, tab);
        let middle = own.tip_middle();
        let mut vertices = flat.outline.vertices();
        vertices.retain(|v| {
            let corners = [own.foot.0, own.tip.0, own.tip.1, own.foot.1];
            !corners.iter().any(|c| (c - v.point).norm() < 1e-6)
        });
        flat.outline = Outline::from_vertices(&vertices);
        Seeded::place(plate, middle, own.height()).without_amount()
    }

    /// Draws a tab twice, the second one beside the first.
    pub fn double_tab(&mut self, plate: &str, tab: &str, beside: f64) -> Seeded {
        let flat = self.flat(plate);
        let own = tab_of(flat, tab);
        let along = (own.foot.1 - own.foot.0).normalize() * beside;
        let copy = [own.foot.0, own.tip.0, own.tip.1, own.foot.1];
        let mut vertices = Vec::new();
        for vertex in flat.outline.vertices() {
            vertices.push(vertex);
            if (vertex.point - own.foot.1).norm() < 1e-6 {
                vertices.extend(copy.map(|c| BulgeVertex {
                    point: c + along,
                    bulge: 0.0,
                }));
            }
        }
        flat.outline = Outline::from_vertices(&vertices);
        Seeded::place(plate, own.tip_middle() + along, 0.0).without_amount()
    }

    /// Draws a tab narrower on both sides alike; wider, if less than nothing.
    pub fn narrow_tab(&mut self, plate: &str, tab: &str, by: f64) -> Seeded {
        let flat = self.flat(plate);
        let own = tab_of(flat, tab);
        let along = (own.foot.1 - own.foot.0).normalize() * (by / 2.0);
        flat.outline = mapped(&flat.outline, |p| {
            let is = |c: Point2| (c - p).norm() < 1e-6;
            if is(own.foot.0) || is(own.tip.0) {
                p + along
            } else if is(own.foot.1) || is(own.tip.1) {
                p - along
            } else {
                p
            }
        });
        Seeded::place(plate, own.tip_middle(), -by)
    }

    /// Moves a tab along its side.
    pub fn move_tab(&mut self, plate: &str, tab: &str, by: f64) -> Seeded {
        let flat = self.flat(plate);
        let own = tab_of(flat, tab);
        let along = (own.foot.1 - own.foot.0).normalize() * by;
        let corners = [own.foot.0, own.tip.0, own.tip.1, own.foot.1];
        flat.outline = mapped(&flat.outline, |p| {
            let is_own = corners.iter().any(|c| (c - p).norm() < 1e-6);
            if is_own { p + along } else { p }
        });
        Seeded::place(plate, own.tip_middle(), by.abs())
    }

    /// Draws a wrapper longer round its section, or shorter, and everything on it with it.
    pub fn stretch_round(&mut self, plate: &str, by: f64) -> Seeded {
        let flat = self.flat(plate);
        let longest = flat
            .edges
            .iter()
            .filter(|edge| edge.name == "front" || edge.name == "rear")
            .map(|edge| edge.flat)
            .fold(0.0, f64::max);
        let factor = 1.0 + by / longest;
        let pull = |p: Point2| Point2::new(p.x, p.y * factor);
        flat.outline = pulled(&flat.outline, pull);
        for hole in &mut flat.holes {
            let to = pull(hole.centre);
            hole.outline = hole.outline.translated(to - hole.centre);
            hole.centre = to;
        }
        Seeded::plate(plate, Some(by))
    }

    /// Every place of a flat moved: the outline and what is on it.
    pub fn move_places(&mut self, plate: &str, to: impl Fn(Point2) -> Point2) {
        let flat = self.flat(plate);
        flat.outline = mapped(&flat.outline, &to);
        for hole in &mut flat.holes {
            let place = to(hole.centre);
            hole.outline = hole.outline.translated(place - hole.centre);
            hole.centre = place;
        }
        for region in &mut flat.regions {
            let centre = artwork::centre_of(&region.outline);
            region.outline = region.outline.translated(to(centre) - centre);
        }
        for rivet in &mut flat.rivets {
            rivet.centre = to(rivet.centre);
        }
    }

    /// Everything of a flat drawn larger or smaller.
    pub fn scale(&mut self, plate: &str, factor: f64) -> Seeded {
        let flat = self.flat(plate);
        let to = |p: Point2| Point2::from(p.coords * factor);
        flat.outline = mapped(&flat.outline, to);
        for hole in &mut flat.holes {
            hole.outline = mapped(&hole.outline, to);
            hole.centre = to(hole.centre);
            hole.round = hole.round.map(|radius| radius * factor);
        }
        for region in &mut flat.regions {
            region.outline = mapped(&region.outline, to);
        }
        for rivet in &mut flat.rivets {
            rivet.centre = to(rivet.centre);
            rivet.head_diameter *= factor;
        }
        Seeded::plate(plate, Some(factor))
    }

    /// Moves one side of a plate outwards, or inwards.
    pub fn move_side(&mut self, plate: &str, edge: &str, by: f64) -> Seeded {
        let flat = self.flat(plate);
        let e = flat
            .edges
            .iter()
            .position(|own| own.name == edge)
            .expect("there is such an edge");
        let run: Vec<Segment> = flat.edge_segments(e).copied().collect();
        let (first, last) = (run[0].start(), run[run.len() - 1].end());
        let (s, c) = geom::math::sin_cos(run[0].tangent_angle_at(0.5));
        let out = Vector2::new(s, -c) * by;
        flat.outline = mapped(&flat.outline, |p| {
            let is_own = run
                .iter()
                .any(|own| (own.start() - p).norm() < 1e-6 || (own.end() - p).norm() < 1e-6);
            if is_own { p + out } else { p }
        });
        let mut seeded = Seeded::plate(plate, Some(by.abs()));
        seeded.at = Place::Along(Segment::line(first, last));
        seeded
    }

    /// Leaves a half-etched place out.
    pub fn drop_region(&mut self, plate: &str, name: &str) -> Seeded {
        region(self.flat(plate), name);
        self.flat(plate).regions.retain(|own| own.name != name);
        Seeded::feature(plate, name, 0.0).without_amount()
    }

    /// Moves a half-etched place.
    pub fn move_region(&mut self, plate: &str, name: &str, by: Vector2) -> Seeded {
        let own = region(self.flat(plate), name);
        own.outline = own.outline.translated(by);
        Seeded::feature(plate, name, by.norm())
    }

    /// Draws a half-etched place narrower.
    pub fn narrow_region(&mut self, plate: &str, name: &str, by: f64) -> Seeded {
        let own = region(self.flat(plate), name);
        let (low, high) = own.outline.bounds();
        let centre = Point2::from((low.coords + high.coords) / 2.0);
        let upright = high.y - low.y > high.x - low.x;
        own.outline = mapped(&own.outline, |p| {
            let v = p - centre;
            if upright {
                Point2::new(p.x - v.x.signum() * by / 2.0, p.y)
            } else {
                Point2::new(p.x, p.y - v.y.signum() * by / 2.0)
            }
        });
        Seeded::feature(plate, name, -by)
    }

    /// Puts a half-etched place on the other face.
    pub fn swap_face(&mut self, plate: &str, name: &str) -> Seeded {
        let own = region(self.flat(plate), name);
        own.face = match own.face {
            body::Face::Outside => body::Face::Inside,
            body::Face::Inside => body::Face::Outside,
        };
        Seeded::feature(plate, name, 0.0).without_amount()
    }

    /// Draws a half-etched place on the other face too.
    pub fn etch_on_both(&mut self, plate: &str, name: &str) -> Seeded {
        let mut twin = region(self.flat(plate), name).clone();
        twin.face = match twin.face {
            body::Face::Outside => body::Face::Inside,
            body::Face::Inside => body::Face::Outside,
        };
        "twin".clone_into(&mut twin.name);
        self.flat(plate).regions.push(twin);
        Seeded::plate(plate, None)
    }

    /// Leaves a row of rivets out.
    pub fn drop_row(&mut self, plate: &str, row: &str) -> Seeded {
        let flat = self.flat(plate);
        let count = flat.rivets.len();
        flat.rivets.retain(|rivet| rivet.row != row);
        let gone = count - flat.rivets.len();
        assert!(gone > 0, "{plate} has a row {row}");
        Seeded::feature(plate, row, gone as f64)
    }

    /// Moves a row of rivets.
    pub fn move_row(&mut self, plate: &str, row: &str, by: Vector2) -> Seeded {
        let own = self
            .flat(plate)
            .rivets
            .iter_mut()
            .filter(|rivet| rivet.row == row);
        let moved = own.map(|rivet| rivet.centre += by).count();
        assert!(moved > 0, "{plate} has a row {row}");
        Seeded::feature(plate, row, by.norm())
    }

    /// Puts the allowance of the etch on a plate, or on it once more.
    pub fn grow(&mut self, plate: &str, growth: f64) -> Seeded {
        let grown = with_allowance(self.flat(plate), growth);
        *self.flat(plate) = grown;
        Seeded::plate(plate, Some(growth))
    }
}

fn hole<'a>(flat: &'a mut FlatDrawing, feature: &str) -> &'a mut artwork::FlatHole {
    let plate = flat.plate.clone();
    flat.holes
        .iter_mut()
        .find(|own| own.feature == feature)
        .unwrap_or_else(|| panic!("{plate} has a hole {feature}"))
}

fn region<'a>(flat: &'a mut FlatDrawing, name: &str) -> &'a mut artwork::FlatRegion {
    let plate = flat.plate.clone();
    flat.regions
        .iter_mut()
        .find(|own| own.name == name)
        .unwrap_or_else(|| panic!("{plate} has a place {name}"))
}

/// The corners of a tab, in the order of the outline.
struct Tab {
    foot: (Point2, Point2),
    tip: (Point2, Point2),
}

impl Tab {
    fn tip_middle(&self) -> Point2 {
        Point2::from((self.tip.0.coords + self.tip.1.coords) / 2.0)
    }

    fn height(&self) -> f64 {
        (self.tip.0 - self.foot.0).norm()
    }
}

fn tab_of(flat: &FlatDrawing, tab: &str) -> Tab {
    let sides: Vec<Segment> = (0..flat.edges.len())
        .filter(|e| flat.edges[*e].name == tab)
        .flat_map(|e| flat.edge_segments(e).copied().collect::<Vec<_>>())
        .collect();
    assert_eq!(
        sides.len(),
        3,
        "{} has a tab {tab} of three sides",
        flat.plate
    );
    Tab {
        foot: (sides[0].start(), sides[2].end()),
        tip: (sides[1].start(), sides[1].end()),
    }
}

/// An outline through the same corners, each put elsewhere; arcs keep the angle that they turn.
pub fn mapped(outline: &Outline, to: impl Fn(Point2) -> Point2) -> Outline {
    let vertices: Vec<BulgeVertex> = outline
        .vertices()
        .iter()
        .map(|v| BulgeVertex {
            point: to(v.point),
            bulge: v.bulge,
        })
        .collect();
    Outline::from_vertices(&vertices)
}

/// An outline of short lines, each end put elsewhere.
fn pulled(outline: &Outline, to: impl Fn(Point2) -> Point2) -> Outline {
    Outline::polygon(
        &outline
            .flattened(1e-4)
            .into_iter()
            .map(to)
            .collect::<Vec<_>>(),
    )
}

/// A flat as seen from its inside face.
fn mirrored(flat: &FlatDrawing) -> FlatDrawing {
    let turn = Motion2 {
        mirrored: true,
        angle: 0.0,
        shift: Vector2::zeros(),
    };
    let mut own = flat.clone();
    own.outline = flat.outline.mirrored_in_x_axis();
    for hole in &mut own.holes {
        hole.outline = hole.outline.mirrored_in_x_axis();
        hole.centre = turn.point(hole.centre);
    }
    for region in &mut own.regions {
        region.outline = region.outline.mirrored_in_x_axis();
    }
    for rivet in &mut own.rivets {
        rivet.centre = turn.point(rivet.centre);
    }
    own
}

/// A flat drawn with the allowance of the etch: its outline grown, its openings shrunk (mm).
///
/// # Panics
///
/// If the outline does not close after it.
pub fn with_allowance(flat: &FlatDrawing, growth: f64) -> FlatDrawing {
    let shape = artwork::DrawnShape {
        outline: flat.outline.clone(),
        holes: flat.holes.iter().map(|hole| hole.outline.clone()).collect(),
        details: flat
            .regions
            .iter()
            .map(|region| artwork::DrawnDetail {
                outline: region.outline.clone(),
                role: role_of(flat, region),
                layer: String::new(),
            })
            .collect(),
        layer: String::new(),
        labels_inside: Vec::new(),
    };
    // An etch that puts on metal is the allowance.
    let moved = artwork::etched(&shape, -growth).shape;
    let mut own = flat.clone();
    let run = geom::Chain::from_segments(moved.outline.segments().iter().copied());
    own.outline = Outline::from_chain(&run).expect("a grown outline is closed");
    for (hole, outline) in own.holes.iter_mut().zip(moved.holes) {
        hole.round = hole.round.map(|radius| radius - growth);
        hole.outline = outline;
    }
    assert_eq!(
        own.regions.len(),
        moved.details.len(),
        "no half-etched place of {} is lost",
        flat.plate
    );
    for (region, detail) in own.regions.iter_mut().zip(moved.details) {
        region.outline = detail.outline;
    }
    own
}

fn role_of(flat: &FlatDrawing, region: &artwork::FlatRegion) -> artwork::Role {
    let proud = region.z_high > flat.plain.1 || region.z_low < flat.plain.0;
    match (proud, region.face) {
        (true, _) => artwork::Role::Raised,
        (false, body::Face::Outside) => artwork::Role::HalfEtchFront,
        (false, body::Face::Inside) => artwork::Role::HalfEtchRear,
    }
}
