//! `platework differ`: what a change of a model touches, and what must be etched again.

use body::Overrides;
use check::{Difference, LengthChange, PlateDifference, Presence, SheetDifference};
use server::Workshop;

use super::Verdict;
use crate::cli::DifferArgs;
use crate::failure::Failure;
use crate::model_file;
use crate::progress::Steps;
use crate::stdout;

/// Compares two states of a model.
pub(crate) fn run(args: &DifferArgs, json: bool) -> Result<Verdict, Failure> {
    let mut steps = Steps::new(3);
    let after = Overrides {
        scale: args.scale,
        wheels: args.wheels,
        variant: args.variant_new.clone(),
    };
    let after = steps.step("after", || model_file::open_as(&args.new, &after))?;
    let before = Overrides {
        // Two scales have nothing in common that could be compared.
        scale: Some(after.model().scale),
        wheels: args.wheels,
        variant: args.variant_old.clone(),
    };
    let before = steps.step("before", || model_file::open_as(&args.old, &before))?;
    let difference = steps.step("difference", || after.difference_from(&before))?;
    drop(steps);
    if json {
        stdout::json(&difference)?;
    } else {
        stdout::line(&text_of(&before, &after, &difference))?;
    }
    Ok(if difference.same {
        Verdict::Clear
    } else {
        Verdict::Findings
    })
}

/// Everything that differs, the sheets last: what must be etched again is what is asked for.
fn text_of(before: &Workshop, after: &Workshop, found: &Difference) -> String {
    let mut lines = vec![format!("{} -> {}", name(before), name(after))];
    if found.same {
        lines.push("nothing differs".to_owned());
        return lines.join("\n");
    }
    list(
        &mut lines,
        "Dimensions of the file",
        found.inputs.iter().map(change_line),
    );
    list(
        &mut lines,
        "Dimensions that follow",
        found.dimensions.iter().map(change_line),
    );
    list(
        &mut lines,
        "Angles that follow",
        found.angles.iter().map(|own| {
            format!(
                "{}: {} -> {}°",
                own.name,
                number(own.before_deg),
                number(own.after_deg)
            )
        }),
    );
    list(
        &mut lines,
        "Plates",
        found.plates.iter().flat_map(plate_lines),
    );
    list(
        &mut lines,
        "Joints",
        found.joints.iter().map(|own| {
            let gap = |gap: &Option<check::Gap>| number(gap.map(|gap| gap.gap_mm));
            let (was, is) = (gap(&own.before), gap(&own.after));
            format!("{}: {}, gap {was} -> {is} mm", own.joint, own.change.word())
        }),
    );
    list(
        &mut lines,
        "Findings",
        found.findings.iter().map(|own| {
            let what = match own.change {
                Presence::Added => "appears",
                Presence::Removed => "disappears",
                Presence::Changed => "has another figure",
            };
            format!(
                "{} {} at {} {what}: {}",
                own.severity, own.rule, own.path, own.sentence
            )
        }),
    );
    for (title, parts) in [
        ("Blocks to print", &found.blocks),
        ("Only looked at", &found.fittings),
    ] {
        list(
            &mut lines,
            title,
            parts
                .iter()
                .map(|own| format!("{}: {}", own.id, own.change.word())),
        );
    }
    list(&mut lines, "Sheets", found.sheets.iter().map(sheet_line));
    lines.push(String::new());
    lines.push(summary(found));
    lines.join("\n")
}

fn name(workshop: &Workshop) -> String {
    let model = workshop.model();
    let variant = model.variant.as_ref();
    let variant = variant.map_or_else(String::new, |name| format!(", variant {name}"));
    let (scale, wheels) = (model.scale.word(), model.wheels.word());
    format!(
        "{}{variant} ({}, {scale}, {wheels} wheels)",
        model.title,
        workshop.name()
    )
}

fn list(lines: &mut Vec<String>, title: &str, items: impl Iterator<Item = String>) {
    let mut items = items.peekable();
    if items.peek().is_some() {
        lines.push(format!("\n{title}"));
        lines.extend(items.map(|item| format!("  {item}")));
    }
}

fn number(value: Option<f64>) -> String {
    value.map_or_else(|| "none".to_owned(), |value| format!("{value:.3}"))
}

fn change_line(own: &LengthChange) -> String {
    let (was, is) = (number(own.before_mm), number(own.after_mm));
    format!("{}: {was} -> {is} mm", own.name)
}

/// A plate on a line, its figures on further ones.
fn plate_lines(own: &PlateDifference) -> Vec<String> {
    let mut lines = vec![format!("{}: {}", own.plate, own.change.words())];
    let mut say = |line: String| lines.push(format!("  {line}"));
    if let Some([was, is]) = &own.metal {
        say(format!("metal: {was} -> {is}"));
    }
    for change in &own.thickness {
        say(format!("thickness of {}", change_line(change)));
    }
    for change in &own.edges {
        say(format!("edge {}", change_line(change)));
    }
    for hole in &own.holes {
        say(hole_line(hole));
    }
    for region in &own.regions {
        let word = region.change.word();
        let moved = region
            .moved_mm
            .map_or_else(String::new, |by| format!(", by {by:.3} mm"));
        say(format!("{}: {word}{moved}", region.name));
    }
    if let Some(rivets) = &own.rivets {
        let moved = rivets
            .moved_mm
            .map_or_else(String::new, |by| format!(", moved by {by:.3} mm"));
        say(format!(
            "rivets: {} -> {}{moved}",
            rivets.before, rivets.after
        ));
    }
    if let Some(by) = own.outline_moved_mm.filter(|by| *by > 0.0) {
        say(format!("outline: moved by {by:.3} mm at most"));
    }
    if let Some(by) = own.body_moved_mm.filter(|by| *by > 0.0) {
        say(format!("on the body: moved by {by:.3} mm at most"));
    }
    lines
}

fn hole_line(hole: &check::HoleDifference) -> String {
    let mut line = format!("hole {}: {}", hole.feature, hole.change.word());
    if let Some(by) = hole.moved_mm {
        line += &format!(", moved by {by:.3} mm");
    }
    if hole.before_diameter_mm != hole.after_diameter_mm {
        let (was, is) = (
            number(hole.before_diameter_mm),
            number(hole.after_diameter_mm),
        );
        line += &format!(", diameter {was} -> {is} mm");
    }
    line
}

fn sheet_name(sheet: &SheetDifference) -> String {
    format!("{} {:.2} mm", sheet.metal, sheet.thickness_mm)
}

fn sheet_line(sheet: &SheetDifference) -> String {
    let name = sheet_name(sheet);
    let gone = match sheet.gone.len() {
        0 => String::new(),
        _ => format!("; not needed on it: {}", sheet.gone.join(", ")),
    };
    if sheet.etch_again {
        let (count, all) = (sheet.etched.len(), sheet.plates_after);
        format!("{name}: must be etched again for {count} of {all} plates{gone}")
    } else {
        format!("{name}: stays{gone}")
    }
}

fn summary(found: &Difference) -> String {
    let again: Vec<String> = found
        .sheets
        .iter()
        .filter(|sheet| sheet.etch_again)
        .map(sheet_name)
        .collect();
    let plates = found
        .plates
        .iter()
        .filter(|own| own.change.is_etched())
        .count();
    let noun = if plates == 1 { "plate" } else { "plates" };
    match again.len() {
        0 => "Nothing must be etched again.".to_owned(),
        _ => format!(
            "To be etched again: {plates} {noun}, on {}.",
            again.join(" and ")
        ),
    }
}
