//! From a name as written to what it leads to, with what is said where it leads nowhere.

use std::collections::{HashMap, HashSet};

use rustc_hash::FxHashSet;

use super::model::{
    ByName, Definition, Edit, Plan, Problem, ProblemMend, Reference, Severity, StanzaId, Target,
};
use super::names::{Names, first_word, join, split_first, split_last};
use super::points::{Feeds, Points};
use crate::syntax::tree::{Name, Stanza};
use crate::syntax::vocabulary::{Role, StanzaWord};
use crate::text::Span;

/// What came of a name.
pub(super) enum Found<T> {
    /// It leads there.
    Is(T),
    /// It leads to a stanza in error: what uses it is left out, and nothing more is said.
    InError,
    /// It leads nowhere; that has been noted.
    Nowhere,
}

impl<T> Found<T> {
    pub(super) fn ok(self) -> Option<T> {
        if let Found::Is(x) = self {
            Some(x)
        } else {
            None
        }
    }
}

/// The view from inside a pattern's piece: its words stand for the copy's.
#[derive(Clone)]
pub(super) struct Inside {
    pub pattern: Name,
    /// The copy's name; `None` while the pattern itself is judged, without a copy.
    pub copy: Option<Name>,
    /// The words that the pattern needs.
    pub needs: Vec<Name>,
    /// What the needed words stand for, and where the copy says so.
    pub stand_ins: HashMap<Name, (Name, (StanzaId, Span))>,
}

impl Inside {
    /// Whether a name is one of the pattern's own: the pattern, a piece, a needed word.
    fn owns(&self, name: &Name) -> bool {
        split_first(name).0 == self.pattern
    }

    /// Whether a name is a needed word that the copy says nothing of; that has been reported there.
    fn lacks(&self, name: &Name) -> bool {
        let (first, rest) = split_first(name);
        let word = rest.map(|rest| split_first(&rest).0);
        first == self.pattern
            && word.is_some_and(|w| self.needs.contains(&w) && !self.stand_ins.contains_key(&w))
    }

    /// A name as the copy means it, and the words that answer for it where they are the copy's.
    fn translate(&self, name: &Name, at: (StanzaId, Span)) -> (Name, (StanzaId, Span)) {
        let (first, rest) = split_first(name);
        let Some(copy) = self.copy.as_ref().filter(|_| first == self.pattern) else {
            return (name.clone(), at);
        };
        let Some(rest) = rest else {
            return (copy.clone(), at);
        };
        let (word, tail) = split_first(&rest);
        match (self.stand_ins.get(&word), tail) {
            (Some((name, at)), None) => (name.clone(), *at),
            (Some((name, at)), Some(tail)) => (join(name, &tail), *at),
            (None, _) => (join(copy, &rest), at),
        }
    }
}

/// A name that led nowhere.
struct Unknown {
    stanza: StanzaId,
    span: Span,
    name: Name,
    role: Role,
    /// What there is to say beyond "no such name".
    because: Option<String>,
    /// It was met in a copy; what the pattern itself has to say of the same words comes first.
    in_copy: bool,
}

/// Resolves names and keeps what was found and what was not.
pub(super) struct Resolver {
    pub names: Names,
    /// Every item, pieces of copies included: the index of its draft.
    pub items: ByName<usize>,
    /// For each draft of a board, its outputs' names; `None` for what is no board.
    pub outputs: Vec<Option<Vec<Name>>>,
    /// For each draft, the word of its stanza and the definition that a reference leads to.
    pub drafts: Vec<(StanzaWord, Definition)>,
    references: Vec<Reference>,
    unknowns: Vec<Unknown>,
}

/// Who knows what a name leads to, and notes what was asked for.
pub(super) trait Leads {
    /// What a name of stock or of a place leads to.
    fn definition(
        &mut self,
        plan: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        inside: Option<&Inside>,
    ) -> Found<Target>;

