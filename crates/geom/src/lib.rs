//! Points and frames, chains of lines and tangent arcs, and the few numerical tools that they need.
//!
//! This crate knows plane and space geometry and nothing of metal, locomotives or files. Lengths are
//! millimetres, angles radians, both plain `f64`.
//!
//! Look first at [`Chain`] (a section or an outline: lines and circular arcs, arcs stay arcs) and at
//! [`Placement`] (a flat frame set into space). [`sections`] and [`tangency`] solve the shapes that the
//! trade's drawings give by their radii and widths alone.
//!
//! ```
//! use geom::{Chain, Point2};
//!
//! // Quarter of a tube of radius 10, then a straight leg of 5.
//! let section = Chain::starting(Point2::new(0.0, 10.0), 0.0)
//!     .arc(10.0, -std::f64::consts::FRAC_PI_2)
//!     .line(5.0)
//!     .finish();
//! assert!((section.length() - (5.0 * std::f64::consts::PI + 5.0)).abs() < 1e-12);
//! // Moved inwards by 1 (to the right of travel) the arc keeps its centre.
//! assert!((section.offset(-1.0)?.length() - (4.5 * std::f64::consts::PI + 5.0)).abs() < 1e-12);
//! # Ok::<(), geom::GeomError>(())
//! ```

mod chain;
mod error;
mod intersect;
pub mod lettering;
pub mod math;
mod outline;
mod placement;
mod quadrature;
pub mod sections;
mod segment;
pub mod tangency;
pub mod tolerance;

pub use chain::{Chain, ChainBuilder};
pub use error::GeomError;
pub use intersect::intersections;
pub use outline::{BulgeVertex, Outline};
pub use placement::Placement;
pub use quadrature::{chord_length, gauss_legendre, integrate, line_integral};
pub use segment::{Arc, Segment};

/// A point of a plane (mm).
pub type Point2 = nalgebra::Point2<f64>;
/// A direction or displacement in a plane (mm).
pub type Vector2 = nalgebra::Vector2<f64>;
/// A point in space (mm).
pub type Point3 = nalgebra::Point3<f64>;
/// A direction or displacement in space (mm).
pub type Vector3 = nalgebra::Vector3<f64>;
/// A point of a plate's flat, seen from the plate's outside face (mm).
pub type FlatPoint = Point2;
/// A point of the body: x back from the front buffer-beam face, y to the engine's left, z up from rail (mm).
pub type BodyPoint = Point3;
