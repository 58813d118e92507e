//! Words, tables and drawings set one under another, page after page.

use super::flat_view::View;
use super::paper::{FAINT, Head, INK, Paper, THIN, framed, runs, words};
use super::words::{broken, width_of};
use crate::page::{Item, Page};
use geom::{Outline, Point2, Segment, Vector2};

/// Height of capitals of running words and from line to line (mm).
const TEXT: (f64, f64) = (1.9, 3.7);
const HEADING: f64 = 2.4;
/// Room on either side of a table's cell (mm).
const CELL: f64 = 1.2;

/// A column of a table.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) title: &'static str,
    /// Whether its words stand to the right.
    pub(super) to_right: bool,
    /// Whether it takes the room that the words leave; else the last column does.
    pub(super) takes_rest: bool,
}

impl Column {
    pub(super) const fn left(title: &'static str) -> Self {
        Self {
            title,
            to_right: false,
            takes_rest: false,
        }
    }

    pub(super) const fn right(title: &'static str) -> Self {
        Self {
            title,
            to_right: true,
            takes_rest: false,
        }
    }
}

/// Pages being filled from the top.
pub(super) struct Flow {
    paper: Paper,
    head: Head,
    with_bar: bool,
    pages: Vec<Vec<Item>>,
    y: f64,
}

impl Flow {
    pub(super) fn new(paper: Paper, head: Head, with_bar: bool) -> Self {
        Self {
            y: paper.high().y,
            paper,
            head,
            with_bar,
            pages: vec![Vec::new()],
        }
    }

    pub(super) fn paper(&self) -> Paper {
        self.paper
    }

    fn push(&mut self, item: Item) {
        self.pages
            .last_mut()
            .expect("a flow has a page from the start")
            .push(item);
    }

    /// Height that is left on the page (mm).
    pub(super) fn left(&self) -> f64 {
        self.y - self.paper.low().y
    }

    pub(super) fn is_fresh(&self) -> bool {
        self.pages.last().is_some_and(Vec::is_empty)
    }

    pub(super) fn new_page(&mut self) {
        if !self.is_fresh() {
            self.pages.push(Vec::new());
        }
        self.y = self.paper.high().y;
    }

    /// Begins a page if a height does not fit.
    pub(super) fn need(&mut self, height: f64) {
        if height > self.left() {
            self.new_page();
        }
    }

    pub(super) fn gap(&mut self, height: f64) {
        self.y -= height;
    }

    /// A heading, with room for what follows it.
    pub(super) fn heading(&mut self, text: &str) {
        self.need(16.0);
        if !self.is_fresh() {
            self.gap(1.5);
        }
        self.y -= HEADING + 0.8;
        let at = Point2::new(self.paper.low().x, self.y);
        self.push(words(text, at.x, at.y, HEADING));
        self.gap(2.2);
    }

    pub(super) fn paragraph(&mut self, text: &str) {
        self.indented("", text);
    }

    /// A numbered line of a list.
    pub(super) fn item(&mut self, number: usize, text: &str) {
        self.indented(&format!("{number}."), text);
    }

    fn indented(&mut self, mark: &str, text: &str) {
        let (height, pitch) = TEXT;
        let x = self.paper.low().x;
        let indent = if mark.is_empty() { 0.0 } else { 6.0 };
        let lines = broken(text, height, self.paper.inner_width() - indent);
        self.need(pitch * lines.len().min(3) as f64 + 1.0);
        for (i, own) in lines.iter().enumerate() {
            self.need(pitch);
            self.y -= pitch;
            let y = self.y + 0.9;
            if i == 0 && !mark.is_empty() {
                self.push(words(mark, x, y, height));
            }
            self.push(words(own, x + indent, y, height));
        }
        self.gap(0.9);
    }

    /// A table as wide as the page, cells broken where its words are wider.
    pub(super) fn table(&mut self, columns: &[Column], rows: &[Vec<String>]) {
        self.tables(columns, &[(String::new(), rows.to_vec())]);
    }

