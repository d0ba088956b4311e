//! The grammar of one stanza, built from the vocabulary's slots.
//!
//! Every parser here is *total*: where something is missing or out of place it says so in its
//! output and goes on, so that all faults of a stanza are found in one pass, each on its own words.
//! Nothing here knows messages; [`super::reader`] turns [`Item`]s into a tree and faults.
//!
//! The parsers return nothing: what they find they put down, in the order of the text, in one list
//! that is the parsers' state. Where a parser goes back to try another way, the list goes back too.

use std::cell::RefCell;
use std::rc::Rc;

use chumsky::error::EmptyErr;
use chumsky::input::{InputRef, Stream};
use chumsky::inspector::TruncateState;
use chumsky::prelude::*;

use super::lexeme::{Lex, Lexeme, Word, Words};
use super::near::slip_of;
use super::number::{Form, Number};
use super::reserved::is_reserved;
use super::vocabulary::{ClauseShape, Slot, StanzaShape, StanzaWord};
use crate::text::Span;

type Input = Stream<std::vec::IntoIter<Lexeme>>;
type Found = extra::Full<EmptyErr, TruncateState<Item>, ()>;
type Rule = Boxed<'static, 'static, Input, (), Found>;

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
    /// A clause begins with its word; `false` where that is misspelt. Up to its end all is its own.
    Clause(&'static ClauseShape, Span, bool),
    /// A clause ends.
    End,
}

