//! Tags and sheet edge of a drawn fret held against the plates on it.
//!
//! A drawing without tags shows plates and no fret: nothing is said of it.

use crate::DrawingWords;
use crate::drawing_notes::on_sheet;
use crate::tolerance::{READING_MM, least_border, tag_widths};
use artwork::{
    Artwork, DrawnCurve, DrawnShape, FlatDrawing, JoinTolerance, JoinedArtwork, Motion2, Role,
    centre_of, join, tight_bends,
};
use body::{Finding, FindingPlace, Plate, Purpose, Severity};
use develop::EtchProcess;
use geom::{FlatPoint, Outline, Point2, Vector2};
use std::collections::BTreeMap;

/// A tag reaches a plate if it comes this near to its outline (mm).
const TOUCH_MM: f64 = 0.06;

/// The most curves of tags, and of furniture on one layer, that are looked at: fifty sheets' worth.
const MOST_CURVES: usize = 50_000;

/// Chords of outlines that are measured from point to point (mm).
const CHORD_MM: f64 = 0.02;

/// A plate as it is drawn on the sheet.
pub(crate) struct OnSheet<'a> {
    pub(crate) plate: &'a Plate,
    pub(crate) flat: &'a FlatDrawing,
    /// From the drawing to the flat.
    pub(crate) motion: Motion2,
    pub(crate) shape: &'a DrawnShape,
}

/// Where a tag meets a plate.
struct Contact {
    /// On the flat.
    at: FlatPoint,
    /// The tag's two corners there, on the flat.
    ends: [FlatPoint; 2],
    /// Width along the plate's edge (mm).
    width: f64,
}

/// Findings about the tags of a drawn fret and about its edge.
pub(crate) fn tag_findings(
    artwork: &Artwork,
    joined: &JoinedArtwork,
    plates: &[OnSheet<'_>],
    process: &EtchProcess,
    words: &DrawingWords,
) -> Vec<Finding> {
    let mm_per_foot = words.mm_per_foot;
    let tags = closed(
        artwork.pieces.iter().filter(|own| own.role == Role::Tag),
        MOST_CURVES,
    );
    let mut findings = Vec::new();
    if !tags.is_empty() {
        for own in plates {
            let limits = tag_widths(
                mm_per_foot,
                process.least_bar.at(own.plate.sheet.stock_thickness),
            );
            findings.extend(tags_of(own, &tags, limits));
        }
    }
    if let Some(edge) = sheet_edge(artwork, joined, plates) {
        let least = least_border(mm_per_foot);
        findings.extend(
            plates
                .iter()
                .filter_map(|own| near_border(own, &edge, least)),
        );
    }
    findings
}

/// Closed outlines of curves, whatever they stand for.
fn closed<'c>(pieces: impl Iterator<Item = &'c DrawnCurve>, most: usize) -> Vec<Outline> {
    let pieces: Vec<DrawnCurve> = pieces
        .map(|own| DrawnCurve {
            role: Role::Outline,
            ..own.clone()
        })
        .collect();
    if pieces.is_empty() || pieces.len() > most {
        return Vec::new();
    }
    let joined = join(&pieces, &[], JoinTolerance::default());
    joined.map_or_else(
        |_| Vec::new(),
        |own| {
            let shapes = own.shapes.into_iter();
            shapes
                .flat_map(|shape| std::iter::once(shape.outline).chain(shape.holes))
                .chain(own.borders)
                .collect()
        },
    )
}

fn tags_of(own: &OnSheet<'_>, tags: &[Outline], limits: (f64, f64)) -> Vec<Finding> {
    let contacts: Vec<Contact> = tags.iter().filter_map(|tag| contact(own, tag)).collect();
    let mut findings = Vec::new();
    if contacts.len() < 2 {
        findings.push(found(
            own,
            "tags-too-few",
            own.plate.id.clone(),
            None,
            (contacts.len() as f64, 2.0),
            format!(
                "{} of the 2 tags that hold it in the sheet are drawn",
                contacts.len()
            ),
        ));
    }
    let bends = tight_bends(own.plate);
    for contact in &contacts {
        findings.extend(badly_placed(own, contact, &bends));
        let (least, most) = limits;
        let (width, at) = (contact.width, contact.at);
        let limit = if width < least - READING_MM {
            least
        } else if width > most + READING_MM {
            most
        } else {
            continue;
        };
        findings.push(found(
            own,
            "tag-width",
            format!("{}/{}", own.plate.id, edge_at(own, at)),
            Some(at),
            (width, limit),
            format!(
                "a tag at ({:.2}, {:.2}) of the flat is {width:.2} mm wide; {least:.2} to {most:.2} mm hold it and can be cut",
                at.x, at.y
            ),
        ));
    }
    findings
}

