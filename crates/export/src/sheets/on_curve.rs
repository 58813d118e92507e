//! The train on a curve: plans of the standings that ask for most, with figures and the nearest approaches.

use super::arrangement::{DrawingSheet, SCALES, drawn_by, finished_with};
use super::flat_view::CENTRE;
use super::forming::SheetSource;
use super::paper::{FAINT, INK, Paper, THIN, WIDE, line, runs, words};
use super::words::{broken, width_of};
use crate::page::Item;
use body::{Axle, Chassis, Held, SheetPaper};
use check::running::{
    Approach, Clearances, Frame, Running, RunningError, Standing, TrackLine, TrainStanding,
};
use geom::{Outline, Point2, Segment, math};
use solid::LineView;

/// Dashes of what lies under the body (ISO 128-2, from memory).
const HIDDEN: &[f64] = &[1.6, 0.8];

/// Track drawn beyond the ends of the train (mm on the model).
const BEYOND: f64 = 18.0;

/// Pieces of track as drawn (mm on the model): at 300 mm radius off by 0.002 mm.
const PIECE: f64 = 2.0;

/// Approaches that are marked.
const MARKED: usize = 6;

/// Height of words, room between plans, and from one row of figures to the next (mm).
const TEXT: f64 = 1.8;
const BETWEEN: f64 = 12.0;
const PITCH: f64 = 3.6;

/// What the plans are drawn from.
#[derive(Clone, Copy, Debug)]
pub struct OnCurveSource<'a> {
    /// The engine's sheet.
    pub sheet: SheetSource<'a>,
    /// The train that was led over the course.
    pub running: Running<'a>,
    /// The engine from above.
    pub engine: &'a LineView,
    /// Its tender from above.
    pub tender: Option<&'a LineView>,
    /// What was found.
    pub found: &'a Clearances,
}

/// A standing that is drawn.
struct Plan {
    title: String,
    stood: TrainStanding,
}

/// Plans of the standings at which trucks and coupling are asked for most, at the largest scale that fits
/// the paper, lying.
///
/// # Errors
///
/// [`RunningError`] where the train cannot be stood on the track.
pub fn on_curve_sheet(
    source: OnCurveSource<'_>,
    paper: SheetPaper,
) -> Result<DrawingSheet, RunningError> {
    let paper = Paper::lying(paper);
    let plans = source.plans()?;
    let table = source.table(paper);
    let table_height = PITCH * table.rows as f64;
    let boxes: Vec<(Point2, Point2)> = plans.iter().map(|plan| source.bounds(plan)).collect();
    let size = |scale: f64| {
        let width = boxes.iter().map(|own| own.1.x - own.0.x);
        let height = boxes
            .iter()
            .map(|own| scale * (own.1.y - own.0.y) + BETWEEN);
        (
            scale * width.fold(0.0, f64::max),
            height.sum::<f64>() + table_height,
        )
    };
    let fits = |scale: f64| {
        let (width, height) = size(scale);
        width <= paper.inner_width() && height <= paper.inner_height()
    };
    let (scale, name) = SCALES
        .into_iter()
        .find(|(scale, _)| fits(*scale))
        .unwrap_or(SCALES[SCALES.len() - 1]);
    let mut items = Vec::new();
    let spare = ((paper.inner_height() - size(scale).1) / (plans.len() as f64 + 1.0)).max(0.0);
    let mut top = paper.high().y - spare / 2.0;
    for (plan, (low, high)) in plans.iter().zip(&boxes) {
        let width = scale * (high.x - low.x);
        let left = paper.low().x + (paper.inner_width() - width) / 2.0;
        items.push(words(&plan.title, left, top - TEXT, TEXT));
        top -= BETWEEN / 2.0;
        let origin = Point2::new(left - scale * low.x, top - scale * high.y);
        let marks = plans.len() == 1 || std::ptr::eq(plan, &raw const plans[0]);
        items.extend(source.drawn(plan, origin, scale, marks));
        top -= scale * (high.y - low.y) + BETWEEN / 2.0 + spare;
    }
    items.extend(table.items(paper.low().y + table_height));
    let course = source.found.course.words();
    let facts = "From above, springs at rest; figures in mm on the model";
    let subject = format!("On the curve: {course}");
    Ok(finished_with(
        source.sheet,
        &subject,
        facts,
        name,
        paper,
        items,
    ))
}

