//! Drawn artwork held against the body.

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};

use check::Judgement;
use export::{FindingJson, WaivedJson, waived_json};
use serde::Serialize;
use utoipa::ToSchema;

use super::models::{body_refused, require_media};
use super::{JSON, json};
use crate::asked::{ArtworkAsked, ArtworkWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState, Tested, WorkError, Workshop, today};

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
    params(ModelPath, ArtworkWords),
    request_body(
        content(
            ([u8] = "image/vnd.dxf"), ([u8] = "image/svg+xml"), ([u8] = "application/dxf"), ([u8] = "image/x-dxf"),
            ([u8] = "application/octet-stream"), (String = "text/plain"),
        ),
        description = "A text DXF or an SVG, at most 64 MB; what it is, the content tells"
    ),
    responses(
        (status = 200, description = "Each drawn plate against the meant one, what they would build to, findings, and what waivers let pass", body = Judged),
        ModelProblems
    )
)]
pub(crate) async fn check_artwork(
    State(state): State<ServerState>,
    asked: ArtworkAsked,
    headers: HeaderMap,
    drawing: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    answered(&state, asked, &headers, drawing, JSON, |_, judged| {
        Ok(json(judged))
    })
    .await
}

/// The report of a check of artwork as a page that stands by itself.
#[utoipa::path(
    post,
    path = "/v1/models/{model}/artwork-check/report.html",
    params(ModelPath, ArtworkWords),
    request_body(
        content(
            ([u8] = "image/vnd.dxf"), ([u8] = "image/svg+xml"), ([u8] = "application/dxf"), ([u8] = "image/x-dxf"),
            ([u8] = "application/octet-stream"), (String = "text/plain"),
        ),
        description = "A text DXF or an SVG, at most 64 MB; what it is, the content tells"
    ),
    responses(
        (status = 200, description = "Verdict, what would go wrong with a picture of each place, drawn plates, every measure", body = String, content_type = "text/html"),
        ModelProblems
    )
)]
pub(crate) async fn artwork_report(
    State(state): State<ServerState>,
    asked: ArtworkAsked,
    headers: HeaderMap,
    drawing: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    const HTML: &str = "text/html; charset=utf-8";
    answered(&state, asked, &headers, drawing, HTML, |workshop, own| {
        let page = workshop.test_build_html(DRAWING, &own.tested, &own.judgement);
        Ok(page.into())
    })
    .await
}

/// The engine as drawn beside the engine as meant.
#[utoipa::path(
    post,
    path = "/v1/models/{model}/artwork-check/as-drawn.glb",
    params(ModelPath, ArtworkWords),
    request_body(
        content(
            ([u8] = "image/vnd.dxf"), ([u8] = "image/svg+xml"), ([u8] = "application/dxf"), ([u8] = "image/x-dxf"),
            ([u8] = "application/octet-stream"), (String = "text/plain"),
        ),
        description = "A text DXF or an SVG, at most 64 MB; what it is, the content tells"
    ),
    responses(
        (status = 200, description = "Binary glTF 2.0: plates as drawn, coloured by how far they are off, beside the plates as meant", body = Vec<u8>, content_type = "model/gltf-binary"),
        ModelProblems
    )
)]
pub(crate) async fn artwork_as_drawn(
    State(state): State<ServerState>,
    asked: ArtworkAsked,
    headers: HeaderMap,
    drawing: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    const GLB: &str = "model/gltf-binary";
    answered(&state, asked, &headers, drawing, GLB, |workshop, own| {
        Ok(workshop.as_drawn_glb(&own.tested.test_build)?.into())
    })
    .await
}

/// What messages and the page call a drawing that came without a name.
const DRAWING: &str = "drawing";

/// A check of artwork with what waivers let pass.
#[derive(Serialize, ToSchema)]
#[schema(as = ArtworkCheck)]
struct Judged {
    #[serde(flatten)]
    tested: Tested,
    /// Findings that waivers let pass.
    waived: Vec<WaivedJson>,
    /// Notes about waivers that let nothing pass.
    waiver_notes: Vec<FindingJson>,
    #[serde(skip)]
    judgement: Judgement,
}

impl Judged {
    fn of(tested: Tested, judgement: Judgement) -> Self {
        Self {
            tested,
            waived: waived_json(&judgement.waived),
            waiver_notes: judgement.waiver_notes().map(FindingJson::from).collect(),
            judgement,
        }
    }
}

/// Checks the drawing sent, and answers with what is made of that.
async fn answered(
    state: &ServerState,
    ArtworkAsked { asked, side_file }: ArtworkAsked,
    headers: &HeaderMap,
    drawing: Result<Bytes, BytesRejection>,
    media: &'static str,
    make: impl FnOnce(&Workshop, &Judged) -> Result<Bytes, WorkError> + Send + 'static,
) -> Result<Response, Problem> {
    require_media(headers, &DRAWING_TYPES)?;
    let drawing = drawing.map_err(|refusal| body_refused(&refusal, artwork::MAX_ARTWORK_BYTES))?;
    let source = state.source_asked(&asked).await?;
    let waivers = state.waivers(&asked.model).await?;
    let made = state
        .work(move |state| {
            let workshop = state.take(&asked, &source)?;
            let side_file = side_file.as_deref().map(str::as_bytes);
            let mut tested = workshop.tested(&drawing, DRAWING, side_file)?;
            let judgement = workshop.judge(&mut tested, &waivers, &today());
            make(&workshop, &Judged::of(tested, judgement))
        })
        .await??;
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(media))];
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    Ok((kind, kept, made).into_response())
}
