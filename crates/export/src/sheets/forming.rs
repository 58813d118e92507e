//! Forming sheets: a formed plate at true size with its bends, tools and operations.

use super::flat_view::{CENTRE, View, flat_view};
use super::flow::{Column, Flow};
use super::operations::operations;
use super::paper::{Head, INK, Paper, THIN, WIDE, runs};
use super::tiles;
use super::words::Room;
use crate::ExportError;
use crate::page::{Item, Page, pdf_of};
use artwork::FlatDrawing;
use body::{Bend, Body, Face, Model, Order, Plate, Purpose, SheetPaper, ToolAt, bends};
use develop::{BendTool, DevelopError, Loft, StockKind, StockSystem, nearest_stock_of};
use geom::math::PI;
use geom::{Arc, Chain, Point2, Segment, Vector2};

/// What sheets are made from.
#[derive(Clone, Copy, Debug)]
pub struct SheetSource<'a> {
    /// The model.
    pub model: &'a Model,
    /// Its body.
    pub body: &'a Body,
    /// The order of assembly.
    pub order: &'a Order,
}

impl SheetSource<'_> {
    pub(super) fn head(&self, subject: String, facts: &str, scale: &str) -> Head {
        let model = self.model;
        let engine = if model.railway.is_empty() {
            model.title.clone()
        } else {
            format!("{}, {}", model.title, model.railway)
        };
        let scale_words = format!(
            "{} scale, {} wheels",
            model.scale.word(),
            model.wheels.word()
        );
        Head {
            engine,
            subject,
            facts: if facts.is_empty() {
                scale_words
            } else {
                format!("{facts}; {scale_words}")
            },
            scale: scale.to_owned(),
        }
    }
}

/// Caution of every sheet that leads to the iron. It defers to those who know the stuff.
pub(super) const CAUTION: &str = "Caution: etched edges and cut sheet are sharp. Flux and solder fume irritates and can cause asthma: ventilate well, \
     keep the iron no hotter than needed, protect the eyes from acid flux, wash hands after solder that holds lead or cadmium. The maker's data \
     sheet and local rules decide.";

/// The plates that have a forming sheet, in the order of the body.
pub fn formed_plates(body: &Body) -> Vec<&Plate> {
    let plates = body.plates.iter();
    plates.filter(|plate| !bends(plate).is_empty()).collect()
}

/// The forming sheet of a plate. `flat` is its drawing.
///
/// # Errors
///
/// [`ExportError::Pdf`] if the pages cannot be written.
pub fn forming_pdf(
    source: SheetSource<'_>,
    plate: &Plate,
    flat: &FlatDrawing,
    paper: SheetPaper,
) -> Result<Vec<u8>, ExportError> {
    let title = format!("{}: forming {}", source.model.title, plate.title);
    pdf_of(&title, &pages(source, plate, flat, paper))
}

fn pages(
    source: SheetSource<'_>,
    plate: &Plate,
    flat: &FlatDrawing,
    paper: SheetPaper,
) -> Vec<Page> {
    let sheet = &plate.sheet;
    let facts = if sheet.proud_height() > 1e-9 {
        format!(
            "{} {:.2} mm, half-etched to {:.2} mm",
            sheet.metal,
            sheet.stock_thickness,
            sheet.thickness()
        )
    } else {
        format!("{} {:.2} mm", sheet.metal, sheet.stock_thickness)
    };
    let head = source.head(format!("Forming: {}", plate.title), &facts, "1:1");
    let mut flow = Flow::new(Paper::upright(paper), head, true);
    let own = bends(plate);
    let Some(loft) = plate.forming.loft() else {
        return flow.finish();
    };
    flow.heading("Bends");
    bend_table(&mut flow, &own, loft);
    flow.paragraph(
        "Tools are what leaves the finished radius and angle after the spring of this alloy and temper; half-etched metal is counted at what is left \
         of it. Another batch springs otherwise: try the first bend in an offcut. Rods and drills are the nearest that shops keep.",
    );
    flow.heading("Order of work");
    let list = operations(source.model, source.body, source.order, plate, &own);
    for (i, text) in list.iter().enumerate() {
        flow.item(i + 1, text);
    }
    flow.paragraph(CAUTION);
    set_flat(&mut flow, flat, loft, &own);
    set_templates(&mut flow, plate, loft);
    flow.finish()
}

fn bend_table(flow: &mut Flow, bends: &[Bend], loft: &Loft) {
    let columns = [
        Column::right("Bend"),
        Column::left("Face out"),
        Column::right("Angle"),
        Column::right("Inside radius"),
        Column::right("Metal"),
        Column::right("Tool radius"),
        Column::right("Bend through"),
        Column::left("Metric rod or drill"),
        Column::left("Imperial"),
        Column::right("From centre line"),
    ];
    let mut rows = Vec::new();
    for bend in bends {
        for (i, tool) in bend.tools.iter().enumerate() {
            rows.push(row(bend, tool, i == 0, loft));
        }
    }
    flow.table(&columns, &rows);
}

