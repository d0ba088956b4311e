//! # `resistor-too-hot`: more heat than a resistor is made for
//!
//! **Error** when the power in a resistor is over its stated rating in some scene or corner; **warning** when it is over 60 % of it.
//!
//! ## Why it matters
//!
//! At its full rating a small resistor is over 100 °C hot. Glued under a styrene deck it softens the plastic, chars paint and card, and
//! drifts off its value. A size larger runs cool for the same few cents.
//!
//! ## The limit
//!
//! The rating holds in free air; 60 % of it leaves room for a closed model (common practice). Behind an output that flashes the power counts for
//! its `duty` (half of the time where it only says `flash`). A resistor without a stated rating is not checked.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 470 ohm 1/8 W from adapter
//! #                                   ^^^^^ resistor-too-hot
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 470 ohm 1/2 W from adapter
//! ```

use super::limits::over;
use super::page::page;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::circuit::duty;
use crate::circuit::supply::RESISTORS_STRAY;
use crate::numbers::{percent, show, show_and_limit};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::resistor_text::ResistorWords;
use crate::rewrites::usual::{RESISTOR_LOAD, rating_words, resistor_rating};
use crate::syntax::tree::{Name, ValueKind};
use crate::syntax::vocabulary::Dimension;
use crate::text::Span;
use crate::units::{ElectricCurrent, ElectricalResistance, Power, amps, watts};

/// More heat than a resistor is made for.
pub const CHECK: Check = Check {
    name: "resistor-too-hot",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("resistor_too_hot.rs"),
    check,
    mends: Some(mends),
};

/// The resistor that an item is or has, and its rating.
pub(super) fn resistor(
    context: &Context,
    item: ItemId,
) -> Option<(ElectricalResistance, Option<Power>)> {
    match &context.plan.items[item.0].part {
        Part::Resistor { ohms, rating } => Some((*ohms, *rating)),
        Part::Lamps {
            resistor: Some(own),
            ..
        } => Some((own.ohms, own.rating)),
        _ => None,
    }
}

/// The power in it at its worst, duty applied, and the scene.
fn worst(context: &Context, item: ItemId, ohms: ElectricalResistance) -> Option<(Power, Name)> {
    let share = duty::of_item(context.plan, item);
    let is_lamp = context.plan.items[item.0].is_light();
    let mut worst: Option<(Power, Name)> = None;
    for scene in context.solution.states() {
        let Some(figures) = scene
            .outcome
            .as_ref()
            .ok()
            .and_then(|f| f.items.get(item.0))
        else {
            continue;
        };
        let power = if is_lamp {
            // The resistor is at its least where the current is at its most, and the other way round.
            let heat = |i: ElectricCurrent, factor: f64| i * i * ohms * factor;
            let i = figures.amps;
            heat(i.typical, 1.0)
                .max(heat(i.high, 1.0 - RESISTORS_STRAY))
                .max(heat(i.low, 1.0 + RESISTORS_STRAY))
        } else {
            figures.watts.high
        } * share;
        if worst.as_ref().is_none_or(|(most, _)| power > *most) {
            worst = Some((power, scene.name.clone()));
        }
    }
    worst
}

/// As [`worst`], of the resistor that an item is or has.
pub(super) fn heat(context: &Context, item: ItemId) -> Option<Power> {
    let (ohms, _) = resistor(context, item)?;
    worst(context, item, ohms).map(|(power, _)| power)
}

/// Whether a power is over a limit by more than counts as nothing: by so much current.
fn is_over(power: Power, limit: Power, ohms: ElectricalResistance) -> bool {
    let current = |power: Power| amps((power / ohms).value.max(0.0).sqrt());
    over(current(power), current(limit))
}

