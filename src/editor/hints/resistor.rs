//! The power in a resistor, behind its figures, with everything on.

use super::figures::of_all;
use super::{Labels, Subject};
use crate::numbers::show;
use crate::plan::Part;
use crate::units::Power;

/// The hint.
pub fn labels(subject: &Subject) -> Labels {
    let values = match subject.stanza.clause("resistor") {
        Some(clause) => &clause.values,
        None => &subject.stanza.head,
    };
    let Some(power) = power(subject).and_then(|powers| of_all(powers.into_iter())) else {
        return Vec::new();
    };
    let at = values.last().map(|value| (value.span.end, power));
    at.into_iter().collect()
}

/// The rest of it.
pub fn about(subject: &Subject) -> Option<String> {
    let power = of_all(power(subject)?.into_iter())?;
    let rating = match &subject.all().next()?.part {
        Part::Resistor { rating, .. } => *rating,
        Part::Lamps { resistor, .. } => resistor.as_ref()?.rating,
        _ => None,
    };
    let rating = rating.map_or(String::new(), |rating| {
        format!(", in a resistor for {}", show(rating))
    });
    Some(format!("{power} with everything on{rating}."))
}

/// The power in the resistor of each item; `None` where one has none, or is off.
fn power(subject: &Subject) -> Option<Vec<Power>> {
    let figures: Vec<_> = subject.with_all_on().collect();
    if figures.len() < subject.items.len() {
        return None;
    }
    let each = subject
        .all()
        .zip(figures)
        .map(|(item, own)| match &item.part {
            Part::Resistor { .. } => Some(own.watts.typical),
            Part::Lamps { resistor, .. } => {
                Some(own.amps.typical * own.amps.typical * resistor.as_ref()?.ohms)
            }
            _ => None,
        });
    each.collect::<Option<Vec<_>>>()
        .filter(|all| !all.is_empty())
}
