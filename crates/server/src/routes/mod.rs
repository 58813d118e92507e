//! One file a noun: the handlers with what they answer.

pub(crate) mod artwork;
pub(crate) mod build_files;
pub(crate) mod built;
pub(crate) mod clearances;
pub(crate) mod description;
pub(crate) mod difference;
pub(crate) mod dimensions;
pub(crate) mod drafts;
pub(crate) mod events;
pub(crate) mod findings;
pub(crate) mod health;
pub(crate) mod jigs;
pub(crate) mod joints;
pub(crate) mod models;
pub(crate) mod order;
pub(crate) mod page;
pub(crate) mod plates;
pub(crate) mod preview;
mod scan;
pub(crate) mod sheets;

use axum::body::Bytes;
use serde::Serialize;

use crate::Problem;

pub(crate) const JSON: &str = "application/json";

/// Errors that every route of a model can answer, for the description.
#[derive(utoipa::IntoResponses)]
#[expect(dead_code, reason = "read by the description only")]
pub(crate) enum ModelProblems {
    /// A query word that there is not, or a value that it does not have.
    #[response(status = 400, content_type = "application/problem+json")]
    Request(Problem),
    /// On a network, a request without the token.
    #[response(status = 401, content_type = "application/problem+json")]
    Token(Problem),
    /// A write from a page of another site.
    #[response(status = 403, content_type = "application/problem+json")]
    Origin(Problem),
    /// No such model, plate or block.
    #[response(status = 404, content_type = "application/problem+json")]
    NotFound(Problem),
    /// Another method than those described.
    #[response(status = 405, content_type = "application/problem+json")]
    Method(Problem),
    /// A Host that is not this server.
    #[response(status = 421, content_type = "application/problem+json")]
    Host(Problem),
    /// The model file cannot be built, or this file of it cannot be made.
    #[response(status = 422, content_type = "application/problem+json")]
    Model(Problem),
    /// A fault of the server's own.
    #[response(status = 500, content_type = "application/problem+json")]
    Internal(Problem),
    /// Too much to do, or longer than 30 s.
    #[response(status = 503, content_type = "application/problem+json")]
    Busy(Problem),
}

/// JSON of a view.
pub(crate) fn json(view: &impl Serialize) -> Bytes {
    serde_json::to_vec(view)
        .expect("views are made of strings and numbers, which JSON can always write")
        .into()
}
