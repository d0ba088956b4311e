//! Gives a battery the capacity that lasts as long as is wanted.

use super::Candidate;
use super::stanza_text::StanzaEdits;
use crate::circuit::battery;
use crate::numbers::decimals;
use crate::plan::{ItemId, Plan};
use crate::syntax::on_one_line;
use crate::units::Time;

/// The least capacity of two digits that lasts so long: the hours are in proportion to it. None for what is no battery,
/// lasts as long already, or has nothing to give from the start.
pub fn larger_battery(plan: &Plan, item: ItemId, wanted: Time) -> Option<Candidate> {
    let stanza = plan.items.get(item.0)?.stanza;
    let tree = plan.stanza(stanza);
    let value = tree.clause("capacity")?.values.first()?;
    let lasts = battery::lasts(plan, item, &|| false)?;
    if lasts.value <= 0.0 || lasts >= wanted {
        return None;
    }
    let old = tree.words(value.span);
    let number_ends = old.find(|c: char| !(c.is_ascii_digit() || c == '.'))?;
    let number: f64 = old[..number_ends].parse().ok()?;
    let times = (wanted / lasts).value;
    let new = two_digits_up(number * times);
    let mut edits = StanzaEdits::of(stanza);
    let words = format!("{}{}", decimals(new, 6), &old[number_ends..]);
    edits.put(value.span, &words);
    Some(Candidate {
        title: format!(
            "a capacity of {} instead of {}: {} h, not {} h",
            on_one_line(&words),
            tree.quoted(value.span),
            decimals(lasts.value / 3600.0 * new / number, 1),
            decimals(lasts.value / 3600.0, 1)
        ),
        edits: edits.into_edits(plan),
        told: Vec::new(),
    })
}

/// The next number up of two digits: 583 becomes 590.
fn two_digits_up(x: f64) -> f64 {
    let step = libm::pow(10.0, libm::log10(x).floor() - 1.0);
    // What is whole is not to become one more by the last bit of a binary fraction.
    (x / step - 1e-6).ceil() * step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_digits() {
        for (x, up) in [
            (583.0, 590.0),
            (590.0, 590.0),
            (1001.0, 1100.0),
            (0.52, 0.52),
            (0.521, 0.53),
        ] {
            assert!((two_digits_up(x) / up - 1.0).abs() < 1e-12, "{x}");
        }
    }
}
