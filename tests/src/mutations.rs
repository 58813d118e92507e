//! Changes of a drawing that change nothing of what it shows.

use crate::drawings::{Drawing, Run};
use artwork::Motion2;
use geom::{Point2, Segment, Vector2};

/// Numbers that look like chance and are the same each time.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The numbers of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed ^ 0x9e37_79b9_7f4a_7c15)
    }

    /// A number below `limit`.
    pub fn below(&mut self, limit: usize) -> usize {
        // Constants of a linear congruential generator (Knuth, The Art of Computer Programming, vol. 2).
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit.max(1)
    }
}

impl Drawing {
    /// The whole sheet moved, turned, or turned over.
    #[must_use]
    pub fn moved(mut self, by: &Motion2) -> Self {
        for run in &mut self.runs {
            for segment in &mut run.segments {
                *segment = by.segment(segment);
            }
        }
        for text in &mut self.texts {
            text.at = by.point(text.at);
        }
        self
    }

    /// The sheet as it is seen from its rear: left and right change places.
    #[must_use]
    pub fn seen_from_rear(self) -> Self {
        // Mirrored in the x axis and turned half round is mirrored in the y axis.
        self.moved(&Motion2 {
            mirrored: true,
            angle: geom::math::PI,
            shift: Vector2::zeros(),
        })
    }

    /// Every run broken into single lines and arcs, every second one drawn backwards.
    #[must_use]
    pub fn broken(mut self) -> Self {
        let mut pieces = Vec::new();
        for run in self.runs {
            if run.segments.len() == 1 {
                pieces.push(run);
                continue;
            }
            for (i, segment) in run.segments.iter().enumerate() {
                pieces.push(Run {
                    layer: run.layer.clone(),
                    segments: vec![if i % 2 == 0 {
                        *segment
                    } else {
                        segment.reversed()
                    }],
                    closed: false,
                });
            }
        }
        self.runs = pieces;
        self
    }

    /// Arcs as chords within a distance (mm).
    #[must_use]
    pub fn with_chords(mut self, within: f64) -> Self {
        for run in &mut self.runs {
            run.segments = run
                .segments
                .iter()
                .flat_map(|segment| {
                    let n = segment.chords_within(within);
                    let at = move |k: usize| segment.point_at(k as f64 / n as f64);
                    (0..n).map(move |k| Segment::line(at(k), at(k + 1)))
                })
                .collect();
        }
        self
    }

    /// Ends of curves put on a grid (mm), as a program does that writes few decimals.
    #[must_use]
    pub fn rounded(mut self, grid: f64) -> Self {
        let round =
            |p: Point2| Point2::new((p.x / grid).round() * grid, (p.y / grid).round() * grid);
        for run in &mut self.runs {
            for segment in &mut run.segments {
                if is_circle(segment) {
                    *segment = match segment {
                        Segment::Arc(arc) => {
                            let radius = (arc.radius / grid).round() * grid;
                            Segment::circle(round(arc.centre), radius.max(grid))
                        }
                        Segment::Line { .. } => *segment,
                    };
                } else {
                    let (start, end) = (round(segment.start()), round(segment.end()));
                    *segment = Segment::from_bulge(start, end, segment.bulge());
                }
            }
            run.segments.retain(|own| own.length() > 0.0);
        }
        self
    }

    /// Every line longer than a millimetre, and every arc that is no circle, cut in up to three.
    #[must_use]
    pub fn cut(mut self, chance: &mut Chance) -> Self {
        for run in &mut self.runs {
            let mut cut = Vec::new();
            for segment in &run.segments {
                if segment.length() < 1.0 || is_circle(segment) {
                    cut.push(*segment);
                    continue;
                }
                let n = 1 + chance.below(3);
                let first = (1 + chance.below(8)) as f64 / 10.0;
                let mut places = vec![0.0, first, (1.0 + first) / 2.0, 1.0];
                places.drain(n..3);
                cut.extend(places.windows(2).map(|p| segment.part(p[0], p[1])));
            }
            run.segments = cut;
        }
        self
    }

    /// Curves and texts in another order.
    #[must_use]
    pub fn shuffled(mut self, chance: &mut Chance) -> Self {
        for i in (1..self.runs.len()).rev() {
            self.runs.swap(i, chance.below(i + 1));
        }
        for i in (1..self.texts.len()).rev() {
            self.texts.swap(i, chance.below(i + 1));
        }
        self
    }

    /// Closed runs begun at another corner, and some of them run the other way.
    #[must_use]
    pub fn begun_elsewhere(mut self, chance: &mut Chance) -> Self {
        for run in self.runs.iter_mut().filter(|run| run.closed) {
            let n = run.segments.len();
            run.segments.rotate_left(chance.below(n));
            if chance.below(2) == 1 {
                run.segments = run.segments.iter().rev().map(Segment::reversed).collect();
            }
        }
        self
    }

    /// Everything on one layer, as a sheet drawn without layers.
    #[must_use]
    pub fn on_one_layer(mut self, layer: &str) -> Self {
        for run in &mut self.runs {
            layer.clone_into(&mut run.layer);
        }
        self
    }

    /// Everything larger or smaller, by a factor.
    #[must_use]
    pub fn enlarged(mut self, factor: f64) -> Self {
        let to = |p: Point2| Point2::from(p.coords * factor);
        for run in &mut self.runs {
            for segment in &mut run.segments {
                *segment = match segment {
                    Segment::Line { start, end } => Segment::line(to(*start), to(*end)),
                    Segment::Arc(arc) => Segment::Arc(geom::Arc {
                        centre: to(arc.centre),
                        radius: arc.radius * factor,
                        ..*arc
                    }),
                };
            }
        }
        for text in &mut self.texts {
            text.at = to(text.at);
        }
        self
    }

    /// Without texts.
    #[must_use]
    pub fn without_texts(mut self) -> Self {
        self.texts.clear();
        self
    }
}

fn is_circle(segment: &Segment) -> bool {
    segment.turn().abs() > geom::math::TAU - 1e-6
}
