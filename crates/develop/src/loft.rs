//! A wrapper between two sections in parallel planes, ruled by parallel tangents.

use crate::error::{DevelopError, SectionEnd, check_above_zero};
use crate::matching::match_by_tangent;
use crate::patch::{Patch, PatchShape, Ruling, formed_frame};
use crate::{BendRule, Place};
use geom::math::{acos, atan2, sin_cos, wrap_angle};
use geom::{Arc, BodyPoint, Chain, FlatPoint, Point2, Point3, Segment, Vector2, Vector3};

/// Where a loft's section planes stand in space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoftFrame {
    /// Origin of the front section plane.
    pub origin: Point3,
    /// Unit vector from the front section plane to the rear one, square to both.
    pub axis: Vector3,
    /// Unit vector of the section plane's first coordinate.
    pub across: Vector3,
    /// Unit vector of the section plane's second coordinate; axis = across × up.
    pub up: Vector3,
}

impl LoftFrame {
    /// Sections seen along the engine: across to the left, up from rail, rulings rearward from `x` (mm).
    pub fn along_engine(x: f64) -> Self {
        Self {
            origin: Point3::new(x, 0.0, 0.0),
            axis: Vector3::x(),
            across: Vector3::y(),
            up: Vector3::z(),
        }
    }

    /// Sections seen in plan: across rearward, up to the left, rulings upward from height `z` (mm).
    pub fn upright(z: f64) -> Self {
        Self {
            origin: Point3::new(0.0, 0.0, z),
            axis: Vector3::z(),
            across: Vector3::x(),
            up: Vector3::y(),
        }
    }

    pub(crate) fn direction(&self, section: Vector2) -> Vector3 {
        self.across * section.x + self.up * section.y
    }

    pub(crate) fn point(&self, section: Point2, along: f64) -> Point3 {
        self.origin + self.direction(section.coords) + self.axis * along
    }
}

/// A place on a loft: which ruling, and how far along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfacePoint {
    /// Patch number plus fraction of the patch's turn (or width), in order of travel of the section.
    pub w: f64,
    /// Fraction of the ruling, 0 at the front section and 1 at the rear.
    pub v: f64,
}

/// A developable wrapper between two sections.
///
/// Travel along the sections has the outside on its left. On the flat x runs along the datum
/// ruling from the front section, y along the section in its direction of travel; the flat is
/// seen from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Loft {
    pub(crate) frame: LoftFrame,
    pub(crate) length: f64,
    pub(crate) patches: Vec<Patch>,
    /// Front ends and directions of the rulings between patches, on the flat.
    borders: Vec<(FlatPoint, Vector2)>,
    datum: f64,
}

impl Loft {
    /// Rules the surface between two mid-sheet sections, `length` apart (mm), whose middle rulings
    /// are the datum of the flat.
    ///
    /// `thickness` (mm) and `rule` decide the neutral line of bends tighter than five thicknesses.
    ///
    /// # Formula
    ///
    /// Rulings join points with parallel tangents, so the tangent plane is constant along each and
    /// the surface is developable: `docs/derivations.md#wrapper-between-two-sections`. With g the
    /// ruling, t the section tangent and R the radii, the flat turns by (R₁ − R₀) sin β/|g| and
    /// moves by R₀ for each radian that the section turns, β being the angle from g to t.
    ///
    /// # Accuracy
    ///
    /// The flat is integrated by Chebyshev series to about 1e-12 of its size.
    ///
    /// # Errors
    ///
    /// [`DevelopError::SectionsTurnUnlike`], [`DevelopError::Corner`] or
    /// [`DevelopError::EmptySection`] for sections that no sheet can follow;
    /// [`DevelopError::OutOfRange`] for a length or thickness that is not above zero.
    pub fn between(
        frame: LoftFrame,
        front: &Chain,
        rear: &Chain,
        length: f64,
        thickness: f64,
        rule: BendRule,
    ) -> Result<Self, DevelopError> {
        check_above_zero("length", length)?;
        check_above_zero("thickness", thickness)?;
        let mut shapes = match_by_tangent(front, rear)?;
        for shape in &mut shapes {
            shift_neutral_line(shape, thickness, rule);
        }
        let (front_length, rear_length) = (front.length(), rear.length());
        if rear_length <= 0.0 {
            return Err(DevelopError::EmptySection {
                end: SectionEnd::Rear,
            });
        }
        let datum = datum_ruling(&shapes, front_length, rear_length);
        Ok(Self::laid(frame, shapes, length, datum))
    }

