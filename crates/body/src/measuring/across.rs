//! Widths and diameters.

use super::upright::boiler_keys;
use super::{List, Measurement, MeasuringPoint};
use crate::Instrument;
use crate::model::specs::{End, FireboxEnd, FireboxShape, SmokeboxKind};
use geom::math::tan;
use geom::{BodyPoint, Vector3};

const USUAL: (f64, f64) = (0.15, 0.25);
const ROUND: (f64, f64) = (0.15, 0.15);

pub(super) fn add(list: &mut List<'_>) {
    footplate(list);
    buffers(list);
    cylinders(list);
    smokebox(list);
    boiler(list);
    firebox(list);
    tanks(list);
    cab_and_bunker(list);
    flares(list);
}

impl List<'_> {
    fn width(
        &mut self,
        id: &str,
        title: &str,
        (x, z): (f64, f64),
        whole: f64,
        tolerance: (f64, f64),
    ) -> &mut MeasuringPoint {
        let at = |y| BodyPoint::new(x, y, z);
        let measurement = Measurement::Between {
            a: at(-whole / 2.0),
            b: at(whole / 2.0),
            direction: Vector3::y(),
        };
        self.push(id, title, measurement, tolerance)
    }

    /// A diameter of something that lies along the engine, across it (and upright if `both`).
    fn diameters(
        &mut self,
        id: &str,
        title: &str,
        centre: BodyPoint,
        radius: f64,
        both: bool,
        mut say: impl FnMut(&mut MeasuringPoint, bool),
    ) {
        let ways = [
            ("across", "across", Vector3::y()),
            ("upright", "upright", Vector3::z()),
        ];
        for (word, words, across) in ways.into_iter().take(if both { 2 } else { 1 }) {
            let measurement = Measurement::Diameter {
                centre,
                axis: Vector3::x(),
                across,
                radius,
            };
            let point = self.push(
                &format!("{id}-{word}"),
                &format!("{title}, {words}"),
                measurement,
                ROUND,
            );
            say(point, word == "across");
        }
    }
}

fn footplate(list: &mut List<'_>) {
    let own = &list.model.footplate;
    let middle = own.length / 2.0;
    list.width(
        "over-footplate",
        "Over footplate",
        (middle, own.top_at(middle)),
        own.width,
        USUAL,
    )
    .by(&["footplate.width"])
    .on(&["footplate"])
    .drawn();
}

fn buffers(list: &mut List<'_>) {
    let (footplate, own) = (&list.model.footplate, &list.model.buffers);
    for end in End::BOTH {
        if footplate.drag_beam_at(end).is_some() {
            continue;
        }
        let (word, x) = match end {
            End::Front => ("front", -own.projection),
            End::Rear => ("rear", footplate.length + own.projection),
        };
        let at = |y| BodyPoint::new(x, y, own.height);
        let measurement = Measurement::Centres {
            a: at(-own.centres / 2.0),
            b: at(own.centres / 2.0),
            radius: own.head / 2.0,
        };
        let point = list
            .push(
                &format!("buffer-centres-{word}"),
                &format!("Between buffer centres, {word}"),
                measurement,
                (0.15, 0.15),
            )
            .by(&["buffers.centres"])
            .on(&[&format!("buffer-beam-{word}")]);
        if end == End::Front || footplate.drag_beam_at(End::Front).is_some() {
            point.drawn();
        }
    }
}

fn cylinders(list: &mut List<'_>) {
    let Some(own) = &list.model.cylinders else {
        return;
    };
    let at = ((own.from + own.to) / 2.0, own.height);
    list.width(
        "over-cylinders",
        "Over cylinders",
        at,
        own.centres + own.diameter,
        USUAL,
    )
    .by(&["cylinders.centres", "cylinders.diameter", "cylinders.over"])
    .on(&["cylinder-left-wrapper", "cylinder-right-wrapper"]);
}

fn smokebox(list: &mut List<'_>) {
    let model = list.model;
    let Some(own) = &model.smokebox else { return };
    // A built-up smokebox has no underside.
    let is_drum = matches!(own.kind, SmokeboxKind::Drum(_));
    let z = model.boiler().axis_height(own.front);
    list.diameters(
        "smokebox-diameter",
        "Diameter of smokebox",
        BodyPoint::new(own.front, 0.0, z),
        own.diameter / 2.0,
        is_drum,
        |point, across| {
            point
                .by(&["smokebox.diameter"])
                .on(&["smokebox-wrapper", "smokebox-front"]);
            if across {
                point.drawn();
            }
        },
    );
}

