//! The description of the interface.

use std::sync::Arc;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;

use super::JSON;
use crate::answer::at_hand;

/// This description.
#[utoipa::path(
    get,
    path = "/openapi.json",
    responses(
        (status = 200, description = "The description, OpenAPI 3.1", body = serde_json::Value),
        (status = 304, description = "The asker has it"),
    )
)]
pub(crate) async fn openapi_json(State(text): State<Arc<str>>, headers: HeaderMap) -> Response {
    at_hand(text.as_bytes().to_vec(), JSON, &headers)
}
