//! The demo engine that the other tests write.

use artwork::FlatDrawing;
use body::{Body, Model, Overrides};
use export::PartMesh;
use solid::{Mesh, MeshOptions, PlateMesh};
use std::collections::BTreeMap;
use std::sync::LazyLock;

const CLASS_B: &str = include_str!("../../../../demo-models/class-b.toml");

pub(crate) fn model() -> Model {
    Model::read("class-b.toml", CLASS_B.as_bytes(), &Overrides::default()).unwrap()
}

static BODY: LazyLock<Body> = LazyLock::new(|| body::build(&model()).unwrap());

pub(crate) fn body() -> &'static Body {
    &BODY
}

static FLATS: LazyLock<Vec<FlatDrawing>> = LazyLock::new(|| {
    body()
        .plates
        .iter()
        .map(|plate| FlatDrawing::of(plate).unwrap())
        .collect()
});

pub(crate) fn flats() -> &'static [FlatDrawing] {
    &FLATS
}

static PLATES: LazyLock<BTreeMap<String, PlateMesh>> = LazyLock::new(|| {
    let options = MeshOptions::default();
    let meshed = |plate| solid::mesh_plate(plate, &options).unwrap();
    let plates = body().plates.iter();
    plates
        .map(|plate| (plate.id.clone(), meshed(plate)))
        .collect()
});

static FITTINGS: LazyLock<BTreeMap<String, Mesh>> = LazyLock::new(|| {
    let error = MeshOptions::default().chord_error;
    let meshed = |fitting| solid::mesh_fitting(fitting, error).unwrap();
    let fittings = body().fittings.iter();
    fittings.map(|own| (own.id.clone(), meshed(own))).collect()
});

pub(crate) fn part(id: &str) -> Option<PartMesh<'static>> {
    let plate = PLATES.get(id).map(PartMesh::Plate);
    plate.or_else(|| FITTINGS.get(id).map(PartMesh::Solid))
}

pub(crate) fn mesh(id: &str) -> Option<&'static Mesh> {
    let plate = PLATES.get(id).map(|own| &own.mesh);
    plate.or_else(|| FITTINGS.get(id))
}

#[track_caller]
pub(crate) fn agree(got: f64, want: f64, share: f64, what: &str) {
    assert!(
        (got - want).abs() <= share * want.abs(),
        "{what}: got {got}, want {want}"
    );
}
