//! What can stand at a place of a stanza that is being written, by the vocabulary: the slots that are still open
//! there, the clauses that may begin.
//!
//! The words ahead of the place are followed through the slots of the vocabulary, all ways at once. What does not
//! fit is passed over, as in the grammar: a clause word begins its clause, a slot left out is left out.

use super::lexeme::{Lex, Lexeme, lexemes};
use super::reserved::is_reserved;
use super::tree::{Stanza, Token, TokenKind};
use super::vocabulary::{ClauseShape, Dimension, Slot};
use crate::text::Span;

/// What can stand at a place.
#[derive(Clone, Debug)]
pub struct Expected {
    /// The word that is being written there, relative to the stanza; empty between words.
    pub word: Span,
    /// What fits, the innermost first.
    pub wants: Vec<Wanted>,
}

/// One thing that can stand at a place.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// The clauses that it would stand in, the outermost first; none in the head and for the stanza's own clauses.
    pub within: Vec<Within>,
    /// What it is.
    pub what: What,
}

/// A clause that is open at a place.
#[derive(Clone, Copy, Debug)]
pub struct Within {
    /// The clause.
    pub shape: &'static ClauseShape,
    /// Where its word begins, relative to the stanza.
    pub at: u32,
}

/// What can stand at a place.
#[derive(Clone, Copy, Debug)]
pub enum What {
    /// What this slot takes: one that has no slots inside.
    Slot(&'static Slot),
    /// A unit for the number ahead.
    Unit(Dimension),
    /// What the number ahead counts.
    Counted(&'static [&'static str]),
    /// A clause, or a part of one.
    Clause(&'static ClauseShape),
}

/// What can stand at this byte of a stanza. `None` where words have no place: in a comment, in a text, ahead of the
/// stanza word or on it.
pub fn expected(stanza: &Stanza, at: u32) -> Option<Expected> {
    let shape = stanza.word?.shape();
    if at <= stanza.word_span.end {
        return None;
    }
    let word = word_at(stanza, at)?;
    let ahead: Vec<Token> = stanza
        .tokens
        .iter()
        .filter(|t| t.span.start >= stanza.word_span.end && t.span.end <= word.start)
        .copied()
        .collect();
    let mut states = vec![State {
        within: Vec::new(),
        rest: steps(shape.head),
        unit: None,
    }];
    for lexeme in lexemes(&stanza.text, &ahead, false) {
        states = next(states, &lexeme, shape.clauses);
    }
    let mut wants: Vec<Wanted> = Vec::new();
    for state in &states {
        state.wants(shape.clauses, &mut wants);
    }
    Some(Expected { word, wants })
}

/// The word that a cursor is in or right behind; empty between words, `None` where there can be none.
fn word_at(stanza: &Stanza, at: u32) -> Option<Span> {
    let text = &stanza.text;
    let written = |token: &Token| text.get(token.span.range()).unwrap_or("");
    let between = Span::new(at, at);
    let last = stanza.tokens.partition_point(|t| t.span.start < at);
    let Some(token) = last.checked_sub(1).and_then(|i| stanza.tokens.get(i)) else {
        return Some(between);
    };
    let touched = token.span.end >= at;
    match token.kind {
        TokenKind::LineEnd | TokenKind::Comma => Some(between),
        TokenKind::Comment => None,
        TokenKind::Text => (token.span.end <= at).then_some(between),
        // A text that is not closed reaches to the end of its line.
        TokenKind::Stray if written(token).starts_with(['"', '“', '„', '«']) => None,
        TokenKind::Stray if touched => {
            let name = last.checked_sub(2).and_then(|i| stanza.tokens.get(i))?;
            let glued = name.kind == TokenKind::Word && name.span.end == token.span.start;
            (glued && written(token) == ".").then(|| name.span.to(token.span))
        }
        TokenKind::Word if touched => Some(token.span),
        TokenKind::Number if touched => {
            let with_unit = lexemes(text, stanza.tokens.get(last - 1..).unwrap_or(&[]), false);
            let whole = with_unit.first().map_or(token.span, |l| l.span);
            // A unit on another line is none that the cursor is on.
            let one_line = text
                .get(whole.range())
                .is_some_and(|w| !w.contains(['\n', '\r']));
            Some(if one_line { whole } else { token.span })
        }
        _ => Some(between),
    }
}

/// What a state still waits for.
#[derive(Clone, Copy)]
enum Step {
    Slot(&'static Slot),
    Counted(&'static [&'static str]),
    Comma,
    /// A comma and these again, or none.
    More(&'static [Slot]),
}

/// One way in which the words so far can be taken.
#[derive(Clone)]
struct State {
    within: Vec<Within>,
    /// The last comes next.
    rest: Vec<Step>,
    /// The last number had no unit, and wants one of these.
    unit: Option<Dimension>,
}

/// How well a lexeme fits a slot, the best first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    Well,
    /// A number that may yet become what is wanted.
    Unfinished,
    /// A number of another kind.
    Wrong,
}

fn steps(slots: &'static [Slot]) -> Vec<Step> {
    slots.iter().rev().map(Step::Slot).collect()
}

/// One word further.
fn next(states: Vec<State>, lexeme: &Lexeme, clauses: &'static [ClauseShape]) -> Vec<State> {
    let taken: Vec<(Fit, State)> = states
        .iter()
        .flat_map(State::ways)
        .filter_map(|way| way.take(lexeme))
        .collect();
    if let Some(best) = taken.iter().map(|(fit, _)| *fit).min() {
        let fitting = taken.into_iter().filter(|(fit, _)| *fit == best);
        return fitting.map(|(_, state)| state).collect();
    }
    if let Lex::Word(Some(word)) = lexeme.lex
        && let Some(state) = states
            .iter()
            .find_map(|s| s.begin(word.text, lexeme.span.start, clauses))
    {
        return vec![state];
    }
    let left_out: Vec<State> = states
        .iter()
        .flat_map(State::ways)
        .filter_map(State::without_next)
        .flat_map(|state| state.ways())
        .filter_map(|way| way.take(lexeme))
        .filter(|(fit, _)| *fit == Fit::Well)
        .map(|(_, state)| state)
        .collect();
    if left_out.is_empty() {
        states
    } else {
        left_out
    }
}

impl State {
    /// The ways to go on, each with a plain step next or with nothing left.
    fn ways(&self) -> Vec<State> {
        let mut ways = Vec::new();
        let mut open = vec![self.clone()];
        while let Some(mut state) = open.pop() {
            let with = |more: Vec<Step>| {
                let mut with = state.clone();
                with.rest.pop();
                with.rest.extend(more);
                with
            };
            match state.rest.last().copied() {
                Some(Step::Slot(Slot::Optional(inner))) => {
                    open.push(with(Vec::new()));
                    open.push(with(steps(inner)));
                }
                Some(Step::Slot(Slot::Either(alternatives))) => {
                    let each = alternatives.iter().rev().map(|way| with(steps(way)));
                    open.extend(each);
                }
                Some(Step::Slot(Slot::List(inner))) => {
                    let mut once = vec![Step::More(inner)];
                    once.extend(steps(inner));
                    open.push(with(once));
                }
                Some(Step::More(inner)) => {
                    let mut again = vec![Step::More(inner)];
                    again.extend(steps(inner));
                    again.push(Step::Comma);
                    open.push(with(Vec::new()));
                    open.push(with(again));
                }
                _ => {
                    state.rest.shrink_to_fit();
                    ways.push(state);
                }
            }
        }
        ways
    }

