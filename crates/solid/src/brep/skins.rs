//! The two skins of a plate in space, strip by strip.
//!
//! A *spot* is a place of the sheet: on a rolled plate x is the fraction of the ruling and y the
//! ruling coordinate; on a flat one both are flat coordinates. Either way x to y turns
//! anticlockwise seen from outside, as on the flat.

use super::apex::{EndNormals, end_normals};
use super::net::JOIN_MM;
use crate::SolidError;
use body::Plate;
use develop::{Forming, Loft, SurfacePoint};
use geom::math::TAU;
use geom::{FlatPoint, Placement, Point2, Point3, Vector3};

/// A place of the sheet: see the module's head.
pub(super) type Spot = Point2;

/// Widest turn of one strip (rad): a third of a circle, so that arcs stay well-conditioned.
const WIDEST_STRIP: f64 = TAU / 3.0 + 1e-9;

/// What a strip's surface is in space.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StripKind {
    /// A plane, shapes of the flat kept.
    Plane,
    /// Straight across and along, but leaning by a hair from an apex beside it.
    NearPlane,
    /// Part of a right cone or cylinder about the axis of the loft: sections are circles.
    RightCone,
    /// Any other cone.
    Cone,
}

/// A part of the sheet with one smooth surface: a patch, or a sector of a wide one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strip {
    /// Patch of the loft; 0 on a flat plate.
    patch: usize,
    /// Least and greatest y.
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) kind: StripKind,
    /// Turn of the section over the strip (rad).
    pub(super) turn: f64,
}

enum Map<'a> {
    Flat(&'a Placement),
    Rolled {
        loft: &'a Loft,
        /// Front and rear end of each patch.
        ends: Vec<[EndNormals; 2]>,
    },
}

/// The map from the sheet to its skins.
pub(super) struct Skins<'a> {
    map: Map<'a>,
    pub(super) strips: Vec<Strip>,
    /// Kinks of the rulings of each patch.
    kinks: Vec<Vec<f64>>,
}

/// Poles of a B-spline along rulings: the places of each pole and the knots.
///
/// A pole's place is a pair of ruling fractions, its neighbouring knots; on a straight ruling the
/// pole stands at their mean.
pub(super) struct PoleGrid {
    pub(super) places: Vec<[f64; 2]>,
    pub(super) knots: Vec<f64>,
}

impl<'a> Skins<'a> {
    /// The skins of a plate, wide patches cut into sectors at rulings that keep clear of `holes`
    /// (least and greatest y of each). Near an apex the skins of a sheet as thick as `thickness`
    /// (mm) about its middle have room.
    ///
    /// # Errors
    ///
    /// [`SolidError::Crease`] for a sheet whose skins are not smooth.
    pub(super) fn of(
        plate: &'a Plate,
        holes: &[(f64, f64)],
        thickness: f64,
    ) -> Result<Self, SolidError> {
        match &plate.forming {
            Forming::Flat(placement) => Ok(Self {
                map: Map::Flat(placement),
                strips: vec![Strip {
                    patch: 0,
                    from: f64::NEG_INFINITY,
                    to: f64::INFINITY,
                    kind: StripKind::Plane,
                    turn: 0.0,
                }],
                kinks: vec![Vec::new()],
            }),
            Forming::Rolled(loft) => {
                let ends = end_normals(loft, thickness).map_err(|at| SolidError::Crease {
                    plate: plate.id.clone(),
                    at,
                })?;
                let strips = (0..loft.patches().len())
                    .flat_map(|patch| sectors(loft, &ends[patch], patch, holes))
                    .collect();
                let kinks = ends
                    .iter()
                    .enumerate()
                    .map(|(patch, ends)| kinks_of(loft, ends, patch));
                Ok(Self {
                    kinks: kinks.collect(),
                    map: Map::Rolled { loft, ends },
                    strips,
                })
            }
        }
    }

