//! The one task that tells the client about findings. It works on the latest revision alone: an edit that comes
//! while it works makes it start over, so that no finding of an old text is ever sent.

use std::collections::BTreeMap;
use std::sync::Arc;

use tower_lsp::Client;
use tower_lsp::lsp_types::{Diagnostic, Url};

use super::convert::diagnostic;
use super::log::Log;
use super::session::{Session, Snapshot};

/// More findings than anybody reads; a file of junk must not flood the editor.
const MAX_FINDINGS: usize = 1000;

/// What a file was last said to have: at which version, and which findings.
type Report = (Option<i32>, Vec<Diagnostic>);
type Reports = BTreeMap<Url, Report>;

/// Runs as long as the session.
pub async fn publish(session: Arc<Session>, client: Client, log: Log) {
    let mut sent = Reports::new();
    loop {
        session.changed.notified().await;
        let snapshot = session.snapshot();
        let watched = session.clone();
        let work = move || reports(&snapshot, &|| watched.is_past(&snapshot));
        match tokio::task::spawn_blocking(work).await {
            Ok(Some(reports)) => send(&client, &mut sent, reports).await,
            Ok(None) => {}
            Err(_) => log.error("The findings could not be worked out for this text.".to_owned()),
        }
    }
}

/// A report for each open file and each file with findings.
fn reports(snapshot: &Snapshot, stop: &dyn Fn() -> bool) -> Option<Reports> {
    let world = &snapshot.world;
    let open = world.documents.values();
    let mut reports: Reports = open
        .map(|open| (open.uri.clone(), (open.document.version(), vec![])))
        .collect();
    for plan in &snapshot.plans(stop)?.plans {
        for finding in &plan.analysis.findings {
            let key = plan.key(finding.stanza.file);
            let Some(uri) = world.uri(key) else { continue };
            let (_, found) = reports
                .entry(uri)
                .or_insert_with(|| (world.version(key), vec![]));
            let diagnostic = diagnostic(world, plan, finding);
            // A file may be part of several plans, which all find the same in it.
            if found.len() < MAX_FINDINGS && !found.contains(&diagnostic) {
                found.push(diagnostic);
            }
        }
    }
    (!stop()).then_some(reports)
}

async fn send(client: &Client, sent: &mut Reports, mut reports: Reports) {
    for (uri, before) in &mut *sent {
        if !reports.contains_key(uri) && !before.1.is_empty() {
            client.publish_diagnostics(uri.clone(), vec![], None).await;
        }
    }
    sent.retain(|uri, _| reports.contains_key(uri));
    for (uri, report) in std::mem::take(&mut reports) {
        if sent
            .get(&uri)
            .is_some_and(|before| is_old_news(before, &report))
        {
            continue;
        }
        let (version, findings) = report.clone();
        client
            .publish_diagnostics(uri.clone(), findings, version)
            .await;
        sent.insert(uri, report);
    }
}

/// The same findings are sent again for a new version, since editors move or drop the marks of the old one; but a
/// text without findings is said to be so only once.
fn is_old_news(before: &Report, now: &Report) -> bool {
    before == now || (before.1.is_empty() && now.1.is_empty())
}

#[cfg(test)]
mod tests {
    use super::super::session::Session;
    use super::*;
    use crate::text::{Change, Position};
    use proptest::prelude::*;

    fn uri(n: usize) -> Url {
        Url::parse(&format!("file:///no-such-folder/{n}.harness")).unwrap()
    }

    fn reports_of(session: &Session) -> Reports {
        reports(&session.snapshot(), &|| false).unwrap()
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
                let _ = session.edit(&uri(*n), vec![change], 1);
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
        assert_eq!(reports(&old, &|| session.is_past(&old)), None);
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
        session.edit(&uri(1), vec![change], 2).unwrap().unwrap();
        let after = session.snapshot().plans(&|| false).unwrap();
        assert!(Arc::ptr_eq(&before.plans[0], &after.plans[0]));
        assert!(!Arc::ptr_eq(&before.plans[1], &after.plans[1]));
    }
}