impl OnCurveSource<'_> {
    /// The standings that ask for most, each once.
    fn plans(&self) -> Result<Vec<Plan>, RunningError> {
        let passage = &self.found.passage;
        let mut wanted: Vec<(String, f64)> = Vec::new();
        if let Some(coupled) = &passage.coupled {
            wanted.push((
                format!(
                    "Where engine and tender come nearest: gap {:.2}, angle {:.2}°",
                    coupled.gap.least,
                    coupled.angle.greatest() * 180.0 / math::PI
                ),
                coupled.gap.least_at,
            ));
            if coupled.sideways.greatest() > 0.25 * self.running.engine.chassis.half_beams[1] {
                wanted.push((
                    format!(
                        "Where their beams stand farthest out of line: {:.2}",
                        coupled.sideways.greatest()
                    ),
                    coupled.sideways.greatest_at(),
                ));
            }
        }
        let chassis = &self.running.engine.chassis;
        let trucks = chassis.trucks.iter().zip(&passage.engine.swings);
        let most = trucks.max_by(|a, b| a.1.greatest().total_cmp(&b.1.greatest()));
        if let Some((truck, swing)) = most {
            wanted.push((
                format!(
                    "Where {} swings most: {:.2}°",
                    truck.id,
                    swing.greatest() * 180.0 / math::PI
                ),
                swing.greatest_at(),
            ));
        }
        if wanted.is_empty() {
            let ends = &passage.engine.ends;
            let at = ends[0].greatest_at();
            wanted.push((
                format!(
                    "Where its front beam stands farthest out: {:.2}",
                    ends[0].greatest()
                ),
                at,
            ));
        }
        let train = self.running.train();
        let near = 0.02 * train.length();
        let mut plans: Vec<Plan> = Vec::new();
        for (title, s) in wanted {
            if let Some(same) = plans
                .iter_mut()
                .find(|own| (own.stood.engine.s - s).abs() < near)
            {
                same.title = format!("{}. {title}", same.title);
                continue;
            }
            plans.push(Plan {
                title,
                stood: train.at(&passage.track, s)?,
            });
        }
        Ok(plans)
    }

    /// Engine and tender with their standings and views.
    fn vehicles<'p>(
        &'p self,
        plan: &'p Plan,
    ) -> impl Iterator<Item = (&'p Chassis, &'p Standing, &'p LineView)> {
        let engine = (
            &self.running.engine.chassis,
            &plan.stood.engine,
            self.engine,
        );
        let tender = self.running.tender.zip(plan.stood.tender.as_ref());
        let tender = tender
            .zip(self.tender)
            .map(|((own, (stood, _)), view)| (&own.chassis, stood, view));
        std::iter::once(engine).chain(tender)
    }

    /// Box of a plan in the frame of the engine (mm on the model).
    fn bounds(&self, plan: &Plan) -> (Point2, Point2) {
        let home = plan.stood.engine.frame;
        let (mut low, mut high) = (
            Point2::new(f64::INFINITY, f64::INFINITY),
            Point2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
        );
        let mut take = |p: Point2| {
            low = Point2::new(low.x.min(p.x), low.y.min(p.y));
            high = Point2::new(high.x.max(p.x), high.y.max(p.y));
        };
        for (_, stood, view) in self.vehicles(plan) {
            for p in view.lines.iter().flatten() {
                take(home.own(stood.frame.place(*p)));
            }
        }
        let gauge = self.sheet.model.wheels.track_gauge() / 2.0;
        for aside in [-gauge, gauge] {
            for p in self.track(plan, aside) {
                take(p);
            }
        }
        (low, high)
    }

    /// The track from a little before the train to a little behind it, in the frame of the engine.
    fn track(&self, plan: &Plan, aside: f64) -> Vec<Point2> {
        let track: &TrackLine = &self.found.passage.track;
        let stood = &plan.stood.engine;
        let first = |chassis: &Chassis| {
            let first = chassis.rigid().next().or(chassis.axles.first());
            first.map_or(0.0, |axle| axle.x)
        };
        let ahead = stood.s + first(&self.running.engine.chassis) + BEYOND;
        let way = self.running.train().length() + 2.0 * BEYOND;
        let pieces = (way / PIECE).ceil().max(1.0);
        (0..=pieces as usize)
            .map(|i| {
                let at = track.at(ahead - way * i as f64 / pieces);
                let (sin, cos) = math::sin_cos(at.heading);
                let point = at.point + geom::Vector2::new(-sin, cos) * aside;
                stood.frame.own(point)
            })
            .collect()
    }

    fn drawn(&self, plan: &Plan, origin: Point2, scale: f64, marks: bool) -> Vec<Item> {
        let on_paper = |p: Point2| origin + p.coords * scale;
        let home = plan.stood.engine.frame;
        let mut items = Vec::new();
        let gauge = self.sheet.model.wheels.track_gauge() / 2.0;
        for (aside, dashes, colour) in [
            (-gauge, &[][..], FAINT),
            (gauge, &[][..], FAINT),
            (0.0, CENTRE, FAINT),
        ] {
            let points: Vec<Point2> = self.track(plan, aside).into_iter().map(on_paper).collect();
            items.push(Item::Runs {
                runs: vec![along(&points)],
                colour,
                width: if dashes.is_empty() { 0.35 } else { THIN },
                dashes,
            });
        }
        for (chassis, stood, view) in self.vehicles(plan) {
            let place = |p: &Point2| on_paper(home.own(stood.frame.place(*p)));
            items.extend(drawn_by(view, &place));
            let outlines: Vec<Vec<Segment>> = chassis
                .axles
                .iter()
                .flat_map(|axle| wheels(chassis, axle, stood, &home))
                .map(|corners| {
                    let mut points: Vec<Point2> = corners.into_iter().map(on_paper).collect();
                    points.push(points[0]);
                    along(&points)
                })
                .collect();
            items.push(runs(outlines, THIN, HIDDEN));
            items.push(Item::Runs {
                runs: vec![along(&[
                    place(&Point2::new(0.0, 0.0)),
                    place(&Point2::new(chassis.length, 0.0)),
                ])],
                colour: INK,
                width: THIN,
                dashes: CENTRE,
            });
        }
        if marks {
            for (number, approach) in self.marked() {
                let at = on_paper(Point2::new(approach.at.x, approach.at.y));
                items.extend(mark(number, at, origin.y));
            }
        }
        items
    }

    /// The engine's nearest approaches with their numbers, of two sides the nearer.
    fn marked(&self) -> Vec<(usize, &Approach)> {
        let mut told: Vec<(String, String)> = Vec::new();
        let mut nearest = Vec::new();
        for own in &self.found.engine {
            let pair = own.without_hand();
            if nearest.len() < MARKED && !told.contains(&pair) {
                told.push(pair);
                nearest.push(own);
            }
        }
        (1..).zip(nearest).collect()
    }

    fn table(&self, paper: Paper) -> Table {
        let third = paper.inner_width() / 3.0;
        let (left, middle, right) = (
            paper.low().x,
            paper.low().x + third,
            paper.low().x + 2.0 * third,
        );
        let mut columns: [Vec<Cell>; 3] = Default::default();
        columns[0].push(Cell::head("Throws and displacements", left));
        columns[0].push(Cell::far("exact   (second order)", left, third));
        for own in &self.found.compared {
            let (unit, factor) = if own.is_angle {
                ("°", 180.0 / math::PI)
            } else {
                ("", 1.0)
            };
            columns[0].push(Cell::plain(&own.title, left));
            columns[0].push(Cell::far(
                &format!(
                    "{:.2}{unit} ({:.2}{unit})",
                    own.exact * factor,
                    own.near * factor
                ),
                left,
                third,
            ));
        }
        columns[1].push(Cell::head(
            "Nearest approaches of wheels and trucks",
            middle,
        ));
        columns[1].push(Cell::far("mm", middle, third));
        for (number, own) in self.marked() {
            let title = format!("{number}  {}: {}", own.mover, own.part);
            columns[1].push(Cell::plain(&title, middle));
            columns[1].push(Cell::far(&format!("{:.2}", own.distance), middle, third));
        }
        columns[2].push(Cell::head("Found", right));
        if self.found.findings.is_empty() {
            columns[2].push(Cell::plain("Nothing: the train runs here.", right));
        }
        let room = third - 2.0;
        let most = 9;
        for own in &self.found.findings {
            let text = format!("{}: {}", own.severity.word(), own.sentence);
            for part in broken(&text, TEXT, room) {
                columns[2].push(Cell::plain(&part, right));
            }
        }
        if columns[2].len() > most + 1 {
            columns[2].truncate(most);
            columns[2].push(Cell::plain("… and more: see the findings", right));
        }
        Table::of(columns)
    }
}

