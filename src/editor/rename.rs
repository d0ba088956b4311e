//! Another name for a thing, wherever it is mentioned. What would break the plan or muddle it is refused, and why.

use std::collections::BTreeMap;

use super::mentions::{Mention, Mentions, Thing};
use super::target::{self, On};
use crate::checks::Analysis;
use crate::plan::{Edit, FileId, Plan, StanzaId};
use crate::rewrites::hold_columns;
use crate::syntax::read_name;
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// The word at this byte that can be given another name. `Err` says why it cannot; `Ok(None)`: there is no name.
pub fn prepare(a: &Analysis, file: FileId, offset: usize) -> Result<Option<Span>, String> {
    let plan = &a.plan;
    let mentions = Mentions::new(plan);
    let here = mentions.at(file, offset);
    let Some(first) = here.first() else {
        return match target::at(plan, file, offset) {
            Some(spot) if matches!(spot.on, On::Other) && is_name(plan, spot.stanza, spot.span) => {
                Err("No stanza defines this name: there is nothing to rename.".to_owned())
            }
            _ => Ok(None),
        };
    };
    thing(&here)?;
    Ok(Some(plan.in_file(first.stanza, first.span)))
}

/// The edits that give the thing at this byte the name `new`, in the order of the files; blanks give way so that
/// columns stay. `Err` says why it cannot have that name.
pub fn rename(
    a: &Analysis,
    file: FileId,
    offset: usize,
    new: &str,
) -> Result<Vec<(FileId, Span, String)>, String> {
    let plan = &a.plan;
    let mentions = Mentions::new(plan);
    let here = mentions.at(file, offset);
    let thing = thing(&here)?;
    let new = new_name(new)?;
    let old = mentions.word(thing);
    if old.as_ref() != Some(&new) {
        is_free(&mentions, thing, &new)?;
    }
    let all = mentions.of(thing, None);
    for mention in all.iter().filter(|m| matches!(m.thing, Thing::Output(..))) {
        let start = plan.in_file(mention.stanza, mention.span).start as usize;
        let meant = mentions.at(mention.stanza.file, start);
        self::thing(&meant)?;
    }
    let mut by_stanza: BTreeMap<StanzaId, Vec<Edit>> = BTreeMap::new();
    for mention in all {
        let edit = Edit {
            stanza: mention.stanza,
            span: mention.span,
            text: new.0.to_string(),
        };
        let edits = by_stanza.entry(mention.stanza).or_default();
        if plan.stanza(edit.stanza).words(edit.span) != edit.text {
            edits.push(edit);
        }
    }
    let edits = by_stanza.into_iter();
    let edits = edits.flat_map(|(stanza, edits)| hold_columns(plan, stanza, edits));
    let mut placed: Vec<_> = edits
        .map(|e| (e.stanza.file, plan.in_file(e.stanza, e.span), e.text))
        .collect();
    placed.sort();
    Ok(placed)
}

/// The one thing that a word stands for.
fn thing(here: &[Mention]) -> Result<&Thing, String> {
    match here {
        [] => Err("There is no name here.".to_owned()),
        [
            Mention {
                thing: Thing::Check(name),
                ..
            },
            ..,
        ] => Err(format!(
            "`{}` is a check of the program: its name is fixed.",
            name.0
        )),
        [one] => Ok(&one.thing),
        [one, ..] => Err(match &one.thing {
            Thing::Output(_, name) => format!(
                "`{}` is an output of another module in each copy: one name for them all is not to be had. Rename the output in each module by hand.",
                name.0
            ),
            _ => "This word stands for several things: rename each by hand.".to_owned(),
        }),
    }
}

/// Whether the words are spelt like a name.
fn is_name(plan: &Plan, stanza: StanzaId, span: Span) -> bool {
    read_name(plan.stanza(stanza).words(span)).is_ok()
}

fn new_name(new: &str) -> Result<Name, String> {
    let name = read_name(new.trim())?;
    if name.0.contains('.') {
        return Err(format!(
            "`{}` has a dot: write one word. What stands ahead of the dot has a name of its own.",
            name.0
        ));
    }
    Ok(name)
}

