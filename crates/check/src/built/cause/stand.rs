//! How the model stands on its wheels: high, tilted, twisted.

use super::{Search, off_by};
use crate::built::estimate::Estimate;
use crate::built::fit::{EVEN, contrast, even, is_notable, mean};
use body::Measurement;

/// Everything that is measured upwards from rail, by what it belongs to.
const OTHERS: [(&str, &[&str]); 6] = [
    ("the buffers", &["buffer-height-"]),
    ("the boiler", &["boiler-height-"]),
    ("the firebox", &["firebox-crown-"]),
    (
        "the tank",
        &["tank-height-", "tank-side-height", "coping-height-"],
    ),
    ("the cab", &["cab-eaves-", "roof-height"]),
    (
        "the bunker",
        &["bunker-side-height", "bunker-flare-height-"],
    ),
];

/// What holds the wheels.
const FRAMES: [&str; 2] = ["frame-left", "frame-right"];

/// The four corners of the footplate: front left, front right, rear left, rear right.
struct Corners {
    places: [usize; 4],
    own: [Estimate; 4],
}

impl Corners {
    fn of(search: &Search<'_>) -> Option<Self> {
        let ids = ["front-left", "front-right", "rear-left", "rear-right"];
        let mut places = [0; 4];
        let mut own = Vec::new();
        for (place, id) in places.iter_mut().zip(ids) {
            *place = *search.begin(&[&format!("footplate-height-{id}")]).first()?;
            own.push(search.left[*place]?);
        }
        let own = <[Estimate; 4]>::try_from(own).ok()?;
        Some(Self { places, own })
    }

    /// The corner that stands apart from three level ones: that is no tilt and no twist.
    fn odd_one(&self) -> Option<usize> {
        (0..4).find(|odd| {
            let others: Vec<Estimate> = (0..4).filter(|i| i != odd).map(|i| self.own[i]).collect();
            let Some(level) = mean(&others) else {
                return false;
            };
            let is_level = others.iter().all(|own| {
                let off = own.difference(&level);
                off.mean.abs() <= off.expanded().max(EVEN / 2.0)
            });
            let off = self.own[*odd].difference(&level);
            is_level && is_notable(&off) && off.mean.abs() > 2.0 * spread(&others)
        })
    }
}

fn spread(all: &[Estimate]) -> f64 {
    let means = all.iter().map(|own| own.mean);
    means.clone().fold(f64::MIN, f64::max) - means.fold(f64::MAX, f64::min)
}

/// Looks how the model stands, and takes that off everything measured from rail.
pub(super) fn look(search: &mut Search<'_>) {
    let Some(corners) = Corners::of(search) else {
        return stands_high(search);
    };
    let [fl, fr, rl, rr] = corners.own;
    let odd = corners.odd_one();
    let pitch = contrast([rl, rr], [fl, fr]);
    let roll = contrast([fl, rl], [fr, rr]);
    let twist = contrast([fl, rr], [fr, rl]);
    let matters = search.matters(&corners.places);
    if matters && odd.is_none() && is_notable(&twist) {
        twisted(search, &corners, &twist);
    }
    if matters && odd.is_none() && (is_notable(&pitch) || is_notable(&roll)) {
        return tilted(search, &corners, pitch, roll);
    }
    stands_high(search);
}

/// Two corners across stand over the other two.
fn twisted(search: &mut Search<'_>, corners: &Corners, twist: &Estimate) {
    let high = if twist.mean > 0.0 {
        "front left and rear right"
    } else {
        "front right and rear left"
    };
    let sentence = format!(
        "the footplate is twisted by {:.2} mm: its corners {high} stand over the other two; look at footplate, valances and frames before the boiler",
        twist.mean.abs()
    );
    let plates = [
        "footplate",
        "valance-left",
        "valance-right",
        FRAMES[0],
        FRAMES[1],
    ];
    search.put_down(
        "built-twisted",
        twist,
        &corners.places,
        sentence,
        (&["footplate.top"], &plates),
    );
    for (i, sign) in corners.places.into_iter().zip([1.0, -1.0, -1.0, 1.0]) {
        search.take_off(i, sign * twist.mean / 2.0);
    }
}

