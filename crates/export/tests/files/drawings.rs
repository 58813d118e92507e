//! DXF, SVG and JSON of every flat.

use crate::engine::{agree, body, flats};
use artwork::{FlatDrawing, read_dxf};
use dxf::Drawing;
use dxf::entities::{Entity, EntityType, Polyline};
use export::{DXF_LAYERS, FlatJson, SheetSpacing, VertexJson, dxf_of, dxf_side_by_side, svg_of};
use geom::{BulgeVertex, FlatPoint, Outline};

fn drawing(bytes: &[u8]) -> Drawing {
    Drawing::load(&mut std::io::Cursor::new(bytes)).unwrap()
}

fn outline_of(polyline: &Polyline) -> Outline {
    assert!(polyline.is_closed(), "an open outline");
    let vertices: Vec<_> = polyline
        .vertices()
        .map(|v| BulgeVertex {
            point: FlatPoint::new(v.location.x, v.location.y),
            bulge: v.bulge,
        })
        .collect();
    Outline::from_vertices(&vertices)
}

fn on_layer<'d>(drawing: &'d Drawing, layer: &str) -> Vec<&'d Entity> {
    drawing
        .entities()
        .filter(|entity| entity.common.layer == layer)
        .collect()
}

/// Outlines and circles on a layer, with their areas (mm²).
fn areas(drawing: &Drawing, layer: &str) -> Vec<f64> {
    on_layer(drawing, layer)
        .into_iter()
        .map(|entity| match &entity.specific {
            EntityType::Polyline(polyline) => outline_of(polyline).area(),
            EntityType::Circle(circle) => geom::math::PI * circle.radius * circle.radius,
            other => panic!("{other:?} on layer {layer}"),
        })
        .collect()
}

#[test]
fn dxf_holds_every_plate_whole() {
    for (flat, plate) in flats().iter().zip(&body().plates) {
        let read = drawing(&dxf_of(flat));
        assert_eq!(
            read.header.default_drawing_units,
            dxf::enums::Units::Millimeters
        );
        let metal = areas(&read, "OUTLINE").iter().sum::<f64>()
            - areas(&read, "OPENINGS").iter().sum::<f64>();
        agree(metal, plate.whole().unwrap().flat_area, 1e-6, &flat.plate);
        assert_eq!(areas(&read, "OPENINGS").len(), plate.holes.len());
        assert_eq!(on_layer(&read, "RIVETS").len(), plate.rivets.len());
        assert_eq!(on_layer(&read, "CENTRE-LINES").len(), plate.marks.len());
        let depths: usize = [
            "HALF-ETCH-OUTSIDE",
            "HALF-ETCH-INSIDE",
            "RAISED-OUTSIDE",
            "RAISED-INSIDE",
        ]
        .iter()
        .map(|layer| areas(&read, layer).len())
        .sum();
        assert_eq!(depths, plate.regions.len());
        for entity in read.entities() {
            assert!(
                DXF_LAYERS
                    .iter()
                    .any(|layer| layer.name == entity.common.layer)
            );
        }
    }
}

/// Only the name of the plate, and it is the text that a reader would take for this outline.
#[test]
fn dxf_names_its_plate_once() {
    for flat in flats() {
        let read = drawing(&dxf_of(flat));
        let labels = on_layer(&read, "LABELS");
        let [label] = labels[..] else {
            panic!("{} labels on {}", labels.len(), flat.plate);
        };
        let EntityType::Text(text) = &label.specific else {
            panic!("{label:?}");
        };
        assert_eq!(text.value, flat.plate);
        let at = FlatPoint::new(text.location.x, text.location.y);
        let beside = at.y < flat.bounds.0.y && flat.bounds.0.y - at.y < 2.0;
        let in_opening = flat.holes.iter().any(|hole| hole.outline.contains(at));
        assert!(
            beside || (flat.outline.contains(at) && !in_opening),
            "{}: {at}",
            flat.plate
        );
    }
}

#[test]
fn our_own_reader_takes_every_dxf() {
    for flat in flats() {
        let read = read_dxf(&dxf_of(flat)).unwrap();
        assert!(
            !read.pieces.is_empty() && read.not_read.is_empty(),
            "{}",
            flat.plate
        );
    }
}

