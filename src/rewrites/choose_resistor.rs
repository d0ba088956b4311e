//! Gives a lamp or string the resistor for a wanted current: of the E24 values (IEC 60063) that keep the
//! current within the lamp's limit in the bright corner, the one whose typical current is nearest, with a rating
//! that it uses to six tenths at most.
//!
//! A lamp without a resistor of its own that has a `resistor` ahead of it gets another value there. The voltage is the greatest of any scene, with what its own too large current loses on the way given back. A
//! piece of a pattern gets the resistor that serves all copies.

use super::branch_string::{LAMP_STRAYS, LampResistor, lamp_resistor};
use super::resistor_text::{ResistorWords, add_resistor};
use super::source::{Fed, Sources, is_soft};
use super::told::{Told, Which, Words};
use super::usual::rating_of;
use super::worst::greatest;
use super::{Candidate, e24};
use crate::circuit::{ItemFigures, Solution};
use crate::numbers::show;
use crate::plan::curve::LampCurve;
use crate::plan::{ItemId, Part, Plan};
use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, ohms, volts};

/// How often a value is solved and another taken for it, where something ahead shares the drop.
const MOST_SOLVED: usize = 4;

/// The resistor of this lamp or string for `wanted` (without it: for `runs at`, else the rated current). None
/// where the item is no lamp, has no figures, no value serves, or that value is there already.
pub fn choose_resistor(
    plan: &Plan,
    solution: &Solution,
    lamp: ItemId,
    wanted: Option<ElectricCurrent>,
) -> Vec<Candidate> {
    chosen(plan, solution, lamp, wanted).into_iter().collect()
}

/// Lamps in series as one: all that one drops, so many times.
pub fn in_series(curve: &LampCurve, count: u32) -> LampCurve {
    let n = f64::from(count);
    LampCurve {
        stated_volts: curve.stated_volts * n,
        stated_amps: curve.stated_amps,
        slope: curve.slope * n,
        series: curve.series * n,
    }
}

/// The resistor for `count` lamps in series fed from here, as [`lamp_resistor`].
pub fn series_resistor(
    curve: &LampCurve,
    count: u32,
    limit: ElectricCurrent,
    wanted: ElectricCurrent,
    sources: &Sources,
) -> Option<LampResistor> {
    // One lamp's stray is taken off the curve there; the others' are put on the voltage.
    let others = volts(LAMP_STRAYS) * f64::from(count.saturating_sub(1));
    let sources = sources.clone().with_more(others);
    lamp_resistor(&in_series(curve, count), limit, wanted, &sources)
}

fn chosen(
    plan: &Plan,
    solution: &Solution,
    lamp: ItemId,
    wanted: Option<ElectricCurrent>,
) -> Option<Candidate> {
    let item = plan.items.get(lamp.0)?;
    let Part::Lamps {
        led,
        count,
        resistor: old,
        runs_at,
    } = &item.part
    else {
        return None;
    };
    let led = &plan.leds[led.0];
    let rated = led.curve.stated_amps;
    let wanted = wanted.or(*runs_at).unwrap_or(rated);
    // Its own resistor, or else one ahead of it, holds its current.
    let holder = match old {
        Some(_) => lamp,
        None => resistor_ahead(plan, lamp).unwrap_or(lamp),
    };
    let old = match (*old, &plan.items[holder.0].part) {
        (None, Part::Resistor { ohms, rating }) => Some((*ohms, *rating)),
        (own, _) => own.map(|own| (own.ohms, own.rating)),
    };
    let (typical, highest) = voltages(plan, solution, holder, lamp, wanted)?;
    let choose =
        |sources: &Sources| series_resistor(&led.curve, *count, led.limit, wanted, sources);
    let guess = choose(&Sources::held(typical, highest));
    let new = match is_soft(plan, solution, holder) {
        true => {
            let fed = Fed::of(plan, holder, lamp)?;
            let own = old.map_or(ohms(0.0), |old| old.0);
            settled(&fed, solution, own, guess, choose)?
        }
        false => guess?,
    };

    let value = e24::written(new.ohms);
    let mut words = format!("{value} {}", new.rating);
    let edits = match (ResistorWords::of(plan, holder), old) {
        (Some(written), Some((had, rating))) => {
            if e24::written(had) == value {
                return None;
            }
            // A rating that is enough stays.
            let most = rating_of(new.rating);
            let enough = rating.zip(most).is_some_and(|(has, most)| has >= most);
            if let (true, Some(rating)) = (enough, written.rating) {
                words = format!("{value} {}", plan.stanza(written.stanza).quoted(rating));
            }
            written.put(plan, Some(&value), (!enough).then_some(new.rating))
        }
        _ => add_resistor(plan, lamp, &words)?,
    };
    let now = greatest(solution, lamp, |f| f.amps.typical)?;
    let item = &plan.items[holder.0];
    // What a copy says itself is of its own piece.
    let name = match ResistorWords::of(plan, holder) {
        Some(written) if written.stanza != item.stanza => &item.name,
        _ => plan.stanza(item.stanza).name()?.0,
    };
    let (now, then) = (show(now), show(new.current));
    let told = Told {
        item: plan.items[lamp.0].name.0.to_string(),
        what: Which::Amps,
        reckoned: then,
        words: Words::InsteadOf {
            same: format!("{now} as before, {} at most", show(led.limit)),
            now,
        },
    };
    let change = told.as_reckoned();
    Some(Candidate {
        title: match old {
            Some((old, _)) => format!(
                "{words} for {} instead of {}: {change}",
                name.0,
                e24::written(old)
            ),
            None => format!("a resistor of {words} for {}: {change}", name.0),
        },
        edits,
        told: vec![told],
    })
}

