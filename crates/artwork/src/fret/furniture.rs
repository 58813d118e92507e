//! What a sheet carries beside its plates: words, tooling holes, scale bar, practice rivets, test strip.

use super::curves::{EtchedShape, joined, union};
use super::faces::EtchedFaces;
use super::lettering::Lettering;
use body::FretSpec;
use geom::{Outline, Point2, Vector2};

/// Heights of lettering (mm): ISO 3098, from memory.
const HEIGHTS_MM: [f64; 5] = [1.8, 2.5, 3.5, 5.0, 7.0];

/// Thinnest stroke of lettering (mm), chosen: narrower ones fill with paint.
const LEAST_STROKE_MM: f64 = 0.25;

/// Length of the scale bar between the middles of its end marks (mm).
pub const SCALE_BAR_MM: f64 = 50.0;

/// Width of the measured slot and of the measured bar of the test strip (mm).
pub const TEST_SLOT_MM: f64 = 1.0;

/// Height of the row of test pieces (mm).
const ROW_MM: f64 = 6.0;

/// Room between two lines of words (mm).
const LINE_GAP_MM: f64 = 1.0;

/// Room between the things of the row (mm).
const GAP_MM: f64 = 4.0;

/// Dots of the practice row.
const PRACTICE_DOTS: usize = 12;

/// Outlines of the furniture by what they are, for drawings (mm).
#[derive(Clone, Debug, PartialEq)]
pub struct Furniture {
    /// Tooling holes: centre and diameter.
    pub tooling_holes: Vec<(Point2, f64)>,
    /// Words half-etched on the waste, numbers of plates among them.
    pub words: Vec<Lettering>,
    /// Foot of the middle of the scale bar's first mark.
    pub scale_bar_at: Point2,
    /// The scale bar, half-etched from the front.
    pub scale_bar: Vec<EtchedShape>,
    /// The practice row, half-etched from the rear: centre and diameter.
    pub practice: Vec<(Point2, f64)>,
    /// Slots of the test strip, etched through.
    pub test_slots: Vec<EtchedShape>,
    /// The fold line of the test strip, half-etched from the rear.
    pub test_fold: Vec<Outline>,
}

/// What furniture is made to.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FurnitureRules<'a> {
    pub(crate) spec: &'a FretSpec,
    /// Thickness of the sheet (mm).
    pub(crate) thickness: f64,
    /// Depth of a half-etch (mm).
    pub(crate) half_etch: f64,
    /// Width of the line etched round things (mm).
    pub(crate) line: f64,
    /// Lines of the title of the sheet, from the top.
    pub(crate) title: &'a [String],
}

