//! A record of a piece that was tried, to be put into the plan: what it should draw alone on the bench, for the builder to write over
//! with what the meter said.

use super::lenses::first_word;
use super::rows::in_rows;
use crate::checks::limits::over;
use crate::circuit::alone::{bench_volts, drawn_alone, own_volts};
use crate::numbers::{show, show_short};
use crate::plan::{Ballast, FileId, ItemId, Part, Plan};
use crate::syntax::stanza_texts;
use crate::text::{Lines, Span};
use crate::units::{ElectricCurrent, ElectricPotential};

/// A record that is offered.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// What it does.
    pub title: String,
    /// The words of its stanza.
    pub words: String,
}

/// The record of the piece whose stanza is at a place; `None` where no piece is, or it draws nothing alone.
pub fn record(plan: &Plan, file: FileId, offset: u32, today: &str) -> Option<Record> {
    let stanza = plan.stanza_at(file, offset)?;
    // What a pattern or a copy stands for is tried under other names.
    let mut here = (0..plan.items.len()).filter(|&i| plan.items[i].stanza == stanza);
    let item = here.next().filter(|_| here.next().is_none())?;
    let item = ItemId(item);
    if plan.items[item.0].copy.is_some() {
        return None;
    }
    let (drawn, volts) = trial(plan, item)?;
    let name = &plan.items[item.0].name.0;
    Some(Record {
        title: format!(
            "Write down what {name} drew when tried; {} is expected at {}",
            show_short(drawn),
            show(volts)
        ),
        words: format!(
            "tried {name} {} at {} on {today}",
            show_short(drawn),
            show(volts)
        ),
    })
}

/// What a piece should draw alone when it is tried, and on what: the bench supply; where that would harm it, what will feed it.
pub fn trial(plan: &Plan, item: ItemId) -> Option<(ElectricCurrent, ElectricPotential)> {
    let drawn_on = |volts| Some((volts, drawn_alone(plan, item, volts)?.typical));
    let bench = bench_volts(plan).and_then(drawn_on);
    let own = || own_volts(plan, item).and_then(drawn_on);
    let (volts, drawn) = match bench {
        Some((volts, drawn)) if is_harmed(plan, item, volts, drawn) => own()
            .filter(|&(volts, drawn)| !is_harmed(plan, item, volts, drawn))
            .or(bench),
        bench => bench,
    }?;
    Some((drawn, volts))
}

/// Whether a piece that draws so much on a voltage is harmed by it.
fn is_harmed(plan: &Plan, item: ItemId, volts: ElectricPotential, drawn: ElectricCurrent) -> bool {
    match &plan.items[item.0].part {
        Part::Lamps { led, resistor, .. } => {
            let heat_is_over = |own: &Ballast| {
                own.rating
                    .is_some_and(|rating| drawn * drawn * own.ohms > rating)
            };
            over(drawn, plan.leds[led.0].limit) || resistor.as_ref().is_some_and(heat_is_over)
        }
        Part::Strip { tape, .. } => over(volts, plan.tapes[tape.0].works.1),
        Part::Board { module } => {
            let works = plan.modules[module.0].works;
            works.is_some_and(|(_, most)| over(volts, most))
        }
        _ => false,
    }
}

/// The edits that put a stanza behind the last record of a file, or at its end.
pub fn put(lines: &Lines, text: &str, words: &str) -> Vec<(Span, String)> {
    let mut last = None;
    let mut start = 0;
    for piece in stanza_texts(text) {
        if first_word(piece) == Some("tried") {
            last = Some(start + piece.trim_end().len());
        }
        start += piece.len();
    }
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let (at, ahead) = match last {
        Some(at) => (at, line_end.to_owned()),
        None => (text.trim_end().len(), line_end.repeat(2)),
    };
    let behind = match at == text.len() {
        true => line_end,
        false => "",
    };
    in_rows(
        lines,
        &[(Span::between(at, at), format!("{ahead}{words}{behind}"))],
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::Analysis;
    use crate::plan::{Alone, FileKey};
    use crate::text::{TextEdit, apply};

    const PLAN: &str = "\
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
supply s 12 V
joint j from s
lamp mast of pearl resistor 560 ohm from j
lamp bow of pearl resistor 1 kohm from j
pattern wing
lamp wing.tip of pearl resistor 560 ohm from wing
copy port of wing from j
";

    fn written(text: &str, at: &str) -> Option<(String, String)> {
        let a = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
        let offset = text.find(at).unwrap() as u32;
        let record = record(&a.plan, FileId(0), offset, "2026-11-26")?;
        let edits = put(&Lines::new(text), text, &record.words);
        let edits: Vec<TextEdit> = edits
            .into_iter()
            .map(|(span, text)| TextEdit { span, text })
            .collect();
        let after = apply(text, &edits).unwrap();
        let read = Analysis::of(FileKey::new("plan"), after.as_str().into(), &Alone, &|| {
            false
        });
        assert_eq!(read.plan.trials.len(), a.plan.trials.len() + 1);
        assert!(!read.findings.iter().any(|f| f.check == "tried-off"));
        Some((record.title, after))
    }

    #[test]
    fn a_piece_is_not_tried_on_what_harms_it() {
        let text = "harness \"H\" bench 12 V\nled pearl drops 3.0 V at 20 mA limit 25 mA colour white\nsupply cells 4.5 V\nlamp bow of pearl resistor 100 ohm from cells\n";
        let (title, _) = written(text, "lamp bow").unwrap();
        assert!(title.ends_with("is expected at 4.5 V"), "{title}");
    }

    #[test]
    fn what_is_expected_is_written_down() {
        // 560 ohm and a lamp of 3.0 V at 20 mA on 12 V, by hand: some 16 mA.
        let (title, after) = written(PLAN, "mast").unwrap();
        assert_eq!(
            title,
            "Write down what mast drew when tried; 16.2 mA is expected at 12 V"
        );
        assert_eq!(
            after,
            format!("{PLAN}\ntried mast 16.2 mA at 12 V on 2026-11-26\n")
        );
        // Behind the records that there are.
        let text = PLAN.replace(
            "pattern",
            "tried bow 9 mA at 12 V # dim?\n\n# a pattern\npattern",
        );
        let (_, after) = written(&text, "mast").unwrap();
        let records = "tried bow   9 mA at 12 V # dim?\ntried mast 16.2 mA at 12 V on 2026-11-26\n\n# a pattern\n";
        let plain = records.replace("bow   9 mA", "bow 9 mA");
        assert!(after.contains(records) || after.contains(&plain), "{after}");
        let crlf = PLAN.replace('\n', "\r\n");
        let (_, after) = written(crlf.trim_end(), "bow").unwrap();
        assert!(
            after.ends_with("from j\r\n\r\ntried bow 9.15 mA at 12 V on 2026-11-26\r\n"),
            "{after:?}"
        );
    }

    #[test]
    fn what_draws_nothing_alone_is_not_tried() {
        for at in ["joint", "supply", "led", "pattern", "lamp wing", "copy"] {
            assert_eq!(written(PLAN, at), None, "{at}");
        }
    }
}
