//! The flat of a plate as a drawing.

use crate::fit::{SmoothCurve, fit_smooth, greatest_distance, merged};
use crate::{ArtworkError, FlatError};
use body::{Curve, EdgeLengths, Face, Hole, Mark, Plate, Purpose, Region, Rivet};
use develop::{DevelopError, Loft, Trace};
use geom::tolerance::COINCIDENT_MM;
use geom::{Chain, FlatPoint, GeomError, Outline, Segment};

/// Lines and arcs of a drawing keep within this of the plate's own curves (mm).
///
/// A tenth of the thousandth of a millimetre that files are held to.
const FIT_MM: f64 = 1e-4;

/// Lengths and areas of the drawing agree with the plate's own within this share.
const MEASURE_SHARE: f64 = 3e-7;

/// Times that the tolerance is quartered to reach [`MEASURE_SHARE`].
const REFINEMENTS: usize = 6;

/// Points at which each smooth piece of a curve is held against its lines and arcs.
const PROBES: usize = 96;

/// The flat of a plate in lines and true arcs (mm), seen from its outside face.
///
/// Holds: the outline is closed and runs in the plate's order; every end of an edge is a vertex of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatDrawing {
    /// The plate's name.
    pub plate: String,
    /// Its name on a sheet.
    pub title: String,
    /// The sub-assembly it belongs to.
    pub assembly: String,
    /// Alloy and temper.
    pub metal: String,
    /// Thickness of the sheet as bought (mm).
    pub thickness: f64,
    /// Inner and outer face of the plain metal, outward from mid-sheet (mm).
    pub plain: (f64, f64),
    /// The outline, anticlockwise.
    pub outline: Outline,
    /// For each segment of the outline the edge that it belongs to.
    pub edge_of: Vec<usize>,
    /// The sides in order.
    pub edges: Vec<FlatEdge>,
    /// Openings.
    pub holes: Vec<FlatHole>,
    /// Places of other depth.
    pub regions: Vec<FlatRegion>,
    /// Rivet heads.
    pub rivets: Vec<Rivet>,
    /// Centre lines and places of neighbours.
    pub marks: Vec<Mark>,
    /// Named points.
    pub points: Vec<(String, FlatPoint)>,
    /// Corners of the least upright rectangle round the outline.
    pub bounds: (FlatPoint, FlatPoint),
    /// Measured greatest distance between the plate's curves and the lines and arcs drawn (mm).
    pub fit_error: f64,
}

/// A side of a plate on its drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatEdge {
    /// The edge's name.
    pub name: String,
    /// Length of the lines and arcs drawn (mm).
    pub fitted: f64,
    /// Length of the edge itself on the flat (mm).
    pub flat: f64,
    /// Length of the edge on the formed neutral surface (mm).
    pub formed: f64,
}

/// An opening on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatHole {
    /// What it is for.
    pub feature: String,
    /// Its cut, anticlockwise.
    pub outline: Outline,
    /// Centre.
    pub centre: FlatPoint,
    /// Diameter (mm) of a round hole, measured square to the drill.
    pub diameter: Option<f64>,
    /// Radius (mm) of the cut about its centre, if it is a circle on the flat.
    pub round: Option<f64>,
}

/// A place of other depth on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatRegion {
    /// What it is.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// The face that the etch is on, or that stands proud.
    pub face: Face,
    /// Inner face of the metal here, outward from mid-sheet (mm).
    pub z_low: f64,
    /// Outer face of the metal here, outward from mid-sheet (mm).
    pub z_high: f64,
    /// Its border, anticlockwise.
    pub outline: Outline,
}

