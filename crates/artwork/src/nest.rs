//! Which outline lies within which.

use crate::join::{DrawnShape, JoinedArtwork};
use crate::{ArtworkError, Label};
use geom::{Outline, Point2};
use std::collections::HashMap;

/// Pieces looked at before sorting is given up: some seconds' work, a thousand times a full sheet's.
const MOST_WORK: usize = 400_000_000;

/// Sorts outlines into shapes and the holes in them, and puts texts into the shapes.
pub(crate) fn nest(
    outlines: Vec<(Outline, String)>,
    labels: &[Label],
    joined: &mut JoinedArtwork,
) -> Result<(), ArtworkError> {
    let index = Index::new(&outlines);
    let mut work = 0;
    let n = outlines.len();
    let mut parent = vec![None; n];
    for (i, own) in parent.iter_mut().enumerate() {
        let probe = outlines[i].0.segments()[0].point_at(0.37);
        *own = index.smallest_round(&outlines, probe, Some(i), &mut work)?;
    }
    let mut homes = Vec::with_capacity(labels.len());
    for label in labels {
        homes.push(index.smallest_round(&outlines, label.at, None, &mut work)?);
    }
    let border = borders(&outlines, &parent, &homes);
    let mut depth = vec![None; n];
    for i in 0..n {
        depth_of(i, &parent, &border, &mut depth);
    }
    let is_shape = |i: usize| !border[i] && depth[i].is_some_and(|d| d % 2 == 0);
    let mut number = vec![usize::MAX; n];
    for i in (0..n).filter(|&i| is_shape(i)) {
        number[i] = joined.shapes.len();
        joined.shapes.push(DrawnShape {
            outline: outlines[i].0.clone(),
            holes: Vec::new(),
            layer: outlines[i].1.clone(),
            labels_inside: Vec::new(),
        });
    }
    for i in (0..n).filter(|&i| !is_shape(i)) {
        match parent[i] {
            Some(p) if !border[i] && number[p] != usize::MAX => {
                joined.shapes[number[p]].holes.push(outlines[i].0.clone());
            }
            _ => joined.borders.push(outlines[i].0.clone()),
        }
    }
    for (label, home) in labels.iter().zip(homes) {
        // A text that happens to stand across a hole belongs to the plate round it.
        let shape = home.and_then(|h| if is_shape(h) { Some(h) } else { parent[h] });
        match shape.map(|s| number[s]) {
            Some(s) if s != usize::MAX => joined.shapes[s].labels_inside.push(label.clone()),
            _ => joined.labels_outside.push(label.clone()),
        }
    }
    Ok(())
}

/// Rectangles that hold several shapes with texts or openings of their own: edges of the sheet.
fn borders(
    outlines: &[(Outline, String)],
    parent: &[Option<usize>],
    homes: &[Option<usize>],
) -> Vec<bool> {
    let n = outlines.len();
    let mut has_own = vec![false; n];
    for p in parent.iter().chain(homes).flatten() {
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
            let straight = outlines[i].0.segments().iter().all(|s| s.turn() == 0.0);
            straight && outlines[i].0.segments().len() == 4 && grown_children[i] >= 2
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
    fn new(outlines: &[(Outline, String)]) -> Self {
        let mut own = Self {
            boxes: outlines.iter().map(|(o, _)| o.bounds()).collect(),
            areas: outlines.iter().map(|(o, _)| o.area().abs()).collect(),
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
        outlines: &[(Outline, String)],
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
                    *work += outlines[i].0.segments().len();
                    if outlines[i].0.contains(point) {
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