    pub(crate) fn laid(frame: LoftFrame, shapes: Vec<PatchShape>, length: f64, datum: f64) -> Self {
        let trial = Self::lay_from(frame, &shapes, length, datum, FlatPoint::origin(), 0.0);
        let ruling = trial.ruling(datum);
        // Turn the trial so that the datum ruling runs along x from the origin.
        let angle = -atan2(ruling.flat_direction.y, ruling.flat_direction.x);
        let (s, c) = sin_cos(angle);
        let back = ruling.flat.coords;
        let start = FlatPoint::new(s * back.y - c * back.x, -s * back.x - c * back.y);
        Self::lay_from(frame, &shapes, length, datum, start, angle)
    }

    fn lay_from(
        frame: LoftFrame,
        shapes: &[PatchShape],
        length: f64,
        datum: f64,
        start: FlatPoint,
        direction: f64,
    ) -> Self {
        let (mut at, mut heading) = (start, direction);
        let mut patches = Vec::with_capacity(shapes.len());
        let mut borders = vec![(at, Vector2::new(sin_cos(heading).1, sin_cos(heading).0))];
        for shape in shapes {
            let patch = Patch::laid(*shape, length, at, heading);
            let last = patch.ruling(shape.span(), length);
            at = last.flat;
            heading = atan2(last.flat_direction.y, last.flat_direction.x);
            borders.push((at, last.flat_direction));
            patches.push(patch);
        }
        Self {
            frame,
            length,
            patches,
            borders,
            datum,
        }
    }

    /// Where the section planes stand.
    pub fn frame(&self) -> &LoftFrame {
        &self.frame
    }

    /// Distance between the section planes (mm).
    pub fn axial_length(&self) -> f64 {
        self.length
    }

    /// The patches in order of travel.
    pub fn patches(&self) -> &[Patch] {
        &self.patches
    }

    /// The ruling coordinate of the last edge; the first is 0.
    pub fn w_end(&self) -> f64 {
        self.patches.len() as f64
    }

    /// The ruling that is the flat's x axis.
    pub fn datum(&self) -> f64 {
        self.datum
    }

    pub(crate) fn patch_at(&self, w: f64) -> (usize, f64) {
        let last = self.patches.len() - 1;
        let i = (w.floor().max(0.0) as usize).min(last);
        (i, (w - i as f64) * self.patches[i].shape.span())
    }

    /// The ruling at coordinate `w`.
    pub fn ruling(&self, w: f64) -> Ruling {
        let (i, s) = self.patch_at(w);
        self.patches[i].ruling(s, self.length)
    }

    /// The point of the flat at a place of the surface.
    pub fn flat(&self, at: SurfacePoint) -> FlatPoint {
        let ruling = self.ruling(at.w);
        ruling.flat + ruling.flat_direction * (ruling.length * at.v)
    }

    /// The point of space at a place of the formed mid-surface, and the outward normal there.
    pub fn formed(&self, at: SurfacePoint) -> Place {
        let ruling = self.ruling(at.w);
        self.formed_on(&ruling, at.v)
    }

    /// As [`Loft::formed`], on a ruling already at hand.
    pub fn formed_on(&self, ruling: &Ruling, v: f64) -> Place {
        let section = ruling.front + (ruling.rear - ruling.front) * v;
        let [_, _, normal] = formed_frame(ruling, &self.frame, self.length);
        Place {
            point: self.frame.point(section, self.length * v),
            normal,
        }
    }

    /// Unit vectors of the formed surface on a ruling: along it, square to it in the sheet, outward.
    pub fn formed_axes(&self, w: f64) -> [Vector3; 3] {
        formed_frame(&self.ruling(w), &self.frame, self.length)
    }

