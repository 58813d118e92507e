//! Sheets of a fret as DXF, release 12.

use crate::dxf::{Writer, circle, line, plate, polyline};
use crate::dxf_tables::{DxfLayer, header, layer, tables};
use artwork::{EtchedShape, FretSheet, Furniture, SCALE_BAR_MM};
use body::Face;
use geom::{FlatPoint, Outline, Point2, Vector2};

const SHEET: &str = "SHEET";
const TAGS: &str = "TAGS";
const NUMBERS: &str = "NUMBERS";
const TOOLING_HOLES: &str = "TOOLING-HOLES";
const TEST_STRIP: &str = "TEST-STRIP";
const TEMPLATES: &str = "TEMPLATES";
const SCALE_BAR: &str = "SCALE-BAR";
const REGISTER: &str = "REGISTER";
const ETCH_FRONT: &str = "ETCH-FRONT";
const ETCH_REAR: &str = "ETCH-REAR";

/// Layers of a sheet beside those of its plates, in the order in which they are listed.
pub const FRET_LAYERS: [DxfLayer; 10] = [
    layer(
        SHEET,
        "edge of the sheet, and the far border of the line etched round each plate, closed",
        9,
        "CONTINUOUS",
        true,
    ),
    layer(
        TAGS,
        "tags that hold the plates, half-etched, closed",
        30,
        "CONTINUOUS",
        true,
    ),
    layer(
        NUMBERS,
        "numbers of plates and words, half-etched, closed",
        2,
        "CONTINUOUS",
        true,
    ),
    layer(
        TOOLING_HOLES,
        "tooling holes, right through",
        1,
        "CONTINUOUS",
        true,
    ),
    layer(
        TEST_STRIP,
        "measured slots, fold and practice rivets, closed",
        1,
        "CONTINUOUS",
        true,
    ),
    layer(
        TEMPLATES,
        "edges and openings of templates on the waste, closed",
        6,
        "CONTINUOUS",
        true,
    ),
    layer(
        SCALE_BAR,
        "scale bar, half-etched from the front, closed",
        5,
        "CONTINUOUS",
        true,
    ),
    layer(
        REGISTER,
        "register marks off the sheet",
        8,
        "CONTINUOUS",
        true,
    ),
    layer(
        ETCH_FRONT,
        "everything etched from the front, closed",
        5,
        "CONTINUOUS",
        true,
    ),
    layer(
        ETCH_REAR,
        "everything etched from the rear, seen from the front, closed",
        4,
        "CONTINUOUS",
        true,
    ),
];

/// Distance of the middles of register marks from the sheet (mm), chosen.
pub(crate) const REGISTER_OFF_MM: f64 = 6.0;

/// Half the length of a register mark's lines (mm).
pub(crate) const REGISTER_ARM_MM: f64 = 3.0;

/// Middles of the register marks: in the middle of each side, outside the sheet.
pub(crate) fn register_marks(sheet: &FretSheet) -> [Point2; 4] {
    let (w, h, off) = (sheet.width, sheet.height, REGISTER_OFF_MM);
    [
        Point2::new(w / 2.0, -off),
        Point2::new(w + off, h / 2.0),
        Point2::new(w / 2.0, h + off),
        Point2::new(-off, h / 2.0),
    ]
}

/// Allowance by which the films' words are thinner (mm).
fn word_allowance(sheet: &FretSheet) -> f64 {
    if sheet.allowance_applied {
        sheet.growth
    } else {
        0.0
    }
}

/// Things on layers of a sheet, for whichever file.
pub(crate) struct SheetLayer {
    pub(crate) name: &'static str,
    pub(crate) outlines: Vec<Outline>,
    pub(crate) circles: Vec<(Point2, f64)>,
}

