//! Plates on sheets: nothing overlaps, everything is held, and the films give the metal that is meant.

#![allow(clippy::unwrap_used, reason = "a test may fail by panic")]

use artwork::{EtchedShape, FlatDrawing, Fret, FretPlate, FretSheet, FretTitle, lay_out};
use body::{AllowanceBy, Face, FretSpec, Model, Overrides, Plate, Rolling, Scale};
use geom::{Outline, Point2};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

/// Chords of the polygons that answers are checked with (mm).
const CHORD_MM: f64 = 5e-4;

type Ring = Vec<[f64; 2]>;

fn model(name: &str, scale: Option<Scale>) -> Model {
    let path = format!(
        "{}/../../demo-models/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let overrides = Overrides {
        scale,
        ..Overrides::default()
    };
    Model::read(name, &std::fs::read(path).unwrap(), &overrides).unwrap()
}

fn plates(model: &Model) -> Vec<FretPlate> {
    let body = body::build(model).unwrap();
    let flats = |plates: &[Plate]| -> Vec<FlatDrawing> {
        let drawings = plates.iter().map(|plate| FlatDrawing::of(plate).unwrap());
        drawings.collect()
    };
    let mut plates = FretPlate::of(&body, flats(&body.plates));
    let count = plates.len();
    let templates = flats(&solid::etched_templates(model, &body));
    plates.extend(FretPlate::on_waste(templates, count));
    plates
}

fn laid_out(model: &Model, plates: &[FretPlate], spec: &FretSpec) -> Fret {
    let title = FretTitle {
        engine: &model.title,
        scale: model.scale.word(),
    };
    lay_out(plates, spec, model.metal.process, title)
}

fn ring(outline: &Outline) -> Ring {
    outline
        .flattened(CHORD_MM)
        .iter()
        .map(|p| [p.x, p.y])
        .collect()
}

fn area(shapes: &[Vec<Ring>]) -> f64 {
    let ring_area = |ring: &Ring| -> f64 {
        let next = ring.iter().cycle().skip(1);
        ring.iter()
            .zip(next)
            .map(|(a, b)| (a[0] * b[1] - b[0] * a[1]) / 2.0)
            .sum()
    };
    shapes.iter().flatten().map(ring_area).sum()
}

fn overlap(one: &Ring, other: &Ring) -> f64 {
    area(&one.overlay_as::<i64>(other, OverlayRule::Intersect, FillRule::NonZero)).abs()
}

fn covered(rings: &[Ring]) -> Vec<Vec<Ring>> {
    let nothing: Vec<Ring> = Vec::new();
    rings
        .to_vec()
        .overlay_as::<i64>(&nothing, OverlayRule::Subject, FillRule::NonZero)
}

fn rings_of(shapes: &[EtchedShape]) -> Vec<Ring> {
    shapes
        .iter()
        .flat_map(|own| own.polygons(CHORD_MM))
        .collect()
}

/// The distance from a point to the nearest side of polygons (mm).
fn distance(p: Point2, shapes: &[Vec<Ring>]) -> f64 {
    let mut least = f64::INFINITY;
    for ring in shapes.iter().flatten() {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let square = dx * dx + dy * dy;
            let t = (((p.x - a[0]) * dx + (p.y - a[1]) * dy) / square).clamp(0.0, 1.0);
            let (ex, ey) = (p.x - a[0] - t * dx, p.y - a[1] - t * dy);
            least = least.min((ex * ex + ey * ey).sqrt());
        }
    }
    least
}

#[test]
fn plates_lie_apart_within_the_border_and_each_lies_somewhere() {
    for (name, scale) in [
        ("class-b", None),
        ("class-m", Some(Scale::Four)),
        ("tender-t", None),
    ] {
        let model = model(name, scale);
        let plates = plates(&model);
        let fret = laid_out(&model, &plates, &model.fret);
        let laid: usize = fret.sheets.iter().map(|own| own.pieces().count()).sum();
        let too_large = fret
            .findings
            .iter()
            .filter(|own| own.rule == "fret-plate-too-large")
            .count();
        assert_eq!(
            laid + too_large + fret.left_out.len(),
            plates.len(),
            "{name}"
        );
        for sheet in &fret.sheets {
            apart(
                name,
                sheet,
                &model.fret,
                model.metal.process.least_bar.at(sheet.thickness),
            );
        }
    }
}

