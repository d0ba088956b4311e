//! Rewrites of the plan: a plan in, changes of its text out. One file a rewrite.
//!
//! A rewrite proposes; whether the finding that it mends is then gone, and nothing new is wrong, is
//! for [`crate::checks`] to find out by solving the changed plan.

use std::collections::BTreeMap;

use crate::plan::{Edit, FileId, ItemId, Plan, StanzaId};
use crate::syntax::tree::TokenKind;

pub mod branch_chain;
pub mod branch_fuse;
pub mod branch_string;
pub mod choose_resistor;
mod clause_of;
pub mod close_ring;
mod columns;
pub mod e24;
pub mod enlarge_supply;
pub mod feed_both_ends;
pub mod free_name;
pub mod hold_down;
pub mod in_one_copy;
pub mod insert_connector;
pub mod insert_fuse;
pub mod insert_rectifier;
pub mod join_joints;
pub mod join_strips;
mod keep_dark;
pub mod larger_battery;
pub mod move_battery;
pub mod move_cut;
pub mod move_outside;
pub mod own_run;
pub mod r10;
pub mod rename_later;
pub mod resistor_text;
pub mod resize_fuse;
pub mod route;
pub mod second_joint;
pub mod set_spent;
pub mod share_out_resistor;
pub mod shortest_way;
pub mod slow_flash;
pub mod solder_connector;
mod source;
pub mod split_string;
pub mod split_strip;
pub mod split_supply;
pub mod stanza_text;
pub mod state_cut;
pub mod swap_wire;
pub mod switching;
pub mod thicker_wire;
pub mod told;
mod users;
pub mod usual;
pub mod widen_passage;
mod with_resistor;
mod worst;
pub mod write_copy_out;

pub use branch_chain::branch_chain;
pub use branch_fuse::branch_fuse;
pub use branch_string::branch_string;
pub use choose_resistor::choose_resistor;
pub use close_ring::{close_ring, close_row};
pub(crate) use columns::hold_columns;
pub use enlarge_supply::enlarge_supply;
pub use feed_both_ends::feed_both_ends;
pub use hold_down::hold_down;
pub use in_one_copy::in_one_copy;
pub use insert_connector::insert_connector;
pub use insert_fuse::insert_fuse;
pub use insert_rectifier::insert_rectifier;
pub use join_joints::join_joints;
pub use join_strips::join_strips;
pub use larger_battery::larger_battery;
pub use move_battery::move_battery;
pub use move_cut::move_cut;
pub use move_outside::move_outside;
pub use own_run::own_run;
pub use rename_later::rename_later;
pub use second_joint::second_joint;
pub use set_spent::set_spent;
pub use share_out_resistor::share_out_resistor;
pub use solder_connector::solder_connector;
pub use split_string::split_string;
pub use split_strip::split_strip;
pub use split_supply::split_supply;
pub use state_cut::state_cut;
pub use swap_wire::swap_wire;
pub use switching::make_it_switch;
pub use thicker_wire::thicken_wire;
pub use told::Told;
pub use write_copy_out::write_copy_out;

/// A change of the plan that may be offered.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What it does, and what changes in figures.
    pub title: String,
    /// What is put in place of what.
    pub edits: Vec<Edit>,
    /// The figures of the title that only the whole circuit can tell.
    pub told: Vec<Told>,
}

/// What a title adds where the change is one of a pattern's piece.
const IN_EACH_COPY: &str = " in each copy";

/// [`IN_EACH_COPY`] for the piece of a copy, nothing for what lies in the open.
fn in_each_copy(plan: &Plan, item: ItemId) -> &'static str {
    match plan.items[item.0].copy {
        Some(_) => IN_EACH_COPY,
        None => "",
    }
}

/// The texts of the files that the edits change, as they are afterwards. `None` where two edits
/// overlap or one lies outside its stanza.
pub fn changed_texts(plan: &Plan, edits: &[Edit]) -> Option<BTreeMap<FileId, String>> {
    let mut by_file: BTreeMap<FileId, Vec<(usize, usize, &str)>> = BTreeMap::new();
    for edit in edits {
        let span = plan.in_file(edit.stanza, edit.span);
        by_file.entry(edit.stanza.file).or_default().push((
            span.start as usize,
            span.end as usize,
            &edit.text,
        ));
    }
    let mut texts = BTreeMap::new();
    for (file, mut edits) in by_file {
        let old = &plan.files.get(file.0)?.text;
        texts.insert(file, changed_text(old, &mut edits)?);
    }
    Some(texts)
}

/// Whether every comment among the words of a stanza is still there after these edits. Those around a stanza go where it goes.
pub fn keep_comments(plan: &Plan, edits: &[Edit]) -> bool {
    edits.iter().all(|edit| {
        let stanza = plan.stanza(edit.stanza);
        let core = stanza.core_span();
        let mut tokens = stanza
            .tokens
            .iter()
            .filter(|t| t.kind == TokenKind::Comment);
        tokens.all(|comment| {
            let words = stanza.words(comment.span).trim_end();
            !(core.overlaps(comment.span) && edit.span.overlaps(comment.span))
                || edits.iter().any(|other| other.text.contains(words))
        })
    })
}

/// A text with other words from here to there. `None` where two edits overlap or one lies outside.
fn changed_text(old: &str, edits: &mut [(usize, usize, &str)]) -> Option<String> {
    edits.sort_by_key(|&(start, end, _)| (start, end)); // stable: inserts at one place keep their order
    let (mut new, mut done) = (String::with_capacity(old.len()), 0);
    for &mut (start, end, text) in edits {
        new.push_str(old.get(done..start)?);
        new.push_str(text);
        done = end;
    }
    new.push_str(old.get(done..)?);
    Some(new)
}

/// The text of one stanza after edits of it.
fn changed_stanza(plan: &Plan, id: StanzaId, edits: &[Edit]) -> Option<String> {
    let mut edits: Vec<(usize, usize, &str)> = edits
        .iter()
        .map(|e| (e.span.start as usize, e.span.end as usize, &*e.text))
        .collect();
    changed_text(&plan.stanza(id).text, &mut edits)
}
