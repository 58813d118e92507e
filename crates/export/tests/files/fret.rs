//! Sheets of a fret in each kind of file.

use crate::engine::model;
use artwork::{FlatDrawing, Fret, FretPlate, FretTitle, lay_out};
use body::{AllowanceBy, Face, FretSpec, RearFilm};
use dxf::Drawing;
use dxf::entities::EntityType;
use export::{
    FRET_LAYERS, FretJson, face_dxf, films_pdf, fret_dxf, fret_svg, key_plan_pdf, key_plan_svg,
    side_file,
};

fn fret(allowance_by: AllowanceBy) -> Fret {
    let model = model();
    let body = body::build(&model).unwrap();
    let drawings = body
        .plates
        .iter()
        .map(|plate| FlatDrawing::of(plate).unwrap())
        .collect();
    let spec = FretSpec {
        allowance_by,
        ..model.fret.clone()
    };
    let title = FretTitle {
        engine: &model.title,
        scale: model.scale.word(),
    };
    lay_out(
        &FretPlate::of(&body, drawings),
        &spec,
        model.metal.process,
        title,
    )
}

fn on_layer(bytes: &[u8], layer: &str) -> usize {
    let drawing = Drawing::load(&mut std::io::Cursor::new(bytes)).unwrap();
    drawing
        .entities()
        .filter(|own| own.common.layer == layer)
        .count()
}

#[test]
fn a_sheet_holds_every_plate_whole_and_its_side_file_tells_of_the_allowance() {
    for (by, words) in [
        (AllowanceBy::Etcher, "allowance = \"left to the etcher\""),
        (AllowanceBy::Designer, "allowance = \"applied\""),
    ] {
        for sheet in &fret(by).sheets {
            let bytes = fret_dxf(sheet);
            assert_eq!(on_layer(&bytes, "OUTLINE"), sheet.plates.len());
            assert_eq!(on_layer(&bytes, "LABELS"), sheet.plates.len());
            let holes: usize = sheet.plates.iter().map(|own| own.drawing.holes.len()).sum();
            assert_eq!(on_layer(&bytes, "OPENINGS"), holes);
            let tags: usize = sheet.plates.iter().map(|own| own.tags.len()).sum();
            assert_eq!(on_layer(&bytes, "TAGS"), tags);
            assert_eq!(on_layer(&bytes, "TOOLING-HOLES"), 4);
            // An outline of the films is larger by the growth all round, or as the plate is.
            let first = &sheet.plates[0];
            let drawn = sheet.film_drawing(first).outline.area() - first.drawing.outline.area();
            let meant = if by == AllowanceBy::Designer {
                sheet.growth * first.drawing.outline.perimeter()
            } else {
                0.0
            };
            assert!(
                (drawn - meant).abs() <= 0.02 * meant,
                "{drawn} mm² more, {meant} meant"
            );
            let side = side_file(sheet);
            assert!(side.contains(words), "{side}");
            assert!(side.contains("face = \"front\"") && side.contains("unit = \"mm\""));
        }
    }
}

#[test]
fn faces_films_and_key_plan_are_written_alike_each_time() {
    let fret = fret(AllowanceBy::Etcher);
    for sheet in &fret.sheets {
        for (face, layer, shapes) in [
            (Face::Outside, "ETCH-FRONT", &sheet.films.front),
            (Face::Inside, "ETCH-REAR", &sheet.films.rear),
        ] {
            let loops: usize = shapes.iter().map(|own| 1 + own.islands.len()).sum();
            let bytes = face_dxf(sheet, face);
            assert_eq!(on_layer(&bytes, layer), loops);
            let drawing = Drawing::load(&mut std::io::Cursor::new(&bytes)).unwrap();
            let closed = drawing
                .entities()
                .filter(|own| own.common.layer == layer)
                .all(|own| matches!(&own.specific, EntityType::Polyline(line) if line.is_closed()));
            assert!(closed);
        }
        let films = films_pdf(sheet, RearFilm::FromRear).unwrap();
        assert!(films.starts_with(b"%PDF"));
        assert_eq!(films, films_pdf(sheet, RearFilm::FromRear).unwrap());
        assert_ne!(films, films_pdf(sheet, RearFilm::FromFront).unwrap());
        assert!(key_plan_pdf(sheet, "plan").unwrap().starts_with(b"%PDF"));
        let (plan, svg) = (key_plan_svg(sheet, "plan"), fret_svg(sheet));
        for plate in &sheet.plates {
            assert!(plan.contains(&format!(">{}  ", plate.number)));
            assert!(svg.contains(&format!(
                "class=\"outline\" data-plate=\"{}\"",
                plate.drawing.plate
            )));
        }
        for layer in ["SHEET", "TAGS", "OUTLINE", "OPENINGS", "NUMBERS"] {
            assert!(svg.contains(&format!("<g id=\"{layer}\"")), "{layer}");
        }
    }
    let names: Vec<&str> = FRET_LAYERS.iter().map(|own| own.name).collect();
    assert!(names.contains(&"REGISTER"));
    let json: serde_json::Value =
        serde_json::from_str(&FretJson::of(&fret, RearFilm::FromFront).to_text()).unwrap();
    assert_eq!(json["sheets"].as_array().unwrap().len(), fret.sheets.len());
    assert_eq!(json["rear_film"], "from-front");
}