/// A tag on a tab, a fold line or a tight bend.
fn badly_placed(own: &OnSheet<'_>, contact: &Contact, bends: &[Outline]) -> Option<Finding> {
    let at = contact.at;
    let edge = edge_at(own, at);
    let covers = |outline: &Outline| {
        let mut points = [at, contact.ends[0], contact.ends[1]].into_iter();
        points.any(|p| outline.contains(p) || outline.nearest(p).1 < READING_MM)
    };
    let folds = own.flat.regions.iter();
    let fold = folds
        .filter(|region| region.purpose == Purpose::Fold)
        .find(|region| covers(&region.outline));
    let (rule, on, why) = if edge.starts_with("tab-") {
        (
            "tag-on-tab",
            edge.clone(),
            "its stub would hold the tab out of its slot",
        )
    } else if let Some(fold) = fold {
        (
            "tag-on-fold",
            fold.name.clone(),
            "it would be cut where the plate is weakest, and its stub would stand in the fold",
        )
    } else if bends.iter().any(covers) {
        (
            "tag-on-bend",
            edge.clone(),
            "its stub cannot be dressed off there once the plate is bent, and stiffens the bend until it is",
        )
    } else {
        return None;
    };
    let place = if rule == "tag-on-bend" {
        format!("a bend at {on}")
    } else {
        on.clone()
    };
    Some(found(
        own,
        rule,
        format!("{}/{on}", own.plate.id),
        Some(at),
        (0.0, 0.0),
        format!(
            "a tag at ({:.2}, {:.2}) of the flat stands on {place}: {why}",
            at.x, at.y
        ),
    ))
}

/// The name of the meant edge nearest to a place of the flat.
fn edge_at(own: &OnSheet<'_>, at: FlatPoint) -> String {
    let segments = own.flat.outline.segments().iter().zip(&own.flat.edge_of);
    let nearest = segments.min_by(|a, b| a.0.nearest(at).1.total_cmp(&b.0.nearest(at).1));
    nearest.map_or_else(
        || "outline".to_owned(),
        |(_, edge)| own.flat.edges[*edge].name.clone(),
    )
}

/// Where a tag meets a plate, if it does.
fn contact(own: &OnSheet<'_>, tag: &Outline) -> Option<Contact> {
    let outline = &own.shape.outline;
    let ((low, high), (tag_low, tag_high)) = (outline.bounds(), tag.bounds());
    let apart = (low.x - tag_high.x)
        .max(tag_low.x - high.x)
        .max(low.y - tag_high.y)
        .max(tag_low.y - high.y);
    let round =
        tag_low.x <= low.x && tag_low.y <= low.y && high.x <= tag_high.x && high.y <= tag_high.y;
    if apart > TOUCH_MM || round {
        return None;
    }
    let corners = tag.flattened(CHORD_MM);
    let sides = tag.segments().iter().map(|side| side.point_at(0.5));
    let probes = corners.iter().copied().chain(sides).chain([centre_of(tag)]);
    let met: Vec<Point2> = probes
        .filter_map(|p| {
            let (q, distance) = nearest_on(outline, p);
            (distance < TOUCH_MM || tag.contains(q)).then_some(q)
        })
        .collect();
    let sum: Vector2 = met.iter().map(|p| p.coords).sum();
    let (middle, along) = tangent_at(outline, Point2::from(sum / met.len().max(1) as f64));
    if met.is_empty() {
        return None;
    }
    let reach = |p: &Point2| (p - middle).dot(&along);
    let from = corners.iter().map(reach).fold(f64::INFINITY, f64::min);
    let to = corners.iter().map(reach).fold(f64::NEG_INFINITY, f64::max);
    let flat = |p: Point2| own.motion.point(p);
    Some(Contact {
        at: flat(middle + along * ((from + to) / 2.0)),
        ends: [flat(middle + along * from), flat(middle + along * to)],
        width: to - from,
    })
}

