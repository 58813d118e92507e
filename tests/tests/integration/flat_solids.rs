//! Plates before they are bent, as exact solids.

use artwork::FlatDrawing;
use body::{Model, Overrides, Plate};
use platework_tests::models;

/// Metal in the flat (mm³): areas of outline and openings by Green's theorem over lines and arcs, times the sheet's
/// thickness, and places of other depth by theirs.
fn metal(drawing: &FlatDrawing) -> f64 {
    let (low, high) = drawing.plain;
    let plain = drawing.area() * (high - low);
    let regions = drawing.regions.iter();
    let others = regions.map(|own| own.outline.area() * ((own.z_high - own.z_low) - (high - low)));
    plain + others.sum::<f64>()
}

fn of(plate: &Plate) -> (FlatDrawing, Plate) {
    let drawing = FlatDrawing::of(plate).unwrap();
    let flat = drawing.flat_plate(plate);
    (drawing, flat)
}

/// Every plate of every model has one: its volume is the metal of its flat, it lies in the plane of the flat, and it has no
/// less metal than was formed, which bending leaves as it is.
#[test]
fn every_plate_of_every_model_has_a_flat_solid() {
    let mut plates = 0;
    for (name, text) in models::all() {
        let model = Model::read(&name, text.as_bytes(), &Overrides::default()).unwrap();
        let body = body::build(&model).unwrap();
        for plate in &body.plates {
            let (drawing, flat) = of(plate);
            let place = format!("{name} {}", plate.id);
            let measures = solid::exact_measures(&flat).unwrap_or_else(|e| panic!("{place}: {e}"));
            let expected = metal(&drawing);
            let off = (measures.volume - expected).abs() / expected;
            assert!(off < 1e-9, "{place}: {} of {expected}", measures.volume);
            let heights = [measures.low.z, measures.high.z];
            assert!(
                heights[0] <= drawing.plain.0 + 1e-9 && heights[1] >= drawing.plain.0,
                "{place}: {heights:?}"
            );
            let (low, high) = drawing.bounds;
            let ends = [low.x, low.y, high.x, high.y];
            let found = [
                measures.low.x,
                measures.low.y,
                measures.high.x,
                measures.high.y,
            ];
            assert!(
                ends.iter().zip(&found).all(|(a, b)| (a - b).abs() < 1e-6),
                "{place}: {found:?}, drawn {ends:?}"
            );
            let formed = plate.expected_volume(false).unwrap();
            assert!(
                (formed - expected).abs() < 0.02 * expected,
                "{place}: {formed} formed, {expected} flat"
            );
            assert!(
                solid::plate_step(&flat)
                    .unwrap()
                    .contains("MANIFOLD_SOLID_BREP("),
                "{place}"
            );
            plates += 1;
        }
    }
    assert!(plates > 400, "{plates}");
}
