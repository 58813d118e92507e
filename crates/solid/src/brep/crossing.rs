//! Whether boundaries cross between their corners.

use super::net::Piece;
use super::skins::{Skins, Spot};

/// A piece's chords and the box round them.
struct Chords {
    spots: Vec<Spot>,
    low: Spot,
    high: Spot,
}

impl Chords {
    fn of(piece: &Piece<'_>, skins: &Skins<'_>) -> Self {
        let mut spots: Vec<Spot> = piece.chords(skins, true).collect();
        spots.push(piece.spot(skins, 1.0));
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

    fn cross(&self, other: &Self) -> bool {
        self.spots.windows(2).any(|own| {
            other
                .spots
                .windows(2)
                .any(|their| chords_cross([own[0], own[1]], [their[0], their[1]]))
        })
    }
}

/// True where two pieces without a common corner cross.
///
/// Chords are compared, 24 to a piece: curves nearer than those rise over the curve count as one.
pub(super) fn any_cross(pieces: &[Piece<'_>], skins: &Skins<'_>) -> bool {
    let chords: Vec<Chords> = pieces.iter().map(|p| Chords::of(p, skins)).collect();
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
                    && !chords[a].is_apart(&chords[b])
                    && chords[a].cross(&chords[b])
            })
    })
}

fn chords_cross([a, b]: [Spot; 2], [c, d]: [Spot; 2]) -> bool {
    let side = |from: Spot, to: Spot, spot: Spot| (to - from).perp(&(spot - from));
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_cross_only_between_their_ends() {
        let spot = Spot::new;
        let across = [spot(0.0, 0.0), spot(2.0, 2.0)];
        assert!(chords_cross(across, [spot(0.0, 2.0), spot(2.0, 0.0)]));
        assert!(!chords_cross(across, [spot(3.0, 0.0), spot(4.0, 2.0)]));
        assert!(!chords_cross(across, [spot(2.0, 2.0), spot(2.0, 0.0)]));
    }
}
