//! Makes the plate of a part folded along half-etched grooves.

use crate::error::AtKey;
use crate::wrapper::loft_panel;
use crate::{BodyError, Curve, Edge, Face, Model, Plate, Purpose, Region, Sheet};
use develop::{Folded, Forming, Loft, LoftFrame, SurfacePoint, Trace};
use geom::math::sin_cos;
use geom::{Point2, Segment, Vector2};

/// What a folded plate is called and made of, and the legs that it is folded into.
pub(crate) struct FoldedPlateOf<'a> {
    pub(crate) id: String,
    pub(crate) assembly: &'static str,
    pub(crate) title: String,
    pub(crate) sheet: Sheet,
    /// Where the section planes stand; folds run along its axis.
    pub(crate) frame: LoftFrame,
    /// Start of the section on the *outside* face.
    pub(crate) start: Point2,
    /// Direction in which the section starts, the outside on its left (rad).
    pub(crate) heading: f64,
    /// Lengths of the legs on the outside face, from corner to corner (mm).
    pub(crate) legs: &'a [f64],
    /// Turns between the legs, anticlockwise positive (rad).
    pub(crate) turns: &'a [f64],
    /// Length along the folds (mm).
    pub(crate) length: f64,
    /// How far beyond the first and the last leg's edge tabs may reach (mm).
    pub(crate) reach: f64,
    /// The model's key that decides the folds.
    pub(crate) path: &'a str,
}

/// A corner of a folded plate's outline, and the name of the side that begins there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Corner<'a> {
    /// Ruling: see [`FoldedPlate::edge`] and [`FoldedPlate::foot_of`].
    pub(crate) w: f64,
    /// Distance along the folds from the first section plane (mm).
    pub(crate) along: f64,
    /// Name of the side from this corner to the next.
    pub(crate) side: &'a str,
}

/// A folded plate in the making: its loft and the grooves along its folds.
pub(crate) struct FoldedPlate {
    plate: Plate,
    loft: Loft,
    folds: Vec<Fold>,
    /// First and last edge's ruling.
    edges: (f64, f64),
}

/// The groove of a fold: its rulings and the metal left under it.
struct Fold {
    w: (f64, f64),
    face: Face,
    heights: (f64, f64),
}

impl FoldedPlateOf<'_> {
    /// Folds the plate, each groove half-etched on the inside of its fold and as wide as closes it.
    ///
    /// # Errors
    ///
    /// [`BodyError::Shape`] at the plate's key for legs that their folds leave nothing of.
    pub(crate) fn fold(self, model: &Model) -> Result<FoldedPlate, BodyError> {
        let t = self.sheet.thickness();
        let depth = model.metal.process.half_etch_depth.at(t);
        let (s, c) = sin_cos(self.heading);
        let (ahead, left) = (Vector2::new(c, s), Vector2::new(-s, c));
        let mut legs = self.legs.to_vec();
        if let Some(first) = legs.first_mut() {
            *first += self.reach;
        }
        if let Some(last) = legs.last_mut() {
            *last += self.reach;
        }
        let start = self.start - ahead * self.reach - left * self.sheet.z_high;
        let folded =
            Folded::new(start, self.heading, &legs, self.turns, t, depth).at_key(self.path)?;
        let loft = folded.loft(self.frame, self.length).at_key(self.path)?;
        let folds = self
            .turns
            .iter()
            .enumerate()
            .map(|(i, turn)| Fold {
                w: (2.0 * i as f64 + 1.0, 2.0 * i as f64 + 2.0),
                face: if *turn < 0.0 {
                    Face::Inside
                } else {
                    Face::Outside
                },
                heights: folded.web_heights(*turn),
            })
            .collect();
        // The first and the last patch are the reach longer than their legs.
        let width = |w: f64| {
            let y = |w| loft.flat(SurfacePoint { w, v: 0.0 }).y;
            y(w + 1.0) - y(w)
        };
        let end = loft.w_end();
        let edges = (self.reach / width(0.0), end - self.reach / width(end - 1.0));
        Ok(FoldedPlate {
            plate: Plate {
                id: self.id,
                assembly: self.assembly,
                title: self.title,
                sheet: self.sheet,
                forming: Forming::Rolled(Box::new(loft.clone())),
                outline: Vec::new(),
                holes: Vec::new(),
                regions: Vec::new(),
                rivets: Vec::new(),
                marks: Vec::new(),
                points: Vec::new(),
            },
            loft,
            folds,
            edges,
        })
    }
}

impl FoldedPlate {
    /// Rulings of the first and the last edge.
    pub(crate) fn edges(&self) -> (f64, f64) {
        self.edges
    }

    /// Rulings between which fold `i` bends.
    pub(crate) fn fold(&self, i: usize) -> (f64, f64) {
        self.folds[i].w
    }

    /// The whole plate; `sides` names the first edge, the end at the far section plane, the last edge and
    /// the end at the first plane.
    pub(crate) fn whole(self, sides: [&str; 4]) -> Plate {
        let ((first, last), length) = (self.edges, self.loft.axial_length());
        let corner = |w, along, side| Corner { w, along, side };
        let corners = [
            corner(first, 0.0, sides[0]),
            corner(first, length, sides[1]),
            corner(last, length, sides[2]),
            corner(last, 0.0, sides[3]),
        ];
        self.outlined(&corners, &[(0.0, length)])
    }

    /// The plate within an outline whose sides run along the folds or square to them, anticlockwise on the
    /// flat. Each fold is grooved over each of `grooved`, lengths along it (mm).
    ///
    /// Sides along the folds are straight lines of the flat, which may carry tabs.
    pub(crate) fn outlined(mut self, corners: &[Corner<'_>], grooved: &[(f64, f64)]) -> Plate {
        let length = self.loft.axial_length();
        let flat = |corner: &Corner<'_>| {
            let v = corner.along / length;
            self.loft.flat(SurfacePoint { w: corner.w, v })
        };
        let n = corners.len();
        for (i, from) in corners.iter().enumerate() {
            let to = &corners[(i + 1) % n];
            let curve = if from.along == to.along {
                Curve::Surface(Trace::Section {
                    v: from.along / length,
                    from: from.w,
                    to: to.w,
                })
            } else {
                Curve::Flat(Segment::line(flat(from), flat(to)))
            };
            self.plate.outline.push(Edge {
                name: from.side.to_owned(),
                curve,
            });
            let before = corners[(i + n - 1) % n].side;
            let name = format!("{before}-{}", from.side);
            let points = &mut self.plate.points;
            if before != from.side && points.iter().all(|(own, _)| *own != name) {
                points.push((name, flat(from)));
            }
        }
        for (i, fold) in self.folds.iter().enumerate() {
            for (k, (from, to)) in grooved.iter().enumerate() {
                let number = i * grooved.len() + k + 1;
                self.plate.regions.push(Region {
                    name: format!("fold-{number}"),
                    purpose: Purpose::Fold,
                    face: fold.face,
                    z_low: fold.heights.0,
                    z_high: fold.heights.1,
                    boundary: loft_panel(fold.w, (from / length, to / length)),
                });
            }
        }
        self.plate
    }
}
