//! Findings about what is there more than once: one that every copy of a pattern shares stands once, on
//! the pattern's piece, naming the copies; one that some copies have stands on those copies.

use std::collections::{BTreeMap, HashMap};

use super::words::{list, quoted};
use super::{Context, Finding};
use crate::plan::{ItemId, StanzaId};
use crate::text::Span;

/// Gathers what copies share.
pub(super) fn gather(context: &Context, findings: Vec<Finding>) -> Vec<Finding> {
    let plan = context.plan;
    let mut copies_of: HashMap<StanzaId, usize> = HashMap::new();
    for item in plan.items.iter().filter(|i| i.copy.is_some()) {
        *copies_of.entry(item.stanza).or_default() += 1;
    }
    let mut gathered: Vec<Finding> = Vec::with_capacity(findings.len());
    let mut shared: BTreeMap<(&'static str, StanzaId, Span), Vec<Finding>> = BTreeMap::new();
    let mut of_links: BTreeMap<(&'static str, StanzaId, Span), Vec<Finding>> = BTreeMap::new();
    for finding in findings {
        match piece(context, &finding) {
            None if links_of(context, finding.stanza) > 1 => {
                let place = (finding.check, finding.stanza, finding.span);
                of_links.entry(place).or_default().push(finding);
            }
            None => gathered.push(finding),
            Some(_) => {
                let place = (finding.check, finding.stanza, finding.span);
                shared.entry(place).or_default().push(finding);
            }
        }
    }
    for ((_, stanza, _), group) in shared {
        if copies_of.get(&stanza) == Some(&group.len()) {
            gathered.extend(on_the_piece(context, group));
        } else {
            gathered.extend(group.into_iter().map(|f| on_the_copy(context, f)));
        }
    }
    for ((_, stanza, _), mut group) in of_links {
        if links_of(context, stanza) == group.len() {
            group.truncate(1);
            group[0].message += " The same in every copy.";
        }
        gathered.append(&mut group);
    }
    gathered
}

/// How many links a stanza stands for: more than one for a pattern's.
fn links_of(context: &Context, stanza: StanzaId) -> usize {
    let links = context.plan.links.iter();
    links.filter(|l| l.stanza == stanza).count()
}

/// The one item of a copy that a finding on a pattern's piece is about.
fn piece(context: &Context, finding: &Finding) -> Option<(ItemId, ItemId)> {
    let [item] = finding.about[..] else {
        return None;
    };
    let of = &context.plan.items[item.0];
    Some((item, of.copy?)).filter(|_| of.stanza == finding.stanza)
}

/// A finding that stands on one copy alone, as its check put it down on the pattern's piece; and that copy.
pub(super) fn on_its_piece(context: &Context, finding: &Finding) -> Option<(Finding, ItemId)> {
    let [item] = finding.about[..] else {
        return None;
    };
    let copy = context.plan.items[item.0].copy?;
    let is_moved = finding.stanza == context.plan.items[copy.0].stanza;
    let (stanza, span, _) = finding.related.first().filter(|_| is_moved)?;
    let mut as_found = finding.clone();
    (as_found.stanza, as_found.span) = (*stanza, *span);
    as_found.related.remove(0);
    Some((as_found, copy))
}

/// A finding on a pattern's piece, once for each copy that shares it; `None` where it is no such finding.
pub(super) fn one_by_one(context: &Context, finding: &Finding) -> Option<Vec<(Finding, ItemId)>> {
    let of_copy = |&item: &ItemId| {
        let copy = context.plan.items[item.0].copy?;
        let mut one = finding.clone();
        one.about = vec![item];
        Some((one, copy))
    };
    let shared =
        finding.about.len() > 1 && context.plan.items[finding.about[0].0].stanza == finding.stanza;
    shared
        .then(|| finding.about.iter().map(of_copy).collect())
        .flatten()
}

/// All copies have it: the worst of them speaks, the others are named.
fn on_the_piece(context: &Context, mut group: Vec<Finding>) -> Option<Finding> {
    group.sort_by_key(|f| std::cmp::Reverse(f.severity)); // stable: the first of the worst
    let about: Vec<ItemId> = group.iter().flat_map(|f| f.about.iter().copied()).collect();
    let copies = group.iter().filter_map(|f| piece(context, f));
    let copies: Vec<ItemId> = copies.map(|(_, copy)| copy).collect();
    let mut worst = group.first()?.clone();
    if let [first, others @ ..] = &copies[..]
        && !others.is_empty()
    {
        let name = context.name(*first);
        let names_it =
            worst.message.contains(&quoted(name)) || worst.message.contains(&format!("`{name}."));
        worst.message += &match names_it {
            true => format!(" The same in {}.", list(&context.names(others))),
            false => format!(" This is so in {}.", list(&context.names(&copies))),
        };
    }
    worst.about = about;
    Some(worst)
}

/// Only this copy has it: it stands on what the copy changes of the piece, or on the copy's name.
fn on_the_copy(context: &Context, mut finding: Finding) -> Finding {
    let Some((item, copy)) = piece(context, &finding) else {
        return finding;
    };
    let stanza = context.plan.items[copy.0].stanza;
    let tree = context.plan.stanza(stanza);
    let changes = tree.clauses.iter().find(|c| {
        let piece = context
            .name(item)
            .strip_prefix(context.name(copy))
            .and_then(|p| p.strip_prefix('.'));
        c.word == "but"
            && c.names()
                .next()
                .is_some_and(|(name, _)| Some(&*name.0) == piece)
    });
    finding.related.insert(
        0,
        (
            finding.stanza,
            finding.span,
            "the piece of the pattern".into(),
        ),
    );
    finding.stanza = stanza;
    finding.span = changes.map_or_else(|| context.name_span(stanza), |c| c.span);
    finding.item = Some(context.plan.items[copy.0].name.clone());
    finding
}
