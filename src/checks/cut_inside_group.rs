//! # `cut-inside-group`: tape cut through a group
//!
//! **Error** when a strip's lamps, or its length, are not whole groups of its tape.
//!
//! ## Why it matters
//!
//! On tape a few lamps share one resistor, and only between such groups are there pads to cut at and solder to. Cut inside a
//! group, the lamps behind the cut stay dark, and the rest of their group with them.
//!
//! ## The limit
//!
//! The tape's own `group 3 lamps long 25 mm`. A length within 0.5 mm of whole groups counts as whole (common practice: a cut is no finer
//! than that). The figures count the whole groups that are left.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! strip saloon of warm 7 lamps from F1 over 120 mm of fine
//! #                    ^^^^^^^ cut-inside-group
//! strip bridge of warm 60 mm from F1 over 120 mm of fine
//! #                    ^^^^^ cut-inside-group
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! strip saloon of warm 6 lamps from F1 over 120 mm of fine
//! strip bridge of warm 50 mm from F1 over 120 mm of fine
//! ```

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::numbers::length;
use crate::plan::{Cut, ItemId, Part, Severity, Tape, cut_is_whole, whole_groups};
use crate::rewrites::move_cut;

/// Tape cut through a group.
pub const CHECK: Check = Check {
    name: "cut-inside-group",
    severities: &[Severity::Error],
    page: page!("cut_inside_group.rs"),
    check,
    mends: Some(cut_points),
};

/// The groups to cut at instead: the next down (none where nothing would be left), the next up. `None`
/// where the cut is whole.
fn cut_instead(cut: Cut, tape: &Tape) -> Option<(Option<u32>, u32)> {
    let down = whole_groups(tape, cut);
    if cut_is_whole(tape, cut) && down > 0 {
        return None;
    }
    Some(((down > 0).then_some(down), down.saturating_add(1)))
}

fn strip<'a>(context: &Context<'a>, item: ItemId) -> Option<(Cut, &'a Tape)> {
    match context.plan.items[item.0].part {
        Part::Strip { tape, cut, .. } => Some((cut, &context.plan.tapes[tape.0])),
        _ => None,
    }
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for item in context.plan.lights() {
        let Some((cut, tape)) = strip(context, item) else {
            continue;
        };
        let Some((down, up)) = cut_instead(cut, tape) else {
            continue;
        };
        let (is, group) = match cut {
            Cut::Length(l) => (length(l), length(tape.group)),
            Cut::Groups(n) => (lamps(n.saturating_mul(tape.lamps)), lamps(tape.lamps)),
            Cut::Lamps(n) => (lamps(n), lamps(tape.lamps)),
        };
        let points = match down {
            Some(down) => format!(
                "{} or {}",
                groups_said(cut, tape, down),
                groups_said(cut, tape, up)
            ),
            None => groups_said(cut, tape, up),
        };
        let message = format!(
            "{} is cut through a group: {is} is not whole groups of {group}. Cut it at {points}.",
            context.quoted(item)
        );
        let span = context.head_span(context.plan.items[item.0].stanza, 2);
        out.push(context.on_item(CHECK.name, Severity::Error, item, span, message));
    }
}

/// So many lamps.
fn lamps(count: u32) -> String {
    format!("{count} {}", if count == 1 { "lamp" } else { "lamps" })
}

/// So many groups, as the cut is stated.
fn groups_said(cut: Cut, tape: &Tape, groups: u32) -> String {
    match cut {
        Cut::Length(_) => length(tape.group * f64::from(groups)),
        _ => lamps(groups.saturating_mul(tape.lamps)),
    }
}

/// The next cut point down, then up.
fn cut_points(context: &Context, finding: &Finding) -> Vec<Mend> {
    let strip = finding.about.first();
    strip.map_or_else(Vec::new, |&strip| move_cut(context.plan, strip))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(cut: &str) -> String {
        format!(
            "tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply a 12 V\nstrip s of warm {cut} from a\n"
        )
    }

    fn finds(cut: &str) -> bool {
        !found(&plan(&text(cut)), CHECK.name).is_empty()
    }

    #[test]
    fn within_half_a_millimetre_of_whole_groups_is_whole() {
        assert!(!finds("50 mm"));
        assert!(!finds("49.5 mm"));
        assert!(!finds("50.5 mm"));
        assert!(finds("50.6 mm"));
        assert!(finds("49.4 mm"));
        assert!(!finds("5 cm"));
        assert!(finds("4in")); // 101.6 mm
        assert!(!finds("0.0755 m"));
        assert!(!finds("2 groups"));
        assert!(finds("1 lamp"));
        assert!(finds("0.4 mm"));
    }

    #[test]
    fn the_mend_keeps_the_unit() {
        let after = |cut: &str| mended(&plan(&text(cut)), CHECK.name);
        assert_eq!(after("7 lamps"), Some(text("6 lamps")));
        assert_eq!(after("1 lamp"), Some(text("3 lamps")));
        assert_eq!(after("110 mm"), Some(text("100 mm")));
        assert_eq!(after("11cm"), Some(text("10cm")));
        assert_eq!(after("4in"), Some(text("3.937in")));
    }
}
