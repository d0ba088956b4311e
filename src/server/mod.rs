//! The language server: the only room that knows the protocol and the outside world.
//!
//! A message comes in by the [`front_door`], which mends or answers what the protocol library could not read.
//! The [`backend`] has a method for each kind of message. Notifications change the [`session`] at once;
//! requests take a snapshot of it and [`compute`] on that. The [`plans`] of a snapshot are worked out once, from open
//! texts and [`files`] on the disk; the [`publisher`] tells the client what was found. [`convert`] turns plain data
//! with byte offsets into the protocol's types.

mod backend;
mod capabilities;
mod completion;
mod compute;
mod convert;
pub mod demo;
pub mod files;
mod frames;
mod front_door;
mod keys;
mod layout;
mod log;
mod message;
mod navigate;
mod orphan;
mod pages;
mod plans;
mod publisher;
mod session;

use tokio::io::{AsyncRead, AsyncWrite};
use tokio::sync::watch;
use tower_lsp::LspService;

/// Serves one client until it asks to end, its stream ends, or it has died. True after a proper shutdown.
pub async fn serve(
    input: impl AsyncRead + Unpin,
    output: impl AsyncWrite + Unpin + Send + 'static,
) -> bool {
    let (process, named) = watch::channel(None);
    let (service, socket) = LspService::build(|client| backend::Backend::new(client, process))
        .custom_method(message::UNREADABLE, backend::Backend::unreadable)
        .finish();
    tokio::select! {
        shut_down = front_door::serve(input, output, service, socket) => shut_down,
        () = orphan::orphaned(named) => false,
    }
}

/// Serves on standard input and output, and ends the process: status 0 after a proper shutdown, else 1. The process is
/// ended outright, since a read of standard input that never returns would keep the runtime from ending.
pub fn run() -> std::io::Error {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build();
    match runtime {
        Ok(runtime) => {
            let shut_down = runtime.block_on(serve(tokio::io::stdin(), tokio::io::stdout()));
            std::process::exit(i32::from(!shut_down))
        }
        Err(error) => error,
    }
}
