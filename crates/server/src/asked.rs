//! What a request asks for: the model, the plate or jig, and how the model is to be read.

use std::collections::BTreeMap;

use axum::extract::{FromRequestParts, Path, Query};
use axum::http::request::Parts;
use body::{Overrides, Scale, WheelStandard};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use utoipa::IntoParams;

use crate::answer::if_none_match;
use crate::folder::ModelName;
use crate::problem::ProblemKind;
use crate::{Problem, ServerState};

/// A request for something of one model.
#[derive(Clone, Debug)]
pub(crate) struct Asked {
    /// The model.
    pub(crate) model: ModelName,
    /// The plate or jig; empty on routes without one.
    pub(crate) id: String,
    /// True if the name of the file asked for ends in `.3mf`.
    pub(crate) threemf: bool,
    /// Scale and wheels, where not the file's own.
    pub(crate) overrides: Overrides,
    /// Whether rivets are meshed.
    pub(crate) rivets: bool,
    /// Hash of the text that is read instead of the file, if it is a draft.
    pub(crate) draft: Option<String>,
    /// Whether what forms the parts and draws them apart is left out.
    pub(crate) still: bool,
    /// The parts that are wanted; all of them if none is named.
    pub(crate) parts: Vec<String>,
    /// Tags that the asker has.
    pub(crate) if_none_match: String,
}

/// The words of a query that say how a model is read.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ModelWords {
    /// Scale, if not the file's own.
    scale: Option<String>,
    /// Wheel standard, if not the file's own.
    wheels: Option<String>,
    /// Variant of the model file, if any.
    variant: Option<String>,
    /// Whether rivets are meshed; `on` if left out.
    rivets: Option<String>,
    /// Draft that is read instead of the file.
    draft: Option<String>,
    /// Ids of the parts that are wanted, with commas between; all, if left out.
    parts: Option<String>,
    /// `on` leaves out of the parts that are named what forms them and draws them apart.
    still: Option<String>,
}

/// The parts of a path by name, and the words of a query; `help` says which words there are.
pub(crate) async fn path_and_words<W: DeserializeOwned>(
    parts: &mut Parts,
    state: &ServerState,
    help: &str,
) -> Result<(BTreeMap<String, String>, W), Problem> {
    let Path(path) = Path::<BTreeMap<String, String>>::from_request_parts(parts, state)
        .await
        .map_err(|refusal| Problem::new(ProblemKind::Request, refusal.body_text()))?;
    let Query(words) = Query::<W>::from_request_parts(parts, state)
        .await
        .map_err(|refusal| {
            Problem::at(ProblemKind::Request, "query", &refusal.body_text(), help)
        })?;
    Ok((path, words))
}

impl Asked {
    /// What names of saved files begin with: `class-b-late-7mm`.
    pub(crate) fn file_name_of_model(&self) -> String {
        let mut name = self.model.as_str().to_owned();
        let variant = self.overrides.variant.as_deref();
        for part in variant
            .into_iter()
            .chain(self.overrides.scale.map(Scale::word))
        {
            name.push('-');
            name.push_str(part);
        }
        name
    }

    /// Name of the file when saved: `class-b-late-7mm-dome.dxf`. Variant and scale stand in it only if asked for.
    pub(crate) fn file_name(&self, ending: &str) -> String {
        let name = self.file_name_of_model();
        match self.id.as_str() {
            "" => format!("{name}.{ending}"),
            id => format!("{name}-{id}.{ending}"),
        }
    }
}

impl FromRequestParts<ServerState> for Asked {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ServerState) -> Result<Self, Problem> {
        let help =
            "scale, wheels, variant, rivets, draft, parts and still may be asked for, each once";
        let (path, words) = path_and_words::<ModelWords>(parts, state, help).await?;
        Ok(Self {
            model: model_of(path.get("model").map_or("", String::as_str))?,
            id: match (path.get("id"), path.get("file")) {
                (Some(id), _) => id_of(id)?,
                (None, Some(file)) => id_of(
                    file.strip_suffix(".stl")
                        .or_else(|| file.strip_suffix(".3mf"))
                        .unwrap_or(""),
                )?,
                (None, None) => String::new(),
            },
            threemf: path.get("file").is_some_and(|file| file.ends_with(".3mf")),
            overrides: overrides_of(
                words.scale.as_deref(),
                words.wheels.as_deref(),
                words.variant,
            )?,
            rivets: word("rivets", words.rivets.as_deref(), &[true, false], on_off)?
                .unwrap_or(true),
            draft: draft_of(words.draft)?,
            still: word("still", words.still.as_deref(), &[true, false], on_off)?.unwrap_or(false),
            parts: match words.parts {
                Some(list) => list.split(',').map(id_of).collect::<Result<_, _>>()?,
                None => Vec::new(),
            },
            if_none_match: if_none_match(&parts.headers),
        })
    }
}