/// Says what has the name already, or one that differs by case alone.
fn is_free(mentions: &Mentions, thing: &Thing, new: &Name) -> Result<(), String> {
    let folded = new.0.to_lowercase();
    let mut alike = others(mentions, thing);
    alike.retain(|(name, _)| name.0.to_lowercase() == folded);
    if let Some((_, what)) = alike.iter().find(|(name, _)| name == new) {
        return Err(format!(
            "`{}` is taken: it is {what} already. Choose another name.",
            new.0
        ));
    }
    match alike.first() {
        None => Ok(()),
        Some((name, what)) => Err(format!(
            "`{}` differs from `{}`, {what}, by case alone: they are easily mixed up. Choose another name.",
            new.0, name.0
        )),
    }
}

/// The other names that a thing must not have, and what each is; sorted.
fn others(mentions: &Mentions, thing: &Thing) -> Vec<(Name, String)> {
    let plan = mentions.plan();
    let mut others: Vec<(Name, String)> = match thing {
        Thing::Check(_) => Vec::new(),
        Thing::Output(module, _) => {
            let stanza = plan.stanza(*module);
            let outputs = stanza.clauses.iter().filter(|c| c.word == "output");
            let names = outputs.filter_map(|c| c.names().next());
            names
                .map(|(name, _)| (name.clone(), "an output of this module".to_owned()))
                .collect()
        }
        Thing::Need(pattern, _) => inside_pattern(plan, *pattern),
        Thing::Stanza(id) => {
            let pattern = plan.stanza(*id).name().and_then(|(name, _)| {
                let (pattern, _) = name.0.split_once('.')?;
                plan.names.get(&Name(pattern.into()))
            });
            match (pattern, plan.stanza(*id).word) {
                (Some(pattern), _) => inside_pattern(plan, pattern.stanza),
                (None, Some(word @ (StanzaWord::Scene | StanzaWord::Stage))) => states(plan, word),
                _ => of_the_plan(plan, *id),
            }
        }
    };
    // Its own name, in whatever case, is no hindrance.
    let own = mentions.word(thing);
    let mut is_own = false;
    others.retain(|(name, _)| {
        let first = !is_own && Some(name) == own.as_ref();
        is_own |= first;
        !first
    });
    others.sort();
    others
}

/// Stock, items, places and patterns have their names in common.
fn of_the_plan(plan: &Plan, id: StanzaId) -> Vec<(Name, String)> {
    let names = plan.names.iter().filter(|(name, _)| !name.0.contains('.'));
    names
        .map(|(name, definition)| {
            let mut what = format!("a {}", definition.word.word());
            let file = definition.stanza.file;
            if file != id.file {
                let key = &plan.files[file.0].key.0;
                what += &format!(" of {}", key.rsplit(['/', '\\']).next().unwrap_or(key));
            }
            (name.clone(), what)
        })
        .collect()
}

/// Scenes have names of their own, and stages too.
fn states(plan: &Plan, word: StanzaWord) -> Vec<(Name, String)> {
    let stanzas = plan.order.iter().map(|id| plan.stanza(*id));
    let names = stanzas
        .filter(|stanza| stanza.word == Some(word))
        .filter_map(|stanza| stanza.name());
    let mut states: Vec<_> = names
        .map(|(name, _)| (name.clone(), format!("a {}", word.word())))
        .collect();
    if word == StanzaWord::Scene {
        let always = Name("all-on".into());
        states.push((always, "the scene that is always there".to_owned()));
    }
    states
}

