//! Single-stroke lettering: straight strokes on a grid of four by six.

use crate::Point2;

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

/// Width of a text in heights of its capitals, between the middles of its outermost strokes.
pub fn width_in_heights(text: &str) -> f64 {
    let n = text.chars().count() as f64;
    (n * ADVANCE - 2.0).max(0.0) / HEIGHT
}

/// The strokes of a line of text as runs of points, in heights of its capitals: x from the left of the
/// first character, y from the base line.
///
/// Small letters are shown as capitals, and characters without strokes as a gap.
pub fn runs(text: &str) -> Vec<Vec<Point2>> {
    let mut all = Vec::new();
    for (i, c) in text.chars().enumerate() {
        let Some(strokes) = strokes_of(c) else {
            continue;
        };
        for run in strokes.split('|') {
            let place = |own: &str| {
                let (x, y) = grid(own);
                Point2::new((i as f64 * ADVANCE + x) / HEIGHT, y / HEIGHT)
            };
            all.push(run.split(' ').map(place).collect());
        }
    }
    all
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
    fn an_l_is_one_run_of_two_strokes() {
        let run = vec![
            Point2::new(0.0, 1.0),
            Point2::new(0.0, 0.0),
            Point2::new(4.0 / 6.0, 0.0),
        ];
        assert_eq!(runs("l"), [run]);
        assert!((width_in_heights("LL") - 10.0 / 6.0).abs() < 1e-12);
    }
}
