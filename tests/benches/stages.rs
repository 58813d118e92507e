//! Stages of every demo model at 7 mm scale, from its file to the bytes of each kind of file; all on one thread.
//!
//!     cargo bench --profile dev --workspace --bench stages

use std::fmt;

use artwork::FlatDrawing;
use body::{Body, Model, Overrides, Plate};
use divan::{Bencher, black_box};
use export::PartMesh;
use platework_tests::models;
use solid::{MeshOptions, PlateMesh};

fn main() {
    divan::main();
}

/// A model file.
struct Engine {
    name: String,
    text: String,
}

impl fmt::Display for Engine {
    fn fmt(&self, text: &mut fmt::Formatter<'_>) -> fmt::Result {
        text.write_str(&self.name)
    }
}

fn engines() -> Vec<Engine> {
    let demo = models::demo().into_iter();
    demo.map(|(name, text)| Engine { name, text }).collect()
}

impl Engine {
    fn model(&self) -> Model {
        Model::read(&self.name, self.text.as_bytes(), &Overrides::default())
            .expect("demo models are sound")
    }

    fn body(&self) -> Body {
        body::build(&self.model()).expect("demo models can be built")
    }
}

fn meshes(body: &Body) -> Vec<PlateMesh> {
    let options = MeshOptions::default();
    let plates = body.plates.iter();
    let made = plates.map(|plate| solid::mesh_plate(plate, &options));
    made.collect::<Result<_, _>>()
        .expect("plates of demo models have meshes")
}

fn glb(body: &Body, meshes: &[PlateMesh]) -> Vec<u8> {
    let of = |id: &str| body.plates.iter().position(|plate| plate.id == id);
    export::glb_of(body, |id| of(id).map(|i| PartMesh::Plate(&meshes[i]))).expect("demo models fit")
}

#[divan::bench(args = engines())]
fn read(engine: &Engine) -> Model {
    engine.model()
}

#[divan::bench(args = engines())]
fn build(bencher: Bencher<'_, '_>, engine: &Engine) {
    let model = engine.model();
    bencher.bench(|| body::build(black_box(&model)));
}

#[divan::bench(args = engines())]
fn mesh(bencher: Bencher<'_, '_>, engine: &Engine) {
    let body = engine.body();
    bencher.bench(|| meshes(black_box(&body)));
}

#[divan::bench(args = engines(), name = "glb")]
fn write_glb(bencher: Bencher<'_, '_>, engine: &Engine) {
    let body = engine.body();
    let meshes = meshes(&body);
    bencher.bench(|| glb(&body, black_box(&meshes)));
}

#[divan::bench(args = engines())]
fn stl(bencher: Bencher<'_, '_>, engine: &Engine) {
    let meshes = meshes(&engine.body());
    bencher.bench(|| {
        let each = black_box(&meshes).iter();
        each.map(|own| export::stl_of("plate", &own.mesh))
            .collect::<Vec<_>>()
    });
}

#[divan::bench(args = engines())]
fn step(bencher: Bencher<'_, '_>, engine: &Engine) {
    of_each_plate(bencher, engine, solid::plate_step);
}

#[divan::bench(args = engines())]
fn flats(bencher: Bencher<'_, '_>, engine: &Engine) {
    of_each_plate(bencher, engine, FlatDrawing::of);
}

fn of_each_plate<T>(bencher: Bencher<'_, '_>, engine: &Engine, make: impl Fn(&Plate) -> T + Sync) {
    let body = engine.body();
    bencher.bench(|| {
        let plates = black_box(&body).plates.iter();
        plates.map(&make).collect::<Vec<T>>()
    });
}

#[divan::bench(args = engines())]
fn file_to_preview(engine: &Engine) -> Vec<u8> {
    let body = engine.body();
    glb(&body, &meshes(&body))
}
