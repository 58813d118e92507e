//! The two skins of a plate in space, strip by strip.
//!
//! A *spot* is a place of the sheet: on a rolled plate x is the fraction of the ruling and y the
//! ruling coordinate; on a flat one both are flat coordinates. Either way x to y turns
//! anticlockwise seen from outside, as on the flat.

use crate::SolidError;
use body::Plate;
use develop::{Forming, FormedRuling, Loft};
use geom::math::TAU;
use geom::{Placement, Point2, Point3, Vector3};

/// A place of the sheet: see the module's head.
pub(super) type Spot = Point2;

/// Widest turn of one strip (rad): a third of a circle, so that arcs stay well-conditioned.
const WIDEST_STRIP: f64 = TAU / 3.0 + 1e-9;

/// Normals of neighbouring patches further apart than this make a crease (chord of the unit circle).
const CREASE: f64 = 1e-6;

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

/// The normals along one end of a patch.
#[derive(Clone, Copy, Debug)]
enum EndNormals {
    /// The end is an apex: one point and one normal.
    Apex(Vector3),
    /// The sheet's own normals, drawn over to the normal of an apex beside the patch.
    Own {
        at_start: Vector3,
        at_end: Vector3,
    },
}

impl EndNormals {
    fn at(&self, fraction: f64, own: Vector3) -> Vector3 {
        match self {
            Self::Apex(normal) => *normal,
            Self::Own { at_start, at_end } => {
                own + at_start * (1.0 - fraction) + at_end * fraction
            }
        }
    }

    fn is_own(&self) -> bool {
        match self {
            Self::Apex(_) => false,
            Self::Own { at_start, at_end } => at_start.norm() + at_end.norm() == 0.0,
        }
    }
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
}

/// Ends of a ruling at a height over mid-sheet, and their rates along y.
#[derive(Clone, Copy, Debug)]
pub(super) struct SkinRuling {
    pub(super) front: Point3,
    pub(super) rear: Point3,
}

impl<'a> Skins<'a> {
    /// The skins of a plate, wide patches cut into sectors at rulings that keep clear of `holes`
    /// (least and greatest y of each).
    ///
    /// # Errors
    ///
    /// [`SolidError::Crease`] and [`SolidError::SkinFolds`] for sheets whose skins are not smooth.
    pub(super) fn of(plate: &'a Plate, holes: &[(f64, f64)]) -> Result<Self, SolidError> {
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
            }),
            Forming::Rolled(loft) => {
                let ends = end_normals(loft).map_err(|at| SolidError::Crease {
                    plate: plate.id.clone(),
                    at,
                })?;
                let strips = (0..loft.patches().len())
                    .flat_map(|patch| sectors(loft, &ends[patch], patch, holes))
                    .collect();
                let skins = Self {
                    map: Map::Rolled { loft, ends },
                    strips,
                };
                skins.refuse_folds(plate)?;
                Ok(skins)
            }
        }
    }

    /// Ends of a ruling on the skin at a height over mid-sheet (mm); rolled plates only have rulings.
    pub(super) fn ruling(&self, strip: usize, y: f64, height: f64) -> SkinRuling {
        match &self.map {
            Map::Flat(placement) => SkinRuling {
                front: placement.point(Point2::new(0.0, y), height),
                rear: placement.point(Point2::new(1.0, y), height),
            },
            Map::Rolled { loft, ends } => {
                let patch = self.strips[strip].patch;
                let fraction = y - patch as f64;
                let FormedRuling {
                    front,
                    rear,
                    normal,
                } = loft.formed_ruling(patch, fraction);
                let [front_normals, rear_normals] = &ends[patch];
                SkinRuling {
                    front: front + front_normals.at(fraction, normal) * height,
                    rear: rear + rear_normals.at(fraction, normal) * height,
                }
            }
        }
    }

    /// The point of the skin at a height over mid-sheet (mm).
    pub(super) fn point(&self, strip: usize, spot: Spot, height: f64) -> Point3 {
        let ruling = self.ruling(strip, spot.y, height);
        ruling.front + (ruling.rear - ruling.front) * spot.x
    }

    /// Vectors of the skin along x and y per unit of each, at a height over mid-sheet.
    ///
    /// The rate along y is a five-point difference on the patch's closed form.
    pub(super) fn rates(&self, strip: usize, spot: Spot, height: f64) -> (Vector3, Vector3) {
        let ruling = self.ruling(strip, spot.y, height);
        let part = &self.strips[strip];
        // Turn of the patch for each unit of y.
        let pace = part.turn.abs() / (part.to - part.from);
        let step = if pace > 0.0 { (2e-3 / pace).min(0.2) } else { 0.2 };
        let at = |k: f64| self.point(strip, Spot::new(spot.x, spot.y + k * step), height);
        let near = at(1.0) - at(-1.0);
        let far = at(2.0) - at(-2.0);
        (
            ruling.rear - ruling.front,
            (near * 8.0 - far) / (12.0 * step),
        )
    }

    /// True where an end of the strip is an apex: at the front for x = 0, at the rear for x = 1.
    pub(super) fn is_apex(&self, strip: usize, x: f64) -> bool {
        let Map::Rolled { ends, .. } = &self.map else {
            return false;
        };
        let [front, rear] = &ends[self.strips[strip].patch];
        let apex = |end: &EndNormals| matches!(end, EndNormals::Apex(_));
        (x.abs() < 1e-9 && apex(front)) || ((x - 1.0).abs() < 1e-9 && apex(rear))
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

    /// The sheet must be thinner than every bend is round, or a skin runs back on itself.
    fn refuse_folds(&self, plate: &Plate) -> Result<(), SolidError> {
        for (i, strip) in self.strips.iter().enumerate() {
            if strip.turn == 0.0 {
                continue;
            }
            for x in [0.0, 1.0] {
                if self.is_apex(i, x) {
                    continue;
                }
                for y in [strip.from, (strip.from + strip.to) / 2.0, strip.to] {
                    let spot = Spot::new(x, y);
                    let (along, mid) = self.rates(i, spot, 0.0);
                    for height in [plate.sheet.z_low, plate.sheet.z_high] {
                        let (_, skin) = self.rates(i, spot, height);
                        if along.cross(&skin).dot(&along.cross(&mid)) <= 0.0 {
                            return Err(SolidError::SkinFolds {
                                plate: plate.id.clone(),
                                radius_mm: mid.norm() * (strip.to - strip.from) / strip.turn.abs(),
                                at: self.point(i, spot, 0.0),
                            });
                        }
                    }
                }
            }
        }
        Ok(())
    }
}

