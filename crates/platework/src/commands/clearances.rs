//! `platework clearances`: the engine, with its tender, on curves.

use batch::{OutputFile, write_folder};
use body::Finding;
use check::running::{Approach, Balance, Clearances, Margin};
use server::{CourseAsked, OnCurve, RunningTrain, WorkError, Workshop};

use super::Verdict;
use super::check::{say_waived, table};
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
    let waivers = model_file::read_waivers(&args.model.model)?;
    let found = steps.step("curve", || train.on_curve(&asked, args.least, &waivers))?;
    if let Some(out) = &args.out {
        let files = steps.step("drawings", || drawings(&train, &found))?;
        write_folder(out, files)?;
    }
    drop(steps);
    if json {
        stdout::json(&train.json(&found))?;
    } else {
        say(&engine, tender.as_ref(), &found.clearances)?;
        say_motor(&engine)?;
        for (title, own) in ["Weight", "Weight of the tender"]
            .iter()
            .zip(&found.balance)
        {
            say_balance(title, own)?;
        }
        stdout::line("\nFound")?;
        stdout::line(&table(&found.judged.left))?;
        say_waived(&found.judged.waived)?;
        if let Some(least) = &found.least {
            say_least(least.as_ref())?;
        }
    }
    Ok(Verdict::of(&found.judged.left))
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
        "{}{with}, {}, {} wheels: {}\n",
        model.title,
        model.scale.word(),
        model.wheels.word(),
        found.course.words()
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
    let mm_per_foot = model.scale.mm_per_foot();
    say_gauges(found, mm_per_foot)
}

/// How much room the train leaves on the straight and on the course.
fn say_gauges(found: &Clearances, mm_per_foot: f64) -> Result<(), Failure> {
    stdout::line("\nGauges")?;
    let least = |margins: &[Margin]| {
        margins.first().map(|own| {
            format!(
                "{:.2} mm ({:.1} in full size) at {}",
                own.margin,
                own.margin * 12.0 / mm_per_foot,
                own.part
            )
        })
    };
    for (word, margins) in ["Engine", "Tender"].iter().zip(&found.loading) {
        if let Some(text) = least(margins) {
            stdout::line(&format!("{word} within its loading gauge: {text}"))?;
        }
    }
    let swept = &found.swept;
    stdout::line(&format!(
        "On the course: {:.2} mm to the left and {:.2} mm to the right of the middle; tracks {:.1} mm apart pass",
        swept.reach[0], swept.reach[1], swept.tracks
    ))?;
    if let Some(text) = least(&swept.margins) {
        stdout::line(&format!("Within the {}: {text}", found.structure.title))?;
    }
    Ok(())
}

fn say_motor(engine: &Workshop) -> Result<(), Failure> {
    let Some(fit) = &engine.vehicle()?.motor else {
        return Ok(());
    };
    let [length, width, height] = fit.size;
    stdout::line(&format!(
        "\nMotor and gearbox, {length:.1} × {width:.1} × {height:.1} mm: nearest"
    ))?;
    stdout::line(&nearest(&fit.nearest))
}

fn say_balance(title: &str, own: &Balance) -> Result<(), Failure> {
    stdout::line(&format!(
        "\n{title}: {:.0} g, centre of gravity at x {:.1}, z {:.1} mm; middle of the wheelbase that drives or carries at x {:.1}",
        own.grams, own.centre.x, own.centre.z, own.middle
    ))?;
    if let Some(wanted) = own.wanted {
        stdout::line(&format!(
            "Full-size weight at this scale: {wanted:.0} g. With ballast {:.0} g, centre of gravity at x {:.1} mm",
            own.ballasted.0, own.ballasted.1
        ))?;
    }
    for space in &own.ballast {
        stdout::line(&format!(
            "  {:14} room for {:5.0} g at x {:6.1}: put in {:5.0} g",
            space.space, space.room, space.x, space.grams
        ))?;
    }
    let loads = own
        .axles
        .iter()
        .map(|(axle, without, with)| format!("axle {axle}: {without:.0} g, ballasted {with:.0} g"));
    stdout::line(&loads.collect::<Vec<_>>().join("; "))
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

fn say_least(least: Option<&(f64, Vec<Finding>)>) -> Result<(), Failure> {
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
