//! Names of the right kind: what the stanzas above use in the same place first, then what stands nearest.

use std::collections::{HashMap, HashSet};

use super::ask::Ask;
use super::preference::Preference;
use super::{About, Offer, OfferKind};
use super::{new_names, patterns, points};
use crate::circuit::copper::per_metre;
use crate::circuit::wire_capacity::may_carry;
use crate::numbers::{count, length, show, three_digits};
use crate::plan::{Definition, Opening, Plan, StanzaId, Target, ZoneId, fits};
use crate::syntax::expected::Within;
use crate::syntax::tree::{Clause, Name, ValueKind, names};
use crate::syntax::vocabulary::{Role, StanzaWord, WIRE_COLOURS};

/// More names than this nobody reads; of more, the nearest are listed.
const MOST: usize = 1000;

/// The names that a place can have, and whether these are all.
pub(super) fn offers(ask: &Ask, within: &[Within], role: Role) -> (Vec<Offer>, bool) {
    let named = |kind, list: Vec<(String, String)>| {
        let offer = |(name, detail)| Offer::new(kind, name, ask.about(within)).detail(detail);
        (list.into_iter().map(offer).collect::<Vec<_>>(), true)
    };
    match role {
        Role::Defined => named(OfferKind::Name, new_names::new_names(ask)),
        Role::OutputDefined => named(OfferKind::Name, new_names::new_output(ask)),
        Role::NeedDefined | Role::Check => (Vec::new(), true),
        Role::WireColour => {
            let given = given(ask, within);
            let free = WIRE_COLOURS.iter().filter(|c| !given.contains(**c));
            named(
                OfferKind::Choice,
                free.map(|c| ((*c).to_owned(), String::new())).collect(),
            )
        }
        Role::Output => named(OfferKind::Item, outputs_here(ask, within)),
        Role::Need => named(OfferKind::Name, patterns::needs(ask, within)),
        Role::Piece => named(OfferKind::Name, patterns::pieces(ask)),
        Role::StandIn => of_plan(ask, within, patterns::role_of_need(ask, within)),
        _ => of_plan(ask, within, role),
    }
}

/// Whether a name is one of the plan that fits a role.
pub(super) fn is_one(plan: &Plan, role: Role, name: &Name) -> bool {
    let own = |d: &Definition| fits(role, d.word) && !(role == Role::Point && is_board(d));
    match plan.names.get(name) {
        Some(definition) => own(definition) && !is_piece_of_pattern(plan, name),
        None => {
            let board = name.0.rsplit_once('.').map(|(board, _)| Name(board.into()));
            let known = board.and_then(|board| plan.names.get(&board));
            matches!(role, Role::Point | Role::Item)
                && known.is_some_and(is_board)
                && !is_piece_of_pattern(plan, name)
        }
    }
}

pub(super) fn is_board(definition: &Definition) -> bool {
    definition.word == StanzaWord::Board
}

/// Whether it is a lamp, a strip or a string.
pub(super) fn is_light(plan: &Plan, name: &Name) -> bool {
    let definition = plan.names.get(name);
    definition.is_some_and(|d| d.word.is_light())
}

/// Whether it is a piece that is tried on the bench: one that draws current, or a copy of such.
pub(super) fn is_tried(plan: &Plan, name: &Name) -> bool {
    let definition = plan.names.get(name);
    definition.is_some_and(|d| {
        d.word.is_light()
            || matches!(
                d.word,
                StanzaWord::Board | StanzaWord::Load | StanzaWord::Copy
            )
    })
}

/// Whether it is a piece of a pattern itself, not of a copy.
fn is_piece_of_pattern(plan: &Plan, name: &Name) -> bool {
    name.0.split_once('.').is_some_and(|(first, _)| {
        let first = plan.names.get(&Name(first.into()));
        first.is_some_and(|d| d.word == StanzaWord::Pattern)
    })
}

/// The names that the place's clause says already.
pub(super) fn given(ask: &Ask, within: &[Within]) -> HashSet<String> {
    let values = ask.values(within);
    names(values).map(|(name, _)| name.0.to_string()).collect()
}

