//! The section of a forming tool: a wrapper's section with every bend made tighter by what springs back.

use body::Plate;
use develop::{Loft, SurfacePoint};
use geom::math::{acos, atan2};
use geom::{Chain, Point2, Vector2, Vector3};

use super::fault::JigFault;
use super::shape::CHORD_MM;
use super::spring::{ToolBend, strength, tool_for};

/// A bend of a wrapper and the tool that leaves it, at one end (mm, rad).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormedBend {
    /// Number of the piece of the section, in order of travel.
    pub piece: usize,
    /// Inside radius that is wanted.
    pub wanted_radius: f64,
    /// Angle that is wanted, below zero where the outside is convex.
    pub wanted_angle: f64,
    /// Radius of the tool.
    pub tool_radius: f64,
    /// Angle bent round the tool.
    pub tool_angle: f64,
    /// True if the tool keeps the wanted curve and the bend is made by hand.
    pub by_hand: bool,
}

/// A plate that a tool forms, and its bends in front.
#[derive(Clone, Debug, PartialEq)]
pub struct FormedSheet {
    /// The plate.
    pub plate: String,
    /// Thickness where it bends (mm).
    pub thickness: f64,
    /// Yield stress (MPa).
    pub yield_stress: f64,
    /// Modulus of elasticity (MPa).
    pub elasticity: f64,
    /// Its bends and the tool of each.
    pub bends: Vec<FormedBend>,
}

impl FormedSheet {
    pub(super) fn of(plate: &Plate, bends: Vec<FormedBend>) -> Self {
        let (yield_stress, elasticity) = strength(&plate.sheet);
        Self {
            plate: plate.id.clone(),
            thickness: plate.sheet.thickness(),
            yield_stress,
            elasticity,
            bends,
        }
    }
}

/// The inside of a wrapper on its forming tool, at both ends of its length, point by point.
#[derive(Clone, Debug)]
pub(super) struct ToolSection {
    /// Outlines of the tool's face from one foot over the top to the other (mm), section coordinates.
    pub(super) rings: [Vec<Point2>; 2],
    /// Outside of the metal on the tool.
    pub(super) outside: [Vec<Point2>; 2],
    /// Number of the point at which each piece begins; one more for the end.
    pub(super) starts: Vec<usize>,
    /// The bends at the front.
    pub(super) bends: Vec<FormedBend>,
    /// Distance between the ends (mm).
    pub(super) length: f64,
}

/// A piece of a section: straight, or a bend.
struct Piece {
    /// Mid-sheet length.
    length: f64,
    bend: Option<(ToolBend, f64, f64)>,
}

impl ToolSection {
    /// The tool of a rolled plate, its middle where the plate's middle is.
    ///
    /// A bend that would have to be bent further than it is to be by more than `further` (rad) is left to
    /// the hand: round a closed section the feet would meet.
    pub(super) fn of(plate: &Plate, further: f64) -> Result<Option<Self>, JigFault> {
        let Some(loft) = plate.forming.loft() else {
            return Ok(None);
        };
        let steps: Vec<usize> = steps(plate, loft, further)?;
        let mut rings: [Vec<Point2>; 2] = Default::default();
        let mut outside: [Vec<Point2>; 2] = Default::default();
        let mut bends = Vec::new();
        let mut starts = Vec::new();
        for end in 0..2 {
            let v = end as f64;
            let pieces = pieces(plate, loft, end, further)?;
            if end == 0 {
                bends = pieces
                    .iter()
                    .enumerate()
                    .filter_map(|(piece, own)| {
                        let (tool, wanted_radius, wanted_angle) = own.bend?;
                        Some(FormedBend {
                            piece,
                            wanted_radius,
                            wanted_angle,
                            tool_radius: if tool.by_hand {
                                wanted_radius
                            } else {
                                tool.radius
                            },
                            tool_angle: if tool.by_hand {
                                wanted_angle
                            } else {
                                wanted_angle / tool.angle_share
                            },
                            by_hand: tool.by_hand,
                        })
                    })
                    .collect();
            }
            let middle = Middle::of(loft, v);
            let chain = middle.laid(&pieces, plate.sheet.thickness(), loft);
            let half = plate.sheet.thickness() / 2.0;
            starts.clear();
            for (i, &n) in steps.iter().enumerate() {
                starts.push(rings[end].len());
                let last = i + 1 == steps.len();
                for k in 0..n + usize::from(last) {
                    let share = k as f64 / n as f64;
                    let (point, normal) = chain[i].at(share);
                    rings[end].push(point - normal * half);
                    outside[end].push(point + normal * half);
                }
            }
        }
        starts.push(rings[0].len() - 1);
        Ok(Some(Self {
            starts,
            rings,
            outside,
            bends,
            length: loft.axial_length(),
        }))
    }

