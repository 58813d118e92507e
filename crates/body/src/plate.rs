//! A plate: a region of flat sheet and the way it is formed.

use crate::BodyError;
use develop::{BendRule, DevelopError, Forming, LoopMeasure, Trace};
use geom::{BodyPoint, FlatPoint, Outline, Segment};

/// The metal of a plate and where it lies about mid-sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Alloy and temper, as in the model file: `brass half-hard`.
    pub metal: String,
    /// Thickness of the sheet as bought (mm).
    pub stock_thickness: f64,
    /// Inner face of the plain metal, outward from the mid-surface (mm); negative.
    pub z_low: f64,
    /// Outer face of the plain metal, outward from the mid-surface (mm).
    pub z_high: f64,
    /// Where the neutral line of tight bends lies.
    pub bend_rule: BendRule,
}

impl Sheet {
    /// Sheet used at its full thickness (mm).
    pub fn plain(metal: &str, thickness: f64) -> Self {
        Self {
            metal: metal.to_owned(),
            stock_thickness: thickness,
            z_low: -thickness / 2.0,
            z_high: thickness / 2.0,
            bend_rule: BendRule::default(),
        }
    }

    /// Sheet half-etched from outside to a base, what is left proud (bands) standing on it (mm).
    ///
    /// The base is the metal that bends, so the mid-surface is the middle of the base.
    pub fn half_etched(metal: &str, stock: f64, base: f64) -> Self {
        Self {
            stock_thickness: stock,
            ..Self::plain(metal, base)
        }
    }

    /// Thickness of the plain metal (mm): of the base, where the sheet is half-etched.
    pub fn thickness(&self) -> f64 {
        self.z_high - self.z_low
    }

    /// Height of metal left at the full thickness of a half-etched sheet (mm).
    pub fn proud_height(&self) -> f64 {
        self.stock_thickness - self.thickness()
    }
}

/// A curve of a plate's boundary.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// A line or arc on the flat.
    Flat(Segment),
    /// A curve on the loft of a rolled plate.
    Surface(Trace),
}

/// A named side of a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// `front`, `rear`, `seam-left`, `seam-right`, or the neighbour it meets.
    pub name: String,
    /// Its run, outline anticlockwise on the flat.
    pub curve: Curve,
}

/// An opening right through a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// What it is for: `dome`, `handrail-left-1`; its point on the flat is named `hole:<feature>`.
    pub feature: String,
    /// Centre on the flat.
    pub centre: FlatPoint,
    /// Diameter (mm) of a round hole, measured square to the drill; `None` for a cut-out.
    pub diameter: Option<f64>,
    /// The cut: one closed run of curves, anticlockwise on the flat.
    pub boundary: Vec<Curve>,
}

/// Which face of a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// The face that is seen on the finished engine.
    Outside,
    /// The face towards the inside of the body.
    Inside,
}

impl Face {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Outside => "outside",
            Self::Inside => "inside",
        }
    }
}

/// What a place of other depth is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// A boiler band left proud by half-etching round it.
    Band,
    /// A groove to fold along.
    Fold,
    /// A half-etched centre-line tick.
    Mark,
    /// A half-etched outline or surface.
    HalfEtch,
}

impl Purpose {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Band => "band",
            Self::Fold => "fold",
            Self::Mark => "mark",
            Self::HalfEtch => "half-etch",
        }
    }
}

/// A place of other depth than the plain sheet.
///
/// Regions of a plate do not overlap one another or a hole; they may share the plate's own edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// What it is: `band-1`, `centre-line-front`.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// The face that the etch is on, or that stands proud.
    pub face: Face,
    /// Inner face of the metal here, outward from the mid-surface (mm).
    pub z_low: f64,
    /// Outer face of the metal here, outward from the mid-surface (mm).
    pub z_high: f64,
    /// Closed run of curves, anticlockwise on the flat.
    pub boundary: Vec<Curve>,
}

/// A half-etched dot on the inside face that a rivet head is punched out of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RivetDot {
    /// Diameter (mm), wide enough for the punch's point.
    pub diameter: f64,
    /// Depth of the etch (mm).
    pub depth: f64,
}

/// A rivet head on the outside face.
#[derive(Clone, Debug, PartialEq)]
pub struct Rivet {
    /// Centre on the flat.
    pub centre: FlatPoint,
    /// Diameter of the head (mm).
    pub head_diameter: f64,
    /// Height of the head, a spherical cap (mm).
    pub head_height: f64,
    /// The dot on the inside that it is punched out of; `None` for a head left proud by the etch.
    pub dot: Option<RivetDot>,
    /// The row it belongs to.
    pub row: String,
}

