//! Sheets for the builder.

use axum::extract::{FromRequestParts, State};
use axum::http::request::Parts;
use axum::response::Response;
use body::SheetPaper;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::{JSON, json};
use crate::answer::{Product, if_none_match, product};
use crate::asked::{
    Asked, ModelWords, draft_of, id_of, model_of, overrides_of, path_and_words, word,
};
use crate::described::{ModelPath, ModelProblems};
use crate::problem::ProblemKind;
use crate::{Problem, ServerState};

const SHEETS: Product = Product::shown("sheets", JSON);
const SHEET_PDF: Product = Product::saved("sheet.pdf", "application/pdf", "pdf");
const SHEET_SVG: Product = Product::shown("sheet.svg", "image/svg+xml");
const SHEET_DXF: Product = Product::saved("sheet.dxf", "image/vnd.dxf", "dxf");
const SHEET_TOML: Product = Product::saved("sheet.toml", "application/toml; charset=utf-8", "toml");
const SHEET_CSV: Product = Product::saved("sheet.csv", "text/csv; charset=utf-8", "csv");

/// The sheets of a model.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct SheetList {
    /// The sheets.
    pub(crate) sheets: Vec<SheetView>,
}

/// A sheet for the builder.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(crate) struct SheetView {
    /// Its id.
    pub(crate) id: String,
    /// Its name in words.
    pub(crate) title: String,
    /// Addresses of its files, the PDF first if it has one.
    pub(crate) files: Vec<String>,
}

/// A request for a file of a sheet.
#[derive(Clone, Debug)]
pub(crate) struct SheetAsked {
    asked: Asked,
    sheet: String,
    product: Product,
    paper: Option<SheetPaper>,
}

/// The words of a query for a sheet.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct SheetWords {
    /// Scale, if not the file's own.
    scale: Option<String>,
    /// Wheel standard, if not the file's own.
    wheels: Option<String>,
    /// Variant of the model file, if any.
    variant: Option<String>,
    /// Size of the paper, if not the file's own.
    paper: Option<String>,
    /// Draft that is read instead of the file.
    draft: Option<String>,
}

impl FromRequestParts<ServerState> for SheetAsked {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ServerState) -> Result<Self, Problem> {
        let help = "scale, wheels, variant, draft and paper may be asked for, each once";
        let (path, words) = path_and_words::<SheetWords>(parts, state, help).await?;
        let file = path.get("file").map_or("", String::as_str);
        let (name, ending) = file.rsplit_once('.').unwrap_or((file, ""));
        let sheet = id_of(name)?;
        let product = match ending {
            "pdf" => SHEET_PDF,
            "svg" => SHEET_SVG,
            "dxf" => SHEET_DXF,
            "csv" => SHEET_CSV,
            "toml" => SHEET_TOML,
            _ => {
                return Err(Problem::at(
                    ProblemKind::NotFound,
                    "file",
                    "there is no sheet of that name",
                    "a sheet is asked for by its id and the ending of its file: .pdf; GET …/sheets lists them",
                ));
            }
        };
        let (scale, wheels) = (words.scale.as_deref(), words.wheels.as_deref());
        let paper = word(
            "paper",
            words.paper.as_deref(),
            &SheetPaper::ALL,
            SheetPaper::word,
        )?;
        // The paper stands in the file's name and in its tag if it was asked for.
        let id = match paper {
            Some(paper) => format!("{sheet}-{}", paper.word()),
            None => sheet.clone(),
        };
        Ok(Self {
            asked: Asked {
                model: model_of(path.get("model").map_or("", String::as_str))?,
                id,
                overrides: overrides_of(scale, wheels, words.variant)?,
                rivets: false,
                threemf: false,
                draft: draft_of(words.draft)?,
                still: false,
                parts: Vec::new(),
                if_none_match: if_none_match(&parts.headers),
            },
            sheet,
            product,
            paper,
        })
    }
}

/// The sheets that the model has.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/sheets",
    params(ModelPath, ModelWords),
    responses((status = 200, description = "The sheets", body = SheetList), (status = 304, description = "The asker has it"), ModelProblems)
)]
pub(crate) async fn list_sheets(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, SHEETS, |workshop, _| {
        let name = workshop.name();
        let sheets = workshop.sheets().into_iter().map(|sheet| SheetView {
            files: sheet
                .endings
                .iter()
                .map(|ending| format!("/v1/models/{name}/sheets/{}.{ending}", sheet.id))
                .collect(),
            id: sheet.id,
            title: sheet.title,
        });
        Ok(json(&SheetList {
            sheets: sheets.collect(),
        }))
    })
    .await
}

/// A sheet, for printing at true size.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/sheets/{file}",
    params(
        ModelPath,
        ("file" = String, Path, description = "Id of the sheet with the ending of a file of it", pattern = r"^[a-z0-9-]{1,100}(\.[a-z0-9-]{1,100})+$", example = "parts.pdf"),
        SheetWords,
    ),
    responses(
        (
            status = 200,
            description = "The sheet",
            content(
                ([u8] = "application/pdf"),
                (String = "image/svg+xml"),
                (String = "image/vnd.dxf"),
                (String = "text/csv"),
                (String = "application/toml"),
            )
        ),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn sheet(
    State(state): State<ServerState>,
    asked: SheetAsked,
) -> Result<Response, Problem> {
    let SheetAsked {
        asked,
        sheet,
        product: kind,
        paper,
    } = asked;
    let ending = kind.word.rsplit('.').next().unwrap_or_default();
    product(&state, asked, kind, move |workshop, _| {
        Ok(workshop.sheet(&sheet, ending, paper)?.into())
    })
    .await
}
