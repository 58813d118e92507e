//! Heights above rail, and how upright chimney and dome stand.

use super::{List, Measurement, MeasuringPoint};
use crate::Instrument;
use crate::model::specs::{BoilerSpec, End};
use geom::BodyPoint;
use geom::math::tan;

const USUAL: (f64, f64) = (0.15, 0.20);
const FITTINGS: (f64, f64) = (0.10, 0.15);
const BUFFERS: (f64, f64) = (0.20, 0.30);

pub(super) fn add(list: &mut List<'_>) {
    buffers(list);
    footplate(list);
    boiler(list);
    firebox(list);
    tanks(list);
    flares(list);
    cab(list);
    chimney_and_dome(list);
}

impl List<'_> {
    fn height(
        &mut self,
        id: &str,
        title: &str,
        at: (f64, f64, f64),
        tolerance: (f64, f64),
    ) -> &mut MeasuringPoint {
        let at = BodyPoint::new(at.0, at.1, at.2);
        self.push(id, title, Measurement::Height { at }, tolerance)
    }
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
        for (hand, y) in [("left", own.centres / 2.0), ("right", -own.centres / 2.0)] {
            let point = list
                .height(
                    &format!("buffer-height-{word}-{hand}"),
                    &format!("Rail to buffer centre, {word} {hand}"),
                    (x, y, own.height),
                    BUFFERS,
                )
                .by(&["buffers.height"])
                .on(&[&format!("buffer-beam-{word}")])
                .with(
                    Instrument::HeightGauge,
                    "height gauge to the top of the head, less half its diameter",
                );
            if hand == "left" && end == End::Front {
                point.drawn();
            }
        }
    }
}

/// The footplate's main level at four corners, and each level that it drops to.
fn footplate(list: &mut List<'_>) {
    let own = &list.model.footplate;
    let (y, inset) = (own.width * 0.48, own.length * 0.01);
    for level in own.levels() {
        if level.suffix.is_empty() {
            for (word, x) in [("front", level.from + inset), ("rear", level.to - inset)] {
                for (hand, y) in [("left", y), ("right", -y)] {
                    let point = list
                        .height(
                            &format!("footplate-height-{word}-{hand}"),
                            &format!("Rail to top of footplate, {word} {hand}"),
                            (x, y, level.top),
                            USUAL,
                        )
                        .by(&["footplate.top"])
                        .on(&["footplate", "frame-left", "frame-right"]);
                    if word == "front" && hand == "left" {
                        point.drawn();
                    }
                }
            }
        } else {
            let word = level.suffix.trim_start_matches('-');
            let at = own.drops.iter().position(|drop| drop.end.word() == word);
            let key = format!("footplate.drops[{}].level", at.unwrap_or(0));
            list.height(
                &format!("footplate-platform-{word}"),
                &format!("Rail to top of footplate on its {word} platform"),
                ((level.from + level.to) / 2.0, y, level.top),
                USUAL,
            )
            .by(&[&key])
            .on(&["footplate", "valance-left", "valance-right"]);
        }
    }
}

/// Where the top of the barrel is free between its ends, nearest its middle.
fn free_middle(boiler: &BoilerSpec, dome: Option<(f64, f64)>) -> f64 {
    let at = |share: f64| boiler.from + share * boiler.length();
    let is_free = |x: &f64| dome.is_none_or(|(middle, radius)| (x - middle).abs() > radius + 1.0);
    let shares = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].map(at);
    shares.into_iter().find(is_free).unwrap_or(shares[0])
}

fn boiler(list: &mut List<'_>) {
    let model = list.model;
    let Some(boiler) = &model.boiler else { return };
    let dome = model.dome.as_ref();
    let dome = dome.map(|own| (own.x, own.skirt_diameter / 2.0));
    let middle = free_middle(boiler, dome);
    for (place, words, x) in [
        ("smokebox", "at the smokebox", boiler.from),
        ("middle", "half way", middle),
        ("throat", "at the throat", boiler.end()),
    ] {
        let top = boiler.axis_height(x) + boiler.radius(x);
        let keys = boiler_keys(boiler, x);
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        let covered = model.saddle_tank.as_ref();
        let covered = covered.is_some_and(|tank| x >= tank.from && x <= tank.to);
        let point = list
            .height(
                &format!("boiler-height-{place}"),
                &format!("Rail to top of boiler {words}"),
                (x, 0.0, top),
                USUAL,
            )
            .by(&["boiler.pitch"])
            .by(&keys)
            .on(&["boiler-wrapper", "smokebox-wrapper", "boiler-former"])
            .with(
                Instrument::Depth,
                "depth rod from a straight-edge, its own height over the flat plate taken",
            );
        if covered {
            point.only("before the saddle tank is put on");
        }
        if place == "smokebox" {
            point.drawn();
        }
    }
}

