//! The bench sheet: all that a builder needs to know beside the model, in the order of the work, and what somebody needs
//! to know who opens the drawer years later.
//!
//! One file a section. What the plan does not say is a blank to fill in.

mod breaks;
mod budget;
mod cautions;
mod cut;
mod drawn;
mod findings;
mod fit;
mod fuses;
mod head;
mod items;
mod notes;
mod prepare;
mod seal;
mod solder;
mod trials;
mod words;
mod zones;

#[cfg(test)]
mod tests;

use super::lists::{self, Lists, allowances};
use super::page::Page;
use super::places::Places;
use crate::checks::Analysis;
use crate::units::Length;

/// What the sheet is made with, beside the plan.
pub struct Making<'a> {
    /// The name of each file of the plan, as it is to be printed.
    pub spelt: &'a dyn Fn(usize) -> String,
    /// The length of a reel of tape; `None`: the usual one.
    pub reel: Option<Length>,
    /// Whether the drawing is on it: Markdown cannot show it.
    pub drawn: bool,
}

/// The bench sheet of a plan.
pub fn sheet(a: &Analysis, with: &Making) -> Page {
    let plan = &a.plan;
    let places = Places::of(a, with.spelt);
    let lists = Lists::of(a, with.reel.unwrap_or_else(allowances::usual_reel));
    let mut sections = vec![
        lists::table::section(plan, &lists),
        cut::section(plan, &lists),
        prepare::section(a, &lists),
        trials::section(a),
        fit::section(plan),
        solder::section(plan),
        seal::section(a),
    ];
    let name = (with.spelt)(0);
    if with.drawn {
        sections.push(drawn::section(a, &name));
    }
    sections.extend([
        budget::section(a),
        items::section(a),
        fuses::section(a),
        breaks::section(a),
        zones::section(a),
        notes::section(plan),
        findings::section(a, &places),
        cautions::section(),
    ]);
    sections.retain(|section| !section.blocks.is_empty());
    Page {
        title: plan.settings.title.as_deref().unwrap_or(&name).to_owned(),
        kind: "Bench sheet",
        about: head::about(a, &name),
        sections,
    }
}