#[test]
fn plates_side_by_side_do_not_touch() {
    let read = drawing(&dxf_side_by_side(flats(), SheetSpacing::default()));
    let outlines: Vec<(FlatPoint, FlatPoint)> = on_layer(&read, "OUTLINE")
        .into_iter()
        .map(|entity| match &entity.specific {
            EntityType::Polyline(polyline) => outline_of(polyline).bounds(),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(outlines.len(), flats().len());
    let apart = |a: &(FlatPoint, FlatPoint), b: &(FlatPoint, FlatPoint)| {
        a.1.x < b.0.x || b.1.x < a.0.x || a.1.y < b.0.y || b.1.y < a.0.y
    };
    for (i, a) in outlines.iter().enumerate() {
        assert!(
            outlines[i + 1..].iter().all(|b| apart(a, b)),
            "{}",
            flats()[i].plate
        );
    }
    let width = outlines.iter().map(|o| o.1.x).fold(0.0, f64::max);
    assert!(width < 410.0, "{width}");
}

#[test]
fn an_empty_sheet_is_still_a_drawing() {
    let read = drawing(&dxf_side_by_side(&[], SheetSpacing::default()));
    assert_eq!(read.entities().count(), 0);
}

/// Pairs of lines, the first of each a group code of at most three digits.
#[test]
fn dxf_is_release_12_in_code_page_1252() {
    let mut flat = flats()[0].clone();
    flat.edges[0].name = "Ø½ £".to_owned();
    let bytes = dxf_of(&flat);
    assert!(
        bytes
            .windows(6)
            .any(|w| w == [0xD8, 0xBD, b' ', 0xA3, b'\r', b'\n'])
    );
    let ascii: String = bytes
        .iter()
        .map(|&b| if b.is_ascii() { char::from(b) } else { '?' })
        .collect();
    let lines: Vec<&str> = ascii.lines().collect();
    assert_eq!(lines.len() % 2, 0);
    assert!(
        lines
            .chunks(2)
            .all(|pair| pair[0].trim().parse::<u16>().is_ok_and(|code| code < 100))
    );
    assert!(ascii.contains("AC1009") && !ascii.contains("AcDb"));
    assert!(ascii.ends_with("  0\r\nEOF\r\n"));
}

/// Attribute values of every element of a name, in order.
fn attributes(svg: &str, attribute: &str) -> Vec<String> {
    let key = format!(" {attribute}=\"");
    svg.match_indices(&key)
        .map(|(at, _)| {
            let rest = &svg[at + key.len()..];
            rest[..rest.find('"').unwrap()].to_owned()
        })
        .collect()
}

/// The outline that a path of our own draws, y turned up again.
fn outline_of_path(d: &str) -> Outline {
    let spaced: String = d
        .chars()
        .flat_map(|c| {
            if c.is_ascii_alphabetic() {
                vec![' ', c, ' ']
            } else {
                vec![c]
            }
        })
        .collect();
    let mut words = spaced.split_whitespace();
    let mut vertices: Vec<BulgeVertex> = Vec::new();
    let number =
        |words: &mut std::str::SplitWhitespace<'_>| words.next().unwrap().parse::<f64>().unwrap();
    while let Some(command) = words.next() {
        let mut bulge = 0.0;
        if command == "Z" {
            break;
        }
        if command == "A" {
            let (rx, ry, turn) = (number(&mut words), number(&mut words), number(&mut words));
            assert!(rx == ry && turn == 0.0);
            let (great, positive) = (number(&mut words), number(&mut words));
            let (x, y) = {
                let mut peek = words.clone();
                (number(&mut peek), -number(&mut peek))
            };
            let start = vertices[vertices.len() - 1].point;
            let half = (FlatPoint::new(x, y) - start).norm() / 2.0;
            let quarter = geom::math::asin((half / rx).min(1.0)) / 2.0;
            let sweep = if great == 1.0 {
                geom::math::FRAC_PI_2 - quarter
            } else {
                quarter
            };
            // Positive angles of an SVG run clockwise with y up.
            bulge = geom::math::tan(sweep) * if positive == 1.0 { -1.0 } else { 1.0 };
        }
        let point = FlatPoint::new(number(&mut words), -number(&mut words));
        if let Some(last) = vertices.last_mut() {
            last.bulge = bulge;
        }
        vertices.push(BulgeVertex { point, bulge: 0.0 });
    }
    Outline::from_vertices(&vertices)
}

#[test]
fn svg_shows_each_flat_at_its_size() {
    for flat in flats() {
        let svg = svg_of(flat);
        let view: Vec<f64> = attributes(&svg, "viewBox")[0]
            .split(' ')
            .map(|word| word.parse().unwrap())
            .collect();
        assert_eq!(attributes(&svg, "width")[0], format!("{}mm", view[2]));
        assert_eq!(attributes(&svg, "height")[0], format!("{}mm", view[3]));
        let (low, high) = flat.bounds;
        for p in [low, high] {
            assert!(p.x >= view[0] && p.x <= view[0] + view[2], "{}", flat.plate);
            assert!(
                -p.y >= view[1] && -p.y <= view[1] + view[3],
                "{}",
                flat.plate
            );
        }
        let outline = outline_of_path(&attributes(&svg, "d")[flat.regions.len()]);
        agree(outline.area(), flat.outline.area(), 1e-6, &flat.plate);
        let openings = attributes(&svg, "data-feature");
        let features: Vec<_> = flat.holes.iter().map(|hole| hole.feature.clone()).collect();
        assert_eq!(openings, features);
    }
}

/// Every tag closed in turn, ids once each, nothing fetched from elsewhere.
#[test]
fn svg_is_well_formed_and_stands_alone() {
    let mut flat = flats()[0].clone();
    flat.title = "Side & <front> \"left\"\u{1}".to_owned();
    for svg in flats().iter().chain([&flat]).map(svg_of) {
        let mut open: Vec<&str> = Vec::new();
        for tag in svg.split('<').skip(1) {
            let tag = &tag[..tag.find('>').unwrap()];
            if let Some(name) = tag.strip_prefix('/') {
                assert_eq!(open.pop(), Some(name));
            } else if !tag.ends_with('/') {
                open.push(tag.split_whitespace().next().unwrap());
            }
        }
        assert!(open.is_empty());
        assert!(!svg.contains('\u{1}') && !svg.contains("href"));
        assert_eq!(
            svg.matches("http").count(),
            1,
            "only the name of the format"
        );
        let mut ids = attributes(&svg, "id");
        let count = ids.len();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), count);
    }
    assert!(svg_of(&flat).contains("Side &amp; &lt;front&gt; &quot;left&quot; </title>"));
}