/// A line to be seen on the flat only: a centre line or the place of a neighbour.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it marks.
    pub name: String,
    /// One end on the flat.
    pub from: FlatPoint,
    /// Other end on the flat.
    pub to: FlatPoint,
}

/// A plate of the body, in both its states.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Kebab-case name by assembly: `boiler-wrapper`, `tank-side-left`.
    pub id: String,
    /// The sub-assembly it belongs to: `boiler`.
    pub assembly: &'static str,
    /// Its name on a sheet: `Boiler wrapper`.
    pub title: String,
    /// Its metal.
    pub sheet: Sheet,
    /// The map from flat to space.
    pub forming: Forming,
    /// Its sides in order, anticlockwise on the flat seen from outside.
    pub outline: Vec<Edge>,
    /// Openings.
    pub holes: Vec<Hole>,
    /// Places of other depth.
    pub regions: Vec<Region>,
    /// Rivet heads.
    pub rivets: Vec<Rivet>,
    /// Lines drawn on the flat.
    pub marks: Vec<Mark>,
    /// Named points of the flat: `front-crown`, `rear-left-foot`.
    pub points: Vec<(String, FlatPoint)>,
}

/// Length of an edge in both states.
#[derive(Clone, Debug, PartialEq)]
pub struct EdgeLengths {
    /// The edge's name.
    pub name: String,
    /// On the flat (mm), from flat positions alone.
    pub flat: f64,
    /// On the formed neutral surface (mm), from positions in space alone.
    pub formed: f64,
}

/// What one closed boundary encloses.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Enclosed {
    /// On the flat (mm²).
    pub flat_area: f64,
    /// On the formed surface, by quadrature in space.
    pub formed: LoopMeasure,
}

impl Plate {
    /// Point of the flat on a boundary curve, `t` from 0 to 1.
    ///
    /// # Errors
    ///
    /// [`DevelopError::OffThePlate`] for a bore that runs off the wrapper.
    pub fn flat_point(&self, curve: &Curve, t: f64) -> Result<FlatPoint, DevelopError> {
        match (curve, self.forming.loft()) {
            (Curve::Flat(segment), _) => Ok(segment.point_at(t)),
            (Curve::Surface(trace), Some(loft)) => trace.flat_point(loft, t),
            (Curve::Surface(_), None) => unreachable!("a trace lies on a rolled plate"),
        }
    }

    /// Lengths of all edges, flat and formed.
    ///
    /// # Errors
    ///
    /// As [`Plate::flat_point`].
    pub fn edge_lengths(&self) -> Result<Vec<EdgeLengths>, DevelopError> {
        self.outline
            .iter()
            .map(|edge| {
                let (flat, formed) = match (&edge.curve, self.forming.loft()) {
                    (Curve::Surface(trace), Some(loft)) => {
                        (trace.flat_length(loft)?, trace.formed_length(loft)?)
                    }
                    (curve, _) => {
                        let flat = |t| self.flat_point(curve, t).unwrap_or(FlatPoint::origin());
                        (
                            geom::chord_length(0.0, 1.0, |t| {
                                let p = flat(t);
                                BodyPoint::new(p.x, p.y, 0.0)
                            }),
                            geom::chord_length(0.0, 1.0, |t| self.forming.place(flat(t)).point),
                        )
                    }
                };
                Ok(EdgeLengths {
                    name: edge.name.clone(),
                    flat,
                    formed,
                })
            })
            .collect()
    }

