//! The sheet cut along its boundaries and its borders between strips: nodes, pieces and cells.
//!
//! A *piece* is a part of a boundary inside one strip. To its left and right lie *fields*: the plain
//! metal, a region, or nothing.

use super::boundary::{Boundary, BoundaryKind, boundaries, cut};
use super::domes::Dome;
use super::draft::lay;
use super::layer::Layer;
use super::levels::{HIGH, LOW, Levels, PLAIN};
use super::run::Run;
use super::skins::{Skins, Spot};
use crate::SolidError;
use body::Plate;
use develop::DevelopError;
use std::cell::OnceCell;

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
    /// Of [`Piece::chords`].
    pub(super) spots: OnceCell<Vec<Spot>>,
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
    pub(super) domes: &'a [Dome],
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

    /// Spots along the piece, both ends among them; found once, then kept.
    pub(super) fn chords(&self, skins: &Skins<'_>) -> &[Spot] {
        const CHORDS: usize = 24;
        self.spots.get_or_init(|| {
            let chords = self.run.chords().min(CHORDS);
            let at = |k: usize| self.spot(skins, k as f64 / chords as f64);
            (0..=chords).map(at).collect()
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
        .filter(|(left, right, _)| left != right && *left.max(right) != levels.open)
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
        // A rim lies on the plain skin.
        let is_rim = |skin: usize| levels.fields[self.left][skin] == levels.open;
        let rims = [LOW, HIGH].into_iter().filter(|skin| is_rim(*skin));
        own.extend(rims.map(|skin| levels.fields[PLAIN][skin]));
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
    pub(super) fn of(plate: &'a Plate, domes: &'a [Dome]) -> Result<Self, SolidError> {
        let develop = |cause| SolidError::Develop {
            plate: plate.id.clone(),
            cause,
        };
        let levels = Levels::of(plate, domes)?;
        let mut boundaries = boundaries(plate);
        boundaries.extend(domes.iter().map(|dome| dome.boundary(plate)));
        let keep_whole = narrow_spans(&boundaries).map_err(develop)?;
        let skins = Skins::of(plate, &keep_whole, 2.0 * levels.reach())?;
        let cuts = cut(&skins, &boundaries).map_err(develop)?;
        let (nodes, pieces) = lay(plate, &skins, &levels, &boundaries, &cuts)?;
        let mut net = Self {
            skins,
            levels,
            nodes,
            pieces,
            layers: [LOW, HIGH].map(|_| Layer {
                crossings: Vec::new(),
                cells: Vec::new(),
            }),
            domes,
        };
        for skin in [LOW, HIGH] {
            net.layers[skin] = Layer::of(&net, skin).ok_or_else(|| touching(plate))?;
        }
        net.refuse_folds(plate)?;
        Ok(net)
    }

    /// The dome that a piece is part of the rim of.
    pub(super) fn dome_of(&self, piece: &Piece<'_>) -> Option<&'a Dome> {
        let first = self.domes.first()?.field;
        self.domes.get(piece.left.checked_sub(first)?)
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

/// Least and greatest y of what is kept whole where a wide patch is divided: holes, narrow regions.
fn narrow_spans(boundaries: &[Boundary<'_>]) -> Result<Vec<(f64, f64)>, DevelopError> {
    let mut spans = Vec::new();
    for boundary in boundaries {
        let (low, high) = boundary.span()?;
        let is_narrow = match boundary.kind {
            BoundaryKind::Outline => false,
            BoundaryKind::Hole | BoundaryKind::Dome(_) => true,
            BoundaryKind::Region(_) => high - low < NARROW,
        };
        if is_narrow {
            spans.push((low, high));
        }
    }
    Ok(spans)
}

pub(super) fn touching(plate: &Plate) -> SolidError {
    SolidError::Touching {
        plate: plate.id.clone(),
    }
}
