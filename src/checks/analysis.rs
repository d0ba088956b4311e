//! The whole pure function from text to findings, and from findings to mends that are known to mend.

use crate::circuit::Stop;
use std::cell::{Cell, OnceCell};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::facts::{Asked, Fact};
use super::in_common::InCommon;
use super::in_copper::InCopper;
use super::{CHECKS, Check, Context, Finding, accept, copies, named, reading, resistor_too_hot};
use crate::circuit::alike::are_alike;
use crate::circuit::breaks::{Breaks, is_same_copper};
use crate::circuit::fused_runs::FusedRun;
use crate::circuit::side_by_side::side_by_side;
use crate::circuit::{Solution, most_lumps, solve};
use crate::plan::{
    Edit, Elsewhere, Excerpt, FileKey, ItemId, MOST_COMPARED, Part, Plan, Severity, Sources,
    UseFailure,
};
use crate::rewrites::{changed_texts, in_one_copy, keep_comments};
use crate::syntax::read_file_reusing;
use crate::syntax::tree::Stanza;
use crate::units::Power;

pub use crate::rewrites::Candidate as Mend;

/// A plan, its figures, and what the checks find.
#[derive(Clone, Debug, Default)]
pub struct Analysis {
    /// The plan.
    pub plan: Plan,
    /// Its figures.
    pub solution: Arc<Solution>,
    /// What is to be said, in the order of the files and of the places in them.
    pub findings: Vec<Finding>,
    /// What the checks asked to know of the whole plan.
    pub asked: Asked,
    /// The checks that say nothing where something could not be read, with what they asked for.
    pub waiting: Vec<(&'static str, Fact)>,
    copper: Arc<InCopper>,
    common: InCommon,
}

impl Analysis {
    /// Reads, solves and checks a plan. `stop` is asked now and then whether the result is still
    /// wanted; once it says no, what comes back is to be thrown away.
    pub fn of(root: FileKey, text: Arc<str>, sources: &dyn Sources, stop: Stop) -> Analysis {
        let mut analysis = Analysis::unchecked(Plan::of(root, text, sources), stop);
        analysis.check(stop);
        analysis
    }

    /// Reads a plan; nothing is solved or checked. It is enough for what asks about names alone.
    pub fn of_names(root: FileKey, text: Arc<str>, sources: &dyn Sources) -> Analysis {
        Analysis {
            plan: Plan::of(root, text, sources),
            ..Analysis::default()
        }
    }

    /// A part of a plan, its stanzas read already: solved, not yet checked. `before` are some that it may have the
    /// figures of, first the one that it differs from least.
    pub fn of_part(
        excerpt: Excerpt,
        elsewhere: Elsewhere,
        before: &[&Analysis],
        stop: Stop,
    ) -> Analysis {
        let plan = Plan::of_excerpt(excerpt, elsewhere, before.first().map(|of| &of.plan));
        // One that was stopped has fewer scenes.
        let is_solved = |of: &Analysis| of.solution.scenes.len() == of.plan.scenes.len() + 1;
        let copper = before.iter().find(|of| is_same_copper(&of.plan, &plan));
        let copper = copper.map(|of| of.copper.clone()).unwrap_or_default();
        debug_assert!(copper.holds_for(&plan), "the copper is another one");
        let mut before = before.iter();
        let solution = match before.find(|of| is_solved(of) && are_alike(&of.plan, &plan)) {
            Some(of) => of.solution.clone(),
            None => Arc::new(solve(&plan, stop)),
        };
        Analysis {
            plan,
            solution,
            copper,
            ..Analysis::default()
        }
    }

    fn unchecked(plan: Plan, stop: Stop) -> Analysis {
        let solution = Arc::new(solve(&plan, stop));
        Analysis {
            plan,
            solution,
            ..Analysis::default()
        }
    }

    /// Runs all checks.
    pub fn check(&mut self, stop: Stop) {
        let are_many = self.plan.items.len() >= MANY_ITEMS;
        let (findings, waiting) = findings(self.context(), are_many, stop);
        self.findings = findings;
        self.waiting = waiting;
    }

    /// What goes dark with each item; worked out when first asked for.
    pub fn breaks(&self) -> &Breaks {
        self.context().breaks()
    }

    /// All runs with the fuse ahead of each; worked out when first asked for.
    pub fn fused_runs(&self) -> &[FusedRun] {
        self.context().fused_runs()
    }

