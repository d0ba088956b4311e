//! Completion held against whole plans: what a builder wrote is among what would have been offered there, and whatever
//! is offered reads well once it is taken.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use unicode_normalization::UnicodeNormalization;

use super::fill::escaped;
use super::{Offer, OfferKind, Offers, completion};
use crate::checks::Analysis;
use crate::plan::{FileId, FileKey, Plan};
use crate::syntax::expected::{What, expected};
use crate::syntax::tree::{Stanza, TokenKind};
use crate::syntax::vocabulary::{Role, Slot};
use crate::syntax::{read_file, read_stanza};

/// How many words of one plan are tried, spread over it.
const TRIED: usize = 60;

/// The files that plans use, by the path that they write.
type Used = BTreeMap<String, Arc<str>>;

/// The plans that are fine, and the files that they use.
fn plans() -> (Vec<(PathBuf, String)>, Used) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut plans = Vec::new();
    let mut used = BTreeMap::new();
    for folder in ["docs/examples", "tests/plans/good"] {
        let files = std::fs::read_dir(root.join(folder)).unwrap();
        let mut paths: Vec<PathBuf> = files.map(|f| f.unwrap().path()).collect();
        paths.sort();
        for path in paths
            .iter()
            .filter(|p| p.extension().is_some_and(|e| e == "harness"))
        {
            let text = std::fs::read_to_string(path).unwrap();
            let name = path.file_name().unwrap().to_string_lossy();
            used.insert(name.into_owned(), Arc::from(text.as_str()));
            if !path.ends_with("mistakes.harness") {
                plans.push((path.clone(), text));
            }
        }
    }
    (plans, used)
}

/// A plan that is read and not solved: names and words do not depend on figures.
fn read(text: &str, used: &Used) -> Analysis {
    let mut a = Analysis::default();
    a.plan = Plan::of(FileKey::new("plan"), text.into(), used);
    a
}

/// What an entry puts in once its places are left as they are.
fn taken(offer: &Offer) -> String {
    let Some(snippet) = &offer.snippet else {
        return offer.text.clone().unwrap_or_else(|| offer.label.clone());
    };
    let mut text = String::new();
    let mut chars = snippet.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '\\' => text.extend(chars.next()),
            '$' => {
                let mark: String = chars.by_ref().take_while(|c| *c != ':').collect();
                assert!(
                    mark.starts_with('{') && mark[1..].parse::<u32>().is_ok(),
                    "{snippet}"
                );
            }
            '}' => {}
            c => text.push(c),
        }
    }
    text
}

/// The text of the stanza at a place of a file with an entry taken.
fn with(stanza: Range<usize>, text: &str, offers: &Offers, offer: &Offer) -> String {
    let word = offers.word.range();
    let put = taken(offer);
    let (ahead, behind) = (&text[stanza.start..word.start], &text[word.end..stanza.end]);
    format!("{ahead}{put}{behind}")
}

/// The faults of the words of the first stanza of a text; a range that a unit turned upside down is none of them.
fn faults(text: &str) -> Vec<String> {
    let file = read_file(text);
    let Some(first) = file.stanzas.first() else {
        return Vec::new();
    };
    let faults = first.stanza.faults.iter();
    faults
        .filter(|f| !f.message.contains("goes from the least to the greatest"))
        .map(|f| f.message.clone())
        .collect()
}

/// Whether a word at this place of a stanza is one of the language or of the plan, and not the builder's own.
fn can_be_known(stanza: &Stanza, at: u32) -> bool {
    let Some(found) = expected(stanza, at) else {
        return false;
    };
    found.wants.iter().all(|wanted| match wanted.what {
        What::Slot(Slot::Name(role)) => !matches!(
            role,
            Role::Defined | Role::OutputDefined | Role::NeedDefined | Role::WireColour
        ),
        What::Slot(Slot::Text) => false,
        _ => true,
    })
}

