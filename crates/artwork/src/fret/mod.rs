//! Plates laid out on sheets of metal to be etched.
//!
//! Round each plate a line is etched through; what lies beyond is waste that stays as metal and holds
//! the plates by half-etched tags. See `docs/fret.md`.

mod curves;
mod faces;
mod findings;
mod furniture;
mod lettering;
mod mask;
mod nesting;
mod numbers;
mod packing;
mod placement;
mod sheet;
mod tags;

pub use curves::{EtchedShape, shrunk};
pub use faces::EtchedFaces;
pub use furniture::{Furniture, SCALE_BAR_MM, TEST_SLOT_MM};
pub use lettering::Lettering;
pub use placement::Placement;
pub use sheet::{Fret, FretPlate, FretSheet, FretTitle, PlacedPlate, lay_out};
pub use tags::Tag;
