//! [`Plan::of`]: the whole way from text to plan.

use std::collections::HashMap;
use std::sync::Arc;

use super::again::{again, mean_the_same};
use super::elsewhere::Elsewhere;
use super::load::{load, load_file};
use super::model::*;
use super::names::{self, text_of};
use super::points::Points;
use super::resolve::Resolver;
use super::sources::{FileKey, Sources, UseFailure};
use super::{places, states, stock, wiring};
use crate::syntax::addition;
use crate::syntax::tree::{Clause, Stanza, ValueKind, quantities};
use crate::syntax::vocabulary::{Dimension as D, StanzaWord};
use crate::units::*;

/// Some stanzas of each file of a plan.
pub struct Excerpt<'a> {
    /// The files, the plan's own first, and the stanzas of each in their order.
    pub files: Vec<(&'a FileKey, &'a [Arc<Stanza>])>,
    /// The `use` stanzas that bring in a file, all of them.
    pub brings: HashMap<StanzaId, FileId>,
    /// What is wrong with those that bring in none.
    pub problems: Vec<Problem>,
    /// As [`Plan::uses`].
    pub uses: &'a HashMap<(FileKey, Arc<str>), Result<FileKey, UseFailure>>,
    /// As [`Plan::meant`].
    pub meant: &'a MeantFiles,
}

impl Excerpt<'_> {
    /// The stanzas of a file, each `use` followed by those of the file that it brings in. No file is brought in twice.
    fn put_in_order(&self, file: FileId, order: &mut Vec<StanzaId>) {
        let stanzas = self.files.get(file.0).map_or(0, |(_, own)| own.len());
        for index in 0..stanzas {
            let id = StanzaId { file, index };
            order.push(id);
            if let Some(brought) = self.brings.get(&id).filter(|_| !self.brings.is_empty()) {
                self.put_in_order(*brought, order);
            }
        }
    }
}

impl Plan {
    /// Reads a plan: its own file and those that it uses. Never fails: what cannot be read is among
    /// `problems`, and the rest is there.
    pub fn of(root: FileKey, text: Arc<str>, sources: &dyn Sources) -> Plan {
        Plan::meant(load(root, text, sources))
    }

    /// As [`Plan::of`], for a part of a larger plan.
    pub fn part_of(
        root: FileKey,
        text: Arc<str>,
        sources: &dyn Sources,
        elsewhere: Elsewhere,
    ) -> Plan {
        Plan::meant(Plan {
            elsewhere,
            ..load(root, text, sources)
        })
    }

    /// The files that a plan uses, and no meaning yet: of its own file there are the `use` stanzas alone. Stanzas that were read
    /// `before` are the very same.
    pub fn of_uses(
        root: FileKey,
        uses: &[Arc<Stanza>],
        before: &Plan,
        sources: &dyn Sources,
    ) -> Plan {
        load_file(SourceFile::of_stanzas(root, uses), before, sources)
    }

    /// A part of a larger plan: some stanzas of each of its files, read already. `before` is what it was, or is like: what stayed
    /// the same is taken from that.
    pub fn of_excerpt(excerpt: Excerpt, elsewhere: Elsewhere, before: Option<&Plan>) -> Plan {
        let files = excerpt.files.iter();
        let files = files.map(|(key, stanzas)| SourceFile::of_stanzas((*key).clone(), stanzas));
        let mut order = Vec::with_capacity(excerpt.files.iter().map(|(_, own)| own.len()).sum());
        excerpt.put_in_order(FileId(0), &mut order);
        let mut plan = Plan {
            files: files.collect(),
            order,
            problems: excerpt.problems,
            uses: excerpt.uses.clone(),
            meant: excerpt.meant.clone(),
            elsewhere,
            ..Plan::default()
        };
        let unread = cfg!(debug_assertions).then(|| plan.clone());
        match before.and_then(|before| again(before, &mut plan)) {
            None => Plan::meant(plan),
            Some(()) => {
                let is_so = |unread| mean_the_same(&plan, &Plan::meant(unread));
                debug_assert!(unread.is_none_or(is_so), "it means something else");
                plan
            }
        }
    }

    /// What the stanzas of the files mean.
    fn meant(mut plan: Plan) -> Plan {
        faults(&mut plan);
        settings(&mut plan);
        let names = names::collect(&mut plan);
        let mut resolver = Resolver::new(names);
        patterns(&plan, &mut resolver);
        stock::read(&mut plan, &mut resolver);
        places::read(&mut plan, &mut resolver);
        let place = wiring::read(&mut plan, &mut resolver);
        states::read(&mut plan, &mut resolver, &place);
        let drafts = resolver.drafts.iter().zip(&place);
        let drafts = drafts.filter(|(_, place)| place.is_some());
        let definitions: Vec<Definition> = drafts.map(|((_, own), _)| *own).collect();
        let mut names = resolver.finish(&mut plan).plan;
        let mut of_stanza: Vec<Vec<Option<ItemId>>> = (plan.files.iter())
            .map(|file| vec![None; file.tree.stanzas.len()])
            .collect();
        for (k, (item, definition)) in plan.items.iter().zip(definitions).enumerate() {
            let (file, index) = (item.stanza.file.0, item.stanza.index);
            match item.copy {
                None => of_stanza[file][index] = Some(ItemId(k)),
                Some(_) => {
                    let target = Some(Target::Item(ItemId(k)));
                    let definition = Definition {
                        target,
                        ..definition
                    };
                    names.insert(item.name.clone(), definition);
                }
            }
        }
        for definition in names.values_mut() {
            let StanzaId { file, index } = definition.stanza;
            if let Some(item) = of_stanza[file.0][index] {
                definition.target = Some(Target::Item(item));
            }
        }
        for (k, link) in plan.links.iter().enumerate() {
            if let Some(definition) = names.get_mut(&link.name) {
                definition.target = Some(Target::Link(LinkId(k)));
            }
        }
        plan.names = names;
        plan
    }
}

