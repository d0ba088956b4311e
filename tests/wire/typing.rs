//! Plans that are typed letter by letter: after each key the findings that are sent for that version are those of a fresh
//! analysis of the text as it then is. None is stale, none is missing, none stands elsewhere; that there is none is said too.
//!
//! Every key is looked at in the small plans. Of the large ones a stanza is pasted or typed, and the keys that are looked at
//! are drawn; `GLIMLOOM_EVERY_KEY=1` looks at all.

use std::path::PathBuf;
use std::sync::Arc;

use glimloom::checks::{Analysis, Finding};
use glimloom::plan::{Alone, FileKey, Severity, StanzaId};
use glimloom::text::Span;
use serde_json::{Value, json};

use super::client::Client;
use crate::dice::Dice;
use crate::tidy::root;

const A: &str = "untitled:typed";

/// Somebody who types, and sees what comes.
struct Typist {
    client: Client,
    encoding: &'static str,
    text: String,
    version: i64,
    keys: usize,
    /// The version that was looked at last.
    seen: i64,
    looked: usize,
}

impl Typist {
    fn new(encoding: &'static str) -> Typist {
        let mut client = Client::silent();
        client.shake_hands(json!({"capabilities": {
            "general": {"positionEncodings": [encoding]},
            "textDocument": {"publishDiagnostics": {"relatedInformation": true, "tagSupport": {"valueSet": [1]}}},
        }}));
        client.open(A, 0, "");
        assert_eq!(client.findings(A, 0), [] as [Value; 0]);
        Typist {
            client,
            encoding,
            text: String::new(),
            version: 0,
            keys: 0,
            seen: 0,
            looked: 0,
        }
    }

    /// Puts `new` in place of what stands between two bytes.
    fn put(&mut self, start: usize, end: usize, new: &str) {
        let place = |at| place(&self.text, at, self.encoding);
        let range = json!({"start": place(start), "end": place(end)});
        self.version += 1;
        self.keys += 1;
        let change = json!([{"range": range, "text": new}]);
        self.client.change(A, self.version, change);
        self.text.replace_range(start..end, new);
    }

    /// What came for this text is what there is to say of it.
    fn look(&mut self) {
        if self.seen == self.version {
            return;
        }
        self.seen = self.version;
        let wanted = findings(&self.text, self.encoding);
        self.looked += 1;
        let found = self.client.findings(A, self.version);
        let found: Vec<Value> = found.iter().map(essence).collect();
        for (k, (found, wanted)) in found.iter().zip(&wanted).enumerate() {
            assert_eq!(found, wanted, "{k}\n{}", self.text);
        }
        assert_eq!(found.len(), wanted.len(), "{}", self.text);
    }

    /// Types at a place, a character at a time, with a slip now and then; the place behind it.
    fn type_in(&mut self, mut at: usize, new: &str, dice: &mut Dice, look: usize) -> usize {
        for c in new.chars() {
            // A line end that has been begun is ended: no place of the protocol is between its two bytes.
            if dice.below(40) == 0 && !self.text[..at].ends_with('\r') {
                let slip = ["x", "😀", "\n", "  ", "5"][dice.below(5)];
                self.put(at, at, slip);
                self.look_one_in(look, dice);
                self.put(at, at + slip.len(), "");
                self.look_one_in(look, dice);
            }
            self.put(at, at, c.encode_utf8(&mut [0; 4]));
            at += c.len_utf8();
            self.look_one_in(look, dice);
        }
        at
    }

    fn look_one_in(&mut self, keys: usize, dice: &mut Dice) {
        let every = std::env::var_os("GLIMLOOM_EVERY_KEY").is_some();
        if every || dice.below(keys) == 0 {
            self.look();
        }
    }

    /// Nothing came that nobody waited for, but findings of versions that were passed over.
    fn end(mut self) {
        self.put(0, 0, "@@\n");
        self.look();
        for message in self.client.unread() {
            assert_eq!(
                message["method"], "textDocument/publishDiagnostics",
                "{message}"
            );
            assert_eq!(message["params"]["uri"], A);
            assert!(self.looked < self.keys, "{message}");
        }
        self.client.end();
    }
}

/// The position of a byte, by a walk over the text.
fn place(text: &str, at: usize, encoding: &str) -> Value {
    let ahead = &text[..at];
    let ends =
        |(k, c): &(usize, char)| *c == '\n' || (*c == '\r' && !text[k + 1..].starts_with('\n'));
    let line = ahead.char_indices().filter(ends).count();
    let start = ahead.char_indices().rfind(ends);
    let line_text = &ahead[start.map_or(0, |(k, _)| k + 1)..];
    let line_text = line_text.trim_end_matches('\r');
    let column = match encoding {
        "utf-8" => line_text.len(),
        "utf-16" => line_text.encode_utf16().count(),
        _ => line_text.chars().count(),
    };
    json!({"line": line, "character": column})
}

