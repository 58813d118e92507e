//! Units of the engine that are high, wide, thick, out of place or of another size.

use super::{Search, off_by};
use crate::built::estimate::Estimate;
use crate::built::fit::{even, is_notable, mean, share};
use body::{Measurement, MeasuringAxis};
use geom::math::PI;

/// Least places over which a size that is wrong throughout is told (chosen, not sourced).
const THROUGHOUT: usize = 5;

/// Units by the beginnings of what is measured up to them, and what carries them.
const UNITS: [(&str, &[&str], &str); 5] = [
    (
        "boiler and firebox sit",
        &["boiler-height-", "firebox-crown-"],
        "look at smokebox, its saddle and the formers at the throat",
    ),
    (
        "the cab sits",
        &["cab-eaves-", "roof-height"],
        "look at the feet of its sides and front on the footplate",
    ),
    (
        "the tank sits",
        &["tank-height-", "tank-side-height", "coping-height-"],
        "look at its feet on the footplate",
    ),
    (
        "the bunker sits",
        &["bunker-side-height", "bunker-flare-height-"],
        "look at its feet on the footplate",
    ),
    (
        "the buffers sit",
        &["buffer-height-"],
        "look at the buffer beams",
    ),
];

/// Units by what is measured over them, top and bottom.
const WIDE: [(&str, &str); 5] = [
    ("the tanks are", "over-tanks-"),
    ("the pannier tanks are", "over-pannier-tanks-"),
    ("the tender tank is", "over-tender-tank-"),
    ("the cab is", "over-cab-"),
    ("the bunker is", "over-bunker-"),
];

/// Looks for units that are off by the same throughout.
pub(super) fn look(search: &mut Search<'_>) {
    for (words, beginnings, then) in UNITS {
        sits_high(search, words, beginnings, then);
    }
    for (words, id) in [
        ("the smokebox is", "smokebox-diameter-"),
        ("the boiler is", "boiler-diameter-"),
    ] {
        thick(search, words, id);
    }
    for (words, id) in WIDE {
        wide(search, words, id);
    }
    off_centre(search);
    axles(search);
}

/// Everything is larger or smaller by one share.
pub(super) fn scaled(search: &mut Search<'_>) {
    let is_length = |i: &usize| {
        let own = &search.report.points[*i].point;
        search.left[*i].is_some() && !matches!(own.measurement, Measurement::Offset { .. })
    };
    let places: Vec<usize> = (0..search.left.len()).filter(is_length).collect();
    let axes = |axis: MeasuringAxis| {
        let mut all = places.iter();
        all.any(|i| search.report.points[*i].point.axis() == axis)
    };
    if places.len() < THROUGHOUT
        || !axes(MeasuringAxis::Length)
        || !(axes(MeasuringAxis::Width) || axes(MeasuringAxis::Height))
    {
        return;
    }
    let rows: Vec<(f64, f64, f64)> = places
        .iter()
        .filter_map(|i| {
            let (own, point) = (search.left[*i]?, &search.report.points[*i].point);
            // A good builder's own scatter is a third of what he keeps.
            let variance = own.standard().powi(2) + (point.tolerance / 3.0).powi(2);
            Some((point.mm(), own.mean, 1.0 / variance))
        })
        .collect();
    let (share, standard) = share(&rows);
    let fits = |i: &&usize| {
        let Some(own) = search.left[**i] else {
            return false;
        };
        let point = &search.report.points[**i].point;
        (own.mean - share * point.mm()).abs() <= own.expanded().max(0.5 * point.tolerance)
    };
    let fitting = places.iter().filter(fits).count();
    let squares = |by: f64| {
        rows.iter()
            .map(|(l, d, w)| w * (d - by * l).powi(2))
            .sum::<f64>()
    };
    let is_plain = share.abs() > 3.0 * standard
        && 10 * fitting >= 9 * places.len()
        && squares(share) < 0.25 * squares(0.0)
        && search.matters(&places);
    if !is_plain {
        return;
    }
    let longest = rows.iter().map(|own| own.0).fold(0.0, f64::max);
    let own = Estimate {
        mean: share * longest,
        type_a: 0.0,
        type_b: standard * longest,
        freedom: f64::INFINITY,
        factor: 2.0,
    };
    let sentence = format!(
        "everything is {:.2} % too {}: lengths, heights and widths alike; that is the size at which the artwork was printed or etched, not the building",
        share.abs() * 100.0,
        if share > 0.0 { "large" } else { "small" },
    );
    search.put_down("built-scaled", &own, &places, sentence, (&["scale"], &[]));
    for (i, row) in places.into_iter().zip(&rows) {
        search.take_off(i, share * row.0);
    }
}

