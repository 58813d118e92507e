//! Whether the server is well, and what it has done.

use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use serde::Serialize;
use tokio::task::spawn_blocking;
use utoipa::ToSchema;

use crate::{Problem, ServerState};

/// Media type of the counters.
const OPENMETRICS: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// The state of a server that is well.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Health {
    /// `ok`.
    #[schema(example = "ok")]
    status: &'static str,
    /// Version of the program.
    version: &'static str,
}

/// Whether the folder of models can be read. Asked without a token.
#[utoipa::path(
    get,
    path = "/health",
    responses(
        (status = 200, description = "The server is well", body = Health)
    )
)]
pub(crate) async fn health(State(state): State<ServerState>) -> Result<Response, Problem> {
    let own = state.clone();
    spawn_blocking(move || own.folder().names())
        .await
        .map_err(|_| Problem::internal())??;
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    let health = Health {
        status: "ok",
        version: env!("CARGO_PKG_VERSION"),
    };
    Ok((kept, axum::Json(health)).into_response())
}

/// Counters since the start, in the text format of OpenMetrics.
#[utoipa::path(
    get,
    path = "/metrics",
    responses(
        (status = 200, description = "The counters", body = String, content_type = "application/openmetrics-text")
    )
)]
pub(crate) async fn metrics(State(state): State<ServerState>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(OPENMETRICS)),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    (headers, state.metrics().text()).into_response()
}
