//! # `colour-clash`: a colour that says plus here and minus there
//!
//! **Warning** on a wire that is red on minus or black on plus, and on one whose colours say the opposite of an earlier wire of the plan.
//! **Hint** on a pair of one colour: mark its plus end.
//!
//! ## Why it matters
//!
//! A lamp that is soldered the wrong way round stays dark; a board is destroyed. Years later, with a torch and one hand inside the model,
//! the colour is all there is to go by.
//!
//! ## The limit
//!
//! Red is plus and black is minus wherever low-voltage direct current is wired by hand (common practice). All other colours mean what
//! the plan's first wire with them says.
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours black, red
//! #                                                  ^^^^^^^^^^^^^^^^^^ colour-clash
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1 over 200 mm of hook
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1 over 200 mm of hook
//! ```

use std::collections::BTreeMap;

use super::page::page;
use super::words::quoted;
use super::{Check, Context, Finding};
use crate::plan::{Severity, StockUse, Wire};

/// A colour that says plus here and minus there.
pub const CHECK: Check = Check {
    name: "colour-clash",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("colour_clash.rs"),
    check,
    mends: None,
};

/// The colours of a wire's plus and minus leg, as the plan uses it.
struct Legs<'a> {
    plus: Option<&'a str>,
    minus: Option<&'a str>,
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    // Those that break no custom: what they say holds for those behind them.
    let mut earlier: Vec<(&Wire, Legs)> = Vec::new();
    let uses = match plan.wires.iter().any(|wire| wire.colours.len() == 1) {
        true => context.stock_use(),
        false => BTreeMap::new(),
    };
    for wire in &plan.wires {
        let legs = legs(wire, uses.get(&wire.name).copied().unwrap_or_default());
        let word = match wire.colours.len() {
            1 => "colour",
            _ => "colours",
        };
        let span = context.clause_span(wire.stanza, word);
        let mut put = |severity, message: String| {
            out.push(context.on_stanza(CHECK.name, severity, wire.stanza, span, message));
        };
        let name = quoted(&wire.name.0);
        match &legs {
            Legs {
                plus: Some(plus),
                minus: Some(minus),
            } if plus == minus => {
                put(
                    Severity::Hint,
                    format!(
                        "Both legs of {name} are {plus}. Mark the plus end, with a knot or a drop of paint."
                    ),
                );
                continue;
            }
            Legs {
                minus: Some("red"), ..
            } => {
                put(
                    Severity::Warning,
                    format!(
                        "Minus of {name} is red, which everybody takes for plus. Use red for plus."
                    ),
                );
                continue;
            }
            Legs {
                plus: Some("black"),
                ..
            } => {
                put(
                    Severity::Warning,
                    format!(
                        "Plus of {name} is black, which everybody takes for minus. Use black for minus."
                    ),
                );
                continue;
            }
            _ => {}
        }
        let clash = earlier.iter().find_map(|(other, said)| {
            let disagree =
                |a: Option<&'_ str>, b: Option<&'_ str>| a.filter(|_| a == b).map(str::to_owned);
            if let Some(colour) = disagree(legs.plus, said.minus) {
                return Some((*other, colour, "plus", "minus"));
            }
            let colour = disagree(legs.minus, said.plus)?;
            Some((*other, colour, "minus", "plus"))
        });
        if let Some((other, colour, here, there)) = clash {
            put(
                Severity::Warning,
                format!(
                    "{colour} is {here} in {name}, but {there} in {}. Let each colour mean one thing.",
                    quoted(&other.name.0)
                ),
            );
            let at = context.clause_span(other.stanza, "colours");
            if let Some(finding) = out.last_mut() {
                finding
                    .related
                    .push((other.stanza, at, format!("{colour} is {there} here")));
            }
            continue;
        }
        earlier.push((wire, legs));
    }
}

/// What the legs of a wire look like. One of a single colour has a plus and a minus leg only where the plan
/// uses it for them.
fn legs(wire: &Wire, uses: StockUse) -> Legs<'_> {
    match &wire.colours[..] {
        [plus, minus, ..] => Legs {
            plus: Some(&plus.0),
            minus: Some(&minus.0),
        },
        [one] => {
            let colour = Some(&*one.0);
            Legs {
                plus: colour.filter(|_| uses.plus),
                minus: colour.filter(|_| uses.minus),
            }
        }
        [] => Legs {
            plus: None,
            minus: None,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(wires: &[&str], wiring: &str) -> Vec<(Severity, String)> {
        let wires: String = wires
            .iter()
            .enumerate()
            .map(|(i, colours)| format!("wire w{i} gauge 24 AWG {colours}\n"))
            .collect();
        let text = format!("{wires}supply s 12 V 1 A\nfuse F 200 mA from s\n{wiring}");
        let findings = found(&plan(&text), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.severity, f.message))
            .collect()
    }

    #[test]
    fn red_is_plus_and_black_is_minus() {
        assert_eq!(
            finds(
                &[
                    "colours red, black",
                    "colours brown, blue",
                    "colours red, white"
                ],
                ""
            ),
            []
        );
        for colours in [
            "colours green, red",
            "colours black, green",
            "colours black, red",
        ] {
            assert_eq!(finds(&[colours], "").len(), 1, "{colours}");
        }
    }

    #[test]
    fn the_first_wire_says_what_a_colour_means() {
        let found = finds(
            &[
                "colours brown, blue",
                "colours blue, white",
                "colours green, brown",
            ],
            "",
        );
        assert_eq!(
            found,
            [
                (
                    Severity::Warning,
                    "blue is plus in `w1`, but minus in `w0`. Let each colour mean one thing."
                        .to_owned()
                ),
                (
                    Severity::Warning,
                    "brown is minus in `w2`, but plus in `w0`. Let each colour mean one thing."
                        .to_owned()
                ),
            ]
        );
        // A wire that breaks the custom says nothing about others.
        assert_eq!(
            finds(&["colours black, red", "colours red, black"], "").len(),
            1
        );
    }

    #[test]
    fn a_pair_of_one_colour_wants_a_mark() {
        let used = "load l draws 10 mA from F over 10 mm of w0\n";
        let severities = |colour: &str, wiring: &str| {
            let found = finds(&[colour, "colours red, black"], wiring);
            found.into_iter().map(|f| f.0).collect::<Vec<_>>()
        };
        assert_eq!(severities("colour natural", used), [Severity::Hint]);
        assert_eq!(severities("colours red, red", ""), [Severity::Hint]);
        assert_eq!(severities("colour natural", ""), []);
        // A single wire for one leg is no pair; it has that leg's colour.
        let legs = |plus: &str, minus: &str| {
            format!(
                "load l draws 10 mA from F over 10 mm of {plus} return to F over 10 mm of {minus}\n"
            )
        };
        assert_eq!(severities("colour black", &legs("w1", "w0")), []);
        assert_eq!(
            severities("colour black", &legs("w0", "w1")),
            [Severity::Warning]
        );
    }
}