fn boiler(list: &mut List<'_>) {
    let model = list.model;
    let Some(own) = &model.boiler else { return };
    for (word, words, former, x) in [
        ("front", "at the smokebox", "boiler-former-front", own.from),
        ("rear", "at the throat", "boiler-former-rear", own.end()),
    ] {
        let keys = boiler_keys(own, x);
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        list.diameters(
            &format!("boiler-diameter-{word}"),
            &format!("Diameter of boiler {words}"),
            BodyPoint::new(x, 0.0, own.axis_height(x)),
            own.radius(x),
            true,
            |point, _| {
                point.by(&keys).on(&["boiler-wrapper", former]);
                point.only("before boiler and footplate are put together");
            },
        );
    }
}

fn firebox(list: &mut List<'_>) {
    let model = list.model;
    let (Some(firebox), Some(boiler)) = (&model.firebox, &model.boiler) else {
        return;
    };
    let foot = model.footplate.top;
    let round = firebox.shape == FireboxShape::RoundTop;
    for (word, x, end) in [
        ("front", boiler.end(), &firebox.front),
        ("rear", boiler.end() + firebox.length, &firebox.rear),
    ] {
        let low = end.waist.as_ref().and_then(|waist| waist.from);
        let (z, title) = if round {
            (
                boiler.axis_height(boiler.end()),
                "at the boiler's centre line",
            )
        } else {
            (side_middle(end, low.unwrap_or(foot)), "at the shoulders")
        };
        let key = |key: &str| format!("firebox.{word}.{key}");
        let sides: [&str; 3] = if round {
            [&key("radius"), "firebox.radius", "firebox.over_cladding"]
        } else {
            [&key("half_width"), "firebox.half_width", ""]
        };
        // A sloping backhead stands further forward the higher it is.
        let x_at = |z: f64| {
            if word == "rear" {
                x - (z - foot) * tan(firebox.backhead_slope)
            } else {
                x
            }
        };
        let own = format!("firebox-former-{word}");
        let plates = ["firebox-wrapper", own.as_str()];
        list.width(
            &format!("firebox-width-shoulder-{word}"),
            &format!("Over firebox {title}, {word}"),
            (x_at(z), z),
            2.0 * end.half_width,
            ROUND,
        )
        .by(&sides)
        .on(&plates);
        if let Some(waist) = &end.waist {
            list.width(
                &format!("firebox-width-waist-{word}"),
                &format!("Over firebox at its foot, {word}"),
                (x_at(foot), foot),
                2.0 * waist.bottom_half_width,
                ROUND,
            )
            .by(&[&key("bottom_half_width"), "firebox.bottom_half_width"])
            .on(&plates);
        }
    }
}

/// A height in the straight part of a firebox's side; its lower end where the side leans, since the drawing gives the width there.
fn side_middle(end: &FireboxEnd, low: f64) -> f64 {
    if end.lean != 0.0 {
        return low;
    }
    let inside = end.half_width - end.shoulder_radius;
    let camber = inside * inside / (2.0 * end.crown_radius);
    (low + end.crown - end.shoulder_radius - camber) / 2.0
}

fn tanks(list: &mut List<'_>) {
    let model = list.model;
    let foot = model.footplate.top;
    if let Some(tank) = &model.side_tanks {
        let x = (tank.from + model.tanks_end()) / 2.0;
        list.top_and_bottom(
            ("over-tanks", "Over tanks"),
            x,
            (foot, tank.top),
            tank.over,
            &["side_tanks.over"],
            &["tank-side-left", "tank-side-right"],
        );
    }
    if let Some(tank) = &model.saddle_tank {
        let at = (
            (tank.from + tank.to) / 2.0,
            tank.bottom + 1.5 * tank.bottom_corner_radius,
        );
        let whole = 2.0 * tank.half_width;
        list.width("over-saddle-tank", "Over saddle tank", at, whole, USUAL)
            .by(&["saddle_tank.half_width"])
            .on(&["saddle-tank-wrapper", "saddle-tank-end"])
            .drawn();
    }
    if let Some(tank) = &model.pannier_tanks {
        let x = (tank.from + tank.to) / 2.0;
        list.top_and_bottom(
            ("over-pannier-tanks", "Over pannier tanks"),
            x,
            (tank.bottom, tank.top - tank.shoulder_radius),
            tank.over,
            &["pannier_tanks.over"],
            &["pannier-tank"],
        );
    }
    if let Some(tank) = &model.tender_tank {
        let x = (tank.from + tank.to) / 2.0;
        list.top_and_bottom(
            ("over-tender-tank", "Over tender tank"),
            x,
            (foot, tank.top),
            tank.over,
            &["tender_tank.over"],
            &["tender-tank-wrapper"],
        );
    }
}

