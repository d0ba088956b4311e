//! The command line, through the real binary.
#![allow(clippy::unwrap_used)] // In helpers of tests too, a failure is to stop the test.

mod calls;
mod demo;
mod draw;
mod folders;
mod format;
mod itself;
mod json;
mod parts;
mod same_digits;
mod sarif;
mod sheet;
mod suspects;
mod watch;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of its own for one test, removed at its end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("glimloom-cli-{}-{name}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Folder(path.canonicalize().unwrap())
    }

    /// Writes a file.
    fn with(self, name: &str, text: impl AsRef<[u8]>) -> Folder {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
        self
    }

    /// The path of a file in it.
    fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// Calls the program in this folder.
    fn call(&self, arguments: &[&str]) -> Done {
        call_in(&self.0, arguments)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// What a call came to.
struct Done {
    status: Option<i32>,
    out: String,
    err: String,
}

fn call_in(folder: &Path, arguments: &[&str]) -> Done {
    let output = program(folder).args(arguments).output().unwrap();
    done(output)
}

fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_glimloom"));
    command.current_dir(folder);
    command
}

fn done(output: Output) -> Done {
    Done {
        status: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A plan without a fault.
const CLEAN: &str = "\
harness \"Tern, pilot boat\"
wire fine
  gauge 30 AWG
  insulation enamel
  colours red, green
tape warm
  group 3 lamps long 25 mm
  works 9 V to 12.6 V
  draws 18 mA at 12 V
supply adapter 12 V 1 A
fuse F1 160 mA from adapter
joint keel from F1
strip cabin of warm 6 lamps from keel over 120 mm of fine
scene moored
";

/// The same plan, its tape cut inside a group.
fn badly_cut() -> String {
    CLEAN.replace("6 lamps", "5 lamps")
}
