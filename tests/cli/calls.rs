//! Exit status, what goes where, and calls that are wrong.

use std::io::Read;
use std::process::Stdio;

use super::{CLEAN, Folder, badly_cut, program};

#[test]
fn findings_are_shown_with_their_lines() {
    let folder = Folder::new("shown")
        .with("good.harness", CLEAN)
        .with("bad.harness", badly_cut());
    let done = folder.call(&["check", "bad.harness", "good.harness"]);
    assert_eq!((done.status, &*done.err), (Some(1), ""));
    assert!(done.out.contains("bad.harness:13:"), "{}", done.out);
    assert!(
        done.out.contains("strip cabin of warm 5 lamps from keel"),
        "{}",
        done.out
    );
    assert!(done.out.contains("\n  mend: "), "{}", done.out);
    assert!(
        done.out.trim_end().ends_with("2 files: 1 error"),
        "{}",
        done.out
    );
    // Not on a terminal: no colour.
    assert!(!done.out.contains('\u{1b}'), "{}", done.out);

    let done = folder.call(&["check", "good.harness"]);
    assert_eq!(
        (done.status, &*done.out),
        (Some(0), "1 file: nothing found\n")
    );
}

#[test]
fn a_line_without_end_is_not_quoted_for_each_of_its_findings() {
    let text = |commas| format!("scene a off x{}\nzone b\n@@\n", ", ".repeat(commas));
    let folder = Folder::new("endless")
        .with("long.harness", text(900))
        .with("longer.harness", text(30_000));
    let done = folder.call(&["check", "long.harness"]);
    assert_eq!((done.status, &*done.err), (Some(1), ""));
    let unquoted = "syntax at long.harness:1:16: the line is too long to be shown";
    assert!(done.out.contains(unquoted), "{:.3000}", done.out);
    // What stands in other lines is shown with them.
    assert!(done.out.contains("3 │@@"), "{:.3000}", done.out);
    // Of more findings than anybody looks at each is said where it stands.
    let done = folder.call(&["check", "longer.harness"]);
    assert!(done.out.len() < 200_000, "{}", done.out.len());
    assert!(
        done.out.contains("syntax at longer.harness:3:1\n"),
        "{:.3000}",
        done.out
    );
}

