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

/// What the points of a part say.
#[derive(Clone, Copy, Debug, Default)]
struct Told {
    points: usize,
    /// Sums of squares (mm²), the part being where it is drawn, and where its group stands.
    squares: [f64; 2],
}

/// Takes groups that were fitted to one part back to where they are drawn: those of whose parts no fewer fit the drawing than
/// fit the group. A row of splashers with one too high is else a row that is tipped.
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
    let told = points.told(|(point, normal)| {
        let near = surface.nearest(point, faces(normal.as_ref()), reach);
        let drawn = near.map(|near| surface.part_of(&near));
        let group = drawn.and_then(|part| surface.parts[part].group)?;
        if !in_question[group] {
            return None;
        }
        let stance = &stances[group];
        let back = stance.as_if_drawn(point, &surface.groups[group]);
        let turned = normal.map(|own| stance.pose.inverse().direction(&own));
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
        let mut fit = [0; 2];
        for (part, own) in surface.parts.iter().zip(&by_part) {
            if part.group == Some(group) && own.points >= LEAST_POINTS {
                let most = (FITS * laid.noise).powi(2) * own.points as f64;
                for (fit, square) in fit.iter_mut().zip(own.squares) {
                    *fit += usize::from(square < most);
                }
            }
        }
        if fit[0] > 0 && fit[0] >= fit[1] {
            let unsure = stance.unsure;
            *stance = Stance {
                unsure,
                points: stance.points,
                ..Stance::as_drawn()
            };
        }
    }
}
