//! Spring-back: a teaching page, a textbook's example, and the alloys of the table.

use develop::{Alloy, DevelopError, spring_back, tool_of_stress};
use platework_tests::close;

/// Rᵢ/R_f = 4X³ − 3X + 1 (read at novasolver.jp, a teaching page that credits Boothroyd and Marciniak), with
/// its default case: Y 300 MPa, E 210 GPa, Rᵢ 50, T 2 mm (inputs read, outputs derived).
#[test]
fn the_teaching_pages_case() {
    let left = spring_back(50.0, 2.0, 300.0, 210_000.0).unwrap();
    close(left.radius, 55.9886, 5e-5, "radius left");
    close(50.0 / left.radius, 0.893_039, 5e-7, "ratio of radii");
    close(
        90.0 * (1.0 - 50.0 / left.radius),
        9.6265,
        5e-5,
        "return of a right angle by the ratio alone",
    );
}

/// Kalpakjian and Schmid, *Manufacturing Engineering and Technology*: 20-gauge steel 0.0359 in, Rᵢ 0.5 in,
/// Y 40 000 psi, E 29 000 000 psi springs to 0.531 in (example from memory, arithmetic derived).
#[test]
fn the_textbooks_case() {
    let left = spring_back(0.5, 0.0359, 40_000.0, 29e6).unwrap();
    close(left.radius, 0.531, 5e-4, "radius left");
    close(0.5 / left.radius, 0.9424, 5e-5, "ratio of radii");
    // Angle by α_f/αᵢ = (2Rᵢ/T + 1)/(2R_f/T + 1) (same book, from memory).
    let share = (2.0 * 0.5 / 0.0359 + 1.0) / (2.0 * 0.53056 / 0.0359 + 1.0);
    close(left.angle_share, share, 1e-5, "share of the angle");
}

/// From X = 0.5 on the sheet stays elastic (derived: 4X³ − 3X + 1 has its double root there).
#[test]
fn beyond_half_the_sheet_springs_flat() {
    let brass = 110_000.0;
    // Half-hard, 0.25 mm: elastic from 45.83 mm of radius on.
    assert!(spring_back(45.8, 0.25, 300.0, brass).is_ok());
    assert!(matches!(
        spring_back(45.9, 0.25, 300.0, brass),
        Err(DevelopError::Elastic { .. })
    ));
}

/// The formula evaluated for the tempers of the table (derived), radii in mm: CuZn37 of a maker's data
/// sheet (read), CuNi12Zn24 of EN 1652 (from memory).
#[test]
fn the_tables_tempers() {
    for (alloy, temper, tool, sheet, want) in [
        ("brass", "quarter-hard", 10.0, 0.25, 12.2626),
        ("brass", "half-hard", 10.0, 0.25, 14.7510),
        ("brass", "hard", 10.0, 0.25, 18.3083),
        ("brass", "quarter-hard", 10.0, 0.45, 11.1466),
        ("brass", "half-hard", 10.0, 0.45, 12.2089),
        ("brass", "hard", 10.0, 0.45, 13.4768),
        ("brass", "quarter-hard", 5.0, 0.25, 5.5103),
        ("brass", "half-hard", 5.0, 0.25, 5.9736),
        ("brass", "hard", 5.0, 0.25, 6.5158),
        ("nickel-silver", "quarter-hard", 10.0, 0.25, 12.8075),
        ("nickel-silver", "quarter-hard", 10.0, 0.45, 11.3946),
        ("nickel-silver", "half-hard", 10.0, 0.25, 16.0157),
        ("nickel-silver", "half-hard", 10.0, 0.45, 12.6887),
    ] {
        let metal = Alloy::named(alloy).unwrap();
        let stress = metal.temper(temper).unwrap().yield_mpa;
        let left = spring_back(tool, sheet, stress, metal.elasticity_gpa * 1000.0).unwrap();
        close(left.radius, want, 5.1e-5, "radius left");
    }
}

/// Figures of the table itself: CuZn37 (KME data sheet; the density and modulus also in a second mill's sheet; read).
#[test]
fn brass_is_as_the_mill_prints_it() {
    let brass = Alloy::named("brass").unwrap();
    close(brass.density_g_cm3, 8.44, 0.0, "density");
    close(brass.elasticity_gpa, 110.0, 0.0, "modulus");
    for (temper, stress) in [
        ("quarter-hard", 170.0),
        ("half-hard", 300.0),
        ("hard", 430.0),
    ] {
        close(brass.temper(temper).unwrap().yield_mpa, stress, 0.0, temper);
    }
}

/// What to form on, by a table of the trade, for a finished inside radius (mm) in half-hard
/// (Y 300 MPa) and annealed brass (Y 110 MPa), E 105 GPa, rounded as printed there (derived, no source).
const TABLE: [(f64, f64, f64, f64); 10] = [
    (9.5, 0.2, 6.8, 8.3),
    (9.5, 0.25, 7.2, 8.5),
    (10.0, 0.125, 6.0, 8.0),
    (16.5, 0.25, 10.6, 13.7),
    (16.5, 0.38, 12.1, 14.5),
    (19.0, 0.3, 12.4, 15.9),
    (19.0, 0.225, 11.1, 15.0),
    (3.5, 0.225, 3.1, 3.3),
    (2.0, 0.2, 1.8, 1.9),
    (28.0, 0.3, 15.8, 21.7),
];

/// Second method: bending moment of elastic and perfectly plastic sheet by quadrature over the thickness, taken
/// off elastically, and the tool found by halving.
fn tool_by_the_moment(left: f64, t: f64, stress: f64, elasticity: f64) -> f64 {
    let radius_left = |tool: f64| {
        let steps = 4000;
        let dy = t / f64::from(steps);
        let moment: f64 = (0..steps)
            .map(|i| {
                let y = (f64::from(i) + 0.5) * dy - t / 2.0;
                (elasticity * y / tool).clamp(-stress, stress) * y * dy
            })
            .sum();
        1.0 / (1.0 / tool - 12.0 * moment / (elasticity * t * t * t))
    };
    let (mut low, mut high) = (1e-3, left);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        let found = radius_left(middle);
        if found > left || found < 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    low
}

#[test]
fn tools_of_the_trades_table() {
    for (left, sheet, half_hard, annealed) in TABLE {
        for (stress, want) in [(300.0, half_hard), (110.0, annealed)] {
            let tool = tool_of_stress(left, 1.0, sheet, stress, 105_000.0).unwrap();
            close(tool.radius, want, 0.0501, "tool of the table");
            let second = tool_by_the_moment(left, sheet, stress, 105_000.0);
            close(tool.radius / second, 1.0, 2e-6, "tool by the moment");
        }
    }
}

/// The evaluated tempers of [`the_tables_tempers`] the other way round, and the angle of the textbook's case.
#[test]
fn tools_of_the_published_cases() {
    for (left, sheet, stress, elasticity, tool) in [
        (55.9886, 2.0, 300.0, 210_000.0, 50.0),
        (0.530_56, 0.0359, 40_000.0, 29e6, 0.5),
        (18.3083, 0.25, 430.0, 110_000.0, 10.0),
        (16.0157, 0.25, 400.0, 125_000.0, 10.0),
        (5.5103, 0.25, 170.0, 110_000.0, 5.0),
    ] {
        let found = tool_of_stress(left, 1.0, sheet, stress, elasticity).unwrap();
        close(found.radius / tool, 1.0, 1e-5, "tool");
        let share = (2.0 * tool / sheet + 1.0) / (2.0 * left / sheet + 1.0);
        close(found.angle * share, 1.0, 1e-5, "angle to bend through");
    }
}
