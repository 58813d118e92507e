//! Nodes and pieces of a net, laid boundary by boundary.

use super::boundary::{Boundary, BoundaryKind, Landmark, Part};
use super::crossing::any_cross;
use super::layer::contains;
use super::levels::{Levels, PLAIN, place_name};
use super::net::{Beside, JOIN_MM, Node, Piece, touching};
use super::run::SAME_Y;
use super::skins::{Skins, Spot};
use crate::SolidError;
use body::Plate;
use geom::Point3;
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

/// Lays a plate's boundaries, cut to parts: the outline and the holes before the regions.
///
/// # Errors
///
/// [`SolidError::Develop`], [`SolidError::Open`], [`SolidError::Touching`] and [`SolidError::Apart`].
pub(super) fn lay<'a>(
    plate: &'a Plate,
    skins: &Skins<'a>,
    levels: &Levels,
    boundaries: &[Boundary<'a>],
    cuts: &[Vec<Part<'a>>],
) -> Result<(Vec<Node>, Vec<Piece<'a>>), SolidError> {
    let mut draft = Draft {
        plate,
        borders: skins.borders(),
        skins,
        nodes: Vec::new(),
        points: Vec::new(),
        pieces: Vec::new(),
        between: BTreeMap::new(),
        settled: BTreeSet::new(),
        outline: Vec::new(),
        holes: Vec::new(),
        regions: Vec::new(),
    };
    if !plate.regions.is_empty() {
        draft.draw_polygons(boundaries)?;
    }
    for (boundary, parts) in boundaries.iter().zip(cuts) {
        draft.lay(boundary, parts)?;
    }
    if any_cross(&draft.pieces, skins) || draft.regions_overlap(levels) {
        return Err(touching(plate));
    }
    draft.find_fields_of_edges();
    draft.refuse_apart(levels)?;
    Ok((draft.nodes, draft.pieces))
}

/// Nodes and pieces while boundaries are laid one after the other.
struct Draft<'a, 's> {
    plate: &'a Plate,
    skins: &'s Skins<'a>,
    borders: Vec<f64>,
    nodes: Vec<Node>,
    /// Mid-sheet points of the nodes.
    points: Vec<Point3>,
    pieces: Vec<Piece<'a>>,
    /// Pieces between two nodes, the lower number first.
    between: BTreeMap<(usize, usize), Vec<usize>>,
    /// Edges that have plain metal beside them although a region ends there.
    settled: BTreeSet<usize>,
    outline: Vec<Spot>,
    holes: Vec<Vec<Spot>>,
    regions: Vec<(usize, Vec<Spot>)>,
}

impl<'a> Draft<'a, '_> {
    /// Polygons that tell on what side of a boundary a spot lies.
    fn draw_polygons(&mut self, boundaries: &[Boundary<'a>]) -> Result<(), SolidError> {
        for boundary in boundaries.iter().filter(|own| !own.is_dome()) {
            let polygon = boundary.polygon().map_err(|cause| SolidError::Develop {
                plate: self.plate.id.clone(),
                cause,
            })?;
            match boundary.kind {
                BoundaryKind::Outline => self.outline = polygon,
                BoundaryKind::Hole => self.holes.push(polygon),
                BoundaryKind::Region(field) => self.regions.push((field, polygon)),
                BoundaryKind::Dome(_) => {}
            }
        }
        Ok(())
    }

    /// Lays a boundary: a region's parts may lie on pieces that are there already.
    fn lay(&mut self, boundary: &Boundary<'a>, parts: &[Part<'a>]) -> Result<(), SolidError> {
        let develop = |cause| SolidError::Develop {
            plate: self.plate.id.clone(),
            cause,
        };
        let mut corners = Vec::with_capacity(parts.len());
        for part in parts {
            let strips = part
                .run
                .strips(self.skins, &[part.from, part.to])
                .map_err(develop)?;
            let ends = [part.from, part.to].map(|t| part.run.spot(t));
            let [start, end] = ends.map(|spot| spot.map(|spot| snapped(spot, &self.borders)));
            corners.push((strips, start.map_err(develop)?, end.map_err(develop)?));
        }
        let n = corners.len();
        if n == 0 {
            return Err(touching(self.plate));
        }
        for (i, ([strip, _], _, end)) in corners.iter().enumerate() {
            let ([next, _], start, _) = corners[(i + 1) % n];
            let here = self.skins.point(next, start, 0.0);
            self.refuse_gap(self.skins.point(*strip, *end, 0.0), here)?;
        }
        let nodes: Vec<usize> = corners
            .iter()
            .map(|([strip, _], start, _)| self.node_at(*strip, *start))
            .collect();
        for (i, part) in parts.iter().enumerate() {
            let (start, end) = (nodes[i], nodes[(i + 1) % n]);
            let ([strip, beside], from, to) = corners[i];
            // A part shorter than the ends' own uncertainty.
            if start == end {
                continue;
            }
            let is_apex = |x: f64| self.skins.is_apex(strip, x);
            let piece = Piece {
                run: part.run.clone(),
                from: part.from,
                to: part.to,
                strip,
                start,
                end,
                left: PLAIN,
                right: None,
                is_apex: is_apex(from.x) && is_apex(to.x) && (to.x - from.x).abs() < 1e-9,
                spots: OnceCell::new(),
            };
            match boundary.kind {
                BoundaryKind::Region(field) => self.lay_region_piece(piece, field, beside)?,
                BoundaryKind::Dome(field) => self.push(Piece {
                    left: field,
                    right: Some(Beside {
                        field: PLAIN,
                        strip: beside,
                    }),
                    ..piece
                }),
                BoundaryKind::Outline | BoundaryKind::Hole => self.push(piece),
            }
        }
        // A region that is nowhere on the plate.
        match boundary.kind {
            BoundaryKind::Region(field) if !self.has_field(field) => Err(touching(self.plate)),
            _ => Ok(()),
        }
    }

    fn refuse_gap(&self, end: Point3, start: Point3) -> Result<(), SolidError> {
        let gap_mm = (end - start).norm();
        if gap_mm <= JOIN_MM {
            return Ok(());
        }
        Err(SolidError::Open {
            plate: self.plate.id.clone(),
            gap_mm,
            at: start,
        })
    }

    /// The node at a spot, a new one where there is none.
    fn node_at(&mut self, strip: usize, spot: Spot) -> usize {
        let point = self.skins.point(strip, spot, 0.0);
        let border = self.borders.iter().position(|b| *b == spot.y);
        let found = (0..self.nodes.len()).find(|&i| {
            Skins::is_near(self.nodes[i].spot, spot) && (self.points[i] - point).norm() <= JOIN_MM
        });
        if let Some(i) = found {
            let node = &mut self.nodes[i];
            // The exact place on a border serves the pieces of both strips.
            if node.border.is_none() && border.is_some() {
                *node = Node {
                    spot,
                    strip,
                    border,
                };
            }
            return i;
        }
        self.nodes.push(Node {
            spot,
            strip,
            border,
        });
        self.points.push(point);
        self.nodes.len() - 1
    }

    fn push(&mut self, piece: Piece<'a>) {
        let ends = (piece.start.min(piece.end), piece.start.max(piece.end));
        self.between
            .entry(ends)
            .or_default()
            .push(self.pieces.len());
        self.pieces.push(piece);
    }

    fn has_field(&self, field: usize) -> bool {
        self.pieces.iter().any(|piece| {
            piece.left == field || piece.right.is_some_and(|beside| beside.field == field)
        })
    }

    /// Lays a piece of a region, onto one that has the same run or as a step in the plain metal.
    fn lay_region_piece(
        &mut self,
        piece: Piece<'a>,
        field: usize,
        beside: usize,
    ) -> Result<(), SolidError> {
        let Some(twin_number) = self.twin_of(&piece) else {
            if !self.is_on_metal(piece.spot(self.skins, 0.5)) {
                return Ok(());
            }
            self.push(Piece {
                left: field,
                right: Some(Beside {
                    field: PLAIN,
                    strip: beside,
                }),
                ..piece
            });
            return Ok(());
        };
        let twin = &mut self.pieces[twin_number];
        let field_there = match &mut twin.right {
            None if twin.start == piece.start => &mut twin.left,
            Some(right) if twin.end == piece.start => &mut right.field,
            None => {
                // The region is cut off here by a hole, or by the end of the plate.
                self.settled.insert(twin_number);
                return Ok(());
            }
            _ => return Err(touching(self.plate)),
        };
        if *field_there != PLAIN {
            return Err(touching(self.plate));
        }
        *field_there = field;
        Ok(())
    }

    fn twin_of(&self, piece: &Piece<'a>) -> Option<usize> {
        let ends = (piece.start.min(piece.end), piece.start.max(piece.end));
        let spot = piece.spot(self.skins, 0.5);
        let middle = Landmark {
            spot,
            flat: self.skins.flat(spot),
        };
        self.between.get(&ends)?.iter().copied().find(|&i| {
            let other = &self.pieces[i];
            other
                .run
                .parameter_at(self.skins, &middle)
                .is_some_and(|t| other.from <= t && t <= other.to)
        })
    }

    /// Edges of the plate and of holes inside a region have its metal beside them.
    fn find_fields_of_edges(&mut self) {
        for (i, piece) in self.pieces.iter_mut().enumerate() {
            if piece.right.is_some() || piece.left != PLAIN || self.settled.contains(&i) {
                continue;
            }
            let middle = piece.spot(self.skins, 0.5);
            let region = self.regions.iter().find(|(_, p)| contains(p, middle));
            piece.left = region.map_or(PLAIN, |(field, _)| *field);
        }
    }

    /// True where the boundary of one region runs through another.
    fn regions_overlap(&self, levels: &Levels) -> bool {
        self.pieces.iter().any(|piece| {
            let is_rim = levels.fields[piece.left].contains(&levels.open);
            let is_step = !is_rim && piece.right.is_some_and(|beside| beside.field == PLAIN);
            let middle = piece.spot(self.skins, 0.5);
            is_step
                && self
                    .regions
                    .iter()
                    .any(|(field, polygon)| *field != piece.left && contains(polygon, middle))
        })
    }

    /// True for a spot on the plate and in no hole.
    fn is_on_metal(&self, spot: Spot) -> bool {
        contains(&self.outline, spot) && !self.holes.iter().any(|hole| contains(hole, spot))
    }

    /// Metal on both sides of a step must meet over some height.
    fn refuse_apart(&self, levels: &Levels) -> Result<(), SolidError> {
        for piece in &self.pieces {
            if let Some(beside) = piece.right.filter(|b| !levels.meet(piece.left, b.field)) {
                return Err(SolidError::Apart {
                    plate: self.plate.id.clone(),
                    place: place_name(self.plate, piece.left),
                    beside: place_name(self.plate, beside.field),
                });
            }
        }
        Ok(())
    }
}

fn snapped(spot: Spot, borders: &[f64]) -> Spot {
    let border = borders.iter().find(|b| (spot.y - **b).abs() <= SAME_Y);
    Spot::new(spot.x, border.copied().unwrap_or(spot.y))
}
