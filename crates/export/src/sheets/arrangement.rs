//! The general arrangement: side elevation, front, plan, rear and sections, with dimensions.

use super::cut_face::cut_face;
use super::dimension_line::{Level, ROW, Span, levels, rows, spans_below};
use super::flat_view::CENTRE;
use super::forming::SheetSource;
use super::paper::{FAINT, INK, Paper, THIN, WIDE, framed, line, words};
use crate::ExportError;
use crate::page::{Item, Page, pdf_of};
use crate::page_dxf::dxf_of_page;
use crate::page_svg::svg_of_page;
use body::{MeasuringAxis, MeasuringPoint, SheetPaper, measuring_points};
use geom::{BodyPoint, Outline, Point2, Segment};
use solid::{LineView, ViewFrame};

/// Scales of drawings that are tried, the largest first (ISO 5455, from memory), of the model's own size.
pub(super) const SCALES: [(f64, &str); 5] = [
    (2.0, "2:1"),
    (1.0, "1:1"),
    (0.5, "1:2"),
    (0.2, "1:5"),
    (0.1, "1:10"),
];

/// Room for heights on either side of the elevation, between views, and for what stands over a view (mm).
const COLUMN: f64 = 24.0;
const BETWEEN: f64 = 11.0;
const OVER: f64 = 10.0;

/// A view cut open.
#[derive(Clone, Debug)]
pub struct SectionView {
    /// Its letter.
    pub letter: char,
    /// Where it is cut: `through the chimney`.
    pub place: String,
    /// x of the cutting plane (mm).
    pub x: f64,
    /// What is seen from before it.
    pub view: LineView,
}

/// The views of a general arrangement.
#[derive(Clone, Debug)]
pub struct ArrangementViews {
    /// Side elevation, the engine's front to the left.
    pub side: LineView,
    /// From before.
    pub front: LineView,
    /// From above.
    pub plan: LineView,
    /// From behind.
    pub rear: LineView,
    /// Cut across, from front to rear.
    pub sections: Vec<SectionView>,
}

/// A drawing sheet in three kinds of file.
#[derive(Clone, Debug)]
pub struct DrawingSheet {
    title: String,
    page: Page,
}

impl DrawingSheet {
    /// For printing.
    ///
    /// # Errors
    ///
    /// [`ExportError::Pdf`] if the page cannot be written.
    pub fn pdf(&self) -> Result<Vec<u8>, ExportError> {
        pdf_of(&self.title, std::slice::from_ref(&self.page))
    }

    /// For the page and for programs that draw.
    pub fn svg(&self) -> String {
        svg_of_page(&self.title, &self.page)
    }

    /// For drawing programs, release 12.
    pub fn dxf(&self) -> Vec<u8> {
        dxf_of_page(&self.page)
    }
}

/// Elevation, front and plan with their dimensions, at the largest scale that fits the paper, lying.
pub fn arrangement_sheet(
    source: SheetSource<'_>,
    views: &ArrangementViews,
    paper: SheetPaper,
) -> DrawingSheet {
    let paper = Paper::lying(paper);
    let points = measuring_points(source.model, source.body);
    let mut fitted = None;
    for (scale, name) in SCALES {
        let sheet = Layout::of(&source, views, &points, scale, paper);
        let fits = sheet.width <= paper.inner_width() && sheet.height <= paper.inner_height();
        fitted = Some((sheet, name));
        if fits {
            break;
        }
    }
    let (layout, name) = fitted.expect("there are scales");
    let items = layout.items(views);
    finished(source, "General arrangement", name, paper, items)
}

pub(super) fn finished(
    source: SheetSource<'_>,
    subject: &str,
    scale: &str,
    paper: Paper,
    items: Vec<Item>,
) -> DrawingSheet {
    let facts = "First-angle projection; full size in feet and inches over the model's mm";
    finished_with(source, subject, facts, scale, paper, items)
}

/// A drawing sheet whose title block says these facts.
pub(super) fn finished_with(
    source: SheetSource<'_>,
    subject: &str,
    facts: &str,
    scale: &str,
    paper: Paper,
    items: Vec<Item>,
) -> DrawingSheet {
    let head = source.head(subject.to_owned(), facts, scale);
    DrawingSheet {
        title: format!("{}: {}", source.model.title, subject.to_lowercase()),
        page: framed(paper, &head, 1, 1, true, items),
    }
}

