//! Which two states of a model a request compares.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use body::{Overrides, Scale, WheelStandard};
use serde::Deserialize;
use utoipa::IntoParams;

use crate::answer::{if_none_match, tag_of};
use crate::asked::{draft_of, model_of, overrides_of, path_and_words, variant_of};
use crate::folder::ModelName;
use crate::{Problem, ServerState, Workshop};

/// A request that compares a model with an earlier state of it, or with another.
#[derive(Clone, Debug)]
pub(crate) struct Compared {
    /// The model after the change.
    pub(crate) model: ModelName,
    /// How it is read.
    pub(crate) overrides: Overrides,
    /// The model before the change.
    pub(crate) from: ModelName,
    /// Hash of the text that stands in place of the model's own after the change, if it is a draft.
    pub(crate) draft: Option<String>,
    /// Tags that the asker has.
    pub(crate) if_none_match: String,
    from_variant: Option<String>,
}

/// The words of the query.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct DifferenceWords {
    /// Scale of both, if not that of the file after the change.
    scale: Option<String>,
    /// Wheel standard of both, if not the files' own.
    wheels: Option<String>,
    /// Variant of the model after the change, if any.
    variant: Option<String>,
    /// Model before the change; the same if left out.
    from: Option<String>,
    /// Variant of the model before the change, if any.
    from_variant: Option<String>,
    /// Draft that stands in place of the model after the change.
    draft: Option<String>,
}

impl Compared {
    /// How the model before the change is read: at the scale of the one after it, since two scales
    /// have nothing in common that could be compared.
    pub(crate) fn before(&self, after: &Workshop) -> Overrides {
        Overrides {
            scale: Some(after.model().scale),
            wheels: self.overrides.wheels,
            variant: self.from_variant.clone(),
        }
    }

    /// Tag of the answer, from the hashes of both files.
    pub(crate) fn tag(&self, before: &str, after: &str) -> String {
        tag_of(&[
            env!("CARGO_PKG_VERSION"),
            "difference",
            self.model.as_str(),
            after,
            self.overrides.scale.map_or("", Scale::word),
            self.overrides.wheels.map_or("", WheelStandard::word),
            self.overrides.variant.as_deref().unwrap_or_default(),
            self.from.as_str(),
            before,
            self.from_variant.as_deref().unwrap_or_default(),
        ])
    }
}

impl FromRequestParts<ServerState> for Compared {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ServerState) -> Result<Self, Problem> {
        let help =
            "from, from_variant, scale, wheels, variant and draft may be asked for, each once";
        let (path, words) = path_and_words::<DifferenceWords>(parts, state, help).await?;
        let model = model_of(path.get("model").map_or("", String::as_str))?;
        let (scale, wheels) = (words.scale.as_deref(), words.wheels.as_deref());
        Ok(Self {
            from: match words.from {
                Some(name) => model_of(&name)?,
                None => model.clone(),
            },
            overrides: overrides_of(scale, wheels, words.variant)?,
            from_variant: variant_of("from_variant", words.from_variant)?,
            draft: draft_of(words.draft)?,
            if_none_match: if_none_match(&parts.headers),
            model,
        })
    }
}