impl Item {
    /// Whether it is as it should be, as far as the grammar knows.
    pub fn is_clean(&self) -> bool {
        match self {
            Item::Name(_) | Item::Quantity(..) | Item::Figure(..) => true,
            Item::Fixed(_) | Item::Comma(_) | Item::End => true,
            Item::Text(_, well) | Item::Choice(_, _, well) | Item::Clause(_, _, well) => *well,
            Item::Count(_, _, words, word) => words.is_empty() || matches!(word, Some((_, true))),
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
    let mut found = TruncateState(Vec::with_capacity(lexemes.len() + 8));
    // The rule is total: all that it has to say it has put down.
    let _ = rule.parse_with_state(Stream::from_iter(lexemes), &mut found);
    found.0
}

/// The words at which reading goes on after a fault.
struct Stops {
    /// All words of clauses and their parts that the stanza can have.
    words: Vec<&'static str>,
    set: Words,
}

impl Stops {
    fn of(shape: &StanzaShape) -> Stops {
        fn add(clause: &ClauseShape, words: &mut Vec<&'static str>) {
            if !words.contains(&clause.word) {
                words.push(clause.word);
            }
            for part in clause.parts {
                add(part, words);
            }
        }
        let mut words = Vec::new();
        for clause in shape.clauses {
            add(clause, &mut words);
        }
        let set = Words::of(&words);
        Stops { words, set }
    }

    /// Whether this is a clause word, or likely was meant to be one.
    fn stops(&self, lexeme: &Lexeme) -> bool {
        match lexeme.lex {
            Lex::Word(word) => self.has(word) || slip(lexeme, &self.words).is_some(),
            _ => false,
        }
    }

    fn has(&self, word: Option<Word>) -> bool {
        word.is_some_and(|word| self.set.has(word))
    }

    /// Which of these words a lexeme is or (`false`) likely was meant to be: its place among them.
    fn place(&self, lexeme: &Lexeme, words: &[&'static str]) -> Option<(usize, bool)> {
        let Lex::Word(word) = lexeme.lex else {
            return None;
        };
        let at = |word: &str| words.iter().position(|w| *w == word);
        match word.and_then(|word| at(word.text)) {
            Some(place) => Some((place, true)),
            None if self.has(word) => None,
            None => Some((at(slip(lexeme, words)?)?, false)),
        }
    }

    /// As [`Stops::place`], the word itself.
    fn like(&self, lexeme: &Lexeme, words: &[&'static str]) -> Option<(&'static str, bool)> {
        let (place, well) = self.place(lexeme, words)?;
        Some((words.get(place)?, well))
    }
}

fn slip(lexeme: &Lexeme, words: &[&'static str]) -> Option<&'static str> {
    let written = lexeme.written.as_deref()?;
    let no_number = NO_NUMBERS.iter().any(|w| w.eq_ignore_ascii_case(written));
    (!no_number).then(|| slip_of(written, words)).flatten()
}

/// What calculators print for a number that is none: no slip of `in` or any other word.
const NO_NUMBERS: [&str; 3] = ["inf", "infinity", "nan"];

type At<'a, 'b> = InputRef<'a, 'b, Input, Found>;
type Outcome = Result<(), EmptyErr>;

/// A parser out of a function; unlike a `map`, it is run even where nobody wants its output.
fn rule(
    parse: impl Fn(&mut At<'static, '_>) -> Outcome + Clone + 'static,
) -> impl Parser<'static, Input, (), Found> + Clone {
    custom(parse)
}

/// Takes one lexeme if it is something, and puts that down.
fn take(
    item: impl Fn(&Lexeme) -> Option<Item> + Clone + 'static,
) -> impl Parser<'static, Input, (), Found> + Clone {
    rule(move |at| {
        let found = at.next().and_then(|lexeme| item(&lexeme));
        at.state().push(found.ok_or_else(EmptyErr::default)?);
        Ok(())
    })
}

/// Takes nothing and puts this down.
fn put(item: Item) -> impl Parser<'static, Input, (), Found> + Clone {
    rule(move |at| {
        at.state().push(item.clone());
        Ok(())
    })
}

/// Takes nothing; succeeds where the next lexeme passes.
fn ahead(
    passes: impl Fn(&Lexeme) -> bool + Clone + 'static,
) -> impl Parser<'static, Input, (), Found> + Clone {
    rule(move |at| match at.peek() {
        Some(lexeme) if passes(&lexeme) => Ok(()),
        _ => Err(EmptyErr::default()),
    })
}

/// Takes all that passes, as words that have no place; none is fine too.
fn junk(
    passes: impl Fn(&Lexeme) -> bool + Clone + 'static,
) -> impl Parser<'static, Input, (), Found> + Clone {
    rule(move |at| {
        let mut junk = Vec::new();
        while let Some(lexeme) = at.peek().filter(|lexeme| passes(lexeme)) {
            at.skip();
            junk.push(lexeme);
        }
        if !junk.is_empty() {
            at.state().push(Item::Junk(junk));
        }
        Ok(())
    })
}

/// Takes all up to the next clause word.
fn up_to_clause(stops: &Rc<Stops>) -> Rule {
    let stops = stops.clone();
    junk(move |l| !stops.stops(l)).boxed()
}

/// The head, then clauses and what has no place among them.
fn body(shape: &'static StanzaShape) -> Rule {
    let stops = Rc::new(Stops::of(shape));
    let misplaced = {
        let top: Vec<&'static str> = shape.clauses.iter().map(|c| c.word).collect();
        let stops = stops.clone();
        rule(move |at| {
            let first = at.next().filter(|l| stops.place(l, &top).is_none());
            let mut junk = vec![first.ok_or_else(EmptyErr::default)?];
            while let Some(lexeme) = at.peek().filter(|l| !stops.stops(l)) {
                at.skip();
                junk.push(lexeme);
            }
            at.state().push(Item::Junk(junk));
            Ok(())
        })
    };
    sequence(shape.head, &stops)
        .ignore_then(up_to_clause(&stops))
        .ignore_then(clause(shape.clauses, &stops).or(misplaced).repeated())
        .ignore_then(junk(|_| true)) // nothing is left, by the two lines above
        .boxed()
}

/// One of these clauses, with its values and parts; its word says which.
fn clause(shapes: &'static [ClauseShape], stops: &Rc<Stops>) -> Rule {
    let words: Vec<&'static str> = shapes.iter().map(|c| c.word).collect();
    let behind: Rc<[Rule]> = shapes
        .iter()
        .map(|shape| {
            let own = sequence(shape.slots, stops).ignore_then(up_to_clause(stops));
            match shape.parts {
                [] => own.boxed(),
                parts => own.ignore_then(clause(parts, stops).repeated()).boxed(),
            }
        })
        .collect();
    let stops = stops.clone();
    rule(move |at| {
        let none = EmptyErr::default;
        let word = at.next().ok_or_else(none)?;
        let (place, well) = stops.place(&word, &words).ok_or_else(none)?;
        let begins = Item::Clause(&shapes[place], word.span, well);
        at.state().push(begins);
        at.parse(&behind[place])?;
        at.state().push(Item::End);
        Ok(())
    })
    .boxed()
}

/// Slots one behind the other. Where one is missing, reading goes on behind it if what follows
/// fits, else it ends there.
fn sequence(slots: &'static [Slot], stops: &Rc<Stops>) -> Rule {
    let Some((slot, rest)) = slots.split_first() else {
        return empty().boxed();
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
            .ignore_then(behind.clone())
            .boxed();
        return choice((with.clone(), stray(first, with, stops), behind)).boxed();
    }
    let well = value(slot, stops).ignore_then(behind.clone()).boxed();
    let extra = stray(slot, well.clone(), stops);
    let missing = put(Item::Missing(slot));
    match rest.first() {
        None => choice((well, extra, missing)).boxed(),
        Some(follows) => {
            let follows_next = ahead(move |l| begins(follows, l));
            let left_out = follows_next
                .clone()
                .ignore_then(missing.clone())
                .ignore_then(behind.clone());
            let wrong = {
                let stops = stops.clone();
                take(move |l| {
                    let wrong = !stops.stops(l) && !matches!(l.lex, Lex::Comma);
                    wrong.then_some(Item::Wrong(slot, l.span))
                })
                .then_ignore(follows_next)
                .ignore_then(behind)
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
    take(move |l| (!left_alone(l)).then(|| Item::Junk(vec![l.clone()])))
        .then_ignore(ahead(move |l| begins(slot, l)))
        .ignore_then(wanted)
        .boxed()
}

/// What stands in one place, taken leniently; fails where nothing like it is there.
fn value(slot: &'static Slot, stops: &Rc<Stops>) -> Rule {
    let stops = stops.clone();
    let number = |item: fn(Number, Span, &'static Slot) -> Item| {
        take(move |l| match l.lex {
            Lex::Number(number) => Some(item(number, l.span, slot)),
            _ => None,
        })
    };
    match slot {
        Slot::Word(word) => take(move |l| match l.lex {
            Lex::Word(Some(w)) if w.text == *word => Some(Item::Fixed(l.span)),
            _ => stops.like(l, &[word]).map(|_| Item::Misspelt(word, l.span)),
        })
        .boxed(),
        Slot::Quantity(_) => number(Item::Quantity).boxed(),
        Slot::Scale | Slot::Date | Slot::Number => number(Item::Figure).boxed(),
        Slot::Count(words) => rule(move |at| {
            let Some(Lexeme {
                lex: Lex::Number(number),
                span,
                ..
            }) = at.next()
            else {
                return Err(EmptyErr::default());
            };
            let counted = |l: Lexeme| stops.like(&l, words).map(|(_, well)| (l.span, well));
            let word = at.peek().and_then(counted);
            if word.is_some() {
                at.skip();
            }
            at.state().push(Item::Count(number, span, words, word));
            Ok(())
        })
        .boxed(),
        Slot::Name(_) => take(move |l| name(l, &stops)).boxed(),
        Slot::Text => take(|l| match l.lex {
            Lex::Text => Some(Item::Text(l.span, true)),
            Lex::BadText => Some(Item::Text(l.span, false)),
            _ => None,
        })
        .boxed(),
        Slot::Choice(words) => take(move |l| match (l.lex, stops.like(l, words)) {
            (_, Some((word, well))) => Some(Item::Choice(word, l.span, well)),
            (Lex::Word(word), None) if !stops.has(word) => Some(Item::Wrong(slot, l.span)),
            _ => None,
        })
        .boxed(),
        Slot::Optional(inner) => sequence(inner, &stops),
        Slot::Either(ways) => either(slot, ways, &stops),
        Slot::List(inner) => list(inner, &stops),
    }
}

/// A name, or a word of the language where a name was likely meant.
fn name(lexeme: &Lexeme, stops: &Stops) -> Option<Item> {
    match lexeme.lex {
        Lex::Word(Some(word)) if is_reserved(word.text) => {
            // A clause word goes on with its own clause, unless a clause word follows it.
            let meant = !stops.set.has(word) && word.text != "and" && word.text != "of"
                || stops.has(lexeme.next)
                || lexeme.next.is_some_and(|next| next.text == "of");
            meant.then_some(Item::Reserved(lexeme.span))
        }
        Lex::Word(_) => Some(Item::Name(lexeme.span)),
        Lex::Number(number) => {
            let mixed = matches!(number.form, Form::Misspelt | Form::Garbled);
            mixed.then_some(Item::NumberAsName(lexeme.span))
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
            let first = take(move |l| match l.lex {
                Lex::Number(number) => Some(Item::Quantity(number, l.span, slot)),
                _ => None,
            });
            let behind = sequence(way.get(1..).unwrap_or(&[]), stops);
            Some(first.ignore_then(behind).boxed())
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
        junk(move |l| !stops.stops(l) && !matches!(l.lex, Lex::Comma))
    };
    let element = sequence(inner, stops).ignore_then(out_of_place);
    let more = take(|l| matches!(l.lex, Lex::Comma).then_some(Item::Comma(l.span)))
        .ignore_then(element.clone());
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
        .ignore_then(more.repeated())
        .boxed()
}

/// Whether a lexeme is just what this slot begins with.
fn begins(slot: &Slot, lexeme: &Lexeme) -> bool {
    match (slot, lexeme.lex) {
        (Slot::Word(word), Lex::Word(Some(w))) => w.text == *word,
        (Slot::Choice(words), Lex::Word(Some(w))) => words.contains(&w.text),
        (Slot::Name(_), Lex::Word(w)) => !w.is_some_and(|w| is_reserved(w.text)),
        (Slot::Quantity(d), Lex::Number(n)) => n.dimension() == Some(*d),
        (Slot::Count(words), Lex::Number(n)) => {
            let counted = lexeme.next.is_some_and(|w| words.contains(&w.text));
            match words {
                [] => n.is_bare(),
                // However the number is written: `1e30 lamps` counts lamps.
                _ => n.unit.is_none() && counted,
            }
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
