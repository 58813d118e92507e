//! Blocks to form and solder wrappers on.

use axum::extract::State;
use axum::response::Response;

use super::{JSON, ModelProblems, json};
use crate::answer::{Product, product};
use crate::asked::Asked;
use crate::views::JigList;
use crate::{Problem, ServerState};

const JIGS: Product = Product::shown("jigs", JSON);
const JIG_STL: Product = Product::saved("jig.stl", "model/stl", "stl");

/// The blocks that the model has.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/jigs",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
    ),
    responses((status = 200, description = "The blocks", body = JigList), (status = 304), ModelProblems)
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

/// A block, for printing.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/jigs/{file}",
    params(
        ("model" = String, Path, description = "Name of the model"),
        ("file" = String, Path, description = "Id of the block with `.stl` after it"),
        ("scale" = Option<String>, Query, description = "4mm or 7mm, if not the file's own"),
        ("wheels" = Option<String>, Query, description = "oo, em, p4, fine or exact, if not the file's own"),
        ("variant" = Option<String>, Query, description = "Name of a variant of the model file, if any"),
    ),
    responses(
        (status = 200, description = "The block (mm)", body = [u8], content_type = "model/stl"),
        (status = 304),
        ModelProblems
    )
)]
pub(crate) async fn jig_stl(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, JIG_STL, |workshop, asked| {
        Ok(workshop.block_stl(&asked.id)?.into())
    })
    .await
}
