//! The whole pure function from text to findings, and from findings to mends that are known to mend.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use super::{CHECKS, Check, Context, Finding, accept, copies, named, reading};
use crate::circuit::{Solution, solve};
use crate::plan::{Edit, FileKey, Plan, Severity, Sources, UseFailure};
use crate::rewrites::changed_texts;

pub use crate::rewrites::Candidate as Mend;

/// A plan, its figures, and what the checks find.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// The plan.
    pub plan: Plan,
    /// Its figures.
    pub solution: Solution,
    /// What is to be said, in the order of the files and of the places in them.
    pub findings: Vec<Finding>,
}

impl Analysis {
    /// Reads, solves and checks a plan. `stop` is asked now and then whether the result is still
    /// wanted; once it says no, what comes back is to be thrown away.
    pub fn of(
        root: FileKey,
        text: Arc<str>,
        sources: &dyn Sources,
        stop: &dyn Fn() -> bool,
    ) -> Analysis {
        let plan = Plan::of(root, text, sources);
        let solution = solve(&plan, stop);
        let findings = findings(
            Context {
                plan: &plan,
                solution: &solution,
            },
            stop,
        );
        Analysis {
            plan,
            solution,
            findings,
        }
    }

    /// The same files with words changed, read, solved and checked. Edits that overlap or lie outside
    /// their stanzas change nothing.
    pub fn with_edits(&self, edits: &[Edit]) -> Analysis {
        match self.changed(edits, &|| false) {
            Some(changed) => changed,
            None => self.clone(),
        }
    }

    fn changed(&self, edits: &[Edit], stop: &dyn Fn() -> bool) -> Option<Analysis> {
        let mut changed = changed_texts(&self.plan, edits)?;
        let mut texts: BTreeMap<FileKey, Arc<str>> = BTreeMap::new();
        for (index, file) in self.plan.files.iter().enumerate() {
            let text = match changed.remove(&crate::plan::FileId(index)) {
                Some(text) => Arc::from(text),
                None => file.text.clone(),
            };
            texts.insert(file.key.clone(), text);
        }
        let root = self.plan.files.first()?.key.clone();
        let text = texts.get(&root)?.clone();
        let files = InMemory {
            texts: &texts,
            uses: &self.plan.uses,
        };
        Some(Analysis::of(root, text, &files, stop))
    }

    /// What an editor may offer for a finding, the preferred one first. A mend is offered only where the
    /// changed plan, read and solved anew, no longer has the finding, and
    ///
    /// - for a fault of reading, no stanza reads worse than before: a repaired word may well uncover what the
    ///   fault hid (a short, a wrong cut), and that is no reason to keep the fault;
    /// - for all other findings, no new error or warning came, and none became worse.
    pub fn mends(&self, finding: usize) -> Vec<Mend> {
        self.mends_until(finding, &|| false)
    }

    /// As [`Analysis::mends`]; gives up, with what it has, once `stop` says so.
    pub fn mends_until(&self, finding: usize, stop: &dyn Fn() -> bool) -> Vec<Mend> {
        let Some(finding) = self.findings.get(finding) else {
            return Vec::new();
        };
        let Some((check, propose)) = named(finding.check).and_then(|c| Some((c, c.mends?))) else {
            return Vec::new();
        };
        let context = Context {
            plan: &self.plan,
            solution: &self.solution,
        };
        let before = self.tally();
        let mut mends = propose(&context, finding);
        mends.retain(|mend| {
            !stop()
                && self.changed(&mend.edits, stop).is_some_and(|after| {
                    !stop() && is_mended(&self.key(finding), &before, &after.tally(), check)
                })
        });
        mends
    }

    /// What a finding is recognised by when the text around it changes: the check, the file, and what
    /// the stanza is called; a stanza without a name goes by its word.
    fn key(&self, finding: &Finding) -> Key {
        let name = match &finding.item {
            Some(name) => name.0.to_string(),
            None => self
                .plan
                .stanza(finding.stanza)
                .words(self.plan.stanza(finding.stanza).word_span)
                .to_string(),
        };
        Key {
            check: finding.check,
            file: self.plan.files[finding.stanza.file.0].key.clone(),
            name,
        }
    }

    fn tally(&self) -> Tally {
        let mut tally = Tally::new();
        for finding in &self.findings {
            tally
                .entry(self.key(finding))
                .or_default()
                .push(finding.severity);
        }
        for severities in tally.values_mut() {
            severities.sort_by(|a, b| b.cmp(a));
        }
        tally
    }
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Key {
    check: &'static str,
    file: FileKey,
    name: String,
}

/// How many findings of each key there are, and how bad, the worst first.
type Tally = HashMap<Key, Vec<Severity>>;

fn is_mended(key: &Key, before: &Tally, after: &Tally, check: &Check) -> bool {
    let count = |tally: &Tally, key: &Key| tally.get(key).map_or(0, Vec::len);
    if count(after, key) >= count(before, key) {
        return false;
    }
    if reading::is_of_reading(check.name) {
        let misread = |tally: &Tally| -> usize {
            let of_text = tally
                .iter()
                .filter(|(key, _)| reading::is_of_text(key.check));
            of_text.map(|(_, severities)| severities.len()).sum()
        };
        let less = usize::from(reading::is_of_text(check.name));
        return misread(after) + less <= misread(before);
    }
    after.iter().all(|(key, now)| {
        let then = before.get(key).map_or(&[][..], |then| then);
        // Worst first on both sides: each that matters must have had one at least as bad in its place.
        now.iter()
            .enumerate()
            .filter(|(_, now)| **now > Severity::Hint)
            .all(|(i, now)| then.get(i).is_some_and(|then| then >= now))
    })
}

/// Runs all checks and puts their findings in order.
fn findings(context: Context, stop: &dyn Fn() -> bool) -> Vec<Finding> {
    let mut findings = Vec::new();
    for check in CHECKS {
        if stop() {
            break;
        }
        let first = findings.len();
        (check.check)(&context, &mut findings);
        if !reading::is_of_reading(check.name) {
            // What is in error has been said; its consequences are not.
            let mut new = findings.split_off(first);
            new.retain(|f: &Finding| !context.plan.left_out.contains(&f.stanza));
            findings.append(&mut new);
        }
    }
    let findings = copies::gather(&context, findings);
    let mut findings = accept::apply(context.plan, findings);
    findings.sort_by_cached_key(|f| {
        let place = context.plan.in_file(f.stanza, f.span);
        (f.stanza.file, place, f.check, f.message.clone())
    });
    findings
}

/// The files of a plan that was read before, some of them with other text.
struct InMemory<'a> {
    texts: &'a BTreeMap<FileKey, Arc<str>>,
    uses: &'a HashMap<(FileKey, Arc<str>), Result<FileKey, UseFailure>>,
}

impl Sources for InMemory<'_> {
    fn read(&self, from: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        match self.uses.get(&(from.clone(), Arc::from(path))) {
            Some(Ok(key)) => {
                let text = self.texts.get(key).ok_or(UseFailure::Missing)?;
                Ok((key.clone(), text.clone()))
            }
            Some(Err(failure)) => Err(*failure),
            None => Err(UseFailure::Missing),
        }
    }
}
