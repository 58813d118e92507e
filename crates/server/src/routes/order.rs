//! The order in which a body's plates go together.

use axum::extract::State;
use axum::response::Response;
use body::Order;
use export::StepJson;
use serde::Serialize;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::{Problem, ServerState};

const ORDER: Product = Product::shown("order", JSON);

/// Steps of assembly.
#[derive(Serialize)]
struct StepList {
    steps: Vec<StepJson>,
}

/// Plates in the order in which they are put in place.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/order",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
    ),
    responses(
        (status = 200, description = "The steps in order: plate, layer, onto (ids of joints with plates that already stand)", body = serde_json::Value),
        (status = 304),
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
