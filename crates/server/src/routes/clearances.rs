//! The engine, with its tender, on a curve.

use std::sync::Arc;

use axum::extract::{FromRequestParts, State};
use axum::http::request::Parts;
use axum::response::Response;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

use super::findings::beside;
use super::{JSON, json};
use crate::answer::{Product, has, if_none_match, not_modified, tag_of, tagged};
use crate::asked::{draft_of, model_of, on_off, overrides_of, path_and_words, word};
use crate::described::{ModelPath, ModelProblems};
use crate::folder::ModelName;
use crate::problem::ProblemKind;
use crate::{CourseAsked, Problem, RunningTrain, ServerState, TrainJson, WorkError, today};
use body::{Overrides, Scale, WheelStandard};
use check::Waivers;

/// Longest length of a course (mm): a model kilometre, from which no curve can be told.
pub(crate) const MOST_MM: f64 = 1e6;

/// Drawings and files of a train on its course.
#[derive(ToSchema)]
#[expect(dead_code, reason = "read by the description only")]
enum TrainFile {
    #[schema(rename = "plan.svg")]
    PlanSvg,
    #[schema(rename = "plan.pdf")]
    PlanPdf,
    #[schema(rename = "run.glb")]
    RunGlb,
}

const CLEARANCES: Product = Product::shown("clearances", JSON);
const PLAN_SVG: Product = Product::shown("clearances-plan.svg", "image/svg+xml");
const PLAN_PDF: Product = Product::shown("clearances-plan.pdf", "application/pdf");
const RUN_GLB: Product = Product::shown("clearances-run.glb", "model/gltf-binary");

/// A request to lead an engine over a course.
#[derive(Clone, Debug)]
pub(crate) struct CurveAsked {
    model: ModelName,
    overrides: Overrides,
    /// Hash of the text that is read instead of the engine's file, if it is a draft.
    draft: Option<String>,
    tender: Option<ModelName>,
    course: CourseAsked,
    least: bool,
    file: String,
    if_none_match: String,
}

/// The words of the query.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct CurveWords {
    /// Scale, if not the file's own.
    scale: Option<String>,
    /// Wheel standard, if not the file's own.
    wheels: Option<String>,
    /// Variant of the model file, if any.
    variant: Option<String>,
    /// Draft that is read instead of the file.
    draft: Option<String>,
    /// Model of the tender that is coupled on.
    tender: Option<String>,
    /// Radius of the centre line in mm, if not the least that the model is meant for.
    radius: Option<f64>,
    /// A curve and the same curve the other way, with a straight of so many mm between them.
    reverse: Option<f64>,
    /// A crossover through two turnouts of 1 in so many.
    crossover: Option<f64>,
    /// Distance between the tracks of the crossover in mm.
    spacing: Option<f64>,
    /// A curve with transitions of so many mm on both sides.
    transition: Option<f64>,
    /// `on`: look for the least radius that it runs on.
    least: Option<String>,
}

impl FromRequestParts<ServerState> for CurveAsked {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ServerState) -> Result<Self, Problem> {
        let help = "tender, radius, reverse, crossover, spacing, transition, least, scale, wheels, variant and draft may be \
                    asked for, each once; lengths are millimetres";
        let (path, words) = path_and_words::<CurveWords>(parts, state, help).await?;
        let (scale, wheels) = (words.scale.as_deref(), words.wheels.as_deref());
        let kinds = [words.reverse, words.crossover, words.transition];
        if kinds.iter().flatten().count() > 1 {
            return Err(Problem::at(
                ProblemKind::Request,
                "query",
                "reverse, crossover and transition are three kinds of course",
                "ask for one of them",
            ));
        }
        let lengths = kinds.into_iter().chain([words.radius, words.spacing]);
        if let Some(bad) = lengths.flatten().find(|own| !(0.0..=MOST_MM).contains(own)) {
            return Err(Problem::at(
                ProblemKind::Request,
                "query",
                &format!("{bad} is no length of a track"),
                "lengths are millimetres, from 0 to 1000000; more is straight track",
            ));
        }
        Ok(Self {
            model: model_of(path.get("model").map_or("", String::as_str))?,
            overrides: overrides_of(scale, wheels, words.variant)?,
            draft: draft_of(words.draft)?,
            tender: words.tender.as_deref().map(model_of).transpose()?,
            course: CourseAsked {
                radius: words.radius,
                reverse: words.reverse,
                crossover: words.crossover,
                spacing: words.spacing,
                transition: words.transition,
            },
            least: word("least", words.least.as_deref(), &[true, false], on_off)?.unwrap_or(false),
            file: path.get("file").cloned().unwrap_or_default(),
            if_none_match: if_none_match(&parts.headers),
        })
    }
}

