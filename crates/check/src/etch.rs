//! What an etcher cannot make of a plate.

use artwork::{FlatDrawing, FlatHole};
use body::{Finding, FindingPlace, Plate, Rivet, Severity};
use develop::EtchProcess;
use geom::{FlatPoint, Outline, Segment};

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
    let check = Check {
        plate,
        drawing: &drawing,
        process,
        thickness: plate.sheet.stock_thickness,
    };
    let mut findings = check.openings();
    findings.extend(check.bars());
    findings.extend(check.rivets());
    findings
}

struct Check<'a> {
    plate: &'a Plate,
    drawing: &'a FlatDrawing,
    process: &'a EtchProcess,
    thickness: f64,
}

impl Check<'_> {
    fn finding(
        &self,
        rule: &'static str,
        feature: &str,
        at: FlatPoint,
        found: f64,
        limit: f64,
        sentence: String,
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

    fn openings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        for hole in &self.drawing.holes {
            let (rule, what, found, limit) = match hole.diameter {
                Some(diameter) => (
                    "least-hole",
                    "wide",
                    diameter,
                    self.process.least_hole.at(self.thickness),
                ),
                None => (
                    "least-slot",
                    "wide at most",
                    slot_width(&hole.outline),
                    self.process.least_slot.at(self.thickness),
                ),
            };
            if found < limit - ROUNDING_MM {
                findings.push(self.finding(rule, &hole.feature, hole.centre, found, limit, format!(
                    "{} is {found:.2} mm {what}; in sheet of {:.2} mm the least that etches is {limit:.2} mm",
                    hole.feature, self.thickness
                )));
            }
        }
        findings
    }

    fn bars(&self) -> Vec<Finding> {
        let limit = self.process.least_bar.at(self.thickness);
        let holes = &self.drawing.holes;
        let mut findings = Vec::new();
        let mut narrow = |one: &FlatHole, other: &str, (bar, at): (f64, FlatPoint)| {
            if bar < limit - ROUNDING_MM {
                findings.push(self.finding("least-bar", &one.feature, at, bar, limit, format!(
                    "the metal between {} and {other} is {bar:.2} mm wide; in sheet of {:.2} mm the least that \
                     etches is {limit:.2} mm",
                    one.feature, self.thickness
                )));
            }
        };
        for (i, one) in holes.iter().enumerate() {
            for other in &holes[i + 1..] {
                if boxes_within(&one.outline, &other.outline, limit) {
                    narrow(
                        one,
                        &other.feature,
                        between(&one.outline, other.outline.segments()),
                    );
                }
            }
            let nearest = self
                .drawing
                .edges
                .iter()
                .enumerate()
                .map(|(e, edge)| {
                    let segments: Vec<Segment> = self.drawing.edge_segments(e).copied().collect();
                    (between(&one.outline, &segments), edge.name.as_str())
                })
                .min_by(|a, b| a.0.0.total_cmp(&b.0.0));
            if let Some((bar, edge)) = nearest {
                narrow(one, &format!("the {edge} edge"), bar);
            }
        }
        findings
    }

    fn rivets(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut sorted: Vec<&Rivet> = self.drawing.rivets.iter().collect();
        sorted.sort_by(|a, b| {
            a.centre
                .x
                .total_cmp(&b.centre.x)
                .then(a.centre.y.total_cmp(&b.centre.y))
        });
        for (i, rivet) in sorted.iter().enumerate() {
            let half = rivet.head_diameter / 2.0;
            let clear = self.clear_of_edges(rivet.centre);
            if clear < half - ROUNDING_MM {
                findings.push(self.finding("rivet-near-edge", &rivet.row, rivet.centre, clear, half, format!(
                    "a rivet of row {} stands {clear:.2} mm from an edge; its head is {:.2} mm across",
                    rivet.row, rivet.head_diameter
                )));
            }
            for other in &sorted[i + 1..] {
                let least = half + other.head_diameter / 2.0;
                if other.centre.x - rivet.centre.x >= least {
                    break;
                }
                let apart = (other.centre - rivet.centre).norm();
                if apart < least - ROUNDING_MM {
                    findings.push(self.finding("rivets-touch", &rivet.row, rivet.centre, apart, least, format!(
                        "rivets of rows {} and {} stand {apart:.2} mm apart; their heads touch below {least:.2} mm",
                        rivet.row, other.row
                    )));
                }
            }
        }
        grouped_by_row(findings)
    }

    /// Distance to the nearest edge or opening; negative off the plate or in an opening.
    fn clear_of_edges(&self, point: FlatPoint) -> f64 {
        let off = self.drawing.outline.nearest(point).1;
        let mut clear = if self.drawing.outline.contains(point) {
            off
        } else {
            -off
        };
        for hole in &self.drawing.holes {
            let off = hole.outline.nearest(point).1;
            clear = clear.min(if hole.outline.contains(point) {
                -off
            } else {
                off
            });
        }
        clear
    }
}

