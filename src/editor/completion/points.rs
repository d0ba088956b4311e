//! Points and items: what hangs on what, and the figures that are measured there.

use std::collections::{HashMap, HashSet};

use crate::checks::Analysis;
use crate::circuit::{Figures, SceneFigures, Solution};
use crate::numbers::show;
use crate::plan::{Definition, ItemId, Part, Plan, Target};
use crate::syntax::tree::{Name, names};
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{ElectricCurrent, ElectricPotential};

/// Everything on; of outputs that take turns, the state in which the one that `figure` belongs to has its turn: the
/// first in which that is not far below its greatest.
pub(super) fn turn_of(
    solution: &Solution,
    figure: impl Fn(&Figures) -> Option<f64>,
) -> Option<&SceneFigures> {
    let all_on = solution.scenes.last()?;
    let of = |state: &SceneFigures| state.outcome.as_ref().ok().and_then(&figure);
    if all_on.outcome.is_err() || solution.turns.is_empty() {
        return Some(all_on);
    }
    let greatest = solution.turns.iter().filter_map(of).fold(0.0, f64::max);
    let has_turn = |state: &&SceneFigures| of(state).is_some_and(|f| f >= greatest / 2.0);
    let mut states = std::iter::once(all_on).chain(&solution.turns);
    states.find(has_turn).or(Some(all_on))
}

/// An item in a few words and figures: `joint, 11.93 V, passes 214 mA`.
pub(super) fn detail(a: &Analysis, id: ItemId) -> String {
    let Some(item) = a.plan.items.get(id.0) else {
        return String::new();
    };
    let kind = item.kind();
    let state = turn_of(&a.solution, |f| {
        let own = f.items.get(id.0)?;
        Some(
            own.amps
                .typical
                .abs()
                .value
                .max(own.passes.typical.abs().value),
        )
    });
    let figures = state.and_then(|state| state.outcome.as_ref().ok());
    let Some(own) = figures.and_then(|f| f.items.get(id.0)) else {
        return kind.into();
    };
    if !own.reached {
        return format!("{kind}, not reached");
    }
    let current = match &item.part {
        Part::Supply(supply) => {
            let of = supply
                .limit
                .map_or(String::new(), |l| format!(" of {}", show(l)));
            format!("gives {}{of}", show(own.passes.typical))
        }
        Part::Board { .. } | Part::Load(_) => format!("draws {}", show(own.amps.typical)),
        _ if item.is_light() => format!("draws {}", show(own.amps.typical)),
        _ => format!("passes {}", show(own.passes.typical)),
    };
    let volts = match item.part {
        Part::Board { .. } | Part::Load(_) => own.volts.typical,
        _ if item.is_light() => own.volts.typical,
        _ => own.hands_on.typical,
    };
    format!("{kind}, {}, {current}", show(volts))
}

/// An output of a board.
pub(super) struct Output {
    /// Its own name.
    pub name: String,
    /// What it gives.
    pub detail: String,
    /// Whether it switches the minus: something returns to it, and nothing is fed from it.
    pub sinks: bool,
}

/// The outputs of a board.
pub(super) fn outputs<'a>(a: &'a Analysis, name: &Name, definition: &Definition) -> Vec<Output> {
    let plan = &a.plan;
    let item = match definition.target {
        Some(Target::Item(id)) => plan.items.get(id.0).map(|item| (id, item)),
        _ => None,
    };
    if let Some((id, item)) = item
        && let Part::Board { module } = item.part
    {
        let outputs = plan.modules[module.0].outputs.iter().enumerate();
        return outputs
            .map(|(place, output)| {
                let at = |f: &'a Figures| f.items.get(id.0)?.outputs.get(place);
                let state = turn_of(&a.solution, |f| {
                    let now = f.items.get(id.0)?.outputs.get(place)?;
                    Some(now.volts.typical.value)
                });
                let now = state.and_then(|s| at(s.outcome.as_ref().ok()?));
                let detail = match now {
                    Some(now) if output.sinks => {
                        format!("sinks {} of {}", show(now.amps.typical), show(output.limit))
                    }
                    Some(now) => format!(
                        "output, {}, gives {} of {}",
                        show(now.volts.typical),
                        show(now.amps.typical),
                        show(output.limit)
                    ),
                    None => format!("output, up to {}", show(output.limit)),
                };
                Output {
                    name: output.name.0.to_string(),
                    detail,
                    sinks: output.sinks,
                }
            })
            .collect();
    }
    // A board that is left out still has the outputs that its module names.
    let head = &plan.stanza(definition.stanza).head;
    let module = names(head).map(|(n, _)| n).find(|n| *n != name);
    let module = module.and_then(|module| plan.names.get(module));
    let Some(module) = module.filter(|d| d.word == StanzaWord::Module) else {
        return Vec::new();
    };
    let clauses = plan.stanza(module.stanza).clauses.iter();
    clauses
        .filter(|c| c.word == "output")
        .filter_map(|c| {
            Some(Output {
                name: c.names().next()?.0.0.to_string(),
                detail: "output".to_owned(),
                sinks: c.part("sinks").is_some(),
            })
        })
        .collect()
}

