//! # `fuse-too-small`: a fuse that tires
//!
//! **Warning** when a fuse carries more than three quarters of its rating with all values as stated, or more than its rating at a corner.
//!
//! ## Why it matters
//!
//! A fuse near its rating runs warm, ages, and opens one evening without any fault: the model goes dark and somebody opens the
//! hull to look for a short that is not there.
//!
//! ## The limit
//!
//! Three quarters of the rating for good (common practice for fuses of IEC 60127 in a warm, closed place). It is compared in every scene and
//! with everything on at once.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! #       ^^^^^^ fuse-too-small
//! load crane draws 180 mA from F1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 250 mA from adapter
//! load crane draws 180 mA from F1
//! ```
//!
//! The next preferred rating (R10 of ISO 3) is offered, where the wire behind it may carry that much. Never bridge a fuse.

use super::fuse_too_large::fuses;
use super::limits::over;
use super::page::page;
use super::runs::size;
use super::supplies::judged;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding, Mend};
use crate::numbers::{show, show_and_limit};
use crate::plan::Severity;
use crate::rewrites::resize_fuse::larger_fuse;
use crate::rewrites::usual::FUSE_LOAD;

/// A fuse that tires.
pub const CHECK: Check = Check {
    name: "fuse-too-small",
    severities: &[Severity::Warning],
    page: page!("fuse_too_small.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for (fuse, rating) in fuses(context.plan).filter(|(fuse, _)| judged[fuse.0]) {
        let Some(carries) = context.greatest(|f| Some(size(f.items.get(fuse.0)?.passes))) else {
            continue;
        };
        let name = context.quoted(fuse);
        let message = if over(carries.typical, rating * FUSE_LOAD) {
            let (carries_words, most) = show_and_limit(carries.typical, rating * FUSE_LOAD);
            format!(
                "{name} carries {carries_words} {}; a fuse of {} does so for good up to {most}. Take the next larger one that the wire allows.",
                in_scene(carries.typical_scene),
                show(rating)
            )
        } else if over(carries.corner, rating) {
            let (carries_words, rating) = show_and_limit(carries.corner, rating);
            format!(
                "{name} may have to carry {carries_words} {} {AT_WORST}, more than its {rating}. Take the next larger one that the wire allows.",
                in_scene(carries.corner_scene)
            )
        } else {
            continue;
        };
        let span = context.head_span(context.plan.items[fuse.0].stanza, 1);
        out.push(context.on_item(CHECK.name, Severity::Warning, fuse, span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    match finding.about[..] {
        [fuse, ..] => larger_fuse(context.plan, context.solution, fuse),
        [] => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn finds(load: &str) -> usize {
        let text = format!("supply a 12 V 1 A\nfuse F 200 mA from a\nload m {load} from F\n");
        found(&plan(&text), CHECK.name).len()
    }

    #[test]
    fn three_quarters_for_good() {
        assert_eq!(finds("draws 150 mA"), 0);
        assert_eq!(finds("draws 150.0009 mA"), 0);
        assert_eq!(finds("draws 150.0011 mA"), 1);
    }

    #[test]
    fn a_corner_may_pass_three_quarters_but_not_the_rating() {
        // 100 ohm at 12 V is 120 mA; 50 % high it would be 180 mA, 80 % high 216 mA.
        let at = |tolerance: &str| {
            let text = format!(
                "supply a 12 V 1 A tolerance {tolerance}\nfuse F 200 mA from a\nload m resistance 100 ohm from F\n"
            );
            found(&plan(&text), CHECK.name)
        };
        assert_eq!(at("50 %"), []);
        let findings = at("80 %");
        assert!(
            findings[0].message.contains("216 mA with everything on"),
            "{}",
            findings[0].message
        );
    }

    #[test]
    fn the_worst_scene_is_named() {
        let text = "supply a 12 V 1 A\nfuse F 200 mA from a\nload m draws 100 mA from F\nload n draws 60 mA from F\nscene quiet off n\nscene loud\n";
        let findings = found(&plan(text), CHECK.name);
        assert_eq!(
            findings[0].message,
            "`F` carries 160 mA in `loud`; a fuse of 200 mA does so for good up to 150 mA. Take the next larger one that the wire allows."
        );
    }

    #[test]
    fn no_larger_fuse_than_the_wire_allows() {
        let text = |carries: &str| {
            format!(
                "wire fine gauge 32 AWG carries {carries}\nsupply a 12 V 1 A\nfuse F 0.2 A from a\nload m draws 180 mA from F over 100 mm of fine\n"
            )
        };
        let of = |carries: &str| mended(&plan(&text(carries)), CHECK.name);
        assert_eq!(
            of("250 mA"),
            Some(text("250 mA").replace("0.2 A", "0.25 A"))
        );
        assert_eq!(of("240 mA"), None);
    }
}
