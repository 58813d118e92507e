//! Marks of parts: which plates and fittings an edit leaves as they were.

use std::collections::BTreeMap;

use body::Body;

/// Marks by the id of a part. Parts of the same id and mark are the same; otherwise they may differ.
pub(crate) type Marks = BTreeMap<String, String>;

/// Marks of a body: those of the first of some other states of it in which a part is the same, `own` for all else.
pub(crate) fn marks_of(body: &Body, own: &str, others: &[(&Body, &Marks)]) -> Marks {
    let known = |id: &str, same: &dyn Fn(&Body) -> bool| {
        let (_, marks) = others.iter().find(|(other, _)| same(other))?;
        marks.get(id).cloned()
    };
    let plates = body.plates.iter().map(|plate| {
        let same = |other: &Body| other.plate(&plate.id) == Some(plate);
        (&plate.id, known(&plate.id, &same))
    });
    let fittings = body.fittings.iter().map(|fitting| {
        let same = |other: &Body| other.fittings.contains(fitting);
        (&fitting.id, known(&fitting.id, &same))
    });
    plates
        .chain(fittings)
        .map(|(id, mark)| (id.clone(), mark.unwrap_or_else(|| own.to_owned())))
        .collect()
}
