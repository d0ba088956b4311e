//! Answers from the part of a plan that is asked about, where that is all that there is to know; else from the whole.

use std::collections::{BTreeSet, HashSet};
use std::sync::Arc;

use super::plans::Here;
use crate::checks::Analysis;
use crate::editor::actions::{self, ActionKind, Answers, Asked};
use crate::editor::completion::{self, About, OfferKind, Offers};
use crate::editor::hints::{self, Hint, HintKind, Hinting};
use crate::editor::hover::{self, Hover};
use crate::editor::lenses::{self, Worst};
use crate::editor::mentions::Mentions;
use crate::editor::signature::{self, Signature};
use crate::editor::symbols::{Symbol, SymbolKind, symbols};
use crate::editor::target;
use crate::editor::{definition, highlights, linked, references, rename, type_definition};
use crate::parts::{Stop, View};
use crate::plan::{Edit, FileId, Plan, StanzaId};
use crate::rewrites::changed_texts;
use crate::syntax::read_file_reusing;
use crate::syntax::tree::Fault;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// The part of the plan that a place is in, and the place in it.
fn part(here: &Here, offset: usize) -> Option<(View, usize)> {
    let view = here.plan.view(here.file, offset)?;
    let within = view.inward(here.file, offset)?;
    Some((view, within))
}

/// The same for somebody who must not wait; `None` where it takes time, too.
fn part_at_once(here: &Here, offset: usize) -> Option<(View, usize)> {
    let view = here.plan.view_at_once(here.file, offset)?;
    let within = view.inward(here.file, offset)?;
    Some((view, within))
}

/// What to show at a place.
pub fn hover(here: &Here, offset: usize) -> Option<Hover> {
    let whole = || hover::hover(&here.plan.analysis, here.file, offset);
    hover_in(here.file, part(here, offset)).unwrap_or_else(whole)
}

/// The same, where it takes no time to say.
pub fn hover_at_once(here: &Here, offset: usize) -> Option<Option<Hover>> {
    hover_in(here.file, part_at_once(here, offset))
}

/// What to show at a place of a part; `None` where the whole has to be asked.
fn hover_in(file: FileId, part: Option<(View, usize)>) -> Option<Option<Hover>> {
    let (view, within) = part.filter(|(view, at)| !is_of_stock(view, file, *at))?;
    let hover = hover::hover(&view.analysis, file, within);
    Some(hover.map(|hover| Hover {
        span: view.outward(file, hover.span),
        ..hover
    }))
}

/// Whether a name of the stock stands there: what there is to say of that, the whole plan says.
fn is_of_stock(view: &View, file: FileId, within: usize) -> bool {
    let spot = target::at(&view.analysis.plan, file, within);
    let on = spot.map(|spot| spot.on);
    matches!(on, Some(target::On::Name { definition, .. }) if definition.word.is_stock())
}

/// The part that a place is in, unless the place is common to all parts.
fn own_part(here: &Here, offset: usize) -> Option<(View, usize)> {
    let narrow = u32::try_from(offset).ok()?;
    part(here, offset).filter(|(view, _)| !view.is_common(here.file, narrow))
}

/// The same, where all that mentions what is named there is of the part, too: it is not defined by what is common.
fn part_of_name(here: &Here, offset: usize) -> Option<(View, usize)> {
    let is_own = |view: &View, within: usize| {
        let mentions = Mentions::new(&view.analysis.plan);
        let things = mentions.at(here.file, within);
        let mut defined = things.iter().map(|m| mentions.definition(&m.thing));
        defined.all(|at| at.is_some_and(|(stanza, _)| view.is_own(stanza)))
    };
    own_part(here, offset).filter(|(view, within)| is_own(view, *within))
}

/// The places that are told of one: by this part where there is one, else by the whole.
fn places(
    here: &Here,
    part: Option<(View, usize)>,
    offset: usize,
    tell: impl Fn(&Analysis, FileId, usize) -> Vec<(FileId, Span)>,
) -> Vec<(FileId, Span)> {
    let Some((view, within)) = part else {
        return tell(&here.plan.analysis, here.file, offset);
    };
    let places = tell(&view.analysis, here.file, within).into_iter();
    let mut places: Vec<(FileId, Span)> = places
        .map(|(file, span)| (file, view.outward(file, span)))
        .collect();
    places.sort();
    places
}

/// Where the word at a place is defined.
pub fn definition(here: &Here, offset: usize) -> Vec<(FileId, Span)> {
    places(here, own_part(here, offset), offset, definition::definition)
}

/// What the thing at a place is made of.
pub fn type_definition(here: &Here, offset: usize) -> Vec<(FileId, Span)> {
    let told = type_definition::type_definition;
    places(here, own_part(here, offset), offset, told)
}

/// The places of the plan that mention the thing.
pub fn references(here: &Here, offset: usize, defined: bool) -> Vec<(FileId, Span)> {
    let told = |a: &Analysis, file, at| references::references(a, file, at, defined);
    places(here, part_of_name(here, offset), offset, told)
}