fn apart(name: &str, sheet: &FretSheet, spec: &FretSpec, least_bar: f64) {
    let border = spec.border;
    let bar = spec.bar.max(least_bar);
    for (i, one) in sheet.pieces().enumerate() {
        let (low, high) = one.moat.bounds();
        let inside = low.x >= border - 1e-9
            && low.y >= border - 1e-9
            && high.x <= sheet.width - border + 1e-9
            && high.y <= sheet.height - border + 1e-9;
        assert!(
            inside,
            "{name}: {} on the border of sheet {}",
            one.drawing.plate, sheet.number
        );
        let own = &one.drawing.outline;
        let within = overlap(&ring(&one.moat), &ring(own));
        let slack = own.perimeter() * CHORD_MM + 1e-3;
        assert!(
            (within - own.area()).abs() < slack,
            "{name}: the line round {} runs into it",
            one.drawing.plate
        );
        // Grown by just less than half the bar, no two lines may meet.
        let style = OutlineStyle::new(bar / 2.0 - 0.005).line_join(LineJoin::Round(0.1));
        let room = ring(&one.moat).outline_as::<i64>(&style);
        for other in sheet.pieces().skip(i + 1) {
            let theirs = ring(&other.moat).outline_as::<i64>(&style);
            let both = room.overlay_as::<i64>(&theirs, OverlayRule::Intersect, FillRule::NonZero);
            assert!(
                area(&both).abs() < 1e-4,
                "{name}: less than a bar between {} and {}",
                one.drawing.plate,
                other.drawing.plate
            );
        }
    }
}

#[test]
fn templates_lie_on_waste_and_change_nothing_of_the_plates() {
    let model = model("class-b", None);
    let all = plates(&model);
    let own: Vec<FretPlate> = all.iter().filter(|own| !own.on_waste).cloned().collect();
    let (with, without) = (
        laid_out(&model, &all, &model.fret),
        laid_out(&model, &own, &model.fret),
    );
    let templates: usize = with.sheets.iter().map(|sheet| sheet.templates.len()).sum();
    assert!(templates > 0, "left out: {:?}", with.left_out);
    assert_eq!(templates + with.left_out.len(), all.len() - own.len());
    assert_eq!(with.sheets.len(), without.sheets.len());
    for (a, b) in with.sheets.iter().zip(&without.sheets) {
        assert_eq!((a.width, a.height), (b.width, b.height));
        assert_eq!(
            a.furniture.words[..b.furniture.words.len()],
            b.furniture.words
        );
        for (one, other) in a.plates.iter().zip(&b.plates) {
            assert_eq!(one.placement, other.placement);
        }
        for template in &a.templates {
            assert_eq!(template.drawing.thickness, a.thickness);
            assert!(template.tags.len() >= 2, "{}", template.drawing.plate);
        }
    }
}

#[test]
fn the_same_plates_lie_in_the_same_places() {
    let model = model("class-b", None);
    let plates = plates(&model);
    let (one, other) = (
        laid_out(&model, &plates, &model.fret),
        laid_out(&model, &plates, &model.fret),
    );
    assert_eq!(one.sheets.len(), other.sheets.len());
    for (a, b) in one.sheets.iter().zip(&other.sheets) {
        assert_eq!((a.width, a.height), (b.width, b.height));
        assert_eq!(a.films, b.films);
        println!(
            "sheet {}: {} mm, {} by {} mm, {} plates: {:.1} % plates, {:.1} % with lines and bars",
            a.number,
            a.thickness,
            a.width,
            a.height,
            a.plates.len(),
            100.0 * a.sheet_use(),
            100.0 * a.least_share()
        );
        assert!(a.sheet_use() < a.least_share() && a.least_share() <= 1.0);
    }
}

#[test]
fn every_plate_hangs_on_half_etched_tags() {
    for name in ["class-b", "class-s"] {
        let model = model(name, None);
        let plates = plates(&model);
        let fret = laid_out(&model, &plates, &model.fret);
        let few: Vec<_> = fret
            .findings
            .iter()
            .filter(|own| own.rule == "fret-few-tags")
            .collect();
        assert!(few.is_empty(), "{few:?}");
        for sheet in &fret.sheets {
            for plate in &sheet.plates {
                assert!(plate.tags.len() >= 2);
                for tag in &plate.tags {
                    let middle = middle_of(&tag.outline);
                    let etched =
                        |shapes: &[EtchedShape]| shapes.iter().any(|own| holds(own, middle));
                    let (front, rear) = (etched(&sheet.nominal.front), etched(&sheet.nominal.rear));
                    let from_front = tag.etched_from == Face::Outside;
                    assert_eq!(
                        (front, rear),
                        (from_front, !from_front),
                        "{}",
                        plate.drawing.plate
                    );
                    assert!(!tag.edge.starts_with("tab-"), "a tag on a tab");
                }
                // Away from tags the line is etched from both faces.
                let free = free_place(plate, sheet);
                assert!(
                    free,
                    "{}: nothing is etched through round it",
                    plate.drawing.plate
                );
            }
        }
    }
}

