//! What can be written at the cursor: stanza words and whole stanzas at the margin; behind them the clauses that are
//! still missing, names of the right kind, usual values with the figures that they give, units.
//!
//! The list is made from what is known of the plan already; what an entry says in full, and what the plan would come
//! to with it, is worked out for one entry at a time ([`about`]).

mod about;
mod ask;
mod checks;
mod clauses;
mod fill;
mod fuse;
mod margin;
mod names;
mod new_names;
pub mod paths;
mod patterns;
mod points;
mod preference;
mod quantities;
mod resistor;

#[cfg(test)]
mod street;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod whole_plans;

pub use about::{about, of_language};

use serde::{Deserialize, Serialize};

use crate::checks::Analysis;
use crate::parts::{Around, Parts};
use crate::plan::FileId;
use crate::syntax::expected::{Wanted, What};
use crate::syntax::tree::TokenKind;
use crate::syntax::vocabulary::{Role, Slot};
use crate::text::Span;
use ask::Ask;

/// What an entry stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfferKind {
    /// A stanza word.
    Stanza,
    /// A whole stanza.
    Whole,
    /// A clause, or another fixed word.
    Clause,
    /// One of the words of a choice.
    Choice,
    /// Stock.
    Stock,
    /// An item, an output.
    Item,
    /// A zone, a passage.
    Place,
    /// Another name.
    Name,
    /// A check.
    Check,
    /// A figure.
    Value,
    /// A unit.
    Unit,
    /// A file.
    File,
    /// A folder.
    Folder,
}

/// What there is to say of an entry, worked out when it is asked for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum About {
    /// A stanza word.
    Stanza(String),
    /// A clause of a stanza, with the clauses that it is a part of.
    Clause(String, Vec<String>),
    /// A name of the plan.
    Name(String),
    /// A check.
    Check(String),
    /// A figure put in for the word that begins at this byte of the file: what the plan comes to with it.
    Figure(u32, String),
    /// No more than the list says.
    Nothing,
}

/// One entry of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// What is shown, and what is put in unless `text` says otherwise.
    pub label: String,
    /// Its figures, in a few words.
    pub detail: String,
    /// What it stands for.
    pub kind: OfferKind,
    /// What is put in, where that is not the label.
    pub text: Option<String>,
    /// What is put in by an editor that has places to fill in (the protocol's snippets).
    pub snippet: Option<String>,
    /// What is compared with what is being written, where that is not the label.
    pub filter: Option<String>,
    /// What there is to say of it.
    pub about: About,
}

/// A list of entries, the likeliest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Offers {
    /// The word that an entry is put in place of, in the file.
    pub word: Span,
    /// The entries.
    pub list: Vec<Offer>,
    /// Whether these are all; a very large plan has more names than anybody reads.
    pub complete: bool,
}

impl Offer {
    /// An entry with nothing but its label.
    fn new(kind: OfferKind, label: impl Into<String>, about: About) -> Offer {
        Offer {
            label: label.into(),
            detail: String::new(),
            kind,
            text: None,
            snippet: None,
            filter: None,
            about,
        }
    }

    fn detail(mut self, detail: impl Into<String>) -> Offer {
        self.detail = detail.into();
        self
    }
}

/// What can be written at this byte of a file; `None` where nothing can be told.
pub fn completion(a: &Analysis, file: FileId, offset: usize) -> Option<Offers> {
    in_part(a, None, file, offset)
}

/// What of a large plan stands around a place that one of its parts is asked about.
pub fn around(parts: &Parts, file: FileId, offset: u32) -> Option<Around> {
    parts.around(file, offset, ask::LOOKED_AT, fill::NEIGHBOURS)
}

/// The same of a part of a larger plan, with what stands around the place in that.
pub fn in_part(
    a: &Analysis,
    around: Option<&Around>,
    file: FileId,
    offset: usize,
) -> Option<Offers> {
    let text = &a.plan.files.get(file.0)?.text;
    let line = text.get(..offset)?.rfind(['\n', '\r']).map_or(0, |i| i + 1);
    let ahead = text.get(line..offset)?;
    let offers = match ahead.trim_start_matches('\u{feff}') {
        word if word.chars().all(|c| c.is_alphabetic() || c == '-') => {
            margin::offers(a, file, offset, word)?
        }
        _ => in_stanza(a, around, file, offset)?,
    };
    (!offers.list.is_empty()).then_some(offers)
}

fn in_stanza(a: &Analysis, around: Option<&Around>, file: FileId, offset: usize) -> Option<Offers> {
    let (ask, wants) = Ask::at(a, around, file, offset)?;
    let mut list = Vec::new();
    let mut complete = true;
    for wanted in &wants {
        match wanted.what {
            What::Unit(dimension) => list.extend(quantities::units(dimension)),
            What::Counted(words) => list.extend(quantities::counted(&ask, words)),
            What::Slot(slot) => complete &= of_slot(&ask, wanted, slot, &mut list),
            What::Clause(_) => {}
        }
    }
    list.extend(clauses::offers(&ask, &wants));
    let mut seen = std::collections::HashSet::new();
    list.retain(|offer| seen.insert(offer.label.clone()));
    Some(Offers {
        word: a.plan.in_file(ask.id, ask.word),
        list,
        complete,
    })
}

/// Adds what fits a slot; whether that is all that fits.
fn of_slot(ask: &Ask, wanted: &Wanted, slot: &'static Slot, list: &mut Vec<Offer>) -> bool {
    let within = &wanted.within;
    match slot {
        Slot::Word(word) => list.push(Offer::new(OfferKind::Clause, *word, ask.about(within))),
        Slot::Choice(words) => {
            let offer = |word: &&str| Offer::new(OfferKind::Choice, *word, ask.about(within));
            list.extend(words.iter().map(offer));
        }
        Slot::Name(Role::Check) => list.extend(checks::offers(ask)),
        Slot::Name(role) => {
            let (names, complete) = names::offers(ask, within, *role);
            list.extend(names);
            return complete;
        }
        Slot::Quantity(dimension) => list.extend(quantities::offers(ask, within, *dimension)),
        Slot::Count(words) => list.extend(quantities::counts(ask, words)),
        Slot::Date => list.extend(quantities::dates(ask)),
        Slot::Number | Slot::Scale => list.extend(quantities::plain(ask, within, slot)),
        // A text is the builder's own.
        Slot::Text | Slot::Optional(_) | Slot::Either(_) | Slot::List(_) => {}
    }
    true
}

/// Whether a token is a word or a figure.
fn is_written(kind: TokenKind) -> bool {
    matches!(
        kind,
        TokenKind::Word | TokenKind::Number | TokenKind::Text | TokenKind::Stray
    )
}