fn sits_high(search: &mut Search<'_>, words: &str, beginnings: &[&str], then: &str) {
    let places = search.begin(beginnings);
    let own = even(&search.left_at(&places));
    let Some(own) = own.filter(|_| places.len() > 1 && search.matters(&places)) else {
        return;
    };
    let mut all = places;
    if beginnings.contains(&"boiler-height-") {
        all.extend(riding(search, &own));
    }
    let how = off_by(own.mean, ("high", "low"));
    let sentence = format!("{words} {how} on the footplate, by the same throughout; {then}");
    search.put_down("built-unit-high", &own, &all, sentence, (&[], &[]));
    for i in all {
        search.take_off(i, own.mean);
    }
}

/// Chimney and dome, where they ride as high as the boiler.
fn riding(search: &Search<'_>, boiler: &Estimate) -> Vec<usize> {
    let tops = search.begin(&["chimney-height", "dome-height"]);
    let rides = |i: &usize| {
        search.left[*i].is_some_and(|own| {
            own.mean * boiler.mean > 0.0 && (own.mean - boiler.mean).abs() < 0.5 * boiler.mean.abs()
        })
    };
    tops.into_iter().filter(rides).collect()
}

fn thick(search: &mut Search<'_>, words: &str, id: &str) {
    let places = search.begin(&[id]);
    let own = even(&search.left_at(&places));
    let Some(own) = own.filter(|_| places.len() > 1 && search.matters(&places)) else {
        return;
    };
    let how = off_by(own.mean, ("too thick", "too thin"));
    let round = off_by(own.mean * PI, ("too long", "too short"));
    let sentence = format!(
        "{words} {how} wherever it was measured: its wrapper is {round} round, or does not lie on its formers"
    );
    search.put_down("built-thick", &own, &places, sentence, (&[], &[]));
    for i in places {
        search.take_off(i, own.mean);
    }
}

fn wide(search: &mut Search<'_>, words: &str, id: &str) {
    let places = search.begin(&[id]);
    let own = even(&search.left_at(&places));
    let Some(own) = own.filter(|_| places.len() > 1 && search.matters(&places)) else {
        return;
    };
    let how = off_by(own.mean, ("too wide", "too narrow"));
    let sentence = format!(
        "{words} {how} from top to bottom: look at the plates between the sides and at the slots that place them"
    );
    search.put_down("built-wide", &own, &places, sentence, (&[], &[]));
    for i in places {
        search.take_off(i, own.mean);
    }
}

/// Chimney and dome off the centre line by the same.
fn off_centre(search: &mut Search<'_>) {
    let places = search.begin(&["chimney-offset", "dome-offset"]);
    let own = even(&search.left_at(&places));
    let Some(own) = own.filter(|_| places.len() > 1 && search.matters(&places)) else {
        return;
    };
    let how = off_by(own.mean, ("to the left", "to the right"));
    let sentence = format!(
        "chimney and dome stand {how} of the centre line by the same: the boiler stands so, or is turned about itself"
    );
    let plates = ["boiler-wrapper", "smokebox-wrapper", "boiler-former-front"];
    search.put_down("built-off-centre", &own, &places, sentence, (&[], &plates));
    for i in places {
        search.take_off(i, own.mean);
    }
}

/// An axle that stands too far back makes the wheelbase before it long and the one behind it short.
fn axles(search: &mut Search<'_>) {
    for axle in 2.. {
        let [before, behind] = [
            format!("wheelbase-{}-{axle}", axle - 1),
            format!("wheelbase-{axle}-{}", axle + 1),
        ];
        let has = |id: &str| search.report.points.iter().any(|own| own.point.id == id);
        if !has(&behind) {
            return;
        }
        let (Some(one), Some(other)) = (search.left_of(&before), search.left_of(&behind)) else {
            continue;
        };
        let back = Estimate {
            mean: -other.mean,
            ..other
        };
        let sum = one.difference(&back);
        let own = mean(&[one, back]).filter(is_notable);
        let is_opposite =
            one.mean * back.mean > 0.0 && is_notable(&one) && sum.mean.abs() <= sum.expanded();
        let places: Vec<usize> = search.begin(&[&before, &behind]);
        let Some(own) = own.filter(|_| is_opposite && search.matters(&places)) else {
            continue;
        };
        let how = off_by(own.mean, ("too far back", "too far forward"));
        let sentence = format!(
            "axle {axle} stands {how}: the wheelbase before it and the one behind it are off by the same, the opposite ways; look at its holes in the frames"
        );
        let key = format!("axles[{}].x", axle - 1);
        search.put_down(
            "built-axle",
            &own,
            &places,
            sentence,
            (&[&key], &["frame-left", "frame-right"]),
        );
        let is_before = |i: &usize, search: &Search<'_>| search.id(*i) == before;
        for i in places {
            let sign = if is_before(&i, search) { 1.0 } else { -1.0 };
            search.take_off(i, sign * own.mean);
        }
    }
}
