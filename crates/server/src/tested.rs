//! The test build of a model from drawn artwork, and its products.

use body::{Body, Plate};
use check::{ArtworkReport, Judgement, TestBuild, Waivers};
use export::{AsDrawnMesh, TestBuildHead};
use rayon::prelude::*;
use serde::Serialize;
use solid::{Mesh, MeshOptions};
use utoipa::ToSchema;

use crate::{WorkError, Workshop};

/// Drawn artwork held against the body, and what it would build to.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Tested {
    /// Each drawn plate against the meant one.
    #[serde(flatten)]
    pub report: ArtworkReport,
    /// What the drawn plates build to.
    pub test_build: TestBuild,
}

impl Workshop {
    /// Holds drawn artwork against the body, and builds the body from it; arguments as for
    /// [`Workshop::artwork_check`].
    ///
    /// # Errors
    ///
    /// As [`Workshop::artwork_check`].
    pub fn tested(
        &self,
        drawing: &[u8],
        name: &str,
        side_file: Option<&[u8]>,
    ) -> Result<Tested, WorkError> {
        let report = self.artwork_check(drawing, name, side_file)?;
        let model = self.model();
        let test_build = check::test_build(self.body(), &report, &model.metal, model.scale)?;
        Ok(Tested { report, test_build })
    }

    /// Findings of the body, of the artwork and of its test build, sorted by waivers on the day `today`; the verdict
    /// of the test build is said anew over those that are left.
    pub fn judge(&self, tested: &mut Tested, waivers: &Waivers, today: &str) -> Judgement {
        let drawn = tested
            .report
            .findings
            .iter()
            .chain(&tested.test_build.findings);
        let all = self.findings().iter().chain(drawn).cloned().collect();
        let mut judgement = waivers.judge(all, check::Occasion::Artwork, today);
        judgement.left.sort_by(check::worst_first);
        tested.test_build.judge_by(&judgement.left);
        judgement
    }

    /// The engine as drawn beside the engine as meant, as a GLB.
    ///
    /// # Errors
    ///
    /// [`WorkError::Solid`] of a meant plate that has no solid, [`WorkError::Export`].
    pub fn as_drawn_glb(&self, build: &TestBuild) -> Result<Vec<u8>, WorkError> {
        let meant = meshes(self.body(), mesh)?;
        let drawn = meshes(&build.built, |plate| self.shown(plate))?;
        Ok(export::as_drawn_glb(
            build,
            &together(&build.built.plates, &drawn),
            &together(&self.body().plates, &meant),
        )?)
    }

    /// The mesh of a plate as drawn; one drawn so that it has no solid is shown without what is etched
    /// on it, and else as it is meant.
    fn shown(&self, plate: &Plate) -> Result<Mesh, WorkError> {
        let bare = || {
            let mut bare = plate.clone();
            bare.regions.clear();
            bare
        };
        let sound = |made: Result<Mesh, WorkError>| made.ok().filter(|own| own.volume() > 0.0);
        sound(mesh(plate))
            .or_else(|| sound(mesh(&bare())))
            .map_or_else(|| mesh(self.plate(&plate.id)?), Ok)
    }

    /// The report of a test build as a page.
    pub fn test_build_html(&self, drawing: &str, tested: &Tested, judged: &Judgement) -> String {
        let model = self.model();
        let head = TestBuildHead {
            title: model.title.clone(),
            scale: model.scale.word().to_owned(),
            wheels: model.wheels.word().to_owned(),
            variant: model.variant.clone(),
            drawing: drawing.to_owned(),
        };
        let (report, build) = (&tested.report, &tested.test_build);
        export::test_build_html(&head, self.body(), report, build, judged)
    }
}

/// A plate without rivet heads: their places are measured, and heads hide what is off.
fn mesh(plate: &Plate) -> Result<Mesh, WorkError> {
    let options = MeshOptions {
        rivets: false,
        ..MeshOptions::default()
    };
    Ok(solid::mesh_plate(plate, &options)?.mesh)
}

fn meshes(
    body: &Body,
    make: impl Fn(&Plate) -> Result<Mesh, WorkError> + Sync + Send,
) -> Result<Vec<Mesh>, WorkError> {
    let made: Vec<Result<Mesh, WorkError>> = body.plates.par_iter().map(make).collect();
    made.into_iter().collect()
}

fn together<'m>(plates: &'m [Plate], meshes: &'m [Mesh]) -> Vec<AsDrawnMesh<'m>> {
    plates
        .iter()
        .zip(meshes)
        .map(|(plate, mesh)| AsDrawnMesh { plate, mesh })
        .collect()
}
