//! Every place where a thing is mentioned: where it is defined, and where it is used.
//!
//! A mention is one word: `port.tip` mentions the copy `port` and the piece `tip`. It is read off the words as they
//! are written, so that a stanza in error mentions things too; nothing here needs a figure.

use std::cell::OnceCell;
use std::collections::HashMap;

use crate::plan::{FileId, Plan, StanzaId};
use crate::syntax::tree::{Clause, Name, Stanza, Value, ValueKind, names};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// What a word stands for.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Thing {
    /// What this stanza defines: stock, an item, a link, a place, a pattern, a piece, a scene, a stage.
    Stanza(StanzaId),
    /// An output of the module that this stanza defines.
    Output(StanzaId, Name),
    /// A word that the pattern of this stanza needs.
    Need(StanzaId, Name),
    /// A check.
    Check(Name),
}

/// A word that stands for something.
#[derive(Clone, Debug, PartialEq)]
pub struct Mention {
    /// The stanza that the word stands in.
    pub stanza: StanzaId,
    /// The word, relative to that stanza.
    pub span: Span,
    /// What it stands for.
    pub thing: Thing,
    /// It is defined by this word.
    pub defines: bool,
}

/// Reads the mentions of a plan.
pub struct Mentions<'a> {
    plan: &'a Plan,
    /// The copies of each pattern; looked up when first needed.
    copies: OnceCell<HashMap<StanzaId, Vec<StanzaId>>>,
}

/// A stanza of an item; for a piece as a copy has it, the copy too.
type Place = (StanzaId, Option<StanzaId>);

impl<'a> Mentions<'a> {
    /// The mentions of a plan.
    pub fn new(plan: &'a Plan) -> Mentions<'a> {
        Mentions {
            plan,
            copies: OnceCell::new(),
        }
    }

    /// The plan.
    pub fn plan(&self) -> &'a Plan {
        self.plan
    }

    /// What is mentioned at this byte of a file. One word may stand for several things: the output of a board that
    /// is another one in each copy.
    pub fn at(&self, file: FileId, offset: usize) -> Vec<Mention> {
        let found = || {
            let offset = u32::try_from(offset).ok()?;
            let stanza = self.plan.stanza_at(file, offset)?;
            let at = offset - self.plan.in_file(stanza, Span::default()).start;
            let mut here = self.in_stanza(stanza);
            here.retain(|mention| mention.span.touches(at));
            // The word that begins or goes on here; else the one that ends here.
            if let Some(on) = here.iter().find(|m| at < m.span.end).map(|m| m.span) {
                here.retain(|mention| mention.span == on);
            }
            Some(here)
        };
        found().unwrap_or_default()
    }

    /// Every mention of a thing, in the order of the files; of one file alone, if one is named.
    pub fn of(&self, thing: &Thing, only: Option<FileId>) -> Vec<Mention> {
        let Some(word) = self.word(thing) else {
            return Vec::new();
        };
        let files = (0..self.plan.files.len()).map(FileId);
        let stanzas = files
            .filter(|file| only.is_none_or(|only| only == *file))
            .flat_map(|file| {
                let count = self.plan.files[file.0].tree.stanzas.len();
                (0..count).map(move |index| StanzaId { file, index })
            })
            // Names are compared in form NFC; what is written in ASCII alone is in that form.
            .filter(|id| {
                let text = &*self.plan.stanza(*id).text;
                text.contains(&*word.0) || !text.is_ascii()
            });
        stanzas
            .flat_map(|id| self.in_stanza(id))
            .filter(|mention| mention.thing == *thing)
            .collect()
    }

    /// The word of a thing: of a piece its own, without the pattern's.
    pub fn word(&self, thing: &Thing) -> Option<Name> {
        match thing {
            Thing::Stanza(id) => {
                let (name, _) = self.plan.stanza(*id).name()?;
                let last = name.0.rsplit('.').next()?;
                Some(Name(last.into()))
            }
            Thing::Output(_, name) | Thing::Need(_, name) | Thing::Check(name) => {
                Some(name.clone())
            }
        }
    }