impl CurveAsked {
    fn tag(&self, product: &Product, engine: &str, tender: &str, waivers: &Waivers) -> String {
        let overrides = &self.overrides;
        tag_of(&[
            env!("CARGO_PKG_VERSION"),
            product.word,
            self.model.as_str(),
            engine,
            self.tender.as_ref().map_or("", ModelName::as_str),
            tender,
            overrides.scale.map_or("", Scale::word),
            overrides.wheels.map_or("", WheelStandard::word),
            overrides.variant.as_deref().unwrap_or_default(),
            &format!("{:?} {}", self.course, self.least),
            &beside(waivers, &today()),
        ])
    }
}

/// Answers with what `make` makes of engine and tender.
async fn led(
    state: &ServerState,
    asked: CurveAsked,
    kind: Product,
    make: impl FnOnce(RunningTrain<'_>, &CurveAsked, &Waivers) -> Result<axum::body::Bytes, WorkError>
    + Send
    + 'static,
) -> Result<Response, Problem> {
    let engine = match &asked.draft {
        Some(sha256) => state.drafts().text(&asked.model, sha256)?,
        None => Arc::new(state.source(&asked.model).await?),
    };
    let tender = match &asked.tender {
        Some(name) => Some((name.clone(), state.source(name).await?)),
        None => None,
    };
    let waivers = state.waivers(&asked.model).await?;
    let behind = tender.as_ref().map_or("", |(_, own)| own.sha256.as_str());
    let tag = asked.tag(&kind, &engine.sha256, behind, &waivers);
    if has(&asked.if_none_match, &tag) {
        return Ok(not_modified(&tag));
    }
    let bytes = state
        .work(move |state| {
            let shelf = state.shelf();
            let is_draft = asked.draft.is_some();
            let engine = state.take_text(&asked.model, &engine, &asked.overrides, is_draft)?;
            let overrides = RunningTrain::tender_overrides(&engine);
            let tender = tender
                .map(|(name, source)| shelf.take(&name, &source, &overrides, &[]))
                .transpose()?;
            let train = RunningTrain {
                engine: &engine,
                tender: tender.as_deref(),
            };
            make(train, &asked, &waivers)
        })
        .await??;
    Ok(tagged(bytes, kind.media, &tag))
}

/// What the engine, with its tender, needs on a course, and what comes too near.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/clearances",
    params(ModelPath, CurveWords),
    responses(
        (status = 200, description = "Positions, distances and findings", body = TrainJson),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn clearances(
    State(state): State<ServerState>,
    asked: CurveAsked,
) -> Result<Response, Problem> {
    led(&state, asked, CLEARANCES, |train, asked, waivers| {
        let found = train.on_curve(&asked.course, asked.least, waivers)?;
        Ok(json(&train.json(&found)))
    })
    .await
}

/// The train on its course: a drawing in plan, or in motion.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/clearances/{file}",
    params(
        ModelPath,
        ("file" = inline(TrainFile), Path, description = "Which of them"),
        CurveWords,
    ),
    responses(
        (
            status = 200,
            description = "The drawing, or the train in motion",
            content((String = "image/svg+xml"), ([u8] = "application/pdf"), ([u8] = "model/gltf-binary"))
        ),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn clearances_file(
    State(state): State<ServerState>,
    asked: CurveAsked,
) -> Result<Response, Problem> {
    match asked.file.as_str() {
        "plan.svg" => {
            led(&state, asked, PLAN_SVG, |train, asked, waivers| {
                let found = train.on_curve(&asked.course, false, waivers)?;
                Ok(train.plan(&found)?.svg().into())
            })
            .await
        }
        "plan.pdf" => {
            led(&state, asked, PLAN_PDF, |train, asked, waivers| {
                let found = train.on_curve(&asked.course, false, waivers)?;
                Ok(train.plan(&found)?.pdf()?.into())
            })
            .await
        }
        "run.glb" => {
            led(&state, asked, RUN_GLB, |train, asked, waivers| {
                let found = train.on_curve(&asked.course, false, waivers)?;
                Ok(train.run_glb(&found)?.into())
            })
            .await
        }
        _ => Err(Problem::at(
            ProblemKind::NotFound,
            "file",
            "there is no file of that name",
            "there are plan.svg, plan.pdf and run.glb",
        )),
    }
}
