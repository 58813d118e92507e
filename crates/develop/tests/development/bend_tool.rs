//! The tool of a bend, and the rounds that it can be bought as.

use crate::sections::close;
use develop::{
    Alloy, DevelopError, StockKind, StockSystem, nearest_stock, nearest_stock_of, spring_back,
    stock, tool_for, tool_of_stress,
};
use geom::math::PI;
use proptest::prelude::*;

proptest! {
    #![proptest_config(crate::sections::repeatable(300))]

    /// What the tool leaves is what was asked for, in radius and in angle.
    #[test]
    fn the_tool_springs_to_what_is_wanted(
        radius in 0.5..400.0f64, angle in 0.05..6.3f64, t in 0.08..1.0f64, stress in 80.0..600.0f64,
    ) {
        let elasticity = 120_000.0;
        let tool = match tool_of_stress(radius, angle, t, stress, elasticity) {
            Ok(tool) => tool,
            Err(DevelopError::Elastic { ratio, .. }) => {
                prop_assert!(ratio >= 0.45);
                return Ok(());
            }
            Err(other) => panic!("{other}"),
        };
        let left = spring_back(tool.radius, t, stress, elasticity).unwrap();
        close(left.radius / radius, 1.0, 1e-9, "radius left");
        close(tool.angle * left.angle_share, angle, 1e-12, "angle left");
        prop_assert!(tool.radius < radius && tool.angle > angle);
        close(tool.elastic_ratio, tool.radius * stress / (elasticity * t), 1e-12, "share that stays elastic");
        prop_assert_eq!(tool.is_thin, radius >= 4.0 * t);
        // A larger radius wants a larger tool.
        if let Ok(larger) = tool_of_stress(radius * 1.01, angle, t, stress, elasticity) {
            prop_assert!(larger.radius > tool.radius);
        }
    }
}

/// Half-etching halves the thickness and so doubles the ratio R·Y/(E·T): the same radius wants a smaller tool.
#[test]
fn what_is_left_of_half_etched_sheet_counts() {
    let metal = Alloy::named("nickel-silver").unwrap();
    let temper = metal.temper("half-hard").unwrap();
    let tool = |t: f64| tool_for(15.0, PI, t, metal, temper).unwrap().radius;
    assert!(tool(0.2) < 0.85 * tool(0.4));
}

#[test]
fn sheet_that_would_stay_elastic_gets_no_tool() {
    // Y/E = 1/400, t 0.2: elastic from 40 mm of tool radius on; F grows without bound as X nears a half.
    let Err(DevelopError::Elastic { radius_mm, ratio }) =
        tool_of_stress(5000.0, 1.0, 0.2, 300.0, 120_000.0)
    else {
        panic!("so large a radius is beyond any tool");
    };
    assert!((0.45..0.5).contains(&ratio) && radius_mm < 40.0);
    assert!(tool_of_stress(1000.0, 1.0, 0.2, 300.0, 120_000.0).is_ok());
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        for at in 0..5 {
            let mut own = [10.0, 1.0, 0.3, 300.0, 120_000.0];
            own[at] = bad;
            let [r, a, t, y, e] = own;
            assert!(
                matches!(
                    tool_of_stress(r, a, t, y, e),
                    Err(DevelopError::OutOfRange { .. })
                ),
                "{own:?}"
            );
        }
    }
}

#[test]
fn the_table_of_stock_is_in_order() {
    for system in StockSystem::ALL {
        for kind in [StockKind::Rod, StockKind::Drill] {
            let own: Vec<_> = stock()
                .iter()
                .filter(|round| round.system == system && round.kind == kind)
                .collect();
            assert!(own.len() > 20, "{} {}", system.word(), kind.word());
            for round in &own {
                assert!(
                    (0.3..90.0).contains(&round.diameter),
                    "{}: {} mm",
                    round.title(),
                    round.diameter
                );
            }
            let mut names: Vec<_> = own.iter().map(|round| &round.name).collect();
            names.sort();
            names.dedup();
            assert_eq!(names.len(), own.len(), "a name stands twice");
        }
    }
    // A fraction is the fraction of an inch that its name says; a number's size falls, a letter's rises.
    let mut numbers = Vec::new();
    let mut letters = Vec::new();
    for round in stock() {
        if let Some(words) = round.name.strip_suffix(" in") {
            let value: f64 = words
                .split(' ')
                .map(|part| match part.split_once('/') {
                    Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
                    None => part.parse().unwrap(),
                })
                .sum();
            close(round.diameter, value * 25.4, 1e-12, &round.name);
        } else if let Some(words) = round.name.strip_suffix(" mm") {
            close(
                round.diameter,
                words.parse::<f64>().unwrap(),
                1e-12,
                &round.name,
            );
        } else if round.name.starts_with("no.") {
            numbers.push(round.diameter);
        } else {
            letters.push(round.diameter);
        }
    }
    assert_eq!((numbers.len(), letters.len()), (80, 26));
    assert!(numbers.windows(2).all(|two| two[0] > two[1]));
    assert!(letters.windows(2).all(|two| two[0] < two[1]));
}

#[test]
fn the_nearest_round() {
    use StockSystem::{Imperial, Metric};
    assert_eq!(nearest_stock(12.1, Metric).title(), "drill 12.1 mm");
    assert_eq!(
        nearest_stock_of(12.1, Metric, StockKind::Rod).title(),
        "rod 12 mm"
    );
    assert_eq!(nearest_stock(12.7, Imperial).title(), "rod 1/2 in");
    assert_eq!(nearest_stock(5.79, Imperial).title(), "drill no. 1");
    assert_eq!(nearest_stock(500.0, Metric).title(), "rod 80 mm");
}