impl FlatDrawing {
    /// Draws the flat of a plate.
    ///
    /// # Accuracy
    ///
    /// Lines and arcs of the plate are kept; other curves are fitted within 1e-4 mm, and closer
    /// where lengths and areas would else be out by more than 3e-7 of themselves.
    ///
    /// # Errors
    ///
    /// [`ArtworkError::Flat`]: a bore that runs off the plate, a boundary that does not close, or an
    /// accuracy that cannot be reached.
    pub fn of(plate: &Plate) -> Result<Self, ArtworkError> {
        let lengths = plate.edge_lengths().map_err(|cause| FlatError::Develop {
            plate: plate.id.clone(),
            cause,
        })?;
        let fitter = Fitter { plate };
        let mut fit_error: f64 = 0.0;
        let (edges, fitted) = fitter.edges(&lengths)?;
        let mut segments = Vec::new();
        let mut edge_of = Vec::new();
        for (i, run) in fitted.into_iter().enumerate() {
            fit_error = fit_error.max(run.error);
            edge_of.extend(run.segments.iter().map(|_| i));
            segments.extend(run.segments);
        }
        let outline = fitter.closed(segments, "outline")?;
        let mut holes = Vec::with_capacity(plate.holes.len());
        for hole in &plate.holes {
            let (drawn, error) = fitter.hole(hole)?;
            fit_error = fit_error.max(error);
            holes.push(drawn);
        }
        let mut regions = Vec::with_capacity(plate.regions.len());
        for region in &plate.regions {
            let (drawn, error) = fitter.region(region)?;
            fit_error = fit_error.max(error);
            regions.push(drawn);
        }
        Ok(Self {
            plate: plate.id.clone(),
            title: plate.title.clone(),
            assembly: plate.assembly.to_owned(),
            metal: plate.sheet.metal.clone(),
            thickness: plate.sheet.stock_thickness,
            plain: (plate.sheet.z_low, plate.sheet.z_high),
            bounds: outline.bounds(),
            outline,
            edge_of,
            edges,
            holes,
            regions,
            rivets: plate.rivets.clone(),
            marks: plate.marks.clone(),
            points: plate.points.clone(),
            fit_error,
        })
    }

    /// Area of metal in plan (mm²), openings taken out.
    pub fn area(&self) -> f64 {
        self.outline.area()
            - self
                .holes
                .iter()
                .map(|hole| hole.outline.area())
                .sum::<f64>()
    }

    /// Segments of one edge, by its place in [`FlatDrawing::edges`].
    pub fn edge_segments(&self, edge: usize) -> impl Iterator<Item = &Segment> + '_ {
        self.outline
            .segments()
            .iter()
            .zip(&self.edge_of)
            .filter(move |(_, of)| **of == edge)
            .map(|(segment, _)| segment)
    }
}

/// Lines and arcs laid to a run of curves.
struct Run {
    segments: Vec<Segment>,
    /// Greatest distance from the curves (mm).
    error: f64,
}

struct Fitter<'a> {
    plate: &'a Plate,
}