/// The resistor where a changed current changes the volts: what feeds the lamp is found from solving the circuit with one, and so
/// anew until the same is chosen again. Where the circuit is too large for that, the first guess.
fn settled(
    fed: &Fed,
    solution: &Solution,
    own: ElectricalResistance,
    guess: Option<LampResistor>,
    choose: impl Fn(&Sources) -> Option<LampResistor>,
) -> Option<LampResistor> {
    let mut before = fed.now(solution, own)?;
    let mut next = match guess {
        Some(guess) if guess.ohms != own => guess.ohms,
        _ => fed.another(solution, own)?,
    };
    let mut chosen = guess;
    for _ in 0..MOST_SOLVED {
        let Some(then) = fed.with(next) else {
            break;
        };
        let new = choose(&fed.sources(&before, &then)?)?;
        chosen = Some(new);
        if new.ohms == next {
            break;
        }
        (before, next) = (then, new.ohms);
    }
    chosen
}

/// The voltage for a lamp and its resistor, typical and the highest in any corner, of all items that its stanza
/// stands for.
fn voltages(
    plan: &Plan,
    solution: &Solution,
    holder: ItemId,
    lamp: ItemId,
    wanted: ElectricCurrent,
) -> Option<(ElectricPotential, ElectricPotential)> {
    // What this lamp's own current loses on the way falls with it.
    let now = greatest(solution, lamp, |f| f.amps.typical)?;
    let kept = match now > wanted {
        true => 1.0 - (wanted / now).value,
        false => 0.0,
    };
    let without_loss = |volts: ElectricPotential, f: &ItemFigures| volts + f.drop.typical * kept;
    let stanza = plan.items[holder.0].stanza;
    let alike = (0..plan.items.len())
        .map(ItemId)
        .filter(|i| plan.items[i.0].stanza == stanza);
    let highest = alike
        .filter_map(|i| greatest(solution, i, |f| without_loss(f.volts.high, f)))
        .reduce(ElectricPotential::max)?;
    let typical = greatest(solution, holder, |f| without_loss(f.volts.typical, f))?;
    Some((typical, highest))
}

/// The nearest `resistor` ahead of an item, up to what holds a voltage.
fn resistor_ahead(plan: &Plan, item: ItemId) -> Option<ItemId> {
    let mut at = item;
    for _ in 0..plan.items.len() {
        let from = plan.items[at.0].feed.as_ref()?.from;
        if plan.output(from).is_some_and(|o| o.volts.is_some()) {
            return None;
        }
        at = from.item;
        match plan.items[at.0].part {
            Part::Resistor { .. } => return Some(at),
            Part::Regulator { .. } => return None,
            _ => {}
        }
    }
    None
}