/// Whether this is found on an item, as an error or a warning.
pub(super) fn is_too_hot(context: &Context, item: ItemId) -> bool {
    let Some((ohms, Some(rating))) = resistor(context, item) else {
        return false;
    };
    let worst = worst(context, item, ohms);
    worst.is_some_and(|(power, _)| is_over(power, rating * RESISTOR_LOAD, ohms))
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for item in (0..context.plan.items.len()).map(ItemId) {
        let Some((ohms, Some(rating))) = resistor(context, item) else {
            continue;
        };
        let Some((power, scene)) = worst(context, item, ohms) else {
            continue;
        };
        let (severity, limit) = if is_over(power, rating, ohms) {
            (Severity::Error, rating)
        } else if is_over(power, rating * RESISTOR_LOAD, ohms) {
            (Severity::Warning, rating * RESISTOR_LOAD)
        } else {
            continue;
        };
        let whose = match context.plan.items[item.0].is_light() {
            true => format!("The resistor of {}", context.quoted(item)),
            false => context.quoted(item),
        };
        let what = match resistor_rating(power) {
            Some((_, words)) => format!("Take one of {words}"),
            None => "Share the power among several resistors".to_owned(),
        };
        let message = format!(
            "{whose} has up to {} to turn into heat {}, {} of the {} that it is made for. {what}.",
            show_and_limit(power, limit).0,
            in_scene(&scene),
            percent((power / rating).value),
            rating_words(rating)
        );
        let span = rating_span(context, item);
        out.push(context.on_item(CHECK.name, severity, item, span, message));
    }
}

/// The rating in the item's own stanza, else its name.
pub(super) fn rating_span(context: &Context, item: ItemId) -> Span {
    let id = context.plan.items[item.0].stanza;
    let stanza = context.plan.stanza(id);
    let own = stanza
        .clause("resistor")
        .map_or(&stanza.head, |c| &c.values);
    let rating = own
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Quantity(_, Dimension::Power)));
    rating.map_or_else(|| context.name_span(id), |v| v.span)
}

/// The next usual rating that it uses to six tenths at most.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    mend(context, finding).into_iter().collect()
}

fn mend(context: &Context, finding: &Finding) -> Option<Mend> {
    let &item = finding.about.first()?;
    let (_, old) = resistor(context, item)?;
    let mut most = watts(0.0);
    for &item in &finding.about {
        let (ohms, _) = resistor(context, item)?;
        most = most.max(worst(context, item, ohms)?.0);
    }
    let (rating, words) = resistor_rating(most)?;
    let written = ResistorWords::of(context.plan, item)?;
    Some(Mend {
        title: format!(
            "{words} instead of {}: {} is {} of it",
            rating_words(old?),
            show(most),
            percent((most / rating).value)
        ),
        edits: written.put(context.plan, None, Some(words)),
        told: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn severity(text: &str) -> Option<Severity> {
        found(&plan(text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn the_rating_and_six_tenths_of_it() {
        // 10 mA through 1 kohm is 0.1 W, 0.105 W where it is 5 % high: 0.105/0.6 = 0.175 W.
        let at = |rating: &str| {
            severity(&format!(
                "supply s 20 V\nresistor r 1 kohm {rating} from s\nload m draws 10 mA from r\n"
            ))
        };
        assert_eq!(at("0.104 W"), Some(Severity::Error));
        assert_eq!(at("0.1051 W"), Some(Severity::Warning));
        assert_eq!(at("0.1749 W"), Some(Severity::Warning));
        assert_eq!(at("0.1751 W"), None);
        assert_eq!(at(""), None);
    }

    #[test]
    fn duty_counts() {
        let at = |duty: &str| {
            severity(&format!(
                "led p drops 3.0 V at 20 mA limit 25 mA colour white\nmodule m works 4 V to 14 V draws 1 mA output a 50 mA {duty}\nsupply s 12 V\nboard b of m from s\nlamp l of p resistor 470 ohm 1/4 W from b.a\n"
            ))
        };
        // 21.6 mA at most through 446 ohm: 0.21 W, over 0.15 W; half of it is not.
        assert_eq!(at(""), Some(Severity::Warning));
        assert_eq!(at("flash 1 Hz"), None);
        assert_eq!(at("duty 80 %"), Some(Severity::Warning));
    }

    #[test]
    fn the_next_rating_that_stays_cool() {
        let text = "supply s 20 V\nresistor r 1k 1/8 W from s\nload m draws 10 mA from r\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("1/8", "1/4")
        );
    }
}