    /// The item, and the output, that a point leads to.
    fn point(
        &mut self,
        plan: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        inside: Option<&Inside>,
    ) -> Found<(usize, Option<usize>)>;
}

impl Leads for Resolver {
    fn definition(
        &mut self,
        plan: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        inside: Option<&Inside>,
    ) -> Found<Target> {
        Resolver::definition(self, plan, at, written, role, inside)
    }

    fn point(
        &mut self,
        plan: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        inside: Option<&Inside>,
    ) -> Found<(usize, Option<usize>)> {
        Resolver::point(self, plan, at, written, role, inside)
    }
}

impl Resolver {
    pub(super) fn new(names: Names) -> Resolver {
        // An item of the wiring mostly says what it is of, where it is fed from and over which wire.
        let room = 3 * names.plan.len();
        Resolver {
            names,
            items: ByName::default(),
            outputs: Vec::new(),
            drafts: Vec::new(),
            references: Vec::with_capacity(room),
            unknowns: Vec::new(),
        }
    }

    /// Keeps a reference. The pattern's own names are kept when the pattern itself is judged, not
    /// once more for each copy.
    fn refer(&mut self, own: bool, at: (StanzaId, Span), name: &Name, definition: StanzaId) {
        if !own {
            self.references.push(Reference {
                stanza: at.0,
                span: at.1,
                name: name.clone(),
                definition,
            });
        }
    }

    /// Notes a name that leads nowhere.
    pub(super) fn unknown(
        &mut self,
        stanza: StanzaId,
        span: Span,
        name: &Name,
        role: Role,
        because: Option<String>,
    ) {
        self.unknowns.push(Unknown {
            stanza,
            span,
            name: name.clone(),
            role,
            because,
            in_copy: false,
        });
    }

    fn nowhere(
        &mut self,
        own: bool,
        at: (StanzaId, Span),
        name: &Name,
        role: Role,
        because: Option<String>,
    ) {
        self.unknown(at.0, at.1, name, role, because);
        if let Some(last) = self.unknowns.last_mut() {
            last.in_copy = own;
        }
    }

    /// Stock, a zone, a passage, a pattern: what the role asks for.
    pub(super) fn definition(
        &mut self,
        plan: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        inside: Option<&Inside>,
    ) -> Found<Target> {
        if let Some(inside) = inside.filter(|i| i.copy.is_none())
            && self.within_pattern(inside, at, written)
        {
            return Found::InError; // a needed word: only a copy says what it is
        }
        if inside.is_some_and(|i| i.lacks(written)) {
            return Found::InError;
        }
        let own = inside.is_some_and(|i| i.owns(written));
        let (name, at) = inside.map_or_else(|| (written.clone(), at), |i| i.translate(written, at));
        let written = if own { &name } else { written };
        match self.names.plan.get(&name).copied() {
            Some(definition) if fits(role, definition.word) => {
                self.refer(own, at, &name, definition.stanza);
                match definition.target {
                    Some(target) if !plan.left_out.contains(&definition.stanza) => {
                        Found::Is(target)
                    }
                    _ => Found::InError,
                }
            }
            Some(definition) => {
                self.refer(own, at, &name, definition.stanza);
                if self.means_a_taken_name(&name, role) {
                    return Found::InError;
                }
                let because = format!(
                    "`{}` is a {}, and {} is wanted here.",
                    name.0,
                    definition.word.word(),
                    wanted(role)
                );
                self.nowhere(own, at, written, role, Some(because));
                Found::Nowhere
            }
            None => {
                self.nowhere(own, at, written, role, None);
                Found::Nowhere
            }
        }
    }

