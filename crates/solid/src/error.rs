use develop::DevelopError;
use geom::BodyPoint;

use crate::{JigFault, MeshFault};

/// Why a solid cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SolidError {
    /// A fitting's foot hangs over the edge of what it stands on.
    #[error("{name}: its foot is not wholly over what it stands on")]
    OffItsSeat {
        /// The fitting.
        name: String,
    },
    /// The plate's own geometry has no answer.
    #[error("{plate}: {cause}")]
    Develop {
        /// The plate.
        plate: String,
        /// The reason.
        cause: DevelopError,
    },
    /// Neighbouring patches of the sheet do not join smoothly, so that the skins have a crease.
    #[error("{plate}: the sheet has a crease at ({:.3}, {:.3}, {:.3})", at.x, at.y, at.z)]
    Crease {
        /// The plate.
        plate: String,
        /// Where.
        at: BodyPoint,
    },
    /// A bend is tighter than half the sheet's thickness, so that a skin runs back on itself.
    #[error(
        "{plate}: the sheet is too thick for its bend of radius {radius_mm:.3} mm at ({:.3}, {:.3}, {:.3})",
        at.x, at.y, at.z
    )]
    SkinFolds {
        /// The plate.
        plate: String,
        /// Mid-sheet radius of the bend (mm).
        radius_mm: f64,
        /// Where.
        at: BodyPoint,
    },
    /// A boundary does not close.
    #[error("{plate}: a boundary is open by {gap_mm:.6} mm at ({:.3}, {:.3}, {:.3})", at.x, at.y, at.z)]
    Open {
        /// The plate.
        plate: String,
        /// Distance between the loose ends (mm).
        gap_mm: f64,
        /// Where.
        at: BodyPoint,
    },
    /// Two boundaries touch or cross, or an opening or region lies outside the outline.
    ///
    /// Regions may share lines with the outline and with one another.
    #[error("{plate}: its outline, openings and places of other depth touch or cross")]
    Touching {
        /// The plate.
        plate: String,
    },
    /// Heights that leave no metal.
    #[error(
        "{plate}: {place} has no metal between its faces at {z_low_mm:.3} and {z_high_mm:.3} mm"
    )]
    NoMetal {
        /// The plate.
        plate: String,
        /// The region, or the plain metal.
        place: String,
        /// Inner face, outward from mid-sheet (mm).
        z_low_mm: f64,
        /// Outer face, outward from mid-sheet (mm).
        z_high_mm: f64,
    },
    /// Metal of neighbouring depths has no height in common, so that the plate falls apart.
    #[error("{plate}: the metal of {place} does not meet that of {beside}")]
    Apart {
        /// The plate.
        plate: String,
        /// The region, or the plain metal.
        place: String,
        /// What lies beside it.
        beside: String,
    },
    /// The exact solid cannot be put together.
    #[error("{plate}: the exact solid failed at {step}")]
    Kernel {
        /// The plate.
        plate: String,
        /// What was being done.
        step: &'static str,
    },
    /// Lines of a flat cross and cannot be brought apart.
    #[error("{name}: its outline, holes and depths cross one another beyond repair")]
    Tangled {
        /// The plate or fitting.
        name: String,
    },
    /// A plate has more depths than its mesh can hold, or one that is not a number.
    #[error("{plate}: {count} different heights of its faces; a plate may have 64, each a number")]
    TooManyDepths {
        /// The plate.
        plate: String,
        /// Different heights found.
        count: usize,
    },
    /// A mesh does not bound a solid.
    #[error("{name}: {fault}")]
    Unsound {
        /// The plate, fitting or block.
        name: String,
        /// What is wrong.
        fault: MeshFault,
    },
    /// A mesh boolean failed.
    #[error("cutting failed at {step}: a mesh is not closed, or nothing is left")]
    Subtraction {
        /// What was being done.
        step: &'static str,
    },
    /// A studding hole does not keep inside a block.
    #[error(
        "{block}: the studding hole of {diameter_mm:.2} mm at ({:.2}, {:.2}) breaks out of the {end} section",
        at.x, at.y
    )]
    StudBreaksOut {
        /// The block.
        block: String,
        /// Where in the section plane.
        at: geom::Point2,
        /// Diameter of the hole (mm).
        diameter_mm: f64,
        /// The section it leaves.
        end: develop::SectionEnd,
    },
    /// A cut block does not have the volume that it must have.
    #[error("{block}: the block came out at {found_mm3:.1} mm³ for {expected_mm3:.1} mm³")]
    BlockVolume {
        /// The block.
        block: String,
        /// Volume of the mesh (mm³).
        found_mm3: f64,
        /// Volume by quadrature (mm³).
        expected_mm3: f64,
    },
    /// A jig cannot be made, or fails its checks.
    #[error("{jig}, {piece}: {fault}")]
    Jig {
        /// The jig.
        jig: String,
        /// The piece of it.
        piece: String,
        /// What is wrong.
        fault: Box<JigFault>,
    },
}