/// Keys of the diameters that decide the barrel's size at a place.
pub(super) fn boiler_keys(boiler: &BoilerSpec, x: f64) -> Vec<String> {
    let ring = boiler.ring_at(x);
    let share = (x - ring.from) / ring.length;
    let mut keys = Vec::new();
    if share < 0.99 {
        // A ring that carries on the one before it has a default of its own under this key.
        keys.push(format!("{}.front_diameter", ring.key));
    }
    if share > 0.01 {
        keys.push(format!("{}.rear_diameter", ring.key));
    }
    keys
}

fn firebox(list: &mut List<'_>) {
    let model = list.model;
    let (Some(firebox), Some(boiler)) = (&model.firebox, &model.boiler) else {
        return;
    };
    let (from, to) = (boiler.end(), boiler.end() + firebox.length);
    // The top of a sloping backhead stands further forward than its foot.
    let lean = (firebox.rear.crown - model.footplate.top) * tan(firebox.backhead_slope);
    let crown = |x: f64| {
        let share = (x - from) / firebox.length;
        firebox.front.crown + (firebox.rear.crown - firebox.front.crown) * share
    };
    let round = firebox.shape == crate::model::specs::FireboxShape::RoundTop;
    for (word, x) in [("front", from), ("rear", to - lean)] {
        let own = |key: &str| format!("firebox.{word}.{key}");
        let keys: [&str; 4] = if round {
            [
                &own("radius"),
                "firebox.radius",
                "firebox.over_cladding",
                "boiler.pitch",
            ]
        } else {
            [&own("crown"), "firebox.crown", "", ""]
        };
        let point = list
            .height(
                &format!("firebox-crown-{word}"),
                &format!("Rail to crown of firebox, {word}"),
                (x, 0.0, crown(x)),
                USUAL,
            )
            .by(&keys)
            .on(&["firebox-wrapper", &format!("firebox-former-{word}")])
            .with(
                Instrument::Depth,
                "depth rod from a straight-edge, its own height over the flat plate taken",
            );
        if word == "front" {
            point.drawn();
        }
    }
}

fn tanks(list: &mut List<'_>) {
    let model = list.model;
    let side = model.side_tanks.as_ref().map(|own| {
        let ends = (own.from, model.tanks_end());
        (
            "side_tanks.top",
            ends,
            own.over * 0.498,
            own.top,
            "tank-side-left",
        )
    });
    let saddle = model.saddle_tank.as_ref().map(|own| {
        let ends = (own.from, own.to);
        ("saddle_tank.top", ends, 0.0, own.top, "saddle-tank-wrapper")
    });
    let pannier = model.pannier_tanks.as_ref().map(|own| {
        let y = (own.inner + own.over / 2.0 - own.shoulder_radius) / 2.0;
        let ends = (own.from, own.to);
        ("pannier_tanks.top", ends, y, own.top, "pannier-tank")
    });
    let all = [side, saddle, pannier].into_iter().flatten();
    for (key, (from, to), y, top, plate) in all {
        let inset = (to - from) * 0.02;
        for (word, x) in [("front", from + inset), ("rear", to - inset)] {
            let point = list
                .height(
                    &format!("tank-height-{word}"),
                    &format!("Rail to top of tank, {word}"),
                    (x, y, top),
                    USUAL,
                )
                .by(&[key])
                .on(&[plate, "footplate"]);
            if word == "front" {
                point.drawn();
            }
        }
    }
}

