//! Makes a passage as wide as the wires in it need: the next drill, or a wider slot.

use super::Candidate;
use super::columns::hold_columns;
use super::stanza_text::{Spelling, plain};
use crate::circuit::bundle::{bundles, fits, smallest_hole};
use crate::numbers::count;
use crate::plan::{Edit, Opening, PassageId, Plan};
use crate::units::{Length, metres};

/// Drills rise by a tenth of a millimetre up to here, by half a millimetre above (the usual sets: common practice).
const FINE_UP_TO: f64 = 3e-3;
const FINE: f64 = 0.1e-3;
const COARSE: f64 = 0.5e-3;

/// How many longer sides of a slot are tried.
const MOST_SIDES: u32 = 400;

/// Drills in inches rise by 1/64 in (common practice).
const IN_64THS: f64 = 0.0254 / 64.0;

/// The least drill that is not below a diameter, metric.
pub fn drill_at_least(diameter: Length) -> Length {
    let steps = |step: f64| metres((diameter.value / step - 1e-6).ceil() * step);
    let fine = steps(FINE);
    if fine.value <= FINE_UP_TO + 1e-9 {
        fine
    } else {
        steps(COARSE)
    }
}

/// The passage as wide as its wires need, in the unit in which it is written. None where they fit, or none is wide enough.
pub fn widen_passage(plan: &Plan, passage: PassageId) -> Vec<Candidate> {
    widened(plan, passage).into_iter().collect()
}

fn widened(plan: &Plan, id: PassageId) -> Option<Candidate> {
    let passage = plan.passages.get(id.0)?;
    let wires = bundles(plan).into_iter().nth(id.0)?.wires;
    let opening = passage.opening?;
    if fits(&wires, opening) {
        return None;
    }
    let hole = smallest_hole(&wires);
    let stanza = plan.stanza(passage.stanza);
    let name = &passage.name.0;
    let its_wires = format!("its {}", count(wires.len(), "wire"));
    let (title, edits) = match opening {
        Opening::Bore(_) => {
            let value = stanza.clause("bore")?.values.first()?;
            let text = drill_like(stanza.words(value.span), hole)?;
            let need = if wires.len() == 1 { "needs" } else { "need" };
            let title = format!(
                "drill {name} to {text}: {its_wires} {need} {} mm",
                plain(hole.value * 1e3, 2)
            );
            (title, vec![(value.span, text)])
        }
        Opening::Slot(a, b) => {
            let wider = wider_slot(&wires, (a, b))?;
            let values = &stanza.clause("slot")?.values;
            let mut edits = Vec::new();
            for (value, (old, new)) in values.iter().zip([(a, wider.0), (b, wider.1)]) {
                if new != old {
                    let text = Spelling::of(stanza.words(value.span))?.write(new.value, 4);
                    edits.push((value.span, text));
                }
            }
            let new: Vec<&str> = edits.iter().map(|(_, text)| text.as_str()).collect();
            let old: Vec<String> = edits.iter().map(|(span, _)| stanza.quoted(*span)).collect();
            let (new, old) = (new.join(" by "), old.join(" by "));
            let go = if wires.len() == 1 { "goes" } else { "go" };
            let title =
                format!("{new} instead of {old} for {name}, so that {its_wires} {go} through");
            (title, edits)
        }
    };
    let edits = edits.into_iter().map(|(span, text)| Edit {
        stanza: passage.stanza,
        span,
        text,
    });
    Some(Candidate {
        title,
        edits: hold_columns(plan, passage.stanza, edits.collect()),
        told: Vec::new(),
    })
}

/// A slot that takes these wires, made from one that does not by as little filing as may be: the longer side longer, or
/// the narrow side wider, or that as wide as the thickest wire and then the longer side longer. Sides come in the steps of drills, the longer in halves of
/// a millimetre. `None` where no slot of a usual size is enough.
pub fn wider_slot(wires: &[Length], (a, b): (Length, Length)) -> Option<(Length, Length)> {
    let (long, narrow) = (a.max(b), a.min(b));
    let thickest = wires.iter().copied().fold(metres(0.0), Length::max);
    let longer = |narrow: Length| {
        let from = (long.value / COARSE).ceil() as u32;
        let sides = (from..from.saturating_add(MOST_SIDES)).map(|n| metres(f64::from(n) * COARSE));
        let mut sides = std::iter::once(long).chain(sides);
        let side = sides.find(|&side| fits(wires, Opening::Slot(side, narrow)))?;
        Some((side, narrow))
    };
    let wider = || {
        let mut side = drill_at_least(narrow.max(thickest));
        for _ in 0..MOST_SIDES {
            if fits(wires, Opening::Slot(long, side)) {
                return Some((long, side));
            }
            side = drill_at_least(side + metres(FINE));
            if side > long {
                return None;
            }
        }
        None
    };
    let filed = longer(narrow)
        .or_else(wider)
        .or_else(|| longer(drill_at_least(narrow.max(thickest))))?;
    Some(if a >= b { filed } else { (filed.1, filed.0) })
}

