//! Where plates meet.

use axum::extract::State;
use axum::response::Response;
use export::JointJson;
use serde::Serialize;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::{Problem, ServerState};

const JOINTS: Product = Product::shown("joints", JSON);

/// Meetings of plates.
#[derive(Serialize)]
struct JointList {
    joints: Vec<JointJson>,
}

/// Every joint of the body: which two plates meet, and the gap between them.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/joints",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
    ),
    responses(
        (status = 200, description = "The joints: id, kind, a and b (plate, feature), gap_mm, range_mm, limit_mm, largest_contributor, at", body = serde_json::Value),
        (status = 304),
        ModelProblems
    )
)]
pub(crate) async fn list_joints(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, JOINTS, |workshop, _| {
        let joints = &workshop.body().joints;
        Ok(json(&JointList {
            joints: joints.iter().map(JointJson::from).collect(),
        }))
    })
    .await
}
