//! The pages of the checks are what the code says, and their plans do what they say: each plan with
//! marks gives exactly the marked findings, each without none.
//!
//! A mark is a comment line under the words at fault: `#    ^^^^^ check-name`. The carets stand under
//! the words; where words stand at the margin, the `#` right before the carets counts as one.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;

use glimloom::checks::{Analysis, CHECKS, Check, index};
use glimloom::plan::FileKey;

/// With this in the environment, the pages on disk are written anew instead of compared.
const WRITE: &str = "GLIMLOOM_WRITE";

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("docs/checks")
}

#[test]
fn the_pages_on_disk_are_those_of_the_code() {
    let pages = CHECKS
        .iter()
        .map(|c| (format!("{}.md", c.name), c.page.to_owned()));
    let all: Vec<(String, String)> = pages.chain([("README.md".to_owned(), index())]).collect();
    if std::env::var_os(WRITE).is_some() {
        for (name, text) in &all {
            std::fs::write(folder().join(name), text).unwrap();
        }
    }
    let mut stale = Vec::new();
    for (name, text) in &all {
        let on_disk = std::fs::read_to_string(folder().join(name)).unwrap_or_default();
        if on_disk.replace("\r\n", "\n") != *text {
            stale.push(name.clone());
        }
    }
    for entry in std::fs::read_dir(folder()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        if !all.iter().any(|(known, _)| *known == name) {
            stale.push(name);
        }
    }
    assert!(
        stale.is_empty(),
        "stale: {stale:?}; run this test with {WRITE}=1"
    );
}

/// A finding as a page marks it: the line, the columns (in characters) from and to, the check.
type Mark = (usize, usize, usize, String);

/// The plans of a page.
pub fn plans(page: &str) -> Vec<String> {
    let mut plans = Vec::new();
    let mut open: Option<String> = None;
    for line in page.lines() {
        match &mut open {
            None if line == "```harness" => open = Some(String::new()),
            None => {}
            Some(_) if line == "```" => plans.extend(open.take()),
            Some(plan) => {
                plan.push_str(line);
                plan.push('\n');
            }
        }
    }
    assert_eq!(open, None, "a fence is not closed");
    plans
}

/// What a comment line marks: the columns and the check.
fn mark(line: &str) -> Option<(usize, usize, String)> {
    let inner = line.strip_prefix('#')?;
    let carets = inner.trim_start();
    let check = carets.trim_start_matches('^');
    let count = carets.len() - check.len();
    if count == 0 {
        return None;
    }
    let start = line.len() - carets.len();
    // `#^^^`: the sign itself stands under the first letter.
    let start = if start == 1 { 0 } else { start };
    Some((start, line.len() - check.len(), check.trim().to_owned()))
}

fn marks(plan: &str) -> Vec<Mark> {
    let mut marks = Vec::new();
    let mut marked_line = 0;
    for (number, line) in plan.lines().enumerate() {
        match mark(line) {
            Some((from, to, check)) => marks.push((marked_line, from, to, check)),
            None => marked_line = number,
        }
    }
    marks.sort();
    marks
}

/// A plan of a page, beside which a file of stock lies.
pub fn analyse(plan: &str) -> Analysis {
    let stock = "led ruby\n  drops 2.0 V at 20 mA\n  colour red\n";
    let beside = BTreeMap::from([("stock.harness".to_owned(), Arc::from(stock))]);
    Analysis::of(
        FileKey::new("page.harness"),
        Arc::from(plan),
        &beside,
        &|| false,
    )
}

fn found(analysis: &Analysis) -> Vec<Mark> {
    let text = &analysis.plan.files[0].text;
    let mut found: Vec<Mark> = analysis
        .findings
        .iter()
        .map(|f| {
            let span = analysis.plan.in_file(f.stanza, f.span).range();
            let line_start = text[..span.start].rfind('\n').map_or(0, |at| at + 1);
            let line = text[..span.start].matches('\n').count();
            let from = text[line_start..span.start].chars().count();
            let to = from + text[span].chars().count();
            (line, from, to, f.check.to_owned())
        })
        .collect();
    found.sort();
    found
}

fn listed(analysis: &Analysis) -> String {
    let mut text = String::new();
    for (finding, (line, from, to, _)) in analysis.findings.iter().zip(found(analysis)) {
        let _ = writeln!(
            text,
            "  {}: {line}:{from}-{to} {}",
            finding.check, finding.message
        );
    }
    text
}

/// What is wrong with the plans of a check's page.
fn faults(check: &Check) -> Vec<String> {
    let mut faults = Vec::new();
    let (bad, good): (Vec<String>, Vec<String>) = plans(check.page)
        .into_iter()
        .partition(|plan| !marks(plan).is_empty());
    if bad.is_empty() || good.is_empty() {
        faults.push("a page shows a plan that is wrong and one that is right".to_owned());
    }
    for plan in &good {
        let analysis = analyse(plan);
        if !analysis.findings.is_empty() {
            faults.push(format!("the right plan has\n{}{plan}", listed(&analysis)));
        }
    }
    for plan in &bad {
        let analysis = analyse(plan);
        if !marks(plan).iter().any(|(.., marked)| marked == check.name) {
            faults.push(format!("no mark of the page's own check\n{plan}"));
        }
        if found(&analysis) != marks(plan) {
            faults.push(format!(
                "marked {:?}, but found\n{}{plan}",
                marks(plan),
                listed(&analysis)
            ));
            continue;
        }
        if check.mends.is_some() {
            faults.extend(mend_faults(check, &analysis));
        }
    }
    faults
}

/// Each finding of the page's own check has a mend, and the preferred one takes it away.
fn mend_faults(check: &Check, analysis: &Analysis) -> Vec<String> {
    let mut faults = Vec::new();
    let count = |analysis: &Analysis| {
        analysis
            .findings
            .iter()
            .filter(|f| f.check == check.name)
            .count()
    };
    for (i, finding) in analysis
        .findings
        .iter()
        .enumerate()
        .filter(|(_, f)| f.check == check.name)
    {
        let Some(mend) = analysis.mends(i).into_iter().next() else {
            faults.push(format!("no mend for: {}", finding.message));
            continue;
        };
        let after = analysis.with_edits(&mend.edits);
        if count(&after) >= count(analysis) {
            faults.push(format!("'{}' leaves\n{}", mend.title, listed(&after)));
        }
    }
    faults
}

#[test]
fn the_plans_of_the_pages_do_what_they_say() {
    let mut report = String::new();
    for check in CHECKS {
        for fault in faults(check) {
            let _ = writeln!(report, "{}: {fault}", check.name);
        }
    }
    assert!(report.is_empty(), "\n{report}");
}

#[test]
fn each_finding_has_a_severity_that_its_check_may_have() {
    for check in CHECKS {
        for plan in plans(check.page) {
            for finding in analyse(&plan).findings {
                let of = CHECKS.iter().find(|c| c.name == finding.check).unwrap();
                assert!(of.severities.contains(&finding.severity), "{finding:?}");
                assert!(finding.message.len() < 240, "too long: {}", finding.message);
            }
        }
    }
}

#[test]
fn a_mark_stands_under_the_words() {
    assert_eq!(mark("#    ^^^ syntax"), Some((5, 8, "syntax".to_owned())));
    assert_eq!(mark("#^^^^ syntax"), Some((0, 5, "syntax".to_owned())));
    assert_eq!(mark("# plain"), None);
    assert_eq!(mark("fuse F1"), None);
}