fn cab_and_bunker(list: &mut List<'_>) {
    let model = list.model;
    let foot = model.footplate.top;
    if let Some(cab) = &model.cab {
        let eaves = list.derived("cab.eaves_height").unwrap_or(cab.roof_top);
        // Before the cut-outs.
        let x = cab.front + 0.08 * (cab.back - cab.front);
        list.top_and_bottom(
            ("over-cab", "Over cab"),
            x,
            (foot, eaves),
            cab.over,
            &["cab.over"],
            &["cab-side-left", "cab-side-right", "cab-front"],
        );
        let middle = (cab.front + cab.back) / 2.0;
        list.width(
            "over-roof",
            "Over cab roof",
            (middle, eaves),
            2.0 * cab.roof_half_width,
            USUAL,
        )
        .by(&["cab.roof.half_width"])
        .on(&["cab-roof"]);
    }
    if let Some(bunker) = &model.bunker {
        let key = if bunker.over.is_some() {
            "bunker.over"
        } else {
            "cab.over"
        };
        let x = (model.bunker_front() + bunker.back) / 2.0;
        list.top_and_bottom(
            ("over-bunker", "Over bunker"),
            x,
            (foot, bunker.top),
            model.bunker_over(),
            &[key],
            &["bunker-wrapper"],
        );
    }
}

impl List<'_> {
    /// One width near the upper and near the lower edge of upright sides; the upper one is drawn.
    fn top_and_bottom(
        &mut self,
        (id, title): (&str, &str),
        x: f64,
        (low, high): (f64, f64),
        whole: f64,
        keys: &[&str],
        plates: &[&str],
    ) {
        for (word, words, share) in [
            ("top", "at the top", 0.93),
            ("bottom", "at the bottom", 0.07),
        ] {
            let z = low + (high - low) * share;
            let (id, title) = (format!("{id}-{word}"), format!("{title}, {words}"));
            let point = self
                .width(&id, &title, (x, z), whole, USUAL)
                .by(keys)
                .on(plates)
                .with(Instrument::Caliper, super::JAWS);
            if word == "top" {
                point.drawn();
            }
        }
    }
}

fn flares(list: &mut List<'_>) {
    let model = list.model;
    let tender = model.tender_tank.as_ref();
    let tender = tender.map(|own| ("tender_tank", "coping", (own.from + own.to) / 2.0));
    let bunker = model.bunker.as_ref();
    let bunker = bunker.map(|own| {
        (
            "bunker",
            "bunker-flare",
            (model.bunker_front() + own.back) / 2.0,
        )
    });
    for (table, word, x) in [tender, bunker].into_iter().flatten() {
        let key = format!("{table}.over_flare");
        let height = list.derived(&format!("{table}.height_over_flare"));
        let (Some(whole), Some(z)) = (list.derived(&key), height) else {
            continue;
        };
        let over = if table == "bunker" && model.bunker().over.is_none() {
            "cab.over".to_owned()
        } else {
            format!("{table}.over")
        };
        let title = if table == "bunker" {
            "Over the bunker's flare"
        } else {
            "Over coping"
        };
        let flare = if table == "bunker" {
            ["bunker-flare", "bunker-wrapper"]
        } else {
            ["tender-flare", "tender-tank-wrapper"]
        };
        list.width(&format!("over-{word}"), title, (x, z), whole, ROUND)
            .by(&[&key, &over, &format!("{table}.flare_radius")])
            .on(&flare);
    }
}
