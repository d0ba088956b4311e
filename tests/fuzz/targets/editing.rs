//! A plan kept in parts through edits says what a fresh start on the same text says.
//!
//! The first half of the input is the plan; the second half is read as edits, five bytes and a few letters each.
#![no_main]

use glimloom::checks::Analysis;
use glimloom::parts::{Parts, Patience};
use glimloom::plan::{Alone, FileKey};
use glimloom::text::{Change, Document, Encoding, Position};
use libfuzzer_sys::fuzz_target;

/// What is found, in words.
fn whole(text: &str) -> Vec<String> {
    let analysis = Analysis::of(FileKey::new("p"), text.into(), &Alone, &|| false);
    let plan = &analysis.plan;
    let told = analysis.findings.iter();
    told.map(|f| format!("{:?} {} {}", plan.in_file(f.stanza, f.span), f.check, f.message))
        .collect()
}

fn kept(parts: &Parts) -> Vec<String> {
    let told = parts.findings();
    told.iter()
        .map(|said| format!("{:?} {} {}", said.span(), said.finding.check, said.finding.message))
        .collect()
}

fn sorted(mut all: Vec<String>) -> Vec<String> {
    all.sort();
    all
}

fuzz_target!(|bytes: &[u8]| {
    let (plan, edits) = bytes.split_at(bytes.len() / 2);
    let mut document = Document::new(&String::from_utf8_lossy(plan), None);
    let mut parts = Parts::new(FileKey::new("p"));
    let mut mark = Default::default();
    for (version, edit) in edits.chunks(12).enumerate().take(12) {
        let number = |k: usize| u32::from(edit.get(k).copied().unwrap_or(0));
        let place = |k: usize| Position { line: number(k) % 40, column: number(k + 1) % 80 };
        let (a, b) = (place(0), place(2));
        let text = String::from_utf8_lossy(edit.get(4..).unwrap_or(&[])).into_owned();
        let change = Change { range: Some((a.min(b), a.max(b))), text };
        let _ = document.apply(vec![change], i32::try_from(version).ok(), Encoding::Utf16);
        let (Ok(lines), Ok(text)) = (document.lines(), document.text()) else { return };
        let touched = document.touched_since(mark);
        assert!(parts.update(lines, touched, &Alone, &Patience::ENDLESS));
        if let Ok(now) = document.mark() {
            mark = now;
        }
        assert_eq!(sorted(kept(&parts)), sorted(whole(text)), "{text}");
    }
});
