//! Short programs that use the crates; run one with `cargo run -p platework-examples --bin NAME`.
