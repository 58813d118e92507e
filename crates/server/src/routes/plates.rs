//! The plates of a body: list, flats and solids.

use axum::extract::State;
use axum::response::Response;
use export::{FeaturesJson, FlatJson};

use super::{JSON, json};
use crate::answer::{Product, product};
use crate::asked::{Asked, ModelWords};
use crate::described::{ModelPath, ModelProblems, PlatePath};
use crate::views::PlateList;
use crate::{Problem, ServerState};

const PLATES: Product = Product::shown("plates", JSON);
const FLAT_SVG: Product = Product::shown("flat.svg", "image/svg+xml");
const FLAT_DXF: Product = Product::saved("flat.dxf", "image/vnd.dxf", "dxf");
const FLAT_JSON: Product = Product::shown("flat.json", JSON);
const FEATURES: Product = Product::shown("features", JSON);
const FORMED_GLB: Product = Product::shown("formed.glb", "model/gltf-binary");
const FORMED_STL: Product = Product::saved("formed.stl", "model/stl", "stl");
const FLAT_STEP: Product = Product::saved("flat.step", "model/step", "step");
const SOLID_STEP: Product = Product::saved("solid.step", "model/step", "step");

/// All plates with their sizes, by sub-assembly.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates",
    params(ModelPath, ModelWords),
    responses((status = 200, description = "The plates", body = PlateList), (status = 304, description = "The asker has it"), ModelProblems)
)]
pub(crate) async fn list_plates(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, PLATES, |workshop, _| {
        Ok(json(&PlateList::of(workshop)?))
    })
    .await
}

/// Flat, drawn at its true size.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/flat.svg",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = String, content_type = "image/svg+xml"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn flat_svg(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FLAT_SVG, |workshop, asked| {
        Ok(export::svg_of(&workshop.flat(&asked.id)?).into())
    })
    .await
}

/// Flat as a DXF drawing (R12, mm, seen from outside).
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/flat.dxf",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = [u8], content_type = "image/vnd.dxf"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn flat_dxf(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FLAT_DXF, |workshop, asked| {
        Ok(export::dxf_of(&workshop.flat(&asked.id)?).into())
    })
    .await
}

/// Flat as data: outline, openings, places of other depth, rivets, marks, points.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/flat.json",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = FlatJson),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn flat_json(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FLAT_JSON, |workshop, asked| {
        Ok(workshop.flat_json(&workshop.flat(&asked.id)?).into())
    })
    .await
}

/// What can be pointed at on a plate, flat and formed: edges, openings, bends, rivets, named points.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/features",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The features", body = FeaturesJson),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn list_features(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FEATURES, |workshop, asked| {
        Ok(json(&workshop.features(&asked.id)?))
    })
    .await
}

/// The formed plate, as a binary glTF.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/formed.glb",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = [u8], content_type = "model/gltf-binary"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn formed_glb(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FORMED_GLB, |workshop, asked| {
        Ok(workshop.formed_glb(&asked.id, asked.rivets)?.into())
    })
    .await
}

/// The formed plate, as an STL (mm).
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/formed.stl",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = [u8], content_type = "model/stl"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn formed_stl(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FORMED_STL, |workshop, asked| {
        Ok(workshop.formed_stl(&asked.id, asked.rivets)?.into())
    })
    .await
}

/// The plate before it is bent as an exact solid in the plane of its flat (STEP, mm), outside up, other depths as steps, without rivets.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/flat.step",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = String, content_type = "model/step"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn flat_step(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, FLAT_STEP, |workshop, asked| {
        Ok(workshop.flat_step(&asked.id)?.into())
    })
    .await
}

/// The formed plate as an exact solid (STEP, mm), other depths as steps, without rivets.
#[utoipa::path(
    get,
    path = "/v1/models/{model}/plates/{id}/solid.step",
    params(PlatePath, ModelWords),
    responses(
        (status = 200, description = "The file", body = String, content_type = "model/step"),
        (status = 304, description = "The asker has it"),
        ModelProblems
    )
)]
pub(crate) async fn solid_step(
    State(state): State<ServerState>,
    asked: Asked,
) -> Result<Response, Problem> {
    product(&state, asked, SOLID_STEP, |workshop, asked| {
        Ok(workshop.solid_step(&asked.id)?.into())
    })
    .await
}
