//! All mends at once: every preferred mend that does not get in the way of another, again and again until there is
//! nothing more to mend.
//!
//! Causes come before what they cause ([`rank`]): a lamp without a resistor overloads the wire and the fuse ahead of it, and
//! neither is to be sized for that. In each round the findings of one rank are gone through in their order, errors first; the
//! preferred mend of each is taken unless it touches a stanza that another one of the round touches. What was taken is put in
//! together, and the plan is read and solved again: if together they bring a new error or warning, only the first is put in.
//! What did not fit comes in a later round.
//!
//! At the end each mend of a symptom, last first, is taken back where the plan is as good without it ([`Done::take_back`]).
//!
//! Of a plan of which all is one circuit, and a large one, not all mends can be tried before somebody gives up waiting: so many are as
//! [`Analysis::tries`] says, several times over.

use std::cell::Cell;
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use super::analysis::Analysis;
use super::reading::is_of_reading;
use super::undo::{Applied, History};
use super::{Finding, Mend};
use crate::circuit::Stop;
use crate::plan::{Edit, FileKey, ItemId, Severity, StanzaId};
use crate::rewrites::share_out_resistor::hangs_on;

/// What mending everything comes to.
#[derive(Clone, Debug)]
pub struct FixAll {
    /// The titles of the mends, in the order in which they were put in.
    pub mended: Vec<String>,
    /// The plan after them; its findings are what could not be settled.
    pub after: Analysis,
    /// Whether there was more to try than the plan's weight allows.
    pub is_cut_short: bool,
}

