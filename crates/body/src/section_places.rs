//! Where a general arrangement is cut across.

use crate::Model;

/// Places at which a general arrangement is cut across: what each goes through, and its x (mm), front to rear.
pub fn section_places(model: &Model) -> Vec<(&'static str, f64)> {
    let mut places = Vec::new();
    if let Some(smokebox) = &model.smokebox {
        let middle = smokebox.front + smokebox.length / 2.0;
        let chimney = model.chimney.as_ref().map(|own| own.x);
        let what = if chimney.is_some() {
            "through smokebox and chimney"
        } else {
            "through the smokebox"
        };
        places.push((what, chimney.unwrap_or(middle)));
    }
    if let Some(boiler) = &model.boiler {
        let middle = boiler.from + boiler.length() / 2.0;
        match &model.dome {
            Some(dome) => places.push(("through boiler and dome", dome.x)),
            None => places.push(("through the boiler", middle)),
        }
        if let Some(firebox) = &model.firebox {
            places.push(("through the firebox", boiler.end() + firebox.length / 2.0));
        }
    }
    if let Some(cab) = &model.cab {
        places.push(("through the cab", (cab.front + cab.back) / 2.0));
    }
    if let Some(tank) = &model.tender_tank {
        let space = &tank.coal_space;
        places.push((
            "through the coal space",
            (space.front_bulkhead + space.rear_bulkhead) / 2.0,
        ));
        places.push(("through the tank", (space.rear_bulkhead + tank.to) / 2.0));
    }
    places.sort_by(|a, b| a.1.total_cmp(&b.1));
    places
}
