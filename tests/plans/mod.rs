//! Whole plans: good ones stay silent, and the classic mistakes are found where they stand.

mod layout;

use std::path::Path;
use std::sync::Arc;

use glimloom::checks::Analysis;
use glimloom::plan::Severity;
use glimloom::server::files::{Disk, PlanFiles, read_named};

use crate::tidy::{files, root};

/// A plan of the disk, with the files that it uses.
pub fn analysis(path: &Path) -> Analysis {
    let (key, text): (_, Arc<str>) =
        read_named(path).unwrap_or_else(|e| panic!("{}: {e:?}", path.display()));
    let disk = Disk::default();
    let none = |_: &_| None;
    let sources = PlanFiles::new(&key, &[], &disk, &none);
    Analysis::of(key.clone(), text, &sources, &|| false)
}

/// Each finding as `severity check item: message`.
fn findings(analysis: &Analysis) -> Vec<String> {
    let line = |f: &glimloom::checks::Finding| {
        let item = f.item.as_ref().map_or("-", |name| &*name.0);
        format!("{:?} {} {item}: {}", f.severity, f.check, f.message)
    };
    analysis.findings.iter().map(line).collect()
}

#[test]
fn good_plans_stay_silent() {
    let plans: Vec<_> = files("tests/plans/good", &[".harness"])
        .into_iter()
        .chain(files("docs/examples", &[".harness"]))
        .filter(|p| !p.ends_with("mistakes.harness"))
        .collect();
    assert!(plans.len() >= 18, "only {} plans found", plans.len());
    for path in plans {
        let analysis = analysis(&path);
        assert_eq!(findings(&analysis), [""; 0], "{}", path.display());
    }
}

#[test]
fn the_large_example_is_large() {
    let analysis = analysis(&root().join("docs/examples/lock-harbour.harness"));
    let stanzas = analysis
        .plan
        .order
        .iter()
        .filter(|id| analysis.plan.stanza(**id).word.is_some())
        .count();
    assert!(stanzas >= 150, "{stanzas} stanzas");
    assert_eq!(analysis.plan.files.len(), 2);
}

#[test]
fn the_four_classic_mistakes_are_found_where_they_stand() {
    let analysis = analysis(&root().join("docs/examples/mistakes.harness"));
    let mut found: Vec<(&str, &str)> = analysis
        .findings
        .iter()
        .filter(|f| f.severity >= Severity::Warning)
        .map(|f| (f.check, f.item.as_ref().map_or("-", |name| &*name.0)))
        .collect();
    found.sort_unstable();
    assert_eq!(
        found,
        [
            ("cut-inside-group", "baker"),
            ("feed-unfused", "gutter"),
            ("single-path", "baker"),
            ("supply-over-budget", "adapter"),
        ]
    );
}

#[test]
fn each_classic_mistake_can_be_mended() {
    let analysis = analysis(&root().join("docs/examples/mistakes.harness"));
    for (index, finding) in analysis.findings.iter().enumerate() {
        let mends = analysis.mends(index);
        assert!(
            !mends.is_empty(),
            "no mend for {}: {}",
            finding.check,
            finding.message
        );
        for mend in &mends {
            let changed = analysis.with_edits(&mend.edits);
            let still = changed
                .findings
                .iter()
                .any(|f| f.check == finding.check && f.item == finding.item);
            assert!(!still, "{} does not mend {}", mend.title, finding.check);
        }
    }
}

/// The comment that says what a planted plan is to give: severity, check, and item (`-` without one).
const EXPECT: &str = "# expect: ";

#[test]
fn planted_mistakes_are_found_and_nothing_else() {
    let plans = files("tests/plans/planted", &[".harness"]);
    assert!(plans.len() >= 40, "only {} plans found", plans.len());
    for path in plans {
        let text = std::fs::read_to_string(&path).unwrap();
        let mut expected: Vec<String> = text
            .lines()
            .filter_map(|line| line.strip_prefix(EXPECT).map(str::to_owned))
            .collect();
        let mut found: Vec<String> = analysis(&path)
            .findings
            .iter()
            .map(|f| {
                let item = f.item.as_ref().map_or("-", |name| &*name.0);
                format!("{:?} {} {item}", f.severity, f.check)
            })
            .map(|line| line[..1].to_lowercase() + &line[1..])
            .collect();
        expected.sort();
        found.sort();
        assert_eq!(found, expected, "{}", path.display());
    }
}

/// The second worked example of `docs/physics.md`: the figures of its table.
#[test]
fn the_worked_example_is_what_the_solver_gives() {
    let page = std::fs::read_to_string(root().join("docs/physics.md")).unwrap();
    let example = page
        .split("```harness\n")
        .filter_map(|rest| rest.split_once("```").map(|(plan, _)| plan))
        .find(|plan| plan.contains("strip lounge"))
        .expect("the example stands in the page");
    let analysis = Analysis::of(
        glimloom::plan::FileKey::new("example"),
        example.into(),
        &glimloom::plan::Alone,
        &|| false,
    );
    let all_on = analysis
        .solution
        .scenes
        .last()
        .unwrap()
        .outcome
        .as_ref()
        .unwrap();
    let figure = |name: &str| &all_on.items[analysis.plan.item(name).unwrap().0];
    let near = |got: f64, printed: f64, last: f64| {
        assert!(
            (got - printed).abs() <= last / 2.0 + 1e-9,
            "{got}, printed {printed}"
        )
    };
    let passes = figure("adapter").passes;
    near(passes.typical.value, 0.2820, 1e-4);
    near(figure("saloon").volts.typical.value, 11.924, 1e-3);
    near(figure("saloon").volts.low.value, 11.344, 1e-3);
    near(figure("saloon").volts.high.value, 12.502, 1e-3);
    near(figure("saloon").amps.typical.value, 0.0705, 1e-4);
    near(figure("lounge").amps.typical.value, 0.2114, 1e-4);
    near(figure("lounge").amps.low.value, 0.1551, 1e-4);
    near(figure("lounge").amps.high.value, 0.2731, 1e-4);
}
