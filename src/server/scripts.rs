//! Whatever is done to the documents and to the files beside them, however often somebody gave up while looking: what
//! the session says afterwards is what one says that has just been given the same texts.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use proptest::prelude::RngExt;
use proptest::test_runner::TestRng;
use tower_lsp::lsp_types::Url;

use super::capabilities::Client;
use super::convert;
use super::in_parts;
use super::keys::key_of;
use super::plans::Patience;
use super::session::Session;
use super::settings::Settings;
use super::told::Written;
use crate::plan::FileId;
use crate::text::scripts::{change, floor, made, scripts, seeded};
use crate::text::{Change, Encoding, Fault};

const NAMES: [&str; 5] = [
    "stock.harness",
    "plan.harness",
    "annex.harness",
    "yard/lone.harness",
    "none.harness",
];

fn house(k: usize) -> String {
    include_str!("../parts/street.unit.harness").replace("{k}", &k.to_string())
}

/// Some plans that use each other, and one that stands alone.
fn texts() -> [String; 5] {
    let stock = include_str!("../parts/street.head.harness");
    let small = include_str!("../../docs/examples/signal-cabin.harness");
    [
        format!("# the drawer 😀\r\n{}", stock.replace('\n', "\r\n")),
        format!("use \"stock.harness\"\nuse \"annex.harness\"\n{}", house(1)),
        "zone shed inside 240 cm2 windows 18 cm2\npassage gap between shed and hall-1 bore 2 mm\n"
            .to_owned(),
        format!(
            "{stock}{}{}{}",
            house(1),
            house(2).replace("6 lamps", "7 lamps"),
            house(3)
        ),
        small.to_owned(),
    ]
}

struct Script {
    folder: tempfile::TempDir,
    encoding: Encoding,
    session: Session,
    /// The open documents, as the client has them; `None` where nobody knows.
    open: BTreeMap<usize, Option<String>>,
    version: i32,
    has_folder: bool,
}

impl Script {
    fn new(encoding: Encoding) -> Script {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("yard")).unwrap();
        for (name, text) in NAMES.iter().zip(texts()) {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        let session = Session::default();
        session.begin(client(encoding), Settings::default(), Vec::new());
        Script {
            folder,
            encoding,
            session,
            open: BTreeMap::new(),
            version: 0,
            has_folder: false,
        }
    }

    fn uri(&self, n: usize) -> Url {
        Url::from_file_path(self.folder.path().join(NAMES[n])).unwrap()
    }

    fn open(&mut self, n: usize, text: String) {
        self.version += 1;
        let opened = self.session.open(self.uri(n), &text, self.version);
        opened.unwrap();
        self.open.insert(n, Some(text));
    }

    /// Does something, and says what.
    fn step(&mut self, random: &mut TestRng) -> String {
        let n = random.random_range(0..NAMES.len());
        let path = self.folder.path().join(NAMES[n]);
        let on_disk = std::fs::read_to_string(&path).unwrap_or_default();
        match random.random_range(0..20usize) {
            0 | 1 => {
                self.open(n, on_disk);
                format!("open {n}")
            }
            2 => {
                let was_open = self.open.remove(&n).is_some();
                assert_eq!(self.session.close(&self.uri(n)), was_open);
                format!("close {n}")
            }
            3 | 4 => {
                let mut text = on_disk;
                let change = change(random, &text, Encoding::Utf8);
                made(&mut text, &change, Encoding::Utf8);
                std::fs::write(path, text).unwrap();
                self.session.forget_disk();
                format!("on the disk {n} {change:?}")
            }
            5 => {
                let _ = std::fs::remove_file(path);
                self.session.forget_disk();
                format!("remove {n}")
            }
            6 => {
                std::fs::write(path, &texts()[n]).unwrap();
                self.session.forget_disk();
                format!("write {n}")
            }
            7 => {
                let folder = self.folder.path().join("yard");
                match self.has_folder {
                    false => self.session.change_folders(vec![folder], &[]),
                    true => self.session.change_folders(vec![], &[folder]),
                }
                self.has_folder = !self.has_folder;
                "folders".to_owned()
            }
            8..=10 => {
                let left = AtomicI64::new(random.random_range(0..60));
                let is_over = || left.fetch_sub(1, Ordering::Relaxed) <= 0;
                let none = || false;
                let time = AtomicI64::new(random.random_range(0..6));
                let is_time = || time.fetch_sub(1, Ordering::Relaxed) > 0;
                let (stop, short): (crate::parts::Stop, _) = match random.random_range(0..3) {
                    0 => (&is_over, None),
                    1 => (&none, Some(&is_time as crate::parts::Stop)),
                    _ => (&is_over, Some(&is_time as crate::parts::Stop)),
                };
                let patience = Patience { stop, short };
                self.session.snapshot().plans_with(&patience);
                "a look".to_owned()
            }
            _ => self.edit(random, n),
        }
    }