#[test]
fn what_was_written_is_among_what_is_offered() {
    let (plans, used) = plans();
    for (path, text) in plans {
        let file = read_file(&text);
        let mut places: Vec<(Range<usize>, Range<usize>)> = Vec::new();
        for placed in &file.stanzas {
            let start = placed.start as usize;
            for token in &placed.stanza.tokens {
                let known = token.span == placed.stanza.word_span
                    || can_be_known(&placed.stanza, token.span.start);
                if token.kind == TokenKind::Word && known {
                    let range = token.span.range();
                    let end = start + placed.stanza.text.len();
                    places.push((start..end, start + range.start..start + range.end));
                }
            }
        }
        let step = places.len().div_ceil(TRIED).max(1);
        for (stanza, word) in places.into_iter().step_by(step) {
            let (from, to) = (word.start, word.end);
            // As long as the word is out.
            let stanza = stanza.start..stanza.end - word.len();
            let word = &text[from..to];
            let without = format!("{}{}", &text[..from], &text[to..]);
            let a = read(&without, &used);
            let shown = || {
                let line = text[..from].rfind('\n').map_or(0, |i| i + 1);
                format!(
                    "{}: `{word}` in {}",
                    path.display(),
                    text[line..].lines().next().unwrap()
                )
            };
            let offers = completion(&a, FileId(0), from).unwrap_or_else(|| panic!("{}", shown()));
            assert!(offers.complete);
            let labels: Vec<&str> = offers.list.iter().map(|o| &*o.label).collect();
            // Names are compared in Unicode form NFC, whatever they are written in.
            let word: &str = &word.nfc().collect::<String>();
            assert!(labels.contains(&word), "{}: {labels:?}", shown());
            // Names and words of choice of its kind in its place read as well as it did. Another unit makes
            // another size, which may be none.
            let own = offers.list.iter().find(|o| o.label == word).unwrap();
            for offer in &offers.list {
                let words = matches!(own.kind, OfferKind::Clause | OfferKind::Stanza);
                let other_unit = own.kind == OfferKind::Unit && offer.label != own.label;
                if words || offer.kind != own.kind || other_unit {
                    continue;
                }
                let faults = faults(&with(stanza.clone(), &without, &offers, offer));
                assert!(
                    faults.is_empty(),
                    "{}, {}: {faults:?}",
                    shown(),
                    offer.label
                );
            }
        }
    }
}

#[test]
fn a_clause_that_is_taken_reads_well() {
    let (plans, used) = plans();
    for (path, text) in plans {
        let file = read_file(&text);
        let step = file.stanzas.len().div_ceil(30).max(1);
        for placed in file.stanzas.iter().step_by(step) {
            if placed.stanza.word.is_none() {
                continue;
            }
            let start = placed.start as usize;
            let end = start + placed.stanza.core_span().end as usize;
            let longer = format!("{} {}", &text[..end], &text[end..]);
            let a = read(&longer, &used);
            let Some(offers) = completion(&a, FileId(0), end + 1) else {
                panic!("{}: {}", path.display(), &text[start..end]);
            };
            for offer in &offers.list {
                let stanza = start..start + placed.stanza.text.len() + 1;
                let text = with(stanza, &longer, &offers, offer);
                let faults = faults(&text);
                assert!(
                    faults.is_empty(),
                    "{}: {}\n{text}: {faults:?}",
                    path.display(),
                    offer.label
                );
            }
        }
    }
}

#[test]
fn a_whole_stanza_that_is_taken_reads_well() {
    let (plans, used) = plans();
    for (path, text) in plans
        .into_iter()
        .chain([(PathBuf::from("empty"), String::new())])
    {
        let longer = format!("{text}\n");
        let a = read(&longer, &used);
        let offers = completion(&a, FileId(0), longer.len()).unwrap();
        let whole = offers.list.iter().filter(|o| o.kind == OfferKind::Whole);
        for offer in whole {
            let stanza = read_stanza(taken(offer).into());
            assert!(
                stanza.faults.is_empty(),
                "{}: {:?}",
                path.display(),
                stanza.faults
            );
            assert_eq!(Some(taken(offer)), offer.text);
            // Where the plan has all that it names, it means something too.
            if let Some((name, _)) = stanza.name() {
                let text = format!("{longer}{}\n", taken(offer));
                let problems = read(&text, &used).plan.problems;
                let taken = problems
                    .iter()
                    .find(|p| p.check == "name-taken" && p.message.contains("twice"));
                assert!(taken.is_none(), "{}: {}", path.display(), name.0);
            }
        }
    }
}

#[test]
fn while_a_plan_is_being_typed() {
    let (plans, used) = plans();
    for (_, text) in plans {
        // All of the short ones; of the long ones as many places, spread over them.
        let step = text.len().div_ceil(80).max(1);
        for (end, _) in text.char_indices().step_by(step) {
            let text = &text[..end];
            let a = read(text, &used);
            let Some(offers) = completion(&a, FileId(0), end) else {
                continue;
            };
            let word = text.get(offers.word.range()).expect("on character borders");
            assert!(!word.contains(['\n', '\r']) && offers.word.touches(end as u32));
            for offer in offers.list {
                assert!(!offer.label.is_empty() && !offer.label.contains('\n'));
            }
        }
    }
}

#[test]
fn a_snippet_keeps_the_text_as_it_is() {
    assert_eq!(escaped("a$1 {b} \\c"), "a\\$1 {b\\} \\\\c");
}
