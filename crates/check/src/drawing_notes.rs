//! What there is to say of the drawing itself, before any plate.

use crate::tolerance::OPEN_RUN_MM;
use crate::whereabouts::Whereabouts;
use artwork::{Allowance, Artwork, DrawingUnit, JoinTolerance, JoinedArtwork, OpenChain};
use body::{Finding, FindingPlace, Severity};
use geom::Point2;

/// Places of one kind that are listed one by one; of more only their number is said.
const LISTED: usize = 20;

/// Runs that enclose nothing that are held against the plates; more than this is hatching.
const RUNS_LOOKED_AT: usize = 400;

/// A finding about the drawing itself.
pub(crate) fn about(
    rule: &'static str,
    severity: Severity,
    path: &str,
    (found, limit): (f64, f64),
    sentence: String,
) -> Finding {
    Finding {
        path: path.to_owned(),
        rule,
        severity,
        found,
        limit,
        at: FindingPlace::default(),
        sentence,
    }
}

/// A place on the drawing in words.
pub(crate) fn on_sheet(p: Point2) -> String {
    format!("({:.2}, {:.2}) on the drawing", p.x, p.y)
}

/// Collects what there is to say of a drawing.
pub(crate) struct DrawingNotes<'a> {
    artwork: &'a Artwork,
    joined: &'a JoinedArtwork,
    tolerance: JoinTolerance,
    lost: Vec<Finding>,
}

impl<'a> DrawingNotes<'a> {
    pub(crate) fn new(
        artwork: &'a Artwork,
        joined: &'a JoinedArtwork,
        tolerance: JoinTolerance,
    ) -> Self {
        Self {
            artwork,
            joined,
            tolerance,
            lost: Vec::new(),
        }
    }

    /// Puts down that an outline falls apart or vanishes when the allowance is taken off.
    pub(crate) fn lost_to_the_etch(&mut self, plate: &str, place: Point2, growth: f64) {
        self.lost.push(about(
            "lost-to-the-etch",
            Severity::Error,
            plate,
            (0.0, 2.0 * growth),
            format!(
                "{plate}: the outline at {} does not stay whole when the etch takes {growth:.3} mm off every edge",
                on_sheet(place)
            ),
        ));
    }

    /// All of it.
    pub(crate) fn findings(self, places: &Whereabouts<'_>) -> Vec<Finding> {
        let mut notes = Vec::new();
        notes.extend(self.unit());
        notes.extend(self.allowance());
        notes.extend(self.names_not_found());
        notes.extend(self.not_read());
        notes.extend(self.set_aside());
        notes.extend(self.crossings(places));
        notes.extend(self.gaps(places));
        notes.extend(self.drawn_again(places));
        notes.extend(self.details_outside());
        notes.extend(self.open_runs());
        notes.extend(self.lost);
        notes
    }

    fn unit(&self) -> Option<Finding> {
        match self.artwork.units {
            DrawingUnit::Named(_) | DrawingUnit::Stated(_) => None,
            DrawingUnit::NotNamed => Some(about(
                "unit-not-named",
                Severity::Note,
                "$INSUNITS",
                (0.0, 0.0),
                "the drawing names no unit; it was read as millimetres".to_owned(),
            )),
            DrawingUnit::Guessed(unit) => Some(about(
                "unit-guessed",
                Severity::Warning,
                "width",
                (0.0, 0.0),
                format!(
                    "the drawing gives its size in no unit of length; it was read in {unit}. Give the unit in its \
                     side file, or width and height in mm in the drawing"
                ),
            )),
        }
    }

    fn allowance(&self) -> Option<Finding> {
        (self.artwork.allowance == Allowance::Unknown).then(|| {
            about(
                "allowance-unknown",
                Severity::Note,
                "drawing",
                (0.0, 0.0),
                "nobody says whether the etch allowance is on the drawing; edges were taken to be drawn where metal \
                 is to end. Say so in the drawing's side file: allowance = \"applied\" or \"left to the etcher\""
                    .to_owned(),
            )
        })
    }

    fn names_not_found(&self) -> Vec<Finding> {
        let all = self.artwork.unused_names.iter();
        all.map(|name| {
            about(
                "name-not-found",
                Severity::Warning,
                "side file",
                (0.0, 0.0),
                format!("the side file names {name:?}, which nothing on the drawing bears"),
            )
        })
        .collect()
    }

    fn not_read(&self) -> Vec<Finding> {
        let all = self.artwork.not_read.iter();
        all.map(|left| {
            let verb = if left.count == 1 { "was" } else { "were" };
            about(
                "not-read",
                Severity::Note,
                &format!("layer {}", left.layer),
                (0.0, 0.0),
                format!(
                    "{} {} on layer {} {verb} not read",
                    left.count, left.kind, left.layer
                ),
            )
        })
        .collect()
    }

