//! What the program says of itself to shells and to readers of manuals.

use super::Folder;

const COMMANDS: [&str; 9] = [
    "check",
    "draw",
    "figures",
    "format",
    "serve",
    "explain",
    "demo",
    "completions",
    "man",
];

#[test]
fn completions_know_every_command() {
    let folder = Folder::new("completions");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let done = folder.call(&["completions", shell]);
        assert_eq!((done.status, &*done.err), (Some(0), ""), "{shell}");
        for word in COMMANDS.iter().chain(&["sarif", "watch"]) {
            assert!(done.out.contains(word), "{shell} lacks {word}");
        }
    }
    let done = folder.call(&["completions", "abacus"]);
    assert_eq!((done.status, &*done.out), (Some(2), ""));
    assert!(done.err.contains("bash"), "{}", done.err);
}

/// A page of `man` begins with its title (`.TH`) and has sections (`.SH`): man(7), common practice.
#[test]
fn manual_pages_of_the_program_and_its_commands() {
    let folder = Folder::new("man");
    let page = folder.call(&["man"]);
    assert_eq!((page.status, &*page.err), (Some(0), ""));
    assert!(
        page.out.contains(".TH glimloom 1") && page.out.contains(".SH NAME"),
        "{}",
        page.out
    );
    for command in COMMANDS {
        assert!(page.out.contains(command), "{command}");
        let own = folder.call(&["man", command]);
        assert_eq!(own.status, Some(0), "{command}");
        assert!(
            own.out.contains(&format!(".TH glimloom-{command} 1")),
            "{}",
            own.out
        );
        assert!(own.out.contains("\n.SH \"EXIT STATUS\"\n.TP\n0\n"));
    }
    // Arguments stand as in the help.
    for (command, file) in [("check", "<FILE>..."), ("figures", "<FILE>")] {
        let own = folder.call(&["man", command]).out;
        let synopsis = own.lines().find(|l| l.starts_with("\\fBglimloom "));
        let synopsis = synopsis.unwrap().replace("\\fI", "").replace("\\fR", "");
        assert!(synopsis.trim_end().ends_with(file), "{synopsis}");
        let help = folder.call(&[command, "--help"]).out;
        assert!(help.contains(&format!(" {file}\n")), "{help}");
    }
    let done = folder.call(&["man", "weigh"]);
    assert_eq!((done.status, &*done.out), (Some(2), ""));
    assert_eq!(done.err, "glimloom: there is no command \"weigh\"\n");
}

#[test]
fn the_page_of_the_project_names_every_command() {
    let readme = std::fs::read_to_string(crate::tidy::root().join("README.md")).unwrap();
    for command in COMMANDS {
        assert!(
            readme.contains(&format!("| `glimloom {command}")),
            "README.md lacks {command}"
        );
    }
}
