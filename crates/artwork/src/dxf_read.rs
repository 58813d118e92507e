//! Reads DXF: entities, blocks written out, and a tally of the rest.

use crate::ArtworkError;
use crate::affine::Affine;
use crate::collected::{Collected, Standing};
use crate::drawn::{Artwork, DrawingUnit, MAX_CURVES, MAX_DEPTH};
use crate::dxf_entities::{Drawn, drawn_by, kind_of, plane_of};
use crate::dxf_scan::{Part, Scan, scan};
use crate::labels::plain_text;
use crate::role::{Mapping, Pen, Role};
use crate::side_file::SideFile;
use dxf::entities::{Entity, EntityType};
use geom::math::PI;
use geom::{Point2, Vector2};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Reads a text DXF, any release.
///
/// Read are LINE, ARC, CIRCLE, ELLIPSE, SPLINE, LWPOLYLINE and POLYLINE with bulges, TEXT and MTEXT, and
/// INSERT of blocks, also in rows and columns; everything else is tallied in [`Artwork::not_read`].
/// Ellipses and splines are followed within [`crate::READ_FIT_MM`].
///
/// # Errors
///
/// [`ArtworkError`] for a file that is too large, binary, no DXF, cut short, in a unit out of
/// reason, with numbers that are none, or with blocks within themselves.
pub fn read_dxf(bytes: &[u8]) -> Result<Artwork, ArtworkError> {
    read_dxf_beside(bytes, &SideFile::default())
}

