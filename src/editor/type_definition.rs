//! What a thing is made of: of a lamp the led, of a strip the tape, of a board the module, of a copy the pattern; of
//! a run, and of what has nothing else, the wire.

use super::mentions::{Mention, Mentions, Thing};
use super::target::{self, On};
use crate::checks::Analysis;
use crate::plan::{FileId, Part, Plan, StanzaId, Target};
use crate::syntax::tree::Clause;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// Where the stock is defined that the thing at this byte is made of. Several, where a needed word stands for
/// another thing in each copy.
pub fn type_definition(a: &Analysis, file: FileId, offset: usize) -> Vec<(FileId, Span)> {
    let plan = &a.plan;
    let mentions = Mentions::new(plan);
    let here = mentions.at(file, offset);
    let mut things = Vec::new();
    for mention in &here {
        match &mention.thing {
            Thing::Stanza(id) => things.extend(
                of_item(plan, *id, file, offset).map_or_else(|| stock(&mentions, *id), |t| vec![t]),
            ),
            Thing::Output(module, _) => things.push(Thing::Stanza(*module)),
            need @ Thing::Need(..) => things.extend(mentions.stand_ins(need, Some(mention.stanza))),
            Thing::Check(_) => {}
        }
    }
    if here.is_empty() {
        things.extend(wire_at(&mentions, file, offset));
    }
    let defined = things.iter().filter_map(|t| mentions.definition(t));
    let mut places: Vec<_> = defined
        .map(|(id, span)| (id.file, plan.in_file(id, span)))
        .collect();
    places.sort();
    places.dedup();
    places
}

/// The stock of the very item that is named here: a piece of a copy has its own.
fn of_item(plan: &Plan, stanza: StanzaId, file: FileId, offset: usize) -> Option<Thing> {
    let On::Name {
        definition,
        output: None,
        ..
    } = target::at(plan, file, offset)?.on
    else {
        return None;
    };
    let Some(Target::Item(item)) = definition.target.filter(|_| definition.stanza == stanza) else {
        return None;
    };
    Some(Thing::Stanza(match plan.items[item.0].part {
        Part::Strip { tape, .. } => plan.tapes[tape.0].stanza,
        Part::Lamps { led, .. } => plan.leds[led.0].stanza,
        Part::Board { module } => plan.modules[module.0].stanza,
        _ => return None,
    }))
}

/// What a stanza says that it is of; without that, the wire of its run. Stock is its own.
fn stock(mentions: &Mentions, id: StanzaId) -> Vec<Thing> {
    let stanza = mentions.plan().stanza(id);
    let Some(word) = stanza.word else {
        return Vec::new();
    };
    if word.is_stock() {
        return vec![Thing::Stanza(id)];
    }
    let of = matches!(
        word,
        StanzaWord::Strip
            | StanzaWord::Lamp
            | StanzaWord::String
            | StanzaWord::Board
            | StanzaWord::Copy
    );
    if of {
        let value = stanza.head.get(1);
        return value.map_or_else(Vec::new, |v| ending_in(mentions, id, v.span));
    }
    let runs = stanza.clauses.iter();
    let run = runs
        .filter(|c| matches!(c.word, "from" | "between"))
        .find_map(|c| c.part("over"));
    run.map_or_else(Vec::new, |over| wire(mentions, id, over))
}

/// The wire of the run whose words the cursor is on.
fn wire_at(mentions: &Mentions, file: FileId, offset: usize) -> Vec<Thing> {
    let found = || {
        let plan = mentions.plan();
        let spot = target::at(plan, file, offset)?;
        let over = innermost(&plan.stanza(spot.stanza).clauses, spot.span)?;
        (over.word == "over").then(|| wire(mentions, spot.stanza, over))
    };
    found().unwrap_or_default()
}

/// The innermost clause that holds a span.
fn innermost(clauses: &[Clause], span: Span) -> Option<&Clause> {
    let holds = |c: &&Clause| c.span.start <= span.start && span.end <= c.span.end;
    let clause = clauses.iter().find(holds)?;
    innermost(&clause.parts, span).or(Some(clause))
}

