//! The program: one short file a command.

mod commands;

fn main() -> std::process::ExitCode {
    commands::main()
}
