//! What the body itself breaks.

use axum::extract::State;
use axum::response::Response;
use body::{Body, Finding};
use check::{Occasion, RULES, Waivers, flat_place, mend_of};
use export::{FindingJson, waived_json};
use serde::Serialize;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product_beside};
use crate::asked::Asked;
use crate::{Problem, ServerState, today};

const FINDINGS: Product = Product::shown("findings", JSON);

/// Findings.
#[derive(Serialize)]
struct FindingList {
    findings: Vec<Told>,
    waived: serde_json::Value,
}

/// A finding with what its rule asks and what would mend it.
#[derive(Serialize)]
struct Told {
    #[serde(flatten)]
    finding: FindingJson,
    /// What the rule asks, in a sentence.
    asks: Option<&'static str>,
    /// What would mend it.
    mend: Option<&'static str>,
}

impl Told {
    /// A finding that has a place in the body is given its place on the flat too.
    fn of(finding: &Finding, body: &Body) -> Self {
        let rule = RULES.iter().find(|rule| rule.word == finding.rule);
        let plate = finding.at.plate.as_deref().and_then(|id| body.plate(id));
        let mut placed = finding.clone();
        if let (None, Some(plate), Some(point)) = (finding.at.flat, plate, finding.at.body) {
            placed.at.flat = flat_place(plate, point);
        }
        Self {
            finding: (&placed).into(),
            asks: rule.map(|rule| rule.meaning),
            mend: mend_of(finding.rule),
        }
    }
}

/// What the answer depends on beside the model: a waiver may end with the day; without one the day makes no difference.
pub(super) fn beside(waivers: &Waivers, day: &str) -> String {
    if waivers.waivers.is_empty() {
        String::new()
    } else {
        format!("{day}{waivers:?}")
    }
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
        ("draft" = Option<String>, Query, description = "Name of a draft that is read instead of the file"),
    ),
    responses(
        (status = 200, description = "The findings that stand: path, rule, severity, found_mm, limit_mm, at, sentence, asks (what the rule asks) and mend (what would mend it, null where nothing general can be said); and those that the waivers beside the model file let pass, each with its waiver", body = serde_json::Value),
        (status = 304),
        ModelProblems
    )
)]
pub(crate) async fn list_findings(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    let waivers = state.waivers(&asked.model).await?;
    let day = today();
    let beside = beside(&waivers, &day);
    product_beside(&state, asked, FINDINGS, &beside, move |workshop, _| {
        let judged = waivers.judge(workshop.findings().to_vec(), Occasion::Model, &day);
        let told = |finding: &Finding| Told::of(finding, workshop.body());
        Ok(json(&FindingList {
            findings: judged.left.iter().map(told).collect(),
            waived: waived_json(&judged.waived),
        }))
    })
    .await
}
