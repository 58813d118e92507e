//! Plates put on sheets one after another, each as low and then as far left as it goes.
//!
//! A library finds collisions; the search is a fixed grid of places and a fixed creep from there, so
//! that the same plates always lie in the same places, however fast the machine.

use std::sync::Arc;

use super::mask::{CELL_MM, Mask};
use super::placement::Placement;
use geom::{Outline, Vector2};
use jagua_rs::collision_detection::hazards::filter::NoFilter;
use jagua_rs::collision_detection::hazards::{Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::Transformation;
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::TransformableFrom;
use jagua_rs::geometry::primitives::{Point, Rect, SPolygon};

/// Places are looked at this many cells apart.
const STEP_CELLS: usize = 4;

/// Places are looked at this far apart (mm).
const STEP_MM: f64 = STEP_CELLS as f64 * CELL_MM;

/// From a free place the plate creeps left and down by these steps, largest first (mm).
const CREEP_MM: [f64; 4] = [1.0, 0.5, 0.25, 0.125];

/// Chords of the shapes held against one another (mm).
const CHORD_MM: f64 = 0.02;

/// Chords of the shapes that cells are marked by (mm): far less than a cell, so that shapes that have a cell in
/// common overlap for certain.
const MASK_CHORD_MM: f64 = 0.05;

/// Shapes are grown by this for their chords and for single precision (mm).
pub(crate) const SAFETY_MM: f64 = 0.03;

/// No circles within shapes: cells are looked at before shapes are.
const NO_CIRCLES: SPSurrogateConfig = SPSurrogateConfig {
    n_pole_limits: [(0, 0.0); 3],
    ff_pole_area_ratio: 0.0,
    n_ff_piers: 0,
};

/// Words keep this far off the edge of a sheet (mm), chosen.
pub(crate) const EDGE_MM: f64 = 1.5;

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
    /// Its points, few of them, for masks.
    coarse: Vec<Vector2>,
    /// What it covers for certain.
    mask: Mask,
}

impl TurnedShape {
    /// The room that an outline takes as it is; nothing if it has no area.
    pub(crate) fn of(outline: &Outline) -> Option<Self> {
        let (low, high) = outline.bounds();
        let mut points: Vec<Point> = Vec::new();
        for p in outline.flattened(CHORD_MM) {
            let p = p - low.coords;
            let next = Point(p.x as f32, p.y as f32);
            if points.last() != Some(&next) && points.first() != Some(&next) {
                points.push(next);
            }
        }
        let coarse = outline.flattened(MASK_CHORD_MM);
        Some(Self::with_mask(
            0,
            -low.coords,
            high - low,
            SPolygon::new(points).ok()?,
            coarse.iter().map(|p| p - low).collect(),
        ))
    }

    fn with_mask(
        quarters: u8,
        to_origin: Vector2,
        size: Vector2,
        polygon: SPolygon,
        coarse: Vec<Vector2>,
    ) -> Self {
        let mut mask = Mask::empty(size.x, size.y);
        mask.mark_within(&coarse);
        Self {
            quarters,
            to_origin,
            width: size.x,
            height: size.y,
            polygon,
            coarse,
            mask,
        }
    }

    /// A shape that is not turned yet, turned by quarters.
    pub(crate) fn turned(&self, quarters: u8) -> Self {
        let turn = Placement::turned(quarters);
        let far = turn.direction(Vector2::new(self.width, self.height));
        // The corner of the turned rectangle that is lower left.
        let by = Vector2::new((-far.x).max(0.0), (-far.y).max(0.0));
        let move_on = Transformation::empty()
            .rotate(std::f32::consts::FRAC_PI_2 * f32::from(quarters))
            .translate((by.x as f32, by.y as f32));
        let mut polygon = self.polygon.clone();
        polygon.transform_from(&self.polygon, &move_on);
        let coarse = self.coarse.iter().map(|p| turn.direction(*p) + by);
        Self::with_mask(
            quarters % 4,
            turn.direction(self.to_origin) + by,
            Vector2::new(far.x.abs(), far.y.abs()),
            polygon,
            coarse.collect(),
        )
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

/// The room left on one sheet.
#[derive(Debug)]
pub(crate) struct SheetRoom {
    engine: CDEngine<Room>,
    taken: usize,
    /// Cells of which nothing is free.
    mask: Mask,
    /// Lower left corner of the cells.
    origin: Vector2,
    low: Vector2,
    high: Vector2,
}

impl SheetRoom {
    /// An empty sheet of a size (mm) with a border that plates keep off; nothing if it has no area.
    pub(crate) fn new(size: Vector2, border: f64) -> Option<Self> {
        let (low, high) = (Vector2::repeat(border), size - Vector2::repeat(border));
        let around = |skirt: f64| {
            let (low, high) = (Vector2::repeat(-skirt), size + Vector2::repeat(skirt));
            Rect::try_new(low.x as f32, low.y as f32, high.x as f32, high.y as f32).ok()
        };
        // Wider than the sheet, so that shapes may touch its edge.
        let bounds = around(1.0)?;
        let sheet = SPolygon::from(around(0.0)?);
        if high.x <= low.x || high.y <= low.y {
            return None;
        }
        let config = CDEConfig {
            quadtree_depth: 6,
            cd_threshold: 16,
            item_surrogate_config: NO_CIRCLES,
        };
        let off = Hazard::new(Room::Off, Arc::new(sheet));
        Some(Self {
            engine: CDEngine::new(bounds, vec![off], config),
            taken: 0,
            mask: Mask::empty(high.x - low.x, high.y - low.y),
            origin: low,
            low,
            high,
        })
    }

    /// Takes the room of a shape whose lower left corner is at `corner`.
    pub(crate) fn take(&mut self, shape: &TurnedShape, corner: Vector2) {
        let mut placed = shape.polygon.clone();
        move_to(&mut placed, shape, corner);
        let own: Vec<Vector2> = shape
            .coarse
            .iter()
            .map(|p| p + corner - self.origin)
            .collect();
        self.mask.mark_within(&own);
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
        move_to(buffer, shape, corner);
        !self.engine.detect_poly_collision(buffer, &NoFilter)
    }

    /// True if a rectangle is taken for certain; most that are taken are.
    pub(crate) fn is_taken(&self, low: Vector2, high: Vector2) -> bool {
        self.mask.meets_box(low - self.origin, high - self.origin)
    }

    /// What is put on the sheet from here on keeps `off` the edge of a sheet of this size (mm).
    pub(crate) fn keep_to(&mut self, size: Vector2, off: f64) {
        self.low = Vector2::repeat(off);
        self.high = size - Vector2::repeat(off);
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
                if self
                    .mask
                    .meets(&shape.mask, column * STEP_CELLS, row * STEP_CELLS)
                {
                    continue;
                }
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