    fn set_aside(&self) -> Option<Finding> {
        if self.joined.set_aside.is_empty() {
            return None;
        }
        let kinds: Vec<String> = self
            .joined
            .set_aside
            .iter()
            .map(|(role, count)| format!("{} ({count})", role.word()))
            .collect();
        Some(about(
            "no-part-of-a-plate",
            Severity::Note,
            "drawing",
            (0.0, 0.0),
            format!(
                "lines that are part of no plate were left out: {}",
                kinds.join(", ")
            ),
        ))
    }

    fn crossings(&self, places: &Whereabouts<'_>) -> Vec<Finding> {
        listed(&self.joined.crossings, |(at, layer)| {
            let own = about(
                "crosses-itself",
                Severity::Error,
                &format!("layer {layer}"),
                (0.0, 0.0),
                format!("an outline crosses itself at {}", on_sheet(*at)),
            );
            places.at_home(own, *at)
        })
    }

    fn gaps(&self, places: &Whereabouts<'_>) -> Vec<Finding> {
        listed(&self.joined.gaps, |gap| {
            let own = about(
                "open-gap",
                Severity::Warning,
                &format!("layer {}", gap.layer),
                (gap.size, self.tolerance.together),
                format!(
                    "an outline is open by {:.3} mm at {}; it was joined",
                    gap.size,
                    on_sheet(gap.at)
                ),
            );
            places.at_home(own, gap.at)
        })
    }

    fn drawn_again(&self, places: &Whereabouts<'_>) -> Vec<Finding> {
        listed(&self.joined.duplicates, |(at, layer)| {
            let own = about(
                "drawn-again",
                Severity::Note,
                &format!("layer {layer}"),
                (0.0, 0.0),
                format!(
                    "what is drawn at {} lies on the same drawn before, and was left out",
                    on_sheet(*at)
                ),
            );
            places.at_home(own, *at)
        })
    }

    fn details_outside(&self) -> Vec<Finding> {
        listed(&self.joined.details_outside, |detail| {
            about(
                "detail-off-plate",
                Severity::Warning,
                &format!("layer {}", detail.layer),
                (0.0, 0.0),
                format!(
                    "what is drawn at {} ({}) lies on no plate",
                    on_sheet(detail.outline.segments()[0].start()),
                    detail.role.word()
                ),
            )
        })
    }

    fn open_runs(&self) -> Vec<Finding> {
        let long: Vec<&OpenChain> = self
            .joined
            .open
            .iter()
            .filter(|run| run.length() >= OPEN_RUN_MM)
            .collect();
        let looked_at = &long[..long.len().min(RUNS_LOOKED_AT)];
        let (on_plates, stray): (Vec<&OpenChain>, Vec<&OpenChain>) =
            looked_at.iter().partition(|run| self.is_on_a_plate(run));
        let mut findings = listed(&stray, |run| {
            about(
                "open-run",
                Severity::Warning,
                &format!("layer {}", run.layer),
                (run.length(), OPEN_RUN_MM),
                format!(
                    "lines of {:.1} mm in all at {} enclose nothing and lie on no plate",
                    run.length(),
                    on_sheet(run.segments[0].start())
                ),
            )
        });
        findings.extend(listed(&on_plates, |run| {
            about(
                "line-on-plate",
                Severity::Note,
                &format!("layer {}", run.layer),
                (run.length(), OPEN_RUN_MM),
                format!(
                    "lines of {:.1} mm in all at {} enclose nothing; they were taken for marks on the plate",
                    run.length(),
                    on_sheet(run.segments[0].start())
                ),
            )
        }));
        if long.len() > looked_at.len() {
            findings.push(about(
                "open-run",
                Severity::Warning,
                "drawing",
                (0.0, OPEN_RUN_MM),
                format!(
                    "{} more runs of lines enclose nothing",
                    long.len() - looked_at.len()
                ),
            ));
        }
        findings
    }

    fn is_on_a_plate(&self, run: &OpenChain) -> bool {
        let (start, middle) = (run.segments[0].start(), run.segments[0].point_at(0.5));
        self.joined.shapes.iter().any(|shape| {
            let (low, high) = shape.outline.bounds();
            let near = |p: Point2| {
                low.x - 0.1 <= p.x
                    && p.x <= high.x + 0.1
                    && low.y - 0.1 <= p.y
                    && p.y <= high.y + 0.1
            };
            (near(middle) && shape.outline.contains(middle))
                || (near(start) && shape.outline.nearest(start).1 < 0.1)
        })
    }
}

/// A finding for each of some things; of the rest their number, in the words of the last listed.
fn listed<T>(all: &[T], finding: impl Fn(&T) -> Finding) -> Vec<Finding> {
    let mut findings: Vec<Finding> = all.iter().take(LISTED).map(finding).collect();
    if all.len() > LISTED
        && let Some(last) = findings.last_mut()
    {
        last.sentence = format!(
            "{}; and {} more places like it",
            last.sentence,
            all.len() - LISTED
        );
    }
    findings
}