    /// Where a thing is defined, by which word. A check is defined by no plan.
    pub fn definition(&self, thing: &Thing) -> Option<(StanzaId, Span)> {
        let (Thing::Stanza(id) | Thing::Output(id, _) | Thing::Need(id, _)) = thing else {
            return None;
        };
        let mut here = self.in_stanza(*id).into_iter();
        let mention = here.find(|m| m.defines && m.thing == *thing)?;
        Some((*id, mention.span))
    }

    /// Every mention in a stanza.
    pub fn in_stanza(&self, id: StanzaId) -> Vec<Mention> {
        let stanza = self.plan.stanza(id);
        let mut found = Vec::new();
        let Some(word) = stanza.word else {
            return found;
        };
        let own = stanza.name().map(|(_, span)| span);
        for value in &stanza.head {
            if own == Some(value.span) {
                self.own_name(id, value, &mut found);
            } else {
                self.used(id, value, &mut found);
            }
        }
        self.in_clauses(id, word, &stanza.clauses, &mut found);
        found
    }

    fn in_clauses(
        &self,
        id: StanzaId,
        word: StanzaWord,
        clauses: &[Clause],
        found: &mut Vec<Mention>,
    ) {
        for clause in clauses {
            for (place, value) in clause.values.iter().enumerate() {
                let ValueKind::Name(name) = &value.kind else {
                    continue;
                };
                let mut add = |thing, defines| {
                    found.push(Mention {
                        stanza: id,
                        span: value.span,
                        thing,
                        defines,
                    });
                };
                let is_module = word == StanzaWord::Module;
                match clause.word {
                    "accept" | "treat" => add(Thing::Check(name.clone()), false),
                    "output" if is_module => add(Thing::Output(id, name.clone()), true),
                    "turns" if is_module => add(Thing::Output(id, name.clone()), false),
                    "needs" => add(Thing::Need(id, name.clone()), true),
                    "where" if place.is_multiple_of(2) => {
                        let need = self.pattern_of(id).map(|(_, p)| (p, name.clone()));
                        if let Some((pattern, name)) = need.filter(|(p, n)| self.needs(*p, n)) {
                            add(Thing::Need(pattern, name), false);
                        }
                    }
                    "but" => {
                        let pattern = self.pattern_of(id);
                        if let Some(piece) = pattern.and_then(|(p, _)| self.piece(&p.0, &name.0)) {
                            add(Thing::Stanza(piece), false);
                        }
                    }
                    "colour" | "colours" => {}
                    _ => self.used(id, value, found),
                }
            }
            self.in_clauses(id, word, &clause.parts, found);
        }
    }

    /// A stanza's own name; of a piece, the pattern's ahead of it.
    fn own_name(&self, id: StanzaId, value: &Value, found: &mut Vec<Mention>) {
        let words = words(self.plan.stanza(id), value);
        if let [(pattern, span), _] = &words[..]
            && let Some(pattern) = self.named(pattern, StanzaWord::Pattern)
        {
            found.push(Mention {
                stanza: id,
                span: *span,
                thing: Thing::Stanza(pattern),
                defines: false,
            });
        }
        if let Some((_, span)) = words.last() {
            found.push(Mention {
                stanza: id,
                span: *span,
                thing: Thing::Stanza(id),
                defines: true,
            });
        }
    }

    /// A name that is used: each of its words.
    fn used(&self, id: StanzaId, value: &Value, found: &mut Vec<Mention>) {
        let words = words(self.plan.stanza(id), value);
        let mut add = |place: usize, thing: Thing| {
            if let Some((_, span)) = words.get(place) {
                found.push(Mention {
                    stanza: id,
                    span: *span,
                    thing,
                    defines: false,
                });
            }
        };
        let Some((first, rest)) = words.split_first() else {
            return;
        };
        let Some(definition) = self.plan.names.get(&first.0) else {
            return;
        };
        let leads_to = definition.stanza;
        add(0, Thing::Stanza(leads_to));
        let (places, output): (Vec<Place>, usize) = match (definition.word, rest.first()) {
            (StanzaWord::Pattern, Some((word, _))) if self.needs(leads_to, word) => {
                add(1, Thing::Need(leads_to, word.clone()));
                let copies = self.copies_of(leads_to).iter();
                let stand_ins = copies.filter_map(|copy| self.stand_in(*copy, word));
                (stand_ins.filter_map(|name| self.place(name)).collect(), 2)
            }
            (StanzaWord::Pattern | StanzaWord::Copy, Some(_)) => {
                let front = Name(format!("{}.{}", first.0.0, rest[0].0.0).into());
                let Some(place) = self.place(&front) else {
                    return;
                };
                add(1, Thing::Stanza(place.0));
                (vec![place], 2)
            }
            _ => (vec![(leads_to, None)], 1),
        };
        let Some((output_name, _)) = words.get(output) else {
            return;
        };
        let mut modules: Vec<StanzaId> = Vec::new();
        modules.extend(places.iter().flat_map(|place| self.modules(*place)));
        modules.sort();
        modules.dedup();
        for module in modules {
            if output_in(self.plan.stanza(module), output_name).is_some() {
                add(output, Thing::Output(module, output_name.clone()));
            }
        }
    }