    /// An item or an output of a board: the draft and the output's index. `Role::Point`: it must
    /// hand power on.
    pub(super) fn point(
        &mut self,
        plan: &Plan,
        at: (StanzaId, Span),
        written: &Name,
        role: Role,
        inside: Option<&Inside>,
    ) -> Found<(usize, Option<usize>)> {
        if let Some(inside) = inside.filter(|i| i.copy.is_none())
            && self.within_pattern(inside, at, written)
        {
            return Found::InError;
        }
        if inside.is_some_and(|i| i.lacks(written)) {
            return Found::InError;
        }
        let own = inside.is_some_and(|i| i.owns(written));
        let (name, at) = inside.map_or_else(|| (written.clone(), at), |i| i.translate(written, at));
        let written = if own { &name } else { written };
        if let Some(&draft) = self.items.get(&name) {
            let (word, definition) = self.drafts[draft];
            self.refer(own, at, &name, definition.stanza);
            if plan.left_out.contains(&definition.stanza) {
                return Found::InError;
            }
            let because = match (role, word) {
                (Role::Point, StanzaWord::Board) => {
                    let outputs = self.outputs[draft].as_deref().unwrap_or(&[]);
                    let first = outputs
                        .first()
                        .map_or_else(|| "OUTPUT".into(), |o| o.0.clone());
                    Some(format!(
                        "`{}` is a board and feeds by its outputs: name one, as {}.{first}.",
                        name.0, name.0
                    ))
                }
                (Role::Point, StanzaWord::Load) => Some(format!(
                    "`{}` is a load and hands no power on: feed this from where the load is fed.",
                    name.0
                )),
                _ => None,
            };
            if because.is_some() && self.means_a_taken_name(&name, role) {
                return Found::InError;
            }
            if because.is_some() {
                self.nowhere(own, at, written, role, because);
                return Found::Nowhere;
            }
            return Found::Is((draft, None));
        }
        if let Some((board, output)) = split_last(&name)
            && let Some(&draft) = self.items.get(&board)
        {
            let (word, definition) = self.drafts[draft];
            self.refer(own, at, &board, definition.stanza);
            if plan.left_out.contains(&definition.stanza) {
                return Found::InError;
            }
            let because = match self.outputs[draft].as_deref() {
                Some(outputs) => match outputs.iter().position(|o| *o == output) {
                    Some(index) => return Found::Is((draft, Some(index))),
                    None if outputs.is_empty() => {
                        format!("The board `{}` has no outputs.", board.0)
                    }
                    None => {
                        let list: Vec<&str> = outputs.iter().map(|o| &*o.0).collect();
                        format!(
                            "The board `{}` has no output `{}`. It has {}.",
                            board.0,
                            output.0,
                            list.join(", ")
                        )
                    }
                },
                None if word == StanzaWord::Board => return Found::InError,
                None if word == StanzaWord::Copy => {
                    format!(
                        "`{}` has no piece `{}`.{}",
                        board.0,
                        output.0,
                        self.pieces(&board)
                    )
                }
                None => format!("`{}` is a {} and has no outputs.", board.0, word.word()),
            };
            if self.means_a_taken_name(&board, role) {
                return Found::InError;
            }
            self.nowhere(own, at, written, role, Some(because));
            return Found::Nowhere;
        }
        if let Some(definition) = self.names.plan.get(&name).copied() {
            self.refer(own, at, &name, definition.stanza);
            let is_item = definition.word.is_item();
            if is_item
                && plan.left_out.contains(&definition.stanza)
                && split_first(&name).1.is_none()
            {
                return Found::InError;
            }
            if self.means_a_taken_name(&name, role) {
                return Found::InError;
            }
            let because = match split_first(&name) {
                (pattern, Some(piece)) => format!(
                    "`{}` is a piece of a pattern and not built itself: name it by a copy of `{}`, as COPY.{}.",
                    name.0, pattern.0, piece.0
                ),
                _ => format!(
                    "`{}` is a {}, and {} is wanted here.",
                    name.0,
                    definition.word.word(),
                    wanted(role)
                ),
            };
            self.nowhere(own, at, written, role, Some(because));
            return Found::Nowhere;
        }
        // A board in error takes the references to its outputs with it.
        if let Some((board, _)) = split_last(&name)
            && let Some(definition) = self.names.plan.get(&board).copied()
            && (plan.left_out.contains(&definition.stanza) || self.means_a_taken_name(&board, role))
        {
            self.refer(own, at, &board, definition.stanza);
            return Found::InError;
        }
        let first = first_word(&name);
        let is_here = self.names.plan.contains_key(&Name(first.into()));
        if plan.elsewhere.listed.contains(first) && !is_here {
            return Found::InError; // it means something in another part of the plan
        }
        self.nowhere(own, at, written, role, None);
        Found::Nowhere
    }

