//! `platework clearances`: the engine, with its tender, on curves.

use check::running::{Approach, Clearances, Course, Running, Vehicle};
use export::{ClearancesJson, FindingJson};
use serde_json::json;
use server::Workshop;

use super::Verdict;
use super::check::table;
use crate::cli::ClearancesArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Approaches that the table shows.
const APPROACHES_SHOWN: usize = 10;

/// Leads the engine over the course and says what it needs.
pub(crate) fn run(args: &ClearancesArgs, json: bool) -> Result<Verdict, Failure> {
    let mut steps = Steps::new(4);
    let engine = steps.step("body", || model_file::open(&args.model))?;
    let tender = match &args.tender {
        Some(path) => {
            let mut overrides = args.model.overrides();
            overrides.variant = None;
            overrides.scale.get_or_insert(engine.model().scale);
            overrides.wheels.get_or_insert(engine.model().wheels);
            Some(steps.step("tender", || model_file::open_as(path, &overrides))?)
        }
        None => None,
    };
    let vehicle = |workshop: &Workshop| Vehicle::of(workshop.model(), workshop.body());
    let own = steps.step("solids", || vehicle(&engine))?;
    let behind = tender.as_ref().map(vehicle).transpose()?;
    let running = Running {
        engine: &own,
        tender: behind.as_ref(),
    };
    let course = course(args, own.chassis.least_radius);
    let found = steps.step("curve", || running.over(course))?;
    let least = if args.least {
        running.least_radius(|radius| with_radius(course, radius))?
    } else {
        None
    };
    drop(steps);
    if json {
        let mut all = serde_json::to_value(ClearancesJson::from(&found))
            .expect("clearances are plain figures and words");
        all["model"] = json!(engine.name());
        all["wheels"] = json!(engine.model().wheels.word());
        if args.least {
            all["least_radius_mm"] = json!(least.as_ref().map(|(radius, _)| radius));
            let stops = least.iter().flat_map(|(_, stops)| stops);
            all["stops"] = json!(stops.map(FindingJson::from).collect::<Vec<_>>());
        }
        stdout::json(&all)?;
    } else {
        say(&engine, tender.as_ref(), &found)?;
        if args.least {
            say_least(least.as_ref())?;
        }
    }
    Ok(Verdict::of(&found.findings))
}

/// The course that was asked for; a curve of the least radius that the model is meant for, if none was.
fn course(args: &ClearancesArgs, least: f64) -> Course {
    let radius = args.radius.unwrap_or(least);
    if let Some(number) = args.crossover {
        return Course::Crossover {
            radius,
            number,
            spacing: args.spacing,
        };
    }
    if let Some(straight) = args.reverse {
        return Course::Reverse { radius, straight };
    }
    match args.transition {
        Some(length) => Course::Transition { radius, length },
        None => Course::Curve { radius },
    }
}

/// The same course with another radius.
fn with_radius(course: Course, radius: f64) -> Course {
    match course {
        Course::Curve { .. } => Course::Curve { radius },
        Course::Reverse { straight, .. } => Course::Reverse { radius, straight },
        Course::Transition { length, .. } => Course::Transition { radius, length },
        Course::Crossover {
            number, spacing, ..
        } => Course::Crossover {
            radius,
            number,
            spacing,
        },
    }
}

fn say(engine: &Workshop, tender: Option<&Workshop>, found: &Clearances) -> Result<(), Failure> {
    let model = engine.model();
    let with = tender.map_or_else(String::new, |own| format!(" with {}", own.model().title));
    stdout::line(&format!(
        "{}{with}, {}, {} wheels: {:.0} mm radius\n",
        model.title,
        model.scale.word(),
        model.wheels.word(),
        found.course.radius()
    ))?;
    let width = found
        .compared
        .iter()
        .map(|own| own.title.chars().count())
        .max()
        .unwrap_or(0);
    stdout::line(&format!(
        "{:width$}  {:>9}  {:>12}",
        "", "exact", "second order"
    ))?;
    for own in &found.compared {
        let (unit, scale) = if own.is_angle {
            ("°", 180.0 / geom::math::PI)
        } else {
            ("mm", 1.0)
        };
        stdout::line(&format!(
            "{:width$}  {:>9.3}  {:>12.3} {unit}",
            own.title,
            own.exact * scale,
            own.near * scale
        ))?;
    }
    if let Some(coupled) = &found.passage.coupled {
        stdout::line(&format!(
            "\nBetween engine and tender: least gap {:.2} mm, beams {:.2} mm sideways",
            coupled.gap.least,
            coupled.sideways.greatest()
        ))?;
    }
    for (title, approaches) in [("Engine", &found.engine), ("Tender", &found.tender)] {
        if !approaches.is_empty() {
            stdout::line(&format!("\n{title}: nearest approaches"))?;
            stdout::line(&nearest(approaches))?;
        }
    }
    stdout::line("\nFound")?;
    stdout::line(&table(&found.findings))
}

fn nearest(approaches: &[Approach]) -> String {
    let shown = &approaches[..approaches.len().min(APPROACHES_SHOWN)];
    let width = |of: fn(&Approach) -> &str| {
        shown
            .iter()
            .map(|own| of(own).chars().count())
            .max()
            .unwrap_or(0)
    };
    let (mover, part) = (width(|own| &own.mover), width(|own| &own.part));
    let lines = shown.iter().map(|own| {
        format!(
            "{:mover$}  {:part$}  {:>8.3} mm  at x {:.1}, y {:.1}, z {:.1}",
            own.mover, own.part, own.distance, own.at.x, own.at.y, own.at.z
        )
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn say_least(least: Option<&(f64, Vec<body::Finding>)>) -> Result<(), Failure> {
    let Some((radius, stops)) = least else {
        return stdout::line(
            "\nIt does not run on any radius that was looked at: see what was found",
        );
    };
    stdout::line(&format!("\nLeast radius that it runs on: {radius:.0} mm"))?;
    if stops.is_empty() {
        return Ok(());
    }
    stdout::line("On a sharper one:")?;
    stdout::line(&table(stops))
}