/// Whether a name is that of an output that switches the minus.
pub(super) fn is_sink(a: &Analysis, name: &Name) -> bool {
    let Some((board, output)) = name.0.rsplit_once('.') else {
        return false;
    };
    let board = a.plan.names.get_key_value(&Name(board.into()));
    board.is_some_and(|(board, definition)| {
        definition.word == StanzaWord::Board
            && outputs(a, board, definition)
                .iter()
                .any(|known| known.name == output && known.sinks)
    })
}

/// The item that a point names, or whose output it names.
pub(super) fn item_of(plan: &Plan, point: &Name) -> Option<ItemId> {
    let item = |name: &Name| match plan.names.get(name)?.target? {
        Target::Item(id) => Some(id),
        _ => None,
    };
    item(point).or_else(|| {
        let (board, _) = point.0.rsplit_once('.')?;
        item(&Name(board.into()))
    })
}

/// The voltage and the current at a point, with everything on and in its own turn; `None` where it has none.
pub(super) fn at_point(a: &Analysis, point: &Name) -> Option<(ElectricPotential, ElectricCurrent)> {
    let plan = &a.plan;
    let id = item_of(plan, point)?;
    let output = match plan.items[id.0].part {
        Part::Board { module } => {
            let (_, output) = point.0.rsplit_once('.')?;
            let outputs = &plan.modules[module.0].outputs;
            Some(outputs.iter().position(|o| &*o.name.0 == output)?)
        }
        _ => None,
    };
    let at = |figures: &Figures| {
        let own = figures.items.get(id.0).filter(|own| own.reached)?;
        match output {
            Some(place) => {
                let now = own.outputs.get(place)?;
                Some((now.volts.typical, now.amps.typical))
            }
            None => Some((own.hands_on.typical, own.passes.typical)),
        }
    };
    let state = turn_of(&a.solution, |f| Some(at(f)?.0.value))?;
    at(state.outcome.as_ref().ok()?)
}

/// Whether a name hangs, by the words of the plan, on another.
pub(super) fn hangs_on(plan: &Plan, name: &Name, on: &Name) -> bool {
    Hangs::on(plan, Some(on)).hangs(name)
}

/// What hangs on one item, found out name by name.
pub(super) struct Hangs<'a> {
    plan: &'a Plan,
    on: Option<Name>,
    known: HashMap<Name, bool>,
}

impl<'a> Hangs<'a> {
    /// What hangs on this; on nothing, without it.
    pub fn on(plan: &'a Plan, on: Option<&Name>) -> Hangs<'a> {
        Hangs {
            plan,
            on: on.cloned(),
            known: HashMap::new(),
        }
    }

    /// Whether a name does, or is that item itself: by the `from` clauses as they are written, so that what is left
    /// out counts too. Its pieces hang on a copy, its outputs on a board.
    pub fn hangs(&mut self, name: &Name) -> bool {
        let Some(on) = self.on.clone() else {
            return false;
        };
        let mut way: Vec<Name> = Vec::new();
        let mut at = Some(name.clone());
        let mut hangs = false;
        while let Some(here) = at {
            if here == on {
                hangs = true;
                break;
            }
            if let Some(known) = self.known.get(&here) {
                hangs = *known;
                break;
            }
            at = self.feeder(&here);
            // It stands as known from here on, so that a circle ends.
            self.known.insert(here.clone(), false);
            way.push(here);
        }
        for passed in way {
            self.known.insert(passed, hangs);
        }
        hangs
    }

    fn feeder(&self, name: &Name) -> Option<Name> {
        feeder(self.plan, name)
    }
}

/// What a name leads to at the end of its way: a supply, or what its way ends at; in a pattern, that is the pattern.
pub(super) fn source_of(plan: &Plan, name: &Name) -> Name {
    end_of_way(plan, name, |_| true)
}

/// What a name leads to by copper alone: a supply, or what makes another voltage on the way.
pub(super) fn rail_of(plan: &Plan, name: &Name) -> Name {
    use StanzaWord as S;
    end_of_way(plan, name, |at| {
        let definition = plan.names.get(at);
        definition.is_some_and(|d| {
            matches!(
                d.word,
                S::Fuse | S::Switch | S::Connector | S::Joint | S::Copy
            ) || d.word == S::Strip
        })
    })
}

fn end_of_way(plan: &Plan, name: &Name, goes_on: impl Fn(&Name) -> bool) -> Name {
    let mut at = name.clone();
    let mut seen = HashSet::from([at.clone()]);
    while goes_on(&at)
        && let Some(next) = feeder(plan, &at)
        && seen.insert(next.clone())
    {
        at = next;
    }
    at
}

/// What a name hangs on, by the words of the plan.
fn feeder(plan: &Plan, name: &Name) -> Option<Name> {
    let definition = plan.names.get(name);
    let plain = definition.filter(|d| {
        let own = plan.stanza(d.stanza).name();
        own.is_some_and(|(own, _)| own == name)
    });
    match plain {
        Some(d) => {
            let from = plan.stanza(d.stanza).clause("from")?;
            from.names().next().map(|(point, _)| point.clone())
        }
        None => {
            let (front, _) = name.0.rsplit_once('.')?;
            Some(Name(front.into()))
        }
    }
}
