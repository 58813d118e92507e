//! A drawing made elsewhere, read from DXF: curves in millimetres, texts, and a tally of the rest.

use crate::ArtworkError;
use crate::labels::{Label, plain_text};
use crate::scan::{Left, Scan, scan};
use dxf::entities::{Entity, EntityType};
use geom::math::{PI, atan2, sin_cos};
use geom::{Arc, Point2, Segment, Vector2};
use std::collections::BTreeMap;

/// The most curves (and insertions of blocks) that a drawing may have, blocks written out.
pub const MAX_CURVES: usize = 500_000;

/// The least rise of an arc over its chord (drawing units) that is drawn as an arc.
const LEAST_RISE: f64 = 1e-7;

/// The deepest nesting of blocks that is read; drawings nest two or three deep.
const MAX_DEPTH: usize = 16;

/// A curve of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnCurve {
    /// Its run (mm).
    pub segment: Segment,
    /// Its layer.
    pub layer: String,
}

/// Entities of a kind that is not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotRead {
    /// Kind in the words of the file: `SPLINE`.
    pub kind: String,
    /// Its layer.
    pub layer: String,
    /// How many there are, blocks written out.
    pub count: usize,
}

/// The unit that a drawing says it is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrawingUnit {
    /// The drawing names its unit.
    Named(&'static str),
    /// It names none; it is read as millimetres.
    NotNamed,
}

/// A drawing made elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Artwork {
    /// Its unit.
    pub units: DrawingUnit,
    /// Millimetres in a drawing unit.
    pub scale_to_mm: f64,
    /// Lines and arcs, blocks written out.
    pub pieces: Vec<DrawnCurve>,
    /// Texts.
    pub labels: Vec<Label>,
    /// What was not read, by kind and layer.
    pub not_read: Vec<NotRead>,
    /// True if its texts were read as Windows code page 1252, because they are no UTF-8.
    pub code_page_1252: bool,
}

/// Reads a text DXF, any release.
///
/// Read are LINE, ARC, CIRCLE, LWPOLYLINE and POLYLINE with bulges, TEXT and MTEXT, and INSERT of
/// blocks at one scale all ways; everything else is tallied in [`Artwork::not_read`].
///
/// # Errors
///
/// [`ArtworkError`] for a file that is too large, binary, no DXF, cut short, in a unit out of
/// reason, with numbers that are none, or with blocks within themselves.
pub fn read_dxf(bytes: &[u8]) -> Result<Artwork, ArtworkError> {
    let scan = scan(bytes)?;
    let (units, scale_to_mm) = unit(scan.units)?;
    let drawing = load(&scan)?;
    let mut reader = Reader {
        blocks: drawing
            .blocks()
            .map(|b| (b.name.to_uppercase(), b))
            .collect(),
        scan: &scan,
        within: Vec::new(),
        insertions: 0,
        pieces: Vec::new(),
        labels: Vec::new(),
        left: Left::new(),
    };
    reader.leave_all("", "0");
    for entity in drawing.entities() {
        reader.entity(entity, &Similarity::scaling(scale_to_mm), "0")?;
    }
    Ok(Artwork {
        units,
        scale_to_mm,
        pieces: reader.pieces,
        labels: reader.labels,
        not_read: reader
            .left
            .into_iter()
            .map(|((kind, layer), count)| NotRead { kind, layer, count })
            .collect(),
        code_page_1252: scan.code_page,
    })
}

/// The unit of $INSUNITS and the millimetres in it.
fn unit(code: Option<i64>) -> Result<(DrawingUnit, f64), ArtworkError> {
    let named = |word, mm| Ok((DrawingUnit::Named(word), mm));
    let refused = |unit, code| Err(ArtworkError::Unit { unit, code });
    match code {
        None | Some(0) => Ok((DrawingUnit::NotNamed, 1.0)),
        Some(1) => named("inches", 25.4),
        Some(2) => named("feet", 304.8),
        Some(4) => named("millimetres", 1.0),
        Some(5) => named("centimetres", 10.0),
        Some(6) => named("metres", 1000.0),
        Some(8) => named("millionths of an inch", 25.4e-6),
        Some(9) => named("thousandths of an inch", 0.0254),
        Some(10) => named("yards", 914.4),
        Some(13) => named("microns", 1e-3),
        Some(14) => named("decimetres", 100.0),
        Some(code @ 3) => refused("miles", code),
        Some(code @ 7) => refused("kilometres", code),
        Some(code @ (11 | 12)) => refused("atomic lengths", code),
        Some(code @ (15..=20)) => refused("a length of geography or astronomy", code),
        Some(code @ (21..=24)) => refused("a survey unit", code),
        Some(code) => refused("not one that the format knows", code),
    }
}

