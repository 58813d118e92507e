//! Whether the plates of a body are sound: the flat keeps the lengths and area of the formed plate,
//! and its mesh is closed and has the plate's volume.

use crate::close;
use body::{Body, Plate};
use solid::{MeshOptions, SolidError, mesh_plate};

/// Refuses a body with an unsound plate.
///
/// # Errors
///
/// Of a plate whose openings and half-etched places touch in one point: it has no solid, and says so.
///
/// # Panics
///
/// At the first plate that is not sound.
pub fn refuse_unsound(body: &Body) -> Result<(), SolidError> {
    for plate in &body.plates {
        keeps_its_lengths(plate);
        has_a_sound_mesh(plate)?;
    }
    Ok(())
}

fn keeps_its_lengths(plate: &Plate) {
    let lengths = plate.edge_lengths().expect("edges lie on their plate");
    for edge in lengths {
        close(
            edge.flat,
            edge.formed,
            1e-6,
            &format!("{} {}", plate.id, edge.name),
        );
    }
    let whole = plate
        .whole()
        .expect("a plate that was built can be measured");
    let (flat, formed) = (whole.flat_area, whole.formed.neutral_area);
    assert!(flat > 0.0, "{} has an area", plate.id);
    close(flat, formed, 1e-9 * flat, &format!("area of {}", plate.id));
}

fn has_a_sound_mesh(plate: &Plate) -> Result<(), SolidError> {
    let options = MeshOptions {
        rivets: false,
        ..MeshOptions::default()
    };
    let made = match mesh_plate(plate, &options) {
        Err(error @ SolidError::Touching { .. }) => return Err(error),
        made => made.unwrap_or_else(|e| panic!("{}: {e}", plate.id)),
    };
    assert_eq!(made.mesh.soundness(), Ok(()), "{}", plate.id);
    let want = plate
        .expected_volume(false)
        .expect("a plate that was built can be measured");
    // Chords cut off at most their error along every edge; that counts where a plate is nearly nothing.
    let rim: f64 = plate
        .edge_lengths()
        .expect("edges lie on their plate")
        .iter()
        .map(|edge| edge.flat)
        .sum();
    let cut = 2.0 * rim * options.chord_error * plate.sheet.stock_thickness;
    let off = made.mesh.volume() - want;
    assert!(
        off.abs() < 1e-3 * want + cut,
        "volume of {} is {want}, off by {off:e}",
        plate.id
    );
    Ok(())
}
