//! The files of a build.

use axum::extract::{FromRequestParts, State};
use axum::http::request::Parts;
use axum::http::{HeaderValue, header};
use axum::response::Response;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::{JSON, json};
use crate::answer::{Product, if_none_match, product};
use crate::asked::{Asked, draft_of, id_of, model_of, overrides_of, path_and_words};
use crate::build_files::{BuildGroup, media_of};
use crate::described::{ModelPath, ModelProblems};
use crate::problem::ProblemKind;
use crate::{Problem, ServerState};

/// The files of a build.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct BuildList {
    /// Its groups; each file is at `…/build/{group}/{file}`.
    groups: Vec<BuildGroup>,
}

/// A request for a file of a build, or for the list of them.
#[derive(Clone, Debug)]
pub(crate) struct BuildAsked {
    asked: Asked,
    group: String,
    file: String,
}

/// The words of a query for files of a build.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct BuildWords {
    /// Scale, if not the file's own.
    scale: Option<String>,
    /// Wheel standard, if not the file's own.
    wheels: Option<String>,
    /// Variant of the model file, if any.
    variant: Option<String>,
    /// Draft that is read instead of the file.
    draft: Option<String>,
    /// One group, with its files.
    group: Option<String>,
}

impl FromRequestParts<ServerState> for BuildAsked {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ServerState) -> Result<Self, Problem> {
        let help =
            "scale, wheels, variant, draft and, for the list, group may be asked for, each once";
        let (path, words) = path_and_words::<BuildWords>(parts, state, help).await?;
        let group = words.group.as_ref().or(path.get("group"));
        let group = group.map(|name| id_of(name)).transpose()?;
        let file = path.get("file").cloned().unwrap_or_default();
        for word in file.split('.').filter(|_| !file.is_empty()) {
            id_of(word)?;
        }
        let (scale, wheels) = (words.scale.as_deref(), words.wheels.as_deref());
        let group = group.unwrap_or_default();
        Ok(Self {
            asked: Asked {
                model: model_of(path.get("model").map_or("", String::as_str))?,
                id: format!("{group}/{file}"),
                overrides: overrides_of(scale, wheels, words.variant)?,
                rivets: true,
                draft: draft_of(words.draft)?,
                still: false,
                parts: Vec::new(),
                threemf: false,
                if_none_match: if_none_match(&parts.headers),
            },
            group,
            file,
        })
    }
}

/// The files that a build has, by group. A group that has to be worked out first is listed without its files
/// unless it is asked for by itself. Sizes are told of what has been made.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/build",
    params(ModelPath, BuildWords),
    responses((status = 200, description = "The files", body = BuildList), ModelProblems)
)]
pub(crate) async fn list_build(
    State(state): State<ServerState>,
    BuildAsked { asked, group, .. }: BuildAsked,
) -> Result<Response, Problem> {
    let source = state.source_asked(&asked).await?;
    let groups = state
        .work(move |state| {
            let only = Some(group.as_str()).filter(|group| !group.is_empty());
            state.take(&asked, &source)?.build_groups(only)
        })
        .await??;
    if groups.is_empty() {
        return Err(no_file());
    }
    let bytes = json(&BuildList { groups });
    let mut response = Response::new(bytes.into());
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(JSON));
    // Sizes come to be known.
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    Ok(response)
}

/// A file of a build, as `platework build` writes it.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/build/{group}/{file}",
    params(
        ModelPath,
        ("group" = String, Path, description = "Name of the group", pattern = "^[a-z0-9-]{1,100}$", example = "flats"),
        ("file" = String, Path, description = "Name of the file", pattern = r"^[a-z0-9-]{1,100}(\.[a-z0-9-]{1,100})+$", example = "boiler-wrapper.dxf"),
        BuildWords,
    ),
    responses(
        (
            status = 200,
            description = "The file, in the media type of its ending",
            content(
                ([u8] = "model/gltf-binary"), ([u8] = "image/vnd.dxf"), (String = "image/svg+xml"), (serde_json::Value = "application/json"),
                ([u8] = "model/stl"), (String = "model/step"), ([u8] = "model/3mf"), ([u8] = "application/pdf"), (String = "text/csv"),
                (String = "text/plain"),
            )
        ),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn build_file(
    State(state): State<ServerState>,
    BuildAsked { asked, group, file }: BuildAsked,
) -> Result<Response, Problem> {
    let media = media_of(&file).ok_or_else(no_file)?;
    let saved = format!("{}-{file}", asked.file_name_of_model());
    let own = Product::shown("build", media);
    // Printed sheets and drawings are shown by browsers, everything else is saved.
    let shown = matches!(media, "application/pdf" | "image/svg+xml" | JSON);
    let mut response = product(&state, asked, own, move |workshop, _| {
        workshop
            .build_file(&group, &file)?
            .map(Into::into)
            .ok_or(crate::WorkError::NoFile { file })
    })
    .await?;
    if !shown {
        let value = HeaderValue::from_str(&format!("attachment; filename=\"{saved}\""))
            .expect("names of models and files are plain words");
        response
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, value);
    }
    Ok(response)
}

fn no_file() -> Problem {
    Problem::at(
        ProblemKind::NotFound,
        "file",
        "a build has no file of that name",
        "GET …/build lists the groups, GET …/build?group= the files of one",
    )
}
