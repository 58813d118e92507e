//! The smokebox: a plain wrapper on its front and rear formers under a riveted overlay; built up, with
//! sides that run down to the footplate, or a drum on its saddle.

mod ends;
mod saddle;
mod section;

pub(super) use ends::{closed_at_foot, end_sides};
pub(super) use section::outside_skin;

use super::boiler::{bore_top, drill_pillars};
use crate::error::AtKey;
use crate::fit::{former_joint, hole_joint};
use crate::laminations::{laminate, recess};
use crate::measure::flat_of;
use crate::rows::{eased_pitch, even_row, even_spaces, lay_row};
use crate::tabs::{Tabbing, tab_into};
use crate::wrapper::{WrapperOf, add_ticks, loft_of, round_hole};
use crate::{Body, BodyError, Model, Plate, Precedence};
use develop::{Loft, LoftFrame, SurfacePoint};
use geom::{Chain, Point2, Vector2};
use section::Section;

/// Base wrapper, its overlay, front and rear, and the saddle of a drum.
pub(super) fn build(model: &Model, body: &mut Body) -> Result<(), BodyError> {
    let s = model.smokebox();
    let section = Section::of(model)?;
    section.derive(body);
    let back = recess(model);
    let mut base = wrapper(model, &section, Layer::Base)?;
    let mut overlay = wrapper(model, &section, Layer::Overlay)?;
    if let Some(chimney) = &model.chimney {
        for plate in [&mut base, &mut overlay] {
            let along = chimney.x - loft_of(plate).frame().origin.x;
            let at = (along, chimney.spigot);
            bore_top(plate, "chimney", at, "chimney.x", "the chimney's hole")?;
        }
        body.joints
            .push(hole_joint((&overlay, "chimney"), (&base, "chimney")));
    }
    drill_pillars(model, &mut overlay, s.front, s.end())?;
    drill_through(&mut base, &overlay, body);
    let etched = model
        .metal
        .process
        .half_etch_depth
        .at(base.sheet.thickness());
    let crown = loft_of(&base).datum();
    add_ticks(&mut base, &[("centre-line", crown)], f64::INFINITY, etched);
    lay_rivets(model, &section, &mut overlay, body);
    let inside = section
        .chain
        .offset(-(back + base.sheet.thickness() + model.metal.film))
        .at_key(section.key)?;
    let front = ends::front(model, &section, &inside, s.front + back)?;
    let rear = ends::rear(model, &section, &inside)?;
    let turn = section.turn();
    for (plate, edge) in [(&front, "front"), (&rear, "rear")] {
        body.joints
            .push(former_joint((&base, edge), (plate, "rim"), turn));
        body.precedences.push(Precedence::new(
            &plate.id,
            &base.id,
            "the wrapper is bent over its formers",
        ));
    }
    let front_overlay = ends::front_overlay(model, &section)?;
    body.plates
        .extend([base, overlay, front, front_overlay, rear]);
    laminate(model, body, "smokebox-front-overlay", "smokebox-front");
    laminate(model, body, "smokebox-wrapper-overlay", "smokebox-wrapper");
    match s.saddle() {
        Some(saddle) => saddle::build(model, saddle, body)?,
        None => stand(model, body, "smokebox")?,
    }
    Ok(())
}

/// Tabs of the smokebox's or the saddle's upright plates into the footplate.
fn stand(model: &Model, body: &mut Body, path: &str) -> Result<(), BodyError> {
    if body.plate("footplate").is_none() {
        return Ok(());
    }
    let standing: Vec<String> = body
        .plates
        .iter()
        .filter(|plate| plate.assembly == "smokebox" && !plate.id.ends_with("-overlay"))
        .filter(|plate| plate.forming.loft().is_none() && plate.edge("foot").is_some())
        .map(|plate| plate.id.clone())
        .collect();
    for id in standing {
        tab_into(
            model,
            body,
            (&id, "foot"),
            "footplate",
            Tabbing::default(),
            path,
        )?;
    }
    Ok(())
}

/// Which of the two wrappers.
#[derive(Clone, Copy, PartialEq)]
enum Layer {
    Base,
    Overlay,
}