    /// What a closed run of curves encloses, anticlockwise positive.
    ///
    /// # Errors
    ///
    /// As [`Plate::flat_point`].
    pub fn enclosed<'a>(
        &self,
        boundary: impl IntoIterator<Item = &'a Curve>,
    ) -> Result<Enclosed, DevelopError> {
        let mut sum = Enclosed::default();
        for curve in boundary {
            let (flat, formed) = self.enclosed_by(curve)?;
            sum.flat_area += flat;
            sum.formed += formed;
        }
        Ok(sum)
    }

    /// Area of the flat, holes taken out (mm²).
    ///
    /// # Errors
    ///
    /// As [`Plate::flat_point`].
    pub fn flat_area(&self) -> Result<f64, DevelopError> {
        let mut area = 0.0;
        for edge in &self.outline {
            area += self.flat_area_left_of(&edge.curve)?;
        }
        for curve in self.holes.iter().flat_map(|hole| &hole.boundary) {
            area -= self.flat_area_left_of(curve)?;
        }
        Ok(area)
    }

    /// ∮x dy along a curve of the flat.
    fn flat_area_left_of(&self, curve: &Curve) -> Result<f64, DevelopError> {
        match (curve, self.forming.loft()) {
            (Curve::Flat(segment), _) => Ok(area_left_of(segment)),
            (Curve::Surface(trace), Some(loft)) => Ok(trace
                .breaks(loft)?
                .windows(2)
                .map(|piece| {
                    let at = |t| {
                        let p = trace.flat_point(loft, t).unwrap_or(FlatPoint::origin());
                        (p.y, p.x)
                    };
                    geom::line_integral(piece[0], piece[1], at)
                })
                .sum()),
            (Curve::Surface(_), None) => unreachable!("a trace lies on a rolled plate"),
        }
    }

    fn enclosed_by(&self, curve: &Curve) -> Result<(f64, LoopMeasure), DevelopError> {
        let area = self.flat_area_left_of(curve)?;
        let measure = match (curve, self.forming.loft()) {
            (Curve::Flat(segment), Some(loft)) => loft.measure_segment(segment),
            (Curve::Surface(trace), Some(loft)) => loft.measure_trace(trace)?,
            (_, None) => LoopMeasure {
                neutral_area: area,
                mid_area: area,
                bend: 0.0,
            },
        };
        Ok((area, measure))
    }

    /// Areas and bend of the whole plate, holes taken out.
    ///
    /// # Errors
    ///
    /// As [`Plate::flat_point`].
    pub fn whole(&self) -> Result<Enclosed, DevelopError> {
        let mut sum = self.enclosed(self.outline.iter().map(|edge| &edge.curve))?;
        for hole in &self.holes {
            let cut = self.enclosed(&hole.boundary)?;
            sum.flat_area -= cut.flat_area;
            sum.formed.neutral_area -= cut.formed.neutral_area;
            sum.formed.mid_area -= cut.formed.mid_area;
            sum.formed.bend -= cut.formed.bend;
        }
        Ok(sum)
    }

    /// Volume of metal (mm³), regions and rivet heads (if `with_rivets`) included.
    ///
    /// # Errors
    ///
    /// As [`Plate::flat_point`].
    pub fn expected_volume(&self, with_rivets: bool) -> Result<f64, DevelopError> {
        let mut volume = self
            .whole()?
            .formed
            .volume(self.sheet.z_low, self.sheet.z_high);
        for region in &self.regions {
            let part = self.enclosed(&region.boundary)?.formed;
            volume += part.volume(region.z_low, region.z_high)
                - part.volume(self.sheet.z_low, self.sheet.z_high);
        }
        if with_rivets {
            volume += self.rivets.iter().map(Rivet::volume).sum::<f64>();
        }
        Ok(volume)
    }

    /// The named point of the flat.
    ///
    /// # Errors
    ///
    /// [`BodyError::NoSuchPoint`] if the plate has none of that name.
    pub fn point(&self, name: &str) -> Result<FlatPoint, BodyError> {
        self.points
            .iter()
            .find(|(own, _)| own == name)
            .map(|(_, point)| *point)
            .ok_or_else(|| BodyError::NoSuchPoint {
                plate: self.id.clone(),
                point: name.to_owned(),
            })
    }

    /// The edge of a name.
    pub fn edge(&self, name: &str) -> Option<&Edge> {
        self.outline.iter().find(|edge| edge.name == name)
    }

    /// The hole of a feature.
    pub fn hole(&self, feature: &str) -> Option<&Hole> {
        self.holes.iter().find(|hole| hole.feature == feature)
    }
}

impl Rivet {
    /// Diameter of the circle on the film (mm): of the dot where the head is punched.
    pub fn drawn_diameter(&self) -> f64 {
        self.dot.map_or(self.head_diameter, |dot| dot.diameter)
    }

    /// The face that its circle is etched on.
    pub fn drawn_face(&self) -> Face {
        self.dot.map_or(Face::Outside, |_| Face::Inside)
    }

    /// How it is made, the word used in files: `punched` or `raised`.
    pub fn made(&self) -> &'static str {
        self.dot.map_or("raised", |_| "punched")
    }

    /// Volume of the head (mm³): the cap πh(3a² + h²)/6 of base radius a and height h.
    pub fn volume(&self) -> f64 {
        let (a, h) = (self.head_diameter / 2.0, self.head_height);
        geom::math::PI * h * (3.0 * a * a + h * h) / 6.0
    }
}

/// ∮x dy along a line or arc, in closed form.
fn area_left_of(segment: &Segment) -> f64 {
    let (a, b) = (segment.start(), segment.end());
    let chord = (a.x + b.x) / 2.0 * (b.y - a.y);
    match segment {
        Segment::Line { .. } => chord,
        Segment::Arc(arc) => {
            chord + arc.radius * arc.radius * (arc.sweep - geom::math::sin(arc.sweep)) / 2.0
        }
    }
}

/// The curves of an outline of lines and arcs.
pub fn flat_curves(outline: &Outline) -> Vec<Curve> {
    outline.segments().iter().map(|s| Curve::Flat(*s)).collect()
}
