//! Formers and jigs.

use axum::extract::State;
use axum::response::Response;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::views::JigList;
use crate::{Problem, ServerState, Workshop};

const JIGS: Product = Product::shown("jigs", JSON);
const JIG_STL: Product = Product::saved("jig.stl", "model/stl", "stl");
const JIG_3MF: Product = Product::saved("jig.3mf", "model/3mf", "3mf");

/// The formers and jigs that the engine has, as printed pieces.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/jigs",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
        ("draft" = Option<String>, Query, description = "Name of a draft that is read instead of the file"),
    ),
    responses((status = 200, description = "The jigs", body = JigList), (status = 304), ModelProblems)
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
        ("model" = String, Path, description = "Name of the model"),
        ("file" = String, Path, description = "Id of the jig with `.stl` or `.3mf` after it"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
        ("draft" = Option<String>, Query, description = "Name of a draft that is read instead of the file"),
    ),
    responses(
        (status = 200, description = "The jig (mm)", content(
            (Vec<u8> = "model/stl"),
            (Vec<u8> = "model/3mf"),
        )),
        (status = 304),
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
