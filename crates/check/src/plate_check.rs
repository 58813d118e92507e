//! One drawn plate: its table of numbers, and its findings, one for each fault with its cause.

use crate::cause::Causes;
use crate::comparison::{
    ClosingDiameter, CornerComparison, EdgeComparison, ExtraOpening, HoleComparison,
    PlateComparison,
};
use crate::datum::{ClosedRun, bow};
use crate::drawn_plate::{Deviation, DrawnPlate};
use crate::openings::{HolePair, Opening, Paired, pair};
use crate::plan_length::View;
use crate::skin::{Side, is_ring, section_edges};
use crate::test_build::relay::relay;
use crate::tolerance::{
    BOWED_MM, OUTLINE_MM, PLACE_MM, READING_MM, SIZE_MM, WRAPPER_SHORT_MM, wrapper_long,
};
use crate::{CheckError, DrawingWords, DrawnFlat};
use artwork::{Naming, size_of};
use body::{Finding, FindingPlace, Severity};
use geom::math::PI;
use geom::{FlatPoint, Point2};

/// What is left unexplained of an outline may be this much more than a plain outline's tolerance (mm).
///
/// The causes are known to about this; chosen, not sourced.
const CAUSE_SLACK_MM: f64 = 0.03;

/// A drawn plate with what was found out about it.
pub(crate) struct PlateCheck<'a> {
    pub(crate) drawn: DrawnPlate<'a>,
    pub(crate) causes: Causes<'a>,
    worst: Deviation,
    unexplained: Deviation,
    openings: Paired<'a>,
    /// True if it lies by its centre line.
    on_datum: bool,
    words: &'a DrawingWords,
}

impl<'a> PlateCheck<'a> {
    /// Finds out what is different, and why.
    pub(crate) fn new(drawn: DrawnPlate<'a>, words: &'a DrawingWords) -> Result<Self, CheckError> {
        let meant = drawn.flat.outline.segments();
        let free = drawn.deviation_from(meant);
        let mut chosen = drawn;
        let mut worst = free;
        let mut causes = None;
        if free.distance > OUTLINE_MM
            && let Some(datum) = chosen.on_datum()
        {
            let known = Causes::of(&datum)?;
            let on_datum = datum.deviation_from(meant);
            // Unless a cause speaks for it, the closest lie does; a wrapper's own datum is preferred where all is one.
            if !known.is_empty() || on_datum.distance <= free.distance {
                (chosen, worst, causes) = (datum, on_datum, Some(known));
            }
        }
        let on_datum = causes.is_some();
        let causes = match causes {
            Some(known) => known,
            None => Causes::of(&chosen)?,
        };
        // What is wrong in one place must not pull the rest after it.
        let relaid = match &causes.bend {
            Some(bend) => Some(bend.motion),
            None if causes.is_empty() && !on_datum && worst.distance > OUTLINE_MM => {
                Some(most_agrees(&chosen))
            }
            None => None,
        };
        if let Some(motion) = relaid {
            chosen = chosen.moved_by(&motion);
            worst = chosen.deviation_from(meant);
        }
        let on_datum = on_datum || causes.bend.is_some();
        let unexplained = if causes.is_empty() {
            worst
        } else {
            chosen.deviation_from(&causes.outline(&chosen))
        };
        let laid = chosen.openings().iter().map(Opening::of).collect();
        let openings = pair(chosen.plate, chosen.flat, laid);
        Ok(Self {
            drawn: chosen,
            causes,
            worst,
            unexplained,
            openings,
            on_datum,
            words,
        })
    }

    /// The table of numbers and the findings.
    pub(crate) fn report(self, naming: &Naming) -> (PlateComparison, Vec<Finding>) {
        let mut findings = Vec::new();
        if self.drawn.motion.mirrored {
            let id = &self.drawn.plate.id;
            findings.push(self.finding(
                "mirrored",
                "outline",
                None,
                0.0,
                0.0,
                format!("{id} is drawn mirrored: as seen from its inside face"),
            ));
        }
        let developed = self.developed_finding();
        let length_explained = developed.is_some();
        findings.extend(developed);
        findings.extend(self.trapezium_finding());
        findings.extend(self.bend_finding());
        if !length_explained && self.causes.bend.is_none() {
            findings.extend(self.length_findings());
        }
        let length_said = findings.iter().any(|f| f.rule == "wrapper-length");
        findings.extend(self.outline_finding(length_said));
        findings.extend(self.tab_findings());
        for hole in &self.openings.pairs {
            findings.extend(self.hole_findings(hole));
        }
        findings.extend(self.missing_and_extra());
        (self.table(naming), findings)
    }

