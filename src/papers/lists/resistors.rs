//! Resistors: those of lamps and strings, and those that stand alone, by value and rating.

use super::allowances;
use crate::checks::Analysis;
use crate::plan::{ItemId, Part};
use crate::rewrites::usual::resistor_rating;
use crate::units::{ElectricalResistance, Power};

/// Resistors of one value and rating.
#[derive(Clone, Debug)]
pub struct Resistor {
    /// The value.
    pub ohms: ElectricalResistance,
    /// The rating: the stated one; else the least usual one that is used to no more than the part of it that the checks
    /// allow. `None` where no usual one is enough.
    pub rating: Option<Power>,
    /// The plan states the rating.
    pub stated: bool,
    /// How many are fitted.
    pub used: u32,
    /// How many are bought beside them.
    pub spare: u32,
    /// What they are for.
    pub of: Vec<ItemId>,
}

/// All resistors, the least value first, and of one value the least rating.
pub(super) fn resistors(a: &Analysis) -> Vec<Resistor> {
    let mut lines: Vec<Resistor> = Vec::new();
    for (i, item) in a.plan.items.iter().enumerate() {
        let (ohms, stated) = match &item.part {
            Part::Resistor { ohms, rating } => (*ohms, *rating),
            Part::Lamps {
                resistor: Some(own),
                ..
            } => (own.ohms, own.rating),
            _ => continue,
        };
        let rating = stated.or_else(|| {
            let heat = a.heat_of_resistor(ItemId(i))?;
            Some(resistor_rating(heat)?.0)
        });
        let same = |line: &Resistor| {
            line.ohms == ohms && line.rating == rating && line.stated == stated.is_some()
        };
        match lines.iter_mut().find(|line| same(line)) {
            Some(line) => {
                line.used += 1;
                line.of.push(ItemId(i));
            }
            None => lines.push(Resistor {
                ohms,
                rating,
                stated: stated.is_some(),
                used: 1,
                spare: 0,
                of: vec![ItemId(i)],
            }),
        }
    }
    for line in &mut lines {
        line.spare = allowances::spares(line.used);
    }
    let power = |line: &Resistor| line.rating.map_or(f64::INFINITY, |rating| rating.value);
    lines.sort_by(|a, b| {
        let by_value = a.ohms.value.total_cmp(&b.ohms.value);
        by_value
            .then(power(a).total_cmp(&power(b)))
            .then(b.stated.cmp(&a.stated))
    });
    lines
}
