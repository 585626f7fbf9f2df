//! Time of each stage of a part: plan, drawing, exact solid, mesh, gate, measuring.
#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use bolewright::assessment::Measured;
use bolewright::formats::stl;
use bolewright::mesh::{Expected, gate_as_written};
use bolewright::{build, design, params, pipeline};
use criterion::{Criterion, criterion_group, criterion_main};

const JOB: &str = include_str!("../params/quillmere-stories.toml");

fn a_whole_job(c: &mut Criterion) {
    let job = params::read(JOB).unwrap().job;
    let plan = design::plan(&job, &Default::default()).unwrap();
    c.bench_function("plan", |b| {
        b.iter(|| design::plan(black_box(&job), &Default::default()).unwrap())
    });
    c.bench_function("draw all parts", |b| b.iter(|| build::part_specs(black_box(&job), &plan)));
    for spec in build::part_specs(&job, &plan) {
        let name = spec.part.name();
        let body = spec.part.body().unwrap();
        let tessellation = body.tessellate(job.job.deviation).unwrap();
        let (genus, volume, deviation) = (spec.part.genus, body.volume(), job.job.deviation);
        let expected = Expected { bodies: 1, genus, volume, deviation };
        c.bench_function(&format!("{name}: exact solid"), |b| {
            b.iter(|| black_box(&spec.part).body().unwrap());
        });
        c.bench_function(&format!("{name}: mesh"), |b| {
            b.iter(|| black_box(&body).tessellate(job.job.deviation).unwrap());
        });
        c.bench_function(&format!("{name}: gate"), |b| {
            b.iter(|| gate_as_written(black_box(&tessellation.mesh), &expected).unwrap());
        });
        // `tests/referee/run --speed` reads this one.
        c.bench_function(&format!("{name}: plan to STL"), |b| {
            b.iter(|| {
                let made = build::build_part(black_box(&spec).clone(), job.job.deviation).unwrap();
                stl(&made.mesh).unwrap()
            });
        });
    }
    let worked = pipeline::run(&job, &Default::default()).unwrap();
    c.bench_function("measuring all parts", |b| {
        b.iter(|| Measured::all(&job, black_box(&worked.built)));
    });
}

criterion_group!(benches, a_whole_job);
criterion_main!(benches);