/// The places of the file that mention the thing; whether they define it.
pub fn highlights(here: &Here, offset: usize) -> Vec<(Span, bool)> {
    let Some((view, within)) = part_of_name(here, offset) else {
        return highlights::highlights(&here.plan.analysis, here.file, offset);
    };
    let found = highlights::highlights(&view.analysis, here.file, within).into_iter();
    let mut found: Vec<(Span, bool)> = found
        .map(|(span, defines)| (view.outward(here.file, span), defines))
        .collect();
    found.sort_by_key(|(span, _)| *span);
    found
}

/// The places that change while one of them is typed over.
pub fn linked(here: &Here, offset: usize) -> Vec<Span> {
    let Some((view, within)) = part_of_name(here, offset) else {
        return linked::linked(&here.plan.analysis, here.file, offset);
    };
    let found = linked::linked(&view.analysis, here.file, within).into_iter();
    let mut found: Vec<Span> = found.map(|span| view.outward(here.file, span)).collect();
    found.sort();
    found
}

/// What would be renamed; the error says why it cannot be.
pub fn prepare_rename(here: &Here, offset: usize) -> Result<Option<Span>, String> {
    match own_part(here, offset) {
        Some((view, within)) => rename::prepare(&view.analysis, here.file, within)
            .map(|span| span.map(|span| view.outward(here.file, span))),
        None => rename::prepare(&here.plan.analysis, here.file, offset),
    }
}

/// What can be written at a place.
pub fn completion(here: &Here, offset: usize) -> Option<Offers> {
    let whole = || completion::completion(&here.plan.analysis, here.file, offset);
    completion_in(here, offset, false).or_else(whole)
}

/// The same, where it takes no time to say; `None` where it does, or nothing can be written.
pub fn completion_at_once(here: &Here, offset: usize) -> Option<Offers> {
    completion_in(here, offset, true)
}

/// What can be written at a place of a part; `None` where the whole has to be asked.
fn completion_in(here: &Here, offset: usize, at_once: bool) -> Option<Offers> {
    let file = here.file;
    let part = match at_once {
        true => part_at_once(here, offset),
        false => part(here, offset),
    };
    // What is fed from nowhere yet may be fed from any part.
    let is_fed = |view: &View| {
        let items = &view.analysis.plan.items;
        items.iter().any(|item| item.word == StanzaWord::Supply)
    };
    let (view, within) = part.filter(|(view, _)| is_fed(view))?;
    let around = here.plan.around(file, offset, at_once)?;
    let offers = completion::in_part(&view.analysis, Some(&around), file, within)?;
    let is_known = !offers.list.is_empty() && offers.list.iter().all(|o| is_everywhere(o.kind));
    is_known.then(|| outward(&view, file, offers))
}

/// What there is to say of something that was offered.
pub fn about(here: &Here, what: &About, stop: Stop) -> Option<String> {
    match what {
        About::Name(_) => completion::about(&here.plan.analysis, here.file, what),
        About::Figure(at, text) => {
            let place = Span::new(*at, *at);
            match here.plan.view_to_change(here.file, place, stop) {
                Some(view) => {
                    let within = view.inward(here.file, *at as usize)?;
                    let within = About::Figure(u32::try_from(within).ok()?, text.clone());
                    completion::about(&view.analysis, here.file, &within)
                }
                None => completion::about(&here.plan.analysis, here.file, what),
            }
        }
        _ => completion::of_language(what),
    }
}

/// Whether every part, with what stands around, knows of all that is of this kind. The names of other parts it does not know.
fn is_everywhere(kind: OfferKind) -> bool {
    matches!(
        kind,
        OfferKind::Clause
            | OfferKind::Choice
            | OfferKind::Stock
            | OfferKind::Check
            | OfferKind::Value
            | OfferKind::Unit
    )
}

fn outward(view: &View, file: FileId, mut offers: Offers) -> Offers {
    offers.word = view.outward(file, offers.word);
    for offer in &mut offers.list {
        if let About::Figure(at, _) = &mut offer.about {
            *at = view.outward(file, Span::new(*at, *at)).start;
        }
    }
    offers
}

/// The form that is being written at a place.
pub fn signature(here: &Here, offset: usize) -> Option<Signature> {
    match part(here, offset) {
        Some((view, within)) => signature::signature(&view.analysis, here.file, within),
        None => signature::signature(&here.plan.analysis, here.file, offset),
    }
}

