//! Which outline lies within which.

use crate::fit::merged;
use crate::join::{Closed, DrawnDetail, DrawnShape, JoinedArtwork};
use crate::role::Role;
use crate::{ArtworkError, Label};
use geom::{Outline, Point2, Vector2};
use std::collections::HashMap;

/// Pieces looked at before sorting is given up: some seconds' work, a thousand times a full sheet's.
const MOST_WORK: usize = 400_000_000;

/// Sorts outlines into shapes and the holes in them, and puts details and texts into the shapes.
pub(crate) fn nest(
    closed: Vec<Closed>,
    labels: &[Label],
    joined: &mut JoinedArtwork,
) -> Result<(), ArtworkError> {
    let (details, outlines): (Vec<Closed>, Vec<Closed>) =
        closed.into_iter().partition(|own| own.role.is_detail());
    let index = Index::new(&outlines);
    let mut work = 0;
    let mut round = |point, inside| index.smallest_round(&outlines, point, inside, &mut work);
    let mut parent = Vec::with_capacity(outlines.len());
    for (i, own) in outlines.iter().enumerate() {
        parent.push(round(own.outline.segments()[0].point_at(0.37), Some(i))?);
    }
    let mut homes = Vec::with_capacity(labels.len());
    for label in labels {
        homes.push(round(label.at, None)?);
    }
    let mut beds = Vec::with_capacity(details.len());
    for detail in &details {
        beds.push(round(inside(&detail.outline), None)?);
    }
    let border = borders(&outlines, &parent, [&homes, &beds]);
    let nest = Nest::new(&outlines, parent, border);
    nest.put_outlines(joined);
    for (detail, bed) in details.into_iter().zip(beds) {
        let drawn = DrawnDetail {
            outline: detail.outline,
            role: detail.role,
            layer: detail.layer,
        };
        match nest.shape_round(bed) {
            Some(s) => joined.shapes[s].details.push(drawn),
            None => joined.details_outside.push(drawn),
        }
    }
    for (label, home) in labels.iter().zip(homes) {
        // A text that happens to stand across a hole belongs to the plate round it.
        match nest.shape_round(home) {
            Some(s) => joined.shapes[s].labels_inside.push(label.clone()),
            None => joined.labels_outside.push(label.clone()),
        }
    }
    Ok(())
}

/// Outlines with what is round each.
struct Nest<'a> {
    outlines: &'a [Closed],
    parent: Vec<Option<usize>>,
    border: Vec<bool>,
    /// Number of the shape that an outline is, if it is one.
    number: Vec<Option<usize>>,
}

impl<'a> Nest<'a> {
    fn new(outlines: &'a [Closed], parent: Vec<Option<usize>>, border: Vec<bool>) -> Self {
        let n = outlines.len();
        let mut depth = vec![None; n];
        for i in 0..n {
            depth_of(i, &parent, &border, &mut depth);
        }
        let is_shape = |i: usize| match outlines[i].role {
            _ if border[i] => false,
            Role::Outline => true,
            // An opening in nothing is a shape that nobody knows.
            Role::Opening => parent[i].is_none_or(|p| border[p]),
            _ => depth[i].is_some_and(|d| d % 2 == 0),
        };
        let mut count = 0;
        let number = (0..n)
            .map(|i| {
                is_shape(i).then(|| {
                    count += 1;
                    count - 1
                })
            })
            .collect();
        Self {
            outlines,
            parent,
            border,
            number,
        }
    }

    /// The nearest shape round a place, itself counted: an opening in an opening is in the plate.
    fn shape_round(&self, mut at: Option<usize>) -> Option<usize> {
        while let Some(i) = at {
            if self.border[i] {
                return None;
            }
            if self.number[i].is_some() {
                return self.number[i];
            }
            at = self.parent[i];
        }
        None
    }

    /// Puts shapes, their holes and the borders in their places.
    fn put_outlines(&self, joined: &mut JoinedArtwork) {
        let shapes = self.outlines.iter().zip(&self.number);
        joined.shapes = shapes
            .filter(|(_, number)| number.is_some())
            .map(|(own, _)| DrawnShape {
                outline: own.outline.clone(),
                holes: Vec::new(),
                details: Vec::new(),
                layer: own.layer.clone(),
                labels_inside: Vec::new(),
            })
            .collect();
        for (i, own) in self.outlines.iter().enumerate() {
            if self.number[i].is_some() {
                continue;
            }
            let round = (!self.border[i]).then(|| self.shape_round(self.parent[i]));
            match round.flatten() {
                Some(s) => joined.shapes[s].holes.push(own.outline.clone()),
                None => joined.borders.push(own.outline.clone()),
            }
        }
    }
}

