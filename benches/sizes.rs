//! Time to find the fewest sizes for a city's survey.
#![allow(missing_docs, clippy::unwrap_used)]

use bolewright::engineering::{Foam, SizeRule, TrunkRange, fewest_sizes};
use bolewright::units::Length;
use criterion::{Criterion, criterion_group, criterion_main};

fn five_thousand_trunks(c: &mut Criterion) {
    let foam = Foam::new(Length::mm(10.0), 0.10, 0.30, 0.50).unwrap();
    let rule = SizeRule::new(foam, Length::mm(60.0), 0.6).unwrap();
    // A low-discrepancy sequence (golden ratio) of girths from 300 to 3000 mm.
    let trunks: Vec<TrunkRange> = (0..5000)
        .map(|i| {
            let girth = 300.0 + 2700.0 * (f64::from(i) * 0.618_033_988_749_895).fract();
            TrunkRange::round(Length::mm(girth), Length::mm(3.0), Length::mm(10.0)).unwrap()
        })
        .collect();
    c.bench_function("fewest sizes, 5000 trunks", |b| {
        b.iter(|| fewest_sizes(std::hint::black_box(&trunks), &rule).unwrap());
    });
}

criterion_group!(benches, five_thousand_trunks);
criterion_main!(benches);
