//! B-reps by construction, behind one module.
