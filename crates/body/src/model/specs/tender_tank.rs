//! The tank and coal space of a tender.

use super::coping::CopingSpec;
use super::tank_parts::{FillerSpec, gallons};
use super::{CHOSEN, TRADE, table};
use crate::model::reader::Reader;

/// `[tender_tank]`.
#[derive(Clone, Debug)]
pub(crate) struct TenderTankSpec {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) over: f64,
    pub(crate) top: f64,
    pub(crate) top_recess: f64,
    /// Distance of the upright butt joints of the side plates.
    pub(crate) joints: f64,
    pub(crate) coping: CopingSpec,
    pub(crate) coal_space: CoalSpaceSpec,
    pub(crate) gallons: Option<f64>,
    pub(crate) filler: Option<FillerSpec>,
}

/// `[tender_tank.coal_space]`.
#[derive(Clone, Debug)]
pub(crate) struct CoalSpaceSpec {
    pub(crate) front_bulkhead: f64,
    pub(crate) rear_bulkhead: f64,
    /// Height of the floor at the rear bulkhead.
    pub(crate) floor: f64,
    /// Height of the floor at the front bulkhead; `None` for a level one.
    pub(crate) floor_front: Option<f64>,
}

impl TenderTankSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "tender_tank");
        let c = table(reader, "tender_tank.coal_space");
        Self {
            from: t.place("from"),
            to: t.need("to"),
            over: t.need("over"),
            top: t.need("top"),
            top_recess: t.inches("top_recess", 2.0, CHOSEN),
            joints: t.inches("joint_pitch", 84.0, TRADE),
            coping: CopingSpec::read(&t),
            coal_space: CoalSpaceSpec {
                front_bulkhead: c.need("front_bulkhead"),
                rear_bulkhead: c.need("rear_bulkhead"),
                floor: c.need("floor"),
                floor_front: c.maybe("floor_front"),
            },
            gallons: gallons(&t),
            filler: FillerSpec::read(reader, "tender_tank"),
        }
    }
}
