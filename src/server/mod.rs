//! The language server: the only room that knows the protocol and the outside world.
//!
//! A message comes in by the [`front_door`], which mends or answers what the protocol library could not read.
//! Opened and edited [`texts`] change the session straight away; for all else the [`backend`] has a method. Notifications change the [`session`] at once;
//! requests take a snapshot of it and [`compute`] on that. The [`plans`] of a snapshot are worked out once, from open
//! texts and [`files`] on the disk, those that nobody has open by [`folders`]; what can be known from a part of a large one, [`in_parts`] asks of that;
//! all mends of one at once are [`mended`] part by part.
//! The [`publisher`] tells the client what was found, or [`pull`] when it asks; what it was [`given`] is kept, so that it can be asked to ask again.
//! Findings are [`told`] as text, and long answers come [`ready`] written. [`convert`] turns plain data with byte offsets into the protocol's types;
//! each feature that needs more has a file of its own. The [`settings`] come by [`configure`].

mod actions;
mod backend;
mod capabilities;
mod colours;
mod completion;
mod compute;
mod configure;
mod convert;
pub mod demo;
mod drawings;
pub mod files;
mod folders;
pub mod frames;
mod front_door;
mod given;
mod halves;
mod hints;
mod in_parts;
mod keys;
mod layout;
mod lenses;
mod log;
mod mended;
pub mod message;
mod navigate;
mod orphan;
mod output;
mod pages;
mod papers;
#[cfg(unix)]
mod patient;
mod plans;
mod progress;
mod publisher;
mod pull;
mod ready;
mod renames;
#[cfg(test)]
mod scripts;
mod session;
mod settings;
mod supply_load;
mod suspects;
mod texts;
mod tokens;
mod told;
mod warm;

use std::io::{Read, Write};
use std::sync::Arc;

use tokio::sync::watch;
use tower_lsp::LspService;

use crate::circuit::side_by_side::processors;
use output::Output;
use session::Session;

/// Serves one client until it asks to end, its stream ends, or it has died. True after a proper shutdown.
async fn serve(input: impl Read + Send + 'static, output: Output) -> bool {
    let (process, named) = watch::channel(None);
    let session = Arc::<Session>::default();
    let build = |client: tower_lsp::Client| {
        let progress = progress::Progress::of(client.clone(), output.clone());
        backend::Backend::new(client, process, session.clone(), progress)
    };
    let (service, socket) = LspService::build(build)
        .custom_method("window/workDoneProgress/cancel", backend::Backend::cancel)
        .custom_method(supply_load::METHOD, backend::Backend::load)
        .custom_method(ready::METHODS[0].1, backend::Backend::findings)
        .custom_method(ready::METHODS[1].1, backend::Backend::outline)
        .custom_method(ready::METHODS[2].1, backend::Backend::tokens)
        .custom_method("glimloom/sheet", backend::Backend::sheet)
        .custom_method("glimloom/suspects", backend::Backend::suspects)
        .custom_method("glimloom/drawing", backend::Backend::drawing)
        .finish();
    let backend = service.inner();
    let (log, refresh) = (backend.log.clone(), backend.refresh.clone());
    let texts = texts::take_in(session.clone(), log.clone());
    let (asked, again) = (session.clone(), refresh.clone());
    let at_once: front_door::AtOnce =
        Box::new(move |request| pull::at_once(&asked, &again, request));
    let mut publish = publisher::publish(session, output.clone(), log, refresh);
    let mut warm_up = Some(warm::warm_up);
    let idle = move |has_begun| {
        publish();
        if let Some(warm_up) = warm_up.take_if(|_| has_begun) {
            warm_up();
        }
    };
    tokio::select! {
        shut_down = front_door::serve(input, output, service, socket, texts, idle, at_once) => shut_down,
        () = orphan::orphaned(named) => false,
    }
}

/// Serves one client over any two streams, in the runtime that this is called in. True after a proper shutdown.
pub async fn serve_over(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
) -> bool {
    serve(input, Output::to(output, |_| false)).await
}

/// Serves on standard input and output, and ends the process: status 0 after a proper shutdown, else 1. The process is
/// ended outright, since a read of standard input that never returns would keep the runtime from ending.
pub fn run() -> std::io::Error {
    // Few threads: each holds on to some memory once it has worked, and the fewer there are the sooner each has. This one
    // hands work on and waits; what takes time is done by others, of which there is one more than can work at once, so
    // that two long requests on two processors do not keep a third waiting.
    let processors = processors();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .max_blocking_threads((processors + 1).clamp(3, 16))
        .enable_all()
        .build();
    match runtime {
        Ok(runtime) => {
            let serve = async { Ok(serve(standard_input(), standard_output()?).await) };
            match runtime.block_on(serve) {
                Ok(shut_down) => std::process::exit(i32::from(!shut_down)),
                Err(error) => error,
            }
        }
        Err(error) => error,
    }
}

/// Standard input; reading it waits.
#[cfg(unix)]
fn standard_input() -> impl Read + Send {
    patient::Patient(std::io::stdin())
}

/// Standard input.
#[cfg(not(unix))]
fn standard_input() -> impl Read + Send {
    std::io::stdin()
}

/// Standard output as it is: the usual way writes a frame in two pieces, and wakes its reader twice.
#[cfg(unix)]
fn standard_output() -> std::io::Result<Output> {
    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    use std::os::fd::AsFd;
    /// A pipe that can be written takes so much (POSIX, "write": PIPE_BUF), a socket more.
    const ROOM: usize = 4096;
    let to = std::io::stdout().as_fd().try_clone_to_owned()?;
    let looked_at = to.try_clone()?;
    let has_room = move |bytes: usize| {
        let mut fds = [PollFd::new(&looked_at, PollFlags::OUT)];
        let now = Timespec::default();
        bytes <= ROOM
            && poll(&mut fds, Some(&now)).is_ok_and(|ready| ready == 1)
            && fds[0].revents() == PollFlags::OUT
    };
    let to = patient::Patient(std::fs::File::from(to));
    Ok(Output::to(to, has_room))
}

/// Standard output; whether it can be written without waiting, it does not tell.
#[cfg(not(unix))]
fn standard_output() -> std::io::Result<Output> {
    Ok(Output::to(std::io::stdout(), |_| false))
}