    /// The heat in the resistor that an item is or has, at its worst over scenes and corners, duty applied.
    pub fn heat_of_resistor(&self, item: ItemId) -> Option<Power> {
        resistor_too_hot::heat(&self.context(), item)
    }

    fn context(&self) -> Context<'_> {
        Context {
            plan: &self.plan,
            solution: &self.solution,
            copper: &self.copper,
            common: &self.common,
            asked: &self.asked,
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

    /// As [`Analysis::with_edits`]; `None` where the edits do not fit.
    pub fn changed(&self, edits: &[Edit], stop: Stop) -> Option<Analysis> {
        let changed = changed_texts(&self.plan, edits)?.into_iter();
        let texts = changed.map(|(file, text)| (self.plan.files[file.0].key.clone(), text.into()));
        let texts: BTreeMap<FileKey, Arc<str>> = texts.collect();
        let meant = &self.plan.meant;
        match self.plan.elsewhere == Elsewhere::default() {
            true => {
                let more = meant
                    .texts
                    .iter()
                    .map(|(key, text)| (key.clone(), text.clone()));
                let texts = more.chain(texts).collect();
                self.with_files(texts, &meant.led_to, stop)
            }
            false => self.changed_part(texts, stop),
        }
    }

    /// A part of a larger plan with other words.
    fn changed_part(&self, mut texts: BTreeMap<FileKey, Arc<str>>, stop: Stop) -> Option<Analysis> {
        let (plan, elsewhere) = (&self.plan, self.plan.elsewhere.clone());
        let file = plan.files.first()?;
        let mut part = match plan.files.len() {
            1 => {
                let text = texts.remove(&file.key).unwrap_or(file.text.clone());
                let tree = read_file_reusing(&text, &file.tree).stanzas.into_iter();
                let stanzas: Vec<Arc<Stanza>> = tree.map(|placed| placed.stanza).collect();
                let excerpt = Excerpt {
                    files: vec![(&file.key, &stanzas)],
                    brings: HashMap::new(),
                    problems: Vec::new(),
                    uses: &plan.uses,
                    meant: &plan.meant,
                };
                Analysis::of_part(excerpt, elsewhere, &[self], stop)
            }
            _ => {
                let texts = self.all_texts(texts);
                let files = self.in_memory(&texts, &plan.meant.led_to);
                let text = texts.get(&file.key)?.clone();
                let part = Plan::part_of(file.key.clone(), text, &files, elsewhere);
                Analysis::unchecked(part, stop)
            }
        };
        part.check(stop);
        Some(part)
    }

    /// The same plan with other texts for some of its files, or with more files. `led_to` says where a path written in a file leads,
    /// where that is not known yet. `None` for a plan without files.
    pub fn with_files(
        &self,
        texts: BTreeMap<FileKey, Arc<str>>,
        led_to: &[(FileKey, Arc<str>, FileKey)],
        stop: Stop,
    ) -> Option<Analysis> {
        let texts = self.all_texts(texts);
        let root = self.plan.files.first()?.key.clone();
        let text = texts.get(&root)?.clone();
        let files = self.in_memory(&texts, led_to);
        Some(Analysis::of(root, text, &files, stop))
    }

    /// These texts, and those of its other files.
    fn all_texts(&self, mut texts: BTreeMap<FileKey, Arc<str>>) -> BTreeMap<FileKey, Arc<str>> {
        for file in &self.plan.files {
            let text = texts.entry(file.key.clone());
            text.or_insert_with(|| file.text.clone());
        }
        texts
    }

    fn in_memory<'a>(
        &'a self,
        texts: &'a BTreeMap<FileKey, Arc<str>>,
        led_to: &'a [(FileKey, Arc<str>, FileKey)],
    ) -> InMemory<'a> {
        InMemory {
            texts,
            uses: &self.plan.uses,
            led_to,
        }
    }

    /// What an editor may offer for a finding, the preferred one first. A mend is offered only where it keeps the comments among
    /// the words, and the changed plan, read and solved anew, no longer has the finding, and
    ///
    /// - for a fault of reading, no stanza reads worse than before: a repaired word may well uncover what the
    ///   fault hid (a short, a wrong cut), and that is no reason to keep the fault;
    /// - for all other findings, no new error or warning came, and none became worse.
    pub fn mends(&self, finding: usize) -> Vec<Mend> {
        self.mends_within(finding, &Cell::new(usize::MAX), &|| false)
    }

