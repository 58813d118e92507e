//! Strips with a row of guide holes at the pitches of the engine's rivets.

use std::collections::BTreeMap;

use body::Body;
use geom::{Point2, Point3, Vector3};

use super::bench::{Bench, Made, Trouble};
use super::letters::Field;
use super::shape::{footed, rod, vee};
use crate::subtract;

/// Strips are made for so many pitches, those with most rivets.
pub(super) const STRIPS: usize = 3;

pub(super) fn make(bench: &Bench<'_>) -> Result<Option<Made>, Trouble> {
    let pitches = pitches(bench.body);
    let mut made = Made::default();
    for (pitch, count) in pitches.into_iter().take(STRIPS) {
        let guide = bench.hole(0.5);
        // Where the holes would leave too thin a wall, the strip has every second or third.
        let every = (1..=6)
            .find(|k| f64::from(*k) * pitch - guide >= 1.1 * bench.print.least_wall)
            .unwrap_or(6);
        let step = f64::from(every) * pitch;
        let holes = ((60.0 / step).floor() as usize).clamp(4, 40);
        let (wide, thick) = (10.0, 2.4);
        let long = step * (holes - 1) as f64 + 10.0;
        let ring = [
            Point2::new(-5.0, 0.0),
            Point2::new(long - 5.0, 0.0),
            Point2::new(long - 5.0, wide),
            Point2::new(-5.0, wide),
        ];
        let row = 1.5_f64.max(guide / 2.0 + 1.2 * bench.print.least_wall);
        let mut tools = Vec::new();
        for k in 0..holes {
            let at = |z: f64| Point3::new(step * k as f64, row, z);
            tools.push(rod(at(-1.0), at(thick + 1.0), guide / 2.0)?);
        }
        tools.push(vee(
            Point3::new(-6.0, row, thick),
            Point3::new(-3.0, row, thick),
            Vector3::z(),
            0.6,
        )?);
        let strip = footed(&ring, thick, bench.print.foot_chamfer.min(row / 3.0))?;
        let mesh = subtract(&strip, &tools)?;
        let low = row + guide / 2.0 + 0.8;
        let field = Field::top(
            long / 2.0 - 5.0,
            (low + wide) / 2.0,
            thick,
            long - 3.0,
            wide - low - 0.8,
        );
        let name = format!("pitch-{:.2}", pitch).replace('.', "-");
        made.pieces
            .push(bench.piece(&name, mesh, &[field], &format!("P{pitch:.2}"))?);
        let passes = match every {
            1 => "in one pass".to_owned(),
            n => format!("in {n} passes, the strip moved on by a rivet each time"),
        };
        made.notes.push(format!(
            "pitch {pitch:.2} mm, {count} rivets of this engine: {passes}"
        ));
    }
    Ok((!made.pieces.is_empty()).then_some(made))
}

/// Pitches of the engine's rows (mm, to a hundredth) with their rivets, most rivets first.
pub(super) fn pitches(body: &Body) -> Vec<(f64, usize)> {
    let mut found: BTreeMap<i64, usize> = BTreeMap::new();
    for plate in &body.plates {
        let mut rows: BTreeMap<&str, Vec<Point2>> = BTreeMap::new();
        for rivet in &plate.rivets {
            rows.entry(&rivet.row).or_default().push(rivet.centre);
        }
        for row in rows.values().filter(|row| row.len() >= 4) {
            let mut steps: Vec<f64> = row.windows(2).map(|p| (p[1] - p[0]).norm()).collect();
            steps.sort_by(f64::total_cmp);
            let middle = steps[steps.len() / 2];
            if middle.is_finite() && middle > 0.2 {
                *found.entry((middle * 100.0).round() as i64).or_default() += row.len();
            }
        }
    }
    let mut pitches: Vec<(f64, usize)> = found
        .into_iter()
        .map(|(hundredths, count)| (hundredths as f64 / 100.0, count))
        .collect();
    pitches.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.total_cmp(&b.0)));
    // Rows are eased to their edges: those alike within 2 % share the strip of the commonest.
    let mut shared: Vec<(f64, usize)> = Vec::new();
    for (pitch, count) in pitches {
        match shared
            .iter_mut()
            .find(|own| (own.0 / pitch - 1.0).abs() < 0.02)
        {
            Some(own) => own.1 += count,
            None => shared.push((pitch, count)),
        }
    }
    shared
}
