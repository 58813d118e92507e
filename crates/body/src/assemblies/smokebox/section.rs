//! The smokebox's outside section, as drawn.

use crate::assemblies::boiler::circle;
use crate::error::AtKey;
use crate::model::specs::{SmokeboxKind, is_straight};
use crate::wrapper::{ARCH, SideNames, TUBE};
use crate::{Body, BodyError, DerivedAngle, Model};
use develop::{BendRule, Loft, LoftFrame};
use geom::math::{FRAC_PI_2, PI, TAU};
use geom::tangency::circle_to_vertical;
use geom::{Chain, Point2};

/// The drawn outside and the key of the model file that decides its shape.
pub(super) struct Section {
    /// From the right foot over the top to the left foot, or the full circle from the bottom.
    pub(super) chain: Chain,
    pub(super) key: &'static str,
    drum: bool,
    /// Turn of the reverse curve (rad), where there is one.
    pub(super) reverse_turn: Option<f64>,
}

impl Section {
    pub(super) fn of(model: &Model) -> Result<Self, BodyError> {
        let s = model.smokebox();
        let (radius, pitch) = (s.diameter / 2.0, model.boiler().pitch);
        Ok(match s.kind {
            SmokeboxKind::Drum(_) => Self {
                chain: circle(pitch, radius),
                key: "smokebox.diameter",
                drum: true,
                reverse_turn: None,
            },
            SmokeboxKind::BuiltUp {
                waist_half_width,
                reverse_radius,
            } => {
                let (chain, turn) = arch(model, waist_half_width, reverse_radius)?;
                Self {
                    chain,
                    key: "smokebox.reverse_radius",
                    drum: false,
                    reverse_turn: (turn > 0.0).then_some(turn),
                }
            }
        })
    }

    /// Half the perimeter over the outside, and how far the wrapper turns back in its reverse curve.
    pub(super) fn derive(&self, body: &mut Body) {
        body.derive(
            "smokebox.half_perimeter",
            "Half perimeter over the outside, crown to foot",
            self.chain.length() / 2.0,
        );
        let reverse: f64 = self.chain.segments().iter().map(|s| s.turn().max(0.0)).sum();
        if reverse > 0.0 {
            body.angles.push(DerivedAngle {
                path: "smokebox.reverse_turn".to_owned(),
                title: "Turn of the reverse curve".to_owned(),
                radians: reverse / 2.0,
            });
        }
    }

    pub(super) fn is_drum(&self) -> bool {
        self.drum
    }

    /// Net turning of a wrapper round the section (rad).
    pub(super) fn turn(&self) -> f64 {
        if self.drum { TAU } else { PI }
    }

    pub(super) fn names(&self) -> SideNames {
        if self.drum { TUBE } else { ARCH }
    }
}

/// A circle that runs by reverse curves, or straight, into upright sides down to the footplate; and the
/// turn of those curves (rad).
fn arch(model: &Model, waist: f64, reverse: f64) -> Result<(Chain, f64), BodyError> {
    let s = model.smokebox();
    let (radius, pitch) = (s.diameter / 2.0, model.boiler().pitch);
    let (angle, drop) = if is_straight(s.diameter, waist) {
        (0.0, 0.0)
    } else {
        let joint =
            circle_to_vertical(radius, reverse, waist).at_key("smokebox.waist_half_width")?;
        (joint.angle, joint.drop)
    };
    let leg = pitch - drop - model.footplate.top;
    if !(leg >= 0.0) {
        return Err(BodyError::Shape {
            path: "smokebox.reverse_radius".to_owned(),
            sentence: format!("the reverse curve ends {:.2} mm below the footplate", -leg),
            help: "make the reverse radius smaller or the waist wider".to_owned(),
        });
    }
    let left = Chain::starting(Point2::new(0.0, pitch + radius), 0.0)
        .arc(radius, -(FRAC_PI_2 + angle))
        .arc(reverse, angle)
        .line(leg)
        .finish();
    Ok((left.mirrored_in_y_axis().reversed().joined(&left), angle))
}

/// The outside surface moved outwards by `outwards` (mm), for what stands on it.
pub(in crate::assemblies) fn outside_skin(model: &Model, outwards: f64) -> Result<Loft, BodyError> {
    let s = model.smokebox();
    let section = Section::of(model)?;
    let chain = section.chain.offset(outwards).at_key(section.key)?;
    Loft::between(
        LoftFrame::along_engine(s.front),
        &chain,
        &chain,
        s.length,
        crate::assemblies::SKIN_MM,
        BendRule::default(),
    )
    .at_key("smokebox.length")
}
