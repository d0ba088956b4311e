//! Lines above a stanza that say what it comes to, and that one can click on: the budget of a supply, what a joint
//! feeds, the worst break of the plan. Where they stand is read off the text alone; what they say is worked out when
//! an editor is about to show them.

use std::collections::BTreeSet;

use super::hover::{some_names, what_if};
use super::supply_load::{self, Given};
use crate::checks::Analysis;
use crate::circuit::what_if::worst_break;
use crate::numbers::{count, show_short, with_range};
use crate::plan::{FileId, ItemId};
use crate::syntax::vocabulary::StanzaWord;
use crate::syntax::{read_stanza, stanza_texts};
use crate::text::Span;

/// A kind of lens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LensKind {
    /// What a supply gives.
    Budget,
    /// What a joint feeds.
    Feeds,
    /// The worst break of the plan.
    Worst,
}

impl LensKind {
    /// All of them.
    pub const ALL: [LensKind; 3] = [LensKind::Budget, LensKind::Feeds, LensKind::Worst];

    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            LensKind::Budget => "budget",
            LensKind::Feeds => "feeds",
            LensKind::Worst => "worst",
        }
    }

    /// What it shows.
    pub fn says(self) -> &'static str {
        match self {
            LensKind::Budget => "Above a supply: what it gives in each scene, and of how much.",
            LensKind::Feeds => "Above a joint: what it feeds.",
            LensKind::Worst => {
                "Above `harness` (without one, above the first supply): the break that darkens most lights."
            }
        }
    }

    /// Whether it is shown where nobody has said anything. There are few supplies, but many joints.
    pub fn at_first(self) -> bool {
        self != LensKind::Feeds
    }
}

/// Kinds that are to be shown.
pub type Kinds = BTreeSet<LensKind>;

/// A lens.
#[derive(Clone, Debug, PartialEq)]
pub struct Lens {
    /// The words of the file that it stands above.
    pub span: Span,
    /// Its kind.
    pub kind: LensKind,
    /// The item that it is about; of the whole plan's, none.
    pub name: Option<String>,
}

/// The lenses of a file, in order.
pub fn lenses(text: &str, kinds: &Kinds) -> Vec<Lens> {
    let mut found = Vec::new();
    let mut start = 0;
    // Where the one about the whole plan stands.
    let mut worst: Option<(StanzaWord, Span)> = None;
    for piece in stanza_texts(text) {
        let here = start;
        start += piece.len() as u32;
        let word = first_word(piece).and_then(StanzaWord::from_word);
        let Some(word @ (StanzaWord::Harness | StanzaWord::Supply | StanzaWord::Joint)) = word
        else {
            continue;
        };
        let stanza = read_stanza(piece.into());
        let span = stanza.name().map_or(stanza.word_span, |(_, span)| span);
        let span = span.shifted(here);
        let is_better = |(other, _)| word == StanzaWord::Harness && other != StanzaWord::Harness;
        if word != StanzaWord::Joint && worst.is_none_or(is_better) {
            worst = Some((word, span));
        }
        let kind = match word {
            StanzaWord::Supply => LensKind::Budget,
            StanzaWord::Joint => LensKind::Feeds,
            _ => continue,
        };
        // A pattern's piece is no item of its own.
        if let Some((name, _)) = stanza.name().filter(|(name, _)| !name.0.contains('.')) {
            found.push(Lens {
                span,
                kind,
                name: Some(name.0.to_string()),
            });
        }
    }
    found.extend(worst.map(|(_, span)| Lens {
        span,
        kind: LensKind::Worst,
        name: None,
    }));
    found.retain(|lens| kinds.contains(&lens.kind));
    found.sort_by_key(|lens| (lens.span, lens.kind));
    found
}

/// The word at the margin.
pub(super) fn first_word(stanza: &str) -> Option<&str> {
    let lines = stanza.split(['\n', '\r']);
    let mut lines = lines.map(|line| line.trim_start_matches('\u{feff}'));
    let line = lines.find(|line| !line.starts_with([' ', '\t', '#']) && !line.is_empty())?;
    line.split_whitespace().next()
}

/// So many scenes are named in a line.
const SCENES: usize = 4;

/// What the lens of an item says; `None` where it cannot be read.
pub fn title(a: &Analysis, kind: LensKind, name: &str) -> Option<String> {
    let item = a.plan.item(name)?;
    Some(match kind {
        LensKind::Budget => budget(a, item),
        LensKind::Feeds => {
            let fed = fed(a, item);
            let names = fed.iter().map(|item| &a.plan.items[item.0].name);
            match fed.len() {
                0 => "feeds nothing".to_owned(),
                n => format!("feeds {n}: {}", some_names(names)),
            }
        }
        LensKind::Worst => return None,
    })
}

