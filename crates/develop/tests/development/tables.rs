//! The tables of alloys and processes: readable, sourced, and in the units that their names say.

use develop::{Alloy, EtchProcess, alloys, processes};

fn assert_sourced(source: &str, what: &str) {
    assert!(source.trim().len() >= 8, "{what} has no source");
}

#[test]
fn every_alloy_has_plausible_figures_and_sources() {
    assert!(!alloys().is_empty());
    for alloy in alloys() {
        assert_sourced(&alloy.source, &alloy.name);
        // Copper alloys: density 8.2 to 9.0 g/cm³ and modulus 95 to 150 GPa in every table of metals.
        assert!((8.2..9.0).contains(&alloy.density_g_cm3), "{}", alloy.name);
        assert!(
            (95.0..150.0).contains(&alloy.elasticity_gpa),
            "{}",
            alloy.name
        );
        assert!(!alloy.tempers.is_empty(), "{}", alloy.name);
        for temper in &alloy.tempers {
            assert_sourced(&temper.source, &temper.name);
            assert!(
                (50.0..800.0).contains(&temper.yield_mpa),
                "{} {}",
                alloy.name,
                temper.name
            );
        }
        // Soft first; the soft figure is an upper bound and may lie above the next.
        let yields: Vec<f64> = alloy
            .tempers
            .iter()
            .skip(1)
            .map(|temper| temper.yield_mpa)
            .collect();
        assert!(yields.is_sorted(), "{}: {yields:?}", alloy.name);
        assert_eq!(
            Alloy::named(&alloy.name).map(|found| &found.title),
            Some(&alloy.title)
        );
        for temper in &alloy.tempers {
            assert_eq!(
                alloy.temper(&temper.name),
                Some(temper),
                "names of tempers are unlike"
            );
        }
    }
    assert_eq!(Alloy::named("unobtainium"), None);
}

#[test]
fn every_process_has_plausible_figures_and_sources() {
    assert!(!processes().is_empty());
    for process in processes() {
        assert!(
            ["etcher", "designer"].contains(&process.allowance_by.as_str()),
            "{}",
            process.name
        );
        let limits = [
            ("half_etch_depth", &process.half_etch_depth, 0.25, 0.75),
            ("growth_per_edge", &process.growth_per_edge, 0.05, 0.5),
            ("feature_tolerance", &process.feature_tolerance, 0.05, 0.2),
            ("centre_tolerance", &process.centre_tolerance, 0.01, 0.3),
            ("sheet_tolerance", &process.sheet_tolerance, 0.01, 0.15),
            ("least_hole", &process.least_hole, 0.9, 1.6),
            ("least_slot", &process.least_slot, 0.9, 1.6),
            ("least_bar", &process.least_bar, 0.7, 1.6),
            ("inside_corner", &process.inside_corner, 0.5, 1.3),
            ("outside_corner", &process.outside_corner, 0.5, 1.3),
        ];
        for (what, limit, low, high) in limits {
            assert_sourced(&limit.source, what);
            // In sheet of 0.4 mm, where no floor of a two-sided process reaches, as share of the thickness.
            let share = limit.at(0.4) / 0.4;
            assert!(
                (low..=high).contains(&share),
                "{} {what}: {share} t",
                process.name
            );
            assert!(
                limit.at(0.01) >= limit.least_mm,
                "the floor holds in thin sheet"
            );
        }
        assert_eq!(EtchProcess::named(&process.name), Some(process));
    }
    assert_eq!(EtchProcess::named("photographic guesswork"), None);
}
