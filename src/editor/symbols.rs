//! The outline of a file. It follows the way the power goes: the supply, on it the fuse, on that the joint, and on that
//! the lights. Stock, places and states stand in groups of their own.

use std::collections::HashMap;

use crate::checks::Analysis;
use crate::circuit::{ItemFigures, Solution};
use crate::numbers::show_short;
use crate::plan::{FileId, ItemId, Part, Plan, StanzaId};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// What an entry stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SymbolKind {
    /// What is bought.
    Stock,
    /// What is wired.
    Item,
    /// A zone, a passage.
    Place,
    /// A scene, a stage.
    State,
    /// A pattern or a piece of one.
    Pattern,
}

/// An entry of the outline. Spans are of the file; what hangs on an item may stand anywhere in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// Its name; for a group, what it holds.
    pub name: String,
    /// Its figures, in a few words.
    pub detail: String,
    /// What it stands for.
    pub kind: SymbolKind,
    /// The stanza, without the comments around it.
    pub span: Span,
    /// The name.
    pub name_span: Span,
    /// What hangs on it.
    pub children: Vec<Symbol>,
}

/// What hangs deeper than this stands beside its feeder: a chain of thousands must not make a tree as deep.
const DEEPEST: usize = 24;

/// The outline of a file.
pub fn symbols(a: &Analysis, file: FileId) -> Vec<Symbol> {
    let plan = &a.plan;
    let stanzas = (0..plan.files.get(file.0).map_or(0, |f| f.tree.stanzas.len()))
        .map(|index| StanzaId { file, index });
    let item_of: HashMap<StanzaId, ItemId> = plan
        .items
        .iter()
        .enumerate()
        .filter(|(_, i)| i.copy.is_none())
        .map(|(index, i)| (i.stanza, ItemId(index)))
        .collect();

    let mut power = Vec::new();
    let mut groups = [
        ("Patterns", SymbolKind::Pattern, Vec::new()),
        ("Stock", SymbolKind::Stock, Vec::new()),
        ("Places", SymbolKind::Place, Vec::new()),
        ("Scenes and stages", SymbolKind::State, Vec::new()),
    ];
    for id in stanzas {
        let item = item_of.get(&id).copied();
        let Some((word, kind)) = kind(plan, id) else {
            continue;
        };
        let Some(symbol) = entry(a, id, word, kind, item) else {
            continue;
        };
        match groups.iter_mut().find(|g| g.1 == kind) {
            Some(group) => group.2.push(symbol),
            None => power.push((item, symbol)),
        }
    }
    let mut outline = by_feed(plan, power);
    for (name, kind, members) in groups {
        outline.extend(group(name, kind, members));
    }
    outline
}

/// What the stanza of a name stands for, and its word; `None` for a stanza that defines nothing.
pub(super) fn kind(plan: &Plan, id: StanzaId) -> Option<(StanzaWord, SymbolKind)> {
    let word = plan.stanza(id).word?;
    let kind = match word {
        StanzaWord::Pattern => SymbolKind::Pattern,
        StanzaWord::Zone | StanzaWord::Passage => SymbolKind::Place,
        StanzaWord::Scene | StanzaWord::Stage => SymbolKind::State,
        _ if word.is_stock() => SymbolKind::Stock,
        _ if is_piece(plan, id) => SymbolKind::Pattern,
        _ if word.is_item() || word == StanzaWord::Link => SymbolKind::Item,
        _ => return None,
    };
    Some((word, kind))
}

fn is_piece(plan: &Plan, id: StanzaId) -> bool {
    let name = plan.stanza(id).name();
    name.is_some_and(|(name, _)| name.0.contains('.'))
}

fn entry(
    a: &Analysis,
    id: StanzaId,
    word: StanzaWord,
    kind: SymbolKind,
    item: Option<ItemId>,
) -> Option<Symbol> {
    let plan = &a.plan;
    let stanza = plan.stanza(id);
    let (name, name_span) = stanza.name()?;
    let figures = item.and_then(|i| detail(plan, &a.solution, i));
    let detail = if plan.left_out.contains(&id) {
        format!("{}, left out", word.word())
    } else {
        match figures {
            Some(figures) => format!("{} {figures}", word.word()),
            None => word.word().to_string(),
        }
    };
    Some(Symbol {
        name: name.0.to_string(),
        detail,
        kind,
        span: plan.in_file(id, stanza.core_span()),
        name_span: plan.in_file(id, name_span),
        children: Vec::new(),
    })
}

/// The figures of an item in a few words, from the scene in which the most flows: `11.9 V 36 mA`.
pub(super) fn detail(plan: &Plan, solution: &Solution, id: ItemId) -> Option<String> {
    let item = &plan.items[id.0];
    let draws = item.is_light() || matches!(item.part, Part::Load(_));
    let current = |own: &ItemFigures| if draws { own.amps } else { own.passes };
    let own = solution
        .shown_of(id)
        .into_iter()
        .filter_map(|s| s.outcome.as_ref().ok()?.items.get(id.0))
        .filter(|own| own.reached)
        .max_by(|x, y| {
            let (x, y) = (current(x).typical.value, current(y).typical.value);
            x.total_cmp(&y)
        })?;
    Some(format!(
        "{} {}",
        show_short(own.volts.typical),
        show_short(current(own).typical)
    ))
}