    /// As [`Analysis::mends`]; no more than `tries` changed plans are read and solved, of which those that were are taken off. It
    /// gives up, with what it has, when there are none left or `stop` says so.
    pub fn mends_within(&self, finding: usize, tries: &Cell<usize>, stop: Stop) -> Vec<Mend> {
        self.proved_mends(finding, tries, stop).collect()
    }

    /// The first of [`Analysis::mends_within`]; the others are not tried.
    pub(super) fn preferred_mend(
        &self,
        finding: usize,
        tries: &Cell<usize>,
        stop: Stop,
    ) -> Option<Mend> {
        self.proved_mends(finding, tries, stop).next()
    }

    /// How many changes of the plan may be tried, each by reading, solving and checking it again, so that nobody waits long. It is
    /// counted and not timed: the same text has the same mends on any machine.
    pub fn tries(&self) -> usize {
        MOST_TRIED / self.weight().max(1)
    }

    /// What it takes to read, solve and check the plan once, in bytes of the text of a plan of lights: 0.15 to 0.5 µs each.
    fn weight(&self) -> usize {
        let plan = &self.plan;
        let text: usize = plan.files.iter().map(|file| file.text.len()).sum();
        let most = most_lumps(plan) as usize;
        let lumps = plan.items.iter().filter_map(|item| match item.part {
            Part::Strip { groups, .. } => Some((groups as usize).min(most)),
            _ => None,
        });
        let batteries = plan
            .items
            .iter()
            .filter(|item| matches!(&item.part, Part::Supply(supply) if supply.capacity.is_some()));
        let solved = self.solution.states().filter(|state| !state.is_repeat);
        let each = plan.items.len() * FOR_AN_ITEM + lumps.sum::<usize>() * FOR_A_LUMP;
        let looked_up = (plan.unknown.len() * plan.compared).min(MOST_COMPARED);
        text * (1 + plan.links.len() / LINKS_AS_MUCH)
            + solved.count() * each
            + batteries.count() * FOR_A_BATTERY
            + self.findings.len() * FOR_A_FINDING
            + looked_up / COMPARED_AS_MUCH
    }

    /// Whether a mend is proposed for any of the first findings; whether it does what it is for is not tried.
    pub fn may_be_mended(&self, stop: Stop) -> bool {
        let is_proposed = |finding: &Finding| {
            let propose = named(finding.check).and_then(|check| check.mends);
            propose.is_some_and(|propose| {
                !self.proposed(finding, propose).is_empty()
                    || copies::one_by_one(&self.context(), finding).is_some()
            })
        };
        let mut findings = self.findings.iter().take(ASKED_FOR_MENDS);
        self.findings.len() > ASKED_FOR_MENDS
            || findings.any(|finding| !stop() && is_proposed(finding))
    }

