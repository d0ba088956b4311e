//! How long a plan takes from text to findings, and each step of the way. Run with `cargo bench`.

#![allow(clippy::print_stderr)]

use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use glimloom::checks::Analysis;
use glimloom::circuit;
use glimloom::papers::drawing::{Wanted, draw};
use glimloom::papers::page::html;
use glimloom::papers::sheet::{Making, sheet};
use glimloom::plan::{Alone, FileKey, Plan};
use glimloom::syntax;

/// A plan of about 200 stanzas: streets of shops, each a circuit of its own behind one fuse.
fn plan_text() -> String {
    let mut text = include_str!("shops.head.harness").to_owned();
    for k in 1..=6 {
        text.push_str(&include_str!("shops.unit.harness").replace("{k}", &k.to_string()));
    }
    text
}

fn whole(c: &mut Criterion) {
    let text: Arc<str> = plan_text().into();
    let stanzas = syntax::read_file(&text).stanzas.len();
    let key = || FileKey::new("bench");
    let never = || false;
    let plan = Plan::of(key(), text.clone(), &Alone);
    assert!(
        plan.problems.is_empty(),
        "the benchmark's plan reads clean: {:?}",
        plan.problems
    );
    let analysis = Analysis::of(key(), text.clone(), &Alone, &never);
    assert!(
        analysis
            .findings
            .iter()
            .all(|f| f.severity < glimloom::plan::Severity::Error)
    );

    let mut group = c.benchmark_group(format!("{stanzas} stanzas"));
    group.bench_function("read the stanzas", |b| {
        b.iter(|| syntax::read_file(black_box(&text)))
    });
    group.bench_function("read and resolve the plan", |b| {
        b.iter(|| Plan::of(key(), black_box(text.clone()), &Alone))
    });
    group.bench_function("solve the circuit", |b| {
        b.iter(|| circuit::solve(black_box(&plan), &never))
    });
    group.bench_function("all, from text to findings", |b| {
        b.iter(|| Analysis::of(key(), black_box(text.clone()), &Alone, &never));
    });

    // For a panel beside the text: each edit draws anew.
    group.bench_function("the drawing of what is known", |b| {
        b.iter(|| draw(black_box(&analysis), &Wanted::default()).map(|drawing| drawing.svg.len()));
    });
    group.bench_function("the bench sheet of what is known", |b| {
        let making = Making {
            spelt: &|_| "bench.harness".to_owned(),
            reel: None,
            drawn: true,
        };
        b.iter(|| html::written(&sheet(black_box(&analysis), &making)).len());
    });

    let before = syntax::read_file(&text);
    let edited = text.replacen("6 lamps", "7 lamps", 1);
    group.bench_function("read again after one edit", |b| {
        b.iter(|| syntax::read_file_reusing(black_box(&edited), &before));
    });
    group.finish();
}

/// Resident memory of this process, kilobytes; where the system tells.
fn resident() -> Option<usize> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// What an analysis takes while it is held, as an editor's server holds one for each open plan.
fn memory(_: &mut Criterion) {
    const HELD: usize = 100;
    let text: Arc<str> = plan_text().into();
    let never = || false;
    let one = || Analysis::of(FileKey::new("bench"), text.clone(), &Alone, &never);
    let first = one();
    let before = resident();
    let held: Vec<Analysis> = (0..HELD).map(|_| one()).collect();
    if let (Some(before), Some(after)) = (before, resident()) {
        let each = after.saturating_sub(before) / held.len();
        eprintln!("memory: {each} kB for each analysis held; {before} kB for the process with one");
    }
    drop((first, held));
}

criterion_group!(benches, memory, whole);
criterion_main!(benches);
