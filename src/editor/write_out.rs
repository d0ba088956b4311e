//! Offers to write a copy of a pattern out as plain stanzas: on the copy, and wherever its name is used. Offered only
//! where the plan, read and solved again, has the same figures for every item, and no check says what none said before.

use std::collections::BTreeSet;

use super::target::{On, at};
use crate::checks::Analysis;
use crate::circuit::{Figure, Figures, ItemFigures, Solution};
use crate::plan::{Edit, FileId, ItemId, Plan, Target};
use crate::rewrites::stanza_text::removal;
use crate::rewrites::write_copy_out::AcceptOfPieces;
use crate::rewrites::{Candidate, write_copy_out};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// The copy written out whose stanza holds the cursor, or whose name does; else why there is none.
pub fn write_out(a: &Analysis, file: FileId, span: Span) -> Result<Candidate, &'static str> {
    let copy = copy_at(&a.plan, file, span).ok_or("There is no copy under the cursor.")?;
    let candidate = write_copy_out(&a.plan, copy, &accepted(a, copy));
    let candidate = candidate.ok_or("This copy cannot be said in plain stanzas.")?;
    let after = a.with_edits(&candidate.edits);
    let holds = same_figures(&a.solution, &after.solution) && nothing_new(a, &after);
    holds
        .then_some(candidate)
        .ok_or("Written out, the plan would not say the same.")
}

fn copy_at(plan: &Plan, file: FileId, span: Span) -> Option<ItemId> {
    let is_copy = |item: &ItemId| plan.items[item.0].word == StanzaWord::Copy;
    let spot = at(plan, file, span.start as usize)?;
    // A selection over several stanzas asks for no rewrite of any.
    if plan
        .in_file(spot.stanza, plan.stanza(spot.stanza).core_span())
        .end
        < span.end
    {
        return None;
    }
    if let On::Name { definition, .. } = &spot.on
        && let Some(Target::Item(item)) = definition.target
        && is_copy(&item)
    {
        return Some(item);
    }
    let items = (0..plan.items.len()).map(ItemId);
    let mut copies = items.filter(is_copy);
    copies.find(|item| plan.items[item.0].stanza == spot.stanza)
}

/// What each `accept` of the copy is for: what a check says of the plan without it.
fn accepted(a: &Analysis, copy: ItemId) -> Vec<AcceptOfPieces> {
    let plan = &a.plan;
    let stanza = plan.items[copy.0].stanza;
    let tree = plan.stanza(stanza);
    let accepts = tree.clauses.iter().filter(|c| c.word == "accept");
    let of_pieces = accepts.filter_map(|clause| {
        let (check, _) = clause.names().next()?;
        let without = a.with_edits(&[Edit {
            stanza,
            span: removal(tree, clause.span),
            text: String::new(),
        }]);
        let said = without.findings.iter();
        let said = said.filter(|f| f.check == &*check.0 && f.stanza == stanza);
        let (mut pieces, mut stays) = (Vec::new(), false);
        for finding in said {
            let of_copy = |i: &ItemId| plan.items[i.0].copy == Some(copy);
            let here: Vec<ItemId> = finding.about.iter().copied().filter(of_copy).collect();
            stays |= here.is_empty();
            pieces.extend(here);
        }
        (!pieces.is_empty()).then_some(AcceptOfPieces {
            clause: clause.span,
            pieces,
            stays,
        })
    });
    of_pieces.collect()
}

/// Whether every item, in the order of the plan, has the figures that it had, in every scene.
pub fn same_figures(before: &Solution, after: &Solution) -> bool {
    before.scenes.len() == after.scenes.len()
        && before.scenes.iter().zip(&after.scenes).all(|(a, b)| {
            let names = a.name == b.name;
            names
                && match (&a.outcome, &b.outcome) {
                    (Ok(a), Ok(b)) => same(a, b),
                    (Err(a), Err(b)) => a.item == b.item,
                    _ => false,
                }
        })
}

fn same(a: &Figures, b: &Figures) -> bool {
    a.items.len() == b.items.len()
        && a.items
            .iter()
            .zip(b.items.iter())
            .all(|(a, b)| same_item(a, b))
}

/// Whether an item has the figures that another has.
pub(super) fn same_item(a: &ItemFigures, b: &ItemFigures) -> bool {
    let (a, b) = (values(a), values(b));
    a.iter().zip(&b).all(|(a, b)| (a - b).abs() <= SAME)
}

/// Figures that differ by less, in SI units, are the same: far below what the solver promises (10 µV, 1 µA).
const SAME: f64 = 1e-9;

fn values(f: &ItemFigures) -> [f64; 15] {
    fn three<Q: Copy>(figure: &Figure<Q>, value: fn(Q) -> f64) -> [f64; 3] {
        [figure.typical, figure.low, figure.high].map(value)
    }
    let all = [
        three(&f.volts, |v| v.value),
        three(&f.amps, |a| a.value),
        three(&f.passes, |a| a.value),
        three(&f.watts, |w| w.value),
        three(&f.drop, |v| v.value),
    ];
    std::array::from_fn(|k| all[k / 3][k % 3])
}

/// Whether no check speaks that did not speak before. What copies shared is then said of each.
fn nothing_new(before: &Analysis, after: &Analysis) -> bool {
    let checks =
        |a: &Analysis| -> BTreeSet<&'static str> { a.findings.iter().map(|f| f.check).collect() };
    checks(after).is_subset(&checks(before))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "\
led ruby drops 2 V at 20 mA colour red
zone in-a
zone in-b
supply s 12 V 1 A in in-a
fuse F1 200 mA from s
lamp other of ruby resistor 680 ohm from F1 in in-a
pattern p needs bay
string p.s of ruby 2 lamps resistor 470 ohm from p in p.bay
copy x of p from F1 where bay in-a
copy y of p from F1 where bay in-b accept series-string because \"dim enough\"
scene dark off y
";

    fn analysis(text: &str) -> Analysis {
        Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
    }

    /// What is offered at the last letter of these words.
    fn title_at(text: &str, words: &str) -> Option<String> {
        let last = (text.find(words).unwrap() + words.len() - 1) as u32;
        let span = Span::new(last, last);
        write_out(&analysis(text), FileId(0), span)
            .ok()
            .map(|c| c.title)
    }

    #[test]
    fn it_is_offered_on_the_copy_and_on_its_name() {
        let title = Some("write y out: 2 stanzas; every figure stays".to_owned());
        for words in ["copy y", "y of p", "where bay in-b", "off y"] {
            assert_eq!(title_at(PLAN, words), title, "{words}");
        }
        for words in ["pattern p", "string p.s", "lamp other", "dark off"] {
            assert_eq!(title_at(PLAN, words), None, "{words}");
        }
        let two = Span::between(PLAN.find("copy x").unwrap(), PLAN.find("scene").unwrap());
        assert!(write_out(&analysis(PLAN), FileId(0), two).is_err());
    }

    #[test]
    fn an_accept_goes_with_the_piece_that_it_is_for() {
        let a = analysis(PLAN);
        assert_eq!(a.findings, []);
        let start = PLAN.find("copy y").unwrap() as u32;
        let candidate = write_out(&a, FileId(0), Span::new(start, start)).unwrap();
        let after = a.with_edits(&candidate.edits);
        assert_eq!(after.findings, []);
        let text = &after.plan.files[0].text;
        let written = "joint y from F1\nstring y-s of ruby 2 lamps resistor 470 ohm from y in in-b accept series-string because \"dim enough\"\n";
        assert!(text.contains(written), "{text}");
    }
}
