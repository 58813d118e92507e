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
            butt(baffle, "bottom", body.plate("footplate"), "top");
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
                butt(own, "bottom", body.plate("footplate"), "top");
            }
        }
        body.joints.extend(joints);
    }

    /// Baffles into everything round them, flat sides into the footplate, the top into side and front.
    pub(super) fn tab(&self, body: &mut Body, baffles: usize) -> Result<(), BodyError> {
        let square = self.model.side_tanks().front_radius.is_none();
        let mut tabs: Vec<(String, &str, String)> = Vec::new();
        let footplate = || "footplate".to_owned();
        for i in 1..=baffles {
            let baffle = self.id(&format!("baffle-{i}"));
            tabs.push((baffle.clone(), "bottom", footplate()));
            tabs.push((baffle.clone(), "outer", self.id("side")));
            tabs.push((baffle, "inner", self.id("inner")));
        }
        let flat: &[&str] = if square {
            &["side", "front", "inner"]
        } else {
            &["inner"]
        };
        for part in flat {
            tabs.push((self.id(part), "bottom", footplate()));
        }
        tabs.push((self.id("top"), "outer", self.id("side")));
        if square {
            tabs.push((self.id("top"), "front", self.id("front")));
        }
        for (plate, edge, into) in &tabs {
            let edge = (plate.as_str(), *edge);
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