    /// The mends of a finding, each tried when it is asked for.
    fn proved_mends<'a>(
        &'a self,
        finding: usize,
        tries: &'a Cell<usize>,
        stop: Stop<'a>,
    ) -> impl Iterator<Item = Mend> + 'a {
        let proposed = self.findings.get(finding).and_then(|finding| {
            let check = named(finding.check)?;
            Some((finding, check, check.mends?))
        });
        proposed
            .into_iter()
            .flat_map(move |(finding, check, propose)| {
                // Most findings of a broken text have nothing that could be tried.
                let before = OnceCell::new();
                let each = copies::one_by_one(&self.context(), finding);
                let mends_it = {
                    let is_shared = each.is_some();
                    move |mend: Mend| -> Option<Mend> {
                        let left = tries.get();
                        if left == 0 || !keep_comments(&self.plan, &mend.edits) {
                            return None;
                        }
                        tries.set(left - 1);
                        let after = (!stop()).then(|| self.changed(&mend.edits, stop)).flatten();
                        let after = after.filter(|after| {
                            // What copies shared must not go on in one of them.
                            let in_all = !is_shared || after.said_by(check) < self.said_by(check);
                            let key = self.key(finding);
                            let before = before.get_or_init(|| self.tally());
                            !stop() && in_all && is_mended(&key, before, &after.tally(), check)
                        })?;
                        Some(mend.told_of(&after.plan, &after.solution))
                    }
                };
                let mut first = self.proposed(finding, propose).into_iter();
                let mut each = each;
                let mut found = false;
                std::iter::from_fn(move || {
                    if let Some(mend) = first.find_map(&mends_it) {
                        found = true;
                        return Some(mend);
                    }
                    let each = each.take().filter(|_| !found)?;
                    self.mends_of_each(&each, propose)
                        .into_iter()
                        .find_map(&mends_it)
                })
            })
    }

    /// What is proposed for a finding: for one of a single copy, what that copy can say.
    fn proposed(&self, finding: &Finding, propose: Propose) -> Vec<Mend> {
        let context = self.context();
        match copies::on_its_piece(&context, finding) {
            None => propose(&context, finding),
            Some((as_found, copy)) => propose(&context, &as_found)
                .into_iter()
                .filter_map(|mend| in_one_copy(&self.plan, copy, mend))
                .collect(),
        }
    }

    /// How many findings a check has.
    fn said_by(&self, check: &Check) -> usize {
        let findings = self.findings.iter();
        findings.filter(|f| f.check == check.name).count()
    }

    /// Whether a changed plan has no error or warning that this one has not, and none that is worse.
    pub fn is_no_worse(&self, after: &Analysis) -> bool {
        no_worse(&self.tally(), &after.tally())
    }

    /// Mends of a finding that copies share where one change of the piece does not serve them all: for each copy the
    /// first that is proposed for it; and the same said by each copy alone.
    fn mends_of_each(&self, each: &[(Finding, ItemId)], propose: Propose) -> Vec<Mend> {
        let context = self.context();
        let first = |(finding, copy): &(Finding, ItemId)| {
            Some((propose(&context, finding).into_iter().next()?, *copy))
        };
        let Some(firsts) = each.iter().map(first).collect::<Option<Vec<_>>>() else {
            return Vec::new();
        };
        let alone = firsts
            .iter()
            .map(|(mend, copy)| in_one_copy(&self.plan, *copy, mend.clone()));
        let together = firsts.iter().map(|(mend, _)| Some(mend.clone()));
        [merged(together), merged(alone)]
            .into_iter()
            .flatten()
            .collect()
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

/// Of so many findings it is asked whether a mend is proposed; of more it is taken for granted.
const ASKED_FOR_MENDS: usize = 16;

/// Changed plans are tried up to this weight ([`Analysis::tries`]).
const MOST_TRIED: usize = 2_000_000;
/// What an item weighs in each state, and a lump of a strip, which takes many steps to settle.
const FOR_AN_ITEM: usize = 16;
const FOR_A_LUMP: usize = 120;
/// What a battery weighs: its circuit is solved at some hundreds of voltages.
const FOR_A_BATTERY: usize = 3_000;
/// What a finding weighs, above all where the text is hardly a plan: that it is said, and looked up among those there were.
const FOR_A_FINDING: usize = 4;
/// So many names that one which leads nowhere is compared with weigh as much as a byte.
const COMPARED_AS_MUCH: usize = 2;
/// So many links weigh as much as all the text: what breaks is worked out anew without each.
const LINKS_AS_MUCH: usize = 8;

/// From so many items on the checks are run side by side.
const MANY_ITEMS: usize = 500;

/// How a check proposes mends.
type Propose = fn(&Context, &Finding) -> Vec<Mend>;

/// Several mends as one; `None` where there is none for one of them.
fn merged(mends: impl Iterator<Item = Option<Mend>>) -> Option<Mend> {
    let (mut titles, mut edits): (Vec<String>, Vec<Edit>) = (Vec::new(), Vec::new());
    let mut told = Vec::new();
    for mend in mends {
        let mend = mend?;
        if !titles.contains(&mend.title) {
            titles.push(mend.title);
            told.extend(mend.told);
        }
        let new = mend.edits.into_iter().filter(|e| !edits.contains(e));
        let new: Vec<Edit> = new.collect();
        edits.extend(new);
    }
    let title = titles.join("; ");
    Some(Mend { title, edits, told })
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
        let many = |tally: &Tally, of: &dyn Fn(&str) -> bool| -> usize {
            let those = tally.iter().filter(|(key, _)| of(key.check));
            those.map(|(_, severities)| severities.len()).sum()
        };
        let misread = |tally| many(tally, &reading::is_of_text);
        // What has a place but is wrong is no reason for words that have none.
        let unread = |tally| many(tally, &|check| check == "syntax");
        let less = usize::from(reading::is_of_text(check.name));
        return misread(after) + less <= misread(before) && unread(after) <= unread(before);
    }
    no_worse(before, after)
}