impl FurnitureRules<'_> {
    /// Width of strokes (mm): the thickness of the sheet and not below what can be read
    /// (metaletching: a half-etched line is no narrower than the sheet is thick).
    pub(crate) fn stroke(&self) -> f64 {
        self.thickness.max(LEAST_STROKE_MM)
    }

    /// Height of capitals (mm).
    pub(crate) fn letter_height(&self) -> f64 {
        let least = 5.0 * self.stroke();
        HEIGHTS_MM
            .into_iter()
            .find(|height| *height >= least)
            .unwrap_or(HEIGHTS_MM[4])
    }

    /// Height of the strip along the bottom that plates keep out of (mm), the border included.
    pub(crate) fn strip_height(&self) -> f64 {
        self.words_foot() + self.title.len() as f64 * self.line_pitch() - LINE_GAP_MM + 1.5
    }

    /// Foot of the words (mm).
    fn words_foot(&self) -> f64 {
        self.spec.border + ROW_MM + 1.5
    }

    /// From one line of words to the next (mm).
    fn line_pitch(&self) -> f64 {
        self.letter_height() + self.stroke() + LINE_GAP_MM
    }

    /// As far right as words and test pieces reach at least (mm).
    pub(crate) fn least_right(&self) -> f64 {
        let lines = self.title.iter();
        let words = lines
            .map(|own| Lettering::width_of(own, self.letter_height(), self.stroke()))
            .fold(0.0, f64::max);
        let row = SCALE_BAR_MM + 1.0 + 2.0 * GAP_MM + self.practice_pitch() * PRACTICE_DOTS as f64;
        let strip = 5.0 * TEST_SLOT_MM + 7.0 + self.line;
        self.spec.border + words.max(row + strip)
    }

    fn practice_pitch(&self) -> f64 {
        (self.spec.punch + self.thickness).max(2.0 * self.spec.punch)
    }

    /// Furniture of a sheet of a size (mm).
    pub(crate) fn furniture(&self, width: f64, height: f64) -> Furniture {
        let spec = self.spec;
        let mut x = spec.border;
        let y = spec.border + 0.5;
        let scale_bar_at = Point2::new(x + 0.5, y);
        x += SCALE_BAR_MM + 1.0 + GAP_MM;
        let pitch = self.practice_pitch();
        let practice: Vec<(Point2, f64)> = (0..PRACTICE_DOTS)
            .map(|i| {
                (
                    Point2::new(x + pitch * (i as f64 + 0.5), y + ROW_MM / 2.0),
                    spec.punch,
                )
            })
            .collect();
        x += pitch * PRACTICE_DOTS as f64 + GAP_MM;
        let (test_slots, test_fold) = self.test_strip(Point2::new(x, y));
        Furniture {
            tooling_holes: self.tooling_holes(width, height),
            words: self.words(width, y - spec.border),
            scale_bar_at,
            scale_bar: self.scale_bar(scale_bar_at),
            practice,
            test_slots,
            test_fold,
        }
    }

    /// The lines of the title, their foot higher by `up` (mm).
    fn words(&self, width: f64, up: f64) -> Vec<Lettering> {
        let room = width - 2.0 * self.spec.border;
        let stroke = self.stroke();
        let last = self.title.len() - 1;
        let line = |(i, text): (usize, &String)| {
            let mut height = self.letter_height();
            let wide = Lettering::width_of(text, height, stroke);
            if wide > room {
                height *= room / wide * 0.98;
            }
            let foot = self.words_foot() + up + stroke / 2.0;
            let y = foot + (last - i) as f64 * self.line_pitch();
            Lettering {
                text: text.clone(),
                at: Point2::new(self.spec.border + stroke / 2.0, y),
                height,
                stroke,
                mirrored: false,
            }
        };
        self.title.iter().enumerate().map(line).collect()
    }

    /// In the corners of the border; the fourth stands further in, so that the sheet lies one way only.
    fn tooling_holes(&self, width: f64, height: f64) -> Vec<(Point2, f64)> {
        let (spec, middle) = (self.spec, self.spec.border / 2.0);
        let diameter = spec.tooling_hole.min(0.6 * spec.border);
        let right = width - middle;
        vec![
            (Point2::new(middle, middle), diameter),
            (Point2::new(right, middle), diameter),
            (Point2::new(middle, height - middle), diameter),
            (
                Point2::new(right - 3.0 * diameter, height - middle),
                diameter,
            ),
        ]
    }

    /// A comb with a tooth every 10 mm: its teeth's middles are true whatever the etch does to edges.
    fn scale_bar(&self, at: Point2) -> Vec<EtchedShape> {
        let half = self.stroke() / 2.0;
        let ring = |low: Point2, high: Point2| {
            vec![
                [low.x, low.y],
                [high.x, low.y],
                [high.x, high.y],
                [low.x, high.y],
            ]
        };
        let mut rings = vec![ring(
            at - Vector2::new(half, 0.0),
            at + Vector2::new(SCALE_BAR_MM + half, 2.0 * half),
        )];
        for i in 0..=5 {
            let x = at.x + SCALE_BAR_MM * f64::from(i) / 5.0;
            let tall = if i % 5 == 0 { ROW_MM } else { ROW_MM * 0.6 };
            rings.push(ring(
                Point2::new(x - half, at.y),
                Point2::new(x + half, at.y + tall),
            ));
        }
        joined(&rings)
    }

    /// Two slots with a bar between, and a tongue to be folded up, all of [`TEST_SLOT_MM`] and 5 mm.
    fn test_strip(&self, at: Point2) -> (Vec<EtchedShape>, Vec<Outline>) {
        let slot = |x: f64| {
            Outline::rectangle(
                Point2::new(at.x + x, at.y + 0.5),
                Point2::new(at.x + x + TEST_SLOT_MM, at.y + ROW_MM - 0.5),
            )
        };
        let slots = [slot(0.0), slot(2.0 * TEST_SLOT_MM)];
        // The tongue stands on its root at the left; the line goes round its other three sides.
        let (line, root) = (self.line, at.x + 5.0 * TEST_SLOT_MM);
        let (low, high) = (at.y, at.y + ROW_MM);
        let far = root + 7.0;
        let around = Outline::polygon(&[
            Point2::new(root, low),
            Point2::new(far + line, low),
            Point2::new(far + line, high),
            Point2::new(root, high),
            Point2::new(root, high - line),
            Point2::new(far, high - line),
            Point2::new(far, low + line),
            Point2::new(root, low + line),
        ]);
        // Where the walls of a square fold just meet: w = θ(t − h/2), h the web left.
        let web = self.thickness - self.half_etch;
        let width = geom::math::FRAC_PI_2 * (self.thickness - web / 2.0);
        let fold = Outline::rectangle(
            Point2::new(root + 0.3, low + line),
            Point2::new(root + 0.3 + width, high - line),
        );
        let mut through: Vec<EtchedShape> = slots.into_iter().map(EtchedShape::whole).collect();
        through.push(EtchedShape::whole(around));
        (through, vec![fold])
    }
}

impl Furniture {
    /// What is etched for it. Words are given by themselves: their allowance is in their strokes.
    pub(crate) fn faces(&self) -> EtchedFaces {
        let mut faces = EtchedFaces::default();
        let dot = |(centre, diameter): &(Point2, f64)| {
            EtchedShape::whole(Outline::circle(*centre, diameter / 2.0))
        };
        for hole in &self.tooling_holes {
            faces.through(dot(hole));
        }
        faces.front.extend(self.scale_bar.iter().cloned());
        faces.rear.extend(self.practice.iter().map(dot));
        faces.front.extend(self.test_slots.iter().cloned());
        faces.rear.extend(self.test_rear());
        faces
    }

    /// Slots and fold line of the test strip on the rear, where they run into one another.
    fn test_rear(&self) -> Vec<EtchedShape> {
        let mut slots = self.test_slots.clone();
        let Some(around) = slots.pop() else {
            return Vec::new();
        };
        let mut outline = around.outer;
        let mut islands = Vec::new();
        for fold in &self.test_fold {
            // Longer than the tongue is wide, so that the borders cross.
            let (low, high) = fold.bounds();
            let long = Outline::rectangle(
                Point2::new(low.x, low.y - 0.1),
                Point2::new(high.x, high.y + 0.1),
            );
            if let Some(first) = union(&outline, &long).into_iter().next() {
                islands.extend(first.islands);
                outline = first.outer;
            }
        }
        slots.push(EtchedShape {
            outer: outline,
            islands,
        });
        slots
    }
}
