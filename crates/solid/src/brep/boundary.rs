//! The closed boundaries of a plate, cut into parts of one strip and one curve each.

use super::crossing::Chords;
use super::levels::PLAIN;
use super::net::JOIN_MM;
use super::run::Run;
use super::skins::{Skins, Spot};
use body::Plate;
use develop::DevelopError;
use geom::FlatPoint;

/// What a boundary bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BoundaryKind {
    Outline,
    Hole,
    /// A region, by its number among the fields.
    Region(usize),
    /// The rim of a rivet head, by its number among the fields.
    Dome(usize),
}

/// A closed boundary, travelled with its own metal on the left.
pub(super) struct Boundary<'a> {
    pub(super) kind: BoundaryKind,
    pub(super) runs: Vec<Run<'a>>,
}

/// A part of a run inside one strip.
#[derive(Clone)]
pub(super) struct Part<'a> {
    pub(super) run: Run<'a>,
    pub(super) from: f64,
    pub(super) to: f64,
}

/// A place at which every curve through it is cut.
pub(super) struct Landmark {
    pub(super) spot: Spot,
    pub(super) flat: FlatPoint,
}

/// The boundaries of a plate: its outline, its holes travelled clockwise, its regions.
pub(super) fn boundaries(plate: &Plate) -> Vec<Boundary<'_>> {
    let run = |curve, reversed| Run::of(curve, &plate.forming, reversed);
    let outline = Boundary {
        kind: BoundaryKind::Outline,
        runs: plate
            .outline
            .iter()
            .map(|edge| run(&edge.curve, false))
            .collect(),
    };
    let holes = plate.holes.iter().map(|hole| Boundary {
        kind: BoundaryKind::Hole,
        runs: hole
            .boundary
            .iter()
            .rev()
            .map(|curve| run(curve, true))
            .collect(),
    });
    let regions = plate
        .regions
        .iter()
        .enumerate()
        .map(|(i, region)| Boundary {
            kind: BoundaryKind::Region(PLAIN + 1 + i),
            runs: region
                .boundary
                .iter()
                .map(|curve| run(curve, false))
                .collect(),
        });
    std::iter::once(outline)
        .chain(holes)
        .chain(regions)
        .collect()
}

impl Boundary<'_> {
    pub(super) fn is_dome(&self) -> bool {
        matches!(self.kind, BoundaryKind::Dome(_))
    }

    /// Least and greatest y, from samples.
    pub(super) fn span(&self) -> Result<(f64, f64), DevelopError> {
        let mut span = (f64::INFINITY, f64::NEG_INFINITY);
        for run in &self.runs {
            for spot in run.samples(32)? {
                span = (span.0.min(spot.y), span.1.max(spot.y));
            }
        }
        Ok(span)
    }

    /// Spots round the boundary, close together.
    pub(super) fn polygon(&self) -> Result<Vec<Spot>, DevelopError> {
        let mut polygon = Vec::new();
        for run in &self.runs {
            let chords = run.chords();
            polygon.extend(run.samples(chords)?.take(chords));
        }
        Ok(polygon)
    }
}

/// Cuts boundaries where they cross borders between strips, where long arcs are divided, and where a
/// corner or cut of another boundary lies on them.
pub(super) fn cut<'a>(
    skins: &Skins<'_>,
    boundaries: &[Boundary<'a>],
) -> Result<Vec<Vec<Part<'a>>>, DevelopError> {
    let own = boundaries
        .iter()
        .map(|boundary| boundary.runs.iter().map(|run| run.breaks(skins)).collect())
        .collect::<Result<Vec<Vec<Vec<f64>>>, _>>()?;
    let is_shared = boundaries
        .iter()
        .any(|boundary| matches!(boundary.kind, BoundaryKind::Region(_)));
    let landmarks = if is_shared {
        let mut marks = landmarks(skins, boundaries, &own)?;
        marks.extend(crossings(skins, boundaries)?);
        marks
    } else {
        Vec::new()
    };
    boundaries
        .iter()
        .zip(own)
        .map(|(boundary, own)| {
            let mut parts = Vec::new();
            for (run, breaks) in boundary.runs.iter().zip(own) {
                let marks: &[Landmark] = if boundary.is_dome() { &[] } else { &landmarks };
                let breaks = with_landmarks(skins, run, breaks, marks)?;
                let breaks = with_kinks(skins, run, breaks)?;
                parts.extend(breaks.windows(2).map(|pair| Part {
                    run: run.clone(),
                    from: pair[0],
                    to: pair[1],
                }));
            }
            Ok(parts)
        })
        .collect()
}

