//! The grammar of one stanza, built from the vocabulary's slots.
//!
//! Every parser here is *total*: where something is missing or out of place it says so in its
//! output and goes on, so that all faults of a stanza are found in one pass, each on its own words.
//! Nothing here knows messages; [`super::reader`] turns [`Item`]s into a tree and faults.

use std::cell::RefCell;
use std::rc::Rc;

use chumsky::input::Stream;
use chumsky::prelude::*;

use super::lexeme::{Lex, Lexeme};
use super::near::slip_of;
use super::number::{Form, Number};
use super::reserved::is_reserved;
use super::vocabulary::{ClauseShape, Slot, StanzaShape, StanzaWord};
use crate::text::Span;

type Input = Stream<std::vec::IntoIter<Lexeme>>;
type Rule<O = Vec<Item>> = Boxed<'static, 'static, Input, O, extra::Default>;

/// What was found, in the order written.
#[derive(Clone, Debug)]
pub(super) enum Item {
    /// A name.
    Name(Span),
    /// A word of the language where a name must be.
    Reserved(Span),
    /// A number with letters where a name must be.
    NumberAsName(Span),
    /// A text; `false` where its quotes are not as they should be.
    Text(Span, bool),
    /// A number where this slot (or one of an `Either`) wants a quantity.
    Quantity(Number, Span, &'static Slot),
    /// A number where a count is wanted, and the word that it counts: as it should be, misspelt or missing.
    Count(Number, Span, &'static [&'static str], Option<(Span, bool)>),
    /// A number where a scale, a date or a plain number is wanted.
    Figure(Number, Span, &'static Slot),
    /// One of the words of a choice; `false` where it is misspelt.
    Choice(&'static str, Span, bool),
    /// A fixed word, misspelt.
    Misspelt(&'static str, Span),
    /// A fixed word as it should be.
    Fixed(Span),
    /// The comma between two things of a list.
    Comma(Span),
    /// Something else stands where this slot is.
    Wrong(&'static Slot, Span),
    /// Nothing stands where this slot is.
    Missing(&'static Slot),
    /// Words that have no place here.
    Junk(Vec<Lexeme>),
    /// A clause.
    Clause(RawClause),
}

/// A clause as found.
#[derive(Clone, Debug)]
pub(super) struct RawClause {
    pub shape: &'static ClauseShape,
    pub word_span: Span,
    /// Whether its word is misspelt.
    pub misspelt: bool,
    pub items: Vec<Item>,
}

impl Item {
    /// Whether it is as it should be, as far as the grammar knows.
    pub fn is_clean(&self) -> bool {
        match self {
            Item::Name(_) | Item::Quantity(..) | Item::Figure(..) => true,
            Item::Fixed(_) | Item::Comma(_) => true,
            Item::Text(_, well) | Item::Choice(_, _, well) => *well,
            Item::Count(_, _, words, word) => words.is_empty() || matches!(word, Some((_, true))),
            Item::Clause(clause) => !clause.misspelt && clause.items.iter().all(Item::is_clean),
            _ => false,
        }
    }
}

/// Reads what stands behind a stanza word.
pub(super) fn read(stanza: StanzaWord, lexemes: Vec<Lexeme>) -> Vec<Item> {
    thread_local! {
        static RULES: RefCell<Vec<Option<Rule>>> = RefCell::new(vec![None; StanzaWord::ALL.len()]);
    }
    let rule = RULES.with_borrow_mut(|rules| match rules.get_mut(stanza as usize) {
        Some(kept) => kept.get_or_insert_with(|| body(stanza.shape())).clone(),
        None => body(stanza.shape()),
    });
    let everything = lexemes.clone();
    rule.parse(Stream::from_iter(lexemes))
        .into_output()
        .unwrap_or_else(|| vec![Item::Junk(everything)]) // total, so that this is never reached
}

/// The words at which reading goes on after a fault.
struct Stops {
    /// All words of clauses and their parts that the stanza can have.
    all: Vec<&'static str>,
    /// Those of its clauses alone.
    top: Vec<&'static str>,
}

impl Stops {
    fn of(shape: &StanzaShape) -> Stops {
        fn add(clause: &ClauseShape, all: &mut Vec<&'static str>) {
            if !all.contains(&clause.word) {
                all.push(clause.word);
            }
            for part in clause.parts {
                add(part, all);
            }
        }
        let mut all = Vec::new();
        for clause in shape.clauses {
            add(clause, &mut all);
        }
        let top = shape.clauses.iter().map(|c| c.word).collect();
        Stops { all, top }
    }

    /// Whether this is a clause word, or likely was meant to be one.
    fn stops(&self, lexeme: &Lexeme) -> bool {
        match lexeme.lex {
            Lex::Word(Some(word)) if self.all.contains(&word) => true,
            Lex::Word(_) => slip(lexeme, &self.all).is_some(),
            _ => false,
        }
    }

    fn is_stop_word(&self, word: Option<&'static str>) -> bool {
        word.is_some_and(|w| self.all.contains(&w))
    }

    /// Which of these words a lexeme is or (`false`) likely was meant to be.
    fn like(&self, lexeme: &Lexeme, words: &[&'static str]) -> Option<(&'static str, bool)> {
        match lexeme.lex {
            Lex::Word(Some(word)) if words.contains(&word) => Some((word, true)),
            Lex::Word(word) if !self.is_stop_word(word) => {
                slip(lexeme, words).map(|word| (word, false))
            }
            _ => None,
        }
    }
}

fn slip(lexeme: &Lexeme, words: &[&'static str]) -> Option<&'static str> {
    slip_of(lexeme.written.as_deref()?, words)
}

/// One lexeme that passes.
fn one(passes: impl Fn(&Lexeme) -> bool + 'static) -> impl Parser<'static, Input, Lexeme> + Clone {
    let passes = Rc::new(passes);
    any().filter(move |lexeme| passes(lexeme))
}

/// Succeeds, consuming nothing, where the next lexeme passes.
fn ahead(
    passes: impl Fn(&Lexeme) -> bool + 'static,
) -> impl Parser<'static, Input, Lexeme> + Clone {
    one(passes).rewind()
}

fn joined((mut first, then): (Vec<Item>, Vec<Item>)) -> Vec<Item> {
    first.extend(then);
    first
}

/// The head, then clauses and what has no place among them.
fn body(shape: &'static StanzaShape) -> Rule {
    let stops = Rc::new(Stops::of(shape));
    let clauses: Vec<Rule> = shape
        .clauses
        .iter()
        .map(|c| clause(c, stops.top.clone(), &stops))
        .collect();
    let is_top = {
        let stops = stops.clone();
        move |l: &Lexeme| stops.like(l, &stops.top).is_some()
    };
    let misplaced = one(move |l| !is_top(l))
        .then(junk(&stops))
        .map(|(first, rest)| {
            let lexemes = std::iter::once(first).chain(rest).collect();
            vec![Item::Junk(lexemes)]
        });
    sequence(shape.head, &stops)
        .then(junk_item(&stops))
        .map(joined)
        .then(choice(clauses).or(misplaced).repeated().collect::<Vec<_>>())
        .map(|(mut head, clauses)| {
            head.extend(clauses.into_iter().flatten());
            head
        })
        .boxed()
}

/// A clause with its values and parts. `siblings`: the clause words that can stand here.
fn clause(shape: &'static ClauseShape, siblings: Vec<&'static str>, stops: &Rc<Stops>) -> Rule {
    let part_words: Vec<&'static str> = shape.parts.iter().map(|p| p.word).collect();
    let parts: Vec<Rule> = shape
        .parts
        .iter()
        .map(|part| clause(part, part_words.clone(), stops))
        .collect();
    let word = {
        let stops = stops.clone();
        any().filter_map(move |l: Lexeme| match stops.like(&l, &siblings) {
            Some((word, well)) if word == shape.word => Some((l.span, well)),
            _ => None,
        })
    };
    let own = word
        .then(sequence(shape.slots, stops))
        .then(junk_item(stops))
        .map(|((word, values), junk)| (word, joined((values, junk))));
    let with_parts = if parts.is_empty() {
        own.boxed()
    } else {
        own.then(choice(parts).repeated().collect::<Vec<_>>())
            .map(|((word, mut items), parts)| {
                items.extend(parts.into_iter().flatten());
                (word, items)
            })
            .boxed()
    };
    with_parts
        .map(move |((word_span, well), items)| {
            vec![Item::Clause(RawClause {
                shape,
                word_span,
                misspelt: !well,
                items,
            })]
        })
        .boxed()
}

/// All up to the next clause word.
fn junk(stops: &Rc<Stops>) -> Rule<Vec<Lexeme>> {
    let stops = stops.clone();
    one(move |l| !stops.stops(l)).repeated().collect().boxed()
}

fn junk_item(stops: &Rc<Stops>) -> Rule {
    let item = |lexemes: Vec<Lexeme>| match lexemes.is_empty() {
        true => Vec::new(),
        false => vec![Item::Junk(lexemes)],
    };
    junk(stops).map(item).boxed()
}

/// Slots one behind the other. Where one is missing, reading goes on behind it if what follows
/// fits, else it ends there.
fn sequence(slots: &'static [Slot], stops: &Rc<Stops>) -> Rule {
    let Some((slot, rest)) = slots.split_first() else {
        return empty().to(Vec::new()).boxed();
    };
    let behind = sequence(rest, stops);
    if let Slot::Optional(inner) = slot {
        let Some(first) = inner.first() else {
            return behind;
        };
        // At the end any number is taken for an optional quantity, so that its unit can be judged;
        // ahead of something else, only one that fits.
        let strict = !rest.is_empty();
        let there = ahead(move |l| begins(first, l) || (!strict && may_begin(first, l)));
        let with = there
            .ignore_then(sequence(inner, stops))
            .then(behind.clone())
            .map(joined)
            .boxed();
        return choice((with.clone(), stray(first, with, stops), behind)).boxed();
    }
    let well = value(slot, stops).then(behind.clone()).map(joined).boxed();
    let extra = stray(slot, well.clone(), stops);
    let missing = empty().to(vec![Item::Missing(slot)]);
    match rest.first() {
        None => choice((well, extra, missing)).boxed(),
        Some(follows) => {
            let follows_next = ahead(move |l| begins(follows, l));
            let left_out = follows_next
                .clone()
                .ignore_then(behind.clone())
                .map(move |rest| joined((vec![Item::Missing(slot)], rest)));
            let wrong = {
                let stops = stops.clone();
                one(move |l| !stops.stops(l) && !matches!(l.lex, Lex::Comma))
                    .then_ignore(follows_next)
                    .then(behind)
                    .map(move |(l, rest)| joined((vec![Item::Wrong(slot, l.span)], rest)))
            };
            choice((well, left_out, wrong, extra, missing)).boxed()
        }
    }
}

/// One thing too much, and behind it what was wanted. A comma between names is left to lists.
fn stray(slot: &'static Slot, wanted: Rule, stops: &Rc<Stops>) -> Rule {
    let named = matches!(slot, Slot::Name(_) | Slot::List(_));
    let stops = stops.clone();
    let left_alone = move |l: &Lexeme| stops.stops(l) || (named && matches!(l.lex, Lex::Comma));
    one(move |l| !left_alone(l))
        .then_ignore(ahead(move |l| begins(slot, l)))
        .then(wanted)
        .map(|(l, wanted)| joined((vec![Item::Junk(vec![l])], wanted)))
        .boxed()
}

/// What stands in one place, taken leniently; fails where nothing like it is there.
fn value(slot: &'static Slot, stops: &Rc<Stops>) -> Rule {
    let stops = stops.clone();
    let number = |item: fn(Number, Span, &'static Slot) -> Item| {
        any().filter_map(move |l: Lexeme| match l.lex {
            Lex::Number(number) => Some(vec![item(number, l.span, slot)]),
            _ => None,
        })
    };
    match slot {
        Slot::Word(word) => any()
            .filter_map(move |l: Lexeme| match l.lex {
                Lex::Word(Some(w)) if w == *word => Some(vec![Item::Fixed(l.span)]),
                _ => stops
                    .like(&l, &[word])
                    .map(|_| vec![Item::Misspelt(word, l.span)]),
            })
            .boxed(),
        Slot::Quantity(_) => number(Item::Quantity).boxed(),
        Slot::Scale | Slot::Date | Slot::Number => number(Item::Figure).boxed(),
        Slot::Count(words) => {
            let counted = any()
                .filter_map(move |l: Lexeme| stops.like(&l, words).map(|(_, well)| (l.span, well)));
            any()
                .filter_map(|l: Lexeme| match l.lex {
                    Lex::Number(number) => Some((number, l.span)),
                    _ => None,
                })
                .then(counted.or_not())
                .map(|((number, span), word)| vec![Item::Count(number, span, words, word)])
                .boxed()
        }
        Slot::Name(_) => any().filter_map(move |l: Lexeme| name(&l, &stops)).boxed(),
        Slot::Text => any()
            .filter_map(|l: Lexeme| match l.lex {
                Lex::Text => Some(vec![Item::Text(l.span, true)]),
                Lex::BadText => Some(vec![Item::Text(l.span, false)]),
                _ => None,
            })
            .boxed(),
        Slot::Choice(words) => any()
            .filter_map(move |l: Lexeme| match (l.lex, stops.like(&l, words)) {
                (_, Some((word, well))) => Some(vec![Item::Choice(word, l.span, well)]),
                (Lex::Word(word), None) if !stops.is_stop_word(word) => {
                    Some(vec![Item::Wrong(slot, l.span)])
                }
                _ => None,
            })
            .boxed(),
        Slot::Optional(inner) => sequence(inner, &stops),
        Slot::Either(ways) => either(slot, ways, &stops),
        Slot::List(inner) => list(inner, &stops),
    }
}

/// A name, or a word of the language where a name was likely meant.
fn name(lexeme: &Lexeme, stops: &Stops) -> Option<Vec<Item>> {
    match lexeme.lex {
        Lex::Word(Some(word)) if is_reserved(word) => {
            // A clause word goes on with its own clause, unless a clause word follows it.
            let meant = !stops.is_stop_word(Some(word)) && word != "and" && word != "of"
                || stops.is_stop_word(lexeme.next)
                || matches!(lexeme.next, Some("of"));
            meant.then(|| vec![Item::Reserved(lexeme.span)])
        }
        Lex::Word(_) => Some(vec![Item::Name(lexeme.span)]),
        Lex::Number(number) => {
            let mixed = matches!(number.form, Form::Misspelt | Form::Garbled);
            mixed.then(|| vec![Item::NumberAsName(lexeme.span)])
        }
        _ => None,
    }
}

/// The way that fits by its beginning, else the first that a number can be taken for.
fn either(slot: &'static Slot, ways: &'static [&'static [Slot]], stops: &Rc<Stops>) -> Rule {
    let beginning = |way: &'static [Slot], fits: fn(&Slot, &Lexeme) -> bool| {
        ahead(move |l| way.first().is_some_and(|first| fits(first, l)))
            .ignore_then(sequence(way, stops))
            .boxed()
    };
    let strictly = ways.iter().map(|way| beginning(way, begins));
    let counting = ways.iter().map(|way| {
        beginning(way, |first, l| {
            matches!(first, Slot::Count(_)) && matches!(l.lex, Lex::Number(n) if n.is_bare())
        })
    });
    let measuring = ways.iter().filter_map(|way| match way.first() {
        Some(Slot::Quantity(_)) => {
            let first = any().filter_map(move |l: Lexeme| match l.lex {
                Lex::Number(number) => Some(vec![Item::Quantity(number, l.span, slot)]),
                _ => None,
            });
            let behind = sequence(way.get(1..).unwrap_or(&[]), stops);
            Some(first.then(behind).map(joined).boxed())
        }
        _ => None,
    });
    choice(
        strictly
            .chain(counting)
            .chain(measuring)
            .collect::<Vec<_>>(),
    )
    .boxed()
}

/// Things separated by commas, each as far as it can be read.
fn list(inner: &'static [Slot], stops: &Rc<Stops>) -> Rule {
    let out_of_place = {
        let stops = stops.clone();
        one(move |l| !stops.stops(l) && !matches!(l.lex, Lex::Comma))
            .repeated()
            .collect::<Vec<_>>()
            .map(|lexemes| match lexemes.is_empty() {
                true => Vec::new(),
                false => vec![Item::Junk(lexemes)],
            })
    };
    let element = sequence(inner, stops)
        .then(out_of_place)
        .map(joined)
        .boxed();
    let more = one(|l| matches!(l.lex, Lex::Comma))
        .map(|l| vec![Item::Comma(l.span)])
        .then(element.clone())
        .map(joined);
    // The first must begin like one; behind a comma another must come.
    let begun = {
        let stops = stops.clone();
        ahead(move |l| {
            matches!(l.lex, Lex::Comma)
                || inner.first().is_some_and(|first| match first {
                    Slot::Name(_) => name(l, &stops).is_some(),
                    _ => begins(first, l) || may_begin(first, l),
                })
        })
    };
    begun
        .ignore_then(element)
        .then(more.repeated().collect::<Vec<_>>())
        .map(|(mut first, more)| {
            first.extend(more.into_iter().flatten());
            first
        })
        .boxed()
}

/// Whether a lexeme is just what this slot begins with.
fn begins(slot: &Slot, lexeme: &Lexeme) -> bool {
    match (slot, lexeme.lex) {
        (Slot::Word(word), Lex::Word(w)) => w == Some(*word),
        (Slot::Choice(words), Lex::Word(Some(w))) => words.contains(&w),
        (Slot::Name(_), Lex::Word(w)) => !w.is_some_and(is_reserved),
        (Slot::Quantity(d), Lex::Number(n)) => n.dimension() == Some(*d),
        (Slot::Count(words), Lex::Number(n)) => {
            n.is_bare() && (words.is_empty() || lexeme.next.is_some_and(|w| words.contains(&w)))
        }
        (Slot::Number, Lex::Number(n)) => n.is_bare(),
        (Slot::Scale, Lex::Number(n)) => n.form == Form::Scale,
        (Slot::Date, Lex::Number(n)) => matches!(n.form, Form::Date | Form::NoDay),
        (Slot::Text, Lex::Text | Lex::BadText) => true,
        (Slot::Optional(inner) | Slot::List(inner), _) => {
            inner.first().is_some_and(|first| begins(first, lexeme))
        }
        (Slot::Either(ways), _) => ways
            .iter()
            .any(|way| way.first().is_some_and(|first| begins(first, lexeme))),
        _ => false,
    }
}

/// Whether a lexeme may have been meant for this slot.
fn may_begin(slot: &Slot, lexeme: &Lexeme) -> bool {
    matches!((slot, lexeme.lex), (Slot::Quantity(_), Lex::Number(_)))
}