/// Words at a place of a row.
struct Cell {
    text: String,
    x: f64,
    /// True for the figure at the end of the row that the cell before it begins.
    is_end: bool,
    is_head: bool,
}

impl Cell {
    fn plain(text: &str, x: f64) -> Self {
        Self {
            text: text.to_owned(),
            x,
            is_end: false,
            is_head: false,
        }
    }

    fn head(text: &str, x: f64) -> Self {
        Self {
            is_head: true,
            ..Self::plain(text, x)
        }
    }

    fn far(text: &str, x: f64, width: f64) -> Self {
        Self {
            is_end: true,
            ..Self::plain(text, x + width - 4.0 - width_of(text, TEXT))
        }
    }
}

/// Figures under the plans, in columns.
struct Table {
    columns: [Vec<Cell>; 3],
    rows: usize,
}

impl Table {
    fn of(columns: [Vec<Cell>; 3]) -> Self {
        let count = |cells: &Vec<Cell>| cells.iter().filter(|own| !own.is_end).count();
        Self {
            rows: columns.iter().map(count).max().unwrap_or(0),
            columns,
        }
    }

    fn items(&self, top: f64) -> Vec<Item> {
        let mut items = Vec::new();
        for cells in &self.columns {
            let mut row = 0;
            for cell in cells {
                if !cell.is_end {
                    row += 1;
                }
                let y = top - PITCH * row as f64;
                items.push(words(&cell.text, cell.x, y, TEXT));
                if cell.is_head {
                    let end = cell.x + width_of(&cell.text, TEXT);
                    let under = y - 0.8;
                    items.push(line(
                        Point2::new(cell.x, under),
                        Point2::new(end, under),
                        THIN,
                    ));
                }
            }
        }
        items
    }
}

