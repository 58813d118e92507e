//! The sheet cut along its boundaries and its borders between strips: nodes, pieces and cells.
//!
//! A *piece* is a part of a boundary inside one strip. To its left and right lie *fields*: the plain
//! metal, a region, or nothing.

use super::boundary::{Boundary, BoundaryKind, Landmark, Part, boundaries, cut};
use super::crossing::any_cross;
use super::layer::{Layer, contains};
use super::levels::{HIGH, LOW, Levels, PLAIN, place_name};
use super::run::{Run, SAME_Y};
use super::skins::{Skins, Spot};
use crate::SolidError;
use body::Plate;
use geom::Point3;
use std::collections::{BTreeMap, BTreeSet};

/// Ends of neighbouring boundary curves may lie this far apart (mm).
pub(super) const JOIN_MM: f64 = 1e-6;

/// Regions narrower than this in y are kept whole where a wide patch is divided.
const NARROW: f64 = 0.1;

/// A corner of the net.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub(super) spot: Spot,
    /// A strip that it belongs to.
    pub(super) strip: usize,
    /// The border that it lies on.
    pub(super) border: Option<usize>,
}

/// Metal to the right of a piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beside {
    pub(super) field: usize,
    pub(super) strip: usize,
}

/// A part of the boundary inside one strip.
pub(super) struct Piece<'a> {
    pub(super) run: Run<'a>,
    pub(super) from: f64,
    pub(super) to: f64,
    /// The strip to the left.
    pub(super) strip: usize,
    pub(super) start: usize,
    pub(super) end: usize,
    /// The field to the left.
    pub(super) left: usize,
    /// What lies to the right; nothing at the edge of the plate and of holes.
    pub(super) right: Option<Beside>,
    /// Lies at an apex: a point in space.
    pub(super) is_apex: bool,
}

/// A wall that stands on a piece, between two levels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wall {
    pub(super) bottom: usize,
    pub(super) top: usize,
    /// The metal lies to the left of the piece.
    pub(super) metal_is_left: bool,
}

/// The net of a plate.
pub(super) struct Net<'a> {
    pub(super) skins: Skins<'a>,
    pub(super) levels: Levels,
    pub(super) nodes: Vec<Node>,
    pub(super) pieces: Vec<Piece<'a>>,
    /// The inner and the outer skin.
    pub(super) layers: [Layer; 2],
}

impl Piece<'_> {
    /// The spot at a fraction of the piece, kept inside its strip; not a number where the curve
    /// leaves the sheet between the samples that were tried.
    pub(super) fn spot(&self, skins: &Skins<'_>, fraction: f64) -> Spot {
        let t = self.from + (self.to - self.from) * fraction;
        let strip = &skins.strips[self.strip];
        self.run
            .spot(t)
            .map_or(Spot::new(f64::NAN, f64::NAN), |spot| {
                Spot::new(spot.x, spot.y.clamp(strip.from, strip.to))
            })
    }

    /// Spots along the piece or against it, the last end left out.
    pub(super) fn chords(&self, skins: &Skins<'_>, forward: bool) -> impl Iterator<Item = Spot> {
        const CHORDS: usize = 24;
        (0..CHORDS).map(move |k| {
            let t = k as f64 / CHORDS as f64;
            self.spot(skins, if forward { t } else { 1.0 - t })
        })
    }

    /// Heights of the inner or outer skin on the left and on the right.
    fn heights(&self, levels: &Levels, skin: usize) -> (usize, Option<usize>) {
        let right = self.right.map(|beside| levels.fields[beside.field][skin]);
        (levels.fields[self.left][skin], right)
    }

    /// True where a skin ends or steps at the piece.
    pub(super) fn is_on(&self, levels: &Levels, skin: usize) -> bool {
        let (left, right) = self.heights(levels, skin);
        right != Some(left)
    }

    /// The walls that stand on the piece.
    pub(super) fn walls(&self, levels: &Levels) -> Vec<Wall> {
        let [low, high] = levels.fields[self.left];
        let Some(beside) = self.right else {
            return vec![Wall {
                bottom: low,
                top: high,
                metal_is_left: true,
            }];
        };
        let [right_low, right_high] = levels.fields[beside.field];
        [
            (low, right_low, low < right_low),
            (high, right_high, high > right_high),
        ]
        .into_iter()
        .filter(|(left, right, _)| left != right)
        .map(|(left, right, metal_is_left)| Wall {
            bottom: left.min(right),
            top: left.max(right),
            metal_is_left,
        })
        .collect()
    }

    /// Levels at which the piece has an edge, rising.
    pub(super) fn levels(&self, levels: &Levels) -> Vec<usize> {
        let mut own: Vec<usize> = self
            .walls(levels)
            .iter()
            .flat_map(|wall| [wall.bottom, wall.top])
            .collect();
        own.sort_unstable();
        own.dedup();
        own
    }
}

