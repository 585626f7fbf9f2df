//! A ring of 200 lamps, whole and with each of its 201 segments broken in turn.

use std::hint::black_box;

use bolewright::engineering::feed::{Load, Network, NetworkError, Source};
use bolewright::units::{Power, Resistance, Voltage};
use criterion::{Criterion, criterion_group, criterion_main};

fn ring() -> Result<Network, NetworkError> {
    let source = Source { emf: Voltage::volts(24.0), resistance: Resistance::ohms(0.05) };
    let segments = (0..=200).map(|k| Resistance::ohms(0.004 + 0.000_01 * f64::from(k))).collect();
    let loads = vec![Load::Power(Power::watts(0.4)); 200];
    Network::ring(source, segments, loads)
}

fn all_breaks(c: &mut Criterion) {
    let Ok(ring) = ring() else { return };
    c.bench_function("ring of 200, whole", |b| b.iter(|| black_box(&ring).solve()));
    c.bench_function("ring of 200, each of 201 breaks", |b| {
        b.iter(|| {
            (0..=200)
                .filter_map(|j| black_box(&ring).without_segment(j).ok())
                .filter(|broken| broken.solve().is_ok())
                .count()
        });
    });
    assert!((0..=200).all(|j| ring.without_segment(j).is_ok_and(|b| b.solve().is_ok())));
}

criterion_group!(benches, all_breaks);
criterion_main!(benches);
