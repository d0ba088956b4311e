//! Which of the names that fit a place come before the others, whatever stands nearest.

use std::collections::HashSet;

use super::ask::Ask;
use super::{names, points};
use crate::checks::Analysis;
use crate::plan::{Target, ZoneId};
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
    /// Lights last, and outputs ahead of them: a second way round seldom begins at either.
    Links,
    /// Outputs that switch the minus first, lights and what hangs on another source than this last.
    Returns(Option<Name>),
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
            ("return", _) => {
                let from = ask.tree.clause("from").and_then(|from| from.names().next());
                Preference::Returns(from.map(|(point, _)| points::source_of(plan, point)))
            }
            ("from", _) => Preference::NoLights,
            ("between", StanzaWord::Link) => Preference::Links,
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

    /// The rank of a name of the pattern at hand: all alike, but for points.
    pub fn rank_inside(&self, a: &Analysis, name: &str) -> u8 {
        match self {
            Preference::NoLights | Preference::Links | Preference::Returns(_) => self.rank(a, name),
            _ => 0,
        }
    }

    pub fn rank(&self, a: &Analysis, name: &str) -> u8 {
        let plan = &a.plan;
        let is_light = || names::is_light(plan, &Name(name.into()));
        let first = match self {
            Preference::Returns(from) => {
                let name = Name(name.into());
                let source = || points::source_of(plan, &name);
                return match from {
                    Some(from) if source() != *from => 2,
                    _ if points::is_sink(a, &name) => 0,
                    _ if names::is_light(plan, &name) => 2,
                    _ => 1,
                };
            }
            Preference::Links if !is_light() => {
                return u8::from(!plan.names.contains_key(&Name(name.into())));
            }
            Preference::Links => return 2,
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