    /// Pole of the skin along the ruling at y, at a height over mid-sheet (mm).
    ///
    /// With both fractions of `place` alike it is the point of the skin itself.
    pub(super) fn pole(&self, strip: usize, y: f64, place: [f64; 2], height: f64) -> Point3 {
        let mean = (place[0] + place[1]) / 2.0;
        match &self.map {
            Map::Flat(placement) => placement.point(Point2::new(mean, y), height),
            Map::Rolled { loft, ends } => {
                let patch = self.strips[strip].patch;
                let fraction = y - patch as f64;
                let ruling = loft.formed_ruling(patch, fraction);
                let [front, rear] = &ends[patch];
                let share = |from_end: f64, reach: f64| {
                    if reach > 0.0 {
                        (1.0 - from_end / reach).max(0.0)
                    } else {
                        0.0
                    }
                };
                let near_front = share(place[0], front.reach) * share(place[1], front.reach);
                let near_rear =
                    share(1.0 - place[0], rear.reach) * share(1.0 - place[1], rear.reach);
                let normal = ruling.normal
                    + front.lean(fraction, ruling.normal) * near_front
                    + rear.lean(fraction, ruling.normal) * near_rear;
                ruling.front + (ruling.rear - ruling.front) * mean + normal * height
            }
        }
    }

    /// The point of the skin at a height over mid-sheet (mm).
    pub(super) fn point(&self, strip: usize, spot: Spot, height: f64) -> Point3 {
        self.pole(strip, spot.y, [spot.x; 2], height)
    }

    /// Vectors of the skin along x and y per unit of each, at a height over mid-sheet.
    ///
    /// The rate along y is a five-point difference on the patch's closed form.
    pub(super) fn rates(&self, strip: usize, spot: Spot, height: f64) -> (Vector3, Vector3) {
        let part = &self.strips[strip];
        // Turn of the patch for each unit of y.
        let pace = part.turn.abs() / (part.to - part.from);
        let step = if pace > 0.0 {
            (2e-3 / pace).min(0.2)
        } else {
            0.2
        };
        let at = |k: f64| self.point(strip, Spot::new(spot.x, spot.y + k * step), height);
        let near = at(1.0) - at(-1.0);
        let far = at(2.0) - at(-2.0);
        // A ruling is a quadratic between kinks: twice the change of its pole to the next knot.
        let along = match self.span_about(strip, spot.x) {
            None => {
                self.pole(strip, spot.y, [1.0; 2], height)
                    - self.pole(strip, spot.y, [0.0; 2], height)
            }
            Some([low, high]) => {
                let to = |x: f64| self.pole(strip, spot.y, [spot.x, x], height);
                (to(high) - to(low)) * (2.0 / (high - low))
            }
        };
        (along, (near * 8.0 - far) / (12.0 * step))
    }

    /// Knots on either side of x; `None` where rulings are straight.
    fn span_about(&self, strip: usize, x: f64) -> Option<[f64; 2]> {
        let kinks = self.kinks(strip);
        if kinks.is_empty() {
            return None;
        }
        let low = kinks
            .iter()
            .copied()
            .filter(|kink| *kink <= x)
            .fold(0.0, f64::max);
        let high = kinks
            .iter()
            .copied()
            .filter(|kink| *kink > x)
            .fold(1.0, f64::min);
        Some([low, high])
    }

    /// Ruling fractions between 0 and 1 at which a strip's rulings pass from one polynomial to the next.
    pub(super) fn kinks(&self, strip: usize) -> &[f64] {
        &self.kinks[self.strips[strip].patch]
    }

    /// Poles along the rulings of a whole strip: two where they are straight.
    pub(super) fn pole_grid(&self, strip: usize) -> PoleGrid {
        let kinks = self.kinks(strip);
        if kinks.is_empty() {
            return PoleGrid {
                places: vec![[0.0; 2], [1.0; 2]],
                knots: vec![0.0, 0.0, 1.0, 1.0],
            };
        }
        quadratic_grid(0.0, 1.0, kinks)
    }

    /// Poles of a part of one ruling; `None` where it is straight.
    pub(super) fn ruling_poles(&self, strip: usize, start: Spot, end: Spot) -> Option<PoleGrid> {
        let Map::Rolled { loft, ends } = &self.map else {
            return None;
        };
        let patch = self.strips[strip].patch;
        let fraction = start.y - patch as f64;
        let own = loft.formed_ruling(patch, fraction).normal;
        let (least, most) = (start.x.min(end.x), start.x.max(end.x));
        let [front, rear] = &ends[patch];
        let leans = |end: &EndNormals| end.lean(fraction, own).norm() > 1e-12;
        let near_front = leans(front) && least < front.reach;
        let near_rear = leans(rear) && most > 1.0 - rear.reach;
        if !near_front && !near_rear {
            return None;
        }
        let kinks: Vec<f64> = self
            .kinks(strip)
            .iter()
            .copied()
            .filter(|kink| *kink > least && *kink < most)
            .collect();
        Some(quadratic_grid(start.x, end.x, &kinks))
    }

