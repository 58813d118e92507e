//! Where boundaries cross between their corners.

use super::net::Piece;
use super::run::Run;
use super::skins::{Skins, Spot};
use develop::DevelopError;

/// Chords of a curve and the box round them.
pub(super) struct Chords {
    spots: Vec<Spot>,
    low: Spot,
    high: Spot,
}

impl Chords {
    /// Chords of a whole run.
    pub(super) fn of(run: &Run<'_>) -> Result<Self, DevelopError> {
        Ok(Self::through(run.samples(run.chords())?.collect()))
    }

    fn of_piece(piece: &Piece<'_>, skins: &Skins<'_>) -> Self {
        Self::through(piece.chords(skins).to_vec())
    }

    fn through(spots: Vec<Spot>) -> Self {
        let (mut low, mut high) = (spots[0], spots[0]);
        for spot in &spots {
            (low, high) = (low.inf(spot), high.sup(spot));
        }
        Self { spots, low, high }
    }

    fn is_apart(&self, other: &Self) -> bool {
        self.high.x < other.low.x
            || other.high.x < self.low.x
            || self.high.y < other.low.y
            || other.high.y < self.low.y
    }

    /// Parameters of both curves about which their chords cross, or the corner of one meets the other.
    pub(super) fn crossings(&self, other: &Self) -> Vec<[f64; 2]> {
        if self.is_apart(other) {
            return Vec::new();
        }
        let mut found = Vec::new();
        for (i, own) in self.spots.windows(2).enumerate() {
            for (k, their) in other.spots.windows(2).enumerate() {
                if chords_cross([own[0], own[1]], [their[0], their[1]]) {
                    let middle =
                        |i: usize, spots: &[Spot]| (i as f64 + 0.5) / (spots.len() - 1) as f64;
                    found.push([middle(i, &self.spots), middle(k, &other.spots)]);
                }
            }
        }
        found
    }
}

/// True where two pieces without a common corner cross.
///
/// Chords are compared, 24 to a curved piece: curves nearer than those rise over the curve count as one.
pub(super) fn any_cross(pieces: &[Piece<'_>], skins: &Skins<'_>) -> bool {
    let chords: Vec<Chords> = pieces.iter().map(|p| Chords::of_piece(p, skins)).collect();
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by(|a, b| chords[*a].low.x.total_cmp(&chords[*b].low.x));
    order.iter().enumerate().any(|(i, &a)| {
        order[i + 1..]
            .iter()
            .take_while(|b| chords[**b].low.x <= chords[a].high.x)
            .any(|&b| {
                let ends = [pieces[b].start, pieces[b].end];
                !ends.contains(&pieces[a].start)
                    && !ends.contains(&pieces[a].end)
                    && !chords[a].crossings(&chords[b]).is_empty()
            })
    })
}

/// True where two chords cross; each begins at its start and leaves its end to the next.
fn chords_cross([a, b]: [Spot; 2], [c, d]: [Spot; 2]) -> bool {
    let is_left = |from: Spot, to: Spot, spot: Spot| (to - from).perp(&(spot - from)) >= 0.0;
    is_left(a, b, c) != is_left(a, b, d) && is_left(c, d, a) != is_left(c, d, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_cross_where_they_meet_and_not_beyond() {
        let spot = Spot::new;
        let across = [spot(0.0, 0.0), spot(2.0, 2.0)];
        assert!(chords_cross(across, [spot(0.0, 2.0), spot(2.0, 0.0)]));
        assert!(!chords_cross(across, [spot(3.0, 0.0), spot(4.0, 2.0)]));
        assert!(!chords_cross(across, [spot(1.0, 1.0), spot(3.0, 3.0)]));
        // Two chords of one polygon, their common corner on the line: one of them crosses it.
        let corner = spot(1.0, 1.0);
        let polygon = [[spot(0.0, 1.5), corner], [corner, spot(2.0, 0.0)]];
        let met = polygon.map(|chord| chords_cross(across, chord));
        assert!(met[0] != met[1], "{met:?}");
    }
}