/// A place just within an outline, at the middle of its longest piece.
fn inside(outline: &Outline) -> Point2 {
    let longest = outline
        .segments()
        .iter()
        .max_by(|a, b| a.length().total_cmp(&b.length()));
    let Some(segment) = longest else {
        return Point2::origin();
    };
    let (s, c) = geom::math::sin_cos(segment.tangent_angle_at(0.5));
    // Anticlockwise outlines have their inside on the left.
    let step = (segment.length() / 4.0).min(INSIDE_MM);
    segment.point_at(0.5) + Vector2::new(-s, c) * step
}

/// How far within its border a detail is looked for (mm): less than the narrowest line that is etched.
const INSIDE_MM: f64 = 0.03;

/// Rectangles that hold several shapes with texts or openings of their own: edges of the sheet.
fn borders(
    outlines: &[Closed],
    parent: &[Option<usize>],
    homes: [&Vec<Option<usize>>; 2],
) -> Vec<bool> {
    let n = outlines.len();
    let mut has_own = vec![false; n];
    for p in parent.iter().chain(homes[0]).chain(homes[1]).flatten() {
        has_own[*p] = true;
    }
    let mut grown_children = vec![0; n];
    for (i, p) in parent.iter().enumerate() {
        if let (Some(p), true) = (p, has_own[i]) {
            grown_children[*p] += 1;
        }
    }
    (0..n)
        .map(|i| {
            if grown_children[i] < 2 || outlines[i].role != Role::Unknown {
                return false;
            }
            // Sides may be drawn in pieces, the first of them cut by the start of the outline.
            let sides = merged(outlines[i].outline.segments());
            let straight = sides.iter().all(|s| s.turn() == 0.0);
            straight && (sides.len() == 4 || sides.len() == 5)
        })
        .collect()
}

/// Number of outlines round an outline, borders not counted.
fn depth_of(i: usize, parent: &[Option<usize>], border: &[bool], depth: &mut [Option<usize>]) {
    let mut chain = Vec::new();
    let mut at = i;
    let mut known = loop {
        if let Some(d) = depth[at] {
            break d;
        }
        chain.push(at);
        match parent[at] {
            Some(p) => at = p,
            None => break usize::MAX,
        }
    };
    for &k in chain.iter().rev() {
        known = match known {
            usize::MAX => 0,
            d => d + usize::from(parent[k].is_some_and(|p| !border[p])),
        };
        depth[k] = Some(known);
    }
}

/// Boxes of outlines in cells of their own size, so that a place finds its few boxes at once.
struct Index {
    boxes: Vec<(Point2, Point2)>,
    areas: Vec<f64>,
    /// By level (cell width 2^level) and cell.
    cells: HashMap<(i32, i64, i64), Vec<usize>>,
    levels: Vec<i32>,
}

impl Index {
    fn new(outlines: &[Closed]) -> Self {
        let mut own = Self {
            boxes: outlines.iter().map(|o| o.outline.bounds()).collect(),
            areas: outlines.iter().map(|o| o.outline.area().abs()).collect(),
            cells: HashMap::new(),
            levels: Vec::new(),
        };
        for (i, (low, high)) in own.boxes.iter().enumerate() {
            let size = (high.x - low.x).max(high.y - low.y).max(1e-6);
            let level = level_above(size);
            let (a, b) = (cell(*low, level), cell(*high, level));
            for x in a.0..=b.0 {
                for y in a.1..=b.1 {
                    own.cells.entry((level, x, y)).or_default().push(i);
                }
            }
            if !own.levels.contains(&level) {
                own.levels.push(level);
            }
        }
        own
    }

    fn smallest_round(
        &self,
        outlines: &[Closed],
        point: Point2,
        inside: Option<usize>,
        work: &mut usize,
    ) -> Result<Option<usize>, ArtworkError> {
        let mut best: Option<usize> = None;
        let least = inside.map_or(0.0, |i| self.areas[i]);
        for &level in &self.levels {
            let (x, y) = cell(point, level);
            for &i in self.cells.get(&(level, x, y)).into_iter().flatten() {
                *work += 1;
                let (low, high) = self.boxes[i];
                let larger = inside.is_none_or(|own| {
                    own != i && (self.areas[i] > least || (self.areas[i] == least && i < own))
                });
                let in_box =
                    low.x <= point.x && point.x <= high.x && low.y <= point.y && point.y <= high.y;
                if larger && in_box && best.is_none_or(|b| self.areas[i] < self.areas[b]) {
                    *work += outlines[i].outline.segments().len();
                    if outlines[i].outline.contains(point) {
                        best = Some(i);
                    }
                }
            }
            if *work > MOST_WORK {
                return Err(ArtworkError::TooIntricate {
                    x_mm: point.x,
                    y_mm: point.y,
                });
            }
        }
        Ok(best)
    }
}

fn cell(point: Point2, level: i32) -> (i64, i64) {
    let width = 2f64.powi(level);
    (
        (point.x / width).floor() as i64,
        (point.y / width).floor() as i64,
    )
}

/// The least whole number whose power of two is at least `size`.
fn level_above(size: f64) -> i32 {
    let mut level = -21;
    while 2f64.powi(level) < size {
        level += 1;
    }
    level
}