/// Hands the looked-over drawing to the reading library and holds its tally against ours.
fn load(scan: &Scan) -> Result<dxf::Drawing, ArtworkError> {
    let unreadable = |reason: String| ArtworkError::Unreadable { reason };
    let mut bytes = scan.kept.as_bytes();
    // Everything handed on was looked over; the guard is against what was not thought of.
    let loaded = std::panic::catch_unwind(move || dxf::Drawing::load(&mut bytes));
    let drawing = loaded
        .map_err(|_| unreadable("the reader gave up on it".to_owned()))?
        .map_err(|cause| unreadable(cause.to_string()))?;
    let entities = || {
        drawing
            .entities()
            .chain(drawing.blocks().flat_map(|b| &b.entities))
    };
    let vertices: usize = entities()
        .map(|entity| match &entity.specific {
            EntityType::Polyline(line) => line.vertices().count(),
            _ => 0,
        })
        .sum();
    let count = entities().count();
    if (count, vertices) != (scan.count, scan.vertices) {
        return Err(unreadable(format!(
            "{count} of {} entities and {vertices} of {} vertices came through",
            scan.count, scan.vertices
        )));
    }
    Ok(drawing)
}

/// A map of the plane that keeps shapes: turned, mirrored or not, scaled and moved.
#[derive(Clone, Copy, Debug)]
struct Similarity {
    x_axis: Vector2,
    /// 1, or −1 for a mirrored map.
    hand: f64,
    origin: Point2,
}

impl Similarity {
    fn scaling(scale: f64) -> Self {
        Self {
            x_axis: Vector2::new(scale, 0.0),
            hand: 1.0,
            origin: Point2::origin(),
        }
    }

    fn direction(&self, v: Vector2) -> Vector2 {
        let y_axis = Vector2::new(-self.x_axis.y, self.x_axis.x) * self.hand;
        self.x_axis * v.x + y_axis * v.y
    }

    fn point(&self, p: Point2) -> Point2 {
        self.origin + self.direction(p.coords)
    }

    /// The map that does `inner` first.
    fn after(&self, inner: &Self) -> Self {
        Self {
            x_axis: self.direction(inner.x_axis),
            hand: self.hand * inner.hand,
            origin: self.point(inner.origin),
        }
    }

    /// A plane seen from below, where `normal` points down.
    fn of_normal(normal_z: f64) -> Self {
        let mut own = Self::scaling(1.0);
        if normal_z < 0.0 {
            own.x_axis = Vector2::new(-1.0, 0.0);
            own.hand = -1.0;
        }
        own
    }

    fn segment(&self, segment: &Segment) -> Segment {
        match segment {
            Segment::Line { start, end } => Segment::line(self.point(*start), self.point(*end)),
            Segment::Arc(arc) => {
                let (s, c) = sin_cos(arc.start_angle);
                let spoke = self.direction(Vector2::new(c, s));
                Segment::Arc(Arc {
                    centre: self.point(arc.centre),
                    radius: arc.radius * self.x_axis.norm(),
                    start_angle: atan2(spoke.y, spoke.x),
                    sweep: arc.sweep * self.hand,
                })
            }
        }
    }
}

struct Reader<'a> {
    blocks: BTreeMap<String, &'a dxf::Block>,
    scan: &'a Scan,
    /// Blocks being written out, outermost first.
    within: Vec<String>,
    insertions: usize,
    pieces: Vec<DrawnCurve>,
    labels: Vec<Label>,
    left: Left,
}

