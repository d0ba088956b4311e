//! The server as a process of its own, spoken to over its pipes as an editor would.
#![allow(clippy::unwrap_used, clippy::expect_used)] // A test that cannot go on says so by failing.

mod actions;
pub mod client;
mod completion;

mod documents;
mod drawing;
mod edits;
mod features;
pub mod folder;
mod frames;
mod layout;
mod library;
mod life;
mod looks;
mod navigate;
mod papers;
mod progress;
mod pull;
mod refactor;
mod renames;
mod roots;
mod suspects;
mod typing;
