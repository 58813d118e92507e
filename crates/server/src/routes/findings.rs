//! What the body itself breaks.

use axum::extract::State;
use axum::response::Response;
use body::{Body, Finding};
use check::{Occasion, RULES, Waivers, flat_place, mend_of};
use export::{FindingJson, WaivedJson, waived_json};
use serde::Serialize;
use utoipa::ToSchema;

use super::{JSON, json};
use crate::answer::{Product, product_beside};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::{Problem, ServerState, today};

const FINDINGS: Product = Product::shown("findings", JSON);

/// Findings.
#[derive(Serialize, ToSchema)]
struct FindingList {
    /// Those that stand.
    findings: Vec<Told>,
    /// Those that waivers beside the model file let pass.
    waived: Vec<WaivedJson>,
}

/// A finding with what its rule asks and what would mend it.
#[derive(Serialize, ToSchema)]
#[schema(as = FindingWithAdvice)]
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
    params(ModelPath, ModelWords),
    responses(
        (status = 200, description = "The findings that stand, and those that waivers let pass", body = FindingList),
        (status = 304, description = "The asker has it"),
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
        let judged = waivers.judge(workshop.findings().to_vec(), Occasion::Body, &day);
        let told = |finding: &Finding| Told::of(finding, workshop.body());
        Ok(json(&FindingList {
            findings: judged.left.iter().map(told).collect(),
            waived: waived_json(&judged.waived),
        }))
    })
    .await
}