impl Reader<'_> {
    fn leave(&mut self, kind: &str, layer: &str) {
        *self
            .left
            .entry((kind.to_owned(), layer.to_owned()))
            .or_insert(0) += 1;
    }

    /// Tallies what the first look left out of a block, once for each insertion.
    fn leave_all(&mut self, block: &str, layer: &str) {
        for ((kind, own), count) in self.scan.left.get(block).into_iter().flatten() {
            let layer = if own == "0" { layer } else { own };
            *self
                .left
                .entry((kind.clone(), layer.to_owned()))
                .or_insert(0) += count;
        }
    }

    fn draw(
        &mut self,
        map: &Similarity,
        segment: &Segment,
        layer: &str,
    ) -> Result<(), ArtworkError> {
        if self.pieces.len() >= MAX_CURVES {
            return Err(ArtworkError::TooMany { limit: MAX_CURVES });
        }
        self.pieces.push(DrawnCurve {
            segment: map.segment(segment),
            layer: layer.to_owned(),
        });
        Ok(())
    }

    fn entity(
        &mut self,
        entity: &Entity,
        map: &Similarity,
        outer: &str,
    ) -> Result<(), ArtworkError> {
        let own = entity.common.layer.as_str();
        let layer = if own == "0" || own.is_empty() {
            outer
        } else {
            own
        };
        let kind = kind_of(&entity.specific);
        let Some(plane) = plane_of(&entity.specific) else {
            self.leave(&format!("{kind} out of the drawing plane"), layer);
            return Ok(());
        };
        let map = map.after(&plane);
        match &entity.specific {
            EntityType::Insert(insert) => return self.insert(insert, &map, layer),
            EntityType::Text(text) => self.label(&map, &text.value, &text.location, layer),
            EntityType::MText(text) => {
                let whole = text.extended_text.concat() + &text.text;
                self.label(&map, &whole, &text.insertion_point, layer);
            }
            specific => match curves(specific) {
                Ok(segments) => {
                    for segment in &segments {
                        self.draw(&map, segment, layer)?;
                    }
                }
                Err(why) => self.leave(&format!("{kind} {why}"), layer),
            },
        }
        Ok(())
    }

    fn label(&mut self, map: &Similarity, text: &str, at: &dxf::Point, layer: &str) {
        self.labels.push(Label {
            text: plain_text(text),
            at: map.point(Point2::new(at.x, at.y)),
            layer: layer.to_owned(),
        });
    }

    fn insert(
        &mut self,
        insert: &dxf::entities::Insert,
        map: &Similarity,
        layer: &str,
    ) -> Result<(), ArtworkError> {
        let name = insert.name.to_uppercase();
        let Some(&block) = self.blocks.get(&name) else {
            self.leave("INSERT of a block that is not there", layer);
            return Ok(());
        };
        let (sx, sy) = (insert.x_scale_factor, insert.y_scale_factor);
        if sx == 0.0 || (sx.abs() - sy.abs()).abs() > 1e-9 * sx.abs() {
            self.leave("INSERT at unequal scales", layer);
            return Ok(());
        }
        if self.within.contains(&name) {
            return Err(ArtworkError::BlockInItself {
                name: insert.name.clone(),
            });
        }
        if self.within.len() >= MAX_DEPTH {
            return Err(ArtworkError::BlocksTooDeep {
                name: insert.name.clone(),
                limit: MAX_DEPTH,
            });
        }
        self.within.push(name.clone());
        let (s, c) = sin_cos(insert.rotation * PI / 180.0);
        let (columns, rows) = (insert.column_count.max(1), insert.row_count.max(1));
        for row in 0..rows {
            for column in 0..columns {
                self.insertions += 1;
                if self.insertions > MAX_CURVES {
                    return Err(ArtworkError::TooMany { limit: MAX_CURVES });
                }
                let (x, y) = (
                    f64::from(column) * insert.column_spacing,
                    f64::from(row) * insert.row_spacing,
                );
                let step = Vector2::new(c * x - s * y, s * x + c * y);
                let mut own = Similarity {
                    x_axis: Vector2::new(c, s) * sx,
                    hand: (sx * sy).signum(),
                    origin: Point2::new(insert.location.x, insert.location.y) + step,
                };
                let base = own.direction(Vector2::new(block.base_point.x, block.base_point.y));
                own.origin -= base;
                let whole = map.after(&own);
                self.leave_all(&name, layer);
                for entity in &block.entities {
                    self.entity(entity, &whole, layer)?;
                }
            }
        }
        self.within.pop();
        Ok(())
    }
}