    /// Whether a name that leads to the wrong kind of thing would fit a later stanza that was to have it too: that the name
    /// is taken has been said there.
    fn means_a_taken_name(&self, name: &Name, role: Role) -> bool {
        let words = self.names.taken.get(name).into_iter().flatten();
        words.copied().any(|word| fits(role, word))
    }

    /// What a copy has, in words: ` It has tip and root.`
    fn pieces(&self, copy: &Name) -> String {
        let mut own: Vec<(usize, &str)> = (self.items.iter())
            .filter(|(name, _)| split_last(name).is_some_and(|(of, _)| of == *copy))
            .map(|(name, &draft)| (draft, &name.0[copy.0.len() + 1..]))
            .collect();
        own.sort_unstable();
        let names: Vec<&str> = own.into_iter().map(|(_, name)| name).collect();
        match names.is_empty() {
            true => String::new(),
            false => format!(" It has {}.", names.join(", ")),
        }
    }

    /// Whether a name is of the pattern itself: its own, a piece's, a needed word's.
    fn within_pattern(&mut self, inside: &Inside, at: (StanzaId, Span), written: &Name) -> bool {
        let (first, rest) = split_first(written);
        if first != inside.pattern {
            return false;
        }
        let Some(pattern) = self.names.patterns.get(&first) else {
            return false;
        };
        let piece = rest.map(|rest| split_first(&rest).0);
        let definition = match &piece {
            None => self.names.plan.get(&first).map(|d| d.stanza),
            Some(word) if pattern.needs.contains(word) => {
                self.names.plan.get(&first).map(|d| d.stanza)
            }
            Some(word) => pattern
                .pieces
                .iter()
                .find(|(name, _)| name == word)
                .map(|(_, id)| *id),
        };
        let name = match piece {
            Some(piece) if !pattern.needs.contains(&piece) => join(&first, &piece),
            _ => first,
        };
        if let Some(definition) = definition {
            self.refer(false, at, &name, definition);
        }
        definition.is_some()
    }

