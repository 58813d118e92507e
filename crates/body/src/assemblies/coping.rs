//! The flare over the sides and back of a bunker or tender: its strips, and its corners in three kinds.

use super::tub::Tub;
use crate::error::AtKey;
use crate::fit::butt_joint;
use crate::model::specs::CopingCorners;
use crate::wrapper::{SideNames, WrapperOf, loft_of};
use crate::{Body, BodyError, Curve, DerivedAngle, Finding, FindingPlace, Plate, Severity};
use develop::{ConeSegment, Loft, LoftFrame, Trace, coping_corner, coping_stretch};
use geom::math::{FRAC_PI_2, cos, sin};
use geom::{Chain, Point2, Point3, Vector3};

/// A strip of the flare: along the left side, the back or the right side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Run {
    Left,
    Back,
    Right,
}

impl Run {
    const ALL: [Self; 3] = [Self::Left, Self::Back, Self::Right];

    fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Back => "back",
            Self::Right => "right",
        }
    }
}

impl Tub<'_> {
    /// How far the flare goes out and up (mm).
    pub(super) fn flare(&self) -> (f64, f64) {
        let c = self.coping;
        (
            c.flare_radius * (1.0 - cos(c.flare_angle)),
            c.flare_radius * sin(c.flare_angle),
        )
    }

    pub(super) fn flare_id(&self) -> String {
        // The tender's flare is the tender's, not its tank's.
        format!("{}-flare", self.id.trim_end_matches("-tank"))
    }

    fn flare_title(&self) -> String {
        format!("{} flare", self.title.trim_end_matches(" tank"))
    }

    /// Adds the strips and corners of the flare, on the overlay of the walls.
    pub(super) fn add_coping(&self, body: &mut Body) -> Result<(), BodyError> {
        let strips = Run::ALL
            .into_iter()
            .map(|run| self.strip(run))
            .collect::<Result<Vec<_>, _>>()?;
        if let Some(overlay) = body.plate(&self.overlay_id()) {
            let joints: Vec<_> = strips
                .iter()
                .map(|strip| butt_joint((strip, "foot"), (overlay, "top")))
                .collect();
            body.joints.extend(joints);
        }
        match self.coping.corners {
            CopingCorners::Open => body.findings.push(self.open_corner()),
            CopingCorners::Mitred => {
                for (run, end) in [(&strips[0], "left"), (&strips[2], "right")] {
                    let joint = butt_joint((run, "rear"), (&strips[1], end));
                    body.joints.push(joint);
                }
                body.findings.extend(self.overhang());
            }
            CopingCorners::Conical(count) => {
                self.add_cones(body, &strips, count)?;
                body.findings.push(self.facets(count)?);
            }
        }
        body.plates.extend(strips);
        self.derive_flare(body);
        Ok(())
    }

    /// The flare seen along a run: from its lip down to its foot, the outside on the left of travel.
    fn section(&self, half_width: f64) -> Chain {
        let c = self.coping;
        Chain::starting(Point2::new(half_width, self.top), FRAC_PI_2)
            .arc(c.flare_radius, -c.flare_angle)
            .finish()
            .reversed()
    }

    /// Where mid-sheet of the flare ends: out from the drawn sides, and above rail (mm).
    pub(super) fn lip(&self) -> Result<(f64, f64), BodyError> {
        let inset = self.model.metal.sheet("coping").z_high;
        let neutral = self.section(0.0).offset(-inset);
        let end = neutral
            .at_key(&format!("{}.flare_radius", self.key))?
            .start();
        Ok((end.x, end.y))
    }

    /// How far a strip reaches past the corner of the sides; negative where a corner piece takes its place.
    fn reach(&self) -> f64 {
        match self.coping.corners {
            // A little more than the lip goes out, so that the mitre ends within the strip; it is cut off again.
            CopingCorners::Mitred => self.flare().0 + self.sheet(),
            _ => -self.coping.corner_radius,
        }
    }

    /// The strip of one side, cut to the mitre where there is one.
    fn strip(&self, run: Run) -> Result<Plate, BodyError> {
        let path = format!("{}.flare_radius", self.key);
        let sheet = self.model.metal.sheet("coping");
        let reach = self.reach();
        let (frame, section, length) = match run {
            Run::Left => (
                LoftFrame::along_engine(self.from),
                self.section(self.half),
                self.to + reach - self.from,
            ),
            Run::Right => (
                LoftFrame::along_engine(self.from),
                self.section(self.half).mirrored_in_y_axis().reversed(),
                self.to + reach - self.from,
            ),
            Run::Back => (
                LoftFrame {
                    origin: Point3::new(0.0, self.half + reach, 0.0),
                    axis: -Vector3::y(),
                    across: Vector3::x(),
                    up: Vector3::z(),
                },
                self.section(self.to),
                2.0 * (self.half + reach),
            ),
        };
        let neutral = section.offset(-sheet.z_high).at_key(&path)?;
        let (thickness, rule) = (sheet.thickness(), sheet.bend_rule);
        let loft =
            Loft::between(frame, &neutral, &neutral, length, thickness, rule).at_key(&path)?;
        let mut plate = WrapperOf {
            id: &format!("{}-{}", self.flare_id(), run.word()),
            assembly: self.assembly,
            title: &format!("{}, {}", self.flare_title(), run.word()),
            sheet,
            names: strip_names(run),
        }
        .plate(loft);
        if self.coping.corners == CopingCorners::Mitred {
            self.mitre(&mut plate, run).at_key(&path)?;
        }
        Ok(plate)
    }

    /// Cuts the strip's ends in the upright planes through the corners of the sides.
    fn mitre(&self, plate: &mut Plate, run: Run) -> Result<(), develop::DevelopError> {
        let corner = |left: bool| {
            let side = if left { self.half } else { -self.half };
            (
                Point3::new(self.to, side, 0.0),
                Vector3::new(1.0, if left { -1.0 } else { 1.0 }, 0.0),
            )
        };
        let cuts = match run {
            Run::Left => [None, Some(corner(true))],
            Run::Right => [None, Some(corner(false))],
            Run::Back => [Some(corner(true)), Some(corner(false))],
        };
        let loft = loft_of(plate).clone();
        let end = loft.w_end();
        let trace = |cut: Option<(Point3, Vector3)>, v: f64, from: f64, to: f64| match cut {
            Some((through, normal)) => Trace::Cut {
                through,
                normal,
                from,
                to,
            },
            None => Trace::Section { v, from, to },
        };
        let (rear, front) = (trace(cuts[1], 1.0, 0.0, end), trace(cuts[0], 0.0, end, 0.0));
        let corners = [
            front.at(&loft, 1.0)?,
            rear.at(&loft, 0.0)?,
            rear.at(&loft, 1.0)?,
            front.at(&loft, 0.0)?,
        ];
        let ruling = |w, from, to| Trace::Ruling { w, from, to };
        let curves = [
            ruling(0.0, corners[0].v, corners[1].v),
            rear,
            ruling(end, corners[2].v, corners[3].v),
            front,
        ];
        for (edge, curve) in plate.outline.iter_mut().zip(curves) {
            edge.curve = Curve::Surface(curve);
        }
        let names = strip_names(run);
        for (name, at) in [
            (names.corners[0], corners[0]),
            (names.corners[1], corners[1]),
            (names.corners[2], corners[3]),
            (names.corners[3], corners[2]),
        ] {
            if let Some((_, point)) = plate.points.iter_mut().find(|(own, _)| own == name) {
                *point = loft.flat(at);
            }
        }
        Ok(())
    }

    /// Cones of a corner to mid-sheet: the strips' mid-sheet and theirs meet at every edge of a cone.
    fn cones(&self, count: usize, inset: f64) -> Result<Vec<ConeSegment>, BodyError> {
        let c = self.coping;
        coping_corner(
            c.corner_radius - inset,
            c.flare_radius + inset,
            c.flare_angle,
            FRAC_PI_2,
            count,
        )
        .at_key(&format!("{}.corner_radius", self.key))
    }

    fn add_cones(&self, body: &mut Body, strips: &[Plate], count: usize) -> Result<(), BodyError> {
        let sheet = self.model.metal.sheet("coping");
        let cones = self.cones(count, sheet.z_high)?;
        for left in [true, false] {
            let hand = if left { "left" } else { "right" };
            let side = &strips[if left { 0 } else { 2 }];
            let mut below: Option<Plate> = None;
            for (i, cone) in cones.iter().enumerate() {
                let plate = self.cone(cone, left, i + 1)?;
                let on = match &below {
                    Some(lower) => Some((lower, "lip")),
                    None => body
                        .plate(&self.overlay_id())
                        .map(|overlay| (overlay, "top")),
                };
                let mut joints: Vec<_> = on
                    .map(|on| butt_joint((&plate, "foot"), on))
                    .into_iter()
                    .collect();
                joints.push(butt_joint((&plate, "side"), (side, "rear")));
                joints.push(butt_joint((&plate, "back"), (&strips[1], hand)));
                body.joints.extend(joints);
                body.plates.extend(below.replace(plate));
            }
            body.plates.extend(below);
        }
        Ok(())
    }

    /// One cone piece of a corner, counted from the foot.
    fn cone(&self, cone: &ConeSegment, left: bool, number: usize) -> Result<Plate, BodyError> {
        let path = format!("{}.corner_radius", self.key);
        let sheet = self.model.metal.sheet("coping");
        let c = self.coping;
        let sign = if left { 1.0 } else { -1.0 };
        let centre = Point2::new(
            self.to - c.corner_radius,
            sign * (self.half - c.corner_radius),
        );
        let start = if left { FRAC_PI_2 } else { 0.0 };
        let (thickness, rule) = (sheet.thickness(), sheet.bend_rule);
        let loft = cone
            .loft((centre, start), self.top, thickness, rule)
            .at_key(&path)?;
        let hand = if left { "left" } else { "right" };
        Ok(WrapperOf {
            id: &format!("{}-corner-{hand}-{number}", self.flare_id()),
            assembly: self.assembly,
            title: &format!("{} corner, {hand}, cone {number}", self.flare_title()),
            sheet,
            names: SideNames {
                ends: ("foot", "lip"),
                sides: if left {
                    ("side", "back")
                } else {
                    ("back", "side")
                },
                corners: if left {
                    ["foot-side", "lip-side", "foot-back", "lip-back"]
                } else {
                    ["foot-back", "lip-back", "foot-side", "lip-side"]
                },
                datum: ("foot-middle", "lip-middle"),
            },
        }
        .plate(loft))
    }

    fn derive_flare(&self, body: &mut Body) {
        let c = self.coping;
        let (out, up) = self.flare();
        let mut derive = |name: &str, title: &str, mm: f64| {
            body.derive(&format!("{}.{name}", self.key), title, mm);
        };
        derive("flare_out", "Flare, outwards", out);
        derive("flare_up", "Flare, upwards", up);
        derive(
            "height_over_flare",
            "Height over the flare above rail",
            self.top + up,
        );
        derive(
            "over_flare",
            "Width over the flare",
            2.0 * (self.half + out),
        );
        derive(
            "flare_developed",
            "Developed width of the flare over the outside",
            c.flare_radius * c.flare_angle,
        );
        derive(
            "flare_corner_radius",
            "Radius of the corner in plan at the edge of the flare",
            c.corner_radius + out,
        );
        body.angles.push(DerivedAngle {
            path: format!("{}.flare_angle", self.key),
            title: "Flare, angle turned through".to_owned(),
            radians: c.flare_angle,
        });
        let CopingCorners::Conical(count) = c.corners else {
            return;
        };
        let Ok(cones) = self.cones(count, 0.0) else {
            return;
        };
        for (i, cone) in cones.iter().enumerate() {
            let mut derive = |name: &str, title: &str, mm: f64| {
                let path = format!("{}.cones[{i}].{name}", self.key);
                body.derive(&path, &format!("Cone {}: {title}", i + 1), mm);
            };
            derive("slant", "width of the flat, outside", cone.slant);
            derive(
                "inner_radius",
                "inner radius of the flat, outside",
                cone.inner_radius,
            );
            derive(
                "outer_radius",
                "outer radius of the flat, outside",
                cone.outer_radius,
            );
            derive(
                "deviation",
                "greatest distance from the true flare",
                cone.deviation,
            );
            body.angles.push(DerivedAngle {
                path: format!("{}.cones[{i}].sector", self.key),
                title: format!("Cone {}: sector of the flat", i + 1),
                radians: cone.sector_angle,
            });
        }
    }

    fn corner_place(&self, plate: String) -> FindingPlace {
        FindingPlace {
            plate: Some(plate),
            flat: None,
            body: Some(Point3::new(
                self.to,
                self.half - self.coping.corner_radius,
                self.top,
            )),
        }
    }

    /// A flared corner cannot be made from flat sheet; says by how much its edge would have to stretch.
    fn open_corner(&self) -> Finding {
        let c = self.coping;
        let stretch = coping_stretch(c.corner_radius, c.flare_radius, c.flare_angle);
        Finding {
            path: format!("{}.flare_radius", self.key),
            rule: "not-developable",
            severity: Severity::Note,
            found: c.corner_radius + self.flare().0,
            limit: c.corner_radius,
            at: self.corner_place(format!("{}-back", self.flare_id())),
            sentence: format!(
                "the flared corner of the {} cannot be rolled from flat sheet: its lip is {:.0} % longer than its foot; \
                 the flare is made as three strips and both corners are left open for a cast or printed piece",
                self.title.to_lowercase(),
                100.0 * stretch
            ),
        }
    }

    /// Says how far the cones lie from the flare.
    fn facets(&self, count: usize) -> Result<Finding, BodyError> {
        let deviation = self
            .cones(count, 0.0)?
            .first()
            .map_or(0.0, |cone| cone.deviation);
        // What solder fills neatly: common practice, no source.
        let limit = self.model.scale.pick(0.10, 0.15);
        let c = self.coping;
        let stretch = coping_stretch(c.corner_radius, c.flare_radius, c.flare_angle);
        Ok(Finding {
            path: format!("{}.cone_segments", self.key),
            rule: "coping-facets",
            severity: if deviation > limit {
                Severity::Warning
            } else {
                Severity::Note
            },
            found: deviation,
            limit,
            at: self.corner_place(format!("{}-corner-left-1", self.flare_id())),
            sentence: format!(
                "each flared corner of the {}, which would have to stretch by {:.0} % in one piece, is made of {count} cone{}; \
                 they lie {deviation:.2} mm at most from the true flare, and {limit:.2} mm is filled neatly",
                self.title.to_lowercase(),
                100.0 * stretch,
                if count == 1 { "" } else { "s" },
            ),
        })
    }

    /// A sharp mitre over a rounded corner hangs over by r(√2 − 1).
    fn overhang(&self) -> Option<Finding> {
        let over = self.coping.corner_radius * (std::f64::consts::SQRT_2 - 1.0);
        // As much as is filled with solder and filed to shape: chosen, not sourced.
        let limit = self.model.scale.pick(0.3, 0.5);
        (over > limit).then(|| Finding {
            path: format!("{}.corner_radius", self.key),
            rule: "coping-overhang",
            severity: Severity::Warning,
            found: over,
            limit,
            at: self.corner_place(format!("{}-left", self.flare_id())),
            sentence: format!(
                "the mitred flare of the {} comes to a sharp corner that hangs {over:.2} mm over the rounded one below; \
                 a smaller corner radius or conical corners follow it",
                self.title.to_lowercase()
            ),
        })
    }
}

/// Names of a strip's sides; travel is from lip to foot but on the right, where it is mirrored.
fn strip_names(run: Run) -> SideNames {
    let ends = match run {
        Run::Back => ("left", "right"),
        _ => ("front", "rear"),
    };
    let sides = match run {
        Run::Right => ("foot", "lip"),
        _ => ("lip", "foot"),
    };
    let corners = match run {
        Run::Left => ["front-lip", "rear-lip", "front-foot", "rear-foot"],
        Run::Back => ["left-lip", "right-lip", "left-foot", "right-foot"],
        Run::Right => ["front-foot", "rear-foot", "front-lip", "rear-lip"],
    };
    let datum = match run {
        Run::Back => ("left-middle", "right-middle"),
        _ => ("front-middle", "rear-middle"),
    };
    SideNames {
        ends,
        sides,
        corners,
        datum,
    }
}