    /// True where an end of the strip is an apex: at the front for x = 0, at the rear for x = 1.
    pub(super) fn is_apex(&self, strip: usize, x: f64) -> bool {
        let Map::Rolled { ends, .. } = &self.map else {
            return false;
        };
        let [front, rear] = &ends[self.strips[strip].patch];
        (x.abs() < 1e-9 && front.is_apex()) || ((x - 1.0).abs() < 1e-9 && rear.is_apex())
    }

    /// True for a plate bent to a loft.
    pub(super) fn is_rolled(&self) -> bool {
        matches!(self.map, Map::Rolled { .. })
    }

    /// The borders between strips in order, the outer ones included; none on a flat plate.
    pub(super) fn borders(&self) -> Vec<f64> {
        if !self.is_rolled() {
            return Vec::new();
        }
        let first = self.strips.first().map(|strip| strip.from);
        first
            .into_iter()
            .chain(self.strips.iter().map(|strip| strip.to))
            .collect()
    }

    /// Ruling fractions at which a fold would show: the ends, and places near an apex.
    fn fold_tests(&self, strip: usize) -> Vec<f64> {
        let kinks = self.kinks(strip);
        let near = kinks.iter().flat_map(|&kink| {
            let end = if kink < 0.5 { 0.0 } else { 1.0 };
            [0.05, 0.3, 0.6, 1.0].map(|part| end + (kink - end) * part)
        });
        [0.0, 1.0]
            .into_iter()
            .filter(|end| !self.is_apex(strip, *end))
            .chain(near)
            .collect()
    }

    /// Refuses a skin of a strip that runs back on itself: the sheet must be thinner than the bend is round.
    pub(super) fn refuse_fold(
        &self,
        plate: &Plate,
        index: usize,
        height: f64,
    ) -> Result<(), SolidError> {
        let strip = &self.strips[index];
        if strip.turn == 0.0 {
            return Ok(());
        }
        for x in self.fold_tests(index) {
            for y in [strip.from, (strip.from + strip.to) / 2.0, strip.to] {
                let spot = Spot::new(x, y);
                if self.stretch(index, spot, height) <= 0.0 {
                    return Err(self.skin_folds(plate, index, spot));
                }
            }
        }
        Ok(())
    }

    /// Refuses an edge at a height beyond the axis of the bend: walls to both sides of the bend cross.
    pub(super) fn refuse_crossed_walls(
        &self,
        plate: &Plate,
        index: usize,
        spot: Spot,
        height: f64,
    ) -> Result<(), SolidError> {
        // Walls that just meet are off by rounding only.
        let crosses = self.strips[index].turn != 0.0
            && !(self.is_apex(index, spot.x))
            && self.stretch(index, spot, height) < -1e-6;
        if crosses {
            return Err(self.skin_folds(plate, index, spot));
        }
        Ok(())
    }

    /// Length across the rulings at a height, as a share of that at mid-sheet; negative beyond the axis.
    fn stretch(&self, index: usize, spot: Spot, height: f64) -> f64 {
        let (along, mid) = self.rates(index, spot, 0.0);
        let (_, skin) = self.rates(index, spot, height);
        let square = along.cross(&mid);
        along.cross(&skin).dot(&square) / square.norm_squared()
    }

    fn skin_folds(&self, plate: &Plate, index: usize, spot: Spot) -> SolidError {
        let strip = &self.strips[index];
        let (_, mid) = self.rates(index, spot, 0.0);
        SolidError::SkinFolds {
            plate: plate.id.clone(),
            radius_mm: mid.norm() * (strip.to - strip.from) / strip.turn.abs(),
            at: self.point(index, spot, 0.0),
        }
    }

    /// The place of a spot on the flat.
    pub(super) fn flat(&self, spot: Spot) -> FlatPoint {
        match &self.map {
            Map::Flat(_) => spot,
            Map::Rolled { loft, .. } => loft.flat(SurfacePoint {
                w: spot.y,
                v: spot.x,
            }),
        }
    }

