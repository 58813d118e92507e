//! The order in which a body's plates go together.

use axum::extract::State;
use axum::response::Response;
use body::Order;
use export::StepJson;
use serde::Serialize;
use utoipa::ToSchema;

use super::{JSON, json};
use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState};

const ORDER: Product = Product::shown("order", JSON);

/// Steps of assembly.
#[derive(Serialize, ToSchema)]
struct StepList {
    /// The steps, first to last.
    steps: Vec<StepJson>,
}

/// Plates in the order in which they are put in place.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/order",
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The steps in order", body = StepList),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn list_order(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, ORDER, |workshop, _| {
        let steps = Order::of(workshop.body()).steps;
        Ok(json(&StepList {
            steps: steps.iter().map(StepJson::from).collect(),
        }))
    })
    .await
}
