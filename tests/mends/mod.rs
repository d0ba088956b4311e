//! Every mend that is offered, of every plan that the pages show and of every planted mistake, not the preferred ones
//! alone: applied, the finding is gone, and nothing became worse.

mod titles;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use glimloom::checks::{Analysis, CHECKS};
use glimloom::plan::Severity;

use crate::tidy::files;
use crate::{pages, plans};

/// Checks of the text of a stanza alone: a mended word may well uncover what its fault hid, but no stanza may read worse.
const OF_TEXT: [&str; 4] = ["syntax", "wrong-unit", "clause-missing", "clause-repeated"];

/// Checks of the reading of the whole plan: as those of the text, they hide what is behind them.
const OF_READING: [&str; 6] = [
    "unknown-name",
    "name-taken",
    "use-failed",
    "drops-impossible",
    "fed-in-a-circle",
    "not-fed",
];

/// How many findings of each check there are on what is called so, of a severity or worse.
fn tally(a: &Analysis, least: Severity) -> BTreeMap<(&'static str, String), usize> {
    let mut tally = BTreeMap::new();
    for f in a.findings.iter().filter(|f| f.severity >= least) {
        let name = f.item.as_ref().map_or(String::new(), |n| n.0.to_string());
        *tally.entry((f.check, name)).or_default() += 1;
    }
    tally
}

/// What is wrong with the mends of a plan, and how many there are.
fn faults(name: &str, before: &Analysis) -> (String, usize) {
    let (mut faults, mut tried) = (String::new(), 0);
    for (index, finding) in before.findings.iter().enumerate() {
        let mends = before.mends(index);
        for (k, mend) in mends.iter().enumerate() {
            tried += 1;
            let mut wrong = |what: String| {
                let _ = writeln!(
                    faults,
                    "{name}: {}: '{}': {what}",
                    finding.check, mend.title
                );
            };
            if mend.title.is_empty() || mend.title.contains(['`', '\n']) {
                wrong("the title".to_owned());
            }
            if mends[..k].iter().any(|other| other.edits == mend.edits) {
                wrong("offered twice".to_owned());
            }
            let after = before.with_edits(&mend.edits);
            let item = finding
                .item
                .as_ref()
                .map_or(String::new(), |n| n.0.to_string());
            let key = (finding.check, item);
            let count = |a: &Analysis| tally(a, Severity::Hint).get(&key).copied().unwrap_or(0);
            if count(&after) >= count(before) {
                wrong("the finding stays".to_owned());
            }
            let misread = |a: &Analysis| {
                let findings = a.findings.iter();
                findings.filter(|f| OF_TEXT.contains(&f.check)).count()
            };
            if misread(&after) > misread(before) {
                wrong("a stanza reads worse".to_owned());
            }
            if !OF_TEXT.contains(&finding.check) && !OF_READING.contains(&finding.check) {
                for least in [Severity::Warning, Severity::Error] {
                    let then = tally(before, least);
                    for (what, n) in tally(&after, least) {
                        if n > then.get(&what).copied().unwrap_or(0) {
                            wrong(format!("new: {what:?}"));
                        }
                    }
                }
            }
            let comments = |a: &Analysis| a.plan.files[0].text.matches('#').count();
            let unused = finding.check == "unused-stock"; // its own comments go with it
            if comments(&after) < comments(before) && !unused {
                wrong("a comment is lost".to_owned());
            }
        }
    }
    (faults, tried)
}

#[test]
fn every_mend_of_the_pages_mends_and_does_no_harm() {
    let mut tried = 0;
    let mut all = String::new();
    for check in CHECKS {
        for plan in pages::plans(check.page) {
            let (faults, count) = faults(check.name, &pages::analyse(&plan));
            all += &faults;
            tried += count;
        }
    }
    assert!(all.is_empty(), "\n{all}");
    assert!(tried >= 60, "{tried}");
}

#[test]
fn every_mend_of_a_planted_mistake_mends_and_does_no_harm() {
    let mut tried = 0;
    let mut all = String::new();
    for path in files("tests/plans/planted", &[".harness"]) {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let (faults, count) = faults(&name, &plans::analysis(&path));
        all += &faults;
        tried += count;
    }
    assert!(all.is_empty(), "\n{all}");
    assert!(tried > 60, "{tried}");
}