/// What is shown when the lens of an item is clicked.
pub fn message(a: &Analysis, kind: LensKind, name: &str) -> Option<String> {
    let item = a.plan.item(name)?;
    match kind {
        LensKind::Budget => {
            let of = of_limit(a, item);
            let scenes = supply_load::given(a, item).map(|(scene, given)| {
                let given = match given {
                    Given::Off => "off".to_owned(),
                    Given::Current { typical, low, high } => with_range(typical, low, high) + &of,
                    Given::NoSolution(culprit) => no_solution(culprit),
                };
                format!("{scene}: {given}")
            });
            Some(format!(
                "{name} gives\n{}",
                scenes.collect::<Vec<_>>().join("\n")
            ))
        }
        LensKind::Feeds => {
            let fed = fed(a, item).into_iter().map(|item| {
                let detail = super::symbols::detail(&a.plan, &a.solution, item);
                let item = &a.plan.items[item.0];
                let words = format!("{} {}", item.word.word(), item.name.0);
                detail.map_or(words.clone(), |figures| format!("{words}: {figures}"))
            });
            let fed: Vec<String> = fed.collect();
            Some(match fed.is_empty() {
                true => format!("{name} feeds nothing."),
                false => format!("{name} feeds\n{}", fed.join("\n")),
            })
        }
        LensKind::Worst => None,
    }
}

fn no_solution(culprit: &str) -> String {
    format!("no solution, {culprit}")
}

/// ` of 1 A`, where the supply says how much it may give.
fn of_limit(a: &Analysis, item: ItemId) -> String {
    let limit = supply_load::limit(a, item);
    limit.map_or(String::new(), |limit| format!(" of {}", show_short(limit)))
}

/// `all-on 620 mA of 1 A · night 200 mA`
fn budget(a: &Analysis, item: ItemId) -> String {
    let of = of_limit(a, item);
    let all: Vec<String> = supply_load::given(a, item)
        .enumerate()
        .map(|(nth, (scene, given))| {
            let given = match given {
                Given::Off => "off".to_owned(),
                Given::Current { typical, .. } => show_short(typical),
                Given::NoSolution(culprit) => no_solution(culprit),
            };
            let of = if nth == 0 { of.as_str() } else { "" };
            format!("{scene} {given}{of}")
        })
        .collect();
    let more = all.len().saturating_sub(SCENES);
    let more = (more > 0).then(|| format!("{more} more"));
    let shown = all.into_iter().take(SCENES).chain(more);
    shown.collect::<Vec<_>>().join(" · ")
}

/// What hangs on an item: what is fed from it, or returns to it.
fn fed(a: &Analysis, item: ItemId) -> Vec<ItemId> {
    let items = a.plan.items.iter().enumerate();
    let hangs = items.filter(|(_, other)| {
        let feed = other.feed.as_ref();
        feed.is_some_and(|feed| feed.from.item == item || feed.minus().item == item)
    });
    hangs.map(|(index, _)| ItemId(index)).collect()
}

/// A break, and what goes dark.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst {
    /// Where: `the plus leg to keel`.
    pub place: String,
    /// The file that it stands in.
    pub file: FileId,
    /// The name in the stanza that breaks, in the bytes of its file.
    pub span: Span,
    /// How many lights go dark …
    pub dark: usize,
    /// … and their names, or those of some.
    pub names: String,
    /// Of how many.
    pub lights: usize,
}

impl Worst {
    /// As a lens says it.
    pub fn title(&self) -> String {
        let lights = count(self.lights, "light");
        format!(
            "worst break: {}, {} of {lights} dark",
            self.place, self.dark
        )
    }

    /// As it is said when the lens is clicked.
    pub fn message(&self) -> String {
        format!(
            "Worst break: {}. It darkens {} of {}: {}.",
            self.place,
            self.dark,
            count(self.lights, "light"),
            self.names
        )
    }
}

/// Said where no break darkens any light.
pub const NO_BREAK: &str = "No single break darkens a light.";