    /// The stanza of this word that defines a name.
    fn named(&self, name: &Name, word: StanzaWord) -> Option<StanzaId> {
        let definition = self.plan.names.get(name)?;
        (definition.word == word).then_some(definition.stanza)
    }

    /// The pattern that a stanza copies.
    fn pattern_of(&self, copy: StanzaId) -> Option<(&'a Name, StanzaId)> {
        let stanza = self.plan.stanza(copy);
        if stanza.word != Some(StanzaWord::Copy) {
            return None;
        }
        let (name, _) = names(&stanza.head).nth(1)?;
        Some((name, self.named(name, StanzaWord::Pattern)?))
    }

    /// The stanza of a pattern's piece.
    fn piece(&self, pattern: &str, piece: &str) -> Option<StanzaId> {
        let name = Name(format!("{pattern}.{piece}").into());
        self.plan.names.get(&name).map(|d| d.stanza)
    }

    /// Whether a pattern needs this word.
    fn needs(&self, pattern: StanzaId, word: &Name) -> bool {
        let needs = self.plan.stanza(pattern).clause("needs");
        needs.is_some_and(|clause| clause.names().any(|(need, _)| need == word))
    }

    /// What stands for a needed word in a copy.
    fn stand_in(&self, copy: StanzaId, need: &Name) -> Option<&'a Name> {
        let clause = self.plan.stanza(copy).clause("where")?;
        let mut pairs = clause.values.chunks(2).filter_map(|pair| match pair {
            [a, b] => match (&a.kind, &b.kind) {
                (ValueKind::Name(word), ValueKind::Name(name)) => Some((word, name)),
                _ => None,
            },
            _ => None,
        });
        pairs.find(|(word, _)| *word == need).map(|(_, name)| name)
    }

    /// What stands for a needed word: in this copy, if `stanza` is one, else in every copy.
    pub fn stand_ins(&self, need: &Thing, stanza: Option<StanzaId>) -> Vec<Thing> {
        let Thing::Need(pattern, word) = need else {
            return Vec::new();
        };
        let one = stanza.filter(|id| self.pattern_of(*id).is_some_and(|(_, p)| p == *pattern));
        let copies = match &one {
            Some(copy) => std::slice::from_ref(copy),
            None => self.copies_of(*pattern),
        };
        let names = copies.iter().filter_map(|copy| self.stand_in(*copy, word));
        let places = names.filter_map(|name| self.place(name));
        places.map(|(stanza, _)| Thing::Stanza(stanza)).collect()
    }

    fn copies_of(&self, pattern: StanzaId) -> &[StanzaId] {
        let copies = self.copies.get_or_init(|| {
            let mut copies: HashMap<StanzaId, Vec<StanzaId>> = HashMap::new();
            for id in &self.plan.order {
                if let Some((_, pattern)) = self.pattern_of(*id) {
                    copies.entry(pattern).or_default().push(*id);
                }
            }
            copies
        });
        copies.get(&pattern).map_or(&[], Vec::as_slice)
    }

    /// The stanza of an item, or of a piece as the pattern or a copy has it.
    fn place(&self, name: &Name) -> Option<Place> {
        let Some((front, piece)) = name.0.split_once('.') else {
            return self.plan.names.get(name).map(|d| (d.stanza, None));
        };
        let definition = self.plan.names.get(&Name(front.into()))?;
        match definition.word {
            StanzaWord::Pattern => Some((self.piece(front, piece)?, None)),
            StanzaWord::Copy => {
                let (pattern, _) = self.pattern_of(definition.stanza)?;
                Some((self.piece(&pattern.0, piece)?, Some(definition.stanza)))
            }
            _ => None,
        }
    }

    /// The modules that a board is of: one, but for a pattern's board whose module each copy says.
    fn modules(&self, (board, copy): Place) -> Vec<StanzaId> {
        let stanza = self.plan.stanza(board);
        if stanza.word != Some(StanzaWord::Board) {
            return Vec::new();
        }
        let Some((of, _)) = names(&stanza.head).nth(1) else {
            return Vec::new();
        };
        let module = |name: &Name| self.named(name, StanzaWord::Module);
        let Some((pattern, need)) = of.0.split_once('.') else {
            return module(of).into_iter().collect();
        };
        let need = Name(need.into());
        let one = copy.map(|copy| vec![copy]);
        let copies = one.or_else(|| {
            let pattern = self.named(&Name(pattern.into()), StanzaWord::Pattern)?;
            Some(self.copies_of(pattern).to_vec())
        });
        let copies = copies.unwrap_or_default().into_iter();
        copies
            .filter_map(|copy| module(self.stand_in(copy, &need)?))
            .collect()
    }
}

