//! Drawn artwork held against the body.

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};

use super::models::{body_refused, require_media};
use super::{JSON, ModelProblems, json};
use crate::asked::ArtworkAsked;
use crate::{Problem, ServerState};

/// Media types that a drawing may be sent as.
const DRAWING_TYPES: [&str; 6] = [
    "image/vnd.dxf",
    "image/svg+xml",
    "application/dxf",
    "image/x-dxf",
    "application/octet-stream",
    "text/plain",
];

/// Holds a drawing against the body: does what was drawn make what was meant?
#[utoipa::path(
    post,
    path = "/v1/models/{model}/artwork-check",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
        ("side_file" = Option<String>, Query, description = "Text of the drawing's side file (TOML), if it has one"),
    ),
    request_body(content = [u8], content_type = "image/vnd.dxf", description = "A text DXF or an SVG, at most 64 MB"),
    responses(
        (status = 200, description = "Each drawn plate against the meant one, what they would build to, and findings", body = serde_json::Value),
        (status = 413, description = "Larger than 64 MB", body = Problem, content_type = "application/problem+json"),
        (status = 415, description = "Not sent as a DXF or SVG", body = Problem, content_type = "application/problem+json"),
        ModelProblems
    )
)]
pub(crate) async fn check_artwork(
    State(state): State<ServerState>,
    ArtworkAsked { asked, side_file }: ArtworkAsked,
    headers: HeaderMap,
    drawing: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    require_media(&headers, &DRAWING_TYPES)?;
    let drawing = drawing.map_err(|refusal| body_refused(&refusal, artwork::MAX_ARTWORK_BYTES))?;
    let source = state.source(&asked.model).await?;
    let report = state
        .work(move |state| {
            let workshop = state
                .shelf()
                .take(&asked.model, &source, &asked.overrides)?;
            workshop.tested(&drawing, "drawing", side_file.as_deref().map(str::as_bytes))
        })
        .await??;
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(JSON))];
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    Ok((kind, kept, json(&report)).into_response())
}