/// The names within a pattern: its pieces and the words that it needs.
fn inside_pattern(plan: &Plan, pattern: StanzaId) -> Vec<(Name, String)> {
    let stanza = plan.stanza(pattern);
    let needs = stanza.clause("needs").into_iter().flat_map(|c| c.names());
    let mut inside: Vec<_> = needs
        .map(|(need, _)| (need.clone(), "a word that the pattern needs".to_owned()))
        .collect();
    if let Some((name, _)) = stanza.name() {
        let ahead = format!("{}.", name.0);
        let pieces = plan.names.keys();
        let pieces = pieces.filter_map(|n| n.0.strip_prefix(ahead.as_str()));
        inside.extend(pieces.map(|p| (Name(p.into()), "a piece of the pattern".to_owned())));
    }
    inside
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::editor::definition::definition;
    use crate::plan::FileKey;

    const STOCK: &str = "\
led pearl
  drops 3.0 V at 20 mA
led ruby
  drops 2.0 V at 20 mA
module flasher
  draws 3 mA
  output a 60 mA flash 1 Hz
  output b 60 mA
  turns a, b
";
    const PLAN: &str = "\
use \"stock.harness\"
wire hook
  gauge 24 AWG
  insulation pvc
zone deck
zone hold as bright as deck
passage stair between deck and hold bore 4 mm
supply cell 12 V 1 A
fuse F1 250 mA        from cell
joint keel            from F1    over 300 mm of hook in deck
board blink of flasher from keel
lamp mast  of pearl   resistor 560 ohm   from blink.a  over 90 mm of hook
lamp stern of pearl   resistor 560 ohm   from keel     over 90 mm of hook via stair in hold
link ring between stern and keel over 50 mm of hook via stair
pattern wing needs lens, spot
lamp wing.tip of wing.lens resistor 560 ohm from wing in wing.spot
copy port of wing from keel where lens ruby, spot deck
  but tip resistor 680 ohm
scene dusk off port.tip, blink.b
scene late only mast
stage hull fits keel, port.tip seals deck
tried stern 16 mA at 12 V
";

    fn files() -> BTreeMap<String, Arc<str>> {
        [("stock.harness".into(), STOCK.into())].into()
    }

    fn analysed(text: &str) -> Analysis {
        Analysis::of(FileKey::new("plan"), text.into(), &files(), &|| false)
    }

    fn at(text: &str, words: &str) -> usize {
        text.find(words).unwrap_or_else(|| panic!("no {words}"))
    }

    /// The files after the edits.
    fn changed(a: &Analysis, edits: &[(FileId, Span, String)]) -> Vec<String> {
        let mut texts: Vec<String> = a.plan.files.iter().map(|f| f.text.to_string()).collect();
        for (file, span, text) in edits.iter().rev() {
            texts[file.0].replace_range(span.range(), text);
        }
        texts
    }

    /// What the checks find, each by its check and its place.
    fn found(a: &Analysis) -> Vec<(&'static str, StanzaId)> {
        a.findings.iter().map(|f| (f.check, f.stanza)).collect()
    }

    #[test]
    fn whatever_is_renamed_the_plan_stays_the_same() {
        let a = analysed(PLAN);
        assert!(a.plan.problems.is_empty(), "{:?}", a.plan.problems);
        let mentions = Mentions::new(&a.plan);
        let mut renamed = std::collections::HashSet::new();
        for id in a.plan.order.clone() {
            for mention in mentions.in_stanza(id) {
                let start = a.plan.in_file(id, mention.span).start as usize;
                let edits = rename(&a, id.file, start, "an-other-name").unwrap();
                renamed.insert(mention.thing);
                let texts = changed(&a, &edits);
                let mut files = files();
                files.insert("stock.harness".into(), texts[1].as_str().into());
                let plan = FileKey::new("plan");
                let after = Analysis::of(plan, texts[0].as_str().into(), &files, &|| false);
                assert!(after.plan.problems.is_empty(), "{}", texts[0]);
                assert_eq!(found(&a), found(&after), "{}", texts[0]);
                assert_eq!(a.plan.references.len(), after.plan.references.len());
                let amps = |a: &Analysis| format!("{:?}", a.solution.scenes[0].outcome);
                assert_eq!(amps(&a), amps(&after), "{}", texts[0]);
            }
        }
        assert_eq!(renamed.len(), 24, "{renamed:?}");
    }

    #[test]
    fn it_reaches_into_used_files_and_from_them() {
        let a = analysed(PLAN);
        let here = rename(&a, FileId(0), at(PLAN, "pearl"), "milk").unwrap();
        let there = rename(&a, FileId(1), at(STOCK, "pearl"), "milk").unwrap();
        assert_eq!(here, there);
        let texts = changed(&a, &here);
        assert_eq!(texts[1], STOCK.replace("pearl", "milk"));
        // The columns stay where they are.
        assert!(
            texts[0].contains("lamp mast  of milk    resistor 560 ohm   from blink.a  over"),
            "{}",
            texts[0]
        );
    }

    #[test]
    fn pieces_and_outputs_by_their_own_word() {
        let a = analysed(PLAN);
        for words in ["tip of", "tip resistor 680", "tip, blink", "tip seals"] {
            let edits = rename(&a, FileId(0), at(PLAN, words), "end").unwrap();
            assert_eq!(
                changed(&a, &edits)[0],
                PLAN.replace("tip", "end"),
                "{words}"
            );
        }
        let edits = rename(&a, FileId(0), at(PLAN, "b\nscene late"), "steady").unwrap();
        let texts = changed(&a, &edits);
        assert_eq!(texts[0], PLAN.replace("blink.b", "blink.steady"));
        let stock = STOCK
            .replace("output b", "output steady")
            .replace("a, b", "a, steady");
        assert_eq!(texts[1], stock);
    }

    #[test]
    fn what_is_refused() {
        let a = analysed(PLAN);
        let refused =
            |words: &str, new: &str| rename(&a, FileId(0), at(PLAN, words), new).unwrap_err();
        assert_eq!(
            refused("keel", "mast"),
            "`mast` is taken: it is a lamp already. Choose another name."
        );
        assert_eq!(
            refused("keel", "ruby"),
            "`ruby` is taken: it is a led of stock.harness already. Choose another name."
        );
        assert_eq!(
            refused("keel", "Mast"),
            "`Mast` differs from `mast`, a lamp, by case alone: they are easily mixed up. Choose another name."
        );
        assert_eq!(
            refused("keel", "from"),
            "`from` is a word of the language and cannot be a name."
        );
        assert_eq!(
            refused("keel", "2nd"),
            "`2nd` cannot be a name: a name is a letter, then letters, digits, - or _."
        );
        assert_eq!(
            refused("tip of", "wing.end"),
            "`wing.end` has a dot: write one word. What stands ahead of the dot has a name of its own."
        );
        for (words, new, what) in [
            ("tip of", "lens", "a word that the pattern needs"),
            ("lens, spot", "tip", "a piece of the pattern"),
            ("dusk", "late", "a scene"),
            ("dusk", "all-on", "the scene that is always there"),
            ("b\nscene late", "a", "an output of this module"),
        ] {
            let message = refused(words, new);
            assert!(message.contains(what), "{message}");
        }
        // A scene may be called like an item, and a name may change its case.
        for (words, new) in [
            ("dusk", "mast"),
            ("hull", "dusk"),
            ("keel", "Keel"),
            ("keel", " keel "),
        ] {
            assert!(rename(&a, FileId(0), at(PLAN, words), new).is_ok(), "{new}");
        }
        let same = rename(&a, FileId(0), at(PLAN, "keel"), "keel");
        assert_eq!(same, Ok(Vec::new()));
    }

    #[test]
    fn one_word_for_outputs_of_two_modules_is_refused() {
        let text = "module one draws 1 mA output a 9 mA\nmodule two draws 1 mA output a 9 mA\nsupply s 12 V\n\
            board x of one from s\nboard y of two from s\npattern p needs b\nload p.l draws 1 mA from p.b.a\n\
            copy c of p from s where b x\ncopy d of p from s where b y\n";
        let a = analysed(text);
        for words in ["a 9 mA", "a\ncopy c"] {
            let message = rename(&a, FileId(0), at(text, words), "z").unwrap_err();
            assert!(message.contains("another module in each copy"), "{message}");
        }
    }

    #[test]
    fn where_there_is_something_to_rename() {
        let text = "zone deck accept zone-dark because \"x\"\nlamp m of nothing from deck.a\n";
        let a = analysed(text);
        let prepared = |words: &str| prepare(&a, FileId(0), at(text, words));
        let deck = Span::new(5, 9);
        assert_eq!(prepared("deck"), Ok(Some(deck)));
        assert_eq!(definition(&a, FileId(0), 5), [(FileId(0), deck)]);
        assert_eq!(prepared("zone"), Ok(None));
        assert_eq!(prepared("\"x"), Ok(None));
        assert!(
            prepared("zone-dark")
                .unwrap_err()
                .contains("its name is fixed")
        );
        assert!(
            prepared("nothing")
                .unwrap_err()
                .contains("No stanza defines")
        );
    }

    #[test]
    fn a_name_that_is_there_twice_is_put_right_by_renaming_the_second() {
        let text = "zone a\nzone a\nzone b as bright as a\n";
        let a = analysed(text);
        let edits = rename(&a, FileId(0), 12, "c").unwrap();
        assert_eq!(
            changed(&a, &edits)[0],
            "zone a\nzone c\nzone b as bright as a\n"
        );
    }
}
