//! The words of the language, and those of them that cannot be names.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use rustc_hash::FxHashSet;

use super::vocabulary::{ClauseShape, STANZAS, Slot, StanzaWord};

static RESERVED: LazyLock<Vec<&'static str>> = LazyLock::new(reserve);

/// The same, quick to ask.
static IS_RESERVED: LazyLock<FxHashSet<&'static str>> =
    LazyLock::new(|| RESERVED.iter().copied().collect());

/// The words that cannot be names, sorted: those that start a stanza, and those that can stand
/// right behind a name, so that a reader knows where the name's clause ends.
pub fn reserved_words() -> &'static [&'static str] {
    &RESERVED
}

/// Whether a word cannot be a name.
pub fn is_reserved(word: &str) -> bool {
    IS_RESERVED.contains(word)
}

/// Whether the language has a fixed place for a word somewhere.
pub fn is_of_the_language(word: &str) -> bool {
    static WORDS: LazyLock<BTreeSet<&'static str>> = LazyLock::new(|| every_word().collect());
    WORDS.contains(word)
}

fn reserve() -> Vec<&'static str> {
    let mut words: BTreeSet<&'static str> = StanzaWord::ALL.iter().map(|s| s.word()).collect();
    for stanza in STANZAS {
        behind_names(stanza.head, &mut words);
        for clause in stanza.clauses {
            inside(clause, &mut words);
        }
        let after_a_name =
            ends_in_name(stanza.head) || stanza.clauses.iter().any(clause_ends_in_name);
        if after_a_name {
            words.extend(stanza.clauses.iter().map(|c| c.word));
        }
    }
    words.into_iter().collect()
}

/// Words of a clause and its parts that can follow a name within the clause.
fn inside(clause: &ClauseShape, words: &mut BTreeSet<&'static str>) {
    behind_names(clause.slots, words);
    for part in clause.parts {
        inside(part, words);
    }
    if ends_in_name(clause.slots) || clause.parts.iter().any(clause_ends_in_name) {
        words.extend(clause.parts.iter().map(|part| part.word));
    }
}

/// Words in a fixed place right behind a name.
fn behind_names(slots: &[Slot], words: &mut BTreeSet<&'static str>) {
    for pair in slots.windows(2) {
        if let [before, Slot::Word(word)] = pair
            && ends_in_name(std::slice::from_ref(before))
        {
            words.insert(word);
        }
    }
}

fn clause_ends_in_name(clause: &ClauseShape) -> bool {
    ends_in_name(clause.slots) || clause.parts.iter().any(clause_ends_in_name)
}

fn ends_in_name(slots: &[Slot]) -> bool {
    match slots.split_last() {
        Some((Slot::Name(_), _)) => true,
        Some((Slot::List(inner), _)) => ends_in_name(inner),
        Some((Slot::Either(ways), _)) => ways.iter().any(|way| ends_in_name(way)),
        Some((Slot::Optional(inner), before)) => ends_in_name(inner) || ends_in_name(before),
        _ => false,
    }
}

/// Every word that the language has a fixed place for: stanza words, clause words, fixed words, the
/// words of choices and counts. Some come more than once.
pub(super) fn every_word() -> impl Iterator<Item = &'static str> {
    let mut words: Vec<&'static str> = StanzaWord::ALL.iter().map(|s| s.word()).collect();
    fn add(clause: &ClauseShape, words: &mut Vec<&'static str>) {
        words.push(clause.word);
        clause.parts.iter().for_each(|part| add(part, words));
    }
    for clause in STANZAS.iter().flat_map(|s| s.clauses) {
        add(clause, &mut words);
    }
    each_slot(|slot| match slot {
        Slot::Word(word) => words.push(word),
        Slot::Count(of) | Slot::Choice(of) => words.extend(of.iter()),
        _ => {}
    });
    words.into_iter()
}

/// The words that counts count: `lamps`, `lamp`, `groups`, `group`.
pub(super) fn counted_words() -> impl Iterator<Item = &'static str> {
    let mut words: Vec<&'static str> = Vec::new();
    each_slot(|slot| {
        if let Slot::Count(of) = slot {
            words.extend(of.iter());
        }
    });
    words.into_iter()
}

/// Calls `with` on every slot of the language, inner ones included.
fn each_slot(mut with: impl FnMut(&'static Slot)) {
    fn slots(list: &'static [Slot], with: &mut dyn FnMut(&'static Slot)) {
        for slot in list {
            with(slot);
            match slot {
                Slot::Optional(inner) | Slot::List(inner) => slots(inner, with),
                Slot::Either(ways) => ways.iter().for_each(|way| slots(way, with)),
                _ => {}
            }
        }
    }
    fn clause(shape: &'static ClauseShape, with: &mut dyn FnMut(&'static Slot)) {
        slots(shape.slots, with);
        shape.parts.iter().for_each(|part| clause(part, with));
    }
    for stanza in STANZAS {
        slots(stanza.head, &mut with);
        stanza.clauses.iter().for_each(|c| clause(c, &mut with));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_can_follow_a_name_are_reserved() {
        assert_eq!(
            reserved_words().join(" "),
            "accept and area as because between board bore but capacity carries colour colours \
             connector contact copy diameter dimmed diode done draws dropout drops efficiency \
             either-way finish fits from fuse gauge gives group harness have in inside insulation \
             joint lamp lasts led lifts limit link load material module needs note of off only \
             output over passage pattern quick rated rectifier regulator resettable resistance \
             resistor return runs scene sealed seals slot slow spent stage string strip supply \
             switch takes tape tolerance track tried turns use via where windows wire works zone"
        );
        for word in [
            "red", "white", "mm", "V", "silver", "styrene", "enamel", "scale", "lamps",
        ] {
            assert!(!is_reserved(word), "{word}");
        }
    }
}
