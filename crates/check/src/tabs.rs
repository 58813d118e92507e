//! Tabs of a drawn plate: each drawn, in its place, in its width, and none besides.

use crate::drawn_plate::DrawnPlate;
use crate::tolerance::{PLACE_MM, SIZE_MM};
use artwork::FlatDrawing;
use geom::{FlatPoint, Point2, Vector2};

/// A tab that is meant.
struct Tab {
    name: String,
    /// The foot at which the outline comes to it.
    foot: FlatPoint,
    /// Along its side, in the way of the outline.
    along: Vector2,
    /// Out of the plate.
    outward: Vector2,
    width: f64,
    height: f64,
}

/// What is wrong with a tab.
pub(crate) enum TabFault {
    /// It is not there.
    Missing,
    /// Drawn width, and what is meant (mm).
    Width(f64, f64),
    /// How far it stands along its side from its place (mm).
    Place(f64),
    /// It is none that is meant; its width (mm).
    NotMeant(f64),
}

/// A fault of a tab and where it is.
pub(crate) struct TabFinding {
    /// The tab, or the one beside which another is drawn.
    pub(crate) name: String,
    pub(crate) at: FlatPoint,
    pub(crate) fault: TabFault,
}

/// What is wrong with the tabs of a drawn plate.
pub(crate) fn tab_faults(drawn: &DrawnPlate<'_>) -> Vec<TabFinding> {
    let meant = tabs_of(drawn.flat);
    if meant.is_empty() {
        return Vec::new();
    }
    let border: Vec<Point2> = drawn
        .run
        .segments
        .iter()
        .flat_map(|s| {
            let n = s.chords_within(0.001);
            (0..n).map(move |i| s.point_at(i as f64 / n as f64))
        })
        .collect();
    let sound = drawn.flat.outline.flattened(0.001);
    let mut found: Vec<TabFinding> = Vec::new();
    for tab in &meant {
        let own = tab.metal(&border, 0.5);
        let side = tab.metal(&border, -0.5);
        let on_side = |x: f64| side.iter().any(|(a, b)| *a < x && x < *b);
        found.extend(tab.judged(&own, on_side));
        let others = tab.metal(&sound, 0.5);
        // A side that is drawn too far out is no tab: it does not reach a tab's tip.
        let tips = tab.metal(&border, 0.9);
        let reaches = |x: f64| tips.iter().any(|(a, b)| *a < x && x < *b);
        let free = own.iter().filter(|(a, b)| {
            b - a < 3.0 * tab.width
                && reaches((a + b) / 2.0)
                && on_side((a + b) / 2.0)
                && others.iter().all(|(c, d)| b < c || d < a)
        });
        for (a, b) in free {
            let at = tab.place((a + b) / 2.0, 1.0);
            let said = found.iter().any(|other| {
                matches!(other.fault, TabFault::NotMeant(_))
                    && (other.at - at).norm() < tab.width / 2.0
            });
            if !said {
                found.push(TabFinding {
                    name: tab.name.clone(),
                    at,
                    fault: TabFault::NotMeant(b - a),
                });
            }
        }
    }
    found
}

fn tabs_of(flat: &FlatDrawing) -> Vec<Tab> {
    let n = flat.edges.len();
    let line = |e: usize| {
        let mut own = flat.edge_segments(e);
        let first = *own.next()?;
        let last = own.last().copied().unwrap_or(first);
        Some((first.start(), last.end()))
    };
    (0..n)
        .filter_map(|e| {
            let name = &flat.edges[e].name;
            let [up, tip, down] = [e, (e + 1) % n, (e + 2) % n];
            let same = flat.edges[tip].name == *name && flat.edges[down].name == *name;
            if !name.starts_with("tab-") || !same {
                return None;
            }
            let (foot, far) = (line(up)?.0, line(down)?.1);
            let along = (far - foot).try_normalize(1e-9)?;
            // An anticlockwise outline has the plate on its left.
            let outward = Vector2::new(along.y, -along.x);
            let height = (line(tip)?.0 - foot).dot(&outward);
            (height > 0.0).then(|| Tab {
                name: name.clone(),
                foot,
                along,
                outward,
                width: (far - foot).norm(),
                height,
            })
        })
        .collect()
}

impl Tab {
    /// A place at a length along the side, and a share of the tab's height out of it.
    fn place(&self, along: f64, share: f64) -> FlatPoint {
        self.foot + self.along * along + self.outward * (share * self.height)
    }

    /// Stretches of metal (mm from the foot) on a line beside the side, at a share of the tab's height.
    fn metal(&self, border: &[Point2], share: f64) -> Vec<(f64, f64)> {
        let level = share * self.height;
        let local = |p: Point2| {
            let v = p - self.foot;
            (v.dot(&self.along), v.dot(&self.outward) - level)
        };
        let mut crossings: Vec<f64> = (0..border.len())
            .filter_map(|i| {
                let (a, b) = (local(border[i]), local(border[(i + 1) % border.len()]));
                ((a.1 < 0.0) != (b.1 < 0.0)).then(|| a.0 + (b.0 - a.0) * a.1 / (a.1 - b.1))
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        crossings
            .chunks_exact(2)
            .map(|pair| (pair[0], pair[1]))
            .collect()
    }

    /// Held against the metal that is drawn out of its side.
    fn judged(&self, metal: &[(f64, f64)], on_side: impl Fn(f64) -> bool) -> Option<TabFinding> {
        let overlap = |(a, b): &(f64, f64)| b.min(self.width) - a.max(0.0);
        let own = metal
            .iter()
            .filter(|piece| overlap(piece) > 0.0)
            .max_by(|x, y| overlap(x).total_cmp(&overlap(y)));
        let fault = match own {
            // A side that is drawn elsewhere is no missing tab.
            None if on_side(self.width / 2.0) => TabFault::Missing,
            None => return None,
            Some((a, b)) if b - a > 2.0 * self.width + 1.0 => return None,
            Some((a, b)) => {
                let (width, off) = (b - a, (a + b - self.width) / 2.0);
                if (width - self.width).abs() > SIZE_MM {
                    TabFault::Width(width, self.width)
                } else if off.abs() > PLACE_MM {
                    TabFault::Place(off)
                } else {
                    return None;
                }
            }
        };
        Some(TabFinding {
            name: self.name.clone(),
            at: self.place(self.width / 2.0, 1.0),
            fault,
        })
    }
}
