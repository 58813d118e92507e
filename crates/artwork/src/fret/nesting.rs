//! Plates put on sheets one after another, each as low and then as far left as it goes.
//!
//! A library finds collisions; the search is a fixed grid of places and a fixed creep from there, so
//! that the same plates always lie in the same places, however fast the machine.

use std::sync::Arc;

use super::placement::Placement;
use geom::{Outline, Vector2};
use jagua_rs::collision_detection::hazards::filter::NoFilter;
use jagua_rs::collision_detection::hazards::{Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::Transformation;
use jagua_rs::geometry::fail_fast::{SPSurrogate, SPSurrogateConfig};
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::TransformableFrom;
use jagua_rs::geometry::primitives::{Point, Rect, SPolygon};

/// Places are looked at this far apart (mm).
const STEP_MM: f64 = 2.0;

/// From a free place the plate creeps left and down by these steps, largest first (mm).
const CREEP_MM: [f64; 4] = [1.0, 0.5, 0.25, 0.125];

/// Chords of the shapes held against one another (mm).
const CHORD_MM: f64 = 0.02;

/// Chords and sides of the shapes that circles are found in (mm): a circle that is too large by as much
/// only turns a place down that would have been tight.
const COARSE_MM: f64 = 0.3;

/// Shapes are grown by this for their chords and for single precision (mm).
pub(crate) const SAFETY_MM: f64 = 0.03;

/// Circles within a shape that are tried before the shape itself: as many as cover most of it.
const CIRCLES: SPSurrogateConfig = SPSurrogateConfig {
    n_pole_limits: [(12, 0.0), (8, 0.7), (4, 0.85)],
    ff_pole_area_ratio: 0.8,
    n_ff_piers: 0,
};

/// What takes up room on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Room {
    /// Everything off the sheet.
    Off,
    /// The shape of a number.
    Taken(usize),
}

impl HazardEntity for Room {
    fn scope(&self) -> GeoPosition {
        match self {
            Self::Off => GeoPosition::Exterior,
            Self::Taken(_) => GeoPosition::Interior,
        }
    }

    fn is_dynamic(&self) -> bool {
        matches!(self, Self::Taken(_))
    }
}

/// A shape to be placed, in one of its turns, with its lower left corner at the origin.
#[derive(Clone, Debug)]
pub(crate) struct TurnedShape {
    pub(crate) quarters: u8,
    /// From the turned flat to the shape at the origin.
    to_origin: Vector2,
    pub(crate) width: f64,
    pub(crate) height: f64,
    polygon: SPolygon,
    /// Circles within it: most places that are taken are so already for these.
    circles: Option<SPSurrogate>,
}

impl TurnedShape {
    /// The room that an outline takes, turned; nothing if it has no area.
    pub(crate) fn of(outline: &Outline, quarters: u8) -> Option<Self> {
        let turned = Placement::turned(quarters).outline(outline);
        let (low, high) = turned.bounds();
        let to_origin = -low.coords;
        let mut points: Vec<Point> = Vec::new();
        for p in turned.flattened(CHORD_MM) {
            let p = p + to_origin;
            let next = Point(p.x as f32, p.y as f32);
            if !points.contains(&next) {
                points.push(next);
            }
        }
        let polygon = SPolygon::new(points).ok()?;
        Some(Self {
            quarters,
            to_origin,
            circles: circles_in(&turned, to_origin),
            width: high.x - low.x,
            height: high.y - low.y,
            polygon,
        })
    }

    /// A copy to be moved about.
    pub(crate) fn buffer(&self) -> SPolygon {
        self.polygon.clone()
    }

    /// Where the flat goes if this shape's lower left corner goes to `corner`.
    pub(crate) fn placement(&self, corner: Vector2) -> Placement {
        Placement {
            quarters: self.quarters,
            by: corner + self.to_origin,
        }
    }
}

/// Circles within a shape, from few of its points: finding them takes long on many.
fn circles_in(turned: &Outline, to_origin: Vector2) -> Option<SPSurrogate> {
    let mut points: Vec<Point> = Vec::new();
    for p in turned.flattened(COARSE_MM) {
        let p = p + to_origin;
        let next = Point(p.x as f32, p.y as f32);
        let far =
            |own: &Point| (own.0 - next.0).abs().max((own.1 - next.1).abs()) > COARSE_MM as f32;
        if points.last().is_none_or(far) && points.first().is_none_or(far) {
            points.push(next);
        }
    }
    SPSurrogate::new(&SPolygon::new(points).ok()?, CIRCLES).ok()
}

/// The room left on one sheet.
#[derive(Debug)]
pub(crate) struct SheetRoom {
    engine: CDEngine<Room>,
    taken: usize,
    low: Vector2,
    high: Vector2,
}