/// The hints in a stretch of a file; `None` where it was stopped.
pub fn hints(here: &Here, span: Span, kinds: &hints::Kinds, stop: Stop) -> Option<Vec<Hint>> {
    let (plan, file) = (&here.plan, here.file);
    if !plan.has_parts() {
        return Some(hints::hints(&plan.analysis, file, span, kinds));
    }
    let lines = plan.lines(file);
    let first = lines.line_of(span.start as usize);
    let last = lines.line_of(span.end as usize);
    let start = |line| {
        lines.offset(
            crate::text::Position { line, column: 0 },
            Default::default(),
        )
    };
    let lines = (first..=last).filter_map(|line| u32::try_from(line).ok());
    let mut views: Vec<View> = Vec::new();
    // The stanzas that begin or go on in each line; the part of each was looked at for one of them.
    let mut stanzas: Vec<(usize, StanzaId)> = Vec::new();
    for offset in lines.map(start) {
        if stop() {
            return None;
        }
        let known = views.iter().enumerate().rev();
        let mut known =
            known.filter_map(|(nth, view)| Some((nth, own_stanza(view, file, offset)?)));
        let found = known.next().or_else(|| {
            let view = plan.view(file, offset)?;
            let found = own_stanza(&view, file, offset)?;
            views.push(view);
            Some((views.len() - 1, found))
        });
        stanzas.extend(found.filter(|found| stanzas.last() != Some(found)));
    }
    let mut all = Vec::new();
    for (nth, view) in views.iter().enumerate() {
        let hinting = Hinting::of(&view.analysis);
        let own: HashSet<StanzaId> = stanzas
            .iter()
            .filter(|(of, _)| *of == nth)
            .map(|(_, id)| *id)
            .collect();
        all.extend(
            own.into_iter()
                .flat_map(|id| hinting.hints(id, kinds))
                .map(|hint| Hint {
                    at: end_outward(view, file, hint.at),
                    ..hint
                }),
        );
    }
    all.retain(|hint| span.touches(hint.at));
    all.sort_by_key(|hint| (hint.at, hint.kind));
    // A plan that is one part has no other parts than those that are kept.
    match plan.is_in_parts() || plan.is_current() {
        true => Some(all),
        false => Some(hints::hints(&plan.analysis, file, span, kinds)),
    }
}

/// The stanza of a part, not one of what is common, that a byte of the file is in.
fn own_stanza(view: &View, file: FileId, offset: usize) -> Option<StanzaId> {
    let narrow = u32::try_from(offset).ok()?;
    let within = u32::try_from(view.inward(file, offset)?).ok()?;
    let id = view.analysis.plan.stanza_at(file, within)?;
    let start = view.analysis.plan.in_file(id, Span::default()).start;
    // The end of one stanza is the beginning of the next, which may be another part's.
    let is_it = view.outward(file, Span::new(start, start)).start + (within - start) == narrow;
    (is_it && !view.is_common(file, narrow)).then_some(id)
}

/// The end of words of a part as a place of the file.
fn end_outward(view: &View, file: FileId, at: u32) -> u32 {
    view.outward(file, Span::new(at.saturating_sub(1), at)).end
}

/// What more there is to say of a hint.
pub fn about_hint(here: &Here, at: u32, kind: HintKind) -> Option<String> {
    // The place is the end of words: the part is that of the last of them.
    match part(here, at.checked_sub(1)? as usize) {
        Some((view, within)) => {
            let within = u32::try_from(within).ok()? + 1;
            hints::about(&view.analysis, here.file, within, kind)
        }
        None => hints::about(&here.plan.analysis, here.file, at, kind),
    }
}

/// What the lens of an item says, or its click tells, by the place of its name.
pub fn of_lens(
    here: &Here,
    offset: usize,
    say: impl Fn(&crate::checks::Analysis) -> Option<String>,
) -> Option<String> {
    match part(here, offset) {
        Some((view, _)) => say(&view.analysis),
        None => say(&here.plan.analysis),
    }
}

/// Asks the part that a place is in, or the whole, of that place.
pub fn at<T>(
    here: &Here,
    offset: usize,
    ask: impl Fn(&crate::checks::Analysis, u32) -> Option<T>,
) -> Option<T> {
    match part(here, offset) {
        Some((view, within)) => ask(&view.analysis, u32::try_from(within).ok()?),
        None => ask(&here.plan.analysis, u32::try_from(offset).ok()?),
    }
}

/// Asks the part that a place is in; `None` where it is in none.
pub fn of_part<T>(here: &Here, offset: usize, say: impl Fn(&Analysis) -> T) -> Option<T> {
    part(here, offset).map(|(view, _)| say(&view.analysis))
}

/// The break of the plan that darkens most lights; of several, the first.
pub fn worst(here: &Here, stop: Stop) -> Option<Worst> {
    let each = here.plan.each_part(|view, _| {
        if stop() {
            return (None, 0);
        }
        let (found, own) = lenses::worst(&view.analysis);
        let found = found.map(|found| Worst {
            span: view.outward(found.file, found.span),
            ..found
        });
        (found, own)
    });
    let Some(each) = each else {
        return lenses::worst(&here.plan.analysis).0;
    };
    let lights = each.iter().map(|(_, own)| own).sum();
    let order = |worst: &Worst| (std::cmp::Reverse(worst.dark), worst.file, worst.span);
    let worst = each
        .into_iter()
        .filter_map(|(found, _)| found)
        .min_by_key(order);
    worst.map(|worst| Worst { lights, ..worst })
}

/// What may be done at a place, worked out from its part.
pub struct Changes {
    /// The answers, with edits of the file.
    pub answers: Answers,
    /// The part; what an action mends is one of its findings.
    pub view: View,
}

