//! Volts and amps at the end of an item's first line, with everything on.

use super::{Labels, Subject};
use crate::numbers::{Shown, between, show_short};
use crate::plan::{Item, Part};

/// Of lights and loads: across them, and through them.
pub fn of_lights(subject: &Subject) -> Labels {
    labels(subject, draws)
}

/// Of all else: at its point, and through the plus leg that feeds it; of a supply, what it gives. None while something that
/// it feeds cannot be read.
pub fn of_feed(subject: &Subject) -> Labels {
    match subject.misses {
        true => Vec::new(),
        false => labels(subject, |item| !draws(item)),
    }
}

fn draws(item: &Item) -> bool {
    item.is_light() || matches!(item.part, Part::Load(_))
}

fn labels(subject: &Subject, is_wanted: impl Fn(&Item) -> bool) -> Labels {
    let Some(item) = subject.all().next().filter(|item| is_wanted(item)) else {
        return Vec::new();
    };
    let figures: Vec<_> = subject.with_all_on().collect();
    // Where one copy's piece is off, no figure is true of all.
    if figures.len() < subject.items.len() {
        return Vec::new();
    }
    let amps = figures.iter().map(|own| match draws(item) {
        true => own.amps.typical,
        false => own.passes.typical,
    });
    let volts = figures.iter().map(|own| own.volts.typical);
    let (Some(volts), Some(amps)) = (of_all(volts), of_all(amps)) else {
        return Vec::new();
    };
    vec![(subject.end_of_first_line(), format!("{volts} {amps}"))]
}

/// One figure; of several that differ, from the least to the greatest.
pub(super) fn of_all<Q: Shown>(figures: impl Iterator<Item = Q> + Clone) -> Option<String> {
    let by = |a: &Q, b: &Q| a.number().total_cmp(&b.number());
    let (least, most) = (figures.clone().min_by(by)?, figures.max_by(by)?);
    Some(match show_short(least) == show_short(most) {
        true => show_short(most),
        false => between(least, most),
    })
}
