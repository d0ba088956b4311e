//! Every feature answers on half-written files, inside the file and on character borders.

use super::{
    actions, colours, completion, definition, feed_tree, folding, highlights, hints, hover, lenses,
    linked, links, organise, references, rename, selection, signature, symbols, tokens,
    type_definition, used_paths, workspace_symbols,
};
use crate::checks::Analysis;
use crate::format;
use crate::plan::{Alone, FileId, FileKey};
use crate::text::{Lines, Span};

/// A plan with something of everything.
const PLAN: &str = "\u{feff}harness \"Å, a 𝄞 boat\"\r\n  scale 1:87  ambient 30 degC\r\n  treat tape-starved as off
use \"stock.harness\"
wire fine
  gauge 32 AWG # thin
  colours red, grün
tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 4 W per m at 12 V
led pearl drops 3.0 V at 20 mA, 2.8 V at 5 mA gives 900 mcd over 30 deg
module flasher works 6 V to 13 V draws 3 mA
  output a 5 V 60 mA flash 1 Hz duty 20 %
  output b 40 mA sinks
  turns a, b
zone deck inside 40 cm2 sealed
zone mast
passage step between deck and mast bore 2 mm
supply cell 12 V capacity 500 mAh
fuse F1 250 mA from cell
joint keel from F1 over 300 mm of fine in deck
strip one of warm 6 lamps from keel over 2 in of fine
strip two of warm 5 lamps from one
string row of pearl 3 lamps resistor 2k2 from keel accept series-string because \"so\"
board blink of flasher from keel
lamp head of pearl resistor 560R from blink.a over 50 mm of fine via step in mast
lamp stern of pearl resistor 560R from keel return to blink.b
load fan takes 0.5 W from keel
link ring between two and keel over 80 mm of fine
pattern wing needs lens
lamp wing.tip of wing.lens resistor 560 ohm from wing
copy port of wing from keel where lens pearl but tip resistor 680 ohm
scene dusk off head, blink.b
stage hull fits keel, one seals deck done 2026-03-14
tried head 17 mA at 9 V
";

fn analysed(text: &str) -> Analysis {
    Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
}

/// Asks everything at every place; whatever comes back lies inside the file, on character borders.
fn ask_everywhere(text: &str) {
    let a = analysed(text);
    let inside = |span: Span| text.get(span.range()).is_some();
    if let Some(action) = organise::organised(&a.plan, FileId(0)) {
        assert!(action.edits.iter().all(|(_, span, _)| inside(*span)));
    }
    for (offset, _) in text.char_indices().chain([(text.len(), ' ')]) {
        if let Some(hover) = hover::hover(&a, FileId(0), offset) {
            assert!(
                inside(hover.span) && !hover.markdown.is_empty(),
                "{offset} in {text}"
            );
        }
        for (file, span) in definition::definition(&a, FileId(0), offset) {
            assert!(file == FileId(0) && inside(span), "{offset} in {text}");
        }
    }
    // These look through the whole plan: some words of each text, other ones in each, and always the last.
    let words = text.match_indices(' ').map(|(offset, _)| offset);
    for offset in words.skip(text.len() % 17).step_by(17).chain([text.len()]) {
        ask_the_ways(&a, text, offset);
    }
    for (offset, _) in text.match_indices(['"', '/', '.', '\n']) {
        let path = completion::paths::path_at(&a, FileId(0), offset);
        assert!(path.is_none_or(|path| inside(path.word)), "{text}");
    }
    for used in used_paths::used_paths(text) {
        assert!(inside(used.span), "{text}");
    }
    let folds = folding::folds(text).into_iter().map(|f| f.span);
    let linked = links::links(&a, FileId(0))
        .into_iter()
        .map(|(span, _)| span);
    let named = workspace_symbols::search(&a, "")
        .into_iter()
        .map(|f| f.span);
    for span in folds.chain(linked).chain(named) {
        assert!(inside(span), "{span:?} in {text}");
    }
    for placed in &a.plan.files[0].tree.stanzas {
        for token in tokens::tokens(&placed.stanza) {
            assert!(
                inside(token.span.shifted(placed.start)),
                "{token:?} in {text}"
            );
        }
    }
    for colour in colours::colours(text) {
        assert!(inside(colour.span), "{colour:?} in {text}");
    }
    for lens in lenses::lenses(text, &lenses::LensKind::ALL.into_iter().collect()) {
        assert!(inside(lens.span), "{lens:?} in {text}");
        // What they say takes its time: some of each text.
        let is_some = lens.span.start as usize % 7 == text.len() % 7;
        if let Some(name) = lens.name.filter(|_| is_some) {
            lenses::title(&a, lens.kind, &name);
            lenses::message(&a, lens.kind, &name);
        }
    }
    assert!(
        lenses::worst(&a).0.is_none_or(|worst| inside(worst.span)),
        "{text}"
    );
    let everything = Span::between(0, text.len());
    let kinds = hints::HintKind::ALL.into_iter().collect();
    for hint in hints::hints(&a, FileId(0), everything, &kinds) {
        assert!(
            text.is_char_boundary(hint.at as usize),
            "{hint:?} in {text}"
        );
        if hint.at as usize % 17 == text.len() % 17 {
            let about = hints::about(&a, FileId(0), hint.at, hint.kind);
            assert!(about.is_some(), "{hint:?} in {text}");
        }
    }
    let edits = format::document(&a.plan.files[0].tree);
    assert!(crate::text::apply(text, &edits).is_ok(), "{text}");
    for edit in format::after_line_end(text, text.len()) {
        assert!(inside(edit.span), "{text}");
    }
    let mut open = symbols::symbols(&a, FileId(0));
    while let Some(symbol) = open.pop() {
        assert!(inside(symbol.span) && inside(symbol.name_span), "{text}");
        open.extend(symbol.children);
    }
}