impl<'a> Net<'a> {
    /// Cuts a plate's sheet.
    ///
    /// # Errors
    ///
    /// [`SolidError::Develop`] for a curve that leaves the sheet, [`SolidError::Open`] and
    /// [`SolidError::Touching`] for boundaries that bound nothing, [`SolidError::NoMetal`] and
    /// [`SolidError::Apart`] for heights that leave no metal, and those of [`Skins::of`].
    pub(super) fn of(plate: &'a Plate) -> Result<Self, SolidError> {
        let develop = |cause| SolidError::Develop {
            plate: plate.id.clone(),
            cause,
        };
        let levels = Levels::of(plate)?;
        let boundaries = boundaries(plate);
        let mut keep_whole = Vec::new();
        for boundary in &boundaries {
            let (low, high) = boundary.span().map_err(develop)?;
            let is_narrow = match boundary.kind {
                BoundaryKind::Outline => false,
                BoundaryKind::Hole => true,
                BoundaryKind::Region(_) => high - low < NARROW,
            };
            if is_narrow {
                keep_whole.push((low, high));
            }
        }
        let skins = Skins::of(plate, &keep_whole, 2.0 * levels.reach())?;
        let cuts = cut(&skins, &boundaries).map_err(develop)?;
        let mut draft = Draft {
            plate,
            borders: skins.borders(),
            skins: &skins,
            nodes: Vec::new(),
            points: Vec::new(),
            pieces: Vec::new(),
            between: BTreeMap::new(),
            settled: BTreeSet::new(),
            outline: Vec::new(),
            holes: Vec::new(),
            regions: Vec::new(),
        };
        for boundary in &boundaries {
            let polygon = boundary.polygon().map_err(develop)?;
            match boundary.kind {
                BoundaryKind::Outline => draft.outline = polygon,
                BoundaryKind::Hole => draft.holes.push(polygon),
                BoundaryKind::Region(field) => draft.regions.push((field, polygon)),
            }
        }
        for (boundary, parts) in boundaries.iter().zip(&cuts) {
            draft.lay(boundary, parts)?;
        }
        if any_cross(&draft.pieces, &skins) {
            return Err(touching(plate));
        }
        draft.find_fields_of_edges();
        draft.refuse_apart(&levels)?;
        let Draft { nodes, pieces, .. } = draft;
        let mut net = Self {
            skins,
            levels,
            nodes,
            pieces,
            layers: [LOW, HIGH].map(|_| Layer {
                crossings: Vec::new(),
                cells: Vec::new(),
            }),
        };
        for skin in [LOW, HIGH] {
            net.layers[skin] = Layer::of(&net, skin).ok_or_else(|| touching(plate))?;
        }
        net.refuse_folds(plate)?;
        Ok(net)
    }

    /// The sheet must be thinner than every bend is round, or a skin runs back on itself.
    fn refuse_folds(&self, plate: &Plate) -> Result<(), SolidError> {
        for cell in self.layers.iter().flat_map(|layer| &layer.cells) {
            let height = self.levels.heights[cell.level];
            self.skins.refuse_fold(plate, cell.strip, height)?;
        }
        // Beside a groove the plain metal may come as far as the bend's axis, the walls then meeting.
        for piece in &self.pieces {
            let strips = [Some(piece.strip), piece.right.map(|beside| beside.strip)];
            for strip in strips.into_iter().flatten() {
                for level in piece.levels(&self.levels) {
                    let spot = piece.spot(&self.skins, 0.5);
                    let height = self.levels.heights[level];
                    self.skins
                        .refuse_crossed_walls(plate, strip, spot, height)?;
                }
            }
        }
        Ok(())
    }
}

fn touching(plate: &Plate) -> SolidError {
    SolidError::Touching {
        plate: plate.id.clone(),
    }
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
                run: part.run,
                from: part.from,
                to: part.to,
                strip,
                start,
                end,
                left: PLAIN,
                right: None,
                is_apex: is_apex(from.x) && is_apex(to.x) && (to.x - from.x).abs() < 1e-9,
            };
            match boundary.kind {
                BoundaryKind::Region(field) => self.lay_region_piece(piece, field, beside)?,
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
            if !self.is_on_metal(&piece) {
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

    /// True where a piece lies on the plate and in no hole.
    fn is_on_metal(&self, piece: &Piece<'_>) -> bool {
        let middle = piece.spot(self.skins, 0.5);
        contains(&self.outline, middle) && !self.holes.iter().any(|hole| contains(hole, middle))
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
