//! Values published by others, or worked by hand beforehand, held against the code.
//!
//! Every value has its source beside it; `docs/external-checks.md` lists them all. *Read* means seen in
//! the source or a copy of it, *from memory* not seen, *derived* evaluated from the closed form in
//! double precision: a check of arithmetic, not of practice.

mod bends;
mod branches;
mod cones;
mod cuts;
mod engines;
mod sections;
mod spring_back;
