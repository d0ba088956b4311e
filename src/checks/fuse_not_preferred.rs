//! # `fuse-not-preferred`: a rating that no shop has
//!
//! **Hint** on a fuse whose rating is not of the preferred series. Not for `resettable` ones.
//!
//! ## Why it matters
//!
//! A plan that says 300 mA is built with 315 mA, or with what lay in the drawer. The sheet then says one thing and the holder has
//! another.
//!
//! ## The limit
//!
//! The R10 series of preferred numbers (ISO 3), of which IEC 60127 takes its ratings: 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8 in every
//! decade. Resettable fuses have ratings of their makers' own.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 300 mA from adapter
//! #       ^^^^^^ fuse-not-preferred
//! load crane draws 180 mA from F1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 315 mA from adapter
//! load crane draws 180 mA from F1
//! ```

use super::fuse_too_large::fuses;
use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::numbers::show;
use crate::plan::{FuseCharacter, Part, Severity};
use crate::rewrites::r10;
use crate::rewrites::resize_fuse::preferred_fuse;

/// A rating that no shop has.
pub const CHECK: Check = Check {
    name: "fuse-not-preferred",
    severities: &[Severity::Hint],
    page: page!("fuse_not_preferred.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (fuse, rating) in fuses(context.plan) {
        let resettable = matches!(
            context.plan.items[fuse.0].part,
            Part::Fuse {
                character: FuseCharacter::Resettable,
                ..
            }
        );
        if resettable || r10::is_preferred(rating) {
            continue;
        }
        let message = format!(
            "Fuses of {} are not made: the nearest rating is {}.",
            show(rating),
            r10::written(r10::nearest(rating))
        );
        let span = context.head_span(context.plan.items[fuse.0].stanza, 1);
        out.push(context.on_item(CHECK.name, Severity::Hint, fuse, span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    match finding.about[..] {
        [fuse, ..] => preferred_fuse(context.plan, context.solution, fuse),
        [] => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(fuse: &str) -> String {
        format!("supply a 12 V 5 A\nfuse F {fuse} from a\nload m draws 200 mA from F\n")
    }

    #[test]
    fn ratings_of_the_series_pass() {
        for fuse in ["315 mA", "0.4 A", "1.25 A", "300 mA resettable"] {
            assert_eq!(found(&plan(&text(fuse)), CHECK.name), [], "{fuse}");
        }
        for fuse in ["300 mA", "1.2 A", "0.75 A slow"] {
            assert_eq!(found(&plan(&text(fuse)), CHECK.name).len(), 1, "{fuse}");
        }
    }

    #[test]
    fn the_nearest_is_offered_that_carries_the_load() {
        let of = |fuse: &str| mended(&plan(&text(fuse)), CHECK.name).unwrap();
        assert_eq!(of("1.2 A"), text("1.25 A"));
        assert_eq!(of("0.75 A"), text("0.8 A"));
        // 250 mA is nearer to 270 mA, but carries no more than 187.5 mA for good.
        assert_eq!(of("270 mA"), text("315 mA"));
    }
}
