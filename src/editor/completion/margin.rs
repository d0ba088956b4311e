//! At the margin: the stanza words, and whole stanzas in their usual form, with names of the plan where they fit.

use super::ask::Ask;
use super::fill::{Filler, fill};
use super::{About, Offer, OfferKind, Offers, patterns};
use crate::checks::Analysis;
use crate::plan::{FileId, StanzaId};
use crate::syntax::read_stanza;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// What can begin a stanza, where `written` stands ahead of the cursor on its line.
pub(super) fn offers(a: &Analysis, file: FileId, offset: usize, written: &str) -> Option<Offers> {
    let text = &a.plan.files.get(file.0)?.text;
    let behind = text.get(offset..)?;
    let rest = behind.find(|c: char| !(c.is_alphanumeric() || c == '-'));
    // Between words nothing is replaced.
    let rest = if written.is_empty() {
        0
    } else {
        rest.unwrap_or(behind.len())
    };
    // What else stands on the line is the stanza that there is already.
    let line = behind.get(rest..)?.split(['\n', '\r']).next().unwrap_or("");
    let alone = line.trim().is_empty() || line.trim_start().starts_with('#');
    let word = Span::between(offset - written.len(), offset + rest);
    let next = a
        .plan
        .files
        .get(file.0)?
        .tree
        .stanzas
        .partition_point(|s| (s.start as usize) < offset - written.len());
    let id = StanzaId { file, index: next };
    let mut list = Vec::new();
    for &word in StanzaWord::ALL {
        if word == StanzaWord::Harness && a.plan.settings.stanza.is_some() && alone {
            continue;
        }
        let about = About::Stanza(word.word().to_owned());
        let says = word.shape().says;
        let says = says.split_inclusive(". ").next().unwrap_or(says).trim_end();
        list.push(Offer::new(OfferKind::Stanza, word.word(), about.clone()).detail(says));
        if alone {
            list.push(whole(a, id, word, about));
        }
    }
    Some(Offers {
        word,
        list,
        complete: true,
    })
}

fn whole(a: &Analysis, id: StanzaId, word: StanzaWord, about: About) -> Offer {
    let filler = Filler {
        a,
        around: None,
        id,
        word,
        tree: None,
        named: None,
    };
    let usual = match word {
        StanzaWord::Copy => usual_copy(&filler),
        _ => word.shape().usual.to_owned(),
    };
    let mut filled = fill(&filler, "", &usual);
    if matches!(
        word,
        StanzaWord::Lamp | StanzaWord::String | StanzaWord::Tried
    ) {
        let named = read_stanza(filled.plain.as_str().into());
        let named = Some(&named);
        filled = fill(&Filler { named, ..filler }, "", &usual);
    }
    let line = filled.plain.lines().next().unwrap_or("");
    let more = if filled.plain.contains('\n') {
        " …"
    } else {
        ""
    };
    let mut offer = Offer::new(OfferKind::Whole, format!("{line}{more}"), about);
    offer.detail = "the whole stanza".into();
    offer.filter = Some(word.word().to_owned());
    offer.text = Some(filled.plain);
    offer.snippet = Some(filled.snippet);
    offer
}

/// The usual copy, with the words that the pattern in it needs.
fn usual_copy(filler: &Filler) -> String {
    let usual = StanzaWord::Copy.shape().usual;
    let copy = read_stanza(fill(filler, "", usual).plain.into());
    let Some(ask) = Ask::new_stanza(filler.a, filler.id, copy) else {
        return usual.to_owned();
    };
    let written = read_stanza(usual.into());
    match written.clause("where") {
        Some(clause) if patterns::is_copy(&ask) => {
            let ahead = usual.get(..clause.span.start as usize).unwrap_or(usual);
            let stand_ins = patterns::stand_ins(&ask).unwrap_or_default();
            format!("{ahead}{stand_ins}").trim_end().to_owned()
        }
        _ => usual.to_owned(),
    }
}
