//! The body for looking at.

use axum::extract::State;
use axum::response::Response;

use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState};

const PREVIEW: Product = Product::shown("preview", "model/gltf-binary");

/// The formed body as a binary glTF: one node a plate or fitting, named by its id.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/preview.glb",
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The body", body = [u8], content_type = "model/gltf-binary"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn preview(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, PREVIEW, |workshop, asked| {
        if asked.parts.is_empty() {
            return workshop.preview(asked.rivets);
        }
        Ok(workshop
            .parts_glb(&asked.parts, asked.rivets, asked.still)?
            .into())
    })
    .await
}
