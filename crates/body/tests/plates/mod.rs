//! What every plate must hold.

use body::Plate;

/// Refuses a plate whose lengths differ by more than 1e-6 mm or whose areas by more than 1e-9 of them,
/// flat and formed each measured without the other.
#[track_caller]
pub(crate) fn keeps_its_lengths_and_area(plate: &Plate, case: &str) {
    for edge in plate.edge_lengths().unwrap() {
        assert!(
            (edge.flat - edge.formed).abs() <= 1e-6,
            "{case} {} {}: flat {}, formed {}",
            plate.id,
            edge.name,
            edge.flat,
            edge.formed
        );
    }
    let whole = plate.whole().unwrap();
    let (flat, formed) = (whole.flat_area, whole.formed.neutral_area);
    assert!(flat > 0.0, "{case} {}: no area", plate.id);
    assert!(
        (flat - formed).abs() <= 1e-9 * flat,
        "{case} {}: area flat {flat}, formed {formed}",
        plate.id
    );
}
