//! Flats laid out as a drawing, and the drawing as text of two kinds.
//!
//! No line of it uses the project's own writers of drawings, so that reader and writer cannot agree by
//! habit.

use artwork::{FlatDrawing, Motion2};
use body::Face;
use dxf::entities::EntityType;
use geom::{Arc, Outline, Point2, Segment, Vector2};
use std::fmt::Write as _;

/// Room between plates (mm): more than a text beside a plate reaches.
const GAP: f64 = 30.0;

/// Width at which the next row begins (mm).
const ROW: f64 = 600.0;

/// Curves that run on from one another.
#[derive(Clone, Debug)]
pub struct Run {
    /// Its layer.
    pub layer: String,
    /// The curves in order.
    pub segments: Vec<Segment>,
    /// True if the last meets the first.
    pub closed: bool,
}

/// A text.
#[derive(Clone, Debug)]
pub struct Text {
    /// Its layer.
    pub layer: String,
    /// What it says.
    pub words: String,
    /// Where it begins.
    pub at: Point2,
}

/// A drawing.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    /// Its curves.
    pub runs: Vec<Run>,
    /// Its texts.
    pub texts: Vec<Text>,
}

impl Drawing {
    /// Flats side by side, each turned by its own angle (rad).
    pub fn of_flats(flats: &[FlatDrawing], angle: impl Fn(usize) -> f64) -> Self {
        let mut own = Self::default();
        let (mut x, mut y, mut row_height) = (0.0, 0.0, 0.0_f64);
        for (i, flat) in flats.iter().enumerate() {
            let turn = Motion2 {
                mirrored: false,
                angle: angle(i),
                shift: Vector2::zeros(),
            };
            let turned: Vec<Segment> = flat
                .outline
                .segments()
                .iter()
                .map(|s| turn.segment(s))
                .collect();
            let (low, high) = bounds(&turned);
            if x > 0.0 && x + high.x - low.x > ROW {
                x = 0.0;
                y -= row_height + GAP;
                row_height = 0.0;
            }
            let place = Motion2 {
                shift: Vector2::new(x - low.x, y - high.y),
                ..turn
            };
            own.add(flat, &place);
            x += high.x - low.x + GAP;
            row_height = row_height.max(high.y - low.y);
        }
        own
    }

    /// The curves and texts of a DXF, polylines whole.
    ///
    /// # Panics
    ///
    /// If it is no DXF, or holds anything but lines, arcs, circles, polylines and texts.
    pub fn of_dxf(bytes: &[u8]) -> Self {
        let mut bytes = bytes;
        let file = dxf::Drawing::load(&mut bytes).expect("the drawing is a DXF");
        let mut own = Self::default();
        let flat = |p: &dxf::Point| Point2::new(p.x, p.y);
        for entity in file.entities() {
            let layer = entity.common.layer.clone();
            let (segments, closed) = match &entity.specific {
                EntityType::Line(line) => {
                    (vec![Segment::line(flat(&line.p1), flat(&line.p2))], false)
                }
                EntityType::Circle(round) => (
                    vec![Segment::circle(flat(&round.center), round.radius)],
                    true,
                ),
                EntityType::Polyline(line) => {
                    let corners: Vec<(Point2, f64)> = line
                        .vertices()
                        .map(|v| (flat(&v.location), v.bulge))
                        .collect();
                    assert!(line.is_closed(), "every polyline of a sheet is closed");
                    let next = corners.iter().cycle().skip(1);
                    let sides = corners.iter().zip(next);
                    let sides = sides.map(|(a, b)| Segment::from_bulge(a.0, b.0, a.1));
                    (sides.collect(), true)
                }
                EntityType::Text(text) => {
                    own.texts.push(Text {
                        layer,
                        words: text.value.clone(),
                        at: flat(&text.location),
                    });
                    continue;
                }
                other => panic!("{other:?} on a sheet"),
            };
            own.runs.push(Run {
                layer,
                segments,
                closed,
            });
        }
        own
    }

    fn add(&mut self, flat: &FlatDrawing, place: &Motion2) {
        self.add_outline("OUTLINE", &flat.outline, place);
        for hole in &flat.holes {
            match hole.round {
                Some(radius) => self.runs.push(Run {
                    layer: "OPENINGS".to_owned(),
                    segments: vec![place.segment(&Segment::circle(hole.centre, radius))],
                    closed: true,
                }),
                None => self.add_outline("OPENINGS", &hole.outline, place),
            }
        }
        for region in &flat.regions {
            let proud = region.z_high > flat.plain.1 || region.z_low < flat.plain.0;
            let layer = match (proud, region.face) {
                (true, Face::Outside) => "RAISED-OUTSIDE",
                (true, Face::Inside) => "RAISED-INSIDE",
                (false, Face::Outside) => "HALF-ETCH-OUTSIDE",
                (false, Face::Inside) => "HALF-ETCH-INSIDE",
            };
            self.add_outline(layer, &region.outline, place);
        }
        for rivet in &flat.rivets {
            self.runs.push(Run {
                layer: "RIVETS".to_owned(),
                segments: vec![
                    place.segment(&Segment::circle(rivet.centre, rivet.head_diameter / 2.0)),
                ],
                closed: true,
            });
        }
        // Just within the longest side, where there is metal.
        let longest = flat
            .outline
            .segments()
            .iter()
            .max_by(|a, b| a.length().total_cmp(&b.length()))
            .expect("an outline has sides");
        let (s, c) = geom::math::sin_cos(longest.tangent_angle_at(0.5));
        let at = longest.point_at(0.5) + Vector2::new(-s, c) * 0.1;
        self.texts.push(Text {
            layer: "LABELS".to_owned(),
            words: flat.plate.clone(),
            at: place.point(at),
        });
    }

