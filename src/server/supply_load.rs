//! A question of our own: how much of what the supplies of a plan may give is taken, for an editor that keeps it in
//! sight. It is asked after each keystroke: of a long plan one part is looked at.

use serde::{Deserialize, Serialize};
use tower_lsp::lsp_types::{Position, TextDocumentIdentifier};

use super::in_parts;
use super::lenses::LONG;
use super::plans::Here;
use crate::editor::supply_load::{Fit, Load, loads};
use crate::parts::Stop;

/// Its name.
pub const METHOD: &str = "glimloom/load";

/// So many supplies are told; nobody keeps more in sight.
const MOST: usize = 50;

/// What is asked about.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    /// The plan.
    pub text_document: TextDocumentIdentifier,
    /// Where the cursor is: of a long plan the supplies of that part are told.
    pub position: Option<Position>,
}

/// The answer.
#[derive(Debug, Serialize)]
pub struct Loads {
    /// The supplies that have figures; the fullest first, and of those alike the first in the plan.
    supplies: Vec<Told>,
}

/// A supply, in the scene in which it gives most.
#[derive(Debug, Serialize)]
struct Told {
    name: String,
    scene: String,
    /// In amperes.
    given: f64,
    /// In amperes.
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<f64>,
    /// `unknown`, `fits`, `tight`, `over`.
    fit: &'static str,
    /// All that in words.
    says: String,
}

/// The loads of the supplies of a plan; `None` where it was stopped.
pub fn of(here: &Here, at: Option<Position>, stop: Stop) -> Option<Loads> {
    let mut all = Vec::new();
    if here.plan.has_parts() && here.plan.lines(here.file).count() > LONG {
        let own = at.and_then(|at| in_parts::of_part(here, here.offset(at), loads));
        all.extend(own.into_iter().flatten());
    } else {
        let each = here.plan.each_part(|view, _| match stop() {
            true => Vec::new(),
            false => loads(&view.analysis),
        });
        if stop() {
            return None;
        }
        all = match each {
            Some(each) => each.into_iter().flatten().collect(),
            None => loads(&here.plan.analysis),
        };
    }
    let share = |load: &Load| load.limit.map_or(0.0, |limit| (load.given / limit).value);
    all.sort_by(|a, b| (b.fit.cmp(&a.fit)).then(share(b).total_cmp(&share(a))));
    all.truncate(MOST);
    Some(Loads {
        supplies: all.into_iter().map(told).collect(),
    })
}

fn told(load: Load) -> Told {
    Told {
        says: load.says(),
        given: load.given.value,
        limit: load.limit.map(|limit| limit.value),
        fit: match load.fit {
            Fit::Unknown => "unknown",
            Fit::Fits => "fits",
            Fit::Tight => "tight",
            Fit::Over => "over",
        },
        name: load.name,
        scene: load.scene,
    }
}