/// Whether each error and warning had one at least as bad in its place before.
fn no_worse(before: &Tally, after: &Tally) -> bool {
    after.iter().all(|(key, now)| {
        let then = before.get(key).map_or(&[][..], |then| then);
        // Worst first on both sides: each that matters must have had one at least as bad in its place.
        now.iter()
            .enumerate()
            .filter(|(_, now)| **now > Severity::Hint)
            .all(|(i, now)| then.get(i).is_some_and(|then| then >= now))
    })
}

/// Runs all checks, side by side where that is worth it, and puts their findings in order.
fn findings(
    context: Context,
    are_many: bool,
    stop: Stop,
) -> (Vec<Finding>, Vec<(&'static str, Fact)>) {
    // Once it says so, nobody asks again.
    let is_over = AtomicBool::new(false);
    let is_over = || {
        is_over.load(Ordering::Relaxed)
            || stop() && {
                is_over.store(true, Ordering::Relaxed);
                true
            }
    };
    let run = |check: &Check, mut found: Vec<Finding>| {
        let asked = Asked::default();
        let first = found.len();
        if !is_over() {
            let context = Context {
                asked: &asked,
                ..context
            };
            (check.check)(&context, &mut found);
        }
        if !reading::is_of_reading(check.name) {
            // What is in error has been said; its consequences are not.
            let mut new = found.split_off(first);
            new.retain(|f: &Finding| !context.plan.left_out.contains(&f.stanza));
            found.append(&mut new);
        }
        (found, asked)
    };
    // The last looks at what all the others found.
    let (last, others) = CHECKS.split_last().unzip();
    let others: &[Check] = others.unwrap_or_default();
    let alone = |check: &Check| run(check, Vec::new());
    let mut each: Vec<(Vec<Finding>, Asked)> = match are_many {
        false => others.iter().map(alone).collect(),
        true => side_by_side(others.len() + 1, |piece| match piece.checked_sub(1) {
            // Many look at these; none has to wait for them if they are begun first.
            None => {
                context.fused_runs();
                None
            }
            Some(check) => Some(alone(&others[check])),
        })
        .into_iter()
        .flatten()
        .collect(),
    };
    let found = each.iter_mut().flat_map(|(found, _)| std::mem::take(found));
    let found: Vec<Finding> = found.collect();
    let (findings, asked) = match last {
        Some(last) => run(last, found),
        None => (found, Asked::default()),
    };
    each.push((Vec::new(), asked));
    let mut waiting = Vec::new();
    context.asked.forget();
    for (check, (_, asked)) in CHECKS.iter().zip(&each) {
        for fact in [Fact::Errors, Fact::Misses] {
            if asked.has(fact) {
                waiting.push((check.name, fact));
            }
        }
        context.asked.add(asked);
    }
    let findings = copies::gather(&context, findings);
    let mut findings = accept::apply(context.plan, findings);
    for finding in &mut findings {
        // A pattern's piece is pointed at once, not for each copy.
        let mut said = HashSet::new();
        finding.related.retain(|place| said.insert(place.clone()));
    }
    findings.sort_by_cached_key(|f| {
        let place = context.plan.in_file(f.stanza, f.span);
        (f.stanza.file, place, f.check, f.message.clone())
    });
    (findings, waiting)
}

/// The files of a plan that was read before, some of them with other text.
struct InMemory<'a> {
    texts: &'a BTreeMap<FileKey, Arc<str>>,
    uses: &'a HashMap<(FileKey, Arc<str>), Result<FileKey, UseFailure>>,
    /// More of the same.
    led_to: &'a [(FileKey, Arc<str>, FileKey)],
}

