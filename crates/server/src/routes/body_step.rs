//! The body for other programs.

use axum::extract::State;
use axum::response::Response;

use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState};

const BODY_STEP: Product = Product::saved("body.step", "model/step", "step");

/// Exact solids of all plates by sub-assembly, in their places, named and coloured (STEP, mm), without rivets.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/body.step",
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The file", body = String, content_type = "model/step"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn body_step(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, BODY_STEP, |workshop, _| {
        Ok(workshop.body_step(workshop.exact_solids()).into())
    })
    .await
}
