//! # `no-solution`: the circuit cannot settle
//!
//! **Error** when a scene has no state that the circuit could stay in: a load wants more than its way can carry to it, or
//! more than a thousand amperes would flow.
//!
//! ## Why it matters
//!
//! At the bench this is a board that starts, pulls its supply down, stops, and starts again; or a short circuit. There are no
//! figures for such a scene, so nothing else can be said about it either.
//!
//! ## The limit
//!
//! None of ours: a source of V volts behind R ohms hands on at most V²/4R watts, and at most V/R amperes (Ohm's law). What wants more
//! finds no voltage at which it gets it.
//!
//! ## Shown
//!
//! ```harness
//! supply cell 3 V 500 mA resistance 10 ohm
//! fuse F1 125 mA from cell
//! load pump draws 400 mA from F1
//! #    ^^^^ no-solution
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply cell 3 V 500 mA resistance 10 ohm
//! fuse F1 125 mA from cell
//! load pump draws 60 mA from F1
//! ```
//!
//! Or take a stronger source, a shorter run, thicker wire.

use super::page::page;
use super::words::in_scene;
use super::{Check, Context, Finding};
use crate::circuit::{Corner, NoSolution, NoSolutionCause};
use crate::numbers::{show, three_digits};
use crate::plan::{ItemId, Load, Part, Severity};

/// The circuit cannot settle.
pub const CHECK: Check = Check {
    name: "no-solution",
    severities: &[Severity::Error],
    page: page!("no_solution.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let joined = context.joined_supplies();
    let mut said: Vec<ItemId> = Vec::new();
    for scene in context.solution.states() {
        let Err(NoSolution {
            item,
            corner,
            cause,
        }) = &scene.outcome
        else {
            continue;
        };
        if said.contains(item) {
            continue; // the first scene speaks for the others
        }
        if context.way_back(*item).any(|i| joined.contains(&i)) {
            continue; // two sources on one point: `supplies-joined` says so
        }
        let name = context.quoted(*item);
        let scene = in_scene(&scene.name);
        let scene = match corner {
            Corner::Typical => scene,
            Corner::Dim => format!("{scene} where the supply is low"),
            Corner::Bright => format!("{scene} where the supply is high"),
        };
        let message = match cause {
            NoSolutionCause::SourcesJoined(_) => continue, // `supplies-joined` says so
            NoSolutionCause::Starved => format!(
                "{name} cannot get {} {scene}: its way carries less, however low the voltage falls. Shorten the run, take thicker wire or a stronger source.",
                wanted(context, *item)
            ),
            NoSolutionCause::TooMuchCurrent => format!(
                "More than 1000 A would flow at {name} {scene}: that is a short circuit. Look for what joins plus to minus there."
            ),
            NoSolutionCause::ManyTurns => format!(
                "So many outputs of this circuit take turns that they cannot all be tried {scene}, and {name} is one too many. Give some of the boards a supply of their own, or leave out outputs that you do not need."
            ),
            NoSolutionCause::Unsettled => format!(
                "The circuit does not settle {scene}, and {name} is furthest from it. Simplify what feeds it."
            ),
        };
        said.push(*item);
        let span = context.name_span(context.plan.items[item.0].stanza);
        out.push(context.on_item(CHECK.name, Severity::Error, *item, span, message));
    }
}

/// What an item wants, in figures where the plan states them.
fn wanted(context: &Context, item: ItemId) -> String {
    match &context.plan.items[item.0].part {
        Part::Load(Load::Draws(amps, _)) => format!("its {}", show(*amps)),
        Part::Load(Load::Takes(watts)) => format!("its {} W", three_digits(watts.value)),
        _ => "what it wants".into(),
    }
}