    /// Tables with the same columns under headings of their own.
    pub(super) fn tables(&mut self, columns: &[Column], tables: &[(String, Vec<Vec<String>>)]) {
        let height = 1.7;
        let pitch = 3.3;
        let all: Vec<&Vec<String>> = tables.iter().flat_map(|(_, rows)| rows).collect();
        let mut widths = widths(columns, &all, height, self.paper.inner_width());
        let spare = self.paper.inner_width() - widths.iter().sum::<f64>();
        let at = columns.iter().position(|own| own.takes_rest);
        if let Some(last) = widths.get_mut(at.unwrap_or(columns.len() - 1)) {
            *last += spare.max(0.0);
        }
        let head: Vec<String> = columns.iter().map(|own| own.title.to_owned()).collect();
        for (heading, rows) in tables {
            if !heading.is_empty() {
                self.heading(heading);
            }
            let mut is_first = true;
            for row in rows {
                let tall = self.row_height(row, &widths, height, pitch);
                let with_head = tall + self.row_height(&head, &widths, height, pitch);
                if is_first {
                    self.need(with_head + 1.0);
                }
                if is_first || tall > self.left() {
                    self.need(tall);
                    self.row(&head, columns, &widths, (height, pitch), true);
                }
                is_first = false;
                self.row(row, columns, &widths, (height, pitch), false);
            }
            self.gap(2.0);
        }
    }

    fn row_height(&self, row: &[String], widths: &[f64], height: f64, pitch: f64) -> f64 {
        let lines = row.iter().zip(widths);
        let most = lines
            .map(|(text, width)| broken(text, height, width - 2.0 * CELL).len())
            .max();
        most.unwrap_or(1).max(1) as f64 * pitch + 0.7
    }

    fn row(
        &mut self,
        row: &[String],
        columns: &[Column],
        widths: &[f64],
        (height, pitch): (f64, f64),
        is_head: bool,
    ) {
        let tall = self.row_height(row, widths, height, pitch);
        let low = self.paper.low().x;
        let mut x = low;
        for ((text, column), width) in row.iter().zip(columns).zip(widths) {
            for (i, own) in broken(text, height, width - 2.0 * CELL).iter().enumerate() {
                let y = self.y - pitch * (i as f64 + 1.0) + 0.7;
                let at = if column.to_right {
                    x + width - CELL - width_of(own, height)
                } else {
                    x + CELL
                };
                self.push(words(own, at, y, height));
            }
            x += width;
        }
        self.y -= tall;
        let y = self.y;
        self.push(Item::Runs {
            runs: vec![vec![Segment::line(Point2::new(low, y), Point2::new(x, y))]],
            colour: if is_head { INK } else { FAINT },
            width: if is_head { 0.3 } else { 0.1 },
            dashes: &[],
        });
    }

    /// A drawing of a size (mm), its items measured from its lower left corner, with a line of words under it.
    pub(super) fn drawing(&mut self, size: (f64, f64), caption: &str, items: Vec<Item>) {
        self.need(size.1 + 7.0);
        self.y -= size.1 + 1.0;
        let spare = (self.paper.inner_width() - size.0).max(0.0);
        let by = Vector2::new(self.paper.low().x + spare / 2.0, self.y);
        for item in items {
            let item = moved(item, by);
            self.push(item);
        }
        if !caption.is_empty() {
            self.caption(caption);
        }
    }

    /// Words in the middle of the page.
    fn caption(&mut self, text: &str) {
        let (height, pitch) = TEXT;
        let middle = (self.paper.low().x + self.paper.high().x) / 2.0;
        for own in broken(text, height, self.paper.inner_width()) {
            self.need(pitch);
            self.y -= pitch;
            let x = middle - width_of(&own, height) / 2.0;
            self.push(words(&own, x, self.y + 0.9, height));
        }
        self.gap(0.9);
    }

