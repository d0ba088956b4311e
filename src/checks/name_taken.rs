//! # `name-taken`: one name for two things
//!
//! **Error** on a name that is defined a second time; **hint** where two names differ by capitals alone.
//!
//! ## Why it matters
//!
//! `from keel` must lead to one place. With two joints of that name it would be anybody's guess which of them a lamp hangs on, and a label on the
//! model that fits two wires is worse than none.
//!
//! ## The limit
//!
//! One name, one thing, among all stock, items, zones, passages and patterns of a plan, used files included. Scenes and stages have
//! names of their own.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 100 mA from F1
//! load crane draws 120 mA from F1
//! #    ^^^^^ name-taken
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 100 mA from F1
//! load crane-2 draws 120 mA from F1
//! ```
//!
//! A free name is offered for the later of the two. What is fed from it, runs in it or is made of it goes along where the first of the two
//! is of another kind and cannot be meant, and such a user is no fault of its own; where names differ by capitals alone, all users go along.

use super::page::page;
use super::{Check, Context, Finding, Mend, reading};
use crate::plan::Severity;
use crate::rewrites::rename_later;
use crate::syntax::vocabulary::StanzaWord;

/// One name for two things.
pub const CHECK: Check = Check {
    name: "name-taken",
    severities: &[Severity::Error, Severity::Hint],
    page: page!("name_taken.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}

/// Scenes, stages, outputs and needed words have mends of their own.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let tree = context.plan.stanza(finding.stanza);
    let is_name = tree.name().is_some_and(|(_, span)| span == finding.span);
    let of_plan = is_name && !matches!(tree.word, Some(StanzaWord::Scene | StanzaWord::Stage));
    match rename_later(context.plan, finding.stanza) {
        Some(mend) if of_plan => vec![mend],
        _ => reading::mends(context, finding),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::plan;
    use super::*;

    fn mended(text: &str) -> Option<(String, String)> {
        let analysis = plan(text);
        let finding = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let mend = analysis.mends(finding.unwrap()).into_iter().next()?;
        let after = analysis.with_edits(&mend.edits);
        Some((mend.title, after.plan.files[0].text.to_string()))
    }

    #[test]
    fn users_that_can_mean_no_other_go_along() {
        let text = "wire keel gauge 30 AWG\nsupply s 12 V 1 A\nfuse F 400 mA from s\njoint keel from F over 50 mm of keel\nload a draws 1 mA from keel over 40 mm of keel\nload b draws 1 mA from F return to keel\nscene dark off keel\n";
        let (title, after) = mended(text).unwrap();
        assert_eq!(
            title,
            "call this one keel-2, and where it is used: 3 places"
        );
        let expected = text
            .replace("joint keel", "joint keel-2")
            .replace("from keel", "from keel-2")
            .replace("to keel", "to keel-2")
            .replace("off keel", "off keel-2");
        assert_eq!(after, expected);
    }

    #[test]
    fn users_that_the_later_one_would_fit_say_nothing() {
        let text = "wire keel gauge 30 AWG\nsupply s 12 V 1 A\nfuse F 400 mA from s\njoint keel from F\nload a draws 1 mA from keel over 40 mm of keel\nzone z\nload b draws 1 mA from z\nscene dark off keel\n";
        let said: Vec<_> = (plan(text).findings.iter())
            .map(|f| {
                (
                    f.check,
                    plan(text).plan.stanza(f.stanza).words(f.span).to_owned(),
                )
            })
            .collect();
        let of = |check: &'static str, words: &str| (check, words.to_owned());
        assert_eq!(said, [of("name-taken", "keel"), of("unknown-name", "z")]);
    }

    #[test]
    fn users_that_could_mean_either_stay() {
        let text = "supply s 12 V 1 A\nload crane draws 1 mA from s\nload crane draws 2 mA from s\nscene dark off crane\n";
        let (title, after) = mended(text).unwrap();
        assert_eq!(title, "call this one crane-2");
        assert_eq!(after, text.replace("crane draws 2", "crane-2 draws 2"));
    }

    #[test]
    fn a_name_alike_but_for_capitals_takes_all_its_users_along() {
        let text = "led p drops 3 V at 20 mA\nsupply s 12 V 1 A\njoint keel from s\nload l draws 1 mA from keel\npattern w\nlamp w.a of p resistor 680 ohm from w\ncopy Keel of w from s\nload m draws 1 mA from Keel.a\nload n draws 1 mA from Keel\nscene dark off Keel.a\n";
        let (title, after) = mended(text).unwrap();
        assert_eq!(
            title,
            "call this one Keel-2, and where it is used: 3 places"
        );
        assert_eq!(after, text.replace("Keel", "Keel-2"));
    }

    #[test]
    fn scenes_outputs_and_needed_words() {
        let scenes =
            "supply s 12 V 1 A\nload l draws 1 mA from s\nscene a\nscene a off l\nscene a-2\n";
        assert_eq!(
            mended(scenes).unwrap().1,
            scenes.replace("scene a off", "scene a-3 off")
        );
        let outputs = "module m works 7 V to 13 V draws 1 mA\n  output a 10 mA\n  output a 20 mA\n";
        assert_eq!(
            mended(outputs).unwrap().1,
            outputs.replace("a 20 mA", "a-2 20 mA")
        );
        let needs = "pattern p needs lens, bay, lens\n";
        assert_eq!(mended(needs).unwrap().1, "pattern p needs lens, bay\n");
    }
}
