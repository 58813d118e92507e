//! The demo engine that the other tests write.

use artwork::FlatDrawing;
use body::{Body, Model, Overrides};
use solid::{Mesh, MeshOptions};
use std::collections::BTreeMap;
use std::sync::LazyLock;

const CLASS_B: &str = include_str!("../../../../demo-models/class-b.toml");

static BODY: LazyLock<Body> = LazyLock::new(|| {
    let model = Model::read("class-b.toml", CLASS_B.as_bytes(), &Overrides::default()).unwrap();
    body::build(&model).unwrap()
});

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

static MESHES: LazyLock<BTreeMap<String, Mesh>> = LazyLock::new(|| {
    let options = MeshOptions::default();
    let plates = body().plates.iter().map(|plate| {
        (
            plate.id.clone(),
            solid::mesh_plate(plate, &options).unwrap().mesh,
        )
    });
    let fittings = body().fittings.iter().map(|fitting| {
        let mesh = solid::mesh_fitting(fitting, options.chord_error).unwrap();
        (fitting.id.clone(), mesh)
    });
    plates.chain(fittings).collect()
});

pub(crate) fn mesh(id: &str) -> Option<&'static Mesh> {
    MESHES.get(id)
}

#[track_caller]
pub(crate) fn agree(got: f64, want: f64, share: f64, what: &str) {
    assert!(
        (got - want).abs() <= share * want.abs(),
        "{what}: got {got}, want {want}"
    );
}
