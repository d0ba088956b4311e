//! Laying out a plan changes no figure and no finding, and done twice it is done.
#![allow(clippy::unwrap_used)] // In helpers of tests too, a failure is to stop the test.

use std::path::Path;

use glimloom::checks::Analysis;
use glimloom::format;
use glimloom::papers::json;
use glimloom::server::files::{Disk, PlanFiles, read_named};
use glimloom::syntax::{read_file, tokens, tree::TokenKind};
use glimloom::text::apply;
use proptest::prelude::*;

use crate::tidy::{files, root};

fn laid_out(text: &str) -> String {
    apply(text, &format::document(&read_file(text))).unwrap()
}

/// A plan, were this its text.
fn analysis_of(path: &Path, text: &str) -> Analysis {
    let (key, _) = read_named(path).unwrap();
    let disk = Disk::default();
    let none = |_: &_| None;
    let sources = PlanFiles::new(&key, &[], &disk, &none);
    Analysis::of(key.clone(), text.into(), &sources, &|| false)
}

/// All that is said of a plan, were this its text: the figures, and each finding with the words that it stands on.
fn said(path: &Path, text: &str) -> (String, Vec<String>) {
    let a = analysis_of(path, text);
    let finding = |f: &glimloom::checks::Finding| {
        let words = a.plan.stanza(f.stanza).words(f.span);
        let words = words.split_whitespace().collect::<String>();
        format!("{:?} {} {words:?} {}", f.severity, f.check, f.message)
    };
    let findings = a.findings.iter().map(finding).collect();
    (json::figures(&a.plan, &a.solution, "plan"), findings)
}

#[test]
fn figures_and_findings_stay_and_a_second_time_changes_nothing() {
    let plans = files("tests", &[".harness"])
        .into_iter()
        .chain(files("docs", &[".harness"]));
    let mut count = 0;
    for path in plans {
        let text = std::fs::read_to_string(&path).unwrap();
        let once = laid_out(&text);
        assert_eq!(laid_out(&once), once, "{}", path.display());
        assert_eq!(said(&path, &once), said(&path, &text), "{}", path.display());
        count += 1;
    }
    assert!(count >= 100, "only {count} plans found");
}

#[test]
fn the_examples_are_laid_out() {
    for path in files("docs/examples", &[".harness"]) {
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(laid_out(&text) == text, "{}", path.display());
    }
}

#[test]
fn the_page_shows_what_is_done() {
    let page = std::fs::read_to_string(root().join("docs/editors.md")).unwrap();
    let (_, section) = page.split_once("## Layout\n").unwrap();
    let fences = section.split("```harness\n").skip(1);
    let plans: Vec<&str> = fences
        .filter_map(|rest| Some(rest.split_once("```")?.0))
        .collect();
    assert_eq!(laid_out(plans[0]), plans[1]);
    assert_ne!(plans[0], plans[1]);
}

/// A plan with other blanks: `choices` says how many, tabs among them.
fn scrambled(text: &str, choices: &[usize]) -> String {
    let mut choices = choices.iter().cycle();
    let mut blanks = || match choices.next().copied().unwrap_or(1) % 6 {
        0 => "\t",
        n => &"     "[..n],
    };
    let mut out = String::new();
    let mut at = 0;
    for token in tokens(text) {
        let span = token.span.range();
        let was_apart = span.start > at;
        let ends = token.kind == TokenKind::LineEnd;
        let begins_a_file = was_apart && out.is_empty();
        if begins_a_file {
            out.push_str(&text[at..span.start]);
        } else if was_apart || ends || token.kind == TokenKind::Comma {
            out.push_str(blanks());
        }
        out.push_str(&text[span.clone()]);
        at = span.end;
    }
    out
}

