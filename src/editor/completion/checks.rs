//! Names of checks: those that found something first.

use super::ask::Ask;
use super::{About, Offer, OfferKind};
use crate::checks::{CHECKS, Check};
use crate::syntax::vocabulary::StanzaWord;

/// All checks; first those with a finding on this stanza, in the `harness` stanza those with one anywhere.
pub(super) fn offers(ask: &Ask) -> Vec<Offer> {
    let everywhere = ask.stanza_word == StanzaWord::Harness;
    let found: Vec<&str> = ask
        .a
        .findings
        .iter()
        .filter(|f| everywhere || f.stanza == ask.id)
        .map(|f| f.check)
        .collect();
    let (here, others): (Vec<&Check>, Vec<&Check>) =
        CHECKS.iter().partition(|c| found.contains(&c.name));
    here.into_iter()
        .chain(others)
        .map(|check| {
            let about = About::Check(check.name.to_owned());
            Offer::new(OfferKind::Check, check.name, about).detail(check.about())
        })
        .collect()
}
