//! How formers and jigs are printed.

use super::{CHOSEN, table};
use crate::model::reader::Reader;
use serde::Deserialize;
use std::sync::LazyLock;

/// A figure of a printing process and where it is from.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
struct Figure {
    value: f64,
    source: String,
}

/// A printing process: fits, walls and holes (mm).
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
struct PrintProcess {
    name: String,
    title: String,
    press: Figure,
    slide: Figure,
    loose: Figure,
    shrinkage_percent: Figure,
    hole_growth: Figure,
    foot_chamfer: Figure,
    least_wall: Figure,
    least_hole: Figure,
    accuracy: Figure,
    stroke: Figure,
    engraved: Figure,
    heat: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Processes {
    process: Vec<PrintProcess>,
}

static PROCESSES: LazyLock<Vec<PrintProcess>> = LazyLock::new(|| {
    toml::from_str::<Processes>(include_str!("../../../data/print.toml"))
        .expect("the table of printing is part of the program and read by its tests")
        .process
});

/// `[print]`: the process that jigs are printed by and the bed that they must fit (mm).
#[derive(Clone, Debug, PartialEq)]
pub struct PrintSpec {
    /// `filament` or `resin`.
    pub process: &'static str,
    /// What the process is, in words.
    pub title: &'static str,
    /// Clearance per side of a press fit.
    pub press: f64,
    /// Clearance per side of a sliding fit.
    pub slide: f64,
    /// Clearance per side of a loose fit.
    pub loose: f64,
    /// Share by which a print shrinks: what is sent to the printer is larger by it.
    pub shrinkage: f64,
    /// What the diameter of a hole is drawn larger.
    pub hole_growth: f64,
    /// Chamfer along the foot, for the spread of the first layer.
    pub foot_chamfer: f64,
    /// Least wall.
    pub least_wall: f64,
    /// Least hole.
    pub least_hole: f64,
    /// What a size may be off, either way.
    pub accuracy: f64,
    /// Width of engraved strokes.
    pub stroke: f64,
    /// Depth of engraved strokes.
    pub engraved: f64,
    /// Width, depth and height that can be printed.
    pub bed: [f64; 3],
    /// Advice on heat.
    pub heat: &'static str,
}

impl PrintSpec {
    pub(crate) fn read(reader: &Reader<'_>) -> Self {
        let t = table(reader, "print");
        let processes: &'static [PrintProcess] = &PROCESSES;
        let words: Vec<(&str, usize)> = processes
            .iter()
            .enumerate()
            .map(|(i, own)| (own.name.as_str(), i))
            .collect();
        let own = &processes[t.one_of("process", &words, 0, CHOSEN)];
        let mm = |key: &str, limits, figure: &Figure| {
            reader.model_mm_or(&t.path(key), limits, figure.value, &figure.source)
        };
        let shrinkage = reader.number_or(
            &t.path("shrinkage_percent"),
            0.0..=3.0,
            own.shrinkage_percent.value,
            &own.shrinkage_percent.source,
        );
        let side = |key: &str, usual: f64| {
            reader.model_mm_or(
                &t.path(key),
                40.0..=2000.0,
                usual,
                "chosen: a usual machine",
            )
        };
        Self {
            process: &own.name,
            title: &own.title,
            press: mm("press", 0.0..=1.0, &own.press),
            slide: mm("slide", 0.0..=1.0, &own.slide),
            loose: mm("loose", 0.0..=2.0, &own.loose),
            shrinkage: shrinkage / 100.0,
            hole_growth: mm("hole_growth", 0.0..=1.0, &own.hole_growth),
            foot_chamfer: mm("foot_chamfer", 0.0..=1.0, &own.foot_chamfer),
            least_wall: mm("least_wall", 0.2..=3.0, &own.least_wall),
            least_hole: mm("least_hole", 0.2..=3.0, &own.least_hole),
            accuracy: own.accuracy.value,
            stroke: own.stroke.value,
            engraved: own.engraved.value,
            bed: [
                side("bed_width", 220.0),
                side("bed_depth", 220.0),
                side("bed_height", 250.0),
            ],
            heat: &own.heat,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_process_is_there_once_and_its_fits_widen() {
        let names: Vec<&str> = PROCESSES.iter().map(|own| own.name.as_str()).collect();
        assert_eq!(names, ["filament", "resin"]);
        for own in PROCESSES.iter() {
            assert!(own.press.value < own.slide.value && own.slide.value < own.loose.value);
            assert!(own.stroke.value < own.least_wall.value);
        }
    }
}
