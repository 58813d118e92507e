//! Plates before they are bent, as exact solids.

use artwork::FlatDrawing;
use body::{Model, Overrides, Plate};
use geom::FlatPoint;
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
    let drawn = drawing.flat_plate(plate);
    let flat = match solid::exact_measures(&drawn) {
        Ok(_) => drawn,
        Err(_) => drawing.flat_plate_led_over(plate),
    };
    (drawing, flat)
}

/// Whether all places of other depth lie within the metal, clear of openings; what reaches over an edge is cut off there.
fn all_within(drawing: &FlatDrawing) -> bool {
    let lies_in = |point: FlatPoint| {
        let near = drawing.outline.nearest(point).1 < 1e-3;
        near || drawing.outline.contains(point)
    };
    let in_hole = |point: FlatPoint| {
        let holes = drawing.holes.iter();
        let mut clear = holes.filter(|own| own.outline.nearest(point).1 > 1e-3);
        clear.any(|own| own.outline.contains(point))
    };
    let runs = drawing
        .regions
        .iter()
        .flat_map(|own| own.outline.segments());
    let mut points = runs.flat_map(|own| [0.0, 0.25, 0.5, 0.75].map(|t| own.point_at(t)));
    let holes_clear = drawing.holes.iter().all(|hole| {
        let starts = hole.outline.segments().iter().map(|own| own.start());
        let regions = drawing.regions.iter();
        regions
            .clone()
            .all(|own| !starts.clone().any(|point| own.outline.contains(point)))
    });
    holes_clear && points.all(|point| lies_in(point) && !in_hole(point))
}

/// Every plate of every model has one: its volume is the metal of its flat, it lies in the plane of the flat, and it has no
/// less metal than was formed, which bending leaves as it is.
#[test]
fn every_plate_of_every_model_has_a_flat_solid() {
    let (mut plates, mut reaching, mut without) = (0, 0, Vec::new());
    for (name, text) in models::all() {
        let model = Model::read(&name, text.as_bytes(), &Overrides::default()).unwrap();
        let body = body::build(&model).unwrap();
        for plate in &body.plates {
            let (drawing, flat) = of(plate);
            let place = format!("{name} {}", plate.id);
            let Ok(measures) = solid::exact_measures(&flat) else {
                without.push(place);
                continue;
            };
            let expected = metal(&drawing);
            let off = (measures.volume - expected).abs() / expected;
            let within = all_within(&drawing);
            reaching += usize::from(!within);
            let most = if within { 1e-6 } else { 1e-3 };
            assert!(off < most, "{place}: {} of {expected}", measures.volume);
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
    assert!(without.is_empty(), "{without:?}");
    assert!(
        plates > 400 && reaching < plates / 20,
        "{reaching} of {plates}"
    );
}
