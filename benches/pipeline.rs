//! Time of a whole set in memory, and of the next one when a girth has changed: what the memory of
//! [`Pipeline`] and [`Press`] saves whoever asks again in the same process.
#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use bolewright::documents::{Press, Selection, Subject};
use bolewright::params::{self, Loaded};
use bolewright::pipeline::Pipeline;
use criterion::{Criterion, criterion_group, criterion_main};

const JOB: &str = include_str!("../params/quillmere-stories.toml");

/// The bytes of all files.
fn set(loaded: &Loaded, pipeline: &Pipeline, press: &Press) -> usize {
    let worked = pipeline.run(&loaded.job, &Default::default()).unwrap();
    let subject = Subject::of(&worked);
    let files = press.files(&subject, &loaded.source_map, Selection(&[])).unwrap();
    files.iter().map(|(_, bytes)| bytes.len()).sum()
}

fn whole_set(c: &mut Criterion) {
    let mut group = c.benchmark_group("demo, all files in memory");
    let loaded = params::read(JOB).unwrap();
    group.bench_function("fresh", |b| {
        b.iter(|| set(black_box(&loaded), &Pipeline::default(), &Press::default()));
    });
    let (pipeline, press) = (Pipeline::default(), Press::default());
    let mut loaded = params::read(JOB).unwrap();
    group.bench_function("another girth of the first trunk, same sizes", |b| {
        b.iter(|| {
            let girth = &mut loaded.job.trunks[0].girth;
            *girth = bolewright::units::Length::mm(2.0 * 1021.0 - girth.get());
            set(black_box(&loaded), &pipeline, &press)
        });
    });
    group.bench_function("findings and sums alone, warm", |b| {
        b.iter(|| pipeline.run(black_box(&loaded.job), &Default::default()).unwrap());
    });
    group.finish();
}

criterion_group!(benches, whole_set);
criterion_main!(benches);
