//! # `syntax`: words that are not the language's
//!
//! **Error** on the very words that cannot be read. The rest of the stanza, and every other stanza, is read all the same.
//!
//! ## Why it matters
//!
//! What cannot be read is not in the circuit: a stanza with such words is left out with all that hangs on it, and the figures of the rest are those of a
//! smaller model than the one on the bench.
//!
//! ## The limit
//!
//! The language as `docs/language.md` fixes it. A few things that builders run into:
//!
//! - A line that carries a stanza on starts with a blank; a word at the margin starts the next stanza.
//! - A list may break behind a comma, and its next line is indented too.
//! - Commas stand in lists alone, texts in double quotes on one line.
//! - Figures that no model can have are errors too: a length of zero, insulation thinner than the copper within (by more than its figure is
//!   rounded, 5 %), windows larger than the inner surface, a passage from a zone to itself, a strip of more than 10000 lamps.
//! - A plan may have 100 scenes, one of more than 4000 items fewer (scenes times items up to 400000, but always 24); 24 outputs of a module may take
//!   turns. A scene beyond is not worked out.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA frum F1
//! #                       ^^^^ syntax
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1
//! ```
//!
//! The nearest word of the language is offered.

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// Words that are not the language's.
pub const CHECK: Check = Check {
    name: "syntax",
    severities: &[Severity::Error],
    page: page!("syntax.rs"),
    check,
    mends: Some(reading::mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
