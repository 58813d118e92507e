//! `platework clearances`: the engine, with its tender, on curves.

use check::running::{Approach, Clearances};
use server::{CourseAsked, OnCurve, RunningTrain, WorkError, Workshop};

use super::Verdict;
use super::check::table;
use crate::cli::ClearancesArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::output_folder::{OutputFile, write_folder};
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
            let overrides = RunningTrain::tender_overrides(&engine);
            Some(steps.step("tender", || model_file::open_as(path, &overrides))?)
        }
        None => None,
    };
    let train = RunningTrain {
        engine: &engine,
        tender: tender.as_ref(),
    };
    let asked = CourseAsked {
        radius: args.radius,
        reverse: args.reverse,
        crossover: args.crossover,
        spacing: Some(args.spacing),
        transition: args.transition,
    };
    let found = steps.step("curve", || train.on_curve(&asked, args.least))?;
    if let Some(out) = &args.out {
        let files = steps.step("drawings", || drawings(&train, &found))?;
        write_folder(out, files)?;
    }
    drop(steps);
    if json {
        stdout::json(&train.json(&found))?;
    } else {
        say(&engine, tender.as_ref(), &found.clearances)?;
        if let Some(least) = &found.least {
            say_least(least.as_ref())?;
        }
    }
    Ok(Verdict::of(&found.clearances.findings))
}

/// The plan as SVG and PDF, and the train in motion.
fn drawings(train: &RunningTrain<'_>, found: &OnCurve) -> Result<Vec<OutputFile>, WorkError> {
    let plan = train.plan(found)?;
    Ok(vec![
        OutputFile::new("plan.svg", plan.svg()),
        OutputFile::new("plan.pdf", plan.pdf()?),
        OutputFile::new("run.glb", train.run_glb(found)?),
    ])
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
