//! `glimloom sheet`, and how papers are written to files.

use super::{CLEAN, Folder};

#[test]
fn a_sheet_is_printed_or_written() {
    let folder = Folder::new("sheet").with("a.harness", CLEAN);
    let printed = folder.call(&["sheet", "a.harness"]);
    assert_eq!((printed.status, &*printed.err), (Some(0), ""));
    assert!(
        printed
            .out
            .starts_with("<!DOCTYPE html>\n<!-- made by glimloom")
    );
    assert!(printed.out.trim_end().ends_with("</html>"));
    let done = folder.call(&["sheet", "a.harness", "-o", "a.html"]);
    assert_eq!((done.status, &*done.out), (Some(0), "a.html: written\n"));
    assert_eq!(
        std::fs::read_to_string(folder.path("a.html")).unwrap(),
        printed.out
    );
    let markdown = folder.call(&["sheet", "a.harness", "--markdown"]);
    assert!(
        markdown.out.starts_with("<!-- made by glimloom") && markdown.out.contains("\n## Solder\n")
    );
}

#[test]
fn only_what_we_made_is_written_over() {
    let folder = Folder::new("sheet-over")
        .with("a.harness", CLEAN)
        .with("mine.html", "<p>my own notes</p>")
        .with("empty.html", "");
    let call = |more: &[&str]| folder.call(&[&["sheet", "a.harness"], more].concat());
    let read = |name: &str| std::fs::read_to_string(folder.path(name)).unwrap();
    let refused = call(&["-o", "mine.html"]);
    assert_eq!(refused.status, Some(2));
    assert_eq!(
        refused.err,
        "glimloom: mine.html: stays as it is, for glimloom did not make it; `--force` writes over it\n"
    );
    assert_eq!(read("mine.html"), "<p>my own notes</p>");
    for again in [["-o", "empty.html"], ["-o", "new.html"], ["-o", "new.html"]] {
        assert_eq!(call(&again).status, Some(0));
    }
    assert_eq!(call(&["-o", "mine.html", "--force"]).status, Some(0));
    assert_eq!(read("mine.html"), read("new.html"));
    // Nothing is left beside it.
    let beside = std::fs::read_dir(&folder.0).unwrap().count();
    assert_eq!(beside, 4);
}

#[test]
fn the_plan_itself_is_never_written_over() {
    let folder = Folder::new("sheet-plan")
        .with("a.harness", format!("use \"b.harness\"\n{CLEAN}"))
        .with("b.harness", "zone hull\n");
    for name in ["a.harness", "b.harness"] {
        let before = std::fs::read_to_string(folder.path(name)).unwrap();
        let done = folder.call(&["sheet", "a.harness", "-o", name, "--force"]);
        assert_eq!(done.status, Some(2));
        assert_eq!(
            done.err,
            format!("glimloom: {name}: is the plan itself; name another file\n")
        );
        assert_eq!(std::fs::read_to_string(folder.path(name)).unwrap(), before);
    }
}

#[test]
fn a_place_that_cannot_be_written_is_named() {
    let folder = Folder::new("sheet-nowhere").with("a.harness", CLEAN);
    for (to, why) in [
        ("no/a.html", "there is no such folder"),
        (".", "it is a folder"),
    ] {
        let done = folder.call(&["sheet", "a.harness", "-o", to]);
        assert_eq!(done.status, Some(2));
        assert_eq!(
            done.err,
            format!("glimloom: {to}: cannot be written: {why}\n")
        );
    }
    assert_eq!(
        folder.call(&["sheet", "a.harness", "--force"]).status,
        Some(2)
    );
}

#[cfg(unix)]
#[test]
fn a_new_file_may_be_read_like_any_other_and_a_link_stays_one() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new("sheet-rights").with("a.harness", CLEAN);
    let plain = folder.path("plain");
    std::fs::write(&plain, "").unwrap();
    let rights = |path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(
        folder.call(&["sheet", "a.harness", "-o", "a.html"]).status,
        Some(0)
    );
    assert_eq!(rights(folder.path("a.html")), rights(plain));
    let link = folder.path("link.html");
    std::os::unix::fs::symlink("a.html", &link).unwrap();
    assert_eq!(
        folder
            .call(&["sheet", "a.harness", "-o", "link.html"])
            .status,
        Some(0)
    );
    assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
    let to_device = folder.call(&["sheet", "a.harness", "-o", "/dev/null"]);
    assert_eq!(to_device.status, Some(0));
}

/// Papers stay with the model: whose folders they were made in is nobody's business.
#[test]
fn papers_name_files_and_no_folders() {
    let plan = "use \"stock/drawer.harness\"\nlamp mast of pearl resistor 1 kohm from adapter\nlamp bow of pearl resistor 1 kohm from adapter\nlamp gone of pearl from nowhere\n";
    let stock = "led pearl drops 3.0 V at 20 mA have 1\nsupply adapter 12 V 1 A\n";
    let folder = Folder::new("sheet-private")
        .with("private/a.harness", plan)
        .with("private/stock/drawer.harness", stock);
    let named = folder.path("private/a.harness").display().to_string();
    let dark = ["--dark", "mast"];
    let papers: [&[&str]; 9] = [
        &["sheet"],
        &["sheet", "--markdown"],
        &["draw"],
        &["parts"],
        &["parts", "--csv"],
        &["parts", "--json"],
        &["suspects", "--markdown", dark[0], dark[1]],
        &["suspects", "--json", dark[0], dark[1]],
        &["figures", "--json"],
    ];
    for paper in papers {
        let done = folder.call(&[paper, &[&named]].concat());
        assert!(done.status.is_some_and(|status| status < 2), "{}", done.err);
        assert!(done.out.contains("mast"), "{paper:?}: {}", done.out);
        assert!(!done.out.contains("private"), "{paper:?}: {}", done.out);
    }
    let sheet = folder.call(&["sheet", "--markdown", &named]).out;
    for told in ["Made from a.harness.", "stock/drawer.harness, line 1"] {
        assert!(sheet.contains(told), "{told} in {sheet}");
    }
}