    /// The state behind a lexeme that is taken for the next step.
    fn take(mut self, lexeme: &Lexeme) -> Option<(Fit, State)> {
        let step = self.rest.pop()?;
        self.unit = None;
        let fit = match (step, lexeme.lex) {
            (Step::Comma, Lex::Comma) => Fit::Well,
            (Step::Counted(words), Lex::Word(Some(word))) if words.contains(&word.text) => {
                Fit::Well
            }
            (Step::Slot(slot), lex) => match (slot, lex) {
                (Slot::Word(wanted), Lex::Word(Some(word))) if word.text == *wanted => Fit::Well,
                (Slot::Choice(words), Lex::Word(Some(word))) if words.contains(&word.text) => {
                    Fit::Well
                }
                (Slot::Name(_), Lex::Word(word))
                    if !word.is_some_and(|word| is_reserved(word.text)) =>
                {
                    Fit::Well
                }
                (Slot::Text, Lex::Text | Lex::BadText) => Fit::Well,
                (Slot::Quantity(dimension), Lex::Number(number)) => match number.dimension() {
                    Some(d) if d == *dimension => Fit::Well,
                    None if number.is_bare() => {
                        self.unit = Some(*dimension);
                        Fit::Unfinished
                    }
                    _ => Fit::Wrong,
                },
                (Slot::Count(words), Lex::Number(number)) => {
                    let counted = lexeme.next.is_some_and(|next| words.contains(&next.text));
                    if !words.is_empty() {
                        self.rest.push(Step::Counted(words));
                    }
                    match (number.is_bare(), counted) {
                        (true, true) => Fit::Well,
                        (true, false) => Fit::Unfinished,
                        _ => return None,
                    }
                }
                (Slot::Scale | Slot::Date | Slot::Number, Lex::Number(_)) => Fit::Well,
                _ => return None,
            },
            _ => return None,
        };
        Some((fit, self))
    }

