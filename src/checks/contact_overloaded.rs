//! # `contact-overloaded`: more current than a contact is made for
//!
//! **Error** when a switch or connector passes more than it is `rated` for with all values as stated; **warning** when it does so
//! only at a corner.
//!
//! ## Why it matters
//!
//! Small contacts pit and weld when they open on too much current, and a tired one gets hot where it sits in plastic. Sooner or
//! later it no longer switches off, or no longer on.
//!
//! ## The limit
//!
//! The rating that the plan states for the part; one without `rated` is not checked. Mind that a rating for alternating current does not hold
//! for direct current: take the part's own figure for that. Never put a switch of a model into the mains side.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! switch S1 rated 200 mA from F1
//! #         ^^^^^^^^^^^^ contact-overloaded
//! load crane draws 280 mA from S1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! switch S1 rated 1 A from F1
//! load crane draws 280 mA from S1
//! ```

use super::limits::{over, rule};
use super::page::page;
use super::runs::size;
use super::supplies::judged;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding};
use crate::circuit::Figure;
use crate::numbers::show_and_limit;
use crate::plan::{ItemId, Part, Severity};

/// More current than a contact is made for.
pub const CHECK: Check = Check {
    name: "contact-overloaded",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("contact_overloaded.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for (i, item) in context
        .plan
        .items
        .iter()
        .enumerate()
        .filter(|(i, _)| judged[*i])
    {
        let (rated, both) = match item.part {
            Part::Switch { rated: Some(rated) } => (rated, false),
            Part::Connector {
                rated: Some(rated), ..
            } => (rated, true),
            _ => continue,
        };
        let passes = context.greatest(|f| {
            let f = f.items.get(i)?;
            let (plus, minus) = (size(f.passes), size(f.returns));
            Some(Figure {
                typical: plus
                    .typical
                    .max(if both { minus.typical } else { plus.typical }),
                low: plus.low,
                high: plus.high.max(if both { minus.high } else { plus.high }),
            })
        });
        let Some(passes) = passes else { continue };
        let typical = over(passes.typical, rated);
        let Some(severity) = rule(typical, over(passes.corner, rated)) else {
            continue;
        };
        let name = context.quoted(ItemId(i));
        let message = if typical {
            let (passes_words, rated) = show_and_limit(passes.typical, rated);
            format!(
                "{name} passes {passes_words} {}, but it is rated {rated}. Take one that is made for more.",
                in_scene(passes.typical_scene)
            )
        } else {
            let (passes_words, rated) = show_and_limit(passes.corner, rated);
            format!(
                "{name} may have to pass {passes_words} {} {AT_WORST}, and it is rated {rated}. Take one that is made for more.",
                in_scene(passes.corner_scene)
            )
        };
        let span = context.clause_span(item.stanza, "rated");
        out.push(context.on_item(CHECK.name, severity, ItemId(i), span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn severity(contact: &str, load: &str) -> Option<Severity> {
        let text = format!(
            "supply a 12 V 1 A\nfuse F 500 mA from a\n{contact} from F\nload m {load} from c\n"
        );
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn switches_and_connectors_pass_what_they_are_rated_for() {
        for contact in ["switch c", "connector c"] {
            let rated = format!("{contact} rated 100 mA");
            assert_eq!(severity(&rated, "draws 100 mA"), None);
            assert_eq!(severity(&rated, "draws 100.0009 mA"), None);
            assert_eq!(severity(&rated, "draws 100.0011 mA"), Some(Severity::Error));
            // 115 ohm at 12 V: 104 mA; 121 ohm: 99 mA, and 104 mA where the supply is high.
            assert_eq!(
                severity(&rated, "resistance 121 ohm"),
                Some(Severity::Warning)
            );
            assert_eq!(severity(contact, "draws 300 mA"), None);
        }
    }

    #[test]
    fn what_comes_back_through_a_connector_counts() {
        let text = "supply a 12 V 1 A\nfuse F 500 mA from a\nCONTACT c rated 100 mA from F\nload m draws 150 mA from F return to c\n";
        let of = |contact: &str| found(&plan(&text.replace("CONTACT", contact)), CHECK.name).len();
        assert_eq!(of("connector"), 1);
        assert_eq!(of("switch"), 0); // it switches the plus leg alone
    }
}
