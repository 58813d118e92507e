//! Lengths: over beams and buffers, wheelbases, from end to end of the units, gap to the tender, diagonals.

use super::{JAWS, List, Measurement, MeasuringPoint};
use crate::Instrument;
use crate::model::specs::End;
use geom::{BodyPoint, Vector3};

const OVERALL: (f64, f64) = (0.25, 0.40);
const UNITS: (f64, f64) = (0.20, 0.20);

pub(super) fn add(list: &mut List<'_>) {
    beams(list);
    wheelbases(list);
    units(list);
    gap(list);
    diagonals(list);
}

impl List<'_> {
    /// A length between two places along the engine, at a distance from the centre line and a height.
    fn length(
        &mut self,
        id: &str,
        title: &str,
        (from, to): (f64, f64),
        (y, z): (f64, f64),
        tolerance: (f64, f64),
    ) -> &mut MeasuringPoint {
        let measurement = Measurement::Between {
            a: BodyPoint::new(from, y, z),
            b: BodyPoint::new(to, y, z),
            direction: Vector3::x(),
        };
        self.push(id, title, measurement, tolerance)
    }
}

fn beams(list: &mut List<'_>) {
    let (footplate, buffers) = (&list.model.footplate, &list.model.buffers);
    if let Some(over) = list.derived("buffers.over") {
        // The rear end of the dimension stands on a drag beam where there is one.
        let front = match footplate.drag_beam_at(End::Front) {
            Some(_) => 0.0,
            None => -buffers.projection,
        };
        let place = (buffers.centres / 2.0, buffers.height);
        list.length(
            "over-buffers",
            "Over buffers",
            (front, front + over),
            place,
            OVERALL,
        )
        .by(&["buffers.over", "footplate.length", "buffers.projection"])
        .on(&["buffer-beam-front", "buffer-beam-rear", "drag-beam"])
        .from("front buffers")
        .drawn();
    }
    let place = (
        footplate.beam_width * 0.3,
        (footplate.beam_bottom + footplate.top_at(0.0)) / 2.0,
    );
    list.length(
        "over-beams",
        "Over buffer beams",
        (0.0, footplate.length),
        place,
        OVERALL,
    )
    .by(&["footplate.length"])
    .on(&[
        "buffer-beam-front",
        "buffer-beam-rear",
        "drag-beam",
        "footplate",
    ])
    .from("front beam")
    .drawn();
}

fn wheelbases(list: &mut List<'_>) {
    let axles = &list.model.running.axles;
    for (i, two) in axles.windows(2).enumerate() {
        let (first, second) = (i + 1, i + 2);
        let of =
            |axle: &crate::model::specs::AxleSpec| BodyPoint::new(axle.x, 0.0, axle.diameter / 2.0);
        // Wheels of two sizes: their centres lie at two heights, and the wheelbase is level.
        let (a, b) = (of(&two[0]), of(&two[1]));
        let measurement = Measurement::Centres {
            a,
            b: BodyPoint::new(b.x, b.y, a.z),
            radius: two[0].diameter / 2.0,
        };
        let keys = [format!("axles[{i}].x"), format!("axles[{first}].x")];
        list.push(
            &format!("wheelbase-{first}-{second}"),
            &format!("Wheelbase, axle {first} to axle {second}"),
            measurement,
            (0.05, 0.05),
        )
        .by(&[&keys[0], &keys[1]])
        .on(&["frame-left", "frame-right"])
        .with(
            Instrument::Caliper,
            "rods through the bearings, outside jaws over both, less a diameter",
        )
        .from("the axle in front")
        .drawn();
    }
}

