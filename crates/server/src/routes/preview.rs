//! The body for looking at.

use axum::extract::State;
use axum::response::Response;

use super::ModelProblems;
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::{Problem, ServerState};

const PREVIEW: Product = Product::shown("preview", "model/gltf-binary");

/// The formed body as a binary glTF: one node a plate or fitting, named by its id.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/preview.glb",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
        ("rivets" = Option<String>, Query, description = "on or off; on if left out"),
        ("draft" = Option<String>, Query, description = "Name of a draft that is read instead of the file"),
        ("parts" = Option<String>, Query, description = "Ids of the parts that are wanted, with commas between; all, if left out"),
        ("still" = Option<String>, Query, description = "on leaves out of the parts that are named what forms them and draws them apart"),
    ),
    responses(
        (status = 200, description = "The body", body = [u8], content_type = "model/gltf-binary"),
        (status = 304),
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