/// Findings, by what they say: whichever stanza they stand in by now.
pub type Said = HashSet<(&'static str, String)>;

/// What a finding says.
pub fn said(finding: &Finding) -> (&'static str, String) {
    (finding.check, finding.message.clone())
}

/// No more rounds than this; each has mended something, so more would only be needed by a plan with more trouble than
/// anybody would mend unseen.
const MOST_ROUNDS: usize = 40;

/// So many times as many changed plans are tried as for the mends of one place, and as many again to take back what is not needed.
const TRIES: usize = 3;

/// Where in the order of mending a check stands: what was read wrongly, then the parts, then what carries their current, from
/// the wire to the supply; last what nothing uses, since a mend may use it.
fn rank(check: &str) -> usize {
    match check {
        "wire-overloaded" | "drop-too-large" => WIRE,
        "feed-unfused" | "fuse-too-large" | "fuse-too-small" | "fuse-may-not-blow"
        | "fuse-not-preferred" | "fuse-costs-volts" => WIRE + 1,
        "supply-over-budget" | "supply-no-headroom" => SUPPLY,
        "unused-stock" | "accept-idle" => SUPPLY + 1,
        _ if is_of_reading(check) => 0,
        _ => 1,
    }
}

const WIRE: usize = 2;
const SUPPLY: usize = 4;

/// Whether what a check finds may be the doing of something else that is wrong: a wire, a fuse or a supply that has too
/// much to carry.
fn is_symptom(check: &str) -> bool {
    (WIRE..=SUPPLY).contains(&rank(check))
}

impl Analysis {
    /// Mends all that can be mended. Gives up, with what it has, once `stop` says so.
    pub fn fix_all(&self, stop: Stop) -> FixAll {
        self.fix_all_but(&Said::new(), stop)
    }

    /// As [`Analysis::fix_all`], but for what is known to have no mend.
    pub fn fix_all_but(&self, but: &Said, stop: Stop) -> FixAll {
        self.fix_within(but, self.tries().saturating_mul(TRIES), stop)
    }

    fn fix_within(&self, but: &Said, tries: usize, stop: Stop) -> FixAll {
        let mut done = Done {
            after: self.clone(),
            steps: Vec::new(),
            history: History::default(),
        };
        let (tries, tries_back) = (Cell::new(tries), Cell::new(tries));
        // A mend that undoes another would go on for ever.
        let mut seen = HashSet::from([texts(self)]);
        for _ in 0..MOST_ROUNDS {
            let round = round(&done.after, but, &tries, stop);
            let Some((together, taken)) = put_in(&done.after, &round, &tries, stop) else {
                // What was taken back may leave something that can be mended now.
                match !stop() && tries.get() > 0 && done.take_back(&tries_back, stop) {
                    true => continue,
                    false => break,
                }
            };
            if stop() || !seen.insert(texts(&together)) {
                break;
            }
            done.put_in(together, taken);
        }
        if !stop() {
            done.take_back(&tries_back, stop);
        }
        FixAll {
            mended: done.steps.into_iter().map(|step| step.title).collect(),
            after: done.after,
            is_cut_short: tries.get() == 0,
        }
    }

    /// Whether a finding is that of a wire, fuse or supply that carries the current of a light whose own current is an error:
    /// that is to be mended first, and this may be gone with it.
    pub fn is_caused(&self, finding: usize) -> bool {
        let finding = &self.findings[finding];
        let carries = |light: ItemId| {
            let mut carriers = finding.about.iter();
            carriers.any(|&on| on == light || hangs_on(&self.plan, light, on))
        };
        let mut causes = (self.findings.iter()).filter(|other| {
            other.severity == Severity::Error
                && matches!(other.check, "lamp-without-resistor" | "lamp-over-limit")
        });
        is_symptom(finding.check) && causes.any(|cause| cause.about.iter().any(|&l| carries(l)))
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

/// The plan so far, and the way to it.
struct Done {
    after: Analysis,
    steps: Vec<Step>,
    history: History,
}

/// A mend that was put in.
struct Step {
    title: String,
    is_symptom: bool,
    applied: Applied,
}

impl Done {
    /// A round was put in.
    fn put_in(&mut self, together: Analysis, taken: &[Taken]) {
        let edits = taken.iter().map(|taken| &taken.mend.edits[..]);
        let applied = self.history.add(&self.after.plan, edits);
        self.steps
            .extend(taken.iter().zip(applied).map(|(taken, applied)| Step {
                title: taken.mend.title.clone(),
                is_symptom: is_symptom(taken.check),
                applied,
            }));
        self.after = together;
    }

    /// Takes back each mend of a symptom without which there is no error or warning more, and no more findings. Whether there
    /// was one.
    fn take_back(&mut self, tries: &Cell<usize>, stop: Stop) -> bool {
        let before = self.steps.len();
        for place in (0..before).rev() {
            if stop() || tries.get() == 0 {
                break;
            }
            if !self.steps[place].is_symptom {
                continue;
            }
            let Some(edits) = (self.history).undone(&self.after.plan, &self.steps[place].applied)
            else {
                continue;
            };
            tries.set(tries.get() - 1);
            let Some(without) = self.after.changed(&edits, stop).filter(|_| !stop()) else {
                continue;
            };
            let is_as_good = self.after.is_no_worse(&without)
                && without.findings.len() <= self.after.findings.len();
            if is_as_good {
                self.history
                    .add(&self.after.plan, std::iter::once(&edits[..]));
                self.steps.remove(place);
                self.after = without;
            }
        }
        self.steps.len() < before
    }
}

/// The files of a plan by what identifies them.
fn texts(a: &Analysis) -> BTreeMap<FileKey, Arc<str>> {
    let files = a.plan.files.iter();
    files.map(|f| (f.key.clone(), f.text.clone())).collect()
}

/// A mend that a round takes, and the check whose finding it settles.
struct Taken {
    mend: Mend,
    check: &'static str,
}

/// The preferred mends of one round, all of the first rank that has any, none of which touches what another one does.
fn round(a: &Analysis, but: &Said, tries: &Cell<usize>, stop: Stop) -> Vec<Taken> {
    let mut order: Vec<usize> = (0..a.findings.len()).collect();
    order.retain(|&finding| !but.contains(&said(&a.findings[finding])));
    order.sort_by_key(|&finding| {
        let finding = &a.findings[finding];
        (rank(finding.check), std::cmp::Reverse(finding.severity))
    });
    let mut touched: HashSet<StanzaId> = HashSet::new();
    let mut taken: Vec<Taken> = Vec::new();
    for finding in order {
        let check = a.findings[finding].check;
        let is_done = taken.first().is_some_and(|t| rank(t.check) < rank(check));
        if stop() || tries.get() == 0 || is_done {
            break;
        }
        if touched.contains(&a.findings[finding].stanza) {
            continue;
        }
        let Some(mend) = a.preferred_mend(finding, tries, stop) else {
            continue;
        };
        let stanzas = |edits: &[Edit]| edits.iter().map(|e| e.stanza).collect::<HashSet<_>>();
        let its = stanzas(&mend.edits);
        if its.is_disjoint(&touched) {
            touched.extend(its);
            touched.insert(a.findings[finding].stanza);
            taken.push(Taken { mend, check });
        }
    }
    taken
}

/// All mends of a round together, or, if they do not go together, the first alone.
fn put_in<'a>(
    a: &Analysis,
    round: &'a [Taken],
    tries: &Cell<usize>,
    stop: Stop,
) -> Option<(Analysis, &'a [Taken])> {
    let first = round.get(..1)?;
    // What was proved is put in, whatever is left.
    tries.set(tries.get().saturating_sub(1));
    let edits = round.iter().flat_map(|taken| taken.mend.edits.clone());
    let edits: Vec<Edit> = edits.collect();
    let together = a.changed(&edits, stop)?;
    if round.len() == 1 || a.is_no_worse(&together) {
        return Some((together, round));
    }
    Some((a.changed(&first[0].mend.edits, stop)?, first))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::testing::plan;
    use super::*;

    fn enough() -> Cell<usize> {
        Cell::new(1000)
    }

    /// What it becomes, with the titles; mending that again changes nothing.
    fn mended(text: &str) -> (String, Vec<String>) {
        let fixed = plan(text).fix_all(&|| false);
        let text = fixed.after.plan.files[0].text.to_string();
        let again = plan(&text).fix_all(&|| false);
        assert_eq!(again.mended, [""; 0], "{text}");
        assert_eq!(*again.after.plan.files[0].text, *text);
        (text, fixed.mended)
    }

    /// One lamp without a resistor, which overloads all that is ahead of it.
    const BARE: &str = "\
wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
wire fine gauge 32 AWG insulation enamel colours red, green
led pearl drops 2.0 V at 20 mA limit 25 mA colour amber
supply plug 12 V 0.3 A
fuse F1 1 A from plug
joint quay from F1 over 300 mm of hook
lamp mast of pearl resistor 510 ohm 1/2 W from quay over 60 mm of fine
lamp bare of pearl from quay over 50 mm of fine
";

    #[test]
    fn the_cause_is_mended_and_not_what_it_causes() {
        let found: Vec<_> = plan(BARE).findings.iter().map(|f| f.check).collect();
        for check in ["lamp-without-resistor", "fuse-too-small", "wire-overloaded"] {
            assert!(found.contains(&check), "{check}: {found:?}");
        }
        let (text, titles) = mended(BARE);
        // Not larger for a current that is gone: smaller, since 300 mA would not blow it.
        assert!(text.contains("fuse F1 125 mA from plug"), "{text}");
        assert!(text.contains("from quay over 50 mm of fine\n"), "{text}");
        assert!(text.contains("supply plug 12 V 0.3 A"), "{text}");
        assert!(text.contains("lamp bare of pearl resistor"), "{text}");
        assert!(!titles.is_empty());
    }

    /// Of more slips than can be tried some are mended, and that they are not all is said.
    #[test]
    fn as_many_are_mended_as_may_be_tried() {
        let lamps = (0..9).map(|k| format!("lamp l{k} of pearl from s over 50 mm of fine\n"));
        let a = plan(&format!(
            "wire fine gauge 28 AWG insulation pvc colours red, black\nled pearl drops 3.0 V at 20 mA limit 25 mA colour white\n\
             supply s 12 V 20 A\n{}",
            lamps.collect::<String>()
        ));
        let all = a.fix_all(&|| false);
        assert!(!all.is_cut_short && all.mended.len() >= 9, "{all:?}");
        for tries in 0..6 {
            let some = a.fix_within(&Said::new(), tries, &|| false);
            assert!(some.is_cut_short, "{tries}");
            assert_eq!(some.mended[..], all.mended[..tries], "{tries}");
        }
    }

    #[test]
    fn what_a_light_in_error_causes_is_known() {
        let caused = |text: &str| {
            let a = plan(text);
            let caused = (0..a.findings.len()).filter(|&finding| a.is_caused(finding));
            let caused = caused.map(|finding| a.findings[finding].check);
            caused.collect::<Vec<_>>()
        };
        let all = caused(BARE);
        assert!(all.contains(&"fuse-too-small"), "{all:?}");
        assert!(all.contains(&"wire-overloaded"), "{all:?}");
        assert!(!all.contains(&"lamp-without-resistor"), "{all:?}");
        let beside = "fuse F2 100 mA from plug\nload crane draws 90 mA from F2\n";
        assert_eq!(caused(&format!("{BARE}{beside}")), all);
    }

    #[test]
    fn a_mend_of_a_symptom_that_is_gone_is_taken_back() {
        let text =
            "supply plug 12 V 1 A\nfuse F1 200 mA from plug\nload crane draws 180 mA from F1\n";
        let a = plan(text);
        let small = a.findings.iter().position(|f| f.check == "fuse-too-small");
        let mend = a
            .preferred_mend(small.unwrap(), &enough(), &|| false)
            .unwrap();
        let taken = |mend: &Mend, check| Taken {
            mend: mend.clone(),
            check,
        };
        // Then the load becomes less, and a line comes ahead of it all.
        let mut done = Done {
            after: a.clone(),
            steps: Vec::new(),
            history: History::default(),
        };
        let after = a.changed(&mend.edits, &|| false).unwrap();
        done.put_in(after, &[taken(&mend, "fuse-too-small")]);
        assert!(!done.take_back(&enough(), &|| false), "it is needed");
        let edit = |index, (start, end), text: &str| Edit {
            stanza: StanzaId {
                file: crate::plan::FileId(0),
                index,
            },
            span: crate::text::Span::new(start, end),
            text: text.into(),
        };
        let less = Mend {
            title: String::new(),
            edits: vec![edit(2, (17, 20), "90"), edit(0, (0, 0), "# a crane\n")],
            told: Vec::new(),
        };
        let after = done.after.changed(&less.edits, &|| false).unwrap();
        done.put_in(after, &[taken(&less, "output-overloaded")]);
        assert!(done.take_back(&enough(), &|| false));
        assert_eq!(
            *done.after.plan.files[0].text,
            *format!("# a crane\n{}", text.replace("180", "90"))
        );
        assert_eq!(done.steps.len(), 1);
    }
}