    /// The state with the next step left out.
    fn without_next(mut self) -> Option<State> {
        self.rest.pop().map(|_| self)
    }

    /// The state in which a clause has begun with this word: a part of the innermost clause that has such a one, else
    /// a clause of the stanza, else a part of a clause that is not there.
    fn begin(&self, word: &str, at: u32, clauses: &'static [ClauseShape]) -> Option<State> {
        let of = |shapes: &'static [ClauseShape]| shapes.iter().find(|s| s.word == word);
        let begun = |within: &[Within], shape: &'static ClauseShape| State {
            within: [within, &[Within { shape, at }]].concat(),
            rest: steps(shape.slots),
            unit: None,
        };
        for depth in (1..=self.within.len()).rev() {
            let within = self.within.get(..depth)?;
            if let Some(shape) = of(within.last()?.shape.parts) {
                return Some(begun(within, shape));
            }
        }
        if let Some(shape) = of(clauses) {
            return Some(begun(&[], shape));
        }
        clauses.iter().find_map(|parent| {
            let shape = of(parent.parts)?;
            let parent = Within { shape: parent, at };
            Some(begun(&[parent], shape))
        })
    }

    /// What this state waits for.
    fn wants(&self, clauses: &'static [ClauseShape], wants: &mut Vec<Wanted>) {
        let mut want = |within: &[Within], what| {
            wants.push(Wanted {
                within: within.to_vec(),
                what,
            });
        };
        if let Some(dimension) = self.unit {
            want(&self.within, What::Unit(dimension));
            return;
        }
        for way in self.ways() {
            match way.rest.last() {
                Some(Step::Slot(slot)) => want(&self.within, What::Slot(slot)),
                Some(Step::Counted(words)) => want(&self.within, What::Counted(words)),
                Some(_) => {}
                None => {
                    // A word goes to the innermost clause that has such a part.
                    let mut said: Vec<&str> = Vec::new();
                    for depth in (0..=self.within.len()).rev() {
                        let within = self.within.get(..depth).unwrap_or(&[]);
                        let here = within.last().map_or(clauses, |w| w.shape.parts);
                        for shape in here.iter().filter(|c| !said.contains(&c.word)) {
                            want(within, What::Clause(shape));
                        }
                        said.extend(here.iter().map(|c| c.word));
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::read_stanza;

    /// What is wanted at `$0`, in few words, and the word there.
    fn at(text: &str) -> Option<String> {
        let offset = text.find("$0").unwrap();
        let text = text.replace("$0", "");
        let stanza = read_stanza(text.as_str().into());
        let found = expected(&stanza, u32::try_from(offset).unwrap())?;
        let mut said: Vec<String> = Vec::new();
        for wanted in &found.wants {
            let inside = wanted.within.iter().map(|w| w.shape.word);
            let inside: Vec<&str> = inside.collect();
            let what = match wanted.what {
                What::Slot(Slot::Name(role)) => format!("{role:?}"),
                What::Slot(Slot::Word(word)) => format!("`{word}`"),
                What::Slot(Slot::Quantity(d)) => format!("{d:?}"),
                What::Slot(Slot::Count(words)) => format!("count{words:?}"),
                What::Slot(Slot::Choice(words)) => words.join("|"),
                What::Slot(slot) => format!("{slot:?}"),
                What::Unit(d) => format!("unit of {d:?}"),
                What::Counted(words) => words.join("/"),
                What::Clause(c) => format!("+{}", c.word),
            };
            let line = [inside.join(">"), what].join(":");
            said.push(line.trim_start_matches(':').to_string());
        }
        Some(format!("[{}] {}", stanza.words(found.word), said.join(" ")))
    }

    fn wants(text: &str) -> String {
        at(text).unwrap_or_else(|| "nothing".into())
    }

    #[test]
    fn the_head_in_its_order() {
        assert_eq!(wants("strip $0"), "[] Defined");
        assert_eq!(wants("strip a o$0"), "[o] `of`");
        assert_eq!(wants("strip a of $0"), "[] Tape");
        assert_eq!(
            wants("strip a of warm $0"),
            "[] count[\"lamps\", \"lamp\"] count[\"groups\", \"group\"] Length"
        );
        assert_eq!(
            wants("strip a of warm 6 $0"),
            "[] lamps/lamp groups/group unit of Length"
        );
        assert_eq!(wants("supply a 12 $0"), "[] unit of Voltage");
        assert_eq!(wants("supply a 12$0 V"), "[12 V] Voltage");
        assert!(wants("supply a 12 V $0").starts_with("[] Current +resistance +tolerance"));
    }

    #[test]
    fn clauses_and_their_parts() {
        assert!(
            wants("strip a of warm 6 lamps from keel $0")
                .starts_with("[] from:+over from:+via from:+return +from +dimmed")
        );
        assert_eq!(
            wants("strip a of warm 6 lamps from keel over $0"),
            "[] from>over:Length"
        );
        assert_eq!(
            wants("strip a of warm 6 lamps from keel over 20 mm of fi$0 in saloon"),
            "[fi] from>over:Wire"
        );
        assert!(
            wants("lamp a of b from c return to d $0")
                .starts_with("[] from>return:+over from>return:+via from:+return +from")
        );
        assert_eq!(
            wants("lamp a of b resistor 4 ohm at $0"),
            "[] resistor>at:start|lamp"
        );
        assert!(
            wants("copy a of b but tip res$0").starts_with("[res] but:+from but:+resistor"),
            "{}",
            wants("copy a of b but tip res$0")
        );
    }

    #[test]
    fn lists_go_on_behind_a_comma() {
        assert_eq!(wants("scene a off b, $0"), "[] off:Item");
        assert_eq!(wants("copy a of b where lens $0"), "[] where:StandIn");
        assert_eq!(
            wants("copy a of b where lens ruby, ba$0"),
            "[ba] where:Need"
        );
        assert_eq!(wants("scene a off b $0"), "[] +off +only +note +accept");
    }

    #[test]
    fn what_is_missing_or_out_of_place_is_passed_over() {
        assert_eq!(wants("strip a of warm over of $0"), "[] from>over:Wire");
        assert_eq!(wants("passage p between and $0"), "[] between:Zone");
        assert_eq!(wants("lamp a of b !! from $0"), "[] from:Point");
        assert_eq!(wants("strip from $0"), "[] from:Point");
    }

    #[test]
    fn a_name_with_a_dot_is_one_word() {
        assert_eq!(wants("lamp a of b from blink.$0"), "[blink.] from:Point");
        assert_eq!(wants("lamp a of b from bli$0nk.a"), "[blink.a] from:Point");
    }

    #[test]
    fn no_word_has_a_place_in_comments_texts_and_ahead() {
        for text in [
            "lamp a # of $0",
            "harness \"a $0 b\"",
            "harness \"a $0",
            "la$0mp a",
            "lamp$0 a",
            "# c\n$0lamp",
            "lamp a of ;$0",
        ] {
            assert_eq!(at(text), None, "{text}");
        }
        assert_eq!(
            wants("lamp a of b resistor 470 o$0hm"),
            "[ohm] resistor:unit of Resistance"
        );
        assert_eq!(
            wants("lamp a of b resistor 47$0"),
            "[47] resistor:Resistance"
        );
    }
}