/// Tender and bunker: where the flare begins, which the drawing gives, and its upper edge, which can be measured.
fn flares(list: &mut List<'_>) {
    let model = list.model;
    let tender = model.tender_tank.as_ref().map(|own| {
        let words = ("coping-height", "coping", "tender_tank", "tender-flare");
        (words, (own.from, own.to), own.top, own.coping.corner_radius)
    });
    let bunker = model.bunker.as_ref().map(|own| {
        let words = (
            "bunker-flare-height",
            "the bunker's flare",
            "bunker",
            "bunker-flare",
        );
        let ends = (model.bunker_front(), own.back);
        (words, ends, own.top, own.coping.corner_radius)
    });
    for ((id, words, table, plate), (from, to), top, corner) in
        [tender, bunker].into_iter().flatten()
    {
        let body = if table == "bunker" {
            "bunker-wrapper"
        } else {
            "tender-tank-wrapper"
        };
        let over = if table == "bunker" {
            model.bunker_over()
        } else {
            model.tender_tank().over
        };
        let what = if table == "bunker" { "bunker" } else { "tank" };
        list.height(
            &format!("{what}-side-height"),
            &format!("Rail to top of {what} side, where the flare begins"),
            ((from + to) / 2.0, over / 2.0, top),
            USUAL,
        )
        .by(&[&format!("{table}.top")])
        .on(&[body])
        .drawn();
        let key = format!("{table}.height_over_flare");
        let Some(height) = list.derived(&key) else {
            continue;
        };
        let half = list
            .derived(&format!("{table}.over_flare"))
            .map_or(over / 2.0, |own| own / 2.0);
        let inset = (to - from) * 0.05;
        for (word, x) in [("front", from + inset), ("rear", to - corner - inset)] {
            list.height(
                &format!("{id}-{word}"),
                &format!("Rail to the edge of {words}, {word}"),
                (x, half, height),
                USUAL,
            )
            .by(&[
                &format!("{table}.top"),
                &format!("{table}.flare_radius"),
                &key,
            ])
            .on(&[&format!("{plate}-left"), body]);
        }
    }
}

fn cab(list: &mut List<'_>) {
    let Some(cab) = &list.model.cab else { return };
    let middle = (cab.front + cab.back) / 2.0;
    if let Some(eaves) = list.derived("cab.eaves_height") {
        for (hand, y) in [
            ("left", cab.roof_half_width),
            ("right", -cab.roof_half_width),
        ] {
            list.height(
                &format!("cab-eaves-{hand}"),
                &format!("Rail to the eaves of the cab, {hand}"),
                (middle, y, eaves),
                USUAL,
            )
            .by(&["cab.eaves_height", "cab.roof.top"])
            .on(&["cab-roof", &format!("cab-side-{hand}")]);
        }
    }
    list.height(
        "roof-height",
        "Rail to top of roof",
        (middle, 0.0, cab.roof_top),
        USUAL,
    )
    .by(&["cab.roof.top"])
    .on(&["cab-roof", "cab-front", "cab-back", "cab-roof-rib"])
    .drawn();
}

fn chimney_and_dome(list: &mut List<'_>) {
    let model = list.model;
    let barrel = model.boiler.as_ref();
    let tops = [
        model.chimney.as_ref().map(|own| {
            let at = (own.x, own.top, own.top, own.cap_diameter);
            ("chimney", at, "smokebox-wrapper")
        }),
        model.dome.as_ref().map(|own| {
            // The side of the dome half way up, where a square touches it.
            let seat = barrel.map_or(own.top, |b| b.axis_height(own.x) + b.radius(own.x));
            let at = (own.x, own.top, (own.top + seat) / 2.0, own.diameter);
            ("dome", at, "boiler-wrapper")
        }),
    ];
    for (what, (x, top, side, diameter), plate) in tops.into_iter().flatten() {
        let key = format!("{what}.top");
        list.height(
            &format!("{what}-height"),
            &format!("Rail to top of {what}"),
            (x, 0.0, top),
            FITTINGS,
        )
        .by(&[&key])
        .on(&[plate])
        .drawn();
        let offset = Measurement::Offset {
            at: BodyPoint::new(x, 0.0, side),
            radius: diameter / 2.0,
        };
        list.push(
            &format!("{what}-offset"),
            &format!("Middle of the {what} from the centre line"),
            offset,
            FITTINGS,
        )
        .by(&[&format!("{what}.x")])
        .on(&[plate]);
    }
}
