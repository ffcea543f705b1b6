//! The whole rule book over one plan, in process: a clear plan, and one with four findings.

use std::hint::black_box;

use baybook_core::{
    rules::{self, run::fixture},
    units,
};
use criterion::{Criterion, criterion_group, criterion_main};

fn rule_book(c: &mut Criterion) {
    let clear = fixture::plan();
    assert!(rules::check(&clear).findings.is_empty());
    let mut busy = fixture::plan();
    fixture::vehicle(&mut busy).rear.gawr = Some(fixture::kg(1700.0));
    fixture::receiver(&mut busy).carrying.tongue = Some(fixture::kg(200.0));
    fixture::joint(&mut busy).planned_torque = Some(units::Torque::from_n_m(66.0));
    busy.answers.recall_open = None;
    assert_eq!(rules::check(&busy).findings.len(), 4);

    let mut group = c.benchmark_group("rules");
    group.bench_function("clear plan", |b| b.iter(|| rules::check(black_box(&clear))));
    group.bench_function("plan with four findings", |b| b.iter(|| rules::check(black_box(&busy))));
    group.bench_function("figures of a clear plan", |b| b.iter(|| rules::Figures::of(black_box(&clear))));
    group.finish();
}

criterion_group!(benches, rule_book);
criterion_main!(benches);
