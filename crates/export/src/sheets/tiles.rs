//! A drawing at true size on one page, or on several that are laid on one another by their marks.

use super::flat_view::View;
use super::flow::{Flow, moved};
use super::paper::{INK, runs};
use super::words::Room;
use crate::page::Item;
use geom::{Outline, Point2, Segment, Vector2};

/// What neighbouring pages both show (mm).
pub const TILE_OVERLAP_MM: f64 = 16.0;

/// Arm of a registration mark (mm), and its distance from the ends of the strip that both pages show.
const ARM: f64 = 3.5;
const FROM_END: f64 = 8.0;

/// Heading and legend over a drawing that has a page to itself (mm).
const OVER: f64 = 24.0;

/// How many pages a drawing of a size takes, across and up.
pub(super) fn grid(size: Vector2, room: (f64, f64)) -> (usize, usize) {
    let count = |own: f64, room: f64| {
        if own <= room {
            1
        } else {
            ((own - TILE_OVERLAP_MM) / (room - TILE_OVERLAP_MM)).ceil() as usize
        }
    };
    (count(size.x, room.0), count(size.y, room.1))
}

/// Room that a drawing has on a page of its own.
pub(super) fn page_room(flow: &Flow) -> (f64, f64) {
    let paper = flow.paper();
    (paper.inner_width(), paper.inner_height() - OVER)
}

/// Sets a drawing, tiled if it is larger than a page.
pub(super) fn set(flow: &mut Flow, view: View, caption: &str) {
    let size = view.room.high - view.room.low;
    let to_origin = Point2::origin() - view.room.low;
    let room = page_room(flow);
    let (across, up) = grid(size, room);
    if (across, up) == (1, 1) {
        let words = view.labels.into_iter().flat_map(|(_, items)| items);
        let items = view.lines.into_iter().chain(words);
        let items = items.map(|item| moved(item, to_origin)).collect();
        flow.drawing((size.x, size.y), caption, items);
        return;
    }
    let step = |own: f64, room: f64, count: usize| {
        let tile = if count == 1 { own } else { room };
        (tile, tile - TILE_OVERLAP_MM)
    };
    let (width, step_x) = step(size.x, room.0, across);
    let (height, step_y) = step(size.y, room.1, up);
    for row in (0..up).rev() {
        for column in 0..across {
            let low = view.room.low + Vector2::new(step_x * column as f64, step_y * row as f64);
            let window = Room {
                low,
                high: low + Vector2::new(width, height),
            };
            let mut items = vec![Item::Window {
                low: window.low,
                high: window.high,
                items: view.lines.clone(),
            }];
            for (label, words) in &view.labels {
                if window.holds(label) {
                    items.extend(words.iter().cloned());
                }
            }
            items.extend(marks(&view.room, &window));
            let by = Point2::origin() - low;
            let items = items.into_iter().map(|item| moved(item, by)).collect();
            let number = (up - 1 - row) * across + column + 1;
            flow.new_page();
            let tile = format!(
                "Part {number} of {}: lay the marks of one part on those of the next; {TILE_OVERLAP_MM} mm are on both. {caption}",
                across * up
            );
            flow.drawing((width, height), &tile, items);
        }
    }
}

/// Marks in the strips that a page has in common with its neighbours.
fn marks(whole: &Room, window: &Room) -> Vec<Item> {
    let half = TILE_OVERLAP_MM / 2.0;
    let (low, high) = (window.low, window.high);
    let mut at = Vec::new();
    for (x, is_inside) in [
        (low.x + half, low.x > whole.low.x + 1e-6),
        (high.x - half, high.x < whole.high.x - 1e-6),
    ] {
        if is_inside {
            at.push(Point2::new(x, low.y + FROM_END));
            at.push(Point2::new(x, high.y - FROM_END));
        }
    }
    for (y, is_inside) in [
        (low.y + half, low.y > whole.low.y + 1e-6),
        (high.y - half, high.y < whole.high.y - 1e-6),
    ] {
        if is_inside {
            at.push(Point2::new(low.x + FROM_END, y));
            at.push(Point2::new(high.x - FROM_END, y));
        }
    }
    at.into_iter().flat_map(mark).collect()
}

fn mark(at: Point2) -> [Item; 2] {
    let arm = |v: Vector2| vec![Segment::line(at - v, at + v)];
    [
        runs(
            vec![arm(Vector2::new(ARM, 0.0)), arm(Vector2::new(0.0, ARM))],
            0.13,
            &[],
        ),
        Item::Drawn {
            loops: vec![Outline::circle(at, 1.8)],
            colour: INK,
            width: 0.13,
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_cover_a_drawing_with_their_overlap() {
        let room = (172.0, 220.0);
        assert_eq!(grid(Vector2::new(172.0, 220.0), room), (1, 1));
        for long in [172.1, 328.0, 328.1, 900.0] {
            let (n, _) = grid(Vector2::new(long, 50.0), room);
            let covered = 172.0 + (n - 1) as f64 * (172.0 - TILE_OVERLAP_MM);
            assert!(covered >= long - 1e-9 && n >= 2);
            // One page fewer would not do.
            assert!(covered - (172.0 - TILE_OVERLAP_MM) < long);
        }
    }

    #[test]
    fn both_neighbours_carry_the_same_marks() {
        let whole = Room {
            low: Point2::new(0.0, 0.0),
            high: Point2::new(300.0, 60.0),
        };
        let tile = |x: f64| Room {
            low: Point2::new(x, 0.0),
            high: Point2::new(x + 172.0, 60.0),
        };
        let at = |window: &Room| -> Vec<Point2> {
            marks(&whole, window)
                .iter()
                .filter_map(|item| match item {
                    Item::Drawn { loops, .. } => {
                        let (low, high) = loops[0].bounds();
                        Some(Point2::from((low.coords + high.coords) / 2.0))
                    }
                    _ => None,
                })
                .collect()
        };
        let (left, right) = (at(&tile(0.0)), at(&tile(172.0 - TILE_OVERLAP_MM)));
        assert_eq!(left.len(), 2);
        for (a, b) in left.iter().zip(&right) {
            assert!((a - b).norm() < 1e-9, "{a} {b}");
        }
    }
}
