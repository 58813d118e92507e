//! Spring-back: a teaching page, a textbook's example, and the alloys of the table.

use develop::{Alloy, DevelopError, spring_back};
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