    /// Turns what led nowhere into problems and hands over the references.
    pub(super) fn finish(mut self, plan: &mut Plan) -> Names {
        // What a stanza says is read once for each copy that it stands for.
        let mut seen = FxHashSet::default();
        let is_new = |r: &Reference| seen.insert((r.stanza, r.span, r.definition));
        match self.names.patterns.is_empty() {
            true => debug_assert!(self.references.iter().all(is_new), "it is read once"),
            false => self.references.retain(is_new),
        }
        let referred: FxHashSet<&Name> = match self.unknowns.is_empty() {
            true => FxHashSet::default(),
            false => self.references.iter().map(|r| &r.name).collect(),
        };

        // One slip in a stanza's own name, and every user of it would be at fault: one finding there.
        let mut slips: Vec<(Name, Definition, Vec<usize>)> = Vec::new();
        let mut explained = HashSet::new();
        plan.compared = self.names.plan.len() + self.items.len();
        let all = plan.compared + plan.elsewhere.names;
        let searched = MOST_COMPARED / all.max(1);
        let mut looked_up = HashSet::new();
        let fed = match self.unknowns.is_empty() {
            true => None,
            false => Some(Feeds::of(plan)),
        };
        // What would have its power from itself, were it fed from there.
        let feeds_itself = |stanza: &Stanza, role: Role, point: &Name| {
            let is_item = stanza.word.is_some_and(StanzaWord::is_item) && role == Role::Point;
            let own = stanza.name().filter(|_| is_item);
            own.zip(fed.as_ref())
                .is_some_and(|((own, _), fed)| fed.hangs_on(point, own))
        };
        // The name may be in a file that could not be used: it is not made up, nor another one written.
        let in_part = plan.problems.iter().any(|p| p.check == "use-failed");
        for (k, unknown) in self.unknowns.iter().enumerate() {
            if in_part
                || explained.contains(&k)
                || unknown.because.is_some()
                || looked_up.len() >= searched
                || !looked_up.insert((&unknown.name, unknown.role))
            {
                continue;
            }
            let mut near: Vec<(&Name, &Definition)> = self
                .names
                .plan
                .iter()
                .filter(|(name, d)| {
                    fits(unknown.role, d.word)
                        && !referred.contains(name)
                        && !plan.elsewhere.refers_to(name)
                        && one_slip(&name.0, &unknown.name.0)
                        && !self.unknowns.iter().any(|user| {
                            user.name == unknown.name
                                && feeds_itself(plan.stanza(user.stanza), user.role, name)
                        })
                })
                .collect();
            near.sort_by_key(|(_, d)| d.stanza);
            if let [(name, definition)] = near[..] {
                let users: Vec<usize> = (0..self.unknowns.len())
                    .filter(|&j| {
                        self.unknowns[j].name == unknown.name && self.unknowns[j].because.is_none()
                    })
                    .collect();
                explained.extend(users.iter().copied());
                slips.push((name.clone(), *definition, users));
            }
        }
        for (name, definition, users) in slips {
            let wanted = self.unknowns[users[0]].name.clone();
            for &user in &users {
                plan.left_out.insert(self.unknowns[user].stanza);
            }
            let places = users
                .iter()
                .map(|&u| (self.unknowns[u].stanza, self.unknowns[u].span));
            let mut places: Vec<(StanzaId, Span)> = places.collect();
            places.sort();
            places.dedup();
            let related = places
                .iter()
                .map(|(s, at)| (*s, *at, format!("says `{}`", wanted.0)))
                .collect();
            let count = places.len();
            let verb = if count == 1 {
                "place says"
            } else {
                "places say"
            };
            plan.problems.push(Problem {
                check: "unknown-name",
                severity: Severity::Error,
                stanza: definition.stanza,
                span: definition.span,
                message: format!(
                    "Nothing refers to `{}`, and {count} {verb} `{}`: give both one spelling.",
                    name.0, wanted.0
                ),
                related,
                mends: vec![
                    ProblemMend {
                        title: format!("call it {}", wanted.0),
                        edits: vec![Edit {
                            stanza: definition.stanza,
                            span: definition.span,
                            text: wanted.0.to_string(),
                        }],
                    },
                    ProblemMend {
                        title: format!("write {} where it is used", name.0),
                        edits: places
                            .iter()
                            .map(|(s, at)| Edit {
                                stanza: *s,
                                span: *at,
                                text: name.0.to_string(),
                            })
                            .collect(),
                    },
                ],
            });
        }

        let mut feeds = self.feeds(plan, &feeds_itself);
        let mut told = HashSet::new();
        let mut near_ones: HashMap<(Name, Role), Vec<Name>> = HashMap::new();
        for (k, unknown) in self.unknowns.iter().enumerate() {
            if explained.contains(&k) || !told.insert((unknown.stanza, unknown.span)) {
                continue;
            }
            let searches = near_ones.len();
            let nearest = near_ones
                .entry((unknown.name.clone(), unknown.role))
                .or_insert_with(|| {
                    if searches < searched {
                        self.nearest(plan, unknown)
                    } else {
                        Vec::new()
                    }
                });
            let own = plan.stanza(unknown.stanza);
            let fits = nearest
                .iter()
                .filter(|near| !feeds_itself(own, unknown.role, near));
            let inside = self
                .inside_pattern(plan, own, unknown)
                .filter(|_| unknown.because.is_none());
            let nearest: Vec<&Name> = match &inside {
                Some(inside) => vec![inside],
                None => fits.take(MOST_NEAR).collect(),
            };
            let message = match (&unknown.because, nearest.first()) {
                (Some(because), _) => because.clone(),
                (None, Some(near)) if inside.is_some() => format!(
                    "Nothing is named `{}`: a piece calls it `{}`, with the name of its pattern.",
                    unknown.name.0, near.0
                ),
                (None, Some(near)) => format!(
                    "Nothing is named `{}`. Nearest name: {}.",
                    unknown.name.0, near.0
                ),
                (None, None) => format!(
                    "Nothing is named `{}`: {} is wanted here.",
                    unknown.name.0,
                    wanted(unknown.role)
                ),
            };
            let mends = nearest
                .iter()
                .map(|near| ProblemMend {
                    title: format!("write {}", near.0),
                    edits: vec![Edit {
                        stanza: unknown.stanza,
                        span: unknown.span,
                        text: near.0.to_string(),
                    }],
                })
                .chain(define(plan, unknown).filter(|_| inside.is_none()))
                .chain(feeds.remove(&k))
                .filter(|_| !in_part)
                .collect();
            plan.left_out.insert(unknown.stanza);
            plan.problems.push(Problem {
                check: "unknown-name",
                severity: Severity::Error,
                stanza: unknown.stanza,
                span: unknown.span,
                message,
                related: Vec::new(),
                mends,
            });
        }
        plan.references = self.references;
        let unknowns = self.unknowns.into_iter();
        plan.unknown = unknowns.map(|u| (u.stanza, u.name)).collect();
        self.names
    }