    fn edit(&mut self, random: &mut TestRng, n: usize) -> String {
        self.version += 1;
        let Some(known) = self.open.get_mut(&n) else {
            let edited = self
                .session
                .edit(&key_of(&self.uri(n)), vec![], self.version);
            assert!(edited.is_none());
            return format!("edit {n}, which is not open");
        };
        let mut text = known.clone().unwrap_or_default();
        let mut is_known = known.is_some();
        let changes: Vec<Change> = (0..random.random_range(0..5))
            .map(|_| {
                let change = match is_known {
                    false if random.random_bool(0.6) => Change {
                        range: None,
                        text: texts()[n].clone(),
                    },
                    _ => change(random, &text, self.encoding),
                };
                let fits = made(&mut text, &change, self.encoding);
                is_known = change.range.is_none() || (is_known && fits);
                change
            })
            .collect();
        *known = is_known.then_some(text);
        let said = format!("edit {n} {changes:?}");
        let edited = self
            .session
            .edit(&key_of(&self.uri(n)), changes, self.version);
        let wanted = if is_known {
            Ok(())
        } else {
            Err(Fault::OutOfSync)
        };
        assert_eq!(edited, Some(wanted), "{said}");
        said
    }

    /// A session that has just been given the same texts.
    fn fresh(&self) -> Session {
        let fresh = Session::default();
        let folders = [self.folder.path().join("yard")];
        let folders = folders.into_iter().filter(|_| self.has_folder).collect();
        fresh.begin(client(self.encoding), Settings::default(), folders);
        for (n, text) in &self.open {
            let uri = self.uri(*n);
            fresh
                .open(uri.clone(), text.as_deref().unwrap_or_default(), 1)
                .unwrap();
            if text.is_none() {
                fresh.lose(&uri);
            }
        }
        fresh
    }

    fn hold(&self, random: &mut TestRng, said: &[String]) {
        for (n, text) in &self.open {
            let snapshot = self.session.snapshot();
            let key = super::keys::key_of(&self.uri(*n));
            assert_eq!(
                snapshot.world.text(&key).as_deref(),
                text.as_deref(),
                "{said:#?}"
            );
        }
        let fresh = self.fresh();
        assert_eq!(told(&self.session), told(&fresh), "{said:#?}");
        for (n, text) in &self.open {
            let Some(text) = text else { continue };
            let at = floor(text, random.random_range(0..=text.len()));
            let asked = |session: &Session| {
                let here = session.snapshot().here(&self.uri(*n), &|| false).unwrap();
                let offers = in_parts::completion(&here, at);
                let offers = offers.map(|offers| {
                    let labels = offers.list.into_iter().map(|offer| offer.label);
                    (offers.word, labels.collect::<Vec<_>>())
                });
                (
                    in_parts::hover(&here, at),
                    in_parts::signature(&here, at),
                    offers,
                    in_parts::outline(&here),
                )
            };
            assert_eq!(
                asked(&self.session),
                asked(&fresh),
                "{n} at {at}: {said:#?}"
            );
        }
    }
}

fn client(encoding: Encoding) -> Client {
    Client {
        encoding,
        related_information: true,
        unnecessary: true,
        ..Client::default()
    }
}

/// What is said of each file of each plan. Where a plan is kept in parts, it is held against the whole of it.
fn told(session: &Session) -> Vec<(String, String, String)> {
    let snapshot = session.snapshot();
    let world = &snapshot.world;
    let plans = snapshot.plans(&|| false).unwrap();
    let mut all = Vec::new();
    for plan in &plans.plans {
        let said: &[(FileId, Arc<Written>)] = plan.told();
        for file in (0..plan.keys().count()).map(FileId) {
            let written = said.iter().find(|(of, _)| *of == file);
            let written = written.map_or("[]".to_owned(), |(_, written)| written.array());
            let whole = plan.analysis.findings.iter();
            let whole = whole.filter(|finding| finding.stanza.file == file);
            let whole: Vec<_> = whole.map(|f| convert::diagnostic(world, plan, f)).collect();
            assert_eq!(written, serde_json::to_string(&whole).unwrap());
        }
        for (file, written) in said {
            let uri = world.uri(plan.key(*file)).unwrap().to_string();
            all.push((plan.root().0.to_string(), uri, written.array()));
        }
    }
    all
}

fn run(seed: u64, steps: usize) {
    let mut random = seeded(seed);
    let encoding = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32][seed as usize % 3];
    let mut script = Script::new(encoding);
    for n in [0, 1, 3] {
        if random.random_bool(0.7) {
            let text = texts()[n].clone();
            script.open(n, text);
        }
    }
    let mut said = vec![format!("seed {seed}")];
    for _ in 0..steps {
        said.push(script.step(&mut random));
        if random.random_bool(0.5) {
            script.hold(&mut random, &said);
        }
    }
    script.hold(&mut random, &said);
}

#[test]
fn what_was_done_before_does_not_show() {
    for seed in 0..scripts(6) {
        run(seed, 16);
    }
}
