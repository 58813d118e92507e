//! Developable surfaces of thin sheet: the map between a plate's flat and its formed place.
//!
//! This crate knows sheet, bends, alloys and the etch process; it knows no locomotive and no file.
//! Everything is measured on one *neutral surface*; the two skins lie half a thickness either side
//! along its normal.
//!
//! Look first at [`Forming`] (how a plate stands in space), at [`Loft`] (a wrapper between two
//! sections, ruled by parallel tangents: cylinder, right cone and oblique cone are its special
//! cases) and at [`Trace`] (a curve on a loft that is exact in both states).
//!
//! *Never approximated silently:* two sections that cannot be joined by a developable surface are
//! a [`DevelopError`] that says where.

mod alignment;
mod alloy;
mod bend;
mod bend_tool;
mod chebyshev;
mod cone;
mod coping;
mod error;
mod fold;
mod folded;
mod formed_ruling;
mod forming;
mod loft;
mod matching;
mod measure;
mod motion;
mod nearest;
mod patch;
mod process;
mod spring_back;
mod stock;
mod trace;
mod turning;

pub use alloy::{Alloy, Temper, alloys};
pub use bend::BendRule;
pub use bend_tool::{BendTool, tool_for, tool_of_stress};
pub use cone::{AnnularSector, oblique_cone, right_cone};
pub use coping::{ConeSegment, coping_corner, coping_stretch, mitre_run_out};
pub use error::{DevelopError, SectionEnd};
pub use fold::HalfEtchedFold;
pub use folded::Folded;
pub use formed_ruling::FormedRuling;
pub use forming::{Forming, Place};
pub use loft::{Loft, LoftFrame, SurfacePoint};
pub use measure::LoopMeasure;
pub use motion::Motion;
pub use patch::{Patch, Ruling};
pub use process::{EtchProcess, processes};
pub use spring_back::{SpringBack, spring_back};
pub use stock::{StockKind, StockRound, StockSystem, nearest_stock, nearest_stock_of, stock};
pub use trace::Trace;
