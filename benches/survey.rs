//! Time for a whole job of 5, 50, 500 and 5,000 trunks: read job and survey, plan, make all parts,
//! sums, checks, and the account for the manifest. Cost is to follow the number of sizes.
#![allow(missing_docs, clippy::unwrap_used)]

use std::fmt::Write;
use std::hint::black_box;

use bolewright::documents::{ManifestData, trunk_table};
use bolewright::params;
use bolewright::pipeline::{self, Outcome};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};

const JOB: &str = "[job]\nname = \"avenue\"\nsurvey = \"trees.csv\"\n\
    [fixture]\nname = \"lamp\"\nwidth = 118\nheight = 92\ndepth = 54\nmass = 0.86\npower = 12\n\
    [fixture.mount]\nkind = \"side-bosses\"\nspan = 124\nthread = \"M6\"\n\
    [tilt]\nmin = 10\nmax = 60\n[strap]\nwidth = 25\n[pad]\nhalf-width = 50\n";

/// Girths from 700 to 2600 mm in a low-discrepancy sequence (golden ratio), all different.
fn survey(trunks: u32) -> String {
    let mut text = String::from("name,girth\n");
    for i in 0..trunks {
        let girth = 700.0 + 1900.0 * (f64::from(i) * 0.618_033_988_749_895).fract();
        writeln!(text, "tree {i},{girth:.1}").unwrap();
    }
    text
}

fn whole(survey: &str) -> (usize, usize) {
    let mut draft = params::Draft::new(JOB, &[]);
    draft.add_survey(survey);
    let job = draft.finish().unwrap().job;
    let Outcome { plan, built, sums, findings, .. } =
        pipeline::run(&job, &Default::default()).unwrap();
    let about = ManifestData::new(&job, &plan, &built, &sums, &findings);
    let text = serde_json::to_string(&about).unwrap() + &trunk_table(&job, &plan, &sums);
    (plan.cradles.len(), text.len())
}

fn avenues(c: &mut Criterion) {
    let mut group = c.benchmark_group("whole job in memory");
    group.sample_size(10);
    for trunks in [5, 50, 500, 5000] {
        let survey = survey(trunks);
        let (sizes, _) = whole(&survey);
        let name = format!("{trunks} trunks, {sizes} sizes");
        group.bench_function(BenchmarkId::from_parameter(name), |b| {
            b.iter(|| whole(black_box(&survey)));
        });
    }
    group.finish();
}

criterion_group!(benches, avenues);
criterion_main!(benches);