/// Where names lead to and come from.
fn ask_the_ways(a: &Analysis, text: &str, offset: usize) {
    let file = FileId(0);
    let mut spans: Vec<Span> = Vec::new();
    spans.extend(
        references::references(a, file, offset, true)
            .iter()
            .map(|(_, span)| *span),
    );
    spans.extend(
        highlights::highlights(a, file, offset)
            .iter()
            .map(|(span, _)| *span),
    );
    spans.extend(
        type_definition::type_definition(a, file, offset)
            .iter()
            .map(|(_, span)| *span),
    );
    spans.extend(linked::linked(a, file, offset));
    spans.extend(rename::prepare(a, file, offset).ok().flatten());
    if let Ok(edits) = rename::rename(a, file, offset, "no-other") {
        spans.extend(edits.iter().map(|(_, span, _)| *span));
    }
    for node in feed_tree::prepare(a, file, offset) {
        spans.extend([node.span, node.name_span]);
        let next = feed_tree::feeders(a, &node.name).into_iter();
        let next = next.chain(feed_tree::fed(a, &node.name));
        spans.extend(next.flat_map(|(node, place)| [node.span, node.name_span, place]));
    }
    let grown = selection::selection(&a.plan, &Lines::new(text), file, offset);
    let grows = |pair: &[Span]| pair[0] != pair[1] && pair[1].to(pair[0]) == pair[1];
    assert!(
        !grown.is_empty() && grown.windows(2).all(grows),
        "{grown:?} in {text}"
    );
    spans.extend(grown);
    for span in spans {
        assert!(
            text.get(span.range()).is_some(),
            "{span:?} at {offset} in {text}"
        );
    }
}

/// Asks at one place what can be written there, and what there is to say of it; all of it lies on the cursor's line.
fn ask_what_comes(a: &Analysis, text: &str, offset: usize) {
    if let Some(offers) = completion::completion(a, FileId(0), offset) {
        let word = text.get(offers.word.range()).expect("on character borders");
        assert!(!word.contains(['\n', '\r']), "{offset} in {text}");
        assert!(offers.word.touches(offset as u32), "{offset} in {text}");
        assert!(!offers.list.is_empty());
        for offer in offers.list.iter().take(3) {
            completion::about(a, FileId(0), &offer.about);
        }
    }
    if let Some(form) = signature::signature(a, FileId(0), offset) {
        assert!(form.active < form.places.len(), "{offset} in {text}");
    }
}

#[test]
fn the_whole_plan() {
    ask_everywhere(PLAN);
    let a = analysed(PLAN);
    for (offset, _) in PLAN.char_indices() {
        if offset % 5 == 0 {
            ask_what_comes(&a, PLAN, offset);
        }
    }
    let everything = Span::new(0, PLAN.len() as u32);
    let asked = actions::Asked {
        span: everything,
        ..actions::ASKED
    };
    for action in actions::actions(&a, &asked).actions {
        assert!(!action.title.is_empty() && !action.edits.is_empty());
        for (_, span, _) in action.edits {
            assert!(PLAN.get(span.range()).is_some());
        }
    }
}

#[test]
fn without_any_one_line() {
    let lines: Vec<&str> = PLAN.split_inclusive('\n').collect();
    for gone in 0..lines.len() {
        let kept = lines.iter().enumerate().filter(|(i, _)| *i != gone);
        ask_everywhere(&kept.map(|(_, line)| *line).collect::<String>());
    }
}

#[test]
fn while_it_is_being_typed() {
    // Every seventh character is enough to stop in each kind of word; the whole would take long.
    for (end, _) in PLAN.char_indices().step_by(7) {
        ask_everywhere(&PLAN[..end]);
        ask_what_comes(&analysed(&PLAN[..end]), &PLAN[..end], end);
    }
}

#[test]
fn a_long_chain_is_no_deep_tree() {
    let mut plan = String::from("supply s 12 V\njoint j0 from s\n");
    for n in 1..2000 {
        plan.push_str(&format!("joint j{n} from j{}\n", n - 1));
    }
    let a = analysed(&plan);
    let outline = symbols::symbols(&a, FileId(0));
    let (mut deepest, mut all) = (0, 0);
    let mut open: Vec<_> = outline.iter().map(|s| (s, 1)).collect();
    while let Some((symbol, depth)) = open.pop() {
        deepest = deepest.max(depth);
        all += 1;
        open.extend(symbol.children.iter().map(|c| (c, depth + 1)));
    }
    assert_eq!(all, 2001);
    assert!(deepest <= 32, "{deepest}");
}

/// At the start of a line of some texts, cut off at some places.
#[test]
fn refactorings_lie_inside() {
    let mut offered = 0;
    for (end, _) in PLAN.char_indices().skip(700).step_by(61) {
        let text = &PLAN[..end];
        let a = analysed(text);
        let lines = text.match_indices('\n').map(|(at, _)| at as u32 + 1);
        for at in lines {
            let asked = actions::Asked {
                span: Span::new(at, at),
                wants: &|kind| kind == actions::ActionKind::Refactor,
                ..actions::ASKED
            };
            for action in actions::actions(&a, &asked).actions {
                offered += 1;
                assert!(!action.edits.is_empty(), "{}", action.title);
                for (_, span, _) in action.edits {
                    assert!(text.get(span.range()).is_some(), "{}", action.title);
                }
            }
        }
    }
    assert!(offered > 5, "{offered}");
}
