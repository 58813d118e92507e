//! Sheet and clearances of each part, per scale.

use super::reader::Reader;
use super::scale::Scale;
use super::specs::RivetsMade;
use crate::Sheet;
use develop::{Alloy, BendRule, EtchProcess};

/// Thicknesses of a part at 4 mm and 7 mm scale, and the word of the model file.
struct PartSheet {
    key: &'static str,
    four: f64,
    seven: f64,
}

/// Usual sheet of each part (mm): common practice, no source.
const PARTS: [PartSheet; 17] = [
    PartSheet {
        key: "coping",
        four: 0.25,
        seven: 0.30,
    },
    PartSheet {
        key: "smokebox",
        four: 0.25,
        seven: 0.30,
    },
    PartSheet {
        key: "firebox",
        four: 0.25,
        seven: 0.45,
    },
    PartSheet {
        key: "formers",
        four: 0.45,
        seven: 0.70,
    },
    PartSheet {
        key: "footplate",
        four: 0.38,
        seven: 0.50,
    },
    PartSheet {
        key: "valances",
        four: 0.38,
        seven: 0.50,
    },
    PartSheet {
        key: "beams",
        four: 0.45,
        seven: 0.70,
    },
    PartSheet {
        key: "tanks",
        four: 0.30,
        seven: 0.45,
    },
    PartSheet {
        key: "cab",
        four: 0.30,
        seven: 0.45,
    },
    PartSheet {
        key: "roof",
        four: 0.25,
        seven: 0.30,
    },
    PartSheet {
        key: "bunker",
        four: 0.30,
        seven: 0.45,
    },
    PartSheet {
        key: "overlay",
        four: 0.15,
        seven: 0.20,
    },
    PartSheet {
        key: "frames",
        four: 0.45,
        seven: 0.70,
    },
    PartSheet {
        key: "splashers",
        four: 0.30,
        seven: 0.45,
    },
    PartSheet {
        key: "tender",
        four: 0.30,
        seven: 0.45,
    },
    PartSheet {
        key: "beading",
        four: 0.13,
        seven: 0.20,
    },
    PartSheet {
        key: "joint_strip",
        four: 0.25,
        seven: 0.30,
    },
];

/// Metal, process and clearances at one scale.
#[derive(Clone, Debug)]
pub struct Metal {
    /// Alloy and temper: `nickel-silver half-hard`.
    pub name: String,
    /// The alloy.
    pub alloy: &'static Alloy,
    /// The etching process.
    pub process: &'static EtchProcess,
    /// How tight bends develop.
    pub bend_rule: BendRule,
    /// Film of solder between two faces (mm).
    pub film: f64,
    /// Boiler sheet as bought, and its base where half-etched between bands (mm).
    pub boiler: (f64, f64),
    /// How rivet heads come onto overlays.
    pub(crate) rivets_made: RivetsMade,
    parts: Vec<(&'static str, f64)>,
}

const TRADE: &str = "common practice, no source";
const CHOSEN: &str = "chosen, not sourced";

impl Metal {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let scale = reader.scale;
        for other in Scale::ALL.into_iter().filter(|other| *other != scale) {
            reader.allow_under(&format!("metal.{}", other.word()));
        }
        let at = |key: &str| format!("metal.{}.{key}", scale.word());
        let alloy_names: Vec<&str> = develop::alloys().iter().map(|a| a.name.as_str()).collect();
        let alloy = reader
            .word(&at("alloy"), &alloy_names, Alloy::named)
            .unwrap_or(&develop::alloys()[0]);
        let tempers: Vec<&str> = alloy.tempers.iter().map(|t| t.name.as_str()).collect();
        let temper = reader
            .word(&at("temper"), &tempers, |word| alloy.temper(word))
            .or_else(|| alloy.temper("half-hard"))
            .unwrap_or(&alloy.tempers[0]);
        let processes: Vec<&str> = develop::processes()
            .iter()
            .map(|p| p.name.as_str())
            .collect();
        let process = reader
            .word(&at("process"), &processes, EtchProcess::named)
            .unwrap_or(&develop::processes()[0]);
        let bend_rule = reader
            .word(
                &at("bend_rule"),
                &["din", "soft", "half-hard", "hard"],
                bend_rule,
            )
            .unwrap_or_default();
        for (key, word) in [
            ("alloy", alloy.name.as_str()),
            ("temper", &temper.name),
            ("process", &process.name),
            ("bend_rule", "din"),
        ] {
            if !reader.has(&at(key)) {
                reader.word_default(&at(key), word, CHOSEN);
            }
        }
        let sheet = |key: &str, four: f64, seven: f64| {
            reader.model_mm_or(&at(key), 0.05..=2.0, scale.pick(four, seven), TRADE)
        };
        let stock = sheet("boiler", 0.25, 0.40);
        let base = sheet("boiler_base", 0.18, 0.30);
        if base > stock {
            reader.problem(
                &at("boiler_base"),
                "the half-etched base is thicker than the sheet",
                "make it thinner than the boiler sheet, the difference being the height of the bands",
            );
        }
        Self {
            name: format!("{} {}", alloy.name, temper.name),
            alloy,
            process,
            bend_rule,
            film: reader.model_mm_or(&at("solder_film"), 0.0..=0.2, scale.solder_film(), TRADE),
            boiler: (stock, base),
            rivets_made: RivetsMade::read(reader),
            parts: PARTS
                .iter()
                .map(|part| (part.key, sheet(part.key, part.four, part.seven)))
                .collect(),
        }
    }