    /// Drawings side by side, each with its words under it.
    pub(super) fn row_of_drawings<'n>(&mut self, views: impl Iterator<Item = (View, &'n str)>) {
        let views: Vec<(View, &str)> = views.collect();
        let size = |view: &View| view.room.high - view.room.low;
        let tallest = views.iter().map(|own| size(&own.0).y).fold(0.0, f64::max);
        self.need(tallest + 7.0);
        let all: f64 = views.iter().map(|own| size(&own.0).x).sum();
        let spare = (self.paper.inner_width() - all) / (views.len() as f64 + 1.0);
        let mut x = self.paper.low().x + spare;
        self.y -= tallest + 1.0;
        for (view, name) in views {
            let own = size(&view);
            let by = Point2::new(x, self.y + (tallest - own.y) / 2.0) - view.room.low;
            let labels = view.labels.into_iter().flat_map(|(_, items)| items);
            for item in view.lines.into_iter().chain(labels) {
                self.push(moved(item, by));
            }
            let left = x + (own.x - width_of(name, TEXT.0)) / 2.0;
            self.push(words(name, left, self.y - TEXT.1 + 0.9, TEXT.0));
            x += own.x + spare;
        }
        self.gap(TEXT.1 + 1.0);
    }

    /// A box to write in, at the left of a line of words.
    pub(super) fn tick_box(&mut self, text: &str) {
        let (height, pitch) = TEXT;
        let x = self.paper.low().x;
        self.need(pitch + 1.0);
        self.y -= pitch + 0.4;
        let y = self.y + 0.9;
        let corners = Outline::rectangle(Point2::new(x, y - 0.3), Point2::new(x + 2.6, y + 2.3));
        self.push(runs(vec![corners.segments().to_vec()], THIN, &[]));
        self.push(words(text, x + 5.0, y, height));
    }

    /// The pages, framed and numbered.
    pub(super) fn finish(self) -> Vec<Page> {
        let mut pages = self.pages;
        if pages.len() > 1 && pages.last().is_some_and(Vec::is_empty) {
            pages.pop();
        }
        let of = pages.len();
        pages
            .into_iter()
            .enumerate()
            .map(|(i, items)| framed(self.paper, &self.head, i + 1, of, self.with_bar, items))
            .collect()
    }
}

/// Widths of columns: of their longest words, the widest given less until all fit.
fn widths(columns: &[Column], rows: &[&Vec<String>], height: f64, room: f64) -> Vec<f64> {
    let longest = |text: &str| {
        let word = |own: &str| width_of(own, height);
        text.split_whitespace().map(word).fold(0.0, f64::max)
    };
    let mut widths = Vec::new();
    let mut least = Vec::new();
    for (i, column) in columns.iter().enumerate() {
        let cells = rows.iter().filter_map(|row| row.get(i)).map(String::as_str);
        let mut width = longest(column.title);
        let mut word = width;
        for text in cells {
            width = width.max(width_of(text, height));
            word = word.max(longest(text));
        }
        // A hair more than the words, so that rounding breaks no line.
        widths.push(width + 2.0 * CELL + 0.05);
        least.push(word + 2.0 * CELL + 0.05);
    }
    // A tenth of a millimetre at a time off the column that has most to give.
    while widths.iter().sum::<f64>() > room {
        let spare = |i: &usize| widths[*i] - least[*i];
        let Some(at) = (0..widths.len()).max_by(|a, b| spare(a).total_cmp(&spare(b))) else {
            break;
        };
        if spare(&at) <= 0.0 {
            let share = room / widths.iter().sum::<f64>();
            return widths.iter().map(|own| own * share).collect();
        }
        widths[at] = (widths[at] - 0.1).max(least[at]);
    }
    widths
}

/// An item moved on its page.
pub(super) fn moved(item: Item, by: Vector2) -> Item {
    let loops_moved = |loops: Vec<Outline>| loops.iter().map(|own| own.translated(by)).collect();
    match item {
        Item::Filled { loops, colour } => Item::Filled {
            loops: loops_moved(loops),
            colour,
        },
        Item::Drawn {
            loops,
            colour,
            width,
        } => Item::Drawn {
            loops: loops_moved(loops),
            colour,
            width,
        },
        Item::Runs {
            runs,
            colour,
            width,
            dashes,
        } => Item::Runs {
            runs: runs
                .iter()
                .map(|run| run.iter().map(|own| own.translated(by)).collect())
                .collect(),
            colour,
            width,
            dashes,
        },
        Item::Window { low, high, items } => Item::Window {
            low: low + by,
            high: high + by,
            items: items.into_iter().map(|own| moved(own, by)).collect(),
        },
        Item::Words {
            text,
            at,
            height,
            colour,
        } => Item::Words {
            text,
            at: at + by,
            height,
            colour,
        },
    }
}
