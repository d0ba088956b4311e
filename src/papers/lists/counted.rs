//! What is counted by the piece: lamps, boards, supplies, fuses, switches and the rest.

use super::allowances;
use crate::checks::Analysis;
use crate::numbers::{decimals, percent, show, three_digits};
use crate::plan::{AtHand, FuseCharacter, Item, ItemId, Load, Module, Part, Plan, RegulatorWay};
use crate::rewrites::e24;
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;

/// Pieces that are alike.
#[derive(Clone, Debug)]
pub struct Counted {
    /// What they are: the word of their stanza; of stock, the word of the stock.
    pub kind: StanzaWord,
    /// The name of the stock that they are, if any.
    pub stock: Option<Name>,
    /// What sets them apart: value, rating, kind.
    pub what: String,
    /// How many are fitted.
    pub used: u32,
    /// How many are bought beside them.
    pub spare: u32,
    /// How many are at hand, where that is stated.
    pub have: Option<u32>,
    /// What they are for.
    pub of: Vec<ItemId>,
}

impl Counted {
    /// How many are to be bought.
    pub fn buy(&self) -> u32 {
        (self.used + self.spare).saturating_sub(self.have.unwrap_or(0))
    }
}

/// The order in which kinds are listed: as current flows.
const ORDER: [StanzaWord; 10] = [
    StanzaWord::Supply,
    StanzaWord::Fuse,
    StanzaWord::Switch,
    StanzaWord::Connector,
    StanzaWord::Diode,
    StanzaWord::Rectifier,
    StanzaWord::Regulator,
    StanzaWord::Module,
    StanzaWord::Led,
    StanzaWord::Load,
];

/// All that is counted, kind by kind, of each kind in the order of the plan. Strips and resistors have lists of their own;
/// a joint is solder.
pub(super) fn counted(a: &Analysis) -> Vec<Counted> {
    let plan = &a.plan;
    let mut lines: Vec<Counted> = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let (kind, stock, have, count) = match item.part {
            Part::Joint | Part::Strip { .. } | Part::Resistor { .. } => continue,
            Part::Lamps { led, count, .. } => {
                let led = &plan.leds[led.0];
                (StanzaWord::Led, Some(&led.name), led.have, count)
            }
            Part::Board { module } => {
                let module = &plan.modules[module.0];
                (StanzaWord::Module, Some(&module.name), module.have, 1)
            }
            _ => (item.word, None, None, 1),
        };
        let what = described(plan, item);
        let same =
            |line: &Counted| line.kind == kind && line.stock.as_ref() == stock && line.what == what;
        let at = lines.iter().position(same).unwrap_or_else(|| {
            lines.push(Counted {
                kind,
                stock: stock.cloned(),
                what,
                used: 0,
                spare: 0,
                have: match have {
                    Some(AtHand::Pieces(n)) => Some(n),
                    _ => None,
                },
                of: Vec::new(),
            });
            lines.len() - 1
        });
        lines[at].used = lines[at].used.saturating_add(count);
        lines[at].of.push(ItemId(i));
        if matches!(
            item.part,
            Part::Fuse {
                character: FuseCharacter::Quick | FuseCharacter::Slow,
                ..
            }
        ) {
            lines[at].spare = allowances::SPARE_FUSES;
        }
    }
    for line in &mut lines {
        if line.kind == StanzaWord::Led {
            line.spare = allowances::spares(line.used);
        }
    }
    let place = |line: &Counted| ORDER.iter().position(|kind| *kind == line.kind);
    lines.sort_by_key(place);
    lines
}

/// The outputs of a board as they are asked for: `fire 30 mA flickers`, `stop 60 mA sinks`, `stop, go by turns`.
fn outputs(module: &Module) -> impl Iterator<Item = String> + '_ {
    let each = module.outputs.iter().map(|output| {
        let mut words = vec![output.name.0.to_string()];
        words.extend(output.volts.map(show));
        words.push(show(output.limit));
        words.extend(
            output
                .duty
                .map(|duty| format!("duty {}", percent(duty.value))),
        );
        words.extend(
            output
                .flash
                .map(|flash| format!("flash {} Hz", decimals(flash.value, 2))),
        );
        words.extend(output.flickers.then(|| "flickers".to_owned()));
        words.extend(output.sinks.then(|| "sinks".to_owned()));
        words.join(" ")
    });
    let turns = module
        .turns
        .iter()
        .map(|nth| &*module.outputs[*nth].name.0)
        .collect::<Vec<_>>();
    let turns = (!turns.is_empty()).then(|| format!("{} by turns", turns.join(", ")));
    each.chain(turns)
}

/// What an item is, in the words in which it is asked for over a counter: `400 mA quick`, `12 V, 1 A`. Of lamps and boards
/// it is what their stock says. Nothing where the plan states nothing.
pub fn described(plan: &Plan, item: &Item) -> String {
    match &item.part {
        Part::Supply(supply) => {
            let mut words = show(supply.volts);
            if let Some(limit) = supply.limit {
                words += &format!(", {}", show(limit));
            }
            if let Some(capacity) = supply.capacity {
                words += &format!(", {} mAh", three_digits(capacity.value / 3.6));
            }
            if supply.either_way {
                words += ", plus on either rail";
            }
            words
        }
        Part::Fuse {
            rating, character, ..
        } => {
            let acts = match character {
                FuseCharacter::Quick => "quick",
                FuseCharacter::Slow => "slow",
                FuseCharacter::Resettable => "resettable",
            };
            format!("{} {acts}", show(*rating))
        }
        Part::Switch { rated } | Part::Connector { rated, .. } => {
            rated.map_or_else(String::new, |rated| format!("rated {}", show(rated)))
        }
        Part::Joint => String::new(),
        Part::Resistor { ohms, .. } => e24::written(*ohms),
        Part::Diode { drops } | Part::Rectifier { drops } => format!("drops {}", show(*drops)),
        Part::Regulator { volts, limit, way } => {
            let way = match way {
                RegulatorWay::Switching { efficiency } => {
                    format!("switching, {}", percent(efficiency.value))
                }
                RegulatorWay::Linear { dropout } => format!("linear, dropout {}", show(*dropout)),
            };
            format!("{}, {}, {way}", show(*volts), show(*limit))
        }
        Part::Strip { tape, .. } => {
            let tape = &plan.tapes[tape.0];
            let mut words = format!(
                "groups of {} × {} mm, {}–{}",
                tape.lamps,
                decimals(tape.group.value * 1e3, 1),
                show(tape.works.0),
                show(tape.works.1)
            );
            if let Some(colour) = tape.colour {
                words += &format!(", {colour}");
            }
            words
        }
        Part::Lamps { led, .. } => {
            let led = &plan.leds[led.0];
            let colour = led.colour.map_or_else(String::new, |c| format!("{c}, "));
            let (at, drops) = (
                led.curve.stated_amps,
                led.curve.volts_at(led.curve.stated_amps),
            );
            format!("{colour}{} at {}", show(drops), show(at))
        }
        Part::Board { module } => {
            let module = &plan.modules[module.0];
            let works = module
                .works
                .map(|(low, high)| format!("works {}–{}", show(low), show(high)));
            let all = works.into_iter().chain(outputs(module));
            all.collect::<Vec<_>>().join("; ")
        }
        Part::Load(load) => match load {
            Load::Draws(amps, Some(at)) => format!("draws {} at {}", show(*amps), show(*at)),
            Load::Draws(amps, None) => format!("draws {}", show(*amps)),
            Load::Takes(power) => format!("takes {}", show(*power)),
            Load::Resistance(ohms) => e24::written(*ohms),
        },
    }
}