    /// The place of the surface that a point of the flat comes to.
    ///
    /// A point beyond the first or last ruling takes that ruling.
    pub fn locate(&self, point: FlatPoint) -> SurfacePoint {
        let off = |i: usize| {
            let (start, direction) = self.borders[i];
            direction.perp(&(point - start))
        };
        // Rulings do not cross inside the sheet, so the borders stand in order. The search goes outwards
        // from the datum and stops at the first border beyond the point: on the flat of a wide cone a
        // border further on has swung by more than half a turn and would name the wrong side.
        let (home, _) = self.patch_at(self.datum);
        let last = self.patches.len() - 1;
        let i = if off(home) < 0.0 {
            (0..home).rev().find(|&k| off(k) >= 0.0).unwrap_or(0)
        } else {
            (home..last).find(|&k| off(k + 1) < 0.0).unwrap_or(last)
        };
        let patch = &self.patches[i];
        let s = patch.parameter_at(point, self.length);
        let w = i as f64 + s / patch.shape.span();
        let ruling = patch.ruling(s, self.length);
        SurfacePoint {
            w,
            v: (point - ruling.flat).dot(&ruling.flat_direction) / ruling.length,
        }
    }

    /// The place where the surface has a given section coordinate square to `drill`, at a fraction `v`.
    ///
    /// `drill` is a direction in the section plane (unit vector), `across` the coordinate to its
    /// right (mm) and the nearest surface on the side that `drill` points to is taken.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OffThePlate`] where no point of the wrapper has that coordinate.
    pub fn under_drill(
        &self,
        drill: Vector2,
        across: f64,
        v: f64,
    ) -> Result<SurfacePoint, DevelopError> {
        let right = Vector2::new(drill.y, -drill.x);
        let mut best: Option<(f64, f64)> = None;
        for (i, patch) in self.patches.iter().enumerate() {
            for s in parameters_at(&patch.shape, right, across, v) {
                let (front, rear, _) = patch.shape.section(s);
                let section = front + (rear - front) * v;
                let height = section.coords.dot(&drill);
                if best.is_none_or(|(h, _)| height > h) {
                    best = Some((height, i as f64 + s / patch.shape.span()));
                }
            }
        }
        best.map(|(_, w)| SurfacePoint { w, v })
            .ok_or(DevelopError::OffThePlate {
                along_mm: v * self.length,
                across_mm: across,
            })
    }

    /// The place at a given length along one section's mid-sheet line from its start (mm).
    pub fn at_section_length(&self, end: SectionEnd, length: f64) -> f64 {
        let mut rest = length;
        for (i, patch) in self.patches.iter().enumerate() {
            let own = section_length(&patch.shape, end);
            if rest <= own && own > 0.0 {
                return i as f64 + rest / own;
            }
            rest -= own;
        }
        self.w_end()
    }

    /// Half-angle check of the skin: greatest inclination of the normal to the section planes (rad).
    pub fn greatest_inclination(&self) -> f64 {
        let mut greatest: f64 = 0.0;
        for i in 0..=4 * self.patches.len() {
            let [_, _, normal] = self.formed_axes(i as f64 / 4.0);
            let off = normal.dot(&self.frame.axis).abs();
            greatest = greatest.max(geom::math::asin(off.min(1.0)));
        }
        greatest
    }

    /// The section of mid-sheet at a fraction of the rulings: a chain again, because tangents are parallel.
    pub fn section_at(&self, v: f64) -> Chain {
        let between = |a: Point2, b: Point2| a + (b - a) * v;
        Chain::from_segments(self.patches.iter().map(|patch| match patch.shape {
            PatchShape::Plane { front, rear, .. } => {
                Segment::line(between(front.0, rear.0), between(front.1, rear.1))
            }
            PatchShape::Cone {
                front,
                rear,
                from,
                to,
                ..
            } => Segment::Arc(Arc {
                centre: between(front.centre, rear.centre),
                radius: front.radius + (rear.radius - front.radius) * v,
                start_angle: from - (to - from).signum() * geom::math::FRAC_PI_2,
                sweep: to - from,
            }),
        }))
    }

