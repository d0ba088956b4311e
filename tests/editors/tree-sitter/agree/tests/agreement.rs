//! The tree-sitter grammar and the program agree on what is a stanza and which of them are at fault in their form.

use agree::invented::{Chance, broken, plan};
use agree::{difference, differs_in_error, parser, shortest};
use std::path::{Path, PathBuf};
use tree_sitter::Parser;

/// How many plans are made up; each is broken some times too.
const PLANS: u64 = 1500;
const BREAKS: usize = 4;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../..")
}

fn files(folder: &Path, ending: &str, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() && !name.starts_with('.') && name != "node_modules" && name != "target" {
            files(&path, ending, found);
        } else if name.ends_with(ending) {
            found.push(path);
        }
    }
}

/// Every plan that is written anywhere in the project, with where it stands.
fn written() -> Vec<(String, String)> {
    let mut plans = Vec::new();
    let (mut harness, mut pages) = (Vec::new(), Vec::new());
    for folder in ["docs", "tests", "src", "editors"] {
        files(&root().join(folder), ".harness", &mut harness);
    }
    files(&root().join("docs"), ".md", &mut pages);
    for path in harness {
        plans.push((
            path.display().to_string(),
            std::fs::read_to_string(path).unwrap(),
        ));
    }
    for path in pages {
        let page = std::fs::read_to_string(&path).unwrap();
        for block in page.split("\n```harness\n").skip(1) {
            let plan = block.split("\n```").next().unwrap_or("");
            plans.push((path.display().to_string(), format!("{plan}\n")));
        }
    }
    plans
}

/// A good stanza between two broken ones near the beginning of a file may be taken into one error with both, in one of so many broken
/// texts at most: tree-sitter looks for the way out that skips the least.
const ONE_IN: usize = 1000;

/// Holds that both agree on whether there is an error in each of some broken texts, and on every stanza of nearly all.
fn nearly_agree(parser: &mut Parser, texts: impl Iterator<Item = (String, String)>) {
    let (mut all, mut differ) = (0, Vec::new());
    for (whose, text) in texts {
        all += 1;
        assert!(
            !differs_in_error(parser, &text),
            "{whose}: only one sees an error in\n{text:?}"
        );
        if difference(parser, &text).is_some() {
            let short = shortest(parser, &text);
            differ.push(format!(
                "{whose}: {:?} in {short:?}",
                difference(parser, &short)
            ));
        }
    }
    assert!(
        all > ONE_IN && differ.len() * ONE_IN <= all,
        "{} of {all} differ:\n{}",
        differ.len(),
        differ.join("\n")
    );
}

/// Fails with the shortest text that still differs.
fn agrees(parser: &mut Parser, whose: &str, text: &str) {
    if difference(parser, text).is_some() {
        let short = shortest(parser, text);
        let what = difference(parser, &short).unwrap_or_default();
        let tree = parser.parse(&short, None).map(|t| t.root_node().to_sexp());
        panic!(
            "{whose}: {what}\n--- the text, shortened:\n{short:?}\n{short}\n--- the tree:\n{}",
            tree.unwrap_or_default()
        );
    }
}

#[test]
fn on_every_plan_of_the_project() {
    let mut parser = parser();
    let plans = written();
    assert!(plans.len() > 200, "only {} plans were found", plans.len());
    for (whose, text) in &plans {
        agrees(&mut parser, whose, text);
        agrees(&mut parser, whose, &text.replace('\n', "\r\n"));
    }
}

#[test]
fn on_broken_plans_of_the_project() {
    let plans = written();
    let texts = plans.iter().enumerate().flat_map(|(seed, (whose, text))| {
        // The small ones and the large ones alike, a piece of each.
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let mut chance = Chance::new(seed as u64);
        let broken = (0..BREAKS).map(move |_| {
            let from = chance.below(lines.len());
            let to = (from + 25).min(lines.len());
            (
                whose.clone(),
                broken(&mut chance, &lines[from..to].concat()),
            )
        });
        broken.collect::<Vec<_>>()
    });
    nearly_agree(&mut parser(), texts);
}

#[test]
fn on_plans_made_up_by_chance() {
    let mut parser = parser();
    for seed in 0..PLANS {
        let text = plan(&mut Chance::new(seed));
        agrees(&mut parser, &format!("plan {seed}"), &text);
    }
}

#[test]
fn on_plans_made_up_and_broken_by_chance() {
    let texts = (0..PLANS).flat_map(|seed| {
        let mut chance = Chance::new(seed);
        let whole = plan(&mut chance);
        let broken =
            (0..BREAKS).map(move |_| (format!("plan {seed}"), broken(&mut chance, &whole)));
        broken.collect::<Vec<_>>()
    });
    nearly_agree(&mut parser(), texts);
}