    pub(crate) fn finding(
        &self,
        rule: &'static str,
        part: &str,
        at: Option<FlatPoint>,
        found: f64,
        limit: f64,
        sentence: String,
    ) -> Finding {
        let plate = self.drawn.plate;
        Finding {
            path: format!("{}/{part}", plate.id),
            rule,
            severity: Severity::Error,
            found,
            limit,
            at: FindingPlace {
                plate: Some(plate.id.clone()),
                flat: at,
                body: at.map(|p| plate.forming.place(p).point),
            },
            sentence,
        }
    }

    fn edge_name(&self, edge: usize) -> &str {
        &self.drawn.flat.edges[edge].name
    }

    /// Drawn length of an edge and what it should be.
    fn lengths(&self, edge: usize) -> Option<(f64, f64)> {
        let part = self.drawn.runs.get(edge).copied().flatten()?;
        Some((part.length, self.drawn.flat.edges[edge].flat))
    }

    fn closings(&self) -> Vec<ClosingDiameter> {
        if !self.drawn.plate.forming.loft().is_some_and(is_ring) {
            return Vec::new();
        }
        let thickness = self.drawn.plate.sheet.thickness();
        let mut closings: Vec<ClosingDiameter> = section_edges(self.drawn.plate)
            .iter()
            .filter_map(|section| {
                let (drawn, meant) = self.lengths(section.edge)?;
                Some(ClosingDiameter {
                    edge: self.edge_name(section.edge).to_owned(),
                    drawn_mm: drawn / PI + thickness,
                    meant_mm: meant / PI + thickness,
                })
            })
            .collect();
        closings.sort_by_key(|closing| closing.edge != "front");
        closings
    }

    /// What a ring closes on, in words, or how a wrapper stands.
    fn builds_to(&self) -> String {
        let (class, scale) = (self.words.class(), self.words.scale_in_words());
        let thickness = self.drawn.plate.sheet.thickness();
        let closings = self.closings();
        if let Some((first, others)) = closings.split_first() {
            let mut sentence = format!(
                "closes on {:.2} mm instead of {:.2} ({class}, {}, {scale}, t {thickness:.2})",
                first.drawn_mm, first.meant_mm, first.edge
            );
            for other in others {
                sentence.push_str(&format!(
                    " and on {:.2} instead of {:.2} ({})",
                    other.drawn_mm, other.meant_mm, other.edge
                ));
            }
            return sentence;
        }
        let has_feet = self
            .drawn
            .flat
            .points
            .iter()
            .any(|(name, _)| name.ends_with("-foot"));
        let mut parts = Vec::new();
        for section in section_edges(self.drawn.plate) {
            if let Some((drawn, meant)) = self.lengths(section.edge)
                && (drawn - meant).abs() > READING_MM / 2.0
            {
                let each = (drawn - meant) / 2.0;
                let way = match (has_feet, each > 0.0) {
                    (true, true) => "lower",
                    (true, false) => "higher",
                    (false, true) => "too far out",
                    (false, false) => "short",
                };
                let what = if has_feet {
                    "foot would stand"
                } else {
                    "end would come"
                };
                parts.push(format!(
                    "{} edge {drawn:.2} mm long instead of {meant:.2}: each {what} {:.2} mm {way}",
                    self.edge_name(section.edge),
                    each.abs()
                ));
            }
        }
        format!("{} ({class}, {scale}, t {thickness:.2})", parts.join("; "))
    }

    /// The edge along the section that is farthest from its length: its difference and middle.
    fn worst_length(&self) -> Option<(f64, FlatPoint, usize)> {
        section_edges(self.drawn.plate)
            .iter()
            .filter_map(|section| {
                let (drawn, meant) = self.lengths(section.edge)?;
                let end = self.drawn.flat.edge_segments(section.edge).next()?.start();
                Some((drawn - meant, end, section.edge))
            })
            .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
    }

