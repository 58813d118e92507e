//! What an etcher cannot make of a plate, and what cannot be folded or riveted once etched.
//!
//! `docs/etch-rules.md` gives each rule with its figure and what it leaves alone.

mod bars;
mod clearance;
mod folds;
mod half_etch;
mod loose;
mod openings;
mod rivets;
mod walls;

use crate::tolerance::READING_MM;
use artwork::{FlatDrawing, FlatRegion};
use body::{Finding, FindingPlace, Plate, Rivet, Severity};
use develop::EtchProcess;
use geom::tolerance::COINCIDENT_MM;
use geom::{Chain, FlatPoint, Outline, Segment};

use crate::DrawnFlat;

/// Slack of comparisons with a limit that defaults stand on exactly (mm).
const ROUNDING_MM: f64 = 1e-6;

/// Findings of one plate under the rules of an etching process.
pub(crate) fn etch_findings(plate: &Plate, process: &EtchProcess) -> Vec<Finding> {
    let drawing = match FlatDrawing::of(plate) {
        Ok(drawing) => drawing,
        Err(cause) => {
            return vec![Finding {
                path: plate.id.clone(),
                rule: "no-flat",
                severity: Severity::Error,
                found: 0.0,
                limit: 0.0,
                at: FindingPlace {
                    plate: Some(plate.id.clone()),
                    ..FindingPlace::default()
                },
                sentence: format!("{} has no flat that can be drawn: {cause}", plate.id),
            }];
        }
    };
    let check = EtchCheck::of_plate(plate, &drawing, process);
    let mut findings = openings::narrow_openings(&check);
    findings.extend(bars::narrow_bars(&check));
    findings.extend(loose::loose_metal(&check));
    findings.extend(half_etch::half_etched(&check));
    findings.extend(folds::folds(&check));
    findings.extend(rivets::rivets(&check));
    findings
}

/// Findings of one plate as drawn elsewhere: its openings, the metal between them, and its half-etched places.
pub(crate) fn drawn_etch_findings(
    plate: &Plate,
    flat: &FlatDrawing,
    drawn: &DrawnFlat,
    process: &EtchProcess,
) -> Vec<Finding> {
    let Some(check) = EtchCheck::of_drawn(plate, flat, drawn, process) else {
        return Vec::new();
    };
    let mut findings = openings::narrow_openings(&check);
    findings.extend(bars::narrow_bars(&check));
    findings.extend(loose::loose_metal(&check));
    findings.extend(half_etch::half_etched(&check));
    let by_rounding = |own: &Finding| {
        let width = own.rule.starts_with("least-") || own.rule == "half-etch-width";
        width && own.limit - own.found <= READING_MM
    };
    findings.retain(|own| !by_rounding(own));
    findings
}

/// An opening of a flat.
pub(crate) struct Opening {
    name: String,
    outline: Outline,
    /// Diameter (mm) of a round hole.
    diameter: Option<f64>,
}

/// A flat with the process that it is etched by.
pub(crate) struct EtchCheck<'a> {
    plate: &'a Plate,
    process: &'a EtchProcess,
    /// Thickness of the sheet as bought (mm).
    thickness: f64,
    outline: Outline,
    /// Name of the edge of each segment of the outline.
    edge_names: Vec<String>,
    holes: Vec<Opening>,
    regions: Vec<FlatRegion>,
    rivets: Vec<Rivet>,
}

impl<'a> EtchCheck<'a> {
    fn of_plate(plate: &'a Plate, drawing: &FlatDrawing, process: &'a EtchProcess) -> Self {
        let name = |edge: &usize| drawing.edges[*edge].name.clone();
        Self {
            plate,
            process,
            thickness: plate.sheet.stock_thickness,
            outline: drawing.outline.clone(),
            edge_names: drawing.edge_of.iter().map(name).collect(),
            holes: drawing
                .holes
                .iter()
                .map(|hole| Opening {
                    name: hole.feature.clone(),
                    outline: hole.outline.clone(),
                    diameter: hole.diameter,
                })
                .collect(),
            regions: drawing.regions.clone(),
            rivets: drawing.rivets.clone(),
        }
    }

    /// A drawn plate; `None` if its outline does not close.
    fn of_drawn(
        plate: &'a Plate,
        flat: &FlatDrawing,
        drawn: &DrawnFlat,
        process: &'a EtchProcess,
    ) -> Option<Self> {
        let named = drawn.edges.iter().flat_map(|edges| {
            edges
                .iter()
                .zip(&plate.outline)
                .flat_map(|(run, edge)| run.iter().map(|own| (*own, edge.name.as_str())))
        });
        let mut pieces: Vec<(Segment, &str)> = named.collect();
        if pieces.is_empty() {
            pieces = drawn.outline.iter().map(|own| (*own, "outline")).collect();
        }
        pieces.retain(|(own, _)| own.length() > COINCIDENT_MM);
        let chain = Chain::from_segments(pieces.iter().map(|(own, _)| *own));
        let outline = Outline::from_chain(&chain).ok()?;
        let edge_names = pieces.iter().map(|(_, name)| (*name).to_owned()).collect();
        Some(Self {
            plate,
            process,
            thickness: plate.sheet.stock_thickness,
            outline,
            edge_names,
            holes: drawn
                .openings
                .iter()
                .map(|(name, outline)| Opening {
                    name: name.clone(),
                    outline: outline.clone(),
                    diameter: openings::round_diameter(outline),
                })
                .collect(),
            regions: half_etch::drawn_places(plate, flat, drawn, process),
            rivets: Vec::new(),
        })
    }

    /// Name of the edge of a piece of the outline.
    fn edge_name(&self, place: usize) -> &str {
        self.edge_names.get(place).map_or("outline", String::as_str)
    }

    /// A warning at a place of the flat.
    fn finding(
        &self,
        rule: &'static str,
        feature: &str,
        at: FlatPoint,
        (found, limit): (f64, f64),
        sentence: &str,
    ) -> Finding {
        Finding {
            path: format!("{}/{feature}", self.plate.id),
            rule,
            severity: Severity::Warning,
            found,
            limit,
            at: FindingPlace {
                plate: Some(self.plate.id.clone()),
                flat: Some(at),
                body: Some(self.plate.forming.place(at).point),
            },
            sentence: format!("{}: {sentence}", self.plate.id),
        }
    }

    /// An error at a place of the flat.
    fn error(
        &self,
        rule: &'static str,
        feature: &str,
        at: FlatPoint,
        measures: (f64, f64),
        sentence: &str,
    ) -> Finding {
        Finding {
            severity: Severity::Error,
            ..self.finding(rule, feature, at, measures, sentence)
        }
    }
}
