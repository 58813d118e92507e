//! Names engraved into a jig as grooves.

use geom::lettering::{runs, width_in_heights};
use geom::math::{FRAC_PI_2, PI, atan2, sin_cos};
use geom::{Point2, Point3, Vector2, Vector3};

use super::fault::JigFault;
use super::shape::{Frame, placed, prism};
use crate::{Mesh, subtract, unite};
use body::PrintSpec;

/// A flat place for letters on the face of a solid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field {
    /// Its middle.
    pub(super) centre: Point3,
    /// Along the lines of text.
    pub(super) right: Vector3,
    /// Up the letters; right × up points out of the solid.
    pub(super) up: Vector3,
    /// Room along the lines (mm).
    pub(super) width: f64,
    /// Room across them (mm).
    pub(super) height: f64,
}

impl Field {
    /// On an upward face at a height, lines along x.
    pub(super) fn top(x: f64, y: f64, z: f64, width: f64, height: f64) -> Self {
        Self {
            centre: Point3::new(x, y, z),
            right: Vector3::x(),
            up: Vector3::y(),
            width,
            height,
        }
    }

    fn turned(&self) -> Self {
        Self {
            right: self.up,
            up: -self.right,
            width: self.height,
            height: self.width,
            ..*self
        }
    }
}

/// Letters are four strokes high at least: the gaps of an E are then as wide as its bars. Chosen, not
/// sourced.
const LEAST_STROKES: f64 = 4.0;

/// No larger than this (mm): chosen, not sourced.
const GREATEST_MM: f64 = 5.0;

/// The tool of letters stands this far out of the face (mm).
const ABOVE_MM: f64 = 0.5;

/// Lines are this share of their height apart.
const LEAD: f64 = 0.5;

/// Engraves words, broken into lines so that they come out as large as the best of the fields allows,
/// turned if they only fit so. The first wording that has room is taken.
pub(super) fn engrave(
    solid: &Mesh,
    fields: &[Field],
    wordings: &[String],
    print: &PrintSpec,
) -> Result<Mesh, JigFault> {
    let needed_mm = LEAST_STROKES * print.stroke;
    let mut found_mm: f64 = 0.0;
    for words in wordings {
        let mut chosen: Option<(f64, Field, Vec<String>)> = None;
        for field in fields {
            let turned = field.turned();
            // Upright letters read better: they are turned only where they gain by it.
            for (own, share) in [(*field, 1.0), (turned, 0.7)] {
                let (height, lines) = best(&own, words, print.stroke);
                found_mm = found_mm.max(height);
                let fits = height >= needed_mm;
                if fits
                    && chosen
                        .as_ref()
                        .is_none_or(|(other, ..)| height * share > *other)
                {
                    chosen = Some((height * share, own, lines));
                }
            }
        }
        if let Some((_, field, lines)) = chosen {
            let (height, _) = best(&field, words, print.stroke);
            let tool = strokes(&field, &lines, height, print)?;
            let cut = subtract(solid, std::slice::from_ref(&tool))?;
            let taken = solid.volume() - cut.volume();
            let wanted = tool.volume() * print.engraved / (print.engraved + ABOVE_MM);
            let share = taken / wanted;
            // Letters that hang over an edge or lie inside out take another share than the whole.
            return if (0.93..1.03).contains(&share) {
                Ok(cut)
            } else {
                Err(JigFault::Letters { share })
            };
        }
    }
    Err(JigFault::NoRoom {
        what: "letters of its name",
        found_mm,
        needed_mm,
    })
}

/// The largest height and its lines.
fn best(field: &Field, words: &str, stroke: f64) -> (f64, Vec<String>) {
    let words: Vec<&str> = words.split_whitespace().collect();
    let mut best = (0.0, Vec::new());
    for count in 1..=words.len().min(8) {
        let lines = broken(&words, count);
        let widest = lines
            .iter()
            .map(|line| width_in_heights(line))
            .fold(0.0, f64::max);
        let n = lines.len() as f64;
        let height = ((field.width - stroke) / widest)
            .min((field.height - stroke) / (n + LEAD * (n - 1.0)))
            .min(GREATEST_MM);
        if height > best.0 {
            best = (height, lines);
        }
    }
    best
}

/// Words in at most so many lines, the longest as short as it can be.
fn broken(words: &[&str], count: usize) -> Vec<String> {
    let total: usize = words.iter().map(|w| w.len() + 1).sum();
    let longest = words.iter().map(|w| w.len()).max().unwrap_or(0);
    for room in longest..=total {
        let mut lines: Vec<String> = vec![String::new()];
        for word in words {
            let last = lines.last_mut().expect("there is always a line");
            if last.is_empty() {
                last.push_str(word);
            } else if last.len() + 1 + word.len() <= room {
                last.push(' ');
                last.push_str(word);
            } else {
                lines.push((*word).to_owned());
            }
        }
        if lines.len() <= count {
            return lines;
        }
    }
    vec![words.join(" ")]
}

/// The grooves of all strokes as one solid.
fn strokes(
    field: &Field,
    lines: &[String],
    height: f64,
    print: &PrintSpec,
) -> Result<Mesh, JigFault> {
    let n = lines.len() as f64;
    let whole = height * (n + LEAD * (n - 1.0));
    let mut bars = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let base = whole / 2.0 - height - i as f64 * height * (1.0 + LEAD);
        let left = -width_in_heights(line) * height / 2.0;
        for run in runs(line) {
            for pair in run.windows(2) {
                let at = |p: Point2| Point2::new(left + p.x * height, base + p.y * height);
                let ring = bar(at(pair[0]), at(pair[1]), print.stroke / 2.0);
                bars.push(prism(&ring, -print.engraved, ABOVE_MM)?);
            }
        }
    }
    let frame = Frame {
        origin: field.centre,
        x: field.right,
        y: field.up,
        z: field.right.cross(&field.up),
    };
    Ok(placed(&unite(&bars)?, &frame))
}

/// A stroke with round ends, each of four corners.
fn bar(a: Point2, b: Point2, radius: f64) -> Vec<Point2> {
    const CAP: usize = 3;
    let along = b - a;
    let heading = if along.norm() == 0.0 {
        0.0
    } else {
        atan2(along.y, along.x)
    };
    let mut ring = Vec::with_capacity(2 * (CAP + 1));
    for (centre, start) in [(b, -FRAC_PI_2), (a, FRAC_PI_2)] {
        for i in 0..=CAP {
            let (s, c) = sin_cos(heading + start + PI * i as f64 / CAP as f64);
            ring.push(centre + Vector2::new(c, s) * radius);
        }
    }
    ring
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_break_into_lines_of_like_length() {
        let words = ["FIREBOX", "BLOCK", "CLASS", "B", "7MM"];
        assert_eq!(broken(&words, 2), ["FIREBOX BLOCK", "CLASS B 7MM"]);
        assert_eq!(broken(&words, 1), ["FIREBOX BLOCK CLASS B 7MM"]);
    }
}
