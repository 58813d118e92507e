//! The joints of the body measured again on the plates as drawn.

use super::measure::{Judged, Measured};
use crate::tolerance::READING_MM;
use body::{Body, FindingPlace, Joint, Meeting, Metal, Scale, Severity};
use serde::Serialize;
use utoipa::ToSchema;

/// A joint that could not be measured on the drawing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct NotMeasured {
    /// The joint.
    pub joint: String,
    /// Why.
    pub reason: String,
}

/// Measures a joint of the body as drawn.
pub(crate) fn joint_as_drawn(
    joint: &Joint,
    built: &Body,
    metal: &Metal,
    scale: Scale,
) -> Result<Judged, NotMeasured> {
    let Some(drawn) = built.measured_joint(joint, metal, scale) else {
        return Err(NotMeasured {
            joint: joint.id.clone(),
            reason: format!(
                "{} of {} or {} of {} cannot be told on the drawing",
                joint.a.feature, joint.a.plate, joint.b.feature, joint.b.plate
            ),
        });
    };
    let (rule, what) = match joint.meeting {
        Meeting::OnFormer { .. } => ("former-as-drawn", "gap over the former"),
        Meeting::Butt => ("edge-as-drawn", "gap"),
        Meeting::Tab => ("tab-as-drawn", "to spare in the slot"),
        Meeting::Hole => ("hole-as-drawn", "centres apart"),
        Meeting::Face => ("face-as-drawn", "gap between the faces"),
    };
    let (low, high) = joint.limit;
    // What is out of its limits by design is told by the check of the body; drawn no worse, as far as a drawing can
    // be read, it is not told again.
    let allowed = (
        // Two centres are never less than nothing apart.
        if joint.meeting == Meeting::Hole {
            low
        } else {
            low.min(joint.gap - READING_MM)
        },
        high.max(joint.gap + READING_MM),
    );
    let own = built.plate(&joint.a.plate);
    let flat = own.and_then(|plate| {
        plate
            .hole(&joint.a.feature)
            .map(|hole| hole.centre)
            .or_else(|| {
                let edge = plate.edge(&joint.a.feature)?;
                plate.flat_point(&edge.curve, 0.5).ok()
            })
    });
    let measured = Measured {
        path: joint.id.clone(),
        rule,
        what,
        plates: vec![joint.a.plate.clone(), joint.b.plate.clone()],
        should_be: joint.gap,
        drawn: drawn.gap,
        allowed,
        at: FindingPlace {
            plate: Some(joint.a.plate.clone()),
            flat,
            body: Some(drawn.at),
        },
    };
    // A loose tab can be soldered; one that does not go in stops the work.
    let loose = joint.meeting == Meeting::Tab && drawn.gap > joint.gap;
    let severity = if loose {
        Severity::Warning
    } else {
        Severity::Error
    };
    Ok(measured.judged(severity, |own| in_metal(joint, own)))
}

/// What happens in metal.
fn in_metal(joint: &Joint, own: &Measured) -> String {
    let (a, b) = (&joint.a.plate, &joint.b.plate);
    let (fa, fb) = (&joint.a.feature, &joint.b.feature);
    let off = own.drawn - own.should_be;
    let size = off.abs();
    match joint.meeting {
        Meeting::OnFormer { .. } if off > 0.0 => format!(
            "{a} will stand {:.2} mm clear of the {fb} of {b} at its {fa}: the former is {size:.2} mm too small there",
            own.drawn
        ),
        Meeting::OnFormer { .. } => format!(
            "{b} stands {size:.2} mm too high under {a} at its {fa}: it must be filed down before the wrapper closes on it"
        ),
        Meeting::Butt if off > 0.0 => {
            format!("{fa} of {a} will stop {size:.2} mm short of {fb} of {b}")
        }
        Meeting::Butt => format!("{fa} of {a} will run {size:.2} mm into {fb} of {b}"),
        Meeting::Tab if off < 0.0 && own.drawn < 0.0 => format!(
            "{fa} of {a} will not go into {fb} of {b}: it is {:.2} mm too tight (should have {:.2} mm to spare)",
            -own.drawn, own.should_be
        ),
        Meeting::Tab if off < 0.0 => format!(
            "{fa} of {a} has only {:.2} mm to spare in {fb} of {b} instead of {:.2}",
            own.drawn, own.should_be
        ),
        Meeting::Tab => format!(
            "{fa} of {a} will be loose in {fb} of {b}: {:.2} mm to spare instead of {:.2}",
            own.drawn, own.should_be
        ),
        Meeting::Hole => format!(
            "{fa} of {a} will lie {:.2} mm beside {fb} of {b}: nothing will go straight through both",
            own.drawn
        ),
        Meeting::Face => format!(
            "{fa} of {a} will lie {:.2} mm from {fb} of {b} instead of {:.2}",
            own.drawn, own.should_be
        ),
    }
}