/// Names of the plan, in the order of their use.
pub(super) fn of_plan(ask: &Ask, within: &[Within], role: Role) -> (Vec<Offer>, bool) {
    let plan = ask.plan;
    let own = ask.tree.name().map(|(name, _)| name);
    let clause = within.last().map_or("", |w| w.shape.word);
    let mut skipped: HashSet<String> = match within {
        [] => HashSet::new(),
        _ => given(ask, within),
    };
    skipped.extend(own.map(|own| own.0.to_string()));
    let mut used: HashMap<&str, usize> = HashMap::new();
    let said = ask.said_above(within);
    for (_, value) in &said {
        if let ValueKind::Name(name) = &value.kind {
            let next = used.len();
            used.entry(&name.0).or_insert(next);
        }
    }
    let mut hangs = points::Hangs::on(plan, own.filter(|_| role == Role::Point));
    let preference = Preference::of(ask, within, clause);
    let tried = ask.stanza_word == StanzaWord::Tried;

    // What fits, with its place in the list.
    let mut found: Vec<(Key, &Name, &Definition)> = plan
        .names
        .iter()
        .filter(|(name, d)| {
            fits(role, d.word)
                && !is_piece_of_pattern(plan, name)
                && !skipped.contains(&*name.0)
                && (!tried || is_tried(plan, name))
        })
        .map(|(name, d)| match used.contains_key(&*name.0) {
            true => ((0, 0, 0), name, d),
            false => (place(ask, d.stanza), name, d),
        })
        .collect();
    let complete = found.len() <= MOST;
    if !complete {
        // The editor asks again with each letter.
        let written = ask.written.to_lowercase();
        found.retain(|(_, name, _)| name.0.to_lowercase().contains(&written));
    }
    if found.len() > MOST {
        found.select_nth_unstable_by_key(MOST, |f| f.0);
        found.truncate(MOST);
    }
    // What a copy of the pattern at hand has is no part of the pattern; what switches the minus feeds nothing.
    let pattern = ask.pattern();
    let is_copy = |name: &Name| {
        let (copy, _) = name.0.split_once('.').unwrap_or((&name.0, ""));
        pattern
            .as_ref()
            .is_some_and(|of| patterns::is_copy_of(plan, copy, of))
    };
    let may_sink = role != Role::Point || clause == "return";
    let mut list: Vec<((u8, usize, Key), Offer)> = Vec::new();
    let mut put = |own: bool, name: &str, key: Key, detail: String, kind| {
        if skipped.contains(name) {
            return;
        }
        let use_of = used.get(name).copied().unwrap_or(usize::MAX);
        // A pattern's own names come first in its pieces.
        let first = match own {
            true => 2 * preference.rank_inside(ask.a, name),
            false => 1 + 2 * preference.rank(ask.a, name),
        };
        let about = About::Name(name.to_owned());
        list.push((
            (first, use_of, key),
            Offer::new(kind, name, about).detail(detail),
        ));
    };
    for (key, name, definition) in found {
        if hangs.hangs(name) || is_copy(name) {
            continue;
        }
        let kind = kind_of(definition.word);
        let has_outputs = is_board(definition) && !tried;
        if has_outputs && matches!(role, Role::Point | Role::Item | Role::StandIn) {
            let outputs = points::outputs(ask.a, name, definition).into_iter();
            for output in outputs.filter(|output| may_sink || !output.sinks) {
                let written = format!("{}.{}", name.0, output.name);
                put(false, &written, key, output.detail, kind);
            }
        }
        if !(is_board(definition) && role == Role::Point) {
            put(false, &name.0, key, detail(ask, name, definition), kind);
        }
    }
    if let Some(pattern) = &pattern {
        let inside = patterns::inside_pattern(ask, pattern, role).into_iter();
        for (name, detail) in inside {
            let known = Name(name.as_str().into());
            if !hangs.hangs(&known) && (may_sink || !points::is_sink(ask.a, &known)) {
                put(true, &name, (0, 0, 0), detail, OfferKind::Name);
            }
        }
    }
    list.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.label.cmp(&b.1.label)));
    (list.into_iter().map(|(_, offer)| offer).collect(), complete)
}

/// Where a stanza stands, seen from the place: above in the same file, below in it, in another.
type Key = (u8, usize, usize);

