//! Single-stroke lettering for etching: straight strokes on a grid of four by six.

use super::curves::{EtchedShape, joined};
use geom::lettering::{runs, width_in_heights};
use geom::{Point2, Vector2, math};

/// Corners of the half circle at the end of a stroke.
const CAP: usize = 12;

/// A line of text to be etched.
#[derive(Clone, Debug, PartialEq)]
pub struct Lettering {
    /// Its words; small letters are shown as capitals, and characters without strokes as a gap.
    pub text: String,
    /// Lower left corner of the first character, at the middle of its strokes.
    pub at: Point2,
    /// Height of a capital between the middles of its strokes (mm).
    pub height: f64,
    /// Width of the strokes as etched (mm).
    pub stroke: f64,
    /// True if the text reads from the rear of the sheet.
    pub mirrored: bool,
}

impl Lettering {
    /// Width over all (mm).
    pub fn width(&self) -> f64 {
        Self::width_of(&self.text, self.height, self.stroke)
    }

    /// Width over all of a text (mm).
    pub fn width_of(text: &str, height: f64, stroke: f64) -> f64 {
        width_in_heights(text) * height + stroke
    }

    /// The strokes as straight pieces on the sheet (mm).
    pub fn pieces(&self) -> Vec<(Point2, Point2)> {
        let inner = self.width() - self.stroke;
        let place = |point: &Point2| {
            let x = point.x * self.height;
            let x = if self.mirrored { inner - x } else { x };
            self.at + Vector2::new(x, point.y * self.height)
        };
        let mut pieces = Vec::new();
        for run in runs(&self.text) {
            pieces.extend(
                run.windows(2)
                    .map(|pair| (place(&pair[0]), place(&pair[1]))),
            );
        }
        pieces
    }

    /// The text as closed regions, strokes thinner by `allowance` (mm) on each side.
    pub fn regions(&self, allowance: f64) -> Vec<EtchedShape> {
        let radius = self.stroke / 2.0 - allowance;
        if radius <= 0.0 {
            return Vec::new();
        }
        let rings: Vec<_> = self
            .pieces()
            .iter()
            .map(|(a, b)| round_ended(*a, *b, radius))
            .collect();
        joined(&rings)
    }
}

/// A strip of a width with half circles at its ends.
fn round_ended(a: Point2, b: Point2, radius: f64) -> Vec<[f64; 2]> {
    let along = b - a;
    let heading = if along.norm() == 0.0 {
        0.0
    } else {
        math::atan2(along.y, along.x)
    };
    let mut ring = Vec::with_capacity(2 * (CAP + 1));
    for (centre, start) in [(b, -math::FRAC_PI_2), (a, math::FRAC_PI_2)] {
        for i in 0..=CAP {
            let angle = heading + start + math::PI * i as f64 / CAP as f64;
            let (s, c) = math::sin_cos(angle);
            ring.push([centre.x + radius * c, centre.y + radius * s]);
        }
    }
    ring
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mirrored_text_is_the_mirror_image_in_the_same_room() {
        let text = Lettering {
            text: "R2".to_owned(),
            at: Point2::new(3.0, 1.0),
            height: 3.0,
            stroke: 0.4,
            mirrored: false,
        };
        let back = Lettering {
            mirrored: true,
            ..text.clone()
        };
        let middle = 3.0 + (text.width() - 0.4) / 2.0;
        for ((a, b), (c, d)) in text.pieces().iter().zip(back.pieces()) {
            assert!((a.x + c.x - 2.0 * middle).abs() < 1e-12 && a.y == c.y);
            assert!((b.x + d.x - 2.0 * middle).abs() < 1e-12 && b.y == d.y);
        }
    }

    #[test]
    fn a_bar_of_text_has_the_area_of_its_strip() {
        let text = Lettering {
            text: "-".to_owned(),
            at: Point2::origin(),
            height: 6.0,
            stroke: 1.0,
            mirrored: false,
        };
        let regions = text.regions(0.1);
        assert_eq!(regions.len(), 1);
        // 2 mm long between its ends, 0.8 wide, and a circle of 24 corners.
        let circle = 0.4 * 0.4 * 12.0 * math::sin(math::PI / 12.0);
        assert!((regions[0].area() - (1.6 + circle)).abs() < 1e-6);
    }
}
