use crate::FlatError;
/// Why a drawing cannot be read or made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ArtworkError {
    /// The file is larger than is read.
    #[error("the drawing has {bytes} bytes; at most {limit} are read")]
    TooLarge {
        /// Its size.
        bytes: usize,
        /// The most that is read.
        limit: usize,
    },
    /// The file holds nothing.
    #[error("the drawing is an empty file")]
    Empty,
    /// The file is a binary DXF.
    #[error("the drawing is a binary DXF; save it as a text DXF (any release from R12 on)")]
    Binary,
    /// The file is no DXF at all.
    #[error("this is not a DXF drawing: line {line} should be {expected} but is \"{found}\"")]
    NotDxf {
        /// Line of the file, from 1.
        line: usize,
        /// What a DXF has there.
        expected: &'static str,
        /// The start of what is there.
        found: String,
    },
    /// The file ends before its end mark.
    #[error("the drawing is cut short: it ends at line {line} {within}, without its EOF mark")]
    Truncated {
        /// Last line of the file.
        line: usize,
        /// Where in the drawing that is.
        within: String,
    },
    /// A number that cannot be one.
    #[error(
        "line {line}: \"{found}\" is no usable number (group {code} of a {kind} on layer {layer})"
    )]
    BadNumber {
        /// Line of the file, from 1.
        line: usize,
        /// Group code of the value.
        code: i32,
        /// The start of what is there.
        found: String,
        /// Kind of entity.
        kind: String,
        /// Its layer, if it was named before the number.
        layer: String,
    },
    /// A drawing unit that no etch artwork is in.
    #[error(
        "the drawing's header says that its unit is {unit} ($INSUNITS {code}); use millimetres or inches"
    )]
    Unit {
        /// The unit in words.
        unit: &'static str,
        /// Value of $INSUNITS.
        code: i64,
    },
    /// A block that contains itself.
    #[error("block {name} contains itself")]
    BlockInItself {
        /// Name of the block.
        name: String,
    },
    /// Blocks nested deeper than is read.
    #[error("blocks are nested deeper than {limit} at block {name}")]
    BlocksTooDeep {
        /// Name of the block.
        name: String,
        /// The deepest nesting that is read.
        limit: usize,
    },
    /// More curves than is read.
    #[error("the drawing has more than {limit} curves or insertions, blocks written out")]
    TooMany {
        /// The most that is read.
        limit: usize,
    },
    /// More splines and ellipses than is read.
    #[error("the drawing has more than {limit} pieces of splines and ellipses, blocks written out")]
    TooManySplines {
        /// The most that is read.
        limit: usize,
    },
    /// Something drawn farther off than any sheet reaches.
    #[error(
        "something on layer {layer} lies farther than {limit_mm} mm from the origin, or nowhere"
    )]
    OutOfReach {
        /// Its layer.
        layer: String,
        /// The farthest that is read (mm).
        limit_mm: f64,
    },
    /// A file of another kind.
    #[error("{name} is {found}; a drawing is read from text DXF or SVG")]
    OtherKind {
        /// Name of the file.
        name: String,
        /// What it seems to be.
        found: &'static str,
    },
    /// An SVG that cannot be read, at its place.
    #[error("line {line}, column {column} of the SVG: {what}")]
    Svg {
        /// Line of the file, from 1.
        line: u32,
        /// Column in the line, in characters, from 1.
        column: u32,
        /// What is wrong.
        what: String,
    },
    /// Outlines so thickly nested that sorting them out would take too long.
    #[error(
        "too many closed outlines lie within one another to be sorted out, about ({x_mm:.1}, {y_mm:.1})"
    )]
    TooIntricate {
        /// Where the sorting stopped.
        x_mm: f64,
        /// Where the sorting stopped.
        y_mm: f64,
    },
    /// The reading library refused what passed our own checks.
    #[error("the drawing cannot be read: {reason}")]
    Unreadable {
        /// The library's reason.
        reason: String,
    },
    /// A plate whose flat cannot be drawn.
    #[error(transparent)]
    Flat(#[from] FlatError),
}