/// A request to hold a drawing against a model.
#[derive(Clone, Debug)]
pub(crate) struct ArtworkAsked {
    /// The model, and how it is read.
    pub(crate) asked: Asked,
    /// Text of the drawing's side file.
    pub(crate) side_file: Option<String>,
}

/// The words of a query that says how a model and a drawing are read.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ArtworkWords {
    /// Scale, if not the file's own.
    scale: Option<String>,
    /// Wheel standard, if not the file's own.
    wheels: Option<String>,
    /// Variant of the model file, if any.
    variant: Option<String>,
    /// Text of the drawing's side file (TOML), if it has one.
    side_file: Option<String>,
    /// Draft that is read instead of the file.
    draft: Option<String>,
}

impl FromRequestParts<ServerState> for ArtworkAsked {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ServerState) -> Result<Self, Problem> {
        let help = "scale, wheels, variant, draft and side_file may be asked for, each once";
        let (path, words) = path_and_words::<ArtworkWords>(parts, state, help).await?;
        let (scale, wheels) = (words.scale.as_deref(), words.wheels.as_deref());
        Ok(Self {
            asked: Asked {
                model: model_of(path.get("model").map_or("", String::as_str))?,
                id: String::new(),
                threemf: false,
                overrides: overrides_of(scale, wheels, words.variant)?,
                rivets: true,
                draft: draft_of(words.draft)?,
                still: false,
                parts: Vec::new(),
                if_none_match: if_none_match(&parts.headers),
            },
            side_file: words.side_file,
        })
    }
}

/// The name of a draft. Whether it is kept is seen when its text is asked for.
pub(crate) fn draft_of(name: Option<String>) -> Result<Option<String>, Problem> {
    let is_hash = |name: &str| {
        let plain = |byte: u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte);
        name.len() == 64 && name.bytes().all(plain)
    };
    if name.as_deref().is_none_or(is_hash) {
        return Ok(name);
    }
    Err(Problem::at(
        ProblemKind::Request,
        "draft",
        "that is no name of a draft",
        "POST …/drafts answers the name of the text that it is sent",
    ))
}

/// How the query words say that a model is to be read.
pub(crate) fn overrides_of(
    scale: Option<&str>,
    wheels: Option<&str>,
    variant: Option<String>,
) -> Result<Overrides, Problem> {
    Ok(Overrides {
        scale: word("scale", scale, &Scale::ALL, Scale::word)?,
        wheels: word("wheels", wheels, &WheelStandard::ALL, WheelStandard::word)?,
        variant: variant_of("variant", variant)?,
    })
}

/// The name of a variant. Whether the file has it is seen when the file is read.
pub(crate) fn variant_of(key: &str, name: Option<String>) -> Result<Option<String>, Problem> {
    if name.as_deref().is_none_or(body::is_variant_name) {
        return Ok(name);
    }
    Err(Problem::at(
        ProblemKind::Request,
        key,
        "that is no name of a variant",
        "names of variants are of lower-case letters, digits and hyphens; GET /v1/models lists them",
    ))
}

pub(crate) fn on_off(on: bool) -> &'static str {
    if on { "on" } else { "off" }
}

/// The model of a name.
pub(crate) fn model_of(text: &str) -> Result<ModelName, Problem> {
    ModelName::parse(text).ok_or_else(|| {
        Problem::at(
            ProblemKind::NotFound,
            "model",
            "there is no model of that name",
            "names of models are of lower-case letters, digits and hyphens; GET /v1/models lists them",
        )
    })
}

/// Name of a plate, jig or sheet.
pub(crate) fn id_of(id: &str) -> Result<String, Problem> {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    if (1..=100).contains(&id.len()) && id.bytes().all(plain) {
        return Ok(id.to_owned());
    }
    let help = "names of plates and jigs are of lower-case letters, digits and hyphens";
    Err(Problem::at(
        ProblemKind::NotFound,
        "id",
        "there is nothing of that name",
        help,
    ))
}

/// The value of a query word, out of those that there are.
pub(crate) fn word<T: Copy>(
    key: &str,
    text: Option<&str>,
    all: &[T],
    word_of: impl Fn(T) -> &'static str,
) -> Result<Option<T>, Problem> {
    let Some(text) = text else {
        return Ok(None);
    };
    let found = all.iter().copied().find(|value| word_of(*value) == text);
    found.map(Some).ok_or_else(|| {
        let words: Vec<&str> = all.iter().map(|value| word_of(*value)).collect();
        Problem::at(
            ProblemKind::Request,
            key,
            &format!(
                "{key} has no value {:?}",
                text.chars().take(40).collect::<String>()
            ),
            &format!("choose among {}", words.join(", ")),
        )
    })
}
