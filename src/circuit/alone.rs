//! What a piece draws when it is tried alone on the bench, before it is fitted.

use super::{Figure, solve};
use crate::plan::{Feed, Item, ItemId, Part, Plan, Point, Supply};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio, volts};

/// The voltage that pieces are tried on: the plan's `bench`, else its first supply.
pub fn bench_volts(plan: &Plan) -> Option<ElectricPotential> {
    plan.settings.bench.or_else(|| {
        plan.items.iter().find_map(|i| match &i.part {
            Part::Supply(supply) => Some(supply.volts),
            _ => None,
        })
    })
}

/// The voltage that is stated for what feeds an item: of its supply, or of a regulator or an output on the way.
pub fn own_volts(plan: &Plan, id: ItemId) -> Option<ElectricPotential> {
    let mut at = id;
    for _ in 0..plan.items.len() {
        let from = plan.items[at.0].feed.as_ref()?.from;
        if let Some(held) = plan.output(from).and_then(|output| output.volts) {
            return Some(held);
        }
        at = from.item;
        match &plan.items[at.0].part {
            Part::Supply(supply) => return Some(supply.volts).filter(|v| *v > volts(0.0)),
            Part::Regulator { volts, .. } => return Some(*volts),
            _ => {}
        }
    }
    None
}

/// The current of a light, board or load that hangs alone on an exact source of this voltage, nothing behind it.
/// `None` for anything else, and where it cannot run on that.
pub fn drawn_alone(
    plan: &Plan,
    item: ItemId,
    on: ElectricPotential,
) -> Option<Figure<ElectricCurrent>> {
    let piece = &plan.items[item.0];
    if !matches!(
        piece.part,
        Part::Strip { .. } | Part::Lamps { .. } | Part::Board { .. } | Part::Load(_)
    ) {
        return None;
    }
    let source = Item {
        name: Name("bench".into()),
        word: StanzaWord::Supply,
        stanza: piece.stanza,
        copy: None,
        part: Part::Supply(Supply {
            volts: on,
            limit: None,
            resistance: ElectricalResistance::default(),
            tolerance: Ratio::default(),
            either_way: false,
            capacity: None,
            spent: None,
            lasts: None,
        }),
        feed: None,
        zone: None,
    };
    let piece = Item {
        copy: None,
        zone: None,
        feed: Some(Feed {
            from: Point {
                item: ItemId(0),
                output: None,
            },
            run: None,
            back: None,
            back_run: None,
        }),
        ..piece.clone()
    };
    let bench = Plan {
        settings: plan.settings.clone(),
        tapes: plan.tapes.clone(),
        leds: plan.leds.clone(),
        modules: plan.modules.clone(),
        items: vec![source, piece],
        ..Plan::default()
    };
    let solution = solve(&bench, &|| false);
    let figures = solution.scenes.last()?.outcome.as_ref().ok()?;
    Some(figures.items.get(1)?.amps)
}
