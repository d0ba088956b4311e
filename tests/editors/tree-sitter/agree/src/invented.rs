//! Plans made up by chance from the vocabulary, and broken by chance. What they say makes no sense; how they are written does.

use glimloom::syntax::vocabulary::{ClauseShape, STANZAS, Slot, UNITS};

/// Numbers by chance, the same ones each time (xorshift64*, Vigna 2016).
pub struct Chance(u64);

impl Chance {
    /// The numbers of a seed.
    pub fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number below `limit`.
    pub fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let number = self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33;
        usize::try_from(number).unwrap_or(0) % limit.max(1)
    }

    /// True once in so many times.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    fn of<T: Copy>(&mut self, things: &[T]) -> T {
        things[self.below(things.len())]
    }
}

const NAMES: &[&str] = &[
    "keel",
    "saloon-1",
    "F1",
    "a",
    "wing.tip",
    "blink.a",
    "Öl-2",
    "größe",
    "日本",
    "x_1",
    "red",
    "lamps",
    "m",
    "V",
    "A",
    "start",
    "to",
    "at",
    "e\u{301}t",
    "per",
    "scale",
    "bright",
    "white",
    "R2",
    "k",
    "min",
    "ohm",
    "in-2",
    "from-1",
    "lampe",
    "nördlich.α",
];
const NUMBERS: &[&str] = &[
    "12",
    "0.5",
    ".5",
    "1/4",
    "-5",
    "+3",
    "1/16",
    "20",
    "3.0",
    "10000",
    "0",
    "999999999",
    "0.000001",
    "−2",
    "7.",
];
const TEXTS: &[&str] = &[
    "\"\"",
    "\"a # b\"",
    "\"say \\\"so\\\" \\\\\"",
    "\"größe 😀\"",
    "\"lamp a of b\"",
    "\"'\"",
];
const DATES: &[&str] = &["2026-03-14", "2024-02-29", "1999-12-31"];
const SCALES: &[&str] = &["1:150", "1:43.5", "1:1", "1:0.5"];

/// The words of a head or a clause.
fn slots(chance: &mut Chance, wanted: &'static [Slot], out: &mut Vec<String>) {
    for slot in wanted {
        match slot {
            Slot::Word(word) => out.push((*word).to_owned()),
            Slot::Quantity(dimension) => quantity(chance, *dimension, out),
            Slot::Count(words) => {
                let number = 1 + chance.below(40);
                match words {
                    [] => out.push(number.to_string()),
                    words if chance.once_in(6) => out.push(format!("{number}{}", chance.of(words))),
                    words => out.extend([number.to_string(), chance.of(words).to_owned()]),
                }
            }
            Slot::Name(_) => out.push(chance.of(NAMES).to_owned()),
            Slot::Text => out.push(chance.of(TEXTS).to_owned()),
            Slot::Scale => out.push(chance.of(SCALES).to_owned()),
            Slot::Date => out.push(chance.of(DATES).to_owned()),
            Slot::Number => out.push("1".to_owned()),
            Slot::Choice(words) => out.push(chance.of(words).to_owned()),
            Slot::Optional(inner) if chance.once_in(2) => slots(chance, inner, out),
            Slot::Optional(_) => {}
            Slot::Either(ways) => {
                let way = chance.of(ways);
                slots(chance, way, out);
            }
            Slot::List(inner) => {
                slots(chance, inner, out);
                while chance.once_in(2) {
                    out.push(",".to_owned());
                    slots(chance, inner, out);
                }
            }
        }
    }
}

fn quantity(
    chance: &mut Chance,
    dimension: glimloom::syntax::vocabulary::Dimension,
    out: &mut Vec<String>,
) {
    let mut units: Vec<&str> = UNITS
        .iter()
        .filter(|u| u.dimension == dimension)
        .map(|u| u.word)
        .collect();
    let number = chance.of(NUMBERS);
    if units.contains(&"ohm") && chance.once_in(3) {
        out.push(
            chance
                .of(&[
                    "470R",
                    "2k2",
                    "4R7",
                    "1M",
                    "2.2k",
                    "1K",
                    ".5R",
                    "10\u{2126}",
                ])
                .to_owned(),
        );
        return;
    }
    if units.contains(&"inch") && chance.once_in(4) {
        out.push(format!("{}in", number.trim_end_matches('.')));
        return;
    }
    units.retain(|u| !u.is_empty());
    let unit = chance.of(&units);
    // A number that ends in a dot wants its unit glued to it, and a letter behind the dot.
    match number.ends_with('.') {
        true if unit == "%" => out.extend(["7".to_owned(), unit.to_owned()]),
        glued if glued || chance.once_in(2) => out.push(format!("{number}{unit}")),
        _ => out.extend([number.to_owned(), unit.to_owned()]),
    }
}