/// The break of a plan that darkens most lights; of several, the first in the plan. With the number of its lights.
pub fn worst(a: &Analysis) -> (Option<Worst>, usize) {
    let plan = &a.plan;
    let lights = plan.lights().count();
    let worst = worst_break(plan, a.breaks()).map(|worst| {
        let of = worst.place.of();
        let stanza = of.stanza(plan);
        let tree = plan.stanza(stanza);
        let name = tree.name().map_or(tree.word_span, |(_, span)| span);
        Worst {
            place: what_if::at(plan, worst.place),
            file: stanza.file,
            span: plan.in_file(stanza, name),
            dark: worst.dark.len(),
            names: some_names(worst.dark.iter().map(|light| &plan.items[light.0].name)),
            lights,
        }
    });
    (worst, lights)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "\
# stock
led p drops 3 V at 15 mA
# the feed
supply s 12 V 1 A resistance 0 ohm
joint hub from s
lamp a of p resistor 600 ohm from hub
lamp b of p resistor 600 ohm from hub
load fan draws 40 mA from s
pattern cottage
joint cottage.in from cottage
scene dusk off fan
scene night off s
";

    fn analysed(text: &str) -> Analysis {
        Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
    }

    fn all(text: &str) -> Vec<(LensKind, String, Option<String>)> {
        let found = lenses(text, &LensKind::ALL.into_iter().collect()).into_iter();
        found
            .map(|lens| {
                let words = lens.span.of(text).unwrap().to_owned();
                (lens.kind, words, lens.name)
            })
            .collect()
    }

    #[test]
    fn where_they_stand() {
        let own = |kind, word: &str| (kind, word.to_owned(), Some(word.to_owned()));
        let worst = |word: &str| (LensKind::Worst, word.to_owned(), None);
        assert_eq!(
            all(PLAN),
            [
                own(LensKind::Budget, "s"),
                worst("s"),
                own(LensKind::Feeds, "hub")
            ]
        );
        let titled = format!("\u{feff}\r\nsupply\n{PLAN}harness \"x\"\n");
        assert_eq!(
            all(&titled),
            [
                own(LensKind::Budget, "s"),
                own(LensKind::Feeds, "hub"),
                worst("harness")
            ]
        );
        assert_eq!(all("zone a\n"), []);
        let some = lenses(PLAN, &Kinds::from([LensKind::Feeds]));
        assert_eq!(some.len(), 1);
    }

    #[test]
    fn what_they_say() {
        let a = analysed(PLAN);
        assert_eq!(
            title(&a, LensKind::Budget, "s").unwrap(),
            "all-on 70 mA of 1 A · dusk 30 mA · night off"
        );
        assert_eq!(title(&a, LensKind::Feeds, "hub").unwrap(), "feeds 2: a, b");
        assert_eq!(title(&a, LensKind::Feeds, "a").unwrap(), "feeds nothing");
        assert_eq!(title(&a, LensKind::Budget, "nobody"), None);
        assert_eq!(
            worst(&a).0.unwrap().title(),
            "worst break: hub, 2 of 2 lights dark"
        );
        let many: String = (0..5).map(|n| format!("scene n{n} off b\n")).collect();
        assert_eq!(
            title(&analysed(&format!("{PLAN}{many}")), LensKind::Budget, "s").unwrap(),
            "all-on 70 mA of 1 A · dusk 30 mA · night off · n0 55 mA · 4 more"
        );
    }

    #[test]
    fn the_worst_break_is_that_of_all_that_breaks() {
        for text in [
            PLAN,
            include_str!("../../docs/examples/night-ferry.harness"),
            "supply s 12 V\n",
        ] {
            let a = analysed(text);
            let all = crate::circuit::what_if::WhatIf::of(&a.plan, a.breaks());
            assert_eq!(worst_break(&a.plan, a.breaks()).as_ref(), all.worst());
        }
    }

    #[test]
    fn what_a_click_tells() {
        let a = analysed(PLAN);
        let told = message(&a, LensKind::Budget, "s").unwrap();
        let lines: Vec<&str> = told.lines().collect();
        assert_eq!(lines[0], "s gives");
        assert!(
            lines[1].starts_with("all-on: 70 mA (") && lines[1].ends_with(" of 1 A"),
            "{told}"
        );
        assert_eq!(lines[3], "night: off");
        assert_eq!(
            message(&a, LensKind::Feeds, "hub").unwrap(),
            "hub feeds\nlamp a: 12 V 15 mA\nlamp b: 12 V 15 mA"
        );
        assert_eq!(
            message(&a, LensKind::Feeds, "fan").unwrap(),
            "fan feeds nothing."
        );
        assert_eq!(
            worst(&a).0.unwrap().message(),
            "Worst break: hub. It darkens 2 of 2 lights: a, b."
        );
        assert_eq!(worst(&analysed("supply s 12 V\n")).0, None);
    }
}
