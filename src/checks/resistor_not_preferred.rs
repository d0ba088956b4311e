//! # `resistor-not-preferred`: a value that no shop has
//!
//! **Hint** when a resistor is not a value of the E24 series.
//!
//! ## Why it matters
//!
//! 450 ohm comes out of the sum, but not out of the drawer: the next that is sold is 470 ohm. Plan with what will be soldered in.
//!
//! ## The limit
//!
//! The 24 values of each decade of IEC 60063, series E24 (± 5 %).
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 450 ohm from adapter
//! #                           ^^^^^^^ resistor-not-preferred
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 470 ohm from adapter
//! ```

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::numbers::{percent, show};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::e24;
use crate::rewrites::resistor_text::ResistorWords;
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::Dimension;
use crate::text::Span;
use crate::units::{ElectricalResistance, ohms};

/// A value that no shop has.
pub const CHECK: Check = Check {
    name: "resistor-not-preferred",
    severities: &[Severity::Hint],
    page: page!("resistor_not_preferred.rs"),
    check,
    mends: Some(mends),
};

fn value(context: &Context, item: ItemId) -> Option<ElectricalResistance> {
    match &context.plan.items[item.0].part {
        Part::Resistor { ohms, .. } => Some(*ohms),
        Part::Lamps {
            resistor: Some(own),
            ..
        } => Some(own.ohms),
        _ => None,
    }
}

/// Whether it is of the series in whatever decade: a shunt of 0.47 ohm is, too.
fn is_preferred(value: ElectricalResistance) -> bool {
    let decade = libm::log10(value.value).floor();
    !decade.is_finite()
        || e24::is_preferred(ohms(value.value / libm::pow(10.0, decade)))
        || e24::is_preferred(value)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    // Most that stand together are alike.
    let mut preferred = None;
    for item in (0..context.plan.items.len()).map(ItemId) {
        let is_new = |value: &ElectricalResistance| preferred != Some(*value);
        let Some(value) = value(context, item).filter(is_new) else {
            continue;
        };
        if is_preferred(value) {
            preferred = Some(value);
            continue;
        }
        let near: Vec<String> = nearest(value).into_iter().map(e24::written).collect();
        let near = match near.is_empty() {
            true => String::new(),
            false => format!(" Nearest: {}.", near.join(", ")),
        };
        let message = format!(
            "{} is no value of the E24 series, so no shop has it.{near}",
            show(value)
        );
        let span = value_span(context, item);
        out.push(context.on_item(CHECK.name, Severity::Hint, item, span, message));
    }
}

/// The values of the series on both sides, the nearer first.
fn nearest(value: ElectricalResistance) -> Vec<ElectricalResistance> {
    let mut both: Vec<ElectricalResistance> = [e24::next_below(value), e24::next_above(value)]
        .into_iter()
        .flatten()
        .collect();
    if both.len() == 2 && e24::nearest(value) == both[1] {
        both.reverse();
    }
    both
}

/// The value in the item's own stanza, else its name.
fn value_span(context: &Context, item: ItemId) -> Span {
    let id = context.plan.items[item.0].stanza;
    let stanza = context.plan.stanza(id);
    let own = stanza
        .clause("resistor")
        .map_or(&stanza.head, |c| &c.values);
    let value = own
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Quantity(_, Dimension::Resistance)));
    value.map_or_else(|| context.name_span(id), |v| v.span)
}

/// The nearest value, then the one on the other side.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&item) = finding.about.first() else {
        return Vec::new();
    };
    let (Some(old), Some(written)) = (value(context, item), ResistorWords::of(context.plan, item))
    else {
        return Vec::new();
    };
    let mends = nearest(old).into_iter().map(|new| {
        let words = e24::written(new);
        let part = ((new - old) / old).value;
        let more = if part > 0.0 { "more" } else { "less" };
        Mend {
            title: format!("{words}, {} {more} than {}", percent(part.abs()), show(old)),
            edits: written.put(context.plan, Some(&words), None),
            told: Vec::new(),
        }
    });
    mends.collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(value: &str) -> String {
        format!("supply s 12 V\nresistor r {value} from s\nload m draws 1 mA from r\n")
    }

    #[test]
    fn the_series_in_every_decade() {
        let finds = |value: &str| !found(&plan(&text(value)), CHECK.name).is_empty();
        for value in [
            "560 ohm", "2k2", "0.47 ohm", "9.1 ohm", "1 ohm", "1M", "91 kohm",
        ] {
            assert!(!finds(value), "{value}");
        }
        for value in ["450 ohm", "2k5", "0.5 ohm", "9 kohm", "500R"] {
            assert!(finds(value), "{value}");
        }
    }

    #[test]
    fn the_nearer_comes_first() {
        assert_eq!(
            mended(&plan(&text("450 ohm 1/4 W")), CHECK.name).unwrap(),
            text("470 ohm 1/4 W")
        );
        assert_eq!(
            mended(&plan(&text("2k5")), CHECK.name).unwrap(),
            text("2.4 kohm")
        );
    }
}
