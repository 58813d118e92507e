//! Watertight meshes.