/// What the reading of each stanza found wrong.
fn faults(plan: &mut Plan) {
    let mut feeds = missing_feeds(plan);
    for id in plan.order.clone() {
        let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
        for fault in &stanza.faults {
            let feed = (fault.lacks == Some("from")).then(|| feeds.remove(&id));
            plan.left_out.insert(id);
            plan.problems.push(Problem {
                check: fault.check,
                severity: Severity::Error,
                stanza: id,
                span: fault.span,
                message: fault.message.clone(),
                related: fault
                    .related
                    .iter()
                    .map(|(span, text)| (id, *span, text.clone()))
                    .collect(),
                mends: fault
                    .mends
                    .iter()
                    .map(|mend| ProblemMend {
                        title: mend.title.clone(),
                        edits: mend
                            .edits
                            .iter()
                            .map(|(span, text)| Edit {
                                stanza: id,
                                span: *span,
                                text: text.clone(),
                            })
                            .collect(),
                    })
                    .chain(feed.flatten())
                    .collect(),
            });
        }
    }
}

/// For stanzas that say nothing of what feeds them, a point that likely does.
fn missing_feeds(plan: &Plan) -> HashMap<StanzaId, ProblemMend> {
    let lacks_feed = |id: &&StanzaId| {
        let mut faults = plan.stanza(**id).faults.iter();
        faults.any(|f| f.lacks == Some("from"))
    };
    let mut without = plan.order.iter().filter(lacks_feed).peekable();
    if without.peek().is_none() {
        return HashMap::new();
    }
    let points = Points::of(plan);
    let mend = |&id: &StanzaId| {
        let (point, as_it) = points.beside(id)?;
        let clause = format!("from {point}");
        let (span, text) = addition(plan.stanza(id), &clause);
        let as_it = as_it.map_or(String::new(), |name| format!(", as {}", name.0));
        let edit = Edit {
            stanza: id,
            span,
            text,
        };
        let mend = ProblemMend {
            title: format!("add {clause}{as_it}"),
            edits: vec![edit],
        };
        Some((id, mend))
    };
    without.filter_map(mend).collect()
}

/// What the plan's own `harness` stanza says; those of used files do not count. A clause that is in
/// error leaves the default, the others hold.
pub(super) fn settings(plan: &mut Plan) {
    let own = plan
        .order
        .iter()
        .copied()
        .find(|id| id.file.0 == 0 && plan.stanza(*id).word == Some(StanzaWord::Harness));
    let Some(id) = own else { return };
    let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
    let is_sound = |c: &&Clause| stanza.faults.iter().all(|f| !f.span.overlaps(c.span));
    let clause = |word: &str| {
        let mut clauses = stanza.clauses.iter().filter(is_sound);
        clauses.find(|c| c.word == word)
    };
    let figure = |word: &str, d| clause(word).and_then(|c| quantities(&c.values, d).next());
    let mut settings = Settings {
        title: stanza.head.first().and_then(|v| text_of(&v.kind)),
        stanza: Some(id),
        scale: clause("scale").and_then(|c| {
            c.values.iter().find_map(|v| {
                if let ValueKind::Scale(n) = v.kind {
                    Some(n)
                } else {
                    None
                }
            })
        }),
        bench: figure("bench", D::Voltage).map(volts),
        survives_one_break: clause("survives").is_some(),
        ..Settings::default()
    };
    if let Some(kelvin) = figure("ambient", D::Temperature) {
        settings.ambient = celsius(kelvin - 273.15);
    }
    for (word, place) in [
        ("headroom", &mut settings.headroom),
        ("max-drop", &mut settings.max_drop),
        ("tolerance", &mut settings.tolerance),
    ] {
        if let Some(x) = figure(word, D::Percent) {
            *place = ratio(x);
        }
    }
    if let Some(x) = figure("slack", D::Length) {
        settings.slack = metres(x);
    }
    let clauses = stanza.clauses.iter().filter(is_sound);
    for treat in clauses.filter(|c| c.word == "treat") {
        if let (Some((check, _)), Some(severity)) = (treat.names().next(), treat.choice()) {
            settings.treat.push((check.0.clone(), severity));
        }
    }
    plan.settings = settings;
}

/// A pattern that is not in error leads to its stanza.
fn patterns(plan: &Plan, resolver: &mut Resolver) {
    for definition in resolver.names.plan.values_mut() {
        if definition.word == StanzaWord::Pattern && !plan.left_out.contains(&definition.stanza) {
            definition.target = Some(Target::Pattern(definition.stanza));
        }
    }
}