fn wire(mentions: &Mentions, id: StanzaId, over: &Clause) -> Vec<Thing> {
    let name = over.names().next();
    name.map_or_else(Vec::new, |(_, span)| ending_in(mentions, id, span))
}

/// What the last word of a name stands for; a needed word, what stands for it.
fn ending_in(mentions: &Mentions, id: StanzaId, name: Span) -> Vec<Thing> {
    let here = mentions.in_stanza(id).into_iter();
    here.filter(|m: &Mention| name.start <= m.span.start && m.span.end == name.end)
        .flat_map(|m| match &m.thing {
            need @ Thing::Need(..) => mentions.stand_ins(need, None),
            _ => vec![m.thing],
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "\
wire hook gauge 24 AWG insulation pvc
tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 18 mA at 12 V
led pearl drops 3.0 V at 20 mA
led ruby drops 2.0 V at 20 mA
module flasher draws 3 mA
  output a 60 mA
supply cell 12 V
joint keel from cell over 300 mm of hook
strip row of warm 6 lamps from keel
board blink of flasher from keel
lamp mast of pearl resistor 560 ohm from blink.a
link ring between row and keel over 50 mm of hook
pattern wing needs lens
lamp wing.tip of wing.lens resistor 560 ohm from wing
copy port of wing from keel where lens ruby
copy star of wing from keel where lens pearl
scene dusk off port.tip, star, blink.a
lamp left of ruby from
";

    /// The lines that the first place of `words` leads to, from the byte `skip` behind its start.
    fn leads_to(words: &str, skip: usize) -> Vec<&'static str> {
        let a = Analysis::of(FileKey::new("plan"), PLAN.into(), &Alone, &|| false);
        let offset = PLAN.find(words).unwrap() + skip;
        type_definition(&a, FileId(0), offset)
            .into_iter()
            .map(|(_, span)| PLAN[span.start as usize..].split_whitespace().next())
            .map(Option::unwrap)
            .collect()
    }

    #[test]
    fn items_lead_to_their_stock() {
        assert_eq!(leads_to("row of", 0), ["warm"]);
        assert_eq!(leads_to("mast of", 0), ["pearl"]);
        assert_eq!(leads_to("blink of", 0), ["flasher"]);
        assert_eq!(leads_to("keel from", 0), ["hook"]);
        assert_eq!(leads_to("ring between", 0), ["hook"]);
        assert_eq!(leads_to("between row", 8), ["warm"]);
        assert_eq!(leads_to("of pearl resistor", 3), ["pearl"]);
        // In error, and still of a led.
        assert_eq!(leads_to("left of", 0), ["ruby"]);
    }

    #[test]
    fn runs_and_outputs() {
        assert_eq!(leads_to("over 300", 0), ["hook"]);
        assert_eq!(leads_to("300 mm", 1), ["hook"]);
        assert_eq!(leads_to("blink.a\n", 6), ["flasher"]);
        assert_eq!(leads_to("blink.a\n", 0), ["flasher"]);
    }

    #[test]
    fn copies_and_what_stands_for_a_needed_word() {
        assert_eq!(leads_to("star of", 0), ["wing"]);
        assert_eq!(leads_to("port.tip", 5), ["ruby"]);
        assert_eq!(leads_to("port.tip", 0), ["wing"]);
        assert_eq!(leads_to("tip of", 0), ["pearl", "ruby"]);
        assert_eq!(leads_to("of wing.lens", 9), ["pearl", "ruby"]);
        assert_eq!(leads_to("where lens ruby", 6), ["ruby"]);
    }

    #[test]
    fn nothing_to_lead_to() {
        for (words, skip) in [
            ("supply", 1),
            ("cell 12", 0),
            ("12 V", 0),
            ("wing needs", 0),
        ] {
            assert_eq!(leads_to(words, skip), [""; 0], "{words}");
        }
    }
}
