//! Sizes and pitches of rivets.

use super::{TRADE, table};
use crate::RivetDot;
use crate::model::metal::Metal;
use crate::model::reader::Reader;
use develop::EtchProcess;

/// How heads come onto a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum RivetsMade {
    /// Pushed out of half-etched dots on the inside.
    Punched,
    /// Left proud on overlays, the outside being etched down round them.
    Raised,
}

impl RivetsMade {
    const WORDS: [&'static str; 2] = ["punched", "raised"];

    /// `rivets.made`.
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        const PATH: &str = "rivets.made";
        let named = |word: &str| match word {
            "punched" => Some(Self::Punched),
            "raised" => Some(Self::Raised),
            _ => None,
        };
        if !reader.has(PATH) {
            reader.word_default(PATH, Self::WORDS[0], TRADE);
        }
        reader
            .word(PATH, &Self::WORDS, named)
            .unwrap_or(Self::Punched)
    }
}

/// `[rivets]`: sizes and pitches of the platework.
#[derive(Clone, Debug)]
pub(crate) struct RivetSpec {
    pub(crate) platework: RivetRowSpec,
    pub(crate) smokebox: RivetRowSpec,
    pub(crate) beams: RivetRowSpec,
    pub(crate) edge: f64,
    pub(crate) ring_rows: f64,
}

/// Shank diameter and pitch of a row (mm).
#[derive(Clone, Copy, Debug)]
pub(crate) struct RivetRowSpec {
    pub(crate) shank: f64,
    pub(crate) pitch: f64,
    pub(crate) made: RivetsMade,
    /// Least and greatest diameter of a dot (mm).
    pub(crate) dots: [f64; 2],
    pub(crate) process: &'static EtchProcess,
}

impl RivetRowSpec {
    /// Head of a snap rivet: 1.75 shanks wide (common practice, no source).
    pub(crate) fn head_diameter(&self) -> f64 {
        1.75 * self.shank
    }

    /// The dot that a head is punched out of in sheet of a thickness (mm): as wide as the head, but
    /// within what the usual punches need.
    pub(crate) fn dot(&self, thickness: f64) -> RivetDot {
        RivetDot {
            diameter: self.head_diameter().max(self.dots[0]).min(self.dots[1]),
            depth: self.process.half_etch_depth.at(thickness),
        }
    }

    /// Height of the head: 0.65 shanks (old British practice, from memory).
    pub(crate) fn head_height(&self) -> f64 {
        0.65 * self.shank
    }
}

impl RivetSpec {
    pub(crate) fn read(reader: &Reader<'_>, metal: &Metal) -> Self {
        let rivets = table(reader, "rivets");
        let (least, most) = (reader.scale.pick(0.25, 0.40), reader.scale.pick(0.35, 0.50));
        let least = rivets.model("least_dot", least, TRADE);
        let most = rivets.model("greatest_dot", most, TRADE).max(least);
        let row = |name: &str, shank: f64, pitch: f64| {
            let t = table(reader, name);
            RivetRowSpec {
                shank: t.inches("shank", shank, TRADE),
                pitch: t.rivet_pitch("pitch", pitch, TRADE),
                made: metal.rivets_made,
                dots: [least, most],
                process: metal.process,
            }
        };
        Self {
            platework: row("rivets.platework", 0.5, 2.0),
            smokebox: row("rivets.smokebox", 0.625, 2.5),
            beams: row("rivets.beams", 0.75, 3.5),
            edge: rivets.inches("edge_distance", 1.25, TRADE),
            ring_rows: rivets.inches("ring_rows_apart", 1.875, TRADE),
        }
    }
}