/// Where the views of the first sheet stand, and their dimensions.
struct Layout {
    scale: f64,
    side: Point2,
    front: Point2,
    plan: Point2,
    lengths: Vec<Span>,
    widths: Vec<Span>,
    left: Vec<Level>,
    right: Vec<Level>,
    left_x: f64,
    right_x: f64,
    /// x and letter of the cutting planes on the paper, and the heights between which they are marked.
    planes: Vec<(f64, char)>,
    width: f64,
    height: f64,
}

impl Layout {
    fn of(
        source: &SheetSource<'_>,
        views: &ArrangementViews,
        points: &[MeasuringPoint],
        scale: f64,
        paper: Paper,
    ) -> Self {
        let nothing = (Point2::origin(), Point2::origin());
        let (side_low, side_high) = views.side.bounds().unwrap_or(nothing);
        let (front_low, front_high) = views.front.bounds().unwrap_or(nothing);
        let (plan_low, plan_high) = views.plan.bounds().unwrap_or(nothing);
        let tall = side_high.y.max(front_high.y);
        let own = |axis| {
            points
                .iter()
                .filter(move |own| own.axis() == axis && own.on_drawing)
        };
        let mm_per_foot = source.model.scale.mm_per_foot();
        let figures = |point: &MeasuringPoint| {
            (
                point.full_size(mm_per_foot).words(),
                format!("{:.2}", point.mm()),
            )
        };
        let span = |point: &MeasuringPoint, frame: ViewFrame, origin: Point2| {
            let on = |p: BodyPoint| origin + frame.flat(p.coords).coords * scale;
            let ends = point.measurement.ends();
            let (a, b) = (on(ends.0), on(ends.1));
            let (over, under) = figures(point);
            Span {
                from: if a.x < b.x { a } else { b },
                to: if a.x < b.x { b } else { a },
                over,
                under,
            }
        };
        let lengths_at = |origin: Point2| -> Vec<Span> {
            own(MeasuringAxis::Length)
                .map(|point| span(point, ViewFrame::side(), origin))
                .collect()
        };
        let widths_at = |origin: Point2| -> Vec<Span> {
            let mut spans: Vec<Span> = Vec::new();
            for point in own(MeasuringAxis::Width) {
                let next = span(point, ViewFrame::front(), origin);
                // Tanks and cab of one width are given once.
                if !spans.iter().any(|own| own.under == next.under) {
                    spans.push(next);
                }
            }
            spans
        };
        let count = |spans: &[Span]| rows(spans).iter().max().map_or(0, |most| most + 1) as f64;
        let below = BETWEEN + ROW * count(&lengths_at(Point2::origin()));
        let under_front = BETWEEN + ROW * count(&widths_at(Point2::origin())) + 6.0;
        let side_width = scale * (side_high.x - side_low.x);
        let front_width = scale * (front_high.x - front_low.x);
        let plan_height = scale * (plan_high.y - plan_low.y);
        let width = 2.0 * COLUMN + side_width + BETWEEN + front_width;
        let height = OVER + scale * tall + (below + plan_height + 8.0).max(under_front);
        // What the paper leaves is shared out.
        let spare_x = ((paper.inner_width() - width) / 3.0).max(0.0);
        let spare_y = ((paper.inner_height() - height) / 3.0).max(0.0);
        let side = Point2::new(
            paper.low().x + spare_x + COLUMN - scale * side_low.x,
            paper.high().y - spare_y - OVER - scale * tall,
        );
        let right_x = side.x + scale * side_high.x + 3.0;
        let front = Point2::new(
            right_x - 3.0 + COLUMN + BETWEEN + spare_x - scale * front_low.x,
            side.y,
        );
        let plan = Point2::new(side.x, side.y - below - spare_y - scale * plan_high.y);
        let middle = (side_low.x + side_high.x) / 2.0;
        let (mut left, mut right) = (Vec::new(), Vec::new());
        for point in own(MeasuringAxis::Height) {
            let top = point.measurement.ends().1;
            let (over, under) = figures(point);
            let level = Level {
                at: side + ViewFrame::side().flat(top.coords).coords * scale,
                over,
                under,
            };
            let list = if top.x < middle {
                &mut left
            } else {
                &mut right
            };
            list.push(level);
        }
        let planes = views
            .sections
            .iter()
            .map(|own| (side.x + scale * own.x, own.letter))
            .collect();
        Self {
            scale,
            side,
            front,
            plan,
            lengths: lengths_at(side),
            widths: widths_at(front),
            left,
            right,
            left_x: side.x + scale * side_low.x - 3.0,
            right_x,
            planes,
            width,
            height,
        }
    }

