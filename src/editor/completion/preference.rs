//! Which of the names that fit a place come before the others, whatever stands nearest.

use std::collections::HashSet;

use super::ask::Ask;
use super::{names, points};
use crate::plan::{Plan, Target, ZoneId};
use crate::syntax::expected::Within;
use crate::syntax::tree::{Clause, Name};
use crate::syntax::vocabulary::StanzaWord;

/// What comes before all else: the passages that lead on from where the run is, the zone that it comes to, the lights
/// of a scene, the pieces that no stage fits, those that were not tried.
pub(super) enum Preference {
    None,
    /// These names first, then the rest.
    Names(HashSet<String>),
    /// All but these first.
    Others(HashSet<String>),
    /// Lights first.
    Lights,
    /// Lights last: what is fed from one is chained through it.
    NoLights,
}

impl Preference {
    pub fn of(ask: &Ask, within: &[Within], clause: &str) -> Preference {
        let plan = ask.plan;
        let of_word = |word: StanzaWord, clause: &'static str| {
            let stanzas = plan.stages.iter().map(|s| s.stanza);
            let said = stanzas
                .filter(|id| *id != ask.id && plan.stanza(*id).word == Some(word))
                .filter_map(|id| plan.stanza(id).clause(clause));
            Preference::Others(
                said.flat_map(Clause::names)
                    .map(|(name, _)| name.0.to_string())
                    .collect(),
            )
        };
        match (clause, ask.stanza_word) {
            ("via", _) => match reached(ask, within) {
                Some(zone) => {
                    let leads = |ends: (ZoneId, ZoneId)| ends.0 == zone || ends.1 == zone;
                    let on = plan.passages.iter().filter(|p| p.ends.is_some_and(leads));
                    Preference::Names(on.map(|p| p.name.0.to_string()).collect())
                }
                None => Preference::None,
            },
            ("in", _) => {
                let from = ask.tree.clause("from");
                let zone = from.and_then(|from| comes_to(ask, from));
                let name = zone.map(|z| plan.zones[z.0].name.0.to_string());
                Preference::Names(name.into_iter().collect())
            }
            ("only", _) => Preference::Lights,
            ("from" | "return" | "between", word) if word != StanzaWord::Passage => {
                Preference::NoLights
            }
            ("fits", word) => of_word(word, "fits"),
            ("seals", word) => of_word(word, "seals"),
            (_, StanzaWord::Tried) => {
                let tried = plan.trials.iter().filter(|t| t.stanza != ask.id);
                let names = tried.map(|t| plan.items[t.item.0].name.0.to_string());
                Preference::Others(names.collect())
            }
            _ => Preference::None,
        }
    }

    pub fn rank(&self, plan: &Plan, name: &str) -> u8 {
        let is_light = || names::is_light(plan, &Name(name.into()));
        let first = match self {
            Preference::None => true,
            Preference::Names(names) => names.contains(name),
            Preference::Others(names) => !names.contains(name),
            Preference::Lights => is_light(),
            Preference::NoLights => !is_light(),
        };
        u8::from(!first)
    }
}

/// The zone that a run is in where its passages are being listed.
fn reached(ask: &Ask, within: &[Within]) -> Option<ZoneId> {
    let (_, outer) = within.split_last()?;
    comes_to(ask, ask.clause(outer)?)
}

/// The zone that the run of a clause comes to, by the passages that it names so far.
fn comes_to(ask: &Ask, run: &Clause) -> Option<ZoneId> {
    let plan = ask.plan;
    let (point, _) = run.names().next()?;
    let item = points::item_of(plan, point)?;
    let mut zone = plan.items[item.0].zone?;
    for (name, _) in run.part("via").into_iter().flat_map(Clause::names) {
        let Some(Target::Passage(id)) = plan.names.get(name).and_then(|d| d.target) else {
            continue;
        };
        zone = match plan.passages[id.0].ends {
            Some((a, b)) if a == zone => b,
            Some((a, b)) if b == zone => a,
            _ => zone,
        };
    }
    Some(zone)
}
