//! Why a scan cannot be read or held against a body.

use std::fmt;

/// Where a file went wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// A line of a text, from 1.
    Line(u64),
    /// A byte of the file, from 0.
    Byte(u64),
}

impl fmt::Display for At {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line}"),
            Self::Byte(byte) => write!(f, "byte {byte}"),
        }
    }
}

/// Why a scan cannot be read or held against a body.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScanError {
    /// The file says something that cannot be.
    #[error("{at}: {wrong}; {right}")]
    Broken {
        /// Where.
        at: At,
        /// What is wrong.
        wrong: String,
        /// What would be right.
        right: String,
    },
    /// The file cannot be read to its end.
    #[error("byte {at}: the file cannot be read: {cause}")]
    Read {
        /// Bytes that were read.
        at: u64,
        /// What the system says.
        cause: String,
    },
    /// The beginning of the file is that of no kind that is read.
    #[error("byte 0: this is no STL, PLY or OBJ file; write the scan as one of these")]
    UnknownKind,
    /// The file is larger than is read.
    #[error("the file has more than {limit_mb} MB; thin the scan out to {points} points or fewer")]
    TooLarge {
        /// The most that is read (1 000 000 bytes).
        limit_mb: u64,
        /// The most points that are read.
        points: usize,
    },
    /// There are more points or triangles than are read.
    #[error(
        "{at}: the file has more than {limit} {what}; thin the scan out, a point each 0.1 mm is enough"
    )]
    TooMany {
        /// Where the first one too many is.
        at: At,
        /// `points` or `triangles`.
        what: &'static str,
        /// The most that are read.
        limit: usize,
    },
    /// There are too few points to lay a scan on a body.
    #[error("the scan has {points} points; {least} or more are needed")]
    TooFew {
        /// Points of the scan.
        points: usize,
        /// The fewest that do.
        least: usize,
    },
    /// The triangles enclose no area.
    #[error(
        "all {triangles} triangles of the scan have no area; write the mesh or its points again"
    )]
    NoArea {
        /// Triangles of the file.
        triangles: usize,
    },
    /// The size is that of the body in no unit.
    #[error(
        "the scan is {scan:.4} long in the numbers of the file and the body {body:.1} mm: in no unit is that the \
         same engine; say the unit with --unit mm, in or m if it is part of it"
    )]
    NoUnit {
        /// Length of the scan in the file's own numbers.
        scan: f64,
        /// Length of the body (mm).
        body: f64,
    },
    /// The scan lies on the body in no position.
    #[error(
        "the scan does not fit this body in any position: at best {share:.0} of 100 points come within {reach:.1} mm of \
         it; is it a scan of this model, at this scale?"
    )]
    NoFit {
        /// Points near the body in the best position (per cent).
        share: f64,
        /// What near is (mm).
        reach: f64,
    },
    /// The scan is a mirror image.
    #[error(
        "the scan is a mirror image: {feature} stands on the other side; turn one axis round where the scan was \
         written, or use the photographs unmirrored"
    )]
    Mirrored {
        /// The plate or fitting that stands on one side only.
        feature: String,
    },
    /// A part of the body that has no mesh.
    #[error(transparent)]
    Solid(#[from] solid::SolidError),
}

impl ScanError {
    pub(super) fn broken(at: At, wrong: impl Into<String>, right: impl Into<String>) -> Self {
        Self::Broken {
            at,
            wrong: wrong.into(),
            right: right.into(),
        }
    }
}
