//! What an engine or tender stands on, seen in plan: axles, trucks, ends and couplings.

use crate::assemblies::trucks_of;
use crate::model::specs::{AxleKind, End};
use crate::{Model, WheelDimensions};

/// Axles, trucks and ends of an engine or tender. Distances along it are x of the body, from the front.
#[derive(Clone, Debug, PartialEq)]
pub struct Chassis {
    /// Name of the class.
    pub title: String,
    /// All axles, front to rear.
    pub axles: Vec<Axle>,
    /// Trucks, front to rear.
    pub trucks: Vec<Truck>,
    /// Distance over the beams (mm).
    pub length: f64,
    /// Half the width over the beam at the front and at the rear (mm).
    pub half_beams: [f64; 2],
    /// Where it is coupled close to another vehicle, at the front and at the rear.
    pub drawbars: [Option<Drawbar>; 2],
    /// Its wheels.
    pub wheels: WheelDimensions,
    /// Greatest radius to which a curve is still a curve for it (mm): the least that it is meant for.
    pub least_radius: f64,
}

/// An axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axle {
    /// Counted from the front, from one.
    pub number: usize,
    /// Where it is along the engine (mm).
    pub x: f64,
    /// Diameter of its wheels on tread (mm).
    pub diameter: f64,
    /// Side play each way in its bearings (mm).
    pub play: f64,
    /// What holds it.
    pub held: Held,
}

/// What holds an axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// The frames; coupled by rods or running free.
    Frames {
        /// True if rods drive it.
        coupled: bool,
    },
    /// A truck, by its place in [`Chassis::trucks`].
    Truck(usize),
}

/// How a truck moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TruckKind {
    /// Turns about a pivot between its axles that slides across the engine.
    Bogie,
    /// Swings about a pivot away from its axle: a pony truck, or a radial truck about its centre.
    Swinging,
}

/// A truck.
#[derive(Clone, Debug, PartialEq)]
pub struct Truck {
    /// Kebab-case name, with which the names of its plates begin: `bogie-1`.
    pub id: String,
    /// How it moves.
    pub kind: TruckKind,
    /// Numbers of its axles, front to rear.
    pub axles: Vec<usize>,
    /// x of its pivot (mm).
    pub pivot: f64,
    /// How far its pivot slides each way across the engine, for a bogie (mm).
    pub slide: f64,
}

/// A close coupling at an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawbar {
    /// How far the pin stands inside the face of the drag beam (mm).
    pub pin: f64,
    /// Gap between the faces of the drag beams when coupled on the straight (mm).
    pub gap: f64,
}

impl Chassis {
    /// The chassis of a model.
    pub fn of(model: &Model) -> Self {
        let trucks = trucks_of(model);
        let in_frames: Vec<usize> = (1..)
            .zip(&model.running.axles)
            .filter(|(_, axle)| axle.kind.in_frames())
            .map(|(number, _)| number)
            .collect();
        let ends = [in_frames.first(), in_frames.last()];
        let axles = (1..)
            .zip(&model.running.axles)
            .map(|(number, axle)| Axle {
                number,
                x: axle.x,
                diameter: axle.diameter,
                play: axle.side_play.unwrap_or_else(|| {
                    let (end, middle) = model.wheels.side_play();
                    if ends.contains(&Some(&number)) {
                        end
                    } else {
                        middle
                    }
                }),
                held: match trucks.iter().position(|t| t.axles.contains(&number)) {
                    Some(truck) => Held::Truck(truck),
                    None => Held::Frames {
                        coupled: axle.kind == AxleKind::Coupled,
                    },
                },
            })
            .collect();
        let half = |end| {
            let beam = model.footplate.drag_beam_at(end);
            beam.map_or(model.footplate.beam_width, |beam| beam.width) / 2.0
        };
        let drawbar = |end| {
            model.footplate.drag_beam_at(end).map(|beam| Drawbar {
                pin: beam.pin,
                gap: beam.gap,
            })
        };
        Self {
            title: model.title.clone(),
            axles,
            trucks,
            length: model.footplate.length,
            half_beams: End::BOTH.map(half),
            drawbars: End::BOTH.map(drawbar),
            wheels: model.wheels.dimensions(),
            least_radius: model.running.least_radius,
        }
    }

    /// Axles that the frames hold, front to rear.
    pub fn rigid(&self) -> impl Iterator<Item = &Axle> {
        self.axles
            .iter()
            .filter(|axle| matches!(axle.held, Held::Frames { .. }))
    }

    /// The axle of a number.
    pub fn axle(&self, number: usize) -> Option<&Axle> {
        self.axles.iter().find(|axle| axle.number == number)
    }
}
