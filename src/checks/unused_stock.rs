//! # `unused-stock`: something that nothing refers to
//!
//! **Hint** on stock, a zone, a passage or a pattern of the plan's own file that nothing in the plan refers to.
//!
//! ## Why it matters
//!
//! It may be a leftover, or the sign of a slip: the wire that was meant stands beside the one that was written.
//!
//! ## The limit
//!
//! None. Nothing is said of used files (a shared stock list is meant to hold more than one plan needs), of a file without any wiring (a stock
//! list itself), or while a stanza of the plan could not be read.
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! #    ^^^^ unused-stock
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

use rustc_hash::FxHashSet;

use super::facts::Fact;
use super::page::page;
use super::{Check, Context, Finding, Mend, remove};
use crate::numbers::count;
use crate::plan::{FileId, Severity, StanzaId, split_first};
use crate::syntax::vocabulary::StanzaWord;

/// Something that nothing refers to.
pub const CHECK: Check = Check {
    name: "unused-stock",
    severities: &[Severity::Hint],
    page: page!("unused_stock.rs"),
    check,
    mends: Some(take_out),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let word = |stanza: StanzaId| plan.stanza(stanza).word;
    let own = || plan.order.iter().copied().filter(|s| s.file == FileId(0));
    let is_wiring = |s: StanzaId| word(s).is_some_and(|w| w.is_item() || w == StanzaWord::Link);
    if context.may_miss_names() {
        return;
    }
    if !own().any(is_wiring) && !context.elsewhere(Fact::Wiring).wiring {
        return;
    }
    // A pattern's own pieces are fed from its name: only a copy uses it.
    let used: FxHashSet<StanzaId> = plan
        .references
        .iter()
        .filter(|r| {
            word(r.definition) != Some(StanzaWord::Pattern)
                || word(r.stanza) == Some(StanzaWord::Copy)
        })
        .map(|r| r.definition)
        .collect();
    for stanza in own().filter(|s| !used.contains(s)) {
        let Some(kind) = word(stanza).filter(|&w| {
            w.is_stock()
                || matches!(
                    w,
                    StanzaWord::Zone | StanzaWord::Passage | StanzaWord::Pattern
                )
        }) else {
            continue;
        };
        let Some((name, span)) = plan.stanza(stanza).name() else {
            continue;
        };
        if kind.is_stock() && context.elsewhere(Fact::Stock).refers_to(name) {
            continue;
        }
        let message = match kind {
            StanzaWord::Pattern => format!(
                "Nothing is a copy of the pattern `{}`. Copy it, or remove it.",
                name.0
            ),
            _ => format!(
                "Nothing in the plan refers to the {} `{}`. Use it, or remove it.",
                kind.word(),
                name.0
            ),
        };
        let finding = context.on_stanza(CHECK.name, Severity::Hint, stanza, span, message);
        out.push(Finding {
            unnecessary: true,
            ..finding
        });
    }
}

/// Removes it; a pattern with its pieces, which are nothing without it.
fn take_out(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let tree = plan.stanza(finding.stanza);
    let (Some(kind), Some((name, _))) = (tree.word, tree.name()) else {
        return Vec::new();
    };
    let is_piece = |id: &&StanzaId| {
        let own = plan.stanza(**id).name();
        kind == StanzaWord::Pattern
            && own.is_some_and(|(own, _)| {
                let (first, rest) = split_first(own);
                first == *name && rest.is_some()
            })
    };
    let pieces: Vec<StanzaId> = plan.order.iter().filter(is_piece).copied().collect();
    let with = match pieces.len() {
        0 => String::new(),
        n => format!(" and its {}", count(n, "piece")),
    };
    let gone = std::iter::once(finding.stanza).chain(pieces);
    let edits: Option<Vec<_>> = gone.map(|id| remove::stanza(plan, id)).collect();
    let mend = edits.map(|edits| Mend {
        title: format!("remove the {} {}{with}", kind.word(), name.0),
        edits,
        told: Vec::new(),
    });
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn finds(text: &str) -> Vec<String> {
        let findings = found(&plan(text), CHECK.name);
        findings
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn what_a_pattern_or_its_copy_needs_is_used() {
        let text = "led ruby drops 2 V at 20 mA colour red\nzone deck\npattern p needs lens, bay\nlamp p.l of p.lens resistor 680 ohm from p in p.bay\nsupply a 12 V\ncopy x of p from a where lens ruby, bay deck\n";
        assert_eq!(finds(text), [""; 0]);
        let idle = "led ruby drops 2 V at 20 mA colour red\npattern p\nlamp p.l of ruby resistor 680 ohm from p\nsupply a 12 V\n";
        assert_eq!(finds(idle), ["p"]);
    }

    #[test]
    fn a_pattern_goes_with_its_pieces() {
        let text = "led ruby drops 2 V at 20 mA colour red\nsupply a 12 V 20 mA\npattern p\n# its lamp\nlamp p.l of ruby resistor 680 ohm from p\n  note \"port\"\nlink p.k between p and p.l\nlamp pl of ruby resistor 680 ohm from a\n";
        let after = "led ruby drops 2 V at 20 mA colour red\nsupply a 12 V 20 mA\n# its lamp\nlamp pl of ruby resistor 680 ohm from a\n";
        assert_eq!(mended(&plan(text), CHECK.name).unwrap(), after);
    }

    #[test]
    fn a_stock_list_is_no_plan() {
        assert_eq!(finds("wire fine gauge 32 AWG\nzone deck\n"), [""; 0]);
        assert_eq!(
            finds("wire fine gauge 32 AWG\nzone deck\nsupply a 12 V\n"),
            ["fine", "deck"]
        );
    }

    #[test]
    fn comments_are_kept() {
        let text = "# for the trunk\nwire hook\n  gauge 24 AWG\n# the wall\nsupply a 12 V\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            "# for the trunk\n# the wall\nsupply a 12 V\n"
        );
        let inside = "wire hook # for the trunk\n  gauge 24 AWG\nsupply a 12 V\n";
        assert_eq!(mended(&plan(inside), CHECK.name), None);
    }
}
