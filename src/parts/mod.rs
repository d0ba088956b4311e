//! A large plan in parts.
//!
//! A plan may be one net of wires, or a street of a hundred houses that have nothing to do with each other. Here it is
//! cut into parts that no name ties together. Each is analysed as a small plan of its own, by the same pure function
//! as any plan ([`crate::checks::Analysis`]), and kept until its text changes: an edit costs what its own part costs. What comes out
//! is, finding for finding, what the analysis of the whole plan says; tests hold the two against each other.
//!
//! - Stock, the `harness` stanza, scenes and comments belong to every part ([`ties::Kind::Common`]). All other stanzas
//!   belong together where one mentions a name that another defines, where both define one name (in whatever case), or
//!   where a scene lists both ([`ties`]).
//! - What a part says may depend on the rest of the plan: that is handed to it ([`crate::plan::Elsewhere`]), and the [`summary`] of
//!   each part says what it hands to the others. Checks that say nothing while something cannot be read are silenced
//!   here (`waiting`).
//! - A part that reads like another one but for its names, and of which there was nothing to be said, is not analysed
//!   ([`shape`]).
//! - Findings on stock come from one more part, the rest: all that is common, the places and records that no wiring
//!   mentions, and each part with a name that leads nowhere, together with those parts that have a name spelt nearly so.
//! - Who wants to change something looks at its part with all that there is elsewhere ([`changes`]): what is said of that
//!   part before and after is what the whole plan says, as long as no new name is another part's.
//! - The stanzas of files that the plan uses belong to parts as its own do ([`used`]).
//! - Where this would not be sound, the plan is one part: where a scene has no solution or lists what it cannot list, or a
//!   name is both of stock and of something else.

mod ahead;
mod around;
mod changes;
mod cut;
mod facts;
mod findings;
mod knots;
mod look;
mod names;
mod part;
mod read;
mod recent;
mod shape;
mod summary;
#[cfg(test)]
pub(crate) mod tests;
mod ties;
mod used;

pub use crate::circuit::Stop;
pub use around::Around;
pub use cut::Parts;
pub use findings::Said;
pub use look::Patience;
pub use part::View;