impl SheetRoom {
    /// An empty rectangle; nothing if it has no area.
    pub(crate) fn new(low: Vector2, high: Vector2) -> Option<Self> {
        // Wider than the sheet, so that shapes may touch its borders.
        let skirt = 1.0;
        let bounds = Rect::try_new(
            (low.x - skirt) as f32,
            (low.y - skirt) as f32,
            (high.x + skirt) as f32,
            (high.y + skirt) as f32,
        )
        .ok()?;
        let sheet = SPolygon::from(
            Rect::try_new(low.x as f32, low.y as f32, high.x as f32, high.y as f32).ok()?,
        );
        let config = CDEConfig {
            quadtree_depth: 6,
            cd_threshold: 16,
            item_surrogate_config: CIRCLES,
        };
        let off = Hazard::new(Room::Off, Arc::new(sheet));
        Some(Self {
            engine: CDEngine::new(bounds, vec![off], config),
            taken: 0,
            low,
            high,
        })
    }

    /// Takes the room of a shape whose lower left corner is at `corner`.
    pub(crate) fn take(&mut self, shape: &TurnedShape, corner: Vector2) {
        let mut placed = shape.polygon.clone();
        move_to(&mut placed, shape, corner);
        let entity = Room::Taken(self.taken);
        self.taken += 1;
        self.engine
            .register_hazard(Hazard::new(entity, Arc::new(placed)));
    }

    /// True if the shape can lie there.
    pub(crate) fn is_free(
        &self,
        buffer: &mut SPolygon,
        shape: &TurnedShape,
        corner: Vector2,
    ) -> bool {
        let inside = corner.x >= self.low.x
            && corner.y >= self.low.y
            && corner.x + shape.width <= self.high.x
            && corner.y + shape.height <= self.high.y;
        if !inside {
            return false;
        }
        if let Some(circles) = &shape.circles {
            let by = Transformation::from_translation((corner.x as f32, corner.y as f32));
            if self
                .engine
                .detect_surrogate_collision(circles, &by, &NoFilter)
            {
                return false;
            }
        }
        move_to(buffer, shape, corner);
        !self.engine.detect_poly_collision(buffer, &NoFilter)
    }

    /// Nothing more is put to the right of a point or above it.
    pub(crate) fn close_beyond(&mut self, corner: Vector2) {
        self.high = self.high.inf(&corner);
    }

    /// The lowest and then leftmost place, over all turns: the turn's number and the corner.
    pub(crate) fn lowest(&self, turns: &[TurnedShape]) -> Option<(usize, Vector2)> {
        let mut best: Option<(f64, usize, Vector2)> = None;
        for (i, shape) in turns.iter().enumerate() {
            let roof = best.as_ref().map_or(f64::INFINITY, |own| own.0);
            let Some(corner) = self.lowest_of(shape, roof) else {
                continue;
            };
            let top = corner.y + shape.height;
            if top < roof - 1e-9 {
                best = Some((top, i, corner));
            }
        }
        best.map(|(_, i, corner)| (i, corner))
    }

    /// The lowest place of a shape whose top stays below `roof`.
    fn lowest_of(&self, shape: &TurnedShape, roof: f64) -> Option<Vector2> {
        let mut buffer = shape.polygon.clone();
        let columns = ((self.high.x - self.low.x - shape.width) / STEP_MM).floor();
        let rows = ((self.high.y - self.low.y - shape.height) / STEP_MM).floor();
        if columns < 0.0 || rows < 0.0 {
            return None;
        }
        for row in 0..=rows as usize {
            let y = self.low.y + row as f64 * STEP_MM;
            if y + shape.height > roof + STEP_MM {
                return None;
            }
            for column in 0..=columns as usize {
                let corner = Vector2::new(self.low.x + column as f64 * STEP_MM, y);
                if self.is_free(&mut buffer, shape, corner) {
                    return Some(self.crept(&mut buffer, shape, corner));
                }
            }
        }
        None
    }

    /// As far down and left from a free place as small steps go.
    fn crept(&self, buffer: &mut SPolygon, shape: &TurnedShape, from: Vector2) -> Vector2 {
        let mut corner = from;
        for step in CREEP_MM {
            for way in [Vector2::new(0.0, -step), Vector2::new(-step, 0.0)] {
                // Never far: a longer way would have been found from another place of the grid.
                for _ in 0..8 {
                    if !self.is_free(buffer, shape, corner + way) {
                        break;
                    }
                    corner += way;
                }
            }
        }
        corner
    }
}

fn move_to(buffer: &mut SPolygon, shape: &TurnedShape, corner: Vector2) {
    let by = Transformation::from_translation((corner.x as f32, corner.y as f32));
    buffer.transform_from(&shape.polygon, &by);
}
