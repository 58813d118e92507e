//! What the body itself breaks.

use axum::extract::State;
use axum::response::Response;
use export::FindingJson;
use serde::Serialize;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::{Problem, ServerState};

const FINDINGS: Product = Product::shown("findings", JSON);

/// Findings.
#[derive(Serialize)]
struct FindingList {
    findings: Vec<FindingJson>,
}

/// What the body breaks: found while building, at its joints, and by its etch rules.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/findings",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
    ),
    responses(
        (status = 200, description = "The findings: path, rule, severity, found_mm, limit_mm, at, sentence", body = serde_json::Value),
        (status = 304),
        ModelProblems
    )
)]
pub(crate) async fn list_findings(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FINDINGS, |workshop, _| {
        let findings = workshop.findings().iter().map(FindingJson::from).collect();
        Ok(json(&FindingList { findings }))
    })
    .await
}
