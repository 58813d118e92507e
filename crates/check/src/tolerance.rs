//! How far off is allowed, each with its unit and reason.

/// How far any place of a drawn outline may lie off the meant one (mm).
///
/// An etcher holds ±0.025 to ±0.075 mm between centres on a sheet; 0.05 is the middle of that
/// (common practice, no source).
pub const OUTLINE_MM: f64 = 0.05;

/// How far the centre of an opening may lie off its place along the developed line (mm).
///
/// Common practice, no source.
pub const PLACE_MM: f64 = 0.05;

/// How far the size of an opening may be off, as diameter of a circle of its area (mm).
///
/// The etcher's own tolerance of a feature in sheet of 0.5 mm; drawn sizes have no reason to differ.
pub const SIZE_MM: f64 = 0.05;

/// How far a wrapper may be too short (mm): not at all, but for what a drawing is read to.
pub const WRAPPER_SHORT_MM: f64 = READING_MM;

/// How far a wrapper may be too long at 4 mm to the foot (mm): long may be filed, short is scrap.
///
/// Common practice, no source.
pub const WRAPPER_LONG_4MM: f64 = 0.10;

/// As [`WRAPPER_LONG_4MM`], at 7 mm to the foot.
pub const WRAPPER_LONG_7MM: f64 = 0.15;

/// How far a wrapper may be too long (mm) at a scale (mm to the foot).
pub fn wrapper_long(mm_per_foot: f64) -> f64 {
    if mm_per_foot < 5.5 {
        WRAPPER_LONG_4MM
    } else {
        WRAPPER_LONG_7MM
    }
}

/// An edge that rises less than this from its chord was drawn straight (mm).
///
/// Chosen, not sourced: a line is drawn straight to a micron, a bow of 0.02 mm cannot be seen.
pub const STRAIGHT_MM: f64 = 0.02;

/// An edge that rises more than this from its chord must be drawn bowed (mm).
///
/// The tolerance of an outline: a smaller bow is within it.
pub const BOWED_MM: f64 = 0.05;

/// How closely a drawing must follow a cause for the cause to be named (mm).
///
/// Chosen, not sourced: a drawing of two decimals, a thickness typed to two decimals and an edge of
/// slightly other radius add up to a few hundredths.
pub const CAUSE_MM: f64 = 0.06;

/// A plate whose two vertices lie farther apart than this is not one corner drawn a little off (mm).
pub const CORNER_REACH_MM: f64 = 3.0;

/// An opening farther off than this is another opening (mm).
///
/// Chosen, not sourced: wider than any slip that would still be taken for the same hole.
pub const HOLE_REACH_MM: f64 = 3.0;

/// A run that encloses nothing, outside every plate, is reported from this length on (mm).
pub const OPEN_RUN_MM: f64 = 5.0;

/// A turn of the outline from which it has a corner (rad): 3°.
pub const CORNER_RAD: f64 = 0.052;

/// Two states of a model differ by more than this, or they do not differ (mm): a thousandth of what any
/// file is held to, and far above what the order of arithmetic leaves.
pub const DIFFERENCE_MM: f64 = 1e-6;

/// What the reading of a drawing may add to a length that stands on its limit (mm): chords for arcs, two decimals.
pub const READING_MM: f64 = 0.02;

/// Scales up to this many millimetres to the foot are built to the figures for 4 mm, larger ones to those for 7 mm.
const SMALL_SCALE: f64 = 5.5;

/// Least and greatest width of a tag (mm) at a scale (mm to the foot): 0.4 to 0.6 at 4 mm, 0.6 to 1.0 at 7 mm, and
/// never less than the least bar that the etcher leaves.
///
/// Common practice, no source: narrower ones let the plate drop, wider ones bend it when they are cut.
pub fn tag_widths(mm_per_foot: f64, least_bar: f64) -> (f64, f64) {
    let (least, most): (f64, f64) = if mm_per_foot < SMALL_SCALE {
        (0.4, 0.6)
    } else {
        (0.6, 1.0)
    };
    (least.max(least_bar), most.max(least_bar))
}

/// Metal between a plate and the edge of the sheet (mm), at least, at a scale (mm to the foot).
///
/// Common practice, no source: borders are 4 to 6 mm at 4 mm scale and 6 to 8 mm at 7 mm.
pub fn least_border(mm_per_foot: f64) -> f64 {
    if mm_per_foot < SMALL_SCALE { 4.0 } else { 6.0 }
}

/// How far a built sub-assembly may stand from its place (mm) at a scale (mm to the foot).
///
/// What careful builders keep for heights over rail: common practice, no source.
pub fn built_place(mm_per_foot: f64) -> f64 {
    if mm_per_foot < SMALL_SCALE {
        0.15
    } else {
        0.20
    }
}

/// How far a built sub-assembly may be too wide or too narrow (mm) at a scale (mm to the foot).
///
/// What careful builders keep over tanks and cab: common practice, no source.
pub fn built_width(mm_per_foot: f64) -> f64 {
    if mm_per_foot < SMALL_SCALE {
        0.15
    } else {
        0.25
    }
}

/// How far a built sub-assembly may stand out of square (rad): 0.05 in 10, common practice, no source.
pub const SQUARE_RAD: f64 = 0.005;
