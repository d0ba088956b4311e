//! How long it takes from a typed character to the findings, without the protocol: a street of shops, each a circuit of
//! its own, and one figure in the middle of it; and one circuit of many lights. Typed and taken back is what a slip costs; typed anew is what each new
//! figure costs.

#![allow(clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{BatchSize, BenchmarkId, Criterion, criterion_group, criterion_main};
use glimloom::parts::{Parts, Patience};
use glimloom::plan::{Alone, FileKey};
use glimloom::text::{Change, Document, Encoding, Position};

/// A plan of so many lines.
fn street(lines: usize) -> String {
    let head = include_str!("shops.head.harness");
    let mut text = head.replace("scene night off sign-1, sign-2, sign-3\n", "");
    let unit = include_str!("shops.unit.harness");
    let each = unit.lines().count();
    for k in 1..=lines.div_ceil(each) {
        text.push_str(&unit.replace("{k}", &k.to_string()));
    }
    text
}

/// One circuit of so many lights, twenty on a joint, in three scenes.
fn one_circuit(lights: usize) -> String {
    let mut text = "\
wire trunk gauge 10 AWG insulation pvc colours red, black
wire fine gauge 28 AWG insulation enamel colours red, green
led pearl drops 3.0 V at 20 mA limit 25 mA colour white

supply wart 12 V 60 A
fuse main 60 A from wart
scene lit
scene dusk off row-1
scene night off row-2
"
    .to_owned();
    for k in 1..=lights {
        let row = k.div_ceil(20);
        if k % 20 == 1 {
            text += &format!("joint row-{row} from main over 100 mm of trunk\n");
        }
        let over = 50 + 5 * (k % 20);
        text += &format!(
            "lamp l-{k} of pearl resistor 510 ohm from row-{row} over {over} mm of fine\n"
        );
    }
    text
}

/// An editor with a plan, and the place where something is typed.
struct Typing {
    document: Document,
    parts: Parts,
    line: u32,
    column: u32,
}

impl Typing {
    fn of(text: &str) -> Typing {
        Typing::at(text, "\nstrip window-a", " lamps")
    }

    /// Behind the figure that stands ahead of `behind`, in the first line of its kind past the middle.
    fn at(text: &str, line: &str, behind: &str) -> Typing {
        let middle = text.len() / 2;
        let strip = text[middle..].find(line).unwrap() + middle + 1;
        let figure = text[strip..].find(behind).unwrap();
        let document = Document::new(text, None);
        let mut parts = Parts::new(FileKey::new("bench"));
        parts.update(document.lines().unwrap(), None, &Alone, &Patience::ENDLESS);
        Typing {
            document,
            parts,
            line: text[..strip].lines().count() as u32,
            column: figure as u32,
        }
    }

    /// Puts text in the place of so many characters behind the figure; how many findings there are then.
    fn put(&mut self, text: &str, gone: u32) -> usize {
        let place = |column| Position {
            line: self.line,
            column,
        };
        let change = Change {
            range: Some((place(self.column), place(self.column + gone))),
            text: text.to_owned(),
        };
        let mark = self.document.mark().unwrap();
        self.document
            .apply(vec![change], None, Encoding::Utf16)
            .unwrap();
        let touched = self.document.touched_since(mark);
        let lines = self.document.lines().unwrap();
        self.parts
            .update(lines, touched, &Alone, &Patience::ENDLESS);
        self.parts.findings().len()
    }
}

fn keystroke(c: &mut Criterion) {
    let mut group = c.benchmark_group("keystroke");
    for lines in [200, 2_000, 20_000, 100_000] {
        let text = street(lines);
        let mut typing = Typing::of(&text);
        let quiet = typing.put("", 0);
        assert!(typing.put("1", 0) > quiet, "a cut inside a group");
        assert_eq!(typing.put("", 1), quiet);
        group.bench_function(BenchmarkId::new("typed and taken back", lines), |b| {
            b.iter(|| (typing.put("1", 0), typing.put("", 1)));
        });
        let mut nth = 10_000u32;
        group.bench_function(BenchmarkId::new("typed anew", lines), |b| {
            typing.put("10000", 0);
            b.iter(|| {
                nth = 10_000 + (nth + 1) % 90_000;
                typing.put(&nth.to_string(), 5)
            });
            typing.put("", 5);
        });
        group.sample_size(10);
        group.bench_function(BenchmarkId::new("opened", lines), |b| {
            b.iter_batched(
                || Document::new(&text, None),
                |document| {
                    let mut parts = Parts::new(FileKey::new("bench"));
                    parts.update(
                        black_box(document.lines().unwrap()),
                        None,
                        &Alone,
                        &Patience::ENDLESS,
                    );
                    parts.findings().len()
                },
                BatchSize::PerIteration,
            );
        });
    }
    group.finish();
}

/// A new figure in one circuit, which is solved anew with all its lights.
fn one(c: &mut Criterion) {
    let mut group = c.benchmark_group("one circuit");
    group.sample_size(20);
    for lights in [500, 1_000, 2_000] {
        let mut typing = Typing::at(&one_circuit(lights), "\nlamp", " mm of fine");
        let mut nth = 0u32;
        typing.put("000", 0);
        group.bench_function(BenchmarkId::new("typed anew", lights), |b| {
            b.iter(|| {
                nth = (nth + 1) % 1000;
                typing.put(&format!("{nth:03}"), 3)
            });
        });
        // No figure hangs on a comment: what was solved stays.
        let mut typing = Typing::at(&one_circuit(lights), "\nlamp", "\n");
        typing.put(" # 000", 0);
        group.bench_function(BenchmarkId::new("a comment", lights), |b| {
            b.iter(|| {
                nth = (nth + 1) % 1000;
                typing.put(&format!(" # {nth:03}"), 6)
            });
        });
    }
    group.finish();
}

criterion_group!(benches, keystroke, one);
criterion_main!(benches);