#[test]
fn figures_are_tables() {
    let folder = Folder::new("tables").with("tern.harness", CLEAN);
    let done = folder.call(&["figures", "tern.harness"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
    assert!(done.out.starts_with("Scene moored\n"), "{}", done.out);
    assert!(done.out.contains("\nScene all-on\n"), "{}", done.out);
    let cabin = done.out.lines().find(|l| l.contains("cabin")).unwrap();
    assert!(cabin.contains("strip") && cabin.contains("mA"), "{cabin}");
    assert!(!done.out.contains('\u{1b}'));
}

#[test]
fn what_is_left_out_of_the_figures_is_said() {
    let plan = CLEAN.replace("from keel over", "from kel over");
    let folder = Folder::new("left-out").with("tern.harness", plan);
    let done = folder.call(&["figures", "tern.harness"]);
    assert_eq!(done.status, Some(0));
    assert!(
        done.err.starts_with("glimloom: left out of the figures"),
        "{}",
        done.err
    );
    assert!(done.err.contains("cabin"), "{}", done.err);
    assert!(!done.out.contains("cabin"), "{}", done.out);
}

#[test]
fn calls_that_are_wrong_get_one_line() {
    let folder = Folder::new("wrong")
        .with("latin.harness", [b'#', 0xe4, b'\n'])
        .with("folder/x", "")
        .with("good.harness", CLEAN);
    let calls: [(&[&str], &str); 10] = [
        (&["check", "none.harness"], "none.harness"),
        (&["check", "none.harness", "--json"], "none.harness"),
        (&["check", "folder"], "folder"),
        (&["check", "latin.harness"], "from byte 2 of line 1 on"),
        (&["figures", "latin.harness"], "UTF-8"),
        (&["check"], "FILE"),
        (&["check", "--jsonn", "good.harness"], "--jsonn"),
        (&["figures", "good.harness", "good.harness"], "good.harness"),
        (&["explain", "no-such-check"], "no-such-check"),
        (&["weigh"], "weigh"),
    ];
    for (call, named) in calls {
        let done = folder.call(call);
        assert_eq!((done.status, &*done.out), (Some(2), ""), "{call:?}");
        assert_eq!(done.err.lines().count(), 1, "{call:?}: {}", done.err);
        assert!(done.err.starts_with("glimloom: "), "{call:?}: {}", done.err);
        assert!(done.err.contains(named), "{call:?}: {}", done.err);
    }
}

#[test]
fn a_file_that_cannot_be_read_does_not_hide_the_others() {
    let folder = Folder::new("beside")
        .with("latin.harness", b"zone a\nzone b note \"\xe4\"\n")
        .with("good.harness", CLEAN)
        .with("bad.harness", badly_cut());
    let call = ["check", "bad.harness", "latin.harness", "good.harness"];
    let done = folder.call(&call);
    assert_eq!(done.status, Some(2));
    assert_eq!(
        done.err,
        "glimloom: latin.harness: is not UTF-8 text from byte 14 of line 2 on\n"
    );
    assert!(done.out.contains("bad.harness:13:"), "{}", done.out);
    assert!(done.out.ends_with("2 files: 1 error\n"), "{}", done.out);
    let done = folder.call(&["check", "latin.harness", "good.harness", "--json"]);
    assert_eq!(done.status, Some(2));
    let object: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(object, serde_json::json!({"findings": []}));
}

#[test]
fn help_and_pages_go_to_standard_output() {
    let folder = Folder::new("help");
    let done = folder.call(&["--help"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
    for command in ["check", "figures", "serve", "explain", "demo"] {
        assert!(done.out.contains(command), "{}", done.out);
    }
    let done = folder.call(&["--version"]);
    let version = format!("glimloom {}\n", env!("CARGO_PKG_VERSION"));
    assert_eq!((done.status, done.out), (Some(0), version));
    let done = folder.call(&["explain", "single-path"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
    assert!(done.out.contains("single-path"), "{}", done.out);
    // Nothing at all: how it is called, as an error.
    let done = folder.call(&[]);
    assert_eq!((done.status, &*done.out), (Some(2), ""));
    assert!(done.err.contains("Usage"), "{}", done.err);
}

#[test]
fn a_used_file_stays_in_the_folder() {
    let folder = Folder::new("sandbox")
        .with("ship/plan.harness", "use \"../stock.harness\"\n")
        .with("stock.harness", "zone a\n");
    // From the folder that holds both, the plan may use it; from elsewhere its own folder is the limit.
    let done = folder.call(&["check", "ship/plan.harness", "--json"]);
    assert!(!done.out.contains("use-failed"), "{}", done.out);
    let outside = Folder::new("sandbox-elsewhere");
    let plan = folder.path("ship/plan.harness");
    let done = outside.call(&["check", plan.to_str().unwrap(), "--json"]);
    assert!(done.out.contains("use-failed"), "{}", done.out);
    assert_eq!(done.status, Some(1));
}

#[test]
fn a_reader_who_leaves_ends_it_quietly() {
    // More than a pipe holds, so that the program is still writing when its reader leaves.
    let mut plan = String::from(CLEAN);
    for n in 0..3000 {
        plan.push_str(&format!("joint splice-number-{n} from keel\n"));
    }
    let folder = Folder::new("pipe").with("long.harness", plan);
    let mut child = program(&folder.0)
        .args(["figures", "long.harness", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut out = child.stdout.take().unwrap();
    let mut first = [0; 16];
    out.read_exact(&mut first).unwrap();
    drop(out);
    let end = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&end.stderr), "");
    assert_eq!(end.status.code(), Some(0));
}

#[test]
fn signs_that_steer_a_terminal_are_not_passed_on() {
    let folder = Folder::new("signs").with("p.harness", "zo\u{1b}[2Jne a\u{7}\n");
    let done = folder.call(&["check", "p.harness"]);
    assert_eq!(done.status, Some(1));
    assert!(!done.out.contains(['\u{1b}', '\u{7}']), "{:?}", done.out);
}