    fn developed_finding(&self) -> Option<Finding> {
        let (rule, side) = match self.causes.side? {
            Side::Outside => ("developed-on-outside", "developed on the outside"),
            Side::Inside => ("developed-on-inside", "developed on the inside"),
        };
        let (difference, at, _) = self.worst_length()?;
        let sentence = format!("{}: {}: {side}", self.drawn.plate.id, self.builds_to());
        Some(self.finding(
            rule,
            "outline",
            Some(at),
            difference,
            wrapper_long(self.words.mm_per_foot),
            sentence,
        ))
    }

    fn trapezium_finding(&self) -> Option<Finding> {
        let straightened = &self.causes.straightened;
        let greatest = straightened.iter().map(|s| s.rise).fold(0.0, f64::max);
        let ring = self.drawn.plate.forming.loft().is_some_and(is_ring);
        let has_feet = self
            .drawn
            .flat
            .points
            .iter()
            .any(|(name, _)| name.ends_with("-foot"));
        let ends = if ring {
            "seam"
        } else if has_feet {
            "feet"
        } else {
            "ends"
        };
        let mut sorted: Vec<_> = straightened.iter().collect();
        sorted.sort_by_key(|s| self.edge_name(s.edge) != "front");
        let mut parts = sorted.iter().map(|s| {
            let way = if s.back { "back" } else { "forward" };
            (self.edge_name(s.edge), way, s.rise)
        });
        let (edge, way, rise) = parts.next()?;
        let mut sentence = format!(
            "{}: drawn as a trapezium: the {edge} edge must bow {way} by {rise:.2} mm at the {ends}",
            self.drawn.plate.id
        );
        for (edge, way, rise) in parts {
            sentence.push_str(&format!(", the {edge} edge {way} by {rise:.2} mm"));
        }
        let at = self
            .drawn
            .flat
            .edge_segments(sorted[0].edge)
            .next()?
            .start();
        Some(self.finding(
            "drawn-as-trapezium",
            "outline",
            Some(at),
            greatest,
            BOWED_MM,
            sentence,
        ))
    }

    /// A wrapper that is too long or short for no cause that is known.
    fn length_findings(&self) -> Option<Finding> {
        let long = wrapper_long(self.words.mm_per_foot);
        let (difference, at, edge) = self.worst_length()?;
        // A curve drawn by chords, as a trapezium is, is short by its bow alone: that is said already.
        let bowed = self.causes.straightened.iter().any(|s| s.edge == edge);
        if bowed && difference.abs() < OUTLINE_MM {
            return None;
        }
        let (severity, limit) = if difference < -WRAPPER_SHORT_MM {
            (Severity::Error, -WRAPPER_SHORT_MM)
        } else if difference > long {
            (Severity::Warning, long)
        } else {
            return None;
        };
        let amount = if difference < 0.0 { "short" } else { "long" };
        let sentence = format!(
            "{}: {}: the {} edge is {:.2} mm too {amount}",
            self.drawn.plate.id,
            self.builds_to(),
            self.edge_name(edge),
            difference.abs()
        );
        let mut finding = self.finding(
            "wrapper-length",
            self.edge_name(edge),
            Some(at),
            difference,
            limit,
            sentence,
        );
        finding.severity = severity;
        Some(finding)
    }

    fn outline_finding(&self, length_said: bool) -> Option<Finding> {
        let explained = !self.causes.is_empty();
        let slack = if explained { CAUSE_SLACK_MM } else { 0.0 };
        let off = self.unexplained;
        // A wrapper that may be long by its tolerance stands off by half of it at each end.
        let long = if self.drawn.plate.forming.loft().is_some() {
            wrapper_long(self.words.mm_per_foot) / 2.0
        } else {
            0.0
        };
        let from_length = if length_said {
            self.worst_length()
                .map_or(0.0, |(difference, _, _)| difference.abs() / 2.0)
        } else {
            0.0
        };
        let limit = (OUTLINE_MM + slack)
            .max(long)
            .max(from_length + OUTLINE_MM * f64::from(u8::from(length_said)));
        if off.distance <= limit {
            return None;
        }
        let beside = if explained || length_said {
            "besides that, "
        } else {
            ""
        };
        let nearest = self.nearest_edge(off.at);
        Some(self.finding("outline", nearest, Some(off.at), off.distance, OUTLINE_MM, format!(
            "{}: {beside}the outline is {:.2} mm off at ({:.2}, {:.2}) of the flat, on the {nearest} edge",
            self.drawn.plate.id, off.distance, off.at.x, off.at.y
        )))
    }

