//! Puts a soldered joint in the place of a connector.

use super::Candidate;
use super::branch_chain::written_name;
use super::stanza_text::{StanzaEdits, has_comment, removal};
use crate::plan::{ItemId, Part, Plan};

/// A joint of the same name and feed; what is said of contacts goes. None where that would lose a comment.
pub fn solder_connector(plan: &Plan, connector: ItemId) -> Option<Candidate> {
    let item = plan.items.get(connector.0)?;
    let Part::Connector { .. } = item.part else {
        return None;
    };
    let stanza = plan.stanza(item.stanza);
    let mut edits = StanzaEdits::of(item.stanza);
    edits.put(stanza.word_span, "joint");
    let of_contacts = stanza
        .clauses
        .iter()
        .filter(|c| matches!(c.word, "rated" | "contact"));
    for clause in of_contacts {
        if has_comment(stanza, clause.span) {
            return None;
        }
        edits.put(removal(stanza, clause.span), "");
    }
    Some(Candidate {
        title: format!(
            "solder {}: a joint, no contact that can fail",
            written_name(plan, connector)
        ),
        edits: edits.into_edits(plan),
        told: Vec::new(),
    })
}