impl Sources for InMemory<'_> {
    fn read(&self, from: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        let mut more = self.led_to.iter();
        if let Some((_, _, key)) = more.find(|(file, words, _)| file == from && **words == *path) {
            let text = self.texts.get(key).ok_or(UseFailure::Missing)?;
            return Ok((key.clone(), text.clone()));
        }
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

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicUsize;

    use super::super::testing::plan;
    use super::*;

    const STOCK: &str = "tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply a 12 V 1 A\nfuse F1 200 mA from a\n";

    /// Once the result is not wanted, hardly anything more is begun.
    #[test]
    fn work_that_is_not_wanted_ends_soon() {
        let text = include_str!("../../docs/examples/lock-harbour.harness");
        let asked_until = |left: usize| {
            let asked = AtomicUsize::new(0);
            let stop = || asked.fetch_add(1, Ordering::Relaxed) >= left;
            Analysis::of(
                FileKey::new("plan"),
                text.into(),
                &crate::plan::Alone,
                &stop,
            );
            asked.into_inner()
        };
        let all = asked_until(usize::MAX);
        assert!(all > CHECKS.len(), "it is asked {all} times in all");
        for left in [0, all / 10, all / 2, all * 9 / 10, all - 1] {
            let after = asked_until(left) - left;
            assert!(after <= 16, "asked {after} times after {left} of {all}");
        }
    }

    #[test]
    fn side_by_side_the_checks_say_the_same() {
        let example = include_str!("../../docs/examples/lock-harbour.harness");
        let faulty = format!(
            "{STOCK}{PATTERN}strip s of wram 7 lamps from F1\nstrip t of warm 7 lamps from F1\n\
             accept\nharness \"h\" treat single-path as off\nlamp l accept drop-too-large because \"x\"\n"
        );
        for text in [example, &faulty] {
            let analysis = plan(text);
            let by = |are_many| {
                let found = findings(analysis.context(), are_many, &|| false);
                (found, format!("{:?}", analysis.asked))
            };
            assert_eq!(by(true), by(false));
            assert_eq!(by(true).0.0, analysis.findings);
            assert!(!analysis.findings.is_empty());
        }
    }

    /// Check, severity, the words at fault.
    fn said(analysis: &Analysis) -> Vec<(&'static str, Severity, String)> {
        let words = |f: &Finding| analysis.plan.stanza(f.stanza).words(f.span).to_owned();
        let findings = analysis.findings.iter();
        findings.map(|f| (f.check, f.severity, words(f))).collect()
    }

    fn checks(text: &str) -> Vec<&'static str> {
        plan(text).findings.iter().map(|f| f.check).collect()
    }

    #[test]
    fn a_plan_may_treat_a_check_otherwise() {
        let with = |harness: &str| {
            let text = format!("harness \"h\" {harness}\n{STOCK}strip s of warm 7 lamps from F1\n");
            plan(&text)
                .findings
                .iter()
                .map(|f| f.severity)
                .collect::<Vec<_>>()
        };
        assert_eq!(with(""), [Severity::Error]);
        assert_eq!(
            with("treat cut-inside-group as warning"),
            [Severity::Warning]
        );
        assert_eq!(with("treat cut-inside-group as hint"), [Severity::Hint]);
        assert_eq!(with("treat cut-inside-group as off"), []);
        assert_eq!(with("treat single-path as off"), [Severity::Error]);
    }

    #[test]
    fn an_accept_silences_its_check_on_its_stanza() {
        let with = |accept: &str| {
            checks(&format!(
                "{STOCK}strip s of warm 7 lamps from F1{accept}\nstrip t of warm 8 lamps from F1\n"
            ))
        };
        assert_eq!(with(""), ["cut-inside-group"; 2]);
        let because = "because \"the last lamps are for the next deck\"";
        assert_eq!(
            with(&format!(" accept cut-inside-group {because}")),
            ["cut-inside-group"]
        );
        assert_eq!(
            with(&format!(" accept single-path {because}")),
            ["cut-inside-group", "accept-idle", "cut-inside-group"]
        );
    }

    fn said_messages(analysis: &Analysis) -> Vec<String> {
        let findings = analysis.findings.iter();
        findings.map(|f| f.message.clone()).collect()
    }

    const PATTERN: &str = "pattern wing\nstrip wing.tip of warm 7 lamps from wing\ncopy port of wing from F1\ncopy starboard of wing from F1\n";

    #[test]
    fn what_all_copies_share_stands_once_on_the_piece() {
        let analysis = plan(&format!("{STOCK}{PATTERN}"));
        assert_eq!(
            said(&analysis),
            [("cut-inside-group", Severity::Error, "7 lamps".to_owned())]
        );
        let finding = &analysis.findings[0];
        assert!(
            finding.message.contains("port.tip")
                && finding.message.ends_with("The same in `starboard`.")
        );
        assert_eq!(finding.item.as_ref().map(|n| &*n.0), Some("wing.tip"));
        assert_eq!(finding.about.len(), 2);
        let mends = analysis.mends(0);
        assert_eq!(analysis.with_edits(&mends[0].edits).findings, []);
    }

    #[test]
    fn all_copies_are_named_where_the_message_names_none() {
        let pattern = PATTERN
            .replace("7 lamps", "6 lamps")
            .replace("copy port", "resistor wing.r 555 ohm from wing\ncopy port");
        let said = said_messages(&plan(&format!("{STOCK}{pattern}")));
        let own = |m: &&String| m.starts_with("555 ohm");
        let message = said.iter().find(own).unwrap();
        assert!(
            message.ends_with(" This is so in `port` and `starboard`."),
            "{message}"
        );
    }

    #[test]
    fn a_place_is_pointed_at_once() {
        let text = "wire fine gauge 32 AWG carries 500 mA\nsupply s 12 V 3 A\nfuse F 1 A from s\npattern p\nload p.l draws 1 mA from p over 30 mm of fine\ncopy a of p from F\ncopy b of p from F\n";
        let analysis = plan(text);
        let finding = analysis
            .findings
            .iter()
            .find(|f| f.check == "fuse-too-large");
        assert_eq!(finding.unwrap().related.len(), 1);
    }

    #[test]
    fn an_accept_on_the_piece_holds_for_all_copies() {
        let accept = " accept cut-inside-group because \"tried\"\ncopy port";
        assert_eq!(
            checks(&format!(
                "{STOCK}{}",
                PATTERN.replacen("\ncopy port", accept, 1)
            )),
            [""; 0]
        );
    }

    #[test]
    fn what_one_copy_has_alone_stands_on_that_copy() {
        let pattern = "led ruby drops 2 V at 20 mA colour red\nzone in-a\nzone in-b\nlamp other of ruby resistor 680 ohm from F1 in in-a\npattern p needs bay\nstring p.s of ruby 2 lamps resistor 470 ohm from p in p.bay\ncopy x of p from F1 where bay in-a\ncopy y of p from F1 where bay in-b\n";
        let analysis = plan(&format!("{STOCK}{pattern}"));
        assert!(
            analysis.plan.problems.is_empty(),
            "{:?}",
            analysis.plan.problems
        );
        let series: Vec<_> = said(&analysis)
            .into_iter()
            .filter(|s| s.0 == "series-string")
            .collect();
        assert_eq!(series, [("series-string", Severity::Hint, "y".to_owned())]);
    }

    #[test]
    fn what_hangs_on_an_error_is_not_judged() {
        let text = format!(
            "{STOCK}joint keel from nowhere\nstrip s of warm 7 lamps from keel\nstrip t of warm 8 lamps from F1\n"
        );
        let analysis = plan(&text);
        let said = said(&analysis);
        assert_eq!(said.len(), 2, "{said:?}");
        assert_eq!((said[0].0, &*said[1].2), ("unknown-name", "8 lamps"));
    }

    #[test]
    fn a_mend_that_makes_something_else_worse_is_not_offered() {
        // A larger supply would be more than the unfused wire survives.
        let text = "wire fine gauge 32 AWG carries 550 mA\nsupply a 12 V 500 mA\nload m draws 510 mA from a over 100 mm of fine\n";
        let analysis = plan(text);
        let over = analysis
            .findings
            .iter()
            .position(|f| f.check == "supply-over-budget")
            .unwrap();
        assert_eq!(analysis.mends(over), []);
        // With wire that carries it, it is.
        let analysis = plan(&text.replace("550 mA", "2 A"));
        let over = analysis
            .findings
            .iter()
            .position(|f| f.check == "supply-over-budget")
            .unwrap();
        assert_eq!(analysis.mends(over).len(), 1);
    }

    /// What stood behind a clause that goes stands behind another one then, and may be taken for a part of that.
    #[test]
    fn a_mend_that_leaves_more_that_cannot_be_read_is_not_offered() {
        let mends = |behind: &str| -> Vec<String> {
            let text = format!(
                "{STOCK}led l drops 2 V at 10 mA\nwire w gauge 26 AWG\nlamp x of l resistor 1k from F1 over 50 mm {behind}\n"
            );
            let analysis = plan(&text);
            let twice = analysis
                .findings
                .iter()
                .position(|f| f.check == "clause-repeated");
            let mends = analysis.mends(twice.unwrap()).into_iter();
            mends.map(|mend| mend.title).collect()
        };
        // The first sign would be in the place of the wire, and what is behind it a second fault.
        assert_eq!(mends("ofl resistor 1{x} y"), Vec::<String>::new());
        assert_eq!(
            mends("of w resistor 1{x} y"),
            ["remove the second resistor"]
        );
        assert_eq!(mends("of w resistor 560"), ["remove the second resistor"]);
    }

    #[test]
    fn a_mend_that_loses_a_comment_is_not_offered() {
        let mends = |between: &str| {
            let text = format!(
                "{STOCK}harness \"h\" ambient 120{between}degC\nload x draws 1 mA from F1\n"
            );
            let analysis = plan(&text);
            let unlikely = analysis
                .findings
                .iter()
                .position(|f| f.check == "figure-unlikely");
            let mends = analysis.mends(unlikely.unwrap()).into_iter();
            mends.map(|mend| mend.title).collect::<Vec<_>>()
        };
        let both = [
            "120 degF instead of 120 degC",
            "20 degC instead of 120 degC",
        ];
        assert_eq!(mends(" "), both);
        assert_eq!(mends("\n  "), both);
        assert_eq!(mends(" # in the sun\n  "), Vec::<String>::new());
    }

    #[test]
    fn a_repaired_word_may_uncover_what_it_hid() {
        let analysis = plan(&format!("{STOCK}strip s of wram 7 lamps from F1\n"));
        let unknown = analysis
            .findings
            .iter()
            .position(|f| f.check == "unknown-name")
            .unwrap();
        let mends = analysis.mends(unknown);
        assert!(!mends.is_empty());
        let after = analysis.with_edits(&mends[0].edits);
        assert_eq!(
            after.findings.iter().map(|f| f.check).collect::<Vec<_>>(),
            ["cut-inside-group"]
        );
    }

    #[test]
    fn edits_reach_into_used_files() {
        let stock = STOCK.replace("3 lamps", "2 lamps");
        let files = BTreeMap::from([("stock.harness".to_owned(), Arc::from(stock))]);
        let text = "use \"stock.harness\"\nstrip s of warm 3 lamps from F1\n";
        let analysis = Analysis::of(FileKey::new("plan"), Arc::from(text), &files, &|| false);
        assert_eq!(
            said(&analysis),
            [("cut-inside-group", Severity::Error, "3 lamps".to_owned())]
        );
        let tape = analysis.plan.tapes[0].stanza;
        let clause = analysis.plan.stanza(tape).clause("group").unwrap();
        let edit = Edit {
            stanza: tape,
            span: clause.values[0].span,
            text: "3 lamps".into(),
        };
        assert_eq!(analysis.with_edits(&[edit]).findings, []);
    }

    #[test]
    fn edits_that_do_not_fit_change_nothing() {
        let analysis = plan(STOCK);
        let stanza = analysis.plan.order[0];
        let edit = |start, end| Edit {
            stanza,
            span: crate::text::Span::new(start, end),
            text: "x".into(),
        };
        for edits in [vec![edit(0, 4), edit(2, 6)], vec![edit(0, 1_000_000)]] {
            let after = analysis.with_edits(&edits);
            assert_eq!(after.plan.files[0].text, analysis.plan.files[0].text);
        }
    }

    #[test]
    fn findings_stand_in_the_order_of_the_file() {
        let text = format!(
            "{STOCK}strip t of warm 7 lamps from F1\nstrip s of wram 6 lamps from F1\nstrip u of warm 8 lamps from F1\n"
        );
        assert_eq!(
            checks(&text),
            ["cut-inside-group", "unknown-name", "cut-inside-group"]
        );
    }

    #[test]
    fn half_a_plan_is_no_trouble() {
        let text = format!("{STOCK}{PATTERN}");
        for end in (0..=text.len()).filter(|&end| text.is_char_boundary(end)) {
            let analysis = plan(&text[..end]);
            for finding in 0..analysis.findings.len() {
                analysis.mends(finding);
            }
        }
    }
}