/// One finding a row and rule: a row too near an edge is one fault, not forty.
fn grouped_by_row(findings: Vec<Finding>) -> Vec<Finding> {
    let mut kept: Vec<(Finding, usize)> = Vec::new();
    for finding in findings {
        match kept
            .iter_mut()
            .find(|(k, _)| k.path == finding.path && k.rule == finding.rule)
        {
            Some((first, more)) => {
                *more += 1;
                if finding.found < first.found {
                    *first = finding;
                }
            }
            None => kept.push((finding, 0)),
        }
    }
    kept.into_iter()
        .map(|(mut finding, more)| {
            if more > 0 {
                finding
                    .sentence
                    .push_str(&format!(" (and {more} more of the row)"));
            }
            finding
        })
        .collect()
}

/// Width of the rectangle of an opening's perimeter and area (mm): exact for a slot with square ends.
fn slot_width(outline: &Outline) -> f64 {
    let half = outline.perimeter() / 2.0;
    let area = outline.area().abs();
    let square = half * half - 4.0 * area;
    // Rounder than any rectangle: its width is that of a circle of its area.
    if square <= 0.0 {
        2.0 * (area / geom::math::PI).sqrt()
    } else {
        (half - square.sqrt()) / 2.0
    }
}

fn boxes_within(a: &Outline, b: &Outline, distance: f64) -> bool {
    let ((al, ah), (bl, bh)) = (a.bounds(), b.bounds());
    al.x - bh.x < distance
        && bl.x - ah.x < distance
        && al.y - bh.y < distance
        && bl.y - ah.y < distance
}

/// Least distance between an opening and other curves, and the place of it on the opening.
fn between(opening: &Outline, curves: &[Segment]) -> (f64, FlatPoint) {
    let mut best = (f64::INFINITY, FlatPoint::origin());
    let mut take = |distance: f64, at: FlatPoint| {
        if distance < best.0 {
            best = (distance, at);
        }
    };
    for segment in curves {
        for own in opening.segments() {
            let (distance, at) = nearest_pair(own, segment);
            take(distance, at);
        }
    }
    best
}

/// Least distance of two curves: from ends, centres and crossings, where it must lie.
fn nearest_pair(a: &Segment, b: &Segment) -> (f64, FlatPoint) {
    if let Some(&at) = geom::intersections(a, b).first() {
        return (0.0, at);
    }
    let mut best = (f64::INFINITY, FlatPoint::origin());
    let mut take = |p: FlatPoint, q: FlatPoint| {
        let distance = (p - q).norm();
        if distance < best.0 {
            best = (distance, p);
        }
    };
    for p in [a.start(), a.end()] {
        take(p, b.point_at(b.nearest(p).0));
    }
    for q in [b.start(), b.end()] {
        take(a.point_at(a.nearest(q).0), q);
    }
    // Inside both curves the shortest way is square to both, so it runs through an arc's centre.
    if let Segment::Arc(arc) = a {
        let q = b.point_at(b.nearest(arc.centre).0);
        take(a.point_at(a.nearest(q).0), q);
    }
    if let Segment::Arc(arc) = b {
        let p = a.point_at(a.nearest(arc.centre).0);
        take(p, b.point_at(b.nearest(p).0));
    }
    best
}