    /// Section point at a surface place, in section coordinates.
    pub fn section_point(&self, at: SurfacePoint) -> Point2 {
        let ruling = self.ruling(at.w);
        ruling.front + (ruling.rear - ruling.front) * at.v
    }

    /// Fraction of the rulings at which a plane of constant axis coordinate stands.
    pub fn v_at(&self, point: BodyPoint) -> f64 {
        (point - self.frame.origin).dot(&self.frame.axis) / self.length
    }
}

/// Parameters of a patch at which right · section(s, v) = across.
fn parameters_at(shape: &PatchShape, right: Vector2, across: f64, v: f64) -> Vec<f64> {
    match shape {
        PatchShape::Plane { front, rear, .. } => {
            let a = (front.0 + (rear.0 - front.0) * v).coords.dot(&right);
            let b = (front.1 + (rear.1 - front.1) * v).coords.dot(&right);
            let s = if a == b {
                f64::NAN
            } else {
                (across - a) / (b - a)
            };
            ((-1e-12..=1.0 + 1e-12).contains(&s))
                .then_some(s.clamp(0.0, 1.0))
                .into_iter()
                .collect()
        }
        PatchShape::Cone {
            front,
            rear,
            from,
            to,
            ..
        } => {
            let centre = (front.centre + (rear.centre - front.centre) * v)
                .coords
                .dot(&right);
            let radius = front.radius + (rear.radius - front.radius) * v;
            let side = (to - from).signum();
            let cosine = (across - centre) / radius;
            if cosine.is_nan() || cosine.abs() > 1.0 {
                return Vec::new();
            }
            // The spoke stands at heading − side·90°.
            let towards = atan2(right.y, right.x);
            [1.0, -1.0]
                .into_iter()
                .map(|branch| towards + branch * acos(cosine) + side * geom::math::FRAC_PI_2)
                .map(|heading| {
                    let middle = (from + to) / 2.0;
                    (middle + wrap_angle(heading - middle) - from) * side
                })
                .filter(|s| (-1e-12..=shape.span() + 1e-12).contains(s))
                .collect()
        }
    }
}

fn section_length(shape: &PatchShape, end: SectionEnd) -> f64 {
    match (shape, end) {
        (PatchShape::Plane { front, .. }, SectionEnd::Front) => (front.1 - front.0).norm(),
        (PatchShape::Plane { rear, .. }, SectionEnd::Rear) => (rear.1 - rear.0).norm(),
        (PatchShape::Cone { front, .. }, SectionEnd::Front) => front.radius * shape.span(),
        (PatchShape::Cone { rear, .. }, SectionEnd::Rear) => rear.radius * shape.span(),
    }
}

/// The ruling at which half of both sections is passed: the middle of a symmetrical wrapper.
pub(crate) fn datum_ruling(shapes: &[PatchShape], front_length: f64, rear_length: f64) -> f64 {
    let half = (front_length + rear_length) / 2.0;
    let mut before = 0.0;
    for (i, shape) in shapes.iter().enumerate() {
        let own =
            section_length(shape, SectionEnd::Front) + section_length(shape, SectionEnd::Rear);
        if before + own >= half && own > 0.0 {
            return i as f64 + (half - before) / own;
        }
        before += own;
    }
    shapes.len() as f64
}

/// Moves the neutral line of a tight bend inwards by the bend rule of the metal.
///
/// The same shift serves both ends, so that the rulings keep their length; the tighter end decides.
fn shift_neutral_line(shape: &mut PatchShape, thickness: f64, rule: BendRule) {
    if let PatchShape::Cone {
        front,
        rear,
        neutral_shift,
        ..
    } = shape
    {
        let inside = front.radius.min(rear.radius) - thickness / 2.0;
        // At an apex there is no bend to allow for.
        if inside > 0.0 {
            *neutral_shift = inside + thickness / 2.0 - rule.neutral_radius(inside, thickness);
        }
    }
}
