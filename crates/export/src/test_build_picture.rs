//! Pictures of a place on a flat: what was meant in grey, what was drawn in colour.

use crate::number::fixed;
use artwork::FlatDrawing;
use check::DrawnFlat;
use geom::{FlatPoint, Outline, Point2, Segment};
use std::fmt::Write as _;

/// Chords keep within this of the curves (mm): finer than any print.
const CHORD_MM: f64 = 0.01;

/// Side of the close view (mm), at least.
const CLOSE_MM: f64 = 4.0;

/// What a picture is of.
#[derive(Clone, Copy)]
pub(crate) struct Picture<'a> {
    pub(crate) flat: &'a FlatDrawing,
    pub(crate) drawn: &'a DrawnFlat,
    /// The place.
    pub(crate) at: FlatPoint,
    /// How far off it is (mm).
    pub(crate) off: f64,
}

impl Picture<'_> {
    /// The whole plate with a ring round the place.
    pub(crate) fn whole(&self) -> String {
        let (low, high) = self.flat.bounds;
        let margin = 0.07 * (high - low).norm().max(1.0);
        let ring = 0.06 * (high - low).norm();
        self.svg(
            (
                low.x - margin,
                low.y - margin,
                high.x + margin,
                high.y + margin,
            ),
            (300.0, 150.0),
            ring,
            "the whole flat",
        )
    }

    /// The place from near.
    pub(crate) fn close(&self) -> String {
        let half = (CLOSE_MM / 2.0).max(4.0 * self.off.min(5.0));
        let (x, y) = (self.at.x, self.at.y);
        self.svg(
            (x - half, y - half, x + half, y + half),
            (150.0, 150.0),
            0.0,
            &format!("{} mm across", fixed(2.0 * half, 1)),
        )
    }

    fn svg(
        &self,
        (x0, y0, x1, y1): (f64, f64, f64, f64),
        (width, height): (f64, f64),
        ring: f64,
        title: &str,
    ) -> String {
        let scale = (width / (x1 - x0)).min(height / (y1 - y0));
        let (w, h) = ((x1 - x0) * scale, (y1 - y0) * scale);
        // Points of the flat in picture units: y down.
        let to = |p: Point2| ((p.x - x0) * scale, (y1 - p.y) * scale);
        let mut out = format!(
            "<svg viewBox=\"0 0 {} {}\" width=\"{}\" height=\"{}\" role=\"img\"><title>{title}</title>",
            fixed(w, 1),
            fixed(h, 1),
            fixed(w, 0),
            fixed(h, 0)
        );
        let meant = self.path(self.flat.outline.segments(), &to)
            + &self
                .flat
                .holes
                .iter()
                .map(|own| self.outline(&own.outline, &to))
                .collect::<String>();
        let etched: String = self
            .flat
            .regions
            .iter()
            .map(|own| self.outline(&own.outline, &to))
            .collect();
        let drawn = self.path(&self.drawn.outline, &to)
            + &self
                .drawn
                .openings
                .iter()
                .map(|(_, own)| self.outline(own, &to))
                .collect::<String>();
        let details: String = self
            .drawn
            .details
            .iter()
            .map(|(_, own)| self.outline(own, &to))
            .collect();
        let _ = write!(
            out,
            "<path class=\"meant\" d=\"{meant}\"/><path class=\"meant-etch\" d=\"{etched}\"/>\
             <path class=\"drawn-etch\" d=\"{details}\"/><path class=\"drawn\" d=\"{drawn}\"/>"
        );
        let (x, y) = to(self.at);
        if ring > 0.0 {
            let r = (ring * scale).clamp(6.0, 14.0);
            let _ = write!(
                out,
                "<circle class=\"ring\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
                fixed(x, 1),
                fixed(y, 1),
                fixed(r, 1)
            );
        } else {
            let _ = write!(
                out,
                "<path class=\"scale\" d=\"M6 {b}h{l}\"/><text x=\"6\" y=\"{t}\">1 mm</text>",
                b = fixed(h - 6.0, 1),
                l = fixed(scale, 1),
                t = fixed(h - 10.0, 1)
            );
        }
        out.push_str("</svg>");
        out
    }

    fn outline(&self, outline: &Outline, to: &impl Fn(Point2) -> (f64, f64)) -> String {
        self.path(outline.segments(), to)
    }

    fn path(&self, segments: &[Segment], to: &impl Fn(Point2) -> (f64, f64)) -> String {
        let mut path = String::new();
        for (i, segment) in segments.iter().enumerate() {
            let n = segment.chords_within(CHORD_MM);
            for k in 0..n {
                let (x, y) = to(segment.point_at(k as f64 / n as f64));
                let word = if i == 0 && k == 0 { "M" } else { "L" };
                let _ = write!(path, "{word}{} {}", fixed(x, 2), fixed(y, 2));
            }
        }
        if !path.is_empty() {
            path.push('Z');
        }
        path
    }
}
