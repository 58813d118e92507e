//! Formers and jigs.

use axum::extract::State;
use axum::response::Response;

use super::{JSON, json};
use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems};
use crate::views::JigList;
use crate::{Problem, ServerState, Workshop};

const JIGS: Product = Product::shown("jigs", JSON);
const JIG_STL: Product = Product::saved("jig.stl", "model/stl", "stl");
const JIG_3MF: Product = Product::saved("jig.3mf", "model/3mf", "3mf");

/// The formers and jigs that the engine has, as printed pieces.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/jigs",
    params(ModelPath, ModelWords),
    responses((status = 200, description = "The jigs", body = JigList), (status = 304, description = "The asker has it"), ModelProblems)
)]
pub(crate) async fn list_jigs(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, JIGS, |workshop, _| {
        Ok(json(&JigList::of(workshop)))
    })
    .await
}

/// A jig as it goes to the printer: STL, its pieces side by side, or 3MF, one object a piece.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/jigs/{file}",
    params(
        ModelPath,
        ("file" = String, Path, description = "Id of the jig with `.stl` or `.3mf` after it", pattern = r"^[a-z0-9-]{1,100}\.(stl|3mf)$", example = "boiler-former.stl"),
        ModelWords,
    ),
    responses(
        (status = 200, description = "The jig (mm)", content(
            (Vec<u8> = "model/stl"),
            (Vec<u8> = "model/3mf"),
        )),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn jig_file(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    if asked.threemf {
        let make =
            |workshop: &Workshop, asked: &Asked| Ok(workshop.jigs().threemf(&asked.id)?.into());
        return product(&state, asked, JIG_3MF, make).await;
    }
    product(&state, asked, JIG_STL, |workshop, asked| {
        Ok(workshop.jigs().stl(&asked.id)?.into())
    })
    .await
}