    /// Thickness of a part's plain metal (mm), by the part's word in the model file: of overlays with raised
    /// rivets what the etch leaves between the heads.
    pub(crate) fn thickness(&self, part: &str) -> f64 {
        let stock = self.stock(part);
        if part == "overlay" && self.rivets_made == RivetsMade::Raised {
            let depth = self.process.half_etch_depth.at(stock);
            return (stock - depth).max(stock / 4.0);
        }
        stock
    }

    /// Thickness of a part's sheet as bought (mm).
    fn stock(&self, part: &str) -> f64 {
        self.parts
            .iter()
            .find(|(key, _)| *key == part)
            .expect("parts are named in this crate only")
            .1
    }

    /// The sheet of a part, at full thickness but for overlays with raised rivets.
    pub(crate) fn sheet(&self, part: &str) -> Sheet {
        Sheet {
            bend_rule: self.bend_rule,
            ..Sheet::half_etched(&self.name, self.stock(part), self.thickness(part))
        }
    }

    /// The sheet of the boiler, half-etched between its bands.
    pub(crate) fn boiler_sheet(&self) -> Sheet {
        Sheet {
            bend_rule: self.bend_rule,
            ..Sheet::half_etched(&self.name, self.boiler.0, self.boiler.1)
        }
    }
}

/// The word of a part, whose sheet a plate is cut from: `frames` if the file has none at the key.
pub(crate) fn part_word(reader: &Reader<'_>, path: &str) -> String {
    let words: Vec<&str> = PARTS.iter().map(|part| part.key).collect();
    if !reader.has(path) {
        reader.word_default(path, "frames", "chosen, not sourced");
    }
    let known = |word: &str| {
        words
            .iter()
            .find(|own| **own == word)
            .map(|own| (*own).to_owned())
    };
    reader
        .word(path, &words, known)
        .unwrap_or_else(|| "frames".to_owned())
}

fn bend_rule(word: &str) -> Option<BendRule> {
    Some(match word {
        "din" => BendRule::Din6935,
        "soft" => BendRule::HandbookSoft,
        "half-hard" => BendRule::HandbookHalfHard,
        "hard" => BendRule::HandbookHard,
        _ => return None,
    })
}