/// Reads a text DXF with what its side file says of it.
pub(crate) fn read_dxf_beside(bytes: &[u8], side: &SideFile) -> Result<Artwork, ArtworkError> {
    let scan = scan(bytes)?;
    let (units, unit_mm) = match side.unit {
        Some((name, mm)) => (DrawingUnit::Stated(name), mm),
        None => unit(scan.units)?,
    };
    let scale_to_mm = side.model_mm(unit_mm);
    let mut reader = Reader {
        blocks: blocks(&scan)?,
        scan: &scan,
        mapping: &side.mapping,
        within: Vec::new(),
        insertions: 0,
        collected: Collected::default(),
    };
    reader.leave_all("", "0");
    let hand = if side.from_rear { -1.0 } else { 1.0 };
    let sheet = Affine::scaling(hand * scale_to_mm, scale_to_mm);
    let outer = Outer {
        layer: "0",
        pen: Pen::default(),
    };
    for part in scan.parts.iter().filter(|own| !own.is_of_blocks()) {
        for entity in load(part)?.entities() {
            reader.entity(entity, &sheet, &outer)?;
        }
    }
    Ok(Artwork {
        units,
        scale_to_mm,
        code_page_1252: scan.code_page,
        ..reader.collected.into_artwork(side)
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

/// A block of a drawing.
#[derive(Default)]
struct OwnBlock {
    base: Vector2,
    entities: Vec<Entity>,
}

/// Blocks by their names in capitals; of several of one name the last.
fn blocks(scan: &Scan) -> Result<BTreeMap<String, Rc<OwnBlock>>, ArtworkError> {
    let mut by_number: BTreeMap<usize, (String, OwnBlock)> = BTreeMap::new();
    for part in scan.parts.iter().filter(|own| own.is_of_blocks()) {
        let mut drawing = load(part)?;
        for block in drawing.blocks_mut() {
            let Some((number, name)) = block.name.split_once('|') else {
                continue;
            };
            let Ok(number) = number.parse() else {
                continue;
            };
            let named = || (name.to_uppercase(), OwnBlock::default());
            let (_, own) = by_number.entry(number).or_insert_with(named);
            own.base = Vector2::new(block.base_point.x, block.base_point.y);
            own.entities.append(&mut block.entities);
        }
    }
    let named = by_number.into_values();
    Ok(named.map(|(name, own)| (name, Rc::new(own))).collect())
}

/// Hands a part of the looked-over drawing to the reading library and holds its tally against ours.
fn load(part: &Part) -> Result<dxf::Drawing, ArtworkError> {
    let unreadable = |reason: String| ArtworkError::Unreadable { reason };
    let mut bytes = part.dxf.as_bytes();
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
    if (count, vertices) != (part.count, part.vertices) {
        return Err(unreadable(format!(
            "{count} of {} entities and {vertices} of {} vertices came through",
            part.count, part.vertices
        )));
    }
    Ok(drawing)
}

/// What a block takes from its insertion.
struct Outer<'a> {
    layer: &'a str,
    pen: Pen,
}

struct Reader<'a> {
    blocks: BTreeMap<String, Rc<OwnBlock>>,
    scan: &'a Scan,
    mapping: &'a Mapping,
    /// Blocks being written out, outermost first.
    within: Vec<String>,
    insertions: usize,
    collected: Collected,
}

impl Reader<'_> {
    /// Tallies what the first look left out of a block, once for each insertion.
    fn leave_all(&mut self, block: &str, layer: &str) {
        for ((kind, own), count) in self.scan.left.get(block).into_iter().flatten() {
            let layer = if own == "0" { layer } else { own };
            self.collected.leave_several(kind, layer, *count);
        }
    }

    /// Colour and line type of an entity: its own, its layer's, or its insertion's.
    fn pen(&self, entity: &Entity, layer: &str, outer: &Outer<'_>) -> Pen {
        let of_layer = self.scan.layers.get(&layer.to_uppercase());
        let colour = entity.common.color.index().map(|index| index.to_string());
        let colour = if entity.common.color.is_by_block() {
            Some(outer.pen.colour.clone())
        } else {
            colour.or_else(|| of_layer.map(|pen| pen.colour.clone()))
        };
        let own = entity.common.line_type_name.as_str();
        let line_type = if own.eq_ignore_ascii_case("BYBLOCK") {
            outer.pen.line_type.clone()
        } else if own.is_empty() || own.eq_ignore_ascii_case("BYLAYER") {
            of_layer
                .map(|pen| pen.line_type.clone())
                .unwrap_or_default()
        } else {
            own.to_owned()
        };
        Pen {
            colour: colour.unwrap_or_default(),
            line_type,
        }
    }

    fn entity(
        &mut self,
        entity: &Entity,
        map: &Affine,
        outer: &Outer<'_>,
    ) -> Result<(), ArtworkError> {
        let own = entity.common.layer.as_str();
        let layer = if own == "0" || own.is_empty() {
            outer.layer
        } else {
            own
        };
        let kind = kind_of(&entity.specific);
        let Some(plane) = plane_of(&entity.specific) else {
            self.collected
                .leave(&format!("{kind} out of the drawing plane"), layer);
            return Ok(());
        };
        let map = map.after(&plane);
        let pen = self.pen(entity, layer, outer);
        let at = Standing {
            map: &map,
            layer,
            role: self.mapping.role(layer, &pen, Role::of_name(layer)),
        };
        match &entity.specific {
            EntityType::Insert(insert) => {
                return self.insert(insert, &map, &Outer { layer, pen });
            }
            EntityType::Text(text) => self.label(at, &text.value, &text.location)?,
            EntityType::MText(text) => {
                let whole = text.extended_text.concat() + &text.text;
                self.label(at, &whole, &text.insertion_point)?;
            }
            specific => match drawn_by(specific) {
                Ok(Drawn::Segments(segments)) => {
                    for segment in &segments {
                        self.collected.draw(at, segment)?;
                    }
                }
                Ok(Drawn::Ellipse(ellipse)) => self.collected.ellipse(at, &ellipse)?,
                Ok(Drawn::Spline(spline)) => self.collected.spline(at, &spline)?,
                Err(why) => self.collected.leave(&format!("{kind} {why}"), layer),
            },
        }
        Ok(())
    }

    fn label(
        &mut self,
        at: Standing<'_>,
        text: &str,
        place: &dxf::Point,
    ) -> Result<(), ArtworkError> {
        self.collected
            .label(at, plain_text(text), Point2::new(place.x, place.y))
    }

    fn insert(
        &mut self,
        insert: &dxf::entities::Insert,
        map: &Affine,
        outer: &Outer<'_>,
    ) -> Result<(), ArtworkError> {
        let name = insert.name.to_uppercase();
        let Some(block) = self.blocks.get(&name).map(Rc::clone) else {
            self.collected
                .leave("INSERT of a block that is not there", outer.layer);
            return Ok(());
        };
        let (sx, sy) = (insert.x_scale_factor, insert.y_scale_factor);
        if sx == 0.0 || sy == 0.0 {
            self.collected.leave("INSERT at no scale", outer.layer);
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
        let turn = Affine::turn(insert.rotation * PI / 180.0);
        let base = block.base;
        let at = Vector2::new(insert.location.x, insert.location.y);
        let (columns, rows) = (insert.column_count.max(1), insert.row_count.max(1));
        // Refused before the first copy, not when half a million have been made.
        self.insertions += usize::from(columns.unsigned_abs()) * usize::from(rows.unsigned_abs());
        if self.insertions > MAX_CURVES {
            return Err(ArtworkError::TooMany { limit: MAX_CURVES });
        }
        for row in 0..rows {
            for column in 0..columns {
                let step = Vector2::new(
                    f64::from(column) * insert.column_spacing,
                    f64::from(row) * insert.row_spacing,
                );
                let own = Affine::shift(at + turn.direction(step))
                    .after(&turn)
                    .after(&Affine::scaling(sx, sy))
                    .after(&Affine::shift(-base));
                let whole = map.after(&own);
                self.leave_all(&name, outer.layer);
                for entity in &block.entities {
                    self.entity(entity, &whole, outer)?;
                }
            }
        }
        self.within.pop();
        Ok(())
    }
}