/// Normals along both ends of every patch; the place of the crease where patches do not join smoothly.
fn end_normals(loft: &Loft) -> Result<Vec<[EndNormals; 2]>, Point3> {
    let mut ends = vec![
        [EndNormals::Own {
            at_start: Vector3::zeros(),
            at_end: Vector3::zeros(),
        }; 2];
        loft.patches().len()
    ];
    for end in [0, 1] {
        let point = |patch: usize, fraction: f64| {
            let ruling = loft.formed_ruling(patch, fraction);
            if end == 0 { ruling.front } else { ruling.rear }
        };
        let normal = |patch: usize, fraction: f64| loft.formed_ruling(patch, fraction).normal;
        let is_apex = |i: usize| {
            (point(i, 1.0) - point(i, 0.0)).norm() < 1e-9
                && (point(i, 0.5) - point(i, 0.0)).norm() < 1e-9
        };
        let n = ends.len();
        let mut i = 0;
        while i < n {
            if !is_apex(i) {
                if i + 1 < n && !is_apex(i + 1) && (normal(i, 1.0) - normal(i + 1, 0.0)).norm() > CREASE {
                    return Err(point(i, 1.0));
                }
                i += 1;
                continue;
            }
            let first = i;
            while i < n && is_apex(i) {
                i += 1;
            }
            let before = first.checked_sub(1).map(|k| normal(k, 1.0));
            let after = (i < n).then(|| normal(i, 0.0));
            let one = apex_normal(before, after, || {
                let middle = (first + i) as f64 / 2.0;
                let patch = (middle.floor() as usize).min(n - 1);
                normal(patch, middle - patch as f64)
            });
            for patch in &mut ends[first..i] {
                patch[end] = EndNormals::Apex(one);
            }
            if let (Some(own), Some(k)) = (before, first.checked_sub(1)) {
                draw_over(&mut ends[k][end], 1, one - own);
            }
            if let Some(own) = after {
                draw_over(&mut ends[i][end], 0, one - own);
            }
        }
    }
    Ok(ends)
}

/// The normal at an apex: that of the rulings to either side, which have the section's own tangent there.
fn apex_normal(
    before: Option<Vector3>,
    after: Option<Vector3>,
    alone: impl FnOnce() -> Vector3,
) -> Vector3 {
    match (before, after) {
        (Some(a), Some(b)) => (a + b).normalize(),
        (Some(a), None) | (None, Some(a)) => a,
        (None, None) => alone(),
    }
}

fn draw_over(end: &mut EndNormals, side: usize, by: Vector3) {
    if let EndNormals::Own { at_start, at_end } = end {
        // Rounding of a normal is not a lean.
        if by.norm() > 1e-12 {
            *(if side == 0 { at_start } else { at_end }) = by;
        }
    }
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
    let is_clear =
        |y: f64| holes.iter().all(|(low, high)| y <= low - margin / 2.0 || y >= high + margin / 2.0);
    holes
        .iter()
        .flat_map(|(low, high)| [low - margin, high + margin])
        .chain([even])
        .filter(|y| (y - even).abs() <= reach && is_clear(*y))
        .min_by(|a, b| (a - even).abs().total_cmp(&(b - even).abs()))
        .unwrap_or(even)
}

fn strip_kind(loft: &Loft, ends: &[EndNormals; 2], patch: usize) -> StripKind {
    let own = ends.iter().all(EndNormals::is_own);
    let axis = loft.frame().axis;
    let lean = |fraction: f64| loft.formed_ruling(patch, fraction).normal.dot(&axis);
    if !loft.patches()[patch].is_bent() {
        let normal = loft.formed_ruling(patch, 0.5).normal;
        // An apex of a plane patch has the plane's own normal unless the sheet is creased there.
        let flat = ends.iter().all(|end| match end {
            EndNormals::Apex(apex) => (apex - normal).norm() < 1e-12,
            own @ EndNormals::Own { .. } => own.is_own(),
        });
        if flat { StripKind::Plane } else { StripKind::NearPlane }
    } else if own && [0.31, 0.67, 1.0].iter().all(|&f| (lean(f) - lean(0.0)).abs() < 1e-13) {
        StripKind::RightCone
    } else {
        StripKind::Cone
    }
}
