//! Texts that are being edited.

use std::sync::Arc;
use std::time::Instant;

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, HeaderName, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use body::Model;
use serde::Serialize;
use utoipa::ToSchema;

use super::models::{TOML_TYPES, body_refused, require_media};
use super::{JSON, json};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::field_view::FieldView;
use crate::folder::Source;
use crate::{Problem, ServerState};

/// What a text that is being edited makes.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct Draft {
    /// Its name in queries: the SHA-256 of the text.
    draft: String,
    /// The keys that the text has or may have; none if it is no TOML.
    fields: Vec<FieldView>,
    /// Why it cannot be built, if it cannot.
    problem: Option<Problem>,
    /// Plates and fittings of the body; none if it cannot be built.
    parts: Vec<PartMark>,
}

/// A part of the body as built.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct PartMark {
    /// Its id.
    id: String,
    /// The same mark under the same id is the same part; another mark may be another part.
    mark: String,
}

/// Keeps a text in memory and builds it, so that `?draft=` can ask for what it makes. Nothing is written.
#[utoipa::path(
    post,
    path = "/v1/models/{model}/drafts",
    params(ModelPath, ModelWords),
    request_body(
        content((String = "text/plain", example = json!("title = \"Class B 0-6-2T\"\n…")), (String = "application/toml")),
        description = "The edited TOML text, at most 1 MB"
    ),
    responses(
        (status = 200, description = "The draft: its keys, and what is wrong with it or the parts that it makes", body = Draft),
        ModelProblems
    )
)]
pub(crate) async fn make_draft(
    State(state): State<ServerState>,
    asked: Asked,
    headers: HeaderMap,
    content: Result<Bytes, BytesRejection>,
) -> Result<Response, Problem> {
    require_media(&headers, &TOML_TYPES)?;
    let content = content.map_err(|refusal| body_refused(&refusal, body::MODEL_FILE_LIMIT))?;
    // A draft is one of a file that there is.
    state.source(&asked.model).await?;
    let source = Arc::new(Source::new(content.to_vec()));
    state.drafts().keep(&asked.model, &source);
    let asked = Asked {
        draft: Some(source.sha256.clone()),
        ..asked
    };
    let (draft, took) = state
        .work(move |state| {
            let begun = Instant::now();
            (Draft::of(state, &asked, &source), begun.elapsed())
        })
        .await?;
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(JSON))];
    let kept = [(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))];
    let mut response = (kind, kept, json(&draft)).into_response();
    // So that a page can tell building from sending.
    let took = format!("build;dur={:.1}", took.as_secs_f64() * 1e3);
    let value = HeaderValue::from_str(&took).expect("a word and a number");
    response
        .headers_mut()
        .insert(HeaderName::from_static("server-timing"), value);
    Ok(response)
}

impl Draft {
    fn of(state: &ServerState, asked: &Asked, source: &Source) -> Self {
        let file = asked.model.file_name();
        let fields = Model::fields(&file, &source.bytes, &asked.overrides).unwrap_or_default();
        let text = str::from_utf8(&source.bytes).unwrap_or_default();
        let (problem, parts) = match state.take(asked, source) {
            Ok(workshop) => {
                let marks = workshop.marks().iter().map(|(id, mark)| PartMark {
                    id: id.clone(),
                    mark: mark.clone(),
                });
                (None, marks.collect())
            }
            Err(error) => (Some(Problem::from(&error)), Vec::new()),
        };
        Self {
            draft: source.sha256.clone(),
            fields: FieldView::all(text, fields),
            problem,
            parts,
        }
    }
}