    /// What a piece means by a needed word of its pattern, or another piece, without the pattern's name ahead of it.
    fn inside_pattern(&self, plan: &Plan, own: &Stanza, unknown: &Unknown) -> Option<Name> {
        let (pattern, _) = own.name()?.0.0.split_once('.')?;
        let definition = self.names.plan.get(&Name(pattern.into()))?;
        if definition.word != StanzaWord::Pattern {
            return None;
        }
        let whole = Name(format!("{pattern}.{}", unknown.name.0).into());
        let needs = plan.stanza(definition.stanza).clause("needs");
        let is_needed = needs.is_some_and(|c| c.names().any(|(need, _)| *need == unknown.name));
        let board = || {
            whole
                .0
                .rsplit_once('.')
                .map(|(board, _)| Name(board.into()))
        };
        let known = self.names.plan.get(&whole);
        let is_piece = known.is_some_and(|d| fits(unknown.role, d.word));
        let is_output = || {
            let board = board().and_then(|board| self.names.plan.get(&board));
            board.is_some_and(|d| d.word == StanzaWord::Board)
        };
        (is_needed || is_piece || is_output()).then_some(whole)
    }

    /// For points that lead nowhere (by their place among the unknown names): of a load, the point that feeds it; of a name that
    /// nothing has or nearly has, a joint of that name, right ahead of its user, to be put right.
    fn feeds(
        &self,
        plan: &Plan,
        feeds_itself: &dyn Fn(&Stanza, Role, &Name) -> bool,
    ) -> HashMap<usize, ProblemMend> {
        let is_point = |u: &Unknown| u.role == Role::Point && !u.name.0.contains('.');
        if !self.unknowns.iter().any(is_point) {
            return HashMap::new();
        }
        let points = Points::of(plan);
        // Those in error too: the slip may be here.
        let is_near = |own: &Stanza, name: &Name| {
            let mut points = self.names.plan.iter();
            points.any(|(known, d)| {
                fits(Role::Point, d.word)
                    && slips_from(known, name).is_some()
                    && !feeds_itself(own, Role::Point, known)
            })
        };
        let mut left = MOST_COMPARED / self.names.plan.len().max(1);
        let mut mend = |unknown: &Unknown| {
            if !is_point(unknown) {
                return None;
            }
            let name = &unknown.name.0;
            let stanza = plan.stanza(unknown.stanza);
            if unknown.because.is_some() {
                let point = points.of_load(&unknown.name)?;
                return Some(ProblemMend {
                    title: format!("write {point}, which feeds {name}"),
                    edits: vec![Edit {
                        stanza: unknown.stanza,
                        span: unknown.span,
                        text: point.to_owned(),
                    }],
                });
            }
            let is_piece = stanza.name().is_some_and(|(own, _)| own.0.contains('.'));
            left = left.checked_sub(1)?;
            let may_be_new = !is_piece && !is_near(stanza, &unknown.name);
            let point = points.first(&unknown.name).filter(|_| may_be_new)?;
            let text = format!("joint {name} from {point}");
            Some(ProblemMend {
                title: format!("add a {text}, to be put right"),
                edits: vec![ahead_of(plan, unknown.stanza, &text)],
            })
        };
        let unknowns = self.unknowns.iter().enumerate();
        unknowns.filter_map(|(k, u)| Some((k, mend(u)?))).collect()
    }

