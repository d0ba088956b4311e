//! The words that an editor colours before the server answers, in the files of the editors that keep a list of them. The lists stand
//! behind marks, `words: stanzas`. To write them anew: `GLIMLOOM_WRITE=1 cargo test words_of_the_editors`.

use std::collections::BTreeSet;

use super::root;
use glimloom::syntax::vocabulary::{ClauseShape, STANZAS, Slot, UNITS};

/// The words of the language by what they are. A word of a stanza that is one of a clause as well is told by its place.
pub(super) struct Words {
    stanzas: BTreeSet<&'static str>,
    pub(super) clauses: BTreeSet<&'static str>,
    pub(super) choices: BTreeSet<&'static str>,
    units: BTreeSet<&'static str>,
}

impl Words {
    pub(super) fn of_the_language() -> Words {
        let mut words = Words {
            stanzas: STANZAS.iter().map(|shape| shape.stanza.word()).collect(),
            clauses: BTreeSet::new(),
            choices: BTreeSet::new(),
            // An inch is also written glued to its number, and `%` is no word.
            units: UNITS.iter().map(|unit| unit.word).chain(["in"]).collect(),
        };
        words.units.remove("%");
        for shape in STANZAS {
            words.slots(shape.head);
            shape.clauses.iter().for_each(|clause| words.clause(clause));
        }
        let Words {
            clauses, choices, ..
        } = &mut words;
        choices.retain(|word| !clauses.contains(word));
        words
    }

    fn clause(&mut self, shape: &ClauseShape) {
        self.clauses.insert(shape.word);
        self.slots(shape.slots);
        shape.parts.iter().for_each(|part| self.clause(part));
    }

    fn slots(&mut self, slots: &'static [Slot]) {
        for slot in slots {
            match slot {
                Slot::Word(word) => drop(self.clauses.insert(word)),
                Slot::Count(words) => self.clauses.extend(words.iter()),
                Slot::Choice(words) => self.choices.extend(words.iter()),
                Slot::Optional(inner) | Slot::List(inner) => self.slots(inner),
                Slot::Either(ways) => ways.iter().for_each(|way| self.slots(way)),
                _ => {}
            }
        }
    }

    fn called(&self, kind: &str) -> Vec<&'static str> {
        let words = match kind {
            "stanzas" => &self.stanzas,
            "clauses" => &self.clauses,
            "choices" => &self.choices,
            "units" => &self.units,
            other => panic!("no words are called `{other}`"),
        };
        words.iter().copied().collect()
    }
}

/// As Emacs Lisp has it, broken into lines.
fn emacs(kind: &str, words: &[&str]) -> Vec<String> {
    let mut lines = vec![format!("(defconst harness-mode--{kind}")];
    let mut line = "  '(".to_owned();
    for word in words {
        if line.len() + word.len() > 120 {
            lines.push(line);
            line = "    ".to_owned();
        }
        let gap = match line.ends_with([' ', '(']) {
            true => "",
            false => " ",
        };
        line.push_str(&format!("{gap}\"{word}\""));
    }
    lines.push(format!("{line}))"));
    lines
}

/// As Vim script has it.
fn vim(kind: &str, words: &[&str]) -> Vec<String> {
    let group = match kind {
        "stanzas" => "harnessWord",
        "clauses" => "harnessClause",
        "choices" => "harnessChoice",
        // The longest first, as a match takes the first that fits.
        "units" => {
            let mut longest = words.to_vec();
            longest.sort_by_key(|word| std::cmp::Reverse(word.len()));
            return vec![format!("let s:units = '{}'", longest.join("|"))];
        }
        other => panic!("nothing is coloured as `{other}`"),
    };
    vec![format!(
        "syntax keyword {group} contained {}",
        words.join(" ")
    )]
}

/// The text with its lists anew. A list stands between its mark and the next one.
fn written(
    text: &str,
    mark: &str,
    words: &Words,
    list: &dyn Fn(&str, &[&str]) -> Vec<String>,
) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut in_list = false;
    for line in text.lines() {
        let kind = line.strip_prefix(mark);
        in_list &= kind.is_none();
        if !in_list {
            out.push(line.to_owned());
        }
        if let Some(kind) = kind.filter(|kind| *kind != "end") {
            out.extend(list(kind, &words.called(kind)));
            in_list = true;
        }
    }
    out.join("\n") + "\n"
}

#[test]
fn the_words_of_the_editors_are_those_of_the_language() {
    type List = dyn Fn(&str, &[&str]) -> Vec<String>;
    let words = Words::of_the_language();
    let files: [(&str, &str, &List); 2] = [
        ("editors/emacs/harness-mode.el", ";; words: ", &emacs),
        ("editors/neovim/syntax/harness.vim", "\" words: ", &vim),
    ];
    for (path, mark, list) in files {
        let at = root().join(path);
        let kept = std::fs::read_to_string(&at).unwrap();
        let fresh = written(&kept, mark, &words, list);
        for kind in ["stanzas", "clauses", "choices", "units", "end"] {
            let line = format!("\n{mark}{kind}\n");
            assert!(kept.contains(&line), "{path} has no line `{mark}{kind}`");
        }
        if std::env::var_os("GLIMLOOM_WRITE").is_some() {
            std::fs::write(&at, fresh).unwrap();
        } else {
            assert!(
                kept == fresh,
                "{path} is stale; run GLIMLOOM_WRITE=1 cargo test words_of_the_editors"
            );
        }
    }
}