fn place(ask: &Ask, stanza: StanzaId) -> Key {
    let (here, there) = (ask.id, stanza);
    if here.file != there.file {
        (2, there.file.0, there.index)
    } else if there.index <= here.index {
        (0, here.index - there.index, 0)
    } else {
        (1, there.index - here.index, 0)
    }
}

fn kind_of(word: StanzaWord) -> OfferKind {
    match word {
        _ if word.is_stock() => OfferKind::Stock,
        _ if word.is_item() => OfferKind::Item,
        StanzaWord::Zone | StanzaWord::Passage => OfferKind::Place,
        _ => OfferKind::Name,
    }
}

/// What a name is, in a few words and figures.
fn detail(ask: &Ask, name: &Name, definition: &Definition) -> String {
    let plan = ask.plan;
    let word = definition.word.word();
    match definition.target {
        Some(Target::Wire(id)) => {
            let wire = &plan.wires[id.0];
            let ohms = per_metre(wire.copper, plan.settings.ambient).0;
            format!(
                "wire, {} of copper, {} ohm per metre, may carry {}",
                length(wire.copper),
                three_digits(ohms),
                show(may_carry(plan, wire))
            )
        }
        Some(Target::Tape(id)) => {
            let tape = &plan.tapes[id.0];
            let colour = tape.colour.map_or(String::new(), |c| format!(", {c}"));
            format!(
                "tape, {} in {}, {} at {}{colour}",
                count(tape.lamps as usize, "lamp"),
                length(tape.group),
                show(tape.draws),
                show(tape.draws_at)
            )
        }
        Some(Target::Led(id)) => {
            let led = &plan.leds[id.0];
            let colour = led.colour.map_or(String::new(), |c| format!(", {c}"));
            format!(
                "led, {} at {}{colour}",
                show(led.curve.stated_volts),
                show(led.curve.stated_amps)
            )
        }
        Some(Target::Module(id)) => {
            let module = &plan.modules[id.0];
            let outputs: Vec<&str> = module.outputs.iter().map(|o| &*o.name.0).collect();
            format!("module, outputs {}", outputs.join(", "))
        }
        Some(Target::Item(id)) => points::detail(ask.a, id),
        Some(Target::Zone(id)) => {
            let zone = &plan.zones[id.0];
            let material = zone.material.map_or(String::new(), |m| format!(", {m}"));
            let sealed = if zone.sealed { ", sealed" } else { "" };
            format!("zone{material}{sealed}")
        }
        Some(Target::Passage(id)) => {
            let passage = &plan.passages[id.0];
            let zone = |z: ZoneId| &*plan.zones[z.0].name.0;
            let ends = passage.ends.map_or(String::new(), |(a, b)| {
                format!(", between {} and {}", zone(a), zone(b))
            });
            let opening = match passage.opening {
                Some(Opening::Bore(d)) => format!(", bore {}", length(d)),
                Some(Opening::Slot(w, h)) => format!(", slot {} by {}", length(w), length(h)),
                None => String::new(),
            };
            format!("passage{ends}{opening}")
        }
        Some(Target::Pattern(stanza)) => {
            let needs = plan.stanza(stanza).clause("needs");
            let needs: Vec<String> = needs
                .into_iter()
                .flat_map(Clause::names)
                .map(|(need, _)| need.0.to_string())
                .collect();
            match needs.is_empty() {
                true => "pattern".into(),
                false => format!("pattern, needs {}", needs.join(", ")),
            }
        }
        Some(Target::Link(_)) => word.into(),
        None if plan.left_out.contains(&definition.stanza) => format!("{word}, left out"),
        None => format!("{word} {}", name.0),
    }
}

/// The outputs of the module at hand that the clause does not name yet.
fn outputs_here(ask: &Ask, within: &[Within]) -> Vec<(String, String)> {
    let given = given(ask, within);
    let outputs = ask.tree.clauses.iter().filter(|c| c.word == "output");
    outputs
        .filter_map(|c| Some((c.names().next()?.0.0.to_string(), ask.tree.words(c.span))))
        .filter(|(name, _)| !given.contains(name))
        .map(|(name, words)| (name, words.to_owned()))
        .collect()
}