    fn add_outline(&mut self, layer: &str, outline: &Outline, place: &Motion2) {
        self.runs.push(Run {
            layer: layer.to_owned(),
            segments: place.outline(outline),
            closed: true,
        });
    }

    /// The drawing as a text DXF in millimetres.
    pub fn to_dxf(&self) -> String {
        let mut out =
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
                .to_owned();
        // Writing to a String cannot fail.
        for run in &self.runs {
            let _ = match &run.segments[..] {
                [Segment::Line { start, end }] => write!(
                    out,
                    "0\nLINE\n8\n{}\n10\n{:.6}\n20\n{:.6}\n11\n{:.6}\n21\n{:.6}\n",
                    run.layer, start.x, start.y, end.x, end.y
                ),
                [Segment::Arc(arc)] if is_circle(arc) => write!(
                    out,
                    "0\nCIRCLE\n8\n{}\n10\n{:.6}\n20\n{:.6}\n40\n{:.6}\n",
                    run.layer, arc.centre.x, arc.centre.y, arc.radius
                ),
                [Segment::Arc(arc)] => {
                    let (from, to) = (arc.start_angle, arc.start_angle + arc.sweep);
                    let (from, to) = if arc.sweep > 0.0 {
                        (from, to)
                    } else {
                        (to, from)
                    };
                    write!(
                        out,
                        "0\nARC\n8\n{}\n10\n{:.6}\n20\n{:.6}\n40\n{:.6}\n50\n{:.9}\n51\n{:.9}\n",
                        run.layer,
                        arc.centre.x,
                        arc.centre.y,
                        arc.radius,
                        from.to_degrees(),
                        to.to_degrees()
                    )
                }
                many => {
                    let _ = write!(
                        out,
                        "0\nLWPOLYLINE\n8\n{}\n90\n{}\n70\n{}\n",
                        run.layer,
                        many.len() + usize::from(!run.closed),
                        i32::from(run.closed)
                    );
                    for segment in many {
                        let p = segment.start();
                        let _ = write!(
                            out,
                            "10\n{:.6}\n20\n{:.6}\n42\n{:.12}\n",
                            p.x,
                            p.y,
                            segment.bulge()
                        );
                    }
                    if let (false, Some(last)) = (run.closed, many.last()) {
                        let _ = write!(out, "10\n{:.6}\n20\n{:.6}\n", last.end().x, last.end().y);
                    }
                    Ok(())
                }
            };
        }
        for text in &self.texts {
            let _ = write!(
                out,
                "0\nTEXT\n8\n{}\n10\n{:.6}\n20\n{:.6}\n40\n1\n1\n{}\n",
                text.layer, text.at.x, text.at.y, text.words
            );
        }
        out + "0\nENDSEC\n0\nEOF\n"
    }

    /// The drawing as an SVG at true size, a group for each run, named after its layer.
    pub fn to_svg(&self) -> String {
        let all: Vec<Segment> = self
            .runs
            .iter()
            .flat_map(|run| run.segments.clone())
            .collect();
        let (low, high) = bounds(&all);
        let (w, h) = (high.x - low.x + 20.0, high.y - low.y + 20.0);
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.6}mm\" height=\"{h:.6}mm\" \
             viewBox=\"{:.6} {:.6} {w:.6} {h:.6}\">\n",
            low.x - 10.0,
            -high.y - 10.0
        );
        for run in &self.runs {
            let mut d = String::new();
            for (i, segment) in run.segments.iter().enumerate() {
                let (start, end) = (segment.start(), segment.end());
                if i == 0 {
                    let _ = write!(d, "M{:.6} {:.6}", start.x, -start.y);
                }
                let _ = match segment {
                    Segment::Line { .. } => write!(d, "L{:.6} {:.6}", end.x, -end.y),
                    Segment::Arc(arc) if is_circle(arc) => {
                        let far = segment.point_at(0.5);
                        let positive = i32::from(arc.sweep < 0.0);
                        let to = [far, end].map(|p| {
                            format!(
                                "A{r:.6} {r:.6} 0 0 {positive} {:.6} {:.6}",
                                p.x,
                                -p.y,
                                r = arc.radius
                            )
                        });
                        write!(d, "{}", to.concat())
                    }
                    Segment::Arc(arc) => write!(
                        d,
                        "A{r:.6} {r:.6} 0 {} {} {:.6} {:.6}",
                        i32::from(arc.sweep.abs() > geom::math::PI),
                        i32::from(arc.sweep < 0.0),
                        end.x,
                        -end.y,
                        r = arc.radius
                    ),
                };
            }
            if run.closed && run.segments.len() > 1 {
                d.push('Z');
            }
            let _ = writeln!(out, "<g id=\"{}\"><path d=\"{d}\"/></g>", run.layer);
        }
        for text in &self.texts {
            let _ = writeln!(
                out,
                "<g id=\"{}\"><text x=\"{:.6}\" y=\"{:.6}\">{}</text></g>",
                text.layer, text.at.x, -text.at.y, text.words
            );
        }
        out + "</svg>\n"
    }
}

fn is_circle(arc: &Arc) -> bool {
    arc.sweep.abs() > geom::math::TAU - 1e-6
}

/// Corners of the least upright rectangle round some curves.
pub fn bounds(segments: &[Segment]) -> (Point2, Point2) {
    let (mut low, mut high) = (
        Point2::new(f64::INFINITY, f64::INFINITY),
        Point2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    );
    for segment in segments {
        for k in 0..=16 {
            let p = segment.point_at(f64::from(k) / 16.0);
            low = Point2::new(low.x.min(p.x), low.y.min(p.y));
            high = Point2::new(high.x.max(p.x), high.y.max(p.y));
        }
    }
    (low, high)
}
