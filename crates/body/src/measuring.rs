//! The places at which a finished model is measured against its drawing.

use crate::{Body, Model, PrototypeLength};
use geom::BodyPoint;

/// Which way a place is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MeasuringAxis {
    /// Along the engine.
    Length,
    /// Up from the rail, or between two heights.
    Height,
    /// Across the engine.
    Width,
}

/// A place to measure.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuringPoint {
    /// What is measured: `Rail to top of footplate`.
    pub title: String,
    /// With what, and from where.
    pub how: &'static str,
    /// Which way.
    pub axis: MeasuringAxis,
    /// Both ends.
    pub ends: (BodyPoint, BodyPoint),
    /// What a good hand-built model keeps, either way (mm).
    pub tolerance: f64,
    /// Whether a general arrangement gives it, beside the measuring sheet.
    pub on_drawing: bool,
}

impl MeasuringPoint {
    /// Length on the model (mm).
    pub fn mm(&self) -> f64 {
        (self.ends.1 - self.ends.0).norm()
    }

    /// Length of the full-size engine.
    pub fn full_size(&self, mm_per_foot: f64) -> PrototypeLength {
        PrototypeLength::inches(self.mm() / mm_per_foot * 12.0)
    }
}

const JAWS: &str = "outside jaws";
const GAUGE: &str = "height gauge on a flat plate, the model on its wheels";
const DEPTH: &str = "depth jaw from a straight-edge on the flat plate";

/// The places of a model, lengths first, then heights and widths.
///
/// Tolerances are what careful builders keep at 4 mm and 7 mm scale: common practice, no source.
pub fn measuring_points(model: &Model, body: &Body) -> Vec<MeasuringPoint> {
    let mut list = List {
        points: Vec::new(),
        pick: |four, seven| model.scale.pick(four, seven),
    };
    lengths(&mut list, model, body);
    heights(&mut list, model);
    widths(&mut list, model, body);
    let mut points = list.points;
    points.retain(|point| point.mm() > 1e-6);
    points.sort_by_key(|point| point.axis);
    points
}

struct List<P> {
    points: Vec<MeasuringPoint>,
    pick: P,
}

impl<P: Fn(f64, f64) -> f64> List<P> {
    fn push(
        &mut self,
        title: &str,
        how: &'static str,
        ends: (BodyPoint, BodyPoint),
        (four, seven): (f64, f64),
        on_drawing: bool,
    ) {
        let along = ends.1 - ends.0;
        let axis = match along.iamax() {
            0 => MeasuringAxis::Length,
            1 => MeasuringAxis::Width,
            _ => MeasuringAxis::Height,
        };
        self.points.push(MeasuringPoint {
            title: title.to_owned(),
            how,
            axis,
            ends,
            tolerance: (self.pick)(four, seven),
            on_drawing,
        });
    }

    fn length(&mut self, title: &str, from: f64, to: f64, z: f64, off: (f64, f64), drawn: bool) {
        let at = |x| BodyPoint::new(x, 0.0, z);
        self.push(title, JAWS, (at(from), at(to)), off, drawn);
    }

    fn height(&mut self, title: &str, how: &'static str, x: f64, z: f64, off: (f64, f64)) {
        let at = |z| BodyPoint::new(x, 0.0, z);
        // What the cab or the next sheet hides is measured, but not drawn.
        let is_seen = !title.contains("throat") && !title.ends_with("rear");
        self.push(
            title,
            how,
            (at(0.0), at(z)),
            off,
            is_seen || title.contains("tank"),
        );
    }

    fn width(&mut self, title: &str, x: f64, z: f64, whole: f64, off: (f64, f64), drawn: bool) {
        let at = |y| BodyPoint::new(x, y, z);
        self.push(title, JAWS, (at(-whole / 2.0), at(whole / 2.0)), off, drawn);
    }
}

