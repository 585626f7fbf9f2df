//! Time to plan the sizes of a town's survey.
#![allow(missing_docs, clippy::unwrap_used)]

use std::fmt::Write;

use bolewright::design::{PreviousSet, plan};
use bolewright::params::read;
use criterion::{Criterion, criterion_group, criterion_main};

fn five_hundred_trunks(c: &mut Criterion) {
    let mut text = include_str!("../params/one-lamp.toml").to_owned();
    // A low-discrepancy sequence (golden ratio) of girths from 500 to 2500 mm.
    for i in 0..500 {
        let girth = 500.0 + 2000.0 * (f64::from(i) * 0.618_033_988_749_895).fract();
        write!(text, "\n[[trunk]]\nname = \"t{i}\"\ngirth = {girth:.0}\n").unwrap();
    }
    let job = read(&text).unwrap().job;
    c.bench_function("sizes for 500 trunks", |b| {
        b.iter(|| plan(std::hint::black_box(&job), &PreviousSet::default()).unwrap());
    });
}

criterion_group!(benches, five_hundred_trunks);
criterion_main!(benches);