    fn items(&self, views: &ArrangementViews) -> Vec<Item> {
        let scale = self.scale;
        let mut items = Vec::new();
        // Levels and extension lines lie under the views.
        let low = self.side.y + 2.5;
        items.extend(levels(&self.left, self.left_x, true, low));
        items.extend(levels(&self.right, self.right_x, false, low));
        items.extend(spans_below(&self.lengths, self.side.y - BETWEEN));
        items.extend(spans_below(&self.widths, self.front.y - BETWEEN));
        for (view, at) in [
            (&views.side, self.side),
            (&views.front, self.front),
            (&views.plan, self.plan),
        ] {
            items.extend(drawn(view, at, scale));
        }
        items.push(rail(self.left_x, self.right_x, self.side.y));
        if let Some((low, high)) = views.front.bounds() {
            let (left, right) = (self.front.x + scale * low.x, self.front.x + scale * high.x);
            items.push(rail(left - 2.0, right + 2.0, self.front.y));
            items.push(centre(
                Point2::new(self.front.x, self.front.y - 4.0),
                Point2::new(self.front.x, self.front.y + scale * high.y + 4.0),
            ));
        }
        if let Some((low, high)) = views.plan.bounds() {
            items.push(centre(
                Point2::new(self.plan.x + scale * low.x - 4.0, self.plan.y),
                Point2::new(self.plan.x + scale * high.x + 4.0, self.plan.y),
            ));
        }
        if let Some((_, high)) = views.side.bounds() {
            let top = self.side.y + scale * high.y + 2.0;
            for (x, letter) in &self.planes {
                items.extend(plane_mark(*x, top, *letter, true));
                items.extend(plane_mark(*x, self.side.y - 1.0, *letter, false));
            }
        }
        items
    }
}

/// A view with its origin at a place of the paper: cut metal filled, lines wide.
pub(super) fn drawn(view: &LineView, at: Point2, scale: f64) -> Vec<Item> {
    drawn_by(view, &|p: &Point2| at + p.coords * scale)
}

/// A view whose points are put on the paper by `place`.
pub(super) fn drawn_by(view: &LineView, place: &dyn Fn(&Point2) -> Point2) -> Vec<Item> {
    let runs = view
        .lines
        .iter()
        .map(|run| {
            let points: Vec<Point2> = run.iter().map(place).collect();
            points
                .windows(2)
                .map(|two| Segment::line(two[0], two[1]))
                .collect()
        })
        .collect();
    let mut items = vec![Item::Runs {
        runs,
        colour: INK,
        width: 0.25,
        dashes: &[],
    }];
    for solid in &view.cut {
        let loops: Vec<Outline> = solid
            .iter()
            .map(|run| {
                let points: Vec<Point2> = run.iter().map(place).collect();
                Outline::polygon(&points)
            })
            .collect();
        items.extend(cut_face(loops));
    }
    items
}

pub(super) fn centre(from: Point2, to: Point2) -> Item {
    Item::Runs {
        runs: vec![vec![Segment::line(from, to)]],
        colour: INK,
        width: THIN,
        dashes: CENTRE,
    }
}

pub(super) fn rail(left: f64, right: f64, y: f64) -> Item {
    Item::Runs {
        runs: vec![vec![Segment::line(
            Point2::new(left, y),
            Point2::new(right, y),
        )]],
        colour: FAINT,
        width: THIN,
        dashes: &[],
    }
}

/// Short thick stroke, arrow and letter of a cutting plane over or under a view.
fn plane_mark(x: f64, y: f64, letter: char, is_over: bool) -> Vec<Item> {
    let up = if is_over { 1.0 } else { -1.0 };
    let (inner, outer) = (y, y + up * 4.5);
    let tip = Point2::new(x + 4.0, outer);
    let mut items = vec![
        line(Point2::new(x, inner), Point2::new(x, outer), 2.0 * WIDE),
        line(Point2::new(x, outer), tip, THIN),
    ];
    items.push(Item::Filled {
        loops: vec![Outline::polygon(&[
            tip,
            Point2::new(tip.x - 2.0, tip.y - 0.5),
            Point2::new(tip.x - 2.0, tip.y + 0.5),
        ])],
        colour: INK,
    });
    let base = if is_over { outer - 2.6 } else { outer + 0.9 };
    items.push(words(&letter.to_string(), x + 1.2, base, 1.8));
    items
}
