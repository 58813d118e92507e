//! What is built wrong, named: a sub-assembly too high, twisted, too wide.

use super::parts::{Group, Side};
use super::single::Single;
use super::stance::Stance;
use super::surface::BodySurface;
use crate::tolerance::{SQUARE_RAD, built_place, built_width};
use geom::math::{PI, hypot};

/// What is wrong about a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorKind {
    /// It stands elsewhere.
    Shifted,
    /// It stands turned.
    Turned,
    /// It is too wide or too narrow.
    Width,
}

impl ErrorKind {
    /// The rule that it breaks.
    pub fn rule(self) -> &'static str {
        match self {
            Self::Shifted => "scan-shifted",
            Self::Turned => "scan-turned",
            Self::Width => "scan-width",
        }
    }
}

/// One thing that is built wrong, larger than its tolerance and than its own uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltError {
    /// The sub-assembly.
    pub assembly: String,
    /// The single plate or fitting that stands off within it; `None` for the sub-assembly as a whole.
    pub plate: Option<String>,
    /// What it is called: `Boiler`, `Side tanks, left`.
    pub title: String,
    /// What is wrong.
    pub kind: ErrorKind,
    /// The axis along which or about which: 0 along the engine, 1 across, 2 up.
    pub axis: usize,
    /// By how much, with sign along or about the axis: mm, or rad for a turn.
    pub amount: f64,
    /// Expanded uncertainty of the amount (k = 2), in its unit.
    pub uncertainty: f64,
    /// What it comes to at the farthest corner (mm).
    pub farthest: f64,
    /// The tolerance (mm).
    pub tolerance: f64,
    /// Where: the middle of the group (mm).
    pub at: geom::Point3,
    /// In words: `Boiler 0.40 mm high`.
    pub words: String,
}

/// What is built wrong, in the order of the groups.
pub(super) fn built_errors(
    surface: &BodySurface<'_>,
    stances: &[Stance],
    mm_per_foot: f64,
) -> Vec<BuiltError> {
    let mut errors = Vec::new();
    for (i, (group, stance)) in surface.groups.iter().zip(stances).enumerate() {
        let mut stance = stance.clone();
        // Two sides that stand apart by too much are one thing that is wrong, not two.
        let other = surface
            .groups
            .iter()
            .position(|own| own.assembly == group.assembly && own.side != group.side);
        if let Some(k) = other {
            let apart = apart(group, &stance, &stances[k]);
            if group.side == Side::Left
                && let Some(error) = width_error(group, apart, mm_per_foot)
            {
                errors.push(BuiltError {
                    title: whole_title(group).to_owned(),
                    words: words_of_width(whole_title(group), apart.0),
                    ..error
                });
            }
            if width_error(group, apart, mm_per_foot).is_some() {
                // What is left is how both stand off the middle together.
                stance.shift.y = (stance.shift.y + stances[k].shift.y) / 2.0;
            }
        } else if let Some(error) =
            width_error(group, (stance.wider, stance.unsure[6]), mm_per_foot)
        {
            errors.push(error);
        }
        // Both sides together are told once, by the left.
        let same = other.filter(|&k| k < i).map(|k| &stances[k]);
        for axis in 0..3 {
            let told = same.is_some_and(|left| {
                (left.shift[axis] - stance.shift[axis]).abs() < built_place(mm_per_foot) / 2.0
                    && shift_error(group, left, axis, mm_per_foot).is_some()
            });
            if !told {
                errors.extend(shift_error(group, &stance, axis, mm_per_foot));
            }
        }
        for axis in 0..3 {
            errors.extend(turn_error(group, &stance, axis, mm_per_foot));
        }
    }
    errors
}

/// Single plates that stand off while the sub-assembly that they are of does not, or not so, in the order of the body.
pub(super) fn single_errors(
    surface: &BodySurface<'_>,
    singles: &[Single],
    mm_per_foot: f64,
) -> Vec<BuiltError> {
    let mut errors = Vec::new();
    for single in singles {
        let part = &surface.parts[single.part];
        let Some(group) = part.group.map(|own| &surface.groups[own]) else {
            continue;
        };
        let own = Group {
            title: part.title(),
            low: single.low,
            high: single.high,
            middle: single.low + (single.high - single.low) / 2.0,
            ..group.clone()
        };
        let stance = Stance {
            turn: single.turn,
            shift: single.shift,
            unsure: std::array::from_fn(|k| single.unsure.get(k).copied().unwrap_or_default()),
            ..Stance::as_drawn()
        };
        let shifts = (0..3).filter_map(|axis| shift_error(&own, &stance, axis, mm_per_foot));
        let turns = (0..3).filter_map(|axis| turn_error(&own, &stance, axis, mm_per_foot));
        errors.extend(shifts.chain(turns).map(|error| BuiltError {
            plate: Some(part.id().to_owned()),
            words: format!(
                "{}, the rest of {} sitting right",
                error.words,
                lower(&group.title)
            ),
            ..error
        }));
    }
    errors
}