fn lengths<P: Fn(f64, f64) -> f64>(list: &mut List<P>, model: &Model, body: &Body) {
    let footplate = &model.footplate;
    let buffers = &model.buffers;
    let over = body
        .dimensions
        .iter()
        .find(|own| own.path == "buffers.over");
    if let Some(over) = over {
        let front = -buffers.projection;
        list.length(
            "Over buffers",
            front,
            front + over.mm,
            buffers.height,
            (0.25, 0.40),
            true,
        );
    }
    list.length(
        "Over buffer beams",
        0.0,
        footplate.length,
        footplate.top,
        (0.25, 0.40),
        true,
    );
    let axles = &model.running.axles;
    for (i, two) in axles.windows(2).enumerate() {
        let title = format!("Wheelbase, axle {} to axle {}", i + 1, i + 2);
        let z = two[0].diameter / 2.0;
        list.length(&title, two[0].x, two[1].x, z, (0.05, 0.05), true);
    }
    if let (Some(smokebox), Some(cab)) = (&model.smokebox, &model.cab) {
        list.length(
            "Smokebox front to cab front",
            smokebox.front,
            cab.front,
            footplate.top,
            (0.20, 0.20),
            true,
        );
    }
    if let Some(cab) = &model.cab {
        let back = model.bunker.as_ref().map_or(cab.back, |own| own.back);
        let title = if model.bunker.is_some() {
            "Cab front to back of bunker"
        } else {
            "Cab front to back of cab"
        };
        list.length(title, cab.front, back, footplate.top, (0.20, 0.20), true);
    }
    if let Some(tank) = &model.tender_tank {
        list.length(
            "Tank front to tank back",
            tank.from,
            tank.to,
            tank.top,
            (0.20, 0.20),
            true,
        );
    }
    if model.side_tanks.is_some() {
        let tank = model.side_tanks();
        list.length(
            "Tank front to cab front",
            tank.from,
            model.tanks_end(),
            tank.top,
            (0.20, 0.20),
            false,
        );
    }
}

fn heights<P: Fn(f64, f64) -> f64>(list: &mut List<P>, model: &Model) {
    let usual = (0.15, 0.20);
    list.height(
        "Rail to buffer centre",
        GAUGE,
        -model.buffers.projection,
        model.buffers.height,
        (0.20, 0.30),
    );
    // With dropped ends the top is level between them only.
    let (title, x) = if model.footplate.drops.is_empty() {
        ("Rail to top of footplate, at four corners", 0.0)
    } else {
        (
            "Rail to top of footplate between the drops, at four places",
            0.45 * model.footplate.length,
        )
    };
    list.height(title, GAUGE, x, model.footplate.top, usual);
    if let Some(boiler) = &model.boiler {
        for (title, x) in [
            ("Rail to top of boiler at the smokebox", boiler.from),
            ("Rail to top of boiler at the throat", boiler.end()),
        ] {
            list.height(
                title,
                DEPTH,
                x,
                boiler.axis_height(x) + boiler.radius(x),
                usual,
            );
        }
    }
    if let (Some(firebox), Some(boiler)) = (&model.firebox, &model.boiler) {
        let (from, to) = (boiler.end(), boiler.end() + firebox.length);
        list.height(
            "Rail to crown of firebox, front",
            DEPTH,
            from,
            firebox.front.crown,
            usual,
        );
        list.height(
            "Rail to crown of firebox, rear",
            DEPTH,
            to,
            firebox.rear.crown,
            usual,
        );
    }
    let tops = [
        model.side_tanks.as_ref().map(|own| (own.from, own.top)),
        model.saddle_tank.as_ref().map(|own| (own.from, own.top)),
        model.pannier_tanks.as_ref().map(|own| (own.from, own.top)),
        model.tender_tank.as_ref().map(|own| (own.from, own.top)),
    ];
    for (x, top) in tops.into_iter().flatten() {
        list.height("Rail to top of tank, front and rear", GAUGE, x, top, usual);
    }
    if let Some(bunker) = &model.bunker {
        list.height(
            "Rail to top of bunker",
            GAUGE,
            bunker.back,
            bunker.top,
            usual,
        );
    }
    if let Some(cab) = &model.cab {
        list.height("Rail to top of roof", GAUGE, cab.back, cab.roof_top, usual);
    }
    if let Some(chimney) = &model.chimney {
        list.height(
            "Rail to top of chimney",
            GAUGE,
            chimney.x,
            chimney.top,
            (0.10, 0.15),
        );
    }
    if let Some(dome) = &model.dome {
        list.height("Rail to top of dome", GAUGE, dome.x, dome.top, (0.10, 0.15));
    }
}