/// What may be done at a place; `None` where that takes the whole plan: what is wanted is of the whole, or an action would change
/// what is common to all parts, or give a name that another part has.
pub fn actions(here: &Here, asked: &Asked) -> Option<Changes> {
    let of_the_whole = [ActionKind::FixAll, ActionKind::Organise];
    if of_the_whole.into_iter().any(|kind| (asked.wants)(kind)) {
        return None;
    }
    let view = here
        .plan
        .view_to_change(here.file, asked.span, asked.stop)?;
    if asks_for_a_feed(&view, asked.file, asked.span) {
        return None;
    }
    let place = |at: u32| view.inward(here.file, at as usize);
    let span = Span::between(place(asked.span.start)?, place(asked.span.end)?);
    let inward = |at: &Span| Some(Span::between(place(at.start)?, place(at.end)?));
    let named: Vec<Span> = asked.named.iter().filter_map(inward).collect();
    let within = Asked {
        span,
        named: &named,
        ..*asked
    };
    let mut answers = actions::as_worked_out(&view.analysis, &within);
    let mut new = BTreeSet::new();
    for action in &mut answers.actions {
        new.extend(new_names(&view.analysis.plan, &action.by_stanza));
        let edits = action.by_stanza.iter();
        let edits = edits.map(|edit| {
            let file = edit.stanza.file;
            Some((file, view.placed(edit)?, edit.text.clone()))
        });
        action.edits = edits.collect::<Option<_>>()?;
        if action.edits.is_empty() {
            return None;
        }
    }
    let lines = |file| here.plan.lines(file).clone();
    actions::lay_in_rows(&mut answers.actions, &lines);
    let free = here.plan.are_free(here.file, asked.span.start, &new);
    free.then_some(Changes { answers, view })
}

/// Whether a stanza there does not say what feeds it, or says it by a name that is nearly like none: what likely does may stand
/// in any part.
pub(super) fn asks_for_a_feed(view: &View, file: FileId, span: Span) -> bool {
    let plan = &view.analysis.plan;
    let mut asking = plan.problems.iter().filter(|problem| {
        let stanza = plan.stanza(problem.stanza);
        let lacks = |fault: &Fault| fault.lacks == Some("from");
        let mut words = problem.mends.iter().flat_map(|mend| &mend.edits);
        let is_near = words.any(|edit| edit.span == problem.span);
        stanza.faults.iter().any(lacks) || problem.check == "unknown-name" && !is_near
    });
    asking.any(|problem| {
        let stanza = plan.stanza(problem.stanza);
        let own = Span::between(0, stanza.text.len());
        problem.stanza.file == file && view.in_file(problem.stanza, own).meets(span)
    })
}

/// The names that a change of a plan brings in.
fn new_names(plan: &Plan, edits: &[Edit]) -> Vec<Arc<str>> {
    let texts = changed_texts(plan, edits).unwrap_or_default();
    let texts = texts.into_iter();
    let stanzas = texts.flat_map(|(file, text)| {
        let before = plan.files.get(file.0).map(|file| &file.tree);
        let after = before.map(|before| read_file_reusing(&text, before));
        after.unwrap_or_default().stanzas
    });
    let names = stanzas.filter_map(|placed| {
        let (name, _) = placed.stanza.name()?;
        (!plan.names.contains_key(name)).then(|| name.0.clone())
    });
    names.collect()
}

/// The outline of the file.
pub fn outline(here: &Here) -> Vec<Symbol> {
    let each = here.plan.each_part(|view, is_rest| {
        let own = |child: &Symbol| is_rest || !view.is_common(here.file, child.name_span.start);
        let symbols = symbols(&view.analysis, here.file).into_iter();
        let moved = symbols.map(|symbol| {
            let mut symbol = moved(symbol, view, here.file);
            if symbol.kind != SymbolKind::Item {
                symbol.children.retain(own);
            }
            symbol
        });
        moved.collect::<Vec<Symbol>>()
    });
    let Some(each) = each else {
        return symbols(&here.plan.analysis, here.file);
    };
    let mut power: Vec<Symbol> = Vec::new();
    let mut groups: Vec<Symbol> = Vec::new();
    for symbol in each.into_iter().flatten() {
        if symbol.kind == SymbolKind::Item {
            power.push(symbol);
            continue;
        }
        match groups.iter_mut().find(|group| group.kind == symbol.kind) {
            Some(group) => group.children.extend(symbol.children),
            None => groups.push(symbol),
        }
    }
    power.sort_by_key(|symbol| symbol.span);
    groups.sort_by_key(|group| match group.kind {
        SymbolKind::Pattern => 0,
        SymbolKind::Stock => 1,
        SymbolKind::Place => 2,
        _ => 3,
    });
    let groups = groups.into_iter().filter_map(|mut group| {
        group.children.sort_by_key(|child| child.span);
        let first = group.children.first()?;
        group.name_span = first.name_span;
        let spans = group.children.iter().map(|child| child.span);
        group.span = spans.fold(first.span, Span::to);
        Some(group)
    });
    power.into_iter().chain(groups).collect()
}

