//! A plan kept in parts through edits says, finding for finding, what a fresh start on the same text says.
//!
//! The first half of the input is the plan, or dice for one; the second half the edits.
#![no_main]

#[path = "../written.rs"]
mod written;

use glimloom::checks::{Analysis, Finding};
use glimloom::parts::{Parts, Patience};
use glimloom::plan::{Alone, FileKey, StanzaId};
use glimloom::text::{Change, Document, Encoding, Lines, Position, Span};
use libfuzzer_sys::fuzz_target;
use written::Dice;

/// A finding in words, with every place in it.
fn told(finding: &Finding, place: impl Fn(StanzaId, Span) -> Span) -> String {
    let related: Vec<(Span, &str)> = finding
        .related
        .iter()
        .map(|(id, span, text)| (place(*id, *span), text.as_str()))
        .collect();
    let at = place(finding.stanza, finding.span);
    let item = finding.item.as_ref().map(|name| &name.0);
    format!(
        "{at:?} {:?} {} {} {related:?} {item:?} {}",
        finding.severity, finding.check, finding.message, finding.unnecessary
    )
}

fn by_whole(text: &str) -> Vec<String> {
    let whole = Analysis::of(FileKey::new("p"), text.into(), &Alone, &|| false);
    let findings = whole.findings.iter();
    findings
        .map(|finding| told(finding, |id, span| whole.plan.in_file(id, span)))
        .collect()
}

fn by_parts(parts: &Parts) -> Vec<String> {
    let findings = parts.findings();
    let findings = findings.iter();
    findings
        .map(|said| told(said.finding, |id, span| said.in_file(id, span)))
        .collect()
}

/// What stands somewhere afterwards: typed, a line end, words of the same text.
fn new_words(dice: &mut Dice, text: &str) -> String {
    match dice.below(6) {
        0 => String::new(),
        1 => dice
            .one_of(&[
                "\n", "\r\n", "\r", " ", ",", "\"", "#", "\u{feff}", "😀", "1", "0", ".",
            ])
            .to_owned(),
        2 => dice
            .one_of(&[
                "lamp x of pearl resistor 560 ohm from s0\n",
                "scene n off i1\n",
                "use \"n\"\n",
                "zone deck\n",
                "link q between i1 and i2\n",
                "harness \"y\" headroom 90 %\n",
                "  accept single-path because \"so\"\n",
            ])
            .to_owned(),
        3 => {
            let from = (dice.below(256) << 4 | dice.below(16)) % (text.len() + 1);
            let to = (from + dice.below(80)).min(text.len());
            text[text.floor_char_boundary(from)..text.floor_char_boundary(to)].to_owned()
        }
        _ => {
            let many = dice.below(12).min(dice.0.len());
            let (typed, rest) = dice.0.split_at(many);
            dice.0 = rest;
            String::from_utf8_lossy(typed).into_owned()
        }
    }
}

fn change(dice: &mut Dice, text: &str) -> Change {
    let lines = Lines::new(text);
    let at = (dice.below(256) << 4 | dice.below(16)) % (text.len() + 1);
    let start = lines.position(at, Encoding::Utf16);
    let mut end = match dice.below(4) {
        0 => Position {
            line: start.line + 1,
            column: 0,
        },
        1 => lines.position((at + dice.below(40)).min(text.len()), Encoding::Utf16),
        _ => start,
    };
    if dice.below(16) == 0 {
        end.column += dice.below(200) as u32;
    }
    Change {
        range: Some((start, end.max(start))),
        text: new_words(dice, text),
    }
}

fuzz_target!(|bytes: &[u8]| {
    let (plan, edits) = bytes.split_at(bytes.len() / 2);
    let plan = match plan.split_first() {
        Some((0x80.., dice)) => written::plan(&mut Dice(dice)),
        _ => String::from_utf8_lossy(plan).into_owned(),
    };
    let mut dice = Dice(edits);
    let mut document = Document::new(&plan, None);
    let mut parts = Parts::new(FileKey::new("p"));
    let mut mark = Default::default();
    for version in 0..12 {
        let (Ok(lines), Ok(text), Ok(now)) = (document.lines(), document.text(), document.mark())
        else {
            return;
        };
        assert!(parts.update(
            lines,
            document.touched_since(mark),
            &Alone,
            &Patience::ENDLESS
        ));
        mark = now;
        let whole = by_whole(text);
        assert_eq!(by_parts(&parts), whole, "{text}");
        // As while nobody writes.
        parts.look_ahead();
        assert_eq!(by_parts(&parts), whole, "{text}, ahead");
        if dice.0.is_empty() {
            return;
        }
        let changes: Vec<Change> = vec![change(&mut dice, text)];
        let _ = document.apply(changes, Some(version), Encoding::Utf16);
    }
});