/// A wrapper over the whole section; the overlay reaches forward over the front's overlay.
fn wrapper(model: &Model, section: &Section, layer: Layer) -> Result<Plate, BodyError> {
    let s = model.smokebox();
    let back = recess(model);
    let (id, title, sheet, outwards, from) = match layer {
        Layer::Base => {
            let sheet = model.metal.sheet("smokebox");
            let outwards = -back - sheet.z_high;
            (
                "smokebox-wrapper",
                "Smokebox wrapper",
                sheet,
                outwards,
                s.front + back,
            )
        }
        Layer::Overlay => {
            let sheet = model.metal.sheet("overlay");
            let outwards = -sheet.z_high;
            (
                "smokebox-wrapper-overlay",
                "Smokebox wrapper overlay",
                sheet,
                outwards,
                s.front,
            )
        }
    };
    let neutral = section.chain.offset(outwards).at_key(section.key)?;
    let loft = Loft::between(
        LoftFrame::along_engine(from),
        &neutral,
        &neutral,
        s.end() - from,
        sheet.thickness(),
        sheet.bend_rule,
    )
    .at_key("smokebox.length")?;
    Ok(WrapperOf {
        id,
        assembly: "smokebox",
        title,
        sheet,
        names: section.names(),
    }
    .plate(loft))
}

/// Carries the overlay's pillar holes through to the base, square to the sheet as the pillars go.
fn drill_through(base: &mut Plate, overlay: &Plate, body: &mut Body) {
    let pillars = overlay
        .holes
        .iter()
        .filter(|hole| hole.feature.starts_with("handrail"));
    for hole in pillars {
        let below = flat_of(base, overlay.forming.place(hole.centre).point);
        round_hole(base, &hole.feature, below, hole.diameter.unwrap_or(0.0));
        body.joints
            .push(hole_joint((overlay, &hole.feature), (base, &hole.feature)));
    }
}

/// A staggered double row at the front ring, a single row at the rear, and rows along both feet of a
/// smokebox that has them.
fn lay_rivets(model: &Model, section: &Section, wrapper: &mut Plate, body: &mut Body) {
    let (rivets, edge, apart) = (
        &model.rivets.smokebox,
        model.rivets.edge,
        model.rivets.ring_rows,
    );
    let loft = loft_of(wrapper).clone();
    let foot = |w, v| loft.flat(SurfacePoint { w, v });
    // A drum's rows run on over its seam: they end half a pitch from it on either side.
    let inset = if section.is_drum() {
        rivets.pitch / 2.0
    } else {
        edge
    };
    let (low, high) = (foot(0.0, 0.0).y + inset, foot(loft.w_end(), 0.0).y - inset);
    let length = loft.axial_length();
    let across = |x: f64| even_row(Point2::new(x, low), Point2::new(x, high), rivets.pitch);
    let front = across(edge);
    let half = (front[1] - front[0]) / 2.0;
    let second: Vec<Point2> = front[..front.len() - 1]
        .iter()
        .map(|p| p + half + Vector2::new(apart, 0.0))
        .collect();
    lay_row(wrapper, "front", rivets, front);
    lay_row(wrapper, "front-second", rivets, second);
    lay_row(wrapper, "rear", rivets, across(length - edge));
    if !section.is_drum() {
        for (name, y) in [("foot-right", low), ("foot-left", high)] {
            let row = even_row(
                Point2::new(edge, y),
                Point2::new(length - edge, y),
                rivets.pitch,
            );
            lay_row(wrapper, name, rivets, row);
        }
    }
    body.findings.extend(eased_pitch(
        wrapper,
        "rivets.smokebox.pitch",
        high - low,
        rivets.pitch,
    ));
}

/// Points along a chain at the equal pitch nearest to `pitch` (mm), from `inset` to as much before its end.
fn even_along(chain: &Chain, inset: f64, pitch: f64) -> Vec<Point2> {
    let length = chain.length() - 2.0 * inset;
    let spaces = even_spaces(length, pitch);
    (0..=spaces)
        .map(|i| chain.point_at(inset + length * i as f64 / spaces as f64))
        .collect()
}