    /// What is to be said of bends left to the hand.
    pub(super) fn notes(&self, title: &str) -> Vec<String> {
        let mut notes: Vec<String> = Vec::new();
        for bend in &self.bends {
            let degrees = bend.wanted_angle.abs().to_degrees();
            let note = if bend.by_hand {
                format!(
                    "{title}: the curve of radius {:.1} mm through {degrees:.1}° is too gentle for a tool to set; it is left as it is to be and curved by hand",
                    bend.wanted_radius
                )
            } else {
                format!(
                    "{title}: radius {:.2} mm through {degrees:.1}° is left by {:.2} mm through {:.1}°",
                    bend.wanted_radius,
                    bend.tool_radius,
                    bend.tool_angle.abs().to_degrees()
                )
            };
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
        notes
    }
}

/// The pieces of a section at one end, with the tool of each bend.
fn pieces(plate: &Plate, loft: &Loft, end: usize, further: f64) -> Result<Vec<Piece>, JigFault> {
    let t = plate.sheet.thickness();
    loft.patches()
        .iter()
        .enumerate()
        .map(|(i, patch)| {
            let at = |w: f64| loft.section_point(SurfacePoint { w, v: end as f64 });
            match patch.radii() {
                None => Ok(Piece {
                    // The next patch begins at the whole number; a hair before it is this one's.
                    length: (at((i + 1) as f64 * (1.0 - f64::EPSILON)) - at(i as f64)).norm(),
                    bend: None,
                }),
                Some((front, rear)) => {
                    let middle = if end == 0 { front } else { rear };
                    let wanted = middle - t / 2.0;
                    if wanted <= 1e-3 {
                        // A tip of a cone, or a bend as sharp as the sheet is thick: bent as it is.
                        let sharp = ToolBend {
                            radius: wanted.max(0.0),
                            angle_share: 1.0,
                            by_hand: true,
                        };
                        return Ok(Piece {
                            length: middle * patch.turn().abs(),
                            bend: Some((sharp, wanted.max(0.0), patch.turn())),
                        });
                    }
                    let tool = tool_for(&plate.sheet, t, wanted)?;
                    let angle = patch.turn().abs();
                    let by_hand = tool.by_hand || angle / tool.angle_share - angle > further;
                    Ok(Piece {
                        length: middle * angle,
                        bend: Some((ToolBend { by_hand, ..tool }, wanted, patch.turn())),
                    })
                }
            }
        })
        .collect()
}

/// Chords of each patch, for the larger of its ends and of what is wanted and bent.
fn steps(plate: &Plate, loft: &Loft, further: f64) -> Result<Vec<usize>, JigFault> {
    let one = pieces(plate, loft, 0, further)?;
    let other = pieces(plate, loft, 1, further)?;
    let need = |piece: &Piece| match &piece.bend {
        None => 1,
        Some((tool, wanted, angle)) => {
            let radius = wanted + plate.sheet.thickness();
            let turned = angle.abs() / tool.angle_share;
            let step = 2.0 * acos((1.0 - CHORD_MM / radius.max(2.0 * CHORD_MM)).clamp(-1.0, 1.0));
            (turned / step).ceil().clamp(2.0, 2000.0) as usize
        }
    };
    Ok(one
        .iter()
        .zip(&other)
        .map(|(a, b)| need(a).max(need(b)))
        .collect())
}

/// Outward in the section plane at a ruling.
fn outward(loft: &Loft, w: f64) -> Vector2 {
    let normal: Vector3 = loft.formed_axes(w)[2];
    let frame = loft.frame();
    Vector2::new(normal.dot(&frame.across), normal.dot(&frame.up)).normalize()
}

/// The middle ruling of a wrapper in a section: where it is, and the heading of travel there.
struct Middle {
    w: f64,
    at: Point2,
    heading: f64,
}

impl Middle {
    fn of(loft: &Loft, v: f64) -> Self {
        let w = loft.datum();
        let out = outward(loft, w);
        Self {
            w,
            at: loft.section_point(SurfacePoint { w, v }),
            // The outside is on the left of travel.
            heading: atan2(-out.x, out.y),
        }
    }

