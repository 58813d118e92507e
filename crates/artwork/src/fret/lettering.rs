//! Single-stroke lettering for etching: straight strokes on a grid of four by six.

use super::curves::{EtchedShape, joined};
use geom::{Point2, Vector2, math};

/// Strokes of a character as runs of grid points `xy`, x 0 to 4, y 0 to 6 from the base line.
const STROKES: [(char, &str); 44] = [
    ('0', "10 30 41 45 36 16 05 01 10"),
    ('1', "05 16 26 20|10 30"),
    ('2', "05 16 36 45 44 00 40"),
    ('3', "05 16 36 45 44 33 13|33 42 41 30 10 01"),
    ('4', "30 36 02 42"),
    ('5', "46 06 04 34 43 41 30 10 01"),
    ('6', "36 16 05 01 10 30 41 42 33 03"),
    ('7', "06 46 10"),
    ('8', "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33"),
    ('9', "10 30 41 45 36 16 05 04 13 43"),
    ('A', "00 04 26 44 40|02 42"),
    ('B', "00 06 36 45 44 33 03|33 42 41 30 00"),
    ('C', "45 36 16 05 01 10 30 41"),
    ('D', "00 06 26 44 42 20 00"),
    ('E', "46 06 00 40|03 33"),
    ('F', "46 06 00|03 33"),
    ('G', "45 36 16 05 01 10 30 41 43 23"),
    ('H', "06 00|46 40|03 43"),
    ('I', "16 36|26 20|10 30"),
    ('J', "46 41 30 10 01"),
    ('K', "06 00|46 03 40"),
    ('L', "06 00 40"),
    ('M', "00 06 23 46 40"),
    ('N', "00 06 40 46"),
    ('O', "10 30 41 45 36 16 05 01 10"),
    ('P', "00 06 36 45 44 33 03"),
    ('Q', "10 30 41 45 36 16 05 01 10|22 40"),
    ('R', "00 06 36 45 44 33 03|23 40"),
    ('S', "45 36 16 05 04 13 33 42 41 30 10 01"),
    ('T', "06 46|26 20"),
    ('U', "06 01 10 30 41 46"),
    ('V', "06 20 46"),
    ('W', "06 10 23 30 46"),
    ('X', "06 40|46 00"),
    ('Y', "06 23 46|23 20"),
    ('Z', "06 46 00 40"),
    ('-', "13 33"),
    ('.', "20 20"),
    (',', "21 10"),
    ('/', "00 46"),
    ('+', "23 23|13 33|22 24"),
    ('&', "40 05 16 25 24 02 01 10 20 42"),
    ('(', "36 25 21 30"),
    (')', "16 25 21 10"),
];

/// Grid units from one character to the next.
const ADVANCE: f64 = 6.0;

/// Height of a character in grid units.
const HEIGHT: f64 = 6.0;

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
        let n = text.chars().count() as f64;
        (n * ADVANCE - 2.0).max(0.0) * height / HEIGHT + stroke
    }

    /// The strokes as straight pieces on the sheet (mm).
    pub fn pieces(&self) -> Vec<(Point2, Point2)> {
        let unit = self.height / HEIGHT;
        let inner = self.width() - self.stroke;
        let mut pieces = Vec::new();
        for (i, c) in self.text.chars().enumerate() {
            let Some(strokes) = strokes_of(c) else {
                continue;
            };
            let place = |(x, y): (f64, f64)| {
                let x = (i as f64 * ADVANCE + x) * unit;
                let x = if self.mirrored { inner - x } else { x };
                self.at + Vector2::new(x, y * unit)
            };
            for run in strokes.split('|') {
                let points: Vec<Point2> = run.split(' ').map(|own| place(grid(own))).collect();
                pieces.extend(points.windows(2).map(|pair| (pair[0], pair[1])));
            }
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

fn strokes_of(c: char) -> Option<&'static str> {
    let capital = c.to_ascii_uppercase();
    STROKES
        .iter()
        .find(|(own, _)| *own == capital)
        .map(|(_, strokes)| *strokes)
}

/// Coordinates of a grid point: two digits.
fn grid(point: &str) -> (f64, f64) {
    let digit = |i: usize| point.as_bytes().get(i).map_or(0.0, |b| f64::from(b - b'0'));
    (digit(0), digit(1))
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
    fn every_character_stays_on_its_grid_and_each_is_there_once() {
        for (i, (c, strokes)) in STROKES.iter().enumerate() {
            assert!(STROKES[..i].iter().all(|(other, _)| other != c));
            for point in strokes.split(['|', ' ']) {
                let (x, y) = grid(point);
                assert!(point.len() == 2 && x <= 4.0 && y <= 6.0, "{c}: {point}");
            }
        }
    }

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