fn units(list: &mut List<'_>) {
    let model = list.model;
    let low = model.footplate.top;
    if let (Some(smokebox), Some(cab)) = (&model.smokebox, &model.cab) {
        // Beside the door; and outside firebox and windows, above the tanks.
        let axis = model.boiler().axis_height(smokebox.front);
        let eaves = list.derived("cab.eaves_height").unwrap_or(cab.roof_top);
        let measurement = Measurement::Between {
            a: BodyPoint::new(smokebox.front, smokebox.diameter * 0.46, axis),
            b: BodyPoint::new(cab.front, cab.over * 0.46, eaves * 0.96),
            direction: Vector3::x(),
        };
        list.push(
            "smokebox-front-to-cab-front",
            "Smokebox front to cab front",
            measurement,
            UNITS,
        )
        .by(&["smokebox.front", "cab.front"])
        .on(&[
            "smokebox-front",
            "cab-front",
            "boiler-wrapper",
            "firebox-wrapper",
        ])
        .from("smokebox front")
        .drawn();
    }
    if let Some(cab) = &model.cab {
        let (id, title, back, key, plates): (_, _, _, _, &[&str]) = match &model.bunker {
            Some(bunker) => (
                "cab-front-to-bunker-back",
                "Cab front to back of bunker",
                bunker.back,
                "bunker.back",
                &[
                    "cab-front",
                    "bunker-wrapper",
                    "cab-side-left",
                    "cab-side-right",
                ],
            ),
            None => (
                "cab-front-to-cab-back",
                "Cab front to back of cab",
                cab.back,
                "cab.back",
                &["cab-front", "cab-side-left", "cab-side-right", "cab-back"],
            ),
        };
        // The corners of a bunker are round; a cab may be open between its sides.
        let share = if model.bunker.is_some() { 0.3 } else { 0.495 };
        let place = (cab.over * share, low + 0.2 * (cab.roof_top - low));
        list.length(id, title, (cab.front, back), place, UNITS)
            .by(&["cab.front", key])
            .on(plates)
            .from("cab front")
            .drawn();
    }
    if let Some(tank) = &model.tender_tank {
        list.length(
            "tender-tank-length",
            "Tank front to tank back",
            (tank.from, tank.to),
            (tank.over * 0.3, (low + tank.top) / 2.0),
            UNITS,
        )
        .by(&["tender_tank.from", "tender_tank.to"])
        .on(&["tender-tank-wrapper", "tender-tank-front"])
        .from("tank front")
        .drawn();
    }
    if let Some(tank) = &model.side_tanks {
        let end = if tank.to.is_some() {
            "side_tanks.to"
        } else {
            "cab.front"
        };
        list.length(
            "tank-front-to-cab-front",
            "Tank front to cab front",
            (tank.from, model.tanks_end()),
            (tank.over * 0.45, tank.top),
            UNITS,
        )
        .by(&["side_tanks.from", end])
        .on(&[
            "tank-side-left",
            "tank-side-right",
            "tank-front-left",
            "tank-front-right",
            "cab-front",
        ])
        .from("tank front");
    }
}

/// Between the drag beams, coupled.
fn gap(list: &mut List<'_>) {
    let footplate = &list.model.footplate;
    for end in End::BOTH {
        let Some(beam) = footplate.drag_beam_at(end) else {
            continue;
        };
        let (id, own, way) = match end {
            End::Front => ("gap-to-engine", 0.0, -1.0),
            End::Rear => ("gap-to-tender", footplate.length, 1.0),
        };
        let z = (beam.bottom + footplate.top_at(own)) / 2.0;
        let place = (beam.width * 0.3, z);
        let (far, gap) = (
            own + way * beam.gap,
            "Drag beam to drag beam, coupled and drawn out",
        );
        list.length(id, gap, (own, far), place, (0.15, 0.15))
            .by(&["drag_beam.gap"])
            .on(&["drag-beam"])
            .with(
                Instrument::Caliper,
                "inside jaws, engine and tender on straight track",
            )
            .from("drag beam");
    }
}

fn diagonals(list: &mut List<'_>) {
    let model = list.model;
    let footplate = &model.footplate;
    let half = footplate.width / 2.0;
    let corner = |x: f64, y: f64| BodyPoint::new(x, y, footplate.top_at(x));
    for (hand, y) in [("left", half), ("right", -half)] {
        list.diagonal(
            &format!("footplate-diagonal-{hand}"),
            &format!("Diagonal of the footplate from its front {hand} corner"),
            (corner(0.0, y), corner(footplate.length, -y)),
            OVERALL,
        )
        .by(&["footplate.length", "footplate.width"])
        .on(&["footplate"])
        .from("front corner");
    }
    if let Some(cab) = &model.cab {
        let z = footplate.top + 0.1 * (cab.roof_top - footplate.top);
        let half = cab.over / 2.0;
        for (hand, y) in [("left", half), ("right", -half)] {
            let ends = (
                BodyPoint::new(cab.front, y, z),
                BodyPoint::new(cab.back, -y, z),
            );
            let point = list
                .diagonal(
                    &format!("cab-diagonal-{hand}"),
                    &format!("Diagonal of the cab in plan from its front {hand} corner"),
                    ends,
                    UNITS,
                )
                .by(&["cab.front", "cab.back", "cab.over"])
                .on(&["cab-side-left", "cab-side-right", "cab-front", "cab-back"])
                .from("front corner");
            if model.side_tanks.is_some() || model.bunker.is_some() {
                point.only("before tanks and bunker are put to it");
            }
        }
    }
}

impl List<'_> {
    fn diagonal(
        &mut self,
        id: &str,
        title: &str,
        (a, b): (BodyPoint, BodyPoint),
        tolerance: (f64, f64),
    ) -> &mut MeasuringPoint {
        let direction = (b - a).normalize();
        self.push(
            id,
            title,
            Measurement::Between { a, b, direction },
            tolerance,
        )
        .with(Instrument::Caliper, JAWS)
    }
}