fn along(points: &[Point2]) -> Vec<Segment> {
    points
        .windows(2)
        .map(|two| Segment::line(two[0], two[1]))
        .collect()
}

/// Corners of the tyres of an axle from above, in the frame of the engine; a wheel of a truck stands as
/// its truck does.
fn wheels(chassis: &Chassis, axle: &Axle, stood: &Standing, home: &Frame) -> Vec<[Point2; 4]> {
    let frame = match axle.held {
        Held::Truck(number) => stood.trucks[number].frame,
        Held::Frames { .. } => stood.frame,
    };
    let w = &chassis.wheels;
    let (inner, outer) = (w.back_to_back / 2.0, w.back_to_back / 2.0 + w.tyre_width);
    let reach = axle.diameter / 2.0;
    [-1.0, 1.0]
        .map(|side| {
            [
                (axle.x - reach, inner),
                (axle.x + reach, inner),
                (axle.x + reach, outer),
                (axle.x - reach, outer),
            ]
            .map(|(x, y)| home.own(frame.place(Point2::new(x, side * y))))
        })
        .to_vec()
}

/// A dot at a place and its number in a ring beside it, away from the middle of the plan.
fn mark(number: usize, at: Point2, middle: f64) -> Vec<Item> {
    const RING: f64 = 1.9;
    let up = if at.y >= middle { 1.0 } else { -1.0 };
    // Neighbours' rings stand at different distances.
    let centre = Point2::new(at.x + 3.0, at.y + up * (6.0 + 4.2 * (number % 3) as f64));
    let text = number.to_string();
    let toward = (centre - at).normalize();
    let mut items = vec![
        line(at, centre - toward * RING, THIN),
        Item::Filled {
            loops: vec![Outline::circle(at, 0.45)],
            colour: INK,
        },
        Item::Filled {
            loops: vec![Outline::circle(centre, RING)],
            colour: (255, 255, 255),
        },
    ];
    items.push(Item::Drawn {
        loops: vec![Outline::circle(centre, RING)],
        colour: INK,
        width: WIDE,
    });
    items.push(words(
        &text,
        centre.x - width_of(&text, TEXT) / 2.0,
        centre.y - TEXT / 2.0,
        TEXT,
    ));
    items
}
