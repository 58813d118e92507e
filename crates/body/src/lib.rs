//! The body of a locomotive, from its model file to plates with their joints.
//!
//! This crate knows locomotives, scales and wheels; it knows no mesh, no file format but the model
//! file, and nothing of HTTP. It reads no file and writes none.

mod assemblies;
mod bends;
mod body;
mod chassis;
mod error;
mod finding;
mod fit;
mod folded;
mod joint;
mod laminations;
mod measure;
mod measuring;
mod model;
mod order;
mod own_plate;
mod panel;
mod plate;
mod rows;
mod seated;
mod section_places;
mod sound_flat;
mod tabs;
mod upright;
mod wrapper;

pub use assemblies::build;
pub use bends::{Bend, ToolAt, bends};
pub use body::{
    Assembly, Body, DerivedAngle, DerivedDimension, Fitting, FittingShape, FormerBlock, Look,
};
pub use chassis::{Axle, Chassis, Drawbar, Held, Truck, TruckKind};
pub use error::BodyError;
pub use finding::{Finding, FindingPlace, Severity};
pub use joint::{Joint, JointKind, Meeting, Side};
pub use measuring::{
    EqualReadings, Instrument, Measurement, MeasuringAxis, MeasuringPoint, equal_readings,
    measuring_points,
};
pub use model::{
    AllowanceBy, DefaultUsed, Dimension, Field, FieldKind, FretSpec, GaugePoint, InputLength,
    InputOrigin, Load, MODEL_FILE_LIMIT, Metal, Model, ModelError, Motor, Opening, Overrides,
    OwnPlate, PrintSpec, Problem, PrototypeLength, RearFilm, Rolling, Scale, SheetPaper,
    SheetsSpec, Variant, WeightSpec, WheelDimensions, WheelStandard, is_variant_name,
    line_and_column, parse_dimension,
};
pub use order::{Order, Precedence, Step};
pub use own_plate::OwnShape;
pub use plate::{
    Curve, Edge, EdgeLengths, Enclosed, Face, Hole, Mark, Plate, Purpose, Region, Rivet, RivetDot,
    Sheet, flat_curves,
};
pub use seated::{Seat, Seated, SeatedPlace};
pub use section_places::section_places;