    /// Some names of the right kind that are spelt nearly like this one, the nearest first.
    fn nearest(&self, plan: &Plan, unknown: &Unknown) -> Vec<Name> {
        let role = unknown.role;
        let items = self
            .items
            .iter()
            .filter(|(_, d)| fits(role, self.drafts[**d].0))
            .flat_map(
                |(name, d)| match (self.drafts[*d].0, self.outputs[*d].as_deref()) {
                    (StanzaWord::Board, Some(outputs)) if role == Role::Point => {
                        outputs.iter().map(|o| join(name, o)).collect::<Vec<_>>()
                    }
                    _ => vec![name.clone()],
                },
            );
        let others = self.names.plan.iter().filter(|(name, d)| {
            fits(role, d.word)
                && !d.word.is_item()
                && !name.0.contains('.')
                && !plan.left_out.contains(&d.stanza)
        });
        let mut near: Vec<(usize, Name)> = items
            .chain(others.map(|(name, _)| name.clone()))
            .filter_map(|name| Some((slips_from(&name, &unknown.name)?, name)))
            .collect();
        near.sort();
        near.dedup();
        near.into_iter()
            .take(4 * MOST_NEAR)
            .map(|(_, name)| name)
            .collect()
    }
}

/// So many names are compared at the most to find what was meant, each with one that is not known; in a plan
/// that has still more of both, the later ones go without.
pub const MOST_COMPARED: usize = 400_000;

/// So many near names are offered.
const MOST_NEAR: usize = 3;

/// A stanza that defines the name, right ahead of its user: a zone as it is, stock with usual values
/// to be put right. A passage has its place in the model, which nobody can guess; of points, [`Resolver::feeds`].
fn define(plan: &Plan, unknown: &Unknown) -> Option<ProblemMend> {
    if unknown.because.is_some() || unknown.name.0.contains('.') {
        return None;
    }
    let name = &unknown.name.0;
    let word = match unknown.role {
        Role::Zone => StanzaWord::Zone,
        Role::Wire => StanzaWord::Wire,
        Role::Tape => StanzaWord::Tape,
        Role::Led => StanzaWord::Led,
        Role::Module => StanzaWord::Module,
        _ => return None,
    };
    let (text, title) = if word == StanzaWord::Zone {
        (format!("zone {name}"), format!("add a zone {name}"))
    } else {
        // The usual form is `word name`, then its clauses, a line each.
        let (_, clauses) = word.shape().usual.split_once('\n')?;
        let text = format!("{} {name}\n{clauses}", word.word());
        (
            text,
            format!(
                "add a {} {name} with usual values, to be put right",
                word.word()
            ),
        )
    };
    Some(ProblemMend {
        title,
        edits: vec![ahead_of(plan, unknown.stanza, &text)],
    })
}

