//! The command line.
use std::process::ExitCode;

fn main() -> ExitCode {
    if std::env::args().nth(1).as_deref() == Some("serve") {
        let error = glimloom::server::run();
        eprintln!("glimloom: {error}");
        return ExitCode::FAILURE;
    }
    ExitCode::from(2)
}
