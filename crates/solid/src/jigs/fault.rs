use crate::{MeshFault, SolidError};

/// Why a jig is not made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum JigFault {
    /// It does not go onto the printer.
    #[error(
        "it is {:.1} × {:.1} × {:.1} mm, the printer takes {:.0} × {:.0} × {:.0}",
        size_mm[0], size_mm[1], size_mm[2], bed_mm[0], bed_mm[1], bed_mm[2]
    )]
    TooLarge {
        /// Its size as printed (mm).
        size_mm: [f64; 3],
        /// What can be printed (mm).
        bed_mm: [f64; 3],
    },
    /// A wall is too thin to be printed.
    #[error(
        "a wall of {found_mm:.2} mm at ({:.1}, {:.1}, {:.1}) is thinner than the {least_mm:.2} mm that print",
        at[0], at[1], at[2]
    )]
    ThinWall {
        /// Thickness found (mm).
        found_mm: f64,
        /// Least wall of the process (mm).
        least_mm: f64,
        /// Where, on the bed.
        at: [f64; 3],
    },
    /// A piece has fallen apart, or pieces have grown together.
    #[error("it came out as {found} solids instead of {wanted}")]
    Solids {
        /// Solids found.
        found: usize,
        /// Solids wanted.
        wanted: usize,
    },
    /// The mesh is not closed.
    #[error("{0}")]
    Mesh(MeshFault),
    /// The blank does not have the volume that it must have.
    #[error("it has {found_mm3:.2} mm³ instead of {wanted_mm3:.2}")]
    Volume {
        /// Volume of the mesh (mm³).
        found_mm3: f64,
        /// Volume in closed form or by quadrature (mm³).
        wanted_mm3: f64,
    },
    /// There is no room for a feature.
    #[error("{what}: {found_mm:.2} mm is there, {needed_mm:.2} mm is needed")]
    NoRoom {
        /// What there is no room for.
        what: &'static str,
        /// Room found (mm).
        found_mm: f64,
        /// Room needed (mm).
        needed_mm: f64,
    },
    /// The letters of its name do not lie on a face.
    #[error("only {:.0} % of the letters of its name lie on its face", 100.0 * share)]
    Letters {
        /// Share of their grooves that is cut.
        share: f64,
    },
    /// An outline crosses itself.
    #[error("its {what} crosses itself")]
    Crossed {
        /// Which outline.
        what: &'static str,
    },
    /// No tool leaves the bend that is wanted.
    #[error("{0}")]
    Bend(develop::DevelopError),
    /// A section cannot be moved in or out.
    #[error("{0}")]
    Section(geom::GeomError),
    /// A solid that it is made of cannot be made.
    #[error("{0}")]
    Solid(Box<SolidError>),
}

impl From<SolidError> for JigFault {
    fn from(error: SolidError) -> Self {
        Self::Solid(Box::new(error))
    }
}

impl From<geom::GeomError> for JigFault {
    fn from(error: geom::GeomError) -> Self {
        Self::Section(error)
    }
}

impl From<develop::DevelopError> for JigFault {
    fn from(error: develop::DevelopError) -> Self {
        Self::Bend(error)
    }
}