/// Puts a stanza right ahead of another, with the line ends that are used there.
fn ahead_of(plan: &Plan, id: StanzaId, text: &str) -> Edit {
    let stanza = plan.stanza(id);
    let end = crate::text::line_ending_at(&stanza.text, 0);
    Edit {
        stanza: id,
        span: Span::new(stanza.word_span.start, stanza.word_span.start),
        text: format!("{}{end}", text.replace('\n', end)),
    }
}

/// How many slips of the finger a name is from the one that was written, where they are few for its length.
fn slips_from(name: &Name, written: &Name) -> Option<usize> {
    let is_letter = |name: &Name| name.0.chars().nth(1).is_none();
    if is_letter(name) && is_letter(written) {
        return None; // of one letter, all are one slip from each other
    }
    let few = (written.0.chars().count() / 3).max(1);
    if fewest_slips(&name.0, &written.0) > few {
        return None; // most are: it takes a fiftieth of the time to see that
    }
    let slips = strsim::osa_distance(&name.0, &written.0);
    (slips <= few).then_some(slips)
}

/// No fewer slips than this can make the one of the other: each of them puts in or takes out one letter at the most.
fn fewest_slips(a: &str, b: &str) -> usize {
    let mut more = [0i32; 64];
    for c in a.chars() {
        more[c as usize % 64] += 1;
    }
    for c in b.chars() {
        more[c as usize % 64] -= 1;
    }
    let (mut in_a, mut in_b) = (0, 0);
    for more in more {
        in_a += more.max(0);
        in_b += (-more).max(0);
    }
    in_a.max(in_b).unsigned_abs() as usize
}

/// Whether two names are one slip of the finger apart.
fn one_slip(a: &str, b: &str) -> bool {
    a.chars().count().max(b.chars().count()) > 2
        && strsim::osa_distance(a, b) == 1
        && !numbered_alike(a, b)
}

/// `saloon-1` and `saloon-2` are two names of a row, not a slip.
fn numbered_alike(a: &str, b: &str) -> bool {
    let stem = |s: &str| s.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    stem(a) == stem(b)
}

/// Whether a stanza defines what the role asks for.
pub fn fits(role: Role, word: StanzaWord) -> bool {
    match role {
        Role::Point => word.is_item() && word != StanzaWord::Load,
        Role::Item => word.is_item(),
        Role::Wire => word == StanzaWord::Wire,
        Role::Tape => word == StanzaWord::Tape,
        Role::Led => word == StanzaWord::Led,
        Role::Module => word == StanzaWord::Module,
        Role::Zone => word == StanzaWord::Zone,
        Role::Passage => word == StanzaWord::Passage,
        Role::Pattern => word == StanzaWord::Pattern,
        Role::StandIn => !matches!(word, StanzaWord::Pattern | StanzaWord::Link),
        _ => false,
    }
}

/// What a role asks for, in plain words.
fn wanted(role: Role) -> &'static str {
    match role {
        Role::Point => "something that hands power on",
        Role::Item => "an item of the wiring",
        Role::Wire => "a wire of the stock",
        Role::Tape => "a tape of the stock",
        Role::Led => "a led of the stock",
        Role::Module => "a module of the stock",
        Role::Zone => "a zone",
        Role::Passage => "a passage",
        Role::Pattern => "a pattern",
        Role::Output => "an output of this module",
        Role::Need => "a word that the pattern needs",
        Role::Piece => "a piece of the pattern",
        _ => "a name of the plan",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_name_is_fewer_slips_away(a in "[a-c0-2é🎇-]{0,9}", b in "[a-c0-2é🎇-]{0,9}") {
            prop_assert!(fewest_slips(&a, &b) <= strsim::osa_distance(&a, &b), "{} {}", a, b);
        }
    }

    #[test]
    fn what_is_nothing_alike_is_seen_at_once() {
        assert_eq!(fewest_slips("jetty-1", "xx1"), 6);
        assert_eq!(fewest_slips("keel", "kele"), 0);
        assert_eq!(fewest_slips("keel", "keels"), 1);
    }
}
