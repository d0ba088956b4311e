//! Stock: what a builder wants to know before cutting and soldering it.

use super::{bold, paragraphs, table};
use crate::checks::Analysis;
use crate::circuit::alone::bench_volts;
use crate::circuit::copper::per_metre;
use crate::circuit::wire_capacity::{may_carry, melts_at};
use crate::numbers::{count, decimals, length, percent, show, three_digits};
use crate::plan::{AtHand, Gives, LedId, Module, ModuleId, Output, Plan, StanzaId, TapeId, WireId};
use crate::syntax::tree::{Name, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{amps, metres};

/// Currents at which the curve of a lamp is shown, milliamperes.
const CURVE_MA: [f64; 4] = [1.0, 5.0, 10.0, 20.0];

/// A wire.
pub fn wire(a: &Analysis, id: WireId) -> String {
    let plan = &a.plan;
    let wire = &plan.wires[id.0];
    let mm = wire.copper.value * 1e3;
    let gauge = 36.0 - 39.0 * libm::log(mm / 0.127) / libm::log(92.0); // ASTM B258, turned round
    let area = std::f64::consts::FRAC_PI_4 * mm * mm;
    let mut head = format!(
        "{}: copper {} mm across, {} mm²",
        bold(StanzaWord::Wire, &wire.name),
        three_digits(mm),
        three_digits(area)
    );
    if (0.0..=50.0).contains(&gauge) {
        let whole = (gauge - gauge.round()).abs() < 0.05;
        let about = if whole { "" } else { "about " };
        head.push_str(&format!(", {about}{} AWG", gauge.round()));
    }
    if let Some(insulation) = wire.insulation.filter(|i| *i != "none") {
        head.push_str(&format!(", {insulation}"));
    }
    let ambient = decimals(plan.settings.ambient.value - 273.15, 1);
    let per_metre = per_metre(wire.copper, plan.settings.ambient).0;
    let carries = may_carry(plan, wire);
    let why = match wire.carries {
        Some(_) => "stated",
        None => "worked out from its size, glued down or bundled",
    };
    let facts = [
        format!(
            "- {} ohm per metre of each leg at {ambient} degC",
            three_digits(per_metre)
        ),
        format!("- may carry {} ({why})", show(carries)),
        format!("- bare in air it melts at {}", show(melts_at(wire.copper))),
    ];
    let used = run_length(plan, id);
    paragraphs([
        Some(head),
        Some(facts.join("\n")),
        Some(used_and_have(
            format!("{} in runs, each of two legs", length(metres(used))),
            wire.have,
        )),
    ])
    .unwrap_or_default()
}

/// The length of all runs of a wire.
fn run_length(plan: &Plan, id: WireId) -> f64 {
    let feeds = plan
        .items
        .iter()
        .filter_map(|i| i.feed.as_ref()?.run.as_ref());
    let links = plan.links.iter().filter_map(|l| l.run.as_ref());
    feeds
        .chain(links)
        .filter(|run| run.wire == id)
        .map(|run| run.length.value)
        .sum()
}

fn used_and_have(used: String, have: Option<AtHand>) -> String {
    match have {
        Some(AtHand::Length(l)) => format!("In this plan: {used}. At hand: {}.", length(l)),
        Some(AtHand::Pieces(n)) => format!("In this plan: {used}. At hand: {n}."),
        None => format!("In this plan: {used}."),
    }
}

/// A tape.
pub fn tape(a: &Analysis, id: TapeId) -> String {
    let plan = &a.plan;
    let tape = &plan.tapes[id.0];
    let per_metre = 1.0 / tape.group.value;
    let head = format!(
        "{}: groups of {}, {} long, {} to {}",
        bold(StanzaWord::Tape, &tape.name),
        count(tape.lamps as usize, "lamp"),
        length(tape.group),
        show(tape.works.0),
        show(tape.works.1)
    );
    let power = tape.draws_at * tape.draws;
    let lamp_volts = tape.curve.volts_at(tape.draws);
    let mut rows = vec![vec![
        Some("lamps".into()),
        Some(tape.lamps.to_string()),
        Some(decimals(f64::from(tape.lamps) * per_metre, 1)),
    ]];
    rows.push(vec![
        Some("current".into()),
        Some(show(tape.draws)),
        Some(show(tape.draws * per_metre)),
    ]);
    rows.push(vec![
        Some("power".into()),
        Some(show(power)),
        Some(show(power * per_metre)),
    ]);
    if let Some(light) = tape.gives {
        rows.push(vec![
            Some("light".into()),
            Some(format!("{} lm", three_digits(light.0))),
            Some(format!("{} lm", three_digits(light.0 * per_metre))),
        ]);
    }
    let inside = format!(
        "Inside a group: each lamp {}, one resistor of {}. Cut only between groups.",
        show(lamp_volts),
        show(tape.resistor)
    );
    let groups: u32 = plan
        .items
        .iter()
        .filter_map(|i| match i.part {
            crate::plan::Part::Strip { tape, groups, .. } if tape == id => Some(groups),
            _ => None,
        })
        .sum();
    let used = format!(
        "{}, {}",
        count(groups as usize, "group"),
        length(tape.group * f64::from(groups))
    );
    paragraphs([
        Some(head),
        table(
            &[&format!("at {}", show(tape.draws_at)), "a group", "a metre"],
            &rows,
        ),
        Some(inside),
        Some(used_and_have(used, tape.have)),
    ])
    .unwrap_or_default()
}

/// What a number of a tape's lamps or groups in the head of a strip comes to.
pub fn count_of_tape(a: &Analysis, stanza: StanzaId, n: u32) -> Option<String> {
    let plan = &a.plan;
    let tree = plan.stanza(stanza);
    if tree.word != Some(StanzaWord::Strip) {
        return None;
    }
    let is_groups = tree.head.iter().any(|v| {
        matches!(v.kind, ValueKind::Count(m, Some(word)) if m == n && word.starts_with("group"))
    });
    let tape = tree.head.iter().find_map(|v| match &v.kind {
        ValueKind::Name(name) => plan.tapes.iter().find(|t| t.name == *name),
        _ => None,
    })?;
    let lamps = if is_groups {
        n.saturating_mul(tape.lamps)
    } else {
        n
    };
    let groups = f64::from(lamps) / f64::from(tape.lamps);
    if groups.fract() != 0.0 {
        return Some(format!(
            "{} of {} are {} groups: not a whole number.",
            count(lamps as usize, "lamp"),
            tape.name.0,
            decimals(groups, 2)
        ));
    }
    Some(format!(
        "{} of {}: {}, {}, {} at {}.",
        count(lamps as usize, "lamp"),
        tape.name.0,
        count(groups as usize, "group"),
        length(tape.group * groups),
        show(tape.draws * groups),
        show(tape.draws_at)
    ))
}

/// A led.
pub fn led(a: &Analysis, id: LedId) -> String {
    let plan = &a.plan;
    let led = &plan.leds[id.0];
    let mut head = bold(StanzaWord::Led, &led.name);
    head.push_str(": ");
    if let Some(colour) = led.colour {
        head.push_str(&format!("{colour}, "));
    }
    head.push_str(&format!("up to {}", show(led.limit)));
    if !led.limit_stated {
        head.push_str(" (not stated: 1.25 times the current under `drops`)");
    }
    match led.gives {
        Some(Gives::Flux(flux)) => head.push_str(&format!(
            ", {} lm at {}",
            three_digits(flux.0),
            show(led.curve.stated_amps)
        )),
        Some(Gives::Beam(beam, angle)) => head.push_str(&format!(
            ", {} mcd over {} deg at {}",
            three_digits(beam.value * 1e3),
            decimals(angle.value.to_degrees(), 0),
            show(led.curve.stated_amps)
        )),
        None => {}
    }
    let bench = bench_volts(plan);
    let rows: Vec<_> = CURVE_MA
        .iter()
        .map(|ma| {
            let current = amps(ma * 1e-3);
            let own = led.curve.volts_at(current);
            let resistor = bench
                .filter(|b| *b > own)
                .map(|b| show((b - own) / current));
            let over = if current > led.limit {
                " (over its limit)"
            } else {
                ""
            };
            vec![
                Some(format!("{}{over}", show(current))),
                Some(show(own)),
                resistor,
            ]
        })
        .collect();
    let resistor = match bench {
        Some(bench) => format!("resistor on {}", show(bench)),
        None => "resistor".into(),
    };
    let lamps: u32 = plan
        .items
        .iter()
        .filter_map(|i| match i.part {
            crate::plan::Part::Lamps { led, count, .. } if led == id => Some(count),
            _ => None,
        })
        .sum();
    paragraphs([
        Some(head),
        table(&["current", "volts", &resistor], &rows),
        Some(used_and_have(count(lamps as usize, "lamp"), led.have)),
    ])
    .unwrap_or_default()
}

/// A module.
pub fn module(a: &Analysis, id: ModuleId) -> String {
    let module = &a.plan.modules[id.0];
    let mut head = format!(
        "{}: draws {} itself",
        bold(StanzaWord::Module, &module.name),
        show(module.draws)
    );
    if let Some((least, most)) = module.works {
        head.push_str(&format!(", works at {} to {}", show(least), show(most)));
    }
    let outputs: Vec<String> = module
        .outputs
        .iter()
        .map(|o| format!("- {}: {}", o.name.0, output_words(o)))
        .collect();
    let turns = (!module.turns.is_empty()).then(|| {
        let names: Vec<&str> = turns(module).collect();
        format!("Only one of {} is on at a time.", names.join(", "))
    });
    paragraphs([Some(head), Some(outputs.join("\n")), turns]).unwrap_or_default()
}

fn turns(module: &Module) -> impl Iterator<Item = &str> {
    module
        .turns
        .iter()
        .filter_map(|i| module.outputs.get(*i))
        .map(|o| &*o.name.0)
}

/// What an output gives, in words.
pub fn output_words(output: &Output) -> String {
    let mut text = match output.volts {
        Some(volts) => format!("regulated to {}, ", show(volts)),
        None if output.sinks => String::from("switches the minus, "),
        None => String::from("hands on what the board is fed, "),
    };
    text.push_str(&format!("up to {}", show(output.limit)));
    if let Some(flash) = output.flash {
        text.push_str(&format!(", flashes at {} Hz", three_digits(flash.value)));
    }
    if let Some(duty) = output.duty {
        text.push_str(&format!(", on {} of the time", percent(duty.value)));
    }
    if output.flickers {
        text.push_str(", flickers");
    }
    text
}

/// An output, in the stanza that defines it.
pub fn output_of_stanza(a: &Analysis, stanza: StanzaId, output: &Name) -> Option<String> {
    let module = a.plan.modules.iter().find(|m| m.stanza == stanza)?;
    let output = module.outputs.iter().find(|o| o.name == *output)?;
    Some(format!(
        "**{}**: output of {}, {}",
        output.name.0,
        module.name.0,
        output_words(output)
    ))
}
