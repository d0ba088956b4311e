//! Puts the functions that every sitting uses next to each other in the program, so that less of it has to be in memory.
//!
//! The system reads a program in blocks of 64 kB; without this, most blocks have something in them that is used. `often.txt` names the functions,
//! one a line, and is written by `tests/bench/layout/run.sh`. A name that the program no longer has is passed over: an old list costs memory,
//! nothing else.

use std::env::var;
use std::path::Path;
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-changed=src/layout");
    let folder = var("CARGO_MANIFEST_DIR").unwrap_or_default();
    if is_released() && is_linked_by_lld() {
        for option in [
            format!("--symbol-ordering-file={folder}/src/layout/often.txt"),
            "--no-warn-symbol-ordering".to_owned(),
        ] {
            // Not by `-Wl`, which ends at a comma, as may be in the name of a folder.
            for word in ["-Xlinker", &option] {
                println!("cargo::rustc-link-arg-bin=glimloom={word}");
            }
        }
    }
}

fn is_released() -> bool {
    var("PROFILE").is_ok_and(|profile| profile == "release")
}

/// Whether the compiler links with an lld of its own, as it does by itself from 1.90 on, on this target alone. Other linkers do not know the option.
fn is_linked_by_lld() -> bool {
    const TARGET: &str = "x86_64-unknown-linux-gnu";
    let is_target = ["TARGET", "HOST"]
        .iter()
        .all(|key| var(key).is_ok_and(|triple| triple == TARGET));
    let is_chosen_otherwise = var("RUSTC_LINKER").is_ok()
        || var("CARGO_ENCODED_RUSTFLAGS").is_ok_and(|flags| flags.contains("link"));
    let is_new = asked(&["--version"]).is_some_and(|said| minor(&said) >= Some(90));
    let has_lld = asked(&["--print", "sysroot"]).is_some_and(|sysroot| {
        let tools = Path::new(&sysroot).join("lib/rustlib").join(TARGET);
        tools.join("bin/gcc-ld/ld.lld").exists()
    });
    is_target && !is_chosen_otherwise && is_new && has_lld
}

/// What the compiler answers.
fn asked(options: &[&str]) -> Option<String> {
    let said = Command::new(var("RUSTC").ok()?)
        .args(options)
        .output()
        .ok()?;
    Some(String::from_utf8(said.stdout).ok()?.trim().to_owned())
}

/// 90 of `rustc 1.90.0 (…)`.
fn minor(said: &str) -> Option<u32> {
    said.split(' ').nth(1)?.split('.').nth(1)?.parse().ok()
}
