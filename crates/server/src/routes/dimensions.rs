//! The lengths that a model is made from, and those that follow from them.

use axum::extract::State;
use axum::response::Response;
use export::DimensionsJson;

use super::{JSON, json};
use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState};

const DIMENSIONS: Product = Product::shown("dimensions", JSON);

/// Lengths of the model file with the defaults used, and what follows from them.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/dimensions",
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The lengths", body = DimensionsJson),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn list_dimensions(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, DIMENSIONS, |workshop, _| {
        Ok(json(&workshop.dimensions()))
    })
    .await
}