/// One end or one side stands over the other.
fn tilted(search: &mut Search<'_>, corners: &Corners, pitch: Estimate, roll: Estimate) {
    let [fl, fr, rl, rr] = corners.own;
    let between = |a: Estimate, b: Estimate| (a.mean + b.mean) / 2.0;
    let level = (fl.mean + fr.mean + rl.mean + rr.mean) / 4.0;
    let mut words = Vec::new();
    let mut most = pitch;
    let (mut along, mut across) = (0.0, 0.0);
    if is_notable(&pitch) {
        along = pitch.mean;
        words.push(format!(
            "{} mm at its front and {} mm at its rear",
            signed(between(fl, fr)),
            signed(between(rl, rr))
        ));
    }
    if is_notable(&roll) {
        across = roll.mean;
        words.push(format!(
            "{} mm on its left and {} mm on its right",
            signed(between(fl, rl)),
            signed(between(fr, rr))
        ));
        if roll.mean.abs() > pitch.mean.abs() {
            most = roll;
        }
    }
    let sentence = format!(
        "the model does not stand level: against its height above rail the footplate is {}; look at wheels, axle holes and springs, not at the boiler",
        words.join(", and ")
    );
    let places = heights(search);
    let at = |i: usize| search.report.points[i].point.measurement.ends().1;
    let (front, rear) = (at(corners.places[0]), at(corners.places[2]));
    let right = at(corners.places[1]);
    let middle = (front.x + rear.x) / 2.0;
    let shares: Vec<(usize, f64)> = places
        .iter()
        .map(|i| {
            let own = at(*i);
            let x = (own.x - middle) / (rear.x - front.x);
            let y = own.y / (front.y - right.y);
            (*i, level + along * x + across * y)
        })
        .collect();
    search.put_down(
        "built-tilted",
        &most,
        &places,
        sentence,
        (&["footplate.top"], &FRAMES),
    );
    for (i, share) in shares {
        search.take_off(i, share);
    }
}

fn signed(mm: f64) -> String {
    // A plain zero has no sign.
    if mm.abs() < 0.005 {
        "0.00".to_owned()
    } else {
        format!("{mm:+.2}")
    }
}

/// Everything that was measured up from rail.
fn heights(search: &Search<'_>) -> Vec<usize> {
    let is_height = |i: &usize| {
        let own = &search.report.points[*i].point;
        matches!(own.measurement, Measurement::Height { .. }) && search.left[*i].is_some()
    };
    (0..search.left.len()).filter(is_height).collect()
}

/// Everything stands high or low by the same.
fn stands_high(search: &mut Search<'_>) {
    let footplate = search.begin(&["footplate-height-", "footplate-platform-"]);
    if footplate.len() < 2 {
        return;
    }
    let Some(own) = even(&search.left_at(&footplate)) else {
        return;
    };
    let (mut with, mut without) = (Vec::new(), 0);
    for (words, beginnings) in OTHERS {
        let places = search.begin(beginnings);
        let Some(group) = mean(&search.left_at(&places)) else {
            continue;
        };
        let off = group.difference(&own);
        let goes_with = off.mean.abs() <= EVEN.max(off.expanded());
        let stays = group.mean.abs() < 0.5 * own.mean.abs();
        if goes_with && !stays {
            with.push(words);
        } else if stays {
            without += 1;
        }
    }
    let how = off_by(own.mean, ("high", "low"));
    if with.is_empty() && without > 0 {
        if !search.matters(&footplate) {
            return;
        }
        let sentence = format!(
            "the footplate alone is {how}, and what is fixed to it is not: it was measured elsewhere than drawn, or is bent down between its fixings"
        );
        let plates = ["footplate", "valance-left", "valance-right"];
        search.put_down(
            "built-unit-high",
            &own,
            &footplate,
            sentence,
            (&["footplate.top"], &plates),
        );
        for i in footplate {
            search.take_off(i, own.mean);
        }
        return;
    }
    let places = heights(search);
    if !search.matters(&places) {
        return;
    }
    let alike = if with.is_empty() {
        "the footplate at every corner".to_owned()
    } else {
        format!("the footplate, and {} with it", with.join(", "))
    };
    let sentence = format!(
        "the model stands {how}: {alike}; that is wheels, axle holes or springs, not the boiler"
    );
    search.put_down(
        "built-stands-high",
        &own,
        &places,
        sentence,
        (&["footplate.top"], &FRAMES),
    );
    for i in places {
        search.take_off(i, own.mean);
    }
}
