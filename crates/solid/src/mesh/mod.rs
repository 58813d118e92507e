//! Triangle meshes of plates, fittings and blocks.

mod drawing;
mod grid;
mod noding;
mod options;
mod plate_mesh;
mod rivet_head;
mod stations;
mod surface;
mod thickening;
mod triangulation;

pub use options::MeshOptions;
pub use plate_mesh::{PlateMesh, mesh_plate};
pub use surface::{Mesh, MeshFault};