fn clauses(
    chance: &mut Chance,
    shapes: &'static [ClauseShape],
    most: usize,
    out: &mut Vec<String>,
) {
    for _ in 0..chance.below(most + 1) {
        let shape = &shapes[chance.below(shapes.len())];
        out.push(shape.word.to_owned());
        slots(chance, shape.slots, out);
        if !shape.parts.is_empty() {
            clauses(chance, shape.parts, 3, out);
        }
    }
}

/// A plan that is well written: each stanza has its head, and clauses by chance.
pub fn plan(chance: &mut Chance) -> String {
    let mut text = String::new();
    if chance.once_in(8) {
        text.push('\u{feff}');
    }
    for _ in 0..1 + chance.below(8) {
        let line_end = chance.of(&["\n", "\n", "\r\n", "\r"]);
        let shape = &STANZAS[chance.below(STANZAS.len())];
        let mut words = vec![shape.stanza.word().to_owned()];
        slots(chance, shape.head, &mut words);
        clauses(chance, shape.clauses, 5, &mut words);
        for (at, word) in words.iter().enumerate() {
            if at > 0 && word == "," {
                // A comma stands at its word, mostly.
            } else if at > 0 && chance.once_in(8) {
                if chance.once_in(3) {
                    text.push_str("  # a remark, of 3 mm from \"x");
                }
                text.push_str(line_end);
                if chance.once_in(4) {
                    text.push_str(chance.of(&["", "   ", "# at the margin", "  # behind blanks"]));
                    text.push_str(line_end);
                }
                text.push_str(chance.of(&["  ", "\t", " ", "\u{a0}"]));
            } else if at > 0 {
                text.push_str(chance.of(&[" ", " ", " ", "  ", "\t", "\u{2003}"]));
            }
            text.push_str(word);
        }
        if chance.once_in(5) {
            text.push_str(" # the end");
        }
        if chance.once_in(12) {
            text.push_str("  ");
        }
        text.push_str(line_end);
        if chance.once_in(4) {
            text.push_str(chance.of(&["", "# of the next", "  # of this", "#"]));
            text.push_str(line_end);
        }
    }
    text
}

/// Pieces that break a plan, or do not.
const PIECES: &[&str] = &[
    " ",
    "\n",
    "\n  ",
    "\r\n",
    ",",
    ", ",
    "\"",
    "#",
    "from",
    " from ",
    "lamp",
    "\nlamp ",
    "\nkeel ",
    "of",
    " of ",
    "in",
    " in x",
    "12",
    " 12 V",
    "V",
    "%",
    ".",
    "-",
    "/",
    ":",
    "{",
    "“",
    "°",
    "µA",
    "e3",
    " 0,5 A ",
    "zone b\n",
    "\nzone b\n",
    "x",
    "é",
    "😀",
    "\u{feff}",
    " over 3 mm of a",
    " via b",
    "1:150",
    "2026-02-30",
    " 2026-03-14",
    "R",
    "k2",
    "in ",
    "\\",
    "lamps",
    " 6 lamps",
    " note \"n\"",
    "=",
    "//",
];

/// A plan with some changes by chance: letters or words left out, put in, doubled, or moved.
pub fn broken(chance: &mut Chance, plan: &str) -> String {
    let mut text = plan.to_owned();
    for _ in 0..1 + chance.below(3) {
        let borders: Vec<usize> = text
            .char_indices()
            .map(|(at, _)| at)
            .chain([text.len()])
            .collect();
        let (mut from, mut to) = (chance.of(&borders), chance.of(&borders));
        if from > to {
            std::mem::swap(&mut from, &mut to);
        }
        match chance.below(5) {
            // A letter goes.
            0 => drop(
                text.get(from..)
                    .and_then(|t| t.chars().next())
                    .map(|c| text.replace_range(from..from + c.len_utf8(), "")),
            ),
            // A piece comes.
            1 | 2 => text.insert_str(from, chance.of(PIECES)),
            // A word goes.
            3 => {
                let word = text[from..]
                    .find(char::is_whitespace)
                    .map_or(text.len(), |end| from + end);
                text.replace_range(from..word, "");
            }
            // Some letters stand somewhere else too.
            _ => {
                let end = borders
                    .iter()
                    .copied()
                    .find(|b| *b >= to.min(from + 20))
                    .unwrap_or(to)
                    .max(from);
                let piece = text[from..end].to_owned();
                text.insert_str(chance.of(&borders), &piece);
            }
        }
    }
    text
}