fn free_place(plate: &artwork::PlacedPlate, sheet: &FretSheet) -> bool {
    let vertices = plate.moat.vertices();
    vertices.iter().any(|vertex| {
        let (near, apart) = plate.drawing.outline.nearest(vertex.point);
        let middle = near + (vertex.point - near) * 0.5;
        let both = [&sheet.nominal.front, &sheet.nominal.rear];
        apart > 0.05
            && both
                .iter()
                .all(|shapes| shapes.iter().any(|own| holds(own, middle)))
    })
}

fn middle_of(outline: &Outline) -> Point2 {
    let (low, high) = outline.bounds();
    Point2::from((low.coords + high.coords) / 2.0)
}

fn holds(shape: &EtchedShape, p: Point2) -> bool {
    shape.outer.contains(p) && !shape.islands.iter().any(|own| own.contains(p))
}

/// Both faces put together again from the plates' own outlines, by the polygon library alone.
#[test]
fn both_faces_have_the_area_of_what_is_to_be_etched() {
    for name in ["class-b", "class-m"] {
        let model = model(name, None);
        let plates = plates(&model);
        let fret = laid_out(&model, &plates, &model.fret);
        for sheet in &fret.sheets {
            for (face, shapes) in [
                (Face::Outside, &sheet.nominal.front),
                (Face::Inside, &sheet.nominal.rear),
            ] {
                let meant = area_to_be_etched(sheet, face);
                let drawn: f64 = shapes.iter().map(EtchedShape::area).sum();
                assert!(
                    (meant - drawn).abs() < 1e-3 * meant.max(1.0),
                    "{name}, sheet {}, {face:?}: {drawn:.4} mm² drawn, {meant:.4} meant",
                    sheet.number
                );
            }
        }
    }
}

fn area_to_be_etched(sheet: &FretSheet, face: Face) -> f64 {
    let mut sum = 0.0;
    for plate in sheet.pieces() {
        let drawing = &plate.drawing;
        let is_base = drawing.plain.1 - drawing.plain.0 < drawing.thickness - 1e-6;
        let proud = |own: &&artwork::FlatRegion| {
            own.z_high > drawing.plain.1 || own.z_low < drawing.plain.0
        };
        let regions = drawing.regions.iter().filter(|own| own.face == face);
        let holes = drawing.holes.iter().map(|own| ring(&own.outline));
        let mut metal = vec![ring(&drawing.outline)];
        let mut away: Vec<Ring> = holes.collect();
        if is_base && face == Face::Outside {
            metal = regions
                .filter(proud)
                .map(|own| ring(&own.outline))
                .collect();
        } else {
            away.extend(
                regions
                    .filter(|own| !proud(own))
                    .map(|own| ring(&own.outline)),
            );
        }
        let left = metal.overlay_as::<i64>(&away, OverlayRule::Difference, FillRule::NonZero);
        let mut standing: Vec<Ring> = left.into_iter().flatten().collect();
        let tags = plate.tags.iter().filter(|own| own.etched_from != face);
        standing.extend(tags.map(|own| ring(&own.outline)));
        let etched = vec![ring(&plate.moat)].overlay_as::<i64>(
            &standing,
            OverlayRule::Difference,
            FillRule::NonZero,
        );
        sum += area(&etched);
        // The dots of punched rivets are exact on the drawing.
        if face == Face::Inside {
            let dots = drawing.rivets.iter().filter_map(|rivet| rivet.dot);
            sum += dots
                .map(|dot| geom::math::PI * dot.diameter * dot.diameter / 4.0)
                .sum::<f64>();
        }
    }
    let words = sheet
        .furniture
        .words
        .iter()
        .filter(|own| own.mirrored == (face == Face::Inside));
    sum += words
        .map(|own| area(&covered(&rings_of(&own.regions(0.0)))))
        .sum::<f64>();
    let dot = |own: &(Point2, f64)| geom::math::PI * own.1 * own.1 / 4.0;
    sum += sheet.furniture.tooling_holes.iter().map(dot).sum::<f64>();
    let mut strip = rings_of(&sheet.furniture.test_slots);
    if face == Face::Outside {
        sum += area(&covered(&rings_of(&sheet.furniture.scale_bar)));
    } else {
        sum += sheet.furniture.practice.iter().map(dot).sum::<f64>();
        strip.extend(sheet.furniture.test_fold.iter().map(ring));
    }
    sum + area(&covered(&strip))
}