/// A plan with its lines broken between words, some of them behind a comment.
fn broken(text: &str, choices: &[usize]) -> String {
    let mut choices = choices.iter().cycle();
    let mut out = String::new();
    let (mut at, mut begins_a_line) = (0, true);
    for token in tokens(text) {
        let span = token.span.range();
        out.push_str(&text[at..span.start]);
        let is_word = !matches!(token.kind, TokenKind::LineEnd | TokenKind::Comment);
        if is_word && !begins_a_line && span.start > at {
            out.push_str(match choices.next().copied().unwrap_or(5) {
                0 => "\n  ",
                1 => "# put in\n  ",
                2 => " # put in\n\n    ",
                _ => "",
            });
        }
        begins_a_line = token.kind == TokenKind::LineEnd;
        out.push_str(&text[span.clone()]);
        at = span.end;
    }
    out.push_str(&text[at..]);
    out
}

/// A blank is nothing: a file of blanks is laid out to one of fewer, and nothing is said of either.
#[test]
fn of_blanks_nothing_is_said() {
    let path = &files("tests/plans/good", &[".harness"])[0];
    for text in [
        "",
        " ",
        "\t  ",
        "\n",
        " \n \r\n\t",
        "\u{feff}",
        "\u{feff} \n",
        "\r \r",
        "\u{a0}",
    ] {
        let once = laid_out(text);
        assert!(!once.contains([' ', '\t', '\u{a0}']), "{text:?}");
        let (figures, findings) = said(path, text);
        assert_eq!(findings, Vec::<String>::new(), "{text:?}");
        assert_eq!((figures, findings), said(path, &once), "{text:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// However a plan is written down, and with lines missing, it is the same plan when laid out.
    #[test]
    fn other_blanks_and_missing_lines(
        which in any::<prop::sample::Index>(),
        choices in prop::collection::vec(0usize..6, 1..40),
        gone in prop::collection::vec(any::<prop::sample::Index>(), 0..3),
    ) {
        let plans = files("tests/plans/good", &[".harness"]);
        let path = which.get(&plans);
        let text = std::fs::read_to_string(path).unwrap();
        let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
        for gone in gone {
            lines.remove(gone.index(lines.len()));
        }
        let other = scrambled(&lines.concat(), &choices);
        let once = laid_out(&other);
        prop_assert_eq!(&laid_out(&once), &once);
        prop_assert_eq!(said(path, &once), said(path, &other));
    }

    /// Wherever its lines are broken and comments put in, a plan means the same; what is said of it has nothing of the comments,
    /// and every mend keeps them.
    #[test]
    fn lines_broken_between_words(
        which in any::<prop::sample::Index>(),
        choices in prop::collection::vec(0usize..9, 1..40),
    ) {
        let plans: Vec<_> = ["tests/plans/good", "tests/plans/planted"]
            .into_iter()
            .flat_map(|folder| files(folder, &[".harness"]))
            .collect();
        let path = which.get(&plans);
        let text = std::fs::read_to_string(path).unwrap();
        let other = broken(&text, &choices);
        let of_text = |text: &str| analysis_of(path, text);
        let (before, after) = (of_text(&text), of_text(&other));
        let findings = |a: &Analysis| {
            let all = a.findings.iter();
            let mut all: Vec<_> = all.map(|f| format!("{:?} {} {}", f.severity, f.check, f.message)).collect();
            all.sort();
            all
        };
        prop_assert_eq!(findings(&after), findings(&before));
        prop_assert_eq!(
            json::figures(&after.plan, &after.solution, "plan"),
            json::figures(&before.plan, &before.solution, "plan")
        );
        let comments = |text: &str| text.matches("# put in").count();
        for (nth, finding) in after.findings.iter().enumerate().take(4) {
            for mend in after.mends(nth) {
                prop_assert!(!mend.title.contains(['\n', '#']), "{}", mend.title);
                let changed = after.with_edits(&mend.edits);
                let kept = comments(&changed.plan.files[0].text) == comments(&other);
                prop_assert!(kept || finding.check == "unused-stock", "{}", mend.title);
            }
        }
        let once = laid_out(&other);
        prop_assert_eq!(&laid_out(&once), &once);
        prop_assert_eq!(said(path, &once), said(path, &other));
    }
}
