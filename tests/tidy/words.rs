//! The project speaks of itself alone, and its files end as they should.

use super::{files, root};

#[test]
fn no_unfinished_work_and_no_ignored_test() {
    // Written in two parts, so that this file does not find itself.
    let banned = [
        concat!("to", "do!("),
        concat!("unim", "plemented!("),
        concat!("#[ig", "nore"),
    ];
    let mut found = Vec::new();
    for path in files("src", &[".rs"])
        .into_iter()
        .chain(files("tests", &[".rs"]))
    {
        let text = std::fs::read_to_string(&path).unwrap();
        found.extend(
            banned
                .iter()
                .filter(|b| text.contains(**b))
                .map(|b| format!("{}: {b}", path.display())),
        );
    }
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn no_machine_paths() {
    let homes = [
        concat!("/wo", "rk/"),
        concat!("/ro", "ot/"),
        concat!("/ho", "me/"),
    ];
    let mut found = Vec::new();
    for folder in ["src", "tests", "docs", "editors"] {
        for path in files(
            folder,
            &[
                ".rs", ".md", ".py", ".sh", ".lua", ".el", ".vim", ".js", ".toml", ".harness",
                ".txt",
            ],
        ) {
            let text = std::fs::read_to_string(&path).unwrap();
            found.extend(
                homes
                    .iter()
                    .filter(|h| text.contains(**h))
                    .map(|h| format!("{}: {h}", path.display())),
            );
        }
    }
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn the_top_level_is_as_agreed() {
    let agreed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "clippy.toml",
    ];
    let folders = ["src", "editors", "tests", "docs"];
    let listed = std::process::Command::new("git")
        .args(["ls-files"])
        .current_dir(root())
        .output();
    let Ok(listed) = listed else { return };
    let listed = String::from_utf8_lossy(&listed.stdout).into_owned();
    for path in listed.lines() {
        let top = path.split('/').next().unwrap_or(path);
        let fine = top.starts_with('.')
            || if top == path {
                agreed.contains(&top)
            } else {
                folders.contains(&top)
            };
        assert!(fine, "{path} has no place at the top level");
    }
}
