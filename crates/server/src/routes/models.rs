//! The model files themselves.

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use body::{Model, Overrides};
use utoipa::IntoParams;

use super::{JSON, json};
use crate::answer::{at_hand, has, not_modified, tagged};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::folder::{FolderError, ModelName, sha256_hex};
use crate::problem::ProblemKind;
use crate::views::{ModelEntry, ModelList, VariantEntry};
use crate::{Problem, ServerState};

const TOML_TEXT: &str = "text/plain; charset=utf-8";

/// Media types that a model file may be sent as.
pub(super) const TOML_TYPES: [&str; 2] = ["text/plain", "application/toml"];

/// All model files of the folder, also those that cannot be read.
#[utoipa::path(
    get,
    path = "/v1/models",
    responses((status = 200, description = "The models, by name", body = ModelList), (status = 304, description = "The asker has it"))
)]
pub(crate) async fn list_models(
    State(state): State<ServerState>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let list = state.work(list).await??;
    Ok(at_hand(json(&list), JSON, &headers))
}

fn list(state: &ServerState) -> Result<ModelList, FolderError> {
    let names = state.folder().names()?;
    let models = names.iter().map(|name| entry(state, name)).collect();
    Ok(ModelList { models })
}

fn entry(state: &ServerState, name: &ModelName) -> ModelEntry {
    let read = state
        .folder()
        .read(name)
        .map_err(Problem::from)
        .and_then(|source| {
            Model::read(&name.file_name(), &source.bytes, &Overrides::default())
                .map_err(|error| Problem::from(&error))
        });
    let name = name.as_str().to_owned();
    match read {
        Ok(model) => ModelEntry {
            name,
            title: model.title,
            railway: model.railway,
            variants: model.variants.into_iter().map(VariantEntry::from).collect(),
            problem: None,
        },
        Err(problem) => ModelEntry {
            title: name.clone(),
            name,
            railway: String::new(),
            variants: Vec::new(),
            problem: Some(problem),
        },
    }
}

/// The text of a model file. Its ETag is the SHA-256 of the text.
#[utoipa::path(
    get,
    path = "/v1/models/{model}",
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The TOML text", body = String, content_type = "text/plain"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn read_model(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    let source = state.source(&asked.model).await?;
    let tag = strong(&source.sha256);
    if has(&asked.if_none_match, &tag) {
        return Ok(not_modified(&tag));
    }
    Ok(tagged(source.bytes.into(), TOML_TEXT, &tag))
}

/// What a write replaces.
#[derive(IntoParams)]
#[into_params(parameter_in = Header)]
#[expect(dead_code, reason = "read by the description only")]
struct IfMatch {
    /// ETag of the text that is replaced, or `*`: whatever stands there.
    #[param(rename = "If-Match", example = "*")]
    if_match: String,
}

/// Replaces the text of a model file, if it still is the one named in `If-Match` and the text can be read.
#[utoipa::path(
    put,
    path = "/v1/models/{model}",
    params(
        ModelPath,
        IfMatch,
        ModelWords,
    ),
    request_body(
        content((String = "text/plain", example = json!("title = \"Class B 0-6-2T\"\n…")), (String = "application/toml")),
        description = "The TOML text, at most 1 MB"
    ),
    responses(
        (status = 204, description = "Replaced; ETag is that of the new text"),
        (status = 412, description = "The file has changed", body = Problem, content_type = "application/problem+json"),
        (status = 428, description = "Without If-Match", body = Problem, content_type = "application/problem+json"),
        (status = 507, description = "The disk is full; the file is as it was", body = Problem, content_type = "application/problem+json"),
        ModelProblems
    )
)]
pub(crate) async fn write_model(
    State(state): State<ServerState>,
    asked: Asked,
    headers: HeaderMap,
    content: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    let expected = expected(&headers)?;
    require_media(&headers, &TOML_TYPES)?;
    let content = content.map_err(|refusal| body_refused(&refusal, body::MODEL_FILE_LIMIT))?;
    let tag = strong(&sha256_hex(&content));
    // Held over reading, comparing and writing, so that of two writes only one can win.
    let _writing = state.writing().lock().await;
    state
        .work(move |state| replace(state, &asked.model, &content, &expected))
        .await??;
    let mut response = StatusCode::NO_CONTENT.into_response();
    let value = HeaderValue::from_str(&tag).expect("a tag is a quoted hexadecimal number");
    response.headers_mut().insert(header::ETAG, value);
    Ok(response)
}

fn replace(
    state: &ServerState,
    name: &ModelName,
    content: &[u8],
    expected: &str,
) -> Result<(), Problem> {
    let present = state.folder().read(name)?;
    let is_expected = |sha256: &str| is_strong_match(expected, &strong(sha256));
    if !is_expected(&present.sha256) {
        let name = name.as_str().to_owned();
        return Err(FolderError::Changed { name }.into());
    }
    Model::read(&name.file_name(), content, &Overrides::default())
        .map_err(|error| Problem::from(&error))?;
    Ok(state.folder().replace(name, content, is_expected)?)
}

/// The list of tags in `If-Match`.
fn expected(headers: &HeaderMap) -> Result<String, Problem> {
    let value = headers.get(header::IF_MATCH).ok_or_else(|| {
        Problem::at(
            ProblemKind::Unconditional,
            "If-Match",
            "the request does not say which text it replaces",
            "send the ETag of the text that you read as If-Match",
        )
    })?;
    let text = value.to_str().unwrap_or_default();
    Ok(text.to_owned())
}

/// Whether `If-Match` names a tag: weak tags never match (RFC 9110, 13.1.1).
fn is_strong_match(list: &str, tag: &str) -> bool {
    list.split(',')
        .map(str::trim)
        .any(|own| own == tag || own == "*")
}

fn strong(sha256: &str) -> String {
    format!("\"{sha256}\"")
}

/// Refuses a body that says that it is something else; one that says nothing is read.
pub(super) fn require_media(headers: &HeaderMap, read: &[&str]) -> Result<(), Problem> {
    let Some(value) = headers.get(header::CONTENT_TYPE) else {
        return Ok(());
    };
    let text = value.to_str().unwrap_or_default();
    let media = text.split(';').next().unwrap_or_default().trim();
    if read.iter().any(|own| media.eq_ignore_ascii_case(own)) {
        return Ok(());
    }
    Err(Problem::at(
        ProblemKind::MediaType,
        "Content-Type",
        "this route does not read that kind of file",
        &format!("send it as {}", read.join(" or ")),
    ))
}

/// The refusal of a body that is too large or broke off.
pub(super) fn body_refused(refusal: &BytesRejection, limit: usize) -> Problem {
    if refusal.status() == StatusCode::PAYLOAD_TOO_LARGE {
        let text = format!("at most {limit} bytes are read here");
        return Problem::new(ProblemKind::TooLarge, text);
    }
    Problem::new(ProblemKind::Request, "the body broke off")
}
