//! Zones and passages.

use super::model::*;
use super::resolve::Resolver;
use crate::syntax::tree::Clause;
use crate::syntax::vocabulary::{Dimension as D, Role, StanzaWord};
use crate::units::*;

/// Enters all zones and passages into the plan.
pub(super) fn read(plan: &mut Plan, resolver: &mut Resolver) {
    let mut brighter = Vec::new();
    for (id, stanza) in stanzas(plan, StanzaWord::Zone) {
        let Some((name, _)) = stanza.name() else {
            continue;
        };
        let area = |word| {
            stanza
                .clause(word)
                .and_then(|c: &Clause| c.quantities(D::Area).next())
                .map(square_metres)
        };
        let reflects = stanza
            .clause("finish")
            .and_then(Clause::choice)
            .and_then(|finish| match finish {
                "white" => Some(ratio(0.85)),
                "silver" => Some(ratio(0.80)),
                "bare" => Some(ratio(0.40)),
                "black" => Some(ratio(0.05)),
                _ => None,
            });
        let zone = ZoneId(plan.zones.len());
        plan.zones.push(Zone {
            name: name.clone(),
            stanza: id,
            inside: area("inside"),
            windows: area("windows"),
            reflects,
            material: stanza.clause("material").and_then(Clause::choice),
            sealed: stanza.clause("sealed").is_some(),
            lifts_off: stanza.clause("lifts").is_some(),
            as_bright_as: None,
        });
        if let Some(definition) = resolver.names.plan.get_mut(name).filter(|d| d.stanza == id) {
            definition.target = Some(Target::Zone(zone));
        }
        if let Some((other, span)) = stanza.clause("as").and_then(|c| c.names().next()) {
            brighter.push((zone, id, other.clone(), span));
        }
    }
    for (zone, id, other, span) in brighter {
        if let Some(Target::Zone(other)) = resolver
            .definition(plan, (id, span), &other, Role::Zone, None)
            .ok()
        {
            plan.zones[zone.0].as_bright_as = Some(other);
        }
    }
    for (id, stanza) in stanzas(plan, StanzaWord::Passage) {
        let Some((name, _)) = stanza.name() else {
            continue;
        };
        let mut ends = Vec::new();
        for (zone, span) in stanza.clause("between").into_iter().flat_map(Clause::names) {
            if let Some(Target::Zone(zone)) = resolver
                .definition(plan, (id, span), zone, Role::Zone, None)
                .ok()
            {
                ends.push(zone);
            }
        }
        let length = |clause: &Clause| clause.quantities(D::Length).map(metres).collect::<Vec<_>>();
        let bore = stanza
            .clause("bore")
            .map(length)
            .and_then(|l| l.first().copied())
            .map(Opening::Bore);
        let slot = stanza
            .clause("slot")
            .map(length)
            .and_then(|l| Some(Opening::Slot(*l.first()?, *l.get(1)?)));
        plan.passages.push(Passage {
            name: name.clone(),
            stanza: id,
            ends: if let [a, b] = ends[..] {
                Some((a, b))
            } else {
                None
            },
            opening: bore.or(slot),
        });
        let passage = PassageId(plan.passages.len() - 1);
        if let Some(definition) = resolver.names.plan.get_mut(name).filter(|d| d.stanza == id) {
            definition.target = Some(Target::Passage(passage));
        }
    }
}

/// The stanzas of a word that are not left out.
pub(super) fn stanzas(
    plan: &Plan,
    word: StanzaWord,
) -> Vec<(StanzaId, std::sync::Arc<crate::syntax::tree::Stanza>)> {
    let all = plan.order.iter().map(|id| {
        let stanza = &plan.files[id.file.0].tree.stanzas[id.index].stanza;
        (*id, stanza)
    });
    let of_word = all.filter(|(_, stanza)| stanza.word == Some(word));
    let left_in = of_word.filter(|(id, _)| !plan.left_out.contains(id));
    left_in.map(|(id, stanza)| (id, stanza.clone())).collect()
}
