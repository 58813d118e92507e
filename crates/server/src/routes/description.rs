//! The description of the interface.

use std::sync::Arc;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;

use super::JSON;
use crate::answer::at_hand;

/// The description as it was made at the start.
pub(crate) async fn openapi_json(State(text): State<Arc<str>>, headers: HeaderMap) -> Response {
    at_hand(text.as_bytes().to_vec(), JSON, &headers)
}
