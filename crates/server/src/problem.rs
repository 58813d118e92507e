//! What went wrong with a request, as `application/problem+json` (RFC 9457).

use axum::Json;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use body::ModelError;
use check::scan::{At, ScanError};
use serde::Serialize;
use utoipa::ToSchema;

use crate::WorkError;

/// Media type of a problem.
pub const PROBLEM_JSON: &str = "application/problem+json";

/// A problem, in the shape that every error of the interface has.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Problem {
    /// Stable name of the kind of problem: `/problems/model`. It names; nothing is served there.
    #[serde(rename = "type")]
    #[schema(example = "/problems/model")]
    pub kind: String,
    /// The kind in words.
    pub title: String,
    /// HTTP status.
    #[schema(minimum = 400, maximum = 599)]
    pub status: u16,
    /// What is wrong this time.
    pub detail: String,
    /// Each thing that is wrong, with its place.
    pub errors: Vec<ProblemPlace>,
}

/// One thing that is wrong and where.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ProblemPlace {
    /// Key of the model file, name of a query word, or plate; empty for the whole.
    pub path: String,
    /// Line of the model file, from 1.
    pub line: Option<usize>,
    /// Column in the line, in characters, from 1.
    pub column: Option<usize>,
    /// What is wrong.
    pub message: String,
    /// What would be right; empty where nobody knows.
    pub help: String,
}

/// Kinds of problem: the last part of `type`, the status and the title of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProblemKind {
    /// A query or a path that cannot be read.
    Request,
    /// A request without the token of a server on a network.
    Token,
    /// A write that comes from another site.
    Origin,
    /// There is nothing of that name.
    NotFound,
    /// The draft is not kept.
    Draft,
    /// The route does not answer that method.
    Method,
    /// The model file changed since it was read.
    Changed,
    /// The body is larger than is read.
    TooLarge,
    /// The body is of a kind that is not read.
    MediaType,
    /// The request was sent under a name that this server does not have.
    Host,
    /// The model file is wrong, or its dimensions make no engine.
    Model,
    /// The drawing cannot be read.
    Artwork,
    /// The readings cannot be read.
    Readings,
    /// The scan cannot be read, or does not fit the body.
    Scan,
    /// The plate is right, but this file of it cannot be made.
    Product,
    /// A write without `If-Match`.
    Unconditional,
    /// The disk has no room for the text.
    Full,
    /// A fault of the server's own.
    Internal,
    /// Too much to do, or it took too long.
    Busy,
}

impl ProblemKind {
    fn row(self) -> (&'static str, StatusCode, &'static str) {
        match self {
            Self::Request => (
                "request",
                StatusCode::BAD_REQUEST,
                "The request cannot be read",
            ),
            Self::Token => (
                "token",
                StatusCode::UNAUTHORIZED,
                "This server asks for its token",
            ),
            Self::Origin => (
                "origin",
                StatusCode::FORBIDDEN,
                "Another site may not write here",
            ),
            Self::NotFound => ("not-found", StatusCode::NOT_FOUND, "There is no such thing"),
            Self::Draft => ("draft", StatusCode::NOT_FOUND, "The draft is not kept here"),
            Self::Method => (
                "method",
                StatusCode::METHOD_NOT_ALLOWED,
                "That cannot be done here",
            ),
            Self::Changed => (
                "changed",
                StatusCode::PRECONDITION_FAILED,
                "The model file has changed since you read it",
            ),
            Self::TooLarge => (
                "too-large",
                StatusCode::PAYLOAD_TOO_LARGE,
                "That is too large",
            ),
            Self::MediaType => (
                "media-type",
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "That kind of file is not read here",
            ),
            Self::Host => (
                "host",
                StatusCode::MISDIRECTED_REQUEST,
                "This server is not called by that name",
            ),
            Self::Model => (
                "model",
                StatusCode::UNPROCESSABLE_ENTITY,
                "The model file cannot be built",
            ),
            Self::Artwork => (
                "artwork",
                StatusCode::UNPROCESSABLE_ENTITY,
                "The drawing cannot be read",
            ),
            Self::Scan => (
                "scan",
                StatusCode::UNPROCESSABLE_ENTITY,
                "The scan cannot be held against the body",
            ),
            Self::Readings => (
                "readings",
                StatusCode::UNPROCESSABLE_ENTITY,
                "The readings cannot be read",
            ),
            Self::Product => (
                "product",
                StatusCode::UNPROCESSABLE_ENTITY,
                "That file cannot be made",
            ),
            Self::Unconditional => (
                "unconditional",
                StatusCode::PRECONDITION_REQUIRED,
                "A write has to say what it replaces",
            ),
            Self::Full => (
                "full",
                StatusCode::INSUFFICIENT_STORAGE,
                "There is no room on the disk",
            ),
            Self::Internal => (
                "internal",
                StatusCode::INTERNAL_SERVER_ERROR,
                "Something went wrong in the server",
            ),
            Self::Busy => (
                "busy",
                StatusCode::SERVICE_UNAVAILABLE,
                "The server has too much to do",
            ),
        }
    }

    /// HTTP status of the kind.
    #[must_use]
    pub fn status(self) -> StatusCode {
        self.row().1
    }