/// Hangs every item on what feeds it; what is fed from another file, or by nothing known, stands at the top.
fn by_feed(plan: &Plan, power: Vec<(Option<ItemId>, Symbol)>) -> Vec<Symbol> {
    let place_of: HashMap<ItemId, usize> = power
        .iter()
        .enumerate()
        .filter_map(|(place, (item, _))| Some((((*item)?), place)))
        .collect();
    let feeder: Vec<Option<usize>> = power
        .iter()
        .map(|(item, _)| {
            let feed = plan.items[(*item)?.0].feed.as_ref()?;
            place_of.get(&feed.from.item).copied()
        })
        .collect();
    let mut hangs_on: Vec<Vec<usize>> = vec![Vec::new(); power.len()];
    let mut top = Vec::new();
    for (place, feeder) in feeder.iter().enumerate() {
        match feeder {
            Some(feeder) => hangs_on[*feeder].push(place),
            None => top.push(place),
        }
    }
    let mut symbols: Vec<Option<Symbol>> = power.into_iter().map(|(_, s)| Some(s)).collect();
    // In the order of the power, each with its depth; a stack of our own, since a chain may be long.
    let mut order = Vec::with_capacity(symbols.len());
    let mut ahead: Vec<(usize, usize)> = top.into_iter().rev().map(|place| (place, 0)).collect();
    while let Some((place, depth)) = ahead.pop() {
        order.push((place, depth.min(DEEPEST)));
        ahead.extend(hangs_on[place].iter().rev().map(|&next| (next, depth + 1)));
    }
    // An open branch of the tree: its entries from the top down.
    let mut branch: Vec<Symbol> = Vec::new();
    let mut outline = Vec::new();
    let close = |branch: &mut Vec<Symbol>, outline: &mut Vec<Symbol>, depth: usize| {
        while branch.len() > depth {
            let Some(done) = branch.pop() else { break };
            match branch.last_mut() {
                Some(parent) => parent.children.push(done),
                None => outline.push(done),
            }
        }
    };
    for (place, depth) in order {
        close(&mut branch, &mut outline, depth);
        branch.extend(symbols[place].take());
    }
    close(&mut branch, &mut outline, 0);
    outline
}

fn group(name: &str, kind: SymbolKind, members: Vec<Symbol>) -> Option<Symbol> {
    let (first, rest) = members.split_first()?;
    Some(Symbol {
        name: name.into(),
        detail: String::new(),
        kind,
        span: rest.iter().fold(first.span, |whole, m| whole.to(m.span)),
        name_span: first.name_span,
        children: members,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    /// The outline, a line an entry, indented by its depth.
    fn outline(text: &str) -> String {
        let a = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
        let mut lines = String::new();
        let mut open: Vec<(Symbol, usize)> = symbols(&a, FileId(0))
            .into_iter()
            .rev()
            .map(|s| (s, 0))
            .collect();
        while let Some((symbol, depth)) = open.pop() {
            let name = &text[symbol.name_span.range()];
            let shown = if symbol.name == name {
                symbol.name.clone()
            } else {
                format!("[{}]", symbol.name)
            };
            let line = format!("{}{shown} {}", "  ".repeat(depth), symbol.detail);
            lines.push_str(line.trim_end());
            lines.push('\n');
            open.extend(symbol.children.into_iter().rev().map(|c| (c, depth + 1)));
        }
        lines
    }

    #[test]
    fn what_takes_turns_has_the_figures_of_its_turn() {
        let text = "\
led sign drops 2.0 V at 20 mA limit 25 mA colour red
module winker
  works 4.2 V to 14 V
  draws 5 mA
  output a 60 mA
  output b 60 mA
  turns a, b
supply adapter 12 V 0.5 A
board wink of winker from adapter
load l draws 50 mA from wink.a
lamp r of sign resistor 330 ohm from wink.b
";
        let outline = outline(text);
        assert!(outline.contains("r lamp 12 V 30"), "{outline}");
    }

    #[test]
    fn it_follows_the_way_of_the_power() {
        let text = "\
# Lights first: the order of the file does not matter.
lamp mast of pearl resistor 1 kohm from keel
lamp stern of pearl resistor 1 kohm from kel
led pearl
  drops 3.0 V at 20 mA
joint keel from F1
supply adapter 12 V 1 A
fuse F1 160 mA from adapter
zone deck
scene dusk
pattern wing
lamp wing.tip of pearl resistor 1 kohm from wing
copy port of wing from keel
";
        assert_eq!(
            outline(text),
            "\
stern lamp, left out
adapter supply 12 V 18.3 mA
  F1 fuse 12 V 18.3 mA
    keel joint 12 V 18.3 mA
      mast lamp 12 V 9.15 mA
      port copy 12 V 9.15 mA
[Patterns]
  wing pattern
  wing.tip lamp
[Stock]
  pearl led
[Places]
  deck zone
[Scenes and stages]
  dusk scene
"
        );
    }
}
