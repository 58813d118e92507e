//! Where plates meet.

use axum::extract::State;
use axum::response::Response;
use export::JointJson;
use serde::Serialize;
use utoipa::ToSchema;

use super::{JSON, json};
use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState};

const JOINTS: Product = Product::shown("joints", JSON);

/// Meetings of plates.
#[derive(Serialize, ToSchema)]
struct JointList {
    /// The joints, in the order of the body.
    joints: Vec<JointJson>,
}

/// Every joint of the body: which two plates meet, and the gap between them.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/joints",
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The joints", body = JointList),
        (status = 304, description = "The asker has it"),
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