    /// Mid-sheet on the tool: every piece by itself, laid from the middle both ways.
    fn laid(&self, pieces: &[Piece], thickness: f64, loft: &Loft) -> Vec<Laid> {
        let (home, share) = {
            let i = (self.w.floor() as usize).min(loft.patches().len() - 1);
            (i, self.w - i as f64)
        };
        let mut laid: Vec<Laid> = vec![Laid::default(); pieces.len()];
        // Forwards from the middle, then backwards from it, each with the travel of the section.
        let (mut at, mut heading) = (self.at, self.heading);
        for (i, piece) in pieces.iter().enumerate().skip(home) {
            let part = if i == home { 1.0 - share } else { 1.0 };
            let (chain, end, next) = run(at, heading, piece, part, thickness, false);
            laid[i] = Laid {
                chain,
                start: at,
                heading,
            };
            (at, heading) = (end, next);
        }
        let (mut at, mut heading) = (self.at, self.heading);
        for (i, piece) in pieces.iter().enumerate().take(home + 1).rev() {
            let part = if i == home { share } else { 1.0 };
            let (chain, end, next) = run(at, heading, piece, part, thickness, true);
            (at, heading) = (end, next);
            let after = if i == home {
                std::mem::take(&mut laid[i].chain)
            } else {
                Chain::default()
            };
            laid[i] = Laid {
                chain: chain.reversed().joined(&after),
                start: at,
                heading,
            };
        }
        laid
    }
}

/// A piece laid on the tool.
#[derive(Clone, Debug, Default)]
struct Laid {
    /// Empty at the tip of a cone.
    chain: Chain,
    start: Point2,
    heading: f64,
}

impl Laid {
    /// Point and outward normal at a share of the piece.
    fn at(&self, share: f64) -> (Point2, Vector2) {
        let whole = self.chain.length();
        let (point, heading) = if whole > 0.0 {
            (
                self.chain.point_at(whole * share),
                self.chain.tangent_angle_at(whole * share),
            )
        } else {
            (self.start, self.heading)
        };
        let (s, c) = geom::math::sin_cos(heading);
        (point, Vector2::new(-s, c))
    }
}

/// Lays a part of a piece from a point: forwards, or backwards from its end.
fn run(
    at: Point2,
    heading: f64,
    piece: &Piece,
    part: f64,
    thickness: f64,
    backwards: bool,
) -> (Chain, Point2, f64) {
    let start = if backwards {
        heading + geom::math::PI
    } else {
        heading
    };
    let builder = Chain::starting(at, start);
    let (builder, turned) = match &piece.bend {
        None => (builder.line(piece.length * part), 0.0),
        Some((tool, wanted, angle)) => {
            let (radius, angle) = if tool.by_hand {
                (*wanted, *angle)
            } else {
                (tool.radius, angle / tool.angle_share)
            };
            let turn = angle * part;
            let along = if backwards { -turn } else { turn };
            (builder.arc(radius + thickness / 2.0, along), turn)
        }
    };
    let end = builder.position();
    let next = if backwards {
        heading - turned
    } else {
        heading + turned
    };
    (builder.finish(), end, next)
}

#[cfg(test)]
mod tests {
    use super::*;
    use body::{Model, Overrides, Scale};

    /// Each bend sprung back by the formula, laid out again, is the finished section.
    #[test]
    fn a_tool_sprung_back_lands_on_the_finished_section() {
        let path = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../../demo-models/class-b.toml"
        );
        let text = std::fs::read(path).unwrap();
        for scale in [Scale::Four, Scale::Seven] {
            let overrides = Overrides {
                scale: Some(scale),
                ..Overrides::default()
            };
            let model = Model::read(path, &text, &overrides).unwrap();
            let body = body::build(&model).unwrap();
            for (id, further) in [
                ("firebox-wrapper", 0.17),
                ("smokebox-wrapper", 0.17),
                ("cab-roof", 0.61),
            ] {
                let plate = body.plate(id).unwrap();
                let loft = plate.forming.loft().unwrap();
                let mut set = 0;
                for end in 0..2 {
                    set += lands(plate, loft, end, further, id);
                }
                assert!(set > 0, "{id}: the tool sets no bend at all");
            }
        }
    }

    fn lands(plate: &Plate, loft: &Loft, end: usize, further: f64, id: &str) -> usize {
        let t = plate.sheet.thickness();
        let (yield_stress, elasticity) = strength(&plate.sheet);
        let mut set = 0;
        let sprung: Vec<Piece> = pieces(plate, loft, end, further)
            .unwrap()
            .into_iter()
            .map(|piece| match piece.bend {
                Some((tool, wanted, angle)) if !tool.by_hand => {
                    set += 1;
                    let left =
                        develop::spring_back(tool.radius, t, yield_stress, elasticity).unwrap();
                    let bent = angle / tool.angle_share;
                    assert!(bent.abs() > angle.abs() && tool.radius < wanted);
                    let left_over = ToolBend {
                        radius: left.radius,
                        angle_share: 1.0,
                        by_hand: false,
                    };
                    Piece {
                        bend: Some((left_over, wanted, bent * left.angle_share)),
                        ..piece
                    }
                }
                _ => piece,
            })
            .collect();
        let v = end as f64;
        let laid = Middle::of(loft, v).laid(&sprung, t, loft);
        for (i, own) in laid.iter().enumerate() {
            for share in [0.0, 0.3, 0.9] {
                let (point, _) = own.at(share);
                let at = SurfacePoint {
                    w: i as f64 + share,
                    v,
                };
                let off = (point - loft.section_point(at)).norm();
                assert!(off < 1e-6, "{id}, piece {i} at {share}: {off} mm off");
            }
        }
        set
    }
}
