//! What ties stanzas to each other: the names that they define and mention.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::Arc;

use crate::syntax::tree::{Clause, Stanza, Value, ValueKind};
use crate::syntax::vocabulary::StanzaWord;

/// What a stanza is to the cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// It belongs to every part: stock, the plan's own words, scenes, comments.
    Common,
    /// An item or a link: it makes a part.
    Wiring,
    /// It belongs to the part that names tie it to.
    Other,
}

/// A stanza's ties. All names count by their first word, in small letters: what they differ in by case alone is
/// told about, too.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Ties {
    /// What it defines.
    pub defines: BTreeSet<Arc<str>>,
    /// What it mentions and does not define.
    pub mentions: BTreeSet<Arc<str>>,
}

/// Words in names that say a side: lights of both sides are compared, wherever they are fed from.
const SIDES: [&str; 3] = ["port", "starboard", "stbd"];

pub(super) fn kind(stanza: &Stanza) -> Kind {
    match stanza.word {
        None | Some(StanzaWord::Harness | StanzaWord::Use | StanzaWord::Scene) => Kind::Common,
        Some(word) if word.is_stock() => Kind::Common,
        Some(word) if word.is_item() || word == StanzaWord::Link => Kind::Wiring,
        Some(_) => Kind::Other,
    }
}

/// Whether a name says a side of a vessel.
pub(super) fn says_a_side(name: &str) -> bool {
    let is_side = |word: &[u8]| {
        let mut sides = SIDES.iter().map(|side| side.as_bytes());
        word.len() >= SIDES[0].len() && sides.any(|side| word.eq_ignore_ascii_case(side))
    };
    let mut words = name.as_bytes().split(|b| matches!(b, b'-' | b'_' | b'.'));
    words.any(is_side)
}

/// The first word of a name, in small letters.
pub(super) fn key(name: &Arc<str>) -> Arc<str> {
    match small(name) {
        Cow::Borrowed(all) if all.len() == name.len() => name.clone(),
        small => small.into(),
    }
}

/// The same of its letters.
pub(super) fn small(name: &str) -> Cow<'_, str> {
    let first = first_word(name);
    match first
        .bytes()
        .all(|b| b.is_ascii() && !b.is_ascii_uppercase())
    {
        true => first.into(),
        false => first.to_lowercase().into(),
    }
}

impl Ties {
    pub(super) fn of(stanza: &Stanza) -> Ties {
        let mut defines = BTreeSet::new();
        let mut mentions = BTreeSet::new();
        let own = stanza.name().map(|(name, _)| name);
        if let Some(name) = own {
            match stanza.word {
                // They have names of their own.
                Some(StanzaWord::Scene) => {}
                Some(StanzaWord::Stage) => {
                    defines.insert(format!("stage {}", name.0).into());
                }
                _ => {
                    defines.insert(key(&name.0));
                    if says_a_side(&name.0) {
                        defines.insert("side of a vessel".into());
                    }
                }
            }
        }
        if stanza.word != Some(StanzaWord::Scene) {
            let mut mention = |name: &Arc<str>| _ = mentions.insert(key(name));
            values(&stanza.head, &mut mention);
            names(&stanza.clauses, &mut mention);
        }
        mentions.retain(|name| !defines.contains(name));
        Ties { defines, mentions }
    }
}

/// The first words of what a scene lists, as they are written.
pub(super) fn listed(scene: &Stanza) -> BTreeSet<Arc<str>> {
    let mut words = BTreeSet::new();
    let lists = scene.clauses.iter();
    for clause in lists.filter(|c| matches!(c.word, "off" | "only")) {
        names(std::slice::from_ref(clause), &mut |name| {
            words.insert(first_word(name).into());
        });
    }
    words
}

/// The first word of a name, as it is written.
pub(super) fn first_word(name: &str) -> &str {
    let dot = name.bytes().position(|b| b == b'.');
    dot.and_then(|dot| name.get(..dot)).unwrap_or(name)
}

fn values(values: &[Value], each: &mut dyn FnMut(&Arc<str>)) {
    for value in values {
        if let ValueKind::Name(name) = &value.kind {
            each(&name.0);
        }
    }
}

fn names(list: &[Clause], each: &mut dyn FnMut(&Arc<str>)) {
    for clause in list {
        values(&clause.values, each);
        names(&clause.parts, each);
    }
}