/// Layers of a sheet beside its plates, and what is drawn on each, as on the films.
pub(crate) fn sheet_layers(sheet: &FretSheet) -> Vec<SheetLayer> {
    let allowance = word_allowance(sheet);
    let own = |name, outlines, circles| SheetLayer {
        name,
        outlines,
        circles,
    };
    let edge = Outline::rectangle(Point2::origin(), Point2::new(sheet.width, sheet.height));
    let lines = sheet.pieces().map(|plate| plate.moat.clone());
    let lines = lines.flat_map(|own| less(EtchedShape::whole(own), allowance));
    let tags = sheet.pieces().flat_map(|plate| &plate.tags);
    let words = sheet.furniture.words.iter();
    let Furniture {
        tooling_holes,
        scale_bar,
        practice,
        test_slots,
        test_fold,
        ..
    } = &sheet.furniture;
    let dots = |holes: &[(Point2, f64)]| {
        let radii = holes.iter().map(|(at, d)| (*at, d / 2.0 - allowance));
        radii.filter(|(_, r)| *r > 0.0).collect::<Vec<_>>()
    };
    let folds = test_fold.iter().map(|own| EtchedShape::whole(own.clone()));
    let strip = test_slots.iter().cloned().chain(folds);
    let templates = sheet.templates.iter().flat_map(|own| {
        let drawing = sheet.film_drawing(own);
        std::iter::once(drawing.outline).chain(drawing.holes.into_iter().map(|hole| hole.outline))
    });
    vec![
        own(TEMPLATES, templates.collect(), Vec::new()),
        own(
            SHEET,
            std::iter::once(edge).chain(lines).collect(),
            Vec::new(),
        ),
        own(
            TAGS,
            tags.map(|tag| tag.outline.clone()).collect(),
            Vec::new(),
        ),
        own(
            NUMBERS,
            words
                .flat_map(|own| loops(&own.regions(allowance)))
                .collect(),
            Vec::new(),
        ),
        own(TOOLING_HOLES, Vec::new(), dots(tooling_holes)),
        own(
            TEST_STRIP,
            strip.flat_map(|shape| less(shape, allowance)).collect(),
            dots(practice),
        ),
        own(
            SCALE_BAR,
            scale_bar
                .iter()
                .flat_map(|shape| less(shape.clone(), allowance))
                .collect(),
            Vec::new(),
        ),
    ]
}

fn less(shape: EtchedShape, allowance: f64) -> Vec<Outline> {
    loops(&artwork::shrunk(&shape, allowance))
}

/// Borders and islands of regions.
fn loops(shapes: &[EtchedShape]) -> Vec<Outline> {
    shapes
        .iter()
        .flat_map(|shape| std::iter::once(&shape.outer).chain(&shape.islands))
        .cloned()
        .collect()
}

fn begun(sheet: &FretSheet) -> Writer {
    let off = REGISTER_OFF_MM + REGISTER_ARM_MM;
    let mut out = Writer::default();
    header(
        &mut out,
        FlatPoint::new(-off, -off),
        FlatPoint::new(sheet.width + off, sheet.height + off),
    );
    tables(&mut out, &FRET_LAYERS);
    out.text(0, "SECTION").text(2, "ENTITIES");
    for mark in register_marks(sheet) {
        for arm in [
            Vector2::new(REGISTER_ARM_MM, 0.0),
            Vector2::new(0.0, REGISTER_ARM_MM),
        ] {
            line(&mut out, REGISTER, mark - arm, mark + arm);
        }
        circle(&mut out, REGISTER, mark, REGISTER_ARM_MM / 2.0);
    }
    out
}

fn ended(mut out: Writer) -> Vec<u8> {
    out.text(0, "ENDSEC").text(0, "EOF");
    out.into_bytes()
}

/// A sheet with its plates whole, each on the layers of its own drawing (mm, seen from the front).
pub fn fret_dxf(sheet: &FretSheet) -> Vec<u8> {
    let mut out = begun(sheet);
    for own in sheet_layers(sheet) {
        for outline in &own.outlines {
            polyline(&mut out, own.name, outline, Vector2::zeros());
        }
        for (centre, radius) in own.circles {
            circle(&mut out, own.name, centre, radius);
        }
    }
    for own in &sheet.plates {
        plate(&mut out, &sheet.film_drawing(own), Vector2::zeros());
    }
    ended(out)
}

/// What is etched from one face as closed regions, islands as loops of their own, seen from the front.
pub fn face_dxf(sheet: &FretSheet, face: Face) -> Vec<u8> {
    let mut out = begun(sheet);
    let (shapes, name) = match face {
        Face::Outside => (&sheet.films.front, ETCH_FRONT),
        Face::Inside => (&sheet.films.rear, ETCH_REAR),
    };
    for outline in loops(shapes) {
        polyline(&mut out, name, &outline, Vector2::zeros());
    }
    ended(out)
}

/// The file that lies beside a drawing of a sheet and says how it is to be read.
pub fn side_file(sheet: &FretSheet) -> String {
    let (allowance, words) = if sheet.allowance_applied {
        (
            "applied",
            format!(
                "every etched place is drawn smaller by {:.3} mm at each edge",
                sheet.growth
            ),
        )
    } else {
        (
            "left to the etcher",
            "the drawing shows the finished metal".to_owned(),
        )
    };
    format!(
        "# Sheet {}, {} {} mm: {words}.\n# The scale bar is {SCALE_BAR_MM} mm between the middles of its end marks.\n\
         allowance = \"{allowance}\"\nface = \"front\"\nunit = \"mm\"\n",
        sheet.number, sheet.metal, sheet.thickness
    )
}