/// The words of a name as written, with the place of each.
fn words(stanza: &Stanza, value: &Value) -> Vec<(Name, Span)> {
    let ValueKind::Name(name) = &value.kind else {
        return Vec::new();
    };
    let mut at = value.span.start;
    let mut spans = stanza.words(value.span).split('.').map(|written| {
        let start = at;
        at = start.saturating_add(written.len() as u32 + 1);
        Span::new(start, start + written.len() as u32)
    });
    let words = name.0.split('.');
    words
        .filter_map(|word| Some((Name(word.into()), spans.next()?)))
        .collect()
}

/// Where the stanza of a module defines an output.
fn output_in(stanza: &Stanza, output: &Name) -> Option<Span> {
    let mut outputs = stanza.clauses.iter().filter(|c| c.word == "output");
    outputs
        .find_map(|c| c.names().next().filter(|(name, _)| *name == output))
        .map(|(_, span)| span)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "\
module flasher draws 3 mA
  output a 60 mA
  output b 60 mA
  turns a, b
module steady draws 2 mA
  output a 40 mA
led pearl drops 3.0 V at 20 mA
led ruby drops 2.0 V at 20 mA
zone deck
supply cell 12 V
board blink of flasher from cell accept not-tried because \"so\"
board calm of steady from cell
pattern wing needs lens, brd, mod
lamp wing.tip of wing.lens resistor 560 ohm from wing.brd.a
lamp wing.end of pearl resistor 560 ohm from wing.own.a
board wing.own of wing.mod from wing
copy port of wing from cell where lens ruby, brd blink, mod flasher
  but tip resistor 680 ohm in deck
copy starboard of wing from cell where lens pearl, brd calm, mod flasher
scene dusk off port.tip, blink.b, port.own.b
stage hull fits port.end, cell
";

    /// A text in which the mentions of one thing are marked, `«where it is defined»` and `‹where it is used›`: from
    /// each of them all are found.
    fn are_one(marked: &str) {
        let (text, marks) = unmarked(marked);
        let plan = Plan::of(FileKey::new("plan"), text.as_str().into(), &Alone);
        let mentions = Mentions::new(&plan);
        for (from, _) in &marks {
            let at = mentions.at(FileId(0), from.start as usize);
            let [on] = &at[..] else {
                panic!("{at:?} at {from:?} in {marked}");
            };
            let found = mentions.of(&on.thing, None).into_iter();
            let found: Vec<_> = found
                .map(|m| (plan.in_file(m.stanza, m.span), m.defines))
                .collect();
            assert_eq!(found, marks, "from {from:?} in {marked}");
        }
    }

    fn unmarked(marked: &str) -> (String, Vec<(Span, bool)>) {
        let (mut text, mut marks, mut start) = (String::new(), Vec::new(), 0);
        for c in marked.chars() {
            let at = text.len() as u32;
            match c {
                '«' | '‹' => start = at,
                '»' | '›' => marks.push((Span::new(start, at), c == '»')),
                c => text.push(c),
            }
        }
        (text, marks)
    }

    /// Marks these words in [`PLAN`], each at the first place where it stands.
    fn with_marks(marks: &[&str]) -> String {
        let mut text = PLAN.to_owned();
        for marked in marks {
            let plain: String = marked.chars().filter(|c| !"«»‹›".contains(*c)).collect();
            assert_eq!(text.matches(&plain).count(), 1, "{plain}");
            text = text.replace(&plain, marked);
        }
        text
    }

    #[test]
    fn items_stock_and_places() {
        are_one(&with_marks(&[
            "supply «cell» 12 V",
            "flasher from ‹cell›",
            "steady from ‹cell›",
            "port of wing from ‹cell›",
            "starboard of wing from ‹cell›",
            "port.end, ‹cell›",
        ]));
        are_one(&with_marks(&["board «blink»", "brd ‹blink›", " ‹blink›.b"]));
        are_one(&with_marks(&[
            "led «pearl»",
            "wing.end of ‹pearl›",
            "lens ‹pearl›",
        ]));
        are_one(&with_marks(&["zone «deck»", "in ‹deck›"]));
        are_one(&with_marks(&["scene «dusk»"]));
        are_one(&with_marks(&["stage «hull»"]));
    }

    #[test]
    fn patterns_pieces_and_copies() {
        are_one(&with_marks(&["wing.«tip»", "but ‹tip›", "off port.‹tip›"]));
        are_one(&with_marks(&[
            "copy «port»",
            "off ‹port›.tip",
            " ‹port›.own.b",
            "fits ‹port›",
        ]));
        are_one(&with_marks(&["wing.«end»", "fits port.‹end›"]));
        are_one(&with_marks(&[
            "board wing.«own»",
            "from wing.‹own›.a",
            "port.‹own›.b",
        ]));
        are_one(
            "pattern «wing» needs lens\nlamp ‹wing›.tip of ‹wing›.lens from ‹wing›\ncopy port of ‹wing› from x\n",
        );
        are_one(&with_marks(&[
            "needs «lens»",
            "of wing.‹lens›",
            "where ‹lens› ruby",
            "where ‹lens› pearl",
        ]));
        are_one(&with_marks(&[
            "brd, «mod»",
            "of wing.‹mod›",
            "blink, ‹mod›",
            "calm, ‹mod›",
        ]));
    }

    #[test]
    fn outputs_of_a_module() {
        are_one(&with_marks(&[
            "output «b» 60",
            "turns a, ‹b›",
            "blink.‹b›",
            "port.own.‹b›",
        ]));
        // One word, two things: in each copy another board.
        let plan = Plan::of(FileKey::new("plan"), PLAN.into(), &Alone);
        let at = PLAN.find("brd.a").unwrap() + 4;
        let both = Mentions::new(&plan).at(FileId(0), at);
        let modules: Vec<_> = both.iter().map(|m| &m.thing).collect();
        assert!(
            matches!(modules[..], [Thing::Output(one, _), Thing::Output(two, _)] if one != two),
            "{modules:?}"
        );
    }

    #[test]
    fn checks() {
        are_one(
            "harness \"x\" treat ‹zone-dark› as off\nzone a accept ‹zone-dark› because \"x\"\n",
        );
    }

    #[test]
    fn stanzas_in_error_mention_things_too() {
        are_one("joint «keel» from\nlamp mast of from ‹keel›\nfuse F1 from ‹keel› over of\n");
        // The second definition of a name is a thing of its own.
        are_one("zone «a»\nzone a\nzone b as bright as ‹a›\n");
        are_one("zone a\nzone «a»\nzone b as bright as a\n");
        // Both ways to write the same letter.
        are_one("zone «\u{f6}l»\nzone b as bright as ‹o\u{308}l›\n");
    }

    #[test]
    fn no_thing() {
        for text in [
            "$0zone a",
            "zone $0",
            "led a colour w$0hite",
            "joint a from $0b",
            "# a$0",
        ] {
            let at = text.find("$0").unwrap();
            let plan = Plan::of(FileKey::new("plan"), text.replace("$0", "").into(), &Alone);
            assert_eq!(Mentions::new(&plan).at(FileId(0), at), [], "{text}");
        }
    }
}