    /// The last part of `type`.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.row().0
    }

    /// The kind in words.
    #[must_use]
    pub fn title(self) -> &'static str {
        self.row().2
    }

    fn of_status(status: StatusCode) -> Self {
        match status {
            StatusCode::FORBIDDEN => Self::Origin,
            StatusCode::NOT_FOUND => Self::NotFound,
            StatusCode::METHOD_NOT_ALLOWED => Self::Method,
            StatusCode::PAYLOAD_TOO_LARGE => Self::TooLarge,
            StatusCode::UNSUPPORTED_MEDIA_TYPE => Self::MediaType,
            StatusCode::SERVICE_UNAVAILABLE => Self::Busy,
            StatusCode::INSUFFICIENT_STORAGE => Self::Full,
            status if status.is_client_error() => Self::Request,
            _ => Self::Internal,
        }
    }
}

impl Problem {
    /// A problem without places.
    pub fn new(kind: ProblemKind, detail: impl Into<String>) -> Self {
        let (word, status, title) = kind.row();
        Self {
            kind: format!("/problems/{word}"),
            title: title.to_owned(),
            status: status.as_u16(),
            detail: detail.into(),
            errors: Vec::new(),
        }
    }

    /// A problem with one place: a query word, a header or a plate.
    pub fn at(kind: ProblemKind, path: &str, message: &str, help: &str) -> Self {
        Self {
            errors: vec![ProblemPlace {
                path: path.to_owned(),
                line: None,
                column: None,
                message: message.to_owned(),
                help: help.to_owned(),
            }],
            ..Self::new(kind, message)
        }
    }

    /// A fault of the server's own. What it was is in the log, not in the answer.
    #[must_use]
    pub fn internal() -> Self {
        Self::new(
            ProblemKind::Internal,
            "The server's log says more. Please report it, with the model file.",
        )
    }

    /// The problem that a bare status stands for; statuses without a kind of their own keep their number.
    #[must_use]
    pub fn of_status(status: StatusCode) -> Self {
        let detail = match ProblemKind::of_status(status) {
            ProblemKind::Internal => return Self::internal(),
            ProblemKind::Busy => "Ask again in a moment.".to_owned(),
            ProblemKind::Method => "The header Allow names what this address answers.".to_owned(),
            _ => status.canonical_reason().unwrap_or("refused").to_owned(),
        };
        Self {
            status: status.as_u16(),
            ..Self::new(ProblemKind::of_status(status), detail)
        }
    }
}

impl From<&ModelError> for Problem {
    fn from(error: &ModelError) -> Self {
        let places = error.problems.iter().map(|problem| ProblemPlace {
            path: problem.path.clone(),
            line: Some(problem.line),
            column: Some(problem.column),
            message: problem.message.clone(),
            help: problem.help.clone(),
        });
        Self {
            errors: places.collect(),
            ..Self::new(ProblemKind::Model, error.to_string())
        }
    }
}

impl From<&WorkError> for Problem {
    fn from(error: &WorkError) -> Self {
        let text = error.to_string();
        match error {
            WorkError::Model(error) => Self::from(error.as_ref()),
            WorkError::NoPlate { plate, near } => Self::at(
                ProblemKind::NotFound,
                plate,
                &text,
                &near_words(near.as_deref()),
            ),
            WorkError::NoJig { jig, near } => Self::at(
                ProblemKind::NotFound,
                jig,
                &text,
                &near_words(near.as_deref()),
            ),
            WorkError::NoSheet { .. } => Self::at(
                ProblemKind::NotFound,
                "file",
                &text,
                "GET …/sheets lists the sheets and their files",
            ),
            WorkError::NoFile { .. } => Self::at(
                ProblemKind::NotFound,
                "file",
                &text,
                "GET …/build lists the groups, GET …/build?group= the files of one",
            ),
            WorkError::SideFile(error) => Self {
                errors: Self::from(error.as_ref()).errors,
                ..Self::new(ProblemKind::Artwork, text)
            },
            WorkError::Readings(error) => Self {
                errors: Self::from(error.as_ref()).errors,
                ..Self::new(ProblemKind::Readings, text)
            },
            WorkError::Scan(ScanError::TooLarge { .. } | ScanError::TooMany { .. }) => {
                Self::new(ProblemKind::TooLarge, text)
            }
            WorkError::Scan(ScanError::Broken { at, wrong, right }) => Self {
                errors: vec![ProblemPlace {
                    path: at.to_string(),
                    line: match at {
                        At::Line(line) => usize::try_from(*line).ok(),
                        At::Byte(_) => None,
                    },
                    column: None,
                    message: wrong.clone(),
                    help: right.clone(),
                }],
                ..Self::new(ProblemKind::Scan, text)
            },
            WorkError::Scan(_) => Self::new(ProblemKind::Scan, text),
            WorkError::Drawing { .. } => Self::new(ProblemKind::Artwork, text),
            _ => Self::new(ProblemKind::Product, text),
        }
    }
}

fn near_words(near: Option<&str>) -> String {
    near.map(|name| format!("did you mean {name}?"))
        .unwrap_or_default()
}

impl From<WorkError> for Problem {
    fn from(error: WorkError) -> Self {
        Self::from(&error)
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let busy = status == StatusCode::SERVICE_UNAVAILABLE;
        let mut response = (status, Json(self)).into_response();
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(PROBLEM_JSON));
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
        if busy {
            headers.insert(header::RETRY_AFTER, HeaderValue::from_static("2"));
        }
        response
    }
}
