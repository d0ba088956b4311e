//! # `cell-drained`: a lithium cell run down too far
//!
//! **Warning** when a battery of lithium cells is `spent` below 2.5 V a cell. **Hint** when such a battery does not say when it is `spent`.
//!
//! ## Why it matters
//!
//! A lithium cell that is run down flat is spoilt: copper dissolves inside, and charging it afterwards can short it and set it on fire. A few
//! lamps left on over a week do that. Use cells with a protection circuit that cuts off, and the charger made for them; never charge one that was run down
//! below what its maker allows. The maker's sheet comes first.
//!
//! ## The limit
//!
//! 2.5 V a cell is the lowest that makers of lithium-ion cells state for discharge, and many say 3.0 V (common practice; the cell's own sheet says which). A
//! battery is taken for lithium by its volts: with `capacity`, within 1 % of one to four times 3.7 V or 4.2 V, and not also of a multiple of 1.2 V or
//! 1.5 V, which other cells have. One of 3.6 V or 7.2 V may be either, and is not judged.
//!
//! ## Shown
//!
//! ```harness
//! supply pack 7.4 V capacity 1200 mAh spent 4.5 V
//! #                                   ^^^^^^^^^^^ cell-drained
//! load pump draws 200 mA from pack
//!
//! supply cell 3.7 V capacity 1200 mAh
//! #                 ^^^^^^^^^^^^^^^^^ cell-drained
//! load drum draws 200 mA from cell
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply pack 7.4 V capacity 1200 mAh spent 6 V
//! load pump draws 200 mA from pack
//!
//! supply cell 3.7 V capacity 1200 mAh spent 3 V
//! load drum draws 200 mA from cell
//! ```
//!
//! Nothing in a plan switches a cell off: `spent` says when you do, or its protection circuit.

use super::limits::under;
use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::numbers::show;
use crate::plan::{ItemId, Part, Severity, Supply};
use crate::rewrites::set_spent;
use crate::units::volts;

/// A lithium cell run down too far.
pub const CHECK: Check = Check {
    name: "cell-drained",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("cell_drained.rs"),
    check,
    mends: Some(mends),
};

/// The volts of a lithium cell: nominal, and full.
const LITHIUM: [f64; 2] = [3.7, 4.2];

/// The volts of cells of other kinds: nickel, and zinc or alkaline.
const OTHERS: [f64; 2] = [1.2, 1.5];

/// The most lithium cells in series that are looked for.
const MOST_CELLS: u32 = 4;

/// How near volts have to be to be meant, as a part of them.
const NEAR: f64 = 0.01;

/// The volts below which no lithium cell may be run down, and those that many makers state.
const FLOOR: (f64, f64) = (2.5, 3.0);

/// How many lithium cells in series a battery surely is.
fn lithium_cells(supply: &Supply) -> Option<u32> {
    supply.capacity?;
    let full = supply.volts.value;
    let is_near = |of: f64| (full - of).abs() <= NEAR * of + 1e-9;
    let cells = (1..=MOST_CELLS).find(|&n| LITHIUM.iter().any(|v| is_near(v * f64::from(n))))?;
    let is_other = OTHERS.iter().any(|v| is_near(v * (full / v).round()));
    (!is_other).then_some(cells)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (i, item) in context.plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        let Some(cells) = lithium_cells(supply) else {
            continue;
        };
        let n = f64::from(cells);
        let which = match cells {
            1 => "a lithium cell".to_owned(),
            _ => format!("{cells} lithium cells"),
        };
        let name = context.quoted(ItemId(i));
        let full = show(supply.volts);
        let (floor, usual) = (show(volts(FLOOR.0)), show(volts(FLOOR.1)));
        let (severity, word, message) = match supply.spent {
            Some(spent) if !under(spent, volts(FLOOR.0 * n)) => continue,
            Some(spent) => {
                let message = format!(
                    "{name} is {which} by its {full}, and {} is {} a cell: under {floor} it is spoilt, many makers say {usual}. Say `spent {}`, and switch off there.",
                    show(spent),
                    show(spent / n),
                    show(volts(FLOOR.1 * n)),
                );
                (Severity::Warning, "spent", message)
            }
            None => {
                let message = format!(
                    "{name} is {which} by its {full}, and must not be run down flat: {floor} a cell at the least, many makers say {usual}. Say `spent {}`.",
                    show(volts(FLOOR.1 * n)),
                );
                (Severity::Hint, "capacity", message)
            }
        };
        let span = context.clause_span(item.stanza, word);
        out.push(context.on_item(CHECK.name, severity, ItemId(i), span, message));
    }
}

/// What many makers state, then the least.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&battery) = finding.about.first() else {
        return Vec::new();
    };
    let item = &context.plan.items[battery.0];
    let Part::Supply(supply) = &item.part else {
        return Vec::new();
    };
    let Some(n) = lithium_cells(supply).map(f64::from) else {
        return Vec::new();
    };
    let to = |each: f64| {
        let (to, why) = (volts(each * n), format!("{} a cell", show(volts(each))));
        set_spent(context.plan, battery, to, &why)
    };
    [FLOOR.1, FLOOR.0].into_iter().filter_map(to).collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn severity(supply: &str) -> Option<Severity> {
        let text = format!("supply s {supply}\nload l draws 10 mA from s\n");
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn two_and_a_half_volts_a_cell() {
        let (hint, warning) = (Some(Severity::Hint), Some(Severity::Warning));
        for (volts, floor) in [
            ("3.7 V", 2.5),
            ("4.2 V", 2.5),
            ("7.4 V", 5.0),
            ("11.1 V", 7.5),
        ] {
            let at = |spent: f64| severity(&format!("{volts} capacity 1 Ah spent {spent} V"));
            assert_eq!(at(floor), None, "{volts}");
            assert_eq!(at(floor - 0.01), warning, "{volts}");
            assert_eq!(severity(&format!("{volts} capacity 1 Ah")), hint, "{volts}");
        }
    }

    #[test]
    fn what_may_be_other_cells_is_not_judged() {
        // Three, six and seven nickel cells; alkaline and button cells; a lead battery; one that is no battery.
        for supply in [
            "3.6 V capacity 1 Ah",
            "7.2 V capacity 1 Ah",
            "8.4 V capacity 1 Ah",
            "1.5 V capacity 1 Ah",
            "3 V capacity 220 mAh",
            "4.5 V capacity 1 Ah",
            "9 V capacity 500 mAh",
            "12 V capacity 7 Ah",
            "3.75 V capacity 1 Ah",
            "3.7 V",
            "18.5 V capacity 1 Ah",
        ] {
            assert_eq!(severity(supply), None, "{supply}");
        }
    }

    #[test]
    fn a_cell_says_when_it_is_spent() {
        let text =
            "supply s 3.7 V\n  capacity 1200 mAh   # one flat cell\nload l draws 10 mA from s\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("1200 mAh   #", "1200 mAh spent 3 V #")
        );
        let analysis = plan(text);
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let titles = analysis.mends(at.unwrap()).into_iter().map(|m| m.title);
        assert_eq!(
            titles.collect::<Vec<_>>(),
            ["spent 3 V: 3 V a cell", "spent 2.5 V: 2.5 V a cell"]
        );
        // Where three volts leave too few hours, the least is offered.
        let text =
            "supply s 3.7 V capacity 600 mAh spent 2V lasts 6.5 h\nload l draws 70 mA from s\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("2V", "2.5V")
        );
    }
}
