use develop::DevelopError;

/// Why a file cannot be written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ExportError {
    /// A mesh names a vertex that it does not have.
    #[error("{name}: a triangle uses vertex {index}, the mesh has {vertices}")]
    NoSuchVertex {
        /// The plate, fitting or block.
        name: String,
        /// The vertex asked for.
        index: u32,
        /// Number of vertices.
        vertices: usize,
    },
    /// A mesh with a coordinate or normal that is no number, or a normal without direction.
    #[error("{name}: vertex {index} has a position or normal that is no number or no direction")]
    BadVertex {
        /// The plate, fitting or block.
        name: String,
        /// The vertex.
        index: usize,
    },
    /// A mesh whose normals do not go with its vertices.
    #[error("{name}: {normals} normals for {vertices} vertices")]
    NormalCount {
        /// The plate, fitting or block.
        name: String,
        /// Number of normals.
        normals: usize,
        /// Number of vertices.
        vertices: usize,
    },
    /// A mesh whose colours do not go with its vertices.
    #[error("{name}: {colours} colours for {vertices} vertices")]
    ColourCount {
        /// The plate, fitting or block.
        name: String,
        /// Number of colours.
        colours: usize,
        /// Number of vertices.
        vertices: usize,
    },
    /// A mesh without triangles: there is no solid to write.
    #[error("{name}: the mesh has no triangles")]
    NoTriangles {
        /// The plate, fitting or block.
        name: String,
    },
    /// A file of a format that counts in 32 bits would be larger.
    #[error("{name}: the file would be larger than its format can say")]
    TooLarge {
        /// The file or the mesh.
        name: String,
    },
    /// A plate that cannot be measured.
    #[error("{plate}: {cause}")]
    Develop {
        /// The plate.
        plate: String,
        /// The reason.
        cause: DevelopError,
    },
    /// A solid that 3MF refuses.
    #[error("{name}: 3MF refuses it")]
    Threemf {
        /// The file or the solid.
        name: String,
    },
    /// A train that cannot be stood on its track.
    #[error(transparent)]
    Running(#[from] check::running::RunningError),
    /// A PDF that cannot be written.
    #[error("{what} of a PDF cannot be written")]
    Pdf {
        /// Which part of it.
        what: &'static str,
    },
}