impl Fitter<'_> {
    fn develop(&self, cause: DevelopError) -> FlatError {
        FlatError::Develop {
            plate: self.plate.id.clone(),
            cause,
        }
    }

    fn closed(&self, segments: Vec<Segment>, boundary: &str) -> Result<Outline, FlatError> {
        let fail = |cause| FlatError::Boundary {
            plate: self.plate.id.clone(),
            boundary: boundary.to_owned(),
            cause,
        };
        let gap = segments
            .windows(2)
            .map(|pair| (pair[0].end(), (pair[1].start() - pair[0].end()).norm()))
            .find(|(_, gap)| *gap > CLOSED_MM);
        if let Some((at, gap_mm)) = gap {
            return Err(fail(GeomError::Open { gap_mm, at }));
        }
        Outline::from_chain(&Chain::from_segments(segments)).map_err(fail)
    }

    /// Smooth pieces of a curve, in order of travel.
    fn pieces<'c>(&'c self, curve: &'c Curve) -> Result<Vec<SmoothCurve<'c>>, FlatError> {
        match (curve, self.plate.forming.loft()) {
            (Curve::Flat(segment), _) => {
                Ok(vec![SmoothCurve::new(0.0, 1.0, |t| segment.point_at(t))])
            }
            (Curve::Surface(trace), Some(loft)) => {
                let breaks = trace.breaks(loft).map_err(|cause| self.develop(cause))?;
                Ok(breaks
                    .windows(2)
                    .map(|piece| smooth_piece(trace, loft, piece[0], piece[1]))
                    .collect())
            }
            (Curve::Surface(_), None) => unreachable!("a trace lies on a rolled plate"),
        }
    }

    /// Lines and arcs within `tolerance` (mm) of one curve.
    fn run(&self, curve: &Curve, tolerance: f64, boundary: &str) -> Result<Run, FlatError> {
        if let Curve::Flat(segment) = curve {
            return Ok(Run {
                segments: vec![*segment],
                error: 0.0,
            });
        }
        let pieces = self.pieces(curve)?;
        let laid: Vec<Vec<Segment>> = pieces
            .iter()
            .map(|piece| fit_smooth(piece, tolerance))
            .collect::<Option<_>>()
            .ok_or_else(|| FlatError::NotSmooth {
                plate: self.plate.id.clone(),
                boundary: boundary.to_owned(),
                limit_mm: tolerance,
            })?;
        let segments = merged(&laid.concat());
        let probes: Vec<FlatPoint> = pieces.iter().flat_map(|p| p.sampled(PROBES)).collect();
        let error = if segments.is_empty() {
            0.0
        } else {
            greatest_distance(&probes, &segments)
        };
        Ok(Run { segments, error })
    }

    /// Tries ever finer tolerances until `miss` (a share) of a run is small enough.
    fn refined<T>(
        &self,
        boundary: &str,
        mut lay: impl FnMut(f64) -> Result<(T, f64), FlatError>,
    ) -> Result<T, FlatError> {
        let mut tolerance = FIT_MM;
        let mut miss = f64::INFINITY;
        for _ in 0..REFINEMENTS {
            let (run, share) = lay(tolerance)?;
            if share <= MEASURE_SHARE {
                return Ok(run);
            }
            miss = share;
            tolerance /= 4.0;
        }
        Err(FlatError::Measure {
            plate: self.plate.id.clone(),
            boundary: boundary.to_owned(),
            share: miss,
            limit: MEASURE_SHARE,
        })
    }

    /// The sides of the plate, each as long as the edge that it draws.
    fn edges(&self, lengths: &[EdgeLengths]) -> Result<(Vec<FlatEdge>, Vec<Run>), FlatError> {
        // The plate's area as well as each side's length decides how fine the fit must be.
        self.refined("outline", |tolerance| {
            let mut edges = Vec::new();
            let mut runs = Vec::new();
            let mut area_miss = 0.0;
            let mut area = 0.0;
            for (edge, exact) in self.plate.outline.iter().zip(lengths) {
                let run = self.refined(&edge.name, |finer| {
                    let run = self.run(&edge.curve, tolerance.min(finer), &edge.name)?;
                    let length: f64 = run.segments.iter().map(Segment::length).sum();
                    let share = (length - exact.flat).abs() / exact.flat.max(COINCIDENT_MM);
                    Ok((run, if length == 0.0 { 0.0 } else { share }))
                })?;
                let (drawn, own) = (self.area_left(&run.segments), self.exact_area(&edge.curve)?);
                area += own;
                area_miss += drawn - own;
                edges.push(FlatEdge {
                    name: edge.name.clone(),
                    fitted: run.segments.iter().map(Segment::length).sum(),
                    flat: exact.flat,
                    formed: exact.formed,
                });
                runs.push(run);
            }
            Ok(((edges, runs), area_miss.abs() / area.abs()))
        })
    }

    /// ∫x dy along lines and arcs (mm²).
    fn area_left(&self, segments: &[Segment]) -> f64 {
        segments
            .iter()
            .map(|segment| {
                let (a, b) = (segment.start(), segment.end());
                let chord = (a.x + b.x) / 2.0 * (b.y - a.y);
                match segment {
                    Segment::Line { .. } => chord,
                    Segment::Arc(arc) => {
                        let lens = arc.sweep - geom::math::sin(arc.sweep);
                        chord + arc.radius * arc.radius * lens / 2.0
                    }
                }
            })
            .sum()
    }

    /// ∫x dy along a curve of the plate (mm²).
    fn exact_area(&self, curve: &Curve) -> Result<f64, FlatError> {
        if let Curve::Flat(segment) = curve {
            return Ok(self.area_left(std::slice::from_ref(segment)));
        }
        Ok(self.pieces(curve)?.iter().map(SmoothCurve::area_left).sum())
    }

    /// A closed run of curves as an outline, and its measured error (mm).
    fn boundary(&self, curves: &[Curve], name: &str) -> Result<(Outline, f64), FlatError> {
        let mut exact = 0.0;
        for curve in curves {
            exact += self.exact_area(curve)?;
        }
        self.refined(name, |tolerance| {
            let mut segments = Vec::new();
            let mut error: f64 = 0.0;
            for curve in curves {
                let run = self.run(curve, tolerance, name)?;
                error = error.max(run.error);
                segments.extend(run.segments);
            }
            let outline = self.closed(segments, name)?;
            let share = (outline.area() - exact).abs() / exact.abs();
            Ok(((outline, error), share))
        })
    }

    fn hole(&self, hole: &Hole) -> Result<(FlatHole, f64), FlatError> {
        let drawn = |outline, round| FlatHole {
            feature: hole.feature.clone(),
            outline,
            centre: hole.centre,
            diameter: hole.diameter,
            round,
        };
        if hole.diameter.is_some()
            && let Some((radius, error)) = self.circle(hole)?
        {
            let outline = Outline::circle(hole.centre, radius);
            return Ok((drawn(outline, Some(radius)), error));
        }
        let (outline, error) = self.boundary(&hole.boundary, &hole.feature)?;
        Ok((drawn(outline, None), error))
    }

    /// Radius of the circle about the hole's centre that has the area of the cut, and its greatest
    /// distance from the cut (mm), if that is within the tolerance of the fit.
    fn circle(&self, hole: &Hole) -> Result<Option<(f64, f64)>, FlatError> {
        let mut radii = Vec::new();
        for curve in &hole.boundary {
            for piece in self.pieces(curve)? {
                radii.extend(
                    piece
                        .sampled(PROBES)
                        .iter()
                        .map(|p| (p - hole.centre).norm()),
                );
            }
        }
        let low = radii.iter().copied().fold(f64::INFINITY, f64::min);
        let high = radii.iter().copied().fold(0.0, f64::max);
        // Looked at before the area, which takes much longer.
        if high - low > 2.0 * FIT_MM {
            return Ok(None);
        }
        let mut area = 0.0;
        for curve in &hole.boundary {
            area += self.exact_area(curve)?;
        }
        let radius = (area / geom::math::PI).sqrt();
        let error = (high - radius).max(radius - low);
        Ok((error <= FIT_MM).then_some((radius, error)))
    }

    fn region(&self, region: &Region) -> Result<(FlatRegion, f64), FlatError> {
        let (outline, error) = self.boundary(&region.boundary, &region.name)?;
        let drawn = FlatRegion {
            name: region.name.clone(),
            purpose: region.purpose,
            face: region.face,
            z_low: region.z_low,
            z_high: region.z_high,
            outline,
        };
        Ok((drawn, error))
    }
}

/// Neighbouring curves of a boundary meet within this (mm); a file shows six decimals.
const CLOSED_MM: f64 = 1e-6;

/// The part of a trace between two borders, kept on the patch that it lies on.
fn smooth_piece<'c>(trace: &'c Trace, loft: &'c Loft, from: f64, to: f64) -> SmoothCurve<'c> {
    let patch = trace
        .at(loft, (from + to) / 2.0)
        .map_or(0.0, |at| at.w.floor().min(loft.w_end() - 1.0));
    let top = (patch + 1.0) * (1.0 - f64::EPSILON);
    SmoothCurve::new(from, to, move |t| {
        // A bore may leave the plate between the places that were looked at; such a point fits
        // no arc, and the fit says so.
        let Ok(mut at) = trace.at(loft, t) else {
            return FlatPoint::new(f64::NAN, f64::NAN);
        };
        if !matches!(trace, Trace::Ruling { .. }) {
            at.w = at.w.clamp(patch, top);
        }
        loft.flat(at)
    })
}