fn outline_of_json(vertices: &[VertexJson]) -> Outline {
    let vertices: Vec<_> = vertices
        .iter()
        .map(|v| BulgeVertex {
            point: FlatPoint::new(v.x_mm, v.y_mm),
            bulge: v.bulge,
        })
        .collect();
    Outline::from_vertices(&vertices)
}

#[test]
fn json_reads_back_with_areas_and_lengths() {
    for (flat, plate) in flats().iter().zip(&body().plates) {
        let text = FlatJson::of(flat, "4mm").to_text();
        let read: FlatJson = serde_json::from_str(&text).unwrap();
        assert_eq!(read, FlatJson::of(flat, "4mm"));
        let cut: f64 = read
            .holes
            .iter()
            .map(|hole| outline_of_json(&hole.outline).area())
            .sum();
        let metal = outline_of_json(&read.outline).area() - cut;
        agree(metal, plate.whole().unwrap().flat_area, 1e-6, &flat.plate);
        let all_round = outline_of_json(&read.outline).perimeter();
        let lengths: f64 = read.edges.iter().map(|edge| edge.flat_mm).sum();
        agree(all_round, lengths, 1e-6, &flat.plate);
        for edge in &read.edges {
            agree(edge.formed_mm, edge.flat_mm, 1e-6, &edge.name);
        }
        assert!(read.fit_error_mm <= 1e-3);
        assert!(!text.contains("-0.0,") && !text.contains("-0.0\n"));
    }
}

#[test]
fn same_plate_same_bytes() {
    let again: Vec<FlatDrawing> = body()
        .plates
        .iter()
        .map(|p| FlatDrawing::of(p).unwrap())
        .collect();
    for (one, two) in flats().iter().zip(&again) {
        assert!(dxf_of(one) == dxf_of(two) && svg_of(one) == svg_of(two));
        assert_eq!(
            FlatJson::of(one, "4mm").to_text(),
            FlatJson::of(two, "4mm").to_text()
        );
    }
}
