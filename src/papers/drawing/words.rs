//! The words at an item and at its run: what it is, and its figures in the scene that is drawn.

use super::letters;
use crate::circuit::{Figures, SceneFigures};
use crate::numbers::{count, decimals, length, show, show_short};
use crate::plan::{Cut, FuseCharacter, ItemId, Load, Output, Part, Plan, Run, Supply, WireId};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::ElectricCurrent;

/// A plan with the figures of one of its scenes.
#[derive(Clone, Copy)]
pub struct Said<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The figures, where there are any.
    pub figures: Option<&'a Figures>,
}

impl<'a> Said<'a> {
    /// What is to be said of a plan in a scene.
    pub fn of(plan: &'a Plan, scene: Option<&'a SceneFigures>) -> Said<'a> {
        let figures = scene.and_then(|scene| scene.outcome.as_ref().ok());
        Said { plan, figures }
    }

    /// What an item is, in few words, and what it comes to.
    pub fn item(&self, id: ItemId) -> Vec<String> {
        let item = &self.plan.items[id.0];
        let mut words = vec![self.what(id)];
        let own = self.figures.and_then(|figures| figures.items.get(id.0));
        if let Some(own) = own {
            let takes = item.is_light() || matches!(item.part, Part::Load(_) | Part::Board { .. });
            words.push(match item.part {
                Part::Supply(_) if own.reached => format!("gives {}", show(own.passes.typical)),
                Part::Supply(_) => "off".to_owned(),
                _ if takes && !own.reached => "dark".to_owned(),
                _ if takes => format!("{}, {}", show(own.volts.typical), show(own.amps.typical)),
                _ => String::new(),
            });
        }
        words.retain(|line| !line.is_empty());
        words
    }

    /// Whether it gives light in the scene.
    pub fn is_lit(&self, id: ItemId) -> bool {
        let own = self.figures.and_then(|figures| figures.items.get(id.0));
        self.plan.items[id.0].is_light() && own.is_some_and(|own| own.amps.typical.value > 0.0)
    }

    fn what(&self, id: ItemId) -> String {
        let item = &self.plan.items[id.0];
        let rated = |rated: &Option<ElectricCurrent>| {
            rated.map_or_else(String::new, |rated| format!("rated {}", show(rated)))
        };
        match &item.part {
            Part::Supply(supply) => supply_words(supply),
            Part::Fuse {
                rating, character, ..
            } => match character {
                FuseCharacter::Quick => show(*rating),
                FuseCharacter::Slow => format!("{} slow", show(*rating)),
                FuseCharacter::Resettable => format!("{} resettable", show(*rating)),
            },
            Part::Switch { rated: most } | Part::Connector { rated: most, .. } => rated(most),
            Part::Joint if item.word == StanzaWord::Copy => "copy".to_owned(),
            Part::Joint => String::new(),
            Part::Resistor { ohms, rating } => match rating {
                Some(rating) => format!("{}, {}", show(*ohms), show(*rating)),
                None => show(*ohms),
            },
            Part::Diode { drops } | Part::Rectifier { drops } => format!("takes {}", show(*drops)),
            Part::Regulator { volts, limit, .. } => format!("{}, {}", show(*volts), show(*limit)),
            Part::Strip {
                tape, groups, cut, ..
            } => {
                let tape = &self.plan.tapes[tape.0];
                let many = match cut {
                    Cut::Groups(_) => count(*groups as usize, "group"),
                    Cut::Lamps(_) => count(tape.lamps.saturating_mul(*groups) as usize, "lamp"),
                    Cut::Length(cut) => length(*cut),
                };
                format!("{many} of {}", name(&tape.name))
            }
            Part::Lamps {
                led,
                count,
                resistor,
                ..
            } => {
                let led = name(&self.plan.leds[led.0].name);
                let led = match item.word {
                    StanzaWord::Lamp => led,
                    _ => format!("{count} × {led}"),
                };
                match resistor {
                    Some(ballast) => format!("{led}, {}", show(ballast.ohms)),
                    None => led,
                }
            }
            Part::Board { module } => name(&self.plan.modules[module.0].name),
            Part::Load(load) => match load {
                Load::Draws(current, _) => format!("draws {}", show(*current)),
                Load::Takes(power) => format!("takes {}", show(*power)),
                Load::Resistance(ohms) => show(*ohms),
            },
        }
    }

    /// What an output is, and what it gives.
    pub fn output(&self, board: ItemId, nth: usize) -> Vec<String> {
        let Part::Board { module } = self.plan.items[board.0].part else {
            return Vec::new();
        };
        let module = &self.plan.modules[module.0];
        let Some(output) = module.outputs.get(nth) else {
            return Vec::new();
        };
        let mut words = vec![output_words(output)];
        let board = self.figures.and_then(|figures| figures.items.get(board.0));
        if let Some(own) = board.and_then(|own| own.outputs.get(nth)) {
            let does = if output.sinks { "sinks" } else { "gives" };
            words.push(format!("{does} {}", show(own.amps.typical)));
        }
        words.retain(|line| !line.is_empty());
        words
    }

    /// What flows in the plus leg of an item.
    pub fn passes(&self, id: ItemId) -> Option<String> {
        let own = self.figures?.items.get(id.0)?;
        Some(current(own.passes.typical))
    }

    /// What flows in its minus leg.
    pub fn returns(&self, id: ItemId) -> Option<String> {
        let own = self.figures?.items.get(id.0)?;
        Some(current(own.returns.typical))
    }

    /// What flows in a link.
    pub fn link(&self, nth: usize) -> Option<String> {
        let (plus, _) = self.figures?.links.get(nth)?;
        // From which end, the line does not say.
        let size = if plus.typical.value < 0.0 {
            -*plus
        } else {
            *plus
        };
        Some(show_short(size.typical))
    }

    /// How long a run is, and of which wire.
    pub fn run(&self, run: &Run) -> String {
        let wire = name(&self.plan.wires[run.wire.0].name);
        format!("{} of {wire}", length(run.length))
    }

    /// The passages of a run.
    pub fn via(&self, run: &Run) -> Option<String> {
        let names = run
            .via
            .iter()
            .map(|&passage| name(&self.plan.passages[passage.0].name));
        let names: Vec<String> = names.collect();
        (!names.is_empty()).then(|| format!("via {}", names.join(", ")))
    }

    /// How thick a wire is, as its stanza says it.
    pub fn size(&self, id: WireId) -> String {
        let wire = &self.plan.wires[id.0];
        let stanza = self.plan.stanza(wire.stanza);
        let stated = ["gauge", "diameter", "area"].iter().find_map(|word| {
            let value = stanza.clause(word)?.values.first()?;
            Some(stanza.quoted(value.span))
        });
        stated.unwrap_or_else(|| length(wire.copper))
    }
}

/// The most letters' width of a name among other words.
const NAME: f64 = 13.0;

fn name(name: &Name) -> String {
    letters::name(&name.0, NAME)
}

/// A current through a leg; one that flows the other way than the feed goes is said to.
fn current(current: ElectricCurrent) -> String {
    match current.value < -5e-7 {
        true => format!("{} back", show_short(-current)),
        false => show_short(current),
    }
}

fn supply_words(supply: &Supply) -> String {
    let mut words = show(supply.volts);
    if let Some(limit) = supply.limit {
        words += &format!(", {}", show(limit));
    }
    if let Some(capacity) = supply.capacity {
        words += &format!(", {} mAh", decimals(capacity.value / 3.6, 0));
    }
    words
}

fn output_words(output: &Output) -> String {
    let mut words = Vec::new();
    words.extend(output.volts.map(show));
    words.push(show(output.limit));
    words.extend(
        output
            .flash
            .map(|often| format!("{} Hz", decimals(often.value, 2))),
    );
    words.extend(output.flickers.then(|| "flickers".to_owned()));
    words.join(", ")
}
