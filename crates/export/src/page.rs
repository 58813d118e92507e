//! A page of outlines and words in millimetres, and its writing as PDF.

use crate::ExportError;
use geom::{Outline, Point2, Segment, math};
use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};

/// Points of a PDF in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Greatest turn of an arc written as one cubic (rad): off by less than 4e-7 of its radius.
const CUBIC_TURN: f64 = 0.55;

/// A colour.
pub(crate) type Rgb = (u8, u8, u8);

/// Something on a page; coordinates in mm from the lower left corner, y up.
#[derive(Clone, Debug)]
pub(crate) enum Item {
    /// Loops filled where they lie within one another an odd number of times.
    Filled { loops: Vec<Outline>, colour: Rgb },
    /// Loops drawn along.
    Drawn {
        loops: Vec<Outline>,
        colour: Rgb,
        width: f64,
    },
    /// Open runs of lines and arcs drawn along, with dashes and gaps (mm) if any.
    Runs {
        runs: Vec<Vec<Segment>>,
        colour: Rgb,
        width: f64,
        dashes: &'static [f64],
    },
    /// What of the items lies between two corners; no words stand in it.
    Window {
        low: Point2,
        high: Point2,
        items: Vec<Item>,
    },
    /// Words from the left end of their base line; the height is that of capitals.
    Words {
        text: String,
        at: Point2,
        height: f64,
        colour: Rgb,
    },
}

/// A page (mm).
#[derive(Clone, Debug)]
pub(crate) struct Page {
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) items: Vec<Item>,
}

/// Height of capitals of the face in ems.
pub(crate) const CAPITAL: f64 = 0.729;

/// The pages as a PDF at true size. The same pages give the same bytes.
pub(crate) fn pdf_of(title: &str, pages: &[Page]) -> Result<Vec<u8>, ExportError> {
    let font = Font::new(dejavu::sans::regular().into(), 0).ok_or_else(|| failed("the font"))?;
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.to_owned()));
    for own in pages {
        let size = |mm: f64| (mm * POINTS_PER_MM) as f32;
        let settings = PageSettings::from_wh(size(own.width), size(own.height))
            .ok_or_else(|| failed("the size of a page"))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        let scale = POINTS_PER_MM as f32;
        surface.push_transform(&Transform::from_scale(scale, scale));
        for item in &own.items {
            draw(&mut surface, item, own.height, &font);
        }
        surface.pop();
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|_| failed("the pages"))
}

fn failed(what: &'static str) -> ExportError {
    ExportError::Pdf { what }
}

fn fill(colour: Rgb) -> Fill {
    Fill {
        paint: rgb::Color::new(colour.0, colour.1, colour.2).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::EvenOdd,
    }
}

fn draw(surface: &mut Surface<'_>, item: &Item, height: f64, font: &Font) {
    match item {
        Item::Filled { loops, colour } => {
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*colour)));
            if let Some(path) = path_of(loops, height) {
                surface.draw_path(&path);
            }
        }
        Item::Drawn {
            loops,
            colour,
            width,
        } => {
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(*colour, *width, &[])));
            if let Some(path) = path_of(loops, height) {
                surface.draw_path(&path);
            }
        }
        Item::Runs {
            runs,
            colour,
            width,
            dashes,
        } => {
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(*colour, *width, dashes)));
            let mut builder = PathBuilder::new();
            for run in runs {
                along(&mut builder, run, height);
            }
            if let Some(path) = builder.finish() {
                surface.draw_path(&path);
            }
        }
        Item::Window { low, high, items } => {
            if let Some(path) = path_of(&[Outline::rectangle(*low, *high)], height) {
                surface.push_clip_path(&path, &FillRule::NonZero);
                for item in items {
                    draw(surface, item, height, font);
                }
                surface.pop();
            }
        }
        Item::Words {
            text,
            at,
            height: tall,
            colour,
        } => {
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*colour)));
            surface.draw_text(
                Point::from_xy(at.x as f32, (height - at.y) as f32),
                font.clone(),
                (tall / CAPITAL) as f32,
                text,
                false,
                TextDirection::LeftToRight,
            );
        }
    }
}

fn stroke(colour: Rgb, width: f64, dashes: &[f64]) -> Stroke {
    Stroke {
        paint: rgb::Color::new(colour.0, colour.1, colour.2).into(),
        width: width as f32,
        line_join: LineJoin::Round,
        dash: (!dashes.is_empty()).then(|| StrokeDash {
            array: dashes.iter().map(|mm| *mm as f32).collect(),
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn path_of(loops: &[Outline], height: f64) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for outline in loops {
        if !outline.segments().is_empty() {
            along(&mut builder, outline.segments(), height);
            builder.close();
        }
    }
    builder.finish()
}

/// Adds lines and arcs one after another to a path.
fn along(builder: &mut PathBuilder, segments: &[Segment], height: f64) {
    let place = |p: Point2| (p.x as f32, (height - p.y) as f32);
    let Some(first) = segments.first() else {
        return;
    };
    let (x, y) = place(first.start());
    builder.move_to(x, y);
    for segment in segments {
        match segment {
            Segment::Line { end, .. } => {
                let (x, y) = place(*end);
                builder.line_to(x, y);
            }
            Segment::Arc(arc) => {
                let n = (arc.sweep.abs() / CUBIC_TURN).ceil().max(1.0);
                let turn = arc.sweep / n;
                // Handles of this length touch the arc in its middle too.
                let reach = 4.0 / 3.0 * math::tan(turn / 4.0) * arc.radius;
                for i in 0..n as usize {
                    let from = arc.start_angle + turn * i as f64;
                    let (a, b) = (arc.point_at_angle(from), arc.point_at_angle(from + turn));
                    let along = |angle: f64| {
                        let (s, c) = math::sin_cos(angle);
                        geom::Vector2::new(-s, c) * reach
                    };
                    let (x1, y1) = place(a + along(from));
                    let (x2, y2) = place(b - along(from + turn));
                    let (x, y) = place(b);
                    builder.cubic_to(x1, y1, x2, y2, x, y);
                }
            }
        }
    }
}
