//! Whether a sub-assembly stands off as a whole, or most of its parts sit where they are drawn and one does not.

use super::align::Alignment;
use super::placed::GroupPoints;
use super::samples::Samples;
use super::stance::Stance;
use super::surface::{BodySurface, Near, faces};

/// Points of a part that tell where it stands, at least.
const LEAST_POINTS: usize = 25;

/// A point farther off than this many standard deviations is off; how far does not matter.
const FAR: f64 = 4.0;

/// A part fits where its points lie off by no more than this, on the mean of their squares: standard deviations.
const FITS: f64 = 2.0;

/// Squares that are less than this share of others say clearly more. Chosen, not sourced.
const CLEARLY: f64 = 0.85;

/// What the points of a part say.
#[derive(Clone, Copy, Debug, Default)]
struct Told {
    points: usize,
    /// Sums of squares (mm²), the part being where it is drawn, and where its group stands.
    squares: [f64; 2],
}

/// Takes groups that were fitted to one part back to where they are drawn: those of whose parts no fewer fit the drawing than
/// fit the group, and those of which all parts but one fit clearly better where they are drawn. A row of splashers with one too
/// high is else a row that is tipped.
pub(super) fn agree(
    surface: &BodySurface<'_>,
    samples: &Samples,
    laid: &Alignment,
    stances: &mut [Stance],
    tolerance: f64,
) {
    let in_question: Vec<bool> = surface
        .groups
        .iter()
        .zip(stances.iter())
        .map(|(group, own)| {
            let arm = (group.high - group.low).norm() / 2.0;
            own.shift.norm() + own.turn.norm() * arm + own.wider.abs() > tolerance / 2.0
        })
        .collect();
    if !in_question.contains(&true) {
        return;
    }
    let far = FAR * laid.noise;
    let reach = surface.size() / 150.0;
    let points = GroupPoints::of(surface, samples, laid, reach);
    let told = points.told(|placed| {
        let (point, normal) = placed;
        let near = surface.nearest(point, faces(normal.as_ref()), reach);
        let drawn = near.map(|near| surface.part_of(&near));
        let group = drawn.and_then(|part| surface.parts[part].group)?;
        if !in_question[group] {
            return None;
        }
        let (back, turned) = stances[group].back(placed, &surface.groups[group]);
        let stood =
            surface.of_group[group].nearest(&surface.facets, &back, faces(turned.as_ref()), reach);
        let square = |own: Option<Near>| own.map_or(far * far, |own| own.square.min(far * far));
        let squares = [square(near), square(stood)];
        let mut parts = [drawn, stood.map(|own| surface.part_of(&own))];
        if parts[0] == parts[1] {
            parts[1] = None;
        }
        Some((group, (parts, squares)))
    });
    let mut by_part = vec![Told::default(); surface.parts.len()];
    for (_, (parts, squares)) in told {
        for part in parts.into_iter().flatten() {
            let own = &mut by_part[part];
            own.points += 1;
            own.squares[0] += squares[0];
            own.squares[1] += squares[1];
        }
    }
    for (group, stance) in stances.iter_mut().enumerate() {
        if !in_question[group] {
            continue;
        }
        let parts = surface.parts.iter().zip(&by_part);
        let told: Vec<&Told> = parts
            .filter(|(part, own)| part.group == Some(group) && own.points >= LEAST_POINTS)
            .map(|own| own.1)
            .collect();
        if stands_as_drawn(&told, laid.noise) {
            let unsure = stance.unsure;
            *stance = Stance {
                unsure,
                points: stance.points,
                ..Stance::as_drawn()
            };
        }
    }
}

/// Whether what the parts of a group say is better said by the drawing than by the stance of the group.
fn stands_as_drawn(parts: &[&Told], noise: f64) -> bool {
    let fits =
        |own: &Told, which: usize| own.squares[which] < (FITS * noise).powi(2) * own.points as f64;
    let [as_drawn, as_found] =
        [0, 1].map(|which| parts.iter().filter(|own| fits(own, which)).count());
    if as_drawn == 0 || as_drawn >= as_found {
        return as_drawn > 0;
    }
    // All but one sit right: they are then held to where they are drawn against where the group was found, the one being
    // taken to fit wherever it stands.
    let (right, off): (Vec<&Told>, Vec<&Told>) = parts.iter().partition(|own| fits(own, 0));
    let [off] = off[..] else { return false };
    let drawn: f64 = right.iter().map(|own| own.squares[0]).sum();
    let points: usize = right.iter().map(|own| own.points).sum();
    let with_one = drawn * (1.0 + off.points as f64 / points as f64);
    let found: f64 = parts.iter().map(|own| own.squares[1]).sum();
    with_one < CLEARLY * found
}
