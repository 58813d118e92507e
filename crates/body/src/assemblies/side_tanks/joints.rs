//! Where the plates of a side tank meet, and their tabs.

use super::Tank;
use crate::fit::butt_joint;
use crate::tabs::{Tabbing, tab_into};
use crate::{Body, BodyError, Plate};

impl Tank<'_> {
    /// Where plates meet, but for tabs and overlays.
    pub(super) fn join(&self, body: &mut Body, own: &[Plate]) {
        let plate = |part: &str| own.iter().find(|plate| plate.id == self.id(part));
        let mut joints = Vec::new();
        let mut butt = |a: &Plate, edge: &str, b: Option<&Plate>, face: &str| {
            joints.extend(b.map(|b| butt_joint((a, edge), (b, face))));
        };
        for baffle in own.iter().filter(|plate| plate.id.contains("baffle")) {
            butt(baffle, "outer", plate("side"), "inside");
            butt(baffle, "inner", plate("inner"), "inside");
            for foot in feet(baffle) {
                butt(baffle, &foot, body.plate("footplate"), "top");
            }
            butt(baffle, "top", plate("top"), "underside");
        }
        let Some(top) = plate("top") else { return };
        butt(top, "outer", plate("side"), "inside");
        butt(top, "inner", plate("inner"), "inside");
        // A rolled side is the front too.
        let front = plate("front").or(plate("side"));
        butt(top, "front", front, "inside");
        if top.edge("corner").is_some() {
            butt(top, "corner", plate("side"), "inside");
        }
        if let Some(inner) = plate("inner") {
            butt(inner, "front", front, "inside");
        }
        if let Some(front) = plate("front") {
            butt(front, "outer", plate("side"), "inside");
        }
        if let Some(overlay) = plate("front-overlay") {
            butt(overlay, "outer", plate("side-overlay"), "inside");
        }
        for part in ["side", "front", "inner"] {
            if let Some(own) = plate(part) {
                for foot in feet(own) {
                    butt(own, &foot, body.plate("footplate"), "top");
                }
            }
        }
        body.joints.extend(joints);
    }

    /// Baffles into everything round them, flat sides into the footplate, the top into side and front.
    pub(super) fn tab(&self, body: &mut Body, baffles: usize) -> Result<(), BodyError> {
        let square = self.model.side_tanks().front_radius.is_none();
        let mut tabs: Vec<(String, String, String)> = Vec::new();
        let stand = |tabs: &mut Vec<(String, String, String)>, id: String| {
            let feet = body.plate(&id).map(feet).unwrap_or_default();
            for foot in feet {
                tabs.push((id.clone(), foot, "footplate".to_owned()));
            }
        };
        for i in 1..=baffles {
            let baffle = self.id(&format!("baffle-{i}"));
            stand(&mut tabs, baffle.clone());
            tabs.push((baffle.clone(), "outer".to_owned(), self.id("side")));
            tabs.push((baffle, "inner".to_owned(), self.id("inner")));
        }
        let flat: &[&str] = if square {
            &["side", "front", "inner"]
        } else {
            &["inner"]
        };
        for part in flat {
            stand(&mut tabs, self.id(part));
        }
        tabs.push((self.id("top"), "outer".to_owned(), self.id("side")));
        if square {
            tabs.push((self.id("top"), "front".to_owned(), self.id("front")));
        }
        for (plate, edge, into) in &tabs {
            let edge = (plate.as_str(), edge.as_str());
            tab_into(
                self.model,
                body,
                edge,
                into,
                Tabbing::default(),
                "side_tanks",
            )?;
        }
        Ok(())
    }
}

/// Names of the pieces of a plate's foot.
fn feet(plate: &Plate) -> Vec<String> {
    let names = plate.outline.iter().map(|edge| &edge.name);
    names
        .filter(|name| name.starts_with("bottom"))
        .cloned()
        .collect()
}
