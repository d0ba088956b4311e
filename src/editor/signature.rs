//! The form of the head or the clause that is being written, and which of its places the cursor is at.

use crate::checks::Analysis;
use crate::plan::FileId;
use crate::syntax::expected::{What, expected};
use crate::syntax::vocabulary::{ClauseShape, Dimension, Role, Slot, StanzaShape};
use crate::text::Span;

/// A form, with its places.
#[derive(Clone, Debug, PartialEq)]
pub struct Signature {
    /// The form: `over LENGTH of WIRE`. It is ASCII.
    pub label: String,
    /// What it says, in Markdown.
    pub says: String,
    /// Its places: where each stands in the label, and what stands there.
    pub places: Vec<(Span, String)>,
    /// The place that the cursor is at.
    pub active: usize,
}

/// The form that is being written at this byte of a file; `None` where none is open.
pub fn signature(a: &Analysis, file: FileId, offset: usize) -> Option<Signature> {
    let plan = &a.plan;
    let offset = u32::try_from(offset).ok()?;
    let id = plan.stanza_at(file, offset)?;
    let at = offset.checked_sub(plan.in_file(id, Span::default()).start)?;
    let stanza = plan.stanza(id);
    let wants = expected(stanza, at)?.wants;
    let (wanted, open) = wants.iter().find_map(|wanted| {
        let open = match wanted.what {
            What::Slot(slot) => Place::Slot(slot),
            What::Unit(dimension) => Place::Number(dimension),
            What::Counted(words) => Place::Counted(words),
            What::Clause(_) => return None,
        };
        Some((wanted, open))
    })?;
    let mut form = match wanted.within.last() {
        Some(open) => Form::of_clause(open.shape),
        None => Form::of_head(stanza.word?.shape()),
    };
    let active = form.places.iter().position(|(_, slot)| open.is(slot))?;
    let places = std::mem::take(&mut form.places).into_iter();
    Some(Signature {
        label: form.text,
        says: form.says,
        places: places.map(|(span, slot)| (span, describe(slot))).collect(),
        active,
    })
}

/// What is to be found in a form.
#[derive(Clone, Copy)]
enum Place {
    /// This very slot.
    Slot(&'static Slot),
    /// A number that lacks its unit.
    Number(Dimension),
    /// A count that lacks its word.
    Counted(&'static [&'static str]),
}

impl Place {
    fn is(self, slot: &'static Slot) -> bool {
        match (self, slot) {
            (Place::Slot(open), slot) => std::ptr::eq(open, slot),
            (Place::Number(open), Slot::Quantity(d)) => open == *d,
            (Place::Counted(open), Slot::Count(words)) => open == *words,
            _ => false,
        }
    }
}

/// A form on its way into text.
struct Form {
    text: String,
    says: String,
    places: Vec<(Span, &'static Slot)>,
}

impl Form {
    fn of_clause(shape: &'static ClauseShape) -> Form {
        let says = format!("{}\n\nAs in `{}`.", shape.says, shape.usual);
        Form::of(shape.word, shape.slots, says)
    }

    fn of_head(shape: &'static StanzaShape) -> Form {
        let says = format!("{}\n\n```harness\n{}\n```", shape.says, shape.usual);
        Form::of(shape.stanza.word(), shape.head, says)
    }

    fn of(word: &str, slots: &'static [Slot], says: String) -> Form {
        let mut form = Form {
            text: word.to_owned(),
            says,
            places: Vec::new(),
        };
        form.sequence(slots);
        form
    }

    fn sequence(&mut self, slots: &'static [Slot]) {
        for slot in slots {
            if !self.text.ends_with(['[', '(']) {
                self.text.push(' ');
            }
            self.slot(slot);
        }
    }

    fn slot(&mut self, slot: &'static Slot) {
        match slot {
            Slot::Optional(inner) => {
                self.text.push('[');
                self.sequence(inner);
                self.text.push(']');
            }
            Slot::Either(ways) => {
                self.text.push('(');
                for (i, way) in ways.iter().enumerate() {
                    if i > 0 {
                        self.text.push_str(" |");
                    }
                    self.sequence(way);
                }
                self.text.push(')');
            }
            Slot::List(inner) => {
                let start = self.text.len();
                self.sequence(inner);
                // The blank ahead of the first is there already.
                if self.text.get(start..).is_some_and(|t| t.starts_with(' ')) {
                    self.text.remove(start);
                    for (span, _) in &mut self.places {
                        if span.start as usize > start {
                            *span = Span::new(span.start - 1, span.end - 1);
                        }
                    }
                }
                self.text.push_str(", ...");
            }
            leaf => {
                let start = self.text.len();
                self.text.push_str(&leaf_words(leaf));
                let span = Span::between(start, self.text.len());
                self.places.push((span, leaf));
            }
        }
    }
}

/// A place in a form.
fn leaf_words(slot: &Slot) -> String {
    match slot {
        Slot::Word(word) => (*word).to_owned(),
        Slot::Quantity(dimension) => dimension_word(*dimension).to_owned(),
        Slot::Count(words) => match words.first() {
            Some(word) => format!("N {word}"),
            None => "N".to_owned(),
        },
        Slot::Name(role) => role_word(*role).to_owned(),
        Slot::Text => "\"TEXT\"".to_owned(),
        Slot::Scale => "1:N".to_owned(),
        Slot::Date => "YEAR-MONTH-DAY".to_owned(),
        Slot::Number => "N".to_owned(),
        Slot::Choice(words) => words.join("|"),
        Slot::Optional(_) | Slot::Either(_) | Slot::List(_) => String::new(),
    }
}

fn dimension_word(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Voltage => "VOLTS",
        Dimension::Current => "CURRENT",
        Dimension::Resistance => "RESISTANCE",
        Dimension::Power => "POWER",
        Dimension::Length => "LENGTH",
        Dimension::Area => "AREA",
        Dimension::Gauge => "GAUGE",
        Dimension::Charge => "CAPACITY",
        Dimension::Temperature => "TEMPERATURE",
        Dimension::Frequency => "FREQUENCY",
        Dimension::Time => "TIME",
        Dimension::Flux => "LUMENS",
        Dimension::Intensity => "CANDELA",
        Dimension::Angle => "ANGLE",
        Dimension::Percent => "PERCENT",
    }
}

