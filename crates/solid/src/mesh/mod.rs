//! Triangle meshes of plates, fittings and blocks.

mod block_mesh;
mod drawing;
mod fitting_mesh;
mod grid;
mod noding;
mod options;
mod plate_mesh;
mod rivet_head;
mod seating;
mod shading;
mod stations;
mod strips;
mod surface;
mod thickening;
mod triangulation;
mod turning;

pub use block_mesh::{block_mesh, block_volume};
pub(crate) use block_mesh::{block_rings, uncut_block_volume};
pub use fitting_mesh::mesh_fitting;
pub use options::MeshOptions;
pub use plate_mesh::{PlateFace, PlateMesh, mesh_plate};
pub(crate) use shading::shaded;
pub use strips::{Strip, Strips};
pub use surface::{Mesh, MeshFault};
pub(crate) use triangulation::triangulate_polygon;