/// A bore drilled out to the next drill that is not below a diameter; `title` is given the new size. None for a slot.
pub fn drill_out(
    plan: &Plan,
    id: PassageId,
    hole: Length,
    title: impl FnOnce(&str) -> String,
) -> Option<Candidate> {
    let id = plan.passages.get(id.0)?.stanza;
    let stanza = plan.stanza(id);
    let value = stanza.clause("bore")?.values.first()?;
    let text = drill_like(stanza.words(value.span), hole)?;
    let title = title(&text);
    let edit = Edit {
        stanza: id,
        span: value.span,
        text,
    };
    Some(Candidate {
        title,
        edits: hold_columns(plan, id, vec![edit]),
        told: Vec::new(),
    })
}

/// The least drill that is not below a diameter, in the unit of `words`.
fn drill_like(words: &str, hole: Length) -> Option<String> {
    let spelling = Spelling::of(words)?;
    Some(match words.ends_with("in") || words.ends_with("inch") {
        true => in_64ths(words, hole),
        false => spelling.write(drill_at_least(hole).value, 4),
    })
}

/// The least drill in 64ths of an inch, its fraction in lowest terms, written like `words`.
fn in_64ths(words: &str, hole: Length) -> String {
    let mut count = (hole.value / IN_64THS - 1e-6).ceil().max(1.0) as u64;
    let mut of = 64;
    while count.is_multiple_of(2) && of > 1 {
        count /= 2;
        of /= 2;
    }
    let number = match of {
        1 => format!("{count}"),
        _ => format!("{count}/{of}"),
    };
    let unit = words.trim_start_matches(|c: char| !c.is_ascii_alphabetic() && c != ' ');
    format!("{number}{unit}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};
    use std::sync::Arc;

    #[test]
    fn drills_come_in_tenths_then_in_halves() {
        let mm = |d: f64| plain(drill_at_least(metres(d * 1e-3)).value * 1e3, 3);
        assert_eq!(mm(0.86), "0.9");
        assert_eq!(mm(2.4), "2.4");
        assert_eq!(mm(2.41), "2.5");
        assert_eq!(mm(3.0), "3");
        assert_eq!(mm(3.01), "3.5");
        assert_eq!(mm(7.2), "7.5");
    }

    fn widened(passage: &str) -> Option<String> {
        let text = format!(
            "wire w gauge 24 AWG insulation pvc outer 1.2 mm\nzone a\nzone b\n{passage}\nsupply s 9 V 1 A in a\njoint j from s over 1 m of w via p in b\njoint k from s over 1 m of w via p in b\n"
        );
        let plan = Plan::of(FileKey::new("t"), Arc::from(text.as_str()), &Alone);
        assert!(plan.problems.is_empty(), "{:?}", plan.problems);
        let candidate = widen_passage(&plan, PassageId(0)).into_iter().next()?;
        let texts = super::super::changed_texts(&plan, &candidate.edits).unwrap();
        let text = texts.into_values().next().unwrap();
        text.lines()
            .find(|l| l.starts_with("passage"))
            .map(str::to_owned)
    }

    /// Four wires of 1.2 mm: 2.4142 · 1.2 mm = 2.897 mm.
    #[test]
    fn the_unit_and_the_narrow_side_stay() {
        let p = "passage p between a and b";
        assert_eq!(
            widened(&format!("{p} bore 2 mm")).unwrap(),
            format!("{p} bore 2.9 mm")
        );
        assert_eq!(
            widened(&format!("{p} bore 0.2cm")).unwrap(),
            format!("{p} bore 0.29cm")
        );
        // 2.897 mm is 7.3 of 64ths
        assert_eq!(
            widened(&format!("{p} bore 1/16in")).unwrap(),
            format!("{p} bore 1/8in")
        );
        assert_eq!(
            widened(&format!("{p} slot 3 mm by 1.3 mm")).unwrap(),
            format!("{p} slot 5 mm by 1.3 mm")
        );
        // Two in a row and two above: 2.4 mm; staggered (by hand): 2 above 2 want 3 mm of length and 1.2 · 1.866 = 2.24 mm.
        assert_eq!(
            widened(&format!("{p} slot 3 mm by 1 mm")).unwrap(),
            format!("{p} slot 3 mm by 2.3 mm")
        );
        assert_eq!(
            widened(&format!("{p} slot 1 mm by 50 mm")).unwrap(),
            format!("{p} slot 1.2 mm by 50 mm")
        );
        assert_eq!(
            widened(&format!("{p} slot 1 mm by 0.5 mm")).unwrap(),
            format!("{p} slot 5 mm by 1.2 mm")
        );
        assert_eq!(widened(&format!("{p} bore 2.9 mm")), None);
    }
}
