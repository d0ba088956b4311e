//! The one thread that tells the client about findings. It works on the latest revision alone: an edit that comes
//! while it works makes it start over, so that no finding of an old text is ever sent.

use std::collections::{BTreeMap, HashSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use tokio::runtime::Handle;
use tokio::sync::Notify;
use tower_lsp::lsp_types::Url;

use super::log::Log;
use super::output::Output;
use super::plans::{Patience, Plans};
use super::session::{Session, Snapshot, lock};
use super::told::{Written, worth_saying};
use crate::parts::Stop;
use crate::plan::{FileKey, Severity};

/// What a file was last said to have: at which version, and which findings.
pub type Report = (Option<i32>, Arc<Written>);
/// One for each file.
pub type Reports = BTreeMap<Url, Report>;

/// Where messages are read, no more work on the findings is begun after so long: it is left to a thread of its own.
pub const AT_ONCE: Duration = Duration::from_millis(3);

/// When nothing has been written for so long, there is time to look ahead.
const QUIET: Duration = Duration::from_millis(8);

/// Publishes as long as the session lasts. What comes back is to be called when all that came is dealt with: where there
/// is little to work out, it is done and told then and there, for to hand it to another thread takes longer than that.
/// A client that asks for findings is told nothing; `refresh` is told when it has to ask for those of a file that it did
/// not edit.
pub fn publish(
    session: Arc<Session>,
    output: Output,
    log: Log,
    refresh: Arc<Notify>,
) -> impl FnMut() + Send {
    let publisher = Arc::new(Publisher {
        session,
        output,
        log,
        refresh,
        sent: Mutex::default(),
        seen: AtomicU64::new(0),
        ahead: Notify::new(),
    });
    let (here, runtime) = (publisher.clone(), Handle::current());
    std::thread::spawn(move || {
        while !publisher.session.has_ended() {
            if runtime.block_on(publisher.is_quiet()) {
                publisher.look_ahead();
                continue;
            }
            // Work that is dropped is for a moment that is past: there is another one to be looked at.
            let work = || publisher.work(&mut lock(&publisher.sent), None);
            while !work() && !publisher.session.has_ended() {}
        }
    });
    move || {
        if here.has_news() {
            let done = here.sent.try_lock().is_ok_and(|mut sent| {
                let started = Instant::now();
                here.work(&mut sent, Some(&|| started.elapsed() < AT_ONCE))
            });
            if !done {
                here.session.changed.notify_one();
            }
        }
    }
}

struct Publisher {
    session: Arc<Session>,
    output: Output,
    log: Log,
    refresh: Arc<Notify>,
    /// What was sent last.
    sent: Mutex<Reports>,
    /// The moment that was looked at last.
    seen: AtomicU64,
    /// Told when there is something to be looked at ahead of time.
    ahead: Notify,
}

impl Publisher {
    /// Waits until there are changes to be looked at: false; or nothing has been written for a while, and there is something to
    /// be looked at ahead of time: true.
    async fn is_quiet(&self) -> bool {
        let quiet = async {
            self.ahead.notified().await;
            loop {
                let before = self.session.snapshot();
                tokio::time::sleep(QUIET).await;
                if !self.session.is_past(&before) {
                    return;
                }
            }
        };
        tokio::select! {
            () = self.session.changed.notified() => false,
            () = quiet => true,
        }
    }

    /// Looks at what is likely to be written in next. Nobody waits for it, and what is said stays as it is.
    fn look_ahead(&self) {
        let snapshot = self.session.snapshot();
        if catch_unwind(AssertUnwindSafe(|| snapshot.look_ahead())).is_err() {
            self.log
                .error("What is likely to be written in next could not be worked out.".to_owned());
        }
    }

    fn has_news(&self) -> bool {
        self.session.snapshot().revision != self.seen.load(Ordering::Acquire)
    }

    /// Works out what there is to say now, and says it. False where it gave up: it was for a moment that is past, or for
    /// somebody who must not wait, and there was no time (`is_time`).
    fn work(&self, sent: &mut Reports, is_time: Option<Stop>) -> bool {
        let snapshot = self.session.snapshot();
        let is_over = || self.session.is_past(&snapshot);
        match catch_unwind(AssertUnwindSafe(|| {
            reports(
                &snapshot,
                &Patience {
                    stop: &is_over,
                    short: is_time,
                },
            )
        })) {
            Ok(Some(reports)) if snapshot.world.client.pulls => {
                if self.session.given.now(reports, snapshot.revision) {
                    self.refresh.notify_one();
                }
            }
            Ok(Some(reports)) => send(&self.output, sent, reports, is_time.is_some()),
            Ok(None) => return false,
            Err(_) => self
                .log
                .error("The findings could not be worked out for this text.".to_owned()),
        }
        self.seen.store(snapshot.revision, Ordering::Release);
        if snapshot.is_any_ahead() {
            self.ahead.notify_one();
        }
        true
    }
}

/// A report for each open file and each file with findings.
pub fn reports(snapshot: &Snapshot, patience: &Patience) -> Option<Reports> {
    let world = &snapshot.world;
    let mut told: BTreeMap<Url, (Option<i32>, Vec<Arc<Written>>)> = (world.documents.values())
        .map(|open| (open.uri.clone(), (open.document.version(), vec![])))
        .collect();
    for plan in &snapshot.plans_with(patience)?.plans {
        for (file, written) in plan.told() {
            let key = plan.key(*file);
            let Some(uri) = world.uri(key) else { continue };
            let (_, found) = told
                .entry(uri)
                .or_insert_with(|| (world.version(key), vec![]));
            found.push(written.clone());
        }
    }
    let told = told.into_iter();
    let reports = told.map(|(uri, (version, found))| (uri, (version, in_one(found))));
    let reports = reports.collect();
    (!(patience.stop)()).then_some(reports)
}

/// What is said of one file, whatever plans it is part of.
pub fn said_of(plans: &Plans, key: &FileKey) -> Arc<Written> {
    let found = plans.plans.iter().filter_map(|plan| {
        let mut told = plan.told().iter();
        let (_, written) = told.find(|(file, _)| plan.key(*file) == key)?;
        Some(written.clone())
    });
    in_one(found.collect())
}

/// What several plans find in one file; what all find alike is said once.
pub fn in_one(mut found: Vec<Arc<Written>>) -> Arc<Written> {
    if found.len() < 2 {
        return found.pop().unwrap_or_default();
    }
    let mut said: HashSet<&str> = HashSet::new();
    let each = found.iter().flat_map(|written| written.each());
    let mut all: Vec<(&str, Severity)> = each.filter(|(text, _)| said.insert(text)).collect();
    worth_saying(&mut all, |(_, severity)| *severity);
    let mut one = Written::default();
    for (text, severity) in all {
        one.push(severity, |to| to.push_str(text));
    }
    Arc::new(one)
}

fn send(output: &Output, sent: &mut Reports, mut reports: Reports, must_not_wait: bool) {
    for (uri, before) in &mut *sent {
        if !reports.contains_key(uri) && before.1.len() > 0 {
            tell(output, uri, &Report::default(), must_not_wait);
        }
    }
    sent.retain(|uri, _| reports.contains_key(uri));
    for (uri, report) in std::mem::take(&mut reports) {
        // For a new version the same findings, or none, are told again: editors move or drop the marks of the old one, and
        // who waits for those of this version is not left waiting.
        if sent.get(&uri).is_some_and(|before| *before == report) {
            continue;
        }
        tell(output, &uri, &report, must_not_wait);
        sent.insert(uri, report);
    }
}

/// `textDocument/publishDiagnostics`, written at once: on the way by the library's client it is made twice.
fn tell(output: &Output, uri: &Url, (version, written): &Report, must_not_wait: bool) {
    let Ok(uri) = serde_json::to_string(uri) else {
        return;
    };
    let version = version.map_or(String::new(), |version| format!(",\"version\":{version}"));
    let body = format!(
        "{{\"jsonrpc\":\"2.0\",\"method\":\"textDocument/publishDiagnostics\",\"params\":{{\"uri\":{uri}{version},\"diagnostics\":{}}}}}",
        written.array()
    );
    match must_not_wait {
        true => output.write_or_queue(body.into_bytes()),
        false => output.write(body.into_bytes()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::keys::key_of;
    use super::super::session::Session;
    use super::*;
    use crate::text::{Change, Position};
    use proptest::prelude::*;

    fn uri(n: usize) -> Url {
        Url::parse(&format!("file:///no-such-folder/{n}.harness")).unwrap()
    }

    fn reports_of(session: &Session) -> Reports {
        let patience = Patience {
            stop: &|| false,
            short: None,
        };
        reports(&session.snapshot(), &patience).unwrap()
    }

    /// What one may do to one of four documents.
    #[derive(Clone, Debug)]
    enum Step {
        Open(usize, String),
        Insert(usize, String),
        Lose(usize),
        Close(usize),
        Look,
    }

    fn step() -> impl Strategy<Value = Step> {
        let line = prop_oneof![
            (0usize..4).prop_map(|n| format!("use \"{n}.harness\"\n")),
            Just("@@\n".to_owned()),
            Just("zone a\n".to_owned()),
        ];
        let text = prop::collection::vec(line.clone(), 0..4).prop_map(|lines| lines.concat());
        prop_oneof![
            (0usize..4, text).prop_map(|(n, text)| Step::Open(n, text)),
            (0usize..4, line).prop_map(|(n, text)| Step::Insert(n, text)),
            (0usize..4).prop_map(Step::Lose),
            (0usize..4).prop_map(Step::Close),
            Just(Step::Look),
        ]
    }

    fn take(session: &Session, step: &Step) {
        match step {
            Step::Open(n, text) => session.open(uri(*n), text, 1).unwrap(),
            Step::Insert(n, text) => {
                let start = (Position::default(), Position::default());
                let change = Change {
                    range: Some(start),
                    text: text.clone(),
                };
                let _ = session.edit(&key_of(&uri(*n)), vec![change], 1);
            }
            Step::Lose(n) => _ = session.lose(&uri(*n)),
            Step::Close(n) => _ = session.close(&uri(*n)),
            Step::Look => _ = reports_of(session),
        }
    }

    /// A session that has just been given the same texts.
    fn fresh(session: &Session) -> Session {
        let other = Session::default();
        for open in session.snapshot().world.documents.values() {
            match open.document.text() {
                Ok(text) => other.open(open.uri.clone(), text, 1).unwrap(),
                Err(_) => {
                    other.open(open.uri.clone(), "", 1).unwrap();
                    other.lose(&open.uri);
                }
            }
        }
        other
    }

    proptest! {
        /// What is kept from one moment to the next never shows.
        #[test]
        fn the_way_to_a_text_does_not_matter(steps in prop::collection::vec(step(), 0..25)) {
            let session = Session::default();
            for step in &steps {
                take(&session, step);
            }
            prop_assert_eq!(reports_of(&session), reports_of(&fresh(&session)));
        }
    }

    #[test]
    fn a_used_file_is_no_plan_of_its_own() {
        let session = Session::default();
        session.open(uri(0), "@@\n", 1).unwrap();
        session.open(uri(1), "use \"0.harness\"\n", 1).unwrap();
        let plans = session.snapshot().plans(&|| false).unwrap();
        assert_eq!(plans.plans.len(), 1);
        assert_eq!(reports_of(&session)[&uri(0)].1.len(), 1);
        assert_eq!(reports_of(&session)[&uri(1)].1.len(), 0);
    }

    #[test]
    fn a_circle_of_uses_is_one_plan() {
        let session = Session::default();
        session.open(uri(0), "use \"1.harness\"\n", 1).unwrap();
        session.open(uri(1), "use \"0.harness\"\n", 1).unwrap();
        assert_eq!(session.snapshot().plans(&|| false).unwrap().plans.len(), 1);
    }

    #[test]
    fn work_on_an_old_text_stops() {
        let session = Session::default();
        session.open(uri(0), "@@\n", 1).unwrap();
        let old = session.snapshot();
        session.open(uri(0), "zone a\n", 2).unwrap();
        assert!(session.is_past(&old));
        let patience = Patience {
            stop: &|| session.is_past(&old),
            short: None,
        };
        assert_eq!(reports(&old, &patience), None);
    }

    #[test]
    fn what_was_worked_out_is_kept_while_it_holds() {
        let session = Session::default();
        session.open(uri(0), "@@\n", 1).unwrap();
        session.open(uri(1), "@@\n", 1).unwrap();
        let before = session.snapshot().plans(&|| false).unwrap();
        let end = (
            Position { line: 9, column: 0 },
            Position { line: 9, column: 0 },
        );
        let change = Change {
            range: Some(end),
            text: "@@".into(),
        };
        session
            .edit(&key_of(&uri(1)), vec![change], 2)
            .unwrap()
            .unwrap();
        let after = session.snapshot().plans(&|| false).unwrap();
        assert!(Arc::ptr_eq(&before.plans[0], &after.plans[0]));
        assert!(!Arc::ptr_eq(&before.plans[1], &after.plans[1]));
    }
}