/// What an analysis finds that knows nothing of what was before.
fn findings(text: &str, encoding: &str) -> Vec<Value> {
    let analysis = Analysis::of(FileKey::new(A), Arc::from(text), &Alone, &|| false);
    let range = |stanza: StanzaId, span: Span| {
        let span = analysis.plan.in_file(stanza, span);
        let place = |at: u32| place(text, at as usize, encoding);
        json!({"start": place(span.start), "end": place(span.end)})
    };
    let told = |finding: &Finding| {
        let related = finding.related.iter();
        let related = related.map(|(stanza, span, message)| {
            json!({"location": {"uri": A, "range": range(*stanza, *span)}, "message": message})
        });
        essence(&json!({
            "range": range(finding.stanza, finding.span),
            "severity": match finding.severity {
                Severity::Error => 1,
                Severity::Warning => 2,
                Severity::Hint => 4,
            },
            "code": finding.check,
            "message": finding.message,
            "relatedInformation": related.collect::<Vec<_>>(),
            "tags": if finding.unnecessary { json!([1]) } else { json!([]) },
        }))
    };
    analysis.findings.iter().map(told).collect()
}

/// What is compared: no list is the same as an empty one.
fn essence(finding: &Value) -> Value {
    let list = |name: &str| match &finding[name] {
        Value::Null => json!([]),
        list => list.clone(),
    };
    json!({
        "range": finding["range"],
        "severity": finding["severity"],
        "code": finding["code"],
        "message": finding["message"],
        "related": list("relatedInformation"),
        "tags": list("tags"),
    })
}

fn plan(path: &str) -> String {
    let path: PathBuf = root().join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The stanzas of a text, with the lines that belong to each.
fn stanzas(text: &str) -> Vec<&str> {
    let mut starts = vec![0];
    let mut at = 0;
    let mut after_comment = false;
    for line in text.split_inclusive('\n') {
        let is_comment = line.starts_with('#');
        let begins = line.starts_with(|c: char| c.is_alphabetic());
        if at > 0 && (begins || is_comment) && !after_comment {
            starts.push(at);
        }
        after_comment = is_comment;
        at += line.len();
    }
    starts.push(text.len());
    starts.windows(2).map(|w| &text[w[0]..w[1]]).collect()
}

/// From the first letter to the last.
fn straight(text: &str, encoding: &'static str, look: usize, seed: u64) {
    let mut dice = Dice::seeded(seed);
    let mut typist = Typist::new(encoding);
    typist.type_in(0, text, &mut dice, look);
    assert_eq!(typist.text, text);
    typist.look();
    typist.end();
}

/// Stanza by stanza in any order, each where it belongs; some are pasted, some are taken away again, and some of that is
/// taken back.
fn scattered(text: &str, encoding: &'static str, look: usize, seed: u64) {
    let mut dice = Dice::seeded(seed);
    let mut typist = Typist::new(encoding);
    let stanzas = stanzas(text);
    assert_eq!(stanzas.concat(), text);
    let mut order: Vec<usize> = (0..stanzas.len()).collect();
    for k in (1..order.len()).rev() {
        order.swap(k, dice.below(k + 1));
    }
    let mut there = vec![false; stanzas.len()];
    for which in order {
        let start_of = |there: &[bool], which: usize| -> usize {
            (0..which)
                .filter(|&k| there[k])
                .map(|k| stanzas[k].len())
                .sum()
        };
        let at = start_of(&there, which);
        let stanza = stanzas[which];
        if dice.below(3) == 0 {
            typist.put(at, at, stanza);
        } else {
            typist.type_in(at, stanza, &mut dice, look);
        }
        there[which] = true;
        typist.look();
        if dice.below(4) == 0 {
            let some: Vec<usize> = (0..stanzas.len()).filter(|&k| there[k]).collect();
            let gone = some[dice.below(some.len())];
            let (at, stanza) = (start_of(&there, gone), stanzas[gone]);
            typist.put(at, at + stanza.len(), "");
            typist.look();
            typist.put(at, at, stanza);
            typist.look();
        }
    }
    assert_eq!(typist.text, text);
    typist.end();
}

const SMALL: &str = "\
supply cells 4.5 V
  note \"😀 drei Zellen\"
led glow drops 2.9 V at 10 mA limit 20 mA colour warm-white
wire hair diameter 0.2 mm insulation enamel colour red
fuse F1 100 mA from cells
lamp door of glow resistor 150 ohm from F1 over 40 mm of hair
lamp sign of glow resistor 160 ohm from door over 40 mm of hair
scene dusk off sign
";

#[test]
fn every_key_of_a_small_plan() {
    for (seed, encoding) in ["utf-8", "utf-16", "utf-32"].into_iter().enumerate() {
        straight(SMALL, encoding, 1, seed as u64);
    }
    straight(&SMALL.replace('\n', "\r\n"), "utf-16", 1, 3);
}

#[test]
fn every_key_of_a_small_plan_in_any_order() {
    for seed in 0..3 {
        scattered(SMALL, "utf-16", 1, seed);
    }
}

#[test]
fn the_mistakes_letter_by_letter() {
    straight(&plan("docs/examples/mistakes.harness"), "utf-16", 4, 11);
}

#[test]
fn examples_in_any_order() {
    let mut dice = Dice::seeded(5);
    for name in [
        "mistakes",
        "signal-cabin",
        "night-ferry",
        "station-street",
        "tanker-yard",
    ] {
        let text = plan(&format!("docs/examples/{name}.harness"));
        scattered(&text, "utf-8", 150, dice.below(1000) as u64);
    }
}

#[test]
fn good_plans_in_any_order() {
    for name in ["ring-mill", "gate-houses", "mixed-line-ends"] {
        let text = plan(&format!("tests/plans/good/{name}.harness"));
        scattered(&text, "utf-16", 150, 21);
    }
}