fn kind_of(specific: &EntityType) -> &'static str {
    match specific {
        EntityType::Line(_) => "LINE",
        EntityType::Arc(_) => "ARC",
        EntityType::Circle(_) => "CIRCLE",
        EntityType::LwPolyline(_) => "LWPOLYLINE",
        EntityType::Polyline(_) => "POLYLINE",
        EntityType::Text(_) => "TEXT",
        EntityType::MText(_) => "MTEXT",
        EntityType::Insert(_) => "INSERT",
        _ => "entity",
    }
}

/// The plane that an entity's own coordinates are in; `None` if it is tilted.
fn plane_of(specific: &EntityType) -> Option<Similarity> {
    let normal = match specific {
        EntityType::Arc(arc) => &arc.normal,
        EntityType::Circle(circle) => &circle.normal,
        EntityType::LwPolyline(line) => &line.extrusion_direction,
        EntityType::Polyline(line) => &line.normal,
        EntityType::Text(text) => &text.normal,
        EntityType::Insert(insert) => &insert.extrusion_direction,
        // Ends of lines and places of running text are in the drawing's own coordinates.
        _ => return Some(Similarity::scaling(1.0)),
    };
    let upright = normal.x.abs() <= 1e-9 && normal.y.abs() <= 1e-9 && normal.z != 0.0;
    upright.then(|| Similarity::of_normal(normal.z))
}

/// Curves of an entity in its own plane, or why there are none.
fn curves(specific: &EntityType) -> Result<Vec<Segment>, &'static str> {
    let flat = |p: &dxf::Point| Point2::new(p.x, p.y);
    match specific {
        EntityType::Line(line) => {
            if (line.p1.z - line.p2.z).abs() > 1e-6 {
                return Err("out of the drawing plane");
            }
            Ok(vec![Segment::line(flat(&line.p1), flat(&line.p2))])
        }
        EntityType::Circle(circle) if circle.radius > 0.0 => {
            Ok(vec![Segment::circle(flat(&circle.center), circle.radius)])
        }
        EntityType::Arc(arc) if arc.radius > 0.0 => {
            let turn = (arc.end_angle - arc.start_angle).rem_euclid(360.0);
            let turn = if turn == 0.0 { 360.0 } else { turn };
            Ok(vec![Segment::Arc(Arc {
                centre: flat(&arc.center),
                radius: arc.radius,
                start_angle: arc.start_angle * PI / 180.0,
                sweep: turn * PI / 180.0,
            })])
        }
        EntityType::Circle(_) | EntityType::Arc(_) => Err("without size"),
        EntityType::LwPolyline(line) => {
            let vertices = line
                .vertices
                .iter()
                .map(|v| (Point2::new(v.x, v.y), v.bulge));
            Ok(joined(&vertices.collect::<Vec<_>>(), line.is_closed()))
        }
        EntityType::Polyline(line) => {
            if line.is_3d_polygon_mesh() || line.is_polyface_mesh() {
                return Err("that is a mesh");
            }
            let vertices: Vec<_> = line
                .vertices()
                .filter(|v| !v.is_spline_frame_control_point())
                .map(|v| (flat(&v.location), v.bulge, v.location.z))
                .collect();
            if vertices
                .windows(2)
                .any(|pair| (pair[0].2 - pair[1].2).abs() > 1e-6)
            {
                return Err("out of the drawing plane");
            }
            let vertices: Vec<_> = vertices.iter().map(|v| (v.0, v.1)).collect();
            Ok(joined(&vertices, line.is_closed()))
        }
        _ => Err("of a kind that is not read"),
    }
}

/// Sides between vertices with bulges.
fn joined(vertices: &[(Point2, f64)], closed: bool) -> Vec<Segment> {
    let n = vertices.len();
    let sides = if closed { n } else { n.saturating_sub(1) };
    (0..sides)
        .map(|i| (vertices[i].0, vertices[(i + 1) % n].0, vertices[i].1))
        .filter(|(a, b, _)| (b - a).norm() > 0.0)
        .map(|(a, b, bulge)| {
            // A side that rises less than this from its chord is a line; its centre would be lost to rounding.
            let straight = bulge.abs() * (b - a).norm() / 2.0 < LEAST_RISE;
            Segment::from_bulge(a, b, if straight { 0.0 } else { bulge })
        })
        .collect()
}
