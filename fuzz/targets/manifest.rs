//! Any bytes to the reader of this name.
#![no_main]

#[allow(dead_code)]
#[path = "../../tests/hostile/holds.rs"]
mod holds;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| holds::manifest(bytes));