/// A title within a sentence.
fn lower(title: &str) -> String {
    let mut letters = title.chars();
    let first = letters.next().map(|own| own.to_ascii_lowercase());
    first.into_iter().chain(letters).collect()
}

/// How much farther apart two sides stand than drawn, and the standard uncertainty of that (mm).
fn apart(group: &Group, one: &Stance, other: &Stance) -> (f64, f64) {
    let way = if group.side == Side::Left { 1.0 } else { -1.0 };
    (
        way * (one.shift.y - other.shift.y),
        hypot(one.unsure[4], other.unsure[4]),
    )
}

fn whole_title(group: &Group) -> &str {
    group.title.split(',').next().unwrap_or(&group.title)
}

fn words_of_width(title: &str, wider: f64) -> String {
    let way = if wider > 0.0 { "wide" } else { "narrow" };
    format!("{title} {:.2} mm too {way}", wider.abs())
}

fn width_error(group: &Group, (wider, unsure): (f64, f64), mm_per_foot: f64) -> Option<BuiltError> {
    let tolerance = built_width(mm_per_foot);
    let uncertainty = 2.0 * unsure;
    (wider.abs() > tolerance && wider.abs() > uncertainty).then(|| BuiltError {
        assembly: group.assembly.to_owned(),
        plate: None,
        title: group.title.clone(),
        kind: ErrorKind::Width,
        axis: 1,
        amount: wider,
        uncertainty,
        farthest: wider.abs(),
        tolerance,
        at: group.middle,
        words: words_of_width(&group.title, wider),
    })
}

fn shift_error(
    group: &Group,
    stance: &Stance,
    axis: usize,
    mm_per_foot: f64,
) -> Option<BuiltError> {
    let tolerance = built_place(mm_per_foot);
    let amount = stance.shift[axis];
    let uncertainty = 2.0 * stance.unsure[3 + axis];
    if amount.abs() <= tolerance || amount.abs() <= uncertainty {
        return None;
    }
    let way = match (axis, amount > 0.0) {
        (0, true) => "too far back",
        (0, false) => "too far forward",
        (1, true) => "to the left",
        (1, false) => "to the right",
        (_, true) => "too high",
        (_, false) => "too low",
    };
    Some(BuiltError {
        assembly: group.assembly.to_owned(),
        plate: None,
        title: group.title.clone(),
        kind: ErrorKind::Shifted,
        axis,
        amount,
        uncertainty,
        farthest: amount.abs(),
        tolerance,
        at: group.middle,
        words: format!("{} {:.2} mm {way}", group.title, amount.abs()),
    })
}

fn turn_error(group: &Group, stance: &Stance, axis: usize, mm_per_foot: f64) -> Option<BuiltError> {
    let tolerance = built_place(mm_per_foot);
    let amount = stance.turn[axis];
    let uncertainty = 2.0 * stance.unsure[axis];
    let half = (group.high - group.low) / 2.0;
    let arm = hypot(half[(axis + 1) % 3], half[(axis + 2) % 3]);
    let farthest = amount.abs() * arm;
    if amount.abs() <= SQUARE_RAD || amount.abs() <= uncertainty || farthest <= tolerance {
        return None;
    }
    let degrees = amount.abs() * 180.0 / PI;
    let words = match (axis, amount > 0.0) {
        (0, true) => format!("leans {degrees:.2}° about x, its top to the right"),
        (0, false) => format!("leans {degrees:.2}° about x, its top to the left"),
        (1, true) => format!("tipped {degrees:.2}° about y, its front up"),
        (1, false) => format!("tipped {degrees:.2}° about y, its front down"),
        (_, true) => format!("twisted {degrees:.2}° about z, its front to the right"),
        (_, false) => format!("twisted {degrees:.2}° about z, its front to the left"),
    };
    Some(BuiltError {
        assembly: group.assembly.to_owned(),
        plate: None,
        title: group.title.clone(),
        kind: ErrorKind::Turned,
        axis,
        amount,
        uncertainty,
        farthest,
        tolerance,
        at: group.middle,
        words: format!("{} {words}", group.title),
    })
}