fn row(bend: &Bend, tool: &ToolAt, is_first: bool, loft: &Loft) -> Vec<String> {
    let first = |text: String| if is_first { text } else { String::new() };
    let out = match bend.towards {
        Face::Inside => "outside",
        Face::Outside => "inside",
    };
    let metal = match tool.place {
        None => format!("{:.2}", tool.thickness),
        Some(Purpose::Band) => format!("{:.2} at bands", tool.thickness),
        Some(Purpose::Fold) => format!("{:.2} in groove", tool.thickness),
        Some(_) => format!("{:.2} half-etched", tool.thickness),
    };
    let mut cells = vec![
        first(bend.number.to_string()),
        first(out.to_owned()),
        first(degrees(bend.angle)),
        first(two(bend.inside.0, bend.inside.1)),
        metal,
    ];
    cells.extend(tool_cells(bend, tool));
    cells.push(first(from_centre(bend, loft)));
    cells
}

/// Tool radius, angle, metric and imperial round.
fn tool_cells(bend: &Bend, tool: &ToolAt) -> [String; 4] {
    let [front, rear] = &tool.ends;
    match (front, rear) {
        _ if bend.is_fold => {
            let through = match front {
                Ok(own) => degrees(own.angle),
                Err(_) => degrees(bend.angle),
            };
            let edge = "straight edge".to_owned();
            ["groove".to_owned(), through, edge.clone(), edge]
        }
        (Ok(front), Ok(rear)) => [
            two(front.radius, rear.radius),
            if bend.is_rolled() {
                "roll".to_owned()
            } else {
                degrees(front.angle)
            },
            rounds(front, rear, StockSystem::Metric),
            rounds(front, rear, StockSystem::Imperial),
        ],
        (Err(DevelopError::Elastic { .. }), _) | (_, Err(DevelopError::Elastic { .. })) => {
            let lies = "elastic: lies on its former".to_owned();
            [lies, "–".to_owned(), "–".to_owned(), "–".to_owned()]
        }
        // A corner without radius has no tool.
        _ => {
            let edge = "sharp edge".to_owned();
            [edge, degrees(bend.angle), "–".to_owned(), "–".to_owned()]
        }
    }
}

fn degrees(angle: f64) -> String {
    format!("{:.1}°", angle * 180.0 / PI)
}

/// One figure, or those of front and rear where they differ.
fn two(front: f64, rear: f64) -> String {
    let (a, b) = (format!("{front:.2}"), format!("{rear:.2}"));
    if a == b { a } else { format!("{a} to {b}") }
}

/// Largest round that shops keep beyond which a tool is turned, glued up or printed (mm).
const LARGEST_ROUND: f64 = 82.0;

fn rounds(front: &BendTool, rear: &BendTool, system: StockSystem) -> String {
    let named = |tool: &BendTool| {
        let diameter = tool.diameter();
        if diameter > LARGEST_ROUND {
            return format!("turned or printed Ø{diameter:.0}");
        }
        // A drill only where it comes much nearer than any rod.
        let rod = nearest_stock_of(diameter, system, StockKind::Rod);
        let near = tool.stock(system);
        let is_near = (rod.diameter - diameter).abs() <= 0.02 * diameter;
        if is_near { rod.title() } else { near.title() }
    };
    let (a, b) = (named(front), named(rear));
    if a == b { a } else { format!("{a} to {b}") }
}

/// Lengths along the front edge from the centre line to where the bend begins and ends.
fn from_centre(bend: &Bend, loft: &Loft) -> String {
    let (from, to) = (
        along_front(loft, bend.rulings.0),
        along_front(loft, bend.rulings.1),
    );
    if from < -1e-6 && to > 1e-6 {
        return if (from + to).abs() < 0.01 {
            format!("{to:.2} either side")
        } else {
            format!("{:.2} and {to:.2} either side", -from)
        };
    }
    let (a, b) = (from.abs().min(to.abs()), from.abs().max(to.abs()));
    format!("{a:.2} to {b:.2}")
}

/// Length along the flat's front edge from the centre line, positive in the direction of travel (mm).
fn along_front(loft: &Loft, w: f64) -> f64 {
    let datum = loft.datum();
    let steps = 256;
    let mut length = 0.0;
    let mut last = loft.ruling(datum).flat;
    for i in 1..=steps {
        let at = loft.ruling(datum + (w - datum) * f64::from(i) / f64::from(steps));
        length += (at.flat - last).norm();
        last = at.flat;
    }
    if w < datum { -length } else { length }
}

