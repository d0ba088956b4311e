//! What a circuit comes to with another resistor in it, solved without the text being changed.
//!
//! Where something ahead of a lamp takes its share of the drop, no sum tells what the lamp has then.

use super::resistor_text::ResistorWords;
use crate::circuit::{Solution, circuit_of_each, solve};
use crate::plan::{Ballast, ItemId, Part, Plan};
use crate::units::ElectricalResistance;

/// A circuit of more items, each counted once a scene, takes long to be solved over and over.
const MOST_ITEMS: usize = 2000;

/// The circuit that this lamp, string or `resistor` is in, with its resistor of this value, and so for all that its words stand
/// for; what is in other circuits is left out. `None` where it has no resistor and can have none, or where the circuit is too large.
pub fn with_resistor(plan: &Plan, holder: ItemId, value: ElectricalResistance) -> Option<Solution> {
    let circuits = circuit_of_each(plan);
    let own = *circuits.get(holder.0)?;
    let size = circuits.iter().filter(|&&circuit| circuit == own).count();
    if size * (plan.scenes.len() + 1) > MOST_ITEMS {
        return None;
    }
    let mut changed = Plan {
        settings: plan.settings.clone(),
        wires: plan.wires.clone(),
        tapes: plan.tapes.clone(),
        leds: plan.leds.clone(),
        modules: plan.modules.clone(),
        items: plan.items.clone(),
        scenes: plan.scenes.clone(),
        elsewhere: plan.elsewhere.clone(),
        ..Plan::default()
    };
    let is_in = |link: &&crate::plan::Link| circuits[link.ends.0.item.0] == own;
    changed.links = plan.links.iter().filter(is_in).cloned().collect();
    let stanza = plan.items[holder.0].stanza;
    let written = |item| ResistorWords::of(plan, item).map(|words| words.stanza);
    let holders = written(holder);
    for (k, item) in changed.items.iter_mut().enumerate() {
        if circuits[k] != own {
            (item.part, item.feed) = (Part::Joint, None);
        } else if item.stanza == stanza && written(ItemId(k)) == holders {
            match &mut item.part {
                Part::Resistor { ohms, .. } => *ohms = value,
                Part::Lamps { resistor, .. } => {
                    *resistor = Some(Ballast {
                        ohms: value,
                        rating: None,
                        at_lamp: resistor.is_some_and(|old| old.at_lamp),
                    });
                }
                _ => return None,
            }
        }
    }
    Some(solve(&changed, &|| false))
}