fn moved(symbol: Symbol, view: &View, file: FileId) -> Symbol {
    let children = symbol.children.into_iter();
    Symbol {
        span: view.outward(file, symbol.span),
        name_span: view.outward(file, symbol.name_span),
        children: children.map(|child| moved(child, view, file)).collect(),
        ..symbol
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crate::editor::completion::Offer;
    use tower_lsp::lsp_types::Url;

    use super::super::keys::key_of;
    use super::super::session::Session;
    use super::*;
    use crate::editor::lenses::LensKind;

    /// A street of houses, one with a name that leads nowhere.
    fn street() -> String {
        let mut text = include_str!("../parts/street.head.harness").to_owned();
        for k in 1..=4 {
            text += &include_str!("../parts/street.unit.harness").replace("{k}", &k.to_string());
        }
        text.replace("from keel-3 over 50", "from kel-3 over 50")
            .replace("adapter-2 12 V", "adapter-2 11 V")
    }

    fn here(text: &str) -> Here {
        let session = Session::default();
        let uri = Url::parse("untitled:street").unwrap();
        session.open(uri.clone(), text, 1).unwrap();
        session.snapshot().here(&uri, &|| false).unwrap()
    }

    /// The same street, its stock in one file that the plan uses, and some of its houses in another; all of them with their texts.
    fn in_files() -> Vec<(Here, String)> {
        let text = street();
        let houses = text.find("supply adapter-1").unwrap();
        let more = text.find("supply adapter-3").unwrap();
        let uses = |name: &str| format!("use \"{name}.harness\"\n");
        let own = uses("stock") + &text[houses..more] + &uses("houses");
        let files = [
            ("plan", own.as_str()),
            ("stock", &text[..houses]),
            ("houses", &text[more..]),
        ];
        let uri = |name| Url::parse(&format!("file:///no-such-folder/{name}.harness")).unwrap();
        let session = Session::default();
        for (name, text) in files {
            session.open(uri(name), text, 1).unwrap();
        }
        let here = |name| session.snapshot().here(&uri(name), &|| false).unwrap();
        files
            .map(|(name, text)| (here(name), text.to_owned()))
            .into()
    }

    /// The street in one file, and in several.
    fn streets() -> Vec<(Here, String)> {
        let mut all = in_files();
        all.push((here(&street()), street()));
        all
    }

    /// Who asks about a moment that is past does not take from the one that is now what is known of it.
    #[test]
    fn what_is_asked_about_the_past_leaves_the_present_as_it_is() {
        let session = Session::default();
        let uri = |name: &str| Url::parse(&format!("untitled:{name}")).unwrap();
        let key = key_of(&uri("street"));
        session.open(uri("street"), &street(), 1).unwrap();
        session.snapshot().here(&uri("street"), &|| false).unwrap();
        let moments: Vec<_> = (2..9)
            .map(|version| {
                let before = session.snapshot();
                let start = crate::text::Position { line: 0, column: 0 };
                let change = crate::text::Change {
                    range: Some((start, start)),
                    text: "#\n".into(),
                };
                session.edit(&key, vec![change], version).unwrap().unwrap();
                before
            })
            .collect();
        session.open(uri("other"), &street(), 1).unwrap();
        let now = session.snapshot();
        let plans = ["street", "other"].map(|name| now.here(&uri(name), &|| false).unwrap());
        for past in moments.iter().rev() {
            let then = past.here(&uri("street"), &|| false).unwrap();
            let middle = then.plan.lines(then.file).bytes() / 2;
            assert!(then.plan.view(then.file, middle).is_some());
            assert_eq!(outline(&then).len(), outline(&plans[0]).len());
            for here in &plans {
                assert!(here.plan.is_current());
                let offset = street().len() / 2;
                assert!(here.plan.view(here.file, offset).is_some());
            }
        }
    }

    #[test]
    fn houses_in_several_files_are_parts() {
        let mut parts = 0;
        let all = in_files();
        assert_eq!(all.iter().map(|(here, _)| here.file.0).max(), Some(2));
        for (here, text) in all {
            assert!(here.plan.is_in_parts() && here.plan.keys().count() == 3);
            assert_eq!(here.plan.lines(here.file).bytes(), text.len());
            parts += text
                .match_indices("\nstrip")
                .filter(|(at, _)| part(&here, at + 1).is_some())
                .count();
        }
        assert_eq!(parts, street().match_indices("\nstrip").count());
    }

    #[test]
    fn hover_on_a_part_is_hover_on_the_whole() {
        for (here, text) in streets() {
            let mut in_parts = 0;
            for offset in (0..text.len()).filter(|&at| text.is_char_boundary(at)) {
                in_parts += usize::from(part(&here, offset).is_some());
                let whole = hover::hover(&here.plan.analysis, here.file, offset);
                assert_eq!(hover(&here, offset), whole, "at {offset}");
            }
            let is_stock = !text.contains("adapter");
            assert!(
                is_stock || in_parts > text.len() / 2,
                "{in_parts} of {}",
                text.len()
            );
        }
    }

    #[test]
    fn where_names_lead_from_a_part_is_where_they_lead_in_the_whole() {
        let examples = [
            include_str!("../../docs/examples/lock-harbour.harness"),
            include_str!("../../docs/examples/night-ferry.harness"),
            include_str!("../../docs/examples/station-street.harness"),
            include_str!("../../docs/examples/tanker-yard.harness"),
        ];
        let mut all = streets();
        all.extend(examples.map(|text| (here(text), text.to_owned())));
        let mut in_parts = 0;
        for (here, text) in all {
            let whole = &*here.plan.analysis;
            let file = here.file;
            let sorted = |mut places: Vec<(FileId, Span)>| {
                places.sort();
                places
            };
            for at in (0..text.len()).filter(|&at| text.is_char_boundary(at)) {
                in_parts += usize::from(own_part(&here, at).is_some());
                let defined = definition::definition(whole, file, at);
                assert_eq!(definition(&here, at), sorted(defined), "at {at}");
                let made_of = type_definition::type_definition(whole, file, at);
                assert_eq!(type_definition(&here, at), sorted(made_of), "at {at}");
                for defined in [false, true] {
                    let places = references::references(whole, file, at, defined);
                    assert_eq!(references(&here, at, defined), sorted(places), "at {at}");
                }
                let mut places = highlights::highlights(whole, file, at);
                places.sort_by_key(|(span, _)| *span);
                assert_eq!(highlights(&here, at), places, "at {at}");
                let mut places = linked::linked(whole, file, at);
                places.sort();
                assert_eq!(linked(&here, at), places, "at {at}");
                assert_eq!(
                    prepare_rename(&here, at),
                    rename::prepare(whole, file, at),
                    "at {at}"
                );
            }
        }
        assert!(in_parts > 1000, "{in_parts}");
    }

    #[test]
    fn what_a_part_says_of_an_offer_is_what_the_whole_says() {
        let text = street();
        let here = here(&text);
        let places = text.match_indices("560 ohm").map(|(at, _)| at as u32);
        let places: Vec<u32> = places.collect();
        let mut said = 0;
        assert!(here.plan.is_in_parts());
        for (at, figure) in places
            .into_iter()
            .zip(["470", "680", "1k", "33"].into_iter().cycle())
        {
            let what = About::Figure(at, figure.to_owned());
            let whole = completion::about(&here.plan.analysis, here.file, &what);
            said += usize::from(whole.is_some());
            assert_eq!(about(&here, &what, &|| false), whole, "at {at}");
        }
        assert!(said > 2, "{said}");
    }

    /// Figures too: those that stand above are of any part.
    #[test]
    fn completion_in_a_part_offers_what_the_whole_does() {
        for (k, (here, text)) in streets().into_iter().enumerate() {
            // One that stands alone at each place, the others at every third.
            let step = if k == 3 { 1 } else { 3 };
            let places = (0..text.len()).step_by(step);
            for offset in places.filter(|&at| text.is_char_boundary(at)) {
                same_completion(&here, offset);
                let whole = signature::signature(&here.plan.analysis, here.file, offset);
                assert_eq!(signature(&here, offset), whole, "at {offset}");
            }
        }
    }

    fn same_completion(here: &Here, offset: usize) {
        let whole = completion::completion(&here.plan.analysis, here.file, offset);
        let offers = completion(here, offset);
        assert_eq!(offers.is_some(), whole.is_some(), "at {offset}");
        let (Some(offers), Some(whole)) = (offers, whole) else {
            return;
        };
        assert_eq!(offers.word, whole.word, "at {offset}");
        // Of the checks, the part ranks its own findings first, silenced ones among them.
        let is_check = |o: &Offer| o.kind == OfferKind::Check;
        let checks = |offers: &Offers| -> BTreeSet<String> {
            let list = offers.list.iter().filter(|o| is_check(o));
            list.map(|o| o.label.clone()).collect()
        };
        assert_eq!(checks(&offers), checks(&whole), "at {offset}");
        let labels = |offers: &Offers| -> Vec<(String, String)> {
            let others = offers.list.iter().filter(|o| !is_check(o));
            let told = others.map(|o| match o.kind {
                // Of names that are filled in, those of the part's own wiring are the likelier ones.
                OfferKind::Clause => (o.label.clone(), String::new()),
                _ => (o.label.clone(), o.detail.clone()),
            });
            told.collect()
        };
        assert_eq!(labels(&offers), labels(&whole), "at {offset}");
    }

    /// Pairs of the project's plans in one file, asked behind each word of some stanzas.
    #[test]
    fn completion_in_plans_of_the_project() {
        let plans = crate::parts::tests::plans();
        let mut in_parts = 0;
        for (k, (_, text)) in plans.iter().enumerate().step_by(3) {
            let (_, more) = &plans[(k * 7 + 13) % plans.len()];
            if text.len() > 6000 || more.len() > 6000 {
                continue;
            }
            let both = format!("{text}\n{}", crate::parts::tests::renamed(more, "zz"));
            let found = here(&both);
            let blanks = both.match_indices(' ').map(|(at, _)| at + 1);
            for offset in blanks.step_by(5) {
                in_parts += usize::from(completion_in(&found, offset, false).is_some());
                same_completion(&found, offset);
            }
        }
        assert!(in_parts > 100, "{in_parts}");
    }

    /// A zone and a passage of another part can be named, and what stands above there is as good as one's own.
    #[test]
    fn completion_knows_of_what_stands_around() {
        let text = "\
zone hall
zone yard
passage gap between hall and yard bore 3 mm
wire fine gauge 32 AWG insulation enamel colours red, green
led d drops 2 V at 10 mA
supply box 12 V in hall
lamp b of d resistor 680 ohm from box over 10 mm of fine via gap in yard
supply two 5 V
lamp a of d resistor 150 ohm from two over 20 mm of fine 
";
        let here = here(text);
        assert!(here.plan.has_parts());
        let end = text.len() - 1;
        let behind = |words: &str| text.rfind(words).unwrap() + words.len();
        for (offset, label, detail) in [
            (end, "in", "in yard"),
            (end, "via", "via gap"),
            (behind("from two over "), "10 mm", "as above"),
        ] {
            let offers = completion_in(&here, offset, false).unwrap();
            let found = offers.list.iter().find(|o| o.label == label);
            let found = found.unwrap_or_else(|| panic!("{label} in {offers:?}"));
            assert_eq!(found.detail, detail);
            same_completion(&here, offset);
        }
    }

    #[test]
    fn hints_of_the_parts_are_those_of_the_whole() {
        let mut count = 0;
        for (here, text) in streets() {
            assert!(here.plan.has_parts());
            let kinds: hints::Kinds = HintKind::ALL.into_iter().collect();
            let span = |from: usize, to: usize| Span::between(from, to.min(text.len()));
            let spans = (0..text.len())
                .step_by(97)
                .map(|from| span(from, from + 400));
            for span in spans.chain([span(0, text.len()), span(7, 7)]) {
                let whole = hints::hints(&here.plan.analysis, here.file, span, &kinds);
                assert_eq!(
                    hints(&here, span, &kinds, &|| false),
                    Some(whole),
                    "{span:?}"
                );
            }
            let whole = hints::hints(&here.plan.analysis, here.file, span(0, text.len()), &kinds);
            count += whole.len();
            for Hint { at, kind, .. } in whole {
                let about = hints::about(&here.plan.analysis, here.file, at, kind);
                assert_eq!(about_hint(&here, at, kind), about, "{kind:?} at {at}");
            }
        }
        assert!(count > 80, "{count}");
    }

    #[test]
    fn lenses_of_the_parts_are_those_of_the_whole() {
        let mut count = 0;
        for (here, text) in streets() {
            let all = lenses::lenses(&text, &LensKind::ALL.into_iter().collect());
            count += all.len();
            for lens in &all {
                let Some(name) = &lens.name else { continue };
                for say in [lenses::title, lenses::message] {
                    let whole = say(&here.plan.analysis, lens.kind, name);
                    let part =
                        of_lens(&here, lens.span.start as usize, |a| say(a, lens.kind, name));
                    assert_eq!(part, whole, "{lens:?}");
                }
            }
            let whole = lenses::worst(&here.plan.analysis).0;
            assert_eq!(worst(&here, &|| false), whole);
        }
        assert!(count > 16, "{count}");
    }

    #[test]
    fn the_outline_of_the_parts_is_that_of_the_whole() {
        for (here, _) in streets() {
            assert_eq!(outline(&here), symbols(&here.plan.analysis, here.file));
        }
    }

    /// What is offered, in plain words: what it is, what it mends and where, and its edits.
    type Told = (
        String,
        ActionKind,
        bool,
        Option<(String, Span)>,
        Vec<(FileId, Span, String)>,
    );

    fn told(answers: Answers, mended: &dyn Fn(usize) -> (String, Span)) -> Vec<Told> {
        let actions = answers.actions.into_iter();
        let told = actions.map(|action| {
            let edits = action.edits.into_iter();
            let mended = action.finding.map(mended);
            let edits = edits.collect();
            (action.title, action.kind, action.preferred, mended, edits)
        });
        told.collect()
    }

    /// Holds what is offered from parts against what the whole plan offers; how many places had a part, and how many actions
    /// there were.
    fn hold_actions(
        text: &str,
        places: impl IntoIterator<Item = Span>,
        what: &str,
    ) -> (usize, usize) {
        let (in_parts, offered, wrong) = compared(text, places, what);
        assert_eq!(wrong, [""; 0]);
        (in_parts, offered)
    }

    /// As [`hold_actions`], with what is not as it should be.
    fn compared(
        text: &str,
        places: impl IntoIterator<Item = Span>,
        what: &str,
    ) -> (usize, usize, Vec<String>) {
        compared_at(&here(text), text, places, what)
    }

    /// The same in one of the files of a plan.
    fn compared_at(
        here: &Here,
        text: &str,
        places: impl IntoIterator<Item = Span>,
        what: &str,
    ) -> (usize, usize, Vec<String>) {
        let mut wrong = Vec::new();
        let whole = &here.plan.analysis;
        let (mut in_parts, mut offered) = (0, 0);
        for span in places {
            // As an editor that offers mends for the whole line.
            let begin = text[..span.range().start].rfind('\n').map_or(0, |n| n + 1);
            let line = begin..begin + text[begin..].find('\n').unwrap_or(text.len() - begin);
            let findings = whole.findings.iter();
            let named = findings.map(|finding| whole.plan.in_file(finding.stanza, finding.span));
            let named: Vec<Span> = named
                .filter(|at| line.contains(&at.range().start))
                .collect();
            let asked = Asked {
                file: here.file,
                span,
                named: &named,
                wants: &|kind| !matches!(kind, ActionKind::FixAll | ActionKind::Organise),
                may_create: &|_, _| true,
                used_by_others: &|_| false,
                stop: &|| false,
            };
            let Some(Changes { answers, view }) = actions(here, &asked) else {
                continue;
            };
            in_parts += 1;
            let all = actions::actions(whole, &asked);
            assert_eq!(answers.refused, all.refused, "{what}, {span:?}");
            let own = told(answers, &|nth| {
                let finding = &view.analysis.findings[nth];
                let place = view.in_file(finding.stanza, finding.span);
                (finding.message.clone(), place)
            });
            let all = told(all, &|nth| {
                let finding = &whole.findings[nth];
                let place = whole.plan.in_file(finding.stanza, finding.span);
                (finding.message.clone(), place)
            });
            if own != all {
                let words = &text[span.range()];
                wrong.push(format!("{what}, {span:?} {words:?}: {own:#?} of {all:#?}"));
            }
            offered += own.len();
        }
        (in_parts, offered, wrong)
    }

    /// The first letter of each word.
    fn words(text: &str) -> Vec<Span> {
        let mut places: Vec<Span> = Vec::new();
        let mut before = ' ';
        for (at, letter) in text.char_indices() {
            if before.is_whitespace() && !letter.is_whitespace() {
                places.push(Span::between(at, at));
            }
            before = letter;
        }
        places
    }

    #[test]
    fn actions_in_a_part_are_those_of_the_whole() {
        let text = street()
            .replace("from F1 over 400 mm", "from F1 over 40 mm")
            .replace("bow-4 of warm 3 lamps", "bow-4 of warm 4 lamps")
            .replace("sign-1 of ruby resistor 560", "sign-1 of ruby resistor 56")
            .replace("F4 400 mA", "F4 4 A")
            .replace("adapter-4 12 V 1 A", "adapter-4 12 V 60 mA");
        // Each is worked out twice by solving many plans: at one word of three.
        let places: Vec<Span> = words(&text).into_iter().step_by(3).collect();
        let count = places.len();
        let (in_parts, offered) = hold_actions(&text, places, "street");
        assert!(in_parts > count / 3, "{in_parts} of {count}");
        assert!(offered > 20, "{offered}");
        // Over several stanzas of one part, and of two.
        let place = |words: &str| text.find(words).unwrap();
        let one = Span::between(place("strip bay-1"), place("lamp mast-1"));
        let two = Span::between(place("strip bay-1"), place("strip bay-2"));
        assert_eq!(hold_actions(&text, [one, two], "several").0, 1);
    }

    #[test]
    fn actions_in_several_files_are_those_of_the_whole() {
        let (mut in_parts, mut offered, mut wrong) = (0, 0, Vec::new());
        for (here, text) in in_files() {
            let places = words(&text).into_iter().step_by(9);
            let (n, m, differ) = compared_at(&here, &text, places, "in files");
            in_parts += n;
            offered += m;
            wrong.extend(differ);
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        assert!(in_parts > 20 && offered > 5, "{in_parts} {offered}");
    }

    /// A name that another part has is given to nothing; and what several parts share is changed by none.
    #[test]
    fn what_concerns_others_takes_the_whole() {
        let plain = street();
        for other in ["keel-1-2", "Keel-1-2", "bay-1-joint", "joint-1"] {
            let text = plain.replace("sign-4 of", &format!("{other} of"));
            let text = text.replace("from adapter-1", "from adapter-1 # here");
            let from = text.find("strip bow-1").unwrap();
            let to = text.find("lamp mast-1").unwrap();
            let places = words(&text);
            let places = places
                .into_iter()
                .filter(|p| (from..to).contains(&(p.start as usize)));
            hold_actions(&text, places, other);
        }
    }

    /// Pairs of the project's plans in one file, asked where something is wrong.
    #[test]
    fn actions_in_plans_of_the_project() {
        let plans = crate::parts::tests::plans();
        let (mut in_parts, mut offered, mut wrong) = (0, 0, Vec::new());
        for (k, (name, text)) in plans.iter().enumerate().step_by(2) {
            let (other, more) = &plans[(k * 7 + 13) % plans.len()];
            if text.len() > 6000 || more.len() > 6000 {
                continue;
            }
            let both = format!("{text}\n{}", crate::parts::tests::renamed(more, "zz"));
            let found = here(&both);
            let analysis = &found.plan.analysis;
            let mut places: Vec<Span> = (analysis.findings.iter())
                .map(|f| analysis.plan.in_file(f.stanza, f.span))
                .collect();
            places.dedup();
            let what = format!("{name} and {other}");
            let (n, m, differ) = compared(&both, places, &what);
            in_parts += n;
            offered += m;
            wrong.extend(differ);
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        assert!(in_parts > 25 && offered > 25, "{in_parts} {offered}");
    }
}