fn set_flat(flow: &mut Flow, flat: &FlatDrawing, loft: &Loft, bends: &[Bend]) {
    let room = tiles::page_room(flow);
    let pages_of = |view: &View| {
        let (a, b) = tiles::grid(view.room.high - view.room.low, room);
        a * b
    };
    let upright = flat_view(flat, loft, bends, false);
    let lying = flat_view(flat, loft, bends, true);
    let height = |view: &View| view.room.high.y - view.room.low.y;
    let is_lying = (pages_of(&lying), height(&lying)) < (pages_of(&upright), height(&upright));
    let view = if is_lying { lying } else { upright };
    if pages_of(&view) == 1 {
        flow.need(height(&view) + 36.0);
    } else {
        // Its parts have pages of their own.
        flow.need(24.0);
    }
    flow.heading("The flat at true size, seen from its outside face");
    flow.paragraph(
        "Thin full lines: a bend begins or ends. Short dashes: its middle, with its number. Long dashes and dots: centre line. Bend between the two \
         full lines.",
    );
    tiles::set(flow, view, "");
}

fn set_templates(flow: &mut Flow, plate: &Plate, loft: &Loft) {
    let half = plate.sheet.thickness() / 2.0;
    let inside = |v: f64| loft.section_at(v).offset(-half).ok();
    let (Some(front), Some(rear)) = (inside(0.0), inside(1.0)) else {
        return;
    };
    let is_same = (front.length() - rear.length()).abs() < 0.02;
    let (names, both): (&[&str], Vec<Chain>) = if is_same {
        (&["Inside of the section, both ends"], vec![front])
    } else {
        (
            &[
                "Inside of the section, front",
                "Inside of the section, rear",
            ],
            vec![front, rear],
        )
    };
    let mut views: Vec<View> = both.iter().map(|chain| template(chain, false)).collect();
    let room = tiles::page_room(flow);
    let size = |view: &View| view.room.high - view.room.low;
    if views.iter().any(|view| size(view).x > room.0) {
        views = both.iter().map(|chain| template(chain, true)).collect();
    }
    let tallest = views.iter().map(|view| size(view).y).fold(0.0, f64::max);
    if tallest <= room.1 && views.iter().all(|view| size(view).x <= room.0) {
        flow.need(tallest + 24.0);
    } else {
        flow.new_page();
    }
    flow.heading("Template of the former: stick on card and cut along the full line");
    let beside = views.iter().map(|view| size(view).x + 12.0).sum::<f64>();
    if views.len() == 2 && beside <= room.0 && tallest <= room.1 {
        flow.row_of_drawings(views.into_iter().zip(names.iter().copied()));
        return;
    }
    for (view, name) in views.into_iter().zip(names) {
        tiles::set(flow, view, name);
    }
}

/// A section as the edge of a card.
fn template(chain: &Chain, is_turned: bool) -> View {
    let chain = &if is_turned {
        quarter_turned(chain)
    } else {
        chain.clone()
    };
    let points = chain.flattened(0.05);
    let mut room = Room::about(chain.start(), 0.0, 0.0);
    for point in points.iter().chain([&chain.end()]) {
        room = room.with(&Room::about(*point, 0.0, 0.0));
    }
    let run: Vec<Segment> = chain.segments().to_vec();
    let middle = (room.low.x + room.high.x) / 2.0;
    let reach = Vector2::new(2.0, 2.0);
    let centre = Segment::line(
        Point2::new(middle, room.low.y - 2.0),
        Point2::new(middle, room.high.y + 2.0),
    );
    let is_even = (chain.start().x + chain.end().x - 2.0 * middle).abs() < 0.01
        && (chain.start().y - chain.end().y).abs() < 0.01;
    let mut lines = vec![runs(vec![run], WIDE, &[])];
    if is_even && !is_turned {
        lines.push(Item::Runs {
            runs: vec![vec![centre]],
            colour: INK,
            width: THIN,
            dashes: CENTRE,
        });
    }
    View {
        room: Room {
            low: room.low - reach,
            high: room.high + reach,
        },
        lines,
        labels: Vec::new(),
    }
}

/// A chain turned by a quarter to the left.
fn quarter_turned(chain: &Chain) -> Chain {
    let turned = |p: Point2| Point2::new(-p.y, p.x);
    Chain::from_segments(chain.segments().iter().map(|segment| match segment {
        Segment::Line { start, end } => Segment::line(turned(*start), turned(*end)),
        Segment::Arc(arc) => Segment::Arc(Arc {
            centre: turned(arc.centre),
            start_angle: arc.start_angle + PI / 2.0,
            ..*arc
        }),
    }))
}
