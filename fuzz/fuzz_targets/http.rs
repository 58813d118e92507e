//! Any bytes are requests to the server over one model; each is answered as the description says, and nothing else is
//! written than the model file. A panic of any thread ends the program.
#![no_main]

#[path = "../src/http.rs"]
mod http;

use http::Office;
use std::sync::{LazyLock, Mutex, PoisonError};

static OFFICE: LazyLock<Mutex<Office>> =
    LazyLock::new(|| Mutex::new(Office::new("platework-fuzz-http")));

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let mut office = OFFICE.lock().unwrap_or_else(PoisonError::into_inner);
    office.check(bytes);
});
