//! All mends at once: every preferred mend that does not get in the way of another, again and again until there is
//! nothing more to mend.
//!
//! In each round the findings are gone through in their order, errors first; the preferred mend of each is taken unless it
//! touches a stanza that another one of the round touches. What was taken is put in together, and the plan is read and solved again:
//! if together they bring a new error or warning, only the first is put in. What did not fit comes in a later round.

use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use super::Mend;
use super::analysis::Analysis;
use crate::plan::{Edit, FileKey, StanzaId};

/// What mending everything comes to.
#[derive(Clone, Debug)]
pub struct FixAll {
    /// The titles of the mends, in the order in which they were put in.
    pub mended: Vec<String>,
    /// The plan after them; its findings are what could not be settled.
    pub after: Analysis,
}

/// No more rounds than this; each has mended something, so more would only be needed by a plan with more trouble than
/// anybody would mend unseen.
const MOST_ROUNDS: usize = 40;

impl Analysis {
    /// Mends all that can be mended. Gives up, with what it has, once `stop` says so.
    pub fn fix_all(&self, stop: &dyn Fn() -> bool) -> FixAll {
        let mut done = FixAll {
            mended: Vec::new(),
            after: self.clone(),
        };
        // A mend that undoes another would go on for ever.
        let mut seen = HashSet::from([texts(self)]);
        for _ in 0..MOST_ROUNDS {
            let round = round(&done.after, stop);
            let Some((together, mends)) = put_in(&done.after, &round, stop) else {
                break;
            };
            if stop() || !seen.insert(texts(&together)) {
                break;
            }
            done.mended
                .extend(mends.iter().map(|mend| mend.title.clone()));
            done.after = together;
        }
        done
    }

    /// What each file of `self` that `after` has in other words is there.
    pub fn changed_files<'a>(&self, after: &'a Analysis) -> Vec<(FileKey, &'a Arc<str>)> {
        let before = texts(self);
        let files = after.plan.files.iter();
        files
            .filter(|file| before.get(&file.key).is_some_and(|text| *text != file.text))
            .map(|file| (file.key.clone(), &file.text))
            .collect()
    }
}

/// The files of a plan by what identifies them.
fn texts(a: &Analysis) -> BTreeMap<FileKey, Arc<str>> {
    let files = a.plan.files.iter();
    files.map(|f| (f.key.clone(), f.text.clone())).collect()
}

/// The preferred mends of one round, none of which touches what another one does.
fn round(a: &Analysis, stop: &dyn Fn() -> bool) -> Vec<Mend> {
    let mut order: Vec<usize> = (0..a.findings.len()).collect();
    order.sort_by_key(|&finding| std::cmp::Reverse(a.findings[finding].severity));
    let mut touched: HashSet<StanzaId> = HashSet::new();
    let mut taken = Vec::new();
    for finding in order {
        if stop() {
            break;
        }
        if touched.contains(&a.findings[finding].stanza) {
            continue;
        }
        let Some(mend) = a.preferred_mend(finding, stop) else {
            continue;
        };
        let stanzas = |edits: &[Edit]| edits.iter().map(|e| e.stanza).collect::<HashSet<_>>();
        let its = stanzas(&mend.edits);
        if its.is_disjoint(&touched) {
            touched.extend(its);
            touched.insert(a.findings[finding].stanza);
            taken.push(mend);
        }
    }
    taken
}

/// All mends of a round together, or, if they do not go together, the first alone.
fn put_in<'a>(
    a: &Analysis,
    round: &'a [Mend],
    stop: &dyn Fn() -> bool,
) -> Option<(Analysis, &'a [Mend])> {
    let first = round.get(..1)?;
    let edits: Vec<Edit> = round.iter().flat_map(|mend| mend.edits.clone()).collect();
    let together = a.changed(&edits, stop)?;
    if round.len() == 1 || a.is_no_worse(&together) {
        return Some((together, round));
    }
    Some((a.changed(&first[0].edits, stop)?, first))
}