    fn nearest_edge(&self, point: Point2) -> &str {
        let flat = self.drawn.flat;
        let nearest = flat
            .outline
            .segments()
            .iter()
            .zip(&flat.edge_of)
            .map(|(segment, edge)| (segment.nearest(point).1, *edge))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        nearest.map_or("outline", |(_, edge)| self.edge_name(edge))
    }

    fn hole_findings(&self, pair: &HolePair<'_>) -> Vec<Finding> {
        let mut findings = Vec::new();
        let id = &self.drawn.plate.id;
        let feature = format!("hole:{}", pair.hole.feature);
        let explained = (pair.drawn.centre - self.causes.place(pair.meant)).norm();
        let off = pair
            .off()
            .min(explained)
            .min((pair.drawn.centre - pair.hole.centre).norm());
        if let Some(view) = pair.view {
            let view = match view {
                View::Plan => "plan length",
                View::Elevation => "its height in elevation",
            };
            findings.push(self.finding(
                "placed-on-plan-length",
                &feature,
                Some(pair.meant),
                pair.off(),
                PLACE_MM,
                format!(
                    "{id}: the hole {} is placed on {view}: {:.2} mm out",
                    pair.hole.feature,
                    pair.off()
                ),
            ));
        } else if off > PLACE_MM {
            findings.push(self.finding("hole-place", &feature, Some(pair.meant), off, PLACE_MM, format!(
                "{id}: the hole {} is {off:.2} mm out: it stands at ({:.2}, {:.2}) of the flat instead of ({:.2}, {:.2})",
                pair.hole.feature, pair.drawn.centre.x, pair.drawn.centre.y, pair.meant.x, pair.meant.y
            )));
        }
        let slot = self.slot_finding(pair);
        let size_off = pair.size_off();
        if let Some(slot) = slot {
            findings.push(slot);
        } else if size_off.abs() > SIZE_MM {
            let meant = pair.drawn.size - size_off;
            let mut finding = self.finding(
                "hole-size",
                &feature,
                Some(pair.meant),
                size_off,
                SIZE_MM,
                format!(
                    "{id}: the hole {} is {:.2} mm wide instead of {meant:.2}",
                    pair.hole.feature, pair.drawn.size
                ),
            );
            finding.severity = Severity::Warning;
            findings.push(finding);
        }
        findings
    }

    fn missing_and_extra(&self) -> Vec<Finding> {
        let id = &self.drawn.plate.id;
        let missing = self.openings.missing.iter().map(|hole| {
            self.finding(
                "hole-missing",
                &format!("hole:{}", hole.feature),
                Some(hole.centre),
                0.0,
                0.0,
                format!("{id}: the hole {} is not drawn", hole.feature),
            )
        });
        let extra = self.openings.extra.first().map(|first| {
            let several = match self.openings.extra.len() {
                1 => "an opening".to_owned(),
                n => format!("{n} openings, the first"),
            };
            let verb = if self.openings.extra.len() == 1 {
                "is"
            } else {
                "are"
            };
            let mut finding = self.finding(
                "hole-not-meant",
                "outline",
                Some(first.centre),
                first.size,
                0.0,
                format!(
                    "{id}: {several} {:.2} mm wide at ({:.2}, {:.2}) of the flat, {verb} not meant",
                    first.size, first.centre.x, first.centre.y
                ),
            );
            finding.severity = Severity::Warning;
            finding
        });
        missing.chain(extra).collect()
    }

