//! What a client that asks for findings was given. It asks again for a file that it edits; that the findings of a file
//! have changed because of another one, it has to be told.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use tower_lsp::lsp_types::Url;

use super::publisher::Reports;
use super::session::lock;
use super::told::Written;

/// All that was given, and what is so by now.
#[derive(Default)]
pub struct Given(Mutex<State>);

#[derive(Default)]
struct State {
    given: HashMap<Url, Answer>,
    now: Reports,
    revision: u64,
}

/// The findings of a file as they were given.
pub struct Answer {
    /// The file that was asked about, and its version: the file itself, or one that uses it.
    pub asked: (Url, Option<i32>),
    /// The findings.
    pub written: Arc<Written>,
    /// The moment that they are of.
    pub revision: u64,
}

impl Answer {
    /// Whether the client has no reason of its own to ask again, and what it was given is no longer so.
    fn is_stale(&self, uri: &Url, now: &Reports) -> bool {
        let (asked, version) = &self.asked;
        let is_asked_about = now.get(asked).is_some_and(|(now, _)| now == version);
        let same = |written: &Arc<Written>| {
            Arc::ptr_eq(written, &self.written) || *written == self.written
        };
        let is_so = now
            .get(uri)
            .map_or(self.written.len() == 0, |(_, now)| same(now));
        is_asked_about && !is_so
    }
}

impl Given {
    /// A client is given this. True where it is old already, and the client has to ask again.
    pub fn give(&self, answers: impl IntoIterator<Item = (Url, Answer)>) -> bool {
        let State {
            given,
            now,
            revision,
        } = &mut *lock(&self.0);
        let mut is_stale = false;
        for (uri, answer) in answers {
            if given
                .get(&uri)
                .is_some_and(|known| known.revision > answer.revision)
            {
                continue;
            }
            if *revision > answer.revision && answer.is_stale(&uri, now) {
                is_stale = true;
                given.remove(&uri);
            } else {
                given.insert(uri, answer);
            }
        }
        is_stale
    }

    /// By now it is so. True where the client has to ask again.
    pub fn now(&self, reports: Reports, moment: u64) -> bool {
        let State {
            given,
            now,
            revision,
        } = &mut *lock(&self.0);
        (*now, *revision) = (reports, moment);
        let mut is_stale = false;
        given.retain(|uri, answer| {
            let stale = answer.is_stale(uri, now);
            is_stale |= stale;
            !stale && now.contains_key(&answer.asked.0)
        });
        is_stale
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::plan::Severity;

    fn uri(name: &str) -> Url {
        Url::parse(&format!("file:///{name}.harness")).unwrap()
    }

    fn written(text: &str) -> Arc<Written> {
        let mut written = Written::default();
        if !text.is_empty() {
            written.push(Severity::Error, |to| to.push_str(text));
        }
        Arc::new(written)
    }

    /// `name version findings`, each.
    fn reports(all: &[(&str, Option<i32>, &str)]) -> Reports {
        let reports = all
            .iter()
            .map(|(name, version, text)| (uri(name), (*version, written(text))));
        reports.collect()
    }

    fn answer(name: &str, asked: (&str, i32), text: &str, revision: u64) -> BTreeMap<Url, Answer> {
        let answer = Answer {
            asked: (uri(asked.0), Some(asked.1)),
            written: written(text),
            revision,
        };
        BTreeMap::from([(uri(name), answer)])
    }

    #[test]
    fn what_changed_by_another_file_is_stale_once() {
        let given = Given::default();
        assert!(!given.now(reports(&[("a", Some(1), ""), ("b", Some(1), "")]), 1));
        assert!(!given.give(answer("a", ("a", 1), "", 1)));
        assert!(given.now(reports(&[("a", Some(1), "x"), ("b", Some(2), "")]), 2));
        assert!(
            !given.now(reports(&[("a", Some(1), "y"), ("b", Some(3), "")]), 3),
            "it has been told"
        );
        assert!(!given.give(answer("a", ("a", 1), "y", 3)));
        assert!(!given.now(reports(&[("a", Some(1), "y"), ("b", Some(4), "z")]), 4));
        assert!(given.now(reports(&[("a", Some(1), ""), ("b", Some(4), "z")]), 5));
    }

    #[test]
    fn what_the_client_edited_or_closed_it_asks_for_itself() {
        let given = Given::default();
        given.give(answer("a", ("a", 1), "x", 1));
        assert!(!given.now(reports(&[("a", Some(2), "y")]), 2));
        given.give(answer("a", ("a", 2), "y", 2));
        assert!(!given.now(reports(&[]), 3));
        assert!(
            !given.now(reports(&[("a", Some(2), "z")]), 4),
            "it was opened anew"
        );
    }

    #[test]
    fn an_answer_that_comes_late() {
        let given = Given::default();
        assert!(!given.now(reports(&[("a", Some(1), "x"), ("b", Some(2), "")]), 7));
        assert!(given.give(answer("a", ("a", 1), "", 3)));
        assert!(!given.give(answer("a", ("a", 1), "x", 3)), "it is so still");
        assert!(!given.give(answer("a", ("a", 1), "x", 8)));
        assert!(
            !given.give(answer("a", ("a", 1), "", 3)),
            "a later one was given"
        );
    }

    #[test]
    fn files_that_came_along() {
        let given = Given::default();
        given.give(answer("stock", ("a", 1), "x", 1));
        assert!(!given.now(reports(&[("a", Some(1), ""), ("stock", None, "x")]), 2));
        assert!(
            !given.now(reports(&[("a", Some(2), "")]), 3),
            "the client asks for what it edited"
        );
        given.give(answer("stock", ("a", 2), "", 3));
        assert!(given.now(reports(&[("a", Some(2), ""), ("stock", None, "y")]), 4));
    }
}