/// The etch eats each edge of a film's regions sideways by the growth: what comes out is what was meant.
#[test]
fn the_etch_restores_what_the_allowance_took() {
    for (name, scale) in [("class-s", Some(Scale::Four)), ("tender-t", None)] {
        let model = model(name, scale);
        let plates = plates(&model);
        let spec = FretSpec {
            allowance_by: AllowanceBy::Designer,
            ..model.fret.clone()
        };
        let fret = laid_out(&model, &plates, &spec);
        for finding in &fret.findings {
            println!("{name}: {}", finding.sentence);
        }
        let (mut probes, mut worst) = (0, 0.0_f64);
        for sheet in &fret.sheets {
            assert!(sheet.allowance_applied && sheet.growth > 0.0);
            for (films, nominal) in [
                (&sheet.films.front, &sheet.nominal.front),
                (&sheet.films.rear, &sheet.nominal.rear),
            ] {
                let style = OutlineStyle::new(sheet.growth).line_join(LineJoin::Round(0.02));
                for shape in nominal {
                    let near: Vec<Vec<Ring>> = films
                        .iter()
                        .filter(|own| lies_within(own, shape))
                        .map(|own| own.polygons(CHORD_MM))
                        .collect();
                    let etched = near.outline_as::<i64>(&style);
                    let loops = std::iter::once(&shape.outer).chain(&shape.islands);
                    for segment in loops.flat_map(|own| own.segments()) {
                        // Corners are rounded by any etch: widths are measured in the middle of sides.
                        if segment.length() < 1.0 {
                            continue;
                        }
                        probes += 1;
                        worst = worst.max(distance(segment.point_at(0.5), &etched));
                    }
                }
            }
        }
        println!("{name}: {probes} sides, the worst out by {worst:.5} mm");
        assert!(
            probes > 500 && worst < 0.005,
            "{probes} sides, the worst out by {worst} mm"
        );
    }
}

fn lies_within(film: &EtchedShape, nominal: &EtchedShape) -> bool {
    let ((a, b), (c, d)) = (film.outer.bounds(), nominal.outer.bounds());
    a.x >= c.x && a.y >= c.y && b.x <= d.x && b.y <= d.y
}

#[test]
fn rolling_direction_leaves_half_turns_only() {
    let model = model("class-b", None);
    let plates = plates(&model);
    for (rolling, odd) in [(Rolling::Across, 1), (Rolling::Along, 0)] {
        let spec = FretSpec {
            rolling,
            ..model.fret.clone()
        };
        let fret = laid_out(&model, &plates, &spec);
        let mut seen = 0;
        for placed in fret.sheets.iter().flat_map(|own| &own.plates) {
            let plate = plates
                .iter()
                .find(|own| own.number == placed.number)
                .unwrap();
            if let Some(along_x) = plate.bends_along_x {
                let wanted = if along_x { odd } else { 1 - odd };
                assert_eq!(
                    placed.placement.quarters % 2,
                    wanted,
                    "{}",
                    placed.drawing.plate
                );
                seen += 1;
            }
        }
        assert!(seen >= 3);
    }
}

#[test]
fn a_plate_that_fits_no_sheet_is_named() {
    let model = model("class-b", None);
    let plates = plates(&model);
    let spec = FretSpec {
        sheet_width: 160.0,
        sheet_height: 120.0,
        ..model.fret.clone()
    };
    let fret = laid_out(&model, &plates, &spec);
    let named: Vec<&str> = fret
        .findings
        .iter()
        .filter(|own| own.rule == "fret-plate-too-large")
        .map(|own| own.path.as_str())
        .collect();
    assert!(named.contains(&"footplate"), "{named:?}");
    let more = laid_out(&model, &plates, &model.fret);
    assert!(
        fret.sheets.len() > more.sheets.len(),
        "several sheets where one is full"
    );
}