    fn table(&self, naming: &Naming) -> PlateComparison {
        let drawn = &self.drawn;
        let (told_by, name_on_drawing) = match naming {
            Naming::Label(text) => ("label", Some(text.clone())),
            Naming::Layer(layer) => ("layer", Some(layer.clone())),
            Naming::Likeness(_) => ("likeness", None),
        };
        let origin = origin_on_drawing(drawn);
        let turned = if drawn.motion.mirrored {
            drawn.motion.angle
        } else {
            -drawn.motion.angle
        };
        PlateComparison {
            plate: drawn.plate.id.clone(),
            told_by,
            name_on_drawing,
            mirrored: drawn.motion.mirrored,
            turned_deg: turned * 180.0 / PI,
            origin_on_drawing_mm: [origin.x, origin.y],
            perimeter_drawn_mm: drawn.run.length,
            perimeter_meant_mm: drawn.flat.outline.perimeter(),
            edges: (0..drawn.flat.edges.len())
                .map(|e| self.edge_row(e))
                .collect(),
            corners: self.corner_rows(),
            worst_deviation_mm: self.worst.distance,
            worst_at_mm: [self.worst.at.x, self.worst.at.y],
            unexplained_deviation_mm: self.unexplained.distance,
            holes: self.openings.pairs.iter().map(hole_row).collect(),
            missing: self
                .openings
                .missing
                .iter()
                .map(|h| h.feature.clone())
                .collect(),
            extra: self
                .openings
                .extra
                .iter()
                .map(|o| ExtraOpening {
                    at_mm: [o.centre.x, o.centre.y],
                    size_mm: o.size,
                })
                .collect(),
            closing: self.closings(),
            causes: self.causes.rules(),
            drawn_outline_mm: drawn
                .run
                .segments
                .iter()
                .flat_map(|s| {
                    let n = s.chords_within(0.01);
                    (0..n).map(move |i| s.point_at(i as f64 / n as f64))
                })
                .map(|p| [p.x, p.y])
                .collect(),
            laid: DrawnFlat::of(drawn, &self.openings, self.on_datum),
        }
    }

    fn edge_row(&self, edge: usize) -> EdgeComparison {
        let flat = self.drawn.flat;
        let meant: Vec<Point2> = flat
            .edge_segments(edge)
            .flat_map(|s| (0..=8).map(move |i| s.point_at(f64::from(i) / 8.0)))
            .collect();
        let lengths = self.lengths(edge);
        EdgeComparison {
            edge: flat.edges[edge].name.clone(),
            drawn_mm: lengths.map(|l| l.0),
            meant_mm: flat.edges[edge].flat,
            difference_mm: lengths.map(|l| l.0 - l.1),
            drawn_bow_mm: self
                .drawn
                .edge_points(edge)
                .map(|points| bow(&points).abs()),
            meant_bow_mm: bow(&meant).abs(),
        }
    }

    fn corner_rows(&self) -> Vec<CornerComparison> {
        let flat = self.drawn.flat;
        let n = flat.edges.len();
        self.drawn
            .corners
            .iter()
            .filter(|corner| corner.is_corner)
            .map(|corner| {
                let at = self.drawn.run.point_at(corner.along);
                CornerComparison {
                    between: [
                        flat.edges[(corner.edge + n - 1) % n].name.clone(),
                        flat.edges[corner.edge].name.clone(),
                    ],
                    meant_mm: [corner.meant.x, corner.meant.y],
                    drawn_mm: [at.x, at.y],
                    off_mm: (at - corner.meant).norm(),
                }
            })
            .collect()
    }
}

/// The motion after which most of a drawn plate lies where it is meant.
fn most_agrees(drawn: &DrawnPlate<'_>) -> artwork::Motion2 {
    let laid = drawn.openings().iter().map(Opening::of).collect();
    let openings = pair(drawn.plate, drawn.flat, laid);
    let meant = ClosedRun::new(drawn.flat.outline.segments().to_vec());
    relay(&drawn.run, &meant, &openings.ties())
}

fn hole_row(pair: &HolePair<'_>) -> HoleComparison {
    HoleComparison {
        feature: pair.hole.feature.clone(),
        meant_mm: [pair.meant.x, pair.meant.y],
        drawn_mm: [pair.drawn.centre.x, pair.drawn.centre.y],
        off_mm: pair.off(),
        meant_size_mm: size_of(&pair.hole.outline),
        drawn_size_mm: pair.drawn.size,
    }
}

/// Where the flat's origin stands on the drawing.
fn origin_on_drawing(drawn: &DrawnPlate<'_>) -> Point2 {
    let motion = drawn.motion;
    let (s, c) = geom::math::sin_cos(-motion.angle);
    let back = -motion.shift;
    let x = c * back.x - s * back.y;
    let y = s * back.x + c * back.y;
    Point2::new(x, if motion.mirrored { -y } else { y })
}
