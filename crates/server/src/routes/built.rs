//! Readings of the finished model held against its drawing.

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{FromRequest as _, Request, State};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use check::Occasion;
use check::built::{BuiltReport, MAX_READING_BYTES, ReadingsKind};
use export::{BuiltJson, ScanJson};
use serde::Serialize;
use utoipa::ToSchema;

use super::models::{body_refused, require_media};
use super::scan::{check_scan, scan_kind};
use super::{JSON, json};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState, WorkError, Workshop, today};

/// Media types that readings may be sent as: a table, then TOML.
const READING_TYPES: [&str; 4] = [
    "text/csv",
    "application/toml",
    "text/plain",
    "application/octet-stream",
];

/// What is told of readings, or of a scan.
#[derive(Serialize, ToSchema)]
#[serde(untagged)]
#[expect(
    dead_code,
    clippy::large_enum_variant,
    reason = "read by the description only"
)]
enum BuiltCheck {
    /// Of readings.
    Readings(BuiltJson),
    /// Of a scan.
    Scan(ScanJson),
}

/// What messages call readings that came without a name.
const READINGS: &str = "readings";

/// Holds readings of the finished model, or a scan of it, against its drawing: what conforms, what does not, and why.
#[utoipa::path(
    post,
    path = "/v1/models/{model}/built-check",
    params(ModelPath, ModelWords),
    request_body(
        content(
            (String = "text/csv", example = json!("place,mm\nbuffer-height,24.3\n")), (String = "application/toml"), (String = "text/plain"),
            ([u8] = "application/octet-stream"),
            ([u8] = "model/stl"), ([u8] = "application/sla"), ([u8] = "model/ply"), ([u8] = "application/ply"),
            ([u8] = "model/obj"), ([u8] = "application/object"),
        ),
        description = "Readings, at most 1 MB; or a scan, at most 512 MB and five million points"
    ),
    responses(
        (status = 200, description = "Of readings: every place with its readings and what is proved of it, what is to be equal, causes, findings. Of a scan: how it was laid on, distances of each plate, places read off, what is built wrong, findings", body = BuiltCheck),
        ModelProblems
    )
)]
pub(crate) async fn check_built(
    State(state): State<ServerState>,
    asked: Asked,
    headers: HeaderMap,
    request: Request,
) -> Result<Response, Problem> {
    if let Some(kind) = scan_kind(&headers) {
        return check_scan(&state, asked, kind, request.into_body()).await;
    }
    let readings = Bytes::from_request(request, &state).await;
    let waivers = state.waivers(&asked.model).await?;
    answered(
        &state,
        asked,
        &headers,
        readings,
        JSON,
        move |workshop, report| {
            let judged = waivers.judge(report.findings.clone(), Occasion::Readings, &today());
            Ok(json(&BuiltJson::of(workshop.model(), report, &judged)))
        },
    )
    .await
}

/// The same on paper.
#[utoipa::path(
    post,
    path = "/v1/models/{model}/built-check/sheet.pdf",
    params(ModelPath, ModelWords),
    request_body(
        content(
            (String = "text/csv", example = json!("place,mm\nbuffer-height,24.3\n")), (String = "application/toml"), (String = "text/plain"),
            ([u8] = "application/octet-stream"),
        ),
        description = "Readings, at most 1 MB"
    ),
    responses(
        (status = 200, description = "The sheet", body = Vec<u8>, content_type = "application/pdf"),
        ModelProblems
    )
)]
pub(crate) async fn built_sheet(
    State(state): State<ServerState>,
    asked: Asked,
    headers: HeaderMap,
    readings: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    const PDF: &str = "application/pdf";
    answered(
        &state,
        asked,
        &headers,
        readings,
        PDF,
        |workshop, report| Ok(workshop.built_pdf(report, None)?.into()),
    )
    .await
}

/// TOML if it says so; what says nothing is TOML if it has a table of readings.
fn kind_of(headers: &HeaderMap, readings: &[u8]) -> ReadingsKind {
    let media = headers.get(header::CONTENT_TYPE);
    let media = media.and_then(|own| own.to_str().ok()).unwrap_or_default();
    let media = media.split(';').next().unwrap_or_default().trim();
    let says = |own: &str| media.eq_ignore_ascii_case(own);
    let has_table = readings
        .split(|byte| *byte == b'\n')
        .any(|line| line.trim_ascii() == b"[readings]");
    if says(READING_TYPES[1]) || (!says(READING_TYPES[0]) && has_table) {
        ReadingsKind::Toml
    } else {
        ReadingsKind::Csv
    }
}

/// Compares the readings sent, and answers with what is made of that.
async fn answered(
    state: &ServerState,
    asked: Asked,
    headers: &HeaderMap,
    readings: Result<Bytes, BytesRejection>,
    media: &'static str,
    make: impl FnOnce(&Workshop, &BuiltReport) -> Result<Bytes, WorkError> + Send + 'static,
) -> Result<Response, Problem> {
    require_media(headers, &READING_TYPES)?;
    let readings = readings.map_err(|refusal| body_refused(&refusal, MAX_READING_BYTES))?;
    let kind = kind_of(headers, &readings);
    let source = state.source_asked(&asked).await?;
    let made = state
        .work(move |state| {
            let workshop = state.take(&asked, &source)?;
            let report = workshop.built_check(&readings, READINGS, kind)?;
            make(&workshop, &report)
        })
        .await??;
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(media))];
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    Ok((kind, kept, made).into_response())
}
