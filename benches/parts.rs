//! Time from a job to checked meshes: plan, exact solids, meshes, gate, checks, and the whole set.
#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use bolewright::assessment::prints::Measured;
use bolewright::assessment::{Calculations, Subject, assess};
use bolewright::build::{self, BuiltPart, PartSpec};
use bolewright::design::{self, Plan};
use bolewright::finding::Finding;
use bolewright::formats::stl::stl;
use bolewright::mesh::gate::{Expected, gate_as_written};
use bolewright::params::{self, Job};
use criterion::{Criterion, criterion_group, criterion_main};

const JOB: &str = include_str!("../params/riverside-reading.toml");

fn made(job: &Job, plan: &Plan) -> Vec<BuiltPart> {
    let make = |spec: PartSpec| build::build_part(spec, job.job.deviation).unwrap();
    build::part_specs(job, plan).into_iter().map(make).collect()
}

fn judge(job: &Job, plan: &Plan, parts: &[BuiltPart], sums: &Calculations) -> Vec<Finding> {
    assess(&Subject { parts, calculations: Some(sums), ..Subject::planned(job, Ok(plan)) })
}

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
    let all = made(&job, &plan);
    c.bench_function("measuring all parts", |b| b.iter(|| Measured::all(&job, black_box(&all))));
    let measured = Measured::all(&job, &all);
    let sums = Calculations::new(&job, &plan, &all, &measured);
    c.bench_function("sums", |b| {
        b.iter(|| Calculations::new(&job, &plan, black_box(&all), &measured))
    });
    c.bench_function("checks", |b| b.iter(|| judge(&job, &plan, black_box(&all), &sums)));
    c.bench_function("whole set on one processor", |b| {
        b.iter(|| {
            let job = params::read(black_box(JOB)).unwrap().job;
            let plan = design::plan(&job, &Default::default()).unwrap();
            let all = made(&job, &plan);
            let sums = Calculations::new(&job, &plan, &all, &Measured::all(&job, &all));
            judge(&job, &plan, &all, &sums)
        });
    });
}

criterion_group!(benches, a_whole_job);
criterion_main!(benches);
