//! Findings of a drawn plate that name a mistake: its tabs, the width of its slots, one bend of it.

use crate::openings::HolePair;
use crate::plate_check::PlateCheck;
use crate::tabs::{TabFault, TabFinding, tab_faults};
use crate::tolerance::{OUTLINE_MM, PLACE_MM, SIZE_MM};
use body::{Finding, Severity};
use geom::Outline;

impl PlateCheck<'_> {
    /// What is wrong with the tabs.
    pub(crate) fn tab_findings(&self) -> Vec<Finding> {
        tab_faults(&self.drawn)
            .iter()
            .map(|own| self.tab_finding(own))
            .collect()
    }

    fn tab_finding(&self, own: &TabFinding) -> Finding {
        let id = &self.drawn.plate.id;
        let name = &own.name;
        let (rule, found, limit, sentence, severity) = match own.fault {
            TabFault::Missing => (
                "tab-missing",
                0.0,
                0.0,
                format!("{id}: {name} is not drawn"),
                Severity::Error,
            ),
            TabFault::Width(is, ought) => (
                "tab-width",
                is - ought,
                SIZE_MM,
                format!("{id}: {name} is {is:.2} mm wide instead of {ought:.2}"),
                // A narrow tab can be soldered, a wide one does not go in.
                if is > ought {
                    Severity::Error
                } else {
                    Severity::Warning
                },
            ),
            TabFault::Place(off) => (
                "tab-place",
                off.abs(),
                PLACE_MM,
                format!(
                    "{id}: {name} stands {:.2} mm out of its place along its side",
                    off.abs()
                ),
                Severity::Error,
            ),
            TabFault::NotMeant(width) => (
                "tab-not-meant",
                width,
                0.0,
                format!(
                    "{id}: a tab {width:.2} mm wide at ({:.2}, {:.2}) of the flat, on the side of {name}, is not meant",
                    own.at.x, own.at.y
                ),
                Severity::Error,
            ),
        };
        let mut finding = self.finding(rule, name, Some(own.at), found, limit, sentence);
        finding.severity = severity;
        finding
    }

    /// A bend that was developed on the outside.
    pub(crate) fn bend_finding(&self) -> Option<Finding> {
        let bend = self.causes.bend.as_ref()?;
        let id = &self.drawn.plate.id;
        let others: String = bend
            .or_at
            .iter()
            .map(|p| format!(", or at ({:.2}, {:.2})", p.x, p.y))
            .collect();
        Some(self.finding(
            "bend-on-outside",
            "outline",
            Some(bend.at),
            bend.longer,
            OUTLINE_MM,
            format!(
                "{id}: the bend of {:.0} degrees at ({:.2}, {:.2}) of the flat{others}, is developed on the outside: \
                 all beyond it comes {:.2} mm too far",
                bend.turn_deg, bend.at.x, bend.at.y, bend.longer
            ),
        ))
    }

    /// The width of a slot, where the opening is one.
    pub(crate) fn slot_finding(&self, pair: &HolePair<'_>) -> Option<Finding> {
        let meant = slot_width(&pair.hole.outline)?;
        let drawn = slot_width(&pair.drawn.outline)?;
        let off = drawn - meant;
        if pair.hole.diameter.is_some() || off.abs() <= SIZE_MM {
            return None;
        }
        let (id, feature) = (&self.drawn.plate.id, &pair.hole.feature);
        let happens = if off < 0.0 {
            "what goes into it will not"
        } else {
            "what goes into it will be loose"
        };
        Some(self.finding(
            "slot-width",
            &format!("hole:{feature}"),
            Some(pair.meant),
            off,
            SIZE_MM,
            format!("{id}: {feature} is {drawn:.2} mm wide instead of {meant:.2}: {happens}"),
        ))
    }
}

/// The narrower side of an opening that is about a rectangle (mm).
fn slot_width(outline: &Outline) -> Option<f64> {
    let (half, area) = (outline.perimeter() / 2.0, outline.area().abs());
    let root = half * half - 4.0 * area;
    (root > 0.0).then(|| (half - root.sqrt()) / 2.0)
}