fn role_word(role: Role) -> &'static str {
    match role {
        Role::Defined | Role::StandIn => "NAME",
        Role::OutputDefined | Role::Output => "OUTPUT",
        Role::NeedDefined | Role::Need => "WORD",
        Role::Point => "POINT",
        Role::Item => "ITEM",
        Role::Wire => "WIRE",
        Role::Tape => "TAPE",
        Role::Led => "LED",
        Role::Module => "MODULE",
        Role::Zone => "ZONE",
        Role::Passage => "PASSAGE",
        Role::Pattern => "PATTERN",
        Role::Piece => "PIECE",
        Role::Check => "CHECK",
        Role::WireColour => "COLOUR",
    }
}

/// What stands in a place, for its own line of explanation.
fn describe(slot: &Slot) -> String {
    let units = |dimension: &Dimension| {
        let words: Vec<&str> = dimension.units().map(|u| u.word).collect();
        format!("{}, in {}", dimension.plain(), words.join(", "))
    };
    match slot {
        Slot::Quantity(dimension) => units(dimension),
        Slot::Name(Role::Point) => {
            "a point that feeds: an item that hands power on, or BOARD.OUTPUT".to_owned()
        }
        Slot::Choice(words) => format!("one of {}", words.join(", ")),
        Slot::Text => "a text in double quotes".to_owned(),
        Slot::Date => "a date, as 2026-03-14".to_owned(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};
    use crate::syntax::vocabulary::StanzaWord;

    /// The form at `$0`, the active place in brackets of its own.
    fn at(text: &str) -> Option<String> {
        let offset = text.find("$0").unwrap();
        let text = text.replace("$0", "");
        let a = Analysis::of(FileKey::new("plan"), text.as_str().into(), &Alone, &|| {
            false
        });
        let found = signature(&a, FileId(0), offset)?;
        let (span, _) = &found.places[found.active];
        let (start, end) = (span.start as usize, span.end as usize);
        let label = &found.label;
        Some(format!(
            "{}<{}>{}",
            &label[..start],
            &label[start..end],
            &label[end..]
        ))
    }

    fn shown(text: &str) -> String {
        at(text).unwrap_or_else(|| "none".into())
    }

    #[test]
    fn the_head_place_by_place() {
        assert_eq!(
            shown("strip $0"),
            "strip <NAME> of TAPE (N lamps | N groups | LENGTH)"
        );
        assert_eq!(
            shown("strip a of wa$0"),
            "strip NAME of <TAPE> (N lamps | N groups | LENGTH)"
        );
        assert_eq!(
            shown("strip a of warm 6 $0"),
            "strip NAME of TAPE (<N lamps> | N groups | LENGTH)"
        );
        assert_eq!(shown("supply a 12 V $0"), "supply NAME VOLTS [<CURRENT>]");
        assert_eq!(shown("supply a 12 $0"), "supply NAME <VOLTS> [CURRENT]");
    }

    #[test]
    fn each_clause() {
        assert_eq!(shown("joint a from b over $0"), "over <LENGTH> of WIRE");
        assert_eq!(
            shown("joint a from b over 20 mm of $0"),
            "over LENGTH of <WIRE>"
        );
        assert_eq!(shown("scene a off b, $0"), "off <ITEM>, ...");
        assert_eq!(shown("copy a of b where c $0"), "where WORD <NAME>, ...");
        assert_eq!(
            shown("led a drops 3 V at $0"),
            "drops VOLTS at <CURRENT>, ..."
        );
        assert_eq!(
            shown("tape a draws $0"),
            "draws (<CURRENT> at VOLTS | POWER per m at VOLTS)"
        );
        assert_eq!(
            shown("lamp a of b resistor 1 kohm at $0"),
            "at <start|lamp>"
        );
        assert_eq!(shown("harness \"a\" scale $0"), "scale <1:N>");
    }

    #[test]
    fn nothing_where_no_form_is_open() {
        for text in [
            "joint a from b $0",
            "# $0",
            "",
            "jo$0int",
            "zone a note \"$0\"",
        ] {
            let text = if text.contains("$0") {
                text.to_owned()
            } else {
                format!("{text}$0")
            };
            assert_eq!(at(&text), None, "{text}");
        }
    }

    #[test]
    fn every_form_is_plain_ascii_with_its_places_in_it() {
        fn all(shapes: &'static [ClauseShape], forms: &mut Vec<Form>) {
            for shape in shapes {
                forms.push(Form::of_clause(shape));
                all(shape.parts, forms);
            }
        }
        let mut forms = Vec::new();
        for word in StanzaWord::ALL {
            forms.push(Form::of_head(word.shape()));
            all(word.shape().clauses, &mut forms);
        }
        for form in forms {
            assert!(
                form.text.is_ascii() && !form.text.contains("  "),
                "{}",
                form.text
            );
            for (span, slot) in &form.places {
                assert_eq!(form.text[span.range()], leaf_words(slot), "{}", form.text);
            }
        }
    }
}