fn nearest_on(outline: &Outline, p: Point2) -> (Point2, f64) {
    let (q, _) = tangent_at(outline, p);
    (q, (q - p).norm())
}

/// The point of an outline nearest to a place, and the direction of the outline there.
fn tangent_at(outline: &Outline, p: Point2) -> (Point2, Vector2) {
    let nearest = outline.segments().iter().map(|own| (own, own.nearest(p)));
    let best = nearest.min_by(|a, b| a.1.1.total_cmp(&b.1.1));
    best.map_or((p, Vector2::x()), |(segment, (t, _))| {
        let (s, c) = geom::math::sin_cos(segment.tangent_angle_at(t));
        (segment.point_at(t), Vector2::new(c, s))
    })
}

/// The edge of the sheet: the largest outline round at least half of the plates.
fn sheet_edge(
    artwork: &Artwork,
    joined: &JoinedArtwork,
    plates: &[OnSheet<'_>],
) -> Option<Outline> {
    let mut layers: BTreeMap<&str, Vec<&DrawnCurve>> = BTreeMap::new();
    for piece in artwork
        .pieces
        .iter()
        .filter(|own| own.role == Role::Furniture)
    {
        layers.entry(&piece.layer).or_default().push(piece);
    }
    let centres: Vec<Point2> = plates
        .iter()
        .map(|own| centre_of(&own.shape.outline))
        .collect();
    let round = |outline: &Outline| {
        let within = centres.iter().filter(|p| outline.contains(**p)).count();
        !centres.is_empty() && 2 * within >= centres.len()
    };
    let wide = |pieces: &&Vec<&DrawnCurve>| {
        let ends = || {
            pieces
                .iter()
                .flat_map(|own| [own.segment.start(), own.segment.end()])
        };
        let beyond = |side: &dyn Fn(Point2) -> bool| ends().any(side);
        centres.first().is_some_and(|p| {
            beyond(&|q| q.x < p.x)
                && beyond(&|q| q.x > p.x)
                && beyond(&|q| q.y < p.y)
                && beyond(&|q| q.y > p.y)
        })
    };
    let furniture = layers.values().filter(wide);
    let outlines = furniture.flat_map(|own| closed(own.iter().copied(), MOST_CURVES));
    outlines
        .chain(joined.borders.iter().cloned())
        .filter(round)
        .max_by(|a, b| a.area().abs().total_cmp(&b.area().abs()))
}

fn near_border(own: &OnSheet<'_>, edge: &Outline, least: f64) -> Option<Finding> {
    let points = own.shape.outline.flattened(CHORD_MM);
    let measured = points.iter().map(|p| {
        let distance = edge.nearest(*p).1;
        (
            if edge.contains(*p) {
                distance
            } else {
                -distance
            },
            *p,
        )
    });
    let (distance, at) = measured.min_by(|a, b| a.0.total_cmp(&b.0))?;
    if distance >= least - READING_MM {
        return None;
    }
    let flat = own.motion.point(at);
    Some(found(
        own,
        "plate-near-border",
        format!("{}/{}", own.plate.id, edge_at(own, flat)),
        Some(flat),
        (distance, least),
        format!(
            "at {} it stands {distance:.2} mm from the edge of the sheet, which needs a border of {least:.2} mm",
            on_sheet(at)
        ),
    ))
}

fn found(
    own: &OnSheet<'_>,
    rule: &'static str,
    path: String,
    flat: Option<FlatPoint>,
    (found, limit): (f64, f64),
    words: String,
) -> Finding {
    Finding {
        path,
        rule,
        severity: Severity::Warning,
        found,
        limit,
        at: FindingPlace {
            plate: Some(own.plate.id.clone()),
            flat,
            body: flat.map(|p| own.plate.forming.place(p).point),
        },
        sentence: format!("{}: {words}", own.plate.id),
    }
}