fn widths<P: Fn(f64, f64) -> f64>(list: &mut List<P>, model: &Model, body: &Body) {
    let usual = (0.15, 0.25);
    let footplate = &model.footplate;
    let middle = footplate.length / 2.0;
    list.width(
        "Over footplate",
        middle,
        footplate.top,
        footplate.width,
        usual,
        true,
    );
    list.width(
        "Between buffer centres",
        -model.buffers.projection,
        model.buffers.height,
        model.buffers.centres,
        usual,
        true,
    );
    if let Some(smokebox) = &model.smokebox {
        let z = model.boiler().axis_height(smokebox.front);
        list.width(
            "Diameter of smokebox, across two axes",
            smokebox.front,
            z,
            smokebox.diameter,
            (0.15, 0.15),
            true,
        );
    }
    if let Some(boiler) = &model.boiler {
        for (title, x) in [
            (
                "Diameter of boiler at the smokebox, across two axes",
                boiler.from,
            ),
            (
                "Diameter of boiler at the throat, across two axes",
                boiler.end(),
            ),
        ] {
            let whole = 2.0 * boiler.radius(x);
            list.width(title, x, boiler.axis_height(x), whole, (0.15, 0.15), false);
        }
    }
    if let (Some(firebox), Some(boiler)) = (&model.firebox, &model.boiler) {
        for (title, x, end) in [
            (
                "Over firebox at the shoulders, front",
                boiler.end(),
                &firebox.front,
            ),
            (
                "Over firebox at the shoulders, rear",
                boiler.end() + firebox.length,
                &firebox.rear,
            ),
        ] {
            let z = end.crown - end.shoulder_radius;
            list.width(title, x, z, 2.0 * end.half_width, (0.15, 0.15), false);
        }
    }
    if let Some(tank) = &model.side_tanks {
        list.width(
            "Over tanks, at top and bottom",
            tank.from,
            tank.top,
            tank.over,
            usual,
            true,
        );
    }
    if let Some(tank) = &model.saddle_tank {
        list.width(
            "Over saddle tank",
            tank.from,
            tank.bottom,
            2.0 * tank.half_width,
            usual,
            true,
        );
    }
    if let Some(tank) = &model.pannier_tanks {
        list.width(
            "Over pannier tanks",
            tank.from,
            tank.top,
            tank.over,
            usual,
            true,
        );
    }
    if let Some(tank) = &model.tender_tank {
        list.width(
            "Over tender tank, at top and bottom",
            tank.from,
            tank.top,
            tank.over,
            usual,
            true,
        );
    }
    if let Some(cab) = &model.cab {
        list.width(
            "Over cab, at eaves and bottom",
            cab.back,
            footplate.top,
            cab.over,
            usual,
            true,
        );
        list.width(
            "Over cab roof",
            cab.back,
            cab.roof_top,
            2.0 * cab.roof_half_width,
            usual,
            false,
        );
    }
    let flare = body
        .dimensions
        .iter()
        .find(|own| own.path.ends_with(".over_flare"));
    if let Some(flare) = flare {
        let tank = model.tender_tank.as_ref().map(|own| (own.to, own.top));
        let bunker = model.bunker.as_ref().map(|own| (own.back, own.top));
        if let Some((x, z)) = tank.or(bunker) {
            list.width("Over the flare", x, z, flare.mm, usual, false);
        }
    }
}