/// Places where two boundaries cross.
fn crossings(
    skins: &Skins<'_>,
    boundaries: &[Boundary<'_>],
) -> Result<Vec<Landmark>, DevelopError> {
    let mut runs = Vec::new();
    for (number, boundary) in boundaries.iter().enumerate() {
        // Rims stand clear of every other boundary.
        for run in boundary.runs.iter().filter(|_| !boundary.is_dome()) {
            runs.push((number, run, Chords::of(run)?));
        }
    }
    let mut marks = Vec::new();
    for (i, (number, run, chords)) in runs.iter().enumerate() {
        for (_, other, others) in runs[i + 1..].iter().filter(|(other, ..)| other != number) {
            for guess in chords.crossings(others) {
                marks.extend(run.meeting(other, guess).map(|spot| Landmark {
                    spot,
                    flat: skins.flat(spot),
                }));
            }
        }
    }
    Ok(marks)
}

fn landmarks(
    skins: &Skins<'_>,
    boundaries: &[Boundary<'_>],
    breaks: &[Vec<Vec<f64>>],
) -> Result<Vec<Landmark>, DevelopError> {
    let mut landmarks = Vec::new();
    for (boundary, own) in boundaries.iter().zip(breaks) {
        if boundary.is_dome() {
            continue;
        }
        for (run, breaks) in boundary.runs.iter().zip(own) {
            for t in breaks {
                let spot = run.spot(*t)?;
                let flat = skins.flat(spot);
                landmarks.push(Landmark { spot, flat });
            }
        }
    }
    Ok(landmarks)
}

/// Breaks of a run, with those at landmarks that lie on it away from any other.
fn with_landmarks(
    skins: &Skins<'_>,
    run: &Run<'_>,
    mut breaks: Vec<f64>,
    landmarks: &[Landmark],
) -> Result<Vec<f64>, DevelopError> {
    if landmarks.is_empty() {
        return Ok(breaks);
    }
    let reach = Reach::of(skins, run)?;
    for landmark in landmarks.iter().filter(|mark| reach.may_hold(mark.flat)) {
        let Some(t) = run.parameter_at(skins, landmark) else {
            continue;
        };
        let gap = breaks.iter().map(|b| (b - t).abs()).fold(1.0, f64::min);
        if gap * reach.length > 2.0 * JOIN_MM {
            breaks.push(t);
        }
    }
    breaks.sort_by(f64::total_cmp);
    Ok(breaks)
}

/// A box on the flat round a run, and about its length (mm).
struct Reach {
    low: FlatPoint,
    high: FlatPoint,
    length: f64,
}

impl Reach {
    fn of(skins: &Skins<'_>, run: &Run<'_>) -> Result<Self, DevelopError> {
        const STEPS: usize = 24;
        let points: Vec<FlatPoint> = run.samples(STEPS)?.map(|spot| skins.flat(spot)).collect();
        let length: f64 = points.windows(2).map(|p| (p[1] - p[0]).norm()).sum();
        // A curve rises over its chord by less than the chord is long.
        let margin = length / STEPS as f64 + 1e-3;
        let (mut low, mut high) = (points[0], points[0]);
        for p in &points {
            low = FlatPoint::new(low.x.min(p.x - margin), low.y.min(p.y - margin));
            high = FlatPoint::new(high.x.max(p.x + margin), high.y.max(p.y + margin));
        }
        Ok(Self { low, high, length })
    }

    fn may_hold(&self, p: FlatPoint) -> bool {
        (self.low.x..=self.high.x).contains(&p.x) && (self.low.y..=self.high.y).contains(&p.y)
    }
}

/// Breaks of a run, with those where it passes from one polynomial of its strip into the next.
fn with_kinks(
    skins: &Skins<'_>,
    run: &Run<'_>,
    mut breaks: Vec<f64>,
) -> Result<Vec<f64>, DevelopError> {
    let mut kinks = Vec::new();
    for part in breaks.windows(2) {
        let [strip, _] = run.strips(skins, part)?;
        for x in skins.kinks(strip) {
            kinks.extend(run.passes(part, *x)?);
        }
    }
    breaks.extend(kinks);
    breaks.sort_by(f64::total_cmp);
    Ok(breaks)
}
