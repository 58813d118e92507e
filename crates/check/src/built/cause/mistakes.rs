//! Readings that are none of their place: another unit or scale, another place, slips of the pen.

use super::Search;
use crate::built::compare::BuiltPoint;
use body::{Measurement, Scale};

/// A built error is less than so many tolerances, or this share of the length (chosen, not sourced).
const GROSS: (f64, f64) = (10.0, 0.05);

/// How near a ratio has to be to one that has a name.
const NEAR: f64 = 0.015;

/// From how many readings of one ratio on they are said to be of another unit.
const SEVERAL: usize = 3;

/// Looks for them, and leaves them out of what follows.
pub(super) fn look(search: &mut Search<'_>) {
    let gross: Vec<usize> = (0..search.left.len())
        .filter(|i| is_gross(&search.report.points[*i]))
        .collect();
    if gross.is_empty() {
        return;
    }
    let mut left = gross.clone();
    for (factor, words, mend) in factors(search.model.scale) {
        let fits = |i: &usize| ratio_of(&search.report.points[*i], factor);
        let own: Vec<usize> = left.iter().copied().filter(fits).collect();
        if own.len() < SEVERAL || 2 * own.len() < gross.len() {
            continue;
        }
        left.retain(|i| !own.contains(i));
        let sentence = format!("{} readings are {words}: {mend}", own.len());
        put_down(search, "built-other-unit", &own, sentence);
    }
    for i in left {
        let sentence = slip(search, i);
        put_down(search, "built-slip", &[i], sentence);
    }
}

fn put_down(search: &mut Search<'_>, rule: &'static str, places: &[usize], sentence: String) {
    let most = search
        .left_at(places)
        .into_iter()
        .max_by(|a, b| a.mean.abs().total_cmp(&b.mean.abs()));
    let Some(most) = most else { return };
    search.put_down(rule, &most, places, sentence, (&[], &[]));
    for i in places {
        search.left[*i] = None;
    }
}

fn is_gross(own: &BuiltPoint) -> bool {
    let Some(deviation) = own.deviation() else {
        return false;
    };
    let (tolerances, share) = GROSS;
    let limit = (tolerances * own.point.tolerance).max(share * own.point.mm().abs());
    deviation.mean.abs() > limit
}

/// Ratios of a reading to what is drawn that have a name: what the readings are, and what mends it.
fn factors(scale: Scale) -> Vec<(f64, String, &'static str)> {
    const INCHES: &str = "write  in  under unit";
    let mm_per_foot = scale.mm_per_foot();
    let mut all = vec![
        (1.0 / 25.4, "inches called millimetres".to_owned(), INCHES),
        (
            25.4,
            "millimetres called inches".to_owned(),
            "write  mm  under unit",
        ),
        (
            304.8 / mm_per_foot,
            "those of the full-size engine in millimetres".to_owned(),
            "the model is to be measured",
        ),
        (
            12.0 / mm_per_foot,
            "those of the full-size engine in inches".to_owned(),
            "the model is to be measured",
        ),
    ];
    for other in Scale::ALL {
        if other != scale {
            let words = format!("those of a model at {} scale", other.word());
            let factor = other.mm_per_foot() / mm_per_foot;
            all.push((factor, words, "compare it at its own scale with --scale"));
        }
    }
    all
}

/// Whether a reading is so many times what is drawn.
fn ratio_of(own: &BuiltPoint, factor: f64) -> bool {
    let is_length = !matches!(own.point.measurement, Measurement::Offset { .. });
    let wanted = factor * own.point.mm();
    own.estimate
        .is_some_and(|found| is_length && (found.mean - wanted).abs() <= NEAR * wanted.abs())
}

/// What a single reading may have been.
fn slip(search: &Search<'_>, i: usize) -> String {
    let own = &search.report.points[i];
    let found = own.estimate.map_or(f64::NAN, |own| own.mean);
    let begin = format!(
        "{}: {found:.2} mm was read where {:.2} is drawn, too far off for a built error",
        own.point.title,
        own.point.mm()
    );
    // A ratio first: one reading in inches stands alone more often than it is another place's.
    let mut named = factors(search.model.scale).into_iter();
    if let Some((_, words, mend)) = named.find(|(factor, ..)| ratio_of(own, *factor)) {
        return format!("{begin}; it may be of {words}: {mend}");
    }
    let is_near = |other: &&BuiltPoint| {
        let near = (found - other.point.mm()).abs() <= other.point.tolerance;
        near && other.point.id != own.point.id
    };
    let others = search.report.points.iter().filter(is_near);
    let nearest = others.min_by(|a, b| {
        let off = |own: &BuiltPoint| (found - own.point.mm()).abs();
        off(a).total_cmp(&off(b))
    });
    match nearest {
        Some(other) => format!(
            "{begin}; it is what {} should be ({:.2})",
            other.point.id,
            other.point.mm()
        ),
        None => format!("{begin}; read it again"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 7/4 of a length and 12/7 of it lie two per cent apart.
    #[test]
    fn named_ratios_cannot_be_taken_for_one_another() {
        for scale in Scale::ALL {
            let all: Vec<f64> = factors(scale).into_iter().map(|own| own.0).collect();
            for (i, one) in all.iter().enumerate() {
                for other in &all[i + 1..] {
                    assert!((one / other - 1.0).abs() > NEAR, "{one} {other}");
                }
                // And none for a length as drawn.
                assert!((one - 1.0).abs() > 2.0 * GROSS.1, "{one}");
            }
        }
    }
}