    /// True where two spots are one place of the sheet.
    pub(super) fn is_same(&self, a: Spot, b: Spot) -> bool {
        let point = |spot: Spot| self.point(self.strip_at(spot.y), spot, 0.0);
        Self::is_near(a, b) && (point(a) - point(b)).norm() <= JOIN_MM
    }

    /// False for spots that only meet in space: on both sides of a seam, or round an apex.
    pub(super) fn is_near(a: Spot, b: Spot) -> bool {
        (a.y - b.y).abs() <= 1e-2
    }

    fn strip_at(&self, y: f64) -> usize {
        let behind = self.strips.partition_point(|strip| strip.from <= y);
        behind.saturating_sub(1)
    }
}

fn kinks_of(loft: &Loft, [front, rear]: &[EndNormals; 2], patch: usize) -> Vec<f64> {
    let near_front = (!front.is_own(loft, patch)).then_some(front.reach);
    let near_rear = (!rear.is_own(loft, patch)).then_some(1.0 - rear.reach);
    near_front.into_iter().chain(near_rear).collect()
}

/// The strips of one patch.
fn sectors(loft: &Loft, ends: &[EndNormals; 2], patch: usize, holes: &[(f64, f64)]) -> Vec<Strip> {
    let turn = loft.patches()[patch].turn();
    let kind = strip_kind(loft, ends, patch);
    let n = (turn.abs() / WIDEST_STRIP).ceil().max(1.0) as usize;
    let base = patch as f64;
    let mut cuts = vec![base];
    for i in 1..n {
        let even = base + i as f64 / n as f64;
        cuts.push(clear_of(even, holes, 0.1 / n as f64));
    }
    cuts.push(base + 1.0);
    cuts.windows(2)
        .map(|cut| Strip {
            patch,
            from: cut[0],
            to: cut[1],
            kind,
            turn: turn * (cut[1] - cut[0]),
        })
        .collect()
}

/// The place nearest to `even` outside every hole, at most `reach` away; `even` itself if there is none.
fn clear_of(even: f64, holes: &[(f64, f64)], reach: f64) -> f64 {
    let margin = reach / 20.0;
    let is_clear = |y: f64| {
        holes
            .iter()
            .all(|(low, high)| y <= low - margin / 2.0 || y >= high + margin / 2.0)
    };
    holes
        .iter()
        .flat_map(|(low, high)| [low - margin, high + margin])
        .chain([even])
        .filter(|y| (y - even).abs() <= reach && is_clear(*y))
        .min_by(|a, b| (a - even).abs().total_cmp(&(b - even).abs()))
        .unwrap_or(even)
}

fn strip_kind(loft: &Loft, ends: &[EndNormals; 2], patch: usize) -> StripKind {
    let own = ends.iter().all(|end| end.is_own(loft, patch));
    let axis = loft.frame().axis;
    let lean = |fraction: f64| loft.formed_ruling(patch, fraction).normal.dot(&axis);
    let is_right = || {
        [0.31, 0.67, 1.0]
            .iter()
            .all(|&f| (lean(f) - lean(0.0)).abs() < 1e-13)
    };
    match (loft.patches()[patch].is_bent(), own) {
        (false, true) => StripKind::Plane,
        (false, false) => StripKind::NearPlane,
        (true, true) if is_right() => StripKind::RightCone,
        (true, _) => StripKind::Cone,
    }
}

/// Poles of a quadratic from one ruling fraction to another with a knot at each of `kinks` between.
fn quadratic_grid(start: f64, end: f64, kinks: &[f64]) -> PoleGrid {
    let mut inner = kinks.to_vec();
    inner.sort_by(f64::total_cmp);
    if end < start {
        inner.reverse();
    }
    let ends = |x: f64| std::iter::repeat_n(x, 2);
    let stops: Vec<f64> = ends(start).chain(inner).chain(ends(end)).collect();
    let share = |x: f64| (x - start) / (end - start);
    let knots = std::iter::once(0.0)
        .chain(stops.iter().map(|x| share(*x)))
        .chain(std::iter::once(1.0))
        .collect();
    PoleGrid {
        places: stops.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
        knots,
    }
}
