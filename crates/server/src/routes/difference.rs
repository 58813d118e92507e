//! What a change of a model touches: two stored models, or a stored one and an edited text.

use std::sync::Arc;

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use check::Difference;

use super::models::{TOML_TYPES, body_refused, require_media};
use super::{JSON, json};
use crate::answer::{has, not_modified, tagged};
use crate::compared::{Compared, DifferenceWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState, WorkError};

/// What differs between another model or variant and this one: plates, joints, findings, sheets.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/difference",
    params(ModelPath, DifferenceWords),
    responses(
        (status = 200, description = "What differs, before and after", body = Difference),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn difference(
    State(state): State<ServerState>,
    compared: Compared,
) -> Result<Response, Problem> {
    let after = match &compared.draft {
        Some(sha256) => state.drafts().text(&compared.model, sha256)?,
        None => Arc::new(state.source(&compared.model).await?),
    };
    let earlier = state.source(&compared.from).await?;
    let tag = compared.tag(&earlier.sha256, &after.sha256);
    if has(&compared.if_none_match, &tag) {
        return Ok(not_modified(&tag));
    }
    let bytes = state
        .work(move |state| {
            let (model, draft) = (&compared.model, compared.draft.is_some());
            let after = state.take_text(model, &after, &compared.overrides, draft)?;
            let before = compared.before(&after);
            let before = state.take_text(&compared.from, &earlier, &before, false)?;
            Ok::<_, WorkError>(json(&after.difference_from(&before)?))
        })
        .await??;
    Ok(tagged(bytes, JSON, &tag))
}

/// What would differ if the text were saved in place of the stored one. Nothing is kept.
#[utoipa::path(
    post,
    path = "/v1/models/{model}/difference",
    params(ModelPath, DifferenceWords),
    request_body(
        content((String = "text/plain", example = json!("title = \"Class B 0-6-2T\"\n…")), (String = "application/toml")),
        description = "The edited TOML text, at most 1 MB"
    ),
    responses(
        (status = 200, description = "What differs, before and after", body = Difference),
        ModelProblems
    )
)]
pub(crate) async fn difference_of_text(
    State(state): State<ServerState>,
    compared: Compared,
    headers: HeaderMap,
    content: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    require_media(&headers, &TOML_TYPES)?;
    let content = content.map_err(|refusal| body_refused(&refusal, body::MODEL_FILE_LIMIT))?;
    // A text is compared in place of a file that there is.
    state.source(&compared.model).await?;
    let before = state.source(&compared.from).await?;
    let bytes = state
        .work(move |state| {
            let name = compared.model.as_str();
            // Named apart from the stored file, whose lines are others.
            let file = format!("{} as sent", compared.model.file_name());
            let after = state
                .shelf()
                .open(name, &file, &content, &compared.overrides)?;
            let before =
                state
                    .shelf()
                    .take(&compared.from, &before, &compared.before(&after), &[])?;
            Ok::<_, WorkError>(json(&after.difference_from(&before)?))
        })
        .await??;
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(JSON))];
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    Ok((kind, kept, bytes).into_response())
}
