//! The lengths that a model is made from, and those that follow from them.

use axum::extract::State;
use axum::response::Response;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::{Problem, ServerState};

const DIMENSIONS: Product = Product::shown("dimensions", JSON);

/// Lengths of the model file with the defaults used, and what follows from them.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/dimensions",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
        ("draft" = Option<String>, Query, description = "Name of a draft that is read instead of the file"),
    ),
    responses(
        (status = 200, description = "The lengths: inputs, derived, angles, defaults", body = serde_json::Value),
        (status = 304),
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
