//! Starts the language server for harness files in Zed.

use zed_extension_api as zed;

struct Harness;

impl zed::Extension for Harness {
    fn new() -> Self {
        Harness
    }

    fn language_server_command(
        &mut self,
        _: &zed::LanguageServerId,
        worktree: &zed::Worktree,
    ) -> zed::Result<zed::Command> {
        let command = worktree
            .which("glimloom")
            .ok_or("glimloom is not found: `cargo install --path .` in its folder installs it")?;
        Ok(zed::Command {
            command,
            args: vec!["serve".to_owned()],
            env: worktree.shell_env(),
        })
    }
}

zed::register_extension!(Harness);
